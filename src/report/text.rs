//! The table for people: the job's questions in its order, each with its numbers and its verdicts, 80 columns wide.

use super::Style;
use super::words::{
    Lacking, Tally, ValueWords, all_about_words, catalogue_row, claim_words, direction_words,
    distortion_words, doubt_words, lacking, measurement_name, percent_words, rows_words, settled_words,
    sureness_words, tallies, value_words,
};
use crate::case::{Case, Computed, Derived, MeasurementRow, Reason, RowRef, ScaleRow, State, VerdictRow};
use crate::caution::CautionRow;
use crate::measure::Question;
use crate::quantity::COVERAGE_FACTOR;
use crate::verdict::{Criteria, Criterion};
use crate::wording::{list, wrapped};
use std::fmt::Write as _;

/// What stands under every result.
pub const SAFETY: &str = "A radiograph is a two-dimensional projection; it shows the mesial and distal walls only. \
These measurements support and never replace examination, local rules and the judgement of a licensed clinician. \
This is not a certified medical device.";

/// Columns of the table.
const WIDTH: usize = 80;
/// Columns the name of a measurement takes.
const NAME: usize = 42;

/// A case and everything computed from it, as text.
pub fn case_text(name: &str, case: &Case, derived: &Derived, criteria: &Criteria, style: Style) -> String {
    let mut page = Page { text: String::new(), style, case };
    page.head(name, case, &derived.computed);
    page.summary(derived, criteria);
    page.cautions(&derived.cautions);
    for (state, title) in [(State::Present, "WHAT IS THERE"), (State::Planned, "WHAT IS PLANNED")] {
        page.part(title, state, derived, criteria);
    }
    page.lacking(&derived.measurements);
    page.foot(derived, criteria);
    page.text
}

/// The cautions of a case under their heading; nothing where there are none.
pub(super) fn cautions_text(case: &Case, cautions: &[CautionRow], style: Style) -> String {
    let mut page = Page { text: String::new(), style, case };
    page.cautions(cautions);
    page.text
}

struct Page<'a> {
    text: String,
    style: Style,
    case: &'a Case,
}

impl Page<'_> {
    fn name(&self, of: &RowRef) -> String {
        measurement_name(self.case, of)
    }

    fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// Words wrapped to the page, the first line after `first`, the rest indented as far.
    fn paragraph(&mut self, first: &str, words: &str) {
        let indent = first.chars().count();
        for (index, line) in wrapped(words, WIDTH - indent).into_iter().enumerate() {
            let lead = if index == 0 { first.to_owned() } else { " ".repeat(indent) };
            self.line(&format!("{lead}{line}"));
        }
    }

    fn aside(&mut self, indent: &str, words: &str) {
        for line in wrapped(words, WIDTH - indent.len()) {
            let line = self.style.aside(&line);
            self.line(&format!("{indent}{line}"));
        }
    }

    fn head(&mut self, name: &str, case: &Case, computed: &Computed) {
        let tooth = case.tooth.fdi.map_or_else(|| "tooth not named".to_owned(), |fdi| format!("tooth {fdi}"));
        let roots: Vec<_> = case.roots.iter().map(|root| root.name.word().to_owned()).collect();
        let roots = match roots.len() {
            0 => "no root listed".to_owned(),
            1 => "one root".to_owned(),
            count => format!("{count} roots ({})", list(&roots)),
        };
        let heading = self.style.heading(&format!("{name}: {tooth}, {roots}"));
        self.line(&heading);
        if let Some(label) = &case.label {
            self.paragraph("label    ", label);
        }
        let film = &case.film;
        let mut words = vec![film.file.clone().unwrap_or_else(|| "none named".to_owned())];
        if let (Some(width), Some(height)) = (film.width_px, film.height_px) {
            words.push(format!("{width} x {height} px"));
        }
        words.extend(film.stage.map(|stage| stage.word().replace('_', " ")));
        words.extend(film.technique.map(|technique| match technique {
            crate::case::Technique::Unknown => "technique unknown".to_owned(),
            known => format!("{} technique", known.word()),
        }));
        words.extend(film.date.clone());
        self.paragraph("film     ", &words.join(", "));
        match &computed.scale {
            Some(scale) => self.scale(scale),
            None => {
                self.paragraph("scale    ", "none: nothing on the film can be measured in mm (see below)");
            }
        }
    }

    fn scale(&mut self, scale: &ScaleRow) {
        self.paragraph(
            "scale    ",
            &format!(
                "{:.5} mm/px along the tooth ({}), {:.5} across it ({}), from {}; axial direction from {}",
                scale.axial_mm_per_px,
                percent_words(scale.axial_relative_sd),
                scale.transverse_mm_per_px,
                percent_words(scale.transverse_relative_sd),
                list(&scale.references),
                direction_words(scale),
            ),
        );
        if let Some(words) = distortion_words(scale) {
            self.paragraph("         ", &words);
        }
    }

    /// How many verdicts of each word there are, what is there and what is planned apart.
    fn summary(&mut self, derived: &Derived, criteria: &Criteria) {
        for (state, lead) in [(State::Present, "verdicts "), (State::Planned, "planned  ")] {
            let parts: Vec<String> = tallies(derived, criteria, state).iter().map(Tally::words).collect();
            if !parts.is_empty() {
                self.paragraph(lead, &parts.join("; "));
            }
        }
    }

    fn cautions(&mut self, cautions: &[CautionRow]) {
        if cautions.is_empty() {
            return;
        }
        self.line("");
        let heading = self.style.heading("READ FIRST");
        self.line(&heading);
        for caution in cautions {
            let about = all_about_words(self.case, &caution.about);
            let lead = if about.is_empty() { String::new() } else { format!("{about}: ") };
            self.paragraph("  ! ", &format!("{lead}{}", caution.text));
        }
    }

    /// All that is there, or all that is planned, question by question.
    fn part(&mut self, title: &str, state: State, derived: &Derived, criteria: &Criteria) {
        let mut part = Page { text: String::new(), style: self.style, case: self.case };
        for question in Question::ALL {
            part.question(question, state, derived, criteria);
        }
        if !part.text.is_empty() {
            self.line("");
            let heading = self.style.heading(title);
            let note = self.style.aside("± is half a 95 % interval, p the probability of the bound");
            self.line(&format!("{heading}   {note}"));
            self.text.push_str(&part.text);
        }
    }

    fn question(&mut self, question: Question, state: State, derived: &Derived, criteria: &Criteria) {
        let rows = derived.measurements.iter().filter(|row| {
            row.value.is_some()
                && row.state == Some(state)
                && catalogue_row(&row.of).is_some_and(|it| it.question == question)
        });
        let verdicts: Vec<(&VerdictRow, &Criterion)> = derived
            .verdicts
            .iter()
            .filter_map(|verdict| {
                Some((verdict, criteria.list.iter().find(|it| it.id == verdict.criterion)?))
            })
            .filter(|(_, criterion)| criterion.rows.first().is_some_and(|row| row.question == question))
            // A verdict without any value yet is about what is there.
            .filter(|(verdict, _)| verdict.state.unwrap_or(State::Present) == state)
            .filter(|(verdict, _)| verdict.verdict.is_some() || verdict.probability.is_some())
            .collect();
        let mut body = Page { text: String::new(), style: self.style, case: self.case };
        for row in rows {
            body.measurement(row);
        }
        for (verdict, criterion) in verdicts {
            body.verdict(verdict, criterion);
        }
        if !body.text.is_empty() {
            self.line("");
            let heading = self.style.heading(question.words());
            self.line(&heading);
            self.text.push_str(&body.text);
        }
    }

    fn measurement(&mut self, row: &MeasurementRow) {
        let Some(ValueWords { value, spread }) = value_words(row) else { return };
        let spread = if spread.starts_with('±') { format!("{spread:<8}") } else { spread };
        let unit = row.unit.suffix();
        let mut line = format!("  {:<NAME$} {value:>8} {spread} {unit:<3}", self.name(&row.of));
        if let Some(doubt) = doubt_words(row) {
            let _ = write!(line, " {doubt}");
        }
        self.line(&line);
    }

    fn verdict(&mut self, verdict: &VerdictRow, criterion: &Criterion) {
        let mut words = claim_words(verdict, criterion);
        if let Some(sureness) = sureness_words(self.case, verdict) {
            let _ = write!(words, " ({sureness})");
        }
        let strength = match verdict.verdict {
            Some(_) => format!(" [{}]", criterion.strength.words()),
            None => String::new(),
        };
        let shape = self.style.verdict(verdict.verdict);
        let indent = 20;
        for (index, line) in wrapped(&format!("{words}{strength}"), WIDTH - indent).into_iter().enumerate() {
            let lead = if index == 0 { format!("  {shape} ") } else { " ".repeat(indent) };
            self.line(&format!("{lead}{line}"));
        }
        let indent = " ".repeat(indent);
        self.aside(&indent, &format!("by {}", criterion.source));
        if let Some(settled_by) = settled_words(self.case, verdict) {
            for (index, line) in wrapped(&settled_by, WIDTH - indent.len() - 12).into_iter().enumerate() {
                self.line(&format!(
                    "{indent}{}{line}",
                    if index == 0 { "settled by: " } else { "            " }
                ));
            }
        }
    }

    /// What was not measured, by what is lacking: landmarks first, since a user can do something about them.
    fn lacking(&mut self, rows: &[MeasurementRow]) {
        let Lacking { by_landmark, by_reason } = lacking(rows);
        if by_landmark.is_empty() && by_reason.is_empty() {
            return;
        }
        self.line("");
        let heading = self.style.heading("NOT MEASURED, FOR WANT OF");
        self.line(&heading);
        for (lack, rows) in by_landmark {
            self.paragraph("  ", &format!("{}: {}", lack.words(), rows_words(self.case, &rows)));
        }
        for (reason, rows) in by_reason {
            self.paragraph("  ", &format!("{}: {reason}", rows_words(self.case, &rows)));
        }
        if rows.iter().any(|row| row.reason == Some(Reason::NoScale)) {
            self.line("");
            self.paragraph(
                "  ",
                "To calibrate, add a reference to \"calibration\": an instrument of known length along the tooth \
                 ({\"kind\": \"instrument\", \"points\": [two ends], \"length_mm\": 21.0}), a known width or ball, or the \
                 receptor's pitch; docs/case.md shows each.",
            );
        }
    }

    fn foot(&mut self, derived: &Derived, criteria: &Criteria) {
        let computed = &derived.computed;
        self.line("");
        if computed.draws == 0
            && derived.measurements.iter().any(|row| row.first_order_doubtful && row.value.is_some())
        {
            self.aside("", "Where it says doubtful, the value is skewed; --draws 20000 gives its interval.");
        }
        if let Some(shared) = &computed.shared_angle {
            let words = format!(
                "One vertical angle of the beam is common to all rows (sd {} deg). Were it twice that, the first-order ± \
                 of {} would be {:.2} instead of {:.2} mm.",
                shared.angulation_deg,
                self.name(&shared.most_affected),
                COVERAGE_FACTOR * shared.sd_at_twice_the_angle,
                COVERAGE_FACTOR * shared.sd,
            );
            self.aside("", &words);
        }
        let how = if computed.draws > 0 {
            format!("intervals by {} draws, seed {}", computed.draws, computed.seed)
        } else {
            "intervals first order".to_owned()
        };
        self.aside("", &format!("Criteria: {}; {how}; {}.", criteria.name, computed.program));
        self.paragraph("", SAFETY);
    }
}
