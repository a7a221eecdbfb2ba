//! The menu of a point, and of the film where no point is.

use super::Canvas;
use super::handles::{self, Spot};
use super::pointer::{REACH, selection};
use super::sheet::Sheet;
use crate::case::{Mark, State};
use crate::editor::PointAt;
use crate::viewer::Work;
use crate::viewer::action::{Action, Handle};
use crate::viewer::app::Desk;
use crate::viewer::command::Command;
use eframe::egui;

/// Shows the menu that a secondary click opened.
pub(super) fn show(
    response: &egui::Response,
    sheet: &Sheet<'_>,
    spots: &[Spot],
    work: &Work,
    desk: &mut Desk<'_>,
    canvas: &mut Canvas,
) {
    if response.secondary_clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        let seen = |place| sheet.viewport.seen(place);
        let spot = handles::meant(spots, seen, sheet.view(at), REACH, handles::selected(work));
        canvas.menu_of = spot.map(|spot| spot.handle);
        if let Some(spot) = spot {
            desk.ask(Action::Select(selection(spot.handle)));
        }
    }
    response.context_menu(|ui| {
        ui.set_min_width(180.0);
        match canvas.menu_of {
            Some(handle) => of_point(ui, handle, work, desk),
            None => of_film(ui, desk),
        }
    });
}

fn of_point(ui: &mut egui::Ui, handle: Handle, work: &Work, desk: &mut Desk<'_>) {
    ui.label(egui::RichText::new(handles::words(handle, work.open.half_placed())).strong());
    if let Handle::Ruler(_) = handle
        && ui.button("Put the ruler away").on_hover_text(Command::Ruler.hint()).clicked()
    {
        desk.ask(Action::Command(Command::Ruler));
    }
    let mut ask = |ui: &mut egui::Ui, title: &str, hint: &str, action: Action| {
        let clicked = ui.button(title).on_hover_text(hint).clicked();
        if clicked {
            // What is aimed at goes before what is selected, and this menu means the point.
            let aims = matches!(action, Action::PlaceAgain(_));
            if !aims {
                desk.ask(Action::Aim(None));
            }
            desk.ask(Action::Select(selection(handle)));
            desk.ask(action);
            if !aims {
                desk.ask(Action::Aim(work.aim));
            }
        }
        clicked
    };
    if let Handle::Case(PointAt::Landmark(at)) = handle {
        ask(ui, "Place again", "hides this point until it is placed again", Action::PlaceAgain(at));
        let planned = matches!(at.mark(work.open.case()), Some(Mark::Placed(point)) if point.state == Some(State::Planned));
        let title = if planned { "It is present" } else { "It is planned" };
        ask(ui, title, Command::Plan.hint(), Action::Command(Command::Plan));
        ask(ui, "It is hidden", Command::Hide.hint(), Action::Command(Command::Hide));
        ask(ui, "It is absent", Command::Absent.hint(), Action::Command(Command::Absent));
    }
    if matches!(handle, Handle::Case(_)) {
        let title = match handle {
            Handle::Case(PointAt::Section { .. }) => "Delete the section",
            Handle::Case(PointAt::Reference { .. }) => "Delete the reference",
            _ => "Delete",
        };
        ask(ui, title, Command::Delete.hint(), Action::Command(Command::Delete));
    }
}

fn of_film(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    for command in [
        Command::Fit,
        Command::FullSize,
        Command::TurnLeft,
        Command::TurnRight,
        Command::Mirror,
        Command::Invert,
        Command::ResetTone,
    ] {
        if ui.button(command.title()).on_hover_text(command.hint()).clicked() {
            desk.ask(Action::Command(command));
        }
    }
}
