//! A report as the bytes of a file, by the file's ending.

use super::annotated_film::{View, annotated_film};
use super::csv::{MEASUREMENTS_HEADER, csv_record, measurements_csv};
use super::drawing::{Block, Page, Way, pdf, png, svg};
use super::pages::{BANNER, banner, pages, patients_drawing};
use super::structured::structured_report;
use super::subject::{Audience, PictureFailed, Setting, Subject};
use crate::film::dicom::FilmIdentifiers;
use crate::quantity::Millimetres;

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

/// The width of the annotated film's page, names included.
const WIDTH: f64 = 210.0;
/// No higher than this.
const HIGHEST: f64 = 280.0;
/// White around it.
const MARGIN: f64 = 4.0;
/// Pixels to a mm of a PNG: as many as the film has where it lies, but no fewer and no more than these.
const FEWEST: f64 = 10.0;
const MOST: f64 = 18.0;

/// The annotated film alone; for the patient the sketch of the tooth.
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
    let width = Millimetres(width + 2.0 * MARGIN);
    let banner = banner(subject, width);
    let above = if banner.is_some() { BANNER } else { 0.0 };
    let mut blocks: Vec<Block> = banner.into_iter().collect();
    blocks.push(block.moved(Way::new(MARGIN, MARGIN + above)));
    Ok(Page { width, height: Millimetres(height + 2.0 * MARGIN + above), blocks })
}

/// The bytes of a report. The same subject and setting are the same bytes. `film` are the identifiers of a DICOM film,
/// which a structured report refers to; no other report needs them.
///
/// # Errors
/// There is nothing to draw, or the writer will not have it.
pub fn written(
    subject: &Subject<'_>,
    setting: Setting,
    ending: Ending,
    film: Option<&FilmIdentifiers>,
) -> Result<Vec<u8>, PictureFailed> {
    let failed = |error: serde_json::Error| PictureFailed::Encoder(error.to_string());
    match ending {
        Ending::Pdf => {
            let (year, month, day) = setting.date.parts();
            let stamp = pdf::Stamp { year, month, day };
            pdf::pdf(&pages(subject, setting), stamp, &subject.derived.computed.program)
        }
        Ending::Png => {
            let page = picture(subject, setting.audience)?;
            png::png(&page, resolution(&page))
        }
        Ending::Svg => {
            let page = picture(subject, setting.audience)?;
            let tooth = subject.case.tooth.fdi.map_or_else(String::new, |fdi| format!(" of tooth {fdi}"));
            let title = match setting.audience {
                Audience::Patient => format!("Sketch{tooth}"),
                Audience::Record | Audience::Endodontist => format!("Annotated film{tooth}"),
            };
            svg::svg(&title, &page).map(String::into_bytes)
        }
        Ending::Csv => {
            let mut text = String::new();
            csv_record(&mut text, MEASUREMENTS_HEADER);
            let name =
                subject.case.label.clone().or_else(|| subject.case.film.sha256.clone()).unwrap_or_default();
            text.push_str(&measurements_csv(&name, subject.case, subject.derived));
            Ok(text.into_bytes())
        }
        Ending::Json => {
            let mut case = subject.case.clone();
            // A film's name can carry a patient's; the digest tells which film it is.
            case.film.file = None;
            let line = super::case_json(&case, subject.derived, None).map_err(failed)?;
            Ok((line + "\n").into_bytes())
        }
        Ending::Dcm => structured_report(subject, setting.date, film),
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
