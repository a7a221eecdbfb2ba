//! Planning, driven by pointer, keyboard and accessible names: first look, post depth, drill, the card, ferrule recovery.

use crate::desk::{Desk, ENGINE, Window, sample};
use crestgauge::case::{Answer, Case, Finding, Landmark, Mark, RootName, SmileLine, read_text};
use crestgauge::editor::{LandmarkAt, PointAt};
use crestgauge::geometry::Position;
use crestgauge::plan::{Amount, Plan, Way, Wish, depths, plan};
use crestgauge::report::{SAFETY, Style, plan_text, plan_words, recovery_text};
use crestgauge::viewer::action::{Action, Target};
use crestgauge::viewer::command::Command;
use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, OutputCommand};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

const POST: &str = "Post depth";

pub(crate) fn canine() -> Case {
    read_text(include_str!("../data/plans/canine-23.case.json")).unwrap().case
}

fn without_film(mut case: Case) -> Case {
    case.film.file = None;
    case.film.sha256 = None;
    case
}

fn tip() -> LandmarkAt {
    LandmarkAt { root: Some(RootName::Single), id: Landmark::PostTip.id() }
}

fn library_plan(case: &Case, share: f64) -> Plan {
    let wish = Wish { extrusion_share: share, ..Wish::default() };
    plan(case, &ENGINE.library, &ENGINE.criteria, &wish, &[]).unwrap()
}

impl Window {
    fn on(desk: &Desk, case: Case) -> Self {
        let file = desk.write("planned.case.json", &without_film(case));
        desk.window(Some(&file))
    }

    /// Presses what has this accessible name, wherever it is scrolled to.
    pub(crate) fn press_called(&mut self, name: &str) {
        self.harness.get_by_label(name).click_accesskit();
        self.settle();
    }

    /// Closes a part of the worksheet that is open.
    pub(crate) fn fold_part(&mut self, title: &str) {
        let is_heading = |label: &str| label.contains(title) && label.ends_with(", open");
        self.harness
            .get_by(|node| {
                node.role() == Role::Button && node.label().is_some_and(|label| is_heading(&label))
            })
            .click_accesskit();
        self.settle();
    }

    /// The slider whose name begins so.
    pub(crate) fn slider<'t>(&'t self, begins: &'t str) -> egui_kittest::Node<'t> {
        self.harness.get_by(move |node| {
            node.role() == Role::Slider && node.label().is_some_and(|label| label.starts_with(begins))
        })
    }

    /// Gives the keyboard to what has this role and a name that begins so.
    fn focus_on(&mut self, role: Role, begins: &str) {
        let found = self.harness.query_all_by(|node| {
            node.role() == role && node.label().is_some_and(|label| label.starts_with(begins))
        });
        found.last().unwrap_or_else(|| panic!("no {role:?} {begins}")).focus();
        self.settle();
    }

    fn case(&self) -> &Case {
        self.work().open.case()
    }

    /// The depth of the tip the case has.
    fn depth(&self) -> f64 {
        let point = tip().mark(self.case()).and_then(Mark::point).unwrap();
        let depths =
            depths(self.case(), &ENGINE.library, &ENGINE.criteria, &Wish::default()).unwrap().unwrap();
        depths.nearest(point.x, point.y).unwrap()
    }
}

#[test]
fn a_plan_by_accessible_names_gives_the_library_s_numbers() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, canine());
    window.open_part(POST);
    let wanted = library_plan(window.case(), 0.5);
    let recommended = wanted.marks.recommended.clone().unwrap();
    for (name, mark) in [
        ("recommended", &wanted.marks.recommended),
        ("shortest allowed", &wanted.marks.shortest_allowed),
        ("deepest allowed", &wanted.marks.deepest_allowed),
    ] {
        let words = plan_words::depth(mark.as_ref().unwrap());
        assert!(window.says(&words), "{name}: {words}");
    }
    for rule in &wanted.rules {
        assert!(window.says(&rule.bound), "{}", rule.rule);
    }
    for binding in &wanted.binding {
        assert!(window.says(plan_words::rule_title(&wanted, &binding.rule)));
    }
    assert_eq!(tip().mark(window.case()), None);
    window.press_called("Plan a post");
    let point = tip().mark(window.case()).and_then(Mark::point).cloned().unwrap();
    assert!(point.is_planned());
    assert_eq!((point.x, point.y), (recommended.tip.x, recommended.tip.y));
    window.press_called("plan the tip at the deepest allowed depth");
    let deepest = wanted.marks.deepest_allowed.unwrap().along_canal_mm;
    assert!((window.depth() - deepest).abs() < 1e-6);
    let drill = wanted.drills.list.iter().find(|drill| drill.chosen_by.is_none()).unwrap();
    window.press_called(&format!("drill {}, {}", plan_words::drill(drill), plan_words::drill_notes(drill)));
    assert_eq!(window.case().clinical.drill.as_deref(), Some(drill.drill.as_str()));
    assert_eq!(window.work().open.next_undo(), Some("set drill"));
}

#[test]
fn a_tip_dragged_on_the_film_moves_the_rules_in_the_same_frame_and_is_one_step() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, canine());
    window.open_part(POST);
    window.press_called("Plan a post");
    window.take(Action::Aim(None));
    let before = window.depth();
    let place = PointAt::Landmark(tip()).position(window.case()).unwrap();
    let from = window.seen(place);
    window.harness.event(Event::PointerMoved(from));
    window.harness.step();
    window.button(from, true, Modifiers::NONE);
    for step in 1..=8_u8 {
        // Away from the canal, too.
        let to = from + eframe::egui::vec2(f32::from(step) * 4.0, f32::from(step) * 6.0);
        window.harness.event(Event::PointerMoved(to));
        window.harness.step();
    }
    let end = from + eframe::egui::vec2(32.0, 48.0);
    // Actions are taken in after the frame: the next shows them, on the film and in the worksheet alike.
    window.harness.step();
    let depth = window.depth();
    let planned = window.work().planned();
    let planned = planned.as_ref().as_ref().unwrap();
    let shown = plan_words::depth(&planned.depths.as_ref().unwrap().at(depth));
    assert!(window.says(&shown), "{shown}");
    for rule in planned.rules_at(depth) {
        let beside = plan_words::beside_rule(&rule);
        assert!(window.says(&beside), "{}: {beside}", rule.rule);
    }
    window.button(end, false, Modifiers::NONE);
    window.settle();
    assert!(depth > before + 0.5, "{before} to {depth}");
    let at = planned.depths.as_ref().unwrap().on_film(depth).unwrap();
    let place = PointAt::Landmark(tip()).position(window.case()).unwrap();
    assert!(place.way_from(Position::new(at.x, at.y)).length() < 1e-6, "it lies on the canal");
    assert_eq!(window.work().open.next_undo(), Some("move post tip"));
    window.take(Action::Command(Command::Undo));
    assert!((window.depth() - before).abs() < 1e-9, "the whole drag is one step");
}

#[test]
fn the_tip_is_moved_by_keys_on_the_bar_and_on_the_film() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, canine());
    window.open_part(POST);
    window.press_called("Plan a post");
    let before = window.depth();
    window.focus_on(Role::Slider, "planned tip along the canal");
    window.press(Modifiers::NONE, Key::ArrowRight);
    window.press(Modifiers::NONE, Key::ArrowRight);
    assert!((window.depth() - before - 0.2).abs() < 1e-5, "{} after {before}", window.depth());
    window.focus_on(Role::Button, "post tip, planned at");
    window.press(Modifiers::NONE, Key::ArrowUp);
    assert!((window.depth() - before - 0.1).abs() < 1e-5, "{} after {before}", window.depth());
}

#[test]
fn the_tip_is_moved_by_who_hears_the_bar() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, canine());
    window.open_part(POST);
    assert_eq!(
        window.slider("planned tip along").accesskit_node().numeric_value(),
        None,
        "nothing is planned"
    );
    window.press_called("Plan a post");
    let before = window.depth();
    let slider = window.slider("planned tip along");
    let told = slider.accesskit_node().numeric_value().unwrap();
    assert!((told - before).abs() < 0.006, "{told} for {before}");
    slider.increment_accesskit();
    window.settle();
    assert!((window.depth() - before - 0.1).abs() < 1e-5);
    window.slider("planned tip along").decrement_accesskit();
    window.settle();
    assert!((window.depth() - before).abs() < 1e-5);
}

#[test]
fn plan_and_recovery_are_copied_as_text() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, canine());
    let case = window.case().clone();
    for (part, button) in
        [(POST, "Copy the plan as text"), ("Ferrule recovery", "Copy ferrule recovery as text")]
    {
        window.open_part(part);
        window.harness.get_by_label(button).click_accesskit();
        let copied = window.copied().expect("something is copied");
        let made = library_plan(&case, window.work().planning.share);
        let name = case.label.as_deref().unwrap_or("no label");
        let expected = match part {
            POST => plan_text(name, &case, &made, Style::Plain),
            _ => recovery_text(&case, &made),
        };
        assert_eq!(copied, expected, "{part}");
        // It is set in lines of 80 columns.
        let in_one_line = copied.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            in_one_line.contains("WHAT A FERRULE WOULD TAKE") && in_one_line.contains(SAFETY),
            "{copied}"
        );
    }
}

#[test]
fn a_share_is_typed_with_a_comma() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, canine());
    window.open_part("Ferrule recovery");
    window.type_number("share of the lift that extrusion takes, percent", "62,0");
    assert!((window.work().planning.share - 0.62).abs() < 1e-9, "{}", window.work().planning.share);
}

#[test]
fn a_post_that_is_there_is_not_overwritten_silently() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, sample());
    window.open_part(POST);
    let before = window.case().clone();
    let bar = window.harness.get_by(|node| {
        node.role() == Role::Slider && node.label().is_some_and(|label| label.contains("a post is there"))
    });
    assert!(bar.accesskit_node().is_disabled());
    assert!(!window.shows("Plan a post"));
    window.press_called("Plan a new post");
    assert_eq!(window.work().open.next_undo(), Some("plan a new post"));
    window.take(Action::Command(Command::Undo));
    assert_eq!(*window.case(), before);
    assert!(
        window.says("exclude") || window.says("owhere in this root is it sure"),
        "what stands in the way"
    );
    assert!(window.says("Warning:"), "what giving up a rule costs");
}

#[test]
fn the_first_look_is_blank_until_it_is_answered_and_stands_on_top() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, sample());
    let count = library_plan(window.case(), 0.5)
        .settle
        .iter()
        .filter(|row| row.state == crestgauge::plan::SettleState::Blank)
        .count();
    assert!(window.says("review or retreat first"), "the filling is short");
    window.press_called(&format!("{count} things not looked at"));
    let question = Finding::Apex.declaration().question;
    for node in window.harness.get_all_by(|node| node.role() == Role::RadioButton) {
        assert_eq!(
            node.accesskit_node().toggled(),
            Some(eframe::egui::accesskit::Toggled::False),
            "nothing is chosen beforehand: {:?}",
            node.accesskit_node().label()
        );
    }
    window.press_called(&format!("{question} present"));
    let answer = |window: &Window| window.case().clinical.first_look.answers.get(&Finding::Apex).cloned();
    assert_eq!(answer(&window), Some(Answer::Word("present")));
    assert!(window.says("A lesion at the apex: review or retreat first"));
    assert!(window.shows(&format!("{} things not looked at", count - 1)));
    assert_eq!(window.work().open.next_undo(), Some("set first look, apex"));
    window.press_called(&format!("{question} not looked at"));
    assert_eq!(answer(&window), None);
    window.press_called("how much of teeth and gum does a smile show? high");
    assert_eq!(window.case().clinical.smile_line, Some(SmileLine::High));
}

#[test]
fn what_a_plan_needs_is_a_link_to_where_it_is_placed_or_read() {
    let desk = Desk::new();
    let mut case = sample();
    case.roots[0].landmarks.marks.remove(&Landmark::Apex.id());
    let mut window = Window::on(&desk, case);
    window.open_part(POST);
    let needs = library_plan(window.case(), 0.5).needs;
    let apex =
        needs.iter().find(|need| need.landmark.as_ref().is_some_and(|it| it.landmark == "apex")).unwrap();
    window.press_called(&format!("place {}, for the plan", apex.words));
    let at = LandmarkAt { root: Some(RootName::Single), id: Landmark::Apex.id() };
    assert_eq!(window.work().aim, Some(Target::Landmark(at)));
    let walls =
        needs.iter().find(|need| need.reading.as_deref() == Some("first_look/walls_standing")).unwrap();
    window.press_called(&format!("read {}, for the plan", walls.words));
    let question = Finding::WallsStanding.declaration().question;
    assert_eq!(window.focused(), Some(format!("{question} 0")));
}

/// What is clicked on the film leaves the sheet where it is: the next need is found under the same hand.
#[test]
fn a_need_that_is_placed_on_the_film_does_not_move_the_sheet() {
    let desk = Desk::new();
    let mut case = canine();
    case.roots[0].sections.truncate(1);
    case.roots[0].landmarks.marks.remove(&Landmark::Orifice.id());
    let mut window = Window::on(&desk, case);
    let heading = |window: &Window, title: &str| {
        let found = window.harness.query_all_by(|node| {
            let is_heading = |label: &str| label.contains(title) && label.ends_with(", open");
            node.role() == Role::Button && node.label().is_some_and(|label| is_heading(&label))
        });
        found.last().map_or_else(|| panic!("{title} is open"), |node| node.rect())
    };
    window.open_part("Film and tooth");
    let sheet = heading(&window, "Film and tooth");
    window.open_part("Landmarks");
    window.open_part(POST);
    let needs = library_plan(window.case(), 0.5).needs;
    let named = |words: &str| {
        let need = needs.iter().find(|need| need.words.contains(words));
        format!("place {}, for the plan", need.unwrap_or_else(|| panic!("{needs:?}")).words)
    };
    let (orifice, section) = (named("orifice"), named("a section within 1 mm"));
    // The need comes to the top of the sheet, below its part's heading.
    window.harness.event(Event::PointerMoved(sheet.center()));
    let by = window.harness.get_by_label(&orifice).rect().top() - sheet.top();
    window.harness.event(Event::MouseWheel {
        unit: eframe::egui::MouseWheelUnit::Point,
        delta: eframe::egui::vec2(0.0, -by),
        modifiers: Modifiers::NONE,
        phase: eframe::egui::TouchPhase::Move,
        source: eframe::egui::MouseWheelSource::Unknown,
    });
    for _ in 0..40 {
        window.harness.step();
    }
    window.settle();
    let before = window.harness.get_by_label(&orifice).rect().top();
    assert!((before - sheet.top()).abs() < 60.0 && heading(&window, POST).top() < sheet.top());
    window.press_called(&orifice);
    let at = LandmarkAt { root: Some(RootName::Single), id: Landmark::Orifice.id() };
    assert_eq!(window.work().aim, Some(Target::Landmark(at)));
    let after = window.harness.get_by_label(&orifice).rect().top();
    assert!((after - before).abs() < 2.0, "it went from {before} to {after}");
    window.press_called(&section);
    assert_eq!(window.work().aim, Some(Target::HalfPlaced));
    let what = window.work().open.half_placed().unwrap().what().words();
    assert!(what.contains("section"), "{what}");
    let after = window.harness.get_by_label(&orifice).rect().top();
    assert!((after - before).abs() < 2.0, "it went from {before} to {after}");
}

/// A card is as high as it has to say, whatever card was seen before it.
#[test]
fn a_short_card_keeps_no_room_of_a_longer_one() {
    let desk = Desk::new();
    let short = desk.write("short.case.json", &without_film(sample()));
    // It stands in the middle of the window: where it begins tells how high it is.
    let begins = |window: &mut Window| {
        window.press(Modifiers::NONE, Key::K);
        let title = window.harness.get_all_by_label("Card for the chair").last().unwrap().rect().top();
        window.press(Modifiers::NONE, Key::Escape);
        title
    };
    let mut fresh = desk.window(Some(&short));
    let wanted = begins(&mut fresh);
    let mut window = Window::on(&desk, canine());
    assert!(begins(&mut window) < wanted - 20.0, "the other card is longer");
    window.take(Action::Open(short));
    assert!((begins(&mut window) - wanted).abs() < 2.0);
}

#[test]
fn the_share_is_set_by_a_slider_and_the_ways_follow() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, sample());
    window.open_part("Ferrule recovery");
    window.focus_on(Role::Slider, "share of the lift that extrusion takes");
    for _ in 0..10 {
        window.press(Modifiers::NONE, Key::ArrowRight);
    }
    let share = window.work().planning.share;
    assert!((share - 0.6).abs() < 1e-9, "{share}");
    let recovery = library_plan(window.case(), share).recovery;
    let both = recovery.options.iter().find(|option| option.way == Way::Both).unwrap();
    assert!(window.shows(&plan_words::length(both.extrusion_mm.unwrap())));
    window.press_called("Sound the bone, palatal");
    assert_eq!(window.focused().as_deref(), Some("wall above bone, palatal"));
}

/// What a site has to spare is read without a pointer, and a rule names on whose word it stands.
#[test]
fn what_is_to_spare_and_on_whose_word_is_read_without_a_pointer() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, canine());
    window.open_part("Ferrule recovery");
    let plan = library_plan(window.case(), 0.5);
    let spare: Vec<&Amount> =
        plan.recovery.sites.iter().filter_map(|site| site.lift_needed_mm.as_ref()).collect();
    assert!(spare.len() == 4 && spare.iter().all(|lift| lift.value < 0.0), "{spare:?}");
    for lift in spare {
        let words = plan_words::lift(lift);
        assert!(words.ends_with(" to spare"), "{words}");
        assert!(window.shows(&words.replace("; ", "\n").replace(" \u{b1}", "\n\u{b1}")), "{words}");
    }
    window.open_part(POST);
    for rule in &plan.rules {
        assert!(window.says(&format!("on the word of: {}", rule.source)), "{}", rule.rule);
    }
}

#[test]
fn a_card_without_a_setting_says_so_and_what_is_to_be_settled() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, sample());
    window.press(Modifiers::NONE, Key::K);
    assert!(window.shows("NO SETTING") && !window.shows("SET AT"));
    let unsettled = plan_words::not_settled(&library_plan(window.case(), 0.5)).unwrap();
    assert!(unsettled.contains("review or retreat first") && window.says(&unsettled), "{unsettled}");
}

#[test]
fn the_card_is_shown_large_and_copied_as_text() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, canine());
    let plan = library_plan(window.case(), 0.5);
    window.press(Modifiers::NONE, Key::K);
    let [set_at, never] = [&plan.card.set_at, &plan.card.never_beyond].map(|it| it.as_ref().unwrap().set_mm);
    for words in ["SET AT", "NEVER BEYOND"] {
        assert!(window.shows(words), "{words}");
    }
    for setting in [set_at, never] {
        assert!(window.shows(&format!("{setting:.1} mm")), "{setting}");
    }
    for words in &plan.card.always {
        assert!(window.says(words), "{words}");
    }
    window.harness.get_by_label("Copy the card").click();
    let mut copied = None;
    for _ in 0..4 {
        window.harness.step();
        for command in &window.harness.output().platform_output.commands {
            if let OutputCommand::CopyText(words) = command {
                copied = Some(words.clone());
            }
        }
    }
    let copied = copied.expect("something is copied");
    assert!(copied.contains(&format!("{set_at:.1} mm")) && copied.contains("NEVER BEYOND"), "{copied}");
    window.press(Modifiers::NONE, Key::Escape);
    assert!(!window.shows("SET AT"));
}

/// A tip where none may lie says so where it stands, and which rule is in the way.
#[test]
fn a_planned_tip_beyond_what_is_allowed_says_so_on_the_film() {
    let desk = Desk::new();
    let mut window = Window::on(&desk, canine());
    window.open_part(POST);
    window.press_called("Plan a post");
    assert!(!window.drawn().contains("what is allowed"));
    let wanted = library_plan(window.case(), 0.5);
    let deepest = wanted.marks.deepest_allowed.clone().unwrap().along_canal_mm;
    let planned = window.work().planned();
    let edit = planned.as_ref().as_ref().unwrap().plan_tip(window.case(), deepest + 0.6).unwrap();
    window.take(Action::Edit(edit));
    let end = crestgauge::plan::End::Deepest;
    let binding = wanted.binding.iter().find(|binding| binding.end == end).unwrap();
    let words = format!("beyond what is allowed: {}", plan_words::rule_title(&wanted, &binding.rule));
    assert!(window.drawn().contains(&words), "{words}: {}", window.drawn());
}

#[test]
fn a_plan_without_a_setting_is_to_do_and_its_card_says_what_is_missing() {
    let desk = Desk::new();
    let mut case = canine();
    case.landmarks.marks.remove(&Landmark::StopReference.id());
    let mut window = Window::on(&desk, case);
    window.open_part(POST);
    window.press_called("Plan a post");
    let plan = library_plan(window.case(), 0.5);
    assert!(plan.card.set_at.is_none());
    assert!(window.says(&format!("to do: {} needed", plan.needs.len())));
    let says = plan.card.words.iter().any(|words| words.contains("is missing: stop reference (not placed)"));
    assert!(says, "{:?}", plan.card.words);
}
