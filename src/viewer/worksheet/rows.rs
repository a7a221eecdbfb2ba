//! Rows of the worksheet: a name on the left, what is chosen or typed on the right.

use super::super::keyboard;
use super::links::come_to;
use eframe::egui::accesskit::Role;
use eframe::egui::scroll_area::ScrollAreaOutput;
use eframe::egui::{
    self, Align, EventFilter, Key, Layout, RichText, ScrollArea, Sense, Stroke, StrokeKind, Vec2, WidgetInfo,
    vec2,
};

/// Width of the names, and the part of a narrow worksheet they take at the most.
const NAMES: f32 = 118.0;
const MOST_OF_WIDTH: f32 = 0.32;

/// A row.
pub(in crate::viewer) fn row(ui: &mut egui::Ui, name: &str, add: impl FnOnce(&mut egui::Ui)) {
    let names = NAMES.min(ui.available_width() * MOST_OF_WIDTH);
    ui.horizontal_top(|ui| {
        ui.allocate_ui_with_layout(
            vec2(names, ui.spacing().interact_size.y),
            Layout::left_to_right(Align::Center).with_main_wrap(true),
            |ui| {
                ui.set_min_width(names);
                ui.label(name);
            },
        );
        ui.vertical(add);
    });
}

/// A choice among words, one of which, or none, is chosen. What is chosen anew goes to `take`.
pub(in crate::viewer) fn choice<T: Copy + PartialEq>(
    ui: &mut egui::Ui,
    name: &str,
    none: Option<&str>,
    all: &[(String, T)],
    chosen: Option<T>,
    take: impl FnOnce(Option<T>),
) {
    let mut now = chosen;
    let words = |wanted: T| all.iter().find(|(_, it)| *it == wanted).map(|(words, _)| words.as_str());
    let shown = chosen.and_then(words).or(none).unwrap_or("not stated");
    let combo = egui::ComboBox::from_id_salt(name)
        .selected_text(shown)
        .width(ui.available_width().min(240.0))
        .truncate()
        .show_ui(ui, |ui| {
            let is_opened = begins(ui);
            let is_listed = none.is_some() || chosen.and_then(words).is_some();
            let mut is_taken = false;
            let entries = none.map(|none| (none, None)).into_iter();
            let entries = entries.chain(all.iter().map(|(words, it)| (words.as_str(), Some(*it))));
            for (at, (words, it)) in entries.enumerate() {
                let entry = ui.selectable_label(chosen == it, words);
                if is_opened && (chosen == it || (at == 0 && !is_listed)) {
                    entry.request_focus();
                }
                if entry.clicked() {
                    (now, is_taken) = (it, true);
                }
            }
            if is_taken {
                close_list(ui);
            }
            is_taken
        });
    keyboard_comes_back(ui, &combo.response, combo.inner);
    come_to(ui, name, &combo.response);
    combo.response.accessible_name(format!("{name}: {shown}"));
    if now != chosen {
        take(now);
    }
}

/// Whether what is drawn here was not drawn in the frame before: a list that has just opened.
pub(super) fn begins(ui: &egui::Ui) -> bool {
    let drawn = ui.scope_id().with("frame it was drawn in");
    let now = ui.cumulative_frame_nr();
    let before = ui.data_mut(|data| {
        let before = data.get_temp::<u64>(drawn);
        data.insert_temp(drawn, now);
        before
    });
    before.is_none_or(|before| before + 1 < now)
}

/// The keyboard goes on where it came from once a list is closed by a key: by a choice, or by Esc, which chooses nothing.
/// `is_taken` says of one that was open whether something was chosen.
pub(super) fn keyboard_comes_back(ui: &egui::Ui, list: &egui::Response, is_taken: Option<bool>) {
    let is_given_up = is_taken.is_some() && ui.input(|input| input.key_pressed(Key::Escape));
    if is_taken == Some(true) || is_given_up {
        list.request_focus();
    }
}

/// Closes the list this stands in: a click of the pointer does that by itself, a key does not.
pub(super) fn close_list(ui: &egui::Ui) {
    ui.close();
}

/// Draws what is scrolled within a part, and has it be scrolled by the keyboard, too: where it is larger than its room Tab comes to
/// it, and arrow keys, Page Up and Page Down scroll it.
pub(in crate::viewer) fn scrolled<R>(
    ui: &mut egui::Ui,
    name: &str,
    area: ScrollArea,
    add: impl FnOnce(&mut egui::Ui) -> R,
) -> ScrollAreaOutput<R> {
    let id = ui.scope_id().with(("scrolled", name));
    // How far it reached beyond its room in the frame before, and how high that was.
    let before: Option<(Vec2, f32)> =
        ui.data(|data| data.get_temp(id)).filter(|_| ui.memory(|it| it.has_focus(id)));
    let mut by = Vec2::ZERO;
    if let Some((beyond, height)) = before {
        if beyond.x > 1.0 {
            by.x = keyboard::sideways(ui);
        }
        if beyond.y > 1.0 {
            by.y = keyboard::down(ui) + keyboard::paged(ui, height);
        }
    }
    let whole = ui.scope(|ui| {
        area.show(ui, |ui| {
            if by != Vec2::ZERO {
                ui.scroll_with_delta(-by);
            }
            add(ui)
        })
    });
    let drawn = whole.inner;
    // What only goes sideways tells no height of its own.
    let down = drawn.inner_rect.y_range().max.max(whole.response.rect.bottom());
    let rect = drawn.inner_rect.with_max_y(down);
    let beyond = (drawn.content_size - rect.size()).max(Vec2::ZERO);
    ui.data_mut(|data| data.insert_temp(id, (beyond, rect.height())));
    if beyond.max_elem() <= 1.0 {
        return drawn;
    }
    let own = ui.interact(rect, id, Sense::focusable_noninteractive());
    own.widget_info(|| WidgetInfo::labeled(Role::ScrollView, true, name));
    if own.has_focus() {
        let stroke = Stroke::new(1.5, ui.visuals().hyperlink_color);
        ui.painter().rect_stroke(rect, 2.0, stroke, StrokeKind::Inside);
        let arrows = EventFilter {
            horizontal_arrows: beyond.x > 1.0,
            vertical_arrows: beyond.y > 1.0,
            ..EventFilter::default()
        };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(id, arrows));
    }
    drawn
}

/// What is said in passing.
pub(super) fn aside(ui: &mut egui::Ui, words: impl Into<String>) {
    let colour = super::super::theme::faint(ui.visuals().dark_mode);
    ui.label(RichText::new(words).small().color(colour));
}
