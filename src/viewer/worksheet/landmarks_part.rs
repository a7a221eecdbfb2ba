//! The landmarks: the tooth as a drawing and as a list, and what is drawn root by root.

use super::super::action::{Action, Target};
use super::super::app::Desk;
use super::super::theme;
use super::super::work::Work;
use super::definitions::Pictures;
use super::heading::card;
use super::known::{Known, state_words};
use super::number_field::propose;
use super::rows::aside;
use super::{root_part, tooth_picture};
use crate::calibration::Extra;
use crate::case::{Case, Mark, NOT_THERE, Point, Sight, State};
use crate::editor::{Edit, LandmarkAt, Selection, landmarks, marking, next_of, next_to_place, sight_of};
use crate::wording::capital;
use eframe::egui::text::{LayoutJob, TextFormat};
use eframe::egui::{self, Button, CollapsingHeader, Label, RichText, Sense, TextEdit, TextStyle, vec2};

/// What the part keeps from frame to frame: the reason that is being typed, and for which landmark.
#[derive(Debug, Default)]
pub(super) struct LandmarksPart {
    reason: Option<(LandmarkAt, String)>,
    why_not: Option<(LandmarkAt, String)>,
    lists: bool,
    pictures: Pictures,
}

impl LandmarksPart {
    /// Another case begins; pictures stay.
    pub(super) fn forget(&mut self) {
        *self = Self { pictures: std::mem::take(&mut self.pictures), ..Self::default() };
    }

    /// Draws the part.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
        let case = work.open.case();
        let chosen = work.landmark_meant();
        let next = next_to_place(case, None).filter(|_| chosen.is_none());
        let pointed_out = tooth_picture::PointedOut { chosen, next, stands_at: None };
        if let Some(at) = tooth_picture::show(ui, case, work.viewport.is_reversed(), pointed_out) {
            choose(desk, case, at);
        }
        match chosen.filter(|_| !self.lists) {
            Some(at) => {
                card(ui, |ui| self.one(ui, desk, work, at));
            }
            None if chosen.is_none() => {
                aside(ui, "Press a mark, then click its place on the film; what is placed is only chosen.");
            }
            None => {}
        }
        key(ui);
        let list = CollapsingHeader::new("As a list").id_salt("list of landmarks").show(ui, |ui| {
            for (at, sight) in landmarks(case) {
                ui.push_id(at, |ui| self.listed(ui, desk, work, at, sight));
            }
        });
        self.lists = list.body_returned.is_some();
        for root in &case.roots {
            root_part::show(ui, desk, work, root);
        }
    }

    fn listed(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, at: LandmarkAt, sight: Sight) {
        let case = work.open.case();
        let is_chosen = work.landmark_meant() == Some(at);
        let words = state_words(case, at, sight);
        ui.horizontal_wrapped(|ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(16.0, 18.0), Sense::hover());
            let colour = ui.visuals().strong_text_color();
            tooth_picture::shape(ui, rect.center(), Known::of(case, at, sight), colour);
            let button = ui.add(Button::selectable(is_chosen, at.words()));
            let button = button.on_hover_text(at.id.landmark().declaration().meaning);
            if button.accessible_name(format!("{}, {words}", at.words())).clicked() {
                choose(desk, case, at);
            }
            aside(ui, words);
        });
        if is_chosen {
            card(ui, |ui| self.one(ui, desk, work, at));
        }
    }

    /// One landmark: what it is, how it stands, and all that can be done with it.
    fn one(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, at: LandmarkAt) {
        let case = work.open.case();
        let sight = sight_of(case, at);
        ui.label(RichText::new(capital(&at.words())).strong());
        ui.label(capital(at.id.landmark().declaration().meaning));
        self.pictures.show(ui, at.id.landmark());
        aside(ui, capital(&state_words(case, at, sight)));
        let mark = at.mark(case);
        let placed = mark.and_then(Mark::point);
        let is_aimed_at = work.aim == Some(Target::Landmark(at));
        ui.horizontal_wrapped(|ui| {
            let words = match (is_aimed_at, placed.is_some()) {
                (true, _) => "Click its place on the film",
                (false, true) => "Place again",
                (false, false) => "Place it",
            };
            if ui.add(Button::selectable(is_aimed_at, words).frame_when_inactive(true)).clicked() {
                desk.ask(match placed {
                    Some(_) if !is_aimed_at => Action::PlaceAgain(at),
                    _ => Action::Aim((!is_aimed_at).then_some(Target::Landmark(at))),
                });
            }
            if let Some(point) = placed {
                let words = if point.is_planned() { "It is there already" } else { "It is only planned" };
                if ui.button(words).clicked() {
                    desk.ask(Action::Edit(Edit::Mark { at, mark: Some(Mark::Placed(turned(point))) }));
                }
            }
            if mark.is_some() && ui.button("Delete").on_hover_text("as if it had never been placed").clicked()
            {
                let took = propose(desk, work, marking(case, at, None));
                self.why_not = took.err().map(|why| (at, why));
            }
        });
        self.reasons(ui, desk, work, at, sight);
        if let Some((_, why)) = self.why_not.as_ref().filter(|(of, _)| *of == at) {
            ui.label(format!("Not done: {why}"));
        }
    }

    /// Hidden or absent, with the reason.
    fn reasons(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, at: LandmarkAt, sight: Sight) {
        if self.reason.as_ref().is_none_or(|(of, _)| *of != at) {
            self.reason = Some((at, String::new()));
        }
        let Some((_, reason)) = &mut self.reason else { return };
        let usual = sight.why_hidden();
        ui.horizontal_wrapped(|ui| {
            ui.label("or it is");
            let says = |usual: &str| {
                let typed = reason.trim();
                if typed.is_empty() { usual.to_owned() } else { typed.to_owned() }
            };
            let hidden = ui.button("Hidden").on_hover_text("it exists, and this film cannot show it");
            let absent = ui.button("Absent").on_hover_text("it does not exist");
            // The strip over the film has buttons of the same words for what is aimed at.
            let [hidden, absent] = [(hidden, "hidden"), (absent, "absent")]
                .map(|(button, word)| button.accessible_name(format!("{} is {word}", at.words())));
            let mark = if hidden.clicked() {
                Some(Mark::Hidden { hidden: says(usual), extra: Extra::new() })
            } else if absent.clicked() {
                Some(Mark::Absent { absent: says(NOT_THERE), extra: Extra::new() })
            } else {
                None
            };
            let field = TextEdit::singleline(reason).hint_text("reason").desired_width(150.0);
            ui.add(field).accessible_name(format!("reason why {} is hidden or absent", at.words()));
            if let Some(mark) = mark {
                let took = propose(desk, work, marking(work.open.case(), at, Some(mark)));
                self.why_not = took.err().map(|why| (at, why));
                if self.why_not.is_none() && work.aim == Some(Target::Landmark(at)) {
                    let next = next_of(work.open.case(), Some(at), Sight::Asked).filter(|next| *next != at);
                    desk.ask(Action::Aim(next.map(Target::Landmark)));
                    desk.ask(Action::Select(next.map(Selection::Landmark)));
                }
            }
        });
    }
}

/// Selects a landmark, and aims at it where it is not placed yet: the next click on the film moves no point that is there.
fn choose(desk: &mut Desk<'_>, case: &Case, at: LandmarkAt) {
    let is_placed = at.mark(case).and_then(Mark::point).is_some();
    desk.ask(Action::Aim((!is_placed).then_some(Target::Landmark(at))));
    desk.ask(Action::Select(Some(Selection::Landmark(at))));
}

/// A planned point as one that is there, and the other way round.
fn turned(point: &Point) -> Point {
    let state = if point.is_planned() { None } else { Some(State::Planned) };
    Point { state, ..point.clone() }
}

/// What the shapes of the drawing mean.
fn key(ui: &mut egui::Ui) {
    let font = TextStyle::Small.resolve(ui.style());
    let faint = theme::faint(ui.visuals().dark_mode);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(9.0, 2.0);
        for known in Known::ALL {
            let mut words = LayoutJob::default();
            words.append(known.word(), 17.0, TextFormat::simple(font.clone(), faint));
            let word = ui.add(Label::new(words).extend());
            let centre = word.rect.left_center() + vec2(7.0, 0.0);
            tooth_picture::shape(ui, centre, known, ui.visuals().text_color());
        }
    });
}
