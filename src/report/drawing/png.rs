//! A page as PNG, and shades of grey as PNG.

use super::letters::seen;
use super::{Colour, Mark, Page, Path, Picture, Shades, Spot, Step, Stroke, Text};
use crate::report::PictureFailed;
use skrifa::outline::OutlinePen;
use tiny_skia::{
    FillRule, FilterQuality, IntSize, LineCap, LineJoin, Paint, PathBuilder, Pixmap, PixmapPaint, StrokeDash,
    Transform,
};

/// A page as PNG, with so many pixels for each millimetre of it.
///
/// # Errors
/// It would be too large, or cannot be encoded.
pub(in crate::report) fn png(page: &Page, per_mm: f64) -> Result<Vec<u8>, PictureFailed> {
    let size = |length: f64| {
        let pixels = (length * per_mm).round();
        // Checked to lie in the range.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 30000")]
        (1.0..=30_000.0).contains(&pixels).then_some(pixels as u32)
    };
    let (Some(width), Some(height)) = (size(page.width.get()), size(page.height.get())) else {
        return Err(PictureFailed::TooLarge);
    };
    let mut raster = Raster { pixels: Pixmap::new(width, height).ok_or(PictureFailed::TooLarge)?, per_mm };
    raster.pixels.fill(tiny_skia::Color::WHITE);
    for mark in page.blocks.iter().flat_map(|block| &block.marks) {
        match mark {
            Mark::Path(path) => raster.path(path),
            Mark::Text(text) => raster.text(text),
            Mark::Picture(picture) => raster.picture(picture)?,
        }
    }
    // White lies under everything, so no pixel lets anything through.
    let colours: Vec<u8> =
        raster.pixels.pixels().iter().flat_map(|it| [it.red(), it.green(), it.blue()]).collect();
    let per_metre = (per_mm * 1000.0).round().clamp(1.0, 1e9);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held to 1 to 1e9")]
    let per_metre = per_metre as u32;
    encoded(width, height, png::ColorType::Rgb, &colours, Some(per_metre))
}

/// Shades of grey as PNG.
pub(super) fn grey_png(shades: &Shades) -> Result<Vec<u8>, PictureFailed> {
    encoded(shades.width(), shades.height(), png::ColorType::Grayscale, shades.shades(), None)
}

fn encoded(
    width: u32,
    height: u32,
    colour: png::ColorType,
    samples: &[u8],
    per_metre: Option<u32>,
) -> Result<Vec<u8>, PictureFailed> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(colour);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Fast);
    encoder.set_pixel_dims(per_metre.map(|per_metre| png::PixelDimensions {
        xppu: per_metre,
        yppu: per_metre,
        unit: png::Unit::Meter,
    }));
    let failed = |error: png::EncodingError| PictureFailed::Encoder(error.to_string());
    let mut writer = encoder.write_header().map_err(failed)?;
    writer.write_image_data(samples).map_err(failed)?;
    writer.finish().map_err(failed)?;
    Ok(bytes)
}

struct Raster {
    pixels: Pixmap,
    per_mm: f64,
}

/// A number for the rasteriser, which works in single precision.
fn single(value: f64) -> f32 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a page has far fewer pixels than single precision tells apart"
    )]
    let value = value as f32;
    value
}

fn paint(colour: Colour) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color_rgba8(colour.red, colour.green, colour.blue, 255);
    paint
}

impl Raster {
    fn at(&self, spot: Spot) -> [f32; 2] {
        [single(spot.x * self.per_mm), single(spot.y * self.per_mm)]
    }

    fn path(&mut self, path: &Path) {
        let mut builder = PathBuilder::new();
        for step in &path.steps {
            match step {
                Step::Move(spot) => {
                    let [x, y] = self.at(*spot);
                    builder.move_to(x, y);
                }
                Step::Line(spot) => {
                    let [x, y] = self.at(*spot);
                    builder.line_to(x, y);
                }
                Step::Curve(spots) => {
                    let [[a, b], [c, d], [x, y]] = spots.map(|spot| self.at(spot));
                    builder.cubic_to(a, b, c, d, x, y);
                }
                Step::Close => builder.close(),
            }
        }
        let Some(drawn) = builder.finish() else { return };
        if let Some(fill) = path.fill {
            self.pixels.fill_path(&drawn, &paint(fill), FillRule::Winding, Transform::identity(), None);
        }
        if let Some(Stroke { colour, width, dashes }) = &path.stroke {
            let dashes: Vec<f32> = dashes.iter().map(|dash| single(dash.get() * self.per_mm)).collect();
            let stroke = tiny_skia::Stroke {
                width: single(width.get() * self.per_mm),
                line_cap: if dashes.is_empty() { LineCap::Round } else { LineCap::Butt },
                line_join: LineJoin::Round,
                dash: StrokeDash::new(dashes, 0.0),
                ..tiny_skia::Stroke::default()
            };
            self.pixels.stroke_path(&drawn, &paint(*colour), &stroke, Transform::identity(), None);
        }
    }

    fn text(&mut self, text: &Text) {
        let em = text.size.get() * self.per_mm;
        let [mut x, y] = [text.at.x * self.per_mm, text.at.y * self.per_mm];
        for letter in seen(&text.words).into_iter().filter_map(|(_, letter)| text.face.letter(letter)) {
            let mut pen = Pen(PathBuilder::new());
            text.face.draw(letter.glyph, &mut pen);
            if let Some(drawn) = pen.0.finish() {
                let place = Transform::from_row(single(em), 0.0, 0.0, single(-em), single(x), single(y));
                self.pixels.fill_path(&drawn, &paint(text.colour), FillRule::Winding, place, None);
            }
            x += letter.advance * em;
        }
    }

    fn picture(&mut self, picture: &Picture) -> Result<(), PictureFailed> {
        let shades = &picture.shades;
        let opaque: Vec<u8> =
            shades.shades().iter().flat_map(|shade| [*shade, *shade, *shade, 255]).collect();
        let size = IntSize::from_wh(shades.width(), shades.height()).ok_or(PictureFailed::TooLarge)?;
        let source = Pixmap::from_vec(opaque, size).ok_or(PictureFailed::TooLarge)?;
        let across = picture.width.get() * self.per_mm / f64::from(shades.width());
        let down = picture.height.get() * self.per_mm / f64::from(shades.height());
        let [x, y] = self.at(picture.at);
        let place = Transform::from_row(single(across), 0.0, 0.0, single(down), x, y);
        let how = PixmapPaint { quality: FilterQuality::Bilinear, ..PixmapPaint::default() };
        self.pixels.draw_pixmap(0, 0, source.as_ref(), &how, place, None);
        Ok(())
    }
}

/// Outlines of letters as paths.
struct Pen(PathBuilder);

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to(x, y);
    }

    fn quad_to(&mut self, cx0: f32, cy0: f32, x: f32, y: f32) {
        self.0.quad_to(cx0, cy0, x, y);
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        self.0.cubic_to(cx0, cy0, cx1, cy1, x, y);
    }

    fn close(&mut self) {
        self.0.close();
    }
}
