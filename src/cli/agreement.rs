//! `crestgauge agreement`: repeated cases in, tables and plots out.

use super::arguments::AgreementArguments;
use super::console::{Exit, Progress, complain, print, style};
use super::stem::folders;
use crate::agreement::{Agreement, Between, Comparison, Component, Pair, Quantity, Sitting, agree, signed};
use crate::calibration::Library;
use crate::case::{self, Replace};
use crate::report::{self, PlotTitle};
use crate::wording::near;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;

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
    let (sittings, mut exit) = read(arguments, &library);
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

/// Reads all cases, on all cores; one that cannot be used is said, in the order given.
fn read(arguments: &AgreementArguments, library: &Library) -> (Vec<Sitting>, Exit) {
    let mut known = BTreeSet::new();
    let cases: Vec<&PathBuf> = arguments
        .cases
        .iter()
        .filter(|file| {
            let is_new = known.insert(file.canonicalize().unwrap_or_else(|_| (*file).clone()));
            if !is_new {
                complain(&format!("{}: named twice; it counts once", file.display()));
            }
            is_new
        })
        .collect();
    let observers = match &arguments.observer {
        Some(observer) => vec![observer.clone(); cases.len()],
        None => folders(&cases.iter().map(|file| (*file).clone()).collect::<Vec<_>>()),
    };
    let one = |index: usize| -> Option<Result<Sitting, String>> {
        let (file, folder) = (cases.get(index)?, observers.get(index)?);
        let name = file.display().to_string();
        Some(case::read(file).map_err(|error| error.to_string()).and_then(|read| {
            let observer = signed(&read.case).observer.unwrap_or_else(|| folder.clone());
            Sitting::of(&read.case, &observer, &name, library).map_err(|error| format!("{name}: {error}"))
        }))
    };
    let next = AtomicUsize::new(0);
    let (send, receive) = mpsc::channel();
    let workers = std::thread::available_parallelism().map_or(1, usize::from).min(cases.len());
    let mut results: Vec<(usize, Result<Sitting, String>)> = Vec::with_capacity(cases.len());
    std::thread::scope(|scope| {
        for _ in 0..workers {
            let (send, next, one) = (send.clone(), &next, &one);
            scope.spawn(move || {
                loop {
                    let index = next.fetch_add(1, Ordering::Relaxed);
                    let Some(result) = one(index) else { return };
                    if send.send((index, result)).is_err() {
                        return;
                    }
                }
            });
        }
        drop(send);
        let mut progress = Progress::new(cases.len());
        for result in receive {
            results.push(result);
            progress.done(results.len());
        }
    });
    results.sort_by_key(|(index, _)| *index);
    let mut exit = Exit::Done;
    let mut sittings = Vec::with_capacity(results.len());
    for (_, result) in results {
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
        for (name, svg) in plots(comparison) {
            let file = folder.join(name);
            if let Err(error) = case::write_atomically(&file, svg.as_bytes(), replace) {
                failed.push(error.to_string());
            }
        }
    }
    if failed.is_empty() { Ok(()) } else { Err(failed) }
}

fn plots(comparison: &Comparison) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for compared in &comparison.quantities {
        let quantity = &compared.quantity;
        for (index, pair) in compared.pairs.iter().enumerate() {
            let Some(of) = pair.bland_altman.given() else { continue };
            let title = |words: String| PlotTitle {
                quantity: words,
                unit: quantity.unit().suffix().to_owned(),
                first: named(comparison, &pair.first),
                second: named(comparison, &pair.second),
            };
            let svg = match quantity.component() {
                None => report::bland_altman_svg(&title(quantity.spoken()), of),
                Some(Component::Along) => {
                    let Some(across) = across(comparison, quantity, index) else { continue };
                    report::places_svg(&title(Quantity::words_of(quantity.id())), of, across)
                }
                Some(Component::Across) => continue,
            };
            all.push((file_name(comparison, quantity.id(), pair), svg));
        }
    }
    all
}

/// The other component of a landmark's place.
fn across<'a>(
    comparison: &'a Comparison,
    along: &Quantity,
    pair: usize,
) -> Option<&'a crate::agreement::BlandAltman> {
    let is_other = |it: &Quantity| it.id() == along.id() && it.component() == Some(Component::Across);
    let compared = comparison.quantities.iter().find(|it| is_other(&it.quantity))?;
    compared.pairs.get(pair)?.bland_altman.given()
}

/// A column in a plot's words: a sitting with its observer.
fn named(comparison: &Comparison, column: &str) -> String {
    match (comparison.between, &comparison.observer) {
        (Between::Sittings, Some(observer)) => format!("{observer}, {column}"),
        _ => column.to_owned(),
    }
}

fn file_name(comparison: &Comparison, id: &str, pair: &Pair) -> String {
    let plain = |text: &str| -> String {
        text.chars().map(|it| if it.is_alphanumeric() || "._-@".contains(it) { it } else { '-' }).collect()
    };
    let [first, second] = [&pair.first, &pair.second].map(|column| plain(&named(comparison, column)));
    format!("{}--{first}--{second}.svg", plain(id))
}
