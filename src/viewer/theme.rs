//! Colours and type. The colours are those of Okabe and Ito (2008), which people with any kind of colour vision can
//! tell apart; a shape and a word always stand beside a colour.
//!
//! On the film, in drawings and beside notices they are exactly those of the set. Words and the shapes of verdicts have to stand
//! out from their ground by 4.5 to 1, which not all of the set do: on light ground blue, vermilion, yellow and orange are
//! darkened, on dark ground vermilion is lightened, each near its hue.

use super::remembered::{Remembered, Theme};
use crate::case::Verdict;
use crate::report::Face;
use eframe::egui::{self, Color32, RichText};
use std::sync::Arc;

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

/// Letters on the screen are no smaller than this, points at the usual scale; a page that is looked at keeps its own.
pub(super) const LEAST_LETTERS: f32 = 11.0;

const fn report_font(face: Face) -> &'static str {
    match face {
        Face::Regular => "report",
        Face::Bold => "report, bold",
    }
}

/// The font of a report's face.
pub(super) fn report_family(face: Face) -> egui::FontFamily {
    egui::FontFamily::Name(report_font(face).into())
}

/// Sets both themes up.
pub(super) fn install(context: &egui::Context) {
    // The bundled font of text has letters; the shapes of verdicts are in the bundled font of numbers.
    let mut fonts = egui::FontDefinitions::default();
    if let Some(text) = fonts.families.get_mut(&egui::FontFamily::Proportional) {
        text.push("Hack".to_owned());
    }
    // What is seen of a report is set in its own letters.
    for face in [Face::Regular, Face::Bold] {
        let name = report_font(face);
        fonts.font_data.insert(name.to_owned(), Arc::new(egui::FontData::from_static(face.bytes())));
        fonts.families.insert(report_family(face), vec![name.to_owned()]);
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
    let edge = if dark { Color32::from_gray(124) } else { Color32::from_gray(138) };
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

/// What lies around a page: paper stands out from it.
pub(super) fn beside_paper(dark: bool) -> Color32 {
    if dark { Color32::from_gray(18) } else { Color32::from_gray(208) }
}

/// The colour of cautions.
pub(super) fn caution(dark: bool) -> Color32 {
    if dark { ORANGE } else { Color32::from_rgb(130, 80, 0) }
}

/// The colour of what is to be done next, and of lines to be looked at.
pub(super) fn to_do(dark: bool) -> Color32 {
    if dark { SKY_BLUE } else { Color32::from_rgb(0, 90, 150) }
}

/// The colour of what is chosen among others of its kind.
pub(super) fn chosen(dark: bool) -> Color32 {
    if dark { ORANGE } else { Color32::from_rgb(150, 75, 0) }
}

/// The colour of what is said in passing; still readable.
pub(super) fn faint(dark: bool) -> Color32 {
    if dark { Color32::from_rgb(165, 165, 168) } else { Color32::from_rgb(88, 88, 92) }
}

/// What keeps its size and place under its name: at each size of letters another, or what was made to fit between large
/// letters would stay so small once they shrink.
pub(super) fn sized(context: &egui::Context, name: &str) -> egui::Id {
    egui::Id::unique((name, context.zoom_factor().to_bits()))
}

/// A window over all others that can be moved. Its title is nothing that is pressed: as such it would be a control
/// without a name.
pub(super) fn window(context: &egui::Context, title: &'static str) -> egui::Window<'static> {
    egui::Window::new(title)
        .id(sized(context, title))
        .collapsible(false)
        .drag_area(egui::WindowDrag::Anywhere)
}

/// What stands over the sample.
pub(super) fn banner(ui: &mut egui::Ui, words: &str) {
    ui.horizontal_centered(|ui| {
        ui.label(RichText::new(words).strong().color(caution(ui.visuals().dark_mode)))
    });
}

#[cfg(test)]
mod tests {
    use super::super::contrast::contrast;
    use super::*;

    /// A colour added to another, as the ground of every other row is.
    fn added(top: Color32, under: Color32) -> Color32 {
        let [r, g, b] = [(top.r(), under.r()), (top.g(), under.g()), (top.b(), under.b())]
            .map(|(top, under)| top.saturating_add(under));
        Color32::from_rgb(r, g, b)
    }

    fn visuals(dark: bool) -> egui::Visuals {
        let context = egui::Context::default();
        install(&context);
        let theme = if dark { egui::Theme::Dark } else { egui::Theme::Light };
        context.style_of(theme).visuals.clone()
    }

    /// The colours text has on the grounds of panels and windows.
    fn text_colours(visuals: &egui::Visuals) -> Vec<(&'static str, Color32)> {
        let dark = visuals.dark_mode;
        vec![
            ("text", visuals.text_color()),
            ("strong text", visuals.strong_text_color()),
            ("weak text", visuals.weak_text_color()),
            ("link", visuals.hyperlink_color),
            ("faint", faint(dark)),
            ("caution", caution(dark)),
            ("to do", to_do(dark)),
            ("meets", verdict(Some(Verdict::Meets), dark)),
            ("falls short", verdict(Some(Verdict::FallsShort), dark)),
            ("undecided", verdict(Some(Verdict::Undecided), dark)),
            ("does not apply", verdict(Some(Verdict::DoesNotApply), dark)),
        ]
    }

    /// What lies behind text: panels, windows, every other row, rows pointed at, drawings and fields, headings pointed
    /// at.
    fn grounds(visuals: &egui::Visuals) -> Vec<(&'static str, Color32)> {
        vec![
            ("panel", visuals.panel_fill),
            ("window", visuals.window_fill),
            ("every other row", added(visuals.faint_bg_color, visuals.panel_fill)),
            ("drawing", visuals.extreme_bg_color),
            ("heading pointed at", visuals.widgets.open.weak_bg_fill),
        ]
    }

    #[test]
    fn text_and_verdicts_stand_out_from_every_ground_in_both_themes() {
        // WCAG 2.2, success criterion 1.4.3: 4.5 to 1.
        for dark in [true, false] {
            let visuals = visuals(dark);
            for (ground, behind) in grounds(&visuals) {
                for (text, colour) in text_colours(&visuals) {
                    // A link is never on a heading.
                    if (text, ground) == ("link", "heading pointed at") {
                        continue;
                    }
                    let ratio = contrast(colour, behind);
                    assert!(ratio >= 4.5, "dark {dark}: {text} on {ground}: {ratio:.2}");
                }
            }
            let widgets = &visuals.widgets;
            for (state, fill) in [
                ("a button", widgets.inactive.weak_bg_fill),
                ("a button pointed at", widgets.hovered.weak_bg_fill),
                ("a button with the keyboard", widgets.active.weak_bg_fill),
                ("an open list", widgets.open.weak_bg_fill),
                ("what is chosen", visuals.selection.bg_fill),
            ] {
                let ratio = contrast(visuals.text_color(), fill);
                assert!(ratio >= 4.5, "dark {dark}: text on {state}: {ratio:.2}");
            }
        }
    }

    #[test]
    fn shapes_and_edges_of_controls_stand_out_in_both_themes() {
        // WCAG 2.2, success criterion 1.4.11: 3 to 1.
        for dark in [true, false] {
            let visuals = visuals(dark);
            let widgets = &visuals.widgets;
            let shapes = [
                ("edge of a control", widgets.inactive.bg_stroke.color),
                ("edge of a control pointed at", widgets.hovered.bg_stroke.color),
                ("edge of the control with the keyboard", widgets.active.bg_stroke.color),
                ("tick and handle", widgets.inactive.fg_stroke.color),
                ("keyboard on a row", visuals.selection.stroke.color),
                ("stripe of a problem", VERMILION),
                ("stripe of what was done", BLUISH_GREEN),
                ("what is chosen", chosen(dark)),
            ];
            let on_heading = contrast(visuals.hyperlink_color, widgets.open.weak_bg_fill);
            assert!(on_heading >= 3.0, "dark {dark}: keyboard on a heading: {on_heading:.2}");
            for (ground, behind) in grounds(&visuals) {
                // Headings have an edge of their own and carry no controls.
                if ground == "heading pointed at" {
                    continue;
                }
                for (shape, colour) in shapes {
                    let ratio = contrast(colour, behind);
                    assert!(ratio >= 3.0, "dark {dark}: {shape} on {ground}: {ratio:.2}");
                }
            }
        }
    }

    #[test]
    fn the_set_is_that_of_okabe_and_ito() {
        // Okabe and Ito (2008), Color Universal Design: the values they give for red, green and blue.
        let published = [
            (ORANGE, [230, 159, 0]),
            (SKY_BLUE, [86, 180, 233]),
            (BLUISH_GREEN, [0, 158, 115]),
            (YELLOW, [240, 228, 66]),
            (BLUE, [0, 114, 178]),
            (VERMILION, [213, 94, 0]),
            (REDDISH_PURPLE, [204, 121, 167]),
        ];
        for (colour, [r, g, b]) in published {
            assert_eq!(colour, Color32::from_rgb(r, g, b));
        }
    }
}
