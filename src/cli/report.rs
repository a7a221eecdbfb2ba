//! `crestgauge report`: a case in, a report in a file out.

use super::arguments::Report;
use super::console::{Exit, complain, print};

use super::measure::explain;
use crate::case::{self, Case, Replace};
use crate::caution::{Caution, CautionKind};
use crate::editor::{Engine, in_utc};
use crate::film::{self, Bounds, Format};
use crate::measure::{Draws, measure_drawing_doubtful};
use crate::plan::{Wish, plan};
use crate::report::{
    Audience, Day, Ending, Setting, Shades, Subject, missing_in_structured_report, pages, shades_of, written,
};
use crate::verdict::rows;
use std::path::Path;
use std::sync::Arc;

/// What intervals are drawn with where the first-order one is doubtful.
const DRAWS: Draws = Draws { count: 20_000, seed: 1 };

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
    let name = arguments.output.display();
    let known = || {
        let known: Vec<String> = Ending::ALL.iter().map(|(word, _)| format!(".{word}")).collect();
        crate::wording::list(&known)
    };
    let typed = arguments.output.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    let found =
        Ending::ALL.iter().find(|(word, _)| typed.as_deref() == Some(*word)).map(|(_, ending)| *ending);
    let Some(ending) = found else {
        let typed = typed
            .map_or_else(|| "no ending".to_owned(), |ending| format!("the unknown ending \".{ending}\""));
        let why = format!("crestgauge report: {name}: has {typed}; a report can end in {}", known());
        return Err((Exit::WrongUse, why));
    };
    let is_of_numbers = matches!(ending, Ending::Csv | Ending::Json | Ending::Dcm);
    if is_of_numbers && arguments.audience != Audience::Record {
        let why = format!(
            "crestgauge report: {name}: --for {} makes pages or a picture, and .{} holds the record's numbers; end it in \
             .pdf, .png or .svg, or leave --for out",
            arguments.audience.word(),
            ending.word()
        );
        return Err((Exit::WrongUse, why));
    }
    Ok(ending)
}

fn write(arguments: &Report, ending: Ending) -> Result<String, (Exit, String)> {
    let failed = |why: String| (Exit::SomeFailed, why);
    let output = arguments.output.display().to_string();
    let name = arguments.case.display().to_string();
    if is_the_same(&arguments.output, &arguments.case) {
        return Err(failed(format!("{output}: is the case itself; a report needs a file of its own")));
    }
    if !arguments.force && arguments.output.exists() {
        return Err(failed(format!("{output}: exists and was left as it is; --force replaces it")));
    }
    let Engine { library, criteria } = super::engine(&arguments.means).map_err(failed)?;
    let read = case::read(&arguments.case).map_err(|error| failed(explain(&arguments.case, &error)))?;
    let (case, mut noticed) = (read.case, read.cautions);
    let folder = arguments.case.parent().unwrap_or(Path::new(""));
    let bounds: Bounds = arguments.bounds.into();
    noticed.extend(case::check_film(&case, folder, &bounds).into_iter().map(without_a_name));
    let film = Film::of(&case, folder, &bounds, &noticed);
    if film.path.as_deref().is_some_and(|path| is_the_same(&arguments.output, path)) {
        return Err(failed(format!("{output}: is the film itself; a report needs a file of its own")));
    }
    let (measured, has_drawn) = measure_drawing_doubtful(&case, &library, DRAWS)
        .map_err(|error| failed(format!("{name}: {error}")))?;
    let draws = if has_drawn { DRAWS } else { Draws::default() };
    let derived = rows(&case, &measured, &criteria, draws, &noticed);
    let plan = plan(&case, &library, &criteria, &Wish::default(), &noticed)
        .map_err(|error| failed(format!("{name}: {error}")))?;
    let subject = Subject {
        case: &case,
        measured: &measured,
        derived: &derived,
        criteria: &criteria,
        plan: &plan,
        film: film.shades,
    };
    let date = arguments.date.map_or_else(today, Ok).map_err(failed)?;
    let setting = Setting { audience: arguments.audience, paper: arguments.paper, date };
    let identifiers = match (&film.bytes, ending) {
        (Some(bytes), Ending::Dcm) => film::dicom::identifiers(bytes, &bounds).ok().flatten(),
        _ => None,
    };
    let bytes = written(&subject, setting, ending, identifiers.as_ref())
        .map_err(|error| failed(format!("{name}: {error}")))?;
    let replace = if arguments.force { Replace::Yes } else { Replace::No };
    case::write_atomically(&arguments.output, &bytes, replace).map_err(|error| failed(error.to_string()))?;
    let mut said = format!("{output}: {}\n", what(ending, &subject, setting));
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

/// What was made, in words.
fn what(ending: Ending, subject: &Subject<'_>, setting: Setting) -> String {
    let tooth =
        subject.case.tooth.fdi.map_or_else(|| "a tooth not named".to_owned(), |fdi| format!("tooth {fdi}"));
    match ending {
        Ending::Pdf => {
            let count = pages(subject, setting).pages.len();
            let pages = if count == 1 { "page" } else { "pages" };
            let whose = match setting.audience {
                Audience::Record => "the record of",
                Audience::Patient => "for the patient,",
                Audience::Endodontist => "for the endodontist,",
            };
            format!("{whose} {tooth}, {count} {pages}")
        }
        Ending::Png | Ending::Svg if setting.audience == Audience::Patient => format!("a sketch of {tooth}"),
        Ending::Png | Ending::Svg => format!("the annotated film of {tooth}"),
        Ending::Csv => format!("the measurements of {tooth}"),
        Ending::Json => format!("the case of {tooth} with its numbers, the film's file name left out"),
        Ending::Dcm => format!("a structured report of {tooth} by TID 1500"),
    }
}

/// The film of a case as it is looked at, or why there is none.
struct Film {
    path: Option<std::path::PathBuf>,
    shades: Option<Arc<Shades>>,
    bytes: Option<Vec<u8>>,
    why_none: Option<String>,
}

impl Film {
    fn of(case: &Case, folder: &Path, bounds: &Bounds, noticed: &[Caution]) -> Self {
        let none = |path, why: &str| Self { path, shades: None, bytes: None, why_none: Some(why.to_owned()) };
        let Some(file) = &case.film.file else { return none(None, "the case names no film") };
        let path = folder.join(file);
        let bytes = match film::file_bytes_while(&path, bounds, |_, _| true) {
            Ok(Some(bytes)) => bytes,
            Ok(None) => return none(Some(path), "it was not read"),
            Err(error) => return none(Some(path), &error.to_string()),
        };
        let read = match film::read_bytes(&bytes, bounds) {
            Ok(read) => read,
            Err(error) => return none(Some(path), &error.to_string()),
        };
        // Points of another grid would lie beside what they mark.
        if noticed.iter().any(|caution| caution.kind == CautionKind::FilmSizeDiffers) {
            return none(Some(path), "the film has another size than the one the case was placed on");
        }
        let is_dicom = read.format == Format::Dicom;
        let shades = shades_of(&read).map(Arc::new);
        Self { path: Some(path), shades, bytes: is_dicom.then_some(bytes), why_none: None }
    }
}

/// A caution without the name of a file, which could carry a patient's.
fn without_a_name(caution: Caution) -> Caution {
    if caution.kind == CautionKind::FilmMissing {
        return Caution {
            detail: Some("it is not where the case says, or cannot be read".to_owned()),
            ..caution
        };
    }
    caution
}

fn is_the_same(one: &Path, other: &Path) -> bool {
    one.canonicalize().ok().is_some_and(|one| other.canonicalize().ok() == Some(one))
}

/// Today, UTC.
fn today() -> Result<Day, String> {
    let now = in_utc(std::time::SystemTime::now());
    Day::parse(now.get(..10).unwrap_or_default())
}
