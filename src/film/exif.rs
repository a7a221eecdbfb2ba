//! Orientation, resolution and day out of EXIF data (EXIF 2.3, CIPA DC-008), by the `kamadak-exif` crate.

use super::Orientation;
use super::day::calendar_day;
use super::pitch::{PerLength, PitchFrom, Statement};
use exif::{Exif, In, Tag, Value};

/// What a film's EXIF data say that matters here. Malformed data say nothing.
#[derive(Debug, Clone, Default)]
pub(super) struct ExifNotes {
    pub(super) orientation: Orientation,
    pub(super) resolution: Option<Statement>,
    /// The day the picture was taken, as in `2026-11-24`.
    pub(super) date: Option<String>,
}

impl ExifNotes {
    /// Reads EXIF data, which begin with a TIFF header.
    pub(super) fn read(data: &[u8]) -> Self {
        let mut reader = exif::Reader::new();
        reader.continue_on_error(true);
        let read = reader.read_raw(data.to_vec()).or_else(|error| error.distill_partial_result(|_| ()));
        let Ok(exif) = read else { return Self::default() };
        let orientation = whole(&exif, Tag::Orientation).and_then(Orientation::from_exif).unwrap_or_default();
        Self { orientation, resolution: resolution(&exif), date: date(&exif) }
    }
}

fn whole(exif: &Exif, tag: Tag) -> Option<u32> {
    exif.get_field(tag, In::PRIMARY)?.value.get_uint(0)
}

/// The day of the original (`DateTimeOriginal`, `YYYY:MM:DD HH:MM:SS`); when a film was digitised is another matter.
fn date(exif: &Exif) -> Option<String> {
    let Value::Ascii(texts) = &exif.get_field(Tag::DateTimeOriginal, In::PRIMARY)?.value else { return None };
    let text = std::str::from_utf8(texts.first()?.get(..10)?).ok()?;
    let mut parts = text.split(':');
    let digits = [parts.next()?, parts.next()?, parts.next()?].concat();
    if parts.next().is_some() { None } else { calendar_day(&digits) }
}

/// Resolution unit 2 is the inch, which is also the default; 3 is the centimetre; others say nothing.
fn resolution(exif: &Exif) -> Option<Statement> {
    let count = |tag| Some(ratio(&exif.get_field(tag, In::PRIMARY)?.value));
    let (across, down) = (count(Tag::XResolution), count(Tag::YResolution));
    if across.is_none() && down.is_none() {
        return None;
    }
    let unit = match whole(exif, Tag::ResolutionUnit).unwrap_or(2) {
        2 => PerLength::Inch,
        3 => PerLength::Centimetre,
        _ => return None,
    };
    let from = PitchFrom::ExifResolution;
    Some(Statement { from, unit, across: across.flatten(), down: down.flatten() })
}

fn ratio(value: &Value) -> Option<f64> {
    match value {
        Value::Rational(values) => {
            values.first().map(exif::Rational::to_f64).filter(|ratio| ratio.is_finite())
        }
        _ => None,
    }
}
