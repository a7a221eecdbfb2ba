//! Sentences of a plan, for its text and for a window alike: the same thing is said in the same words everywhere.

mod recovery;

pub(in crate::report) use recovery::leaves_it_as_it_is;

pub use recovery::{
    NO_SITE_KNOWN, as_it_is, ferrule_wanted, lift, margin_apically, post_after, sites_after, steps,
    tooth_after, way_verdict, weeks,
};

use crate::case::{Case, Fdi, Strength, Verdict};
use crate::plan::{
    Amount, ChosenBy, Conflict, Core, CoreFrom, CoreWithoutPost, CoronalAlternative, Depth, DrillRow,
    DrilledLevel, Drills, End, Need, Plan, Relaxation, RuleAt, RuleRow, Settle, SettleState, WithoutPost,
};
use crate::report::sheet::{number, size, with_spread};
use crate::report::words::probability_words;
use crate::wording::list;

/// A value with half its 95 % interval: "1.53 ± 0.64".
pub fn amount(amount: &Amount) -> String {
    with_spread(amount)
}

/// A length without an uncertainty of its own, to the hundredth of a mm.
pub fn length(length: f64) -> String {
    number(length)
}

/// The name of a rule.
pub fn rule_title<'p>(plan: &'p Plan, id: &'p str) -> &'p str {
    if id == "root" {
        return "the root itself";
    }
    plan.rules.iter().find(|rule| rule.rule == id).map_or(id, |rule| rule.title.as_str())
}

/// A site as this tooth's dentist says it.
pub fn site<'w>(case: &Case, word: &'w str) -> &'w str {
    if word == "lingual" && case.tooth.fdi.is_some_and(Fdi::is_upper) { "palatal" } else { word }
}

/// Something red to settle, with the number it rests on.
pub fn settle(row: &Settle) -> String {
    match (&row.amount, row.probability) {
        (Some(amount), Some(probability)) => {
            format!("{} ({} mm, p {})", row.words, with_spread(amount), probability_words(probability))
        }
        _ => row.words.clone(),
    }
}

/// What is still to be settled before a post is planned, in one sentence; `None` where nothing is.
pub fn not_settled(plan: &Plan) -> Option<String> {
    let red: Vec<String> =
        plan.settle.iter().filter(|row| row.state == SettleState::Red).map(settle).collect();
    let blank = plan.settle.len() - red.len();
    let mut words = red;
    if blank > 0 {
        words.push(format!("{blank} of the first look not looked at"));
    }
    (!words.is_empty()).then(|| format!("settle before planning a post: {}", words.join("; ")))
}

/// How much speaks for a core without a post.
pub const fn outlook(outlook: WithoutPost) -> &'static str {
    match outlook {
        WithoutPost::SpeaksForIt => "speaks for it",
        WithoutPost::ToBeWeighed => "to be weighed",
        WithoutPost::LittleToHoldOn => "little to hold on",
        WithoutPost::NotKnown => "not known",
    }
}

/// What speaks for a core without a post.
pub fn without_a_post(row: &CoreWithoutPost) -> String {
    if row.outlook == WithoutPost::NotKnown {
        return row.words.clone();
    }
    let mut parts = vec![outlook(row.outlook).to_owned()];
    if let Some(walls) = row.walls_standing {
        parts.push(format!("{walls} of 4 walls standing"));
    }
    if let Some(chamber) = &row.chamber_depth_mm {
        parts.push(format!("chamber {} mm deep", with_spread(chamber)));
    }
    format!("{}: {}", parts.join(", "), row.words)
}

/// The core's height and where that comes from.
pub fn core(core: &Core) -> String {
    let from = match core.from {
        CoreFrom::Built => "as it is on the film",
        CoreFrom::Planned => "as planned",
        CoreFrom::SpaceLessCrown => "planned: the interocclusal space less the crown's thickness",
    };
    format!("{} mm high, {from}", with_spread(&core.height_mm))
}

/// Whether ferrule and core make an abutment high enough.
pub fn abutment(core: &Core) -> String {
    let wanted = size(core.abutment_wanted_mm);
    match (&core.abutment_mm, core.abutment_probability) {
        (Some(abutment), Some(probability)) => format!(
            "{} mm of ferrule and core; at least {wanted} mm is wanted (common practice): {} (p {})",
            with_spread(abutment),
            core.abutment.words(),
            probability_words(probability)
        ),
        _ => format!("at least {wanted} mm of ferrule and core is wanted (common practice): undecided"),
    }
}

/// From where a post's depth counts.
pub const fn depth_from(case_has_several_roots: bool) -> &'static str {
    if case_has_several_roots { "from the orifice" } else { "from the core base" }
}

/// A depth, below where it counts from and from the stop.
pub fn depth(depth: &Depth) -> String {
    let post = post_depth(depth);
    match &depth.stop_depth_mm {
        Some(stop) => format!("{post} (from the stop {} mm)", with_spread(stop)),
        None => post,
    }
}

/// A depth by itself: "6.62 ± 0.32 mm".
pub fn post_depth(depth: &Depth) -> String {
    depth.post_depth_mm.as_ref().map_or_else(
        || format!("{} mm along the canal", number(depth.along_canal_mm)),
        |post| format!("{} mm", with_spread(post)),
    )
}

/// What keeps a post from being shorter or deeper.
pub const fn not_beyond(end: End) -> &'static str {
    match end {
        End::Shortest => "not shorter for",
        End::Deepest => "not deeper for",
    }
}

/// Requirements that are not judged everywhere in the window; `None` where all are.
pub fn still_open(plan: &Plan) -> Option<String> {
    let window = plan.window.as_ref().filter(|window| !window.open.is_empty())?;
    let open: Vec<String> = window.open.iter().map(|id| rule_title(plan, id).to_owned()).collect();
    Some(format!("{}: not judged everywhere, so the window may be narrower", list(&open)))
}

/// How a rule stands at a depth, beside its name: probability, what is to spare or short, the worst place, all three of
/// that place alone, and what it would take to judge it everywhere.
pub fn beside_rule(rule: &RuleAt) -> String {
    let mut beside = Vec::new();
    if let Some(probability) = rule.worst_probability {
        beside.push(format!("p {}", probability_words(probability)));
    }
    if let Some(margin) = rule.margin_mm.as_ref().filter(|_| rule.verdict != Verdict::Meets) {
        let short = if margin.value < 0.0 { "short by" } else { "to spare" };
        let mut shown = *margin;
        shown.value = shown.value.abs();
        beside.push(format!("{short} {} mm", with_spread(&shown)));
    }
    if let Some(worst) = rule.worst.as_ref().filter(|_| rule.verdict != Verdict::Meets) {
        beside.push(worst.clone());
    }
    let mut words = beside.join("; ");
    if !rule.not_known.is_empty() {
        let needs = format!("needs {}", list(&rule.not_known));
        words = if words.is_empty() { needs } else { format!("{words}; {needs}") };
    }
    words
}

/// A rule with how it stands at a depth.
pub fn rule_at(row: &RuleRow, rule: &RuleAt) -> String {
    let mut words = format!("{}: {}", row.title, row.bound);
    let known = RuleAt { not_known: Vec::new(), ..rule.clone() };
    let beside = beside_rule(&known);
    // What is known of it is no answer at a depth where something is not.
    let is_open = rule.verdict == Verdict::Undecided && !rule.not_known.is_empty();
    if is_open {
        words.push_str("; not judged here at every place");
    }
    if !beside.is_empty() {
        let where_known = if is_open { "where it is: " } else { "" };
        words = format!("{words} ({where_known}{beside})");
    }
    if !rule.not_known.is_empty() {
        words = format!("{words}; needs {}", list(&rule.not_known));
    }
    if row.strength != Strength::Information {
        words = format!("{words} [{}]", row.strength.words());
    }
    words
}

/// The depths a rule admits, in words.
pub fn admits(row: &RuleRow) -> String {
    if row.admits_mm.is_empty() {
        return if row.judged { "admits no depth in this root" } else { "not judged yet" }.to_owned();
    }
    let words = |stretches: &[[f64; 2]]| {
        let each = stretches.iter().map(|[from, to]| format!("{} to {}", length(*from), length(*to)));
        each.collect::<Vec<_>>().join(" and ")
    };
    let admits = format!("admits {} mm", words(&row.admits_mm));
    // Halfway between two sections a single depth may be further than 1 mm from both: that is no stretch to be named.
    let unjudged: Vec<[f64; 2]> =
        row.unjudged_mm.iter().copied().filter(|[from, to]| to - from > SHORTEST_STRETCH_MM).collect();
    if unjudged.is_empty() {
        return admits;
    }
    format!("{admits}; not judged at every place from {} mm", words(&unjudged))
}

/// A stretch of depths shorter than this is not named, mm: its ends would read alike.
const SHORTEST_STRETCH_MM: f64 = 0.01;

/// Rules that exclude each other, and by how much.
pub fn conflict(conflict: &Conflict) -> String {
    let by = match (conflict.rules.len(), &conflict.at_best_mm) {
        (1, Some(best)) => format!(
            "at best {} mm to spare, where 95 % would take {} mm more",
            with_spread(best),
            number(conflict.apart_mm)
        ),
        _ => format!("by {} mm", number(conflict.apart_mm)),
    };
    format!("{}: {by}", conflict.words)
}

/// What giving up a rule opens, and what it costs.
pub fn relaxation(plan: &Plan, relaxation: &Relaxation) -> String {
    let [from, to] = relaxation.post_depth_mm.unwrap_or([relaxation.from_mm, relaxation.to_mm]);
    format!(
        "\"{}\", if it gives way by more than {} mm; given up wholly: {} to {} mm. Warning: {}",
        rule_title(plan, &relaxation.without),
        number(relaxation.least_mm),
        number(from),
        number(to),
        relaxation.warning
    )
}

/// What stands where giving up one requirement opens nothing.
pub const NOTHING_OPENS: &str = "giving up one requirement alone opens nothing";

/// A tip coronal of the crest, with its condition.
pub fn coronal(alternative: &CoronalAlternative) -> String {
    format!(
        "{} to {}; {}; that ferrule: {}",
        depth(&alternative.from),
        depth(&alternative.to),
        alternative.words,
        alternative.ferrule.words()
    )
}

/// What is known of canal and tooth before a drill is chosen; empty where nothing is.
pub fn about_drills(drills: &Drills) -> String {
    let mut words = Vec::new();
    if let Some(canal) = &drills.canal_at_tip_mm {
        words.push(format!("canal at the planned tip {} mm wide", with_spread(canal)));
    }
    if let (Some(most), Some(source)) = (drills.usual_most_mm, &drills.usual_source) {
        words.push(format!("this tooth usually takes {} mm at most ({source})", size(most)));
    }
    words.join("; ")
}

/// A drill by its proper name, with its diameter: "Peeso drill, size 2, 0.9 mm".
pub fn drill(drill: &DrillRow) -> String {
    format!("{}, {} mm", drill.meaning, size(drill.diameter_mm))
}

/// A drill as it is typed to choose it, with its diameter: "peeso-2 0.9 mm".
pub fn typed_drill(drill: &DrillRow) -> String {
    format!("{} {} mm", drill.drill, size(drill.diameter_mm))
}

/// The thinner wall that stays at a level, and the part of the root's width the space takes.
pub fn drilled_level(level: &DrilledLevel) -> String {
    let thinner = level.mesial_mm.value.min(level.distal_mm.value);
    format!("{}/{}", number(thinner), number(level.share_of_root.value))
}

/// The thinnest wall a drill leaves at any level, and the largest part of the root's width it takes; `None` where no
/// level is known.
pub fn thinnest(drill: &DrillRow) -> Option<String> {
    let walls = drill.levels.iter().flat_map(|level| [level.mesial_mm.value, level.distal_mm.value]);
    let wall = walls.min_by(f64::total_cmp)?;
    let share = drill.levels.iter().map(|level| level.share_of_root.value).max_by(f64::total_cmp)?;
    Some(format!("thinnest wall {} mm, at most {} of the root", number(wall), number(share)))
}

/// How a drill stands: its walls, whether it fills the canal, how it came to be chosen.
pub fn drill_notes(drill: &DrillRow) -> String {
    let mut notes = vec![format!("walls: {}", drill.walls.words())];
    if drill.fills_the_canal == Some(false) {
        notes.push("narrower than the canal".to_owned());
    }
    if drill.above_the_usual {
        notes.push("wider than usual here".to_owned());
    }
    notes.extend(drill.chosen_by.map(|by| chosen_by(by).to_owned()));
    notes.join("; ")
}

const fn chosen_by(by: ChosenBy) -> &'static str {
    match by {
        ChosenBy::Asked => "asked for",
        ChosenBy::Case => "the case's",
        ChosenBy::Proposed => "proposed: the smallest as wide as the canal",
    }
}

/// Both walls that stay at each level.
pub fn walls_left(drill: &DrillRow) -> String {
    let walls: Vec<String> = drill
        .levels
        .iter()
        .map(|level| {
            format!(
                "{} mesial {}, distal {} mm",
                level.level,
                with_spread(&level.mesial_mm),
                with_spread(&level.distal_mm)
            )
        })
        .collect();
    format!("walls with {}: {}", drill.meaning, walls.join("; "))
}

/// What the stop of an instrument rests on.
pub fn stop_rests_on(plan: &Plan) -> &str {
    plan.card.stop_rests_on.as_deref().unwrap_or("not named: name it in words before setting a stop")
}

/// How well the depth is known, where there is a setting.
pub fn setting_known_to(plan: &Plan) -> Option<String> {
    let half = plan.card.half_width_mm.filter(|_| plan.card.set_at.is_some())?;
    Some(format!(
        "SET AT and NEVER BEYOND are settings, the one rounded up and the other down: they have no ± of their own; where the \
         tip then lies is known to ± {half:.2} mm, the setting of the stop included (sd {} mm)",
        plan.card.stop_setting_sd_mm
    ))
}

/// A planned tip that lies no further than this from the recommended depth is that depth, mm.
const AS_RECOMMENDED_MM: f64 = 0.05;

/// What somebody must know whose planned tip lies elsewhere than the card's setting: the card is for the recommended depth.
pub fn planned_elsewhere(plan: &Plan) -> Option<String> {
    let card = &plan.card;
    let (set_at, tip) = (card.set_at.as_ref()?, card.planned_tip_mm.as_ref()?);
    let longer = tip.value - set_at.set_mm;
    let at = with_spread(tip);
    if let Some(most) = card.never_beyond.as_ref().filter(|most| tip.value > most.set_mm + AS_RECOMMENDED_MM)
    {
        let beyond = tip.value - most.set_mm;
        return Some(format!(
            "the tip planned on the film lies {at} mm from the stop, {beyond:.1} mm beyond NEVER BEYOND: plan it less deep"
        ));
    }
    let recommended = plan.marks.recommended.as_ref().and_then(|depth| depth.stop_depth_mm.as_ref());
    if longer.abs() > 0.5
        && recommended.is_some_and(|depth| (tip.value - depth.value).abs() <= AS_RECOMMENDED_MM)
    {
        return Some(format!(
            "the tip planned on the film is the recommended depth, {at} mm from the stop; SET AT lies {:.1} mm deeper, because \
             there the setting of the stop may be off, too, and it is set to half a millimetre",
            -longer
        ));
    }
    // A stop is set to half a millimetre.
    (longer.abs() > 0.5).then(|| {
        format!(
            "the tip planned on the film lies {at} mm from the stop, {:.1} mm {} than SET AT: these settings are for the \
             recommended depth, not for that tip",
            longer.abs(),
            if longer > 0.0 { "further" } else { "less far" },
        )
    })
}

/// Whether a rule at a setting is to be read at the chair: requirements always, preferences where they are not met.
pub fn matters_at_the_chair(rule: &RuleAt) -> bool {
    match rule.strength {
        Strength::Requirement => true,
        Strength::Preference => rule.verdict != Verdict::Meets,
        Strength::Information => false,
    }
}

/// What a plan needs, with the reading's key where it is one.
pub fn wanted_for(need: &Need) -> String {
    format!("for {}", list(&need.wanted_for))
}
