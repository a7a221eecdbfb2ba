//! Pages: nothing stands beyond them, there are no more than there may be, and what matters stands on them.

use super::{Made, all_words, cases, setting, words};
use crestgauge::quantity::Millimetres;
use crestgauge::report::{Audience, Face, Mark, Paper, Role, SAFETY, pages, width_of};
use serde_json::json;

fn most(audience: Audience) -> usize {
    match audience {
        Audience::Record => 3,
        Audience::Endodontist => 2,
        Audience::Patient => 1,
    }
}

#[test]
fn pages_are_few_and_hold_all_that_stands_on_them() {
    for (name, text) in cases() {
        let made = Made::of(&text);
        for (_, audience) in Audience::ALL {
            for (_, paper) in Paper::ALL {
                let drawing = pages(&made.subject(), setting(*audience, *paper));
                let who = format!("{name}, {}, {}", audience.word(), paper.word());
                assert!(
                    (1..=most(*audience)).contains(&drawing.pages.len()),
                    "{who}: {}",
                    drawing.pages.len()
                );
                for page in &drawing.pages {
                    let size = match paper {
                        Paper::A4 => [210.0, 297.0],
                        Paper::Letter => [215.9, 279.4],
                    };
                    assert_eq!([page.width.get(), page.height.get()], size, "{who}");
                    for mark in page.blocks.iter().flat_map(|block| &block.marks) {
                        let Mark::Text(text) = mark else { continue };
                        let right = text.at.x + width_of(text.words.trim_end(), text.face, text.size).get();
                        assert!(
                            text.at.x >= 5.0 && right <= size[0] - 5.0,
                            "{who}: {text:?} ends at {right}"
                        );
                        assert!(text.at.y >= 3.0 && text.at.y <= size[1] - 4.0, "{who}: {text:?}");
                        assert!(text.size.get() >= 1.4, "{who}: {text:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn what_every_report_must_say() {
    let made = Made::sample();
    for (_, audience) in Audience::ALL {
        let drawing = pages(&made.subject(), setting(*audience, Paper::A4));
        for page in &drawing.pages {
            let words: Vec<&str> = words(page).flat_map(str::split_whitespace).collect();
            let words = words.join(" ");
            assert!(words.contains("SAMPLE, NOT A PATIENT"), "{words}");
            assert!(words.contains("This is not a certified medical device."), "{words}");
            assert!(words.contains("crestgauge ") && words.contains("2026-11-24"), "{words}");
        }
        let read: Vec<&str> = drawing
            .pages
            .iter()
            .flat_map(|page| &page.blocks)
            .filter(|block| block.role != Role::Decoration)
            .flat_map(|block| &block.marks)
            .filter_map(|mark| if let Mark::Text(text) = mark { Some(text.words.as_str()) } else { None })
            .flat_map(str::split_whitespace)
            .collect();
        // What is only repeated at a page's foot is not read aloud.
        assert!(read.join(" ").contains(SAFETY));
        assert!(!all_words(&drawing).contains("short-wall"), "a file's name can carry a patient's");
    }
    let record = all_words(&pages(&made.subject(), setting(Audience::Record, Paper::A4)));
    for part in [
        "a1c561480c4df942e9f94d5f976dd529c24b3ce46977d3ad27c3b0eaa89d964f",
        "WHAT IS THERE",
        "WHAT IS PLANNED",
        "WHAT WOULD SETTLE THE UNDECIDED",
        "HOW DEEP A POST?",
        "AT THE CHAIR",
        "WHAT A FERRULE WOULD TAKE",
        "OPTIONS",
        "READ FIRST",
    ] {
        assert!(record.contains(part), "{part}");
    }
}

#[test]
fn the_patients_sheet_has_no_measurement() {
    for (name, text) in cases() {
        let made = Made::of(&text);
        let words = all_words(&pages(&made.subject(), setting(Audience::Patient, Paper::A4)));
        assert!(!words.contains('±') && !words.contains(" mm"), "{name}: {words}");
    }
}

/// Made from the sample: invented labels in scripts the letters have and in others, and one without an end.
#[test]
fn any_label_prints() {
    let text = std::fs::read_to_string(super::root("tests/data/films-truth/film-102.case.json")).unwrap();
    let long = "a label without an end and without a blank_".repeat(60);
    for (label, part) in [
        ("21 أمامي ฟัน", "21 [U+0623 U+0645"),
        ("שן 21 (טוחנת)", "שן 21 (טוחנת)"),
        ("Ἑλένη Նարե ნინო", "Ἑλένη Նարե ნინო"),
        ("\u{202e}turned\u{202c}", "[U+202E]turned[U+202C]"),
        ("crème brûlée Šćžőß Ωμέγα Зуб", "crème brûlée Šćžőß Ωμέγα Зуб"),
        (long.as_str(), "a label without an end"),
    ] {
        let mut case: serde_json::Value = serde_json::from_str(&text).unwrap();
        case["label"] = json!(label);
        let made = Made::of(&case.to_string());
        for (_, audience) in Audience::ALL {
            let drawing = pages(&made.subject(), setting(*audience, Paper::Letter));
            let words = all_words(&drawing);
            assert!(drawing.pages.len() <= most(*audience), "{label}");
            assert!(words.contains(part), "{}: {words}", audience.word());
            let numbered = words.contains("stand as their Unicode numbers");
            assert_eq!(numbered, part.contains("U+") && *audience != Audience::Patient, "{label}");
            for page in &drawing.pages {
                assert!(super::words(page).all(|it| !it.chars().any(is_lacking)));
            }
        }
    }
}

fn is_lacking(letter: char) -> bool {
    [Face::Regular, Face::Bold]
        .into_iter()
        .any(|face| width_of(&letter.to_string(), face, Millimetres(1.0)).get() <= 0.0)
}

/// A draft: nothing but a crest and a margin on one side, no scale, no root, no film.
#[test]
fn a_case_with_next_to_nothing_has_pages() {
    let case = json!({"format": "crestgauge.case", "version": 1, "tooth": {"fdi": "36"}, "film": {},
        "landmarks": {"crest.mesial": {"x": 10.0, "y": 40.0}, "finish_line.mesial": {"x": 12.0, "y": 20.0}}});
    let nothing = json!({"format": "crestgauge.case", "version": 1, "film": {}, "tooth": {}});
    for case in [case, nothing] {
        let made = Made::of(&case.to_string());
        for (_, audience) in Audience::ALL {
            let words = all_words(&pages(&made.subject(), setting(*audience, Paper::A4)));
            let says = words.contains("Without a film") || words.contains("Without a picture");
            assert_eq!(says, *audience != Audience::Patient, "{words}");
        }
    }
}
