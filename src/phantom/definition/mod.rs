//! Small pictures of what each landmark marks, cut out of synthetic films, the doubtful cases among them. One table says
//! which tooth shows which landmark.

mod table;

pub use table::DEFINITIONS;

use crate::case::{Fdi, Landmark, LandmarkId, Side};
use crate::film::Picture;
use crate::geometry::{Position, Stored};
use crate::phantom::beam::Beam;
use crate::phantom::body::Bodies;
use crate::phantom::exposure::{Aim, Exposure};
use crate::phantom::landmarks::SpatialLandmarks;
use crate::phantom::material::Attenuation;
use crate::phantom::receptor::{Response, expose};
use crate::phantom::recipe::Recipe;
use crate::phantom::scene::Scene;
use crate::phantom::space::Point3;
use crate::phantom::tooth::{Place, Tooth};
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
