//! Units as types, so that pixels never meet millimetres unnoticed.

use serde::Serialize;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $symbol:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// The symbol printed after a number in this unit.
            pub const SYMBOL: &'static str = $symbol;

            /// The bare number, for arithmetic inside one module.
            pub const fn get(self) -> f64 {
                self.0
            }
        }
    };
}

quantity! {
    /// A length in the millimetre plane of the scale.
    Millimetres, "mm"
}
quantity! {
    /// A length on the film, in widths of a stored pixel.
    Pixels, "px"
}
quantity! {
    /// An angle in degrees. Trigonometry inside this crate is in radians; degrees are for people.
    Degrees, "deg"
}
quantity! {
    /// A scale factor: millimetres in the plane of the tooth for one pixel on the film.
    MillimetresPerPixel, "mm/px"
}

impl Degrees {
    /// The same angle in radians.
    pub fn radians(self) -> f64 {
        self.0.to_radians()
    }
}

/// The unit of a measurement, by its UCUM code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Unit {
    /// Millimetre.
    #[serde(rename = "mm")]
    Millimetre,
    /// A pure number, such as a ratio.
    #[serde(rename = "1")]
    One,
    /// Degree of arc.
    #[serde(rename = "deg")]
    Degree,
}

impl Unit {
    /// The UCUM code, as exchange formats want it.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::One => "1",
            Self::Degree => "deg",
        }
    }

    /// What stands after a number for people: nothing for a pure number.
    pub const fn suffix(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::One => "",
            Self::Degree => "deg",
        }
    }
}
