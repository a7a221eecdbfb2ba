//! The window of learning curves.

use crate::agreement::Quantity;
use crate::practice::RECENT;
use crate::report::{first_and_latest, learning_plot, times_words};
use crate::viewer::action::Action;
use crate::viewer::app::Desk;
use crate::viewer::command::Command;
use crate::viewer::practice::{Ask, Curves};
use crate::viewer::{plot_drawing, theme};
use crate::wording::capital;
use eframe::egui::{self, Align2, Button, RichText, ScrollArea};

/// Draws it.
pub(in crate::viewer) fn show(ui: &egui::Ui, desk: &mut Desk<'_>) {
    let mut open = true;
    let screen = ui.content_rect();
    theme::window(ui.ctx(), "Learning curves")
        .open(&mut open)
        .default_width((screen.width() - 80.0).min(820.0))
        .default_height((screen.height() - 90.0).min(820.0))
        .pivot(Align2::CENTER_CENTER)
        .default_pos(screen.center())
        .show(ui.ctx(), |ui| {
            ScrollArea::both().max_height((screen.height() - 120.0).max(160.0)).show(ui, |ui| {
                crate::viewer::keyboard::pages(ui);
                what(ui, desk);
            });
        });
    if !open {
        desk.ask(Action::Command(Command::Curves));
    }
}

fn what(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let Some(curves) = &desk.session.practice.curves else {
        ui.label("There is no history yet. Practise on a film and finish it: each attempt adds a line.");
        return;
    };
    let attempts = if curves.attempts == 1 { "attempt" } else { "attempts" };
    ui.label(format!("{}: {} {attempts}", curves.student, curves.attempts));
    ui.horizontal_wrapped(|ui| {
        let path = curves.file.display().to_string();
        ui.label(format!("History, yours to copy and delete: {path}"));
        if ui.button("Copy its path").clicked() {
            desk.ask(Action::Copy(path));
        }
    });
    if curves.unread > 0 {
        ui.label(format!("{} of its lines cannot be read and are left alone.", curves.unread));
    }
    let Some(curve) = curves.curves.get(curves.picked) else {
        ui.label("Nothing was compared yet.");
        return;
    };
    ui.add_space(6.0);
    ui.label(RichText::new("Landmark").strong());
    pick(ui, desk, curves);
    let name = capital(&Quantity::words_of(&curve.landmark));
    ui.add_space(6.0);
    ui.label(RichText::new(&name).strong());
    ui.label(times_words(curve));
    let words = match first_and_latest(curve) {
        (_, None) => "It was never placed.".to_owned(),
        (Some(first), Some(latest)) => {
            format!(
                "Root mean square error of the first {RECENT} placings {first:.2} mm, of the latest {RECENT} {latest:.2} mm."
            )
        }
        (None, Some(latest)) => {
            format!(
                "Root mean square error so far {latest:.2} mm; first and latest are told apart after more than {RECENT} placings."
            )
        }
    };
    ui.label(words);
    if let Some(plot) = learning_plot(curve) {
        plot_drawing::show(ui, &plot);
    }
}

fn pick(ui: &mut egui::Ui, desk: &mut Desk<'_>, curves: &Curves) {
    ui.horizontal_wrapped(|ui| {
        for (at, curve) in curves.curves.iter().enumerate() {
            let name = capital(&Quantity::words_of(&curve.landmark));
            if ui.add(Button::selectable(at == curves.picked, name)).clicked() {
                desk.ask(Action::Practice(Ask::PickCurve(at)));
            }
        }
    });
}
