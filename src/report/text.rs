//! The table for people: the job's questions in its order, each with its numbers and its verdicts, 80 columns wide.

use super::Style;
use crate::case::{
    Case, Computed, Derived, Lack, MeasurementRow, Reason, RowRef, ScaleRow, State, Strength, Verdict,
    VerdictRow,
};
use crate::caution::CautionRow;
use crate::measure::{CATALOGUE, FEWEST_DRAWS, Question, Row};
use crate::quantity::COVERAGE_FACTOR;
use crate::verdict::{Criteria, Criterion};
use crate::wording::{decimals, list, unsigned_zero, wrapped};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// What stands under every result.
pub const SAFETY: &str = "A radiograph is a two-dimensional projection; it shows the mesial and distal walls only. \
These measurements support and never replace examination, local rules and the judgement of a licensed clinician. \
This is not a certified medical device.";

/// Columns of the table.
const WIDTH: usize = 80;
/// An interval whose middle lies further from the value than this part of its half width is shown by its ends.
const LEAST_SKEW: f64 = 0.1;
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

struct Page<'a> {
    text: String,
    style: Style,
    case: &'a Case,
}

impl Page<'_> {
    /// A measurement's name as this tooth's dentist says it.
    fn name(&self, of: &RowRef) -> String {
        let spoken = of.spoken();
        let upper = self.case.tooth.fdi.is_some_and(crate::case::Fdi::is_upper);
        if upper { spoken.replace(", lingual", ", palatal") } else { spoken }
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
        let percent = |relative: f64| 100.0 * COVERAGE_FACTOR * relative;
        self.paragraph(
            "scale    ",
            &format!(
                "{:.5} mm/px along the tooth (± {:.1} %), {:.5} across it (± {:.1} %), from {}; axial direction from {}",
                scale.axial_mm_per_px,
                percent(scale.axial_relative_sd),
                scale.transverse_mm_per_px,
                percent(scale.transverse_relative_sd),
                list(&scale.references),
                if scale.axial_direction_from == "instrument" { "the instrument" } else { "the tooth" },
            ),
        );
        if let (Some(ratio), Some(tilt), Some(apart)) =
            (scale.elongation, scale.elongation_tilt_deg, scale.disagreement_sd)
        {
            let how = if ratio >= 1.0 {
                format!("{ratio:.3} times too long")
            } else {
                format!("at {ratio:.3} of its length")
            };
            self.paragraph(
                "         ",
                &format!(
                    "the tooth is thrown {how}, as by a tilt of {tilt:.0} deg; references {apart:.1} sd apart"
                ),
            );
        }
    }

    /// How many verdicts of each word there are, what is there and what is planned apart.
    fn summary(&mut self, derived: &Derived, criteria: &Criteria) {
        for (state, lead) in [(State::Present, "verdicts "), (State::Planned, "planned  ")] {
            let mut parts = Vec::new();
            for strength in [Strength::Requirement, Strength::Preference] {
                let mine = || {
                    derived.verdicts.iter().filter(move |row| {
                        row.strength == strength && row.state.unwrap_or(State::Present) == state
                    })
                };
                let of = |verdict: Verdict| mine().filter(|row| row.verdict == Some(verdict)).count();
                let (meet, short, open) =
                    (of(Verdict::Meets), of(Verdict::FallsShort), of(Verdict::Undecided));
                if meet + short + open == 0 {
                    continue;
                }
                let mut names: Vec<String> = mine()
                    .filter(|row| row.verdict == Some(Verdict::FallsShort))
                    .filter_map(|row| criteria.list.iter().find(|criterion| criterion.id == row.criterion))
                    .map(|criterion| criterion.title.clone())
                    .collect();
                names.dedup();
                let which = if names.is_empty() { String::new() } else { format!(" ({})", list(&names)) };
                parts.push(format!(
                    "{}s: {meet} meet, {short} fall short{which}, {open} undecided",
                    strength.words()
                ));
            }
            if !parts.is_empty() {
                self.paragraph(lead, &parts.join("; "));
            }
        }
    }

    /// What a caution is about, in words where it is a measurement or landmark.
    fn about_words(&self, about: &str) -> String {
        if about.contains('/') {
            return about.to_owned();
        }
        let (id, root) = match about.strip_suffix(')').and_then(|about| about.split_once(" (")) {
            Some((id, root)) => (id, Some(root.to_owned())),
            None => (about, None),
        };
        self.name(&RowRef { id: id.to_owned(), root })
    }

    fn cautions(&mut self, cautions: &[CautionRow]) {
        if cautions.is_empty() {
            return;
        }
        self.line("");
        let heading = self.style.heading("READ FIRST");
        self.line(&heading);
        for caution in cautions {
            let about: Vec<String> = caution.about.iter().map(|about| self.about_words(about)).collect();
            let about = match about.as_slice() {
                [] => String::new(),
                [one, two, three, rest @ ..] if !rest.is_empty() => {
                    format!("{one}; {two}; {three}; and {} more: ", rest.len())
                }
                few => format!("{}: ", few.join("; ")),
            };
            self.paragraph("  ! ", &format!("{about}{}", caution.text));
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
        let (Some(value), Some([low, high])) = (row.value, row.interval) else { return };
        let half = (high - low) / 2.0;
        let digits = decimals(half);
        let number = |value: f64| unsigned_zero(format!("{value:.digits$}"));
        // Clipping and draws make intervals whose middle is not the value; a ± would tell the wrong ends.
        let is_symmetric = (f64::midpoint(low, high) - value).abs() <= LEAST_SKEW * half;
        let interval = if is_symmetric {
            format!("± {:<6}", number(half))
        } else {
            format!("({} to {})", number(low), number(high))
        };
        let unit = row.unit.suffix();
        let mut line = format!("  {:<NAME$} {:>8} {interval} {unit:<3}", self.name(&row.of), number(value));
        if row.draws_used.is_some_and(|used| used < FEWEST_DRAWS) {
            line.push_str(" first order");
        } else if row.first_order_doubtful && row.draws_used.is_none() {
            line.push_str(" doubtful");
        }
        self.line(&line);
    }

    fn verdict(&mut self, verdict: &VerdictRow, criterion: &Criterion) {
        let unit = criterion.rows.first().map_or("", |row| row.unit.suffix());
        let found = verdict.class.clone().unwrap_or_else(|| criterion.bound.in_unit(unit));
        let mut words = format!("{}: {found}", criterion.title);
        if criterion.is_of_root()
            && let Some(root) =
                verdict.about.first().and_then(|about| about.root.as_deref()).filter(|root| *root != "single")
        {
            let _ = write!(words, ", {root} root");
        }
        // A criterion over one site says which; over several, which is the worst.
        if verdict.verdict.is_none()
            && let [only] = verdict.about.as_slice()
            && let Some((_, site)) = only.id.split_once('.')
        {
            let _ = write!(words, ", {site}");
        }
        if let Some(probability) = verdict.probability {
            let _ = write!(words, " (p {}", probability_words(probability));
            let worst = verdict.worst.as_ref().filter(|_| verdict.verdict != Some(Verdict::Meets));
            if let Some(worst) = worst {
                let _ = write!(words, "; worst: {}", self.name(worst));
            }
            words.push(')');
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
        if let Some(settled_by) = &verdict.settled_by {
            for (index, line) in wrapped(settled_by, WIDTH - indent.len() - 12).into_iter().enumerate() {
                self.line(&format!(
                    "{indent}{}{line}",
                    if index == 0 { "settled by: " } else { "            " }
                ));
            }
        }
    }

    /// What was not measured, by what is lacking: landmarks first, since a user can do something about them.
    fn lacking(&mut self, rows: &[MeasurementRow]) {
        let mut by_lack: Vec<(&Lack, Vec<String>)> = Vec::new();
        let mut by_reason: BTreeMap<&'static str, Vec<String>> = BTreeMap::new();
        for row in rows {
            for lack in &row.lacks {
                match by_lack.iter_mut().find(|(known, _)| *known == lack) {
                    Some((_, rows)) => rows.push(self.name(&row.of)),
                    None => by_lack.push((lack, vec![self.name(&row.of)])),
                }
            }
            if let Some(reason) = row.reason {
                by_reason.entry(reason.words()).or_default().push(self.name(&row.of));
            }
        }
        if by_lack.is_empty() && by_reason.is_empty() {
            return;
        }
        self.line("");
        let heading = self.style.heading("NOT MEASURED, FOR WANT OF");
        self.line(&heading);
        by_lack.sort_by_key(|(_, rows)| std::cmp::Reverse(rows.len()));
        for (lack, rows) in by_lack {
            let which = if rows.len() > 3 { format!("{} measurements", rows.len()) } else { list(&rows) };
            self.paragraph("  ", &format!("{}: {which}", lack.words()));
        }
        for (reason, rows) in by_reason {
            let which = if rows.len() > 3 { format!("{} measurements", rows.len()) } else { list(&rows) };
            self.paragraph("  ", &format!("{which}: {reason}"));
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

/// A probability as one reads it: never a bare 0 or 1 for what is only nearly so.
fn probability_words(probability: f64) -> String {
    match probability {
        _ if probability > 0.999 => "> 0.999".to_owned(),
        _ if probability < 0.001 => "< 0.001".to_owned(),
        _ if (0.945..0.95).contains(&probability) || !(0.01..=0.995).contains(&probability) => {
            format!("{probability:.3}")
        }
        _ => format!("{probability:.2}"),
    }
}

/// The row of the catalogue a measurement's name belongs to.
fn catalogue_row(of: &RowRef) -> Option<&'static Row> {
    let id = of.id.split(['.', '@']).next()?;
    CATALOGUE.iter().find(|row| row.id == id && row.applies.is_root() == of.root.is_some())
}
