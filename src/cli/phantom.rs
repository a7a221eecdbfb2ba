//! `crestgauge phantom`: a synthetic film, and its case with the truth.

use super::console::{Exit, complain, print};
use super::phantom_arguments::PhantomArguments;
use crate::case::{self, Document, Replace};
use crate::film::dicom::{self, NewFilm};
use crate::film::{Picture, Sha256, encode_png, encode_tiff};
use crate::phantom::{Attenuation, Beam, Exposure, FilmNote, Scene, StatedScale, Tooth, expose, truth_case};
use crate::quantity::Millimetres;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

pub(super) fn run(arguments: &PhantomArguments) -> Exit {
    match make(arguments) {
        Ok(said) => print(&said).into(),
        Err((exit, why)) => {
            complain(&format!("crestgauge phantom: {why}"));
            exit
        }
    }
}

/// The kind of file a film is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Png,
    Tiff,
    Dicom,
}

impl Kind {
    fn of(file: &Path) -> Option<Self> {
        match file.extension()?.to_str()?.to_ascii_lowercase().as_str() {
            "png" => Some(Self::Png),
            "tif" | "tiff" => Some(Self::Tiff),
            "dcm" => Some(Self::Dicom),
            _ => None,
        }
    }
}

fn make(arguments: &PhantomArguments) -> Result<String, (Exit, String)> {
    let wrong = |why: String| (Exit::WrongUse, why);
    let failed = |why: String| (Exit::SomeFailed, why);
    let output = &arguments.output;
    let name = output.display().to_string();
    let kind = Kind::of(output)
        .ok_or_else(|| wrong(format!("{name}: a film ends in .png, .tif or .dcm; choose one of them")))?;
    let case_file = case_beside(output);
    let Some(film_name) = output.file_name().and_then(|name| name.to_str()) else {
        return Err(wrong(format!(
            "{name}: a case can name no such file; take a name of letters and digits"
        )));
    };
    if kind == Kind::Dicom && arguments.film.dpi.is_some() {
        return Err(wrong(
            "--dpi is for a scanned film, and DICOM is written for a digital receptor; take .png or .tif, or --pitch"
                .to_owned(),
        ));
    }
    let recipe = arguments.recipe();
    let tooth = recipe.tooth(arguments.tooth, arguments.seed).map_err(|error| wrong(error.to_string()))?;
    let exposure = Exposure::aimed(tooth.fdi, tooth.middle(), &arguments.aim())
        .map_err(|error| wrong(error.to_string()))?;
    let response = arguments.response().map_err(wrong)?;
    let tables = Attenuation::embedded().map_err(|error| failed(error.to_string()))?;
    let beam = Beam::of_tube(&tables, arguments.aim.kilovolts, Millimetres(arguments.aim.filter))
        .map_err(|error| wrong(error.to_string()))?;
    // Looked at before the work, so that nobody waits for a film that cannot be kept.
    let replace = if arguments.force { Replace::Yes } else { Replace::No };
    for file in [output, &case_file] {
        if replace == Replace::No && file.exists() {
            return Err(failed(format!(
                "{}: exists; choose another name, or --force to replace it",
                file.display()
            )));
        }
    }
    let scene = Scene::of(&tooth, arguments.seed);
    let threads = std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN);
    let picture = expose(&scene, &exposure, &beam, &response, arguments.seed, threads)
        .ok_or_else(|| failed(format!("{name}: the film has no pixels")))?;
    let magnification = magnification(&tooth, &exposure);
    let bytes = encode(kind, &picture, &exposure, magnification)
        .map_err(|error| failed(format!("{name}: {error}")))?;
    let scale = match (arguments.film.dpi, kind) {
        (Some(dpi), _) => StatedScale::Scan(dpi),
        (None, Kind::Dicom) => StatedScale::PitchAndMagnification(magnification),
        (None, _) => StatedScale::Pitch,
    };
    let note = FilmNote {
        file: film_name.to_owned(),
        sha256: Sha256::of(&bytes).to_string(),
        stage: arguments.stage(),
        technique: Some(arguments.aim.technique),
        scale,
        seed: arguments.seed,
        is_at_chair: arguments.wishes.at_chair,
    };
    let case = truth_case(&tooth, &exposure, &note);
    case::write_atomically(output, &bytes, replace).map_err(|error| failed(error.to_string()))?;
    case::save(&case_file, &Document { case: &case, derived: None, case_file: None }, replace)
        .map_err(|error| failed(error.to_string()))?;
    Ok(format!(
        "{name}: a synthetic film of tooth {}, {} x {} pixels\n{}: its case, with the truth under \"x-truth\"\n",
        tooth.fdi,
        picture.width(),
        picture.height(),
        case_file.display()
    ))
}

/// The case beside a film: NAME.case.json.
fn case_beside(film: &Path) -> PathBuf {
    film.with_extension("case.json")
}

/// By how much the tooth's middle is enlarged, to a thousandth.
fn magnification(tooth: &Tooth, exposure: &Exposure) -> f64 {
    let exact = exposure.magnification_at(tooth.middle()).unwrap_or(1.0);
    (1000.0 * exact).round() / 1000.0
}

fn encode(
    kind: Kind,
    picture: &Picture,
    exposure: &Exposure,
    magnification: f64,
) -> Result<Vec<u8>, dicom::WriteError> {
    let receptor = &exposure.receptor;
    let film = |picture| NewFilm {
        picture,
        across: receptor.across_pitch,
        down: receptor.down_pitch,
        magnification: Some(magnification),
        inverted: false,
    };
    match kind {
        Kind::Png => encode_png(&film(picture)),
        Kind::Dicom => dicom::encode(&film(picture)),
        Kind::Tiff if picture.bits() > 8 => encode_tiff(&film(&picture.spread_over_16_bits())),
        Kind::Tiff => encode_tiff(&film(picture)),
    }
}
