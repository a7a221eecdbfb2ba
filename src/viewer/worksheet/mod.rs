//! The worksheet: the job from top to bottom.

use super::app::Desk;
use eframe::egui;

/// The first control, where the keyboard goes.
pub(super) const FIRST: &str = "worksheet";

/// What the worksheet keeps from frame to frame.
#[derive(Default)]
pub(super) struct Worksheet {}

impl Worksheet {
    /// Draws it.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, _desk: &mut Desk<'_>) {
        ui.heading("Worksheet");
    }
}
