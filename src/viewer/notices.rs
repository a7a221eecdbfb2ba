//! What is to be told, and unsaved work that was found.

use super::action::Action;
use super::app::Desk;
use super::session::{Notice, NoticeKind};
use super::theme;
use crate::editor::{Meanwhile, Offer};
use eframe::egui::{self, Align2, Color32, Id, Margin, Rect, RichText, vec2};
use std::time::SystemTime;

/// Widest a message gets, points: longer lines are hard to read.
const WIDEST: f32 = 620.0;
/// What stays free under the messages: the scale bar lies there.
const UNDER: f32 = 44.0;

/// The name of what lies over the film's foot.
pub(super) const NOTICES: &str = "notices";

/// Draws what is to be told, over the foot of the film: a bar that came and went beside it would move the film under a
/// hand that is placing.
pub(super) fn show(ui: &mut egui::Ui, film: Rect, desk: &mut Desk<'_>) {
    let offer = desk.session.work.as_ref().and_then(|work| work.open.offers().first().cloned());
    let notice = desk.session.notices.back().cloned();
    if offer.is_none() && notice.is_none() {
        return;
    }
    let width = WIDEST.min(film.width() - 24.0).max(160.0);
    egui::Area::new(Id::unique(NOTICES))
        .order(egui::Order::Middle)
        .pivot(Align2::CENTER_BOTTOM)
        .fixed_pos(film.center_bottom() - vec2(0.0, UNDER))
        .constrain_to(film)
        .show(ui.ctx(), |ui| {
            ui.set_max_width(width);
            if let Some(offer) = &offer {
                message(ui, theme::caution(ui.visuals().dark_mode), |ui| offered(ui, desk, offer));
            }
            if let Some(notice) = &notice {
                let colour = match notice.kind {
                    NoticeKind::Problem => theme::VERMILION,
                    NoticeKind::Done => theme::BLUISH_GREEN,
                };
                message(ui, colour, |ui| told(ui, desk, notice));
            }
        });
}

/// A message, with a stripe along its left side.
fn message(ui: &mut egui::Ui, colour: Color32, add: impl FnOnce(&mut egui::Ui)) {
    let frame = egui::Frame::window(ui.style()).shadow(egui::Shadow::NONE).inner_margin(Margin {
        left: 12,
        right: 8,
        top: 6,
        bottom: 6,
    });
    let shown = frame.show(ui, |ui| ui.horizontal_wrapped(add));
    let mut stripe = shown.response.rect.shrink(1.0);
    stripe.set_width(4.0);
    ui.painter().rect_filled(stripe, 2.0, colour);
}

fn told(ui: &mut egui::Ui, desk: &mut Desk<'_>, notice: &Notice) {
    let lead = match notice.kind {
        NoticeKind::Problem => "Problem:",
        NoticeKind::Done => "Done:",
    };
    ui.label(RichText::new(lead).strong());
    ui.label(&notice.text);
    let waiting = desk.session.notices.len() - 1;
    let words = if waiting > 0 { format!("Dismiss ({waiting} more)") } else { "Dismiss".to_owned() };
    if ui.button(words).clicked() {
        desk.ask(Action::DismissNotice);
    }
}

/// Unsaved work that was found on opening is offered, and never taken in unasked.
fn offered(ui: &mut egui::Ui, desk: &mut Desk<'_>, offer: &Offer) {
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
