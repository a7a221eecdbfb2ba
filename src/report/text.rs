//! The table for people: the job's questions in its order, each with its numbers and its verdicts, 80 columns wide.

use super::Style;
use super::tally::{Tally, tallies};
use super::words::{
    Answers, Lacking, NO_SCALE, SIGNS, ValueWords, all_about_words, answers, distortion_words, doubt_words,
    film_facts, judged_words, lacking, measurement_name, rows_words, scale_words, settled_words,
    shared_angle_words, tooth_words, value_words,
};
use crate::case::{Case, Computed, Derived, MeasurementRow, Reason, RowRef, ScaleRow, State, VerdictRow};
use crate::caution::CautionRow;
use crate::measure::Question;
use crate::verdict::{Criteria, Criterion};
use crate::wording::wrapped;
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
        let heading = self.style.heading(&format!("{name}: {}", tooth_words(case)));
        self.line(&heading);
        if let Some(label) = &case.label {
            self.paragraph("label    ", label);
        }
        let mut words = vec![case.film.file.clone().unwrap_or_else(|| "none named".to_owned())];
        words.extend(film_facts(case));
        self.paragraph("film     ", &words.join(", "));
        match &computed.scale {
            Some(scale) => self.scale(scale),
            None => {
                self.paragraph("scale    ", NO_SCALE);
            }
        }
    }

    fn scale(&mut self, scale: &ScaleRow) {
        self.paragraph("scale    ", &scale_words(scale));
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
            let note = self.style.aside(SIGNS);
            self.line(&format!("{heading}   {note}"));
            self.text.push_str(&part.text);
        }
    }

    fn question(&mut self, question: Question, state: State, derived: &Derived, criteria: &Criteria) {
        let Answers { values, verdicts } = answers(question, state, derived, criteria);
        let mut body = Page { text: String::new(), style: self.style, case: self.case };
        for row in values {
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
        let words = judged_words(self.case, verdict, criterion);
        let shape = self.style.verdict(verdict.verdict);
        let indent = 20;
        for (index, line) in wrapped(&words, WIDTH - indent).into_iter().enumerate() {
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
            let words = shared_angle_words(self.case, shared);
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
