//! States of the window that are looked at as wholes: each with all it can show.

use crate::desk::{Desk, Window, sample};
use crestgauge::case::{Landmark, RootName};
use crestgauge::editor::LandmarkAt;
use crestgauge::report::Audience;
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::Question;
use eframe::egui::accesskit::Role;
use egui_kittest::kittest::{NodeT as _, Queryable as _};

/// Everything in the worksheet that can be opened.
fn open_everything(window: &mut Window) {
    loop {
        let closed = window.harness.query_all_by(|node| {
            node.role() == Role::Button && node.label().is_some_and(|label| label.ends_with(", closed"))
        });
        let Some(heading) = closed.last() else { break };
        heading.click_accesskit();
        window.settle();
    }
    let folds = window.harness.query_all_by(|node| node.role() == Role::DisclosureTriangle);
    let names: Vec<String> = folds.filter_map(|node| node.accesskit_node().label()).collect();
    for name in names {
        let fold = window.harness.get_by_role_and_label(Role::DisclosureTriangle, &name);
        // What is to be added first is open from the start.
        if fold.accesskit_node().data().is_expanded() != Some(true) {
            fold.click_accesskit();
            window.settle();
        }
    }
    let verdicts = window.harness.query_all_by(|node| {
        node.role() == Role::Button && node.label().is_some_and(|label| label.ends_with(", show why"))
    });
    verdicts.for_each(|verdict| verdict.click_accesskit());
    window.settle();
}

fn with(desk: &Desk, command: Command) -> Window {
    let mut window = desk.window(None);
    window.take(Action::Command(command));
    window
}

/// The sample, with every part of the worksheet open.
pub(crate) fn everything_open(desk: &Desk) -> Window {
    let mut window = with(desk, Command::OpenSample);
    window.until_film();
    open_everything(&mut window);
    window
}

fn aiming(desk: &Desk) -> Window {
    let mut case = sample();
    let apex = LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() };
    case.roots[0].landmarks.marks.remove(&apex.id);
    let mut window = desk.window(Some(&desk.write("aimed.case.json", &case)));
    window.until_film();
    window.take(Action::Aim(Some(Target::Landmark(apex))));
    window
}

/// A state by its name, and how the window comes to it.
pub(crate) type State = (&'static str, fn(&Desk) -> Window);

/// Every state.
pub(crate) const STATES: &[State] = &[
    ("nothing open", |desk| desk.window(None)),
    ("settings", |desk| with(desk, Command::Settings)),
    ("shortcuts", |desk| with(desk, Command::Shortcuts)),
    ("about", |desk| with(desk, Command::About)),
    ("open by name", |desk| with(desk, Command::OpenNamed)),
    ("a menu", |desk| {
        let mut window = desk.window(Some(&desk.case_without_film()));
        window.click("View");
        window
    }),
    ("what to practise on", |desk| with(desk, Command::Practise)),
    ("practising", |desk| {
        let mut window = desk.window(None);
        window.practise();
        window
    }),
    ("practice compared", |desk| {
        let mut window = desk.window(None);
        window.practise();
        window.place_some();
        window.take(Action::Command(Command::FinishPlacing));
        window
    }),
    ("learning curves", |desk| {
        let mut window = desk.window(None);
        window.practise();
        window.place_some();
        window.take(Action::Command(Command::FinishPlacing));
        window.take(Action::Command(Command::Curves));
        window
    }),
    ("agreement", |desk| {
        let mut window = desk.window(Some(&desk.case_without_film()));
        window.compare_teeth(desk);
        window
    }),
    ("a film just opened", |desk| {
        let mut window = desk.window(Some(&desk.film()));
        window.until_film();
        window
    }),
    ("aiming, with the tone strip", |desk| {
        let mut window = aiming(desk);
        window.take(Action::Command(Command::ToneStrip));
        window
    }),
    ("something to be told", |desk| {
        let mut window = desk.window(Some(&desk.case_without_film()));
        window.take(Action::Problem("a reason".to_owned()));
        window
    }),
    ("a question", |desk| {
        let mut window = desk.window(Some(&desk.case_without_film()));
        window.label_case("work");
        window.take(Action::Command(Command::Close));
        window
    }),
    ("a report that is waited for", |desk| {
        let mut window = desk.window(Some(&desk.case_without_film()));
        let asked = Question::StillWriting(desk.path("tooth-record.pdf"));
        window.harness.state_mut().session_mut().question = Some(asked);
        window.settle();
        window
    }),
    ("the card for the chair", |desk| {
        let mut window = desk.window(Some(&desk.write("canine.case.json", &crate::planning::canine())));
        window.take(Action::Command(Command::Card));
        window
    }),
    ("the pages of the record", |desk| crate::reports::pages(desk, Audience::Record)),
    ("the patient's page", |desk| crate::reports::pages(desk, Audience::Patient)),
    ("the drawing for the patient", crate::reports::drawing),
    ("the name of a report", |desk| with(desk, Command::OpenSample).asking_report_name()),
    ("everything open", everything_open),
    ("everything open of a plan", |desk| {
        let mut window = desk.window(Some(&desk.write("canine.case.json", &crate::planning::canine())));
        open_everything(&mut window);
        window
    }),
    ("the teeth to choose from", |desk| {
        let mut window = desk.window(Some(&desk.case_without_film()));
        window.open_part("Film and tooth");
        window.press_list("Tooth");
        window
    }),
];
