//! A second view of a TIFF's first directory.
//!
//! The `tiff` crate inverts pictures whose white is zero, refuses palettes, unpacks no sample of 9 to 15 bits, and
//! misplaces tiles of later planes. What it does well (strips, tiles, every compression) does not depend on any of that. So the
//! directory is rewritten in a copy of the file, to call the samples plain grey or plain bytes, and what they
//! truly are is remembered and applied afterwards. The layout of directories is TIFF 6.0, section 2; that of
//! `BigTIFF` from memory.

use ::tiff::tags::Tag;

/// Where the entries of the first directory stand.
#[derive(Debug, Clone, Copy)]
struct Layout {
    little: bool,
    big: bool,
    first_entry: usize,
    entries: usize,
}

impl Layout {
    fn of(bytes: &[u8]) -> Option<Self> {
        let little = bytes.starts_with(b"II");
        let big = matches!(number(bytes, 2, 2, little)?, 43);
        let directory = if big { number(bytes, 8, 8, little)? } else { number(bytes, 4, 4, little)? };
        let directory = usize::try_from(directory).ok()?;
        let counted = if big { 8 } else { 2 };
        let entries = usize::try_from(number(bytes, directory, counted, little)?).ok()?;
        Some(Self { little, big, first_entry: directory.checked_add(counted)?, entries })
    }

    const fn entry_bytes(self) -> usize {
        if self.big { 20 } else { 12 }
    }
}

/// The unsigned number of `length` bytes, at most 8, at a place.
fn number(bytes: &[u8], at: usize, length: usize, little: bool) -> Option<u64> {
    let digits = bytes.get(at..at.checked_add(length)?)?;
    let add = |sum: u64, byte: &u8| sum << 8 | u64::from(*byte);
    Some(if little { digits.iter().rev().fold(0, add) } else { digits.iter().fold(0, add) })
}

/// What another view of the first directory says. A tag the directory does not hold is left out.
#[derive(Debug, Default)]
pub(super) struct View {
    /// Tags whose value becomes one number.
    pub(super) values: Vec<(Tag, u32)>,
    /// Tags nothing shall read.
    pub(super) hidden: Vec<Tag>,
    /// One plane, of how many, whose strips or tiles alone are to be seen. The crate places the tiles of planes
    /// after the first wrongly.
    pub(super) plane: Option<(usize, usize)>,
}

/// The tags that list strips and tiles, plane after plane.
const LISTS: [Tag; 4] = [Tag::StripOffsets, Tag::StripByteCounts, Tag::TileOffsets, Tag::TileByteCounts];

impl View {
    /// A copy of the file with this view; `None` where the directory is damaged.
    pub(super) fn of(&self, bytes: &[u8]) -> Option<Vec<u8>> {
        const PRIVATE: u64 = 65_000;
        const LONG: u64 = 4;
        let layout = Layout::of(bytes)?;
        let little = layout.little;
        let mut copy = bytes.to_vec();
        let entries = copy.get_mut(layout.first_entry..)?.chunks_exact_mut(layout.entry_bytes());
        for entry in entries.take(layout.entries) {
            let tag = Tag::from_u16_exhaustive(u16::try_from(number(entry, 0, 2, little)?).ok()?);
            if self.hidden.contains(&tag) {
                write(entry, 0, 2, little, PRIVATE)?;
            }
            if let Some((_, value)) = self.values.iter().find(|(wanted, _)| *wanted == tag) {
                entry.get_mut(2..)?.fill(0);
                write(entry, 2, 2, little, LONG)?;
                write(entry, 4, layout.word(), little, 1)?;
                write(entry, layout.value_at(), 4, little, u64::from(*value))?;
            }
            if let Some((plane, planes)) = self.plane.filter(|_| LISTS.contains(&tag)) {
                layout.narrow(bytes, entry, plane, planes)?;
            }
        }
        Some(copy)
    }
}

impl Layout {
    /// Bytes of a count and of a place in the file.
    const fn word(self) -> usize {
        if self.big { 8 } else { 4 }
    }

    /// Where in an entry its value, or the place of its values, stands.
    const fn value_at(self) -> usize {
        4 + self.word()
    }

    /// Cuts a list in an entry to the share of one plane.
    fn narrow(self, bytes: &[u8], entry: &mut [u8], plane: usize, planes: usize) -> Option<()> {
        let (word, little) = (self.word(), self.little);
        let size = match number(entry, 2, 2, little)? {
            3 => 2,
            4 | 13 => 4,
            16 | 18 => 8,
            _ => return None,
        };
        let count = usize::try_from(number(entry, 4, word, little)?).ok()?;
        let share = count.checked_div(planes)?;
        let (length, before) = (share.checked_mul(size)?, share.checked_mul(size)?.checked_mul(plane)?);
        let inside = count.checked_mul(size)? <= word;
        let place =
            if inside { 0 } else { usize::try_from(number(entry, self.value_at(), word, little)?).ok()? };
        let inline = entry.get(self.value_at()..)?.to_vec();
        let list = if inside { &inline[..] } else { bytes.get(place..)? };
        write(entry, 4, word, little, u64::try_from(share).ok()?)?;
        if length <= word {
            let share = list.get(before..before.checked_add(length)?)?;
            entry.get_mut(self.value_at()..self.value_at() + length)?.copy_from_slice(share);
        } else {
            write(entry, self.value_at(), word, little, u64::try_from(place.checked_add(before)?).ok()?)?;
        }
        Some(())
    }
}

/// Writes the low `length` bytes, at most 8, of a number.
fn write(bytes: &mut [u8], at: usize, length: usize, little: bool, value: u64) -> Option<()> {
    let field = bytes.get_mut(at..at.checked_add(length)?)?;
    let digits = value.to_le_bytes();
    if little {
        field.iter_mut().zip(digits).for_each(|(byte, digit)| *byte = digit);
    } else {
        field.iter_mut().rev().zip(digits).for_each(|(byte, digit)| *byte = digit);
    }
    Some(())
}
