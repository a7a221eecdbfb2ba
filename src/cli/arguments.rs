//! The command line as data: help, completions and the manual page all come from here.

use crate::case::{Fdi, RootName, Stage, Technique};
use crate::report::{Audience, Day, Paper};
use clap::builder::{PossibleValuesParser, TypedValueParser as _};
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Measures a root-filled tooth on a periapical film for a post, core and crown.
#[derive(Debug, Parser)]
#[command(
    name = "crestgauge",
    version,
    about,
    long_about = "Measures a root-filled tooth on a periapical film for a post, core and crown: ferrule, room for the \
supracrestal tissue attachment, post against core and crest, seal, walls. Every number carries its scale, its \
uncertainty and its cautions.",
    after_help = crate::report::SAFETY,
    override_usage = "crestgauge [FILE]\n       crestgauge <COMMAND>",
    subcommand_negates_reqs = true,
    args_conflicts_with_subcommands = true
)]
pub(super) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(super) command: Option<Command>,
    /// A film or a case to open in the window; without one, the sample the first time, afterwards an empty window.
    #[arg(value_name = "FILE")]
    pub(super) file: Option<PathBuf>,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) means: MeansArguments,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) bounds: BoundArguments,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Measurements and verdicts of cases; without a case, of the built-in sample.
    Measure(Measure),
    /// Post depth, chairside card and ferrule recovery of a case; without a case, of the built-in sample.
    Plan(Plan),
    /// A case as pages, as a picture, as a table or as a structured report, by the ending of the output.
    Report(Report),
    /// What a film is: format, size, depth, pitch, hashes.
    Inspect(Inspect),
    /// An empty case for a film.
    Draft(Draft),
    /// A synthetic film of a tooth whose every length is known, and its case with the truth.
    Phantom(Box<super::phantom_arguments::PhantomArguments>),
    /// A student's landmarks against a key: a truth, or a consensus of experts.
    Score(Score),
    /// Repeat statistics over cases of the same films: one observer's, or several observers'.
    Agreement(AgreementArguments),
    /// The JSON Schema of a case file.
    Schema,
    /// Completions for a shell.
    Completions {
        /// Which shell.
        shell: clap_complete::Shell,
    },
    /// The manual page.
    Man,
}

/// Options of `measure`.
#[derive(Debug, Args)]
pub(super) struct Measure {
    /// Case files.
    #[arg(value_name = "CASE")]
    pub(super) cases: Vec<PathBuf>,
    /// One line of JSON a case.
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// CSV of the measurements, by `--csv verdicts` of the verdicts.
    #[arg(long, value_name = "WHAT", num_args = 0..=1, require_equals = true, default_missing_value = "measurements")]
    pub(super) csv: Option<Csv>,
    /// Monte Carlo draws; they replace the first-order intervals.
    #[arg(long, value_name = "N", default_value_t = 0, allow_negative_numbers = true, value_parser = draws)]
    pub(super) draws: u32,
    /// Seed of the draws.
    #[arg(long, value_name = "N", default_value_t = 1, allow_negative_numbers = true)]
    pub(super) seed: u64,
    /// Write measurements, verdicts and cautions into the case files.
    #[arg(long)]
    pub(super) save: bool,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) means: MeansArguments,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) bounds: BoundArguments,
}

#[derive(Debug, Clone, Args)]
#[allow(missing_docs)] // clap would print them
pub(super) struct MeansArguments {
    /// Criteria in place of the built-in ones.
    #[arg(long, value_name = "FILE")]
    pub(super) criteria: Option<PathBuf>,
    /// A clinic's own reference objects, beside the built-in ones.
    #[arg(long, value_name = "FILE", env = "CRESTGAUGE_REFERENCES")]
    pub(super) references: Option<PathBuf>,
}

/// Options of `plan`.
#[derive(Debug, Args)]
pub(super) struct Plan {
    /// The case file.
    #[arg(value_name = "CASE")]
    pub(super) case: Option<PathBuf>,
    /// One line of JSON.
    #[arg(long)]
    pub(super) json: bool,
    /// The drill for the post space, by its name in the library; otherwise the case's, else one is proposed.
    #[arg(long, value_name = "NAME")]
    pub(super) drill: Option<String>,
    /// The root the post is for; otherwise the one the case marks.
    #[arg(long, value_name = "ROOT", value_parser = words(RootName::ALL))]
    pub(super) root: Option<RootName>,
    /// The part of a lift that extrusion takes where extrusion and crown lengthening are combined, 0 to 1.
    #[arg(long, value_name = "PART", default_value_t = 0.5, allow_negative_numbers = true, value_parser = part)]
    pub(super) extrusion_share: f64,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) means: MeansArguments,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) bounds: BoundArguments,
}

/// What `--csv` prints.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Csv {
    /// The measurements.
    Measurements,
    /// The verdicts.
    Verdicts,
}

/// Options of `report`.
#[derive(Debug, Args)]
pub(super) struct Report {
    /// The case file.
    #[arg(value_name = "CASE")]
    pub(super) case: PathBuf,
    /// Where the report goes: .pdf for pages, .png or .svg for the annotated film alone (for the patient the sketch),
    /// .csv or .json for the numbers, .dcm for a DICOM structured report.
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: PathBuf,
    /// Whom it is for.
    #[arg(long = "for", value_name = "AUDIENCE", value_parser = words(Audience::ALL), default_value = "record")]
    pub(super) audience: Audience,
    /// The day that stands on it, such as 2026-11-24; without it, today by this computer's clock. The same case and day make the same bytes.
    #[arg(long, value_name = "DAY", value_parser = Day::parse)]
    pub(super) date: Option<Day>,
    /// The paper of a .pdf.
    #[arg(long, value_name = "PAPER", value_parser = words(Paper::ALL), default_value = "a4")]
    pub(super) paper: Paper,
    /// Replace a file that exists.
    #[arg(long)]
    pub(super) force: bool,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) means: MeansArguments,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) bounds: BoundArguments,
}

/// Options of `inspect`.
#[derive(Debug, Args)]
pub(super) struct Inspect {
    /// Films.
    #[arg(value_name = "FILM", required = true)]
    pub(super) films: Vec<PathBuf>,
    /// One line of JSON a film.
    #[arg(long)]
    pub(super) json: bool,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) bounds: BoundArguments,
}

/// Options of `draft`.
#[derive(Debug, Args)]
pub(super) struct Draft {
    /// The film.
    #[arg(value_name = "FILM")]
    pub(super) film: PathBuf,
    /// Where the case goes.
    #[arg(short, long, value_name = "CASE")]
    pub(super) output: PathBuf,
    /// The tooth, two digits by ISO 3950.
    #[arg(long, value_name = "FDI", value_parser = Fdi::parse)]
    pub(super) tooth: Option<Fdi>,
    /// When in the treatment the film was taken.
    #[arg(long, value_name = "STAGE", value_parser = words(Stage::ALL))]
    pub(super) stage: Option<Stage>,
    /// How the film was aimed.
    #[arg(long, value_name = "TECHNIQUE", value_parser = words(Technique::ALL))]
    pub(super) technique: Option<Technique>,
    /// Replace a file that exists.
    #[arg(long)]
    pub(super) force: bool,
    #[command(flatten)]
    #[allow(missing_docs)] // clap would print them
    pub(super) bounds: BoundArguments,
}

/// Options of `score`.
#[derive(Debug, Args)]
pub(super) struct Score {
    /// The key: a case whose points are a truth, or a consensus that `agreement --consensus` made.
    #[arg(value_name = "KEY")]
    pub(super) key: PathBuf,
    /// Case files, one a student; the name before `.case.json` is the student's.
    #[arg(value_name = "CASE", required = true)]
    pub(super) cases: Vec<PathBuf>,
    /// One line of JSON a case.
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// CSV, one row a student and landmark.
    #[arg(long)]
    pub(super) csv: bool,
    /// Append what was scored to a history, and show how the student comes along.
    #[arg(long, value_name = "FILE")]
    pub(super) history: Option<PathBuf>,
    /// Criteria in place of the built-in ones.
    #[arg(long, value_name = "FILE")]
    pub(super) criteria: Option<PathBuf>,
    /// A clinic's own reference objects, beside the built-in ones.
    #[arg(long, value_name = "FILE", env = "CRESTGAUGE_REFERENCES")]
    pub(super) references: Option<PathBuf>,
}

/// Options of `agreement`.
#[derive(Debug, Args)]
pub(super) struct AgreementArguments {
    /// Case files; the films tell which repeat which.
    #[arg(value_name = "CASE", required = true)]
    pub(super) cases: Vec<PathBuf>,
    /// One line of JSON.
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// CSV, one row a statistic.
    #[arg(long)]
    pub(super) csv: bool,
    /// Who placed every case that does not say by "x-observer"; without it, the folder a case lies in.
    #[arg(long, value_name = "NAME")]
    pub(super) observer: Option<String>,
    /// Only these landmarks and measurements, separated by commas.
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    pub(super) only: Vec<String>,
    /// Draw plots as SVG into this folder: one a landmark or measurement and pair.
    #[arg(long, value_name = "FOLDER", group = "written")]
    pub(super) plots: Option<PathBuf>,
    /// In place of statistics, write what the cases of one tooth on one film agree on as a key for `score`, and say how
    /// surely, and what they do not agree on.
    #[arg(long, value_name = "KEY", group = "written", conflicts_with_all = ["json", "csv", "only"])]
    pub(super) consensus: Option<PathBuf>,
    /// Replace plots, or a key, that exist.
    #[arg(long, requires = "written")]
    pub(super) force: bool,
    /// A clinic's own reference objects, beside the built-in ones.
    #[arg(long, value_name = "FILE", env = "CRESTGAUGE_REFERENCES")]
    pub(super) references: Option<PathBuf>,
}

/// How large a film may be.
#[derive(Debug, Clone, Copy, Args)]
pub(super) struct BoundArguments {
    /// The most pixels a film may have.
    #[arg(long, value_name = "N", default_value_t = 200_000_000)]
    pub(super) max_pixels: u64,
    /// The most bytes a film may take, as a file and decoded.
    #[arg(long, value_name = "N", default_value_t = 1 << 30)]
    pub(super) max_bytes: u64,
}

impl From<BoundArguments> for crate::film::Bounds {
    fn from(arguments: BoundArguments) -> Self {
        Self { max_pixels: arguments.max_pixels, max_bytes: arguments.max_bytes }
    }
}

/// A parser for one of a few words, which help and completions list.
pub(super) fn words<T: Copy + Send + Sync + 'static>(
    words: &'static [(&'static str, T)],
) -> impl clap::builder::TypedValueParser<Value = T> {
    PossibleValuesParser::new(words.iter().map(|(word, _)| *word)).try_map(move |typed| {
        words.iter().find(|(word, _)| *word == typed).map(|(_, choice)| *choice).ok_or("not one of the words")
    })
}

/// A part of a whole, 0 to 1.
fn part(typed: &str) -> Result<f64, String> {
    typed
        .parse::<f64>()
        .ok()
        .filter(|part| (0.0..=1.0).contains(part))
        .ok_or_else(|| "must be 0 (crown lengthening alone) to 1 (extrusion alone)".to_owned())
}

/// A number of draws: none, or enough for a 2.5 % quantile.
fn draws(typed: &str) -> Result<u32, String> {
    let least = crate::measure::FEWEST_DRAWS;
    match typed.parse::<u32>() {
        Ok(0) => Ok(0),
        Ok(count) if (least..=MOST_DRAWS).contains(&count) => Ok(count),
        Ok(count) if count < least => {
            Err(format!("fewer than {least} draws have no 2.5 % quantile; 20000 is a good number"))
        }
        _ => Err(format!("must be 0, or {least} to {MOST_DRAWS}")),
    }
}

/// More draws take gigabytes and change no digit worth reading.
const MOST_DRAWS: u32 = 1_000_000;

/// The command line's definition.
pub fn definition() -> clap::Command {
    Arguments::command()
}
