//! Numbers drawn from a seed by name: the same seed and name give the same number on every machine, and a parameter that
//! is added changes none of the others.

/// A source of named draws.
#[derive(Debug, Clone, Copy)]
pub struct Chance {
    seed: u64,
}

/// The finaliser of `SplitMix64` (Steele, Lea and Flood 2014): every bit of the argument changes every bit of the outcome.
pub(super) const fn mixed(value: u64) -> u64 {
    let value = value.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let value = (value ^ (value >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let value = (value ^ (value >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    value ^ (value >> 31)
}

/// A number in 0 to 1, 1 left out, of the upper 53 bits.
#[expect(clippy::cast_precision_loss, reason = "53 bits fit into an f64")]
pub(super) fn fraction(bits: u64) -> f64 {
    (bits >> 11) as f64 / 9_007_199_254_740_992.0
}

impl Chance {
    /// The draws of a seed.
    pub const fn of(seed: u64) -> Self {
        Self { seed: mixed(seed) }
    }

    /// Draws of their own for a part of the whole, such as one root.
    pub fn part(self, name: &str) -> Self {
        Self { seed: self.bits(name) }
    }

    /// 64 bits for a name.
    pub(super) fn bits(self, name: &str) -> u64 {
        // FNV-1a over the name, begun with the seed.
        let hash = name.bytes().fold(self.seed ^ 0xcbf2_9ce4_8422_2325, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
        });
        mixed(hash)
    }

    /// A number from `low` to `high`, each as likely.
    pub fn between(self, name: &str, low: f64, high: f64) -> f64 {
        low + (high - low) * fraction(self.bits(name))
    }

    /// A normal number with mean 0 and this sd, held to 2.5 sd (Box and Muller 1958).
    pub fn normal(self, name: &str, sd: f64) -> f64 {
        let bits = self.bits(name);
        let (first, second) = (fraction(bits), fraction(mixed(bits)));
        let radius = (-2.0 * libm::log(1.0 - first)).sqrt();
        (radius * libm::cos(std::f64::consts::TAU * second)).clamp(-2.5, 2.5) * sd
    }

    /// Whether something happens that happens with this probability.
    pub fn happens(self, name: &str, probability: f64) -> bool {
        fraction(self.bits(name)) < probability
    }
}
