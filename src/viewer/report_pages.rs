//! The pages of a report in the film's place, one by one.

use super::action::Action;
use super::app::Desk;
use super::command::Command;
use super::paper::{self, Films, Laid};
use super::theme;
use crate::report::{Audience, Page, Paper};
use eframe::egui::accesskit::Role;
use eframe::egui::{
    self, EventFilter, Frame, Id, Key, Margin, Rect, RichText, ScrollArea, Sense, WidgetInfo, vec2,
};

/// The name of the page, where the keyboard goes.
pub(super) const PAGES: &str = "pages";
/// Points of a screen for a millimetre of paper in its own size, as screens have it: 96 to the inch.
const PER_MM: f64 = 96.0 / 25.4;
/// What stays free around a page, points.
const AROUND: f32 = 12.0;

/// How an audience is told from the others.
pub(super) const fn audience_words(audience: Audience) -> &'static str {
    match audience {
        Audience::Record => "the record",
        Audience::Patient => "the patient",
        Audience::Endodontist => "the endodontist",
    }
}

/// What a paper is called.
pub(super) const fn paper_words(paper: Paper) -> &'static str {
    match paper {
        Paper::A4 => "A4, 210 × 297 mm",
        Paper::Letter => "Letter, 8.5 × 11 in",
    }
}

/// Draws them.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, films: &mut Films) {
    strip(ui, desk);
    // Up to the strip, without a gap.
    let mut rect = ui.available_rect_before_wrap();
    rect.min.y -= ui.spacing().item_spacing.y;
    ui.painter().rect_filled(rect, 0.0, theme::beside_paper(ui.visuals().dark_mode));
    let reporting = &desk.session.reporting;
    let page = match reporting.made() {
        Some(Ok(drawing)) => drawing.pages.get(reporting.page),
        Some(Err(why)) => {
            ui.label(RichText::new(format!("There is no report: {why}")).strong());
            None
        }
        None => {
            ui.label("The pages are being made.");
            None
        }
    };
    let Some(page) = page else { return };
    let [wide, high] = [page.width.get() * PER_MM, page.height.get() * PER_MM];
    let room = [rect.width(), rect.height()].map(|length| f64::from((length - 2.0 * AROUND).max(50.0)));
    let whole = (room[0] / wide).min(room[1] / high);
    if (reporting.size_of_whole - whole).abs() > 1e-6 {
        desk.ask(Action::WholePage(whole));
    }
    let size = reporting.size.unwrap_or(whole);
    let mut inner = ui.new_child(egui::UiBuilder::new().max_rect(rect));
    ScrollArea::both()
        .auto_shrink([false, false])
        .show(&mut inner, |ui| scrolled(ui, desk, page, size, films));
    ui.advance_cursor_after_rect(rect);
}

fn scrolled(ui: &mut egui::Ui, desk: &mut Desk<'_>, page: &Page, size: f64, films: &mut Films) {
    let per_mm = size * PER_MM;
    // A page is some thousand points at the most.
    #[expect(clippy::cast_possible_truncation, reason = "see above")]
    let sheet = vec2((page.width.get() * per_mm) as f32, (page.height.get() * per_mm) as f32);
    let room = ui.available_size().max(sheet + vec2(2.0 * AROUND, 2.0 * AROUND));
    let (all, _) = ui.allocate_exact_size(room, Sense::hover());
    let left = all.left() + (room.x - sheet.x) / 2.0;
    let rect = Rect::from_min_size(egui::pos2(left.round(), all.top() + AROUND), sheet);
    let response = ui.interact(rect, Id::unique(PAGES), Sense::click());
    let (reporting, audience) = (&desk.session.reporting, desk.session.remembered.audience);
    let name =
        format!("page {} of {}, for {}", reporting.page + 1, reporting.count(), audience_words(audience));
    response.widget_info(|| WidgetInfo::labeled(Role::Document, true, &name));
    let is_free = ui.memory(|memory| memory.focused().is_none())
        && desk.session.question.is_none()
        && desk.session.help.is_none();
    if response.clicked() || is_free {
        response.request_focus();
    }
    let laid = Laid { rect, per_mm, is_turned: false };
    paper::show(ui, page, &laid, films);
    if response.has_focus() {
        let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
        let stroke = egui::Stroke::new(2.0, theme::to_do(ui.visuals().dark_mode));
        ui.painter().rect_stroke(rect, 0.0, stroke, egui::StrokeKind::Outside);
    }
    keys(ui, desk, response.has_focus());
}

/// Page Up and Page Down turn pages, arrows scroll; with Ctrl the wheel sees pages larger or smaller.
fn keys(ui: &egui::Ui, desk: &mut Desk<'_>, has_keyboard: bool) {
    const ARROW: f32 = 60.0;
    if desk.session.question.is_some() || desk.session.help.is_some() || ui.text_edit_focused() {
        return;
    }
    let reporting = &desk.session.reporting;
    let pressed = |key| ui.input(|input| input.key_pressed(key) && input.modifiers.is_none());
    if pressed(Key::PageDown) {
        desk.ask(Action::Page(reporting.page + 1));
    } else if pressed(Key::PageUp) {
        desk.ask(Action::Page(reporting.page.saturating_sub(1)));
    }
    if has_keyboard {
        let ways = [
            (Key::ArrowDown, vec2(0.0, -ARROW)),
            (Key::ArrowUp, vec2(0.0, ARROW)),
            (Key::ArrowRight, vec2(-ARROW, 0.0)),
            (Key::ArrowLeft, vec2(ARROW, 0.0)),
        ];
        for (key, way) in ways {
            if pressed(key) {
                ui.scroll_with_delta(way);
            }
        }
    }
    let by = f64::from(ui.input(egui::InputState::zoom_delta));
    let is_over = ui.rect_contains_pointer(ui.clip_rect());
    if is_over && by.is_finite() && (by - 1.0).abs() > 1e-6 {
        desk.ask(Action::PageSize(Some(reporting.size_seen() * by)));
    }
}

/// What stands over the pages.
fn strip(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let reporting = &desk.session.reporting;
    let (page, count) = (reporting.page, reporting.count());
    let ground = Frame::new().fill(ui.visuals().panel_fill).inner_margin(Margin::symmetric(8, 3));
    ground.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal_wrapped(|ui| {
            ui.set_min_height(ui.spacing().interact_size.y + 6.0);
            if ui.button("Back to the film").on_hover_text("Escape").clicked() {
                desk.ask(Action::Command(Command::Report));
            }
            ui.separator();
            let before =
                ui.add_enabled(page > 0, egui::Button::new("Previous page")).on_hover_text("Page Up");
            if before.clicked() {
                desk.ask(Action::Page(page.saturating_sub(1)));
            }
            let words =
                if count == 0 { "no page yet".to_owned() } else { format!("Page {} of {count}", page + 1) };
            ui.label(RichText::new(words).strong());
            let next =
                ui.add_enabled(page + 1 < count, egui::Button::new("Next page")).on_hover_text("Page Down");
            if next.clicked() {
                desk.ask(Action::Page(page + 1));
            }
            ui.separator();
            for (words, command) in [
                ("Page smaller", Command::ZoomOut),
                ("Page larger", Command::ZoomIn),
                ("Whole page", Command::Fit),
                ("Size of the paper", Command::FullSize),
            ] {
                if ui.button(words).clicked() {
                    desk.ask(Action::Command(command));
                }
            }
            ui.label(format!("{:.0} %", 100.0 * reporting.size_seen()));
            if reporting.is_making() {
                ui.label(RichText::new("being made anew").color(theme::faint(ui.visuals().dark_mode)));
            }
        });
    });
}
