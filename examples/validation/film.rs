//! One film of the study: a tooth drawn from a seed, its landmarks projected onto a receptor and placed with an error, and
//! what is true of it in space.

use super::dice::Dice;
use super::practice::{Practice, lean};
use crestgauge::calibration::{Extra, Instrument, Receptor, Reference, ReferencePoint};
use crestgauge::case::{
    self, Calibration, Case, Clinical, Fdi, Landmark, Landmarks, Mark, Point, Reading, Root, RootName,
    RowRef, Section, Side, Site, Sites, Stage, Uncertainty,
};
use crestgauge::measure::Measurement;
use crestgauge::phantom::{
    Exposure, Point3, Recipe, SpatialLandmarks, SpatialRoot, Tooth, TrueValue, Vector3, true_values_of,
};
use crestgauge::quantity::Unit;
use std::collections::{BTreeMap, HashMap};

/// How far a point is placed off, each axis, sd in mm of the tooth.
const PLACING: f64 = 0.15;
/// The stated length of an instrument is off by up to this, mm, each error as likely.
const TOLERANCE: f64 = 0.5;
/// Sd of a probe's readings, mm.
const PROBE: f64 = 0.5;
/// Points on a proximal face lie up to this part of half the neck's depth before or behind its middle, each depth as likely:
/// nothing says which part of a margin, a wall or a septum rises highest.
const FACE: f64 = 0.85;
/// Teeth drawn anew where a seed's treatment does not fit its anatomy, at most.
const TRIES: u64 = 50;

/// What gives a film its scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ScaleFrom {
    /// An instrument in the canal of the root with the post.
    Instrument,
    /// The receptor's pitch, without a magnification.
    Receptor,
    /// Both.
    Both,
}

impl ScaleFrom {
    /// All three.
    pub(crate) const ALL: [Self; 3] = [Self::Instrument, Self::Receptor, Self::Both];

    /// The word in tables.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Instrument => "instrument",
            Self::Receptor => "receptor",
            Self::Both => "both",
        }
    }
}

/// What a study changes in teeth or in what counts as their truth, to find where errors come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Variation {
    /// Nothing.
    AsTheyAre,
    /// Roots neither lean nor bend towards buccal or lingual.
    UprightRoots,
    /// The midpoint of the margin lies where its two points have it, however deep these lie.
    MidpointWherePointsLie,
}

/// A film with its placed landmarks.
pub(crate) struct Film {
    /// The case without a reference.
    bare: Case,
    instrument: Reference,
    receptor: Reference,
    /// What is true, by row.
    pub(crate) truth: HashMap<RowRef, f64>,
    /// Whether the tooth has several roots.
    pub(crate) several_roots: bool,
    /// The root with the post, and with the instrument.
    post_root: RootName,
    /// Schneider's angle of each root in the plane of mesial, distal and apical, deg.
    pub(crate) curvature_in_plane: HashMap<RowRef, f64>,
}

impl Film {
    /// The film of this number. Practices share teeth, points and placing errors; only angles differ.
    pub(crate) fn drawn(
        practice: &Practice,
        variation: Variation,
        seed: u64,
        number: u64,
    ) -> Result<Self, String> {
        let mut dice = Dice::of(seed, number);
        let mut tooth = tooth(seed, number, &mut dice)?;
        if variation == Variation::UprightRoots {
            for root in &mut tooth.roots {
                root.lean = [root.lean[0], 0.0];
                root.bend_towards_deg = 0.0;
            }
        }
        let mut landmarks = tooth.landmarks();
        let reach = face(&tooth);
        for side in Side::BOTH {
            if let Some(peak) = landmarks.tooth.get_mut(&Landmark::BonePeak.on(side)) {
                peak.y = dice.between(-reach, reach);
            }
        }
        let exposure = practice
            .exposure(&tooth, &landmarks, &mut dice)
            .map_err(|error| format!("film {number}: {error}"))?;
        let lost = || format!("film {number}: a point throws no shadow");
        let mut placer = Placer::new(&exposure, &mut dice).ok_or_else(lost)?;
        let line = tooth.instrument_line().ok_or_else(|| format!("film {number}: no instrument"))?;
        let references: Vec<ReferencePoint> =
            line.into_iter().map(|place| placer.reference(place)).collect::<Option<_>>().ok_or_else(lost)?;
        let points = placer.marks(&landmarks.tooth).ok_or_else(lost)?;
        let roots: Vec<Root> =
            landmarks.roots.iter().map(|root| placer.root(root)).collect::<Option<_>>().ok_or_else(lost)?;
        let length = tooth.treatment.instrument.map(|it| it.length_mm + dice.between(-TOLERANCE, TOLERANCE));
        let mut truth = match variation {
            Variation::MidpointWherePointsLie => by_row(true_values_of(&landmarks)),
            Variation::AsTheyAre | Variation::UprightRoots => true_of(&landmarks),
        };
        let clinical = clinical(&mut truth, &mut dice);
        let bare = Case {
            film: case::Film { technique: Some(practice.technique), ..case::Film::default() },
            tooth: case::Tooth { fdi: Some(tooth.fdi), ..case::Tooth::default() },
            label: None,
            calibration: Calibration::default(),
            uncertainty: Uncertainty::default(),
            landmarks: points,
            roots,
            clinical,
            extra: Extra::new(),
        };
        let instrument = Reference::Instrument(Instrument {
            points: references,
            length_mm: length,
            tolerance_mm: Some(TOLERANCE),
            length_sd_mm: None,
            between: None,
            object: None,
            extra: Extra::new(),
        });
        let receptor = Reference::Receptor(Receptor {
            pitch_mm: [exposure.receptor.across_pitch.get(), exposure.receptor.down_pitch.get()],
            magnification: None,
            magnification_sd: None,
            extra: Extra::new(),
        });
        let curvature_in_plane = curvatures_in_plane(&landmarks);
        let several_roots = landmarks.roots.len() > 1;
        let post_root = tooth.post_root().ok_or("no root for a post")?;
        Ok(Self { bare, instrument, receptor, truth, several_roots, post_root, curvature_in_plane })
    }

    /// Whether a number of a tooth with several roots compares a length with another than of the root with the instrument.
    pub(crate) fn feels_lean(&self, measurement: &Measurement) -> bool {
        let is_of_own_root = measurement.of.root.as_deref() == Some(self.post_root.word());
        let is_ratio_with_tooth = matches!(measurement.row.id, "post_to_core" | "post_to_crown");
        let is_length = measurement.row.unit == Unit::Millimetre;
        self.several_roots && (is_ratio_with_tooth || is_length && !is_of_own_root)
    }

    /// The case as it is measured with this scale.
    pub(crate) fn case(&self, scale: ScaleFrom) -> Case {
        let mut case = self.bare.clone();
        case.calibration.references = match scale {
            ScaleFrom::Instrument => vec![self.instrument.clone()],
            ScaleFrom::Receptor => vec![self.receptor.clone()],
            ScaleFrom::Both => vec![self.instrument.clone(), self.receptor.clone()],
        };
        case
    }
}

/// How far before and behind the middle of a proximal face points are drawn, mm.
fn face(tooth: &Tooth) -> f64 {
    FACE * 0.5 * tooth.crown.cervix_depth_mm
}

/// A tooth with post, core, walls and filling, and an instrument in the same canal.
fn tooth(seed: u64, number: u64, dice: &mut Dice) -> Result<Tooth, String> {
    let all: Vec<Fdi> = Fdi::all().collect();
    let fdi = *all.get(usize::try_from(number).unwrap_or(0) % all.len()).ok_or("there are no teeth")?;
    let mut defect = || (dice.between(0.0, 1.0) < 0.5).then(|| dice.between(0.5, 4.0));
    let recipe =
        Recipe { stage: Some(Stage::PostCore), defect_mm: [defect(), defect()], ..Recipe::default() };
    let first = seed.wrapping_mul(1_000_003).wrapping_add(number.wrapping_mul(TRIES));
    let mut tooth = (first..first.wrapping_add(TRIES))
        .find_map(|seed| recipe.tooth(fdi, seed).ok())
        .ok_or_else(|| format!("film {number}: no {fdi} could be treated"))?;
    let reach = face(&tooth);
    for side in Side::BOTH {
        let flank = tooth.flank_mut(side);
        for place in [&mut flank.crest, &mut flank.finish_line, &mut flank.wall_top] {
            place.depth_mm = dice.between(-reach, reach);
        }
    }
    let name = tooth.post_root().ok_or("no root for a post")?;
    let root = tooth.root(name).ok_or("no root for a post")?;
    let tip_mm = root.apex_mm - dice.between(0.7, 1.3);
    let rest = tooth.mesial.wall_top.level_mm.min(tooth.distal.wall_top.level_mm);
    let length_mm = (tip_mm - rest).round();
    tooth.treatment.instrument = Some(crestgauge::phantom::Instrument { root: name, length_mm, tip_mm });
    Ok(tooth)
}

/// What is true of landmarks in space. The midpoint of the margin lies in the tooth's plane, that of its long axis and of
/// mesial and distal: how deep on the proximal faces the margin happens to rise highest says nothing of where the axis runs.
pub(crate) fn true_of(landmarks: &SpatialLandmarks) -> HashMap<RowRef, f64> {
    let angle = lean(landmarks).radians();
    let normal = Vector3::new(0.0, libm::cos(angle), -libm::sin(angle));
    let mut landmarks = landmarks.clone();
    for (id, place) in &mut landmarks.tooth {
        if matches!(id.landmark(), Landmark::FinishLine | Landmark::Cej) {
            let depth = place.way_from(Point3::new(0.0, 0.0, 0.0)).dot(normal);
            *place = place.moved(normal.times(-depth));
        }
    }
    by_row(true_values_of(&landmarks))
}

fn by_row(values: Vec<TrueValue>) -> HashMap<RowRef, f64> {
    values.into_iter().map(|value| (value.of, value.value)).collect()
}

/// Schneider's angle and its radius of a canal seen square to the plane of mesial, distal and apical: what a film at its best
/// can show of them.
pub(crate) fn curvatures_in_plane(landmarks: &SpatialLandmarks) -> HashMap<RowRef, f64> {
    let mut landmarks = landmarks.clone();
    for root in &mut landmarks.roots {
        for place in root.points.values_mut().chain(&mut root.fine_canal) {
            place.y = 0.0;
        }
    }
    by_row(true_values_of(&landmarks))
}

/// Probed ferrule and walls, and what is true of them.
fn clinical(truth: &mut HashMap<RowRef, f64>, dice: &mut Dice) -> Clinical {
    let mut probed = |id: &str, low: f64, high: f64| {
        let mut sites = Sites::default();
        for site in Site::PROBED {
            let value = dice.between(low, high);
            truth.insert(RowRef { id: format!("{id}.{}", site.word()), root: None }, value);
            let read = (value + dice.normal(PROBE)).max(0.0);
            sites.readings.insert(site, Reading { value: read, sd: None, by: None, extra: Extra::new() });
        }
        sites
    };
    Clinical {
        ferrule_mm: probed("ferrule_height", 1.0, 4.0),
        wall_mm: probed("wall", 0.8, 2.5),
        ..Clinical::default()
    }
}

/// Places landmarks on a film, each with an error.
struct Placer<'a> {
    exposure: &'a Exposure,
    dice: &'a mut Dice,
    error_px: f64,
}

impl<'a> Placer<'a> {
    fn new(exposure: &'a Exposure, dice: &'a mut Dice) -> Option<Self> {
        let magnification = exposure.magnification_at(Point3::new(0.0, 0.0, 0.0))?;
        let error_px = PLACING * magnification / exposure.receptor.across_pitch.get();
        Some(Self { exposure, dice, error_px })
    }

    fn placed(&mut self, place: Point3) -> Option<[f64; 2]> {
        let at = self.exposure.project(place)?;
        Some([at.x + self.dice.normal(self.error_px), at.y + self.dice.normal(self.error_px)])
    }

    fn point(&mut self, place: Point3) -> Option<Point> {
        self.placed(place).map(|[x, y]| Point::at(x, y))
    }

    fn reference(&mut self, place: Point3) -> Option<ReferencePoint> {
        let [x, y] = self.placed(place)?;
        Some(ReferencePoint { x, y, sd_px: None, placed: None, extra: Extra::new() })
    }

    fn marks(&mut self, places: &BTreeMap<case::LandmarkId, Point3>) -> Option<Landmarks> {
        let marks = places.iter().map(|(id, place)| Some((*id, Mark::Placed(self.point(*place)?))));
        Some(Landmarks { marks: marks.collect::<Option<_>>()?, extra: Extra::new() })
    }

    fn root(&mut self, root: &SpatialRoot) -> Option<Root> {
        let landmarks = self.marks(&root.points)?;
        let canal = root.canal.iter().map(|place| self.point(*place)).collect::<Option<_>>()?;
        let sections = root.sections.iter().map(|section| {
            let [one, two, three, four] = section.points.map(|place| self.point(place));
            let points = [one?, two?, three?, four?];
            Some(Section { level: Some(section.level.to_owned()), points, extra: Extra::new() })
        });
        Some(Root {
            name: root.name,
            post_here: root.post_here.then_some(true),
            landmarks,
            canal,
            sections: sections.collect::<Option<_>>()?,
            extra: Extra::new(),
        })
    }
}
