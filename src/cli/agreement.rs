//! `crestgauge agreement`: repeated cases in, tables and plots out.

use super::arguments::AgreementArguments;
use super::console::{Exit, Progress, complain, print, style};
use crate::agreement::{Agreement, Sitting, agree};
use crate::calibration::Library;
use crate::case::{self, Replace};
use crate::editor::{WrittenConsensus, read_sittings, write_consensus};
use crate::report;
use crate::wording::near;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

pub(super) fn run(arguments: &AgreementArguments) -> Exit {
    let library = match &arguments.references {
        Some(file) => Library::with_file(file),
        None => Library::embedded(),
    };
    let library = match library {
        Ok(library) => library,
        Err(error) => {
            complain(&error.to_string());
            return Exit::SomeFailed;
        }
    };
    let cases = each_once(&arguments.cases);
    if let Some(key) = &arguments.consensus {
        return consensus(arguments, &cases, key, &library);
    }
    let (sittings, mut exit) = read(arguments, &cases, &library);
    let mut agreement = match agree(sittings) {
        Ok(agreement) => agreement,
        Err(why) => {
            complain(&format!("crestgauge agreement: {why}"));
            return Exit::SomeFailed;
        }
    };
    if !arguments.only.is_empty()
        && let Err(why) = keep_only(&mut agreement, &arguments.only)
    {
        complain(&format!("crestgauge agreement: {why}"));
        return Exit::WrongUse;
    }
    let text = if arguments.json {
        match report::agreement_json(&agreement) {
            Ok(line) => line + "\n",
            Err(error) => {
                complain(&format!("crestgauge agreement: {error}"));
                return Exit::SomeFailed;
            }
        }
    } else if arguments.csv {
        let mut text = String::new();
        report::csv_record(&mut text, report::AGREEMENT_HEADER);
        text + &report::agreement_csv(&agreement)
    } else {
        report::agreement_text(&agreement, style())
    };
    if Exit::from(print(&text)) == Exit::SomeFailed {
        exit = Exit::SomeFailed;
    }
    if let Some(folder) = &arguments.plots
        && let Err(why) = plot(&agreement, folder, arguments.force)
    {
        for why in why {
            complain(&why);
        }
        exit = Exit::SomeFailed;
    }
    exit
}

/// The files that were named; one that is named twice is said, and is no failure.
fn each_once(named: &[PathBuf]) -> Vec<PathBuf> {
    let mut known = BTreeSet::new();
    let mut is_new = |file: &PathBuf| {
        let is_new = known.insert(file.canonicalize().unwrap_or_else(|_| file.clone()));
        if !is_new {
            complain(&format!("{}: named twice; it counts once", file.display()));
        }
        is_new
    };
    named.iter().filter(|file| is_new(file)).cloned().collect()
}

/// Writes what the cases agree on as a key.
fn consensus(arguments: &AgreementArguments, cases: &[PathBuf], key: &Path, library: &Library) -> Exit {
    let replace = if arguments.force { Replace::Yes } else { Replace::No };
    match write_consensus(cases, arguments.observer.as_deref(), key, replace, library) {
        Ok(WrittenConsensus { consensus, no_key_yet }) => {
            if let Some(why) = no_key_yet {
                complain(&format!("{}: {why}", key.display()));
            }
            print(&report::consensus_text(&consensus, style())).into()
        }
        Err(failed) => {
            for why in failed {
                complain(&why);
            }
            Exit::SomeFailed
        }
    }
}

/// Reads all cases; one that cannot be used is said, in the order given.
fn read(arguments: &AgreementArguments, cases: &[PathBuf], library: &Library) -> (Vec<Sitting>, Exit) {
    let mut progress = Progress::new(cases.len());
    let results = read_sittings(cases, arguments.observer.as_deref(), library, |read| progress.done(read));
    let mut exit = Exit::Done;
    let mut sittings = Vec::with_capacity(results.len());
    for result in results {
        match result {
            Ok(sitting) => sittings.push(sitting),
            Err(why) => {
                complain(&why);
                exit = Exit::SomeFailed;
            }
        }
    }
    (sittings, exit)
}

/// Leaves only what was asked for; a name stands for itself and, without its site or section, for all of them.
fn keep_only(agreement: &mut Agreement, only: &[String]) -> Result<(), String> {
    let matches = |asked: &str, id: &str| id == asked || id.split(['.', '@']).next() == Some(asked);
    let ids: BTreeSet<String> = agreement
        .comparisons
        .iter()
        .flat_map(|comparison| &comparison.quantities)
        .map(|compared| compared.quantity.id().to_owned())
        .collect();
    for asked in only {
        if !ids.iter().any(|id| matches(asked, id)) {
            let advice = match near(asked, ids.iter().map(String::as_str)) {
                Some(near) => format!("did you mean {near:?}?"),
                None => "--csv lists what there is".to_owned(),
            };
            return Err(format!("nothing compared is called {asked:?}; {advice}"));
        }
    }
    let wanted = |id: &str| only.iter().any(|asked| matches(asked, id));
    for comparison in &mut agreement.comparisons {
        comparison.quantities.retain(|compared| wanted(compared.quantity.id()));
        comparison.visibility.retain(|seen| wanted(seen.landmark));
    }
    for placing in &mut agreement.placing {
        placing.landmarks.retain(|row| wanted(row.landmark));
    }
    agreement.comparisons.retain(|it| !it.quantities.is_empty() || !it.visibility.is_empty());
    Ok(())
}

/// One plot a quantity and pair; a landmark's two components share one.
fn plot(agreement: &Agreement, folder: &Path, force: bool) -> Result<(), Vec<String>> {
    std::fs::create_dir_all(folder)
        .map_err(|error| vec![format!("{}: cannot be made: {error}", folder.display())])?;
    let replace = if force { Replace::Yes } else { Replace::No };
    let mut failed = Vec::new();
    for comparison in &agreement.comparisons {
        for (name, plot) in report::agreement_plots(comparison) {
            let file = folder.join(name);
            if let Err(error) = case::write_atomically(&file, plot.svg().as_bytes(), replace) {
                failed.push(error.to_string());
            }
        }
    }
    if failed.is_empty() { Ok(()) } else { Err(failed) }
}
