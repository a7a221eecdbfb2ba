//! The film for those who hear it: it says where the keyboard's cursor is and what comes next, takes a place in numbers,
//! and is pressed as Enter is.

use super::Canvas;
use super::keys::{enter, follow};
use super::sheet::Sheet;
use super::strip;
use crate::geometry::{Position, Stored};
use crate::viewer::Work;
use crate::viewer::action::Action;
use crate::viewer::app::Desk;
use eframe::egui;
use eframe::egui::accesskit::{Action as Asked, ActionData};

/// Says it, and takes in what is asked of the film by its name.
pub(super) fn take_in(
    ui: &egui::Ui,
    response: &egui::Response,
    sheet: &Sheet<'_>,
    work: &Work,
    desk: &mut Desk<'_>,
    canvas: &mut Canvas,
) {
    ui.accesskit_node_builder(response.id, |node| {
        node.set_value(said(work.cursor));
        node.set_description(strip::words(work));
        node.add_action(Asked::SetValue);
        node.add_action(Asked::Click);
    });
    if desk.session.question.is_some() {
        return;
    }
    let asked = |action| ui.input(|input| input.has_accesskit_action_request(response.id, action));
    let set = ui.input(|input| {
        let requests = input.accesskit_action_requests(response.id, Asked::SetValue);
        let words = requests.filter_map(|request| match &request.data {
            Some(ActionData::Value(words)) => Some(words.to_string()),
            _ => None,
        });
        words.last()
    });
    if let Some(words) = set {
        match place(&words, sheet.viewport.film_size()) {
            Ok(to) => {
                canvas.by_keyboard = true;
                canvas.entered = None;
                desk.ask(Action::Cursor(Some(to)));
                follow(sheet, to, desk);
            }
            Err(why) => desk.ask(Action::Problem(why)),
        }
    } else if asked(Asked::Click) && work.aim.is_some() {
        enter(work, sheet, false, desk, canvas);
    }
}

fn said(cursor: Option<Position<Stored>>) -> String {
    cursor.map_or_else(|| "no cursor".to_owned(), |at| format!("x {:.1}, y {:.1} px", at.x, at.y))
}

/// The place that words such as `x 120.5, y 300 px` or `120,5 300` mean.
fn place(words: &str, film: [f64; 2]) -> Result<Position<Stored>, String> {
    let numbers: Vec<f64> = words
        .split(|letter: char| letter.is_whitespace() || letter == ';')
        .map(|part| part.trim_end_matches(','))
        .filter(|part| !matches!(*part, "" | "x" | "y" | "px"))
        .map(|part| part.replace(',', ".").parse().unwrap_or(f64::NAN))
        .collect();
    match numbers[..] {
        [x, y] if (0.0..=film[0]).contains(&x) && (0.0..=film[1]).contains(&y) => Ok(Position::new(x, y)),
        _ => Err(format!(
            "\"{words}\" is no place on the film; say how many pixels from its left and from its top, up to {} and {}, \
             such as 120.5 300",
            film[0], film[1]
        )),
    }
}
