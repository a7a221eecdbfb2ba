//! The words the catalogue is written in: questions, repeats, places, lengths and definitions.

use crate::case::Landmark;
use crate::caution::CautionKind;
use crate::quantity::Unit;

/// The questions of the job, in its order; people read measurements and verdicts under them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Question {
    /// The ferrule.
    Ferrule,
    /// The supracrestal tissue attachment.
    Attachment,
    /// The post against core, crown, crest and root.
    Post,
    /// The root filling that stays.
    Seal,
    /// The walls.
    Walls,
    /// The bone.
    Bone,
    /// The canal.
    Canal,
}

impl Question {
    /// Every question, in the order of the job.
    pub const ALL: [Self; 7] =
        [Self::Ferrule, Self::Attachment, Self::Post, Self::Seal, Self::Walls, Self::Bone, Self::Canal];

    /// The question in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Ferrule => "Is there a ferrule?",
            Self::Attachment => "Is the margin clear of the supracrestal tissue attachment?",
            Self::Post => "Is the post long enough, and its tip off the crest?",
            Self::Seal => "How much root filling stays as seal?",
            Self::Walls => "How thick are the walls?",
            Self::Bone => "What holds the tooth?",
            Self::Canal => "How does the canal run?",
        }
    }
}

/// Whether and how a measurement is repeated over sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Repeat {
    /// Once.
    Once,
    /// Mesial and distal.
    BySide,
    /// Once for each section.
    BySection,
    /// Mesial and distal, for each section.
    BySideAndSection,
    /// For each probed site.
    ByProbedSite,
}

/// Whose measurement it is, and when there is a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Applies {
    /// To every tooth.
    Tooth,
    /// To a tooth with several listed roots.
    ToothWithSeveralRoots,
    /// To every root.
    Root,
    /// To the root of a tooth with one listed root.
    OnlyRoot,
    /// To a root whose post is not merely planned.
    RootWithoutPlannedPost,
}

impl Applies {
    /// Whether the row belongs to a root.
    pub const fn is_root(self) -> bool {
        matches!(self, Self::Root | Self::OnlyRoot | Self::RootWithoutPlannedPost)
    }
}

/// A place a definition speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlaceName {
    /// A landmark without sides.
    The(Landmark),
    /// The landmark on the row's own side.
    OnSide(Landmark),
    /// M: the midpoint of the finish line's two points, else of the cemento-enamel junction's.
    MarginMiddle,
    /// The mean of the placed apices.
    MeanApex,
    /// Where the post starts to hold: the core base in a single-rooted tooth, the root's orifice otherwise.
    PostStart,
    /// Halfway between the outer points of the row's section.
    SectionMiddle,
    /// The crest beside a root: the furcal crest on the inner side of a root of several.
    CrestBesideRoot,
}

/// A length by which a definition builds; lengths are mm, positive apically.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Length {
    /// Component along the axis: of the tooth for the tooth's rows, of the root for a root's.
    Axial(PlaceName, PlaceName),
    /// Straight from one place to the other.
    Straight(PlaceName, PlaceName),
    /// Along the canal, its ends prolonged; along the root's axis without a canal.
    AlongCanal(PlaceName, PlaceName),
    /// Along the line of the straight coronal canal: orifice to the curve's start, else to the apex.
    AlongStraightCanal(PlaceName, PlaceName),
    /// Across the axis, from the mesial to the distal point of the finish line.
    AcrossMargin,
    /// From the crest line to the place along the root's axis; `both_points` demands both crest points.
    FromCrestLine {
        /// Where to.
        to: PlaceName,
        /// Whether one crest point is not enough.
        both_points: bool,
    },
    /// Crown edge to M along the tooth's axis; the planned crown length where the edge is not placed.
    Crown,
    /// From the crown edge to the crest line along the tooth's axis.
    CrownAboveCrest,
    /// Core top to core base; the planned core height takes its place.
    CoreOrPlanned,
    /// From the more apical of filling top and post tip to the more coronal of filling tip and apex.
    Seal,
    /// Across a section, between two of its four points.
    AcrossSection(usize, usize),
    /// Across a section, between outer and inner point of the row's own side.
    SectionWall,
}

/// What a measurement is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Definition {
    /// A length.
    Length(Length),
    /// (numerator − less) / (denominator − less), both lengths.
    Quotient {
        /// Above the fraction bar.
        numerator: Length,
        /// Under the fraction bar.
        denominator: Length,
        /// What is taken from both, mm.
        less: f64,
    },
    /// Schneider's angle at the curve's start.
    Curvature,
    /// Length of the second line over twice the sine of Schneider's angle.
    CurvatureRadius,
    /// A probed height of wall above the margin.
    ProbedFerrule,
    /// A probed wall thickness.
    ProbedWall,
}

/// A size of an average tooth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Compared {
    /// Length of the root.
    Root,
    /// Mesiodistal width at the cervix.
    Cervix,
}

/// One row of the catalogue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Its stable name.
    pub id: &'static str,
    /// The question of the job it helps to answer.
    pub question: Question,
    /// Over what it is repeated.
    pub repeat: Repeat,
    /// When there is a row.
    pub applies: Applies,
    /// Its unit.
    pub unit: Unit,
    /// What it is, for people.
    pub meaning: &'static str,
    /// How it is constructed.
    pub definition: Definition,
    /// Whether value and interval are clipped at 0.
    pub clipped: bool,
    /// What a value below 0 raises.
    pub below_zero: Option<CautionKind>,
    /// Whether caries and old fillings make it provisional before treatment.
    pub is_provisional: bool,
    /// The size of an average tooth it is compared with, to notice a wrong scale.
    pub compared_with: Option<Compared>,
}
