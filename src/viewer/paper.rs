//! A page of a report painted in the window: its marks as they are printed, in the report's own letters.

use super::theme;
use crate::report::{
    Block, Colour, Mark, Page, Path, Picture, Role, Shades, Spot, Step, Stretch, Stroke, Text, stretches,
    width_of,
};
use eframe::egui::accesskit;
use eframe::egui::epaint::TextShape;
use eframe::egui::text::LayoutJob;
use eframe::egui::{
    self, Color32, ColorImage, FontId, Id, Mesh, Painter, Pos2, Rect, Sense, Shape, TextureHandle,
    TextureOptions, Vec2, WidgetInfo, pos2, vec2,
};
use std::sync::Arc;

/// Straight pieces of a curve.
const PIECES: u32 = 12;
/// A line is never thinner than this, points: it would not be seen.
const THINNEST: f32 = 0.5;

/// Where a page lies in the window.
#[derive(Debug, Clone, Copy)]
pub(super) struct Laid {
    pub(super) rect: Rect,
    /// Points of the window for a millimetre of paper.
    pub(super) per_mm: f64,
    /// Whether it stands on its head.
    pub(super) is_turned: bool,
}

impl Laid {
    fn at(&self, spot: Spot) -> Pos2 {
        let by = vec2(single(spot.x * self.per_mm), single(spot.y * self.per_mm));
        if self.is_turned { self.rect.max - by } else { self.rect.min + by }
    }

    /// A way right and down on the page.
    fn way(&self, by: Vec2) -> Vec2 {
        if self.is_turned { -by } else { by }
    }

    fn length(&self, millimetres: f64) -> f32 {
        single(millimetres * self.per_mm)
    }
}

/// A number for the screen.
fn single(value: f64) -> f32 {
    #[expect(clippy::cast_possible_truncation, reason = "places on a screen, far below the precision of f32")]
    let value = value as f32;
    value
}

fn colour(Colour { red, green, blue }: Colour) -> Color32 {
    Color32::from_rgb(red, green, blue)
}

/// Films on pages as the graphics card has them.
#[derive(Default)]
pub(super) struct Films {
    kept: Option<(Arc<Shades>, TextureHandle)>,
}

impl Films {
    /// One film is kept: no page has two.
    fn texture(&mut self, ui: &egui::Ui, shades: &Arc<Shades>) -> TextureHandle {
        if let Some((of, texture)) = &self.kept
            && (Arc::ptr_eq(of, shades) || of == shades)
        {
            return texture.clone();
        }
        let size = [shades.width() as usize, shades.height() as usize];
        let image = ColorImage::from_gray(size, shades.shades());
        let texture = ui.ctx().load_texture("film of a page", image, TextureOptions::LINEAR);
        self.kept = Some((Arc::clone(shades), texture.clone()));
        texture
    }
}

/// Paints a page and tells those who hear what stands on it.
pub(super) fn show(ui: &egui::Ui, page: &Page, laid: &Laid, films: &mut Films) {
    let painter = ui.painter();
    painter.rect_filled(laid.rect, 0.0, Color32::WHITE);
    for mark in page.blocks.iter().flat_map(|block| &block.marks) {
        match mark {
            Mark::Path(it) => path(painter, laid, it),
            Mark::Text(it) => text(painter, laid, it),
            Mark::Picture(it) => picture(ui, laid, it, films),
        }
    }
    say(ui, page, laid);
}

fn picture(ui: &egui::Ui, laid: &Laid, picture: &Picture, films: &mut Films) {
    let texture = films.texture(ui, &picture.shades);
    let far = Spot::new(picture.at.x + picture.width.get(), picture.at.y + picture.height.get());
    let rect = Rect::from_two_pos(laid.at(picture.at), laid.at(far));
    let [low, high] =
        if laid.is_turned { [pos2(1.0, 1.0), pos2(0.0, 0.0)] } else { [pos2(0.0, 0.0), pos2(1.0, 1.0)] };
    ui.painter().image(texture.id(), rect, Rect { min: low, max: high }, Color32::WHITE);
}

/// A line of words, stretch by stretch: the window's own layout knows of none that run to the left within others.
fn text(painter: &Painter, laid: &Laid, text: &Text) {
    let words = text.words.trim_end();
    let mut at = text.at;
    for Stretch { range, .. } in stretches(words) {
        let part = words.get(range).unwrap_or_default();
        stretch(painter, laid, text, part, at);
        at = Spot::new(at.x + width_of(part, text.face, text.size).get(), at.y);
    }
}

/// Words that run one way, which their letters tell.
fn stretch(painter: &Painter, laid: &Laid, text: &Text, words: &str, at: Spot) {
    let count = words.chars().count();
    if count == 0 {
        return;
    }
    let font = FontId::new(laid.length(text.size.get()), theme::report_family(text.face));
    let mut job =
        LayoutJob::single_section(words.to_owned(), egui::TextFormat::simple(font, colour(text.colour)));
    job.wrap.max_width = f32::INFINITY;
    let mut galley = painter.layout_job(job.clone());
    // Letters stand as far apart as on paper; a screen's own letters are a little wider or narrower.
    let wanted = laid.length(width_of(words, text.face, text.size).get());
    #[expect(clippy::cast_precision_loss, reason = "a line has few letters")]
    let more = (wanted - galley.size().x) / count as f32;
    if more.abs() > 1e-3
        && let Some(section) = job.sections.first_mut()
    {
        section.format.extra_letter_spacing = more;
        galley = painter.layout_job(job);
    }
    let baseline = galley
        .rows
        .first()
        .and_then(|row| Some(row.pos.y + row.row.glyphs.first()?.pos.y))
        .unwrap_or_default();
    let pos = laid.at(at) - laid.way(vec2(0.0, baseline));
    let mut shape = TextShape::new(pos, galley, colour(text.colour));
    if laid.is_turned {
        shape.angle = std::f32::consts::PI;
    }
    painter.add(shape);
}

fn path(painter: &Painter, laid: &Laid, path: &Path) {
    for (points, is_closed) in lines(&path.steps) {
        let seen: Vec<Pos2> = points.iter().map(|spot| laid.at(*spot)).collect();
        if let Some(fill) = path.fill {
            area(painter, &seen, colour(fill));
        }
        if let Some(stroke) = &path.stroke {
            line(painter, laid, &seen, is_closed, stroke);
        }
    }
}

/// The lines of a path, curves as straight pieces; and whether each comes back to where it began.
fn lines(steps: &[Step]) -> Vec<(Vec<Spot>, bool)> {
    let mut lines: Vec<(Vec<Spot>, bool)> = Vec::new();
    for step in steps {
        match step {
            Step::Move(spot) => lines.push((vec![*spot], false)),
            Step::Line(spot) => {
                if let Some((line, _)) = lines.last_mut() {
                    line.push(*spot);
                }
            }
            Step::Curve(guides) => {
                if let Some((line, _)) = lines.last_mut()
                    && let Some(from) = line.last().copied()
                {
                    line.extend(
                        (1..=PIECES).map(|at| on_curve(from, *guides, f64::from(at) / f64::from(PIECES))),
                    );
                }
            }
            Step::Close => {
                if let Some((_, is_closed)) = lines.last_mut() {
                    *is_closed = true;
                }
            }
        }
    }
    lines
}

/// A place on a cubic Bézier curve, at a part of its way from 0 to 1.
fn on_curve(from: Spot, [one, two, to]: [Spot; 3], part: f64) -> Spot {
    let rest = 1.0 - part;
    let [a, b, c, d] =
        [rest * rest * rest, 3.0 * rest * rest * part, 3.0 * rest * part * part, part * part * part];
    Spot::new(a * from.x + b * one.x + c * two.x + d * to.x, a * from.y + b * one.y + c * two.y + d * to.y)
}

fn line(painter: &Painter, laid: &Laid, points: &[Pos2], is_closed: bool, stroke: &Stroke) {
    let drawn = egui::Stroke::new(laid.length(stroke.width.get()).max(THINNEST), colour(stroke.colour));
    if stroke.dashes.is_empty() {
        painter.add(if is_closed {
            Shape::closed_line(points.to_vec(), drawn)
        } else {
            Shape::line(points.to_vec(), drawn)
        });
        return;
    }
    let lengths: Vec<f32> = stroke.dashes.iter().map(|dash| laid.length(dash.get())).collect();
    let [dashes, gaps] =
        [0, 1].map(|first| lengths.iter().skip(first).step_by(2).copied().collect::<Vec<_>>());
    // Dashes of no length would never end.
    if dashes.is_empty() || gaps.len() != dashes.len() || lengths.iter().any(|length| *length < 0.05) {
        painter.add(Shape::line(points.to_vec(), drawn));
        return;
    }
    let mut around = points.to_vec();
    around.extend(points.first().filter(|_| is_closed));
    painter.extend(Shape::dashed_line_with_offset(&around, drawn, &dashes, &gaps, 0.0));
}

/// An area of any shape, as triangles.
fn area(painter: &Painter, points: &[Pos2], fill: Color32) {
    let mut triangles: Vec<u32> = Vec::new();
    earcut::Earcut::new().earcut(points.iter().map(|at| [at.x, at.y]), &[], &mut triangles);
    let mut mesh = Mesh::default();
    for point in points {
        mesh.colored_vertex(*point, fill);
    }
    for corners in triangles.as_chunks::<3>().0 {
        let [a, b, c] = *corners;
        mesh.add_triangle(a, b, c);
    }
    painter.add(mesh);
    // Triangles have hard edges; a thin line around them has soft ones.
    painter.add(Shape::closed_line(points.to_vec(), egui::Stroke::new(THINNEST, fill)));
}

/// What is read as one of a page: a block, or all cells of a row.
#[derive(Debug, PartialEq)]
struct Said {
    level: Option<u16>,
    words: String,
    rect: Rect,
}

/// Every heading, paragraph, entry, row and figure, in the order of reading.
fn said(page: &Page, laid: &Laid) -> Vec<Said> {
    let mut said: Vec<Said> = Vec::new();
    let mut row_before = None;
    for block in &page.blocks {
        let row = match &block.role {
            Role::Cell { table, row, .. } => Some((*table, *row)),
            _ => None,
        };
        let words = match &block.role {
            Role::Decoration => continue,
            Role::Figure { alternative } => alternative.clone(),
            _ => words_of(block),
        };
        if words.is_empty() {
            continue;
        }
        let rect = rect_of(block, laid);
        match said.last_mut() {
            Some(last) if row.is_some() && row == row_before => {
                last.words.push_str("; ");
                last.words.push_str(&words);
                last.rect = last.rect.union(rect);
            }
            _ => {
                let level = if let Role::Heading(level) = block.role { Some(level) } else { None };
                said.push(Said { level, words, rect });
            }
        }
        row_before = row;
    }
    said
}

fn words_of(block: &Block) -> String {
    let words = block.marks.iter().filter_map(|mark| match mark {
        Mark::Text(text) => Some(text.words.trim()).filter(|words| !words.is_empty()),
        Mark::Path(_) | Mark::Picture(_) => None,
    });
    words.collect::<Vec<_>>().join(" ")
}

fn rect_of(block: &Block, laid: &Laid) -> Rect {
    let mut rect = Rect::NOTHING;
    for mark in &block.marks {
        match mark {
            Mark::Text(text) => {
                let (size, wide) = (text.size.get(), width_of(&text.words, text.face, text.size).get());
                rect.extend_with(laid.at(Spot::new(text.at.x, text.at.y - size)));
                rect.extend_with(laid.at(Spot::new(text.at.x + wide, text.at.y + 0.3 * size)));
            }
            Mark::Path(path) => {
                for spot in lines(&path.steps).into_iter().flat_map(|(line, _)| line) {
                    rect.extend_with(laid.at(spot));
                }
            }
            Mark::Picture(picture) => {
                let far = [picture.width.get(), picture.height.get()];
                rect.extend_with(laid.at(picture.at));
                rect.extend_with(laid.at(Spot::new(picture.at.x + far[0], picture.at.y + far[1])));
            }
        }
    }
    rect
}

/// A node for whatever is read as one; nothing is made of them where nobody listens.
fn say(ui: &egui::Ui, page: &Page, laid: &Laid) {
    for (at, Said { level, words, rect }) in said(page, laid).into_iter().enumerate() {
        let id = Id::unique("what stands on a page").with(at);
        let response = ui.interact(rect, id, Sense::hover());
        let role = if level.is_some() { accesskit::Role::Heading } else { accesskit::Role::Label };
        response.widget_info(|| WidgetInfo::labeled(role, true, &words));
        if let Some(level) = level {
            ui.accesskit_node_builder(id, |node| node.set_level(usize::from(level)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Millimetres;
    use crate::report::Face;

    /// Three of the four unit squares of a square.
    const L: [[f64; 2]; 6] = [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 1.0], [1.0, 2.0], [0.0, 2.0]];

    fn laid(is_turned: bool) -> Laid {
        let rect = Rect::from_min_size(pos2(10.0, 20.0), vec2(200.0, 100.0));
        Laid { rect, per_mm: 2.0, is_turned }
    }

    #[test]
    fn a_turned_page_is_a_half_turn_about_its_middle() {
        let spot = Spot::new(3.0, 7.0);
        let [seen, turned] = [false, true].map(|is_turned| laid(is_turned).at(spot));
        assert_eq!((seen, turned), (pos2(16.0, 34.0), pos2(204.0, 106.0)));
        assert_eq!(seen + (turned - seen) / 2.0, laid(false).rect.center());
    }

    /// De Casteljau's halving of the same curve, by hand.
    #[test]
    fn a_curve_goes_through_its_middle() {
        let spot = |x, y| Spot::new(x, y);
        let middle = on_curve(spot(0.0, 0.0), [spot(0.0, 4.0), spot(4.0, 4.0), spot(4.0, 0.0)], 0.5);
        assert_eq!((middle.x, middle.y), (2.0, 3.0));
    }

    #[test]
    fn an_area_that_bends_in_is_filled_where_it_is_and_nowhere_else() {
        let mut triangles: Vec<u32> = Vec::new();
        earcut::Earcut::new().earcut(L, &[], &mut triangles);
        let area: f64 = triangles
            .as_chunks::<3>()
            .0
            .iter()
            .map(|corners| {
                let [a, b, c] = corners.map(|at| L[at as usize]);
                ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])).abs() / 2.0
            })
            .sum();
        assert!((area - 3.0).abs() < 1e-12, "{area}");
    }

    #[test]
    fn cells_of_a_row_are_heard_together_and_rules_are_not() {
        let cell = |row, x: f64, words: &str| Block {
            role: Role::Cell { table: 1, row, names: None },
            marks: vec![Mark::Text(Text {
                at: Spot::new(x, 5.0),
                words: words.to_owned(),
                face: Face::Regular,
                size: Millimetres(2.0),
                colour: Colour::BLACK,
            })],
        };
        let rule = Block {
            role: Role::Decoration,
            marks: vec![Mark::Path(Path::line(
                &[Spot::new(0.0, 6.0), Spot::new(9.0, 6.0)],
                Stroke::solid(Colour::BLACK, 0.1),
            ))],
        };
        let page = Page {
            width: Millimetres(100.0),
            height: Millimetres(50.0),
            blocks: vec![cell(0, 1.0, "ferrule"), cell(0, 20.0, "2.1 mm "), rule, cell(1, 1.0, "seal")],
        };
        let words: Vec<String> = said(&page, &laid(false)).into_iter().map(|said| said.words).collect();
        assert_eq!(words, ["ferrule; 2.1 mm", "seal"]);
    }
}
