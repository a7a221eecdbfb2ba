//! `crestgauge report`: a case in, a report in a file out.

use super::arguments::Report;
use super::console::{Exit, complain, print};
use super::measure::explain;
use crate::case::{self, Case, Replace, is_same_file};
use crate::caution::{Caution, CautionKind};
use crate::editor::ForReport;
use crate::film::{self, Bounds, Format};
use crate::report::{
    Audience, Day, Ending, Setting, Shades, Subject, WrongName, missing_in_structured_report, shades_of,
    written,
};
use std::path::Path;
use std::sync::Arc;
use std::time::SystemTime;

pub(super) fn run(arguments: &Report) -> Exit {
    match ending(arguments).and_then(|ending| write(arguments, ending)) {
        Ok(said) => print(&said).into(),
        Err((exit, why)) => {
            complain(&why);
            exit
        }
    }
}

/// What the output's ending asks for.
fn ending(arguments: &Report) -> Result<Ending, (Exit, String)> {
    Ending::of(&arguments.output, arguments.audience).map_err(|why| {
        let more = match &why {
            WrongName::NumbersAreTheRecords { audience, .. } => {
                format!(", or leave --for {} out", audience.word())
            }
            WrongName::Ending { .. } => String::new(),
        };
        (Exit::WrongUse, format!("crestgauge report: {}: {why}{more}", arguments.output.display()))
    })
}

fn write(arguments: &Report, ending: Ending) -> Result<String, (Exit, String)> {
    let failed = |why: String| (Exit::SomeFailed, why);
    let output = arguments.output.display().to_string();
    let name = arguments.case.display().to_string();
    if is_same_file(&arguments.output, &arguments.case) {
        return Err(failed(format!("{output}: is the case itself; a report needs a file of its own")));
    }
    if !arguments.force && arguments.output.exists() {
        return Err(failed(format!("{output}: exists and was left as it is; --force replaces it")));
    }
    let engine = Arc::new(super::engine(&arguments.means).map_err(failed)?);
    let read = case::read(&arguments.case).map_err(|error| failed(explain(&arguments.case, &error)))?;
    let (case, mut noticed) = (read.case, read.cautions);
    let folder = arguments.case.parent().unwrap_or(Path::new(""));
    let bounds: Bounds = arguments.bounds.into();
    noticed.extend(case::check_film(&case, folder, &bounds));
    let names_the_film = |film: &String| is_same_file(&arguments.output, &folder.join(film));
    if case.film.file.as_ref().is_some_and(names_the_film) {
        return Err(failed(format!("{output}: is the film itself; a report needs a file of its own")));
    }
    // Decoding a film and drawing intervals take about as long as each other.
    let (film, made) = std::thread::scope(|scope| {
        let film = scope.spawn(|| Film::of(&case, folder, &bounds, &noticed));
        let made = ForReport::of(case.clone(), engine, &noticed);
        (film.join().unwrap_or_else(|_| Film::none("it could not be read")), made)
    });
    let made = made.map_err(|error| failed(format!("{name}: {error}")))?;
    let subject = Subject {
        case: &made.case,
        measured: &made.measured,
        derived: &made.derived,
        criteria: &made.engine.criteria,
        plan: &made.plan,
        film: film.shades,
    };
    let date = arguments.date.unwrap_or_else(|| Day::here(SystemTime::now()));
    let setting = Setting { audience: arguments.audience, paper: arguments.paper, date };
    let identifiers = match (&film.bytes, ending) {
        (Some(bytes), Ending::Dcm) => film::dicom::identifiers(bytes, &bounds).ok().flatten(),
        _ => None,
    };
    let written = written(&subject, setting, ending, identifiers.as_ref())
        .map_err(|error| failed(format!("{name}: {error}")))?;
    let replace = if arguments.force { Replace::Yes } else { Replace::No };
    case::write_atomically(&arguments.output, &written.bytes, replace)
        .map_err(|error| failed(error.to_string()))?;
    let mut said = format!("{output}: {}\n", written.what);
    let mut further: Vec<String> = Vec::new();
    if ending == Ending::Dcm {
        further.extend(missing_in_structured_report(identifiers.as_ref()).into_iter().map(str::to_owned));
    } else if matches!(ending, Ending::Pdf | Ending::Png | Ending::Svg)
        && setting.audience != Audience::Patient
    {
        further.extend(film.why_none.map(|why| format!("without a picture of the film: {why}")));
    }
    for words in further {
        said = format!("{said}  {words}\n");
    }
    Ok(said)
}

/// The film of a case as it is looked at, or why there is none.
struct Film {
    shades: Option<Arc<Shades>>,
    bytes: Option<Vec<u8>>,
    why_none: Option<String>,
}

impl Film {
    fn none(why: &str) -> Self {
        Self { shades: None, bytes: None, why_none: Some(why.to_owned()) }
    }

    fn of(case: &Case, folder: &Path, bounds: &Bounds, noticed: &[Caution]) -> Self {
        let Some(file) = &case.film.file else { return Self::none("the case names no film") };
        let path = folder.join(file);
        let bytes = match film::file_bytes_while(&path, bounds, |_, _| true) {
            Ok(Some(bytes)) => bytes,
            Ok(None) => return Self::none("it was not read"),
            Err(error) => return Self::none(&error.to_string()),
        };
        let read = match film::read_bytes(&bytes, bounds) {
            Ok(read) => read,
            Err(error) => return Self::none(&error.to_string()),
        };
        // Points of another grid would lie beside what they mark.
        if noticed.iter().any(|caution| caution.kind == CautionKind::FilmSizeDiffers) {
            return Self::none("the film has another size than the one the case was placed on");
        }
        let is_dicom = read.format == Format::Dicom;
        let shades = shades_of(&read).map(Arc::new);
        Self { shades, bytes: is_dicom.then_some(bytes), why_none: None }
    }
}
