//! What always stands on top of the worksheet: how the verdicts stand, what comes next, and what is to be read first.

use super::super::action::{Action, Target};
use super::super::app::Desk;
use super::super::theme;
use super::super::work::Work;
use super::film_part::{STAGE, TECHNIQUE, post_is_in};
use super::heading::pennant_here;
use super::links::Goes;
use super::progress::{Part, Standing};
use super::rows::scrolled;
use super::sheet::Sheet;
use super::tooth_picker::TOOTH;
use crate::case::{Case, Root};
use crate::editor::{Selection, Step, unread};
use crate::wording::capital;
use eframe::egui::scroll_area::ScrollBarVisibility;
use eframe::egui::{self, RichText, ScrollArea};

/// Cautions take no more than this of the worksheet before they scroll.
const CAUTIONS: f32 = 132.0;

/// Draws it; gives the part that somebody wants to go to.
pub(super) fn show(ui: &mut egui::Ui, desk: &mut Desk<'_>, sheet: &Sheet) -> Option<Part> {
    let mut goes_to = None;
    let hides = desk.session.work.as_ref().is_some_and(Work::hides_results);
    let case = desk.session.work.as_ref().map(|work| work.open.case())?;
    ui.add_space(4.0);
    if let Some(why) = &sheet.failed {
        ui.label(RichText::new(format!("Nothing can be computed: {why}")).strong());
    }
    let is_there = case.roots.iter().any(Root::holds_post);
    if !hides && settle(ui, sheet, is_there) {
        goes_to = Some(Part::FirstLook);
    }
    for line in sheet.summary.iter().filter(|_| !hides) {
        ui.label(RichText::new(capital(line)).strong());
    }
    let is_placing = placing(ui, desk);
    match sheet.next {
        _ if is_placing => {}
        None if hides => {
            ui.label(
                "All that is asked for is there. Look at the list whether more can be seen, then finish.",
            );
        }
        Some(step) => {
            ui.horizontal_wrapped(|ui| {
                ui.label("Next:");
                if ui.button(step.words(case)).clicked() {
                    goes_to = Some(Part::of_step(step));
                    go(ui, desk, case, step);
                }
            });
        }
        None if sheet.failed.is_none() => goes_to = still_to_do(ui, sheet).or(goes_to),
        None => {}
    }
    if !hides {
        cautions(ui, sheet);
    }
    ui.add_space(2.0);
    goes_to
}

/// What is to be settled before a post is planned, or before more is done to a tooth whose post is there; says whether the first
/// look is to be opened.
fn settle(ui: &mut egui::Ui, sheet: &Sheet, is_there: bool) -> bool {
    let settle = &sheet.settle;
    if settle.red.is_empty() && settle.blank.is_empty() {
        return false;
    }
    let mut opens = false;
    let colour = theme::caution(ui.visuals().dark_mode);
    ui.horizontal_wrapped(|ui| {
        let words = if is_there { "Settle first" } else { "Settle before planning a post" };
        ui.label(RichText::new(words).strong().color(colour));
        let count = settle.blank.len();
        if count > 0 {
            let things = if count == 1 { "thing" } else { "things" };
            opens = ui
                .button(format!("{count} {things} not looked at"))
                .on_hover_text(capital(&settle.blank.join("; ")))
                .clicked();
        }
    });
    for red in &settle.red {
        ui.label(RichText::new(format!("\u{25a1} {}", capital(red))).color(colour));
    }
    opens
}

/// What is left once the film and the probe have given what they are asked for; gives the part that somebody goes to.
fn still_to_do(ui: &mut egui::Ui, sheet: &Sheet) -> Option<Part> {
    const LATER: [Part; 4] = [Part::FirstLook, Part::Results, Part::Plan, Part::Recovery];
    let open: Vec<Part> = Part::ALL
        .into_iter()
        .zip(&sheet.progress)
        .filter(|(part, progress)| LATER.contains(part) && progress.standing == Standing::ToDo)
        .map(|(part, _)| part)
        .collect();
    let mut goes_to = None;
    ui.horizontal_wrapped(|ui| {
        ui.label(match open.as_slice() {
            [] => "All that is asked for is there.",
            [Part::Results] => "All that is asked for is there; verdicts stay undecided.",
            _ => "What film and probe are asked for is there. Still open:",
        });
        for part in open.iter().copied().filter(|part| *part != Part::Results) {
            if ui.button(part.title()).clicked() {
                goes_to = Some(part);
            }
        }
        if ui.button("Go to the verdicts").clicked() {
            goes_to = Some(Part::Results);
        }
    });
    goes_to
}

/// What is half-placed, and what ends it; says whether anything is.
fn placing(ui: &mut egui::Ui, desk: &mut Desk<'_>) -> bool {
    let Some(work) = &desk.session.work else { return false };
    let Some(half) = work.open.half_placed() else { return false };
    let (count, least) = (half.points().len(), half.least_points());
    let what = half.what().words();
    let of = if work.whole_at.is_some() { format!(" of {least}") } else { String::new() };
    let is_aimed_at = work.aim == Some(Target::HalfPlaced);
    let can_end = half.can_be_completed();
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(capital(&what)).strong());
        ui.label(if is_aimed_at {
            format!("click point {}{of} on the film.", count + 1)
        } else {
            format!("is half-placed, {count} points so far.")
        });
        if !is_aimed_at && ui.button("Go on").clicked() {
            desk.ask(Action::Aim(Some(Target::HalfPlaced)));
        }
        if can_end && ui.button("That is all").clicked() {
            desk.ask(Action::CompletePlacing);
        }
        if ui.button("Cancel").on_hover_text("undo brings its points back").clicked() {
            desk.ask(Action::CancelPlacing);
        }
    });
    true
}

fn go(ui: &egui::Ui, desk: &mut Desk<'_>, case: &Case, step: Step) {
    match step {
        Step::Place(at) | Step::Settle(at) => {
            desk.ask(Action::Aim(Some(Target::Landmark(at))));
            desk.ask(Action::Select(Some(Selection::Landmark(at))));
        }
        Step::AddSection(root) => {
            Goes::Section(root).follow(ui, desk);
        }
        Step::NameTooth | Step::SayStage | Step::SayTechnique | Step::SayPostRoot | Step::Read => {
            let control = match step {
                Step::NameTooth => Some(Goes::Control(Part::of_step(step), TOOTH.to_owned())),
                Step::SayStage => Some(Goes::Control(Part::of_step(step), STAGE.to_owned())),
                Step::SayTechnique => Some(Goes::Control(Part::of_step(step), TECHNIQUE.to_owned())),
                Step::SayPostRoot => {
                    let first = case.roots.first();
                    first.map(|root| Goes::Control(Part::of_step(step), post_is_in(root.name)))
                }
                _ => unread(case).next().map(|(of, site)| Goes::to_site(case, of, site)),
            };
            if let Some(control) = control {
                control.follow(ui, desk);
            }
        }
        Step::GiveScale | Step::AddRoot => {}
    }
}

fn cautions(ui: &mut egui::Ui, sheet: &Sheet) {
    if sheet.cautions.is_empty() {
        return;
    }
    let colour = theme::caution(ui.visuals().dark_mode);
    egui::Frame::new().stroke(egui::Stroke::new(1.5, colour)).corner_radius(4).inner_margin(6).show(
        ui,
        |ui| {
            ui.set_width(ui.available_width());
            let count = sheet.cautions.len();
            ui.horizontal(|ui| {
                pennant_here(ui, colour);
                let more = if count == 1 { String::new() } else { format!(" ({count})") };
                ui.label(RichText::new(format!("Read first{more}")).strong().color(colour));
            });
            let mut rows = Vec::new();
            let area = ScrollArea::vertical()
                .id_salt("cautions")
                .max_height(CAUTIONS)
                .auto_shrink([false, true])
                .scroll_bar_visibility(ScrollBarVisibility::AlwaysVisible);
            let seen = scrolled(ui, "what is to be read first; arrow keys scroll it", area, |ui| {
                for caution in &sheet.cautions {
                    let lead = if caution.about.is_empty() {
                        String::new()
                    } else {
                        format!("{}: ", capital(&caution.about))
                    };
                    let row = ui.horizontal_wrapped(|ui| {
                        ui.spacing_mut().item_spacing.x = 0.0;
                        if lead.is_empty() {
                            ui.label(capital(&caution.text));
                        } else {
                            ui.label(RichText::new(&lead).strong());
                            ui.label(&caution.text);
                        }
                    });
                    rows.push(row.response.rect);
                }
            });
            // What lies below is counted, or nobody would look for it.
            let foot = seen.inner_rect.bottom() + 1.0;
            let below = rows.iter().filter(|row| row.top() > foot).count();
            if below > 0 {
                ui.label(format!("\u{2026} and {below} more: scroll here"));
            } else if rows.iter().any(|row| row.bottom() > foot) {
                ui.label("\u{2026} it goes on: scroll here");
            }
        },
    );
}
