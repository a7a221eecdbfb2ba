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
}

#[derive(Default)]
struct Reader {
    grounds: Vec<Ground>,
    texts: Vec<Painted>,
}

impl Reader {
    fn read(&mut self, clip: Rect, shape: &Shape) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| self.read(clip, shape)),
            Shape::Rect(it) if it.fill.a() > 0 && it.blur_width <= 0.0 => {
                self.grounds.push(Ground::Colour(it.rect.intersect(clip), it.fill));
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
                self.texts.push(Painted { words, at, colours, letters, grounds });
            }
            _ => {}
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
fn every_text_stands_out_from_what_it_lies_on_and_is_no_small_print() {
    let desk = Desk::new();
    let mut amiss = Vec::new();
    let mut count = 0;
    for (state, open) in STATES {
        let mut window = open(&desk);
        for theme in [Theme::Dark, Theme::Light] {
            // The state belongs to a window that is drawn; the theme may change under it.
            window.take(Action::Set(Setting::Theme(theme)));
            let exempt = disabled(&window);
            let mut reader = Reader::default();
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
                let worst = text.colours.iter().flat_map(|colour| {
                    text.grounds
                        .iter()
                        .map(|ground| (contrast(over(*colour, *ground), *ground), *ground, *colour))
                });
                let worst = worst.min_by(|(one, ..), (other, ..)| one.total_cmp(other));
                if let Some((ratio, ground, colour)) = worst.filter(|(ratio, ..)| *ratio < 4.5) {
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
