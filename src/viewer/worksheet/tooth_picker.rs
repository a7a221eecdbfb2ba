//! Naming the tooth.

use super::super::action::Action;
use super::super::app::Desk;
use super::super::work::Work;
use super::film_part::bare_root;
use super::rows::aside;
use crate::case::{Case, Fdi, Root};
use crate::editor::{Edit, ListChange};
use eframe::egui::{self, Align, Button, Layout, RichText, TextStyle, vec2};

/// The quadrants as they lie before one who looks at the patient, upper row first, with the direction their numbers
/// run in.
const ROWS: [[(u8, bool); 2]; 2] = [[(1, true), (2, false)], [(4, true), (3, false)]];

/// Draws the tooth that is named, and the teeth to choose from.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let case = work.open.case();
    let named = case.tooth.fdi;
    let words = named.map_or_else(|| "not named yet".to_owned(), |fdi| fdi.to_string());
    egui::ComboBox::from_id_salt("tooth")
        .selected_text(words.clone())
        .width(ui.available_width().min(240.0))
        .height(260.0)
        .show_ui(ui, |ui| chart(ui, desk, case))
        .response
        .accessible_name(format!("Tooth: {words}"));
}

fn chart(ui: &mut egui::Ui, desk: &mut Desk<'_>, case: &Case) {
    ui.set_min_width(420.0);
    aside(ui, "Seen from in front; numbers by ISO 3950.");
    for (row, name) in ROWS.into_iter().zip(["upper", "lower"]) {
        ui.label(RichText::new(name).small());
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 1.0;
            ui.spacing_mut().button_padding = vec2(2.0, 3.0);
            for (quadrant, falls) in row {
                let mut teeth: Vec<Fdi> = Fdi::all().filter(|fdi| fdi.quadrant() == quadrant).collect();
                if falls {
                    teeth.reverse();
                }
                for fdi in teeth {
                    let text = RichText::new(fdi.to_string()).text_style(TextStyle::Small);
                    let button =
                        Button::selectable(case.tooth.fdi == Some(fdi), text).min_size(vec2(24.0, 24.0));
                    if ui.add(button).accessible_name(format!("tooth {fdi}")).clicked() {
                        desk.ask(Action::Edit(naming(case, fdi)));
                    }
                }
                if falls {
                    ui.add_space(6.0);
                }
            }
        });
    }
    ui.with_layout(Layout::top_down(Align::Min), |ui| {
        if case.tooth.fdi.is_some() && ui.button("Not named").clicked() {
            desk.ask(Action::Edit(Edit::Fdi(None)));
        }
    });
}

/// Names the tooth; where nothing is known of its roots yet, those it usually has are listed in the same step.
fn naming(case: &Case, fdi: Fdi) -> Edit {
    let usual: Vec<Root> = fdi.usual_roots().iter().map(|name| bare_root(*name)).collect();
    let are_bare = case.roots.iter().all(|root| *root == bare_root(root.name));
    if !are_bare || case.roots == usual {
        return Edit::Fdi(Some(fdi));
    }
    Edit::Several {
        name: format!("name tooth {fdi}"),
        edits: vec![Edit::Fdi(Some(fdi)), Edit::Roots(ListChange::Whole(usual))],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::RootName;

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
        assert_eq!(names(&naming(&case, lower_molar)), Some(vec![RootName::Mesial, RootName::Distal]));
        case.roots = lower_molar.usual_roots().iter().map(|name| bare_root(*name)).collect();
        assert_eq!(names(&naming(&case, Fdi::parse("21").unwrap())), Some(vec![RootName::Single]));
        case.roots[0].post_here = Some(true);
        assert_eq!(names(&naming(&case, Fdi::parse("21").unwrap())), None);
    }
}
