//! How far the job has come: each part done, to do, or to be looked at. No drawing.

use super::super::shown_film::FilmState;
use super::super::work::Work;
use super::plan_progress;
use crate::case::{Case, Sight, State, Strength};
use crate::editor::{Numbers, Step, asks_for_post_root, landmarks, unread};
use crate::report::Tally;
use crate::wording::list;

/// A part of the worksheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Part {
    /// What is on the film.
    Film,
    /// How many millimetres a pixel is.
    Scale,
    /// What is placed on the film.
    Landmarks,
    /// What is read at the chair.
    Readings,
    /// What is looked at before any number.
    FirstLook,
    /// What came of it.
    Results,
    /// How deep a post, by which drill.
    Plan,
    /// What more ferrule would take.
    Recovery,
    /// What is handed on.
    Report,
}

impl Part {
    /// Every part, in the order of the job.
    pub(super) const ALL: [Self; 9] = [
        Self::Film,
        Self::Scale,
        Self::Landmarks,
        Self::Readings,
        Self::FirstLook,
        Self::Results,
        Self::Plan,
        Self::Recovery,
        Self::Report,
    ];

    /// Whether it is of what is placed, rather than of what comes of it or is read elsewhere.
    pub(super) const fn is_placed(self) -> bool {
        matches!(self, Self::Film | Self::Scale | Self::Landmarks)
    }

    /// The part in which a step is done.
    pub(super) const fn of_step(step: Step) -> Self {
        match step {
            Step::NameTooth | Step::SayStage | Step::SayTechnique | Step::AddRoot | Step::SayPostRoot => {
                Self::Film
            }
            Step::GiveScale => Self::Scale,
            Step::Place(_) | Step::AddSection(_) | Step::Settle(_) => Self::Landmarks,
            Step::Read => Self::Readings,
        }
    }

    /// Its title.
    pub(super) const fn title(self) -> &'static str {
        match self {
            Self::Film => "Film and tooth",
            Self::Scale => "Scale",
            Self::Landmarks => "Landmarks",
            Self::Readings => "Readings at the chair",
            Self::FirstLook => "First look",
            Self::Results => "Measurements and verdicts",
            Self::Plan => "Post depth and drill",
            Self::Recovery => "Ferrule recovery",
            Self::Report => "Report",
        }
    }
}

/// How a part stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Standing {
    /// Nothing is asked for any more.
    Done,
    /// Something is asked for.
    ToDo,
    /// Something in it deserves a look.
    LookHere,
}

impl Standing {
    /// The word for it.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::ToDo => "to do",
            Self::LookHere => "look here",
        }
    }
}

/// How a part stands, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Progress {
    pub(super) standing: Standing,
    /// What is to be done or looked at; empty where nothing is.
    pub(super) what: String,
}

impl Progress {
    pub(super) fn done() -> Self {
        Self { standing: Standing::Done, what: String::new() }
    }

    pub(super) fn to_do(what: impl Into<String>) -> Self {
        Self { standing: Standing::ToDo, what: what.into() }
    }

    pub(super) fn look(what: impl Into<String>) -> Self {
        Self { standing: Standing::LookHere, what: what.into() }
    }

    /// In words: "to do: tooth and stage".
    pub(super) fn words(&self) -> String {
        if self.what.is_empty() {
            self.standing.word().to_owned()
        } else {
            format!("{}: {}", self.standing.word(), self.what)
        }
    }
}

/// How every part stands, in the order of [`Part::ALL`].
pub(super) fn progress(work: &Work, requirements: Option<&Tally>) -> [Progress; 9] {
    let numbers = work.numbers.as_ref().as_ref();
    let case = work.open.case();
    let [look, post, recovery] = plan_progress::progress(work);
    [
        film(case, &work.film, numbers.ok()),
        scale(case, numbers.ok()),
        placed(case),
        read(case),
        look,
        judged(numbers.is_ok(), requirements),
        post,
        recovery,
        report(work),
    ]
}

fn has_caution_about(numbers: &Numbers, start: &str) -> bool {
    numbers.derived.cautions.iter().any(|caution| caution.about.iter().any(|about| about.starts_with(start)))
}

fn film(case: &Case, film: &FilmState, numbers: Option<&Numbers>) -> Progress {
    let missing: Vec<String> = [
        (case.tooth.fdi.is_none(), "tooth"),
        (case.film.stage.is_none(), "stage"),
        (case.film.technique.is_none(), "technique"),
        (case.roots.is_empty(), "roots"),
        (asks_for_post_root(case), "which root the post is in"),
    ]
    .into_iter()
    .filter(|(missing, _)| *missing)
    .map(|(_, what)| what.to_owned())
    .collect();
    if matches!(film, FilmState::Failed(_)) || numbers.is_some_and(|it| has_caution_about(it, "film/")) {
        Progress::look("the film")
    } else if missing.is_empty() {
        Progress::done()
    } else {
        Progress::to_do(list(&missing))
    }
}

fn scale(case: &Case, numbers: Option<&Numbers>) -> Progress {
    match numbers {
        None => Progress::look("an object the library lacks"),
        Some(numbers) if has_caution_about(numbers, "calibration") => Progress::look("a caution is about it"),
        Some(numbers) if numbers.derived.computed.scale.is_some() => Progress::done(),
        Some(_) if case.calibration.references.is_empty() => Progress::to_do("nothing of known size yet"),
        Some(_) => Progress::to_do("no axial direction yet"),
    }
}

fn placed(case: &Case) -> Progress {
    let open = landmarks(case)
        .iter()
        .filter(|(at, sight)| *sight == Sight::Asked && at.mark(case).is_none())
        .count();
    match (open, case.roots.is_empty()) {
        (0, false) => Progress::done(),
        (0, true) => Progress::to_do("the roots are not listed"),
        (open, _) => Progress::to_do(format!("{open} to place")),
    }
}

fn read(case: &Case) -> Progress {
    match unread(case).count() {
        0 => Progress::done(),
        1 => Progress::to_do("1 site to probe"),
        unread => Progress::to_do(format!("{unread} sites to probe")),
    }
}

fn judged(computed: bool, requirements: Option<&Tally>) -> Progress {
    match requirements {
        _ if !computed => Progress::to_do("nothing can be computed yet"),
        None | Some(Tally { nothing_yet: true, .. }) => Progress::to_do("nothing to judge yet"),
        Some(Tally { short: 0, open: 0, .. }) => Progress::done(),
        Some(Tally { short: 0, open, .. }) => Progress::to_do(format!("{open} undecided")),
        Some(Tally { short: 1, .. }) => Progress::look("1 falls short"),
        Some(Tally { short, .. }) => Progress::look(format!("{short} fall short")),
    }
}

fn report(work: &Work) -> Progress {
    match work.reported {
        _ if work.numbers.as_ref().is_err() => Progress::to_do("nothing can be computed yet"),
        None => Progress::to_do("not written"),
        Some(revision) if revision == work.open.revision() => Progress::done(),
        Some(_) => Progress::to_do("the case changed since"),
    }
}

/// The tally of requirements on what is there.
pub(super) fn requirements(tallies: &[(State, Vec<Tally>)]) -> Option<&Tally> {
    tallies
        .iter()
        .filter(|(state, _)| *state == State::Present)
        .flat_map(|(_, tallies)| tallies)
        .find(|tally| tally.strength == Strength::Requirement)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Fdi, Landmark, RootName, Site, Stage, Technique, read_text};
    use crate::editor::{Edit, Engine, ListChange, OpenCase, SiteReading};
    use crate::viewer::worksheet::film_part::bare_root;
    use std::path::PathBuf;
    use std::sync::Arc;

    fn work(case: Case) -> Work {
        let engine = Arc::new(Engine::embedded().unwrap());
        Work::new(OpenCase::unfiled(case, PathBuf::new(), engine, None))
    }

    fn empty() -> Work {
        work(read_text(r#"{"format": "crestgauge.case", "version": 1}"#).unwrap().case)
    }

    fn apply(work: &mut Work, edit: Edit) {
        work.open.apply(edit).unwrap();
        work.refresh();
    }

    fn standing(work: &Work, part: Part) -> Standing {
        let at = Part::ALL.iter().position(|it| *it == part).unwrap();
        progress(work, None)[at].standing
    }

    #[test]
    fn an_empty_case_is_led_from_step_to_step() {
        let mut work = empty();
        let sample = crate::case::film_102();
        assert_eq!(work.next_step(), Some(Step::NameTooth));
        apply(&mut work, Edit::Fdi(Fdi::parse("21").ok()));
        assert_eq!(work.next_step(), Some(Step::SayStage));
        apply(&mut work, Edit::Stage(Some(Stage::PostCore)));
        assert_eq!(work.next_step(), Some(Step::SayTechnique));
        apply(&mut work, Edit::Technique(Some(Technique::Paralleling)));
        assert_eq!(work.next_step(), Some(Step::AddRoot));
        assert_eq!(standing(&work, Part::Film), Standing::ToDo);
        apply(&mut work, Edit::Roots(ListChange::Whole(vec![bare_root(crate::case::RootName::Single)])));
        assert_eq!(standing(&work, Part::Film), Standing::Done);
        assert_eq!(work.next_step(), Some(Step::GiveScale));
        apply(&mut work, Edit::References(ListChange::Whole(sample.calibration.references.clone())));
        assert_eq!(standing(&work, Part::Scale), Standing::Done);
        let Some(Step::Place(first)) = work.next_step() else { panic!("{:?}", work.next_step()) };
        assert_eq!(first.id, Landmark::CoreTop.id());
        let mut placed = 0;
        while let Some(Step::Place(at)) = work.next_step() {
            placed += 1;
            let words = progress(&work, None)[2].words();
            assert!(words.starts_with("to do: ") && words.ends_with(" to place"), "{words}");
            let mark = at.mark(&sample).cloned();
            assert!(mark.is_some(), "the sample lacks {}", at.words());
            apply(&mut work, Edit::Mark { at, mark });
        }
        assert!(placed > 10);
        assert_eq!(standing(&work, Part::Landmarks), Standing::Done);
        let root = crate::case::RootName::Single;
        assert_eq!(work.next_step(), Some(Step::AddSection(root)));
        let sections = sample.roots[0].sections.clone();
        assert!(!sections.is_empty());
        apply(&mut work, Edit::Sections { root, change: ListChange::Whole(sections) });
        assert_eq!(work.next_step(), Some(Step::Read));
        assert!(Step::Read.words(work.open.case()).ends_with("palatal"));
        for of in [SiteReading::Ferrule, SiteReading::Wall] {
            for site in Site::PROBED {
                assert_eq!(standing(&work, Part::Readings), Standing::ToDo);
                let reading = of.value(&sample).readings.get(&site).cloned();
                apply(&mut work, Edit::SiteReading { of, site, reading });
            }
        }
        assert_eq!((work.next_step(), standing(&work, Part::Readings)), (None, Standing::Done));
    }

    #[test]
    fn of_several_roots_it_is_asked_which_one_the_post_is_in() {
        let roots = r#"[{"name": "mesial"}, {"name": "distal"}]"#;
        let text = format!(
            r#"{{"format": "crestgauge.case", "version": 1, "tooth": {{"fdi": "36"}}, "roots": {roots},
                "film": {{"stage": "crowned", "technique": "paralleling"}}}}"#
        );
        let mut work = work(read_text(&text).unwrap().case);
        assert_eq!(work.next_step(), Some(Step::SayPostRoot));
        assert_eq!(progress(&work, None)[0].words(), "to do: which root the post is in");
        apply(&mut work, Edit::no_post([RootName::Mesial, RootName::Distal]));
        assert_eq!((work.next_step(), standing(&work, Part::Film)), (Some(Step::GiveScale), Standing::Done));
        work.undo();
        work.refresh();
        apply(&mut work, Edit::PostHere { root: RootName::Distal, post_here: Some(true) });
        assert_eq!((work.next_step(), standing(&work, Part::Film)), (Some(Step::GiveScale), Standing::Done));
    }

    #[test]
    fn a_film_that_cannot_be_shown_and_a_doubtful_scale_ask_for_a_look() {
        let mut work = work(crate::case::film_102());
        assert_eq!(standing(&work, Part::Film), Standing::Done);
        work.film = FilmState::Failed("no such file".to_owned());
        assert_eq!(standing(&work, Part::Film), Standing::LookHere);
        let scan = crate::calibration::Reference::Scan(crate::calibration::Scan {
            dpi: 72.0,
            magnification: None,
            magnification_sd: None,
            extra: crate::calibration::Extra::new(),
        });
        apply(&mut work, Edit::References(ListChange::Whole(vec![scan])));
        assert_eq!(standing(&work, Part::Scale), Standing::LookHere);
    }

    #[test]
    fn what_falls_short_asks_for_a_look_and_what_is_undecided_is_to_do() {
        let tally = |short, open| Tally {
            strength: Strength::Requirement,
            meet: 3,
            short,
            open,
            short_of: Vec::new(),
            open_of: Vec::new(),
            nothing_yet: false,
        };
        let words = |short, open| judged(true, Some(&tally(short, open))).words();
        assert_eq!(words(0, 0), "done");
        assert_eq!(words(0, 4), "to do: 4 undecided");
        assert_eq!(words(1, 4), "look here: 1 falls short");
        assert_eq!(words(2, 0), "look here: 2 fall short");
        assert_eq!(judged(false, None).standing, Standing::ToDo);
    }
}
