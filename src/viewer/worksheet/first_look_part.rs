//! The first look: what is asked of a tooth before any number. Nothing is chosen beforehand, and it never becomes a
//! score.

use super::super::action::Action;
use super::super::app::Desk;
use super::super::theme;
use super::super::work::Work;
use super::links::come_to;
use super::number_field::{Field, number, propose};
use super::rows::aside;
use crate::calibration::Extra;
use crate::case::{Answer, Answers, Case, Finding, Reading, SmileLine};
use crate::editor::Edit;
use crate::wording::capital;
use eframe::egui::{self, RichText};

/// Draws the part.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let case = work.open.case();
    aside(ui, "Looked at before any number; what is left blank was not looked at. It is never made a score.");
    for finding in asked(case) {
        ui.add_space(4.0);
        ui.push_id(finding, |ui| self::finding(ui, desk, work, finding));
    }
    ui.add_space(4.0);
    ui.push_id("smile line", |ui| smile_line(ui, desk, case));
}

/// The findings this tooth can have, and those that were answered.
fn asked(case: &Case) -> impl Iterator<Item = Finding> {
    let answers = &case.clinical.first_look.answers;
    let is_asked = move |finding: &Finding| finding.can_be_looked_at(case) || answers.contains_key(finding);
    Finding::ALL.iter().copied().filter(is_asked)
}

fn finding(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, finding: Finding) {
    let look = &work.open.case().clinical.first_look;
    let declaration = finding.declaration();
    let question = declaration.question;
    let answer = look.answers.get(&finding);
    ui.label(RichText::new(capital(question)).strong());
    let options: Vec<(String, Answer)> = match declaration.answers {
        Answers::Words(choices) => {
            choices.iter().map(|choice| (choice.word.to_owned(), Answer::Word(choice.word))).collect()
        }
        Answers::Count { most, .. } => {
            (0..=most).map(|count| (count.to_string(), Answer::Count(count))).collect()
        }
        Answers::Depth => {
            depth(ui, desk, work, finding, question);
            return;
        }
    };
    let chosen = options.iter().position(|(_, it)| Some(it) == answer);
    let words: Vec<&str> = options.iter().map(|(word, _)| word.as_str()).collect();
    choices(ui, question, &words, chosen, |chosen| {
        let answer = chosen.and_then(|at| options.get(at)).map(|(_, answer)| answer.clone());
        desk.ask(Action::Edit(Edit::FirstLook { finding, answer }));
    });
    if let Some(settle) = look.settle(finding) {
        let colour = theme::caution(ui.visuals().dark_mode);
        ui.label(RichText::new(format!("\u{25a1} {}", capital(settle))).color(colour));
    }
}

/// Words of which one can be chosen, or none. What is chosen anew goes to `take`.
fn choices(
    ui: &mut egui::Ui,
    of: &str,
    words: &[&str],
    chosen: Option<usize>,
    take: impl FnOnce(Option<usize>),
) {
    let mut now = chosen;
    ui.horizontal_wrapped(|ui| {
        for (at, word) in words.iter().enumerate() {
            let radio = ui.radio(chosen == Some(at), *word).accessible_name(format!("{of} {word}"));
            if at == 0 {
                come_to(ui, of, &radio);
            }
            if radio.clicked() {
                now = Some(at);
            }
        }
        if chosen.is_some()
            && ui.small_button("not looked at").accessible_name(format!("{of} not looked at")).clicked()
        {
            now = None;
        }
    });
    if now != chosen {
        take(now);
    }
}

fn depth(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, finding: Finding, question: &str) {
    let held = work.open.case().clinical.first_look.depth(finding);
    let field = Field { name: question, hint: "not read", unit: "mm", width: 64.0 };
    number(ui, field, held.map(|held| held.value), |value| {
        let answer = value.map(|value| match held {
            Some(held) => Reading { value, ..held.clone() },
            None => Reading { value, sd: None, by: None, extra: Extra::new() },
        });
        propose(desk, work, Edit::FirstLook { finding, answer: answer.map(Answer::Depth) })
    });
}

fn smile_line(ui: &mut egui::Ui, desk: &mut Desk<'_>, case: &Case) {
    const QUESTION: &str = SmileLine::QUESTION;
    ui.label(RichText::new(capital(QUESTION)).strong());
    let now = case.clinical.smile_line;
    let words: Vec<&str> = SmileLine::ALL.iter().map(|(word, _)| *word).collect();
    let chosen = SmileLine::ALL.iter().position(|(_, line)| Some(*line) == now);
    choices(ui, QUESTION, &words, chosen, |chosen| {
        let line = chosen.and_then(|at| SmileLine::ALL.get(at)).map(|(_, line)| *line);
        desk.ask(Action::Edit(Edit::SmileLine(line)));
    });
    aside(ui, "High: the gum's margin shows. Low: little of the crowns does.");
}
