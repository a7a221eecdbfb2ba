//! Run lengths (PS3.5, annex G): one segment for each byte of a pixel, the highest byte of a sample first.

use super::encapsulated::Samples;
use super::layout::Layout;
use super::{FilmError, Format};

const HEADER: usize = 64;

fn damaged(what: impl std::fmt::Display) -> FilmError {
    FilmError::damaged(Format::Dicom, what)
}

/// The samples of a picture, the colours of a pixel in turn. Memory is taken once all segments are known to hold their
/// part of it.
pub(super) fn decode(bytes: &[u8], layout: &Layout) -> Result<Samples, FilmError> {
    let pixels = layout.pixels();
    let planes: Vec<Vec<u8>> =
        segments(bytes, layout)?.into_iter().map(|segment| expand(segment, pixels)).collect();
    Ok(match &planes[..] {
        [high, low] => {
            let pairs = high.iter().zip(low);
            Samples::Shorts(pairs.map(|(high, low)| u16::from_be_bytes([*high, *low])).collect())
        }
        [_] => Samples::Bytes(planes.into_iter().next().unwrap_or_default()),
        _ => Samples::Shorts(colours(&planes, layout)),
    })
}

/// The samples of several colours.
fn colours(planes: &[Vec<u8>], layout: &Layout) -> Vec<u16> {
    let mut samples = vec![0; layout.pixels() * layout.samples];
    for (colour, planes) in planes.chunks_exact(layout.cell_bytes()).enumerate() {
        for plane in planes {
            let places = samples.iter_mut().skip(colour).step_by(layout.samples);
            places.zip(plane).for_each(|(sample, byte)| *sample = *sample << 8 | u16::from(*byte));
        }
    }
    samples
}

/// The segments, as many as a pixel has bytes, in order and inside the fragment, none shorter than the picture.
fn segments<'a>(bytes: &'a [u8], layout: &Layout) -> Result<Vec<&'a [u8]>, FilmError> {
    let wanted = layout.samples * layout.cell_bytes();
    let (header, _) =
        bytes.split_first_chunk::<HEADER>().ok_or_else(|| damaged("its run lengths have no header"))?;
    let mut numbers = header.as_chunks::<4>().0.iter().map(|four| u32::from_le_bytes(*four) as usize);
    let count = numbers.next().unwrap_or(0);
    if count != wanted {
        let what = format!("its run lengths have {count} segments where its pixels have {wanted} bytes");
        return Err(damaged(what));
    }
    let offsets: Vec<usize> = numbers.take(count).collect();
    let ends = offsets.iter().skip(1).copied().chain([bytes.len()]);
    offsets
        .iter()
        .zip(ends)
        .map(|(start, end)| {
            let segment = bytes.get(*start..end).filter(|it| *start >= HEADER && !it.is_empty());
            let segment = segment.ok_or_else(|| damaged("its run lengths lie about where they stand"))?;
            let held: usize = Runs { rest: segment }.map(|run| run.length()).sum();
            if held < layout.pixels() {
                return Err(damaged("its run lengths end before its last row"));
            }
            Ok(segment)
        })
        .collect()
}

/// The bytes a segment stands for, no more than `most`.
fn expand(segment: &[u8], most: usize) -> Vec<u8> {
    let mut plane = Vec::with_capacity(most);
    for run in (Runs { rest: segment }) {
        let left = most - plane.len();
        match run {
            Run::Literal(bytes) => plane.extend_from_slice(bytes.get(..left).unwrap_or(bytes)),
            Run::Repeated(byte, times) => plane.resize(plane.len() + times.min(left), byte),
        }
    }
    plane
}

/// A part of a segment (G.3).
enum Run<'a> {
    Literal(&'a [u8]),
    Repeated(u8, usize),
}

impl Run<'_> {
    const fn length(&self) -> usize {
        match self {
            Self::Literal(bytes) => bytes.len(),
            Self::Repeated(_, times) => *times,
        }
    }
}

struct Runs<'a> {
    rest: &'a [u8],
}

impl<'a> Iterator for Runs<'a> {
    type Item = Run<'a>;

    fn next(&mut self) -> Option<Run<'a>> {
        let (control, rest) = self.rest.split_first()?;
        match control {
            0..=127 => {
                // Literal bytes that are cut off still count as far as they are there.
                let (literal, rest) = rest.split_at(rest.len().min(usize::from(*control) + 1));
                self.rest = rest;
                Some(Run::Literal(literal))
            }
            // Stands for nothing.
            128 => {
                self.rest = rest;
                Some(Run::Literal(&[]))
            }
            129..=255 => {
                let (byte, rest) = rest.split_first()?;
                self.rest = rest;
                Some(Run::Repeated(*byte, 257 - usize::from(*control)))
            }
        }
    }
}
