//! Contrast to WCAG 2.2 AA, of what is painted, and how large its letters are: every text of every state in both themes against what lies under it, 4.5
//! to 1 (success criterion 1.4.3). Controls that cannot be used now are exempt, as WCAG has it.

use crate::desk::{Desk, Window};
use crate::states::STATES;
use crestgauge::viewer::action::Action;
use crestgauge::viewer::contrast::contrast;
use crestgauge::viewer::remembered::{Setting, Theme};
use eframe::egui::{Color32, Pos2, Rect, Shape, TextureId};
use egui_kittest::kittest::Queryable as _;

/// A colour that may be seen through, over another.
fn over(top: Color32, under: Color32) -> Color32 {
    let seen = 255 - u16::from(top.a());
    let part = |top: u8, under: u8| {
        u8::try_from((u16::from(top) + (u16::from(under) * seen + 127) / 255).min(255)).unwrap()
    };
    Color32::from_rgb(part(top.r(), under.r()), part(top.g(), under.g()), part(top.b(), under.b()))
}

/// Something painted that text can lie on.
enum Ground {
    Colour(Rect, Color32),
    /// A film may be as black or as white as can be.
    Film(Rect),
}

/// A text that was painted.
struct Painted {
    words: String,
    at: Rect,
    colours: Vec<Color32>,
    /// The smallest of its letters, points.
    letters: f32,
    /// What it may lie on.
    grounds: Vec<Color32>,
    /// What may be seen through and was painted over it afterwards.
    veils: Vec<Color32>,
}

impl Painted {
    /// The worst contrast of its words, with what they lie on and their colour.
    fn worst(&self) -> Option<(f64, Color32, Color32)> {
        let veiled = |colour| self.veils.iter().fold(colour, |under, veil| over(*veil, under));
        let all = self.colours.iter().flat_map(|colour| {
            self.grounds.iter().map(move |ground| {
                let ratio = contrast(veiled(over(*colour, *ground)), veiled(*ground));
                (ratio, *ground, *colour)
            })
        });
        all.min_by(|(one, ..), (other, ..)| one.total_cmp(other))
    }
}

struct Reader {
    /// The window.
    whole: Rect,
    grounds: Vec<Ground>,
    texts: Vec<Painted>,
}

impl Reader {
    fn read(&mut self, clip: Rect, shape: &Shape) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| self.read(clip, shape)),
            Shape::Rect(it) if it.fill.a() > 0 && it.blur_width <= 0.0 => {
                self.veil(it.rect.intersect(clip), it.fill);
                self.grounds.push(Ground::Colour(it.rect.intersect(clip), it.fill));
            }
            Shape::Path(it) if it.closed && it.fill.a() > 0 => {
                self.veil(it.visual_bounding_rect().intersect(clip), it.fill);
            }
            Shape::Mesh(mesh) if mesh.texture_id != TextureId::default() => {
                self.grounds.push(Ground::Film(mesh.calc_bounds().intersect(clip)));
            }
            Shape::Text(text) => {
                let at = text.visual_bounding_rect().intersect(clip);
                if !at.is_positive() || text.galley.is_empty() {
                    return;
                }
                let sections = text.galley.job.sections.iter().map(|section| section.format.color);
                let own = |colour| if colour == Color32::PLACEHOLDER { text.fallback_color } else { colour };
                let colours =
                    text.override_text_color.map_or_else(|| sections.map(own).collect(), |it| vec![it]);
                let sections = text.galley.job.sections.iter();
                let letters =
                    sections.map(|section| section.format.font_id.size).fold(f32::INFINITY, f32::min);
                let grounds = self.under(at.center());
                let words = text.galley.text().to_owned();
                self.texts.push(Painted { words, at, colours, letters, grounds, veils: Vec::new() });
            }
            _ => {}
        }
    }

    /// Takes in what is painted over texts; what cannot be seen through hides them. What darkens the whole window is behind what is
    /// asked: nothing there is to be read.
    fn veil(&mut self, at: Rect, fill: Color32) {
        if fill.a() == 255 || at.size() == self.whole.size() {
            return;
        }
        for text in &mut self.texts {
            let covered = text.at.intersect(at);
            if covered.is_positive() && covered.width() > 2.0 && covered.height() > 2.0 {
                text.veils.push(fill);
            }
        }
    }

    fn under(&self, at: Pos2) -> Vec<Color32> {
        let mut colours = vec![Color32::BLACK];
        for ground in &self.grounds {
            match ground {
                Ground::Colour(rect, fill) if rect.contains(at) => {
                    for colour in &mut colours {
                        *colour = over(*fill, *colour);
                    }
                }
                Ground::Film(rect) if rect.contains(at) => colours = vec![Color32::BLACK, Color32::WHITE],
                _ => {}
            }
        }
        colours
    }
}

/// Letters smaller than this are hard to read at arm's length, points.
const SMALLEST: f32 = 11.0;

fn disabled(window: &Window) -> Vec<Rect> {
    let nodes = window.harness.query_all_by(|node| node.data().is_disabled());
    nodes.map(|node| node.rect()).collect()
}

#[test]
fn the_ratio_is_that_of_wcag() {
    let grey = |level| Color32::from_gray(level);
    assert!((contrast(Color32::WHITE, Color32::BLACK) - 21.0).abs() < 1e-9);
    // The lightest grey that passes on white, and the next, as commonly published: #767676 is 4.54, #777777 is 4.48.
    assert!((contrast(grey(0x76), Color32::WHITE) - 4.54).abs() < 0.005);
    assert!((contrast(grey(0x77), Color32::WHITE) - 4.48).abs() < 0.005);
    assert_eq!(over(Color32::from_black_alpha(255), Color32::WHITE), Color32::BLACK);
    assert_eq!(over(Color32::TRANSPARENT, Color32::WHITE), Color32::WHITE);
}

#[test]
fn what_is_painted_over_a_text_counts() {
    let at = Rect::from_min_size(Pos2::ZERO, eframe::egui::vec2(100.0, 20.0));
    let grey = Color32::from_gray(90);
    let text = |veils| Painted {
        words: String::new(),
        at,
        colours: vec![Color32::WHITE],
        letters: 12.0,
        grounds: vec![grey],
        veils,
    };
    let whole = Rect::from_min_size(Pos2::ZERO, eframe::egui::vec2(800.0, 600.0));
    let mut reader = Reader { whole, grounds: Vec::new(), texts: vec![text(Vec::new())] };
    assert!(reader.texts[0].worst().is_some_and(|(ratio, ..)| ratio > 4.5));
    let veil = Shape::rect_filled(at.with_max_x(40.0), 0.0, Color32::from_black_alpha(150));
    reader.read(whole, &veil);
    assert!(reader.texts[0].worst().is_some_and(|(ratio, ..)| ratio < 4.5));
    let beside =
        Shape::rect_filled(at.translate(eframe::egui::vec2(0.0, 30.0)), 0.0, Color32::from_black_alpha(150));
    let mut reader = Reader { whole, grounds: Vec::new(), texts: vec![text(Vec::new())] };
    reader.read(whole, &beside);
    assert!(reader.texts[0].veils.is_empty());
}

#[test]
fn every_text_stands_out_from_what_it_lies_on_and_is_no_small_print() {
    let mut amiss = Vec::new();
    let mut count = 0;
    for (state, open) in STATES {
        // What one state leaves behind is not to be found by the next.
        let desk = Desk::new();
        let mut window = open(&desk);
        for theme in [Theme::Dark, Theme::Light] {
            // The state belongs to a window that is drawn; the theme may change under it.
            window.take(Action::Set(Setting::Theme(theme)));
            let exempt = disabled(&window);
            let whole = window.harness.ctx.content_rect();
            let mut reader = Reader { whole, grounds: Vec::new(), texts: Vec::new() };
            for clipped in &window.harness.output().shapes {
                reader.read(clipped.clip_rect, &clipped.shape);
            }
            for text in &reader.texts {
                // Pages and the patient's drawing are seen in the size they are printed in, and larger on request.
                let is_printed = state.contains("page") || state.contains("drawing for the patient");
                if text.letters < SMALLEST && !is_printed {
                    amiss.push(format!("{state}: letters of {} points in {:?}", text.letters, text.words));
                }
                if exempt.iter().any(|rect| rect.expand(1.0).contains_rect(text.at)) {
                    continue;
                }
                count += 1;
                if let Some((ratio, ground, colour)) = text.worst().filter(|(ratio, ..)| *ratio < 4.5) {
                    amiss.push(format!(
                        "{state}, {theme:?}: {ratio:.2} {:?} {colour:?} on {ground:?}",
                        text.words
                    ));
                }
            }
        }
        window.take(Action::Set(Setting::Theme(Theme::Dark)));
    }
    amiss.sort();
    amiss.dedup();
    assert!(count > 1_000, "texts are found: {count}");
    assert!(amiss.is_empty(), "{amiss:#?}");
}
