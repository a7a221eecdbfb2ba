//! Pages: nothing stands beyond them, there are no more than there may be, and what matters stands on them.

use super::{Made, all_words, cases, setting, words};
use crestgauge::quantity::Millimetres;
use crestgauge::report::{
    Audience, Colour, Face, Mark, Page, Paper, Path, Role, SAFETY, Step, pages, picture, width_of,
};
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

/// A table that is torn reads as two, the second without its head.
#[test]
fn tables_of_sites_and_of_options_stand_on_one_page() {
    let mut checked = 0;
    for (name, text) in cases() {
        let made = Made::of(&text);
        for (audience, paper) in [Audience::Record, Audience::Endodontist]
            .into_iter()
            .flat_map(|audience| Paper::ALL.iter().map(move |(_, paper)| (audience, *paper)))
        {
            let drawing = pages(&made.subject(), setting(audience, paper));
            let who = format!("{name}, {}, {}", audience.word(), paper.word());
            let cells = |page: &Page| -> Vec<(usize, String)> {
                let cells = page.blocks.iter().filter_map(|block| match (&block.role, block.marks.first()) {
                    (Role::Cell { table, .. }, Some(Mark::Text(text))) => Some((*table, text.words.clone())),
                    _ => None,
                });
                cells.collect()
            };
            let by_page: Vec<_> = drawing.pages.iter().map(cells).collect();
            let heads =
                by_page.iter().flatten().filter(|(_, words)| words == "site, mm" || words == "option");
            for (table, head) in heads {
                let on = by_page.iter().filter(|cells| cells.iter().any(|(it, _)| it == table)).count();
                assert_eq!(on, 1, "{who}: the table of {head}");
                checked += 1;
            }
        }
    }
    assert!(checked > 500, "{checked}");
}

/// Columns that begin in the middle of a page keep off what stands above them.
#[test]
fn no_two_lines_lie_on_one_another() {
    for (name, text) in cases() {
        let made = Made::of(&text);
        for (_, audience) in Audience::ALL {
            for page in &pages(&made.subject(), setting(*audience, Paper::Letter)).pages {
                let set: Vec<[f64; 4]> = page
                    .blocks
                    .iter()
                    .filter(|block| !matches!(block.role, Role::Figure { .. }))
                    .flat_map(|block| &block.marks)
                    .filter_map(|mark| {
                        let Mark::Text(text) = mark else { return None };
                        let wide = width_of(text.words.trim_end(), text.face, text.size).get();
                        // From the top of a capital to the baseline, less a hair.
                        let high = 0.7 * text.size.get();
                        Some([text.at.x, text.at.x + wide, text.at.y - high, text.at.y - 0.05])
                    })
                    .collect();
                for (at, [left, right, top, bottom]) in set.iter().enumerate() {
                    let over =
                        set.iter().skip(at + 1).find(|[other_left, other_right, other_top, other_bottom]| {
                            left < other_right
                                && other_left < right
                                && top < other_bottom
                                && other_top < bottom
                        });
                    assert!(over.is_none(), "{name}, {}: {left:.1} {top:.1} and {over:?}", audience.word());
                }
            }
        }
    }
}

/// A tooth that has its crown is not drawn as one that waits for it.
#[test]
fn a_crown_and_a_post_that_are_there_are_not_to_come() {
    let words_at = |stem: &str| {
        let file = super::root(&format!("sample-images/{stem}.case.json"));
        let made = Made::of(&std::fs::read_to_string(file).unwrap());
        all_words(&pages(&made.subject(), setting(Audience::Patient, Paper::A4)))
    };
    let (crowned, filled) = (words_at("scanned-22"), words_at("short-wall-21"));
    assert!(
        !crowned.contains("crown to come") && crowned.contains("wall: not known under the crown"),
        "{crowned}"
    );
    assert!(crowned.contains("a pin in the root already holds"), "{crowned}");
    assert!(filled.contains("crown to come") && !filled.contains("already holds"), "{filled}");
}

/// Under a crown nobody sees a wall: it is not drawn as one that is missing.
#[test]
fn a_wall_that_is_not_known_has_a_stroke_of_its_own() {
    let sketch = |stem: &str| {
        let file = super::root(&format!("sample-images/{stem}.case.json"));
        let made = Made::of(&std::fs::read_to_string(file).unwrap());
        picture(&made.subject(), Audience::Patient).unwrap()
    };
    let missing = |page: &Page| {
        let vermilion = |path: &Path| path.stroke.as_ref().is_some_and(|it| it.colour == Colour::VERMILION);
        paths(page).filter(|path| vermilion(path)).count()
    };
    let (crowned, filled) = (sketch("scanned-22"), sketch("short-wall-21"));
    assert_eq!((missing(&crowned), missing(&filled)), (0, 2));
    let alternative = |page: &Page| -> String {
        let figure = page.blocks.iter().find_map(|block| match &block.role {
            Role::Figure { alternative } => Some(alternative.clone()),
            _ => None,
        });
        figure.unwrap()
    };
    let (crowned, filled) = (alternative(&crowned), alternative(&filled));
    assert!(
        crowned.contains("in dashes and dots where a wall is not known") && !crowned.contains("missing"),
        "{crowned}"
    );
    assert!(filled.contains("missing of a wall") && !filled.contains("not known"), "{filled}");
}

/// On a film at working length nobody says that the roots are filled, nor that they are not.
#[test]
fn no_filling_is_drawn_where_no_film_shows_one_yet() {
    let alternative = |stem: &str| {
        let file = super::root(&format!("sample-images/{stem}.case.json"));
        let made = Made::of(&std::fs::read_to_string(file).unwrap());
        let page = picture(&made.subject(), Audience::Patient).unwrap();
        page.blocks.iter().find_map(|block| match &block.role {
            Role::Figure { alternative } => Some(alternative.clone()),
            _ => None,
        })
    };
    let filled = alternative("short-wall-21").unwrap();
    assert!(filled.contains("filled"), "{filled}");
    let at_working_length = alternative("foreshortened-13").unwrap();
    assert!(!at_working_length.contains("filled"), "{at_working_length}");
}

fn paths(page: &Page) -> impl Iterator<Item = &Path> {
    page.blocks.iter().flat_map(|block| &block.marks).filter_map(|mark| match mark {
        Mark::Path(path) => Some(path),
        Mark::Text(_) | Mark::Picture(_) => None,
    })
}

/// The post of the sketch ends where the measured one does, as a part of the root from margin to apex.
#[test]
fn a_post_is_drawn_to_its_share_of_the_root() {
    let ends = |path: &Path| -> [f64; 2] {
        let spots = path.steps.iter().flat_map(|step| match step {
            Step::Move(spot) | Step::Line(spot) => vec![spot.y],
            Step::Curve(spots) => spots.map(|spot| spot.y).to_vec(),
            Step::Close => Vec::new(),
        });
        let spots: Vec<f64> = spots.collect();
        [
            spots.iter().copied().fold(f64::INFINITY, f64::min),
            spots.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        ]
    };
    let drawn = |made: &Made| {
        let page = picture(&made.subject(), Audience::Patient).unwrap();
        let is_level = |path: &&Path| {
            let [top, bottom] = ends(path);
            let is_dashed = path.stroke.as_ref().is_some_and(|stroke| !stroke.dashes.is_empty());
            is_dashed && path.steps.len() == 2 && (bottom - top).abs() < 1e-9
        };
        let margin = ends(paths(&page).find(is_level).unwrap())[0];
        let blue = |path: &&Path| {
            path.fill == Some(Colour::BLUE)
                || path.stroke.as_ref().is_some_and(|it| it.colour == Colour::BLUE)
        };
        let root = |path: &&Path| path.steps.iter().any(|step| matches!(step, Step::Curve(_)));
        // Upper teeth hang: their roots go up.
        let [apex, tip] =
            [ends(paths(&page).find(root).unwrap())[0], ends(paths(&page).find(blue).unwrap())[0]];
        (margin - tip) / (margin - apex)
    };
    let text = std::fs::read_to_string(super::root("tests/data/films-truth/film-102.case.json")).unwrap();
    for share in [0.0, 0.3] {
        let mut case: serde_json::Value = serde_json::from_str(&text).unwrap();
        let root = &mut case["roots"][0]["landmarks"];
        for key in ["x", "y"] {
            let [tip, apex] = ["post_tip", "apex"].map(|point| root[point][key].as_f64().unwrap());
            root["post_tip"][key] = (tip + share * (apex - tip)).into();
        }
        let made = Made::of(&case.to_string());
        let row = made.derived.measurements.iter().find(|row| row.of.id == "post_to_root").unwrap();
        let measured = row.value.unwrap();
        assert!((drawn(&made) - measured).abs() < 0.02, "{} for {measured}", drawn(&made));
    }
    // Where only a depth is recommended, its place on the film says how far it goes; a planned tip there is as deep.
    let text = std::fs::read_to_string(super::root("tests/data/plans/canine-23.case.json")).unwrap();
    let made = Made::of(&text);
    let tip = made.plan.marks.recommended.as_ref().unwrap().tip;
    let mut case: serde_json::Value = serde_json::from_str(&text).unwrap();
    case["roots"][0]["landmarks"]["post_tip"] = json!({"x": tip.x, "y": tip.y, "state": "planned"});
    let (recommended, planned) = (drawn(&made), drawn(&Made::of(&case.to_string())));
    assert!((recommended - planned).abs() < 0.03, "{recommended} and {planned}");
}

/// A letter names a drill as people do.
#[test]
fn the_endodontist_reads_a_drills_name() {
    let words = all_words(&pages(&Made::film_102().subject(), setting(Audience::Endodontist, Paper::A4)));
    assert!(words.contains("drill: Peeso drill, size 2, 0.9 mm"), "{words}");
}

/// Every answer of the first look stands in the record, that to how much a smile shows, too.
#[test]
fn what_a_smile_shows_stands_in_the_record() {
    let record = |smile: Option<&str>| {
        let text = include_str!("../../data/films-truth/film-102.case.json");
        let mut case: serde_json::Value = serde_json::from_str(text).unwrap();
        if let Some(smile) = smile {
            case["clinical"]["smile_line"] = smile.into();
        }
        let made = Made::of(&case.to_string());
        all_words(&pages(&made.subject(), setting(Audience::Record, Paper::A4)))
    };
    assert!(record(Some("low")).contains("how much of teeth and gum does a smile show low"));
    assert!(!record(None).contains("does a smile show"));
}

/// Where every site has its ferrule, a way that lifts nothing is said in a line.
#[test]
fn a_way_that_lifts_nothing_is_told_once() {
    let file = super::root("tests/data/plans/canine-23.case.json");
    let made = Made::of(&std::fs::read_to_string(file).unwrap());
    let idle: Vec<_> = made.plan.recovery.options.iter().filter(|option| option.needs_no_lift()).collect();
    assert_eq!(idle.len(), 3);
    let words = all_words(&pages(&made.subject(), setting(Audience::Record, Paper::A4)));
    // The way to a margin deeper in the sulcus alone is reckoned.
    assert_eq!(words.matches("leaves:").count(), 1, "{words}");
    // What a verdict rests on is said of every way that has one.
    assert_eq!(words.matches("judged:").count(), 4, "{words}");
    assert_eq!(words.matches("no lift is needed at the sites that are known").count(), 6, "{words}");
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
