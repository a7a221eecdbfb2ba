//! The walls that stay when a drill goes down the canal.

use super::track::Track;
use crate::calibration::ReferenceObject;
use crate::measure::FirstOrder;
use crate::quantity::{Estimate, rectangular_sd};

/// A wall is judged at the tip only where a section lies this near, mm: walls are not extrapolated.
pub(super) const NEAR_SECTION_MM: f64 = 1.0;
/// How far off the canal's middle a drill runs: standard uncertainty, mm (common practice).
const CENTRING_SD_MM: f64 = 0.1;

/// Widths across the root at one level.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Widths {
    /// Wall on the mesial side, wall on the distal side.
    pub(super) walls: [FirstOrder; 2],
    /// Canal or post.
    pub(super) canal: FirstOrder,
    /// Root.
    pub(super) root: FirstOrder,
}

impl Widths {
    fn toward(&self, other: &Self, part: f64) -> Self {
        let [mesial, distal] = &self.walls;
        let [other_mesial, other_distal] = &other.walls;
        Self {
            walls: [mesial.toward(other_mesial, part), distal.toward(other_distal, part)],
            canal: self.canal.toward(&other.canal, part),
            root: self.root.toward(&other.root, part),
        }
    }
}

/// A measured section.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Section {
    /// Its index in the case.
    pub(super) index: usize,
    /// Its widths.
    pub(super) widths: Widths,
    /// From the tip down to it, mm; negative where the tip has passed it.
    pub(super) below_tip: Track,
}

/// A drill: how wide it is how far above its tip.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Drill {
    /// Its row of the library.
    pub(super) object: ReferenceObject,
    /// Its diameter, mm.
    pub(super) diameter: f64,
}

impl Drill {
    /// A drill of the library, if the object is one.
    pub(super) fn of(object: &ReferenceObject) -> Option<Self> {
        let diameter = object.diameter_mm.filter(|_| object.kind == crate::calibration::ObjectKind::Drill)?;
        Some(Self { object: object.clone(), diameter })
    }

    pub(super) fn diameter_at(&self, above_tip: f64) -> f64 {
        self.object.drill_diameter_at(above_tip).unwrap_or(self.diameter)
    }

    /// How far above the tip it reaches its full diameter.
    pub(super) fn shoulder(&self) -> f64 {
        self.object.tip_length_mm.unwrap_or_default()
    }

    fn diameter_sd(&self) -> f64 {
        rectangular_sd(self.object.tolerance_mm.unwrap_or_default())
    }

    /// What it leaves of a wall: the wall less half of what the drill is wider than the canal.
    fn leaves(&self, wall: &FirstOrder, canal: &FirstOrder, above_tip: f64) -> FirstOrder {
        let diameter = self.diameter_at(above_tip);
        if diameter <= canal.value() {
            return wall.clone();
        }
        wall.plus(&canal.times(0.5))
            .shifted(-diameter / 2.0)
            .blurred(CENTRING_SD_MM)
            .blurred(self.diameter_sd() / 2.0)
    }
}

/// What a drill leaves at one level.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Left {
    /// Which level: `section 1`, `shoulder`, `tip`.
    pub(super) level: String,
    /// How far above the tip, mm.
    pub(super) above_tip: f64,
    /// How wide the drill is there, mm.
    pub(super) drill: f64,
    /// The walls that stay, mesial and distal.
    pub(super) walls: [FirstOrder; 2],
    /// The space over the root's width.
    pub(super) share: Option<FirstOrder>,
    /// The space and the root's width, to ask for a bound of their quotient.
    pub(super) space_and_root: [FirstOrder; 2],
    /// By how much the wall changes for each mm the tip goes deeper.
    slope: f64,
}

/// The measured sections of a root, coronal first.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Walls {
    sections: Vec<Section>,
}

impl Walls {
    pub(super) fn new(mut sections: Vec<Section>) -> Self {
        sections.sort_by(|one, other| one.below_tip.value(0.0).total_cmp(&other.below_tip.value(0.0)));
        Self { sections }
    }

    pub(super) fn sections(&self) -> &[Section] {
        &self.sections
    }

    /// Whether a section lies near enough to the tip to judge the wall there.
    pub(super) fn knows_the_tip(&self, depth: f64) -> bool {
        self.nearest(depth, 0.0).is_some_and(|(_, apart)| apart <= NEAR_SECTION_MM)
    }

    fn nearest(&self, depth: f64, above_tip: f64) -> Option<(&Section, f64)> {
        self.sections
            .iter()
            .map(|section| (section, (section.below_tip.value(depth) + above_tip).abs()))
            .min_by(|(_, one), (_, other)| one.total_cmp(other))
    }

    /// The widths so far above the tip, with a section within 1 mm: between two sections in proportion, beyond the
    /// last those of the last.
    pub(super) fn widths(&self, depth: f64, above_tip: f64) -> Option<Widths> {
        let (nearest, apart) = self.nearest(depth, above_tip)?;
        if apart > NEAR_SECTION_MM {
            return None;
        }
        let between = self.sections.windows(2).find_map(|pair| match pair {
            [one, other] => {
                let (above, below) = (one.below_tip.value(depth), other.below_tip.value(depth));
                (above <= -above_tip && -above_tip < below).then_some((one, other))
            }
            _ => None,
        });
        let Some((one, other)) = between else { return Some(nearest.widths.clone()) };
        let (above, below) = (one.below_tip.at(depth), other.below_tip.at(depth));
        // How far down between the two, with its own uncertainty.
        let part = above.times(-1.0).shifted(-above_tip).over(&below.minus(&above))?;
        let mut widths = one.widths.toward(&other.widths, part.value());
        let steep = |here: &mut FirstOrder, one: &FirstOrder, other: &FirstOrder| {
            let by_part = part.clone().shifted(-part.value()).times(other.value() - one.value());
            *here = here.plus(&by_part);
        };
        for (here, (one, other)) in
            widths.walls.iter_mut().zip(one.widths.walls.iter().zip(&other.widths.walls))
        {
            steep(here, one, other);
        }
        steep(&mut widths.canal, &one.widths.canal, &other.widths.canal);
        steep(&mut widths.root, &one.widths.root, &other.widths.root);
        Some(widths)
    }

    /// What a drill leaves at every level it reaches whose widths are known, the tip last.
    pub(super) fn left(&self, depth: f64, drill: &Drill) -> Vec<Left> {
        let mut left: Vec<Left> = self
            .sections
            .iter()
            .filter_map(|section| {
                let above_tip = -section.below_tip.value(depth);
                let level = format!("section {}", section.index + 1);
                (above_tip > 0.0).then(|| make_left(level, above_tip, drill, &section.widths))
            })
            .collect();
        let shoulder = drill.shoulder();
        let tip_levels = [("shoulder", shoulder), ("tip", 0.0)];
        for (level, above_tip) in tip_levels.into_iter().filter(|(level, at)| *level == "tip" || *at > 0.0) {
            if let Some(widths) = self.widths(depth, above_tip) {
                let mut made = make_left(level.to_owned(), above_tip, drill, &widths);
                made.slope = self.slope(depth, above_tip, drill);
                left.push(made);
            }
        }
        left
    }

    /// By how much the thinner wall at a level that goes with the tip changes with each mm of depth.
    fn slope(&self, depth: f64, above_tip: f64, drill: &Drill) -> f64 {
        const STEP_MM: f64 = 0.02;
        let wall = |depth: f64| {
            let widths = self.widths(depth, above_tip)?;
            let [mesial, distal] =
                widths.walls.each_ref().map(|wall| drill.leaves(wall, &widths.canal, above_tip).value());
            Some(mesial.min(distal))
        };
        match (wall(depth - STEP_MM), wall(depth + STEP_MM)) {
            (Some(before), Some(after)) => (after - before) / (2.0 * STEP_MM),
            _ => 0.0,
        }
    }
}

fn make_left(level: String, above_tip: f64, drill: &Drill, widths: &Widths) -> Left {
    let diameter = drill.diameter_at(above_tip);
    let space = if diameter > widths.canal.value() {
        FirstOrder::alone(diameter, drill.diameter_sd())
    } else {
        widths.canal.clone()
    };
    Left {
        level,
        above_tip,
        drill: diameter,
        walls: widths.walls.each_ref().map(|wall| drill.leaves(wall, &widths.canal, above_tip)),
        share: space.over(&widths.root),
        space_and_root: [space, widths.root.clone()],
        slope: 0.0,
    }
}

impl Left {
    /// What is left of a bound on each wall; where a stop puts the tip, with the stop's uncertainty.
    pub(super) fn margins(&self, least: f64, stop: Option<(&FirstOrder, f64)>) -> [Estimate; 2] {
        self.walls.each_ref().map(|wall| {
            let margin = wall.clone().shifted(-least);
            match stop {
                Some((stop, by_stop)) if self.slope != 0.0 => {
                    let moved = by_stop * self.slope;
                    let put_back = moved * stop.value();
                    margin
                        .minus(&stop.times(moved))
                        .shifted(put_back)
                        .blurred(moved * super::STOP_SETTING_SD_MM)
                        .estimate()
                }
                _ => margin.estimate(),
            }
        })
    }

    /// Whether it goes down with the tip, rather than staying at a section.
    pub(super) fn goes_with_the_tip(&self) -> bool {
        !self.level.starts_with("section")
    }
}
