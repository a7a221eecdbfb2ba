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

/// The rounded mean of four pixels.
fn mean([a, b]: [u16; 2], [c, d]: [u16; 2]) -> u16 {
    let sum = u32::from(a) + u32::from(b) + u32::from(c) + u32::from(d);
    // At most the largest value.
    #[expect(clippy::cast_possible_truncation, reason = "see above")]
    let mean = ((sum + 2) / 4) as u16;
    mean
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
            let ((upper, upper_last), (lower, lower_last)) = (upper.as_chunks(), lower.as_chunks());
            grey.extend(upper.iter().zip(lower).map(|(upper, lower)| mean(*upper, *lower)));
            // The last column of an odd width stands for the one beside it.
            if let ([upper], [lower]) = (upper_last, lower_last) {
                grey.push(mean([*upper; 2], [*lower; 2]));
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_level_has_the_rounded_means_of_four_pixels_of_the_one_before() {
        // Row y holds 10 x + y; the last column and row of odd lengths stand for their missing neighbours.
        let grey = (0..3).flat_map(|y| (0..301).map(move |x| 10 * x + y)).collect();
        let picture = Picture::new(301, 3, 16, grey).unwrap();
        let pyramid = Pyramid::of(&picture);
        assert_eq!(pyramid.levels(), 2);
        assert_eq!(pyramid.level(&picture, 0), &picture);
        let half = pyramid.level(&picture, 1);
        assert_eq!((half.width(), half.height(), half.bits()), (151, 2, 16));
        // (0 + 10 + 1 + 11) / 4 = 5.5; (2 + 12) / 2 = 7; (3000 + 3001) / 2 = 3000.5; 3002.
        let corners = [(0, 0), (0, 1), (150, 0), (150, 1)].map(|(x, y)| half.at(x, y));
        assert_eq!(corners, [6, 7, 3001, 3002].map(Some));
    }

    #[test]
    fn levels_go_down_to_what_fits_into_a_small_tile() {
        let flat =
            |width, height| Picture::new(width, height, 8, vec![9; (width * height) as usize]).unwrap();
        for (width, height, levels) in [(1, 1, 1), (256, 256, 1), (257, 1, 2), (1025, 700, 4)] {
            let picture = flat(width, height);
            let pyramid = Pyramid::of(&picture);
            assert_eq!(pyramid.levels(), levels, "{width} x {height}");
            let smallest = pyramid.level(&picture, levels - 1);
            assert!(smallest.width().max(smallest.height()) <= SMALLEST);
            assert!(smallest.grey().iter().all(|grey| *grey == 9));
        }
    }

    #[test]
    fn the_largest_values_do_not_overflow() {
        let picture = Picture::new(300, 2, 16, vec![u16::MAX; 600]).unwrap();
        let pyramid = Pyramid::of(&picture);
        assert!(pyramid.level(&picture, 1).grey().iter().all(|grey| *grey == u16::MAX));
    }

    #[test]
    fn a_histogram_counts_every_grey_value_there_can_be() {
        let picture = Picture::new(2, 3, 2, vec![0, 1, 1, 3, 1, 0]).unwrap();
        assert_eq!(picture.histogram(), [2, 3, 0, 1]);
    }
}
