//! How a film is shown before anybody changes its tone: as its file asks, or, where that asks for nothing, by what its
//! grey values are.

use super::dicom::{FirstDisplay, Modality, Voi};
use super::tone::Window;
use std::ops::RangeInclusive;

/// One pixel of so many is left out at either end when a window is chosen for a film: a few hot or dead pixels and
/// letters burnt in must not decide how the tooth is seen.
const ONE_OF_LEFT_OUT: u64 = 200;

/// The brightness of every grey value before anybody changes the tone.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstLook {
    brightness: Vec<f32>,
    padding: Option<RangeInclusive<u16>>,
    window: Window,
    is_falling: bool,
    from: LookFrom,
}

/// Where a first look comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LookFrom {
    /// The film's file asks for it.
    File,
    /// It was chosen by the grey values: all but the darkest and the brightest half per cent of pixels.
    GreyValues,
}

impl FirstLook {
    /// The first look of a film: `histogram` counts its pixels by grey value.
    pub fn of(display: &FirstDisplay, histogram: &[u32]) -> Self {
        let largest = u16::MAX >> (16 - display.bits.clamp(1, 16));
        let asks = !matches!((&display.voi, &display.modality), (Voi::Everything, Modality::Rescale { .. }));
        let falls = |window: Window| match (&display.voi, &display.modality) {
            (Voi::Everything | Voi::Window(_), Modality::Rescale { slope, .. }) => {
                display.inverted != (*slope < 0.0)
            }
            _ => bright(display, window.low) > bright(display, window.high),
        };
        let window = if asks {
            asked(display, largest)
        } else {
            chosen(histogram, display.padding.as_ref())
                .unwrap_or(Window { low: 0.0, high: f64::from(largest) })
        };
        let is_falling = falls(window);
        let brightness = (0..=largest)
            .map(|grey| {
                let bright = if asks {
                    display.brightness(grey).unwrap_or(0.0)
                } else {
                    window.brightness(grey, is_falling)
                };
                // Between 0 and 1.
                #[expect(clippy::cast_possible_truncation, reason = "a screen shows 256 steps")]
                let bright = bright as f32;
                bright
            })
            .collect();
        let from = if asks { LookFrom::File } else { LookFrom::GreyValues };
        Self { brightness, padding: display.padding.clone(), window, is_falling, from }
    }

    /// The brightness, 0 to 1, of every grey value the film can hold.
    pub fn brightness(&self) -> &[f32] {
        &self.brightness
    }

    /// The grey values of pixels that belong to no picture.
    pub const fn padding(&self) -> Option<&RangeInclusive<u16>> {
        self.padding.as_ref()
    }

    /// The window that comes closest to it: the same where it is a straight line.
    pub const fn window(&self) -> Window {
        self.window
    }

    /// Whether large grey values are dark.
    pub const fn is_falling(&self) -> bool {
        self.is_falling
    }

    /// Where it comes from.
    pub const fn from(&self) -> LookFrom {
        self.from
    }

    /// The largest grey value the film can hold.
    pub fn largest(&self) -> u16 {
        u16::try_from(self.brightness.len().saturating_sub(1)).unwrap_or(u16::MAX)
    }
}

/// The first brightness at a grey value within the film's range.
fn bright(display: &FirstDisplay, grey: f64) -> f64 {
    // Clamped to the range of the type.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "see above")]
    let grey = grey.clamp(0.0, f64::from(u16::MAX)).round() as u16;
    display.brightness(grey).unwrap_or(0.0)
}

/// The grey values between which what the file asks for goes from one end to the other.
fn asked(display: &FirstDisplay, largest: u16) -> Window {
    if let (Voi::Window(window), Modality::Rescale { slope, intercept }) = (&display.voi, &display.modality) {
        let grey = |value: f64| (value - intercept) / slope + f64::from(display.offset);
        let ends = [window.centre - window.width / 2.0, window.centre + window.width / 2.0].map(grey);
        return Window { low: ends[0].min(ends[1]), high: ends[0].max(ends[1]) }.widened();
    }
    // Tables: where brightness leaves the level it begins with and where it reaches the one it ends with.
    let step = 0.5 / 255.0;
    let all = (0..=largest).filter_map(|grey| Some((grey, display.brightness(grey)?)));
    let levels: Vec<(u16, f64)> = all.collect();
    let first = levels.first().map_or(0.0, |(_, level)| *level);
    let last = levels.last().map_or(1.0, |(_, level)| *level);
    let low = levels.iter().take_while(|(_, level)| (level - first).abs() < step).last();
    let high = levels.iter().rev().take_while(|(_, level)| (level - last).abs() < step).last();
    Window {
        low: low.map_or(0.0, |(grey, _)| f64::from(*grey)),
        high: high.map_or(f64::from(largest), |(grey, _)| f64::from(*grey)),
    }
    .widened()
}

/// The window of all but the darkest and brightest pixels; `None` where hardly any two differ.
fn chosen(histogram: &[u32], padding: Option<&RangeInclusive<u16>>) -> Option<Window> {
    let is_picture = |grey: &u16| padding.is_none_or(|padding| !padding.contains(grey));
    let counted: Vec<(u16, u64)> = (0..=u16::MAX)
        .zip(histogram)
        .filter(|(grey, _)| is_picture(grey))
        .map(|(grey, count)| (grey, u64::from(*count)))
        .collect();
    let total: u64 = counted.iter().map(|(_, count)| count).sum();
    let left_out = total / ONE_OF_LEFT_OUT;
    let low = end(counted.iter(), left_out)?;
    let high = end(counted.iter().rev(), left_out)?;
    (high > low).then_some(Window { low, high })
}

/// The first grey value that has more pixels up to it than are left out.
fn end<'a>(counted: impl Iterator<Item = &'a (u16, u64)>, left_out: u64) -> Option<f64> {
    let mut passed = 0;
    for (grey, count) in counted {
        passed += count;
        if passed > left_out {
            return Some(f64::from(*grey));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::dicom::{LookUp, Window as Stated, WindowShape};

    fn histogram(bits: u8, counts: &[(usize, u32)]) -> Vec<u32> {
        let mut histogram = vec![0; 1 << bits];
        for (grey, count) in counts {
            histogram[*grey] = *count;
        }
        histogram
    }

    #[test]
    fn a_film_that_asks_for_nothing_is_seen_by_all_but_its_extreme_pixels() {
        // 1,000 pixels: five hot ones, and 995 of a value each. Half a per cent, five, is left out at either end.
        let mut counts: Vec<(usize, u32)> = (1000..1995).map(|grey| (grey, 1)).collect();
        counts.push((65_535, 5));
        let look = FirstLook::of(&FirstDisplay::plain(16, false), &histogram(16, &counts));
        assert_eq!(look.window(), Window { low: 1005.0, high: 1994.0 });
        assert_eq!(look.from(), LookFrom::GreyValues);
        assert_eq!([1005, 1994, 65_535].map(|grey| look.brightness()[grey]), [0.0, 1.0, 1.0]);
    }

    #[test]
    fn padding_has_no_say_in_it() {
        let counts = histogram(8, &[(0, 100_000), (100, 10), (180, 10)]);
        let display = FirstDisplay { padding: Some(0..=0), ..FirstDisplay::plain(8, false) };
        assert_eq!(FirstLook::of(&display, &counts).window(), Window { low: 100.0, high: 180.0 });
    }

    #[test]
    fn a_film_of_one_grey_value_or_none_is_seen_over_its_whole_range() {
        for counts in [vec![(7, 500)], vec![]] {
            let look = FirstLook::of(&FirstDisplay::plain(12, false), &histogram(12, &counts));
            assert_eq!(look.window(), Window { low: 0.0, high: 4095.0 });
        }
    }

    #[test]
    fn what_a_film_asks_for_is_done() {
        // 2 * (grey - 2048) - 1000 is 600 - 300 at 2048 + 650 and 600 + 300 at 2048 + 950.
        let display = FirstDisplay {
            offset: 2048,
            modality: Modality::Rescale { slope: 2.0, intercept: -1000.0 },
            voi: Voi::Window(Stated { centre: 600.0, width: 600.0, shape: WindowShape::LinearExact }),
            ..FirstDisplay::plain(12, false)
        };
        let look = FirstLook::of(&display, &histogram(12, &[(0, 5), (4000, 5)]));
        assert_eq!(look.window(), Window { low: 2698.0, high: 2998.0 });
        assert_eq!(look.from(), LookFrom::File);
        assert!(!look.is_falling());
        assert_eq!([2698, 2848, 2998].map(|grey| look.brightness()[grey]), [0.0, 0.5, 1.0]);
    }

    #[test]
    fn large_values_are_dark_by_inversion_or_by_a_negative_slope_and_not_by_both() {
        for (inverted, slope, is_falling) in [(true, 1.0, true), (false, -1.0, true), (true, -1.0, false)] {
            let modality = Modality::Rescale { slope, intercept: 0.0 };
            let display = FirstDisplay { modality, ..FirstDisplay::plain(8, inverted) };
            let look = FirstLook::of(&display, &histogram(8, &[(20, 5), (200, 5)]));
            assert_eq!(look.is_falling(), is_falling, "{inverted} {slope}");
            assert_eq!(look.brightness()[20] > look.brightness()[200], is_falling);
        }
    }

    #[test]
    fn the_window_of_a_table_spans_what_the_table_changes() {
        let mut entries = vec![0; 256];
        entries[100..=200].iter_mut().zip(0..).for_each(|(entry, step)| *entry = step * 255 / 100);
        entries[200..].fill(255);
        let voi = Voi::Table(LookUp { first: 0, bits: 8, entries });
        let look = FirstLook::of(&FirstDisplay { voi, ..FirstDisplay::plain(8, false) }, &[1; 256]);
        assert_eq!(look.window(), Window { low: 100.0, high: 200.0 });
    }
}
