//! What gives the scale, and the scale it gives.

use super::super::action::Action;
use super::super::app::Desk;
use super::super::work::Work;
use super::heading::card;
use super::number_field::{Field, number, propose};
use super::reference_form::{Form, Kind, between_words};
use super::rows::{aside, choice, row};
use super::sheet::Sheet;
use crate::calibration::{Between, DEFAULT_MAGNIFICATION, DEFAULT_MAGNIFICATION_SD, Library};
use crate::case::{Reason, ScaleRow};
use crate::editor::{Edit, ListChange, Placing, Selection, UncertaintyOf};
use crate::measure::Assumptions;
use crate::report::{direction_words, distortion_words, percent_words};
use crate::wording::capital;
use crate::wording::list;
use eframe::egui::{self, CollapsingHeader, RichText};

/// What the part keeps from frame to frame: the reference that is being described.
#[derive(Debug, Default)]
pub(super) struct ScalePart {
    draft: Form,
    /// How many references there were when the described one began to be clicked.
    clicked_after: Option<usize>,
}

impl ScalePart {
    /// Draws the part.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work, sheet: &Sheet) {
        scale(ui, work, sheet);
        references(ui, desk, work);
        let count = work.open.case().calibration.references.len();
        if self.clicked_after.is_some_and(|before| count > before) {
            // It is whole: the next one is described anew. One that is given up keeps what was said of it.
            *self = Self { draft: Form { kind: self.draft.kind, ..Form::default() }, clicked_after: None };
        }
        let is_first = count == 0;
        CollapsingHeader::new("Add a reference")
            .id_salt("add a reference")
            .default_open(is_first)
            .show(ui, |ui| self.add(ui, desk, work));
        CollapsingHeader::new("Uncertainties").show(ui, |ui| uncertainties(ui, desk, work));
    }

    fn add(&mut self, ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
        let library = &work.open.engine().library;
        let kinds = Kind::ALL.map(|kind| (kind.words().to_owned(), kind));
        row(ui, "What it is", |ui| {
            choice(ui, "Kind of reference", None, &kinds, Some(self.draft.kind), |kind| {
                self.draft = Form { kind: kind.unwrap_or_default(), ..Form::default() };
            });
        });
        aside(ui, self.draft.kind.hint());
        let mut taken = None;
        fields(ui, library, &self.draft, "", &mut |form| {
            form.check()?;
            taken = Some(form);
            Ok(())
        });
        if let Some(form) = taken {
            self.draft = form;
        }
        if self.draft.kind == Kind::Instrument {
            row(ui, "Course", |ui| {
                ui.radio_value(&mut self.draft.is_curved, false, "straight: click its two ends");
                ui.radio_value(&mut self.draft.is_curved, true, "curved: click along it");
            });
        }
        let words = match self.draft.kind {
            Kind::Instrument if self.draft.is_curved => "Click along it on the film",
            Kind::Instrument => "Click its ends on the film",
            Kind::Width => "Click across it on the film",
            Kind::Sphere => "Click its rim on the film",
            Kind::Receptor | Kind::Scan => "Add it",
        };
        let reference = self.draft.reference(None);
        // A press on the button ends the typing that may make the reference whole: it must be heard already then.
        let is_typing = ui.text_edit_focused();
        let button = ui.add_enabled(reference.is_ok() || is_typing, egui::Button::new(words));
        match reference {
            Ok(reference) => {
                if button.clicked() {
                    let at = work.open.case().calibration.references.len();
                    self.clicked_after = Some(at);
                    if reference.takes_points().1 == 0 {
                        let item = Box::new(reference);
                        desk.ask(Action::Edit(Edit::References(ListChange::Insert { at, item })));
                    } else {
                        let whole_at = self.draft.whole_at();
                        desk.ask(Action::BeginPlacing {
                            what: Placing::Reference(Box::new(reference)),
                            whole_at,
                        });
                    }
                }
            }
            Err(why) => aside(ui, capital(&why)),
        }
    }
}

fn scale(ui: &mut egui::Ui, work: &Work, sheet: &Sheet) {
    let scale = match &*work.numbers {
        Err(_) => {
            ui.label(sheet.failed.as_deref().unwrap_or_default());
            return;
        }
        Ok(numbers) => numbers.derived.computed.scale.as_ref(),
    };
    let Some(scale) = scale else {
        let reason =
            if work.open.case().calibration.references.is_empty() { Reason::NoScale } else { Reason::NoAxis };
        ui.label(format!("No scale yet: {}.", reason.words()));
        if reason == Reason::NoAxis {
            aside(
                ui,
                "Place the apex, and on both sides the finish line or the CEJ; or add an instrument along the tooth.",
            );
        }
        return;
    };
    card(ui, |ui| numbers(ui, scale));
}

fn numbers(ui: &mut egui::Ui, scale: &ScaleRow) {
    for (name, value, sd) in [
        ("Along the tooth", scale.axial_mm_per_px, scale.axial_relative_sd),
        ("Across it", scale.transverse_mm_per_px, scale.transverse_relative_sd),
    ] {
        row(ui, name, |ui| {
            let words = RichText::new(format!("{value:.5} mm/px  {}", percent_words(sd))).monospace();
            ui.horizontal(|ui| ui.label(words));
        });
    }
    aside(ui, format!("From {}; axial direction from {}.", list(&scale.references), direction_words(scale)));
    if let Some(words) = distortion_words(scale) {
        ui.label(format!("{}.", capital(&words)));
    }
}

fn references(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let library = &work.open.engine().library;
    for (at, reference) in work.open.case().calibration.references.iter().enumerate() {
        let form = Form::of(reference);
        let is_selected = work.open.selection() == Some(Selection::Reference(at));
        let words = RichText::new(format!("{}  {}", at + 1, capital(&form.words(library))));
        let words = if is_selected { words.strong() } else { words };
        let header = CollapsingHeader::new(words).id_salt(("reference", at)).show(ui, |ui| {
            let of = format!(" of reference {}", at + 1);
            fields(ui, library, &form, &of, &mut |changed| {
                let item = Box::new(changed.reference(Some(reference))?);
                propose(desk, work, Edit::References(ListChange::Replace { at, item }))
            });
            if !reference.points().is_empty() {
                aside(ui, "Its points can be dragged on the film.");
            }
            let remove = ui.button("Remove").accessible_name(format!("remove reference {}", at + 1));
            if remove.clicked() {
                desk.ask(Action::Edit(Edit::References(ListChange::Remove { at })));
            }
        });
        if header.header_response.clicked() {
            desk.ask(Action::Select(Some(Selection::Reference(at))));
        }
    }
}

/// The fields of a reference, whose names end on whose they are. What is chosen or typed goes to `take` as the form it
/// makes.
fn fields(
    ui: &mut egui::Ui,
    library: &Library,
    form: &Form,
    of: &str,
    take: &mut dyn FnMut(Form) -> Result<(), String>,
) {
    if form.kind.object_kind().is_some() {
        sized(ui, library, form, of, take);
    } else {
        pitched(ui, form, of, take);
    }
}

fn sized(
    ui: &mut egui::Ui,
    library: &Library,
    form: &Form,
    of: &str,
    take: &mut dyn FnMut(Form) -> Result<(), String>,
) {
    row(ui, "Object", |ui| {
        let serves: Vec<(String, &str)> = library
            .objects()
            .iter()
            .filter(|object| Some(object.kind) == form.kind.object_kind())
            .map(|object| (format!("{}: {}", object.name, object.meaning), object.name.as_str()))
            .collect();
        let none = Some("none: size typed below");
        choice(ui, &format!("Object of the library{of}"), none, &serves, form.object.as_deref(), |object| {
            // Without an object its size stays, as if it had been typed.
            let size = if object.is_none() { form.size_in_force(library) } else { None };
            let object = object.map(str::to_owned);
            // A choice of the list is never refused.
            let _ = take(Form { object, size, tolerance: None, sd: None, ..form.clone() });
        });
    });
    let size_hint = match form.size_in_force(library) {
        Some(size) if form.size.is_none() => format!("{size} by the library"),
        _ => "needed".to_owned(),
    };
    let name = form.kind.size_name();
    row(ui, name, |ui| {
        let name = &format!("{name}{of}");
        let field = Field { name, hint: &size_hint, unit: "mm", width: 130.0 };
        number(ui, field, form.size, |size| take(Form { size, ..form.clone() }));
    });
    let tolerance_hint = format!("default {}", form.usual_tolerance(library));
    row(ui, "Tolerance \u{b1}", |ui| {
        let name = &format!("Tolerance{of}");
        let field = Field { name, hint: &tolerance_hint, unit: "mm", width: 130.0 };
        number(ui, field, form.tolerance, |tolerance| take(Form { tolerance, ..form.clone() }));
    });
    row(ui, "or its sd", |ui| {
        let name = &format!("Standard uncertainty{of}");
        let field = Field { name, hint: "wins if stated", unit: "mm", width: 130.0 };
        number(ui, field, form.sd, |sd| take(Form { sd, ..form.clone() }));
    });
    if form.kind == Kind::Instrument {
        row(ui, "Lies between", |ui| {
            let all: Vec<_> =
                Between::ALL.iter().map(|(_, it)| (between_words(*it).to_owned(), *it)).collect();
            let name = format!("What the length lies between{of}");
            choice(ui, &name, Some("not stated"), &all, form.between, |between| {
                // A choice of the list is never refused.
                let _ = take(Form { between, ..form.clone() });
            });
        });
    }
}

fn pitched(ui: &mut egui::Ui, form: &Form, of: &str, take: &mut dyn FnMut(Form) -> Result<(), String>) {
    if form.kind == Kind::Receptor {
        for (at, name) in ["Pitch across", "Pitch down"].into_iter().enumerate() {
            row(ui, name, |ui| {
                let name = &format!("{name}{of}");
                let hint = if at == 0 { "needed, such as 0.02" } else { "as across" };
                let field = Field { name, hint, unit: "mm", width: 130.0 };
                let value = form.pitch.get(at).copied().flatten();
                number(ui, field, value, |typed| {
                    let mut changed = form.clone();
                    if let Some(pitch) = changed.pitch.get_mut(at) {
                        *pitch = typed;
                    }
                    take(changed)
                });
            });
        }
    } else {
        row(ui, "Resolution", |ui| {
            let name = &format!("Resolution{of}");
            let field = Field { name, hint: "needed, such as 600", unit: "dpi", width: 130.0 };
            number(ui, field, form.dpi, |dpi| take(Form { dpi, ..form.clone() }));
        });
    }
    let hints = [format!("default {DEFAULT_MAGNIFICATION}"), format!("default {DEFAULT_MAGNIFICATION_SD}")];
    row(ui, "Magnification", |ui| {
        let name = &format!("Magnification{of}");
        let field = Field { name, hint: &hints[0], unit: "", width: 130.0 };
        number(ui, field, form.magnification, |magnification| take(Form { magnification, ..form.clone() }));
    });
    row(ui, "its sd", |ui| {
        let name = &format!("Standard uncertainty of the magnification{of}");
        let field = Field { name, hint: &hints[1], unit: "", width: 130.0 };
        number(ui, field, form.magnification_sd, |magnification_sd| {
            take(Form { magnification_sd, ..form.clone() })
        });
    });
}

fn uncertainties(ui: &mut egui::Ui, desk: &mut Desk<'_>, work: &Work) {
    let case = work.open.case();
    let in_force = Assumptions::of(case);
    aside(ui, "Standard uncertainties. Emptied, the default for this tooth and technique holds again.");
    for of in UncertaintyOf::ALL {
        let (name, now, unit) = match of {
            UncertaintyOf::Placing => ("Placing a point", in_force.placing.get(), "mm"),
            UncertaintyOf::ParallaxDepth => ("Parallax depth", in_force.parallax_depth.get(), "mm"),
            UncertaintyOf::Angulation => ("Beam's angle", in_force.angulation.get(), "deg"),
        };
        let hint = format!("default {now}");
        row(ui, name, |ui| {
            let field = Field { name: of.words(), hint: &hint, unit, width: 130.0 };
            number(ui, field, *of.value(case), |value| {
                propose(desk, work, Edit::Uncertainty { of: *of, value })
            });
        });
    }
    let hint = format!("default {}", in_force.ratio_sd);
    row(ui, "Ratio of scales", |ui| {
        let name = "uncertainty of the ratio of the scales across and along";
        let field = Field { name, hint: &hint, unit: "", width: 130.0 };
        number(ui, field, case.calibration.ratio_sd, |sd| propose(desk, work, Edit::RatioSd(sd)));
    });
}
