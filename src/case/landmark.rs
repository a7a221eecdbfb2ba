//! Landmarks: what can be placed on a film. Each is declared once, in the table below, whose order lists follow.

use super::tooth::Side;
use crate::quantity::Millimetres;

/// Whose landmark it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owner {
    /// One for the tooth.
    Tooth,
    /// One for each root.
    Root,
}

/// What a landmark is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// One point.
    Point,
    /// A polyline, coronal to apical.
    Path,
    /// Levels of four points across the root.
    Sections,
}

/// A thing put into the tooth, whose absence makes what is judged of it not apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// The post.
    Post,
    /// The core.
    Core,
    /// The root filling.
    Filling,
}

impl Part {
    /// Every part with its word in files.
    pub const ALL: [(&'static str, Self); 3] =
        [("post", Self::Post), ("core", Self::Core), ("filling", Self::Filling)];
}

/// What the table says of a landmark.
#[derive(Debug, Clone, Copy)]
pub struct Declaration {
    /// Whose it is.
    pub owner: Owner,
    /// What it is made of.
    pub shape: Shape,
    /// Whether it comes in a mesial and a distal one.
    pub sided: bool,
    /// Whether it lies buccal or lingual of the canal plane, so that the beam's unknown angle shifts it.
    pub parallax: bool,
    /// The part it bounds.
    pub part: Option<Part>,
    /// What it marks.
    pub meaning: &'static str,
    keys: [&'static str; 3],
}

macro_rules! landmarks {
    ($($name:ident: $key:literal, $owner:ident, $shape:ident, sided $sided:literal, parallax $parallax:literal, $part:expr, $meaning:literal;)+) => {
        /// A kind of landmark; the order is the one lists are given in.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Landmark {
            $(#[doc = $meaning] $name),+
        }

        impl Landmark {
            /// Every landmark, in order.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// What the table says of it.
            pub const fn declaration(self) -> Declaration {
                match self {
                    $(Self::$name => Declaration {
                        owner: Owner::$owner,
                        shape: Shape::$shape,
                        sided: $sided,
                        parallax: $parallax,
                        part: $part,
                        meaning: $meaning,
                        keys: [$key, concat!($key, ".mesial"), concat!($key, ".distal")],
                    }),+
                }
            }
        }
    };
}

/// How thick a wall still is at its top, as [`Landmark::WallTop`] is declared below.
pub const WALL_TOP_THICKNESS: Millimetres = Millimetres(1.0);

landmarks! {
    CrownEdge: "crown_edge", Tooth, Point, sided false, parallax true, None,
        "incisal edge or occlusal surface of the crown, of several cusps the highest, present or planned; its level along the tooth is measured";
    StopReference: "stop_reference", Tooth, Point, sided false, parallax false, None,
        "where an instrument's stop rests today: a cusp, a flat, the root face";
    CoreTop: "core_top", Tooth, Point, sided false, parallax false, Some(Part::Core),
        "most coronal point of the core";
    CoreBase: "core_base", Tooth, Point, sided false, parallax false, Some(Part::Core),
        "level of the coronal surface of the standing dentine beside the canal, the more apical side where they differ, carried square onto the canal line";
    WallTop: "wall_top", Tooth, Point, sided true, parallax true, None,
        "most coronal point at which the wall is still at least 1 mm thick, caries removed";
    FinishLine: "finish_line", Tooth, Point, sided true, parallax true, None,
        "the crown margin";
    Cej: "cej", Tooth, Point, sided true, parallax true, None,
        "cemento-enamel junction";
    Crest: "crest", Tooth, Point, sided true, parallax true, None,
        "most coronal level at which the periodontal ligament space beside the root has its normal, even width (the floor of an angular defect)";
    BonePeak: "bone_peak", Tooth, Point, sided true, parallax true, None,
        "top of the septum on that side, where it differs from the crest";
    Furcation: "furcation", Tooth, Point, sided false, parallax true, None,
        "roof of the furcation of a multi-rooted tooth";
    FurcalCrest: "furcal_crest", Tooth, Point, sided false, parallax true, None,
        "the bone in the furcation";
    Orifice: "orifice", Root, Point, sided false, parallax false, None,
        "where root dentine first encloses canal or post on both sides";
    CurveStart: "curve_start", Root, Point, sided false, parallax false, None,
        "where the canal leaves its straight coronal line";
    PostHead: "post_head", Root, Point, sided false, parallax false, Some(Part::Post),
        "coronal end of the post";
    PostTip: "post_tip", Root, Point, sided false, parallax false, Some(Part::Post),
        "apical end of the post";
    FillingTop: "filling_top", Root, Point, sided false, parallax false, Some(Part::Filling),
        "coronal end of the root filling";
    FillingTip: "filling_tip", Root, Point, sided false, parallax false, Some(Part::Filling),
        "apical end of the root filling";
    Apex: "apex", Root, Point, sided false, parallax false, None,
        "radiographic apex";
    Canal: "canal", Root, Path, sided false, parallax false, None,
        "polyline along the canal, coronal to apical";
    Sections: "sections", Root, Sections, sided false, parallax false, None,
        "widths at one level: outer wall, canal or post, canal or post, outer wall, mesial first";
}

/// A landmark with its side, where it has one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LandmarkId {
    landmark: Landmark,
    side: Option<Side>,
}

impl Landmark {
    /// This landmark, which has no side.
    pub const fn id(self) -> LandmarkId {
        LandmarkId { landmark: self, side: None }
    }

    /// This landmark on a side.
    pub const fn on(self, side: Side) -> LandmarkId {
        LandmarkId { landmark: self, side: Some(side) }
    }
}

impl LandmarkId {
    /// Every landmark of one owner, sided ones mesial first.
    pub fn all(owner: Owner) -> impl Iterator<Item = Self> {
        Landmark::ALL.iter().filter(move |landmark| landmark.declaration().owner == owner).flat_map(
            |landmark| {
                if landmark.declaration().sided {
                    vec![landmark.on(Side::Mesial), landmark.on(Side::Distal)]
                } else {
                    vec![landmark.id()]
                }
            },
        )
    }

    /// Every landmark of one owner that is a single point.
    pub fn points(owner: Owner) -> impl Iterator<Item = Self> {
        Self::all(owner).filter(|id| id.landmark.declaration().shape == Shape::Point)
    }

    /// The landmark of this name in files.
    pub fn of_key(key: &str) -> Option<Self> {
        Self::all(Owner::Tooth).chain(Self::all(Owner::Root)).find(|id| id.key() == key)
    }

    /// For people: "finish line, mesial", "CEJ, distal".
    pub fn words(self) -> String {
        let [plain, ..] = self.landmark.declaration().keys;
        let name = if self.landmark == Landmark::Cej { "CEJ".to_owned() } else { plain.replace('_', " ") };
        match self.side {
            Some(side) => format!("{name}, {}", side.word()),
            None => name,
        }
    }

    /// Which landmark.
    pub const fn landmark(self) -> Landmark {
        self.landmark
    }

    /// Which side.
    pub const fn side(self) -> Option<Side> {
        self.side
    }

    /// The name in files: `wall_top.mesial`.
    pub const fn key(self) -> &'static str {
        let [plain, mesial, distal] = self.landmark.declaration().keys;
        match self.side {
            None => plain,
            Some(Side::Mesial) => mesial,
            Some(Side::Distal) => distal,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn a_walls_top_is_where_its_words_say_that_it_is() {
        let words = format!("at least {} mm thick", WALL_TOP_THICKNESS.get());
        assert!(Landmark::WallTop.declaration().meaning.contains(&words), "{words}");
    }

    #[test]
    fn every_landmark_has_a_key_of_its_own() {
        let keys: Vec<_> =
            LandmarkId::all(Owner::Tooth).chain(LandmarkId::all(Owner::Root)).map(LandmarkId::key).collect();
        assert_eq!(keys.iter().collect::<HashSet<_>>().len(), keys.len());
        assert!(keys.contains(&"wall_top.distal") && keys.contains(&"canal") && !keys.contains(&"wall_top"));
    }
}
