//! Tone: how grey values become brightness on a screen. It never changes a film, and nothing is measured on it.

use super::first_look::FirstLook;

/// From grey values to brightness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tone {
    /// The grey values shown black and white; `None` for the film's first look.
    pub window: Option<Window>,
    /// Exponent of brightness: above 1 darkens the middle, below 1 lightens it.
    pub gamma: f64,
    /// Whether black and white change places.
    pub inverted: bool,
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
        Self { window: None, gamma: 1.0, inverted: false }
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

    /// The same, no narrower than allowed.
    pub(super) fn widened(self) -> Self {
        Self { high: self.high.max(self.low + NARROWEST), ..self }
    }
}

impl Tone {
    /// The brightness, 0 to 255, of every grey value a film can hold. Padding is black, inverted or not: it belongs to
    /// no picture.
    pub fn table(&self, look: &FirstLook) -> Vec<u8> {
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
        let mut table: Vec<u8> = match self.window {
            None => look.brightness().iter().map(|bright| step(f64::from(*bright))).collect(),
            Some(window) => {
                (0..=look.largest()).map(|grey| step(window.brightness(grey, look.is_falling()))).collect()
            }
        };
        if let Some(padding) = look.padding() {
            let (first, last) = (usize::from(*padding.start()), usize::from(*padding.end()));
            table.iter_mut().take(last + 1).skip(first).for_each(|level| *level = 0);
        }
        table
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
