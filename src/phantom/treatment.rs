//! What was done to the tooth, and what lies in and beside it.

use crate::case::{RootName, Stage};
use crate::wording::words;

/// What was done to a tooth.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Treatment {
    /// Whether the crown is lost and walls stand; otherwise it is sound.
    pub walls: bool,
    /// The root fillings, one in each canal.
    pub filling: Option<Filling>,
    /// The post.
    pub post: Option<Post>,
    /// The core.
    pub core: Option<Core>,
    /// The artificial crown.
    pub crown: Option<CrownKind>,
    /// An instrument in a canal.
    pub instrument: Option<Instrument>,
    /// A post space without a post: the level its floor lies at, in the root a post is for.
    pub post_space: Option<PostSpace>,
    /// A post that is planned and not there.
    pub planned_post: Option<PlannedPost>,
    /// Radius of a radiolucency at each apex, mm.
    pub lesion_mm: Option<f64>,
    /// An object of known size beside the tooth.
    pub beside: Option<Beside>,
}

/// A root filling, in every canal alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filling {
    /// How far it ends short of the radiographic apex, along the tooth's axis; negative beyond it.
    pub short_of_apex_mm: f64,
}

/// A post.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Post {
    /// The root it is in.
    pub root: RootName,
    /// Level of its coronal end.
    pub head_mm: f64,
    /// Level of its tip.
    pub tip_mm: f64,
    /// Its diameter.
    pub diameter_mm: f64,
    /// The shape of its tip.
    pub tip: PostTip,
    /// What it is made of.
    pub kind: PostKind,
    /// From its tip to the filling, along the tooth's axis.
    pub gap_mm: f64,
}

/// A post space that is still empty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PostSpace {
    /// The root it is in.
    pub root: RootName,
    /// Level of its floor.
    pub floor_mm: f64,
    /// Its diameter.
    pub diameter_mm: f64,
}

/// A post that is planned: a case tells of it, a film shows nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedPost {
    /// The root it is planned for.
    pub root: RootName,
    /// Level of its tip.
    pub tip_mm: f64,
}

/// A core.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Core {
    /// Level of its top.
    pub top_mm: f64,
}

/// An instrument lying in a canal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Instrument {
    /// The root it is in.
    pub root: RootName,
    /// From its tip to its stop, along it.
    pub length_mm: f64,
    /// Level of its tip.
    pub tip_mm: f64,
}

/// An object of known size beside the tooth, at the depth of its axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Beside {
    /// A steel ball.
    Ball {
        /// Its diameter.
        diameter_mm: f64,
    },
    /// A straight steel wire along the tooth.
    Wire {
        /// Its length.
        length_mm: f64,
    },
}

words! {
    /// The shape of a post's tip.
    PostTip {
        /// Square to its axis.
        Flat: "flat",
        /// A half ball.
        Round: "round",
        /// A cone of 2 mm.
        Tapered: "tapered",
    }
}

words! {
    /// What a post is made of.
    PostKind {
        /// Stainless steel.
        Steel: "steel",
        /// Titanium.
        Titanium: "titanium",
        /// Glass fibre.
        Fibre: "fibre",
        /// Cast gold alloy.
        Gold: "gold",
    }
}

words! {
    /// What an artificial crown is made of.
    CrownKind {
        /// Cast gold alloy.
        Metal: "metal",
        /// Glass ceramic.
        Ceramic: "ceramic",
    }
}

impl Treatment {
    /// When in the treatment a film of it would have been taken.
    pub const fn stage(&self) -> Stage {
        match self {
            Self { crown: Some(_), .. } => Stage::Crowned,
            Self { core: Some(_), .. } | Self { post: Some(_), .. } => Stage::PostCore,
            Self { post_space: Some(_), .. } => Stage::PostSpace,
            Self { filling: Some(_), .. } => Stage::Filled,
            Self { instrument: Some(_), .. } => Stage::WorkingLength,
            _ => Stage::Assessment,
        }
    }
}
