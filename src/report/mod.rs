//! What the program says: text and pages for people, JSON, CSV and DICOM for programs. Nothing here computes.
//!
//! Pages are one [`Drawing`], from which PDF, SVG and PNG are made; [`written`] makes the bytes of any report.

mod agreement;
mod agreement_csv;
mod agreement_rows;
mod annotated_film;
mod callouts;
mod consensus;
mod csv;
mod drawing;
mod films;
mod markdown;
mod pages;
mod plan;
mod plot;
mod score;
mod score_words;
mod sheet;
mod structured;
mod style;
mod subject;
mod tally;
mod text;
mod words;
mod written;

pub use crate::quantity::Day;
pub use agreement::{agreement_json, agreement_text, without_axis_words};
pub use agreement_csv::{AGREEMENT_HEADER, agreement_csv};
pub use agreement_rows::{StatisticRow, statistic_rows};
pub use annotated_film::shades_of;
pub use consensus::{consensus_text, consensus_words, left_out_words};
pub use csv::{MEASUREMENTS_HEADER, VERDICTS_HEADER, csv_record, measurements_csv, verdicts_csv};
pub use drawing::{
    Block, Colour, Drawing, Face, Mark, Names, OnPage, Page, Path, Picture, Role, Shades, Spot, Step,
    Stretch, Stroke, Text, Way, stretches, width_of,
};
pub use films::{film_json, film_text};
pub use markdown::{
    catalogue_markdown, criteria_markdown, definitions_markdown, first_look_markdown, landmarks_markdown,
    library_markdown, limits_markdown,
};
pub use pages::{pages, patients_picture};
pub use plan::{card_text, plan_json, plan_text, recovery_text, words as plan_words};
pub use plot::{
    Anchor as PlotAnchor, Ink, Plot, PlotMark, PlotTitle, agreement_plots, bland_altman_plot,
    bland_altman_svg, learning_plot, pair_plot, places_plot, places_svg,
};
pub use score::{
    SCORE_HEADER, Scored, first_and_latest, learning_text, score_csv, score_foot, score_json, score_text,
    times_words,
};
pub use score_words::{
    changed_criterion, not_counted_words, outcomes_words, scored_name, scored_verdict, set_right_words,
    unmeasured_in_short, unmeasured_words,
};
pub use structured::{missing_in_structured_report, structured_report};
pub use style::Style;
pub use subject::{Audience, Paper, PictureFailed, Setting, Subject};
pub use tally::{Tally, tallies};
pub use text::{SAFETY, case_text};
pub use words::{
    Lacking, ValueWords, about_words, all_about_words, catalogue_row, claim_words, contributor,
    direction_words, distortion_words, doubt_words, lacking, measurement_name, percent_words,
    probability_words, rows_words, settled_words, share_words, sureness_words, value_words, verdict_words,
};
pub use written::{Ending, Written, WrongName, picture, written};

use crate::case::{Case, Derived, Document};

/// A case with everything computed from it, as one line of JSON: exactly what a saved case holds, with its own file
/// name added.
///
/// # Errors
/// None that a case can cause; the signature is the serialiser's.
pub fn case_json(case: &Case, derived: &Derived, case_file: Option<&str>) -> serde_json::Result<String> {
    serde_json::to_string(&Document { case, derived: Some(derived), case_file })
}
