//! What the program says: text for people, JSON and CSV for programs. Nothing here computes.

mod agreement;
mod agreement_csv;
mod csv;
mod films;
mod markdown;
mod plan;
mod plot;
mod score;
mod sheet;
mod style;
mod text;
mod words;

pub use agreement::{agreement_json, agreement_text};
pub use agreement_csv::{AGREEMENT_HEADER, agreement_csv};
pub use csv::{MEASUREMENTS_HEADER, VERDICTS_HEADER, csv_record, measurements_csv, verdicts_csv};
pub use films::{film_json, film_text};
pub use markdown::{
    catalogue_markdown, criteria_markdown, first_look_markdown, landmarks_markdown, library_markdown,
    limits_markdown,
};
pub use plan::{card_text, plan_json, plan_text, words as plan_words};
pub use plot::{PlotTitle, bland_altman_svg, places_svg};
pub use score::{SCORE_HEADER, Scored, learning_text, score_csv, score_foot, score_json, score_text};
pub use style::Style;
pub use text::{SAFETY, case_text};
pub use words::{
    Lacking, Tally, ValueWords, about_words, all_about_words, catalogue_row, claim_words, contributor_words,
    direction_words, distortion_words, doubt_words, lacking, measurement_name, percent_words,
    probability_words, rows_words, settled_words, share_words, sureness_words, tallies, value_words,
    verdict_words,
};

use crate::case::{Case, Derived, Document};

/// A case with everything computed from it, as one line of JSON: exactly what a saved case holds, with its own file
/// name added.
///
/// # Errors
/// None that a case can cause; the signature is the serialiser's.
pub fn case_json(case: &Case, derived: &Derived, case_file: Option<&str>) -> serde_json::Result<String> {
    serde_json::to_string(&Document { case, derived: Some(derived), case_file })
}
