//! What comes next in a case, from the tooth's name to what a verdict waits for.

use super::asked::{asks_for_post_root, next_to_place, sight_of};
use super::edit::SiteReading;
use super::whereabouts::LandmarkAt;
use crate::case::{Case, Derived, Fdi, RootName, Shape, Sight, Site, Stage, Strength, Verdict, Why};

/// What comes next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Saying which tooth it is.
    NameTooth,
    /// Saying when in the treatment the film was taken.
    SayStage,
    /// Saying how it was aimed.
    SayTechnique,
    /// Saying which root the post is in.
    SayPostRoot,
    /// Giving a scale.
    GiveScale,
    /// Listing a root.
    AddRoot,
    /// Placing a landmark.
    Place(LandmarkAt),
    /// Clicking the widths across the root the post is in: without them nothing is known of its walls.
    AddSection(RootName),
    /// Reading at the chair what no film shows.
    Read,
    /// Placing what a requirement that nobody can judge yet lacks.
    Settle(LandmarkAt),
}

impl Step {
    /// In words.
    pub fn words(self, case: &Case) -> String {
        match self {
            Self::NameTooth => "name the tooth".to_owned(),
            Self::SayStage => "say at which stage the film was taken".to_owned(),
            Self::SayTechnique => "say how the film was aimed".to_owned(),
            Self::GiveScale => "give the film a scale".to_owned(),
            Self::AddRoot => "list the tooth's roots".to_owned(),
            Self::SayPostRoot => "say which root the post is in".to_owned(),
            Self::Place(at) => format!("place {} on the film", at.words()),
            Self::Settle(at) => {
                format!("place {}: a requirement waits for it (P where it is only planned)", at.words())
            }
            Self::AddSection(_) => "click the root's widths, for its walls".to_owned(),
            Self::Read => {
                let upper = case.tooth.fdi.is_some_and(Fdi::is_upper);
                let inner = if upper { "palatal" } else { "lingual" };
                format!("probe what no film shows: buccal and {inner}")
            }
        }
    }
}

/// The next thing to be done; `None` once everything that the film and the probe are asked for is there. Where nothing
/// can be computed there is no scale either.
pub fn next_step(case: &Case, derived: Option<&Derived>) -> Option<Step> {
    let has_scale = derived.is_some_and(|derived| derived.computed.scale.is_some());
    let asked = || next_to_place(case, None).filter(|at| sight_of(case, *at) == Sight::Asked);
    if case.tooth.fdi.is_none() {
        Some(Step::NameTooth)
    } else if case.film.stage.is_none() {
        Some(Step::SayStage)
    } else if case.film.technique.is_none() {
        Some(Step::SayTechnique)
    } else if case.roots.is_empty() {
        Some(Step::AddRoot)
    } else if asks_for_post_root(case) {
        Some(Step::SayPostRoot)
    } else if case.calibration.references.is_empty() {
        Some(Step::GiveScale)
    } else if let Some(at) = asked() {
        Some(Step::Place(at))
    } else if !has_scale {
        Some(Step::GiveScale)
    } else if let Some(root) = without_section(case) {
        Some(Step::AddSection(root))
    } else if unread(case).next().is_some() {
        Some(Step::Read)
    } else {
        waited_for(case, derived?).map(Step::Settle)
    }
}

/// The first landmark that is not placed and that a requirement on what is there cannot be judged without. What is to be
/// planned is a decision, and nobody is sent to it.
fn waited_for(case: &Case, derived: &Derived) -> Option<LandmarkAt> {
    let undecided = derived
        .verdicts
        .iter()
        .filter(|row| row.strength == Strength::Requirement && row.verdict == Some(Verdict::Undecided));
    let lacks = undecided
        .flat_map(|row| &row.about)
        .filter_map(|of| derived.measurements.iter().find(|row| row.of == *of))
        .flat_map(|row| &row.lacks)
        .filter(|lack| lack.why == Why::NotPlaced);
    let is_clicked = |at: &LandmarkAt| {
        at.id.landmark().declaration().shape == Shape::Point && sight_of(case, *at) != Sight::ToPlan
    };
    lacks.filter_map(LandmarkAt::of_lack).find(is_clicked)
}

/// The root the post is in, or the only one, where no widths across it were clicked.
fn without_section(case: &Case) -> Option<RootName> {
    let of_post = case.roots.iter().find(|root| root.post_here == Some(true));
    let only = || match case.roots.as_slice() {
        [only] => Some(only),
        _ => None,
    };
    of_post.or_else(only).filter(|root| root.sections.is_empty()).map(|root| root.name)
}

/// The readings that no film can give and that are missing, in the order they are asked in. Under a crown nobody probes.
pub fn unread(case: &Case) -> impl Iterator<Item = (SiteReading, Site)> {
    let is_covered = case.film.stage.is_some_and(Stage::has_crown);
    let asked = [SiteReading::Ferrule, SiteReading::Wall].into_iter().filter(move |_| !is_covered);
    asked.flat_map(move |of| {
        let missing = of.sites().iter().filter(move |site| !of.value(case).readings.contains_key(site));
        missing.map(move |site| (of, *site))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Landmark;
    use crate::editor::Engine;

    #[test]
    fn a_requirement_that_waits_for_a_landmark_leads_to_it() {
        let engine = Engine::embedded().unwrap();
        let next = |case: &Case| next_step(case, Some(&engine.numbers(case, &[]).unwrap().derived));
        let mut case = crate::case::film_102();
        assert_eq!(next(&case), None);
        // Before treatment nobody asks for the core's base; where the rest is there, the post's length waits for it.
        case.film.stage = Some(Stage::Assessment);
        let base = LandmarkAt { root: None, id: Landmark::CoreBase.id() };
        case.landmarks.marks.remove(&base.id);
        assert_eq!(next(&case), Some(Step::Settle(base)));
        let words = Step::Settle(base).words(&case);
        assert_eq!(words, "place core base: a requirement waits for it (P where it is only planned)");
    }
}
