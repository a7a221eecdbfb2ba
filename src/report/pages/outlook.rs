//! What can be done: what is lacking, the ways to more ferrule, and every option there is to be offered.

use super::piece::{Column, Piece, Run, Setter, together, verdict_runs};
use crate::plan::{NO_LIFT, Plan, RecoveryOption, RecoverySite, WithoutPost};
use crate::report::drawing::Names;
use crate::report::plan::recovery::{after, verdicts};
use crate::report::plan::words::{
    leaves_it_as_it_is, lift, margin_apically, outlook, site, steps, wanted_for,
};
use crate::report::sheet::{size, with_spread};
use crate::report::subject::Subject;

/// What each site would take, and what each way would leave; nothing where no site is known of.
pub(super) fn recovery(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let recovery = &subject.plan.recovery;
    if recovery.sites.iter().all(|site| site.lift_needed_mm.is_none()) {
        return Vec::new();
    }
    let note = format!(
        "wanted: ferrule {} mm, margin to crest {} mm; no way is called best",
        size(recovery.ferrule_wanted_mm),
        size(recovery.margin_to_crest_wanted_mm)
    );
    let mut pieces = vec![setter.heading("WHAT A FERRULE WOULD TAKE", &note, width)];
    pieces.extend(sites(setter, subject, width));
    pieces.push(setter.gap(0.5));
    let mut remarks = Vec::new();
    for option in &recovery.options {
        if option.verdict.is_none() {
            remarks.push(format!("{}: {}", option.title, option.words.join("; ")));
            continue;
        }
        pieces.push(way(setter, subject, option, width));
    }
    pieces.push(setter.gap(0.5));
    for words in remarks.iter().chain(&recovery.words) {
        pieces.push(setter.small(&[Run::aside(words)], width));
    }
    pieces
}

/// A way: what is done, what it leaves, and how that is judged, kept together.
fn way(setter: &mut Setter, subject: &Subject<'_>, option: &RecoveryOption, width: f64) -> Piece {
    let case = subject.case;
    let mut title = vec![Run::bold(&option.title)];
    title.extend(option.verdict.into_iter().flat_map(|verdict| verdict_runs(Some(verdict))));
    let mut piece = setter.subheading_of(&title, width);
    let done = steps(case, &subject.plan.recovery, option);
    let mut parts = vec![("done:", vec![Run::plain(done), Run::aside(option.words.join("; "))])];
    // The tooth as it is stands above; what the verdict rests on stands nowhere else.
    if !leaves_it_as_it_is(&subject.plan.recovery, option) {
        parts.push(("leaves:", vec![Run::plain(after(case, option).join("; "))]));
    }
    parts.push(("judged:", vec![Run::plain(verdicts(case, option).join("; "))]));
    let (list, indent) = (setter.next(), 4.6 * setter.em);
    for (name, runs) in parts {
        if runs.iter().any(|run| !run.words.is_empty()) {
            piece.put(setter.entry(list, &[Run::aside(name)], &runs, indent, width));
        }
    }
    piece.keeps_with_next = false;
    piece
}

/// What a plan lacks, and what for.
pub(super) fn needs(setter: &mut Setter, plan: &Plan, width: f64) -> Vec<Piece> {
    if plan.needs.is_empty() {
        return Vec::new();
    }
    let mut pieces = vec![setter.heading("NEEDED AND NOT THERE", "", width)];
    let (list, indent) = (setter.next(), 1.1 * setter.em);
    for need in &plan.needs {
        let words = format!("{}: {}", need.words, wanted_for(need));
        pieces.push(setter.entry(list, &[Run::plain("–")], &[Run::plain(words)], indent, width));
    }
    pieces
}

/// The sites, as they are.
pub(super) fn sites(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let columns = [0.2, 0.2, 0.2, 0.2, 0.2].map(|share| Column { share, is_right: false });
    let table = setter.next();
    let heads = ["site, mm", "ferrule now", "wall above crest", "lift needed", "margin apically"];
    let mut pieces = vec![setter.row(
        (table, 0),
        &columns,
        &heads.map(|words| vec![Run::bold(words)]),
        Some(Names::Column),
        width,
    )];
    for (row, it) in subject.plan.recovery.sites.iter().enumerate() {
        let cells = site_cells(subject, it);
        pieces.push(setter.row((table, row + 1), &columns, &cells, Some(Names::Row), width));
    }
    together(&mut pieces);
    pieces
}

fn site_cells(subject: &Subject<'_>, row: &RecoverySite) -> [Vec<Run>; 5] {
    let shown = |amount: Option<String>| match (amount, &row.lacks) {
        (Some(amount), _) => vec![Run::plain(amount)],
        (None, Some(lacks)) => vec![Run::aside(format!("not known: lacks {lacks}"))],
        (None, None) => vec![Run::aside("not known")],
    };
    let sounded = if row.sounded { ", sounded" } else { "" };
    [
        vec![Run::plain(format!("{}{sounded}", site(subject.case, row.site.word())))],
        shown(row.ferrule_mm.as_ref().map(with_spread)),
        shown(row.wall_above_crest_mm.as_ref().map(with_spread)),
        shown(row.lift_needed_mm.as_ref().map(lift)),
        shown(row.margin_down_mm.as_ref().map(margin_apically)),
    ]
}

/// Every option there is, with room to note what was offered and chosen.
pub(super) fn options(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let plan = subject.plan;
    let mut pieces = vec![setter.heading(
        "OPTIONS",
        "to be talked about with the patient; the order says nothing. Offered and chosen are filled in by hand.",
        width,
    )];
    let columns = [
        Column { share: 0.28, is_right: false },
        Column { share: 0.46, is_right: false },
        Column { share: 0.13, is_right: false },
        Column { share: 0.13, is_right: false },
    ];
    let table = setter.next();
    let heads = ["option", "where it stands", "offered", "chosen"].map(|words| vec![Run::bold(words)]);
    pieces.push(setter.row((table, 0), &columns, &heads, Some(Names::Column), width));
    let without = &plan.core_without_a_post;
    let mut rows = vec![
        ("core without a post".to_owned(), vec![Run::plain(outlook(without.outlook))]),
        ("post and core".to_owned(), vec![Run::plain(post_words(plan))]),
    ];
    for option in &plan.recovery.options {
        let mut stands = match option.verdict {
            Some(verdict) => verdict_runs(Some(verdict)).to_vec(),
            None => vec![Run::plain("without arithmetic here")],
        };
        if option.needs_no_lift() {
            stands.push(Run::plain(NO_LIFT));
        }
        rows.push((option.title.clone(), stands));
    }
    for (row, (title, stands)) in rows.into_iter().enumerate() {
        let cells = [vec![Run::plain(title)], stands, Vec::new(), Vec::new()];
        pieces.push(setter.row((table, row + 1), &columns, &cells, Some(Names::Row), width));
    }
    together(&mut pieces);
    pieces
}

/// Where a post stands, in a line.
fn post_words(plan: &Plan) -> String {
    match (&plan.card.set_at, &plan.card.never_beyond) {
        (Some(set_at), Some(never)) => {
            format!("SET AT {:.1} mm, NEVER BEYOND {:.1} mm from the stop", set_at.set_mm, never.set_mm)
        }
        _ if plan.window.is_some() => {
            "there are admissible depths; no setting is printed for the stop".to_owned()
        }
        _ => plan.marks.why.clone(),
    }
}

/// Whether the walls that stand are counted at all.
pub(super) fn walls_are_known(plan: &Plan) -> bool {
    plan.core_without_a_post.outlook != WithoutPost::NotKnown
}
