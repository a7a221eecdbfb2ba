//! Pictures of what a landmark marks, beside its definition.

use crate::case::Landmark;
use crate::phantom::{DEFINITIONS, Definition};
use crate::viewer::theme;
use eframe::egui::{
    self, CollapsingHeader, ColorImage, Image, RichText, TextureHandle, TextureOptions, vec2,
};
use std::collections::HashMap;

/// How wide a picture is shown, points.
const WIDTH: f32 = 124.0;

/// The pictures by the names of the table, as `examples/definition_pictures.rs` draws them.
macro_rules! pictures {
    ($($name:literal),+ $(,)?) => {
        const PICTURES: &[(&str, &[u8])] =
            &[$(($name, include_bytes!(concat!("../../../docs/definitions/", $name, ".png")))),+];
    };
}

pictures!(
    "crown-edge",
    "crown-edge-cusps",
    "stop-reference",
    "core-top",
    "core-base",
    "core-base-uneven",
    "wall-top",
    "wall-top-thin",
    "wall-top-crowned",
    "finish-line",
    "cej",
    "crest",
    "crest-defect",
    "bone-peak-defect",
    "furcation",
    "furcal-crest",
    "furcation-upper",
    "orifice",
    "curve-start",
    "post-head",
    "post-head-crowned",
    "post-tip",
    "filling-top",
    "filling-tip",
    "filling-tip-beyond",
    "apex",
    "apex-lesion",
    "canal",
    "sections",
);

/// Pictures that were decoded.
#[derive(Default)]
pub(super) struct Pictures(HashMap<&'static str, TextureHandle>);

impl std::fmt::Debug for Pictures {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("Pictures").field(&self.0.len()).finish()
    }
}

impl Pictures {
    /// Draws those of a landmark, each with what it shows.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, landmark: Landmark) {
        let of_landmark: Vec<&Definition> = DEFINITIONS.iter().filter(|it| it.landmark == landmark).collect();
        if of_landmark.is_empty() {
            return;
        }
        CollapsingHeader::new("What it looks like")
            .id_salt("pictures of a landmark")
            .default_open(true)
            .show(ui, |ui| {
                ui.horizontal_wrapped(|ui| {
                    for definition in of_landmark {
                        self.one(ui, definition);
                    }
                });
                let faint = theme::faint(ui.visuals().dark_mode);
                ui.label(
                    RichText::new("Synthetic films; a broken ring: there, and not to be seen.")
                        .small()
                        .color(faint),
                );
            });
    }

    fn one(&mut self, ui: &mut egui::Ui, definition: &Definition) {
        let Some(texture) = self.texture(ui, definition.name) else { return };
        let size = vec2(WIDTH, WIDTH);
        ui.vertical(|ui| {
            ui.set_width(WIDTH);
            ui.add(Image::new((texture, size)).alt_text(definition.caption));
            ui.label(RichText::new(definition.caption).small());
        });
    }

    fn texture(&mut self, context: &egui::Context, name: &'static str) -> Option<egui::TextureId> {
        if !self.0.contains_key(name) {
            let (_, bytes) = PICTURES.iter().find(|(known, _)| *known == name)?;
            let decoded = image::load_from_memory(bytes).ok()?.to_rgb8();
            let size = [usize::try_from(decoded.width()).ok()?, usize::try_from(decoded.height()).ok()?];
            let picture = ColorImage::from_rgb(size, &decoded);
            let texture = context.load_texture(name, picture, TextureOptions::LINEAR);
            self.0.insert(name, texture);
        }
        self.0.get(name).map(TextureHandle::id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_landmark_has_a_picture_and_every_picture_of_the_table_is_in_the_program() {
        let known: BTreeSet<&str> = PICTURES.iter().map(|(name, _)| *name).collect();
        let wanted: BTreeSet<&str> = DEFINITIONS.iter().map(|it| it.name).collect();
        assert_eq!(known, wanted);
        for landmark in Landmark::ALL {
            assert!(DEFINITIONS.iter().any(|it| it.landmark == *landmark), "{landmark:?}");
        }
        for (name, bytes) in PICTURES {
            assert!(bytes.len() <= 15_000, "{name}: {} bytes", bytes.len());
            assert!(image::load_from_memory(bytes).is_ok(), "{name}");
        }
        assert!(PICTURES.iter().map(|(_, bytes)| bytes.len()).sum::<usize>() <= 700_000);
    }
}
