//! Sentences of ferrule recovery.

use super::site;
use crate::case::{Case, Site, Strength, Verdict};
use crate::plan::{Amount, Recovery, RecoveryOption, SiteAfter, Way, WayVerdict, Weeks};
use crate::report::sheet::{number, size, with_spread};
use crate::report::words::probability_words;
use crate::wording::list;

/// What a ferrule takes, as it is asked for.
pub fn ferrule_wanted(recovery: &Recovery) -> String {
    format!(
        "wanted: ferrule {} mm, margin to crest {} mm",
        size(recovery.ferrule_wanted_mm),
        size(recovery.margin_to_crest_wanted_mm)
    )
}

/// Where nothing can be reckoned.
pub const NO_SITE_KNOWN: &str =
    "Of no site is it known how much wall stands above the bone: nothing can be reckoned yet.";

/// The lift a site needs; where it needs none, what it has to spare.
pub fn lift(needed: &Amount) -> String {
    if needed.value > 0.0 {
        return with_spread(needed);
    }
    format!("none; {} to spare", with_spread(&Amount { value: -needed.value, ..*needed }))
}

/// How far down the root the margin has to go; where the ferrule is there, no way at all.
pub fn margin_apically(down: &Amount) -> String {
    if down.value > 0.0 { with_spread(down) } else { "none".to_owned() }
}

/// Crown, root and width as they are; empty where nothing is known.
pub fn as_it_is(recovery: &Recovery) -> String {
    amounts(&[
        ("crown to root", recovery.crown_to_root.as_ref(), ""),
        ("root in bone", recovery.root_in_bone_mm.as_ref(), " mm"),
        ("root at the margin", recovery.root_width_at_margin_mm.as_ref(), " mm wide"),
    ])
}

fn amounts(amounts: &[(&str, Option<&Amount>, &str)]) -> String {
    let words: Vec<String> = amounts
        .iter()
        .filter_map(|(name, amount, unit)| Some(format!("{name} {}{unit}", with_spread((*amount)?))))
        .collect();
    words.join(", ")
}

/// What is done to the tooth on a way, and how long it takes.
pub fn steps(case: &Case, recovery: &Recovery, option: &RecoveryOption) -> String {
    let mut steps = Vec::new();
    if let Some(lift) = option.extrusion_mm.filter(|lift| *lift > 0.0) {
        steps.push(format!("tooth {} mm coronally", number(lift)));
    }
    let bone: Vec<String> = option
        .sites
        .iter()
        .filter(|it| it.bone_mm > 0.0)
        .map(|it| format!("{} {} mm", site(case, it.site.word()), number(it.bone_mm)))
        .collect();
    if !bone.is_empty() {
        steps.push(format!("bone removed: {}", bone.join(", ")));
    }
    // What lifts nothing may still cut the margin anew; of the others that is said with what they leave.
    let cut: Vec<String> = margins_cut(recovery)
        .map(|(of, down)| format!("{} {} mm", site(case, of.word()), with_spread(down)))
        .collect();
    if option.needs_no_lift() && !cut.is_empty() {
        steps.push(format!("margin deeper: {}", cut.join(", ")));
    }
    if option.way == Way::Both && !option.needs_no_lift() {
        steps.push(format!("extrusion takes {} of the lift", size(recovery.extrusion_share)));
    }
    steps.extend(option.weeks.iter().map(weeks));
    steps.join("; ")
}

/// The sites at which the margin goes deeper, and by how much; what rounds to nothing is not cut.
fn margins_cut(recovery: &Recovery) -> impl Iterator<Item = (Site, &Amount)> {
    let down = recovery.sites.iter().filter_map(|it| Some((it.site, it.margin_down_mm.as_ref()?)));
    down.filter(|(_, down)| down.value >= 0.005)
}

/// Whether a way leaves the tooth as it is: it lifts nothing, and it is known that no margin goes deeper.
pub(in crate::report) fn leaves_it_as_it_is(recovery: &Recovery, option: &RecoveryOption) -> bool {
    let all_known = recovery.sites.iter().all(|it| it.margin_down_mm.is_some());
    option.needs_no_lift() && all_known && margins_cut(recovery).next().is_none()
}

/// Weeks of something: "holding 4 to 6 weeks". No line breaks between the numbers and their words.
pub fn weeks(weeks: &Weeks) -> String {
    let Weeks { of, from, to } = weeks;
    let unit = if *to == 1 { "week" } else { "weeks" };
    let range = if from == to { from.to_string() } else { format!("{from}\u{a0}to\u{a0}{to}") };
    format!("{of}\u{a0}{range}\u{a0}{unit}")
}

/// What a way leaves of each site: a line for each quantity that is known.
pub fn sites_after(case: &Case, option: &RecoveryOption) -> Vec<String> {
    let by_site = |name: &str, of: fn(&SiteAfter) -> Option<&Amount>| {
        let words: Vec<String> = option
            .sites
            .iter()
            .filter_map(|it| Some(format!("{} {}", site(case, it.site.word()), with_spread(of(it)?))))
            .collect();
        (!words.is_empty()).then(|| format!("{name}: {}", words.join(", ")))
    };
    let lines = [
        by_site("margin to crest", |it| it.margin_to_crest_mm.as_ref()),
        by_site("the post's tip beyond the crest", |it| it.tip_beyond_crest_mm.as_ref()),
        by_site("crest to furcation", |it| it.crest_to_furcation_mm.as_ref()),
    ];
    lines.into_iter().flatten().collect()
}

/// What a way leaves of the whole tooth; empty where nothing is known.
pub fn tooth_after(option: &RecoveryOption) -> String {
    amounts(&[
        ("crown to root", option.crown_to_root.as_ref(), ""),
        ("root in bone", option.root_in_bone_mm.as_ref(), " mm"),
        ("root at the new margin", option.root_width_at_margin_mm.as_ref(), " mm wide"),
        ("core", option.core_height_mm.as_ref(), " mm"),
        ("seal", option.seal_length_mm.as_ref(), " mm"),
    ])
}

/// The depths a post can have after a way.
pub fn post_after(option: &RecoveryOption) -> Option<String> {
    let [from, to] = option.post_window_mm?;
    Some(format!("post depth then {} to {} mm along the canal", number(from), number(to)))
}

/// A verdict on a way; `None` where it need not be read: a preference that is met.
pub fn way_verdict(case: &Case, verdict: &WayVerdict) -> Option<String> {
    if verdict.verdict == Verdict::Meets && verdict.strength != Strength::Requirement {
        return None;
    }
    let mut beside = Vec::new();
    if let Some(probability) = verdict.probability {
        beside.push(format!("p {}", probability_words(probability)));
    }
    if let Some(worst) = verdict.worst.as_deref().filter(|_| verdict.verdict != Verdict::Meets) {
        beside.push(site(case, worst).to_owned());
    }
    if !verdict.not_known.is_empty() {
        let sites: Vec<String> = verdict.not_known.iter().map(|it| site(case, it).to_owned()).collect();
        beside.push(format!("not known: {}", list(&sites)));
    }
    let beside = if beside.is_empty() { String::new() } else { format!(" ({})", beside.join("; ")) };
    Some(format!("{}: {}{beside} [{}]", verdict.title, verdict.verdict.words(), verdict.strength.words()))
}
