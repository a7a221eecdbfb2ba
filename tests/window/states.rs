//! States of the window that are looked at as wholes: each with all it can show.

use crate::desk::{Desk, Window, sample};
use crestgauge::case::{Case, Landmark, Mark, Point, RootName, Side, State as Stands, read_text};
use crestgauge::editor::{LandmarkAt, PointAt};
use crestgauge::geometry::Position;
use crestgauge::report::Audience;
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::Command;
use crestgauge::viewer::question::Question;
use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Modifiers, PointerButton, Pos2};
use egui_kittest::kittest::{AccessKitNode, NodeT as _, Queryable as _};

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

fn menu(desk: &Desk, title: &str) -> Window {
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.click(title);
    window
}

fn asked(desk: &Desk, question: Question) -> Window {
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.harness.state_mut().session_mut().question = Some(question);
    window.settle();
    window
}

/// Leaves work on `tooth.case.json` that no file holds.
fn leave_unsaved(desk: &Desk) {
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.label_case("work");
    window.until_put_by();
}

/// Two films of one name in two folders, opened one after the other.
fn two_of_one_name(desk: &Desk) -> Window {
    for folder in ["upper", "lower"] {
        std::fs::create_dir(desk.path(folder)).unwrap();
        let film = desk.path(folder).join("film.png");
        std::fs::copy(desk.film(), &film).unwrap();
        desk.window(Some(&film)).until_film();
    }
    desk.window(None)
}

fn with_results(desk: &Desk) -> Window {
    let mut window = desk.window(Some(&desk.write("tooth.case.json", &sample())));
    window.until_film();
    window.open_part("Measurements");
    window
}

fn is_root_length(node: &AccessKitNode<'_>) -> bool {
    node.role() == Role::ListItem && node.label().is_some_and(|label| label.starts_with("root length "))
}

fn press_secondary(window: &mut Window, at: Pos2) {
    window.harness.hover_at(at);
    window.settle();
    for pressed in [true, false] {
        let (button, modifiers) = (PointerButton::Secondary, Modifiers::NONE);
        window.harness.event(Event::PointerButton { pos: at, button, pressed, modifiers });
        window.harness.step();
    }
    window.settle();
}

/// A tooth of three roots, each with its canal and sections.
pub(crate) fn molar() -> Case {
    read_text(include_str!("../data/check-cases/2-005.case.json")).unwrap().case
}

/// A state by its name, and how the window comes to it.
pub(crate) type State = (&'static str, fn(&Desk) -> Window);

/// Every state.
pub(crate) const STATES: &[State] = &[
    ("nothing open", |desk| desk.window(None)),
    ("two films of one name opened last", two_of_one_name),
    ("the menu of what was opened last", |desk| {
        let mut window = two_of_one_name(desk);
        window.click("File");
        window.click("Open recent");
        window
    }),
    ("unsaved work is waiting", |desk| {
        leave_unsaved(desk);
        desk.window(None)
    }),
    ("unsaved work is offered", |desk| {
        leave_unsaved(desk);
        desk.window(Some(&desk.path("tooth.case.json")))
    }),
    ("the guide", |desk| with(desk, Command::Guide)),
    ("settings", |desk| with(desk, Command::Settings)),
    ("shortcuts", |desk| with(desk, Command::Shortcuts)),
    ("about", |desk| with(desk, Command::About)),
    ("open by name", |desk| with(desk, Command::OpenNamed)),
    ("the menu File", |desk| menu(desk, "File")),
    ("the menu Case", |desk| menu(desk, "Case")),
    ("the menu View", |desk| menu(desk, "View")),
    ("the menu Practice", |desk| menu(desk, "Practice")),
    ("the menu Help", |desk| menu(desk, "Help")),
    ("what to practise on", |desk| with(desk, Command::Practise)),
    ("what to practise on, from a folder", |desk| {
        let mut window = with(desk, Command::Practise);
        crate::practice::wish(&mut window, &desk.path("teacher"));
        window
    }),
    ("a round", |desk| {
        let mut window = desk.window(None);
        window.begin_round(desk);
        window
    }),
    ("practising", |desk| {
        let mut window = desk.window(None);
        window.practise();
        window
    }),
    ("practice compared", |desk| {
        let mut window = desk.window(None);
        window.practise();
        window.place_some();
        window.finish_placing();
        window
    }),
    ("learning curves", |desk| {
        let mut window = desk.window(None);
        window.practise();
        window.place_some();
        window.finish_placing();
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
    ("two tones compared", |desk| {
        let mut window = aiming(desk);
        window.take(Action::Command(Command::LocalContrast));
        window.take(Action::Command(Command::Compare));
        window
    }),
    ("the ruler is laid", |desk| {
        let mut window = aiming(desk);
        window.take(Action::Command(Command::Ruler));
        for end in [[300.0, 300.0], [500.0, 420.0]] {
            window.take(Action::Place(Position::new(end[0], end[1])));
        }
        window
    }),
    ("a number is pointed at", |desk| {
        let mut window = with_results(desk);
        window.harness.get_by(is_root_length).focus();
        window.settle();
        window
    }),
    ("the menu of a number", |desk| {
        let mut window = with_results(desk);
        window.harness.get_by(is_root_length).scroll_to_me();
        window.settle();
        let at = window.harness.get_by(is_root_length).rect().center();
        press_secondary(&mut window, at);
        window
    }),
    ("the menu of a point", |desk| {
        let mut window = desk.window(Some(&desk.write("tooth.case.json", &sample())));
        window.until_film();
        let crest = PointAt::Landmark(LandmarkAt { root: None, id: Landmark::Crest.on(Side::Mesial) });
        let at = window.seen(crest.position(window.work().open.case()).unwrap());
        press_secondary(&mut window, at);
        window
    }),
    ("a film that is not there", |desk| {
        let mut case = sample();
        case.film.file = Some("nowhere.png".to_owned());
        let mut window = desk.window(Some(&desk.write("tooth.case.json", &case)));
        window.until("it is not found", |session| session.opening.is_none());
        window
    }),
    ("a planned tip beyond what is allowed, on a film", |desk| {
        let mut case = crate::planning::canine();
        (case.film.file, case.film.sha256) = (Some("film-102.png".to_owned()), None);
        let root = &mut case.roots[0].landmarks.marks;
        let apex = root[&Landmark::Apex.id()].point().unwrap().clone();
        let tip = Point { state: Some(Stands::Planned), ..apex };
        root.insert(Landmark::PostTip.id(), Mark::Placed(tip));
        let mut window = desk.window(Some(&desk.write("canine.case.json", &case)));
        window.until_film();
        window.open_part("Post depth");
        assert!(window.drawn().contains("beyond what is allowed"));
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
        asked(desk, Question::StillWriting(desk.path("tooth-record.pdf")))
    }),
    ("another program's change", |desk| asked(desk, Question::ChangedOnDisk { then: None })),
    ("placing again", |desk| asked(desk, Question::Again)),
    ("another film", |desk| {
        asked(desk, Question::OtherFilm { points: 17, why: "its size is another".to_owned() })
    }),
    ("the name of a case", |desk| {
        let mut window = desk.window(Some(&desk.case_without_film()));
        window.take(Action::Command(Command::SaveAs));
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
    ("everything open of a molar", |desk| {
        let mut case = molar();
        (case.film.file, case.film.sha256) = (None, None);
        let mut window = desk.window(Some(&desk.write("molar.case.json", &case)));
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
