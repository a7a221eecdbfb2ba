//! The case of a synthetic film: its landmarks are the truth, projected onto the film; what its stage hides is hidden.

use super::exposure::Exposure;
use super::landmarks::{SpatialLandmarks, SpatialRoot};
use super::space::Point3;
use super::tooth::Tooth;
use super::treatment::{Beside, CrownKind};
use super::truth::true_values;
use crate::calibration::{
    Between, Extra, Instrument, Placed, Receptor, Reference, ReferencePoint, Scan, Sphere,
};
use crate::case::{
    Calibration, Case, Clinical, Film, Landmark, LandmarkId, Landmarks, Mark, Owner, Part, Point, Root,
    Section, Sight, Stage, State, Technique, Uncertainty,
};
use crate::quantity::Millimetres;
use serde_json::{Map, Value, json};

/// What a film's file states of its scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StatedScale {
    /// The receptor's pitch.
    Pitch,
    /// The receptor's pitch, and by how much the tooth is enlarged.
    PitchAndMagnification(f64),
    /// The resolution of a scan, dots per inch.
    Scan(f64),
}

/// What is written into the case of a synthetic film beside the tooth.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmNote {
    /// Name of the film's file, as seen from the case.
    pub file: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// When in the treatment it was taken.
    pub stage: Stage,
    /// How it was aimed.
    pub technique: Option<Technique>,
    /// What it states of its scale.
    pub scale: StatedScale,
    /// The seed it was drawn from.
    pub seed: u64,
    /// Whether the case has what the chair adds ([`Tooth::chair_readings`]).
    pub is_at_chair: bool,
}

/// Points on the rim of a ball.
const RIM_POINTS: u32 = 12;

/// The case of a tooth on an exposure.
pub fn truth_case(tooth: &Tooth, exposure: &Exposure, note: &FilmNote) -> Case {
    let landmarks = tooth.landmarks();
    let teller = Teller { tooth, exposure, note };
    let mut extra = Extra::new();
    extra.insert("x-truth".to_owned(), truth(tooth, &landmarks, exposure, note.seed));
    Case {
        film: Film {
            file: Some(note.file.clone()),
            sha256: Some(note.sha256.clone()),
            width_px: Some(exposure.receptor.width_px),
            height_px: Some(exposure.receptor.height_px),
            stage: Some(note.stage),
            technique: note.technique,
            ..Film::default()
        },
        tooth: crate::case::Tooth { fdi: Some(tooth.fdi), ..crate::case::Tooth::default() },
        label: Some(format!("synthetic film, seed {}", note.seed)),
        calibration: Calibration { references: teller.references(note.scale), ..Calibration::default() },
        uncertainty: Uncertainty::default(),
        landmarks: teller.marks(&landmarks, None),
        roots: landmarks.roots.iter().map(|root| teller.root(&landmarks, root)).collect(),
        clinical: if note.is_at_chair { tooth.chair_readings() } else { Clinical::default() },
        extra,
    }
}

/// The key `x-truth`: every true value, every landmark in space, and the exposure.
fn truth(tooth: &Tooth, landmarks: &SpatialLandmarks, exposure: &Exposure, seed: u64) -> Value {
    let place = |point: &Point3| json!([point.x, point.y, point.z]);
    let points = |points: &std::collections::BTreeMap<LandmarkId, Point3>| -> Map<String, Value> {
        points.iter().map(|(id, point)| (id.key().to_owned(), place(point))).collect()
    };
    let roots: Map<String, Value> = landmarks
        .roots
        .iter()
        .map(|root| (root.name.word().to_owned(), Value::Object(points(&root.points))))
        .collect();
    let way = |way: super::space::Vector3| json!([way.x, way.y, way.z]);
    let receptor = &exposure.receptor;
    json!({
        "seed": seed,
        "values": true_values(tooth),
        "points_mm": {"tooth": points(&landmarks.tooth), "roots": roots},
        "exposure_mm": {
            "source": place(&exposure.source),
            "focus": exposure.focus,
            "receptor_corner": place(&receptor.corner),
            "receptor_right": way(receptor.right),
            "receptor_down": way(receptor.down),
            "pitch": [receptor.across_pitch, receptor.down_pitch],
        }
    })
}

struct Teller<'a> {
    tooth: &'a Tooth,
    exposure: &'a Exposure,
    note: &'a FilmNote,
}

impl Teller<'_> {
    fn point(&self, place: Point3) -> Option<Point> {
        let at = self.exposure.project(place)?;
        Some(Point { placed: Some(Placed::Truth), ..Point::at(at.x, at.y) })
    }

    fn reference_point(&self, place: Point3) -> Option<ReferencePoint> {
        let at = self.exposure.project(place)?;
        Some(ReferencePoint {
            x: at.x,
            y: at.y,
            sd_px: None,
            placed: Some(Placed::Truth),
            extra: Extra::new(),
        })
    }

    /// What the film's stage lets be seen of each landmark: of the tooth, or of a root.
    fn marks(&self, landmarks: &SpatialLandmarks, root: Option<&SpatialRoot>) -> Landmarks {
        let owner = if root.is_some() { Owner::Root } else { Owner::Tooth };
        let mut found = Landmarks::default();
        for id in LandmarkId::points(owner) {
            let place = match root {
                Some(root) => root.points.get(&id),
                None => landmarks.tooth.get(&id),
            };
            if let Some(mark) = self.mark(id, place.copied()) {
                found.marks.insert(id, mark);
            }
        }
        found
    }

    fn mark(&self, id: LandmarkId, place: Option<Point3>) -> Option<Mark> {
        let landmark = id.landmark();
        let absent = |why: &str| Some(Mark::Absent { absent: why.to_owned(), extra: Extra::new() });
        let hidden = |why: &str| Some(Mark::Hidden { hidden: why.to_owned(), extra: Extra::new() });
        match landmark.sight(Some(self.note.stage)) {
            Sight::Concealed(why) => return hidden(why),
            // What is not there yet is nobody's finding: what rests on it waits, and a key says nothing of it.
            Sight::NotYet(_) => return None,
            Sight::ToPlan => {
                // The edge of the crown to come is a plan that measurements rest on.
                let is_told = landmark == Landmark::CrownEdge || self.tooth.treatment.planned_post.is_some();
                let planned = |point| Point { state: Some(State::Planned), ..point };
                return place
                    .filter(|_| is_told)
                    .and_then(|place| self.point(place))
                    .map(|point| Mark::Placed(planned(point)));
            }
            Sight::Asked | Sight::Possible => {}
        }
        if let Some(why) = self.not_there(id) {
            return absent(why);
        }
        if landmark == Landmark::PostHead && self.tooth.treatment.crown == Some(CrownKind::Metal) {
            return hidden("under the metal crown");
        }
        if matches!(landmark, Landmark::Furcation | Landmark::FurcalCrest)
            && place.is_none()
            && self.tooth.roots.len() > 1
        {
            return hidden("one root lies behind the other");
        }
        // The crown's edge and what a stop rests on today are not known of a tooth that is being built up.
        let is_lost = landmark == Landmark::CrownEdge && self.tooth.treatment.crown.is_none()
            || landmark == Landmark::StopReference && self.tooth.treatment.core.is_some();
        place.filter(|_| !is_lost).and_then(|place| self.point(place)).map(Mark::Placed)
    }

    /// Why a landmark is not there at all.
    fn not_there(&self, id: LandmarkId) -> Option<&'static str> {
        let tooth = self.tooth;
        let landmark = id.landmark();
        match landmark.declaration().part {
            Some(Part::Post) if tooth.treatment.post.is_none() => return Some("no post"),
            Some(Part::Filling) if tooth.treatment.filling.is_none() => return Some("no root filling"),
            _ => {}
        }
        let flank = id.side().map(|side| tooth.flank(side));
        match (landmark, flank) {
            (Landmark::BonePeak, Some(flank)) if flank.peak_above_crest_mm <= 0.0 => {
                Some("the septum is level with the crest")
            }
            (Landmark::Cej, Some(flank))
                if tooth.treatment.walls && flank.cej.level_mm < flank.finish_line.level_mm =>
            {
                Some("cut away with the preparation")
            }
            (Landmark::CurveStart, _) if tooth.roots.iter().all(|root| root.bend_deg < 1.0) => {
                Some("the canal is straight")
            }
            _ => None,
        }
    }

    fn root(&self, landmarks: &SpatialLandmarks, root: &SpatialRoot) -> Root {
        let mut marks = self.marks(landmarks, Some(root));
        if self.tooth.treatment.post.is_some() && !root.post_here {
            for landmark in [Landmark::PostHead, Landmark::PostTip] {
                let absent = Mark::Absent { absent: "no post in this root".to_owned(), extra: Extra::new() };
                marks.marks.insert(landmark.id(), absent);
            }
        }
        Root {
            name: root.name,
            post_here: root.post_here.then_some(true),
            landmarks: marks,
            canal: root.canal.iter().filter_map(|place| self.point(*place)).collect(),
            sections: root
                .sections
                .iter()
                .filter_map(|section| {
                    let [one, two, three, four] = section.points.map(|place| self.point(place));
                    let points = [one?, two?, three?, four?];
                    Some(Section { level: Some(section.level.to_owned()), points, extra: Extra::new() })
                })
                .collect(),
            extra: Extra::new(),
        }
    }

    /// What gives the film its scale: an instrument, a wire or a ball on it, and what its file states.
    fn references(&self, scale: StatedScale) -> Vec<Reference> {
        let mut references = Vec::new();
        let treatment = &self.tooth.treatment;
        let instrument = |points: Vec<Point3>, length_mm: f64, between| {
            let points = points.into_iter().filter_map(|place| self.reference_point(place)).collect();
            Reference::Instrument(Instrument {
                points,
                length_mm: Some(length_mm),
                tolerance_mm: None,
                length_sd_mm: Some(0.1),
                between: Some(between),
                object: None,
                extra: Extra::new(),
            })
        };
        if let (Some(it), Some(points)) = (treatment.instrument, self.tooth.instrument_line()) {
            references.push(instrument(points, it.length_mm, Between::TipStop));
        }
        let middle = self.tooth.beside_at();
        match treatment.beside {
            Some(Beside::Wire { length_mm }) => {
                let end = |by: f64| Point3 { z: middle.z + by * length_mm, ..middle };
                references.push(instrument(vec![end(-0.5), end(0.5)], length_mm, Between::Ends));
            }
            Some(Beside::Ball { diameter_mm }) => {
                let rim = self.exposure.rim_of_ball(middle, Millimetres(0.5 * diameter_mm), RIM_POINTS);
                references.push(Reference::Sphere(Sphere {
                    points: rim.into_iter().filter_map(|place| self.reference_point(place)).collect(),
                    diameter_mm: Some(diameter_mm),
                    tolerance_mm: Some(0.01),
                    diameter_sd_mm: None,
                    object: None,
                    extra: Extra::new(),
                }));
            }
            None => {}
        }
        let receptor = &self.exposure.receptor;
        let pitch_mm = [receptor.across_pitch.get(), receptor.down_pitch.get()];
        let (magnification_sd, extra) = (None, Extra::new());
        references.push(match scale {
            StatedScale::Pitch => {
                Reference::Receptor(Receptor { pitch_mm, magnification: None, magnification_sd, extra })
            }
            StatedScale::PitchAndMagnification(factor) => Reference::Receptor(Receptor {
                pitch_mm,
                magnification: Some(factor),
                magnification_sd: Some(0.01),
                extra,
            }),
            StatedScale::Scan(dpi) => {
                Reference::Scan(Scan { dpi, magnification: None, magnification_sd, extra })
            }
        });
        references
    }
}
