//! What a film is: for people, and as one line of JSON.

use super::Style;
use crate::film::Description;
use crate::wording::wrapped;
use serde_json::{Map, Value};

/// A film's description as one line of JSON, the file's name first.
///
/// # Errors
/// None that a film can cause; the signature is the serialiser's.
pub fn film_json(file: &str, film: &Description) -> serde_json::Result<String> {
    let mut all = Map::new();
    all.insert("file".to_owned(), Value::from(file));
    if let Value::Object(rest) = serde_json::to_value(film)? {
        all.extend(rest);
    }
    serde_json::to_string(&all)
}

/// A film's description for people.
pub fn film_text(file: &str, film: &Description, style: Style) -> String {
    let pitch = match (film.pitch_mm, film.pitch_from) {
        (Some([across, down]), Some(from)) => {
            format!("{across:.5} mm across, {down:.5} mm down ({:.0} dpi), by {from}", 25.4 / across)
        }
        _ => "not stated, or not measured by anybody".to_owned(),
    };
    let magnification = match (film.pitch_mm, film.magnification) {
        (Some(_), Some(magnification)) => format!("{magnification:.4}"),
        _ => "not stated".to_owned(),
    };
    let mut lines = vec![
        style.heading(file),
        format!(
            "  format        {}, {} x {} px, {} bit grey",
            film.format, film.width_px, film.height_px, film.bits
        ),
        format!("  pitch         {pitch}"),
        format!("  magnification {magnification}"),
        format!("  sha256        {}", film.sha256),
        format!("  grey sha256   {}", film.grey_sha256),
    ];
    for caution in &film.cautions {
        for (index, line) in wrapped(&caution.text(), 76).into_iter().enumerate() {
            lines.push(format!("  {} {line}", if index == 0 { '!' } else { ' ' }));
        }
    }
    lines.push(String::new());
    lines.join("\n")
}
