//! A page as SVG, in millimetres. What has a name carries it as a title, so that it can be asked for.

use super::png::grey_png;
use super::{Block, Colour, Face, Mark, Page, Path, Picture, Role, Shades, Step, Stroke, Text};
use crate::report::PictureFailed;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use std::fmt::Write as _;

/// A page as SVG.
///
/// # Errors
/// A picture on it cannot be encoded.
pub(in crate::report) fn svg(title: &str, page: &Page) -> Result<String, PictureFailed> {
    let (width, height) = (number(page.width.get()), number(page.height.get()));
    let mut text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" \
         height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n<title>{}</title>\n",
        escaped(title)
    );
    let _ = writeln!(text, "<rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>");
    for block in &page.blocks {
        group(&mut text, block)?;
    }
    text.push_str("</svg>\n");
    Ok(text)
}

fn group(text: &mut String, block: &Block) -> Result<(), PictureFailed> {
    match &block.role {
        Role::Figure { alternative } => {
            let _ = writeln!(text, "<g role=\"img\">\n<desc>{}</desc>", escaped(alternative));
        }
        Role::Decoration => text.push_str("<g aria-hidden=\"true\">\n"),
        _ => text.push_str("<g>\n"),
    }
    for mark in &block.marks {
        match mark {
            Mark::Path(path) => draw_path(text, path),
            Mark::Text(words) => draw_text(text, words),
            Mark::Picture(picture) => draw_picture(text, picture)?,
        }
    }
    text.push_str("</g>\n");
    Ok(())
}

fn draw_path(text: &mut String, path: &Path) {
    let mut steps = String::new();
    for step in &path.steps {
        match step {
            Step::Move(at) => _ = write!(steps, "M{} {}", number(at.x), number(at.y)),
            Step::Line(at) => _ = write!(steps, "L{} {}", number(at.x), number(at.y)),
            Step::Curve([one, two, at]) => {
                let spots = [one, two, at].map(|spot| format!("{} {}", number(spot.x), number(spot.y)));
                let _ = write!(steps, "C{}", spots.join(" "));
            }
            Step::Close => steps.push('Z'),
        }
    }
    let fill = path.fill.map_or_else(|| "none".to_owned(), hex);
    let _ = write!(text, "<path d=\"{steps}\" fill=\"{fill}\"");
    if let Some(Stroke { colour, width, dashes }) = &path.stroke {
        let width = number(width.get());
        let _ =
            write!(text, " stroke=\"{}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"", hex(*colour));
        if dashes.is_empty() {
            text.push_str(" stroke-linecap=\"round\"");
        } else {
            let dashes: Vec<String> = dashes.iter().map(|dash| number(dash.get())).collect();
            let _ = write!(text, " stroke-dasharray=\"{}\"", dashes.join(" "));
        }
    }
    match &path.name {
        Some(name) => _ = writeln!(text, "><title>{}</title></path>", escaped(name)),
        None => text.push_str("/>\n"),
    }
}

fn draw_text(text: &mut String, words: &Text) {
    let weight = match words.face {
        Face::Regular => "",
        Face::Bold => " font-weight=\"bold\"",
    };
    let width = super::width_of(&words.words, words.face, words.size).get();
    let _ = writeln!(
        text,
        "<text x=\"{}\" y=\"{}\" font-family=\"'DejaVu Sans Condensed', sans-serif\" font-size=\"{}\"{weight} \
         fill=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\" xml:space=\"preserve\">{}</text>",
        number(words.at.x),
        number(words.at.y),
        number(words.size.get()),
        hex(words.colour),
        number(width),
        escaped(&words.words)
    );
}

fn draw_picture(text: &mut String, picture: &Picture) -> Result<(), PictureFailed> {
    let shades: &Shades = &picture.shades;
    let png = grey_png(shades)?;
    let _ = writeln!(
        text,
        "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" \
         href=\"data:image/png;base64,{}\"/>",
        number(picture.at.x),
        number(picture.at.y),
        number(picture.width.get()),
        number(picture.height.get()),
        STANDARD.encode(png)
    );
    Ok(())
}

/// A number of millimetres to a tenth of a micrometre, without idle zeros.
fn number(value: f64) -> String {
    let text = format!("{value:.4}");
    crate::wording::unsigned_zero(text.trim_end_matches('0').trim_end_matches('.').to_owned())
}

fn hex(Colour { red, green, blue }: Colour) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// Words as XML has them; what XML 1.0 has no room for is left out.
fn escaped(words: &str) -> String {
    let mut text = String::new();
    for letter in words.chars() {
        match letter {
            '&' => text.push_str("&amp;"),
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '"' => text.push_str("&quot;"),
            '\u{fffe}' | '\u{ffff}' => {}
            _ if letter.is_control() && !matches!(letter, '\n' | '\t') => {}
            _ => text.push(letter),
        }
    }
    text
}
