//! Local contrast: contrast-limited adaptive histogram equalisation (K. Zuiderveld, "Contrast Limited Adaptive Histogram
//! Equalization", in P. Heckbert (ed.), Graphics Gems IV, 1994, pages 474 to 485).
//!
//! The film is divided into regions. In each, grey values that many pixels have are spread and those that few have are
//! moved together, by the running sum of the region's histogram; but no grey value is spread more than the limit allows.
//! Between the middles of regions the outcomes of the four around a pixel are mixed bilinearly.
//!
//! Three things go beyond the publication. Its repeated passes, which hand out what lies above the limit, are carried to
//! their end, so that the limit holds exactly and a limit of 1 changes nothing. Only grey values within the range given
//! are spread, and stay within it; all others stay as they are and do not count. And the running sum is a straight line
//! within a bin, so that every grey value of a deep film keeps a place of its own however few bins there are.
//!
//! It is a way to look at a film: nothing is measured on it.

mod equaliser;
mod regions;

pub use equaliser::Equaliser;
pub use regions::{Division, Regions};

use std::ops::RangeInclusive;

/// Whether and how strongly local contrast is raised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LocalContrast {
    /// Whether it is.
    pub is_on: bool,
    /// How many times as much contrast as before any two neighbouring grey values get at most, within
    /// [`LOCAL_LIMIT`]; 1 changes nothing.
    pub limit: f64,
}

impl Default for LocalContrast {
    /// Off. The limit of 2.5 shows the bone's mesh beside a bright post and leaves grain bearable, by the eye on
    /// sample films.
    fn default() -> Self {
        Self { is_on: false, limit: 2.5 }
    }
}

/// The least and the greatest limit of contrast that is offered.
pub const LOCAL_LIMIT: RangeInclusive<f64> = 1.0..=8.0;

#[cfg(test)]
mod tests {
    use super::regions::limited;
    use super::*;
    use crate::film::{Cut, Picture, Pyramid};
    use proptest::prelude::*;

    fn picture(width: u32, bits: u8, grey: Vec<u16>) -> Picture {
        let height = u32::try_from(grey.len()).unwrap() / width;
        Picture::new(width, height, bits, grey).unwrap()
    }

    fn one_region(range: RangeInclusive<u16>) -> (Division, RangeInclusive<u16>) {
        (Division { regions: [1, 1], most_bins: 1024 }, range)
    }

    fn equalised(
        picture: &Picture,
        (division, range): (Division, RangeInclusive<u16>),
        limit: f64,
    ) -> Vec<u16> {
        let regions = Regions::new(picture, division, range, None);
        Equaliser::new(&regions, limit).cut(&regions, picture, picture, 0, Cut::whole(picture))
    }

    #[test]
    fn the_limit_holds_for_every_bin_and_nothing_is_lost() {
        // Mean 4. At a limit of 2 none holds more than 8: 16 - 8 = 8 above. Handed out evenly 2 each make 2, 10, 2, 2
        // and once more 0.5 beyond 8 by thirds: 8 and three times 8 / 3.
        let near = |one: &[f64], other: [f64; 4]| {
            one.iter().zip(other).all(|(one, other)| (one - other).abs() < 1e-9)
        };
        let shares = limited(&[0, 16, 0, 0], &[1.0; 4], 2.0);
        assert!(near(&shares, [8.0 / 3.0, 8.0, 8.0 / 3.0, 8.0 / 3.0]), "{shares:?}");
        // 9 + 6 + 1 + 0 at 1.75, 7 at most: 2 above; two bins below 6 get 0.5 + ... until 6 + a is 7 as well: a = 2 / 3.
        let shares = limited(&[9, 6, 1, 0], &[1.0; 4], 1.75);
        assert!(near(&shares, [7.0, 6.0 + 2.0 / 3.0, 1.0 + 2.0 / 3.0, 2.0 / 3.0]), "{shares:?}");
        // The last bin has half as many grey values: mean 4 for a whole one, at most 6 and 3.
        let shares = limited(&[10, 0, 4, 0], &[1.0, 1.0, 1.0, 0.5], 1.5);
        assert!(near(&shares, [6.0, 1.6, 5.6, 0.8]), "{shares:?}");
        assert_eq!(limited(&[3, 2, 3, 0], &[1.0; 4], 4.0), [3.0, 2.0, 3.0, 0.0]);
        assert_eq!(limited(&[0, 0], &[1.0; 2], 2.0), [0.0, 0.0]);
    }

    #[test]
    fn a_grey_value_goes_to_the_middle_of_its_share() {
        // Values 0 to 3, counts 1, 0, 2, 1 of 4: middles at 0.5, 1, 2, 3.5, of 4 values: floors 0, 1, 2, 3.
        let film = picture(2, 2, vec![0, 2, 2, 3]);
        assert_eq!(equalised(&film, one_region(0..=3), 1000.0), [0, 2, 2, 3]);
        // Counts of 10, 11, 20, 21 in 10..=29: 1, 1, 2, 4 of 8, times 20: middles at 1.25, 3.75, 7.5, 15.
        let film = picture(4, 8, vec![10, 11, 20, 20, 21, 21, 21, 21]);
        let expected = [11, 13, 17, 17, 25, 25, 25, 25];
        assert_eq!(equalised(&film, one_region(10..=29), 1000.0), expected);
    }

    #[test]
    fn grey_values_outside_the_range_and_padding_stay_and_do_not_count() {
        // Of the film above, with 200 and 5 beside it, and padding of 22 to 24.
        let film = picture(4, 8, vec![10, 11, 20, 20, 21, 21, 21, 21, 200, 5, 23, 24]);
        let (division, range) = one_region(10..=29);
        let regions = Regions::new(&film, division, range, Some(22..=24));
        let grey = Equaliser::new(&regions, 1000.0).cut(&regions, &film, &film, 0, Cut::whole(&film));
        assert_eq!(grey[..10], [11, 13, 17, 17, 25, 25, 25, 25, 200, 5]);
    }

    #[test]
    fn between_the_middles_of_two_regions_their_outcomes_are_mixed() {
        // Two regions of four columns: their middles lie at 2 and 6. Left half 0 and 10, right half 10 and 90, equally.
        let film = picture(8, 8, vec![0, 10, 0, 10, 10, 90, 10, 90]);
        let division = Division { regions: [2, 1], most_bins: 256 };
        // In 0..=99 the left makes 10 into 75, the right 25: half its share below it, of 100 values.
        let grey = equalised(&film, (division, 0..=99), 1000.0);
        // Columns 1, 3, 4 and 6 lie at 1.5, 3.5, 4.5 and 6.5: parts 0, 3/8, 5/8, 1.
        assert_eq!([1, 3, 4, 6].map(|at| grey[at]), [75, 56, 44, 25]);
    }

    #[test]
    fn a_film_of_one_grey_value_is_left_nearly_alone() {
        for (bits, value) in [(8, 90), (12, 3000), (16, 40_000)] {
            let film = picture(64, bits, vec![value; 64 * 64]);
            let grey = equalised(&film, (Division::default(), 0..=film.largest_possible()), 2.5);
            // One bin takes limit times its share, so all others give way by as much at most.
            let bin = f64::from(film.largest_possible()) / 1024.0;
            assert!(grey.iter().all(|it| *it == grey[0]));
            assert!((f64::from(grey[0]) - f64::from(value)).abs() <= 2.5 * bin.max(1.0), "{}", grey[0]);
        }
    }

    #[test]
    fn a_cut_of_a_film_is_what_the_whole_has_there_and_computes_no_more() {
        let grey = (0..200_u32 * 160).map(|at| u16::try_from(at * 2_654 % 4096).unwrap()).collect();
        let film = picture(200, 12, grey);
        let regions = Regions::new(&film, Division::default(), 100..=4000, None);
        let whole = Equaliser::new(&regions, 3.0).cut(&regions, &film, &film, 0, Cut::whole(&film));
        let whole = Picture::new(200, 160, 12, whole).unwrap();
        let equaliser = Equaliser::new(&regions, 3.0);
        for threads in [1, 3] {
            let cut = Cut { from: [3, 70], size: [40, 30] };
            assert_eq!(equaliser.cut_in_threads(&regions, &film, &film, 0, cut, threads), cut.of(&whole));
        }
        let made = equaliser.tables.iter().filter(|table| table.get().is_some()).count();
        // Regions are 25 by 20: of columns 3 to 42 the first three are near, of rows 70 to 99 those from 3 to 5.
        assert_eq!(made, 3 * 3);
    }

    #[test]
    fn a_reduced_film_has_the_transfer_of_the_film() {
        let grey = (0..600_u32 * 40).map(|at| u16::try_from(at % 600 / 20 * 8).unwrap()).collect();
        let film = picture(600, 8, grey);
        let pyramid = Pyramid::of(&film);
        let regions = Regions::new(&film, Division::default(), 0..=255, None);
        let equaliser = Equaliser::new(&regions, 4.0);
        let fine = equaliser.cut(&regions, &film, &film, 0, Cut::whole(&film));
        let half = pyramid.level(&film, 1);
        let coarse = equaliser.cut(&regions, &film, half, 1, Cut::whole(half));
        for x in 0..300 {
            let (one, other) = (f64::from(fine[2 * x]), f64::from(fine[2 * x + 1]));
            assert!((f64::from(coarse[x]) - f64::midpoint(one, other)).abs() <= 1.5, "column {x}");
        }
    }

    #[test]
    fn films_smaller_than_their_regions_and_ranges_of_one_value_do_no_harm() {
        let film = picture(2, 16, vec![7, 65_535]);
        for range in [0..=0, 7..=7, 65_535..=65_535, 0..=65_535] {
            for most_bins in [0, 1, 1 << 16] {
                let division = Division { regions: [0, 255], most_bins };
                let grey = equalised(&film, (division, range.clone()), 2.0);
                assert!(grey[0] <= grey[1], "{grey:?}");
            }
        }
    }

    proptest! {
        #[test]
        fn within_a_region_order_stays_contrast_is_limited_and_the_range_is_kept(
            grey in proptest::collection::vec(0..4096_u16, 16..400), first in 0..2000_u16, span in 0..2000_u16,
            limit in 1.0..8.0_f64, most_bins in 1..5000_u32,
        ) {
            let length = u32::try_from(grey.len()).unwrap();
            let film = picture(length, 12, grey);
            let division = Division { regions: [1, 1], most_bins };
            let range = first..=first + span;
            let regions = Regions::new(&film, division, range.clone(), None);
            let table = regions.table(&film, 0, limit);
            for (grey, pair) in (0..).zip(table.windows(2)) {
                prop_assert!(pair[0] <= pair[1], "{grey}: {pair:?}");
                let is_within = range.contains(&grey) && range.contains(&(grey + 1));
                let step = f64::from(pair[1] - pair[0]);
                prop_assert!(!is_within || step <= limit + 1.0, "{grey}: {pair:?}");
                prop_assert_eq!(range.contains(&pair[0]), range.contains(&grey));
                prop_assert!(range.contains(&grey) || pair[0] == grey);
            }
        }

        #[test]
        fn a_limit_of_one_changes_nothing(
            grey in proptest::collection::vec(0..4096_u16, 16..400), first in 0..2000_u16, span in 0..2000_u16,
        ) {
            let length = u32::try_from(grey.len()).unwrap();
            let film = picture(length, 12, grey);
            let (division, range) = one_region(first..=first + span);
            for (is, was) in equalised(&film, (division, range), 1.0).iter().zip(film.grey()) {
                prop_assert!(is.abs_diff(*was) <= 1, "{is} for {was}");
            }
        }
    }
}
