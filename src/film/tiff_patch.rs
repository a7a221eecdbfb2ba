//! A second view of a TIFF's first directory.
//!
//! The `tiff` crate inverts pictures whose white is zero, refuses palettes, and unpacks no sample of 9 to 15
//! bits. What it does well (strips, tiles, planes, every compression) does not depend on any of that. So the
//! directory is rewritten in a copy of the file, to call the samples plain grey or plain bytes, and what they
//! truly are is remembered and applied afterwards. The layout of directories is TIFF 6.0, section 2; that of
//! `BigTIFF` from memory.

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

/// Replaces values of tags that the first directory holds, each by one LONG. A tag it does not hold is left so.
/// `hidden` tags get a private number under which nothing reads them.
pub(super) fn patched(bytes: &[u8], values: &[(u16, u32)], hidden: &[u16]) -> Option<Vec<u8>> {
    const PRIVATE: u16 = 65_000;
    const LONG: u16 = 4;
    let layout = Layout::of(bytes)?;
    let mut copy = bytes.to_vec();
    let short = |value: u16| if layout.little { value.to_le_bytes() } else { value.to_be_bytes() };
    let long = |value: u32| if layout.little { value.to_le_bytes() } else { value.to_be_bytes() };
    let entries = copy.get_mut(layout.first_entry..)?.chunks_exact_mut(layout.entry_bytes());
    for entry in entries.take(layout.entries) {
        let tag = u16::try_from(number(entry, 0, 2, layout.little)?).ok()?;
        if hidden.contains(&tag) {
            entry.get_mut(..2)?.copy_from_slice(&short(PRIVATE));
        }
        let Some((_, value)) = values.iter().find(|(wanted, _)| *wanted == tag) else { continue };
        let (count_at, value_at) = if layout.big { (4, 12) } else { (4, 8) };
        entry.get_mut(2..)?.fill(0);
        entry.get_mut(2..4)?.copy_from_slice(&short(LONG));
        // The count is one, in four or eight bytes of either order; a value is left-justified in its field.
        let one_at = if layout.little { count_at } else { value_at - 1 };
        *entry.get_mut(one_at)? = 1;
        entry.get_mut(value_at..value_at + 4)?.copy_from_slice(&long(*value));
    }
    Some(copy)
}
