//! A film to learn on: a tooth and its exposure drawn from a seed, as hard to read as is asked for.

use super::beam::Beam;
use super::case::{FilmNote, StatedScale, truth_case};
use super::chance::Chance;
use super::exposure::{Aim, Exposure};
use super::material::Attenuation;
use super::receptor::{Response, expose};
use super::recipe::Recipe;
use super::scene::Scene;
use super::tooth::Tooth;
use super::treatment::Beside;
use crate::case::{Case, Fdi, Landmark, Side, Stage, Technique};
use crate::film::dicom::NewFilm;
use crate::film::{Picture, Sha256, encode_png};
use crate::quantity::{Degrees, Millimetres};
use crate::wording::words;
use std::num::NonZeroUsize;

words! {
    /// How much of something makes a film hard to read.
    Amount {
        /// Hardly any.
        Little: "little",
        /// As on many films.
        Some: "some",
        /// As on films one would rather take again.
        Much: "much",
    }
}

words! {
    /// Which teeth a film may be of.
    ToothKind {
        /// Any.
        Any: "any",
        /// Incisors.
        Incisor: "incisor",
        /// Canines.
        Canine: "canine",
        /// Premolars.
        Premolar: "premolar",
        /// First and second molars.
        Molar: "molar",
    }
}

impl ToothKind {
    /// The second digits by ISO 3950.
    const fn positions(self) -> &'static [u8] {
        match self {
            Self::Any => &[1, 2, 3, 4, 5, 6, 7],
            Self::Incisor => &[1, 2],
            Self::Canine => &[3],
            Self::Premolar => &[4, 5],
            Self::Molar => &[6, 7],
        }
    }
}

/// What makes a film hard to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Difficulty {
    /// Few quanta and much scatter.
    pub noise: Amount,
    /// How far the beam is inclined and the receptor tilted: lengths are drawn out or shortened.
    pub angulation: Amount,
    /// How far roots are bent.
    pub bend: Amount,
    /// How far the beam is turned, so that neighbours and roots lie over one another, and septa over angular defects.
    pub overlap: Amount,
}

impl Default for Difficulty {
    fn default() -> Self {
        let some = Amount::Some;
        Self { noise: some, angulation: some, bend: some, overlap: some }
    }
}

/// A film made to learn on, with its truth.
#[derive(Debug, Clone, PartialEq)]
pub struct Exercise {
    /// The film, a PNG.
    pub film: Vec<u8>,
    /// The truth, as `crestgauge phantom` writes it.
    pub truth: Case,
}

/// Distance of pixels of such a film, mm, and its columns and rows: 27 by 36 mm.
const PITCH: f64 = 0.045;
const SIZE: [u32; 2] = [600, 800];
/// Length of the wire that lies beside the tooth on such a film.
pub const EXERCISE_WIRE: Millimetres = Millimetres(12.0);
/// By how much the two margins of a crowned tooth differ at the most, mm.
const MOST_APART: f64 = 0.5;
/// Draws before a film is given up; few teeth need ten.
const TRIES: u32 = 400;

/// The stages drawn from. Before treatment and at recall a film shows what others show, too.
const STAGES: [Stage; 5] =
    [Stage::WorkingLength, Stage::Filled, Stage::PostSpace, Stage::PostCore, Stage::Crowned];

/// Makes a film of a tooth of this kind, as hard to read as asked for, drawn from a seed. The same wishes give the same
/// bytes. `name` makes the name of the film's file out of its digest.
///
/// # Errors
/// None that wishes can cause: a sentence, where the program's own tables are broken.
pub fn exercise(
    kind: ToothKind,
    difficulty: Difficulty,
    seed: u64,
    threads: NonZeroUsize,
    name: impl FnOnce(&str) -> String,
) -> Result<Exercise, String> {
    let mut why = String::new();
    for attempt in 0..TRIES {
        let chance = Chance::of(seed).part("exercise").part(&attempt.to_string());
        let stage = pick(chance, "stage", &STAGES).unwrap_or(Stage::Filled);
        match tooth(kind, difficulty, stage, chance) {
            Ok(tooth) => return film(&tooth, difficulty, stage, seed, chance, threads, name),
            Err(impossible) => why = impossible,
        }
    }
    Err(format!("no such tooth was found in {TRIES} draws; the last: {why}"))
}

/// One of several, each as likely.
fn pick<T: Copy>(chance: Chance, name: &str, of: &[T]) -> Option<T> {
    let count = u64::try_from(of.len()).ok()?;
    let at = usize::try_from(chance.bits(name).checked_rem(count)?).ok()?;
    of.get(at).copied()
}

/// A number from a range by amount, on either side of 0.
fn either_way(chance: Chance, name: &str, amount: Amount, ranges: [[f64; 2]; 3]) -> f64 {
    let size = by_amount(chance, name, amount, ranges);
    if chance.part(name).happens("other way", 0.5) { -size } else { size }
}

fn by_amount(chance: Chance, name: &str, amount: Amount, ranges: [[f64; 2]; 3]) -> f64 {
    let [little, some, much] = ranges;
    let [low, high] = match amount {
        Amount::Little => little,
        Amount::Some => some,
        Amount::Much => much,
    };
    chance.between(name, low, high)
}

fn tooth(kind: ToothKind, difficulty: Difficulty, stage: Stage, chance: Chance) -> Result<Tooth, String> {
    let quadrant = pick(chance, "quadrant", &[1_u8, 2, 3, 4]).unwrap_or(1);
    let position = pick(chance, "position", kind.positions()).unwrap_or(1);
    let fdi = Fdi::parse(&format!("{quadrant}{position}"))?;
    let defect = |name: &str| {
        let deep = by_amount(chance, name, difficulty.overlap, [[0.0, 0.0], [0.5, 1.5], [1.5, 3.0]]);
        (deep > 0.0 && chance.part(name).happens("there", 0.5)).then_some(deep)
    };
    let recipe = Recipe {
        stage: Some(stage),
        bend_deg: Some(by_amount(chance, "bend", difficulty.bend, [[0.0, 6.0], [12.0, 22.0], [28.0, 42.0]])),
        defect_mm: [defect("mesial defect"), defect("distal defect")],
        beside: Some(Beside::Wire { length_mm: EXERCISE_WIRE.get() }),
        ..Recipe::default()
    };
    let tooth = recipe.tooth(fdi, chance.bits("tooth")).map_err(|impossible| impossible.to_string())?;
    // Errors are told along the tooth, whose axis needs a margin that is cut or a junction that is left.
    let has_margin = matches!(stage, Stage::PostCore | Stage::Crowned);
    let is_cut_away = |side| {
        let flank = tooth.flank(side);
        tooth.treatment.walls && flank.cej.level_mm < flank.finish_line.level_mm
    };
    if !has_margin && Side::BOTH.into_iter().any(is_cut_away) {
        return Err("its cemento-enamel junction is cut away and there is no margin yet".to_owned());
    }
    // A crown ends at one level all around: only margins near that one are seen at its edge.
    let [mesial, distal] = Side::BOTH.map(|side| tooth.flank(side).finish_line.level_mm);
    if stage == Stage::Crowned && (mesial - distal).abs() > MOST_APART {
        return Err("one of its margins lies within the crown’s outline".to_owned());
    }
    if !tooth.flanks_lie_aside() {
        return Err("a landmark of its sides would lie before its middle".to_owned());
    }
    Ok(tooth)
}

impl Tooth {
    /// Whether the landmarks of both sides lie towards mesial and distal as a film shows them. Where a margin climbs high up a
    /// thin crown, the depth drawn for it can lie at the very front of the tooth, and before its middle on the film.
    pub(super) fn flanks_lie_aside(&self) -> bool {
        let landmarks = self.landmarks();
        let least = 0.2 * self.crown.cervix_mm;
        let seen = [Landmark::FinishLine, Landmark::WallTop, Landmark::Cej, Landmark::Crest];
        seen.iter().all(|landmark| {
            let place = |side| landmarks.tooth.get(&landmark.on(side)).map(|place| place.x);
            place(Side::Mesial).is_none_or(|x| x < -least) && place(Side::Distal).is_none_or(|x| x > least)
        })
    }
}

fn film(
    tooth: &Tooth,
    difficulty: Difficulty,
    stage: Stage,
    seed: u64,
    chance: Chance,
    threads: NonZeroUsize,
    name: impl FnOnce(&str) -> String,
) -> Result<Exercise, String> {
    let turn = |name, amount, ranges| Degrees(either_way(chance, name, amount, ranges));
    let aim = Aim {
        vertical: turn("vertical", difficulty.angulation, [[0.0, 2.0], [3.0, 7.0], [9.0, 15.0]]),
        receptor_tilt: turn("tilt", difficulty.angulation, [[0.0, 1.0], [1.0, 4.0], [4.0, 8.0]]),
        horizontal: turn("horizontal", difficulty.overlap, [[0.0, 2.0], [4.0, 8.0], [10.0, 16.0]]),
        pitch: Millimetres(PITCH),
        width_px: SIZE[0],
        height_px: SIZE[1],
        ..Aim::default()
    };
    let (quanta, scatter) = match difficulty.noise {
        Amount::Little => (4000.0, 0.06),
        Amount::Some => (800.0, 0.25),
        Amount::Much => (100.0, 0.45),
    };
    let usual = Response::default();
    let blur_px = usual.blur_px * Aim::default().pitch.get() / PITCH;
    let response = Response { bits: 8, quanta, scatter, blur_px, ..usual };
    let exposure =
        Exposure::aimed(tooth.fdi, tooth.middle(), &aim).map_err(|no_exposure| no_exposure.to_string())?;
    let tables = Attenuation::embedded().map_err(|broken| broken.to_string())?;
    let beam = Beam::of_tube(&tables, 65.0, Millimetres(2.0)).map_err(|no_beam| no_beam.to_string())?;
    let drawn = chance.bits("film");
    let picture: Picture = expose(&Scene::of(tooth, drawn), &exposure, &beam, &response, drawn, threads)
        .ok_or("the film has no pixels")?;
    let receptor = &exposure.receptor;
    let film = encode_png(&NewFilm {
        picture: &picture,
        across: receptor.across_pitch,
        down: receptor.down_pitch,
        magnification: None,
        inverted: false,
    })
    .map_err(|unwritten| unwritten.to_string())?;
    let sha256 = Sha256::of(&film).to_string();
    let note = FilmNote {
        file: name(&sha256),
        sha256,
        stage,
        technique: Some(Technique::Paralleling),
        scale: StatedScale::Pitch,
        seed,
        is_at_chair: false,
    };
    Ok(Exercise { truth: truth_case(tooth, &exposure, &note), film })
}
