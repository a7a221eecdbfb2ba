//! Some pixels of a picture.

use super::picture::Picture;

/// Some pixels of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cut {
    /// First column and row.
    pub from: [u32; 2],
    /// Columns and rows.
    pub size: [u32; 2],
}

impl Cut {
    /// A whole picture.
    pub const fn whole(picture: &Picture) -> Self {
        Self { from: [0, 0], size: [picture.width(), picture.height()] }
    }

    /// The same and so many pixels more on every side, as far as a picture goes.
    pub fn grown(self, by: u32, picture: &Picture) -> Self {
        let grown = |axis: fn([u32; 2]) -> u32, length: u32| {
            let from = axis(self.from).saturating_sub(by);
            let end = axis(self.from).saturating_add(axis(self.size)).saturating_add(by).min(length);
            (from, end.saturating_sub(from))
        };
        let (left, width) = grown(|it| it[0], picture.width());
        let (top, height) = grown(|it| it[1], picture.height());
        Self { from: [left, top], size: [width, height] }
    }

    /// Its pixels, rows top down; zero where it reaches beyond the picture.
    pub fn of(self, picture: &Picture) -> Vec<u16> {
        let [width, height] = self.size.map(|length| length as usize);
        let mut grey = vec![0; width * height];
        for (row, pixels) in (self.from[1]..).zip(grey.chunks_mut(width.max(1))) {
            let row = picture.row(row).and_then(|row| row.get(self.from[0] as usize..)).unwrap_or_default();
            pixels.iter_mut().zip(row).for_each(|(pixel, grey)| *pixel = *grey);
        }
        grey
    }
}
