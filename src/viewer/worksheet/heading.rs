//! The headings of the worksheet's parts, and the shapes that say how a part stands.

use super::super::theme;
use super::progress::{Part, Progress, Standing};
use eframe::egui::accesskit::Role;
use eframe::egui::{
    self, Align2, Color32, Id, Pos2, Rect, Sense, Shape, Stroke, StrokeKind, TextStyle, WidgetInfo, vec2,
};

/// The id of a part's heading.
pub(super) fn id(part: Part) -> Id {
    match part {
        Part::Film => Id::unique(super::FIRST),
        Part::Plan => Id::unique(super::PLAN),
        part => Id::unique((super::FIRST, part)),
    }
}

/// Draws a heading; says whether it was pressed.
pub(super) fn show(ui: &mut egui::Ui, part: Part, progress: &Progress, is_open: bool) -> egui::Response {
    let height = ui.spacing().interact_size.y + 8.0;
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let response = ui.interact(rect, id(part), Sense::click());
    let number = Part::ALL.iter().position(|it| *it == part).map_or(0, |at| at + 1);
    let title = format!("{number}  {}", part.title());
    response.widget_info(|| {
        let fold = if is_open { "open" } else { "closed" };
        WidgetInfo::labeled(Role::Button, true, format!("{title}, {}, {fold}", progress.words()))
    });
    if !ui.is_rect_visible(rect) {
        return response;
    }
    let dark = ui.visuals().dark_mode;
    let fill = if response.hovered() || response.has_focus() {
        ui.visuals().widgets.open.weak_bg_fill
    } else {
        ui.visuals().faint_bg_color
    };
    ui.painter().rect_filled(rect, 3.0, fill);
    if response.has_focus() {
        ui.painter().rect_stroke(
            rect,
            3.0,
            Stroke::new(2.0, ui.visuals().hyperlink_color),
            StrokeKind::Inside,
        );
    }
    let text = ui.visuals().text_color();
    fold_mark(ui, Pos2::new(rect.left() + 11.0, rect.center().y), is_open, text);
    let body = TextStyle::Body.resolve(ui.style());
    let strong = ui.visuals().strong_text_color();
    let title = ui.painter().text(
        Pos2::new(rect.left() + 24.0, rect.center().y),
        Align2::LEFT_CENTER,
        title,
        body.clone(),
        strong,
    );
    let colour = colour(progress.standing, dark);
    let room = rect.right() - 10.0 - title.right() - 34.0;
    let galley = ui.painter().layout(progress.words(), body, colour, f32::INFINITY);
    let galley = if galley.size().x > room {
        // The reason gives way on a narrow worksheet, the word stays.
        let body = TextStyle::Body.resolve(ui.style());
        ui.painter().layout_no_wrap(progress.standing.word().to_owned(), body, colour)
    } else {
        galley
    };
    let left = rect.right() - 10.0 - galley.size().x;
    standing(ui, Pos2::new(left - 13.0, rect.center().y), progress.standing, colour);
    ui.painter().galley(Pos2::new(left, rect.center().y - galley.size().y / 2.0), galley, colour);
    response
}

fn fold_mark(ui: &egui::Ui, centre: Pos2, is_open: bool, colour: Color32) {
    let points = if is_open {
        [vec2(-4.5, -2.5), vec2(4.5, -2.5), vec2(0.0, 4.0)]
    } else {
        [vec2(-2.5, -4.5), vec2(4.0, 0.0), vec2(-2.5, 4.5)]
    };
    let points = points.map(|by| centre + by).to_vec();
    ui.painter().add(Shape::convex_polygon(points, colour, Stroke::NONE));
}

fn colour(standing: Standing, dark: bool) -> Color32 {
    match standing {
        Standing::Done => theme::faint(dark),
        Standing::ToDo => theme::to_do(dark),
        Standing::LookHere => theme::caution(dark),
    }
}

/// The shape of a standing: a tick, an open ring, a pennant.
fn standing(ui: &egui::Ui, centre: Pos2, standing: Standing, colour: Color32) {
    match standing {
        Standing::Done => {
            let points = [vec2(-5.0, 0.0), vec2(-1.5, 4.0), vec2(5.5, -4.5)].map(|by| centre + by);
            ui.painter().add(Shape::line(points.to_vec(), Stroke::new(2.0, colour)));
        }
        Standing::ToDo => {
            ui.painter().circle_stroke(centre, 5.0, Stroke::new(1.8, colour));
        }
        Standing::LookHere => pennant(ui, centre, colour),
    }
}

/// A pennant: something is to be read or looked at, and nothing went wrong.
pub(super) fn pennant(ui: &egui::Ui, centre: Pos2, colour: Color32) {
    let staff = [centre + vec2(-4.0, -7.0), centre + vec2(-4.0, 7.0)];
    ui.painter().line_segment(staff, Stroke::new(1.8, colour));
    let cloth = [vec2(-4.0, -7.0), vec2(6.0, -3.0), vec2(-4.0, 1.0)].map(|by| centre + by).to_vec();
    ui.painter().add(Shape::convex_polygon(cloth, colour, Stroke::NONE));
}

/// Room for a pennant in a line of text.
pub(super) fn pennant_here(ui: &mut egui::Ui, colour: Color32) {
    let (rect, _) = ui.allocate_exact_size(vec2(14.0, 16.0), Sense::hover());
    pennant(ui, rect.center(), colour);
}

/// A faint frame around things that belong together.
pub(super) fn card(ui: &mut egui::Ui, add: impl FnOnce(&mut egui::Ui)) -> Rect {
    let stroke = ui.visuals().widgets.noninteractive.bg_stroke;
    egui::Frame::new()
        .stroke(stroke)
        .corner_radius(4)
        .inner_margin(8)
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            add(ui);
        })
        .response
        .rect
}
