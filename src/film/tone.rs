//! Tone: how grey values become brightness on a screen. It never changes a film, and nothing is measured on it.

use super::first_look::FirstLook;
use super::local_contrast::{LOCAL_LIMIT, LocalContrast};
use super::sharpen::{SHARPENING, Sharpening, WIDEST};

/// From grey values to brightness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tone {
    /// The grey values shown black and white; `None` for the film's first look.
    pub window: Option<Window>,
    /// Exponent of brightness: above 1 darkens the middle, below 1 lightens it.
    pub gamma: f64,
    /// Whether black and white change places.
    pub inverted: bool,
    /// Contrast raised region by region, before all else.
    pub local_contrast: LocalContrast,
    /// Sharpening, after that and before the window.
    pub sharpening: Sharpening,
}

/// The grey values between which brightness goes from end to end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Shown black, with all below it; white where the film's large values are dark.
    pub low: f64,
    /// Shown white, with all above it; above `low`.
    pub high: f64,
}

/// The least and the greatest gamma.
pub const GAMMA: std::ops::RangeInclusive<f64> = 0.2..=5.0;
/// The narrowest window, grey values.
const NARROWEST: f64 = 1.0;
/// Points of the screen a window is dragged along for its width to grow or shrink e-fold.
const WIDTH_POINTS: f64 = 250.0;
/// Points of the screen a window is dragged along for its middle to move by its width.
const MIDDLE_POINTS: f64 = 400.0;

impl Default for Tone {
    fn default() -> Self {
        Self {
            window: None,
            gamma: 1.0,
            inverted: false,
            local_contrast: LocalContrast::default(),
            sharpening: Sharpening::default(),
        }
    }
}

impl Window {
    /// The brightness, 0 to 1, of a grey value; `is_falling` where large values are dark.
    pub fn brightness(self, grey: u16, is_falling: bool) -> f64 {
        let bright =
            ((f64::from(grey) - self.low) / (self.high - self.low).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        if is_falling { 1.0 - bright } else { bright }
    }

    /// The grey value in its middle.
    pub const fn middle(self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// How many grey values it spans.
    pub const fn width(self) -> f64 {
        self.high - self.low
    }

    /// A window around a middle. The middle is held to the grey values a film can hold, the width to at least one
    /// and at most four times as many as those.
    pub fn around(middle: f64, width: f64, largest: u16) -> Self {
        let largest = f64::from(largest);
        let half = width.clamp(NARROWEST, 4.0 * largest.max(NARROWEST)) / 2.0;
        let middle = middle.clamp(0.0, largest);
        Self { low: middle - half, high: middle + half }
    }

    /// A window from one grey value to another as they are typed: both are held to at most twice as many grey values
    /// beside the film's as it has, and the window to the narrowest. What is no number counts as the film's own end.
    pub fn between(low: f64, high: f64, largest: u16) -> Self {
        let largest = f64::from(largest);
        let held = |value: f64, or: f64| {
            if value.is_nan() { or } else { value.clamp(-2.0 * largest, 3.0 * largest) }
        };
        let low = held(low, 0.0);
        Self { low, high: held(high, largest).max(low + NARROWEST) }
    }

    /// The same, no narrower than allowed.
    pub(super) fn widened(self) -> Self {
        Self { high: self.high.max(self.low + NARROWEST), ..self }
    }
}

impl Tone {
    /// The brightness, 0 to 255, of every grey value a film can hold. Padding is black, inverted or not: it belongs to
    /// no picture.
    pub fn table(&self, look: &FirstLook) -> Vec<u8> {
        let mut table = self.levels(look);
        if let Some(padding) = look.padding() {
            let (first, last) = (usize::from(*padding.start()), usize::from(*padding.end()));
            table.iter_mut().take(last + 1).skip(first).for_each(|level| *level = 0);
        }
        table
    }

    /// The same without regard to padding: for grey values after local contrast and sharpening, which may fall among
    /// those of padding and are none.
    pub fn levels(&self, look: &FirstLook) -> Vec<u8> {
        // Brightness b rises to level l where b^gamma * 255 reaches l - 1/2. So 255 powers do, however many values.
        let reached: Vec<f64> = (0_u8..255)
            .map(|level| libm::pow((f64::from(level) + 0.5) / 255.0, 1.0 / self.gamma.max(f64::MIN_POSITIVE)))
            .collect();
        let mut level = 0_usize;
        let mut step = |bright: f64| {
            // Neighbouring values differ little, so the level is looked for from the last one.
            while reached.get(level).is_some_and(|reached| *reached <= bright) {
                level += 1;
            }
            while level.checked_sub(1).and_then(|below| reached.get(below)).is_some_and(|it| *it > bright) {
                level -= 1;
            }
            // There are 256 levels.
            let level = u8::try_from(level).unwrap_or(u8::MAX);
            if self.inverted { u8::MAX - level } else { level }
        };
        match self.window {
            None => look.brightness().iter().map(|bright| step(f64::from(*bright))).collect(),
            Some(window) => {
                (0..=look.largest()).map(|grey| step(window.brightness(grey, look.is_falling()))).collect()
            }
        }
    }

    /// The same held to what can be shown: the window by [`Window::between`], gamma to [`GAMMA`], and the rest to what
    /// each of them allows. What is no number is as it is by default.
    pub fn held(self, largest: u16) -> Self {
        let held = |value: f64, range: std::ops::RangeInclusive<f64>, or: f64| {
            if value.is_nan() { or } else { value.clamp(*range.start(), *range.end()) }
        };
        let default = Self::default();
        let (local_contrast, sharpening) = (self.local_contrast, self.sharpening);
        Self {
            window: self.window.map(|window| Window::between(window.low, window.high, largest)),
            gamma: held(self.gamma, GAMMA, default.gamma),
            local_contrast: LocalContrast {
                limit: held(local_contrast.limit, LOCAL_LIMIT, default.local_contrast.limit),
                ..local_contrast
            },
            sharpening: Sharpening {
                amount: held(sharpening.amount, SHARPENING, default.sharpening.amount),
                sigma: held(sharpening.sigma, 0.0..=WIDEST, default.sharpening.sigma),
                ..sharpening
            },
            ..self
        }
    }

    /// Whether a pixel's brightness depends on more than its own grey value.
    pub const fn looks_around(&self) -> bool {
        self.local_contrast.is_on || self.sharpening.is_on
    }

    /// The window in use: the one set, else the one that comes closest to the first look.
    pub fn window_or(&self, look: &FirstLook) -> Window {
        self.window.unwrap_or_else(|| look.window())
    }

    /// The tone after its window was dragged on the film by so many points of the screen, to the right and down. To
    /// the right contrast gets softer, to the left harder; upwards the film gets brighter, downwards darker.
    pub fn dragged(&self, look: &FirstLook, right: f64, down: f64) -> Self {
        let window = self.window_or(look);
        let width = window.width() * libm::exp(right / WIDTH_POINTS);
        let darker = if look.is_falling() == self.inverted { 1.0 } else { -1.0 };
        let middle = window.middle() + darker * down / MIDDLE_POINTS * window.width();
        Self { window: Some(Window::around(middle, width, look.largest())), ..*self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::FirstDisplay;
    use proptest::prelude::*;

    /// A film of 8 bits that has every grey value once.
    fn look(is_falling: bool) -> FirstLook {
        FirstLook::of(&FirstDisplay::plain(8, is_falling), &[1; 256])
    }

    fn at(tone: Tone, look: &FirstLook, grey: usize) -> u8 {
        tone.table(look)[grey]
    }

    const WINDOW: Option<Window> = Some(Window { low: 100.0, high: 200.0 });

    #[test]
    fn a_window_goes_from_black_to_white() {
        let tone = Tone { window: WINDOW, ..Tone::default() };
        let rising = look(false);
        // 255 / 4 = 63.75, 255 / 2 = 127.5.
        let expected = [(0, 0), (99, 0), (100, 0), (125, 64), (150, 128), (200, 255), (255, 255)];
        for (grey, level) in expected {
            assert_eq!(at(tone, &rising, grey), level, "{grey}");
        }
        // 255 * 3 / 4 = 191.25.
        assert_eq!([125, 200].map(|grey| at(tone, &look(true), grey)), [191, 0]);
        let inverted = Tone { inverted: true, ..tone };
        assert_eq!([125, 200].map(|grey| at(inverted, &rising, grey)), [191, 0]);
    }

    #[test]
    fn gamma_above_one_darkens_the_middle_and_leaves_the_ends() {
        let of = |gamma| Tone { window: WINDOW, gamma, ..Tone::default() };
        let look = look(false);
        // 255 / 2^2 = 63.75; 255 / 2^(1/2) = 180.3.
        assert_eq!([100, 150, 200].map(|grey| at(of(2.0), &look, grey)), [0, 64, 255]);
        assert_eq!([100, 150, 200].map(|grey| at(of(0.5), &look, grey)), [0, 180, 255]);
    }

    #[test]
    fn padding_stays_black_inverted_or_not() {
        let display = FirstDisplay { padding: Some(250..=255), ..FirstDisplay::plain(8, true) };
        let look = FirstLook::of(&display, &[1; 256]);
        for inverted in [false, true] {
            for window in [None, WINDOW] {
                let table = Tone { window, inverted, ..Tone::default() }.table(&look);
                assert_eq!(table[250..], [0; 6]);
                assert_ne!(table[249], table[10]);
            }
        }
    }

    #[test]
    fn dragging_to_the_right_softens_and_upwards_brightens() {
        for (is_falling, inverted) in [(false, false), (false, true), (true, false), (true, true)] {
            let look = look(is_falling);
            let tone = Tone { window: WINDOW, inverted, ..Tone::default() };
            assert_eq!(tone.dragged(&look, 0.0, 0.0), tone);
            let Some(softer) = tone.dragged(&look, WIDTH_POINTS, 0.0).window else { panic!("a window") };
            assert!((softer.width() - 100.0 * std::f64::consts::E).abs() < 1e-9);
            assert!((softer.middle() - 150.0).abs() < 1e-9);
            let brighter = tone.dragged(&look, 0.0, -40.0);
            assert!(at(brighter, &look, 150) > at(tone, &look, 150), "{is_falling} {inverted}");
            // A tenth of the way, a tenth of the width.
            let moved = brighter.window.map_or(0.0, |window| (window.middle() - 150.0).abs());
            assert!((moved - 10.0).abs() < 1e-9);
        }
    }

    #[test]
    fn what_is_typed_or_is_no_number_makes_a_window_that_can_be_shown() {
        let window = |low, high| Window::between(low, high, 255);
        assert_eq!(window(10.0, 99.5), Window { low: 10.0, high: 99.5 });
        assert_eq!(window(-1e308, 1e308), Window { low: -510.0, high: 765.0 });
        assert_eq!(window(f64::NEG_INFINITY, f64::INFINITY), Window { low: -510.0, high: 765.0 });
        assert_eq!(window(f64::NAN, f64::NAN), Window { low: 0.0, high: 255.0 });
        assert_eq!(window(80.0, 20.0), Window { low: 80.0, high: 81.0 });
        let nothing = Tone {
            window: Some(Window { low: f64::NAN, high: f64::INFINITY }),
            gamma: f64::NAN,
            inverted: true,
            local_contrast: LocalContrast { is_on: true, limit: f64::NAN },
            sharpening: Sharpening { is_on: true, amount: 1e300, sigma: f64::NAN },
        };
        let held = nothing.held(255);
        assert_eq!(
            held,
            held.held(255),
            "a tone that is no number is unlike itself, and is made anew for ever"
        );
        assert_eq!(held.window, Some(Window { low: 0.0, high: 765.0 }));
        assert_eq!((held.gamma, held.local_contrast.limit, held.sharpening.amount), (1.0, 2.5, 4.0));
        let tone = Tone { window: WINDOW, gamma: 0.7, ..Tone::default() };
        assert_eq!(tone.held(255), tone);
    }

    #[test]
    fn dragging_takes_up_the_first_look_and_never_leaves_the_film() {
        let look = look(false);
        let dragged = Tone::default().dragged(&look, 0.0, 0.0);
        assert_eq!(dragged.window, Some(look.window()));
        for (right, down) in [(1e6, 1e6), (-1e6, -1e6), (0.0, 1e9)] {
            let Some(window) = dragged.dragged(&look, right, down).window else { panic!("a window") };
            assert!((0.0..=255.0).contains(&window.middle()), "{window:?}");
            assert!((NARROWEST..=4.0 * 255.0).contains(&window.width()), "{window:?}");
        }
    }

    proptest! {
        #[test]
        fn a_table_is_the_formula_rounded(
            low in -200.0..300.0_f64, width in 1.0..400.0_f64, gamma in GAMMA, inverted: bool, is_falling: bool,
        ) {
            let window = Window { low, high: low + width };
            let table = Tone { window: Some(window), gamma, inverted, ..Tone::default() }.table(&look(is_falling));
            for (grey, level) in (0_u16..).zip(table) {
                let part = ((f64::from(grey) - low) / width).clamp(0.0, 1.0);
                let bright = (if is_falling { 1.0 - part } else { part }).powf(gamma);
                let bright = 255.0 * if inverted { 1.0 - bright } else { bright };
                prop_assert!((bright - f64::from(level)).abs() < 0.5 + 1e-6, "{grey}: {level} for {bright}");
            }
        }
    }
}
