//! The options of `crestgauge phantom`, as data.

use super::arguments::words;
use crate::case::{Fdi, RootName, Stage, Technique};
use crate::phantom::{Aim, Beside, CrownKind, PostKind, PostTip, Recipe, Response};
use crate::quantity::{Degrees, Millimetres};
use clap::Args;
use std::path::PathBuf;

/// Options of `phantom`. What is not given is drawn from the seed.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
pub(super) struct PhantomArguments {
    /// Where the film goes: `.png`, `.tif` or `.dcm`; its case goes beside it, as NAME.case.json.
    #[arg(short, long, value_name = "FILM")]
    pub(super) output: PathBuf,
    /// Replace files that exist.
    #[arg(long)]
    pub(super) force: bool,
    /// What everything that is not given is drawn from.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(super) seed: u64,
    /// The tooth, two digits by ISO 3950.
    #[arg(long, value_name = "FDI", value_parser = Fdi::parse, default_value = "21")]
    pub(super) tooth: Fdi,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) wishes: WishArguments,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) aim: AimArguments,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) film: FilmArguments,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "The tooth (mm)")]
#[allow(missing_docs)] // clap would print them
pub(super) struct WishArguments {
    /// How far the treatment has come.
    #[arg(long, value_name = "STAGE", value_parser = words(Stage::ALL), default_value = "post_core")]
    stage: Stage,
    /// The root for post or instrument.
    #[arg(long, value_name = "ROOT", value_parser = words(RootName::ALL))]
    root: Option<RootName>,
    /// From the neck to the apex.
    #[arg(long, value_name = "MM")]
    root_length: Option<f64>,
    /// The angle roots have turned by at their apex, deg.
    #[arg(long, value_name = "DEG")]
    bend: Option<f64>,
    /// The canal's width at the neck.
    #[arg(long, value_name = "MM")]
    canal_width: Option<f64>,
    /// Cemento-enamel junction to crest, mesial.
    #[arg(long, value_name = "MM")]
    crest_mesial: Option<f64>,
    /// Cemento-enamel junction to crest, distal.
    #[arg(long, value_name = "MM")]
    crest_distal: Option<f64>,
    /// Depth of an angular defect, mesial.
    #[arg(long, value_name = "MM")]
    defect_mesial: Option<f64>,
    /// Depth of an angular defect, distal.
    #[arg(long, value_name = "MM")]
    defect_distal: Option<f64>,
    /// Margin to crest, mesial.
    #[arg(long, value_name = "MM")]
    margin_mesial: Option<f64>,
    /// Margin to crest, distal.
    #[arg(long, value_name = "MM")]
    margin_distal: Option<f64>,
    /// Wall above the margin, mesial.
    #[arg(long, value_name = "MM")]
    ferrule_mesial: Option<f64>,
    /// Wall above the margin, distal.
    #[arg(long, value_name = "MM")]
    ferrule_distal: Option<f64>,
    /// How far fillings end short of the apex; negative beyond it.
    #[arg(long, value_name = "MM")]
    filling_short: Option<f64>,
    /// Root filling left beneath the post.
    #[arg(long, value_name = "MM")]
    seal: Option<f64>,
    /// Depth of the post below the core or the orifice; wins over the seal.
    #[arg(long, value_name = "MM")]
    post_depth: Option<f64>,
    /// Depth of a planned post below the core base; the film shows nothing of it.
    #[arg(long, value_name = "MM")]
    planned_depth: Option<f64>,
    /// Diameter of the post.
    #[arg(long, value_name = "MM")]
    post_width: Option<f64>,
    /// The shape of the post's tip.
    #[arg(long, value_name = "SHAPE", value_parser = words(PostTip::ALL))]
    post_tip: Option<PostTip>,
    /// What the post is made of.
    #[arg(long, value_name = "KIND", value_parser = words(PostKind::ALL))]
    post: Option<PostKind>,
    /// Height of the core.
    #[arg(long, value_name = "MM")]
    core_height: Option<f64>,
    /// What the crown is made of.
    #[arg(long, value_name = "KIND", value_parser = words(CrownKind::ALL))]
    crown: Option<CrownKind>,
    /// Length of the instrument in the canal, tip to stop.
    #[arg(long, value_name = "MM")]
    instrument: Option<f64>,
    /// Radius of a radiolucency at each apex.
    #[arg(long, value_name = "MM")]
    lesion: Option<f64>,
    /// Write into the case what the chair adds: probed walls, soundings, first look, what a stop rests on.
    #[arg(long)]
    pub(super) at_chair: bool,
    /// A steel ball of this diameter beside the tooth.
    #[arg(long, value_name = "MM", conflicts_with = "wire")]
    ball: Option<f64>,
    /// A steel wire of this length beside the tooth.
    #[arg(long, value_name = "MM")]
    wire: Option<f64>,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "The exposure")]
#[allow(missing_docs)] // clap would print them
pub(super) struct AimArguments {
    /// How the film was aimed, as the case says; it moves nothing.
    #[arg(long, value_name = "TECHNIQUE", value_parser = words(Technique::ALL), default_value = "paralleling")]
    pub(super) technique: Technique,
    /// Inclination of the beam towards the apex, deg.
    #[arg(long, value_name = "DEG", default_value_t = 0.0)]
    vertical: f64,
    /// Turn of the beam towards distal, deg.
    #[arg(long, value_name = "DEG", default_value_t = 0.0)]
    horizontal: f64,
    /// How far the receptor's apical edge leans away from the tooth, deg.
    #[arg(long, value_name = "DEG", default_value_t = 0.0)]
    receptor_tilt: f64,
    /// How far the receptor is turned in its own plane, deg.
    #[arg(long, value_name = "DEG", default_value_t = 0.0)]
    roll: f64,
    /// Source to receptor, mm.
    #[arg(long, value_name = "MM", default_value_t = 400.0)]
    source_distance: f64,
    /// Tooth to receptor, mm.
    #[arg(long, value_name = "MM", default_value_t = 12.0)]
    receptor_distance: f64,
    /// Focal spot, mm; 0 is a point.
    #[arg(long, value_name = "MM", default_value_t = 0.0)]
    focus: f64,
    /// Tube voltage, kV.
    #[arg(long, value_name = "KV", default_value_t = 65.0)]
    pub(super) kilovolts: f64,
    /// The tube's filter, mm of aluminium.
    #[arg(long, value_name = "MM", default_value_t = 2.0)]
    pub(super) filter: f64,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "The film")]
#[allow(missing_docs)] // clap would print them
pub(super) struct FilmArguments {
    /// Distance of pixels, mm.
    #[arg(long, value_name = "MM", default_value_t = 0.03, conflicts_with = "dpi")]
    pitch: f64,
    /// A film scanned at this resolution, dots per inch, in place of a digital receptor.
    #[arg(long, value_name = "DPI")]
    pub(super) dpi: Option<f64>,
    /// Columns; 27 mm of them where not given.
    #[arg(long, value_name = "PX")]
    width: Option<u32>,
    /// Rows; 36 mm of them where not given.
    #[arg(long, value_name = "PX")]
    height: Option<u32>,
    /// Bits of a grey value, 8 or 12.
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = clap::value_parser!(u8).range(8..=12))]
    pub(super) bits: u8,
    /// Quanta a pixel counts beside the tooth; fewer are noisier, 0 is no noise.
    #[arg(long, value_name = "N", default_value_t = 2500.0)]
    quanta: f64,
    /// Blur of the receptor, sd in mm.
    #[arg(long, value_name = "MM", default_value_t = 0.035)]
    blur: f64,
    /// Scattered over primary beam.
    #[arg(long, value_name = "PART", default_value_t = 0.12)]
    scatter: f64,
}

impl PhantomArguments {
    /// What is wished of the tooth.
    pub(super) fn recipe(&self) -> Recipe {
        let wishes = &self.wishes;
        let beside = wishes
            .ball
            .map(|diameter_mm| Beside::Ball { diameter_mm })
            .or_else(|| wishes.wire.map(|length_mm| Beside::Wire { length_mm }));
        Recipe {
            stage: Some(wishes.stage),
            post_root: wishes.root,
            root_length_mm: wishes.root_length,
            bend_deg: wishes.bend,
            canal_width_mm: wishes.canal_width,
            cej_to_crest_mm: [wishes.crest_mesial, wishes.crest_distal],
            defect_mm: [wishes.defect_mesial, wishes.defect_distal],
            margin_to_crest_mm: [wishes.margin_mesial, wishes.margin_distal],
            ferrule_mm: [wishes.ferrule_mesial, wishes.ferrule_distal],
            filling_short_mm: wishes.filling_short,
            seal_mm: wishes.seal,
            post_depth_mm: wishes.post_depth,
            planned_depth_mm: wishes.planned_depth,
            post_width_mm: wishes.post_width,
            post_tip: wishes.post_tip,
            post_kind: wishes.post,
            core_height_mm: wishes.core_height,
            crown: wishes.crown,
            instrument_mm: wishes.instrument,
            lesion_mm: wishes.lesion,
            beside,
        }
    }

    /// When in the treatment the film is taken.
    pub(super) const fn stage(&self) -> Stage {
        self.wishes.stage
    }

    /// How the exposure is aimed.
    pub(super) fn aim(&self) -> Aim {
        let (aim, film) = (&self.aim, &self.film);
        let pitch = film.dpi.map_or(film.pitch, |dpi| 25.4 / dpi);
        Aim {
            source_to_receptor: Millimetres(aim.source_distance),
            tooth_to_receptor: Millimetres(aim.receptor_distance),
            vertical: Degrees(aim.vertical),
            horizontal: Degrees(aim.horizontal),
            receptor_tilt: Degrees(aim.receptor_tilt),
            roll: Degrees(aim.roll),
            focus: Millimetres(aim.focus),
            pitch: Millimetres(pitch),
            width_px: film.width.unwrap_or_else(|| pixels(27.0 / pitch)),
            height_px: film.height.unwrap_or_else(|| pixels(36.0 / pitch)),
        }
    }

    /// How the receptor behaves; the error says which number is none.
    pub(super) fn response(&self) -> Result<Response, String> {
        let film = &self.film;
        let within = |what: &str, value: f64, low: f64, high: f64| {
            if (low..=high).contains(&value) {
                Ok(value)
            } else {
                Err(format!("{what} is {value}, and must be {low} to {high}"))
            }
        };
        let quanta = within("the number of quanta", film.quanta, 0.0, 1e9)?;
        let default = Response::default();
        let is_silent = quanta == 0.0;
        Ok(Response {
            bits: film.bits,
            quanta: if is_silent { f64::INFINITY } else { quanta },
            electronics: if is_silent { 0.0 } else { default.electronics },
            gain: if is_silent { 0.0 } else { default.gain },
            scatter: within("the part of scattered rays", film.scatter, 0.0, 5.0)?,
            blur_px: within("the blur", film.blur, 0.0, 1.0)? / self.aim().pitch.get().max(1e-3),
            ..default
        })
    }
}

/// A number of pixels; sizes beyond use are refused where the exposure is made.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a cast saturates")]
fn pixels(count: f64) -> u32 {
    count.round() as u32
}
