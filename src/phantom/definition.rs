//! Small pictures of what each landmark marks, cut out of synthetic films, the doubtful cases among them. One table says
//! which tooth shows which landmark.

use super::beam::Beam;
use super::body::Bodies;
use super::exposure::{Aim, Exposure};
use super::landmarks::SpatialLandmarks;
use super::material::Attenuation;
use super::receptor::{Response, expose};
use super::recipe::Recipe;
use super::scene::Scene;
use super::space::Point3;
use super::tooth::{Place, Tooth};
use super::treatment::{CrownKind, PostKind};
use crate::case::{Fdi, Landmark, LandmarkId, Side, Stage};
use crate::film::Picture;
use crate::geometry::{Position, Stored};
use crate::quantity::Millimetres;
use png::{BitDepth, ColorType, Compression, Encoder};
use std::num::NonZeroUsize;

/// Width and height of a picture, pixels.
pub const DEFINITION_SIZE: u32 = 200;
/// What a pixel is, mm on the receptor.
const PITCH: f64 = 0.07;
/// Draws before a picture is given up.
const MOST_SEEDS: u64 = 500;

/// How what is marked is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Seen {
    /// Where the truth has it.
    Plainly,
    /// Not at all: its mark is broken.
    Hidden,
    /// Where a wall that thins out is still 1 mm thick.
    AtThinWall,
}

/// A picture of a landmark.
#[derive(Debug, Clone, PartialEq)]
pub struct Definition {
    /// The name of its file, without an ending.
    pub name: &'static str,
    /// What is marked.
    pub landmark: Landmark,
    /// What it shows, in words.
    pub caption: &'static str,
    seen: Seen,
    tooth: &'static str,
    seed: u64,
    recipe: Recipe,
}

const PLAIN: Recipe = Recipe {
    stage: Some(Stage::PostCore),
    post_root: None,
    root_length_mm: None,
    bend_deg: Some(0.0),
    canal_width_mm: None,
    cej_to_crest_mm: [Some(1.6), Some(1.6)],
    defect_mm: [Some(0.0), Some(0.0)],
    margin_to_crest_mm: [Some(2.4), Some(2.4)],
    ferrule_mm: [Some(2.2), Some(2.2)],
    filling_short_mm: Some(1.0),
    seal_mm: Some(4.5),
    post_depth_mm: None,
    post_width_mm: None,
    post_tip: None,
    post_kind: Some(PostKind::Titanium),
    core_height_mm: None,
    crown: None,
    instrument_mm: None,
    lesion_mm: None,
    beside: None,
};

const FILLED: Recipe = Recipe { stage: Some(Stage::Filled), seal_mm: None, post_kind: None, ..PLAIN };
const DEFECT: Recipe =
    Recipe { defect_mm: [Some(3.5), Some(0.0)], cej_to_crest_mm: [Some(5.0), Some(1.6)], ..PLAIN };
const CROWNED: Recipe = Recipe { stage: Some(Stage::Crowned), crown: Some(CrownKind::Metal), ..PLAIN };

const fn shown(
    name: &'static str,
    landmark: Landmark,
    caption: &'static str,
    tooth: &'static str,
    recipe: Recipe,
) -> Definition {
    Definition { name, landmark, caption, seen: Seen::Plainly, tooth, seed: 3, recipe }
}

/// Every picture, those of one landmark together, the plain case first.
pub const DEFINITIONS: &[Definition] = &[
    shown(
        "crown-edge",
        Landmark::CrownEdge,
        "the edge of the crown, in the middle of the tooth",
        "21",
        CROWNED,
    ),
    shown(
        "stop-reference",
        Landmark::StopReference,
        "the higher wall, on which the stop of an instrument rests",
        "21",
        Recipe {
            stage: Some(Stage::WorkingLength),
            seal_mm: None,
            post_kind: None,
            ferrule_mm: [Some(2.2), Some(0.8)],
            ..PLAIN
        },
    ),
    shown("core-top", Landmark::CoreTop, "the highest point of the core", "21", PLAIN),
    shown(
        "core-base",
        Landmark::CoreBase,
        "the level of the standing dentine beside the canal, on the canal line",
        "21",
        PLAIN,
    ),
    shown(
        "core-base-uneven",
        Landmark::CoreBase,
        "in doubt, sides of unlike height: the lower side counts, carried square onto the canal line",
        "21",
        Recipe { ferrule_mm: [Some(0.6), Some(3.4)], ..PLAIN },
    ),
    shown(
        "wall-top",
        Landmark::WallTop,
        "the top of the wall, in the middle of its thickness of 1 mm",
        "21",
        PLAIN,
    ),
    Definition {
        seen: Seen::AtThinWall,
        ..shown(
            "wall-top-thin",
            Landmark::WallTop,
            "in doubt, a wall that thins out beside a wide canal: where it is still 1 mm thick, not where its last edge ends",
            "21",
            Recipe { canal_width_mm: Some(3.6), ferrule_mm: [Some(2.4), Some(2.0)], ..FILLED },
        )
    },
    Definition {
        seen: Seen::Hidden,
        ..shown(
            "wall-top-crowned",
            Landmark::WallTop,
            "in doubt, under a metal crown: it is there and not seen, so it is marked hidden and not guessed",
            "21",
            CROWNED,
        )
    },
    shown(
        "finish-line",
        Landmark::FinishLine,
        "the crown margin, where the cut ends on the root",
        "21",
        CROWNED,
    ),
    shown(
        "cej",
        Landmark::Cej,
        "the cemento-enamel junction, where enamel thins out to nothing",
        "21",
        Recipe { margin_to_crest_mm: [Some(3.6), Some(3.6)], ..FILLED },
    ),
    shown(
        "crest",
        Landmark::Crest,
        "the crest: where the ligament space beside the root has its even width",
        "21",
        PLAIN,
    ),
    shown(
        "crest-defect",
        Landmark::Crest,
        "in doubt, an angular defect: its floor is the crest, not the top of the septum",
        "21",
        DEFECT,
    ),
    shown(
        "bone-peak-defect",
        Landmark::BonePeak,
        "the top of the septum beside the same defect; marked only where it differs from the crest",
        "21",
        DEFECT,
    ),
    shown(
        "furcation",
        Landmark::Furcation,
        "the roof of the furcation, dentine above and bone or ligament below",
        "36",
        FILLED,
    ),
    shown(
        "furcal-crest",
        Landmark::FurcalCrest,
        "the bone in the furcation, below the roof\u{2019}s ligament space",
        "36",
        FILLED,
    ),
    Definition {
        seen: Seen::Hidden,
        ..shown(
            "furcation-upper",
            Landmark::Furcation,
            "in doubt, an upper premolar whose roots lie one behind the other: it is marked hidden",
            "14",
            FILLED,
        )
    },
    shown(
        "orifice",
        Landmark::Orifice,
        "the orifice, where root dentine first encloses the canal on both sides",
        "21",
        FILLED,
    ),
    shown(
        "curve-start",
        Landmark::CurveStart,
        "where the canal leaves its straight coronal line",
        "46",
        Recipe { bend_deg: Some(40.0), ..FILLED },
    ),
    shown("post-head", Landmark::PostHead, "the coronal end of the post, within the core", "21", PLAIN),
    Definition {
        seen: Seen::Hidden,
        ..shown(
            "post-head-crowned",
            Landmark::PostHead,
            "in doubt, under a metal crown: marked hidden; through a ceramic one it is seen",
            "21",
            CROWNED,
        )
    },
    shown("post-tip", Landmark::PostTip, "the apical end of the post, on its axis", "21", PLAIN),
    shown(
        "filling-top",
        Landmark::FillingTop,
        "the coronal end of the root filling, here beneath an empty post space",
        "21",
        Recipe { stage: Some(Stage::PostSpace), post_kind: None, ..PLAIN },
    ),
    shown("filling-tip", Landmark::FillingTip, "the apical end of the root filling", "21", PLAIN),
    shown(
        "filling-tip-beyond",
        Landmark::FillingTip,
        "in doubt, a filling beyond the apex: its own end is marked, past the root",
        "21",
        Recipe { filling_short_mm: Some(-1.2), ..PLAIN },
    ),
    shown(
        "apex",
        Landmark::Apex,
        "the radiographic apex: the end of the root, not that of the filling",
        "21",
        PLAIN,
    ),
    shown(
        "apex-lesion",
        Landmark::Apex,
        "in doubt, a radiolucency around it: the root\u{2019}s own outline ends here",
        "21",
        Recipe { lesion_mm: Some(3.5), ..PLAIN },
    ),
    shown(
        "canal",
        Landmark::Canal,
        "points along the middle of the canal, from coronal to apical",
        "46",
        Recipe { bend_deg: Some(30.0), ..FILLED },
    ),
    shown(
        "sections",
        Landmark::Sections,
        "four points square across the root: outer wall, canal or post, canal or post, outer wall",
        "21",
        PLAIN,
    ),
];

/// The colours behind the greys: the mark, and its dark edge.
const GREYS: u8 = 64;
const MARK: u8 = 64;
const EDGE: u8 = 65;

impl Definition {
    /// The picture as the bytes of a PNG; always the same.
    ///
    /// # Errors
    /// A sentence; none in a program whose tests passed.
    pub fn png(&self) -> Result<Vec<u8>, String> {
        let fdi = Fdi::parse(self.tooth)?;
        let (seed, tooth) = self.tooth(fdi)?;
        let places = match self.seen {
            Seen::AtThinWall => thin_wall(&tooth).into_iter().collect(),
            _ => self.places(&tooth.landmarks()),
        };
        let target =
            middle(&places).ok_or_else(|| format!("{}: this tooth has no such landmark", self.name))?;
        let aim = Aim {
            pitch: Millimetres(PITCH),
            width_px: DEFINITION_SIZE,
            height_px: DEFINITION_SIZE,
            ..Aim::default()
        };
        let exposure = Exposure::aimed(fdi, target, &aim).map_err(|no_exposure| no_exposure.to_string())?;
        let tables = Attenuation::embedded().map_err(|broken| broken.to_string())?;
        let beam = Beam::of_tube(&tables, 65.0, Millimetres(2.0)).map_err(|no_beam| no_beam.to_string())?;
        // Without noise, which a small picture has no room for.
        let response = Response {
            bits: 8,
            quanta: f64::INFINITY,
            electronics: 0.0,
            gain: 0.0,
            blur_px: 0.7,
            ..Response::default()
        };
        let scene = Scene::of(&tooth, seed);
        let picture = expose(&scene, &exposure, &beam, &response, seed, NonZeroUsize::MIN)
            .ok_or("the picture has no pixels")?;
        let mut canvas = Canvas::of(&picture);
        let seen = places.iter().filter_map(|place| exposure.project(*place));
        let is_single = places.len() == 1;
        for at in seen {
            canvas.ring(at, if is_single { 6.5 } else { 3.0 }, self.seen == Seen::Hidden);
        }
        canvas.png().map_err(|unwritten| unwritten.to_string())
    }

    /// The first tooth whose landmarks lie where a film shows them plainly, with its seed.
    fn tooth(&self, fdi: Fdi) -> Result<(u64, Tooth), String> {
        let mut why = String::new();
        for seed in self.seed..self.seed + MOST_SEEDS {
            match self.recipe.tooth(fdi, seed) {
                Ok(tooth) if tooth.flanks_lie_aside() => return Ok((seed, tooth)),
                Ok(_) => {}
                Err(impossible) => why = impossible.to_string(),
            }
        }
        Err(format!("{}: no such tooth in {MOST_SEEDS} draws {why}", self.name))
    }

    /// Where what is marked lies in space.
    fn places(&self, landmarks: &SpatialLandmarks) -> Vec<Point3> {
        let root = landmarks.roots.iter().find(|root| root.post_here).or(landmarks.roots.first());
        let id: LandmarkId = if self.landmark.declaration().sided {
            self.landmark.on(Side::Mesial)
        } else {
            self.landmark.id()
        };
        match (self.landmark, root) {
            (Landmark::Canal, Some(root)) => root.canal.clone(),
            (Landmark::Sections, Some(root)) => {
                root.sections.get(1).map(|section| section.points.to_vec()).unwrap_or_default()
            }
            // No film shows it, and so the truth of a film has none: it lies beneath the neck.
            (Landmark::Furcation, _) if self.seen == Seen::Hidden => vec![Point3::new(0.0, 0.0, 6.0)],
            _ => {
                let of_root = root.and_then(|root| root.points.get(&id));
                landmarks.tooth.get(&id).or(of_root).copied().into_iter().collect()
            }
        }
    }
}

/// The highest place of the mesial wall at which it is still 1 mm thick, in the middle of its thickness.
fn thin_wall(tooth: &Tooth) -> Option<Point3> {
    const STEP: f64 = 0.02;
    let root = tooth.roots.first()?;
    let bodies = Bodies::of(tooth);
    let stump = bodies.stump(tooth, tooth.stump_top_mm());
    let flank = tooth.flank(Side::Mesial);
    let depth_mm = flank.wall_top.depth_mm;
    let mut level_mm = flank.wall_top.level_mm;
    while level_mm < root.apex_mm {
        let outer = if level_mm < flank.finish_line.level_mm {
            stump.rim(-1.0, depth_mm, level_mm)
        } else {
            bodies.surface(Side::Mesial, Place { level_mm, depth_mm })
        };
        let [axis, _] = root.axis_at(level_mm);
        if axis - 0.5 * root.canal_width_at(level_mm) - outer.x >= 1.0 {
            return Some(Point3 { x: outer.x + 0.5, ..outer });
        }
        level_mm += STEP;
    }
    None
}

/// The middle of places.
fn middle(places: &[Point3]) -> Option<Point3> {
    let first = places.first()?;
    let bounds = places.iter().fold([*first, *first], |[low, high], at| {
        [
            Point3::new(low.x.min(at.x), low.y.min(at.y), low.z.min(at.z)),
            Point3::new(high.x.max(at.x), high.y.max(at.y), high.z.max(at.z)),
        ]
    });
    let [low, high] = bounds;
    Some(Point3::new(0.5 * (low.x + high.x), 0.5 * (low.y + high.y), 0.5 * (low.z + high.z)))
}

/// A picture in a few greys and the colours of marks.
struct Canvas {
    pixels: Vec<u8>,
    width: u32,
}

impl Canvas {
    fn of(picture: &Picture) -> Self {
        // Greys as far as this small picture uses them.
        let (low, high) =
            picture.grey().iter().fold((u16::MAX, 0), |(low, high), grey| (low.min(*grey), high.max(*grey)));
        let range = u32::from(high.saturating_sub(low)).max(1);
        let shade = |grey: u16| {
            let level = u32::from(grey.saturating_sub(low)) * u32::from(GREYS - 1) / range;
            u8::try_from(level).unwrap_or(GREYS - 1)
        };
        Self { pixels: picture.grey().iter().map(|grey| shade(*grey)).collect(), width: picture.width() }
    }

    /// A ring around a place with a point in it, both with a dark edge; a broken one for what is hidden.
    fn ring(&mut self, at: Position<Stored>, radius: f64, is_broken: bool) {
        for edge in [true, false] {
            let (colour, half) = if edge { (EDGE, 1.5) } else { (MARK, 0.75) };
            for (index, pixel) in self.pixels.iter_mut().enumerate() {
                let Ok(index) = u32::try_from(index) else { continue };
                let (x, y) =
                    (f64::from(index % self.width) + 0.5 - at.x, f64::from(index / self.width) + 0.5 - at.y);
                let distance = (x * x + y * y).sqrt();
                let is_on_ring = (distance - radius).abs() <= half;
                // Four gaps, by the signs and sizes of the two ways.
                let is_in_gap = is_broken && (x.abs() - y.abs()).abs() < 0.45 * radius;
                let is_point = distance <= half && !is_broken;
                if is_point || (is_on_ring && !is_in_gap) {
                    *pixel = colour;
                }
            }
        }
    }

    fn png(&self) -> Result<Vec<u8>, png::EncodingError> {
        let mut palette: Vec<u8> = (0..GREYS)
            .flat_map(|level| {
                let grey = u8::try_from(u32::from(level) * 255 / u32::from(GREYS - 1)).unwrap_or(u8::MAX);
                [grey, grey, grey]
            })
            .collect();
        // Yellow of Okabe and Ito (2008), and black.
        palette.extend([240, 228, 66, 0, 0, 0]);
        let mut bytes = Vec::new();
        let height = u32::try_from(self.pixels.len()).unwrap_or(0).checked_div(self.width).unwrap_or(0);
        let mut encoder = Encoder::new(&mut bytes, self.width, height);
        encoder.set_color(ColorType::Indexed);
        encoder.set_depth(BitDepth::Eight);
        encoder.set_palette(palette);
        encoder.set_compression(Compression::High);
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&self.pixels)?;
        writer.finish()?;
        Ok(bytes)
    }
}
