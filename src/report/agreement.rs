//! Agreement as text for people, 80 columns wide, and as JSON.

use super::{SAFETY, Style};
use crate::agreement::{
    Agreement, Between, Bounded, Compared, Comparison, Placing, Quantity, Stated, Withheld,
};
use crate::quantity::Unit;
use crate::wording::{decimals, list, unsigned_zero, wrapped};

/// Columns of the page.
const WIDTH: usize = 80;
/// Columns the name of what was compared takes.
const NAME: usize = 27;
/// Columns of a value with its interval.
const VALUE: usize = 22;
/// Columns of a bias with its interval, whose every number may have a sign.
const SIGNED: usize = 24;
/// Columns of the two limits of agreement.
const LIMITS: usize = 16;
/// Columns of one number.
const NUMBER: usize = 8;

/// An agreement as one line of JSON.
///
/// # Errors
/// None that an agreement can cause; the signature is the serialiser's.
pub fn agreement_json(agreement: &Agreement) -> serde_json::Result<String> {
    serde_json::to_string(agreement)
}

/// An agreement as tables for people.
pub fn agreement_text(agreement: &Agreement, style: Style) -> String {
    let mut page = Page { text: String::new(), style, notes: Vec::new() };
    page.head(agreement);
    for comparison in &agreement.comparisons {
        page.comparison(comparison);
    }
    for placing in &agreement.placing {
        page.placing(placing);
    }
    page.line("");
    page.paragraph(
        "",
        "Lengths and places in mm, ratios plain. Differences are first − second; along the tooth apical is positive, across \
         it distal. Intervals and limits are 95 %; limits are limits of agreement, \"detectable\" is the smallest detectable change. Definitions, sources, the intervals of the limits (approximate: Bland and Altman 1999, and Zou 2013) and every other statistic: docs/agreement.md, --json, \
         --csv. Teeth of one film and roots of one tooth count as independent.",
    );
    page.paragraph("", SAFETY);
    page.text
}

struct Page {
    text: String,
    style: Style,
    /// Reasons of the table being written, each marked by a letter.
    notes: Vec<Withheld>,
}

impl Page {
    fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    fn heading(&mut self, words: &str) {
        let heading = self.style.heading(words);
        self.line(&heading);
    }

    fn paragraph(&mut self, first: &str, words: &str) {
        let indent = first.chars().count();
        for (index, line) in wrapped(words, WIDTH - indent).into_iter().enumerate() {
            let lead = if index == 0 { first.to_owned() } else { " ".repeat(indent) };
            self.line(&format!("{lead}{line}"));
        }
    }

    fn head(&mut self, agreement: &Agreement) {
        let names: Vec<String> = agreement.observers.iter().map(|observer| observer.name.clone()).collect();
        let observers = counted(names.len(), "observer", "observers");
        for line in wrapped(
            &format!(
                "AGREEMENT of {observers} ({}): {}, {} on {}",
                list(&names),
                counted(agreement.cases, "case", "cases"),
                counted(agreement.teeth, "tooth", "teeth"),
                counted(agreement.films, "film", "films"),
            ),
            WIDTH,
        ) {
            self.heading(&line);
        }
        for observer in &agreement.observers {
            self.paragraph(
                "  ",
                &format!(
                    "{}: {}, {}, {} of them more than once",
                    observer.name,
                    counted(observer.cases, "case", "cases"),
                    counted(observer.teeth, "tooth", "teeth"),
                    observer.teeth_repeated
                ),
            );
        }
        for [first, second] in &agreement.identical {
            self.paragraph(
                "  ! ",
                &format!("{first} and {second} hold the very same points: a copy is no repeat"),
            );
        }
        if agreement.teeth_read_once > 0 {
            let teeth = counted(agreement.teeth_read_once, "tooth was", "teeth were");
            self.paragraph("  ! ", &format!("{teeth} read by one case only and add nothing"));
        }
        if agreement.teeth_without_axis > 0 {
            self.paragraph("  ! ", &without_axis_words(agreement.teeth_without_axis));
        }
    }

    fn comparison(&mut self, comparison: &Comparison) {
        self.line("");
        let columns = list(&comparison.columns);
        let title = match (comparison.between, &comparison.observer) {
            (Between::Sittings, Some(observer)) => format!("{observer} WITH THEMSELVES: {columns}"),
            _ => format!("BETWEEN OBSERVERS: {columns}; first sittings"),
        };
        for line in wrapped(&title, WIDTH) {
            self.heading(&line);
        }
        self.scatter(comparison);
        self.differences(comparison);
        self.correlations(comparison);
        self.visibility(comparison);
    }

    fn scatter(&mut self, comparison: &Comparison) {
        self.table(&["sd within teeth", "Dahlberg", "detectable"], &[VALUE, NUMBER, NUMBER]);
        for row in &comparison.quantities {
            let digits = digits(row);
            let dahlberg = match row.pairs.as_slice() {
                [pair] => self.cell(&pair.dahlberg, |it| it.error, digits, Shown::Value),
                _ => "by pair".to_owned(),
            };
            let within = self.cell(&row.within, |it| it.sd, digits, Shown::Interval);
            let change = self.cell(&row.smallest_detectable_change, |it| *it, digits, Shown::Value);
            self.row(&row.quantity, row.n, &[(VALUE, within), (NUMBER, dahlberg), (NUMBER, change)]);
        }
        self.notes();
    }

    fn differences(&mut self, comparison: &Comparison) {
        let Some(pairs) = comparison.quantities.first().map(|row| row.pairs.len()) else { return };
        for index in 0..pairs {
            let of = |row: &Compared| row.pairs.get(index).cloned();
            let Some(named) = comparison.quantities.first().and_then(of) else { continue };
            self.line("");
            let which = format!("  {} − {}", named.first, named.second);
            self.line(&which);
            self.table(&["bias", "limits"], &[SIGNED, LIMITS]);
            for row in &comparison.quantities {
                let Some(pair) = of(row) else { continue };
                let digits = digits(row);
                let bias = self.cell(&pair.bland_altman, |it| it.bias, digits, Shown::Interval);
                let limits = match pair.bland_altman.given() {
                    Some(it) => {
                        format!(
                            "{} to {}",
                            fixed(it.lower.limit.value, digits),
                            fixed(it.upper.limit.value, digits)
                        )
                    }
                    None => String::new(),
                };
                self.row(&row.quantity, pair.n, &[(SIGNED, bias), (LIMITS, limits)]);
            }
            self.notes();
        }
    }

    /// Correlations, of measurements only: coordinates have none, and the tables say why once.
    fn correlations(&mut self, comparison: &Comparison) {
        let rows: Vec<&Compared> =
            comparison.quantities.iter().filter(|row| row.quantity.component().is_none()).collect();
        if rows.is_empty() {
            return;
        }
        self.line("");
        self.line("  One reading's correlation: ICC(2,1) absolute agreement, and Lin's concordance");
        self.table(&["ICC(2,1)", "Lin"], &[VALUE, VALUE]);
        for row in rows {
            let absolute = match &row.intraclass {
                Stated::Given(it) => self.cell(&it.icc_2_1, |it| *it, 2, Shown::Interval),
                Stated::Withheld(why) => self.note(*why),
            };
            let lin = match row.pairs.as_slice() {
                [pair] => self.cell(&pair.concordance, |it| it.coefficient, 2, Shown::Interval),
                _ => "by pair, in --csv".to_owned(),
            };
            self.row(&row.quantity, row.complete, &[(VALUE, absolute), (VALUE, lin)]);
        }
        self.notes();
    }

    fn visibility(&mut self, comparison: &Comparison) {
        for row in comparison.visibility.iter().filter(|row| row.disputed > 0) {
            self.paragraph(
                "  ! ",
                &format!(
                    "{}: placed in one and marked hidden or absent in another on {}, agreed on {}",
                    Quantity::words_of(row.landmark),
                    counted(row.disputed, "tooth", "teeth"),
                    row.placed + row.unseen
                ),
            );
        }
    }

    fn placing(&mut self, placing: &Placing) {
        self.line("");
        let whose = placing.observer.as_deref().unwrap_or("all who repeated, each against themselves");
        self.heading(&format!("PLACING AGAIN: {whose}"));
        self.paragraph(
            "  ",
            &format!(
                "over all landmarks, for a case: \"uncertainty\": {{\"placing_mm\": {}}}",
                fixed(placing.placing_mm.sd.value, 3)
            ),
        );
        self.table(&["sd, each axis, mm", "\"sd_px\" of a point"], &[VALUE, VALUE]);
        for row in &placing.landmarks {
            let millimetres = with_interval(row.placing_mm.sd, digits_of(row.placing_mm.sd.value));
            let pixels = with_interval(row.sd_px.sd, 1);
            self.cells(
                &Quantity::words_of(row.landmark),
                row.placing_mm.n,
                &[(VALUE, millimetres), (VALUE, pixels)],
            );
        }
    }

    fn table(&mut self, heads: &[&str], widths: &[usize]) {
        let mut line = format!("  {:<NAME$} {:>4}", "", "n");
        for (head, width) in heads.iter().zip(widths) {
            line = format!("{line}  {head:<width$}");
        }
        let aside = self.style.aside(line.trim_end());
        self.line(&aside);
    }

    fn row(&mut self, quantity: &Quantity, n: usize, cells: &[(usize, String)]) {
        let unit = match quantity.unit() {
            Unit::Millimetre | Unit::One => "",
            Unit::Degree => " (deg)",
        };
        self.cells(&format!("{}{unit}", quantity.spoken()), n, cells);
    }

    fn cells(&mut self, name: &str, n: usize, cells: &[(usize, String)]) {
        let mut line = format!("  {name:<NAME$} {n:>4}");
        for (width, cell) in cells {
            line = format!("{line}  {cell:<width$}");
        }
        self.line(&line);
    }

    fn cell<T>(
        &mut self,
        stated: &Stated<T>,
        of: impl Fn(&T) -> Bounded,
        digits: usize,
        shown: Shown,
    ) -> String {
        match stated {
            Stated::Given(it) => match shown {
                Shown::Interval => with_interval(of(it), digits),
                Shown::Value => fixed(of(it).value, digits),
            },
            Stated::Withheld(why) => self.note(*why),
        }
    }

    /// A mark in the statistic's place; the reason stands under the table.
    fn note(&mut self, why: Withheld) -> String {
        let index = self.notes.iter().position(|known| *known == why).unwrap_or_else(|| {
            self.notes.push(why);
            self.notes.len() - 1
        });
        format!("– {}", letter(index))
    }

    fn notes(&mut self) {
        for (index, why) in std::mem::take(&mut self.notes).into_iter().enumerate() {
            self.paragraph(&format!("  {} ", letter(index)), &why.to_string());
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Shown {
    Value,
    Interval,
}

/// (a), (b), … in the order of appearance.
fn letter(index: usize) -> String {
    let letter = u8::try_from(index).ok().and_then(|index| b'a'.checked_add(index)).unwrap_or(b'z');
    format!("({})", char::from(letter))
}

/// How many teeth no landmark is compared on in mm, and why not.
pub fn without_axis_words(count: usize) -> String {
    let teeth = counted(count, "tooth has", "teeth have");
    format!("{teeth} no case with a scale and a tooth axis; landmarks there are not compared in mm")
}

fn counted(count: usize, one: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}

/// Digits after the point for a quantity: two of its scatter, at least 2 and at most 3.
fn digits(row: &Compared) -> usize {
    digits_of(row.within.given().map_or(1.0, |within| within.sd.value))
}

fn digits_of(sd: f64) -> usize {
    decimals(sd).clamp(2, 3)
}

fn fixed(value: f64, digits: usize) -> String {
    unsigned_zero(format!("{value:.digits$}"))
}

fn with_interval(bounded: Bounded, digits: usize) -> String {
    let [low, high] = bounded.interval;
    format!("{} ({} to {})", fixed(bounded.value, digits), fixed(low, digits), fixed(high, digits))
}
