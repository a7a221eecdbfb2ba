//! The foot of every page: which tooth, which film, when, by what, and what a film is worth.

use super::flow;
use crate::quantity::Millimetres;
use crate::report::SAFETY;
use crate::report::drawing::letters::printable;
use crate::report::drawing::{Block, Colour, Face, Mark, Page, Path, Role, Spot, Stroke, Text, width_of};
use crate::report::subject::{Setting, Subject};
use crate::wording::wrapped;

const SIZE: f64 = 1.9;
const GREY: Colour = Colour::grey(60);

pub(super) fn put(subject: &Subject<'_>, setting: Setting, pages: &mut [Page]) {
    let count = pages.len();
    let [left, top] = flow::foot(setting.paper);
    let width = flow::full_width(setting.paper);
    for (index, page) in pages.iter_mut().enumerate() {
        let number = format!("page {} of {count}", index + 1);
        let room = width - width_of(&number, Face::Regular, Millimetres(SIZE)).get() - 4.0;
        let mut marks = vec![Mark::Path(Path::line(
            &[Spot::new(left, top), Spot::new(left + width, top)],
            Stroke::solid(Colour::grey(120), 0.15),
        ))];
        let line = cut(&about(subject, setting), room);
        let mut baseline = top + 2.6;
        marks.push(text(line, left, baseline));
        let x = left + width - width_of(&number, Face::Regular, Millimetres(SIZE)).get();
        marks.push(text(number, x, baseline));
        // As many letters as surely fit: an em is wider than most letters.
        for row in wrapped(SAFETY, 200) {
            baseline += 1.22 * SIZE;
            marks.push(text(row, left, baseline));
        }
        page.blocks.push(Block { role: Role::Decoration, marks });
        if let Some(banner) = subject.banner() {
            // Read once, seen on every page.
            let role = if index == 0 { Role::Paragraph } else { Role::Decoration };
            page.blocks.insert(0, Block { role, marks: banner_marks(banner, page.width.get()) });
        }
    }
}

/// A banner in a frame, at the top of a page so wide.
pub(super) fn banner_marks(banner: &str, width: f64) -> Vec<Mark> {
    let size = Millimetres(2.7);
    let extent = width_of(banner, Face::Bold, size).get();
    let x = (width - extent) / 2.0;
    let frame = Some(Stroke::solid(Colour::BLACK, 0.3));
    let frame = Path::rectangle(Spot::new(x - 2.0, 4.5), extent + 4.0, 4.6, None, frame);
    let (at, words) = (Spot::new(x, 7.75), banner.to_owned());
    vec![Mark::Path(frame), Mark::Text(Text { at, words, face: Face::Bold, size, colour: Colour::BLACK })]
}

fn about(subject: &Subject<'_>, setting: Setting) -> String {
    let case = subject.case;
    let tooth = case.tooth.fdi.map_or_else(|| "tooth not named".to_owned(), |fdi| format!("tooth {fdi}"));
    let film = case.film.sha256.as_deref().and_then(|digest| digest.get(..12));
    let film = film.map_or_else(|| "film without a digest".to_owned(), |digest| format!("film {digest}…"));
    let label = case.label.as_deref().map(|label| format!("; {}", printable(label).0)).unwrap_or_default();
    format!("{tooth}; {film}; {}; {}{label}", setting.date, subject.derived.computed.program)
}

/// Words cut to a width, with a sign that they are.
fn cut(words: &str, width: f64) -> String {
    let fits = |words: &str| width_of(words, Face::Regular, Millimetres(SIZE)).get() <= width;
    if fits(words) {
        return words.to_owned();
    }
    let mut shorter = words.to_owned();
    while shorter.pop().is_some() {
        let cut = format!("{}…", shorter.trim_end());
        if fits(&cut) {
            return cut;
        }
    }
    shorter
}

fn text(words: String, x: f64, y: f64) -> Mark {
    Mark::Text(Text {
        at: Spot::new(x, y),
        words,
        face: Face::Regular,
        size: Millimetres(SIZE),
        colour: GREY,
    })
}
