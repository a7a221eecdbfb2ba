//! What is to be told, and unsaved work that was found.

use super::action::Action;
use super::app::Desk;
use super::session::NoticeKind;
use super::theme;
use crate::editor::Meanwhile;
use eframe::egui::{self, RichText};
use std::time::SystemTime;

/// Draws what is to be told, as bars under the menus.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    offers(ui, desk);
    let Some(notice) = desk.session.notices.front().cloned() else { return };
    let waiting = desk.session.notices.len() - 1;
    egui::Panel::top("notice").show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            let (lead, colour) = match notice.kind {
                NoticeKind::Problem => ("Problem:", theme::VERMILION),
                NoticeKind::Done => ("Done:", theme::BLUISH_GREEN),
            };
            let lead = RichText::new(lead).strong();
            ui.painter().rect_filled(
                egui::Rect::from_min_size(ui.max_rect().min, egui::vec2(3.0, 18.0)),
                0.0,
                colour,
            );
            ui.add_space(6.0);
            ui.label(lead);
            ui.label(&notice.text);
            let words = if waiting > 0 { format!("Dismiss ({waiting} more)") } else { "Dismiss".to_owned() };
            if ui.button(words).clicked() {
                desk.ask(Action::DismissNotice);
            }
        });
    });
}

/// Unsaved work that was found on opening is offered, and never taken in unasked.
fn offers(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let Some(work) = &desk.session.work else { return };
    let Some(offer) = work.open.offers().first().cloned() else { return };
    egui::Panel::top("offer").show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new("Unsaved work was found,").strong());
            let mut words = format!("put by {}.", ago(offer.unsaved.written));
            if offer.meanwhile == Meanwhile::Changed {
                words.push_str(" The case's file was changed since, so it may be older than what is shown.");
            }
            ui.label(words);
            if ui.button("Take it in").clicked() {
                desk.ask(Action::TakeOffer(offer.file.clone()));
            }
            if ui.button("Leave it").on_hover_text("it is offered again at the next opening").clicked() {
                desk.ask(Action::LeaveOffer(offer.file.clone()));
            }
            if ui.button("Delete it").clicked() {
                desk.ask(Action::DeleteOffer(offer.file.clone()));
            }
        });
    });
}

fn ago(written: SystemTime) -> String {
    let seconds = SystemTime::now().duration_since(written).map_or(0, |passed| passed.as_secs());
    let (count, unit) = match seconds {
        0..60 => return "less than a minute ago".to_owned(),
        60..3600 => (seconds / 60, "minute"),
        3600..86_400 => (seconds / 3600, "hour"),
        _ => (seconds / 86_400, "day"),
    };
    format!("{count} {unit}{} ago", if count == 1 { "" } else { "s" })
}
