//! Links of the worksheet: from what is missing to where it is placed or typed.

use super::super::action::{Action, Target};
use super::super::app::Desk;
use super::super::work::Work;
use super::lacks::target;
use super::progress::Part;
use super::readings_part::{STOP_NAME, reading_name};
use crate::case::{Case, Finding, Landmark, RootName, Site, Why};
use crate::editor::{LandmarkAt, Selection, SiteReading, ToothReading};
use crate::plan::Need;
use eframe::egui::{self, Align, Id};

/// Where a link goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Goes {
    /// Aims at what is to be placed.
    Place(Target),
    /// Begins a section of a root.
    Section(RootName),
    /// Selects a landmark that is hidden or absent, to say otherwise.
    Landmark(LandmarkAt),
    /// Gives the keyboard to a control of a part.
    Control(Part, String),
    /// Opens a part.
    Part(Part),
}

impl Goes {
    /// Where what a plan needs is placed or typed.
    pub(super) fn to(work: &Work, need: &Need) -> Self {
        let case = work.open.case();
        if let Some(lack) = &need.landmark {
            let at = LandmarkAt::of_lack(lack);
            let place = at.filter(|_| lack.why == Why::NotPlaced).and_then(Self::on_film);
            return place.or_else(|| at.map(Self::Landmark)).unwrap_or(Self::Part(Part::Landmarks));
        }
        if let Some(key) = &need.reading {
            return to_reading(case, key);
        }
        let has_scale = matches!(&*work.numbers, Ok(numbers) if numbers.derived.computed.scale.is_some());
        Self::Part(if case.roots.is_empty() {
            Part::Film
        } else if has_scale {
            Part::Landmarks
        } else {
            Part::Scale
        })
    }

    /// Where on the film a landmark is clicked.
    fn on_film(at: LandmarkAt) -> Option<Self> {
        let section = || at.root.filter(|_| at.id.landmark() == Landmark::Sections).map(Self::Section);
        target(at).map(Self::Place).or_else(section)
    }

    /// The reading at a site.
    pub(super) fn to_site(case: &Case, of: SiteReading, site: Site) -> Self {
        Self::Control(Part::Readings, reading_name(case, of, site))
    }

    /// What the link says it does.
    pub(super) const fn verb(&self) -> &'static str {
        match self {
            Self::Place(_) | Self::Section(_) => "place",
            Self::Landmark(_) => "look at",
            Self::Control(..) => "read",
            Self::Part(_) => "go to",
        }
    }

    /// Follows the link; gives the part that is to be opened. What is clicked on the film leaves the sheet where it is.
    pub(super) fn follow(self, context: &egui::Context, desk: &mut Desk<'_>) -> Option<Part> {
        match self {
            Self::Place(target) => {
                desk.ask(Action::Aim(Some(target)));
                if let Target::Landmark(at) = target {
                    desk.ask(Action::Select(Some(Selection::Landmark(at))));
                }
                None
            }
            Self::Section(root) => {
                desk.ask(Action::begin_section(root));
                None
            }
            Self::Landmark(at) => {
                desk.ask(Action::Aim(None));
                desk.ask(Action::Select(Some(Selection::Landmark(at))));
                Some(Part::Landmarks)
            }
            Self::Control(part, name) => {
                context.data_mut(|data| data.insert_temp(wanted(), name));
                Some(part)
            }
            Self::Part(part) => Some(part),
        }
    }
}

/// A reading by its key under `clinical`.
fn to_reading(case: &Case, key: &str) -> Goes {
    let (of, at) = key.split_once('/').unwrap_or((key, ""));
    if of == "first_look" {
        let finding = Finding::ALL.iter().find(|finding| finding.declaration().key == at);
        return finding.map_or(Goes::Part(Part::FirstLook), |finding| {
            Goes::Control(Part::FirstLook, finding.declaration().question.to_owned())
        });
    }
    let site = Site::ALL.into_iter().find(|site| site.word() == at);
    let by_site = SiteReading::ALL.iter().find(|it| it.key() == of).zip(site);
    if let Some((of, site)) = by_site {
        return Goes::to_site(case, *of, site);
    }
    match ToothReading::ALL.iter().find(|it| it.key() == of) {
        Some(of) => Goes::Control(Part::Readings, of.words().to_owned()),
        None if of == "stop_reference_name" => Goes::Control(Part::Readings, STOP_NAME.to_owned()),
        None => Goes::Part(Part::Readings),
    }
}

/// Where it is kept which control a link gives the keyboard to.
fn wanted() -> Id {
    Id::unique("the control a link goes to")
}

/// Gives a control the keyboard if a link goes to it.
pub(super) fn come_to(ui: &egui::Ui, name: &str, control: &egui::Response) {
    let is_meant = ui.data(|data| data.get_temp::<String>(wanted()).is_some_and(|wanted| wanted == name));
    if is_meant {
        ui.data_mut(|data| data.remove::<String>(wanted()));
        control.request_focus();
        control.scroll_to_me(Some(Align::Center));
    }
}
