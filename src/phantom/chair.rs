//! What the chair would add to a film of a prepared tooth: probed walls, soundings, findings, what a stop rests on. Read off
//! the body as a probe or a calliper would read it.

use super::body::Bodies;
use super::rims::Rims;
use super::tooth::Tooth;
use crate::calibration::Extra;
use crate::case::{Answer, Clinical, Finding, FirstLook, Instrument, Reading, Side, Site, Sites};
use std::collections::BTreeMap;

/// A probe is read to half a millimetre.
const PROBE_STEP: f64 = 0.5;
/// A calliper to a tenth.
const CALLIPER_STEP: f64 = 0.1;
/// What a crown takes of the space to the opposing tooth, mm (common practice).
const CROWN_THICKNESS: f64 = 2.0;
/// A wall stands where its height is this at least, mm (common practice).
const STANDING: f64 = 2.0;

/// The true walls of a prepared tooth before and behind its canal, where a film does not show them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProbedWall {
    /// Buccal or lingual.
    pub site: Site,
    /// Height of the wall above the margin, mm.
    pub ferrule_mm: f64,
    /// Thickness of the wall at the margin's level, mm.
    pub thickness_mm: f64,
    /// Height of the wall above the bone's edge, mm.
    pub above_bone_mm: f64,
}

impl Tooth {
    /// The buccal and the lingual wall, in the plane of the first root's axis; none of a tooth with a sound crown.
    pub fn probed_walls(&self) -> Vec<ProbedWall> {
        let rims = Rims::of(self);
        let (Some(margin), Some(walls), Some(root)) = (rims.margin, rims.walls, self.roots.first()) else {
            return Vec::new();
        };
        let bodies = Bodies::of(self);
        let stump = bodies.stump(self, self.stump_top_mm());
        [(Site::Buccal, -1.0, self.buccal_crest_mm), (Site::Lingual, 1.0, self.lingual_crest_mm)]
            .into_iter()
            .map(|(site, out, bone)| {
                let neck = bodies.flank(Side::Mesial, 0.0).at(0.0);
                let x = neck.x;
                let at_margin = margin.level_at(x, neck.y + out * neck.half_y);
                let outer = stump.at(at_margin);
                let rim = outer.y + out * outer.half_y;
                let top = walls.level_at(x, rim);
                let [_, canal] = root.axis_at(at_margin);
                let hollow = 0.5 * root.canal_width_at(at_margin) * root.canal_oval;
                ProbedWall {
                    site,
                    ferrule_mm: at_margin - top,
                    thickness_mm: (rim - canal).abs() - hollow,
                    above_bone_mm: bone - top,
                }
            })
            .collect()
    }

    /// Space from the core's base to the opposing tooth, mm: to where the sound crown ended.
    fn space_mm(&self) -> f64 {
        self.floor_level_mm() + self.crown.length_mm
    }

    /// Level that a core in the space between the jaws would reach.
    pub(super) fn planned_core_top_mm(&self) -> f64 {
        self.floor_level_mm() - (self.space_mm() - CROWN_THICKNESS).max(1.0)
    }

    /// What the chair reads of this tooth.
    pub fn chair_readings(&self) -> Clinical {
        let walls = self.probed_walls();
        let sites = |value: fn(&ProbedWall) -> f64, step: f64, by: Option<Instrument>| Sites {
            readings: walls.iter().map(|wall| (wall.site, reading(value(wall), step, by))).collect(),
            extra: Extra::new(),
        };
        Clinical {
            ferrule_mm: sites(|wall| wall.ferrule_mm, PROBE_STEP, None),
            wall_mm: sites(|wall| wall.thickness_mm, CALLIPER_STEP, Some(Instrument::Calliper)),
            wall_above_bone_mm: sites(|wall| wall.above_bone_mm, PROBE_STEP, None),
            interocclusal_space_mm: Some(reading(self.space_mm(), PROBE_STEP, None)),
            crown_thickness_mm: Some(reading(CROWN_THICKNESS, CALLIPER_STEP, None)),
            first_look: self.first_look(&walls),
            stop_reference_name: Some(format!("{} wall, the higher one", self.higher_side().word())),
            ..Clinical::default()
        }
    }

    fn first_look(&self, probed: &[ProbedWall]) -> FirstLook {
        let apex = if self.treatment.lesion_mm.is_some() { "present" } else { "none" };
        let heights = Side::BOTH.into_iter().map(|side| {
            let flank = self.flank(side);
            flank.finish_line.level_mm - flank.wall_top.level_mm
        });
        let standing =
            heights.chain(probed.iter().map(|wall| wall.ferrule_mm)).filter(|height| *height >= STANDING);
        let depth = (self.floor_level_mm() - self.stump_top_mm()).max(0.0);
        let mut answers = BTreeMap::from([
            (Finding::CrackOrDeepPocket, Answer::Word("none")),
            (Finding::Apex, Answer::Word(apex)),
            (Finding::Symptoms, Answer::Word("none")),
            (Finding::VoidsInTheFilling, Answer::Word("none")),
            (Finding::OpenToSaliva, Answer::Word("no")),
            (Finding::Mobility, Answer::Count(0)),
            (Finding::CariesRisk, Answer::Word("low")),
            (Finding::Grinding, Answer::Word("none")),
            (Finding::WallsStanding, Answer::Count(standing.map(|_| 1).sum())),
            (Finding::ChamberDepth, Answer::Depth(reading(depth, PROBE_STEP, None))),
        ]);
        if self.furcation.is_some() {
            answers.insert(Finding::FurcationClass, Answer::Count(0));
        }
        FirstLook { answers, extra: Extra::new() }
    }
}

/// A reading to the nearest step, in decimal digits.
fn reading(value: f64, step: f64, by: Option<Instrument>) -> Reading {
    let per_mm = (1.0 / step).round();
    Reading { value: (value.max(0.0) * per_mm).round() / per_mm, sd: None, by, extra: Extra::new() }
}
