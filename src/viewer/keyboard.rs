//! Keys into commands. Which keys mean what stands in the table of commands.

use super::action::Action;
use super::app::Desk;
use super::canvas::CANVAS;
use super::command::{Command, Reach};
use super::report_pages::PAGES;
use super::reporting::Shows;
use super::session::{Help, Session};
use eframe::egui::accesskit::{self, ActionRequest, TreeId};
use eframe::egui::{self, Id, Key, KeyboardShortcut};

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
    // Beside what has nothing to do with the film that happens to be open, a letter is none for it.
    let is_elsewhere = matches!(desk.session.help, Some(Help::Agreement | Help::Practice | Help::Curves));
    // Over the patient's drawing nothing is done to what lies behind it.
    let is_behind = |command: Command| {
        desk.session.reporting.shows == Some(Shows::Picture)
            && !matches!(command, Command::Cancel | Command::Picture | Command::Quit)
    };
    let counts = |command: Command| match command.reach() {
        _ if is_behind(command) => false,
        Reach::Everywhere => true,
        Reach::OutsideText | Reach::OnFilm if in_list || (is_elsewhere && command != Command::Cancel) => {
            false
        }
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

/// Scrolls what is only read, and so has no control to go to, by Page Up and Page Down.
pub(super) fn pages(ui: &egui::Ui) {
    let pressed = |key| ui.input(|input| input.key_pressed(key) && input.modifiers.is_none());
    let page = 0.8 * ui.clip_rect().height();
    let down =
        [(Key::PageDown, page), (Key::PageUp, -page)].map(|(key, by)| if pressed(key) { by } else { 0.0 });
    let by = down.iter().sum::<f32>();
    if by.abs() > 0.0 {
        ui.scroll_with_delta(egui::vec2(0.0, -by));
    }
}

/// Scrolls to what the keyboard was moved to, where that lies out of sight. `seen` is what had the keyboard before. What the
/// pointer chose is in sight, and must not move under it.
pub(super) fn bring_into_view(context: &egui::Context, seen: &mut Option<Id>) {
    let focus = context.memory(egui::Memory::focused);
    if focus == *seen {
        return;
    }
    *seen = focus;
    let is_cut = |it: &egui::Response| !it.interact_rect.expand(0.5).contains_rect(it.rect);
    let by_pointer = context.input(|input| input.pointer.any_down() || input.pointer.any_released());
    let Some(cut) = focus.and_then(|id| context.read_response(id)).filter(|it| !by_pointer && is_cut(it))
    else {
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

/// Moves the keyboard from the film, or what stands in its place, to the worksheet, or back. Where nothing has it, the
/// job begins in the worksheet: on the film Enter would place.
pub(super) fn switch(context: &egui::Context, session: &Session) {
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
