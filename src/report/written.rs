//! A report as the bytes of a file, by the file's ending.

use super::annotated_film::{View, annotated_film};
use super::csv::{MEASUREMENTS_HEADER, csv_record, measurements_csv};
use super::drawing::{Block, Page, Way, pdf, png, svg};
use super::pages::{BANNER, banner, pages, patients_drawing, safety};
use super::structured::structured_report;
use super::subject::{Audience, PictureFailed, Setting, Subject};
use crate::film::dicom::FilmIdentifiers;
use crate::quantity::Millimetres;
use std::path::Path;

crate::wording::words! {
    /// What a report is written as.
    Ending {
        /// Pages, tagged and archival.
        Pdf: "pdf",
        /// The annotated film as pixels; for the patient the sketch.
        Png: "png",
        /// The same as lines.
        Svg: "svg",
        /// The measurements, one row each.
        Csv: "csv",
        /// The case with all its rows.
        Json: "json",
        /// A structured report for an archive of images.
        Dcm: "dcm",
    }
}

/// A report as the bytes of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The bytes.
    pub bytes: Vec<u8>,
    /// What was made, in words.
    pub what: String,
}

/// Why a file's name asks for no report.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WrongName {
    /// Its ending is none of those a report has.
    #[error("has {typed}; a report can end in {known}")]
    Ending {
        /// The ending there is.
        typed: String,
        /// Those there are.
        known: String,
    },
    /// Its ending is one of numbers, and this reader gets pages.
    #[error(
        "a report for the {} is pages or a picture, and .{} holds the record's numbers; end it in .pdf, .png or .svg",
        audience.word(),
        ending.word()
    )]
    NumbersAreTheRecords {
        /// What the name asks for.
        ending: Ending,
        /// Whom it is for.
        audience: Audience,
    },
}

impl Ending {
    /// What a file's name asks for.
    ///
    /// # Errors
    /// It has none of the endings there are, or one that this reader has no report of.
    pub fn of(file: &Path, audience: Audience) -> Result<Self, WrongName> {
        let typed = file.extension().map(|ending| ending.to_string_lossy().to_lowercase());
        let found = Self::ALL.iter().find(|(word, _)| typed.as_deref() == Some(*word));
        let Some((_, ending)) = found.copied() else {
            let typed = typed
                .map_or_else(|| "no ending".to_owned(), |ending| format!("the unknown ending \".{ending}\""));
            let known: Vec<String> = Self::ALL.iter().map(|(word, _)| format!(".{word}")).collect();
            return Err(WrongName::Ending { typed, known: crate::wording::list(&known) });
        };
        if ending.is_for(audience) {
            Ok(ending)
        } else {
            Err(WrongName::NumbersAreTheRecords { ending, audience })
        }
    }

    /// Whether there is one for a reader: numbers are the record's.
    pub fn is_for(self, audience: Audience) -> bool {
        matches!(self, Self::Pdf | Self::Png | Self::Svg) || audience == Audience::Record
    }
}

/// The width of the annotated film's page, names included.
const WIDTH: f64 = 210.0;
/// No higher than this.
const HIGHEST: f64 = 280.0;
/// White around it.
const MARGIN: f64 = 4.0;
/// Pixels to a mm of a PNG: as many as the film has where it lies, but no fewer and no more than these.
const FEWEST: f64 = 10.0;
const MOST: f64 = 18.0;

/// The annotated film alone; for the patient the sketch of the tooth. Below it what a film is worth.
///
/// # Errors
/// There is neither a film nor a placed point.
pub fn picture(subject: &Subject<'_>, audience: Audience) -> Result<Page, PictureFailed> {
    let (block, [width, height]) = if audience == Audience::Patient {
        patients_drawing(subject)
    } else {
        let film =
            annotated_film(subject, WIDTH, HIGHEST, View::Whole).ok_or(PictureFailed::NothingToDraw)?;
        (film.block, [film.width, film.height])
    };
    let (safety, foot) = safety(width);
    let width = Millimetres(width + 2.0 * MARGIN);
    let banner = banner(subject, width);
    let above = MARGIN + if banner.is_some() { BANNER } else { 0.0 };
    let below = above + height + MARGIN;
    let mut blocks: Vec<Block> = banner.into_iter().collect();
    blocks.push(block.moved(Way::new(MARGIN, above)));
    blocks.extend(safety.into_iter().map(|block| block.moved(Way::new(MARGIN, below))));
    Ok(Page { width, height: Millimetres(below + foot + MARGIN / 2.0), blocks })
}

/// A report. The same subject and setting are the same bytes. `film` are the identifiers of a DICOM film,
/// which a structured report refers to; no other report needs them.
///
/// # Errors
/// There is nothing to draw, or the writer will not have it.
pub fn written(
    subject: &Subject<'_>,
    setting: Setting,
    ending: Ending,
    film: Option<&FilmIdentifiers>,
) -> Result<Written, PictureFailed> {
    let failed = |error: serde_json::Error| PictureFailed::Encoder(error.to_string());
    let mut count = 0;
    let bytes = match ending {
        Ending::Pdf => {
            let (year, month, day) = setting.date.parts();
            let stamp = pdf::Stamp { year, month, day };
            let drawing = pages(subject, setting);
            count = drawing.pages.len();
            pdf::pdf(&drawing, stamp, &subject.derived.computed.program)?
        }
        Ending::Png => {
            let page = picture(subject, setting.audience)?;
            png::png(&page, resolution(&page))?
        }
        Ending::Svg => {
            let page = picture(subject, setting.audience)?;
            let tooth = subject.case.tooth.fdi.map_or_else(String::new, |fdi| format!(" of tooth {fdi}"));
            let title = match setting.audience {
                Audience::Patient => format!("Sketch{tooth}"),
                Audience::Record | Audience::Endodontist => format!("Annotated film{tooth}"),
            };
            svg::svg(&title, &page)?.into_bytes()
        }
        Ending::Csv => {
            let mut text = String::new();
            csv_record(&mut text, MEASUREMENTS_HEADER);
            let name =
                subject.case.label.clone().or_else(|| subject.case.film.sha256.clone()).unwrap_or_default();
            text.push_str(&measurements_csv(&name, subject.case, subject.derived));
            text.into_bytes()
        }
        Ending::Json => {
            let mut case = subject.case.clone();
            // A film's name can carry a patient's; the digest tells which film it is.
            case.film.file = None;
            let line = super::case_json(&case, subject.derived, None).map_err(failed)?;
            (line + "\n").into_bytes()
        }
        Ending::Dcm => structured_report(subject, setting.date, film)?,
    };
    Ok(Written { bytes, what: what(subject, setting, ending, count) })
}

/// What was made, in words; `count` are the pages of pages.
fn what(subject: &Subject<'_>, setting: Setting, ending: Ending, count: usize) -> String {
    let tooth =
        subject.case.tooth.fdi.map_or_else(|| "a tooth not named".to_owned(), |fdi| format!("tooth {fdi}"));
    match ending {
        Ending::Pdf => {
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

/// As many pixels to a mm as the film itself has there.
fn resolution(page: &Page) -> f64 {
    let own = page.blocks.iter().flat_map(|block| &block.marks).find_map(|mark| match mark {
        super::drawing::Mark::Picture(picture) => {
            Some(f64::from(picture.shades.width()) / picture.width.get())
        }
        _ => None,
    });
    own.unwrap_or(FEWEST).clamp(FEWEST, MOST)
}
