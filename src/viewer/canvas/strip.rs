//! What comes next, in words, over the film.

use super::snap;
use crate::calibration::Reference;
use crate::case::{Landmark, RootName, Side, Sight};
use crate::editor::{HalfPlaced, LandmarkAt, Placing, Step, hint, next_of};
use crate::viewer::Work;
use crate::viewer::action::{Action, Target};
use crate::viewer::app::Desk;
use crate::viewer::command::Command;
use eframe::egui::{self, FontSelection, RichText, WidgetText};
use std::sync::Arc;

/// Said before the meaning of a landmark that the view was to go to, while nothing placed tells where it may lie.
const NOWHERE_YET: &str = "Too little is placed to go there; the whole film is shown. ";

/// A press of one of the strip's buttons.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Choice {
    Command(Command),
    Place(LandmarkAt),
    Section(RootName),
    Complete,
    GiveUp,
}

/// What the strip says.
struct Said {
    lead: &'static str,
    what: String,
    meaning: String,
    choices: Vec<(&'static str, &'static str, Choice)>,
}

/// Where the strip is narrower than this, words and buttons stand in lines of their own.
const ALL_IN_ONE: f32 = 520.0;

/// Draws the strip: two lines, however long the words are, because the film must not move under whoever clicks.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>) {
    let session = desk.session;
    let Some(work) = &session.work else { return };
    let said = said(work);
    egui::Panel::top("next landmark").show(ui, |ui| {
        let is_narrow = ui.available_width() < ALL_IN_ONE;
        ui.horizontal(|ui| {
            if is_narrow {
                in_one_line(ui, RichText::new(format!("{} {}", said.lead, said.what).trim_end()).strong());
            } else {
                ui.label(said.lead);
                ui.label(RichText::new(&said.what).strong());
                choices(ui, desk, work, &said);
            }
        });
        ui.horizontal(|ui| {
            if is_narrow {
                choices(ui, desk, work, &said);
                in_one_line(ui, RichText::new(&said.meaning).small());
                return;
            }
            let bare = if work.is_bare {
                format!("{} (on): menu {}", Command::Bare.title(), Command::Bare.menu().title())
            } else {
                let keys = Command::Bare.shortcuts().first();
                let key = keys.map_or("", |keys| keys.logical_key.name());
                format!("hold {key} for the bare film")
            };
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.label(RichText::new(bare).small());
                ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                    in_one_line(ui, RichText::new(&said.meaning).small());
                });
            });
        });
    });
}

fn choices(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, said: &Said) {
    for (title, hint, choice) in &said.choices {
        let button = ui.button(*title);
        let button = if hint.is_empty() { button } else { button.on_hover_text(*hint) };
        if button.clicked() {
            desk.ask(match choice {
                Choice::Command(command) => Action::Command(*command),
                Choice::Place(at) => Action::Aim(Some(Target::Landmark(*at))),
                Choice::Section(root) => Action::begin_section(*root),
                Choice::Complete if matches!(work.aim, Some(Target::HalfPlaced)) => Action::CompletePlacing,
                Choice::Complete => {
                    let next = next_of(work.open.case(), None, Sight::Asked);
                    Action::Aim(next.map(Target::Landmark))
                }
                Choice::GiveUp => Action::Command(Command::Cancel),
            });
        }
    }
}

/// What is too long for one line ends at a whole word, and all of it is told on pointing at it.
fn in_one_line(ui: &mut egui::Ui, words: RichText) {
    let job =
        WidgetText::from(words).into_layout_job(ui.style(), FontSelection::Default, egui::Align::Center);
    let mut job = Arc::unwrap_or_clone(job);
    job.wrap.max_width = ui.available_width();
    job.wrap.max_rows = 1;
    let galley = ui.painter().layout_job(job);
    ui.add(egui::Label::new(galley));
}

/// The same in one sentence, for those who hear it.
pub(super) fn words(work: &Work) -> String {
    let Said { lead, what, meaning, .. } = said(work);
    format!("{} {meaning}", format!("{lead} {what}.").replace(" .", ""))
}

fn said(work: &Work) -> Said {
    let case = work.open.case();
    match work.aim {
        Some(Target::Landmark(at)) => {
            let landmark = at.id.landmark();
            let placed = at.mark(case).and_then(crate::case::Mark::point).is_some();
            let lead = match landmark.sight(case.film.stage) {
                _ if work.again == Some(at) => "Place again:",
                _ if placed => "Placed, and moved by a click:",
                Sight::ToPlan => "Plan:",
                _ => "Place:",
            };
            // The view goes to what is aimed at, and there is nowhere to go yet.
            let is_lost = work.went_to == work.aim && hint(case, at).is_none();
            let lost = if is_lost { NOWHERE_YET } else { "" };
            Said {
                lead,
                what: at.words(),
                meaning: format!("{lost}{}", landmark.declaration().meaning),
                choices: vec![
                    ("Hidden", Command::Hide.hint(), Choice::Command(Command::Hide)),
                    ("Absent", Command::Absent.hint(), Choice::Command(Command::Absent)),
                    ("Skip", Command::Next.hint(), Choice::Command(Command::Next)),
                ],
            }
        }
        Some(Target::CanalPoint(root)) => {
            let count = case.roots.iter().find(|it| it.name == root).map_or(0, |it| it.canal.len());
            Said {
                lead: "Next:",
                what: format!("canal, point {}", count + 1),
                meaning: format!(
                    "{}; 1.5 mm apart or more; double-click or Enter ends it",
                    Landmark::Canal.declaration().meaning
                ),
                choices: vec![("Done", "the canal is whole", Choice::Complete)],
            }
        }
        Some(Target::Ruler) => {
            let end = work.ruler.as_ref().map_or(0, crate::viewer::ruler::Ruler::next);
            Said {
                lead: "Scratch ruler:",
                what: format!("place its {} end", if end == 0 { "first" } else { "other" }),
                meaning: "It measures between any two places, belongs to no case and is never saved."
                    .to_owned(),
                choices: vec![("Put it away", Command::Ruler.hint(), Choice::Command(Command::Ruler))],
            }
        }
        Some(Target::HalfPlaced) => work.open.half_placed().map_or_else(|| nothing(work), of_half),
        None => nothing(work),
    }
}

/// What comes next where nothing is aimed at: the same as the worksheet says.
fn nothing(work: &Work) -> Said {
    let case = work.open.case();
    let next = |title| vec![(title, Command::Next.hint(), Choice::Command(Command::Next))];
    let (lead, what, choices) = match work.next_step() {
        Some(Step::Place(at)) => ("Still to place:", at.words(), next("Place it")),
        Some(step @ Step::Settle(at)) => {
            ("Next:", step.words(case), vec![("Place it", "", Choice::Place(at))])
        }
        Some(step @ Step::AddSection(root)) => {
            ("Next:", step.words(case), vec![("Begin", "", Choice::Section(root))])
        }
        Some(step) => {
            // A landmark can be placed at any time.
            let is_asked = next_of(case, None, Sight::Asked).is_some();
            let choices = if is_asked { next("Place a landmark") } else { Vec::new() };
            ("Next, in the worksheet:", step.words(case), choices)
        }
        // Nothing is planned on a film that is placed for practice.
        None => next_of(case, None, Sight::ToPlan).filter(|_| !work.hides_results()).map_or_else(
            || ("Every landmark this film is asked for has been dealt with.", String::new(), Vec::new()),
            |at| ("What the film shows is dealt with. To be planned:", at.words(), next("Plan it")),
        ),
    };
    let meaning =
        "Click a point to select it, drag it to move it; drag the film to move the film.".to_owned();
    Said { lead, what, meaning, choices }
}

fn of_half(half: &HalfPlaced) -> Said {
    // The last point is still on its way while its click is held.
    let number = half.points().len() + usize::from(!half.takes_no_more());
    let mut choices = Vec::new();
    if snap::waits_for_its_end(half) {
        choices.push(("Done", "it has all its points", Choice::Complete));
    }
    choices.push(("Cancel", "drops the points clicked so far", Choice::GiveUp));
    let what = match half.what() {
        Placing::Reference(reference) => reference.kind().to_owned(),
        Placing::Section { root, .. } => format!("section of the {}", root_words(*root)),
    };
    Said {
        lead: "Next:",
        what: format!("point {number} of the {what}"),
        meaning: point_meant(half.what(), number),
        choices,
    }
}

/// A root by its name, where a tooth has others.
fn root_words(root: RootName) -> String {
    if root == RootName::Single { "root".to_owned() } else { format!("{} root", root.word()) }
}

/// What the next point of something half-placed is.
fn point_meant(what: &Placing, number: usize) -> String {
    match what {
        Placing::Reference(reference) => match (reference.as_ref(), number) {
            (Reference::Instrument(_), 1) => {
                "the coronal end of its known length: the stop or the handle".to_owned()
            }
            (Reference::Instrument(_), 2) => {
                "its apical end; along a curved one click as many points as it bends".to_owned()
            }
            (Reference::Instrument(_), _) => "further along it; double-click or Enter ends it".to_owned(),
            (Reference::Width(_), 1) => "one edge".to_owned(),
            (Reference::Width(_), _) => "the other edge, square across".to_owned(),
            (Reference::Sphere(_), ..=3) => "anywhere on its rim, well apart".to_owned(),
            (Reference::Sphere(_), _) => {
                "more of its rim makes it surer; double-click or Enter ends it".to_owned()
            }
            (Reference::Receptor(_) | Reference::Scan(_), _) => String::new(),
        },
        Placing::Section { root, .. } => {
            let root = root_words(*root);
            let outer = format!("outer wall of the {root}");
            let inner = format!("wall of canal or post of the {root}");
            let (place, side) = match number {
                1 => (outer, Side::Mesial),
                2 => (inner, Side::Mesial),
                3 => (inner, Side::Distal),
                _ => (outer, Side::Distal),
            };
            let line = if number > 1 {
                "; it falls onto the line square to the canal, unless Shift or Alt is held"
            } else {
                ""
            };
            format!("{place}, {}{line}", side.word())
        }
    }
}
