//! The guide, shown without a network: the text of `docs/guide.md`, which is the same.

use super::theme;
use eframe::egui::text::{LayoutJob, TextFormat};
use eframe::egui::{
    self, ColorImage, FontId, Id, Image, Label, RichText, ScrollArea, TextStyle, TextureHandle,
    TextureOptions, UiBuilder,
};

/// The guide as it stands in the documents.
const GUIDE: &str = include_str!("../../docs/guide.md");

/// A part of the guide that stands by itself.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Block<'a> {
    /// A heading and how deep it stands.
    Heading(usize, &'a str),
    /// A paragraph, or one item of a list with its number or mark.
    Text { lead: &'a str, words: String },
    /// A picture: what it shows, and its file.
    Picture { words: &'a str, file: &'a str },
}

/// The pictures of the guide, by their files.
const PICTURES: &[(&str, &[u8])] = &[
    ("pictures/guide-film.png", include_bytes!("../../docs/pictures/guide-film.png")),
    ("pictures/guide-verdicts.png", include_bytes!("../../docs/pictures/guide-verdicts.png")),
    ("pictures/guide-plan.png", include_bytes!("../../docs/pictures/guide-plan.png")),
    ("pictures/guide-report.png", include_bytes!("../../docs/pictures/guide-report.png")),
    ("pictures/guide-loupe.png", include_bytes!("../../docs/pictures/guide-loupe.png")),
];

/// The parts of a text in the few forms of Markdown that the guide uses.
fn blocks(text: &str) -> Vec<Block<'_>> {
    let mut blocks: Vec<Block<'_>> = Vec::new();
    let mut goes_on = false;
    for line in text.lines() {
        let bare = line.trim_start();
        let depth = bare.bytes().take_while(|byte| *byte == b'#').count();
        if bare.is_empty() {
            goes_on = false;
        } else if let Some((words, file)) = picture(bare) {
            blocks.push(Block::Picture { words, file });
            goes_on = false;
        } else if depth > 0 {
            blocks.push(Block::Heading(depth, bare.trim_start_matches('#').trim()));
            goes_on = false;
        } else if let Some((lead, words)) = item(line) {
            blocks.push(Block::Text { lead, words: words.to_owned() });
            goes_on = true;
        } else if let (true, Some(Block::Text { words, .. })) = (goes_on, blocks.last_mut()) {
            words.push(' ');
            words.push_str(bare);
        } else {
            blocks.push(Block::Text { lead: "", words: bare.to_owned() });
            goes_on = true;
        }
    }
    blocks
}

/// An item of a list: its number or mark, and its words.
fn item(line: &str) -> Option<(&str, &str)> {
    if let Some(words) = line.strip_prefix("- ") {
        return Some(("\u{2022}", words));
    }
    let (number, words) = line.split_once(". ")?;
    (!number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit())).then_some((number, words))
}

/// A picture: what it shows, and its file.
fn picture(line: &str) -> Option<(&str, &str)> {
    line.strip_prefix("![")?.strip_suffix(')')?.split_once("](")
}

/// Draws a picture as wide as there is room. Its texture is made when it first comes into sight.
fn draw_picture(ui: &mut egui::Ui, words: &str, file: &'static str, bytes: &[u8]) {
    let id = egui::Id::unique(("picture of the guide", file));
    let texture = ui.data(|data| data.get_temp::<TextureHandle>(id)).or_else(|| {
        let picture = eframe::icon_data::from_png_bytes(bytes).ok()?;
        let size = [usize::try_from(picture.width).ok()?, usize::try_from(picture.height).ok()?];
        let image = ColorImage::from_rgba_unmultiplied(size, &picture.rgba);
        let texture = ui.ctx().load_texture(file, image, TextureOptions::LINEAR);
        ui.data_mut(|data| data.insert_temp(id, texture.clone()));
        Some(texture)
    });
    if let Some(texture) = texture {
        ui.add(Image::new(&texture).max_width(ui.available_width()).alt_text(words));
    }
    ui.label(RichText::new(words).small());
    ui.add_space(6.0);
}

/// Words of which every second stretch between the marks is set apart.
fn stretches<'a>(words: &'a str, mark: &'a str) -> impl Iterator<Item = (&'a str, bool)> {
    words.split(mark).enumerate().map(|(at, words)| (words, at % 2 == 1))
}

fn job(ui: &egui::Ui, words: &str) -> LayoutJob {
    let body = TextStyle::Body.resolve(ui.style());
    let plain = TextFormat::simple(body.clone(), ui.visuals().text_color());
    let strong = TextFormat::simple(body.clone(), ui.visuals().hyperlink_color);
    let code = TextFormat::simple(FontId::monospace(body.size - 1.0), ui.visuals().text_color());
    let mut job = LayoutJob::default();
    for (words, is_on_screen) in stretches(words, "**") {
        for (words, is_code) in stretches(words, "`") {
            let format = match (is_on_screen, is_code) {
                (true, _) => &strong,
                (false, true) => &code,
                (false, false) => &plain,
            };
            job.append(words, 0.0, format.clone());
        }
    }
    job
}

/// Draws the guide; says whether it is to stay open.
pub(super) fn show(context: &egui::Context) -> bool {
    let mut open = true;
    let window = theme::window(context, "Guide");
    window.open(&mut open).default_width(600.0).default_height(560.0).show(context, |ui| {
        // Where one reads stays where it is when letters grow.
        let builder = UiBuilder::new().scope_id(Id::unique("in the guide"));
        ui.scope_builder(builder, |ui| {
            ScrollArea::vertical().auto_shrink([false, false]).show(ui, text);
        });
    });
    open
}

fn text(ui: &mut egui::Ui) {
    super::keyboard::pages(ui);
    for block in blocks(GUIDE) {
        match block {
            Block::Heading(1, words) => {
                ui.heading(words);
            }
            Block::Heading(_, words) => {
                ui.add_space(8.0);
                ui.label(RichText::new(words).strong().size(16.0));
            }
            Block::Picture { words, file } => {
                if let Some((file, bytes)) = PICTURES.iter().find(|(name, _)| *name == file) {
                    draw_picture(ui, words, file, bytes);
                }
            }
            Block::Text { lead, words } => {
                ui.horizontal_top(|ui| {
                    if !lead.is_empty() {
                        ui.add_sized([20.0, 0.0], Label::new(lead));
                    }
                    let job = job(ui, &words);
                    ui.add(Label::new(job).wrap());
                });
            }
        }
    }
}

/// The words of the guide that stand on the screen just so.
#[cfg(feature = "window-tests")]
pub fn words_of_the_screen() -> Vec<String> {
    let texts = blocks(GUIDE).into_iter().filter_map(|block| match block {
        Block::Text { words, .. } => Some(words),
        Block::Heading(..) | Block::Picture { .. } => None,
    });
    texts
        .flat_map(|words| {
            let set_apart = stretches(&words, "**").filter(|(_, is_on_screen)| *is_on_screen);
            set_apart.map(|(words, _)| words.trim_end_matches(['.', ':']).to_owned()).collect::<Vec<_>>()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_guide_is_taken_apart_without_loss() {
        let blocks =
            blocks("# One\n\nA b\nc.\n\n![p](q.png)\n\n1. first\n   goes on\n2. second\n- mark\n\n## Two\n");
        let text = |lead, words: &str| Block::Text { lead, words: words.to_owned() };
        assert_eq!(
            blocks,
            [
                Block::Heading(1, "One"),
                text("", "A b c."),
                Block::Picture { words: "p", file: "q.png" },
                text("1", "first goes on"),
                text("2", "second"),
                text("\u{2022}", "mark"),
                Block::Heading(2, "Two"),
            ]
        );
    }

    #[test]
    fn every_picture_of_the_guide_is_there_and_no_other() {
        let named: Vec<&str> = blocks(GUIDE)
            .into_iter()
            .filter_map(|block| if let Block::Picture { file, .. } = block { Some(file) } else { None })
            .collect();
        assert_eq!(named, PICTURES.iter().map(|(file, _)| *file).collect::<Vec<_>>());
        for (file, bytes) in PICTURES {
            assert!(eframe::icon_data::from_png_bytes(bytes).is_ok(), "{file}");
        }
    }

    #[test]
    fn no_mark_of_the_document_reaches_the_screen() {
        for block in blocks(GUIDE) {
            if let Block::Text { words, .. } = block {
                assert_eq!(words.matches("**").count() % 2, 0, "{words}");
                assert_eq!(words.matches('`').count() % 2, 0, "{words}");
                assert!(!words.contains("]("), "links are not followed here: {words}");
            }
        }
    }
}
