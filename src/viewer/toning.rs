//! From grey values to the pixels of the screen, by a table. One thread does it: two megapixels take about a
//! millisecond, and more threads wait for each other longer than that (docs/performance.md).

use crate::film::{FirstLook, Picture, Tone};
use eframe::egui::{Color32, ColorImage};

/// As many grey values as 16 bits can count: then no look-up needs a check.
const GREYS: usize = 1 << 16;

/// The brightness on the screen of every grey value.
#[derive(Debug)]
pub struct Colours(Vec<u8>);

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
        let mut levels = tone.table(look);
        levels.resize(GREYS, levels.last().copied().unwrap_or_default());
        Self(levels)
    }

    /// A part of a picture in these colours; nothing where it reaches beyond.
    pub fn image(&self, picture: &Picture, texels: Texels) -> ColorImage {
        let [width, height] = texels.size.map(|length| length as usize);
        let mut pixels = vec![Color32::TRANSPARENT; width * height];
        if let Some(levels) = self.0.first_chunk::<GREYS>() {
            for (row, pixels) in (texels.from[1]..).zip(pixels.chunks_mut(width.max(1))) {
                let row = picture.row(row).and_then(|row| row.get(texels.from[0] as usize..));
                for (pixel, grey) in pixels.iter_mut().zip(row.unwrap_or_default()) {
                    *pixel = Color32::from_gray(levels.get(usize::from(*grey)).copied().unwrap_or_default());
                }
            }
        }
        ColorImage::new([width, height], pixels)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::{FirstDisplay, Window};

    #[test]
    fn a_part_of_a_picture_is_toned_and_what_lies_beyond_stays_empty() {
        // 255 / 3 = 85 for each step of the window.
        let picture = Picture::new(3, 2, 8, vec![10, 11, 12, 13, 14, 9]).unwrap();
        let look = FirstLook::of(&FirstDisplay::plain(8, false), &picture.histogram());
        let tone = Tone { window: Some(Window { low: 10.0, high: 13.0 }), ..Tone::default() };
        let colours = Colours::of(tone, &look);
        let image = colours.image(&picture, Texels { from: [1, 0], size: [2, 3] });
        let grey = Color32::from_gray;
        let beyond = Color32::TRANSPARENT;
        assert_eq!(image.size, [2, 3]);
        assert_eq!(image.pixels, [grey(85), grey(170), grey(255), grey(0), beyond, beyond]);
    }
}
