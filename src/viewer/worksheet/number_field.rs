//! Fields for what is typed: taken in with Enter or on leaving, refused with the reason beside the field, and cleared
//! by emptying.

use super::super::action::Action;
use super::super::app::Desk;
use super::super::theme;
use super::super::work::Work;
use crate::editor::{Edit, EditRefused};
use eframe::egui::{self, Key, RichText, TextEdit};

/// How a field looks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Field<'a> {
    /// Its name for screen readers.
    pub(super) name: &'a str,
    /// What stands in it while it is empty: a default, or an example.
    pub(super) hint: &'a str,
    /// The unit behind it.
    pub(super) unit: &'a str,
    /// Its width.
    pub(super) width: f32,
}

/// What a field holds while it is typed in, and after what was typed was refused.
#[derive(Debug, Clone, Default, PartialEq)]
struct Typing {
    text: String,
    /// What the field showed when this was typed.
    over: String,
    why_not: Option<String>,
}

/// Where it is kept what was refused last, and in which frame.
fn refusal() -> egui::Id {
    egui::Id::unique("refused in a field")
}

/// What a field refused in this very frame, in words.
pub(in crate::viewer) fn refused(context: &egui::Context) -> Option<String> {
    let now = context.cumulative_frame_nr();
    let (at, why) = context.data(|data| data.get_temp::<(u64, String)>(refusal()))?;
    (at == now).then_some(why)
}

/// A field for text. `take` takes in what was typed, trimmed, or says why not.
pub(super) fn text(
    ui: &mut egui::Ui,
    field: Field<'_>,
    shown: &str,
    take: impl FnOnce(&str) -> Result<(), String>,
) {
    let id = ui.make_persistent_id((field.name, "field"));
    let memory = id.with("typing");
    let mut typing = ui
        .data_mut(|data| data.get_temp::<Typing>(memory))
        .filter(|typing| typing.over == shown)
        .unwrap_or_else(|| Typing { text: shown.to_owned(), over: shown.to_owned(), why_not: None });
    let before = typing.clone();
    let mut is_over = false;
    // On a narrow worksheet a field gives way.
    let unit = if field.unit.is_empty() { 0.0 } else { 36.0 };
    let width = field.width.min(ui.available_width() - unit - 16.0).max(30.0);
    ui.vertical(|ui| {
        let edit = ui.horizontal(|ui| {
            let edit = TextEdit::singleline(&mut typing.text)
                .id(id)
                .hint_text(field.hint.to_owned())
                .desired_width(width);
            let response = ui.add(edit).accessible_name(field.name);
            if !field.unit.is_empty() {
                ui.label(field.unit);
            }
            response
        });
        super::links::come_to(ui, field.name, &edit.inner);
        if edit.inner.changed() {
            typing.why_not = None;
        }
        // Who works by names sets a field as a whole, without the keyboard being there.
        let is_set = edit.inner.changed() && !edit.inner.has_focus();
        if edit.inner.lost_focus() || is_set {
            let is_given_up = ui.input(|input| input.key_pressed(Key::Escape));
            let is_new = !is_given_up && typing.text.trim() != shown;
            typing.why_not = if is_new { take(typing.text.trim()).err() } else { None };
            if let Some(why) = &typing.why_not {
                let refused = (ui.cumulative_frame_nr(), format!("{}: {why}", field.name));
                ui.data_mut(|data| data.insert_temp(refusal(), refused));
            }
            is_over = typing.why_not.is_none();
        }
        if let Some(why) = &typing.why_not {
            ui.label(
                RichText::new(format!("Not taken: {why}")).color(theme::caution(ui.visuals().dark_mode)),
            );
        }
    });
    if is_over {
        // What was typed is taken in or given up: from now on the field shows what is known.
        ui.data_mut(|data| data.remove::<Typing>(memory));
    } else if typing != before {
        ui.data_mut(|data| data.insert_temp(memory, typing));
    }
}

/// A field for a number. `take` takes in the number, or `None` where the field was emptied, or says why not.
pub(super) fn number(
    ui: &mut egui::Ui,
    field: Field<'_>,
    value: Option<f64>,
    take: impl FnOnce(Option<f64>) -> Result<(), String>,
) {
    let shown = value.map(|value| value.to_string()).unwrap_or_default();
    text(ui, field, &shown, |typed| take(parsed(typed, field.unit)?));
}

/// Asks for an edit, or says why the case refuses it.
pub(super) fn propose(desk: &mut Desk<'_>, work: &Work, edit: Edit) -> Result<(), String> {
    if let Some(refused) = work.open.objection(&edit) {
        return Err(beside_its_field(refused));
    }
    desk.ask(Action::Edit(edit));
    Ok(())
}

/// Why an edit was refused, without the place in the file: the field it stands beside is the place.
fn beside_its_field(refused: EditRefused) -> String {
    match refused {
        EditRefused::Unreadable { why, pointer: Some(pointer) } => {
            why.strip_suffix(&format!(" (at {pointer})")).unwrap_or(&why).to_owned()
        }
        other => other.to_string(),
    }
}

/// The number that was typed, with a comma or a point, with or without its unit; `None` where nothing was.
fn parsed(text: &str, unit: &str) -> Result<Option<f64>, String> {
    let bare = text.trim();
    let bare = if unit.is_empty() { bare } else { bare.strip_suffix(unit).unwrap_or(bare).trim_end() };
    if bare.is_empty() {
        return Ok(None);
    }
    let digits = bare.strip_prefix('-').unwrap_or(bare).replace(',', ".");
    let separators = digits.matches('.').count();
    let well_formed = digits.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.')
        && digits.bytes().any(|byte| byte.is_ascii_digit());
    let refused = || format!("\"{text}\" is no number; type digits with one comma or point, such as 1.5");
    if !well_formed || separators > 1 {
        return Err(refused());
    }
    let sign = if bare.starts_with('-') { -1.0 } else { 1.0 };
    let number = digits.parse::<f64>().ok().filter(|number| number.is_finite());
    number.map(|number| Some(sign * number)).ok_or_else(refused)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comma_and_a_point_are_the_same() {
        assert_eq!(parsed("1,5", "mm"), Ok(Some(1.5)));
        assert_eq!(parsed(" 1.5 ", "mm"), Ok(Some(1.5)));
        assert_eq!(parsed("21 mm", "mm"), Ok(Some(21.0)));
        assert_eq!(parsed(",5", ""), Ok(Some(0.5)));
        assert_eq!(parsed("-2,25", "mm"), Ok(Some(-2.25)));
    }

    #[test]
    fn an_emptied_field_is_nothing_and_not_zero() {
        for text in ["", "   ", "mm", " mm "] {
            assert_eq!(parsed(text, "mm"), Ok(None), "{text:?}");
        }
        assert_eq!(parsed("0", "mm"), Ok(Some(0.0)));
    }

    #[test]
    fn what_is_no_number_is_refused_in_words() {
        let huge = "9".repeat(400);
        for text in ["abc", "1.234,5", "1,2,3", "1e3", "nan", "inf", "-", ".", "1 5", "--1", huge.as_str()] {
            let why = parsed(text, "mm").expect_err(text);
            assert!(why.contains("is no number"), "{text}: {why}");
        }
    }
}
