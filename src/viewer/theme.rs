//! Colours and type. The colours are those of Okabe and Ito (2008), which people with any kind of colour vision can
//! tell apart; a shape and a word always stand beside a colour.

use super::remembered::{Remembered, Theme};
use crate::case::Verdict;
use eframe::egui::{self, Color32, RichText};

/// Orange of Okabe and Ito.
pub(super) const ORANGE: Color32 = Color32::from_rgb(230, 159, 0);
/// Sky blue.
pub(super) const SKY_BLUE: Color32 = Color32::from_rgb(86, 180, 233);
/// Bluish green.
pub(super) const BLUISH_GREEN: Color32 = Color32::from_rgb(0, 158, 115);
/// Yellow.
pub(super) const YELLOW: Color32 = Color32::from_rgb(240, 228, 66);
/// Blue.
pub(super) const BLUE: Color32 = Color32::from_rgb(0, 114, 178);
/// Vermilion.
pub(super) const VERMILION: Color32 = Color32::from_rgb(213, 94, 0);
/// Reddish purple.
pub(super) const REDDISH_PURPLE: Color32 = Color32::from_rgb(204, 121, 167);

/// Sets both themes up.
pub(super) fn install(context: &egui::Context) {
    // The bundled font of text has letters; the shapes of verdicts are in the bundled font of numbers.
    let mut fonts = egui::FontDefinitions::default();
    if let Some(text) = fonts.families.get_mut(&egui::FontFamily::Proportional) {
        text.push("Hack".to_owned());
    }
    context.set_fonts(fonts);
    for theme in [egui::Theme::Dark, egui::Theme::Light] {
        context.style_mut_of(theme, |style| {
            style.spacing.item_spacing = egui::vec2(6.0, 5.0);
            style.spacing.button_padding = egui::vec2(7.0, 3.0);
            style.interaction.tooltip_delay = 0.4;
            style.animation_time = 0.0;
            // The size egui has for small print is hard to read.
            style.text_styles.insert(egui::TextStyle::Small, egui::FontId::proportional(12.5));
        });
    }
    context.style_mut_of(egui::Theme::Dark, |style| {
        let visuals = &mut style.visuals;
        visuals.panel_fill = Color32::from_rgb(32, 33, 36);
        visuals.window_fill = Color32::from_rgb(40, 41, 45);
        visuals.extreme_bg_color = Color32::from_rgb(18, 18, 20);
        visuals.override_text_color = Some(Color32::from_rgb(228, 228, 226));
        visuals.selection.bg_fill = Color32::from_rgb(0, 90, 140);
        visuals.hyperlink_color = SKY_BLUE;
        outline(visuals, true);
    });
    context.style_mut_of(egui::Theme::Light, |style| {
        let visuals = &mut style.visuals;
        visuals.panel_fill = Color32::from_rgb(243, 242, 238);
        visuals.window_fill = Color32::from_rgb(250, 249, 246);
        visuals.override_text_color = Some(Color32::from_rgb(28, 28, 30));
        visuals.selection.bg_fill = Color32::from_rgb(150, 200, 230);
        visuals.hyperlink_color = BLUE;
        outline(visuals, false);
    });
}

/// Fields and boxes have an edge that is seen, and hints a colour that is read.
fn outline(visuals: &mut egui::Visuals, dark: bool) {
    visuals.weak_text_color = Some(faint(dark));
    let edge = if dark { Color32::from_gray(112) } else { Color32::from_gray(138) };
    visuals.widgets.inactive.bg_stroke = egui::Stroke::new(1.0, edge);
}

/// Takes the chosen theme and size.
pub(super) fn follow(context: &egui::Context, remembered: &Remembered) {
    let preference = match remembered.theme {
        Theme::System => egui::ThemePreference::System,
        Theme::Light => egui::ThemePreference::Light,
        Theme::Dark => egui::ThemePreference::Dark,
    };
    if context.options(|options| options.theme_preference) != preference {
        context.set_theme(preference);
    }
    let zoom = remembered.scale.factor();
    if (context.zoom_factor() - zoom).abs() > f32::EPSILON {
        context.set_zoom_factor(zoom);
    }
}

/// The colour a verdict has beside its shape and word.
pub(super) fn verdict(verdict: Option<Verdict>, dark: bool) -> Color32 {
    let pick = |on_dark: Color32, on_light: Color32| if dark { on_dark } else { on_light };
    match verdict {
        Some(Verdict::Meets) => pick(SKY_BLUE, Color32::from_rgb(0, 90, 150)),
        Some(Verdict::FallsShort) => pick(Color32::from_rgb(255, 140, 60), Color32::from_rgb(160, 60, 0)),
        Some(Verdict::Undecided) => pick(YELLOW, Color32::from_rgb(115, 85, 0)),
        Some(Verdict::DoesNotApply) | None => faint(dark),
    }
}

/// The colour of cautions.
pub(super) fn caution(dark: bool) -> Color32 {
    if dark { ORANGE } else { Color32::from_rgb(130, 80, 0) }
}

/// The colour of what is said in passing; still readable.
pub(super) fn faint(dark: bool) -> Color32 {
    if dark { Color32::from_rgb(165, 165, 168) } else { Color32::from_rgb(88, 88, 92) }
}

/// What stands over the sample.
pub(super) fn banner(ui: &mut egui::Ui, words: &str) {
    ui.horizontal_centered(|ui| {
        ui.label(RichText::new(words).strong().color(caution(ui.visuals().dark_mode)))
    });
}
