//! CSV by RFC 4180: lines end in CRLF, fields that need it stand in quotes.

use crate::case::{Case, Derived, Lack, RowRef};

/// Header of the measurements.
pub const MEASUREMENTS_HEADER: [&str; 11] =
    ["case", "tooth", "root", "id", "value", "sd", "low", "high", "unit", "state", "lacks"];
/// Header of the verdicts.
pub const VERDICTS_HEADER: [&str; 12] = [
    "case",
    "tooth",
    "root",
    "criterion",
    "strength",
    "verdict",
    "probability",
    "class",
    "worst",
    "about",
    "state",
    "settled_by",
];

/// The measurements of a case, without the header.
pub fn measurements_csv(name: &str, case: &Case, derived: &Derived) -> String {
    let mut text = String::new();
    for row in &derived.measurements {
        let [low, high] = row.interval.map_or([None, None], |[low, high]| [Some(low), Some(high)]);
        let lacks: Vec<String> =
            row.lacks.iter().map(lack).chain(row.reason.map(|reason| word(&reason))).collect();
        csv_record(
            &mut text,
            [
                name.to_owned(),
                tooth(case),
                row.of.root.clone().unwrap_or_default(),
                row.of.id.clone(),
                number(row.value),
                number(row.sd),
                number(low),
                number(high),
                row.unit.code().to_owned(),
                row.state.map(|state| state.word().to_owned()).unwrap_or_default(),
                lacks.join("; "),
            ],
        );
    }
    text
}

/// The verdicts of a case, without the header.
pub fn verdicts_csv(name: &str, case: &Case, derived: &Derived) -> String {
    let mut text = String::new();
    for row in &derived.verdicts {
        let about: Vec<&str> = row.about.iter().map(|about| about.id.as_str()).collect();
        csv_record(
            &mut text,
            [
                name.to_owned(),
                tooth(case),
                row.about.first().and_then(|about| about.root.clone()).unwrap_or_default(),
                row.criterion.clone(),
                word(&row.strength),
                row.verdict.map(|verdict| word(&verdict)).unwrap_or_default(),
                number(row.probability),
                row.class.clone().unwrap_or_default(),
                row.worst.as_ref().map(|RowRef { id, .. }| id.clone()).unwrap_or_default(),
                about.join("; "),
                row.state.map(|state| state.word().to_owned()).unwrap_or_default(),
                row.settled_by.clone().unwrap_or_default(),
            ],
        );
    }
    text
}

/// One record of fields.
pub fn csv_record<'a, T: AsRef<str> + 'a>(text: &mut String, fields: impl IntoIterator<Item = T>) {
    for (index, field) in fields.into_iter().enumerate() {
        if index > 0 {
            text.push(',');
        }
        let field = field.as_ref();
        if field.contains([',', '"', '\r', '\n']) {
            text.push('"');
            text.push_str(&field.replace('"', "\"\""));
            text.push('"');
        } else {
            text.push_str(field);
        }
    }
    text.push_str("\r\n");
}

fn tooth(case: &Case) -> String {
    case.tooth.fdi.map(|fdi| fdi.to_string()).unwrap_or_default()
}

pub(super) fn number(number: Option<f64>) -> String {
    number.map(|number| number.to_string()).unwrap_or_default()
}

fn lack(lack: &Lack) -> String {
    let root = lack.root.as_ref().map(|root| format!("|{root}")).unwrap_or_default();
    format!("{}{root}: {}", lack.landmark, word(&lack.why))
}

/// The word a value has in JSON files.
fn word(value: &impl serde::Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4180, section 2, rules 5 to 7.
    #[test]
    fn fields_with_commas_quotes_and_line_breaks_are_quoted() {
        let mut text = String::new();
        csv_record(&mut text, ["plain", "a,b", "say \"ah\"", "two\nlines", ""]);
        assert_eq!(text, "plain,\"a,b\",\"say \"\"ah\"\"\",\"two\nlines\",\r\n");
    }
}
