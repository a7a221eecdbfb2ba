//! A case and its film: whether the film is the one the case was placed on, and an empty case for a film.

use super::clinical::Clinical;
use super::document::{Calibration, Case, Film, Stage, Technique, Tooth, Uncertainty};
use super::marks::Landmarks;
use super::tooth::Fdi;
use crate::calibration::{Extra, Receptor, Reference, Scan};
use crate::caution::{Caution, CautionKind};
use crate::film::{self, Bounds, Description, PitchFrom, Sha256};
use std::path::{Path, PathBuf};

/// Compares a case with the film it names, found relative to the case's folder. The film is not decoded: its size is
/// read from its header, and its bytes are hashed.
pub fn check_film(case: &Case, case_folder: &Path, bounds: &Bounds) -> Vec<Caution> {
    let Some(name) = &case.film.file else { return Vec::new() };
    let path = case_folder.join(name);
    let missing = |why: &str| vec![Caution::about(CautionKind::FilmMissing, "film/file").detail(why)];
    match path.metadata() {
        Ok(about) if about.is_file() => {}
        Ok(_) => return missing("it names something that is no file"),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return missing(name),
        Err(error) => return missing(&error.to_string()),
    }
    let mut cautions = Vec::new();
    if case.film.sha256.is_some() {
        match film::content_hash(&path) {
            Ok(found) => cautions.extend(other_content(case, &found)),
            Err(error) => return missing(&error.to_string()),
        }
    }
    match film::header(&path, bounds) {
        Ok(header) => cautions.extend(other_size(case, [header.width, header.height])),
        Err(error) => cautions.extend(missing(&error.to_string())),
    }
    cautions
}

/// The same for a film that has been read already.
pub fn compare_film(case: &Case, film: &Description) -> Vec<Caution> {
    let content = other_content(case, &film.sha256);
    content.into_iter().chain(other_size(case, [film.width_px, film.height_px])).collect()
}

fn other_content(case: &Case, found: &Sha256) -> Option<Caution> {
    let stated = case.film.sha256.as_ref()?;
    (found.to_string() != *stated).then(|| Caution::about(CautionKind::FilmChanged, "film/sha256"))
}

fn other_size(case: &Case, [width, height]: [u32; 2]) -> impl Iterator<Item = Caution> {
    let sides =
        [(case.film.width_px, width, "film/width_px"), (case.film.height_px, height, "film/height_px")];
    sides.into_iter().filter_map(|(stated, found, about)| {
        let stated = stated.filter(|stated| *stated != found)?;
        let differs = Caution::about(CautionKind::FilmSizeDiffers, about);
        Some(differs.value(f64::from(found)).limit(f64::from(stated)))
    })
}

/// A film's path as seen from a case's folder: relative where they share a root, else absolute.
pub fn path_from(case_folder: &Path, film: &Path) -> PathBuf {
    let folder = if case_folder.as_os_str().is_empty() { Path::new(".") } else { case_folder };
    let (Ok(film_at), Ok(folder)) = (film.canonicalize(), folder.canonicalize()) else {
        return film.to_path_buf();
    };
    let shared =
        film_at.components().zip(folder.components()).take_while(|(one, other)| one == other).count();
    if shared == 0 {
        return film_at;
    }
    let up = folder.components().skip(shared).map(|_| Path::new(".."));
    let down: PathBuf = film_at.components().skip(shared).collect();
    up.chain(std::iter::once(down.as_path())).collect()
}

/// What a user can say of a film when a case for it is begun.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Begun {
    /// Which tooth.
    pub tooth: Option<Fdi>,
    /// When in the treatment it was taken.
    pub stage: Option<Stage>,
    /// How it was aimed.
    pub technique: Option<Technique>,
}

/// An empty case for a film: its size, hash and aspect, and a reference where the film states a pitch.
///
/// `file` is the film's path relative to where the case will lie. A pitch in a picture file is that of a scan, and
/// DICOM says whether it is that of a receptor. A magnification that the film does not state is left out, so that its
/// default and the caution about it show.
pub fn draft(file: &str, film: &Description, begun: &Begun) -> Case {
    let aspect = film
        .pitch_mm
        .map(|[across, down]| down / across)
        .or(film.pixel_aspect)
        .filter(|aspect| (aspect - 1.0).abs() > 1e-6);
    let references = film.pitch_mm.map(|pitch_mm| reference(pitch_mm, film)).into_iter().collect();
    Case {
        film: Film {
            file: Some(file.to_owned()),
            sha256: Some(film.sha256.to_string()),
            width_px: Some(film.width_px),
            height_px: Some(film.height_px),
            pixel_aspect: aspect,
            date: film.date.clone(),
            stage: begun.stage,
            technique: begun.technique,
            extra: Extra::new(),
        },
        tooth: Tooth { fdi: begun.tooth, mesial_is: None, extra: Extra::new() },
        label: None,
        calibration: Calibration { references, ratio_sd: None, extra: Extra::new() },
        uncertainty: Uncertainty::default(),
        landmarks: Landmarks::default(),
        roots: Vec::new(),
        clinical: Clinical::default(),
        extra: Extra::new(),
    }
}

/// The reference that a film's own pitch is, with a word on where it comes from.
fn reference(pitch_mm: [f64; 2], film: &Description) -> Reference {
    let mut extra = Extra::new();
    if let Some(from) = film.pitch_from {
        let magnification = match film.magnification {
            Some(1.0) => "; it holds in the patient, so magnification is 1",
            Some(_) => "; magnification as the film states it",
            None => "",
        };
        extra.insert("x-from".to_owned(), format!("{from} of the film{magnification}").into());
    }
    let (magnification, magnification_sd) = (film.magnification, None);
    if film.pitch_from.is_some_and(PitchFrom::of_receptor) {
        return Reference::Receptor(Receptor { pitch_mm, magnification, magnification_sd, extra });
    }
    let [across, _] = pitch_mm;
    // 25.4 / 0.0423333 comes out as 600.0004: the digits beyond a hundredth of a dot mean nothing.
    let dpi = (25.4 / across * 100.0).round() / 100.0;
    Reference::Scan(Scan { dpi, magnification, magnification_sd, extra })
}
