//! Naming the tooth.

use super::super::action::Action;
use super::super::app::Desk;
use super::super::remembered::ToothNumbers;
use super::super::work::Work;
use super::film_part::bare_root;
use super::links::come_to;
use super::rows::{aside, begins, close_list, keyboard_comes_back};
use crate::case::{Case, Fdi, Root};
use crate::editor::{Edit, ListChange};
use eframe::egui::{self, Align, Button, EventFilter, Id, Key, Layout, RichText, TextStyle, vec2};

/// The quadrants as they lie before one who looks at the patient, upper row first, with the direction their numbers
/// run in.
const ROWS: [[(u8, bool); 2]; 2] = [[(1, true), (2, false)], [(4, true), (3, false)]];

/// The name by which a link goes to the control.
pub(super) const TOOTH: &str = "Tooth";

/// Draws the tooth that is named, and the teeth to choose from.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let case = work.open.case();
    let numbers = desk.session.remembered.tooth_numbers;
    let named = case.tooth.fdi;
    let words = named.map_or_else(|| "not named yet".to_owned(), |fdi| numbers.words(fdi));
    let combo = egui::ComboBox::from_id_salt("tooth")
        .selected_text(words.clone())
        .width(ui.available_width().min(240.0))
        .height(260.0)
        .show_ui(ui, |ui| chart(ui, desk, case));
    combo.response.clone().accessible_name(format!("Tooth: {words}"));
    come_to(ui, TOOTH, &combo.response);
    keyboard_comes_back(ui, &combo.response, combo.inner);
}

/// Draws the teeth; says whether one was chosen.
fn chart(ui: &mut egui::Ui, desk: &mut Desk<'_>, case: &Case) -> bool {
    let mut chosen = None;
    let numbers = desk.session.remembered.tooth_numbers;
    let is_opened = begins(ui);
    if is_opened {
        ui.data_mut(|data| data.remove::<String>(digits()));
    }
    let keyboard_goes_to = if is_opened { case.tooth.fdi.or_else(|| Fdi::all().next()) } else { called(ui) };
    let typed = typed(ui, numbers);
    ui.set_min_width(420.0);
    aside(
        ui,
        match numbers {
            ToothNumbers::Fdi => {
                "Seen from in front; numbers by ISO 3950. Arrows move, Enter chooses; so do two digits."
            }
            ToothNumbers::Universal => {
                "Seen from in front; Universal numbers, files keep those of ISO 3950. Arrows move, Enter chooses; so do two digits."
            }
        },
    );
    for (row, name) in ROWS.into_iter().zip(["upper", "lower"]) {
        ui.label(RichText::new(name).small());
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 1.0;
            ui.spacing_mut().button_padding = vec2(2.0, 3.0);
            for (at, fdi) in teeth(row).into_iter().enumerate() {
                if at == 8 {
                    ui.add_space(6.0);
                }
                let text = RichText::new(numbers.short(fdi)).text_style(TextStyle::Small);
                let button = Button::selectable(case.tooth.fdi == Some(fdi), text).min_size(vec2(24.0, 24.0));
                let tooth = ui.push_id(fdi.to_string(), |ui| ui.add(button)).inner;
                let tooth = tooth.accessible_name(format!("tooth {}", numbers.words(fdi)));
                if keyboard_goes_to == Some(fdi) {
                    tooth.request_focus();
                }
                if tooth.clicked() || typed == Some(fdi) {
                    chosen = Some(naming(case, fdi, numbers));
                }
                if tooth.has_focus() {
                    walk(ui, tooth.id, fdi);
                }
            }
        });
    }
    ui.with_layout(Layout::top_down(Align::Min), |ui| {
        if case.tooth.fdi.is_some() && ui.button("Not named").clicked() {
            chosen = Some(Edit::Fdi(None));
        }
    });
    let is_chosen = chosen.is_some();
    if let Some(edit) = chosen {
        desk.ask(Action::Edit(edit));
        close_list(ui);
    }
    is_chosen
}

/// A row of teeth as they lie from left to right.
fn teeth(row: [(u8, bool); 2]) -> Vec<Fdi> {
    let of_quadrant = |(quadrant, falls): (u8, bool)| {
        let mut teeth: Vec<Fdi> = Fdi::all().filter(|fdi| fdi.quadrant() == quadrant).collect();
        if falls {
            teeth.reverse();
        }
        teeth
    };
    row.into_iter().flat_map(of_quadrant).collect()
}

/// The tooth that an arrow key leads to: to the left or right in its row, or across to the other jaw.
fn neighbour(fdi: Fdi, key: Key) -> Option<Fdi> {
    let rows = ROWS.map(teeth);
    let row = rows.iter().position(|row| row.contains(&fdi))?;
    let at = rows.get(row)?.iter().position(|it| *it == fdi)?;
    let (row, at) = match key {
        Key::ArrowLeft => (row, at.checked_sub(1)?),
        Key::ArrowRight => (row, at + 1),
        Key::ArrowUp => (row.checked_sub(1)?, at),
        Key::ArrowDown => (row + 1, at),
        _ => return None,
    };
    rows.get(row)?.get(at).copied()
}

/// Where it is kept which tooth the keyboard goes to in the next frame.
fn call() -> Id {
    Id::unique("tooth that the keyboard goes to")
}

fn called(ui: &egui::Ui) -> Option<Fdi> {
    ui.data_mut(|data| {
        let called = data.get_temp(call());
        data.remove::<Fdi>(call());
        called
    })
}

/// Takes the arrow keys of the tooth that has the keyboard: left to themselves they would look for whatever lies nearest
/// in the whole window.
fn walk(ui: &egui::Ui, tooth: Id, fdi: Fdi) {
    let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(tooth, arrows));
    let keys = [Key::ArrowLeft, Key::ArrowRight, Key::ArrowUp, Key::ArrowDown];
    let pressed = keys.into_iter().find(|key| ui.input(|input| input.key_pressed(*key)));
    if let Some(next) = pressed.and_then(|key| neighbour(fdi, key)) {
        ui.data_mut(|data| data.insert_temp(call(), next));
        ui.request_repaint();
    }
}

/// Where the digits typed over the chart are kept.
fn digits() -> Id {
    Id::unique("digits typed over the chart of teeth")
}

/// The tooth whose two digits were typed, by the numbers the chart shows.
fn typed(ui: &egui::Ui, numbers: ToothNumbers) -> Option<Fdi> {
    let new: String = ui.input(|input| {
        let texts = input.events.iter().filter_map(|event| match event {
            egui::Event::Text(text) => Some(text.as_str()),
            _ => None,
        });
        texts.flat_map(str::chars).filter(char::is_ascii_digit).collect()
    });
    if new.is_empty() {
        return None;
    }
    let all = ui.data(|data| data.get_temp::<String>(digits())).unwrap_or_default() + &new;
    let is_whole = all.len() >= 2;
    ui.data_mut(|data| data.insert_temp(digits(), if is_whole { String::new() } else { all.clone() }));
    if is_whole { of_digits(&all, numbers) } else { None }
}

/// The tooth of two digits: `08` is a Universal number.
fn of_digits(digits: &str, numbers: ToothNumbers) -> Option<Fdi> {
    match numbers {
        ToothNumbers::Fdi => Fdi::parse(digits).ok(),
        ToothNumbers::Universal => {
            let number: u8 = digits.parse().ok()?;
            Fdi::all().find(|fdi| fdi.universal() == number)
        }
    }
}

/// Names the tooth; where nothing is known of its roots yet, those it usually has are listed in the same step.
fn naming(case: &Case, fdi: Fdi, numbers: ToothNumbers) -> Edit {
    let usual: Vec<Root> = fdi.usual_roots().iter().map(|name| bare_root(*name)).collect();
    let are_bare = case.roots.iter().all(|root| *root == bare_root(root.name));
    let mut edits = vec![Edit::Fdi(Some(fdi))];
    if are_bare && case.roots != usual {
        edits.push(Edit::Roots(ListChange::Whole(usual)));
    }
    Edit::Several { name: format!("name tooth {}", numbers.words(fdi)), edits }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::RootName;

    #[test]
    fn arrows_lead_from_tooth_to_tooth_as_they_lie_before_one() {
        let tooth = |text: &str| Fdi::parse(text).unwrap();
        for (from, key, to) in [
            ("11", Key::ArrowRight, Some("21")),
            ("21", Key::ArrowLeft, Some("11")),
            ("11", Key::ArrowLeft, Some("12")),
            ("18", Key::ArrowLeft, None),
            ("28", Key::ArrowRight, None),
            ("16", Key::ArrowDown, Some("46")),
            ("36", Key::ArrowUp, Some("26")),
            ("36", Key::ArrowDown, None),
        ] {
            assert_eq!(neighbour(tooth(from), key), to.map(tooth), "{from}");
        }
    }

    /// Universal 8 is the upper right central incisor, FDI 11; 30 the lower right first molar, FDI 46 (American Dental
    /// Association, Current Dental Terminology).
    #[test]
    fn two_digits_name_a_tooth_by_the_numbers_that_are_shown() {
        let named = |digits: &str, numbers| of_digits(digits, numbers).map(|fdi| fdi.to_string());
        assert_eq!(named("46", ToothNumbers::Fdi).as_deref(), Some("46"));
        assert_eq!(named("49", ToothNumbers::Fdi), None);
        assert_eq!(named("08", ToothNumbers::Universal).as_deref(), Some("11"));
        assert_eq!(named("30", ToothNumbers::Universal).as_deref(), Some("46"));
        assert_eq!(named("33", ToothNumbers::Universal), None);
    }

    fn empty() -> Case {
        crate::case::read_text(r#"{"format": "crestgauge.case", "version": 1}"#).unwrap().case
    }

    fn names(edit: &Edit) -> Option<Vec<RootName>> {
        let Edit::Several { edits, .. } = edit else { return None };
        edits.iter().find_map(|edit| match edit {
            Edit::Roots(ListChange::Whole(roots)) => Some(roots.iter().map(|root| root.name).collect()),
            _ => None,
        })
    }

    #[test]
    fn the_usual_roots_come_with_the_tooth_and_go_with_it_while_nothing_is_known_of_them() {
        let mut case = empty();
        let lower_molar = Fdi::parse("36").unwrap();
        assert_eq!(
            names(&naming(&case, lower_molar, ToothNumbers::Fdi)),
            Some(vec![RootName::Mesial, RootName::Distal])
        );
        case.roots = lower_molar.usual_roots().iter().map(|name| bare_root(*name)).collect();
        assert_eq!(
            names(&naming(&case, Fdi::parse("21").unwrap(), ToothNumbers::Fdi)),
            Some(vec![RootName::Single])
        );
        case.roots[0].post_here = Some(true);
        assert_eq!(names(&naming(&case, Fdi::parse("21").unwrap(), ToothNumbers::Fdi)), None);
    }
}
