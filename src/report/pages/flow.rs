//! Pieces onto pages, in one column or in several of even height.

use super::piece::Piece;
use super::{Paper, right_down};
use crate::quantity::Millimetres;
use crate::report::drawing::{Block, Page};

/// Space around what stands on a page, mm: left and right, top, bottom.
const SIDE: f64 = 13.0;
const TOP: f64 = 12.0;
const BOTTOM: f64 = 19.0;
/// Between columns, mm.
const GUTTER: f64 = 6.0;
/// Above columns that begin in the middle of a page, mm.
const ABOVE_COLUMNS: f64 = 1.5;
/// Less than this is left empty rather than begun with, mm.
const LEAST: f64 = 25.0;

/// Pieces that stand in so many columns.
pub(super) struct Section {
    pub(super) columns: usize,
    pub(super) pieces: Vec<Piece>,
}

/// How wide a column is when there are so many.
pub(super) fn column_width(paper: Paper, columns: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "one or two columns")]
    let columns = columns.max(1) as f64;
    (full_width(paper) - GUTTER * (columns - 1.0)) / columns
}

/// From margin to margin.
pub(super) fn full_width(paper: Paper) -> f64 {
    paper.size()[0].get() - 2.0 * SIDE
}

/// Where the foot of a page begins, mm from its upper left corner.
pub(super) fn foot(paper: Paper) -> [f64; 2] {
    [SIDE, paper.size()[1].get() - BOTTOM + 3.0]
}

/// Places sections one below the other.
pub(super) fn pages(paper: Paper, sections: Vec<Section>) -> Vec<Page> {
    let [width, height] = paper.size();
    let mut flow = Flow { paper, bottom: height.get() - BOTTOM, y: TOP, pages: vec![Vec::new()] };
    for section in sections {
        flow.section(section);
    }
    flow.pages.into_iter().map(|blocks| Page { width, height, blocks }).collect()
}

struct Flow {
    paper: Paper,
    bottom: f64,
    y: f64,
    pages: Vec<Vec<Block>>,
}

impl Flow {
    fn section(&mut self, section: Section) {
        let mut groups = grouped(section.pieces);
        if section.columns > 1 && self.y > TOP {
            self.y += ABOVE_COLUMNS;
        }
        while !groups.is_empty() {
            // One column goes on from what stands above it; of several, each begins anew.
            let begins = section.columns > 1 || self.y <= TOP;
            let available = self.bottom - self.y;
            let taken = match least_height(&groups, section.columns, begins, available) {
                Some(height) => fill(&groups, section.columns, begins, height),
                None if self.y > TOP && available < LEAST => Vec::new(),
                None => fill(&groups, section.columns, begins, available),
            };
            let count: usize = taken.iter().sum();
            if count == 0 && self.y > TOP {
                self.new_page();
                continue;
            }
            // On an empty page a piece that fits nowhere stands all the same.
            let taken = if count == 0 { vec![1] } else { taken };
            let mut rest = groups.split_off(taken.iter().sum::<usize>().min(groups.len()));
            std::mem::swap(&mut groups, &mut rest);
            let mut placed = rest.into_iter();
            let top = self.y;
            let mut lowest = top;
            for (column, count) in taken.iter().enumerate() {
                #[expect(clippy::cast_precision_loss, reason = "one or two columns")]
                let x = SIDE + column as f64 * (column_width(self.paper, section.columns) + GUTTER);
                let mut y = top;
                let mut is_first = begins;
                for group in placed.by_ref().take(*count) {
                    for piece in group {
                        if std::mem::take(&mut is_first) {
                            y -= piece.above;
                        }
                        let way = right_down(x, y);
                        let blocks = piece.blocks.into_iter().map(|block| block.moved(way));
                        if let Some(page) = self.pages.last_mut() {
                            page.extend(blocks);
                        }
                        y += piece.height;
                    }
                }
                lowest = lowest.max(y);
            }
            self.y = lowest;
            if !groups.is_empty() {
                self.new_page();
            }
        }
    }

    fn new_page(&mut self) {
        self.pages.push(Vec::new());
        self.y = TOP;
    }
}

/// Pieces that must stand together.
fn grouped(pieces: Vec<Piece>) -> Vec<Vec<Piece>> {
    let mut groups: Vec<Vec<Piece>> = Vec::new();
    let mut is_open = false;
    for piece in pieces {
        let keeps = piece.keeps_with_next;
        match groups.last_mut() {
            Some(group) if is_open => group.push(piece),
            _ => groups.push(vec![piece]),
        }
        is_open = keeps;
    }
    groups
}

fn height_of(group: &[Piece]) -> f64 {
    group.iter().map(|piece| piece.height).sum()
}

/// What a group needs less where a column begins with it.
fn above(group: &[Piece]) -> f64 {
    group.first().map_or(0.0, |piece| piece.above)
}

/// How many groups each column takes, filled one after the other to `height`. The first column may go on from what
/// stands above it; a further one always begins.
fn fill(groups: &[Vec<Piece>], columns: usize, begins: bool, height: f64) -> Vec<usize> {
    let mut taken = vec![0];
    let mut used = 0.0;
    let mut is_first = begins;
    for group in groups {
        let mut more = height_of(group);
        if std::mem::take(&mut is_first) {
            more -= above(group);
        }
        if used + more > height + 1e-9 {
            if taken.len() == columns || more > height + 1e-9 {
                break;
            }
            taken.push(0);
            (used, more) = (0.0, height_of(group) - above(group));
        }
        used += more;
        if let Some(count) = taken.last_mut() {
            *count += 1;
        }
    }
    taken
}

/// The least height at which the columns take everything; `None` where more than `available` is needed.
fn least_height(groups: &[Vec<Piece>], columns: usize, begins: bool, available: f64) -> Option<f64> {
    let takes_all = |height: f64| fill(groups, columns, begins, height).iter().sum::<usize>() == groups.len();
    if available <= 0.0 || !takes_all(available) {
        return None;
    }
    let (mut low, mut high) = (0.0, available);
    // Down to a hundredth of a millimetre.
    for _ in 0..18 {
        let middle = f64::midpoint(low, high);
        if takes_all(middle) { high = middle } else { low = middle }
    }
    Some(high)
}

/// The size of a sheet.
impl Paper {
    pub(super) const fn size(self) -> [Millimetres; 2] {
        match self {
            // ISO 216.
            Self::A4 => [Millimetres(210.0), Millimetres(297.0)],
            // 8.5 by 11 inches.
            Self::Letter => [Millimetres(215.9), Millimetres(279.4)],
        }
    }
}
