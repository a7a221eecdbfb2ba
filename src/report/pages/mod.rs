//! Pages for whoever reads them: the record, the endodontist's letter, the patient's sheet.
//!
//! Each is a list of blocks in a file of its own; [`parts`] has the blocks they share.

mod endodontist;
mod findings;
mod flow;
mod foot;
mod outlook;
mod parts;
mod patient;
mod picture;
mod piece;
mod plain;
mod record;
mod tooth_drawing;

use super::drawing::{Block, Drawing, Mark, Page, Role, Way};
use super::subject::{Audience, Paper, Setting, Subject};
use super::text::SAFETY;
use crate::quantity::Millimetres;
use flow::Section;
pub use picture::patients_picture;
use piece::{Run, Setter};

/// Sizes of letters that are tried, mm of an em: a page is set as large as fits.
const SIZES: [f64; 4] = [2.75, 2.55, 2.4, 2.25];
/// Sizes below which nobody should have to read; a record that must goes down to them once all is left out that can be.
const LEAST_SIZES: [f64; 4] = [2.1, 1.95, 1.8, 1.65];

/// What of a page is hardly anything.
const HARDLY: f64 = 0.3;

/// How much a report tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Detail {
    /// All there is.
    Full,
    /// Without what stands in the case's own tables too.
    Brief,
}

/// The pages of a report: what a PDF is made of, and what a window paints.
pub fn pages(subject: &Subject<'_>, setting: Setting) -> Drawing {
    let title = parts::title(subject, setting.audience);
    let full = SIZES.map(|em| (em, Detail::Full));
    let brief = SIZES.iter().skip(1).chain(&LEAST_SIZES).map(|em| (*em, Detail::Brief));
    let mut made = Vec::new();
    'fits: for most in most_pages(setting.audience) {
        for (em, detail) in full.into_iter().chain(brief.clone()) {
            // Something is left out only where there is no further page to be had.
            if detail == Detail::Brief && Some(most) != most_pages(setting.audience).last() {
                break;
            }
            made = set(subject, setting, em, detail);
            if made.len() <= *most {
                break 'fits;
            }
        }
    }
    if let Some(fewer) = without_a_rest(subject, setting, &made) {
        made = fewer;
    }
    foot::put(subject, setting, &mut made);
    Drawing { title, pages: made }
}

/// The same on a page less, set a little smaller, where the last page holds hardly anything.
fn without_a_rest(subject: &Subject<'_>, setting: Setting, made: &[Page]) -> Option<Vec<Page>> {
    let last = made.last().filter(|_| made.len() > 1)?;
    let texts = last.blocks.iter().flat_map(|block| &block.marks).filter_map(|mark| match mark {
        Mark::Text(text) => Some(text.at.y),
        Mark::Path(_) | Mark::Picture(_) => None,
    });
    if texts.fold(0.0, f64::max) > HARDLY * last.height.get() {
        return None;
    }
    let smaller = SIZES.iter().skip(1).map(|em| set(subject, setting, *em, Detail::Full));
    smaller.into_iter().find(|pages| pages.len() < made.len())
}

/// How many pages a report may have; fewer are tried first where that is worth smaller letters.
const fn most_pages(audience: Audience) -> &'static [usize] {
    match audience {
        Audience::Record => &[3],
        Audience::Endodontist => &[1, 2],
        Audience::Patient => &[1],
    }
}

fn set(subject: &Subject<'_>, setting: Setting, em: f64, detail: Detail) -> Vec<Page> {
    let mut setter = Setter::new(em);
    let sections: Vec<Section> = match setting.audience {
        Audience::Record => record::sections(&mut setter, subject, setting, detail),
        Audience::Endodontist => endodontist::sections(&mut setter, subject, setting, detail),
        Audience::Patient => patient::sections(&mut setter, subject, setting),
    };
    flow::pages(setting.paper, sections)
}

/// The patient's drawing alone, with its size.
pub(super) fn patients_drawing(subject: &Subject<'_>) -> (Block, [f64; 2]) {
    (tooth_drawing::sketch(subject), [tooth_drawing::WIDTH, tooth_drawing::HEIGHT])
}

/// What stands over the built-in sample, on a page so wide; nothing over other cases.
pub(super) fn banner(subject: &Subject<'_>, width: Millimetres) -> Option<Block> {
    let marks = foot::banner_marks(subject.banner()?, width.get());
    Some(Block { role: Role::Paragraph, marks })
}

/// What a film is worth, set under a picture so wide, mm, with how high it is.
pub(super) fn safety(width: f64) -> (Vec<Block>, f64) {
    /// The size of letters, mm of an em.
    const EM: f64 = 2.6;
    let piece = Setter::new(EM).small(&[Run::plain(SAFETY)], width);
    (piece.blocks, piece.height)
}

/// How much of a page's top a banner takes.
pub(super) const BANNER: f64 = 8.0;

/// So far down.
fn down(by: f64) -> Way {
    Way::new(0.0, by)
}

/// So far to the right and down.
fn right_down(right: f64, down: f64) -> Way {
    Way::new(right, down)
}
