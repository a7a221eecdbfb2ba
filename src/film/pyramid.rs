//! A picture reduced by halves again and again, so that a large film is drawn small at little cost.

use super::picture::Picture;

/// The reductions of a picture: by 2, by 4, and so on, down to what fits into one tile.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pyramid {
    reduced: Vec<Picture>,
}

/// Pictures no larger than this are not reduced any more, pixels.
const SMALLEST: u32 = 256;

impl Pyramid {
    /// Reduces a picture.
    pub fn of(picture: &Picture) -> Self {
        let mut reduced: Vec<Picture> = Vec::new();
        while let Some(next) = reduced.last().unwrap_or(picture).halved() {
            reduced.push(next);
        }
        Self { reduced }
    }

    /// How many levels there are, the picture itself counted as the first.
    pub fn levels(&self) -> usize {
        self.reduced.len() + 1
    }

    /// The picture at a level: 0 is the picture itself, each next one half as large.
    pub fn level<'a>(&'a self, picture: &'a Picture, level: usize) -> &'a Picture {
        level.checked_sub(1).and_then(|at| self.reduced.get(at)).unwrap_or(picture)
    }
}

impl Picture {
    /// The picture at half its size, each value the rounded mean of four; `None` where it is small already.
    fn halved(&self) -> Option<Self> {
        if self.width().max(self.height()) <= SMALLEST {
            return None;
        }
        let (width, height) = (self.width().div_ceil(2), self.height().div_ceil(2));
        let mut grey = Vec::with_capacity(width as usize * height as usize);
        for y in 0..height {
            let upper = self.row(2 * y)?;
            // The last row of an odd height stands for the one below it.
            let lower = self.row(2 * y + 1).unwrap_or(upper);
            for (upper, lower) in upper.chunks(2).zip(lower.chunks(2)) {
                let sum = |pair: &[u16]| match pair {
                    [one, other] => u32::from(*one) + u32::from(*other),
                    [one] => 2 * u32::from(*one),
                    _ => 0,
                };
                // At most the largest value.
                grey.push(u16::try_from((sum(upper) + sum(lower) + 2) / 4).unwrap_or(u16::MAX));
            }
        }
        Self::new(width, height, self.bits(), grey).ok()
    }

    /// How often each grey value occurs, from 0 to the largest possible.
    pub fn histogram(&self) -> Vec<u32> {
        let mut counts = vec![0; usize::from(self.largest_possible()) + 1];
        for grey in self.grey() {
            // No value is above the largest possible.
            if let Some(count) = counts.get_mut(usize::from(*grey)) {
                *count += 1;
            }
        }
        counts
    }
}
