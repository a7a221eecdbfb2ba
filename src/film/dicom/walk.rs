//! The guard: walks a data set's bytes, keeps what is on a short list, and follows every length before believing it.
//!
//! Nothing is copied and nothing outside the list is looked into, so identity never becomes a value. No length is
//! believed beyond the bytes that are there, and nesting and the number of elements are capped.

use super::attributes::{INSIDE_LUT_SEQUENCES, LUT_SEQUENCES};
use super::{FilmError, Format};
use dicom_core::Tag;
use dicom_core::dictionary::DataDictionary as _;
use dicom_dictionary_std::{StandardDataDictionary, tags};

/// How a data set is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Encoding {
    /// Whether each element carries its value representation.
    pub(super) explicit: bool,
    /// Whether numbers stand with their highest byte first.
    pub(super) big: bool,
}

/// The encoding of file meta information, and of most data sets.
pub(super) const EXPLICIT_LITTLE: Encoding = Encoding { explicit: true, big: false };
/// The encoding of data sets where none is stated.
pub(super) const IMPLICIT_LITTLE: Encoding = Encoding { explicit: false, big: false };
/// A retired encoding.
pub(super) const EXPLICIT_BIG: Encoding = Encoding { explicit: true, big: true };

/// The value of one element kept.
#[derive(Debug)]
pub(super) enum Value<'a> {
    /// Bytes as they stand in the file.
    Bytes(&'a [u8]),
    /// The items of a sequence.
    Items(Vec<DataSet<'a>>),
    /// Encapsulated pixel data: the offset table first, then the fragments.
    Fragments(Vec<&'a [u8]>),
}

/// One element kept.
#[derive(Debug)]
pub(super) struct Element<'a> {
    pub(super) tag: Tag,
    /// The value representation written beside it, where one is.
    pub(super) representation: Option<[u8; 2]>,
    pub(super) value: Value<'a>,
}

/// The elements kept of a data set or of an item of a sequence.
#[derive(Debug)]
pub(super) struct DataSet<'a> {
    pub(super) elements: Vec<Element<'a>>,
    pub(super) big: bool,
}

/// Deeper nesting than in any film; structured reports reach about 20.
const DEEPEST: usize = 64;
/// More elements and items than in any film.
const MOST_TOKENS: u32 = 1_000_000;
/// A length that says: until a delimiter.
const UNDEFINED: u32 = u32::MAX;

const ITEM: Tag = Tag(0xfffe, 0xe000);
const ITEM_END: Tag = Tag(0xfffe, 0xe00d);
const SEQUENCE_END: Tag = Tag(0xfffe, 0xe0dd);

/// The value representations whose length takes four bytes, after two that are reserved (PS3.5, 7.1.2).
const LONG: [&[u8; 2]; 13] =
    [b"OB", b"OD", b"OF", b"OL", b"OV", b"OW", b"SQ", b"SV", b"UC", b"UN", b"UR", b"UT", b"UV"];
/// Those whose length takes two.
const SHORT: [&[u8; 2]; 21] = [
    b"AE", b"AS", b"AT", b"CS", b"DA", b"DS", b"DT", b"FD", b"FL", b"IS", b"LO", b"LT", b"PN", b"SH", b"SL",
    b"SS", b"ST", b"TM", b"UI", b"UL", b"US",
];

/// Whether these two bytes name a value representation.
pub(super) fn is_representation(letters: [u8; 2]) -> bool {
    LONG.contains(&&letters) || SHORT.contains(&&letters)
}

/// Walks a whole data set and keeps the elements of `wanted`.
pub(super) fn data_set<'a>(
    bytes: &'a [u8],
    encoding: Encoding,
    wanted: &[Tag],
) -> Result<DataSet<'a>, FilmError> {
    let mut walker = Walker { bytes, at: 0, encoding, tokens: 0 };
    walker.elements(bytes.len(), false, wanted, 0)
}

/// Walks the elements of one group at the beginning of `bytes`, keeps those of `wanted`, and says where the group
/// ends. The group's own statement of its length is not believed: some writers leave it out.
pub(super) fn group<'a>(
    bytes: &'a [u8],
    number: u16,
    wanted: &[Tag],
) -> Result<(DataSet<'a>, usize), FilmError> {
    let mut walker = Walker { bytes, at: 0, encoding: EXPLICIT_LITTLE, tokens: 0 };
    let mut elements = Vec::new();
    while bytes.get(walker.at..walker.at + 2).is_some_and(|group| *group == number.to_le_bytes()) {
        walker.element(bytes.len(), wanted, 0, &mut elements)?;
    }
    Ok((DataSet { elements, big: false }, walker.at))
}

fn damaged(what: impl std::fmt::Display) -> FilmError {
    FilmError::damaged(Format::Dicom, what)
}

struct Walker<'a> {
    bytes: &'a [u8],
    at: usize,
    encoding: Encoding,
    tokens: u32,
}

impl<'a> Walker<'a> {
    /// The next `count` bytes before `end`.
    fn take(&mut self, count: usize, end: usize) -> Result<&'a [u8], FilmError> {
        let to = self.at.checked_add(count).filter(|to| *to <= end);
        let Some(taken) = to.and_then(|to| self.bytes.get(self.at..to)) else {
            if end == self.bytes.len() {
                return Err(FilmError::Truncated(Format::Dicom));
            }
            return Err(damaged(format!("a length at byte {} runs out of its sequence", self.at)));
        };
        self.at += count;
        Ok(taken)
    }

    fn short(&mut self, end: usize) -> Result<u16, FilmError> {
        let bytes = self.take(2, end)?.first_chunk().copied().unwrap_or_default();
        Ok(if self.encoding.big { u16::from_be_bytes(bytes) } else { u16::from_le_bytes(bytes) })
    }

    fn long(&mut self, end: usize) -> Result<u32, FilmError> {
        let bytes = self.take(4, end)?.first_chunk().copied().unwrap_or_default();
        Ok(if self.encoding.big { u32::from_be_bytes(bytes) } else { u32::from_le_bytes(bytes) })
    }

    fn tag(&mut self, end: usize) -> Result<Tag, FilmError> {
        self.tokens += 1;
        if self.tokens > MOST_TOKENS {
            return Err(damaged(format!("it has more than {MOST_TOKENS} elements")));
        }
        Ok(Tag(self.short(end)?, self.short(end)?))
    }

    /// The elements up to `end`, or up to the item's delimiter before it.
    fn elements(
        &mut self,
        end: usize,
        delimited: bool,
        wanted: &[Tag],
        depth: usize,
    ) -> Result<DataSet<'a>, FilmError> {
        if depth > DEEPEST {
            return Err(damaged(format!("its sequences are nested more than {DEEPEST} deep")));
        }
        let mut elements = Vec::new();
        loop {
            if !delimited && (self.at == end || depth == 0 && self.filling()?) {
                break;
            }
            if delimited && self.peeks(ITEM_END) {
                self.tag(end)?;
                self.long(end)?;
                break;
            }
            self.element(end, wanted, depth, &mut elements)?;
        }
        Ok(DataSet { elements, big: self.encoding.big })
    }

    /// Whether what follows is filling: some writers pad the file to a multiple of some block. No element of a data
    /// set has the tag of zeros.
    fn filling(&self) -> Result<bool, FilmError> {
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        if rest.iter().take(4).any(|byte| *byte != 0) {
            return Ok(false);
        }
        if rest.iter().all(|byte| *byte == 0) {
            return Ok(true);
        }
        Err(damaged(format!("no element begins at byte {}", self.at)))
    }

    /// Whether this tag comes next.
    fn peeks(&self, tag: Tag) -> bool {
        let numbers = [tag.group(), tag.element()];
        let written = numbers.map(|it| if self.encoding.big { it.to_be_bytes() } else { it.to_le_bytes() });
        self.bytes.get(self.at..).is_some_and(|rest| rest.starts_with(written.as_flattened()))
    }

    fn element(
        &mut self,
        end: usize,
        wanted: &[Tag],
        depth: usize,
        kept: &mut Vec<Element<'a>>,
    ) -> Result<(), FilmError> {
        let start = self.at;
        let tag = self.tag(end)?;
        if tag.group() == ITEM.group() {
            return Err(damaged(format!("a delimiter at byte {start} closes nothing")));
        }
        let (representation, length) = self.header(start, end)?;
        let inside = if LUT_SEQUENCES.contains(&tag) { INSIDE_LUT_SEQUENCES } else { &[] };
        let value = if length == UNDEFINED {
            if tag == tags::PIXEL_DATA {
                Value::Fragments(self.fragments(end)?)
            } else {
                Value::Items(self.items(None, end, representation, inside, depth)?)
            }
        } else {
            let value_at = self.at;
            let bytes = self.take(usize::try_from(length).unwrap_or(usize::MAX), end)?;
            if Self::is_sequence(tag, representation, bytes) {
                let after = self.at;
                self.at = value_at;
                let items = self.items(Some(after), after, representation, inside, depth)?;
                self.at = after;
                Value::Items(items)
            } else {
                Value::Bytes(bytes)
            }
        };
        if wanted.contains(&tag) && !kept.iter().any(|element| element.tag == tag) {
            kept.push(Element { tag, representation, value });
        }
        Ok(())
    }

    /// The value representation, where one is written, and the length.
    fn header(&mut self, start: usize, end: usize) -> Result<(Option<[u8; 2]>, u32), FilmError> {
        if !self.encoding.explicit {
            return Ok((None, self.long(end)?));
        }
        let letters = self.take(2, end)?.first_chunk().copied().unwrap_or_default();
        if SHORT.contains(&&letters) {
            return Ok((Some(letters), u32::from(self.short(end)?)));
        }
        // One of a later edition has a long length (PS3.5, 6.2).
        if LONG.contains(&&letters) || letters.iter().all(u8::is_ascii_uppercase) {
            self.take(2, end)?;
            return Ok((Some(letters), self.long(end)?));
        }
        Err(damaged(format!("no element begins at byte {start}")))
    }

    /// Whether a value of stated length is a sequence, which has to be followed to know how deep it goes.
    fn is_sequence(tag: Tag, representation: Option<[u8; 2]>, bytes: &[u8]) -> bool {
        if bytes.is_empty() {
            return false;
        }
        match representation {
            Some(letters) => letters == *b"SQ",
            None => {
                // Asking the dictionary is worth it only where an item begins.
                bytes.starts_with(&[0xfe, 0xff, 0x00, 0xe0])
                    && StandardDataDictionary
                        .by_tag(tag)
                        .is_some_and(|entry| entry.vr.exact() == Some(dicom_core::VR::SQ))
            }
        }
    }

    /// The items of a sequence, up to its end or its delimiter.
    fn items(
        &mut self,
        stated_end: Option<usize>,
        end: usize,
        representation: Option<[u8; 2]>,
        wanted: &[Tag],
        depth: usize,
    ) -> Result<Vec<DataSet<'a>>, FilmError> {
        let outside = self.encoding;
        // What was once written without a representation and then wrapped stays as it was (PS3.5, 6.2.2 note 4).
        if representation == Some(*b"UN") {
            self.encoding = IMPLICIT_LITTLE;
        }
        let mut items = Vec::new();
        while stated_end != Some(self.at) {
            let start = self.at;
            let (tag, length) = (self.tag(end)?, self.long(end)?);
            match tag {
                ITEM if length == UNDEFINED => items.push(self.elements(end, true, wanted, depth + 1)?),
                ITEM => {
                    let item_at = self.at;
                    self.take(usize::try_from(length).unwrap_or(usize::MAX), end)?;
                    let item_end = self.at;
                    self.at = item_at;
                    items.push(self.elements(item_end, false, wanted, depth + 1)?);
                }
                SEQUENCE_END if stated_end.is_none() => break,
                _ => return Err(damaged(format!("no item begins at byte {start}"))),
            }
        }
        self.encoding = outside;
        Ok(items)
    }

    /// The fragments of encapsulated pixel data, the offset table first (PS3.5, A.4).
    fn fragments(&mut self, end: usize) -> Result<Vec<&'a [u8]>, FilmError> {
        let mut fragments = Vec::new();
        loop {
            let start = self.at;
            let (tag, length) = (self.tag(end)?, self.long(end)?);
            match tag {
                ITEM if length != UNDEFINED => {
                    fragments.push(self.take(usize::try_from(length).unwrap_or(usize::MAX), end)?);
                }
                SEQUENCE_END => return Ok(fragments),
                _ => return Err(damaged(format!("no fragment begins at byte {start}"))),
            }
        }
    }
}
