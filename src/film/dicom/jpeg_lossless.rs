//! JPEG lossless, process 14 with any of its seven predictors (ITU-T T.81, annex H), of 2 to 16 bits.
//!
//! The decoder that the DICOM crates offer does not begin anew at restart markers and goes on with zeros where the
//! coded data end early, so this one is ours. Every header is compared with the data set before memory is taken.

use super::huffman::{Bits, Table};
use super::layout::Layout;
use super::{FilmError, Format};
use crate::film::jpeg_markers::Segments;
use crate::film::wanted::Wanted;

/// What the decoder hands over: samples of all colours in turn, and their bits.
pub(super) struct Decoded {
    pub(super) samples: Vec<u16>,
    pub(super) precision: u8,
}

/// The frame header of a lossless JPEG.
#[derive(Debug, Clone)]
struct Frame {
    precision: u8,
    /// The names of the colours' components.
    components: Vec<u8>,
}

/// The header of one scan.
#[derive(Debug)]
struct Scan {
    /// Which colours it holds, each with the number of its table.
    parts: Vec<(usize, usize)>,
    predictor: u8,
    /// Bits that were shifted out before coding.
    shift: u8,
}

fn damaged(what: impl std::fmt::Display) -> FilmError {
    FilmError::damaged(Format::Dicom, format!("its lossless JPEG: {what}"))
}

/// Decodes a picture that is as large as `layout` says.
pub(super) fn decode(bytes: &[u8], layout: &Layout, wanted: Wanted<'_>) -> Result<Decoded, FilmError> {
    if !bytes.starts_with(&[0xff, 0xd8]) {
        return Err(damaged("no JPEG begins where its picture should"));
    }
    let mut tables: [Option<Table>; 4] = [None, None, None, None];
    let mut restart = 0;
    let mut frame: Option<Frame> = None;
    let mut samples: Vec<u16> = Vec::new();
    let mut filled = vec![false; layout.samples];
    let mut segments = Segments::of(bytes);
    while filled.contains(&false) {
        for (marker, content) in segments.by_ref() {
            match marker {
                0xc4 => read_tables(content, &mut tables)?,
                0xdd => {
                    let interval = content.first_chunk::<2>().ok_or_else(|| damaged("a short segment"))?;
                    restart = usize::from(u16::from_be_bytes(*interval));
                }
                0xc0..=0xcf if !matches!(marker, 0xc8 | 0xcc) => {
                    if frame.is_some() {
                        return Err(damaged("two frame headers"));
                    }
                    let found = read_frame(marker, content, layout)?;
                    // At least one bit a sample (H.1.2.2).
                    if layout.pixels() * layout.samples / 8 > bytes.len() {
                        return Err(FilmError::Truncated(Format::Dicom));
                    }
                    samples = vec![0; layout.pixels() * layout.samples];
                    frame = Some(found);
                }
                _ => {}
            }
        }
        // Now a start of scan must follow.
        let (scan, after) = segments.scan_begun().ok_or(FilmError::Truncated(Format::Dicom))?;
        let frame = frame.as_ref().ok_or_else(|| damaged("a scan before the frame header"))?;
        let scan = read_scan(scan, frame)?;
        for (colour, _) in &scan.parts {
            if let Some(filled) = filled.get_mut(*colour) {
                *filled = true;
            }
        }
        let consumed = decode_scan(after, &scan, frame, &tables, restart, (layout, wanted), &mut samples)?;
        segments = Segments::after_scan(after.get(consumed..).unwrap_or_default());
    }
    let precision = frame.map_or(0, |frame| frame.precision);
    Ok(Decoded { samples, precision })
}

fn read_tables(mut content: &[u8], tables: &mut [Option<Table>; 4]) -> Result<(), FilmError> {
    while let Some((about, rest)) = content.split_first() {
        let (counts, rest) = rest.split_first_chunk::<16>().ok_or_else(|| damaged("a short table"))?;
        let length = counts.iter().map(|count| usize::from(*count)).sum();
        let (symbols, rest) = rest.split_at_checked(length).ok_or_else(|| damaged("a short table"))?;
        // A table of class 1 is for cosine coefficients, of which there are none.
        if about >> 4 == 0 {
            let place = tables.get_mut(usize::from(about & 15)).ok_or_else(|| damaged("a fifth table"))?;
            *place = Some(Table::new(counts, symbols).ok_or_else(|| damaged("a table that is no code"))?);
        }
        content = rest;
    }
    Ok(())
}

fn read_frame(marker: u8, content: &[u8], layout: &Layout) -> Result<Frame, FilmError> {
    const LOSSLESS: u8 = 0xc3;
    if marker != LOSSLESS {
        return Err(damaged("it is coded by another process"));
    }
    let [precision, high, low, left, right, count, components @ ..] = content else {
        return Err(damaged("a short frame header"));
    };
    let (rows, columns) = (u16::from_be_bytes([*high, *low]), u16::from_be_bytes([*left, *right]));
    super::encapsulated::agrees(
        (u32::from(columns), u32::from(rows), usize::from(*count)),
        *precision,
        layout,
    )?;
    if !(2..=16).contains(precision) {
        return Err(damaged(format!("{precision} bits, not 2 to 16")));
    }
    let components = components.as_chunks::<3>().0;
    if components.len() != usize::from(*count) {
        return Err(damaged("a short frame header"));
    }
    // A single component has no sampling of its own (A.2.2).
    if components.len() > 1 && components.iter().any(|[_, sampling, _]| *sampling != 0x11) {
        return Err(super::unsupported("lossless JPEG with colour of half the resolution"));
    }
    Ok(Frame { precision: *precision, components: components.iter().map(|[name, ..]| *name).collect() })
}

fn read_scan(content: &[u8], frame: &Frame) -> Result<Scan, FilmError> {
    let short = || damaged("a short scan header");
    let (count, rest) = content.split_first().ok_or_else(short)?;
    let (parts, rest) = rest.split_at_checked(2 * usize::from(*count)).ok_or_else(short)?;
    let [predictor, _, approximation, ..] = *rest else { return Err(short()) };
    let parts: Vec<(usize, usize)> = parts
        .as_chunks::<2>()
        .0
        .iter()
        .map(|[name, table]| {
            let colour = frame.components.iter().position(|component| component == name);
            colour.map(|colour| (colour, usize::from(table >> 4)))
        })
        .collect::<Option<_>>()
        .ok_or_else(|| damaged("a scan of a colour that is not in the frame"))?;
    let twice = parts.iter().enumerate().any(|(at, part)| parts.iter().skip(at + 1).any(|it| it.0 == part.0));
    let shift = approximation & 15;
    if parts.is_empty() || twice || !(1..=7).contains(&predictor) || shift >= frame.precision {
        return Err(damaged("a scan header that makes no sense"));
    }
    Ok(Scan { parts, predictor, shift })
}

/// Decodes one scan into the samples and says how many bytes it took.
fn decode_scan(
    bytes: &[u8],
    scan: &Scan,
    frame: &Frame,
    tables: &[Option<Table>; 4],
    restart: usize,
    (layout, wanted): (&Layout, Wanted<'_>),
    samples: &mut [u16],
) -> Result<usize, FilmError> {
    let columns = layout.columns as usize;
    if !restart.is_multiple_of(columns) {
        return Err(damaged("a restart interval of part of a row"));
    }
    let tables: Vec<&Table> = scan
        .parts
        .iter()
        .map(|(_, table)| tables.get(*table).and_then(Option::as_ref))
        .collect::<Option<_>>()
        .ok_or_else(|| damaged("a scan without its table"))?;
    let rows_between = restart / columns;
    let start = 1_u16 << (frame.precision - scan.shift - 1);
    let mut bits = Bits::new(bytes);
    // The rows above and at hand of each part, before the shift is undone.
    let mut above = vec![vec![0_u16; columns]; scan.parts.len()];
    let mut here = above.clone();
    for (row, out) in samples.chunks_exact_mut(columns * layout.samples).enumerate() {
        wanted.check()?;
        let anew = row == 0 || rows_between != 0 && row % rows_between == 0;
        if anew && row != 0 {
            bits.restart().ok_or_else(|| damaged("a restart marker is missing"))?;
        }
        let read = if let ([table], [above], [here]) = (&tables[..], &mut above[..], &mut here[..]) {
            bits.row(table, scan.predictor, anew.then_some(start), above, here)
        } else {
            interleaved(&mut bits, &tables, scan.predictor, anew.then_some(start), &above, &mut here)
        };
        read.filter(|()| !bits.overdrawn())
            .ok_or_else(|| damaged("its coded data end before its last row"))?;
        for ((colour, _), line) in scan.parts.iter().zip(&here) {
            let places = out.iter_mut().skip(*colour).step_by(layout.samples);
            places.zip(line).for_each(|(place, value)| *place = value << scan.shift);
        }
        std::mem::swap(&mut above, &mut here);
    }
    Ok(bits.consumed())
}

/// A row of several colours in turn.
fn interleaved(
    bits: &mut Bits<'_>,
    tables: &[&Table],
    predictor: u8,
    start: Option<u16>,
    above: &[Vec<u16>],
    here: &mut [Vec<u16>],
) -> Option<()> {
    let columns = here.first()?.len();
    for column in 0..columns {
        for ((table, above), here) in tables.iter().zip(above).zip(here.iter_mut()) {
            let difference = bits.difference(table)?;
            let up = above.get(column).copied()?;
            let (left, corner) = match column.checked_sub(1) {
                Some(before) => (here.get(before).copied()?, above.get(before).copied()?),
                None => (0, 0),
            };
            let prediction = match (start, column) {
                (Some(start), 0) => start,
                (Some(_), _) => left,
                (None, 0) => up,
                (None, _) => super::huffman::predicted(predictor, left, up, corner),
            };
            *here.get_mut(column)? = prediction.wrapping_add(difference);
        }
    }
    Some(())
}
