//! The drills of the library at a planned depth.

use super::depths::Depths;
use super::making::is_of_walls;
use super::rows::{ChosenBy, DrillRow, DrilledLevel, Drills};
use super::rule::{TipBy, above_zero};
use super::walls::{Drill, Left};
use crate::calibration::{Library, ToothLimit};
use crate::case::{Strength, Verdict};
use crate::measure::{Definition, Length};
use crate::verdict::{Bound, Criteria, Criterion, decide_all};

/// What the space of a drill is held against.
struct Bounds {
    /// Least wall, mm.
    wall: Option<f64>,
    /// Largest share of the root's width.
    share: Option<f64>,
}

impl Bounds {
    fn of(criteria: &Criteria) -> Self {
        let bound_of = |is: &dyn Fn(&Criterion) -> bool| {
            criteria.list.iter().filter(|it| it.strength != Strength::Information).find(|it| is(it))
        };
        let wall = bound_of(&is_of_walls).and_then(|it| match it.bound {
            Bound::AtLeast(least) => Some(least),
            _ => None,
        });
        let share = bound_of(&is_of_share).and_then(|it| match it.bound {
            Bound::AtMost(most) => Some(most),
            _ => None,
        });
        Self { wall, share }
    }
}

fn is_of_share(criterion: &Criterion) -> bool {
    let share = |definition: Definition| {
        matches!(
            definition,
            Definition::Quotient {
                numerator: Length::AcrossSection(1, 2),
                denominator: Length::AcrossSection(0, 3),
                ..
            }
        )
    };
    !criterion.rows.is_empty() && criterion.rows.iter().all(|row| share(row.definition))
}

/// The smallest drill at least as wide as the canal at a depth; of two as wide the one that is so nearer its tip.
pub(super) fn proposed(depths: &Depths, library: &Library, depth: f64) -> Option<Drill> {
    let canal = depths.walls.widths(depth, 0.0)?.canal.value();
    library.objects().iter().filter_map(Drill::of).filter(|drill| drill.diameter >= canal).min_by(
        |one, other| {
            (one.diameter, one.shoulder())
                .partial_cmp(&(other.diameter, other.shoulder()))
                .unwrap_or(std::cmp::Ordering::Equal)
        },
    )
}

/// Every drill of the library at a depth.
pub(super) fn rows(
    depths: &Depths,
    library: &Library,
    criteria: &Criteria,
    limit: Option<&ToothLimit>,
    depth: Option<f64>,
    chosen: Option<(&str, ChosenBy)>,
) -> Drills {
    let bounds = Bounds::of(criteria);
    let canal = depth.and_then(|depth| depths.walls.widths(depth, 0.0)).map(|widths| widths.canal);
    let usual = limit.and_then(|limit| limit.drill_diameter_mm);
    let list = library
        .objects()
        .iter()
        .filter_map(Drill::of)
        .map(|drill| {
            let left = depth.map(|depth| depths.walls.left(depth, &drill)).unwrap_or_default();
            let walls = depth.zip(bounds.wall).map_or_else(Vec::new, |(depth, least)| {
                depths.wall_places(&drill, least, depth, TipBy::Film)
            });
            let decision = decide_all(&walls.iter().map(|place| place.probability).collect::<Vec<_>>());
            let name = drill.object.name.clone();
            DrillRow {
                meaning: drill.object.meaning.clone(),
                diameter_mm: drill.diameter,
                source: drill.object.source.clone(),
                walls: decision.verdict,
                walls_probability: decision.probability,
                share: share(
                    &left,
                    bounds.share,
                    depth.is_some_and(|depth| depths.walls.knows_the_tip(depth)),
                ),
                fills_the_canal: canal.as_ref().map(|canal| drill.diameter >= canal.value()),
                above_the_usual: usual.is_some_and(|most| drill.diameter > most),
                chosen_by: chosen.filter(|(chosen, _)| *chosen == name).map(|(_, by)| by),
                levels: left.iter().filter_map(level).collect(),
                drill: name,
            }
        })
        .collect();
    Drills {
        at_mm: depth,
        canal_at_tip_mm: canal.as_ref().map(Into::into),
        usual_most_mm: usual,
        usual_source: limit.filter(|_| usual.is_some()).map(|limit| limit.source.clone()),
        chosen: chosen.map(|(name, _)| name.to_owned()),
        list,
    }
}

fn level(left: &Left) -> Option<DrilledLevel> {
    let [mesial, distal] = &left.walls;
    Some(DrilledLevel {
        level: left.level.clone(),
        above_tip_mm: left.above_tip,
        drill_mm: left.drill,
        mesial_mm: mesial.into(),
        distal_mm: distal.into(),
        share_of_root: left.share.as_ref()?.into(),
    })
}

/// Whether the space is no wider than the share of the root that is wanted, at every level known.
fn share(left: &[Left], most: Option<f64>, knows_the_tip: bool) -> Verdict {
    let Some(most) = most else { return Verdict::DoesNotApply };
    let mut probabilities: Vec<Option<f64>> = left
        .iter()
        .map(|left| {
            let [space, root] = &left.space_and_root;
            Some(above_zero(root.times(most).minus(space).estimate(), false))
        })
        .collect();
    if !knows_the_tip {
        probabilities.push(None);
    }
    decide_all(&probabilities).verdict
}
