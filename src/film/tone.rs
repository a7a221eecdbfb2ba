//! Tone: how grey values become brightness on a screen. It never changes a film, and nothing is measured on it.

use super::dicom::FirstDisplay;

/// From grey values to brightness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tone {
    /// The grey values shown black and white; `None` for what the film itself asks for.
    pub window: Option<Window>,
    /// Exponent of brightness: above 1 darkens the middle, below 1 lightens it.
    pub gamma: f64,
    /// Whether black and white change places.
    pub inverted: bool,
}

/// The grey values between which brightness grows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Shown black, with all below it.
    pub low: f64,
    /// Shown white, with all above it; above `low`.
    pub high: f64,
}

impl Default for Tone {
    fn default() -> Self {
        Self { window: None, gamma: 1.0, inverted: false }
    }
}

impl Tone {
    /// The brightness, 0 to 255, of every grey value a film can hold.
    pub fn table(&self, first: &FirstDisplay) -> Vec<u8> {
        let count = 1_u32 << first.bits.min(16);
        (0..count)
            .map(|grey| {
                // Below 2^16.
                let grey = u16::try_from(grey).unwrap_or(u16::MAX);
                let bright = match self.window {
                    None => first.brightness(grey).unwrap_or(0.0),
                    Some(Window { low, high }) => {
                        let bright =
                            ((f64::from(grey) - low) / (high - low).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
                        if first.inverted { 1.0 - bright } else { bright }
                    }
                };
                let bright = libm::pow(bright.clamp(0.0, 1.0), self.gamma);
                let bright = if self.inverted { 1.0 - bright } else { bright };
                // Between 0 and 255.
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
                {
                    (bright * 255.0).round() as u8
                }
            })
            .collect()
    }
}
