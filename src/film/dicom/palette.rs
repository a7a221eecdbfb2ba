//! Palette colours (PS3.3, C.7.6.3.1.5 and C.7.6.3.1.6).

use super::layout::Layout;
use super::walk::DataSet;
use super::{FilmError, Format, unsupported};
use crate::film::samples::PaletteEntry;
use dicom_core::Tag;
use dicom_dictionary_std::tags;

/// One of the three tables.
struct Table {
    /// The pixel value of its first entry.
    first: i32,
    entries: Vec<u16>,
    bits: u8,
}

fn damaged(what: impl std::fmt::Display) -> FilmError {
    FilmError::damaged(Format::Dicom, what)
}

/// The grey of every value a pixel can have, as it is stored here, and the depth of the colours.
pub(super) fn read(set: &DataSet<'_>, layout: &Layout) -> Result<(Vec<PaletteEntry>, u8), FilmError> {
    if set.element(tags::SEGMENTED_RED_PALETTE_COLOR_LOOKUP_TABLE_DATA).is_some() {
        return Err(unsupported("a palette in segments"));
    }
    let table = |descriptor, data| table(set, descriptor, data, layout.signed);
    let red =
        table(tags::RED_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR, tags::RED_PALETTE_COLOR_LOOKUP_TABLE_DATA)?;
    let green = table(
        tags::GREEN_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR,
        tags::GREEN_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    )?;
    let blue =
        table(tags::BLUE_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR, tags::BLUE_PALETTE_COLOR_LOOKUP_TABLE_DATA)?;
    let bits = red.bits.max(green.bits).max(blue.bits);
    let offset = if layout.signed { 1 << (layout.stored - 1) } else { 0 };
    let entries = (0..1_i32 << layout.stored).map(|stored| {
        let value = stored - offset;
        PaletteEntry::new(red.at(value), green.at(value), blue.at(value))
    });
    Ok((entries.collect(), bits))
}

fn table(set: &DataSet<'_>, descriptor: Tag, data: Tag, signed: bool) -> Result<Table, FilmError> {
    let described = set.shorts(descriptor).unwrap_or_default();
    let [count, first, bits] = described[..] else {
        return Err(damaged("its palette is not described"));
    };
    // 65536 does not fit into 16 bits and is written as 0.
    let count = if count == 0 { 1 << 16 } else { usize::from(count) };
    let bytes = set.bytes(data).ok_or_else(|| damaged("its palette has no colours"))?;
    let words = set.shorts(data).unwrap_or_default();
    // Colours of 8 bits come two to a word, or one each.
    let entries: Vec<u16> = match bits {
        8 if words.len() >= count => words.into_iter().take(count).collect(),
        8 if set.big => bytes
            .as_chunks::<2>()
            .0
            .iter()
            .flat_map(|[one, two]| [u16::from(*two), u16::from(*one)])
            .take(count)
            .collect(),
        8 => bytes.iter().map(|byte| u16::from(*byte)).take(count).collect(),
        16 => words.into_iter().take(count).collect(),
        other => return Err(damaged(format!("its palette has colours of {other} bits, neither 8 nor 16"))),
    };
    if entries.len() != count {
        return Err(damaged("its palette has fewer colours than it says"));
    }
    let bits = if bits == 8 && entries.iter().all(|entry| *entry < 256) { 8 } else { 16 };
    let first = if signed { i32::from(first.cast_signed()) } else { i32::from(first) };
    Ok(Table { first, entries, bits })
}

impl Table {
    /// The colour of a pixel value; values before the first entry have the first, those after the last the last.
    fn at(&self, value: i32) -> u16 {
        let last = self.entries.len().saturating_sub(1);
        let place = usize::try_from(value - self.first).unwrap_or(0).min(last);
        self.entries.get(place).copied().unwrap_or(0)
    }
}
