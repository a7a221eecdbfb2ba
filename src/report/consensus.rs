//! A consensus for people: what stands in the key, how surely, and what was left out.

use super::{SAFETY, Style};
use crate::agreement::{Consensus, LeftOut};
use crate::wording::wrapped;

/// Columns of the page.
const WIDTH: usize = 80;
/// Columns the name of what is agreed on takes.
const NAME: usize = 34;

/// What a key that was made of a consensus holds.
pub fn consensus_text(consensus: &Consensus, style: Style) -> String {
    let mut text = String::new();
    let tooth = consensus.case.tooth.fdi.map(|fdi| format!("tooth {fdi}, ")).unwrap_or_default();
    for line in wrapped(&format!("CONSENSUS: {tooth}by {}", consensus.who), WIDTH) {
        push(&mut text, &style.heading(&line));
    }
    let heads = format!("  {:<NAME$} {:>3}  {:>10}  {}", "", "n", "sd, px", "farthest from the mean, px");
    push(&mut text, &style.aside(&heads));
    for it in &consensus.agreed {
        let name = &it.what;
        match &it.place {
            Some(place) => {
                let (sd, far, who) = (place.sd_px, place.farthest_px, &place.farthest);
                push(&mut text, &format!("  {name:<NAME$} {:>3}  {sd:>10.1}  {far:.1} by {who}", it.n));
            }
            None => push(&mut text, &format!("  {name:<NAME$} {:>3}  marked hidden or absent by all", it.n)),
        }
    }
    if !consensus.left_out.is_empty() {
        push(&mut text, "");
        push(&mut text, &style.heading("NOT PART OF THE KEY"));
        for it in &consensus.left_out {
            paragraph(&mut text, "  ! ", &it.to_string());
        }
    }
    push(&mut text, "");
    paragraph(
        &mut text,
        "",
        "n counts observers, or sittings where all are one observer's; sd is the standard uncertainty of the mean, each axis, of \
         a canal and a section that of the least certain point. Look at whatever lies far from the mean before you \
         score by it: definitions, docs/agreement.md.",
    );
    paragraph(&mut text, "", SAFETY);
    text
}

/// How much stands in the key, in a few words.
pub fn consensus_words(consensus: &Consensus) -> String {
    let count = consensus.agreed.len();
    let things = if count == 1 { "thing" } else { "things" };
    format!("{count} {things} agreed on by {}", consensus.who)
}

/// What does not stand in it, in one line; `None` where everything does.
pub fn left_out_words(consensus: &Consensus) -> Option<String> {
    let left_out: Vec<String> = consensus.left_out.iter().map(LeftOut::to_string).collect();
    (!left_out.is_empty()).then(|| format!("not part of the key: {}", left_out.join("; ")))
}

fn push(text: &mut String, line: &str) {
    text.push_str(line.trim_end());
    text.push('\n');
}

fn paragraph(text: &mut String, first: &str, words: &str) {
    let indent = first.chars().count();
    for (index, line) in wrapped(words, WIDTH - indent).into_iter().enumerate() {
        let lead = if index == 0 { first.to_owned() } else { " ".repeat(indent) };
        push(text, &format!("{lead}{line}"));
    }
}
