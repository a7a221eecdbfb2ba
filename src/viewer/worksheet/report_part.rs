//! The report: whom it is for, what it is printed on, the day on it, and where it goes.

use super::super::action::Action;
use super::super::app::Desk;
use super::super::command::Command;
use super::super::opening::file_name;
use super::super::remembered::Setting;
use super::super::report_pages::{audience_words, paper_words};
use super::super::reporting::Shows;
use super::number_field::{Field, text};
use super::rows::{aside, choice, row};
use crate::report::{Audience, Day, Paper};
use crate::wording::capital;
use eframe::egui::{self, Button};

/// Draws the part.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let session = desk.session;
    let (audience, paper) = (session.remembered.audience, session.remembered.paper);
    let readers: Vec<_> = Audience::ALL.iter().map(|(_, it)| (audience_words(*it).to_owned(), *it)).collect();
    row(ui, "For", |ui| {
        choice(ui, "Report for", None, &readers, Some(audience), |it| {
            desk.actions.extend(it.map(|it| Action::Set(Setting::Audience(it))));
        });
        aside(ui, holds(audience));
    });
    let papers: Vec<_> = Paper::ALL.iter().map(|(_, it)| (paper_words(*it).to_owned(), *it)).collect();
    row(ui, "Paper", |ui| {
        choice(ui, "Paper of the report", None, &papers, Some(paper), |it| {
            desk.actions.extend(it.map(|it| Action::Set(Setting::Paper(it))));
        });
    });
    row(ui, "Day on it", |ui| {
        let field = Field { name: "Day on the report", hint: "today", unit: "", width: 110.0 };
        let now = session.reporting.day.map(|day| day.to_string()).unwrap_or_default();
        text(ui, field, &now, |typed| {
            let day = if typed.is_empty() {
                None
            } else {
                Some(Day::parse(typed).map_err(|why| format!("this {why}"))?)
            };
            desk.ask(Action::ReportDay(day));
            Ok(())
        });
    });
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        let is_shown = session.reporting.shows == Some(Shows::Pages);
        for (words, command, is_on) in [
            ("Show the pages", Command::Report, is_shown),
            ("Write it to a file…", Command::WriteReport, false),
            ("Drawing on the whole screen", Command::Picture, false),
        ] {
            let button = ui.add(Button::selectable(is_on, words).frame_when_inactive(true));
            if button.on_hover_text(capital(command.hint())).clicked() {
                desk.ask(Action::Command(command));
            }
        }
    });
    if let Some(file) = session.reporting.writes() {
        aside(ui, format!("{} is being written.", file_name(file)));
    }
}

const fn holds(audience: Audience) -> &'static str {
    match audience {
        Audience::Record => {
            "All of it: film, values, verdicts, plan, card, options. Three pages at the most."
        }
        Audience::Patient => "A sketch and every option in plain words, without a measurement. One page.",
        Audience::Endodontist => {
            "What to preserve, which root is for the post, how much filling stays. One page, at the most two."
        }
    }
}
