//! The catalogue of measurements: each is one row. A new measurement is a row; a new way of constructing one is a
//! row and an arm in [`resolve`](super::resolve) and [`construction`](super::construction).

use super::definition::{Applies, Compared, Definition, Length, PlaceName, Question, Repeat, Row};
use crate::case::Landmark;
use crate::caution::CautionKind;
use crate::quantity::Unit;

use Applies::{OnlyRoot, Root, RootWithoutPlannedPost, Tooth, ToothWithSeveralRoots};
use CautionKind::{CrestAboveFinishLine, ImpossibleOrder};
use Landmark::{
    Apex, BonePeak, Cej, CoreBase, CoreTop, Crest, FillingTip, FillingTop, FinishLine, Furcation, PostHead,
    PostTip, WallTop,
};
use Length::{
    AcrossSection, AlongCanal, Axial, CoreOrPlanned, Crown, CrownAboveCrest, FromCrestLine, Seal,
    SectionWall, Straight,
};
use PlaceName::{CrestBesideRoot, MarginMiddle, MeanApex, OnSide, PostStart, The};
use Question::{Attachment, Bone, Canal, Ferrule, Post, Seal as SealQuestion, Walls};
use Repeat::{ByProbedSite, BySection, BySide, BySideAndSection, Once};
use Unit::{Degree, Millimetre, One};

const fn row(
    id: &'static str,
    question: Question,
    repeat: Repeat,
    applies: Applies,
    unit: Unit,
    definition: Definition,
    meaning: &'static str,
) -> Row {
    Row {
        id,
        question,
        repeat,
        applies,
        unit,
        meaning,
        definition,
        clipped: false,
        below_zero: None,
        is_provisional: false,
        compared_with: None,
    }
}

const fn clipped(mut row: Row) -> Row {
    row.clipped = true;
    row
}

const fn never_below_zero(mut row: Row, caution: CautionKind) -> Row {
    row.below_zero = Some(caution);
    row
}

const fn provisional(mut row: Row) -> Row {
    row.is_provisional = true;
    row
}

const fn compared(mut row: Row, with: Compared) -> Row {
    row.compared_with = Some(with);
    row
}

const fn length(length: Length) -> Definition {
    Definition::Length(length)
}

const fn quotient(numerator: Length, denominator: Length) -> Definition {
    Definition::Quotient { numerator, denominator, less: 0.0 }
}

/// Room between the cemento-enamel junction and a crest that has lost nothing, mm: taken off before bone loss is
/// expressed as a part of the root (common practice; 1 to 2 mm are in use).
const HEALTHY_CREST_MM: f64 = 2.0;

/// Every measurement, tooth first, then root.
#[rustfmt::skip] // one measurement, one or two lines
pub static CATALOGUE: &[Row] = &[
    provisional(row("ferrule_height", Ferrule, BySide, Tooth, Millimetre, length(Axial(OnSide(WallTop), OnSide(FinishLine))),
        "height of sound wall above the margin")),
    row("ferrule_height", Ferrule, ByProbedSite, Tooth, Millimetre, Definition::ProbedFerrule,
        "probed height of sound wall above the margin"),
    never_below_zero(row("margin_to_crest", Attachment, BySide, Tooth, Millimetre, length(Axial(OnSide(FinishLine), OnSide(Crest))),
        "from the margin to the crest"), CrestAboveFinishLine),
    row("cej_to_crest", Bone, BySide, Tooth, Millimetre, length(Axial(OnSide(Cej), OnSide(Crest))),
        "from the cemento-enamel junction to the crest"),
    never_below_zero(row("defect_depth", Bone, BySide, Tooth, Millimetre, length(Axial(OnSide(BonePeak), OnSide(Crest))),
        "depth of an angular defect, from the septum's top to its floor"), ImpossibleOrder),
    clipped(row("bone_loss", Bone, BySide, Tooth, One, Definition::Quotient { numerator: Axial(OnSide(Cej), OnSide(Crest)), denominator: Axial(OnSide(Cej), MeanApex), less: HEALTHY_CREST_MM },
        "part of the root that has lost its bone, 2 mm apical of the cemento-enamel junction counted as healthy")),
    row("crest_to_furcation", Bone, BySide, ToothWithSeveralRoots, Millimetre, length(Axial(OnSide(Crest), The(Furcation))),
        "from the crest to the roof of the furcation"),
    never_below_zero(row("core_height", Post, Once, Tooth, Millimetre, length(Axial(The(CoreTop), The(CoreBase))),
        "height of the core above the standing dentine"), ImpossibleOrder),
    never_below_zero(row("crown_length", Post, Once, Tooth, Millimetre, length(Crown),
        "from the crown's edge to the margin, or as planned"), ImpossibleOrder),
    row("wall", Walls, ByProbedSite, Tooth, Millimetre, Definition::ProbedWall,
        "probed thickness of the wall"),
    never_below_zero(row("post_length", Post, Once, Root, Millimetre, length(Straight(The(PostHead), The(PostTip))),
        "the post from end to end"), ImpossibleOrder),
    never_below_zero(row("post_depth", Post, Once, Root, Millimetre, length(Axial(PostStart, The(PostTip))),
        "how deep the post goes from the core base (from the orifice in a tooth with several roots)"), ImpossibleOrder),
    row("post_to_core", Post, Once, Root, One, quotient(Axial(PostStart, The(PostTip)), CoreOrPlanned),
        "depth of the post over height of the core"),
    row("post_below_margin", Post, Once, Root, Millimetre, length(Axial(MarginMiddle, The(PostTip))),
        "from the margin to the post's tip"),
    row("post_to_crown", Post, Once, Root, One, quotient(Axial(MarginMiddle, The(PostTip)), Crown),
        "post apical of the margin over length of the crown"),
    row("post_to_root", Post, Once, Root, One, quotient(Axial(MarginMiddle, The(PostTip)), AlongCanal(MarginMiddle, The(Apex))),
        "post apical of the margin over length of the root"),
    row("tip_beyond_crest", Post, BySide, Root, Millimetre, length(Axial(CrestBesideRoot, The(PostTip))),
        "from the crest to the post's tip; positive when the tip is apical of it"),
    row("tip_beyond_crest", Post, Once, OnlyRoot, Millimetre, length(FromCrestLine { to: The(PostTip), both_points: true }),
        "from the line through both crest points to the post's tip"),
    compared(never_below_zero(row("root_length", Canal, Once, Root, Millimetre, length(AlongCanal(MarginMiddle, The(Apex))),
        "from the margin to the apex, along the canal"), ImpossibleOrder), Compared::Root),
    never_below_zero(row("root_in_bone", Bone, Once, Root, Millimetre, length(FromCrestLine { to: The(Apex), both_points: false }),
        "from the crest to the apex"), ImpossibleOrder),
    clipped(row("post_to_root_in_bone", Post, Once, Root, One, quotient(FromCrestLine { to: The(PostTip), both_points: false }, FromCrestLine { to: The(Apex), both_points: false }),
        "part of the root in bone that the post reaches")),
    never_below_zero(row("filling_length", SealQuestion, Once, Root, Millimetre, length(AlongCanal(The(FillingTop), The(FillingTip))),
        "the root filling from end to end"), ImpossibleOrder),
    clipped(row("seal_length", SealQuestion, Once, Root, Millimetre, length(Seal),
        "root filling left apical of the post and inside the root")),
    row("filling_short_of_apex", SealQuestion, Once, Root, Millimetre, length(AlongCanal(The(FillingTip), The(Apex))),
        "how far the filling ends short of the apex; negative beyond it"),
    row("tip_to_filling", SealQuestion, Once, RootWithoutPlannedPost, Millimetre, length(AlongCanal(The(PostTip), The(FillingTop))),
        "gap between post and filling; negative where they overlap"),
    row("crown_to_root", Bone, Once, Root, One, quotient(CrownAboveCrest, FromCrestLine { to: The(Apex), both_points: false }),
        "tooth outside the bone over root inside it"),
    compared(row("root_width", Walls, BySection, Root, Millimetre, length(AcrossSection(0, 3)),
        "width of the root"), Compared::Cervix),
    row("canal_width", Walls, BySection, Root, Millimetre, length(AcrossSection(1, 2)),
        "width of canal or post"),
    row("wall", Walls, BySideAndSection, Root, Millimetre, length(SectionWall),
        "thickness of the wall on the film"),
    row("canal_to_root", Walls, BySection, Root, One, quotient(AcrossSection(1, 2), AcrossSection(0, 3)),
        "width of canal or post over width of the root"),
    row("curvature", Canal, Once, Root, Degree, Definition::Curvature,
        "Schneider's angle between the canal's straight part and the line to its end"),
    row("curvature_radius", Canal, Once, Root, Millimetre, Definition::CurvatureRadius,
        "radius of the curve, for a circular arc that ends at the canal's end"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn no_two_rows_make_the_same_name() {
        let names: HashSet<_> =
            CATALOGUE.iter().map(|row| (row.id, row.repeat as u8, row.applies.is_root())).collect();
        assert_eq!(names.len(), CATALOGUE.len());
    }

    #[test]
    fn the_tooths_rows_come_before_the_roots() {
        let first_root = CATALOGUE.iter().position(|row| row.applies.is_root()).expect("roots have rows");
        assert!(CATALOGUE.iter().skip(first_root).all(|row| row.applies.is_root()));
        assert_eq!(CATALOGUE[first_root].id, "post_length");
    }
}
