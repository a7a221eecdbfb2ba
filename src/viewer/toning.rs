//! From grey values to the colours of the screen, by a table.

use crate::film::{FirstLook, Picture, Tone};
use eframe::egui::{Color32, ColorImage};

/// Pixels from which on a second thread pays for being started.
const WORTH_A_THREAD: usize = 1 << 18;
/// The most threads; more wait for the memory, not for each other.
const MOST_THREADS: usize = 4;

/// The colour of every grey value.
#[derive(Debug)]
pub struct Colours(Vec<Color32>);

/// The pixels of a picture that are toned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Texels {
    /// First column and row.
    pub from: [u32; 2],
    /// Columns and rows.
    pub size: [u32; 2],
}

impl Colours {
    /// The colours of a tone.
    pub fn of(tone: Tone, look: &FirstLook) -> Self {
        let mut colours: Vec<Color32> = tone.table(look).into_iter().map(Color32::from_gray).collect();
        // As many as 16 bits can count: then no look-up needs a check.
        let last = colours.last().copied().unwrap_or(Color32::BLACK);
        colours.resize(1 << 16, last);
        Self(colours)
    }

    /// A part of a picture in these colours; black where it reaches beyond.
    pub fn image(&self, picture: &Picture, texels: Texels) -> ColorImage {
        let [width, height] = texels.size.map(|length| length as usize);
        let mut pixels = vec![Color32::TRANSPARENT; width * height];
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        let threads = (pixels.len() / WORTH_A_THREAD).clamp(1, cores.min(MOST_THREADS));
        let rows = height.div_ceil(threads).max(1);
        std::thread::scope(|scope| {
            let mut first = texels.from[1];
            for part in pixels.chunks_mut((rows * width).max(1)) {
                let row = first;
                // At most the height, which is within u32.
                first = first.saturating_add(u32::try_from(rows).unwrap_or(u32::MAX));
                if threads == 1 {
                    self.rows(picture, texels.from[0], row, width, part);
                } else {
                    scope.spawn(move || self.rows(picture, texels.from[0], row, width, part));
                }
            }
        });
        ColorImage::new([width, height], pixels)
    }

    fn rows(&self, picture: &Picture, column: u32, first: u32, width: usize, pixels: &mut [Color32]) {
        let Some(colours) = self.0.first_chunk::<{ 1 << 16 }>() else { return };
        for (row, pixels) in (first..).zip(pixels.chunks_mut(width)) {
            let row = picture.row(row).and_then(|row| row.get(column as usize..)).unwrap_or_default();
            for (pixel, grey) in pixels.iter_mut().zip(row) {
                if let Some(colour) = colours.get(usize::from(*grey)) {
                    *pixel = *colour;
                }
            }
        }
    }
}
