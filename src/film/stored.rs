//! What a format's reader hands over: the picture as stored, with what the file says about it.

use super::pitch::{Pitch, Statement};
use super::samples::Gathering;
use super::wanted::Wanted;
use super::{Bounds, FilmError, FirstDisplay, Format, Orientation, Picture, Polarity};
use crate::caution::{Caution, CautionKind};

/// A picture before orientation.
#[derive(Debug)]
pub(super) struct Stored {
    pub(super) picture: Picture,
    pub(super) orientation: Orientation,
    pub(super) polarity: Polarity,
    /// Statements of resolution, the most trusted first.
    pub(super) statements: Vec<Statement>,
    pub(super) frames: u32,
    pub(super) further: Further,
    pub(super) cautions: Vec<Caution>,
}

/// What few formats say.
#[derive(Debug, Default)]
pub(super) struct Further {
    /// The pitch in the stored grid, where the format's own rules have judged it.
    pub(super) pitch: Option<Pitch>,
    pub(super) magnification: Option<f64>,
    /// Down / across, where no pitch is stated.
    pub(super) pixel_aspect: Option<f64>,
    /// The day the film was taken, as in `2026-11-24`.
    pub(super) date: Option<String>,
    pub(super) first_display: Option<FirstDisplay>,
}

/// What of a picture can be said without decoding it, before orientation.
#[derive(Debug, Clone, Copy)]
pub(super) struct StoredSize {
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) orientation: Orientation,
}

/// One format's reader.
#[derive(Clone, Copy)]
pub(super) struct Reader {
    pub(super) size: fn(&[u8], &Bounds) -> Result<StoredSize, FilmError>,
    pub(super) decode: fn(&[u8], &Bounds, Wanted<'_>) -> Result<Stored, FilmError>,
}

/// Makes the picture of the values gathered; too few of them mean that the file ended early.
pub(super) fn finish(
    format: Format,
    (width, height, bits): (u32, u32, u8),
    gathering: Gathering<'_>,
    cautions: &mut Vec<Caution>,
) -> Result<Picture, FilmError> {
    let (grey, coloured) = gathering.finish();
    if coloured {
        cautions.push(Caution::general(CautionKind::ColourFilm));
    }
    Picture::new(width, height, bits, grey).map_err(|error| FilmError::damaged(format, error))
}

/// The caution of a file of several pictures, where it is one.
pub(super) fn first_of(frames: u32) -> Option<Caution> {
    (frames > 1).then(|| Caution::general(CautionKind::FirstFrameOnly).value(f64::from(frames)))
}
