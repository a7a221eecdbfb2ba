//! The program in the window: panels around the session.

use super::action::Action;
use super::canvas::Canvas;
use super::command::Command;
use super::paper::Films;
use super::practice::drawn as practice;
use super::remembered::Theme;
use super::reporting::Shows;
use super::session::{Session, Start};
use super::system_dialogs::SystemDialogs;
use super::tone_panel::TonePanel;
use super::{
    canvas, dialogs, dropping, film_messages, keyboard, menus, notices, patient_picture, report_pages,
    status, theme, within, worksheet,
};
use crate::case::SAMPLE_BANNER;
use eframe::egui;
use std::time::SystemTime;

/// The program in the window.
pub struct App {
    session: Session,
    canvas: Canvas,
    worksheet: worksheet::Worksheet,
    tone_panel: TonePanel,
    /// Films on pages of reports.
    films: Films,
    /// Whether the window fills the screen.
    is_full: bool,
    dialogs: SystemDialogs,
    /// What waits until the field that was typed in has been taken in.
    after_typing: Vec<Action>,
    title: String,
    /// Whether the window may close without being asked again.
    may_close: bool,
    /// What has the keyboard, as far as it was brought into view.
    focus: Option<egui::Id>,
}

impl std::fmt::Debug for App {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("App").field("session", &self.session).finish_non_exhaustive()
    }
}

/// What a panel draws from, and where it puts what is asked for.
pub(super) struct Desk<'a> {
    /// Everything there is to show.
    pub(super) session: &'a Session,
    /// What was asked for in this frame.
    pub(super) actions: &'a mut Vec<Action>,
}

impl Desk<'_> {
    /// Asks for something.
    pub(super) fn ask(&mut self, action: Action) {
        self.actions.push(action);
    }
}

impl App {
    /// A program that opens what it is started with.
    pub fn new(context: &egui::Context, start: Start) -> Self {
        theme::install(context);
        // Quitting asks about unsaved work first, so the shortcut is a command like any other.
        context.options_mut(|options| {
            options.quit_shortcuts.clear();
            // So is the size of the interface, which is remembered.
            options.zoom_with_keyboard = false;
        });
        let wake = context.clone();
        let session = Session::new(start, move || wake.request_repaint());
        Self {
            session,
            canvas: Canvas::default(),
            worksheet: worksheet::Worksheet::default(),
            tone_panel: TonePanel::default(),
            films: Films::default(),
            is_full: false,
            dialogs: SystemDialogs::default(),
            after_typing: Vec::new(),
            title: String::new(),
            may_close: false,
            focus: None,
        }
    }

    /// What the window works on.
    pub const fn session(&self) -> &Session {
        &self.session
    }

    /// What the window works on, to be driven without pointer and keyboard.
    pub const fn session_mut(&mut self) -> &mut Session {
        &mut self.session
    }

    /// The same without dialogs of the system: names are typed.
    pub fn without_dialogs(mut self) -> Self {
        self.dialogs = SystemDialogs::none();
        self
    }

    /// Draws menus, worksheet, film and what lies around them.
    fn panels(&mut self, ui: &mut egui::Ui, actions: &mut Vec<Action>) {
        let mut desk = Desk { session: &self.session, actions };
        egui::Panel::top("menus").show(ui, |ui| menus::show(ui, &mut desk));
        if desk.session.work.as_ref().is_some_and(|work| work.is_sample) {
            egui::Panel::top("sample").show(ui, |ui| theme::banner(ui, SAMPLE_BANNER));
        }
        egui::Panel::bottom("status").show(ui, |ui| status::show(ui, &mut desk, &self.canvas));
        if desk.session.work.is_some() {
            let worksheet = &mut self.worksheet;
            // However large letters are, the film has half of the window.
            let most = (0.5 * ui.content_rect().width()).min(720.0);
            egui::Panel::right(theme::sized(ui.ctx(), "worksheet"))
                .default_size(430.0_f32.min(most))
                .size_range(340.0_f32.min(most)..=most)
                .show(ui, |ui| {
                    // What is too wide is cut at the window's side; it must not push the worksheet under the film.
                    let room = ui.available_rect_before_wrap();
                    let builder =
                        egui::UiBuilder::new().scope_id(egui::Id::unique("in the worksheet")).max_rect(room);
                    let mut inner = ui.new_child(builder);
                    practice::strip::show(&mut inner, &mut desk);
                    if desk.session.work.as_ref().is_some_and(|work| work.shown_comparison().is_some()) {
                        practice::comparison::show(&mut inner, &mut desk);
                    } else {
                        worksheet.show(&mut inner, &mut desk);
                    }
                    ui.advance_cursor_after_rect(room);
                });
        }
        self.tone_panel.show(ui, &mut desk);
        egui::CentralPanel::no_frame().show(ui, |ui| {
            let rect = ui.available_rect_before_wrap();
            if desk.session.reporting.shows == Some(Shows::Pages) && desk.session.work.is_some() {
                report_pages::show(ui, &mut desk, &mut self.films);
            } else {
                canvas::show(ui, &mut desk, &mut self.canvas);
                film_messages::show(ui, rect, &mut desk);
            }
            notices::show(ui, rect, &mut desk);
        });
    }

    /// The patient's drawing fills the screen.
    fn fill_screen(&mut self, context: &egui::Context) {
        let is_wanted = self.session.reporting.shows == Some(Shows::Picture);
        if is_wanted != self.is_full {
            self.is_full = is_wanted;
            context.send_viewport_cmd(egui::ViewportCommand::Fullscreen(is_wanted));
        }
    }

    /// The label stands in the title, never a file's name, which could carry a patient's.
    fn show_title(&mut self, context: &egui::Context) {
        let title = match &self.session.work {
            None => "crestgauge".to_owned(),
            Some(work) => {
                let label = work.open.case().label.clone().unwrap_or_else(|| "no label".to_owned());
                let numbers = self.session.remembered.tooth_numbers;
                let tooth = work.open.case().tooth.fdi;
                let tooth = tooth.map_or_else(String::new, |fdi| format!("tooth {}, ", numbers.words(fdi)));
                let changed = if work.open.has_unsaved_work() { " (not saved)" } else { "" };
                format!("{tooth}{label}{changed} \u{2013} crestgauge")
            }
        };
        if title != self.title {
            context.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    fn mind_closing(&mut self, context: &egui::Context) {
        if self.session.quits && !self.may_close {
            self.may_close = true;
            context.send_viewport_cmd(egui::ViewportCommand::Close);
        } else if context.input(|input| input.viewport().close_requested()) && !self.may_close {
            // What is still being typed is taken in first, and what is not saved is asked about.
            self.after_typing.push(Action::Command(Command::Quit));
            context.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            context.request_repaint();
        }
    }

    /// Takes in what was asked for in this frame. What saves or leaves the case comes after whatever is still being
    /// typed: the field gives up the keyboard, which has it taken in a frame later, and where it is refused nothing is
    /// left.
    fn take(&mut self, ui: &egui::Ui, actions: Vec<Action>) {
        if !actions.is_empty() {
            // What was drawn is out of date.
            ui.request_repaint();
        }
        let (settling, others): (Vec<_>, Vec<_>) = actions.into_iter().partition(settles);
        for action in others {
            self.session.take(action);
        }
        let due = std::mem::take(&mut self.after_typing);
        match worksheet::refused(ui) {
            Some(why) if !due.is_empty() => {
                self.session.problem(format!("first mend what was typed, or empty the field: {why}"));
            }
            _ => {
                for action in due {
                    self.session.take(action);
                }
            }
        }
        if self.is_typed_in(ui) {
            self.after_typing = settling;
        } else {
            for action in settling {
                self.session.take(action);
            }
        }
    }

    /// Whether somebody types into a field of the case.
    fn is_typed_in(&self, context: &egui::Context) -> bool {
        self.session.question.is_none() && context.text_edit_focused()
    }

    /// Takes the keyboard from a field before it is drawn where something waits for what is typed in it.
    fn end_typing(&self, context: &egui::Context) {
        if !self.after_typing.is_empty() && self.is_typed_in(context) {
            context.memory_mut(|memory| {
                if let Some(field) = memory.focused() {
                    memory.surrender_focus(field);
                }
            });
        }
    }
}

impl eframe::App for App {
    fn logic(&mut self, context: &egui::Context, _: &mut eframe::Frame) {
        self.dialogs.take(&mut self.session);
        self.mind_closing(context);
        if let Some(later) = self.session.tend(SystemTime::now()) {
            context.request_repaint_after(later);
        }
    }

    fn ui(&mut self, ui: &mut egui::Ui, _: &mut eframe::Frame) {
        self.session.points_per_pixel = 1.0 / f64::from(ui.pixels_per_point());
        theme::follow(ui, &self.session.remembered);
        self.session.drawn_in = if ui.visuals().dark_mode { Theme::Dark } else { Theme::Light };
        self.end_typing(ui);
        within::begin(ui, &self.session);
        keyboard::bring_into_view(ui, &mut self.focus);
        let mut actions = Vec::new();
        let mut desk = Desk { session: &self.session, actions: &mut actions };
        keyboard::commands(ui, &mut desk);
        let more_dropped = dropping::take(ui, &mut desk);
        if desk.session.reporting.shows == Some(Shows::Picture) && desk.session.work.is_some() {
            patient_picture::show(ui, &mut desk, &mut self.films);
        } else {
            self.panels(ui, &mut actions);
        }
        let mut desk = Desk { session: &self.session, actions: &mut actions };
        dialogs::show(ui, &mut desk);
        dropping::show(ui, &desk);
        self.take(ui, actions);
        if let Some(words) = more_dropped {
            self.session.problem(words);
        }
        if self.session.switches {
            self.session.switches = false;
            keyboard::switch(ui, &self.session);
        }
        if let Some(words) = self.session.copied.take() {
            ui.copy_text(words);
        }
        self.dialogs.open(ui, &mut self.session);
        self.fill_screen(ui);
        self.show_title(ui);
        if ui.memory(egui::Memory::focused) != self.focus {
            // What the keyboard came to in this frame is brought into view in the next.
            ui.request_repaint();
        }
        if self.session.quits && !self.may_close {
            ui.request_repaint();
        }
    }
}

/// Whether an action saves the case or leaves it.
fn settles(action: &Action) -> bool {
    match action {
        Action::Command(command) => command.settles(),
        Action::Open(_) | Action::GoOn { .. } | Action::SaveAs(_) | Action::WriteReportAs(_) => true,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Bounds;
    use eframe::App as _;
    use std::time::{Duration, Instant};

    /// Runs a frame without input. Says whether another one is asked for, and whether textures were made.
    fn frame(context: &egui::Context, app: &mut App) -> (bool, bool) {
        let screen = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1280.0, 800.0));
        let input = egui::RawInput { screen_rect: Some(screen), ..egui::RawInput::default() };
        let mut none = eframe::Frame::_new_kittest();
        let mut output = context.run_ui(input, |ui| {
            app.logic(ui, &mut none);
            app.ui(ui, &mut none);
        });
        let makes = !output.textures_delta.set.is_empty();
        output.textures_delta.clear();
        (output.viewport_output.values().any(|viewport| viewport.repaint_delay < Duration::MAX), makes)
    }

    /// Whether intervals are still to be drawn in another thread.
    fn draws(app: &App) -> bool {
        app.session.work.as_ref().is_some_and(|work| {
            let numbers = work.numbers.as_ref().as_ref();
            let is_doubtful = |numbers: &crate::editor::Numbers| {
                numbers.derived.measurements.iter().any(|row| row.first_order_doubtful)
            };
            work.drawn.is_none() && numbers.is_ok_and(is_doubtful)
        })
    }

    #[test]
    fn no_frame_is_asked_for_while_nothing_changes() {
        let state = tempfile::tempdir().unwrap();
        let start = Start {
            file: None,
            engine: crate::editor::Engine::embedded().unwrap().into(),
            state_folder: Some(state.path().to_path_buf()),
            bounds: Bounds::default(),
        };
        let context = egui::Context::default();
        let mut app = App::new(&context, start).without_dialogs();
        app.session_mut().take(Action::Command(Command::ToneStrip));
        let begun = Instant::now();
        let mut quiet = 0;
        while quiet < 3 {
            let asks = frame(&context, &mut app).0 || app.session.opening.is_some() || draws(&app);
            quiet = if asks { 0 } else { quiet + 1 };
            assert!(begun.elapsed() < Duration::from_mins(2), "it never comes to rest");
            std::thread::yield_now();
        }
        assert!(app.session.work.as_ref().is_some_and(|work| work.film.shown().is_some()));
        for _ in 0..5 {
            assert_eq!(frame(&context, &mut app), (false, false));
        }
    }
}
