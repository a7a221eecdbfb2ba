//! `crestgauge inspect` and `crestgauge draft`: films in.

use super::arguments::{Draft, Inspect};
use super::console::{Exit, Reader, complain, print, style};
use crate::case::{self, Begun, Document, Replace};
use crate::film;
use crate::report;
use std::path::Path;

pub(super) fn inspect(arguments: &Inspect) -> Exit {
    let bounds = arguments.bounds.into();
    let style = style();
    let mut exit = Exit::Done;
    for (index, path) in arguments.films.iter().enumerate() {
        let name = path.display().to_string();
        let text = film::describe(path, &bounds).map_err(|error| error.to_string()).and_then(|film| {
            if arguments.json {
                report::film_json(&name, &film).map(|line| line + "\n").map_err(|error| error.to_string())
            } else {
                let gap = if index > 0 { "\n" } else { "" };
                Ok(format!("{gap}{}", report::film_text(&name, &film, style)))
            }
        });
        match text {
            Ok(text) => match print(&text) {
                Reader::Listening => {}
                Reader::Gone => return exit,
                Reader::Failed => return Exit::SomeFailed,
            },
            Err(why) => {
                complain(&format!("{name}: {why}"));
                exit = Exit::SomeFailed;
            }
        }
    }
    exit
}

pub(super) fn draft(arguments: &Draft) -> Exit {
    match write_draft(arguments) {
        Ok(said) => print(&said).into(),
        Err(why) => {
            complain(&why);
            Exit::SomeFailed
        }
    }
}

fn write_draft(arguments: &Draft) -> Result<String, String> {
    let film_name = arguments.film.display().to_string();
    let output_name = arguments.output.display().to_string();
    let film = film::describe(&arguments.film, &arguments.bounds.into())
        .map_err(|error| format!("{film_name}: {error}"))?;
    let folder = arguments.output.parent().unwrap_or(Path::new(""));
    let relative = case::path_from(folder, &arguments.film);
    let Some(file) = relative.to_str() else {
        return Err(format!(
            "{film_name}: the film's path is not UTF-8, and a case can name no such path; rename the film or move it beside the case"
        ));
    };
    let begun = Begun { tooth: arguments.tooth, stage: arguments.stage, technique: arguments.technique };
    let case = case::draft(file, &film, &begun);
    let replace = if arguments.force { Replace::Yes } else { Replace::No };
    if arguments
        .film
        .canonicalize()
        .ok()
        .is_some_and(|film| arguments.output.canonicalize().ok() == Some(film))
    {
        return Err(format!(
            "{output_name}: is the film itself; a case needs a file of its own, such as NAME.case.json"
        ));
    }
    case::save(&arguments.output, &Document { case: &case, derived: None, case_file: None }, replace)
        .map_err(|error| error.to_string())?;
    let mut said = format!("{output_name}: an empty case for {film_name}\n");
    if case.calibration.references.is_empty() {
        said.push_str("  the film states no pitch; add a reference to \"calibration\" before measuring\n");
    } else {
        said.push_str(
            "  its scale is the pitch the film states; an instrument of known length is a better reference\n",
        );
    }
    if case.tooth.fdi.is_none() {
        said.push_str("  name the tooth: \"tooth\": {\"fdi\": \"21\"}, or --tooth 21\n");
    }
    for caution in &film.cautions {
        said = format!("{said}  ! {}\n", caution.text());
    }
    Ok(said)
}
