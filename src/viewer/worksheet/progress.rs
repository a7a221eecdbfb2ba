//! How far the job has come: each part done, to do, or to be looked at, and what comes next. No drawing.

use super::super::shown_film::FilmState;
use super::super::work::Work;
use super::known::sight_of;
use super::lacks::landmark_of;
use super::plan_progress;
use crate::case::{Case, Fdi, RootName, Shape, Sight, Site, State, Strength, Verdict, Why};
use crate::editor::{LandmarkAt, Numbers, SiteReading, asks_for_post_root, landmarks, next_to_place};
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

/// What comes next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step {
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
    /// The part it is done in.
    pub(super) const fn part(self) -> Part {
        match self {
            Self::NameTooth | Self::SayStage | Self::SayTechnique | Self::AddRoot | Self::SayPostRoot => {
                Part::Film
            }
            Self::GiveScale => Part::Scale,
            Self::Place(_) | Self::AddSection(_) | Self::Settle(_) => Part::Landmarks,
            Self::Read => Part::Readings,
        }
    }

    /// In words.
    pub(super) fn words(self, case: &Case) -> String {
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

/// The next thing to be done; `None` once everything asked for is there.
pub(super) fn next_step(work: &Work) -> Option<Step> {
    let case = work.open.case();
    let has_scale = matches!(&*work.numbers, Ok(numbers) if numbers.derived.computed.scale.is_some());
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
    } else if unread(case) > 0 {
        Some(Step::Read)
    } else {
        waited_for(work).map(Step::Settle)
    }
}

/// The first landmark that is not placed and that a requirement on what is there cannot be judged without. What is to be
/// planned is a decision, and nobody is sent to it.
fn waited_for(work: &Work) -> Option<LandmarkAt> {
    let case = work.open.case();
    let derived = &work.numbers.as_ref().as_ref().ok()?.derived;
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
    lacks.filter_map(landmark_of).find(is_clicked)
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

/// The readings that no film can give and that are missing.
fn all_unread(case: &Case) -> impl Iterator<Item = (SiteReading, Site)> {
    [SiteReading::Ferrule, SiteReading::Wall].into_iter().flat_map(move |of| {
        let missing = of.sites().iter().filter(move |site| !of.value(case).readings.contains_key(site));
        missing.map(move |site| (of, *site))
    })
}

/// How many they are.
fn unread(case: &Case) -> usize {
    all_unread(case).count()
}

/// The first of them.
pub(super) fn first_unread(case: &Case) -> Option<(SiteReading, Site)> {
    all_unread(case).next()
}

fn read(case: &Case) -> Progress {
    match unread(case) {
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
    use crate::case::{Landmark, Site, Stage, Technique, read_text};
    use crate::editor::{Edit, Engine, ListChange, OpenCase};
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
        assert_eq!(next_step(&work), Some(Step::NameTooth));
        apply(&mut work, Edit::Fdi(Fdi::parse("21").ok()));
        assert_eq!(next_step(&work), Some(Step::SayStage));
        apply(&mut work, Edit::Stage(Some(Stage::PostCore)));
        assert_eq!(next_step(&work), Some(Step::SayTechnique));
        apply(&mut work, Edit::Technique(Some(Technique::Paralleling)));
        assert_eq!(next_step(&work), Some(Step::AddRoot));
        assert_eq!(standing(&work, Part::Film), Standing::ToDo);
        apply(&mut work, Edit::Roots(ListChange::Whole(vec![bare_root(crate::case::RootName::Single)])));
        assert_eq!(standing(&work, Part::Film), Standing::Done);
        assert_eq!(next_step(&work), Some(Step::GiveScale));
        apply(&mut work, Edit::References(ListChange::Whole(sample.calibration.references.clone())));
        assert_eq!(standing(&work, Part::Scale), Standing::Done);
        let Some(Step::Place(first)) = next_step(&work) else { panic!("{:?}", next_step(&work)) };
        assert_eq!(first.id, Landmark::CoreTop.id());
        let mut placed = 0;
        while let Some(Step::Place(at)) = next_step(&work) {
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
        assert_eq!(next_step(&work), Some(Step::AddSection(root)));
        let sections = sample.roots[0].sections.clone();
        assert!(!sections.is_empty());
        apply(&mut work, Edit::Sections { root, change: ListChange::Whole(sections) });
        assert_eq!(next_step(&work), Some(Step::Read));
        assert!(Step::Read.words(work.open.case()).ends_with("palatal"));
        for of in [SiteReading::Ferrule, SiteReading::Wall] {
            for site in Site::PROBED {
                assert_eq!(standing(&work, Part::Readings), Standing::ToDo);
                let reading = of.value(&sample).readings.get(&site).cloned();
                apply(&mut work, Edit::SiteReading { of, site, reading });
            }
        }
        assert_eq!((next_step(&work), standing(&work, Part::Readings)), (None, Standing::Done));
    }

    #[test]
    fn of_several_roots_it_is_asked_which_one_the_post_is_in() {
        let roots = r#"[{"name": "mesial"}, {"name": "distal"}]"#;
        let text = format!(
            r#"{{"format": "crestgauge.case", "version": 1, "tooth": {{"fdi": "36"}}, "roots": {roots},
                "film": {{"stage": "crowned", "technique": "paralleling"}}}}"#
        );
        let mut work = work(read_text(&text).unwrap().case);
        assert_eq!(next_step(&work), Some(Step::SayPostRoot));
        assert_eq!(progress(&work, None)[0].words(), "to do: which root the post is in");
        apply(&mut work, Edit::no_post([RootName::Mesial, RootName::Distal]));
        assert_eq!((next_step(&work), standing(&work, Part::Film)), (Some(Step::GiveScale), Standing::Done));
        work.undo();
        work.refresh();
        apply(&mut work, Edit::PostHere { root: RootName::Distal, post_here: Some(true) });
        assert_eq!((next_step(&work), standing(&work, Part::Film)), (Some(Step::GiveScale), Standing::Done));
    }

    #[test]
    fn a_requirement_that_waits_for_a_landmark_leads_to_it() {
        let mut work = work(crate::case::film_102());
        assert_eq!(next_step(&work), None);
        // Before treatment nobody asks for the core's base; where the rest is there, the post's length waits for it.
        apply(&mut work, Edit::Stage(Some(Stage::Assessment)));
        let base = LandmarkAt { root: None, id: Landmark::CoreBase.id() };
        apply(&mut work, Edit::Mark { at: base, mark: None });
        assert_eq!(next_step(&work), Some(Step::Settle(base)));
        let words = Step::Settle(base).words(work.open.case());
        assert_eq!(words, "place core base: a requirement waits for it (P where it is only planned)");
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
