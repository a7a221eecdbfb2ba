//! A score as text for people, as CSV and as JSON.

use super::csv::{csv_record, number};
use super::score_words::{
    changed_criterion, not_counted_words, outcomes_words, scored_name, scored_verdict, set_right_words,
    unmeasured_words,
};
use super::{SAFETY, Style};
use crate::agreement::Quantity;
use crate::case::Case;
use crate::practice::{
    FORMAT, LandmarkScore, LearningCurve, MeasurementError, Outcome, RECENT, Score, VERSION, VerdictChange,
    across_words,
};
use crate::verdict::Criteria;
use crate::wording::wrapped;
use serde::Serialize;

/// Columns of the page.
const WIDTH: usize = 80;
/// Columns the name of a landmark or measurement takes.
const NAME: usize = 36;

/// Whose score it is, and against what.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Scored<'a> {
    /// The student: the name of the case's file.
    pub student: &'a str,
    /// The key, as it was named.
    pub key_file: &'a str,
    /// The case, as it was named.
    pub case_file: &'a str,
    /// Two digits by ISO 3950, where the key names the tooth.
    pub tooth: Option<&'a str>,
    /// Whether the key is a consensus.
    pub consensus: bool,
}

/// A score as one line of JSON.
///
/// # Errors
/// None that a score can cause; the signature is the serialiser's.
pub fn score_json(of: &Scored<'_>, score: &Score) -> serde_json::Result<String> {
    #[derive(Serialize)]
    struct Document<'a> {
        format: &'static str,
        version: u64,
        #[serde(flatten)]
        of: &'a Scored<'a>,
        #[serde(flatten)]
        score: &'a Score,
    }
    serde_json::to_string(&Document { format: FORMAT, version: VERSION, of, score })
}

/// Header of a score's CSV: one row a student and landmark.
pub const SCORE_HEADER: [&str; 13] = [
    "student",
    "tooth",
    "root",
    "landmark",
    "outcome",
    "along_mm",
    "across_mm",
    "distance_mm",
    "along_towards",
    "across_towards",
    "along_in_sd",
    "across_in_sd",
    "distance_in_sd",
];

/// A score's landmarks as CSV, without the header.
pub fn score_csv(of: &Scored<'_>, score: &Score) -> String {
    let mut text = String::new();
    for it in &score.landmarks {
        let error = it.error.summed();
        let in_sd = it.error.in_sd();
        csv_record(
            &mut text,
            [
                of.student.to_owned(),
                of.tooth.unwrap_or_default().to_owned(),
                it.root.clone().unwrap_or_default(),
                it.landmark.clone(),
                it.outcome.word().to_owned(),
                number(error.map(|error| error.along_mm)),
                number(error.map(|error| error.across_mm)),
                number(error.map(|error| error.distance_mm)),
                it.error.along_word().to_owned(),
                error.map(|error| across_words(error.across_mm).to_owned()).unwrap_or_default(),
                number(in_sd.map(|it| it.along)),
                number(in_sd.map(|it| it.across)),
                number(in_sd.map(|it| it.distance)),
            ],
        );
    }
    text
}

/// A score for people.
pub fn score_text(of: &Scored<'_>, key: &Case, score: &Score, criteria: &Criteria, style: Style) -> String {
    let mut page = Page { text: String::new(), style };
    let tooth = key.tooth.fdi.map(|fdi| format!("tooth {fdi}, ")).unwrap_or_default();
    let kind = if of.consensus { "a consensus" } else { "a truth" };
    let heading = style.heading(&format!("{}: {tooth}against {kind}", of.student));
    page.line(&heading);
    if !score.same_film_known {
        page.paragraph(
            "  ! ",
            "key and case do not both name their film by \"sha256\"; make sure it is the same film",
        );
    }
    for landmark in &score.exchanged_sides {
        let name = Quantity::words_of(landmark);
        page.paragraph("  ! ", &format!("{name}: mesial and distal look exchanged"));
    }
    page.landmarks(&score.landmarks, of.consensus);
    page.measurements(&score.measurements, of.consensus);
    page.verdicts(&score.verdicts, criteria);
    page.text
}

/// What stands once under all scores.
pub fn score_foot() -> String {
    let mut page = Page { text: String::new(), style: Style::Plain };
    page.line("");
    page.paragraph(
        "",
        "Errors are case − key, in mm of the key's scale along and across the tooth; definitions: docs/practice.md.",
    );
    page.paragraph("", SAFETY);
    page.text
}

/// How a student comes along, for people: what the latest attempts scattered by, beside the first ones.
pub fn learning_text(student: &str, curves: &[LearningCurve], style: Style) -> String {
    let mut page = Page { text: String::new(), style };
    page.line("");
    let heading = style.heading(&format!("{student} SO FAR"));
    page.line(&heading);
    let aside = format!("  {:<NAME$} {:>5} {:>7} {:>7}   rms error, mm", "", "times", "placed", "marked");
    page.line(&style.aside(&aside));
    for curve in curves {
        let placed = became(curve, |outcome| outcome == Outcome::Placed);
        let marked = became(curve, Outcome::is_right) - placed;
        let way = match first_and_latest(curve) {
            (_, None) => "never placed".to_owned(),
            (Some(first), Some(last)) => format!("{first:.2} \u{2192} {last:.2}"),
            (None, Some(last)) => format!("{last:.2}"),
        };
        let name = Quantity::words_of(&curve.landmark);
        page.line(&format!("  {name:<NAME$} {:>5} {placed:>7} {marked:>7}   {way}", curve.points.len()));
    }
    page.paragraph("  ", "placed: how well, its error says; marked: rightly marked hidden or absent");
    page.paragraph(
        "  ",
        &format!("rms error of the first {RECENT} times it was placed \u{2192} of the latest {RECENT}"),
    );
    page.text
}

fn became(curve: &LearningCurve, is_it: impl Fn(Outcome) -> bool) -> usize {
    curve.points.iter().filter(|point| is_it(point.outcome)).count()
}

/// How often a landmark was to be placed, and what became of it: "Of 3 times: 2 placed, 1 missed."
pub fn times_words(curve: &LearningCurve) -> String {
    let outcomes: Vec<String> = Outcome::ALL
        .iter()
        .map(|(_, outcome)| (became(curve, |it| it == *outcome), outcome.words()))
        .filter(|(count, _)| *count > 0)
        .map(|(count, words)| format!("{count} {words}"))
        .collect();
    let times = if curve.points.len() == 1 { "time" } else { "times" };
    format!("Of {} {times}: {}.", curve.points.len(), outcomes.join(", "))
}

/// Root mean square error of the first [`RECENT`] times a landmark was placed, mm, where it was placed more often than
/// that; and of the latest, where it was placed at all.
pub fn first_and_latest(curve: &LearningCurve) -> (Option<f64>, Option<f64>) {
    let placed: Vec<f64> = curve.points.iter().filter_map(|point| point.recent_rms_mm).collect();
    let first = placed.get(RECENT - 1).copied().filter(|_| placed.len() > RECENT);
    (first, placed.last().copied())
}

struct Page {
    text: String,
    style: Style,
}

impl Page {
    fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    fn paragraph(&mut self, first: &str, words: &str) {
        let indent = first.chars().count();
        for (index, line) in wrapped(words, WIDTH - indent).into_iter().enumerate() {
            let lead = if index == 0 { first.to_owned() } else { " ".repeat(indent) };
            self.line(&format!("{lead}{line}"));
        }
    }

    fn heading(&mut self, words: &str, aside: &str) {
        self.line("");
        let heading = format!("{}   {}", self.style.heading(words), self.style.aside(aside));
        self.line(&heading);
    }

    fn landmarks(&mut self, landmarks: &[LandmarkScore], consensus: bool) {
        self.heading("LANDMARKS", "error along and across the tooth, straight error, mm");
        for it in landmarks {
            let name = scored_name(&it.landmark, it.root.as_deref());
            let found = match it.error.summed() {
                Some(error) => {
                    let in_sd = it.error.in_sd().filter(|_| consensus);
                    let in_sd = in_sd.map(|it| format!(" {:>4.1} sd", it.distance)).unwrap_or_default();
                    format!(
                        "{:>5.2} {:<7} {:>5.2} {:<6} {:>6.2}{in_sd}",
                        error.along_mm.abs(),
                        it.error.along_word(),
                        error.across_mm.abs(),
                        across_words(error.across_mm),
                        error.distance_mm,
                    )
                }
                None => it.words().to_owned(),
            };
            self.line(&format!("  {name:<NAME$} {found}"));
        }
        self.paragraph("  ", &outcomes_words(landmarks));
        if let Some(words) = not_counted_words(landmarks) {
            self.paragraph("  ", &words);
        }
    }

    fn measurements(&mut self, rows: &[MeasurementError], consensus: bool) {
        if rows.is_empty() {
            return;
        }
        self.heading("MEASUREMENTS", "by the key, by the case, error");
        for row in rows {
            let name = scored_name(&row.of.id, row.of.root.as_deref());
            let digits = if row.unit == crate::quantity::Unit::Degree { 1 } else { 2 };
            let key = format!("{:>7.digits$}", row.key);
            let found = match (row.value, row.error) {
                (Some(value), Some(error)) => {
                    let in_sd = row.in_sd.filter(|_| consensus);
                    let in_sd = in_sd.map(|it| format!(" {it:>+5.1} sd")).unwrap_or_default();
                    format!("{value:>7.digits$} {error:>+7.digits$} {}{in_sd}", row.unit.suffix())
                }
                _ => format!("      – {}", unmeasured_words(row)),
            };
            let indent = NAME + 11;
            let mut lines = wrapped(found.trim_start(), WIDTH - indent).into_iter();
            if row.value.is_some() {
                self.line(&format!("  {name:<NAME$} {key} {found}"));
            } else {
                let first = lines.next().unwrap_or_default();
                self.line(&format!("  {name:<NAME$} {key} {first}"));
                for line in lines {
                    self.line(&format!("{}{line}", " ".repeat(indent)));
                }
            }
        }
    }

    fn verdicts(&mut self, changes: &[VerdictChange], criteria: &Criteria) {
        self.line("");
        if changes.is_empty() {
            self.paragraph("", "No verdict differs from what the key's landmarks and scale would give.");
            return;
        }
        self.heading_only("VERDICTS THAT DIFFER");
        for change in changes {
            self.paragraph(
                "  ",
                &format!(
                    "{}: {} by the key, {} by the case",
                    changed_criterion(change, criteria),
                    scored_verdict(change.key, change.key_class.as_deref()),
                    scored_verdict(change.case, change.case_class.as_deref()),
                ),
            );
            self.paragraph("      ", &set_right_words(&change.set_right_by));
        }
    }

    fn heading_only(&mut self, words: &str) {
        let heading = self.style.heading(words);
        self.line(&heading);
    }
}
