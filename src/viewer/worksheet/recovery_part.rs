//! Ferrule recovery: what each site lacks, and what each way to more ferrule asks for and leaves.

use super::super::action::Action;
use super::super::app::Desk;
use super::super::tone_panel::decimal;
use super::super::work::Work;
use super::links::Goes;
use super::plan_part::{title, under_banner};
use super::progress::Part;
use super::results_part::judged;
use super::rows::{aside, scrolled};
use crate::case::{Case, Site};
use crate::editor::SiteReading;
use crate::plan::{Amount, Recovery, RecoveryOption, RecoverySite, Way, Weeks};
use crate::report::{plan_words, recovery_text, verdict_words};
use crate::wording::capital;
use eframe::egui::{self, CollapsingHeader, Grid, RichText, ScrollArea, Slider};

/// Draws the part; gives the part a link goes to.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) -> Option<Part> {
    let planned = work.planned();
    let Ok(planned) = planned.as_ref() else {
        ui.label("Nothing can be reckoned yet.");
        return None;
    };
    let case = work.open.case();
    let recovery = &planned.plan.recovery;
    aside(ui, capital(&plan_words::ferrule_wanted(recovery)));
    if recovery.sites.is_empty() {
        ui.label("Nothing can be reckoned before the film has a scale.");
        return None;
    }
    let goes = sites(ui, desk, case, recovery);
    let now = plan_words::as_it_is(recovery);
    if !now.is_empty() {
        ui.label(format!("As it is: {now}"));
    }
    if recovery.sites.iter().all(|site| site.lift_needed_mm.is_none()) {
        ui.label(plan_words::NO_SITE_KNOWN);
        return goes;
    }
    share(ui, desk, work);
    compared(ui, case, recovery);
    for option in &recovery.options {
        way(ui, case, recovery, option);
    }
    ui.add_space(6.0);
    for words in &recovery.words {
        aside(ui, capital(words));
    }
    if ui
        .button("Copy ferrule recovery as text")
        .on_hover_text("its tables and ways, with every number")
        .clicked()
    {
        desk.ask(Action::Copy(under_banner(work, recovery_text(case, &planned.plan))));
    }
    goes
}

fn shown(amount: Option<&Amount>) -> String {
    amount.map_or_else(|| "?".to_owned(), plan_words::amount)
}

/// The same for a narrow column.
fn stacked(amount: Option<&Amount>) -> String {
    one_below_the_other(&shown(amount))
}

/// Words for a narrow column: the uncertainty under its value, what is to spare under "none".
fn one_below_the_other(words: &str) -> String {
    words.replace(" \u{b1}", "\n\u{b1}").replace("; ", "\n")
}

fn sites(ui: &mut egui::Ui, desk: &mut Desk<'_>, case: &Case, recovery: &Recovery) -> Option<Part> {
    let mut goes = None;
    let area = ScrollArea::horizontal().id_salt("sites");
    scrolled(ui, "ferrule site by site; arrow keys move the table sideways", area, |ui| {
        Grid::new("sites").num_columns(5).spacing([10.0, 4.0]).striped(true).show(ui, |ui| {
            for head in ["mm", "ferrule\nnow", "wall above\ncrest", "lift\nneeded", "margin\napically"] {
                ui.label(RichText::new(head).strong());
            }
            ui.end_row();
            for row in &recovery.sites {
                ui.label(capital(plan_words::site(case, row.site.word())));
                ui.monospace(stacked(row.ferrule_mm.as_ref()));
                ui.monospace(stacked(row.wall_above_crest_mm.as_ref()));
                let needed = |amount: Option<&Amount>, words: fn(&Amount) -> String| {
                    one_below_the_other(&amount.map_or_else(|| "?".to_owned(), words))
                };
                ui.monospace(needed(row.lift_needed_mm.as_ref(), plan_words::lift));
                ui.monospace(needed(row.margin_down_mm.as_ref(), plan_words::margin_apically));
                ui.end_row();
            }
        });
    });
    for row in &recovery.sites {
        goes = goes.or(lacking(ui, desk, case, row));
    }
    goes
}

/// What of a site is to be sounded or probed, as links to where it is typed.
fn lacking(ui: &mut egui::Ui, desk: &mut Desk<'_>, case: &Case, row: &RecoverySite) -> Option<Part> {
    let mut goes = None;
    let site = plan_words::site(case, row.site.word());
    let is_probed = Site::PROBED.contains(&row.site);
    let wanted = [
        (row.wall_above_crest_mm.is_none(), SiteReading::WallAboveBone, "sound the bone"),
        (row.ferrule_mm.is_none() && is_probed, SiteReading::Ferrule, "probe the ferrule"),
    ];
    if row.sounded {
        aside(ui, format!("{}: sounded", capital(site)));
    }
    for (is_wanted, of, does) in wanted {
        if is_wanted && ui.button(format!("{}, {site}", capital(does))).clicked() {
            goes = Goes::to_site(case, of, row.site).follow(ui, desk);
        }
    }
    goes
}

/// The share of the lift that extrusion takes.
fn share(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    title(ui, "The lift shared between extrusion and crown lengthening");
    let percent_now = (work.planning.share * 100.0).round();
    let mut percent = percent_now;
    ui.horizontal_wrapped(|ui| {
        ui.label("crown lengthening");
        let slider = Slider::new(&mut percent, 0.0..=100.0).step_by(1.0).suffix(" %").custom_parser(decimal);
        let slider = ui.add(slider).accessible_name("share of the lift that extrusion takes, percent");
        ui.label("extrusion");
        if slider.changed() && percent != percent_now {
            desk.ask(Action::ShareExtrusion(percent / 100.0));
        }
    });
}

/// A short name for the head of a column.
const fn short(way: Way) -> &'static str {
    match way {
        Way::SulcusOnly => "sulcus",
        Way::Extrusion => "extrusion",
        Way::Surgery => "crown\nlengthening",
        Way::Both => "both",
        Way::SurgicalExtrusion => "surgical extrusion",
        Way::Extraction => "extraction",
    }
}

/// What a way leaves, by a row of the table.
type Cell = fn(&Case, &RecoveryOption) -> String;

/// The ways that are reckoned, side by side.
fn compared(ui: &mut egui::Ui, case: &Case, recovery: &Recovery) {
    let ways: Vec<&RecoveryOption> =
        recovery.options.iter().filter(|option| option.verdict.is_some()).collect();
    let rows: [(&str, Cell); 10] = [
        ("requirements", |_, it| verdict_words(it.verdict).1.to_owned()),
        ("extrusion, mm", |_, it| it.extrusion_mm.map_or_else(|| "\u{2013}".to_owned(), plan_words::length)),
        ("bone\nremoved, mm", bone_removed),
        ("margin to\ncrest", least_margin),
        ("crown to root", |_, it| stacked(it.crown_to_root.as_ref())),
        ("root in\nbone, mm", |_, it| stacked(it.root_in_bone_mm.as_ref())),
        ("root width, mm", |_, it| stacked(it.root_width_at_margin_mm.as_ref())),
        ("core, mm", |_, it| stacked(it.core_height_mm.as_ref())),
        ("post depth, mm", |_, it| {
            it.post_window_mm.map_or_else(
                || "\u{2013}".to_owned(),
                |[from, to]| format!("{} to\n{}", plan_words::length(from), plan_words::length(to)),
            )
        }),
        ("weeks", |_, it| {
            let all: Vec<String> = it.weeks.iter().map(short_weeks).collect();
            if all.is_empty() { "\u{2013}".to_owned() } else { all.join("\n") }
        }),
    ];
    let area = ScrollArea::horizontal().id_salt("ways");
    scrolled(ui, "the ways side by side; arrow keys move the table sideways", area, |ui| {
        Grid::new("ways").num_columns(1 + ways.len()).spacing([6.0, 4.0]).striped(true).show(ui, |ui| {
            ui.label("");
            for option in &ways {
                ui.label(RichText::new(capital(short(option.way))).strong());
            }
            ui.end_row();
            for (name, cell) in rows {
                ui.label(name);
                for option in &ways {
                    ui.label(cell(case, option));
                }
                ui.end_row();
            }
        });
    });
}

/// Weeks in a narrow column, number and word on one line: "holding 4–6".
fn short_weeks(weeks: &Weeks) -> String {
    let of = weeks.of.split_whitespace().next().unwrap_or_default();
    if weeks.from == weeks.to {
        format!("{of}\u{a0}{}", weeks.from)
    } else {
        format!("{of}\u{a0}{}\u{2013}{}", weeks.from, weeks.to)
    }
}

fn bone_removed(case: &Case, option: &RecoveryOption) -> String {
    let sites: Vec<String> = option
        .sites
        .iter()
        .filter(|site| site.bone_mm > 0.0)
        .map(|site| {
            let word = plan_words::site(case, site.site.word());
            format!("{word}\n{}", plan_words::length(site.bone_mm))
        })
        .collect();
    if sites.is_empty() { "\u{2013}".to_owned() } else { sites.join("\n") }
}

/// The least distance from margin to crest among the sites that are known, and where it is.
fn least_margin(case: &Case, option: &RecoveryOption) -> String {
    let known = option.sites.iter().filter_map(|site| Some((site.site, site.margin_to_crest_mm.as_ref()?)));
    known.min_by(|(_, one), (_, other)| one.value.total_cmp(&other.value)).map_or_else(
        || "?".to_owned(),
        |(site, amount)| format!("{}\n{}", stacked(Some(amount)), plan_words::site(case, site.word())),
    )
}

/// One way in full.
fn way(ui: &mut egui::Ui, case: &Case, recovery: &Recovery, option: &RecoveryOption) {
    let (_, verdict) = verdict_words(option.verdict);
    let title = match option.verdict {
        Some(_) => format!("{}: {verdict}", capital(&option.title)),
        None => capital(&option.title),
    };
    CollapsingHeader::new(title).id_salt(short(option.way)).show(ui, |ui| {
        if option.verdict.is_some() {
            judged(ui, option.verdict, |ui| {
                ui.label("by the requirements together");
            });
        }
        let steps = plan_words::steps(case, recovery, option);
        if !steps.is_empty() {
            ui.label(capital(&steps));
        }
        for line in plan_words::sites_after(case, option) {
            ui.label(capital(&line));
        }
        let whole = plan_words::tooth_after(option);
        if !whole.is_empty() {
            ui.label(capital(&whole));
        }
        if let Some(words) = plan_words::post_after(option) {
            ui.label(capital(&words));
        }
        for verdict in &option.verdicts {
            if let Some(words) = plan_words::way_verdict(case, verdict) {
                judged(ui, Some(verdict.verdict), |ui| {
                    ui.label(words);
                });
            }
        }
        for words in &option.words {
            aside(ui, capital(words));
        }
    });
}
