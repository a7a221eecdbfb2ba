//! One drawing for every output: pages of words, paths and pictures in millimetres of paper. PDF, SVG and PNG are made
//! from it, and a window can paint it.

pub(super) mod letters;
pub(super) mod pdf;
pub(super) mod png;
pub(super) mod svg;

pub use letters::{Face, Stretch, stretches, width_of};

use crate::geometry::{Displacement, Position, Space};
use crate::quantity::Millimetres;
use std::sync::Arc;

/// Millimetres of paper: x right, y down, the origin at the page's upper left corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OnPage;

impl Space for OnPage {}

/// A place on a page.
pub type Spot = Position<OnPage>;

/// A way across a page.
pub type Way = Displacement<OnPage>;

/// Pages, in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// What it is, for whoever opens it.
    pub title: String,
    /// The pages.
    pub pages: Vec<Page>,
}

/// One page.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Its width.
    pub width: Millimetres,
    /// Its height.
    pub height: Millimetres,
    /// What stands on it, in the order it is read in.
    pub blocks: Vec<Block>,
}

/// What is read as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// What it is to a reader.
    pub role: Role,
    /// What is drawn, first to last.
    pub marks: Vec<Mark>,
}

/// What a block is to a reader, seeing or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Role {
    /// Rules, page numbers and whatever is repeated: not read.
    Decoration,
    /// A heading and its level, from 1.
    Heading(u16),
    /// A paragraph.
    Paragraph,
    /// An entry of a list; entries that follow one another with one number are one list.
    Entry {
        /// Which list.
        list: usize,
    },
    /// A cell of a table; cells that follow one another with one number are one table.
    Cell {
        /// Which table.
        table: usize,
        /// Which row.
        row: usize,
        /// Whether it names its row or column.
        names: Option<Names>,
    },
    /// A figure.
    Figure {
        /// What it shows, in words.
        alternative: String,
    },
}

/// What a cell of names names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Names {
    /// Its row.
    Row,
    /// Its column.
    Column,
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// Lines and areas.
    Path(Path),
    /// A line of words.
    Text(Text),
    /// A picture.
    Picture(Picture),
}

/// A step of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Begins anew.
    Move(Spot),
    /// A straight line.
    Line(Spot),
    /// A cubic curve: two guiding points and the end.
    Curve([Spot; 3]),
    /// Back to where it began.
    Close,
}

/// Lines and areas.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// What it is, where it is something: a landmark's or a measurement's name.
    pub name: Option<String>,
    /// Its steps.
    pub steps: Vec<Step>,
    /// What fills it.
    pub fill: Option<Colour>,
    /// How its line is drawn.
    pub stroke: Option<Stroke>,
}

/// How a line is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Its colour.
    pub colour: Colour,
    /// Its width.
    pub width: Millimetres,
    /// Lengths of dashes and gaps, in turn; none for a whole line.
    pub dashes: Vec<Millimetres>,
}

/// A line of words.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Where its baseline begins.
    pub at: Spot,
    /// The words, every letter of which the face has.
    pub words: String,
    /// The face.
    pub face: Face,
    /// The size of an em.
    pub size: Millimetres,
    /// The colour.
    pub colour: Colour,
}

/// A picture in shades of grey.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Its upper left corner.
    pub at: Spot,
    /// Its width on the page.
    pub width: Millimetres,
    /// Its height on the page.
    pub height: Millimetres,
    /// Its shades.
    pub shades: Arc<Shades>,
}

/// 8-bit shades, rows top down, 0 black. A film as it is looked at, not as it is measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shades {
    width: u32,
    height: u32,
    rows: Vec<u8>,
}

impl Shades {
    /// A picture of width times height shades; `None` where there are not as many, or none.
    pub fn new(width: u32, height: u32, shades: Vec<u8>) -> Option<Self> {
        let fits = u64::from(width) * u64::from(height) == shades.len() as u64;
        (fits && !shades.is_empty()).then_some(Self { width, height, rows: shades })
    }

    /// Columns.
    pub const fn width(&self) -> u32 {
        self.width
    }

    /// Rows.
    pub const fn height(&self) -> u32 {
        self.height
    }

    /// The part from a corner on; `None` where it is not wholly inside, or is all of it.
    pub(super) fn part(&self, [x, y]: [u32; 2], [width, height]: [u32; 2]) -> Option<Self> {
        if [width, height] == [self.width, self.height] {
            return None;
        }
        let rows = self.rows.chunks_exact(self.width as usize).skip(y as usize).take(height as usize);
        let end = x.checked_add(width)? as usize;
        let mut shades = Vec::with_capacity(width as usize * height as usize);
        for row in rows {
            shades.extend_from_slice(row.get(x as usize..end)?);
        }
        Self::new(width, height, shades)
    }

    /// The same smaller, each shade the mean of a square of whole pixels, so that no side is longer than `most`; `None`
    /// where none is. Right and lower edges that fill no square are left out.
    pub fn no_larger_than(&self, most: u32) -> Option<Self> {
        let by = self.width.max(self.height).div_ceil(most.max(1));
        let (width, height) = (self.width / by.max(1), self.height / by.max(1));
        if by <= 1 || width == 0 || height == 0 {
            return None;
        }
        let square = by as usize;
        let mut shades = Vec::with_capacity(width as usize * height as usize);
        for rows in self.rows.chunks_exact(self.width as usize * square).take(height as usize) {
            for column in 0..width as usize {
                let part = |row: &[u8]| {
                    let shades = row.iter().skip(column * square).take(square);
                    shades.map(|shade| u32::from(*shade)).sum::<u32>()
                };
                let sum: u32 = rows.chunks_exact(self.width as usize).map(part).sum();
                shades.push(u8::try_from(sum / (by * by)).unwrap_or(u8::MAX));
            }
        }
        Self::new(width, height, shades)
    }

    /// All shades, rows top down.
    pub fn shades(&self) -> &[u8] {
        &self.rows
    }
}

/// A colour, as screens have it (sRGB).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour {
    /// Red.
    pub red: u8,
    /// Green.
    pub green: u8,
    /// Blue.
    pub blue: u8,
}

impl Colour {
    /// Words.
    pub const BLACK: Self = Self::grey(0);
    /// Paper.
    pub const WHITE: Self = Self::grey(255);
    /// Blue of Okabe and Ito (2008).
    pub const BLUE: Self = Self { red: 0, green: 114, blue: 178 };
    /// Sky blue of the same.
    pub const SKY: Self = Self { red: 86, green: 180, blue: 233 };
    /// Vermilion of the same.
    pub const VERMILION: Self = Self { red: 213, green: 94, blue: 0 };
    /// Orange of the same.
    pub const ORANGE: Self = Self { red: 230, green: 159, blue: 0 };
    /// Yellow of the same.
    pub const YELLOW: Self = Self { red: 240, green: 228, blue: 66 };

    /// A shade of grey.
    pub const fn grey(shade: u8) -> Self {
        Self { red: shade, green: shade, blue: shade }
    }
}

impl Stroke {
    /// A whole line.
    pub const fn solid(colour: Colour, width: f64) -> Self {
        Self { colour, width: Millimetres(width), dashes: Vec::new() }
    }

    /// A line of dashes.
    pub fn dashed(colour: Colour, width: f64, dashes: &[f64]) -> Self {
        Self { colour, width: Millimetres(width), dashes: dashes.iter().copied().map(Millimetres).collect() }
    }
}

impl Path {
    /// A line through points, open.
    pub fn line(points: &[Spot], stroke: Stroke) -> Self {
        Self { name: None, steps: through(points), fill: None, stroke: Some(stroke) }
    }

    /// An area with points as its corners.
    pub fn area(points: &[Spot], fill: Option<Colour>, stroke: Option<Stroke>) -> Self {
        let mut steps = through(points);
        steps.push(Step::Close);
        Self { name: None, steps, fill, stroke }
    }

    /// An upright rectangle.
    pub fn rectangle(
        at: Spot,
        width: f64,
        height: f64,
        fill: Option<Colour>,
        stroke: Option<Stroke>,
    ) -> Self {
        let corner = |x: f64, y: f64| Spot::new(at.x + x, at.y + y);
        let corners = [corner(0.0, 0.0), corner(width, 0.0), corner(width, height), corner(0.0, height)];
        Self::area(&corners, fill, stroke)
    }

    /// A disc, by four curves that leave a circle by less than 0.03 % of its radius.
    pub fn disc(centre: Spot, radius: f64, fill: Option<Colour>, stroke: Option<Stroke>) -> Self {
        const HANDLE: f64 = 0.552_284_75;
        let at = |x: f64, y: f64| Spot::new(centre.x + radius * x, centre.y + radius * y);
        let quarter = |from: [f64; 2], to: [f64; 2]| {
            Step::Curve([
                at(from[0] + HANDLE * to[0], from[1] + HANDLE * to[1]),
                at(to[0] + HANDLE * from[0], to[1] + HANDLE * from[1]),
                at(to[0], to[1]),
            ])
        };
        let steps = vec![
            Step::Move(at(1.0, 0.0)),
            quarter([1.0, 0.0], [0.0, 1.0]),
            quarter([0.0, 1.0], [-1.0, 0.0]),
            quarter([-1.0, 0.0], [0.0, -1.0]),
            quarter([0.0, -1.0], [1.0, 0.0]),
            Step::Close,
        ];
        Self { name: None, steps, fill, stroke }
    }

    /// The same, with a name.
    pub fn named(mut self, name: impl Into<String>) -> Self {
        self.name = Some(name.into());
        self
    }

    fn moved(&mut self, way: Way) {
        for step in &mut self.steps {
            match step {
                Step::Move(spot) | Step::Line(spot) => *spot = spot.moved(way),
                Step::Curve(spots) => *spots = spots.map(|spot| spot.moved(way)),
                Step::Close => {}
            }
        }
    }
}

fn through(points: &[Spot]) -> Vec<Step> {
    points
        .iter()
        .enumerate()
        .map(|(at, spot)| if at == 0 { Step::Move(*spot) } else { Step::Line(*spot) })
        .collect()
}

impl Block {
    /// The same elsewhere on the page.
    pub(super) fn moved(mut self, way: Way) -> Self {
        for mark in &mut self.marks {
            match mark {
                Mark::Path(path) => path.moved(way),
                Mark::Text(text) => text.at = text.at.moved(way),
                Mark::Picture(picture) => picture.at = picture.at.moved(way),
            }
        }
        self
    }
}
