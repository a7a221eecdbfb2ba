//! How well a colour stands out from another, which tests hold the window's colours to.

use eframe::egui::Color32;

/// Relative luminance as WCAG 2.2 defines it.
fn luminance(colour: Color32) -> f64 {
    let [r, g, b, _] = colour.to_array().map(|part| {
        let part = f64::from(part) / 255.0;
        if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// Contrast ratio as WCAG 2.2 defines it, 1 to 21.
pub fn contrast(one: Color32, other: Color32) -> f64 {
    let [one, other] = [one, other].map(luminance);
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}
