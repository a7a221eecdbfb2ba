//! The rules of one root, made from the criteria and from what planning itself asks.

use super::follow::{BEYOND_MM, Canal, Followed};
use super::rows::{End, Need};
use super::rule::{Kind, Lifted, Margin, Rule, moves_with_the_tip, sides, warning};
use super::track::Track;
use super::walls::{Section, Walls, Widths};
use super::{STOP_SETTING_SD_MM, needs};
use crate::calibration::ToothLimit;
use crate::case::{Case, Landmark, Mark, Site, Strength};
use crate::geometry::{Path, Plane, angle_between};
use crate::measure::{Definition, FirstOrder, Length, Repeat, Study, StudyRow};
use crate::verdict::{Bound, Criteria, Criterion};

/// A canal that bends more than this between its first and last stretch leaves its straight line somewhere, degrees.
const BEND_DEG: f64 = 5.0;

/// Rules on their way.
pub(super) struct Making<'c> {
    case: &'c Case,
    root: usize,
    followed: &'c Followed,
    stop: Option<&'c Track>,
    pub(super) rules: Vec<Rule>,
    /// The rule of a tip coronal of the crest.
    pub(super) coronal: Option<Rule>,
    pub(super) needs: Vec<Need>,
}

impl<'c> Making<'c> {
    pub(super) const fn new(
        case: &'c Case,
        root: usize,
        followed: &'c Followed,
        stop: Option<&'c Track>,
    ) -> Self {
        Self { case, root, followed, stop, rules: Vec::new(), coronal: None, needs: Vec::new() }
    }

    /// What is left over, on the film and by a stop.
    fn margin(&self, track: &Track, place: Option<String>, strictly: bool, lifted: Lifted) -> Margin {
        let by_stop = self.stop.map(|stop| track.set_by(stop, STOP_SETTING_SD_MM).curve());
        Margin { place, strictly, lifted, on_film: track.curve(), by_stop }
    }

    /// A rule for each criterion about where the tip lies, and the wall's.
    pub(super) fn of_criteria(&mut self, study: &Study<'_>, criteria: &Criteria, root_end: f64) {
        for criterion in &criteria.list {
            if is_of_walls(criterion) {
                if let Bound::AtLeast(least) = criterion.bound {
                    self.rules.push(rule_of(criterion, End::Deepest, Kind::Walls(least)));
                }
            } else if moves_with_the_tip(criterion) {
                self.of_criterion(study, criterion, root_end);
            }
        }
    }

    fn of_criterion(&mut self, study: &Study<'_>, criterion: &Criterion, root_end: f64) {
        let mut rule = rule_of(criterion, End::Shortest, Kind::Margins(Vec::new()));
        let (mut margins, mut coronal) = (Vec::new(), Vec::new());
        let rows = study.rows().filter(|it| criterion.rows.iter().any(|row| std::ptr::eq(it.row, *row)));
        for row in rows {
            let place = row.site.map(|site| site.word().to_owned());
            match self.followed.row(row.of) {
                Some(Ok([Some(above), under])) => {
                    let make = |sign: f64, bound: f64, strictly: bool| {
                        let margin = match under {
                            Some(under) => {
                                above.with(under, |above, under| above.minus(&under.times(bound)).times(sign))
                            }
                            None => above.map(|value| value.clone().shifted(-bound).times(sign)),
                        };
                        self.margin(&margin, place.clone(), strictly, lifted(row, sign, bound))
                    };
                    margins.extend(
                        sides(&criterion.bound)
                            .into_iter()
                            .map(|side| make(side.sign, side.bound, side.strictly)),
                    );
                    if let Bound::Outside(low, _) = criterion.bound {
                        coronal.push(make(-1.0, low, true));
                    }
                }
                Some(Err(missing)) => rule.missing.push(missing.clone()),
                _ => {}
            }
        }
        if margins.is_empty() && rule.missing.is_empty() {
            return;
        }
        let rises = margins.first().is_none_or(|margin| {
            margin.on_film.at(root_end + BEYOND_MM).value >= margin.on_film.at(-BEYOND_MM).value
        });
        rule.limits = if rises { End::Shortest } else { End::Deepest };
        rule.kind = Kind::Margins(margins);
        if !coronal.is_empty() && criterion.strength == Strength::Requirement {
            self.coronal = Some(Rule { limits: End::Deepest, kind: Kind::Margins(coronal), ..rule.clone() });
        }
        needs::lacking(&mut self.needs, &rule.missing, &rule.title);
        self.rules.push(rule);
    }

    /// Not past where the canal leaves its straight line.
    pub(super) fn curve(&mut self, canal: &Canal) {
        let title = "not past the start of the canal's curve";
        let mark = self
            .case
            .roots
            .get(self.root)
            .and_then(|root| root.landmarks.marks.get(&Landmark::CurveStart.id()));
        if mark.is_some_and(Mark::is_absent) {
            return;
        }
        let to_curve = self.followed.to_curve();
        let mut missing = Vec::new();
        if to_curve.is_none() {
            let bends = bend(&canal.path) > BEND_DEG;
            if mark.is_none() && !bends {
                // A canal that is drawn straight is taken as straight.
                return;
            }
            missing.push(needs::landmark(self.case, Landmark::CurveStart, self.root));
        }
        let margins = to_curve.iter().map(|track| self.margin(track, None, false, Lifted::No));
        let rule = Rule {
            id: "not_past_the_curve".to_owned(),
            title: title.to_owned(),
            bound: "the tip at most where the canal leaves its straight line".to_owned(),
            strength: Strength::Requirement,
            source: "common practice".to_owned(),
            measurement: "",
            warning: "a straight drill leaves a curved canal: perforation, or a wall too thin",
            limits: End::Deepest,
            kind: Kind::Margins(margins.collect()),
            missing,
            admitted_on_film: None,
        };
        needs::lacking(&mut self.needs, &rule.missing, title);
        self.rules.push(rule);
    }

    /// The depth this kind of root usually takes.
    pub(super) fn usual_depth(&mut self, limit: Option<&ToothLimit>) {
        let Some((limit, most)) = limit.and_then(|limit| limit.post_depth_mm.map(|most| (limit, most)))
        else {
            return;
        };
        let post_depth = self.followed.plain("post_depth", None);
        let missing = if post_depth.is_none() {
            vec![needs::landmark(self.case, Landmark::Orifice, self.root)]
        } else {
            Vec::new()
        };
        let margins = post_depth.iter().map(|depth| {
            self.margin(&depth.map(|depth| depth.times(-1.0).shifted(most)), None, false, Lifted::No)
        });
        let kind = Kind::Margins(margins.collect());
        self.rules.push(Rule {
            id: "usual_depth_in_a_molar".to_owned(),
            title: "the usual depth in a molar's root".to_owned(),
            bound: format!("at most {most} mm from the orifice"),
            strength: Strength::Requirement,
            source: limit.source.clone(),
            measurement: "",
            warning: "these roots thin out, and curve where a film does not show it",
            limits: End::Deepest,
            kind,
            missing,
            admitted_on_film: None,
        });
    }
}

/// The measured sections of the root.
pub(super) fn walls(case: &Case, study: &Study<'_>, followed: &Followed, root: usize) -> Walls {
    let sections = case.roots.get(root).map_or(&[][..], |root| &root.sections);
    let made = (0..sections.len()).filter_map(|index| {
        let row = |id: &str, site: Option<Site>| {
            let row = study
                .rows()
                .find(|row| row.row.id == id && row.site == site && row.section == Some(index))?;
            study.construction_of(row).ok()
        };
        let constructions = [
            row("wall", Some(Site::Mesial))?,
            row("wall", Some(Site::Distal))?,
            row("canal_width", None)?,
            row("root_width", None)?,
        ];
        let widths: Option<Vec<FirstOrder>> = study
            .evaluate(&constructions)
            .into_iter()
            .map(|studied| studied.ok().and_then(|it| it.single()))
            .collect();
        let [mesial, distal, canal, root] = <[FirstOrder; 4]>::try_from(widths?).ok()?;
        Some(Section {
            index,
            widths: Widths { walls: [mesial, distal], canal, root },
            below_tip: followed.to_section(index)?,
        })
    });
    Walls::new(made.collect())
}

/// How a lift changes what is left over of a row: the tip comes nearer the crest, the core becomes shorter.
fn lifted(row: StudyRow<'_>, sign: f64, bound: f64) -> Lifted {
    match (row.row.id, row.site) {
        ("tip_beyond_crest", Some(site)) => Lifted::AtSite(site, -sign),
        ("post_to_core", _) => Lifted::ByExtrusion(sign * bound),
        _ => Lifted::No,
    }
}

/// Whether a criterion asks for a least thickness of the walls beside canal or post.
pub(super) fn is_of_walls(criterion: &Criterion) -> bool {
    !criterion.rows.is_empty()
        && criterion.rows.iter().all(|row| {
            row.repeat == Repeat::BySideAndSection
                && row.definition == Definition::Length(Length::SectionWall)
        })
}

fn rule_of(criterion: &Criterion, limits: End, kind: Kind) -> Rule {
    let unit = criterion.rows.first().map_or("", |row| row.unit.suffix());
    let measurement = criterion.rows.first().map_or("", |row| row.id);
    Rule {
        id: criterion.id.clone(),
        title: criterion.title.clone(),
        bound: criterion.bound.in_unit(unit),
        strength: criterion.strength,
        source: criterion.source.clone(),
        measurement,
        warning: warning(measurement),
        limits,
        kind,
        missing: Vec::new(),
        admitted_on_film: None,
    }
}

/// By how many degrees a path turns from its first to its last stretch.
fn bend(path: &Path<Plane>) -> f64 {
    let total = path.corners().last();
    let Some(last_corner) = total else { return 0.0 };
    let way = |from: f64, to: f64| Some(path.at(to)?.way_from(path.at(from)?));
    match (way(-1.0, 0.0), way(last_corner, last_corner + 1.0)) {
        (Some(first), Some(last)) => angle_between(first, last).to_degrees(),
        _ => 0.0,
    }
}
