//! Small DICOM files laid out by hand (PS3.5, 7.1 and 7.5; PS3.10, 7.1).

/// A tag.
pub(super) type Tag = (u16, u16);

/// An element with its representation and value, explicit little endian.
pub(super) fn element((group, number): Tag, representation: &str, value: &[u8]) -> Vec<u8> {
    let mut value = value.to_vec();
    if value.len() % 2 == 1 {
        value.push(if matches!(representation, "UI" | "OB" | "UN") { 0 } else { b' ' });
    }
    header((group, number), representation, u32::try_from(value.len()).unwrap(), &value)
}

/// The same with a length that need not be true.
pub(super) fn header((group, number): Tag, representation: &str, length: u32, value: &[u8]) -> Vec<u8> {
    let mut bytes = group.to_le_bytes().to_vec();
    bytes.extend(number.to_le_bytes());
    bytes.extend(representation.as_bytes());
    if matches!(representation, "OB" | "OW" | "SQ" | "UN" | "UT") {
        bytes.extend([0, 0]);
        bytes.extend(length.to_le_bytes());
    } else {
        bytes.extend(u16::try_from(length).unwrap().to_le_bytes());
    }
    bytes.extend(value);
    bytes
}

pub(super) fn text(tag: Tag, representation: &str, value: &str) -> Vec<u8> {
    element(tag, representation, value.as_bytes())
}

pub(super) fn short(tag: Tag, value: u16) -> Vec<u8> {
    element(tag, "US", &value.to_le_bytes())
}

/// A sequence of items of stated length.
pub(super) fn sequence(tag: Tag, items: &[Vec<u8>]) -> Vec<u8> {
    let items: Vec<u8> = items.iter().flat_map(|item| wrapped(0xe000, item)).collect();
    element(tag, "SQ", &items)
}

/// An item, or a delimiter where it is empty.
pub(super) fn wrapped(number: u16, value: &[u8]) -> Vec<u8> {
    let mut bytes = 0xfffe_u16.to_le_bytes().to_vec();
    bytes.extend(number.to_le_bytes());
    bytes.extend(u32::try_from(value.len()).unwrap().to_le_bytes());
    bytes.extend(value);
    bytes
}

pub(super) const EXPLICIT: &str = "1.2.840.10008.1.2.1";
pub(super) const RLE: &str = "1.2.840.10008.1.2.5";
pub(super) const PIXELS: Tag = (0x7fe0, 0x10);

/// A file of a data set's bytes.
pub(super) fn file(syntax: &str, class: &str, set: &[u8]) -> Vec<u8> {
    let meta = [text((2, 2), "UI", class), text((2, 0x10), "UI", syntax)].concat();
    let length = element((2, 0), "UL", &u32::try_from(meta.len()).unwrap().to_le_bytes());
    [&[0; 128][..], b"DICM", &length, &meta, set].concat()
}

/// A data set, its elements in the order of their tags.
#[derive(Clone)]
pub(super) struct Set(Vec<(Tag, Vec<u8>)>);

impl Set {
    /// A grey film of 12 bits in cells of 16.
    pub(super) fn film(columns: u16, rows: u16, cells: &[u16]) -> Self {
        let data: Vec<u8> = cells.iter().flat_map(|cell| cell.to_le_bytes()).collect();
        Self(Vec::new())
            .short((0x28, 2), 1)
            .text((0x28, 4), "CS", "MONOCHROME2")
            .short((0x28, 0x10), rows)
            .short((0x28, 0x11), columns)
            .short((0x28, 0x100), 16)
            .short((0x28, 0x101), 12)
            .short((0x28, 0x102), 11)
            .short((0x28, 0x103), 0)
            .with((0x7fe0, 0x10), element((0x7fe0, 0x10), "OW", &data))
    }

    /// A film of two pixels.
    pub(super) fn two_pixels() -> Self {
        Self::film(2, 1, &[1, 2])
    }

    /// With an element's bytes, in place of one of the same tag.
    pub(super) fn with(mut self, tag: Tag, bytes: Vec<u8>) -> Self {
        self.0.retain(|(there, _)| *there != tag);
        self.0.push((tag, bytes));
        self.0.sort_by_key(|(tag, _)| *tag);
        self
    }

    pub(super) fn without(mut self, tag: Tag) -> Self {
        self.0.retain(|(there, _)| *there != tag);
        self
    }

    pub(super) fn text(self, tag: Tag, representation: &str, value: &str) -> Self {
        self.with(tag, text(tag, representation, value))
    }

    pub(super) fn short(self, tag: Tag, value: u16) -> Self {
        self.with(tag, short(tag, value))
    }

    pub(super) fn bytes(&self) -> Vec<u8> {
        self.0.iter().flat_map(|(_, bytes)| bytes.clone()).collect()
    }

    /// A file of a secondary capture, explicit little endian.
    pub(super) fn file(&self) -> Vec<u8> {
        file(EXPLICIT, "1.2.840.10008.5.1.4.1.1.7", &self.bytes())
    }
}

/// The file of a film whose pixel data are one fragment.
pub(super) fn encapsulated(syntax: &str, set: Set, stream: &[u8]) -> Vec<u8> {
    file(syntax, "1.2.3", &set.with(PIXELS, fragments(stream)).bytes())
}

fn fragments(stream: &[u8]) -> Vec<u8> {
    let even = [stream, &[0][..stream.len() % 2]].concat();
    let items = [wrapped(0xe000, &[]), wrapped(0xe000, &even), wrapped(0xe0dd, &[])].concat();
    header(PIXELS, "OB", u32::MAX, &items)
}
