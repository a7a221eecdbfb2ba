//! Films: reading picture files into grey values, and what the file says about its scale.
//!
//! Whatever the file, the outcome is one [`Picture`] of 16-bit grey values as stored, never stretched, turned
//! upright. What a decoder would do for display (scaling to full range, colour management, gamma, inversion) is
//! not done. A film's file is read and never written; [`encode_png`], [`encode_tiff`] and [`dicom::encode`] make the bytes of a new
//! one.
//!
//! [`read`] is what most callers want. [`header`] tells the size alone, [`content_hash`] the digest alone.

mod bands;
mod bmp;
mod bounds;
mod cut;
mod day;
pub mod dicom;
mod error;
mod exif;
mod first_look;
mod format;
mod hash;
mod jpeg;
mod jpeg_markers;
mod local_contrast;
mod orientation;
mod picture;
mod pitch;
mod png;
mod pyramid;
mod samples;
mod sharpen;
mod stored;
mod tiff;
mod tiff_patch;
mod tiff_tags;
mod tone;
mod wanted;
mod write;

pub use bounds::Bounds;
pub use cut::Cut;
pub use dicom::FirstDisplay;
pub use error::{FilmError, Foreign};
pub use first_look::{FirstLook, LookFrom};
pub use format::Format;
pub use hash::{Sha256, content_hash};
pub use local_contrast::{Division, Equaliser, LOCAL_LIMIT, LocalContrast, Regions};
pub use orientation::Orientation;
pub use picture::{Picture, PictureError};
pub use pitch::{Pitch, PitchFrom};
pub use pyramid::Pyramid;
pub use sharpen::{SHARPENING, Sharpening};
pub use tone::{GAMMA, Tone, Window};
pub use write::{encode_png, encode_tiff};

use crate::caution::Caution;
use serde::Serialize;
use std::cell::Cell;
use std::fs::File;
use std::io::Read as _;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use stored::{Reader, Stored};
use wanted::Wanted;

/// A film as read: its picture, and what its file says about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Film {
    /// The grey values, upright.
    pub picture: Picture,
    /// The format, by content.
    pub format: Format,
    /// The distance between pixels, where the file states one that somebody may have measured.
    pub pitch: Option<Pitch>,
    /// The geometric magnification, where the file states one; 1 where its pitch is already that in the patient.
    pub magnification: Option<f64>,
    /// How far apart rows are beside columns, after orientation, where the file states that and no pitch.
    pub pixel_aspect: Option<f64>,
    /// The day the film was taken, as in `2026-11-24`, where the file states it.
    pub date: Option<String>,
    /// How the stored grid was turned to be upright.
    pub orientation: Orientation,
    /// Whether a viewer should show small values bright.
    pub polarity: Polarity,
    /// How a viewer should show the grey values at first.
    pub first_display: FirstDisplay,
    /// How many pictures the file holds; the first is the one read.
    pub frames: u32,
    /// The digest of the file's bytes.
    pub sha256: Sha256,
    /// The digest of the grey values as stored, before orientation, as 16-bit little endian, rows top down.
    pub grey_sha256: Sha256,
    /// What a reader must know.
    pub cautions: Vec<Caution>,
}

/// Which end of the stored grey values is meant to be black. The values themselves are never inverted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Polarity {
    /// Small values are dark.
    #[default]
    BlackIsZero,
    /// Small values are bright: the file asks for display inversion.
    WhiteIsZero,
}

/// A film without its pixels. Serialises with the keys of `inspect --json`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Description {
    /// The format, by content.
    pub format: Format,
    /// Columns, upright.
    pub width_px: u32,
    /// Rows, upright.
    pub height_px: u32,
    /// Bits of depth.
    pub bits: u8,
    /// Millimetres from column to column and from row to row.
    pub pitch_mm: Option<[f64; 2]>,
    /// The statement the pitch comes from.
    pub pitch_from: Option<PitchFrom>,
    /// The geometric magnification, where stated.
    pub magnification: Option<f64>,
    /// Rows' distance by columns', where the file states that and no pitch.
    #[serde(skip)]
    pub pixel_aspect: Option<f64>,
    /// The day the film was taken, where stated.
    #[serde(skip)]
    pub date: Option<String>,
    /// How the stored grid was turned, as the number EXIF has for it.
    pub orientation: Orientation,
    /// Pictures in the file.
    pub frames: u32,
    /// The digest of the file's bytes.
    pub sha256: Sha256,
    /// The digest of the stored grey values.
    pub grey_sha256: Sha256,
    /// What a reader must know.
    pub cautions: Vec<Caution>,
}

/// The size of a film, upright, and its format.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Header {
    /// The format, by content.
    pub format: Format,
    /// Columns, upright.
    pub width: u32,
    /// Rows, upright.
    pub height: u32,
}

impl Film {
    /// All but the pixels.
    pub fn description(&self) -> Description {
        Description {
            format: self.format,
            width_px: self.picture.width(),
            height_px: self.picture.height(),
            bits: self.picture.bits(),
            pitch_mm: self.pitch.map(|pitch| [pitch.across.get(), pitch.down.get()]),
            pitch_from: self.pitch.map(|pitch| pitch.from),
            magnification: self.magnification,
            pixel_aspect: self.pixel_aspect,
            date: self.date.clone(),
            orientation: self.orientation,
            frames: self.frames,
            sha256: self.sha256,
            grey_sha256: self.grey_sha256,
            cautions: self.cautions.clone(),
        }
    }
}

/// Reads the film in a file.
///
/// # Errors
/// Where there is no film in it that can be read exactly and within the bounds.
pub fn read(path: &Path, bounds: &Bounds) -> Result<Film, FilmError> {
    read_bytes(&file_bytes(path, bounds)?, bounds)
}

/// Reads the film in the bytes of a file.
///
/// # Errors
/// As [`read`].
pub fn read_bytes(bytes: &[u8], bounds: &Bounds) -> Result<Film, FilmError> {
    read_wanted(bytes, bounds, Wanted::default())
}

/// As [`read_bytes`], until the flag is set. PNG, BMP, TIFF and the lossless JPEG of DICOM look at it as they go on from row to row or
/// from part to part; JPEG only between its two decodings. Other codings of DICOM, and hashing, go on to their end.
///
/// # Errors
/// As [`read`]; [`FilmError::GivenUp`] where the flag was set in time.
pub fn read_bytes_unless(bytes: &[u8], bounds: &Bounds, given_up: &AtomicBool) -> Result<Film, FilmError> {
    read_wanted(bytes, bounds, Wanted(Some(&|| given_up.load(Ordering::Relaxed))))
}

fn read_wanted(bytes: &[u8], bounds: &Bounds, wanted: Wanted<'_>) -> Result<Film, FilmError> {
    // The file is hashed while it is decoded; here and now where there is no other thread to be had.
    let (decoded, hashed) = std::thread::scope(|scope| {
        let hashing = std::thread::Builder::new().spawn_scoped(scope, || Sha256::of(bytes));
        let decoded = decode(bytes, bounds, wanted);
        (decoded, hashing.ok().and_then(|hashing| hashing.join().ok()))
    });
    let (format, stored) = decoded?;
    let sha256 = hashed.unwrap_or_else(|| Sha256::of(bytes));
    let mut cautions = stored.cautions;
    let further = stored.further;
    let pitch = further.pitch.or_else(|| pitch::judge(&stored.statements, stored.orientation, &mut cautions));
    let grey_sha256 = stored.picture.digest();
    let first_display = further.first_display.unwrap_or_else(|| {
        FirstDisplay::plain(stored.picture.bits(), stored.polarity == Polarity::WhiteIsZero)
    });
    Ok(Film {
        picture: stored.orientation.apply(stored.picture),
        format,
        pitch,
        magnification: further.magnification,
        pixel_aspect: further.pixel_aspect,
        date: further.date,
        first_display,
        orientation: stored.orientation,
        polarity: stored.polarity,
        frames: stored.frames,
        sha256,
        grey_sha256,
        cautions,
    })
}

/// Reads the picture alone, upright, without hashing anything.
///
/// # Errors
/// As [`read`].
pub fn read_picture(bytes: &[u8], bounds: &Bounds) -> Result<Picture, FilmError> {
    let (_, stored) = decode(bytes, bounds, Wanted::default())?;
    Ok(stored.orientation.apply(stored.picture))
}

/// Describes the film in a file. It is decoded for that, because the digest of its grey values is asked for.
///
/// # Errors
/// As [`read`].
pub fn describe(path: &Path, bounds: &Bounds) -> Result<Description, FilmError> {
    Ok(read(path, bounds)?.description())
}

/// The size of the film in a file, without decoding it. What follows the header may still be damaged.
///
/// # Errors
/// Where the file cannot be read, is no film, or has a damaged header.
pub fn header(path: &Path, bounds: &Bounds) -> Result<Header, FilmError> {
    header_of_bytes(&file_bytes(path, bounds)?, bounds)
}

/// The size of the film in the bytes of a file, without decoding it.
///
/// # Errors
/// As [`header`].
pub fn header_of_bytes(bytes: &[u8], bounds: &Bounds) -> Result<Header, FilmError> {
    let format = format::sniff(bytes)?;
    let size = guarded(format, || (reader(format).size)(bytes, bounds))?;
    let (width, height) = size.orientation.turned(size.width, size.height);
    Ok(Header { format, width, height })
}

const fn reader(format: Format) -> Reader {
    match format {
        Format::Png => png::READER,
        Format::Jpeg => jpeg::READER,
        Format::Tiff => tiff::READER,
        Format::Bmp => bmp::READER,
        Format::Dicom => dicom::READER,
    }
}

fn decode(bytes: &[u8], bounds: &Bounds, wanted: Wanted<'_>) -> Result<(Format, Stored), FilmError> {
    bounds.check_file(bytes.len() as u64)?;
    let format = format::sniff(bytes)?;
    let decoded = guarded(format, || (reader(format).decode)(bytes, bounds, wanted));
    // What a decoder says that was stopped is no word about the file.
    wanted.check()?;
    Ok((format, decoded?))
}

/// Runs third-party decoders. They hold assertions that a hostile file might reach, and a film must never end
/// the program with unsaved work in it, so a panic becomes an error. Nothing outlives the call that a panic
/// could have left half done.
fn guarded<T>(format: Format, work: impl FnOnce() -> Result<T, FilmError>) -> Result<T, FilmError> {
    DECODING.set(true);
    let outcome = catch_unwind(AssertUnwindSafe(work));
    DECODING.set(false);
    outcome.unwrap_or_else(|_| Err(FilmError::damaged(format, "its decoder gave up")))
}

thread_local! {
    /// Whether this thread runs a decoder, whose panics become errors.
    static DECODING: Cell<bool> = const { Cell::new(false) };
}

/// Has panics of decoders print nothing, for good: they become errors, and an error is one line. All others print as
/// before. A program calls it once, when it begins.
pub fn silence_decoders() {
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        if !DECODING.get() {
            before(panic);
        }
    }));
}

/// The bytes of a file no larger than allowed.
fn file_bytes(path: &Path, bounds: &Bounds) -> Result<Vec<u8>, FilmError> {
    Ok(file_bytes_while(path, bounds, |_, _| true)?.unwrap_or_default())
}

/// The bytes of a film's file, for [`read_bytes`]. Before each part of it `goes_on` is told how many bytes have come
/// and how many there are; `None` where it says no.
///
/// # Errors
/// Where the file cannot be read or is larger than allowed.
pub fn file_bytes_while(
    path: &Path,
    bounds: &Bounds,
    mut goes_on: impl FnMut(u64, u64) -> bool,
) -> Result<Option<Vec<u8>>, FilmError> {
    const PART: u64 = 1 << 20;
    let mut file = File::open(path).map_err(FilmError::Unreadable)?;
    let about = file.metadata().map_err(FilmError::Unreadable)?;
    if about.is_dir() {
        return Err(FilmError::Directory);
    }
    bounds.check_file(about.len())?;
    // One byte more, so that the end is found without growing.
    let mut bytes = Vec::with_capacity(usize::try_from(about.len()).unwrap_or(0).saturating_add(1));
    loop {
        if !goes_on(bytes.len() as u64, about.len()) {
            return Ok(None);
        }
        if file.by_ref().take(PART).read_to_end(&mut bytes).map_err(FilmError::Unreadable)? == 0 {
            return Ok(Some(bytes));
        }
        // A pipe or a growing file says nothing true about its length, so reading is bounded too.
        bounds.check_file(bytes.len() as u64)?;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn film(format: image::ImageFormat) -> Vec<u8> {
        let grey = image::GrayImage::from_fn(40, 60, |x, y| image::Luma([u8::try_from(x + y).unwrap_or(0)]));
        let mut bytes = std::io::Cursor::new(Vec::new());
        grey.write_to(&mut bytes, format).unwrap();
        bytes.into_inner()
    }

    /// How often it is asked whether a film is still wanted, where it is given up from that question on.
    fn asked(bytes: &[u8], until: u32) -> (u32, Result<Film, FilmError>) {
        let count = Cell::new(0);
        let ask = || {
            count.set(count.get() + 1);
            count.get() > until
        };
        let film = read_wanted(bytes, &Bounds::default(), Wanted(Some(&ask)));
        (count.get(), film)
    }

    #[test]
    fn decoders_look_whether_a_film_is_still_wanted() {
        use image::ImageFormat::{Bmp, Jpeg, Png, Tiff};
        // Of its 60 rows each is asked for once more where they become grey values: what is more is asked while decoding. TIFF has one
        // strip here, and JPEG is decoded twice.
        for (format, while_decoding) in [(Png, 1), (Bmp, 60), (Tiff, 1), (Jpeg, 2)] {
            let bytes = film(format);
            let (all, whole) = asked(&bytes, u32::MAX);
            assert!(whole.is_ok() && all >= 60 + while_decoding, "{format:?}: {all}");
            for until in [0, 1, all / 2, all - 1] {
                let (_, stopped) = asked(&bytes, until);
                assert!(matches!(stopped, Err(FilmError::GivenUp)), "{format:?}: {until}: {stopped:?}");
            }
        }
    }
}
