//! The plan of the open case: made when somebody first asks for it, kept while only the planned tip moves, and the
//! edits that put a planned tip somewhere. No drawing.

use super::action::Handle;
use crate::case::{Case, Landmark, Mark, Point, RootName, State};
use crate::editor::{Edit, LandmarkAt, OpenCase, PointAt};
use crate::geometry::{Displacement, Position, Stored};
use crate::plan::{Depths, End, NoPlan, Plan, RuleAt, Wish, plan_with_depths};
use std::cell::RefCell;
use std::sync::Arc;

/// How far one press of an arrow key moves a planned tip along its canal, mm.
pub const STEP_MM: f64 = 0.1;
/// A key that points across the canal moves nothing: less than this part of its way lies along it.
const ALONG: f64 = 0.3;

/// A plan, with what is asked wherever its tip goes.
#[derive(Debug)]
pub struct Planned {
    /// The plan.
    pub plan: Plan,
    /// The depths of its root; none where nothing is known of them.
    pub depths: Option<Depths>,
    /// The depths at which a tip is not surely off the crest.
    pub crest_band: Option<[f64; 2]>,
    /// The deepest tip that leaves the root filling required.
    pub seal_limit: Option<f64>,
}

/// What is kept of a plan.
#[derive(Debug)]
struct Kept {
    revision: u64,
    /// The case it was made from, without the planned tip: that changes nothing of a plan.
    ground: Case,
    share: f64,
    planned: Arc<Result<Planned, NoPlan>>,
}

/// The plan of a case, and what is asked of it.
#[derive(Debug)]
pub struct Planning {
    /// The share of a lift that extrusion takes where extrusion and crown lengthening are combined, 0 to 1.
    pub share: f64,
    /// Whether it is drawn on the film.
    pub shows: bool,
    kept: RefCell<Option<Kept>>,
}

impl Default for Planning {
    fn default() -> Self {
        Self { share: Wish::default().extrusion_share, shows: false, kept: RefCell::new(None) }
    }
}

/// Where the tip of a post stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tip {
    /// Along the canal, mm.
    pub depth: f64,
    /// What it is.
    pub kind: TipKind,
}

/// What a tip is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TipKind {
    /// It is planned.
    Planned,
    /// A post is there.
    There,
    /// No tip is placed; this is the one recommended.
    Recommended,
}

impl Planning {
    /// The plan of the case as it stands.
    pub fn of(&self, open: &OpenCase) -> Arc<Result<Planned, NoPlan>> {
        let mut kept = self.kept.borrow_mut();
        let (case, revision) = (open.case(), open.revision());
        if let Some(kept) = kept.as_mut().filter(|kept| kept.share.to_bits() == self.share.to_bits()) {
            if kept.revision == revision {
                return Arc::clone(&kept.planned);
            }
            if kept.ground == without_planned_tip(case, root_of(&kept.planned)) {
                kept.revision = revision;
                return Arc::clone(&kept.planned);
            }
        }
        let planned = Arc::new(make(open, self.share));
        let ground = without_planned_tip(case, root_of(&planned));
        *kept = Some(Kept { revision, ground, share: self.share, planned: Arc::clone(&planned) });
        planned
    }
}

fn make(open: &OpenCase, share: f64) -> Result<Planned, NoPlan> {
    let (case, engine) = (open.case(), open.engine());
    let wish = Wish { extrusion_share: share, ..Wish::default() };
    let (plan, depths) = plan_with_depths(case, &engine.library, &engine.criteria, &wish, &[])?;
    let crest_band = depths.as_ref().and_then(Depths::crest_band);
    let seal_limit = depths.as_ref().and_then(Depths::seal_limit);
    Ok(Planned { plan, depths, crest_band, seal_limit })
}

fn root_of(planned: &Result<Planned, NoPlan>) -> Option<RootName> {
    planned.as_ref().ok()?.plan.root
}

fn without_planned_tip(case: &Case, root: Option<RootName>) -> Case {
    let mut ground = case.clone();
    let tip = Landmark::PostTip.id();
    if let Some(root) = ground.roots.iter_mut().find(|it| Some(it.name) == root)
        && root.landmarks.point(tip).is_some_and(Point::is_planned)
    {
        root.landmarks.marks.remove(&tip);
    }
    ground
}

impl Planned {
    /// The landmark of the tip that is planned for.
    pub fn tip_at(&self) -> Option<LandmarkAt> {
        self.plan.root.map(|root| LandmarkAt { root: Some(root), id: Landmark::PostTip.id() })
    }

    /// The plan, its card knowing where the case plans the tip now: the plan is kept while only that moves.
    pub fn with_tip_of(&self, case: &Case) -> Plan {
        let mut plan = self.plan.clone();
        plan.card.planned_tip_mm =
            self.depths.as_ref().and_then(|depths| depths.planned_tip_from_stop(case, plan.root));
        plan
    }

    /// The tip the case has, present or planned.
    pub fn placed_tip(&self, case: &Case) -> Option<Tip> {
        let point = self.tip_at()?.mark(case)?.point()?;
        let depth = self.depths.as_ref()?.nearest(point.x, point.y)?;
        Some(Tip { depth, kind: if point.is_planned() { TipKind::Planned } else { TipKind::There } })
    }

    /// The tip that is shown: the case's, else the one recommended.
    pub fn tip(&self, case: &Case) -> Option<Tip> {
        let recommended = || {
            let depth = self.plan.marks.recommended.as_ref()?.along_canal_mm;
            Some(Tip { depth, kind: TipKind::Recommended })
        };
        self.placed_tip(case).or_else(recommended)
    }

    /// Beyond which end of the window of admissible depths a tip lies; `None` within it, and where there is none.
    pub fn beyond(&self, depth: f64) -> Option<End> {
        // A tip set to an end of the window lies there but for the last digits of a pixel.
        const SAME_MM: f64 = 1e-6;
        let window = self.plan.window.as_ref()?;
        let depth = self.depths.as_ref()?.within_root(depth);
        if depth > window.to_mm + SAME_MM {
            Some(End::Deepest)
        } else {
            (depth < window.from_mm - SAME_MM).then_some(End::Shortest)
        }
    }

    /// Every rule at a depth.
    pub fn rules_at(&self, depth: f64) -> Vec<RuleAt> {
        self.depths.as_ref().map(|depths| depths.rules_at(depth)).unwrap_or_default()
    }

    /// Whether a post is there, so that a planned one would take its place.
    pub fn has_post(&self, case: &Case) -> bool {
        let tip = self.tip_at().and_then(|at| at.mark(case)).and_then(Mark::point);
        tip.is_some_and(|tip| !tip.is_planned())
    }

    /// The edit that plans a tip at a depth; a tip that is planned already moves. Where a post is there its head and tip
    /// give way, in a step of that name.
    pub fn plan_tip(&self, case: &Case, depth: f64) -> Option<Edit> {
        let depths = self.depths.as_ref()?;
        let place = depths.on_film(depths.within_root(depth))?;
        let at = self.tip_at()?;
        let planned = Point { state: Some(State::Planned), ..Point::at(place.x, place.y) };
        let mark = Edit::Mark { at, mark: Some(Mark::Placed(planned)) };
        Some(match at.mark(case).and_then(Mark::point) {
            None => mark,
            Some(point) if point.is_planned() => {
                Edit::Move { point: PointAt::Landmark(at), to: Position::new(place.x, place.y) }
            }
            Some(_) => {
                let head = LandmarkAt { id: Landmark::PostHead.id(), ..at };
                let mut edits = vec![mark];
                if head.mark(case).and_then(Mark::point).is_some() {
                    edits.push(Edit::Mark { at: head, mark: None });
                }
                Edit::Several { name: "plan a new post".to_owned(), edits }
            }
        })
    }

    /// Where a new planned tip begins: the depth recommended, else one that is opened by giving up a rule, else half-way.
    pub fn first_depth(&self) -> Option<f64> {
        let depths = self.depths.as_ref()?;
        let recommended = self.plan.marks.recommended.as_ref().map(|mark| mark.along_canal_mm);
        let opened = || self.plan.relaxations.first().map(|relaxation| relaxation.from_mm);
        Some(recommended.or_else(opened).unwrap_or_else(|| depths.end_of_root() / 2.0))
    }

    /// Whether a handle is the planned tip.
    fn is_planned_tip(&self, case: &Case, handle: Handle) -> bool {
        let Some(at) = self.tip_at() else { return false };
        handle == Handle::Case(PointAt::Landmark(at))
            && at.mark(case).and_then(Mark::point).is_some_and(Point::is_planned)
    }

    /// Where a planned tip that is dragged here comes to lie: on its canal, within its root. `None` for every other
    /// point, and where nobody knows where the canal runs.
    pub fn on_canal(&self, case: &Case, handle: Handle, to: Position<Stored>) -> Option<Position<Stored>> {
        let depths = self.depths.as_ref().filter(|_| self.is_planned_tip(case, handle))?;
        let place = depths.on_film(depths.within_root(depths.nearest(to.x, to.y)?))?;
        Some(Position::new(place.x, place.y))
    }

    /// Where keys that would move a point by this way move a planned tip: along its canal, by 0.1 mm for each pixel of
    /// the way, towards the side they point to. `None` as for [`on_canal`](Self::on_canal).
    pub fn stepped(
        &self,
        case: &Case,
        handle: Handle,
        way: Displacement<Stored>,
    ) -> Option<Position<Stored>> {
        let depths = self.depths.as_ref().filter(|_| self.is_planned_tip(case, handle))?;
        let depth = self.placed_tip(case)?.depth;
        let ahead = |by: f64| depths.on_film(depth + by).map(|it| Position::<Stored>::new(it.x, it.y));
        let along = ahead(STEP_MM)?.way_from(ahead(-STEP_MM)?);
        let part = way.dot(along) / (way.length() * along.length()).max(f64::MIN_POSITIVE);
        let by = if part.abs() < ALONG { 0.0 } else { STEP_MM * way.length() * part.signum() };
        // Steps of a tenth stay on tenths.
        let to = ((depth + by) * 1e6).round() / 1e6;
        let place = depths.on_film(depths.within_root(if by == 0.0 { depth } else { to }))?;
        Some(Position::new(place.x, place.y))
    }
}
