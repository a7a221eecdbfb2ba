//! The window: the film large, one worksheet beside it.
//!
//! Nothing is computed here. Panels draw the [`Session`] and collect [`Action`](action::Action)s;
//! the session takes these in after the frame. What knows egui only draws; what decides knows no egui.

mod about;
pub mod action;
pub mod agreement;
mod app;
mod behind;
mod canvas;
mod chair_card;
pub mod command;
#[cfg(any(test, feature = "window-tests"))]
pub mod contrast;
mod dialogs;
mod dropping;
mod empty;
mod film_messages;
pub mod guide;
mod keyboard;
mod leaving;
mod menus;
mod neighbours;
mod notices;
mod opening;
mod paper;
mod patient_picture;
pub mod planning;
mod plot_drawing;
pub mod practice;
pub mod question;
pub mod remembered;
mod report_pages;
pub mod reporting;
pub mod ruler;
mod saving;
pub mod session;
mod settings;
mod shown_film;
mod status;
mod system_dialogs;
mod tending;
mod theme;
mod tile_grid;
mod tiles;
mod tone_panel;
pub mod toning;
pub mod viewport;
mod within;
mod work;
mod worksheet;

pub use app::App;
pub use opening::{Opening, Step};
pub use session::{Session, Start};
pub use shown_film::{FilmState, ShownFilm};
pub use tending::AUTOSAVE_INTERVAL;
pub use work::Work;

use eframe::egui;

/// Why there is no window.
#[derive(Debug, thiserror::Error)]
#[error("no window could be opened: {0}; `crestgauge measure CASE` gives the numbers without one")]
pub struct NoWindow(String);

/// Opens the window and stays until it is closed.
///
/// # Errors
/// There is no display, or it cannot draw.
pub fn run(start: Start) -> Result<(), NoWindow> {
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_title("crestgauge")
            .with_app_id("crestgauge")
            // On a smaller screen it is as large as that.
            .with_inner_size([1280.0, 760.0])
            .with_clamp_size_to_monitor_size(true)
            .with_min_inner_size([900.0, 560.0])
            .with_drag_and_drop(true),
        // Chosen explicitly: it draws well without a graphics card and on remote desktops.
        renderer: eframe::Renderer::Glow,
        ..Default::default()
    };
    eframe::run_native(
        "crestgauge",
        options,
        Box::new(|context| Ok(Box::new(App::new(&context.egui_ctx, start)))),
    )
    .map_err(|error| NoWindow(last_words(&error.to_string())))
}

/// What stands last in an error of several parts: those before name places in libraries' sources.
fn last_words(error: &str) -> String {
    error.rsplit(": ").next().unwrap_or(error).trim_end_matches('.').to_owned()
}
