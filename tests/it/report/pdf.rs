//! PDF read by poppler, a renderer of others: pages render, words come in order, letters are embedded, and the file says
//! what it conforms to.

use super::{Made, setting};
use crate::support::text;
use crestgauge::report::{Audience, Ending, Paper, written};
use std::path::Path;
use std::process::Command;

fn pdf(made: &Made, audience: Audience, paper: Paper) -> Vec<u8> {
    written(&made.subject(), setting(audience, paper), Ending::Pdf, None).unwrap().bytes
}

fn printed(tool: &str, arguments: &[&str], file: &Path) -> String {
    let mut command = Command::new(tool);
    let (last, first) = arguments.split_last().map_or((None, arguments), |(last, first)| (Some(last), first));
    command.args(first).arg(file);
    if let Some(last) = last.filter(|last| !last.is_empty()) {
        command.arg(last);
    }
    let ran = command.output().unwrap_or_else(|error| panic!("{tool}: {error}; tests/run installs it"));
    let err = String::from_utf8_lossy(&ran.stderr);
    // PDF/UA wants Suspects to be a truth value (ISO 14289-1, 7.1), which poppler 22.12 does not expect.
    let complaints = err.lines().filter(|line| !line.contains("Suspects object is wrong type (boolean)"));
    assert!(ran.status.success() && complaints.count() == 0, "{tool}: {err}");
    String::from_utf8_lossy(&ran.stdout).into_owned()
}

/// The sample and a molar of three roots, for everybody, on both papers.
#[test]
fn letters_are_embedded_and_the_file_says_what_it_conforms_to() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.pdf");
    for made in [Made::sample(), Made::of(&text("check-cases/2-005.case.json"))] {
        for (_, audience) in Audience::ALL {
            for (_, paper) in Paper::ALL {
                let bytes = pdf(&made, *audience, *paper);
                for states in ["pdfaid:part>2<", "pdfaid:conformance>A<", "pdfuaid:part>1<"] {
                    let stated = bytes.windows(states.len()).any(|part| part == states.as_bytes());
                    assert!(stated, "{states}");
                }
                std::fs::write(&file, bytes).unwrap();
                let about = printed("pdfinfo", &[""], &file);
                let says = |name: &str, value: &str| {
                    about.lines().any(|line| line.starts_with(name) && line.contains(value))
                };
                assert!(says("Tagged", "yes"), "{about}");
                assert!(
                    says("Page size", if *paper == Paper::A4 { "595.276 x 841.89" } else { "612 x 792" }),
                    "{about}"
                );
                assert!(says("CreationDate", "2026"), "{about}");
                let fonts = printed("pdffonts", &[""], &file);
                for font in fonts.lines().skip(2) {
                    // Embedded, subset, with a map to Unicode.
                    assert!(font.split_whitespace().filter(|word| *word == "yes").count() == 3, "{fonts}");
                }
                assert!(fonts.lines().count() > 2, "{fonts}");
            }
        }
    }
}

#[test]
fn words_come_in_reading_order() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.pdf");
    std::fs::write(&file, pdf(&Made::sample(), Audience::Record, Paper::A4)).unwrap();
    // Without a layout of its own the tool gives the words as they come.
    let words = printed("pdftotext", &["-raw", "-"], &file);
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut at = 0;
    for heading in [
        "SAMPLE, NOT A PATIENT",
        "Record: tooth 21 (FDI), post, core and crown",
        "READ FIRST",
        "WHAT IS THERE",
        "Is there a ferrule?",
        "ferrule height, mesial 0.82 ± 0.64 mm",
        "ferrule: at least 1.5 mm (p 0.02; worst: ferrule height, mesial) [requirement]",
        "Is the margin clear",
        "How thick are the walls?",
        "WHAT IS PLANNED",
        "WHAT WOULD SETTLE THE UNDECIDED",
        "HOW DEEP A POST?",
        "AT THE CHAIR",
        "WHAT A FERRULE WOULD TAKE",
        "OPTIONS",
        "A radiograph is a two-dimensional projection",
    ] {
        let found = words[at..]
            .find(heading)
            .unwrap_or_else(|| panic!("{heading:?} does not come after {at}:\n{words}"));
        at += found + heading.len();
    }
}

/// Made from the sample: an invented label that runs to the left, as it is read from the page, and as those hear it who
/// are read the tags: their actual text (ISO 32000-1, 14.9.4) is UTF-16, here in hexadecimal digits.
#[test]
fn words_that_run_to_the_left_are_read_as_they_were_written() {
    use std::fmt::Write as _;
    const LABEL: &str = "21, שיניים אחוריות, upper";
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.pdf");
    let mut made = Made::sample();
    made.case.label = Some(LABEL.to_owned());
    let bytes = pdf(&made, Audience::Record, Paper::A4);
    std::fs::write(&file, &bytes).unwrap();
    let words = printed("pdftotext", &["-"], &file);
    // poppler marks the direction by signs of its own.
    let bare: String = words.chars().filter(|it| !matches!(it, '\u{202a}'..='\u{202e}')).collect();
    assert!(bare.contains(LABEL), "{words}");
    let mut heard = "/ActualText<FEFF".to_owned();
    for unit in LABEL.encode_utf16() {
        let _ = write!(heard, "{unit:04X}");
    }
    assert!(bytes.windows(heard.len()).any(|part| part == heard.as_bytes()));
}

#[test]
fn tags_tell_headings_tables_and_the_figure() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.pdf");
    std::fs::write(&file, pdf(&Made::sample(), Audience::Record, Paper::A4)).unwrap();
    let tree = printed("pdfinfo", &["-struct-text", ""], &file);
    for part in ["H1", "H2", "Table", "TR", "TH", "TD", "Figure", "P"] {
        assert!(tree.lines().any(|line| line.trim_start().starts_with(part)), "{part}:\n{tree}");
    }
    assert!(tree.contains("0.82 ± 0.64 mm"), "{tree}");
}

#[test]
fn pages_render_and_the_film_is_there_once() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.pdf");
    let bytes = pdf(&Made::sample(), Audience::Record, Paper::A4);
    assert!(bytes.len() < 3 << 20, "{}", bytes.len());
    std::fs::write(&file, bytes).unwrap();
    let images = printed("pdfimages", &["-list", ""], &file);
    let films: Vec<&str> = images.lines().skip(2).collect();
    assert_eq!(films.len(), 1, "{images}");
    // The part around the tooth: from what was placed, 35 % of its longer side more on every side, held to 1000 by 1300
    // pixels; 8 bits of grey.
    let drawing = crestgauge::report::pages(&Made::sample().subject(), setting(Audience::Record, Paper::A4));
    let part = drawing.pages[0].blocks.iter().flat_map(|block| &block.marks).find_map(|mark| match mark {
        crestgauge::report::Mark::Picture(picture) => Some((picture.shades.width(), picture.shades.height())),
        _ => None,
    });
    let (width, height) = part.unwrap();
    assert!(width < 1000 && height < 1300);
    let words: Vec<&str> = films[0].split_whitespace().collect();
    assert_eq!(&words[3..8], [&*width.to_string(), &*height.to_string(), "icc", "1", "8"], "{images}");
    let pages = folder.path().join("page");
    let ran = Command::new("pdftoppm").args(["-r", "40", "-gray"]).arg(&file).arg(&pages).output().unwrap();
    assert!(ran.status.success() && ran.stderr.is_empty(), "{}", String::from_utf8_lossy(&ran.stderr));
    for number in 1..=3 {
        let page = std::fs::read(folder.path().join(format!("page-{number}.pgm"))).unwrap();
        let dark = page.iter().filter(|shade| **shade < 128).count();
        assert!(dark > page.len() / 200, "page {number} is empty");
    }
}
