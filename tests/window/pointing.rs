//! What is painted on the film for what is pointed at, and what is hidden of what is placed again.

use crate::desk::{Desk, Window, sample};
use crestgauge::case::{Landmark, RootName, Side};
use crestgauge::editor::{LandmarkAt, PointAt, landmarks};
use crestgauge::viewer::action::{Action, Target};
use eframe::egui::accesskit::Role;
use eframe::egui::{Color32, Event, Key, Modifiers, Pos2, Shape};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

/// A line or outline that was painted.
#[derive(Debug)]
struct Painted {
    points: Vec<Pos2>,
    is_closed: bool,
    fill: Color32,
}

impl Window {
    /// Every line and outline on the film in the last frame.
    fn painted_lines(&self) -> Vec<Painted> {
        fn read(shape: &Shape, all: &mut Vec<Painted>) {
            match shape {
                Shape::Path(path) => {
                    all.push(Painted {
                        points: path.points.clone(),
                        is_closed: path.closed,
                        fill: path.fill,
                    });
                }
                Shape::LineSegment { points, .. } => {
                    all.push(Painted {
                        points: points.to_vec(),
                        is_closed: false,
                        fill: Color32::TRANSPARENT,
                    });
                }
                Shape::Vec(shapes) => shapes.iter().for_each(|shape| read(shape, all)),
                _ => {}
            }
        }
        let mut all = Vec::new();
        self.harness.output().shapes.iter().for_each(|clipped| read(&clipped.shape, &mut all));
        all
    }

    fn seen_landmark(&self, at: LandmarkAt) -> Pos2 {
        self.seen(PointAt::Landmark(at).position(self.work().open.case()).expect("it is placed"))
    }

    /// The names of the points that are spoken on the film.
    fn is_spoken(&self, name: &str) -> bool {
        self.harness.query_all_by_label_contains(name).any(|node| node.accesskit_node().label().is_some())
    }

    fn focus_number(&mut self, begins: &str) {
        self.harness
            .get_all_by(|node| {
                node.role() == Role::ListItem && node.label().is_some_and(|label| label.starts_with(begins))
            })
            .next()
            .unwrap()
            .focus();
        self.settle();
    }
}

fn apex() -> LandmarkAt {
    LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() }
}

fn crest(side: Side) -> LandmarkAt {
    LandmarkAt { root: None, id: Landmark::Crest.on(side) }
}

/// Closed outlines of many corners around a place: ellipses.
fn ellipses(lines: &[Painted], around: Pos2) -> usize {
    let is_around = |line: &&Painted| {
        let count = line.points.len();
        let middle = line.points.iter().fold(Pos2::ZERO, |sum, at| sum + at.to_vec2()) / {
            // No outline has as many corners as f32 has whole numbers.
            #[allow(clippy::cast_precision_loss)]
            {
                count as f32
            }
        };
        line.is_closed && count > 24 && (middle - around).length() < 0.5
    };
    lines.iter().filter(is_around).count()
}

#[test]
fn a_number_paints_its_span_its_spread_and_rings_around_the_points_it_mostly_depends_on() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.open_part("Measurements");
    window.take(Action::Aim(None));
    let at = window.seen_landmark(apex());
    let before = window.painted_lines();
    assert_eq!(ellipses(&before, at), 0);
    window.focus_number("root length ");
    let lines = window.painted_lines();
    // The span ends at the apex, which is also ringed: most of its uncertainty is placing.
    let ends_there = |lines: &[Painted]| {
        lines
            .iter()
            .filter(|line| !line.is_closed && line.points.last().is_some_and(|end| end.distance(at) < 0.5))
            .count()
    };
    assert!(ends_there(&lines) > ends_there(&before), "the span ends at the apex");
    assert!(ellipses(&lines, at) > 0, "the apex is ringed");
    for side in Side::BOTH {
        let margin = LandmarkAt { root: None, id: Landmark::FinishLine.on(side) };
        assert!(ellipses(&lines, window.seen_landmark(margin)) > 0, "{side:?} margin is ringed");
        assert_eq!(ellipses(&lines, window.seen_landmark(crest(side))), 0, "the crest is no part of it");
    }
    let bands = |lines: &[Painted]| {
        lines
            .iter()
            .filter(|line| {
                line.is_closed && line.points.len() == 4 && line.fill.a() > 0 && line.fill.a() < 255
            })
            .count()
    };
    assert!(bands(&lines) > bands(&before), "the \u{b1} as it spreads");
    assert!(window.drawn().contains("placing the points") && window.drawn().contains(", ringed"));
}

/// A verdict is pointed at like the number it is judged by.
#[test]
fn a_verdict_that_has_the_keyboard_draws_what_it_is_judged_by() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    window.open_part("Measurements");
    window.take(Action::Aim(None));
    assert_eq!(window.work().pointed_number, None);
    let of_ferrule = |label: &str| label.starts_with("undecided: ferrule: at least");
    window
        .harness
        .get_all_by(|node| {
            node.role() == Role::Button && node.label().is_some_and(|label| of_ferrule(&label))
        })
        .next()
        .unwrap()
        .focus();
    window.settle();
    let numbers = window.work().shown_numbers().unwrap();
    let verdict =
        numbers.verdicts.iter().find(|row| row.criterion.contains("ferrule") && row.worst.is_some()).unwrap();
    assert_eq!(window.work().pointed_number, verdict.worst);
    assert!(window.drawn().contains("most of the \u{b1}: "));
}

#[test]
fn the_point_that_has_the_keyboard_shows_its_ellipse_as_one_under_the_pointer_does() {
    let desk = Desk::new();
    let mut window = desk.window(Some(&desk.case_without_film()));
    let at = window.seen_landmark(apex());
    assert_eq!(ellipses(&window.painted_lines(), at), 0);
    // Aiming gives the film the keyboard.
    window.take(Action::Aim(Some(Target::Landmark(apex()))));
    window.take(Action::Aim(None));
    window.take(Action::Select(Some(crestgauge::editor::Selection::Landmark(apex()))));
    window.press(Modifiers::NONE, Key::ArrowLeft);
    let at = window.seen_landmark(apex());
    assert!(ellipses(&window.painted_lines(), at) > 0, "selected by the keyboard");
    window.harness.event(Event::PointerMoved(window.seen_landmark(crest(Side::Mesial))));
    window.settle();
    let at = window.seen_landmark(crest(Side::Mesial));
    assert!(ellipses(&window.painted_lines(), at) > 0, "under the pointer");
}

/// A repeat is none with the earlier point in sight, nor with a line that ends at it.
#[test]
fn what_is_placed_again_is_hidden_with_every_line_that_runs_through_it() {
    let desk = Desk::new();
    let mut case = sample();
    (case.film.file, case.film.sha256) = (None, None);
    // Wall tops and margins are as far from the crest's line as anything is; other lines come nowhere near.
    case.roots[0].sections.clear();
    let mut window = desk.window(Some(&desk.write("bare.case.json", &case)));
    window.take(Action::Aim(None));
    window.take(Action::Select(None));
    for at in [crest(Side::Mesial), apex()] {
        let place = window.seen_landmark(at);
        let through = |window: &Window| {
            let lines = window.painted_lines();
            lines.iter().filter(|line| line.points.iter().any(|end| end.distance(place) < 1.0)).count()
        };
        assert!(through(&window) > 0, "{}: something is seen before", at.words());
        assert!(window.is_spoken(&at.words()));
        window.take(Action::PlaceAgain(at));
        assert_eq!(through(&window), 0, "{}", at.words());
        assert!(window.says("Place again:"));
        // Selected, as its menu and its card leave it, and with the keyboard on the film: no ellipse stands around it.
        window.take(Action::Select(Some(crestgauge::editor::Selection::Landmark(at))));
        window.press(Modifiers::NONE, Key::ArrowRight);
        assert_eq!((ellipses(&window.painted_lines(), place), through(&window)), (0, 0), "{}", at.words());
        window.take(Action::PointNumber(Some(crestgauge::case::RowRef {
            id: "root_length".to_owned(),
            root: Some("single".to_owned()),
        })));
        window.harness.step();
        assert_eq!((ellipses(&window.painted_lines(), place), through(&window)), (0, 0), "{}", at.words());
        window.take(Action::Select(None));
        window.take(Action::Aim(None));
        assert!(through(&window) > 0, "{}: nothing was placed, it is where it was", at.words());
    }
    // By the worksheet's own button, from where the case is placed anew.
    window.open_part("Landmarks");
    window.take(Action::Select(Some(crestgauge::editor::Selection::Landmark(apex()))));
    window.harness.get_by_label("Place again").click_accesskit();
    window.settle();
    assert_eq!((window.work().again, window.work().aim), (Some(apex()), Some(Target::Landmark(apex()))));
    window.click_film(400.0, 300.0, Modifiers::NONE);
    assert_eq!(window.work().again, None, "it is placed, and seen again");
}

#[test]
fn the_film_and_the_worksheet_name_the_same_next_step() {
    let desk = Desk::new();
    let mut case = sample();
    (case.film.file, case.film.sha256) = (None, None);
    let whole = case.clone();
    case.tooth.fdi = None;
    let mut window = desk.window(Some(&desk.write("a.case.json", &case)));
    window.take(Action::Aim(None));
    assert!(window.drawn().contains("Next, in the worksheet:") && window.drawn().contains("name the tooth"));
    case = whole.clone();
    case.calibration.references.clear();
    case.landmarks.marks.remove(&Landmark::Crest.on(Side::Mesial));
    let mut window = desk.window(Some(&desk.write("b.case.json", &case)));
    window.take(Action::Aim(None));
    assert_eq!(window.drawn().matches("give the film a scale").count(), 2, "{}", window.drawn());
    assert!(!window.drawn().contains("Still to place:"));
    // A landmark can be placed at any time.
    window.click("Place a landmark");
    assert_eq!(window.work().aim, Some(Target::Landmark(crest(Side::Mesial))));
    case = whole.clone();
    case.roots[0].sections.clear();
    let mut window = desk.window(Some(&desk.write("c.case.json", &case)));
    window.take(Action::Aim(None));
    window.click("Begin");
    assert!(window.work().open.half_placed().is_some(), "the root\u{2019}s widths are begun");
    // All placed and read: what is left is named, and nothing says that nothing is.
    let mut window = desk.window(Some(&desk.write("d.case.json", &whole)));
    window.take(Action::Aim(None));
    let asked = landmarks(&whole)
        .iter()
        .any(|(at, sight)| *sight == crestgauge::case::Sight::Asked && at.mark(&whole).is_none());
    assert!(!asked);
    assert!(window.says("Still open:") && window.shows("First look"));
    assert!(!window.says("All that is asked for is there"));
}
