//! What is wanted of a tooth: every wish is a number that takes the place of a drawn one, and what cannot be is refused.

use super::body::Bodies;
use super::chance::Chance;
use super::space::Point3;
use super::tooth::{Impossible, RootForm, Tooth};
use super::treatment::{
    Beside, Core, CrownKind, Filling, Instrument, PlannedPost, Post, PostKind, PostSpace, PostTip,
};
use crate::case::{Fdi, RootName, Side, Stage};
use crate::wording::list;

/// Wishes about a tooth; what is not wished is drawn from the seed. Lengths are mm in space.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Recipe {
    /// How far the treatment has come; post and core where not wished.
    pub stage: Option<Stage>,
    /// The root a post is for.
    pub post_root: Option<RootName>,
    /// From the neck to the apex.
    pub root_length_mm: Option<f64>,
    /// The angle every root has turned by at its apex, deg.
    pub bend_deg: Option<f64>,
    /// The canal's width at the neck.
    pub canal_width_mm: Option<f64>,
    /// From the cemento-enamel junction down to the crest, mesial and distal.
    pub cej_to_crest_mm: [Option<f64>; 2],
    /// Depth of an angular defect, mesial and distal.
    pub defect_mm: [Option<f64>; 2],
    /// From the margin down to the crest, mesial and distal.
    pub margin_to_crest_mm: [Option<f64>; 2],
    /// Height of the wall above the margin, mesial and distal.
    pub ferrule_mm: [Option<f64>; 2],
    /// How far fillings end short of the apex; negative beyond it.
    pub filling_short_mm: Option<f64>,
    /// How much filling stays beneath post or post space.
    pub seal_mm: Option<f64>,
    /// How deep post or post space go below the core's base or the orifice; wins over the seal.
    pub post_depth_mm: Option<f64>,
    /// How deep a post is planned to go below the core's base; the film shows nothing of it.
    pub planned_depth_mm: Option<f64>,
    /// Diameter of post or post space.
    pub post_width_mm: Option<f64>,
    /// The shape of the post's tip.
    pub post_tip: Option<PostTip>,
    /// What the post is made of.
    pub post_kind: Option<PostKind>,
    /// Height of the core above its base.
    pub core_height_mm: Option<f64>,
    /// What the crown is made of.
    pub crown: Option<CrownKind>,
    /// Length of the instrument from tip to stop.
    pub instrument_mm: Option<f64>,
    /// Radius of a radiolucency at each apex.
    pub lesion_mm: Option<f64>,
    /// An object beside the tooth.
    pub beside: Option<Beside>,
}

impl Recipe {
    /// The tooth that has what is wished, and of the rest what the seed gives.
    ///
    /// # Errors
    /// The wishes make no tooth; the two that contradict each other are named.
    pub fn tooth(&self, fdi: Fdi, seed: u64) -> Result<Tooth, Impossible> {
        self.check_ranges()?;
        let mut tooth = Tooth::drawn(fdi, seed);
        let chance = Chance::of(seed).part("treatment");
        self.shape_roots(&mut tooth);
        for (side, at) in [(Side::Mesial, 0), (Side::Distal, 1)] {
            self.shape_flank(&mut tooth, side, at);
        }
        self.treat(&mut tooth, chance)?;
        tooth.check()?;
        Ok(tooth)
    }

    fn check_ranges(&self) -> Result<(), Impossible> {
        let [mesial, distal] = [0, 1];
        let side = |pair: &[Option<f64>; 2], at: usize| pair.get(at).copied().flatten();
        let ranges = [
            ("the root's length", self.root_length_mm, 6.0, 24.0),
            ("the bend", self.bend_deg, 0.0, 60.0),
            ("the canal's width", self.canal_width_mm, 0.2, 4.0),
            ("cemento-enamel junction to crest, mesial", side(&self.cej_to_crest_mm, mesial), 0.2, 15.0),
            ("cemento-enamel junction to crest, distal", side(&self.cej_to_crest_mm, distal), 0.2, 15.0),
            ("the angular defect, mesial", side(&self.defect_mm, mesial), 0.0, 8.0),
            ("the angular defect, distal", side(&self.defect_mm, distal), 0.0, 8.0),
            ("margin to crest, mesial", side(&self.margin_to_crest_mm, mesial), -2.0, 8.0),
            ("margin to crest, distal", side(&self.margin_to_crest_mm, distal), -2.0, 8.0),
            ("the ferrule, mesial", side(&self.ferrule_mm, mesial), 0.0, 8.0),
            ("the ferrule, distal", side(&self.ferrule_mm, distal), 0.0, 8.0),
            ("the filling's distance from the apex", self.filling_short_mm, -2.0, 15.0),
            ("the seal", self.seal_mm, 0.0, 20.0),
            ("the post's depth", self.post_depth_mm, 1.0, 30.0),
            ("the planned depth", self.planned_depth_mm, 1.0, 30.0),
            ("the post's width", self.post_width_mm, 0.4, 3.0),
            ("the core's height", self.core_height_mm, 1.0, 12.0),
            ("the instrument's length", self.instrument_mm, 10.0, 40.0),
            ("the lesion's radius", self.lesion_mm, 0.5, 8.0),
        ];
        for (what, value, low, high) in ranges {
            if let Some(value) = value.filter(|value| !(low..=high).contains(value)) {
                let unit = if what == "the bend" { "deg" } else { "mm" };
                return Err(Impossible::Range { what, value, low, high, unit });
            }
        }
        let (what, size, high) = match self.beside {
            Some(Beside::Ball { diameter_mm }) => ("the ball's diameter", diameter_mm, 10.0),
            Some(Beside::Wire { length_mm }) => ("the wire's length", length_mm, 40.0),
            None => return Ok(()),
        };
        if (0.5..=high).contains(&size) {
            Ok(())
        } else {
            Err(Impossible::Range { what, value: size, low: 0.5, high, unit: "mm" })
        }
    }

    fn shape_roots(&self, tooth: &mut Tooth) {
        let longest = tooth.roots.iter().map(|root| root.apex_mm).fold(0.0, f64::max);
        for root in &mut tooth.roots {
            if let Some(length) = self.root_length_mm {
                let share = (root.bend_from_mm - root.from_mm) / (root.apex_mm - root.from_mm);
                root.apex_mm = (root.apex_mm + length - longest).max(root.from_mm + 2.0);
                root.bend_from_mm = root.from_mm + share * (root.apex_mm - root.from_mm);
            }
            if let Some(bend) = self.bend_deg {
                root.bend_deg = bend;
            }
            if let Some(width) = self.canal_width_mm {
                let [at_neck, _] = &mut root.canal_mm;
                *at_neck = width;
            }
        }
    }

    fn shape_flank(&self, tooth: &mut Tooth, side: Side, at: usize) {
        let wish = |pair: &[Option<f64>; 2]| pair.get(at).copied().flatten();
        let flank = tooth.flank_mut(side);
        let margin =
            wish(&self.margin_to_crest_mm).unwrap_or(flank.crest.level_mm - flank.finish_line.level_mm);
        let ferrule = wish(&self.ferrule_mm).unwrap_or(flank.finish_line.level_mm - flank.wall_top.level_mm);
        if let Some(distance) = wish(&self.cej_to_crest_mm) {
            let lowered = flank.cej.level_mm + distance - flank.crest.level_mm;
            flank.crest.level_mm += lowered;
            // A margin is cut where the tooth wants it: bone that was lost does not take it along.
            if wish(&self.margin_to_crest_mm).is_some() || lowered < 0.0 {
                flank.finish_line.level_mm = flank.crest.level_mm - margin;
            }
        } else {
            flank.finish_line.level_mm = flank.crest.level_mm - margin;
        }
        flank.wall_top.level_mm = flank.finish_line.level_mm - ferrule;
        if let Some(depth) = wish(&self.defect_mm) {
            flank.peak_above_crest_mm = depth;
        }
    }

    fn treat(&self, tooth: &mut Tooth, chance: Chance) -> Result<(), Impossible> {
        let stage = self.stage.unwrap_or(Stage::PostCore);
        let reached = |least: Stage| order(stage) >= order(least);
        tooth.treatment.walls = true;
        tooth.treatment.lesion_mm = self.lesion_mm;
        tooth.treatment.beside = self.beside;
        tooth.treatment.planned_post = self.planned_post(tooth, reached(Stage::PostCore))?;
        if stage == Stage::WorkingLength || self.instrument_mm.is_some() && !reached(Stage::Filled) {
            tooth.treatment.instrument = self.instrument(tooth, chance);
            return Ok(());
        }
        let short = self.filling_short_mm.unwrap_or_else(|| chance.between("short", 0.6, 1.6));
        tooth.treatment.filling = Some(Filling { short_of_apex_mm: short });
        if !reached(Stage::PostSpace) {
            return Ok(());
        }
        let root = self.root_for_post(tooth)?;
        let name = root.name;
        let floor = tooth.floor_level_mm();
        let gap = if self.seal_mm.is_some() { 0.0 } else { chance.between("gap", 0.0, 0.15) };
        let tip = self.tip_level(tooth, &root, floor, gap, short, chance);
        let bodies = Bodies::of(tooth);
        let body = tooth.roots.iter().position(|it| it.name == name).and_then(|at| bodies.roots.get(at));
        let narrow = body.map_or(4.0, |body| 2.0 * body.at(tip).half_x);
        let diameter = self
            .post_width_mm
            .unwrap_or_else(|| (0.33 * narrow).clamp(0.7, 1.3) * chance.between("post", 0.9, 1.0));
        if !reached(Stage::PostCore) {
            tooth.treatment.post_space = Some(PostSpace { root: name, floor_mm: tip, diameter_mm: diameter });
            return Ok(());
        }
        let core_height = self.core_height_mm.unwrap_or_else(|| {
            let most = tooth.crown.length_mm - 1.8 + floor;
            let walls = floor - tooth.mesial.wall_top.level_mm.min(tooth.distal.wall_top.level_mm);
            most.clamp(3.0_f64.min(walls + 2.0).max(walls + 0.5), 7.0_f64.max(walls + 0.6))
        });
        let top = floor - core_height;
        tooth.treatment.core = Some(Core { top_mm: top });
        tooth.treatment.post = Some(Post {
            root: name,
            head_mm: top + (0.2 * core_height).min(1.2),
            tip_mm: tip,
            diameter_mm: diameter,
            tip: self.post_tip.unwrap_or(PostTip::Tapered),
            kind: self.post_kind.unwrap_or(if chance.happens("titanium", 0.5) {
                PostKind::Titanium
            } else {
                PostKind::Steel
            }),
            gap_mm: gap,
        });
        if reached(Stage::Crowned) {
            tooth.treatment.crown = Some(self.crown.unwrap_or(CrownKind::Metal));
        }
        Ok(())
    }

    /// The root a post is for.
    fn root_for_post(&self, tooth: &Tooth) -> Result<RootForm, Impossible> {
        let name = self.post_root.or_else(|| tooth.post_root()).unwrap_or(RootName::Single);
        tooth.root(name).copied().ok_or_else(|| Impossible::NoSuchRoot {
            tooth: tooth.fdi.to_string(),
            root: name.word(),
            has: list(&tooth.roots.iter().map(|root| root.name.word().to_owned()).collect::<Vec<_>>()),
        })
    }

    fn planned_post(&self, tooth: &Tooth, has_post: bool) -> Result<Option<PlannedPost>, Impossible> {
        let Some(depth) = self.planned_depth_mm else { return Ok(None) };
        if has_post {
            return Err(Impossible::Needs { what: "a planned post", needs: "a stage before post and core" });
        }
        let root = self.root_for_post(tooth)?;
        let tip_mm = tooth.floor_level_mm() + depth;
        if tip_mm > root.foramen_level_mm() {
            return Err(Impossible::Contradiction {
                one: "the planned depth",
                one_value: depth,
                other: "the canal's length",
                other_value: root.foramen_level_mm() - tooth.floor_level_mm(),
                mend: "a planned post ends within the canal",
            });
        }
        Ok(Some(PlannedPost { root: root.name, tip_mm }))
    }

    /// Level of a post's tip: at the depth wished, else with the seal wished above the filling's end.
    fn tip_level(
        &self,
        tooth: &Tooth,
        root: &RootForm,
        floor: f64,
        gap: f64,
        short: f64,
        chance: Chance,
    ) -> f64 {
        if let Some(depth) = self.post_depth_mm {
            return floor + depth;
        }
        let end = root.apex_mm - short;
        let seal = self.seal_mm.unwrap_or_else(|| chance.between("seal", 3.6, 5.2));
        let by_seal = coronal_by(root, end, seal) - gap;
        if self.seal_mm.is_some() || tooth.furcation.is_none() {
            return by_seal;
        }
        // In molars 7 mm are the usual limit, and no drill follows the bend.
        by_seal.min(floor + 7.0).min(root.bend_from_mm).max(floor + 2.0)
    }

    /// An instrument at working length: its stop rests on the higher wall unless a length is wished.
    fn instrument(&self, tooth: &Tooth, chance: Chance) -> Option<Instrument> {
        let name = self.post_root.or_else(|| tooth.post_root())?;
        let root = tooth.root(name)?;
        let tip_mm =
            root.apex_mm - self.filling_short_mm.unwrap_or_else(|| chance.between("short", 0.7, 1.3));
        let rest = tooth.mesial.wall_top.level_mm.min(tooth.distal.wall_top.level_mm);
        // Stops are set on a gauge to half a mm.
        let length_mm = self.instrument_mm.unwrap_or_else(|| (2.0 * (tip_mm - rest)).round() / 2.0);
        Some(Instrument { root: name, length_mm, tip_mm })
    }
}

/// How far a treatment has come.
const fn order(stage: Stage) -> u8 {
    match stage {
        Stage::WorkingLength => 0,
        Stage::Assessment | Stage::Filled => 1,
        Stage::PostSpace => 2,
        Stage::PostCore => 3,
        Stage::Crowned | Stage::Recall => 4,
    }
}

/// The level that lies `length` along the canal coronally of a level.
fn coronal_by(root: &RootForm, level: f64, length: f64) -> f64 {
    let on_axis = |level: f64| {
        let [x, y] = root.axis_at(level);
        Point3::new(x, y, level)
    };
    let (mut here, mut left) = (on_axis(level), length);
    // Up to 40 mm, longer than any root.
    for _ in 0..4000 {
        let next = on_axis(here.z - 0.01);
        let step = next.way_from(here).length();
        if step >= left {
            return here.z - 0.01 * left / step;
        }
        (here, left) = (next, left - step);
    }
    here.z
}
