//! Pages as PDF: tagged, its letters embedded, held to PDF/A-2a (ISO 19005-2) and PDF/UA-1 (ISO 14289-1) by the
//! writer's own validators, which refuse what does not conform.

use super::letters::{seen, stretches};
use super::{
    Block, Colour, Drawing, Face, Mark, Names, Page, Path, Picture, Role, Shades, Spot, Step, Stroke, Text,
};
use crate::film::Sha256;
use crate::report::PictureFailed;
use krilla::color::{luma, rgb};
use krilla::configure::{Accessibility, Archival, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::image::{BitsPerComponent, CustomImage, Image, ImageColorspace};
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, LineCap, LineJoin, Paint, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, BBox, ContentTag, Identifier, ListNumbering, Node, SpanTag, TableHeaderScope,
    Tag, TagGroup, TagTree,
};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};
use std::hash::{Hash, Hasher};
use std::num::NonZeroU16;
use std::sync::Arc;

/// Points of PDF in a millimetre.
const POINTS: f64 = 72.0 / 25.4;

/// The language of the words.
const LANGUAGE: &str = "en-GB";

/// A day as [`pdf`] stamps it on what it makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::report) struct Stamp {
    pub(in crate::report) year: u16,
    pub(in crate::report) month: u8,
    pub(in crate::report) day: u8,
}

/// The bytes of a PDF. The same drawing and day are the same bytes.
///
/// # Errors
/// The writer will not have it.
pub(in crate::report) fn pdf(
    drawing: &Drawing,
    stamp: Stamp,
    producer: &str,
) -> Result<Vec<u8>, PictureFailed> {
    let failed = |what: String| PictureFailed::Encoder(what);
    let configuration = ConfigurationBuilder::new()
        .with_archival_validator(Archival::A2_A)
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| failed(format!("{error:?}")))?;
    let mut document =
        Document::new_with(SerializeSettings { configuration, ..SerializeSettings::default() });
    let date = DateTime::new(stamp.year).month(stamp.month).day(stamp.day);
    document.set_metadata(
        Metadata::new()
            .title(drawing.title.clone())
            .language(LANGUAGE.to_owned())
            .creator(producer.to_owned())
            .producer(producer.to_owned())
            .creation_date(date),
    );
    let fonts = Fonts {
        regular: font(Face::Regular).ok_or_else(|| failed("the letters cannot be read".to_owned()))?,
        bold: font(Face::Bold).ok_or_else(|| failed("the letters cannot be read".to_owned()))?,
    };
    let mut tree = Tree::default();
    for (number, page) in drawing.pages.iter().enumerate() {
        let settings = PageSettings::from_wh(points(page.width.get()), points(page.height.get()))
            .ok_or(PictureFailed::TooLarge)?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        draw(&mut surface, number, page, &fonts, &mut tree)?;
        surface.finish();
        sheet.finish();
    }
    let mut outline = Outline::new();
    for heading in std::mem::take(&mut tree.outline) {
        outline.push_child(heading);
    }
    document.set_outline(outline);
    document.set_tag_tree(tree.finish());
    document.finish().map_err(|error| failed(format!("{error:?}")))
}

struct Fonts {
    regular: Font,
    bold: Font,
}

fn font(face: Face) -> Option<Font> {
    Font::new(face.bytes().into(), 0)
}

fn points(millimetres: f64) -> f32 {
    single(millimetres * POINTS)
}

fn single(value: f64) -> f32 {
    #[expect(clippy::cast_possible_truncation, reason = "PDF's own numbers are of single precision")]
    let value = value as f32;
    value
}

fn at(spot: Spot) -> Point {
    Point::from_xy(points(spot.x), points(spot.y))
}

fn draw(
    surface: &mut Surface<'_>,
    number: usize,
    page: &Page,
    fonts: &Fonts,
    tree: &mut Tree,
) -> Result<(), PictureFailed> {
    for block in &page.blocks {
        let tag = match &block.role {
            Role::Decoration => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
            Role::Figure { .. } => ContentTag::Other,
            _ => ContentTag::Span(SpanTag::empty()),
        };
        let identifier = surface.start_tagged(tag);
        for mark in &block.marks {
            match mark {
                Mark::Path(path) => draw_path(surface, path),
                Mark::Text(text) => draw_text(surface, text, fonts),
                Mark::Picture(picture) => draw_picture(surface, picture)?,
            }
        }
        surface.end_tagged();
        tree.add(number, block, identifier);
    }
    Ok(())
}

fn paint(colour: Colour) -> Paint {
    let Colour { red, green, blue } = colour;
    if red == green && green == blue {
        luma::Color::new(red).into()
    } else {
        rgb::Color::new(red, green, blue).into()
    }
}

fn fill(colour: Colour) -> Fill {
    Fill { paint: paint(colour), ..Fill::default() }
}

fn draw_path(surface: &mut Surface<'_>, path: &Path) {
    let mut builder = PathBuilder::new();
    for step in &path.steps {
        match step {
            Step::Move(spot) => builder.move_to(points(spot.x), points(spot.y)),
            Step::Line(spot) => builder.line_to(points(spot.x), points(spot.y)),
            Step::Curve([one, two, end]) => builder.cubic_to(
                points(one.x),
                points(one.y),
                points(two.x),
                points(two.y),
                points(end.x),
                points(end.y),
            ),
            Step::Close => builder.close(),
        }
    }
    let Some(drawn) = builder.finish() else { return };
    surface.set_fill(path.fill.map(fill));
    surface.set_stroke(path.stroke.as_ref().map(stroke));
    surface.draw_path(&drawn);
}

fn stroke(Stroke { colour, width, dashes }: &Stroke) -> krilla::paint::Stroke {
    let array: Vec<f32> = dashes.iter().map(|dash| points(dash.get())).collect();
    krilla::paint::Stroke {
        paint: paint(*colour),
        width: points(width.get()),
        line_cap: if array.is_empty() { LineCap::Round } else { LineCap::Butt },
        line_join: LineJoin::Round,
        opacity: NormalizedF32::ONE,
        dash: (!array.is_empty()).then_some(StrokeDash { array, offset: 0.0 }),
        ..krilla::paint::Stroke::default()
    }
}

fn draw_text(surface: &mut Surface<'_>, text: &Text, fonts: &Fonts) {
    let font = match text.face {
        Face::Regular => &fonts.regular,
        Face::Bold => &fonts.bold,
    };
    let glyphs: Vec<KrillaGlyph> = seen(&text.words)
        .into_iter()
        .filter_map(|(start, letter)| {
            let known = text.face.letter(letter)?;
            // A mirrored bracket is as long as the one that was written.
            let range = start..start + letter.len_utf8();
            Some(KrillaGlyph::new(
                GlyphId::new(known.glyph),
                single(known.advance),
                0.0,
                0.0,
                0.0,
                range,
                None,
            ))
        })
        .collect();
    if glyphs.is_empty() {
        return;
    }
    surface.set_fill(Some(fill(text.colour)));
    surface.set_stroke(None);
    surface.draw_glyphs(at(text.at), &glyphs, font.clone(), &text.words, points(text.size.get()), false);
}

fn draw_picture(surface: &mut Surface<'_>, picture: &Picture) -> Result<(), PictureFailed> {
    let digest = Sha256::of(picture.shades.shades());
    let image = Image::from_custom(Grey { digest, shades: Arc::clone(&picture.shades) }, false)
        .map_err(PictureFailed::Encoder)?;
    let size = Size::from_wh(points(picture.width.get()), points(picture.height.get()))
        .ok_or(PictureFailed::TooLarge)?;
    surface.push_transform(&Transform::from_translate(points(picture.at.x), points(picture.at.y)));
    surface.draw_image(image, size);
    surface.pop();
    Ok(())
}

/// Shades as the writer wants a picture: cheap to hash.
#[derive(Clone)]
struct Grey {
    digest: Sha256,
    shades: Arc<Shades>,
}

impl Hash for Grey {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.digest.hash(state);
    }
}

impl CustomImage for Grey {
    fn color_channel(&self) -> &[u8] {
        self.shades.shades()
    }

    fn alpha_channel(&self) -> Option<&[u8]> {
        None
    }

    fn bits_per_component(&self) -> BitsPerComponent {
        BitsPerComponent::Eight
    }

    fn size(&self) -> (u32, u32) {
        (self.shades.width(), self.shades.height())
    }

    fn icc_profile(&self) -> Option<&[u8]> {
        None
    }

    fn color_space(&self) -> ImageColorspace {
        ImageColorspace::Luma
    }
}

/// What a reader who does not see is told, in order.
#[derive(Default)]
struct Tree {
    nodes: Vec<Node>,
    open: Option<Open>,
    outline: Vec<OutlineNode>,
}

/// A table or list that may go on.
enum Open {
    Table { table: usize, rows: Vec<(usize, TagGroup)> },
    List { list: usize, entries: Vec<TagGroup> },
}

impl Tree {
    fn add(&mut self, page: usize, block: &Block, identifier: Identifier) {
        let leaf = || leaf(block, identifier);
        match &block.role {
            Role::Decoration => {}
            Role::Heading(level) => {
                let words = words_of(block);
                if *level <= 2 {
                    let top = Point::from_xy(0.0, block.marks.iter().find_map(top).unwrap_or(0.0));
                    self.outline.push(OutlineNode::new(words.clone(), XyzDestination::new(page, top)));
                }
                let level = NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN);
                self.whole(TagGroup::with_children(Tag::Hn(level, Some(words)), vec![leaf()]));
            }
            Role::Paragraph => self.whole(TagGroup::with_children(Tag::P, vec![leaf()])),
            Role::Figure { alternative } => {
                let tag = Tag::Figure(Some(alternative.clone())).with_bbox(bounds(page, block));
                self.whole(TagGroup::with_children(tag, vec![leaf()]));
            }
            Role::Entry { list } => {
                let body = TagGroup::with_children(Tag::LBody, vec![leaf()]);
                let entry = TagGroup::with_children(Tag::LI, vec![body.into()]);
                match &mut self.open {
                    Some(Open::List { list: open, entries }) if open == list => entries.push(entry),
                    _ => {
                        self.close();
                        self.open = Some(Open::List { list: *list, entries: vec![entry] });
                    }
                }
            }
            Role::Cell { table, row, names } => {
                let children = vec![leaf()];
                let cell: Node = match names {
                    Some(Names::Row) => {
                        TagGroup::with_children(Tag::TH(TableHeaderScope::Row), children).into()
                    }
                    Some(Names::Column) => {
                        TagGroup::with_children(Tag::TH(TableHeaderScope::Column), children).into()
                    }
                    None => TagGroup::with_children(Tag::TD, children).into(),
                };
                if !matches!(&self.open, Some(Open::Table { table: open, .. }) if open == table) {
                    self.close();
                    self.open = Some(Open::Table { table: *table, rows: Vec::new() });
                }
                let Some(Open::Table { rows, .. }) = &mut self.open else { return };
                match rows.last_mut() {
                    Some((last, group)) if last == row => group.push(cell),
                    _ => rows.push((*row, TagGroup::with_children(Tag::TR, vec![cell]))),
                }
            }
        }
    }

    fn whole(&mut self, group: TagGroup) {
        self.close();
        self.nodes.push(group.into());
    }

    fn close(&mut self) {
        match self.open.take() {
            Some(Open::Table { rows, .. }) => {
                let rows = rows.into_iter().map(|(_, row)| row.into()).collect();
                self.nodes.push(TagGroup::with_children(Tag::Table, rows).into());
            }
            Some(Open::List { entries, .. }) => {
                let entries = entries.into_iter().map(Node::from).collect();
                self.nodes.push(TagGroup::with_children(Tag::L(ListNumbering::None), entries).into());
            }
            None => {}
        }
    }

    fn finish(mut self) -> TagTree {
        self.close();
        let mut tree = TagTree::new().with_lang(Some(LANGUAGE.to_owned()));
        for node in self.nodes {
            tree.push(node);
        }
        tree
    }
}

/// What of a block stands in the tree. Letters stand in the order they are seen in; whoever hears or copies words that
/// run to the left wants the order they were written in.
fn leaf(block: &Block, identifier: Identifier) -> Node {
    if !runs_leftwards(block) {
        return identifier.into();
    }
    let tag = Tag::Span.with_actual_text(Some(words_of(block)));
    TagGroup::with_children(tag, vec![identifier.into()]).into()
}

/// Where a line of words begins, points from the top of the page.
fn top(mark: &Mark) -> Option<f32> {
    match mark {
        Mark::Text(text) => Some(points(text.at.y - text.size.get())),
        Mark::Path(_) | Mark::Picture(_) => None,
    }
}

fn runs_leftwards(block: &Block) -> bool {
    block.marks.iter().any(|mark| match mark {
        Mark::Text(text) => stretches(&text.words).iter().any(|stretch| stretch.is_leftwards),
        Mark::Path(_) | Mark::Picture(_) => false,
    })
}

fn words_of(block: &Block) -> String {
    let words = block.marks.iter().filter_map(|mark| match mark {
        Mark::Text(text) => Some(text.words.trim_end()),
        Mark::Path(_) | Mark::Picture(_) => None,
    });
    words.collect::<Vec<_>>().join(" ")
}

/// The box around all that a block draws, guiding points of curves included.
fn bounds(page: usize, block: &Block) -> Option<BBox> {
    let mut spots: Vec<Spot> = Vec::new();
    for mark in &block.marks {
        match mark {
            Mark::Path(path) => spots.extend(path.steps.iter().flat_map(|step| match step {
                Step::Move(spot) | Step::Line(spot) => vec![*spot],
                Step::Curve(curve) => curve.to_vec(),
                Step::Close => Vec::new(),
            })),
            Mark::Text(text) => {
                let width = super::width_of(&text.words, text.face, text.size).get();
                spots.extend([text.at, Spot::new(text.at.x + width, text.at.y - text.size.get())]);
            }
            Mark::Picture(picture) => spots.extend([
                picture.at,
                Spot::new(picture.at.x + picture.width.get(), picture.at.y + picture.height.get()),
            ]),
        }
    }
    let least = |of: fn(&Spot) -> f64| spots.iter().map(of).fold(f64::INFINITY, f64::min);
    let most = |of: fn(&Spot) -> f64| spots.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let (left, top, right, bottom) = (least(|it| it.x), least(|it| it.y), most(|it| it.x), most(|it| it.y));
    let rect = Rect::from_ltrb(points(left), points(top), points(right), points(bottom))?;
    Some(BBox::new(page, rect))
}
