//! The card for the chair: what an instrument's stop is set to, and what it never goes beyond.

use super::STOP_SETTING_SD_MM;
use super::depths::Depths;
use super::needs;
use super::rows::{Card, End, Need, StopSetting};
use super::rule::{Rule, TipBy};
use super::track::Track;
use super::window::{Found, admitted_by, both};
use crate::calibration::Library;
use crate::case::{Case, Strength};
use crate::measure::{Source, Variances};
use crate::quantity::COVERAGE_FACTOR;
use crate::wording::list;

/// No setting is printed where half the 95 % interval is wider, mm.
const WIDEST_HALF_MM: f64 = 1.0;
/// To what settings are rounded, and to what where the window is too narrow for that, mm.
const ROUNDED_MM: f64 = 0.5;
const FINELY_ROUNDED_MM: f64 = 0.1;

/// What is always done, whatever the numbers.
const ALWAYS: [&str; 3] = [
    "film once the filling is removed to the depth that is set, before the canal is widened",
    "the stop reference must be the one the film shows; if it is cut down, measure again",
    "rubber dam; no end-cutting drill",
];

/// What is said where requirements exclude one another.
const NONE_ADMISSIBLE: &str = "no setting: no depth is admissible";

/// What is said where the root holds a post already.
pub(super) const POST_IS_THERE: &str =
    "a post is in this root: it has to come out first, and what is set here is for a new one";

/// What is said where neither the canal nor the beginning of its curve is placed, nor the curve ruled out.
pub(super) const TAKEN_AS_STRAIGHT: &str =
    "the canal is taken as straight: where it bends, place it, and where its curve begins";

/// A card without numbers.
pub(super) fn empty(case: &Case) -> Card {
    Card {
        stop_rests_on: case.clinical.stop_reference_name.clone(),
        stop_setting_sd_mm: STOP_SETTING_SD_MM,
        words: vec!["no setting: too little is known".to_owned()],
        always: ALWAYS.map(str::to_owned).to_vec(),
        ..Card::default()
    }
}

pub(super) fn card(
    depths: &Depths,
    found: &Found,
    case: &Case,
    library: &Library,
    variances: impl Fn(&Track, f64) -> Variances,
    wanted: &mut Vec<Need>,
) -> Card {
    let mut card = Card { instruments: instruments(depths, library), words: Vec::new(), ..empty(case) };
    if !found.conflicts.is_empty() {
        // Nothing that is still missing could give a setting.
        card.words.push(NONE_ADMISSIBLE.to_owned());
        return card;
    }
    if card.stop_rests_on.is_none() {
        needs::reading(wanted, "stop_reference_name", "what the stop rests on, in words", "chairside card");
    }
    if let Err(missing) = &depths.stop {
        needs::lacking(wanted, std::slice::from_ref(missing), "chairside card");
    }
    let stop = match &depths.stop {
        Ok(stop) => stop,
        Err(missing) => {
            let what = needs::words(missing);
            card.words
                .push(format!("no setting: what the depth is measured from or along is missing: {what}"));
            return card;
        }
    };
    let open: Vec<String> = depths
        .cannot_be_judged(|rule| !depths.is_judged(rule) || !rule.missing.is_empty())
        .map(|rule| rule.title.clone())
        .collect();
    if !open.is_empty() {
        card.words.push(format!("no setting before these are judged: {}", list(&open)));
        return card;
    }
    if found.window.is_none() {
        card.words.push(NONE_ADMISSIBLE.to_owned());
        return card;
    }
    let requirements = || {
        depths.rules.iter().filter(|rule| rule.strength == Strength::Requirement && depths.is_judged(rule))
    };
    let admitted = admitted_by(depths, requirements(), TipBy::Stop);
    let Some([shortest, deepest]) = admitted.first().copied() else {
        card.words.push(
            "no setting: with the uncertainty of setting a stop, no depth satisfies every requirement"
                .to_owned(),
        );
        return card;
    };
    let long = found.with_preferences.then(|| {
        let preferred = |rule: &&Rule| rule.strength == Strength::Preference && rule.limits == End::Shortest;
        let lengths = depths.rules.iter().filter(preferred);
        both(&[[shortest, deepest]], &admitted_by(depths, lengths, TipBy::Stop)).first().map(|it| it[0])
    });
    if long == Some(None) {
        card.words.push(
            "the preferences about length cannot be met once the stop's own uncertainty counts: the shortest depth \
             stands here"
                .to_owned(),
        );
    }
    let shortest = long.flatten().unwrap_or(shortest);
    let half_width = |depth: f64| {
        let variance = stop.at(depth).variance() + STOP_SETTING_SD_MM * STOP_SETTING_SD_MM;
        COVERAGE_FACTOR * variance.sqrt()
    };
    let widest = half_width(shortest).max(half_width(deepest));
    card.half_width_mm = Some(widest);
    if widest > WIDEST_HALF_MM {
        card.words.push(format!(
            "no setting: the depth is known only to ± {widest:.1} mm, and a setting needs ± {WIDEST_HALF_MM:.1}; {}",
            film_wanted(&variances(stop, deepest))
        ));
        return card;
    }
    settings(&mut card, depths, stop, [shortest, deepest]);
    let open: Vec<String> = depths.open_between(shortest, deepest).map(|rule| rule.title.clone()).collect();
    if card.set_at.is_some() && !open.is_empty() {
        card.words.push(format!(
            "not judged at every depth: {}; settle that before a drill goes down",
            list(&open)
        ));
    }
    card
}

/// Both settings, rounded inwards so that each satisfies every rule itself.
fn settings(card: &mut Card, depths: &Depths, stop: &Track, [shortest, deepest]: [f64; 2]) {
    let (low, high) = (stop.value(shortest), stop.value(deepest));
    let inwards = |step: f64| {
        // A tenth is no binary fraction: what is on the step but for the last digits counts as on it.
        const SLACK: f64 = 1e-9;
        ((low / step - SLACK).ceil() * step, (high / step + SLACK).floor() * step)
    };
    let (mut set, mut never) = inwards(ROUNDED_MM);
    let mut step = ROUNDED_MM;
    if set > never {
        (set, never) = inwards(FINELY_ROUNDED_MM);
        step = FINELY_ROUNDED_MM;
        card.words.push("window narrower than a stop can be set".to_owned());
    }
    if set > never {
        card.words.push(format!("no setting: the window is under {FINELY_ROUNDED_MM} mm wide"));
        return;
    }
    let setting = |set_mm: f64| {
        let depth = depth_of(stop, set_mm, [shortest, deepest]);
        StopSetting { set_mm, rules: depths.judged(depth, TipBy::Stop) }
    };
    card.rounded_to_mm = Some(step);
    card.set_at = Some(setting(set));
    card.never_beyond = Some(setting(never));
}

/// The depth at which the stop stands at a setting.
fn depth_of(stop: &Track, setting: f64, [mut from, mut to]: [f64; 2]) -> f64 {
    for _ in 0..60 {
        let middle = f64::midpoint(from, to);
        if stop.value(middle) < setting {
            from = middle;
        } else {
            to = middle;
        }
    }
    f64::midpoint(from, to)
}

/// The film that would give a setting, by what the depth owes most of its uncertainty to.
fn film_wanted(variances: &Variances) -> &'static str {
    let most =
        variances.shares().max_by(|(_, one), (_, other)| one.total_cmp(other)).map(|(source, _)| source);
    match most {
        Some(Source::Reference) => {
            "a film with an instrument in this canal, its stop on the reference and its length read off a gauge, would \
             give one"
        }
        Some(Source::Placing) => {
            "a sharper film, or the mean of several placings of stop reference and canal, would give one"
        }
        Some(Source::Ratio | Source::Magnification) => {
            "a film with an instrument of known length along the tooth, in this canal, would give one"
        }
        Some(Source::Parallax) => "a film whose vertical angle is known, by an aiming device, would give one",
        Some(Source::Reading) | None => "a film with an instrument at its stop in this canal would give one",
    }
}

/// What goes down the canal, in order: what removes the filling, then the drills up to the chosen one.
fn instruments(depths: &Depths, library: &Library) -> Vec<String> {
    let mut instruments = vec!["what removes the root filling".to_owned()];
    let Some(drill) = &depths.drill else { return instruments };
    let mut before: Vec<_> = library
        .objects()
        .iter()
        .filter(|object| object.family.is_some() && object.family == drill.object.family)
        .filter(|object| object.diameter_mm.is_some_and(|diameter| diameter < drill.diameter))
        .collect();
    before.sort_by(|one, other| {
        one.diameter_mm.partial_cmp(&other.diameter_mm).unwrap_or(std::cmp::Ordering::Equal)
    });
    instruments.extend(before.iter().map(|object| object.name.clone()));
    instruments.push(drill.object.name.clone());
    instruments
}
