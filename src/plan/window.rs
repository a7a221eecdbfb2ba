//! The window of admissible depths: where the rules meet, or by how much they miss one another.

use super::depths::{Depths, Stretches};
use super::rows::{Binding, Conflict, CoronalAlternative, Depth, End, Marks, Relaxation, RuleRow, Window};
use super::rule::{Kind, Lifted, Margin, Rule, TipBy};
use crate::case::{Site, Strength, Verdict};
use crate::wording::list;

/// Ends of stretches nearer than this are the same, mm.
const SAME_MM: f64 = 1e-6;

/// Everything about the window.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Found {
    pub(super) window: Option<Window>,
    pub(super) marks: Marks,
    pub(super) binding: Vec<Binding>,
    pub(super) rules: Vec<RuleRow>,
    pub(super) conflicts: Vec<Conflict>,
    pub(super) relaxations: Vec<Relaxation>,
    /// The depth recommended, along the canal.
    pub(super) recommended: Option<f64>,
    /// Where none can be recommended yet, the shortest that the requirements admit which can be judged: a drill is
    /// proposed for it, whose walls may settle that there is none.
    pub(super) judged_so_far: Option<f64>,
    /// Whether it is the one that meets the length preferences too.
    pub(super) with_preferences: bool,
}

/// A rule with the depths it admits.
struct Admitted<'a> {
    rule: &'a Rule,
    stretches: Stretches,
}

pub(super) fn both(one: &[[f64; 2]], other: &[[f64; 2]]) -> Stretches {
    let mut common = Stretches::new();
    for [a, b] in one {
        for [c, d] in other {
            let (from, to) = (a.max(*c), b.min(*d));
            if from <= to {
                common.push([from, to]);
            }
        }
    }
    common
}

/// How far two lists of stretches are apart; 0 where they meet.
fn apart(one: &[[f64; 2]], other: &[[f64; 2]]) -> f64 {
    let mut least = f64::INFINITY;
    for [a, b] in one {
        for [c, d] in other {
            least = least.min((c - b).max(a - d).max(0.0));
        }
    }
    least
}

/// The depths within the root that every rule of a kind admits.
pub(super) fn admitted_by<'a>(
    depths: &Depths,
    rules: impl IntoIterator<Item = &'a Rule>,
    by: TipBy,
) -> Stretches {
    rules
        .into_iter()
        .filter(|rule| depths.is_judged(rule))
        .fold(vec![[0.0, depths.end_of_root().max(0.0)]], |common, rule| {
            both(&common, &depths.admitted(rule, by))
        })
}

/// The depths that satisfy every requirement once the tooth is extruded and bone is taken away at its sites.
pub(super) fn after_lift(depths: &Depths, extrusion: f64, bone: impl Fn(Site) -> f64) -> Stretches {
    let lifted = |rule: &Rule| -> Option<Rule> {
        let Kind::Margins(margins) = &rule.kind else { return None };
        if margins.iter().all(|margin| margin.lifted == Lifted::No) {
            return None;
        }
        let margins = margins.iter().map(|margin| {
            let by = match margin.lifted {
                Lifted::No => 0.0,
                Lifted::AtSite(site, by) => by * (extrusion + bone(site)),
                Lifted::ByExtrusion(by) => by * extrusion,
            };
            Margin { on_film: margin.on_film.shifted(by), by_stop: None, ..margin.clone() }
        });
        Some(Rule { kind: Kind::Margins(margins.collect()), admitted_on_film: None, ..rule.clone() })
    };
    depths.rules.iter().filter(|rule| rule.strength == Strength::Requirement && depths.is_judged(rule)).fold(
        vec![[0.0, depths.end_of_root().max(0.0)]],
        |common, rule| {
            let admitted = match lifted(rule) {
                Some(lifted) => depths.admitted(&lifted, TipBy::Film),
                None => depths.admitted(rule, TipBy::Film),
            };
            both(&common, &admitted)
        },
    )
}

/// What the ferrule asks of the length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ferrule {
    FallsShort,
    NotShort,
    NotKnown,
}

pub(super) fn find(depths: &Depths, ferrule: Ferrule) -> Found {
    let root = vec![[0.0, depths.end_of_root().max(0.0)]];
    let judged: Vec<Admitted<'_>> = depths
        .rules
        .iter()
        .filter(|rule| depths.is_judged(rule))
        .map(|rule| Admitted { rule, stretches: depths.admitted(rule, TipBy::Film) })
        .collect();
    let requirements: Vec<&Admitted<'_>> =
        judged.iter().filter(|it| it.rule.strength == Strength::Requirement).collect();
    let meet = |rules: &[&Admitted<'_>]| {
        rules.iter().fold(root.clone(), |common, rule| both(&common, &rule.stretches))
    };
    let mut found = Found { rules: rule_rows(depths, &judged, &root), ..Found::default() };
    if requirements.is_empty() {
        "too little is known: no requirement can be judged".clone_into(&mut found.marks.why);
        return found;
    }
    let Some([from, to]) = meet(&requirements).first().copied() else {
        found.conflicts = conflicts(depths, &requirements, &root);
        found.relaxations = relaxations(depths, &requirements, &root);
        "no depth satisfies every requirement".clone_into(&mut found.marks.why);
        return found;
    };
    let unjudged: Vec<String> =
        depths.cannot_be_judged(|rule| !depths.is_judged(rule)).map(|rule| rule.title.clone()).collect();
    if !unjudged.is_empty() {
        // What the others admit is no window: a rule of which nothing is known may exclude any of it.
        found.marks.why = format!("no depth can be given before these are judged: {}", list(&unjudged));
        found.judged_so_far = Some(from);
        return found;
    }
    let open: Vec<String> = depths.open_between(from, to).map(|rule| rule.id.clone()).collect();
    found.binding = binding(&requirements, from, to);
    let preferences: Vec<&Admitted<'_>> =
        judged.iter().filter(|it| it.rule.strength != Strength::Information).collect();
    let lengths: Vec<&Admitted<'_>> = preferences
        .iter()
        .filter(|it| it.rule.strength == Strength::Requirement || it.rule.limits == End::Shortest)
        .copied()
        .collect();
    let all = meet(&preferences).first().map(|stretch| stretch[0]);
    let long = meet(&lengths).first().map(|stretch| stretch[0]);
    let (recommended, why) = recommend(from, long, ferrule);
    found.with_preferences = recommended > from + SAME_MM;
    found.marks = Marks {
        shortest_allowed: Some(depths.at(from)),
        all_preferences_met: all.map(|depth| depths.at(depth)),
        deepest_allowed: Some(depths.at(to)),
        recommended: Some(depths.at(recommended)),
        why,
    };
    found.recommended = Some(recommended);
    found.window = Some(Window { from_mm: from, to_mm: to, open });
    found
}

fn recommend(shortest: f64, with_lengths: Option<f64>, ferrule: Ferrule) -> (f64, String) {
    let shortest_words = "the shortest that satisfies every requirement: tooth substance is worth more than \
                          retention";
    match (ferrule, with_lengths) {
        (Ferrule::FallsShort, Some(long)) => (
            long,
            "the ferrule falls short: the shortest that also meets the preferences about length".to_owned(),
        ),
        (Ferrule::FallsShort, None) => (
            shortest,
            format!(
                "{shortest_words}; the ferrule falls short, and no admissible depth meets the preferences about \
                 length as well"
            ),
        ),
        (Ferrule::NotShort, _) => (shortest, shortest_words.to_owned()),
        (Ferrule::NotKnown, _) => (
            shortest,
            format!(
                "{shortest_words}; whether the ferrule falls short is not decided, and if it does, longer"
            ),
        ),
    }
}

fn rule_rows(depths: &Depths, judged: &[Admitted<'_>], root: &[[f64; 2]]) -> Vec<RuleRow> {
    depths
        .rules
        .iter()
        .map(|rule| {
            let admitted = judged.iter().find(|it| std::ptr::eq(it.rule, rule));
            RuleRow {
                rule: rule.id.clone(),
                title: rule.title.clone(),
                bound: rule.bound.clone(),
                strength: rule.strength,
                limits: rule.limits,
                judged: admitted.is_some(),
                admits_mm: admitted.map(|it| both(root, &it.stretches)).unwrap_or_default(),
                unjudged_mm: both(root, &depths.unjudged(rule)),
                source: rule.source.clone(),
            }
        })
        .collect()
}

fn binding(requirements: &[&Admitted<'_>], from: f64, to: f64) -> Vec<Binding> {
    let at = |end: End, depth: f64| {
        let end_of = |[from, to]: &[f64; 2]| if end == End::Shortest { *from } else { *to };
        let rule = requirements
            .iter()
            .find(|it| it.stretches.iter().any(|stretch| (end_of(stretch) - depth).abs() < SAME_MM))
            .map_or_else(|| "root".to_owned(), |it| it.rule.id.clone());
        Binding { end, rule }
    };
    vec![at(End::Shortest, from), at(End::Deepest, to)]
}

/// The smallest sets of requirements that exclude one another: on a line these are single rules and pairs, unless a
/// rule admits several stretches.
fn conflicts(depths: &Depths, requirements: &[&Admitted<'_>], root: &[[f64; 2]]) -> Vec<Conflict> {
    let mut conflicts = Vec::new();
    let (alone, possible): (Vec<&Admitted<'_>>, Vec<&Admitted<'_>>) =
        requirements.iter().copied().partition(|it| both(root, &it.stretches).is_empty());
    for it in &alone {
        let missed = if it.stretches.is_empty() { depths.missed_by(it.rule) } else { None };
        let by = missed.map_or_else(|| apart(root, &it.stretches), |(by, _)| by);
        conflicts.push(Conflict {
            rules: vec![it.rule.id.clone()],
            apart_mm: if by.is_finite() { by } else { 0.0 },
            at_best_mm: missed.map(|(_, best)| best.into()),
            words: format!("nowhere in this root is it sure: {} ({})", it.rule.title, it.rule.bound),
        });
    }
    for (index, one) in possible.iter().enumerate() {
        for other in possible.iter().skip(index + 1) {
            let [here, there] = [one, other].map(|it| both(root, &it.stretches));
            if both(&here, &there).is_empty() {
                let (first, second) =
                    if one.rule.limits == End::Shortest { (one, other) } else { (other, one) };
                conflicts.push(Conflict {
                    rules: vec![first.rule.id.clone(), second.rule.id.clone()],
                    apart_mm: apart(&here, &there),
                    at_best_mm: None,
                    words: format!(
                        "{} ({}) and {} ({}) exclude each other",
                        first.rule.title, first.rule.bound, second.rule.title, second.rule.bound
                    ),
                });
            }
        }
    }
    if conflicts.is_empty() {
        let titles: Vec<String> = possible.iter().map(|it| it.rule.title.clone()).collect();
        conflicts.push(Conflict {
            rules: possible.iter().map(|it| it.rule.id.clone()).collect(),
            apart_mm: 0.0,
            at_best_mm: None,
            words: format!("{} exclude one another only all together", list(&titles)),
        });
    }
    conflicts.sort_by(|one, other| {
        one.rules.len().cmp(&other.rules.len()).then(other.apart_mm.total_cmp(&one.apart_mm))
    });
    conflicts
}

fn relaxations(depths: &Depths, requirements: &[&Admitted<'_>], root: &[[f64; 2]]) -> Vec<Relaxation> {
    requirements
        .iter()
        .filter_map(|without| {
            let opened = requirements
                .iter()
                .filter(|it| !std::ptr::eq(it.rule, without.rule))
                .fold(root.to_vec(), |common, it| both(&common, &it.stretches));
            let [from, to] = opened.first().copied()?;
            let least = if without.stretches.is_empty() {
                depths.missed_by(without.rule).map_or(0.0, |(by, _)| by)
            } else {
                apart(&opened, &without.stretches)
            };
            let post_depth = |depth: f64| depths.post_depth.as_ref().map(|track| track.value(depth));
            Some(Relaxation {
                without: without.rule.id.clone(),
                least_mm: least,
                from_mm: from,
                to_mm: to,
                post_depth_mm: post_depth(from).zip(post_depth(to)).map(|(from, to)| [from, to]),
                warning: without.rule.warning.to_owned(),
            })
        })
        .collect()
}

/// A tip coronal of the crest band, with every other requirement satisfied; like any depth it is not given while one of
/// them cannot be judged.
pub(super) fn coronal(depths: &Depths, ferrule: Verdict) -> Option<CoronalAlternative> {
    if depths.cannot_be_judged(|rule| !depths.is_judged(rule)).next().is_some() {
        return None;
    }
    let band = depths.coronal.as_ref().filter(|band| depths.is_judged(band))?;
    let others =
        depths.rules.iter().filter(|rule| rule.strength == Strength::Requirement && rule.id != band.id);
    let [from, to] = both(&admitted_by(depths, others, TipBy::Film), &depths.admitted(band, TipBy::Film))
        .first()
        .copied()?;
    let without_crest_rules = |depth: f64| -> Depth {
        let mut at = depths.at(depth);
        at.rules.retain(|rule| rule.rule != band.id);
        at
    };
    Some(CoronalAlternative {
        from: without_crest_rules(from),
        to: without_crest_rules(to),
        ferrule,
        words: "keeps the tip off the crest too, but leaves a short lever in root that bone does not hold; it needs \
                a ferrule of 2 mm at three sites at least; never recommended"
            .to_owned(),
    })
}
