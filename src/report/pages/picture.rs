//! The patient's drawing as a page of its own, as large as a screen: for turning the screen around with.

use super::piece::{Run, Setter};
use super::{BANNER, banner, parts, right_down, tooth_drawing};
use crate::quantity::Millimetres;
use crate::report::drawing::{Block, Page};
use crate::report::subject::{Audience, Subject};
use crate::report::text::SAFETY;

/// The size of letters, mm of an em, on a page as high as [`HEIGHT`].
const EM: f64 = 3.6;
/// The least height and width of the page, mm.
const HEIGHT: f64 = 136.0;
const WIDTH: f64 = tooth_drawing::WIDTH + 2.0 * MARGIN;
const MARGIN: f64 = 6.0;

const SKETCH: &str = "A sketch: it shows which parts the tooth has, not how large they are.";

/// The page, so many times as wide as it is high; what cannot be is taken as 16 by 10.
pub fn patients_picture(subject: &Subject<'_>, width_by_height: f64) -> Page {
    let is_sane = width_by_height.is_finite() && (0.1..=10.0).contains(&width_by_height);
    let ratio = if is_sane { width_by_height } else { 1.6 };
    let width = WIDTH.max(HEIGHT * ratio);
    let height = width / ratio;
    let room = width - 2.0 * MARGIN;
    let mut setter = Setter::new(EM);
    let mut head = setter.title(&parts::title(subject, Audience::Patient), room);
    head.put(setter.paragraph(&[Run::plain(SKETCH)], room));
    let safety = setter.small(&[Run::plain(SAFETY)], room);
    let banner = banner(subject, Millimetres(width));
    let top = if banner.is_some() { BANNER + MARGIN / 2.0 } else { MARGIN };
    let (below, foot) = (top + head.height, height - MARGIN / 2.0 - safety.height);
    let between = ((foot - below - tooth_drawing::HEIGHT) / 2.0).max(0.0);
    let drawing = tooth_drawing::sketch(subject);
    let drawing = drawing.moved(right_down((width - tooth_drawing::WIDTH) / 2.0, below + between));
    let at = |blocks: Vec<Block>, y| blocks.into_iter().map(move |block| block.moved(right_down(MARGIN, y)));
    let mut blocks: Vec<Block> = banner.into_iter().collect();
    blocks.extend(at(head.blocks, top));
    blocks.push(drawing);
    blocks.extend(at(safety.blocks, foot));
    Page { width: Millimetres(width), height: Millimetres(height), blocks }
}
