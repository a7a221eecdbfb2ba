//! Blocks that several readers' pages share.

use super::flow::{Section, column_width};
use super::piece::{Column, Piece, Run, Setter, verdict_runs};
use super::right_down;
use crate::caution::CautionRow;
use crate::report::annotated_film::{KEY, View, annotated_film};
use crate::report::drawing::Names;
use crate::report::drawing::letters::NUMBERED;
use crate::report::sheet::Line;
use crate::report::subject::{Audience, Setting, Subject};
use crate::report::text::SAFETY;
use crate::report::words::{
    NO_SCALE, all_about_words, distortion_words, film_facts, scale_words, shared_angle_words, tooth_words,
};

/// What a report is called.
pub(super) fn title(subject: &Subject<'_>, audience: Audience) -> String {
    // Others are used to other numbers.
    let tooth = subject
        .case
        .tooth
        .fdi
        .map_or_else(|| "a tooth not named".to_owned(), |fdi| format!("tooth {fdi} (FDI)"));
    match audience {
        Audience::Record => format!("Record: {tooth}, post, core and crown"),
        Audience::Endodontist => format!("To the endodontist: {tooth}, for post, core and crown"),
        Audience::Patient => format!("Your tooth: {tooth}"),
    }
}

/// A table of two columns: what, and what it is.
pub(super) fn facts(setter: &mut Setter, rows: &[(&str, String)], width: f64) -> Vec<Piece> {
    let columns = [Column { share: 0.15, is_right: false }, Column { share: 0.85, is_right: false }];
    let table = setter.next();
    rows.iter()
        .enumerate()
        .map(|(row, (name, words))| {
            let cells = [vec![Run::aside(*name)], vec![Run::plain(words)]];
            setter.row((table, row), &columns, &cells, Some(Names::Row), width)
        })
        .collect()
}

/// Title, tooth, label, film and scale.
pub(super) fn head(setter: &mut Setter, subject: &Subject<'_>, setting: Setting) -> Section {
    let width = column_width(setting.paper, 1);
    let (case, computed) = (subject.case, &subject.derived.computed);
    let mut pieces = vec![setter.title(&title(subject, setting.audience), width)];
    let mut rows = vec![("tooth", tooth_words(case))];
    rows.extend(case.label.clone().map(|label| ("label", label)));
    let mut film = film_facts(case);
    if film.is_empty() {
        film.push("nothing is noted of it".to_owned());
    }
    rows.push(("film", film.join(", ")));
    let digest = case.film.sha256.clone().unwrap_or_else(|| "not stated in the case".to_owned());
    rows.push(("film, SHA-256", digest));
    let scale = match &computed.scale {
        Some(scale) => {
            let further = distortion_words(scale).map(|words| format!("; {words}")).unwrap_or_default();
            scale_words(scale) + &further
        }
        None => NO_SCALE.to_owned(),
    };
    rows.push(("scale", scale));
    rows.push(("made", format!("{} by {}", setting.date, computed.program)));
    pieces.extend(facts(setter, &rows, width));
    Section { columns: 1, pieces }
}

/// The film with what lies on it, and what the signs mean; without a film it says so.
pub(super) fn film(setter: &mut Setter, subject: &Subject<'_>, setting: Setting, most_high: f64) -> Section {
    let width = column_width(setting.paper, 1);
    let mut pieces = vec![setter.gap(0.5)];
    let drawn = annotated_film(subject, width, most_high, View::AroundTooth);
    if subject.film.is_none() {
        let words = match &drawn {
            Some(_) => "Without a film: it is not at hand. What was placed on it is drawn alone.",
            None => "Without a picture: the film is not at hand, and no landmark is placed.",
        };
        pieces.push(setter.paragraph(&[Run::bold(words)], width));
    }
    if let Some(film) = drawn {
        let blocks = vec![film.block.moved(right_down((width - film.width) / 2.0, 0.0))];
        pieces.push(Piece { height: film.height + 1.0, above: 0.0, keeps_with_next: true, blocks });
        let part = if film.is_part { " The part of the film around the tooth is shown." } else { "" };
        pieces.push(setter.small(&[Run::aside(format!("{KEY}{part}"))], width));
    }
    Section { columns: 1, pieces }
}

/// What to know before trusting the numbers; nothing where there is nothing.
pub(super) fn cautions(setter: &mut Setter, subject: &Subject<'_>, width: f64) -> Vec<Piece> {
    let rows: Vec<&CautionRow> = subject.derived.cautions.iter().collect();
    if rows.is_empty() && subject.plan.remarks.is_empty() {
        return Vec::new();
    }
    let mut pieces = vec![setter.heading("READ FIRST", "", width)];
    let list = setter.next();
    let indent = 1.3 * setter.em;
    let texts = rows.into_iter().map(|caution| {
        let about = all_about_words(subject.case, &caution.about);
        let lead = if about.is_empty() { String::new() } else { format!("{about}: ") };
        format!("{lead}{}", caution.text)
    });
    for words in texts.chain(subject.plan.remarks.iter().cloned()) {
        pieces.push(setter.entry(list, &[Run::bold("!")], &[Run::plain(words)], indent, width));
    }
    pieces
}

/// Lines of a sheet, set in type.
pub(super) fn sheet(setter: &mut Setter, lines: &[Line], width: f64) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut list = setter.next();
    let indent = 1.3 * setter.em;
    for line in lines {
        match line {
            Line::Plain(words) if words.trim().is_empty() => pieces.push(setter.gap(0.35)),
            Line::Plain(words) => {
                list = setter.next();
                pieces.push(setter.subheading(words.trim(), width));
            }
            Line::Heading { words, note } => {
                list = setter.next();
                pieces.push(setter.heading(words, note, width));
            }
            Line::Paragraph { lead, words } => {
                let sign = lead.trim();
                pieces.push(if sign.is_empty() {
                    setter.paragraph(&[Run::plain(words)], width)
                } else {
                    setter.entry(list, &[Run::bold(sign)], &[Run::plain(words)], indent, width)
                });
            }
            Line::Entry { name, words } => {
                pieces.push(if name.is_empty() {
                    setter.entry(list, &[Run::plain("–")], &[Run::plain(words)], indent, width)
                } else {
                    setter.paragraph(&[Run::bold(format!("{name}:")), Run::plain(words)], width)
                });
            }
            Line::List { name, words } => {
                let mut over = setter.paragraph(&[Run::bold(format!("{name}:"))], width);
                over.keeps_with_next = true;
                pieces.push(over);
                list = setter.next();
                let entries = words.iter().map(|words| [Run::plain(words)]);
                pieces.extend(
                    entries.map(|words| setter.entry(list, &[Run::plain("–")], &words, indent, width)),
                );
                list = setter.next();
            }
            Line::Aside { words, .. } => {
                // A remark stands under what it is about.
                if let Some(about) = pieces.last_mut() {
                    about.keeps_with_next = true;
                }
                pieces.push(setter.small(&[Run::aside(words)], width));
            }
            Line::Judged { verdict, words } => {
                let [sign, word] = verdict_runs(*verdict);
                pieces.push(setter.entry(list, &[sign], &[word, Run::plain(words)], indent, width));
            }
            Line::Title { verdict, words } => {
                let mut runs = verdict.map_or_else(Vec::new, |verdict| verdict_runs(Some(verdict)).to_vec());
                runs.push(Run::bold(words));
                pieces.push(setter.paragraph(&runs, width));
            }
        }
    }
    pieces
}

/// How the numbers were made, what was left out, and what they are worth.
pub(super) fn end(
    setter: &mut Setter,
    subject: &Subject<'_>,
    left_out: Option<&str>,
    width: f64,
) -> Vec<Piece> {
    let (computed, case) = (&subject.derived.computed, subject.case);
    let mut pieces = vec![setter.gap(0.6)];
    let mut words = vec![how_words(subject)];
    if let Some(shared) = &computed.shared_angle {
        words.push(shared_angle_words(case, shared));
    }
    words.extend(left_out.map(str::to_owned));
    if setter.has_numbered {
        words.push(NUMBERED.to_owned());
    }
    words.push(format!(
        "Criteria: {}, SHA-256 {}; {}.",
        computed.criteria, computed.criteria_sha256, computed.program
    ));
    for words in words {
        pieces.push(setter.small(&[Run::aside(words)], width));
    }
    pieces.push(setter.paragraph(&[Run::bold(SAFETY)], width));
    pieces
}

/// How intervals came about.
fn how_words(subject: &Subject<'_>) -> String {
    let computed = &subject.derived.computed;
    let rows = &subject.derived.measurements;
    let drawn = rows.iter().filter(|row| row.draws_used.is_some()).count();
    let with_value = rows.iter().filter(|row| row.value.is_some()).count();
    let signs = crate::report::words::SIGNS;
    let how = match drawn {
        0 => "intervals are first order".to_owned(),
        all if all == with_value => format!("intervals by {} draws, seed {}", computed.draws, computed.seed),
        some => format!(
            "intervals are first order, those of {some} skewed values by {} draws, seed {}",
            computed.draws, computed.seed
        ),
    };
    format!(
        "{signs}; {how}. Weeks, settings and what is common practice come from memory where no source stands beside \
             them; local rules go before them."
    )
}
