//! Teeth, sides and roots by the names the trade gives them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A side a film can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Towards the midline.
    Mesial,
    /// Away from the midline.
    Distal,
}

impl Side {
    /// Both sides, mesial first.
    pub const BOTH: [Self; 2] = [Self::Mesial, Self::Distal];

    /// The word for this side.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mesial => "mesial",
            Self::Distal => "distal",
        }
    }
}

/// One of the four sites around a tooth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Site {
    /// Towards the midline; seen on the film.
    Mesial,
    /// Away from the midline; seen on the film.
    Distal,
    /// Towards the cheek; probed.
    Buccal,
    /// Towards the tongue, or the palate in the upper jaw; probed.
    Lingual,
}

impl Site {
    /// All four, film sites first.
    pub const ALL: [Self; 4] = [Self::Mesial, Self::Distal, Self::Buccal, Self::Lingual];
    /// The two a film cannot show.
    pub const PROBED: [Self; 2] = [Self::Buccal, Self::Lingual];

    /// The word for this site in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mesial => "mesial",
            Self::Distal => "distal",
            Self::Buccal => "buccal",
            Self::Lingual => "lingual",
        }
    }
}

/// A side of the film as one looks at it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FilmSide {
    /// The left.
    Left,
    /// The right.
    Right,
}

impl FilmSide {
    /// Every choice with its word in files.
    pub const ALL: [(&'static str, Self); 2] = [("left", Self::Left), ("right", Self::Right)];
}

/// A permanent tooth by its ISO 3950 two-digit designation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Fdi {
    quadrant: u8,
    position: u8,
}

impl Fdi {
    /// Reads a designation.
    ///
    /// # Errors
    /// A sentence saying why it names no permanent tooth.
    pub fn parse(text: &str) -> Result<Self, String> {
        let [quadrant, position] = text.as_bytes() else {
            return Err(format!("is {text:?}; a tooth is two digits by ISO 3950, such as \"21\""));
        };
        let digit = |byte: u8| byte.wrapping_sub(b'0');
        match (digit(*quadrant), digit(*position)) {
            (quadrant @ 1..=4, position @ 1..=8) => Ok(Self { quadrant, position }),
            (5..=8, 1..=5) => {
                Err(format!("is {text:?}, a deciduous tooth; only permanent teeth (11 to 48) are measured"))
            }
            _ => Err(format!(
                "is {text:?}, which is no tooth; a permanent tooth is 11 to 18, 21 to 28, 31 to 38 or 41 to 48"
            )),
        }
    }

    /// First digit, 1 to 4.
    pub const fn quadrant(self) -> u8 {
        self.quadrant
    }

    /// Second digit, 1 to 8, counted from the midline.
    pub const fn position(self) -> u8 {
        self.position
    }

    /// Whether it is a molar.
    pub const fn is_molar(self) -> bool {
        self.position >= 6
    }

    /// Whether it stands in the upper jaw, where lingual is called palatal.
    pub const fn is_upper(self) -> bool {
        self.quadrant <= 2
    }

    /// The roots such a tooth most often has (common practice): a start for the case, which says what is there.
    pub const fn usual_roots(self) -> &'static [RootName] {
        match (self.is_upper(), self.position) {
            (true, 6..) => &[RootName::Mesiobuccal, RootName::Distobuccal, RootName::Palatal],
            (false, 6..) => &[RootName::Mesial, RootName::Distal],
            (true, 4) => &[RootName::Buccal, RootName::Palatal],
            _ => &[RootName::Single],
        }
    }

    /// Every permanent tooth, quadrant by quadrant from the midline.
    pub fn all() -> impl Iterator<Item = Self> {
        (1..=4).flat_map(|quadrant| (1..=8).map(move |position| Self { quadrant, position }))
    }

    /// The same tooth in the Universal/National System, 1 to 32 (American Dental Association, Current Dental
    /// Terminology): along the upper jaw from the patient's right to the left, and back along the lower one.
    pub const fn universal(self) -> u8 {
        match self.quadrant {
            1 => 9 - self.position,
            2 => 8 + self.position,
            3 => 25 - self.position,
            _ => 24 + self.position,
        }
    }

    /// Where mesial lies on a film seen from in front.
    pub const fn mesial_seen_from_in_front(self) -> FilmSide {
        match self.quadrant {
            1 | 4 => FilmSide::Right,
            _ => FilmSide::Left,
        }
    }
}

impl fmt::Display for Fdi {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.quadrant, self.position)
    }
}

impl Serialize for Fdi {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl JsonSchema for Fdi {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Fdi".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "string",
            "pattern": "^[1-4][1-8]$",
            "description": "A permanent tooth by its ISO 3950 two-digit designation."
        })
    }
}

macro_rules! root_names {
    ($($name:ident: $word:literal, $inner:expr;)+) => {
        /// A root by the trade's name for it.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        #[serde(rename_all = "lowercase")]
        pub enum RootName {
            $(#[doc = concat!("The ", $word, " root.")] $name),+
        }

        impl RootName {
            /// Every name with its word in files.
            pub const ALL: &'static [(&'static str, Self)] = &[$(($word, Self::$name)),+];

            /// The word for this root.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$name => $word),+ }
            }

            /// The side of this root that faces the furcation, where it is a mesial or distal one.
            pub const fn inner_side(self) -> Option<Side> {
                match self { $(Self::$name => $inner),+ }
            }
        }
    };
}

root_names! {
    Single: "single", None;
    Buccal: "buccal", None;
    Palatal: "palatal", None;
    Lingual: "lingual", None;
    Mesial: "mesial", Some(Side::Distal);
    Distal: "distal", Some(Side::Mesial);
    Mesiobuccal: "mesiobuccal", Some(Side::Distal);
    Distobuccal: "distobuccal", Some(Side::Mesial);
    Mesiolingual: "mesiolingual", Some(Side::Distal);
    Distolingual: "distolingual", Some(Side::Mesial);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The permanent teeth as the Universal/National System counts them, 1 to 32 (American Dental Association, Current
    /// Dental Terminology: 1 is the upper right third molar, 16 the upper left, 17 the lower left, 32 the lower right).
    const COUNTED: [&str; 32] = [
        "18", "17", "16", "15", "14", "13", "12", "11", "21", "22", "23", "24", "25", "26", "27", "28", "38",
        "37", "36", "35", "34", "33", "32", "31", "41", "42", "43", "44", "45", "46", "47", "48",
    ];

    #[test]
    fn universal_numbers_are_those_of_the_published_chart() {
        for (number, fdi) in (1..).zip(COUNTED) {
            assert_eq!(Fdi::parse(fdi).map(Fdi::universal), Ok(number), "{fdi}");
        }
        let all: std::collections::BTreeSet<u8> = Fdi::all().map(Fdi::universal).collect();
        assert_eq!(all, (1..=32).collect());
    }

    #[test]
    fn permanent_teeth_and_nothing_else() {
        assert_eq!(Fdi::parse("36").map(|tooth| (tooth.quadrant(), tooth.is_molar())), Ok((3, true)));
        for (text, says) in [
            ("55", "deciduous"),
            ("19", "no tooth"),
            ("09", "no tooth"),
            ("1", "two digits"),
            ("é", "no tooth"),
        ] {
            let why = Fdi::parse(text).expect_err(text);
            assert!(why.contains(says), "{text}: {why}");
        }
    }
}
