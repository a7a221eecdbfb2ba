//! Keys into commands. Which keys mean what stands in the table of commands.

use super::action::Action;
use super::app::Desk;
use super::canvas::CANVAS;
use super::command::{Command, Reach};
use super::report_pages::PAGES;
use super::reporting::Shows;
use super::session::{Help, Session};
use super::within;
use eframe::egui::accesskit::{self, ActionRequest, TreeId};
use eframe::egui::{self, Id, Key, KeyboardShortcut, Modifiers, WidgetRect};

/// Asks for the commands whose keys were pressed.
pub(super) fn commands(context: &egui::Context, desk: &mut Desk<'_>) {
    if desk.session.question.is_some() {
        return;
    }
    let typing = context.text_edit_focused();
    let focus = context.memory(egui::Memory::focused);
    let on_film = focus == Some(Id::unique(CANVAS));
    // With a menu or a list open, keys choose in it: a letter must not change the case behind it.
    let in_list = egui::Popup::is_any_open(context);
    // What a window of help lies over is not looked at: letters are only for what closes or changes that window.
    let is_elsewhere = |command: Command| match desk.session.help {
        Some(Help::Card) => !matches!(command, Command::Cancel | Command::Shortcuts | Command::Card),
        // The guide is read beside the film, and what a walk did there is taken back without closing it.
        Some(Help::Guide) => {
            !matches!(command, Command::Cancel | Command::Shortcuts | Command::Undo | Command::Redo)
        }
        Some(_) => !matches!(command, Command::Cancel | Command::Shortcuts),
        None => false,
    };
    // Over the patient's drawing nothing is done to what lies behind it.
    let is_behind = |command: Command| {
        desk.session.reporting.shows == Some(Shows::Picture)
            && !matches!(command, Command::Cancel | Command::Picture | Command::Quit)
    };
    let counts = |command: Command| match command.reach() {
        _ if is_behind(command) => false,
        Reach::Everywhere => true,
        Reach::OutsideText | Reach::OnFilm if in_list || is_elsewhere(command) => false,
        Reach::OutsideText => !typing,
        Reach::OnFilm => on_film,
        // Looked at where it counts, as long as it is held.
        Reach::WhileHeld => false,
    };
    let mut keys: Vec<(KeyboardShortcut, Command)> = Command::ALL
        .iter()
        .filter(|command| counts(**command))
        .flat_map(|command| command.shortcuts().iter().map(|keys| (*keys, *command)))
        .collect();
    // A shortcut also matches with Shift held, so those with more modifiers come first.
    keys.sort_by_key(|(keys, _)| {
        let held = keys.modifiers;
        std::cmp::Reverse(u8::from(held.shift) + u8::from(held.command) + u8::from(held.alt))
    });
    for (keys, command) in keys {
        if context.input_mut(|input| input.consume_shortcut(&keys)) {
            desk.ask(Action::Command(command));
        }
    }
}

/// How far an arrow key scrolls, points.
const LINE: f32 = 40.0;

/// How far Page Up and Page Down scroll down what is as high as this.
pub(super) fn paged(ui: &egui::Ui, height: f32) -> f32 {
    along(ui, Key::PageDown, Key::PageUp, 0.8 * height)
}

/// How far arrow keys scroll to the right.
pub(super) fn sideways(ui: &egui::Ui) -> f32 {
    along(ui, Key::ArrowRight, Key::ArrowLeft, LINE)
}

/// How far arrow keys scroll down.
pub(super) fn down(ui: &egui::Ui) -> f32 {
    along(ui, Key::ArrowDown, Key::ArrowUp, LINE)
}

/// So far for each press of one key, and back for the other.
fn along(ui: &egui::Ui, forwards: Key, backwards: Key, step: f32) -> f32 {
    let presses = |key| {
        let count = ui.input_mut(|input| {
            // What scrolls here is not to scroll what it lies in as well.
            if input.modifiers.is_none() { input.count_and_consume_key(Modifiers::NONE, key) } else { 0 }
        });
        u16::try_from(count).map_or(0.0, f32::from)
    };
    step * (presses(forwards) - presses(backwards))
}

/// Scrolls what is only read, and so has no control to go to: by Page Up and Page Down, and a window of help that has the
/// keyboard by arrow keys, too.
pub(super) fn pages(ui: &egui::Ui) {
    let mut by = egui::vec2(0.0, paged(ui, ui.clip_rect().height()));
    if within::focused(ui).is_some() && !ui.text_edit_focused() && !egui::Popup::is_any_open(ui) {
        let arrows = egui::vec2(sideways(ui), down(ui));
        if arrows != egui::Vec2::ZERO {
            by += arrows;
            // They would go to the nearest control otherwise, and that may lie behind.
            ui.memory_mut(|memory| memory.move_focus(egui::FocusDirection::None));
        }
    }
    if by != egui::Vec2::ZERO {
        ui.scroll_with_delta(-by);
    }
}

/// Where a control is, as far as it is drawn. To read its response would take the keyboard from it where it was given that in
/// the frame of a click elsewhere.
pub(super) fn control(context: &egui::Context, id: Id) -> Option<WidgetRect> {
    context.viewport(|viewport| {
        let drawn = viewport.this_pass.widgets.get(id).or_else(|| viewport.prev_pass.widgets.get(id));
        drawn.copied()
    })
}

/// Scrolls to what the keyboard was moved to, where that lies out of sight. `seen` is what had the keyboard before. What the
/// pointer chose is in sight, and must not move under it.
pub(super) fn bring_into_view(context: &egui::Context, seen: &mut Option<Id>) {
    let focus = context.memory(egui::Memory::focused);
    if focus == *seen {
        return;
    }
    *seen = focus;
    let is_cut = |it: &WidgetRect| !it.interact_rect.expand(0.5).contains_rect(it.rect);
    let by_pointer = context.input(|input| input.pointer.any_down() || input.pointer.any_released());
    let Some(cut) = focus.and_then(|id| control(context, id)).filter(|it| !by_pointer && is_cut(it)) else {
        return;
    };
    context.input_mut(|input| {
        input.events.push(egui::Event::AccessKitActionRequest(ActionRequest {
            action: accesskit::Action::ScrollIntoView,
            target_tree: TreeId::ROOT,
            target_node: cut.id.accesskit_id(),
            data: None,
        }));
    });
    context.request_repaint();
}

/// What has the keyboard beside the worksheet: the film, or pages in its place.
pub(super) fn beside_worksheet(session: &Session) -> Id {
    Id::unique(if session.reporting.shows == Some(Shows::Pages) { PAGES } else { CANVAS })
}

/// Says of a control that it goes by steps, for those who hear it. Gives how many are asked for in this frame, forwards.
pub(super) fn heard_steps(ui: &egui::Ui, control: &egui::Response) -> f64 {
    use accesskit::Action::{Decrement, Increment};
    ui.accesskit_node_builder(control.id, |node| {
        node.add_action(Increment);
        node.add_action(Decrement);
    });
    let asked = |action| ui.input(|input| input.num_accesskit_action_requests(control.id, action));
    let steps = |action| u32::try_from(asked(action)).map_or(0.0, f64::from);
    steps(Increment) - steps(Decrement)
}

/// Scrolls a part of the window by Page Up and Page Down while the keyboard is in it, at whatever control.
pub(super) fn pages_of_part(ui: &egui::Ui, part: egui::Rect) {
    let focus = ui.memory(egui::Memory::focused).and_then(|id| control(ui, id));
    let is_in = |it: &WidgetRect| it.layer_id == ui.layer_id() && part.x_range().contains(it.rect.center().x);
    if focus.is_some_and(|it| is_in(&it)) && !egui::Popup::is_any_open(ui) {
        let by = paged(ui, ui.clip_rect().height());
        if by != 0.0 {
            ui.scroll_with_delta(egui::vec2(0.0, -by));
        }
    }
}

/// Moves the keyboard from the film, or what stands in its place, to the worksheet, or back. Where nothing has it, the
/// job begins in the worksheet: on the film Enter would place. Beside a window of help it goes between that and the worksheet.
pub(super) fn switch(context: &egui::Context, session: &Session) {
    if session.help.is_some() {
        match within::focused(context) {
            Some(_) => context.memory_mut(|memory| memory.request_focus(Id::unique(super::worksheet::FIRST))),
            None => within::come(context),
        }
        return;
    }
    let film = beside_worksheet(session);
    context.memory_mut(|memory| {
        let focused = memory.focused();
        if focused.is_none_or(|focused| focused == film) {
            memory.surrender_focus(film);
            memory.request_focus(Id::unique(super::worksheet::FIRST));
        } else {
            memory.request_focus(film);
        }
    });
}
