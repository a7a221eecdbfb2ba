//! What a film can show of each landmark, by the stage of treatment it was taken at. Each landmark has one row in the
//! table below (common practice).

use super::document::Stage;
use super::landmark::Landmark;

/// What a film of some stage can show of a landmark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sight {
    /// It should be placed.
    Asked,
    /// It can be placed where it is there and differs from its neighbours.
    Possible,
    /// Nothing of it is there yet: it can only be planned.
    ToPlan,
    /// It is there, or may be, and this film cannot show it.
    Concealed(&'static str),
    /// It is not there yet.
    NotYet(&'static str),
}

/// Why a landmark is absent, where nobody says otherwise.
pub const NOT_THERE: &str = "not there";

impl Sight {
    /// Why a landmark is hidden, where nobody says otherwise.
    pub const fn why_hidden(self) -> &'static str {
        match self {
            Self::Concealed(why) | Self::NotYet(why) => why,
            Self::Asked | Self::Possible | Self::ToPlan => "not seen on this film",
        }
    }
}

const UNDER_CROWN: Sight = Sight::Concealed("under the crown");
const NO_FILLING_YET: Sight = Sight::NotYet("no root filling yet");

/// What films show of a landmark, in the order of [`Stage::ALL`].
const fn by_stage(landmark: Landmark) -> [Sight; 7] {
    use Sight::{Asked, Possible, ToPlan};
    match landmark {
        Landmark::CrownEdge => [Possible, Possible, ToPlan, ToPlan, ToPlan, Asked, Asked],
        // The stop itself may let the rays through.
        Landmark::StopReference => [Possible, Asked, Possible, Asked, Possible, Possible, Possible],
        Landmark::CoreTop => [ToPlan, ToPlan, ToPlan, ToPlan, Asked, UNDER_CROWN, UNDER_CROWN],
        Landmark::CoreBase => [Possible, Possible, Asked, Asked, Asked, UNDER_CROWN, UNDER_CROWN],
        Landmark::WallTop => [Asked, Asked, Asked, Asked, Asked, UNDER_CROWN, UNDER_CROWN],
        Landmark::PostTip => [ToPlan, ToPlan, ToPlan, ToPlan, Asked, Asked, Asked],
        // A margin may be cut long before a post is there; without it most verdicts wait, and so does the tooth's axis
        // where no junction is placed.
        Landmark::FinishLine | Landmark::Crest | Landmark::Apex => [Asked; 7],
        // A crown of metal covers the head; one that lets the rays through does not.
        Landmark::PostHead => [Possible, ToPlan, ToPlan, ToPlan, Asked, Possible, Possible],
        Landmark::FillingTop | Landmark::FillingTip => {
            [Possible, NO_FILLING_YET, Asked, Asked, Asked, Asked, Asked]
        }
        Landmark::Cej
        | Landmark::BonePeak
        | Landmark::Orifice
        | Landmark::CurveStart
        | Landmark::Furcation
        | Landmark::FurcalCrest
        | Landmark::Canal
        | Landmark::Sections => [Possible; 7],
    }
}

impl Stage {
    /// Whether the crown is there: margin and walls lie under it.
    pub const fn has_crown(self) -> bool {
        matches!(self, Self::Crowned | Self::Recall)
    }

    /// Whether the core is there.
    pub const fn has_core(self) -> bool {
        self.has_crown() || matches!(self, Self::PostCore)
    }

    /// Whether a post can be there, or the space for one.
    pub const fn shows_post(self) -> bool {
        self.has_core() || matches!(self, Self::PostSpace)
    }
}

impl Landmark {
    /// What a film of this stage can show of it. Where no stage is stated, anything may be there.
    pub fn sight(self, stage: Option<Stage>) -> Sight {
        let Some(stage) = stage else {
            return match by_stage(self) {
                [.., Sight::Asked, _, _] | [Sight::Asked, ..] => Sight::Asked,
                _ => Sight::Possible,
            };
        };
        let at = Stage::ALL.iter().position(|(_, other)| *other == stage);
        at.and_then(|at| by_stage(self).get(at).copied()).unwrap_or(Sight::Possible)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn under_a_crown_walls_and_core_are_not_guessed() {
        for stage in [Stage::Crowned, Stage::Recall] {
            for landmark in [Landmark::WallTop, Landmark::CoreBase, Landmark::CoreTop] {
                assert_eq!(landmark.sight(Some(stage)), UNDER_CROWN, "{landmark:?}");
            }
        }
        assert_eq!(Landmark::WallTop.sight(Some(Stage::PostCore)), Sight::Asked);
    }

    #[test]
    fn nothing_is_asked_for_before_it_is_there() {
        assert_eq!(Landmark::FillingTip.sight(Some(Stage::WorkingLength)), NO_FILLING_YET);
        assert_eq!(Landmark::PostTip.sight(Some(Stage::Filled)), Sight::ToPlan);
        assert_eq!(Landmark::PostTip.sight(Some(Stage::PostCore)), Sight::Asked);
    }

    #[test]
    fn without_a_stage_nothing_is_ruled_out() {
        for landmark in Landmark::ALL {
            assert!(matches!(landmark.sight(None), Sight::Asked | Sight::Possible), "{landmark:?}");
        }
        assert_eq!(Landmark::Apex.sight(None), Sight::Asked);
    }
}
