//! Everything about one root that changes with the depth of its post: made once for a case, asked at any depth.

use super::follow::{BEYOND_MM, Canal, Followed};
use super::making::{Making, walls};
use super::needs;
use super::rows::{Depth, Need, OnFilm, RuleAt};
use super::rule::{Kind, Rule, TipBy, above_zero, amount};
use super::track::Track;
use super::walls::{Drill, NEAR_SECTION_MM, Walls};
use crate::calibration::ToothLimit;
use crate::case::{Case, Lack, Landmark, Site, Strength};
use crate::geometry::{Plane, Position};
use crate::measure::{FilmMap, Missing, Study};
use crate::quantity::Estimate;
use crate::verdict::{Criteria, MEETS, at_once, decide_all};

/// Steps by which depths are looked through, within the root and beyond it; ends between them are found by halving, mm.
const STEP_MM: f64 = 0.5;
const STEP_BEYOND_MM: f64 = 2.0;
const HALVINGS: u32 = 26;

/// The depths a post of one root can have, and what every rule says of each.
#[derive(Debug, Clone)]
pub struct Depths {
    pub(super) canal: Canal,
    pub(super) film: FilmMap,
    pub(super) aspect: f64,
    pub(super) post_depth: Option<Track>,
    pub(super) stop: Result<Track, Missing>,
    pub(super) tips_beyond_crest: Vec<(Site, Track)>,
    pub(super) seal: Option<Track>,
    pub(super) rules: Vec<Rule>,
    pub(super) coronal: Option<Rule>,
    pub(super) walls: Walls,
    pub(super) drill: Option<Drill>,
    pub(super) needs: Vec<Need>,
}

/// Depths that are admitted, each from and to.
pub(super) type Stretches = Vec<[f64; 2]>;

impl Depths {
    /// Follows every rule along the canal of the root studied.
    ///
    /// # Errors
    /// What is missing to say where the canal runs.
    pub(super) fn of(
        case: &Case,
        study: &mut Study<'_>,
        criteria: &Criteria,
        limit: Option<&ToothLimit>,
        root: usize,
    ) -> Result<Self, Missing> {
        let path = study.canal()?;
        let arc = |place: Position<Plane>| path.nearest(place).map(|foot| foot.arc);
        let start = study
            .start()
            .ok()
            .or_else(|| study.position(Landmark::Orifice.id()))
            .and_then(arc)
            .unwrap_or_default();
        let end = [Landmark::Apex, Landmark::FillingTip]
            .into_iter()
            .find_map(|landmark| study.position(landmark.id()))
            .and_then(arc)
            .ok_or_else(|| needs::apex(case, root))?;
        let canal = Canal { path, start, root_end: end - start };
        let sections = case.roots.get(root).map_or(0, |root| root.sections.len());
        let followed = Followed::all(study, &canal, criteria, sections);
        let stop = followed.stop();
        let mut making = Making::new(case, root, &followed, stop.as_ref().ok());
        making.of_criteria(study, criteria, canal.root_end);
        making.curve(&canal);
        making.usual_depth(limit);
        let Making { rules, coronal, needs, .. } = making;
        let mut depths = Self {
            film: study.film_map(),
            aspect: case.film.aspect(),
            post_depth: followed.plain("post_depth", None),
            tips_beyond_crest: [Site::Mesial, Site::Distal]
                .into_iter()
                .filter_map(|site| Some((site, followed.plain("tip_beyond_crest", Some(site))?)))
                .collect(),
            seal: followed.plain("seal_length", None),
            walls: walls(case, study, &followed, root),
            stop,
            canal,
            rules,
            coronal,
            drill: None,
            needs,
        };
        // These do not change with the drill, and are asked again for each that is proposed.
        let admitted: Vec<Option<Stretches>> = depths
            .rules
            .iter()
            .map(|rule| {
                matches!(rule.kind, Kind::Margins(_)).then(|| depths.looked_through(rule, TipBy::Film))
            })
            .collect();
        for (rule, admitted) in depths.rules.iter_mut().zip(admitted) {
            rule.admitted_on_film = admitted;
        }
        Ok(depths)
    }

    /// The depth at which the root ends, mm along the canal from where the post starts to hold.
    pub fn end_of_root(&self) -> f64 {
        self.canal.root_end
    }

    /// A depth with every rule at it.
    pub fn at(&self, depth: f64) -> Depth {
        Depth {
            along_canal_mm: depth,
            tip: self.on_film(depth).unwrap_or(OnFilm { x: 0.0, y: 0.0 }),
            post_depth_mm: self.post_depth.as_ref().map(|track| (&track.at(depth)).into()),
            stop_depth_mm: self.stop.as_ref().ok().map(|track| (&track.at(depth)).into()),
            rules: self.rules_at(depth),
        }
    }

    /// Every rule with the tip planned at a depth.
    pub fn rules_at(&self, depth: f64) -> Vec<RuleAt> {
        self.judged(depth, TipBy::Film)
    }

    pub(super) fn judged(&self, depth: f64, by: TipBy) -> Vec<RuleAt> {
        self.rules.iter().map(|rule| self.rule_at(rule, depth, by)).collect()
    }

    fn rule_at(&self, rule: &Rule, depth: f64, by: TipBy) -> RuleAt {
        let places = self.places(rule, depth, by);
        let decision = decide_all(&places.iter().map(|place| place.probability).collect::<Vec<_>>());
        let known: Vec<f64> = places.iter().filter_map(|place| place.probability).collect();
        let worst = places
            .iter()
            .filter(|place| place.margin.is_some())
            .min_by(|one, other| one.probability.unwrap_or(1.0).total_cmp(&other.probability.unwrap_or(1.0)));
        RuleAt {
            rule: rule.id.clone(),
            strength: rule.strength,
            verdict: decision.verdict,
            probability: (!known.is_empty()).then(|| at_once(known)),
            worst_probability: worst.and_then(|place| place.probability),
            margin_mm: worst.and_then(|place| place.margin).map(amount),
            worst: worst.and_then(|place| place.name.clone()),
            not_known: self.not_known(rule, depth),
        }
    }

    /// What it would take to judge a rule everywhere.
    fn not_known(&self, rule: &Rule, depth: f64) -> Vec<String> {
        let mut words = Vec::new();
        if matches!(rule.kind, Kind::Walls(_)) {
            if self.drill.is_none() {
                words.push("a drill".to_owned());
            }
            if !self.walls.knows_the_tip(depth) {
                words.push(format!("a section within {NEAR_SECTION_MM} mm of the tip"));
            }
        }
        for missing in &rule.missing {
            match missing {
                Missing::Landmarks(lacks) => words.extend(lacks.iter().map(Lack::words)),
                Missing::Reason(reason) => words.push(reason.words().to_owned()),
            }
        }
        words
    }

    /// What is left over at every place of a rule; a place nobody knows has neither margin nor probability.
    fn places(&self, rule: &Rule, depth: f64, by: TipBy) -> Vec<Place> {
        let unknown = Place { name: None, margin: None, probability: None };
        let mut places: Vec<Place> = match &rule.kind {
            Kind::Margins(margins) => margins
                .iter()
                .map(|margin| Place {
                    name: margin.place.clone(),
                    margin: margin.at(depth, by),
                    probability: margin.probability(depth, by),
                })
                .collect(),
            Kind::Walls(least) => match &self.drill {
                Some(drill) => self.wall_places(drill, *least, depth, by),
                None => vec![unknown.clone()],
            },
        };
        places.extend(rule.missing.iter().map(|_| unknown.clone()));
        places
    }

    /// The walls a drill leaves; of tip and shoulder, which lie close together, the worse.
    pub(super) fn wall_places(&self, drill: &Drill, least: f64, depth: f64, by: TipBy) -> Vec<Place> {
        let stop = match (by, &self.stop) {
            (TipBy::Stop, Ok(stop)) => {
                let rise = stop.slope(depth);
                (rise.abs() > 1e-12).then(|| (stop.at(depth), 1.0 / rise))
            }
            _ => None,
        };
        let stop = stop.as_ref().map(|(stop, by_stop)| (stop, *by_stop));
        let left = self.walls.left(depth, drill);
        let mut places = Vec::new();
        let mut at_tip: [Option<Place>; 2] = [None, None];
        for level in &left {
            let margins = level.margins(least, stop);
            for ((side, margin), at_tip) in ["mesial", "distal"].into_iter().zip(margins).zip(&mut at_tip) {
                let place = Place {
                    name: Some(format!("{side}, {}", level.level)),
                    margin: Some(margin),
                    probability: Some(above_zero(margin, false)),
                };
                if !level.goes_with_the_tip() {
                    places.push(place);
                } else if at_tip.as_ref().is_none_or(|known| place.probability < known.probability) {
                    *at_tip = Some(place);
                }
            }
        }
        places.extend(at_tip.into_iter().flatten());
        if !self.walls.knows_the_tip(depth) {
            places.push(Place { name: Some("tip".to_owned()), margin: None, probability: None });
        }
        places
    }

    /// Whether what is known of a rule is satisfied with a probability of at least 95 %.
    fn admits(&self, rule: &Rule, depth: f64, by: TipBy) -> bool {
        if let Kind::Margins(margins) = &rule.kind {
            // Asked hundreds of times a plan: without names.
            return at_once(margins.iter().filter_map(|margin| margin.probability(depth, by))) >= MEETS;
        }
        let known: Vec<f64> =
            self.places(rule, depth, by).into_iter().filter_map(|place| place.probability).collect();
        known.is_empty() || at_once(known) >= MEETS
    }

    /// Whether anything is known of a rule.
    pub(super) fn is_judged(&self, rule: &Rule) -> bool {
        match &rule.kind {
            Kind::Margins(margins) => !margins.is_empty(),
            Kind::Walls(_) => self.drill.is_some() && !self.walls.sections().is_empty(),
        }
    }

    /// Whether a rule could not be judged at all its places at a depth.
    pub(super) fn is_open(&self, rule: &Rule, depth: f64) -> bool {
        self.places(rule, depth, TipBy::Film).iter().any(|place| place.probability.is_none())
    }

    /// Requirements that cannot be judged at all their places at both ends of a window.
    pub(super) fn open_between(&self, from: f64, to: f64) -> impl Iterator<Item = &Rule> {
        self.rules.iter().filter(move |rule| {
            rule.strength == Strength::Requirement
                && (!self.is_judged(rule) || self.is_open(rule, from) || self.is_open(rule, to))
        })
    }

    /// Whether at some depth of a window every requirement is judged at all its places.
    pub(super) fn is_judged_within(&self, from: f64, to: f64) -> bool {
        let mut depth = from;
        while depth < to && self.open_between(depth, depth).next().is_some() {
            depth += STEP_MM;
        }
        self.open_between(depth.min(to), depth.min(to)).next().is_none()
    }

    /// Requirements on lengths that cannot be judged, as `is_it` says: one place of them missing, or all.
    pub(super) fn cannot_be_judged(&self, is_it: impl Fn(&Rule) -> bool) -> impl Iterator<Item = &Rule> {
        self.rules.iter().filter(move |rule| {
            rule.strength == Strength::Requirement && matches!(rule.kind, Kind::Margins(_)) && is_it(rule)
        })
    }

    /// The depths within the root at which a rule cannot be judged at all its places.
    pub(super) fn unjudged(&self, rule: &Rule) -> Stretches {
        let whole = || vec![[0.0, self.canal.root_end]];
        if !self.is_judged(rule) || !rule.missing.is_empty() {
            return whole();
        }
        if matches!(rule.kind, Kind::Margins(_)) {
            return Stretches::new();
        }
        let mut stops = vec![0.0];
        while let Some(last) = stops.last().copied().filter(|last| *last < self.canal.root_end) {
            stops.push((last + STEP_MM).min(self.canal.root_end));
        }
        stretches_where(&stops, |depth| !self.walls.knows_the_tip(depth))
    }

    /// The depths a rule admits, beyond the root's ends too.
    pub(super) fn admitted(&self, rule: &Rule, by: TipBy) -> Stretches {
        match (&rule.admitted_on_film, by) {
            (Some(admitted), TipBy::Film) => admitted.clone(),
            _ => self.looked_through(rule, by),
        }
    }

    fn looked_through(&self, rule: &Rule, by: TipBy) -> Stretches {
        let (from, to) = (-BEYOND_MM, self.canal.root_end + BEYOND_MM);
        let mut stops = vec![from];
        // Walls are asked at every section too: there they begin to count.
        if matches!(rule.kind, Kind::Walls(_)) {
            for section in self.walls.sections() {
                let reached = section.below_tip.value(0.0);
                let near = [-NEAR_SECTION_MM, -1e-6, 1e-6, NEAR_SECTION_MM];
                stops.extend(near.map(|by| reached + by));
            }
        }
        let mut at = from;
        while at < to {
            at += if (-1.0..self.canal.root_end + 1.0).contains(&at) { STEP_MM } else { STEP_BEYOND_MM };
            stops.push(at.min(to));
        }
        stops.sort_unstable_by(f64::total_cmp);
        let mut stretches = stretches_where(&stops, |depth| self.admits(rule, depth, by));
        // A drill that goes deeper passes where a wall was too thin, whether or not walls are known beyond.
        if matches!(rule.kind, Kind::Walls(_)) {
            stretches.truncate(1);
        }
        stretches
    }

    /// By how many mm a rule is missed at its best depth within the root, at 95 %, and what is left over there;
    /// `None` where it is met somewhere.
    pub(super) fn missed_by(&self, rule: &Rule) -> Option<(f64, Estimate)> {
        /// The 95 % quantile of a standard normal variable.
        const ONE_SIDED_95: f64 = 1.644_854;
        let sure = |margin: &Estimate| margin.value - ONE_SIDED_95 * margin.sd;
        let mut best: Option<Estimate> = None;
        let mut at = 0.0;
        while at <= self.canal.root_end.max(0.0) {
            let worst = self
                .places(rule, at, TipBy::Film)
                .into_iter()
                .filter_map(|place| place.margin)
                .min_by(|one, other| sure(one).total_cmp(&sure(other)));
            if worst.is_some_and(|worst| best.is_none_or(|best| sure(&worst) > sure(&best))) {
                best = worst;
            }
            at += STEP_MM;
        }
        best.filter(|best| sure(best) < 0.0).map(|best| (-sure(&best), best))
    }
}

/// The stretches between the first and the last stop where something holds: no stretch of it, nor between two of it, is
/// shorter than the stops are apart.
fn stretches_where(stops: &[f64], holds: impl Fn(f64) -> bool) -> Stretches {
    let mut stretches = Stretches::new();
    let mut open: Option<f64> = None;
    let mut before: Option<f64> = None;
    for stop in stops.iter().copied() {
        match (open, holds(stop)) {
            (None, true) => {
                open = Some(before.map_or(stop, |before| change(before, stop, false, &holds)));
            }
            (Some(begun), false) => {
                let end = before.map_or(stop, |before| change(before, stop, true, &holds));
                stretches.push([begun, end]);
                open = None;
            }
            _ => {}
        }
        before = Some(stop);
    }
    stretches.extend(open.zip(before).map(|(begun, last)| [begun, last]));
    stretches
}

/// Where a yes turns into a no, or a no into a yes: the last depth on the yes side, found by halving.
fn change(from: f64, to: f64, from_is_yes: bool, admits: impl Fn(f64) -> bool) -> f64 {
    let (mut yes, mut no) = if from_is_yes { (from, to) } else { (to, from) };
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(yes, no);
        if admits(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    yes
}

/// What is left over at one place of a rule.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    pub(super) name: Option<String>,
    pub(super) margin: Option<Estimate>,
    pub(super) probability: Option<f64>,
}
