//! From measurements to the chair: how deep a post can go, what to set an instrument's stop to, and what it would take
//! to recover a ferrule.
//!
//! [`plan`] is a pure function of a case, a library and criteria. A window keeps [`Depths`] of the open case and asks
//! it for the rules at every place a dragged tip comes to.
//!
//! A rule is satisfied where its probability is at least 95 %, as everywhere. In the window of depths the tip is a
//! planned point on the film; on the card it is where a stop puts it, whose own uncertainty counts.

mod card;
mod depths;
mod drills;
mod first;
mod follow;
mod ground;
mod making;
mod needs;
mod on_film;
mod recovery;
mod rows;
mod rule;
mod schema;
mod track;
mod walls;
mod ways;
mod window;

pub use depths::Depths;
pub use rows::{
    Amount, Binding, Card, ChosenBy, Conflict, Core, CoreFrom, CoreWithoutPost, CoronalAlternative, Depth,
    DrillRow, DrilledLevel, Drills, End, Marks, NO_LIFT, Need, OnFilm, Plan, Recovery, RecoveryOption,
    RecoverySite, Relaxation, RuleAt, RuleRow, Settle, SettleState, SiteAfter, StopSetting, Way, WayVerdict,
    Weeks, Window, WithoutPost,
};
pub use schema::schema;

use crate::calibration::Library;
use crate::case::{Case, Landmark, Reason, Root, RootName, Site, Strength, Verdict};
use crate::caution::{Caution, CautionRow};
use crate::measure::{Draws, FirstOrder, Missing, NoStudy, Places, Studied, Study, UnknownObject, measure};
use crate::verdict::{Bound, Criteria, PROGRAM, decide_all, decide_at_least};
use ground::Ground;
use rule::above_zero;
use window::Ferrule;

/// Standard uncertainty with which an instrument's stop is set, mm (common practice).
pub(crate) const STOP_SETTING_SD_MM: f64 = 0.25;

/// What is asked of a plan beside the case.
#[derive(Debug, Clone, PartialEq)]
pub struct Wish {
    /// Which root; the one marked for a post where not stated.
    pub root: Option<RootName>,
    /// Which drill of the library; the case's where not stated, else the one proposed.
    pub drill: Option<String>,
    /// The share of a lift that extrusion takes where extrusion and crown lengthening are combined, 0 to 1.
    pub extrusion_share: f64,
}

impl Default for Wish {
    fn default() -> Self {
        Self { root: None, drill: None, extrusion_share: 0.5 }
    }
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoPlan {
    /// A reference of the case names an object that cannot give it its size.
    #[error(transparent)]
    UnknownObject(#[from] UnknownObject),
    /// The drill asked for is none.
    #[error("drill {drill:?} is not in the library{near}; it has {known}")]
    UnknownDrill {
        /// The name asked for.
        drill: String,
        /// The near name, as a question.
        near: String,
        /// Every drill.
        known: String,
    },
    /// The root asked for is not in the case.
    #[error("the case has no {} root; it has {known}", root.word())]
    NoSuchRoot {
        /// The root asked for.
        root: RootName,
        /// Those it has.
        known: String,
    },
}

/// Plans a post for one root of a case.
///
/// `noticed` are cautions raised on reading the case and its film; they stand before those of measuring.
///
/// # Errors
/// The drill or the root asked for does not exist, or a reference names an object the library lacks. Whatever else is
/// missing is listed in the plan, which gives what can be given.
pub fn plan(
    case: &Case,
    library: &Library,
    criteria: &Criteria,
    wish: &Wish,
    noticed: &[Caution],
) -> Result<Plan, NoPlan> {
    plan_with_depths(case, library, criteria, wish, noticed).map(|(plan, _)| plan)
}

/// The same with the depths it was made from, as [`depths`] gives them.
///
/// # Errors
/// As [`plan`].
pub fn plan_with_depths(
    case: &Case,
    library: &Library,
    criteria: &Criteria,
    wish: &Wish,
    noticed: &[Caution],
) -> Result<(Plan, Option<Depths>), NoPlan> {
    let ground = Ground::of(case, library, wish)?;
    let places = Places::of(&ground.trial);
    let mut plan = empty(case, criteria, &ground, wish);
    let measured = measure(case, library, Draws::default())?;
    plan.cautions = noticed.iter().chain(&measured.cautions).map(CautionRow::from).collect();
    plan.core_without_a_post = first::without_a_post(case, &mut plan.needs);
    let mut study = match Study::new(&places, library, ground.root_index()) {
        Ok(study) => study,
        Err(NoStudy::UnknownObject(unknown)) => return Err(unknown.into()),
        Err(NoStudy::Reason(reason)) => {
            without_scale(&mut plan, case, criteria, &ground, reason);
            return Ok((plan, None));
        }
    };
    let filling_short = first::row(&study, "filling_short_of_apex", None);
    plan.settle = first::settle(case, criteria, filling_short.as_ref(), ground.limit);
    let core = match first::studied(&study, "post_to_core", None) {
        Some(Studied::Quotient(_, core)) => Some(core),
        _ => first::row(&study, "core_height", None),
    };
    plan.core = first::core(&ground.trial, &study, core, ground.core_from_space);
    let ferrule = ferrule(&study, criteria);
    let root = ground.root_index();
    let at = match Depths::of(&ground.trial, &mut study, criteria, ground.limit, root) {
        Err(missing) => {
            needs::lacking(&mut plan.needs, &[missing], "post depth");
            needs::for_depth(&mut plan.needs, case, ground.root);
            "where the canal runs and the root ends is not known".clone_into(&mut plan.marks.why);
            None
        }
        Ok(depths) => {
            let (depths, found, chosen_by) = ground.with_drill(depths, library, ferrule);
            needs::merge(&mut plan.needs, &depths.needs);
            open_walls(&depths, found.recommended, case, ground.root, &mut plan.needs);
            plan.coronal_alternative = window::coronal(&depths, ferrule_at_three_sites(&study));
            let chosen = depths.drill.as_ref().map(|drill| drill.object.name.as_str()).zip(chosen_by);
            plan.drills = drills::rows(&depths, library, criteria, ground.limit, found.recommended, chosen);
            let variances = |track: &track::Track, depth: f64| study.variances(&track.at(depth));
            plan.card = card::card(&depths, &found, case, library, variances, &mut plan.needs);
            if case.roots.get(root).is_some_and(Root::holds_post) {
                plan.card.words.insert(0, card::POST_IS_THERE.to_owned());
            }
            if case.roots.get(root).is_some_and(is_taken_as_straight) {
                plan.card.words.push(card::TAKEN_AS_STRAIGHT.to_owned());
            }
            plan.card.planned_tip_mm = depths.planned_tip_from_stop(case, plan.root);
            let recommended = found.recommended;
            plan.window = found.window;
            plan.marks = found.marks;
            plan.binding = found.binding;
            plan.rules = found.rules;
            plan.conflicts = found.conflicts;
            plan.relaxations = found.relaxations;
            let there = post_there(case, root).and_then(|(x, y)| depths.nearest(x, y));
            Some((depths, there.or(recommended), there.is_some()))
        }
    };
    let post = at.as_ref().map(|(depths, depth, is_there)| recovery::Post {
        depths,
        depth: *depth,
        is_there: *is_there,
    });
    let share = plan.recovery.extrusion_share;
    plan.recovery =
        recovery::recovery(&ground.trial, &study, criteria, root, post.as_ref(), share, &mut plan.needs);
    Ok((plan, at.map(|(depths, ..)| depths)))
}

/// The depths of the root a plan would be for, to be asked for the rules wherever a tip is dragged to; `None` where
/// nothing can be measured in mm, or where it is not known where the canal runs and the root ends.
///
/// # Errors
/// As [`plan`].
pub fn depths(
    case: &Case,
    library: &Library,
    criteria: &Criteria,
    wish: &Wish,
) -> Result<Option<Depths>, NoPlan> {
    let ground = Ground::of(case, library, wish)?;
    let places = Places::of(&ground.trial);
    let root = ground.root_index();
    let mut study = match Study::new(&places, library, root) {
        Ok(study) => study,
        Err(NoStudy::UnknownObject(unknown)) => return Err(unknown.into()),
        Err(NoStudy::Reason(_)) => return Ok(None),
    };
    let ferrule = ferrule(&study, criteria);
    let depths = Depths::of(&ground.trial, &mut study, criteria, ground.limit, root).ok();
    Ok(depths.map(|depths| ground.with_drill(depths, library, ferrule).0))
}

/// A plan of which nothing is known yet.
fn empty(case: &Case, criteria: &Criteria, ground: &Ground<'_>, wish: &Wish) -> Plan {
    Plan {
        program: PROGRAM.to_owned(),
        criteria: criteria.name.clone(),
        criteria_sha256: criteria.sha256.clone(),
        tooth: case.tooth.fdi.map(|fdi| fdi.to_string()),
        root: ground.root.and_then(|root| case.roots.get(root)).map(|root| root.name),
        settle: Vec::new(),
        core_without_a_post: first::without_a_post(case, &mut Vec::new()),
        core: None,
        window: None,
        marks: Marks::default(),
        binding: Vec::new(),
        rules: Vec::new(),
        conflicts: Vec::new(),
        relaxations: Vec::new(),
        coronal_alternative: None,
        drills: Drills::default(),
        card: card::empty(case),
        recovery: recovery::empty(criteria, wish.extrusion_share),
        needs: Vec::new(),
        remarks: ground.remarks.clone(),
        cautions: Vec::new(),
    }
}

/// What can be said where nothing can be measured in mm.
fn without_scale(plan: &mut Plan, case: &Case, criteria: &Criteria, ground: &Ground<'_>, reason: Reason) {
    plan.settle = first::settle(case, criteria, None, ground.limit);
    needs::lacking(&mut plan.needs, &[Missing::Reason(reason)], "everything in mm");
    needs::for_depth(&mut plan.needs, case, ground.root);
    plan.marks.why = format!("nothing can be measured in mm: {}", reason.words());
}

/// Whether nothing is known of a canal's course but its ends.
fn is_taken_as_straight(root: &Root) -> bool {
    root.canal.is_empty() && !root.landmarks.marks.contains_key(&Landmark::CurveStart.id())
}

/// Where the tip of a post lies that is there, in stored pixels.
fn post_there(case: &Case, root: usize) -> Option<(f64, f64)> {
    let tip = case.roots.get(root)?.landmarks.point(Landmark::PostTip.id())?;
    (!tip.is_planned()).then_some((tip.x, tip.y))
}

/// The ferrule at each of the four sites.
fn ferrules(study: &Study<'_>) -> [Option<FirstOrder>; 4] {
    Site::ALL.map(|site| first::row(study, "ferrule_height", Some(site)))
}

/// Whether the ferrule falls short of what is required.
fn ferrule(study: &Study<'_>, criteria: &Criteria) -> Ferrule {
    let required = criteria
        .list
        .iter()
        .filter(|it| it.strength == Strength::Requirement)
        .filter(|it| it.rows.iter().all(|row| row.id == "ferrule_height"))
        .find_map(|it| if let Bound::AtLeast(least) = it.bound { Some(least) } else { None });
    let Some(least) = required else { return Ferrule::NotShort };
    match decide_all(&at_least(study, least)).verdict {
        Verdict::FallsShort => Ferrule::FallsShort,
        Verdict::Meets => Ferrule::NotShort,
        Verdict::Undecided | Verdict::DoesNotApply => Ferrule::NotKnown,
    }
}

fn at_least(study: &Study<'_>, least: f64) -> Vec<Option<f64>> {
    ferrules(study)
        .into_iter()
        .map(|ferrule| ferrule.map(|it| above_zero(it.shifted(-least).estimate(), false)))
        .collect()
}

/// What a tip coronal of the crest needs: a ferrule of 2 mm at three sites (common practice).
fn ferrule_at_three_sites(study: &Study<'_>) -> Verdict {
    decide_at_least(3, &at_least(study, 2.0)).verdict
}

/// Where the wall at a planned tip cannot be judged, the section that would let it.
fn open_walls(
    depths: &Depths,
    recommended: Option<f64>,
    case: &Case,
    root: Option<usize>,
    wanted: &mut Vec<Need>,
) {
    let Some(depth) = recommended else { return };
    if !depths.walls.knows_the_tip(depth) {
        needs::section_at_tip(wanted, case, root, "dentine wall at the tip, drill");
    }
}
