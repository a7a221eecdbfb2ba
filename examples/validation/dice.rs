//! Random numbers that are the same on every machine: a counter-based generator, and `libm` for the normal ones.

use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, StandardUniform};

/// A stream of random numbers.
pub(crate) struct Dice(ChaCha8Rng);

impl Dice {
    /// A stream of a seed; streams of other numbers are independent of it.
    pub(crate) fn of(seed: u64, stream: u64) -> Self {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        random.set_stream(stream);
        Self(random)
    }

    /// A number from `low` to `high`, each as likely.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        let part: f64 = StandardUniform.sample(&mut self.0);
        low + (high - low) * part
    }

    /// A normal number with mean 0 and this sd (Box and Muller 1958).
    pub(crate) fn normal(&mut self, sd: f64) -> f64 {
        let (first, second) = (self.between(0.0, 1.0), self.between(0.0, 1.0));
        let radius = (-2.0 * libm::log(1.0 - first)).sqrt();
        sd * radius * libm::cos(std::f64::consts::TAU * second)
    }
}
