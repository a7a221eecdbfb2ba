//! How a film asks to be shown at first (PS3.3, C.11.1, C.11.2 and C.7.6.3): never what is measured on.

use super::attributes::Stated;
use super::layout::{Layout, Photometric};
use super::walk::DataSet;
use crate::caution::{Caution, CautionKind};
use dicom_core::Tag;
use dicom_dictionary_std::tags;
use std::ops::RangeInclusive;

/// How a film is first shown: from a grey value as stored here to a brightness.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstDisplay {
    /// Bits of depth of the values.
    pub bits: u8,
    /// What stored values are offset by here: half the range of signed ones.
    pub offset: u16,
    /// From stored values to those of the maker of the film.
    pub modality: Modality,
    /// From those to what is worth seeing.
    pub voi: Voi,
    /// Whether small values are bright.
    pub inverted: bool,
    /// The grey values, as stored here, of pixels that belong to no picture.
    pub padding: Option<RangeInclusive<u16>>,
}

/// From stored values to those of the maker (C.11.1).
#[derive(Debug, Clone, PartialEq)]
pub enum Modality {
    /// `slope` times the value, and `intercept`.
    Rescale {
        /// Not 0.
        slope: f64,
        /// Added.
        intercept: f64,
    },
    /// By a table.
    Table(LookUp),
}

/// Which values are worth seeing (C.11.2).
#[derive(Debug, Clone, PartialEq)]
pub enum Voi {
    /// Nothing is said: all that can be.
    Everything,
    /// A window.
    Window(Window),
    /// A table.
    Table(LookUp),
}

/// A window: from dark to bright around a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The value in the middle.
    pub centre: f64,
    /// How many values it spans.
    pub width: f64,
    /// How brightness grows in it.
    pub shape: WindowShape,
}

/// How brightness grows in a window (C.11.2.1.2 and C.11.2.1.3).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WindowShape {
    /// In a straight line, from the middle of the first whole number to that of the last.
    Linear,
    /// In a straight line, from end to end.
    LinearExact,
    /// In an S.
    Sigmoid,
}

/// A table of values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LookUp {
    /// The value its first entry belongs to.
    pub first: i32,
    /// The bits of its entries.
    pub bits: u8,
    /// Its entries, at least one.
    pub entries: Vec<u16>,
}

impl Window {
    /// The brightness, 0 to 1, of a value.
    pub fn brightness(&self, value: f64) -> f64 {
        let Self { centre, width, shape } = *self;
        match shape {
            WindowShape::Linear => {
                let (centre, span) = (centre - 0.5, width - 1.0);
                if value <= centre - span / 2.0 {
                    0.0
                } else if value > centre + span / 2.0 {
                    1.0
                } else {
                    (value - centre) / span + 0.5
                }
            }
            WindowShape::LinearExact => ((value - centre) / width + 0.5).clamp(0.0, 1.0),
            WindowShape::Sigmoid => 1.0 / (1.0 + libm::exp(-4.0 * (value - centre) / width)),
        }
    }
}

impl LookUp {
    /// The entry of a value, the first below the table, the last above it.
    pub fn entry(&self, value: f64) -> u16 {
        let place = (value.round() - f64::from(self.first)).clamp(0.0, f64::from(u16::MAX));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped just above")]
        let place = place as usize;
        let last = self.entries.len().saturating_sub(1);
        self.entries.get(place.min(last)).copied().unwrap_or(0)
    }

    fn largest(&self) -> f64 {
        f64::from(u16::MAX >> (16 - self.bits.clamp(1, 16)))
    }
}

impl Modality {
    /// The maker's value of a stored one.
    pub fn value(&self, stored: f64) -> f64 {
        match self {
            Self::Rescale { slope, intercept } => slope * stored + intercept,
            Self::Table(table) => f64::from(table.entry(stored)),
        }
    }
}

impl FirstDisplay {
    /// The display of a film that says nothing: everything from dark to bright.
    pub const fn plain(bits: u8, inverted: bool) -> Self {
        let modality = Modality::Rescale { slope: 1.0, intercept: 0.0 };
        Self { bits, offset: 0, modality, voi: Voi::Everything, inverted, padding: None }
    }

    /// The brightness, 0 dark to 1 bright, at which a grey value is first shown; `None` for padding, which belongs
    /// to no picture.
    pub fn brightness(&self, grey: u16) -> Option<f64> {
        if self.padding.as_ref().is_some_and(|padding| padding.contains(&grey)) {
            return None;
        }
        let maker = |grey: f64| self.modality.value(grey - f64::from(self.offset));
        let value = maker(f64::from(grey));
        let brightness = match &self.voi {
            Voi::Everything => match &self.modality {
                Modality::Table(table) => value / table.largest(),
                Modality::Rescale { .. } => {
                    let ends = [maker(0.0), maker(f64::from(u16::MAX >> (16 - self.bits.clamp(1, 16))))];
                    let (low, high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
                    (value - low) / (high - low)
                }
            },
            Voi::Window(window) => window.brightness(value),
            Voi::Table(table) => f64::from(table.entry(value)) / table.largest(),
        };
        let brightness = brightness.clamp(0.0, 1.0);
        Some(if self.inverted { 1.0 - brightness } else { brightness })
    }
}

/// What the file says of its first display. What is malformed is left out, with a caution.
pub(super) fn read(
    set: &DataSet<'_>,
    layout: &Layout,
    bits: u8,
    cautions: &mut Vec<Caution>,
) -> FirstDisplay {
    let mut display = FirstDisplay::plain(bits, false);
    if !matches!(layout.photometric, Photometric::Monochrome1 | Photometric::Monochrome2) {
        return display;
    }
    if layout.signed {
        display.offset = 1 << (layout.stored - 1);
    }
    // A film either way round says it once or twice; it is still turned once.
    display.inverted = layout.photometric == Photometric::Monochrome1
        || set.text(tags::PRESENTATION_LUT_SHAPE) == Some("INVERSE");
    display.padding = padding(set, layout);
    let mut malformed = |name: &str| {
        cautions.push(Caution::general(CautionKind::DisplayMalformed).detail(name));
    };
    match table(set, tags::MODALITY_LUT_SEQUENCE, layout.signed) {
        Stated::Value(table) => display.modality = Modality::Table(table),
        Stated::Malformed => malformed("Modality LUT Sequence"),
        Stated::Nothing => match rescale(set) {
            Stated::Value(rescale) => display.modality = rescale,
            Stated::Malformed => malformed("Rescale Slope and Intercept"),
            Stated::Nothing => {}
        },
    }
    // What a table or a rescale makes can be negative where stored values are, or the intercept is.
    let negative = match &display.modality {
        Modality::Rescale { intercept, .. } => layout.signed || *intercept < 0.0,
        Modality::Table(_) => false,
    };
    // Where there is a window too, either may be shown first (C.11.2); the window is what people set.
    match window(set) {
        Stated::Value(window) => display.voi = Voi::Window(window),
        stated => {
            if stated == Stated::Malformed {
                malformed("Window Center and Width");
            }
            match table(set, tags::VOILUT_SEQUENCE, negative) {
                Stated::Value(table) => display.voi = Voi::Table(table),
                Stated::Malformed => malformed("VOI LUT Sequence"),
                Stated::Nothing => {}
            }
        }
    }
    display
}

fn rescale(set: &DataSet<'_>) -> Stated<Modality> {
    match (set.decimal(tags::RESCALE_SLOPE), set.decimal(tags::RESCALE_INTERCEPT)) {
        (Stated::Nothing, Stated::Nothing) => Stated::Nothing,
        (Stated::Value(slope), Stated::Value(intercept)) if slope != 0.0 => {
            Stated::Value(Modality::Rescale { slope, intercept })
        }
        _ => Stated::Malformed,
    }
}

/// The first of the windows.
fn window(set: &DataSet<'_>) -> Stated<Window> {
    let shape = match set.first_text(tags::VOILUT_FUNCTION) {
        None | Some("LINEAR") => WindowShape::Linear,
        Some("LINEAR_EXACT") => WindowShape::LinearExact,
        Some("SIGMOID") => WindowShape::Sigmoid,
        Some(_) => return Stated::Malformed,
    };
    let (centres, widths) = (set.decimals(tags::WINDOW_CENTER), set.decimals(tags::WINDOW_WIDTH));
    match (centres, widths) {
        (Stated::Nothing, Stated::Nothing) => Stated::Nothing,
        (Stated::Value(centres), Stated::Value(widths)) => match (centres.first(), widths.first()) {
            (Some(centre), Some(width)) if *width >= 1.0 || *width > 0.0 && shape != WindowShape::Linear => {
                Stated::Value(Window { centre: *centre, width: *width, shape })
            }
            _ => Stated::Malformed,
        },
        _ => Stated::Malformed,
    }
}

/// The table in the first item of a sequence.
fn table(set: &DataSet<'_>, sequence: Tag, signed: bool) -> Stated<LookUp> {
    let Some(item) = set.items(sequence).first() else { return Stated::Nothing };
    let described = item.shorts(tags::LUT_DESCRIPTOR).unwrap_or_default();
    let [count, first, bits] = described[..] else { return Stated::Malformed };
    let count = if count == 0 { 1 << 16 } else { usize::from(count) };
    let (Ok(bits), Some(words)) = (u8::try_from(bits), item.shorts(tags::LUT_DATA)) else {
        return Stated::Malformed;
    };
    if !(1..=16).contains(&bits) {
        return Stated::Malformed;
    }
    // Entries of 8 bits come two to a word, the first in the lower byte, or one each (C.11.1.1.1).
    let entries: Vec<u16> = if bits <= 8 && words.len() < count {
        words.into_iter().flat_map(|word| [word & 0xff, word >> 8]).take(count).collect()
    } else {
        words.into_iter().take(count).collect()
    };
    if entries.len() != count {
        return Stated::Malformed;
    }
    let first = if signed { i32::from(first.cast_signed()) } else { i32::from(first) };
    Stated::Value(LookUp { first, bits, entries })
}

/// The padding's values as stored here (C.7.5.1.1.2), in either order.
fn padding(set: &DataSet<'_>, layout: &Layout) -> Option<RangeInclusive<u16>> {
    let mask = u16::MAX >> (16 - layout.stored);
    let turn = if layout.signed { 1 << (layout.stored - 1) } else { 0 };
    let grey = |value: u16| (value & mask) ^ turn;
    let one = grey(set.short(tags::PIXEL_PADDING_VALUE)?);
    let other = set.short(tags::PIXEL_PADDING_RANGE_LIMIT).map_or(one, grey);
    Some(one.min(other)..=one.max(other))
}
