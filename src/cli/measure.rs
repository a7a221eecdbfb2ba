//! `crestgauge measure`: cases in, numbers and verdicts out.

use super::arguments::{Csv, Measure};
use super::console::{Exit, Progress, Reader, complain, print, style};
use crate::calibration::Library;
use crate::case::{self, Document, ReadCase, Replace};
use crate::editor::Engine;
use crate::film::Bounds;
use crate::measure::Draws;
use crate::report::{self, Style};
use crate::verdict::{Criteria, assess};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;

/// What the cases are measured with, and how results are written.
struct Work {
    library: Library,
    criteria: Criteria,
    draws: Draws,
    bounds: Bounds,
    output: Output,
    save: bool,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Output {
    Text(Style),
    Json,
    Csv(Csv),
}

/// What one case came to: its output, or the line that says why not.
type Outcome = Result<String, String>;

pub(super) fn run(arguments: &Measure) -> Exit {
    let output = match (arguments.json, arguments.csv) {
        (true, _) => Output::Json,
        (false, Some(csv)) => Output::Csv(csv),
        (false, None) => Output::Text(style()),
    };
    if arguments.cases.is_empty() && (output_needs_case(output) || arguments.save) {
        let option = if arguments.save {
            "--save"
        } else if arguments.json {
            "--json"
        } else {
            "--csv"
        };
        complain(&format!(
            "crestgauge measure: {option} needs a case; name one or more case files after it (did a pattern match nothing?)"
        ));
        return Exit::WrongUse;
    }
    let work = match work(arguments, output) {
        Ok(work) => work,
        Err(why) => {
            complain(&why);
            return Exit::SomeFailed;
        }
    };
    if arguments.cases.is_empty() {
        return sample(&work);
    }
    each_in_order(arguments, &work)
}

fn output_needs_case(output: Output) -> bool {
    !matches!(output, Output::Text(_))
}

fn work(arguments: &Measure, output: Output) -> Result<Work, String> {
    let Engine { library, criteria } = super::engine(&arguments.means)?;
    Ok(Work {
        library,
        criteria,
        draws: Draws { count: arguments.draws, seed: if arguments.draws > 0 { arguments.seed } else { 0 } },
        bounds: arguments.bounds.into(),
        output,
        save: arguments.save,
    })
}

/// The built-in sample, under its standing banner.
fn sample(work: &Work) -> Exit {
    let result = case::sample().map_err(|error| error.to_string()).and_then(|read| {
        let derived = assess(&read.case, &work.library, &work.criteria, work.draws, &read.cautions)
            .map_err(|error| error.to_string())?;
        let Output::Text(style) = work.output else { return Ok(String::new()) };
        let text = report::case_text("built-in sample", &read.case, &derived, &work.criteria, style);
        Ok(format!("{}\n\n{text}", case::SAMPLE_BANNER))
    });
    match result {
        Ok(text) => print(&text).into(),
        Err(why) => {
            complain(&format!("built-in sample: {why}"));
            Exit::SomeFailed
        }
    }
}

/// Works through the cases on all cores and prints the results in the order given.
fn each_in_order(arguments: &Measure, work: &Work) -> Exit {
    let cases = &arguments.cases;
    let next = AtomicUsize::new(0);
    let reader_gone = AtomicBool::new(false);
    let (send, receive) = mpsc::channel::<(usize, Outcome)>();
    let workers = std::thread::available_parallelism().map_or(1, usize::from).min(cases.len());
    let mut all_done = true;
    std::thread::scope(|scope| {
        for _ in 0..workers {
            let (send, next, reader_gone) = (send.clone(), &next, &reader_gone);
            scope.spawn(move || {
                loop {
                    let index = next.fetch_add(1, Ordering::Relaxed);
                    let Some(file) = cases.get(index) else { return };
                    // A reader that left wants no more output, but saving goes on.
                    if reader_gone.load(Ordering::Relaxed) && !work.save {
                        return;
                    }
                    if send.send((index, one(file, work))).is_err() {
                        return;
                    }
                }
            });
        }
        drop(send);
        if let Output::Csv(csv) = work.output {
            header(csv);
        }
        let mut progress = Progress::new(cases.len());
        let mut waiting: BTreeMap<usize, Outcome> = BTreeMap::new();
        let (mut printed, mut seen) = (0, 0);
        for (index, outcome) in receive {
            seen += 1;
            progress.done(seen);
            waiting.insert(index, outcome);
            while let Some(outcome) = waiting.remove(&printed) {
                match outcome {
                    Ok(text) => {
                        let parted = printed > 0 && matches!(work.output, Output::Text(_));
                        let text = if parted { format!("\n{text}") } else { text };
                        // Once output failed or nobody reads it, saying so once is enough.
                        if !reader_gone.load(Ordering::Relaxed) {
                            let reader = print(&text);
                            all_done &= reader != Reader::Failed;
                            reader_gone.store(reader != Reader::Listening, Ordering::Relaxed);
                        }
                    }
                    Err(why) => {
                        all_done = false;
                        complain(&why);
                    }
                }
                printed += 1;
            }
        }
    });
    if all_done { Exit::Done } else { Exit::SomeFailed }
}

fn header(csv: Csv) {
    let mut text = String::new();
    match csv {
        Csv::Measurements => report::csv_record(&mut text, report::MEASUREMENTS_HEADER),
        Csv::Verdicts => report::csv_record(&mut text, report::VERDICTS_HEADER),
    }
    print(&text);
}

/// One case, from its file to its output.
fn one(file: &Path, work: &Work) -> Outcome {
    let ReadCase { case, mut cautions } = case::read(file).map_err(|error| explain(file, &error))?;
    let folder = file.parent().unwrap_or(Path::new(""));
    cautions.extend(case::check_film(&case, folder, &work.bounds));
    let name = file.display().to_string();
    let derived = assess(&case, &work.library, &work.criteria, work.draws, &cautions)
        .map_err(|error| format!("{name}: {error}"))?;
    if work.save {
        let document = Document { case: &case, derived: Some(&derived), case_file: None };
        case::save(file, &document, Replace::Yes).map_err(|error| error.to_string())?;
    }
    Ok(match work.output {
        Output::Text(style) => report::case_text(&name, &case, &derived, &work.criteria, style),
        Output::Csv(Csv::Measurements) => report::measurements_csv(&name, &case, &derived),
        Output::Csv(Csv::Verdicts) => report::verdicts_csv(&name, &case, &derived),
        Output::Json => {
            let mut line = report::case_json(&case, &derived, Some(&name))
                .map_err(|error| format!("{name}: {error}"))?;
            line.push('\n');
            line
        }
    })
}

/// A read error, with the advice that only the command line can give.
pub(super) fn explain(file: &Path, error: &case::CaseError) -> String {
    let name = file.display().to_string();
    if !file.exists() && name.contains(['*', '?', '[']) {
        return format!("{name}: no such file; the pattern matched nothing");
    }
    error.to_string()
}
