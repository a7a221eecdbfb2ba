//! `score` and `agreement` as a user runs them.

use super::upright;
use crate::command_line::run;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

struct Folder(TempDir);

impl Folder {
    fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder"))
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn case(&self, name: &str, change: impl FnOnce(&mut Value)) -> PathBuf {
        let mut document = upright();
        change(&mut document);
        let file = self.path(name);
        fs::create_dir_all(file.parent().expect("a folder")).expect("made");
        fs::write(&file, document.to_string()).expect("written");
        file
    }

    fn key(&self) -> PathBuf {
        self.case("key.case.json", |case| {
            for mark in case["landmarks"].as_object_mut().expect("landmarks").values_mut() {
                mark["placed"] = json!("truth");
            }
            case["roots"][0]["landmarks"]["apex"]["placed"] = json!("truth");
        })
    }

    /// Three films, two observers, each in a folder of their own, who differ by half a millimetre at the mesial crest.
    fn study(&self) -> Vec<PathBuf> {
        let mut cases = Vec::new();
        for (observer, lower) in [("anna", 0.0), ("ben", 10.0)] {
            for film in 0..3 {
                cases.push(self.case(&format!("{observer}/{film}.case.json"), |case| {
                    case["film"]["sha256"] = json!(format!("{film:064}"));
                    let y = 160.0 + 3.0 * f64::from(film * film) + lower + 0.1 * lower * f64::from(film);
                    case["landmarks"]["crest.mesial"]["y"] = json!(y);
                }));
            }
        }
        cases
    }
}

fn words<'a>(command: &'a str, files: &'a [PathBuf], more: &'a [&'a str]) -> Vec<&'a Path> {
    let more = more.iter().map(|word| Path::new(*word));
    std::iter::once(Path::new(command)).chain(files.iter().map(PathBuf::as_path)).chain(more).collect()
}

fn fits_80_columns(text: &str) {
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{} columns: {line}", line.chars().count());
    }
}

#[test]
fn a_class_gets_one_row_a_student_and_landmark() {
    let folder = Folder::new();
    let files = [
        folder.key(),
        folder.case("anna.case.json", |case| case["landmarks"]["crest.mesial"]["y"] = json!(170.0)),
        folder.case("ben.case.json", |case| case["landmarks"]["crest.mesial"] = json!({"hidden": "dark"})),
    ];
    let ran = run(words("score", &files, &["--csv"]));
    assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
    let rows: Vec<&str> = ran.out.split_terminator("\r\n").collect();
    assert!(rows[0].starts_with("student,tooth,root,landmark,outcome,along_mm,across_mm,distance_mm"));
    // Six landmarks of the tooth and the apex, for each.
    assert_eq!(rows.len(), 1 + 2 * 7);
    let row = |student: &str| {
        let begins = format!("{student},21,,crest.mesial,");
        rows.iter().find(|row| row.starts_with(&begins)).unwrap_or_else(|| panic!("no row {begins}"))
    };
    assert!(row("anna").contains(",placed,0.5") && row("anna").contains("apical"), "{}", row("anna"));
    assert!(row("ben").contains(",wrongly_hidden,,,,"), "{}", row("ben"));
}

#[test]
fn a_score_is_text_or_a_line_of_json() {
    let folder = Folder::new();
    let files = [
        folder.key(),
        folder.case("anna.case.json", |case| case["landmarks"]["wall_top.mesial"]["y"] = json!(95.0)),
    ];
    let ran = run(words("score", &files, &[]));
    assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
    fits_80_columns(&ran.out);
    for said in [
        "anna: tooth 21, against a truth",
        "1.75 apical",
        "VERDICTS THAT DIFFER",
        "set right by the key's wall top, mesial",
    ] {
        assert!(ran.out.contains(said), "{said} in {}", ran.out);
    }
    let json: Value = serde_json::from_str(&run(words("score", &files, &["--json"])).out).expect("JSON");
    assert_eq!(json["format"], "crestgauge.score");
    assert_eq!(json["student"], "anna");
    let wall =
        json["landmarks"].as_array().expect("a list").iter().find(|it| it["landmark"] == "wall_top.mesial");
    let along = wall.expect("the landmark")["point"]["along_mm"].as_f64().expect("a number");
    assert!((along - 1.75).abs() < 1e-9, "{along}");
}

#[test]
fn a_key_without_truth_and_a_case_of_another_film_say_so() {
    let folder = Folder::new();
    let student = folder.case("anna.case.json", |_| ());
    let ran = run(words("score", &[student.clone(), student.clone()], &[]));
    assert_eq!((ran.exit, ran.out.as_str()), (1, ""));
    assert!(ran.err.contains("none of its points is a truth"), "{}", ran.err);
    let other = folder.case("other.case.json", |case| case["film"]["sha256"] = json!("1".repeat(64)));
    let ran = run(words("score", &[folder.key(), other, student], &["--csv"]));
    assert_eq!((ran.exit, ran.err.lines().count()), (1, 1));
    assert!(ran.err.contains("lies on another film than the key"), "{}", ran.err);
    assert!(ran.out.contains("\r\nanna,21,"), "the other student is scored all the same");
}

#[test]
fn a_history_is_appended_to_and_shows_how_a_student_comes_along() {
    let folder = Folder::new();
    let key = folder.key();
    let history = folder.path("history.jsonl");
    let add = ["--history", history.to_str().expect("UTF-8")];
    for (time, y) in [180.0, 170.0, 165.0].into_iter().enumerate() {
        let case = folder.case("anna.case.json", |case| case["landmarks"]["crest.mesial"]["y"] = json!(y));
        let ran = run(words("score", &[key.clone(), case], &add));
        assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
        assert!(ran.out.contains("anna SO FAR"));
        fits_80_columns(&ran.out);
        assert_eq!(fs::read_to_string(&history).expect("kept").lines().count(), time + 1);
    }
    // Cut short as by a full disk: the next attempt stands on a line of its own.
    let whole = fs::read_to_string(&history).expect("kept");
    let cut = &whole[..whole.len() - 30];
    fs::write(&history, cut).expect("written");
    let case = folder.case("anna.case.json", |case| case["landmarks"]["crest.mesial"]["y"] = json!(161.0));
    let ran = run(words("score", &[key.clone(), case], &add));
    assert_eq!(ran.exit, 0);
    assert!(ran.err.contains("line 3 cannot be read and is left alone"), "{}", ran.err);
    let now = fs::read_to_string(&history).expect("kept");
    assert!(now.starts_with(&format!("{cut}\n{{\"format\":\"crestgauge.practice\"")));
}

#[test]
fn a_file_that_is_no_history_is_left_alone() {
    let folder = Folder::new();
    let (key, case) = (folder.key(), folder.case("anna.case.json", |_| ()));
    let before = fs::read(&case).expect("there");
    let ran = run(words("score", &[key, case.clone()], &["--history", case.to_str().expect("UTF-8")]));
    assert_eq!(ran.exit, 1);
    assert!(ran.err.contains("is no history, and nothing was added to it"), "{}", ran.err);
    assert_eq!(fs::read(&case).expect("there"), before);
}

#[test]
fn observers_are_told_apart_by_their_folders() {
    let folder = Folder::new();
    let files = folder.study();
    let ran = run(words("agreement", &files, &[]));
    assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
    fits_80_columns(&ran.out);
    assert!(
        ran.out.contains("AGREEMENT of 2 observers (anna and ben): 6 cases, 3 teeth on 3 films"),
        "{}",
        ran.out
    );
    // 10, 11 and 12 px of 0.05 mm.
    assert!(ran.out.contains("crest, mesial, along"), "{}", ran.out);
    let bias = ran.out.lines().find(|line| {
        line.contains("margin to crest, mesial") && line.contains(" to ") && line.contains("-0.55")
    });
    assert!(bias.is_some(), "{}", ran.out);
    let json: Value = serde_json::from_str(&run(words("agreement", &files, &["--json"])).out).expect("JSON");
    assert_eq!(json["format"], "crestgauge.agreement");
    let quantities = json["comparisons"][0]["quantities"].as_array().expect("a list");
    let crest = quantities.iter().find(|it| it["measurement"] == "margin_to_crest.mesial").expect("compared");
    let bias = crest["pairs"][0]["bland_altman"]["bias"]["value"].as_f64().expect("a number");
    assert!((bias + 0.55).abs() < 1e-9, "{bias}");
    // Without spread the reason stands in the statistic's place.
    let ferrule =
        quantities.iter().find(|it| it["measurement"] == "ferrule_height.mesial").expect("compared");
    assert_eq!(ferrule["intraclass"], json!({"value": null, "reason": "no_spread"}));
    // Both as one observer's sittings.
    let ran = run(words("agreement", &files, &["--observer", "anna", "--only", "margin_to_crest", "--csv"]));
    assert_eq!(ran.exit, 0);
    assert!(
        ran.out.contains("sittings,anna,sitting 1,sitting 2,measurement,margin_to_crest.mesial,,bias,"),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("ferrule_height"));
}

#[test]
fn every_number_in_the_csv_is_a_number_and_every_gap_has_its_reason() {
    let folder = Folder::new();
    let ran = run(words("agreement", &folder.study(), &["--csv"]));
    let mut rows = ran.out.split_terminator("\r\n").map(|row| row.split(',').collect::<Vec<_>>());
    let header = rows.next().expect("a header");
    let at = |name: &str| header.iter().position(|it| *it == name).expect("a column");
    let (value, reason) = (at("value"), at("reason"));
    let mut given = 0;
    for row in rows {
        assert_eq!(row.len(), header.len(), "{row:?}");
        if row[value].is_empty() {
            assert!(!row[reason].is_empty(), "{row:?}");
        } else {
            given += 1;
            assert!(row[value].parse::<f64>().is_ok_and(f64::is_finite), "{row:?}");
        }
    }
    assert!(given > 50, "{given}");
}

/// Paths may name a patient: what is printed and kept names cases by who placed them and by digest.
#[test]
fn no_report_of_agreement_names_a_path() {
    let folder = Folder::new();
    let mut files = Vec::new();
    for (observer, lower) in [("anna", 0.0), ("ben", 4.0)] {
        for film in 0..3 {
            for copy in ["", "-copy"] {
                let name = format!("Mrs Planted/{observer}/first/{film}{copy}.case.json");
                files.push(folder.case(&name, |case| {
                    case["film"]["sha256"] = json!(format!("{film:064}"));
                    case["label"] = json!("tooth 21");
                    case["landmarks"]["crest.mesial"]["y"] =
                        json!(160.0 + lower + 3.0 * f64::from(film * film));
                }));
            }
        }
    }
    let plots = folder.path("plots");
    let plotted = ["--plots", plots.to_str().expect("UTF-8")];
    let mut texts = Vec::new();
    for how in [&[][..], &["--csv"], &["--json"], &plotted] {
        let ran = run(words("agreement", &files, how));
        assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
        texts.push(ran.out);
    }
    let said = texts[0].split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("anna/first, sitting 1 (tooth 21, case "), "{said}");
    for plot in plots.read_dir().expect("plots") {
        let file = plot.expect("a plot").path();
        texts.push(file.file_name().expect("a name").to_string_lossy().into_owned());
        texts.push(fs::read_to_string(file).expect("an SVG"));
    }
    assert!(texts.len() > 10);
    let place = folder.path("").display().to_string();
    for text in texts {
        assert!(!text.contains("Planted") && !text.contains(&place), "{text}");
    }
}

/// What a film of the key's stage does not ask for is not missed where it is left, here as in the window.
#[test]
fn what_nobody_is_led_to_is_not_missed() {
    let folder = Folder::new();
    let key = folder.key();
    let mut known: Value = serde_json::from_str(&fs::read_to_string(&key).expect("there")).expect("JSON");
    known["film"]["stage"] = json!("filled");
    known["landmarks"]["cej.mesial"] = json!({"x": 96.0, "y": 120.0, "placed": "truth"});
    fs::write(&key, known.to_string()).expect("written");
    let student = folder.case("anna.case.json", |case| {
        case["film"]["stage"] = json!("assessment");
        case["landmarks"].as_object_mut().expect("landmarks").remove("crest.distal");
    });
    let history = folder.path("anna.jsonl");
    let ran = run(words("score", &[key, student], &["--history", history.to_str().expect("UTF-8")]));
    assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
    fits_80_columns(&ran.out);
    for said in ["left, and not asked for", "6 of 7 placed or marked as in the key; 1 missed", "Not counted"]
    {
        assert!(ran.out.contains(said), "{said} in {}", ran.out);
    }
    let kept = fs::read_to_string(history).expect("written");
    assert!(kept.contains("crest.distal") && !kept.contains("cej.mesial"), "{kept}");
}

/// Three experts in folders of their own, who place everything.
fn experts(folder: &Folder) -> Vec<PathBuf> {
    [("anna", 0.0), ("ben", 4.0), ("cleo", 8.0)]
        .into_iter()
        .map(|(observer, lower)| {
            folder.case(&format!("experts/{observer}/tooth.case.json"), |case| {
                case["film"]["file"] = json!("../../films/tooth.png");
                for (step, mark) in
                    (0..).zip(case["landmarks"].as_object_mut().expect("landmarks").values_mut())
                {
                    let y = mark["y"].as_f64().expect("y") + lower + f64::from(step % 2);
                    mark["y"] = json!(y);
                }
                let apex = case["roots"][0]["landmarks"]["apex"]["y"].as_f64().expect("y");
                case["roots"][0]["landmarks"]["apex"]["y"] = json!(apex + lower);
                if observer == "cleo" {
                    case["landmarks"]["core_top"] = json!({"x": 200.0, "y": 40.0});
                }
            })
        })
        .collect()
}

#[test]
fn experts_become_a_key_that_a_class_is_scored_against() {
    let folder = Folder::new();
    let experts = experts(&folder);
    fs::create_dir_all(folder.path("films")).expect("made");
    fs::write(folder.path("films/tooth.png"), "a film").expect("written");
    let key = folder.path("key.case.json");
    let make = ["--consensus", key.to_str().expect("UTF-8")];
    let ran = run(words("agreement", &experts, &make));
    assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
    fits_80_columns(&ran.out);
    for said in ["CONSENSUS: tooth 21, by anna, ben and cleo", "crest, mesial ", "core top: by cleo alone"] {
        assert!(ran.out.contains(said), "{said} in {}", ran.out);
    }
    let written: Value = serde_json::from_str(&fs::read_to_string(&key).expect("written")).expect("JSON");
    assert_eq!(written["x-consensus"], "anna, ben and cleo");
    assert_eq!(written["film"]["file"], "films/tooth.png", "the film as seen from where the key lies");
    // 0, 4 and 8 px lower: s² = 32 over two axes of 2 degrees of freedom, over 3.
    let sd = written["landmarks"]["crest.mesial"]["sd_px"].as_f64().expect("an sd");
    assert!((sd - (32.0 / 4.0 / 3.0_f64).sqrt()).abs() < 1e-9, "{sd}");
    // Every expert and a student against it: a row for each landmark, in sd.
    let student = folder.case("dora.case.json", |case| case["landmarks"]["crest.mesial"]["y"] = json!(204.0));
    let class: Vec<PathBuf> = [key.clone()].into_iter().chain(experts.clone()).chain([student]).collect();
    let ran = run(words("score", &class, &["--csv"]));
    assert_eq!((ran.exit, ran.err.as_str()), (0, ""));
    let rows: Vec<Vec<&str>> =
        ran.out.split_terminator("\r\n").map(|row| row.split(',').collect::<Vec<_>>()).collect();
    let at = |name: &str| rows[0].iter().position(|it| *it == name).expect("a column");
    let (outcome, along, in_sd) = (at("outcome"), at("along_mm"), at("along_in_sd"));
    // Six landmarks of the tooth, apex, canal and section, for each of four.
    assert_eq!(rows.len(), 1 + 4 * 9, "{}", ran.out);
    let crest = |student: &str| {
        let wanted = |row: &&Vec<&str>| row[0].contains(student) && row[at("landmark")] == "crest.mesial";
        rows.iter().find(wanted).unwrap_or_else(|| panic!("no row of {student} in {}", ran.out))
    };
    for (student, expected) in [("anna", -0.2), ("ben", 0.0), ("cleo", 0.2), ("dora", 2.0)] {
        let row = crest(student);
        assert_eq!((row.len(), row[outcome]), (rows[0].len(), "placed"));
        let number = |at: usize| row[at].parse::<f64>().unwrap_or_else(|_| panic!("no number: {row:?}"));
        assert!((number(along) - expected).abs() < 0.011, "{row:?}");
        // Placing of 3 px, 0.15 mm, and the key's sd of 0.05 mm a pixel.
        let combined = (0.05 * sd).hypot(0.15);
        assert!((number(in_sd) - number(along) / combined).abs() < 0.02, "{row:?} by {combined}");
    }
    let text = run(words("score", &[key, experts[0].clone()], &[])).out;
    assert!(text.contains("against a consensus") && text.contains(" sd"), "{text}");
}

#[test]
fn a_key_is_written_once_and_never_over_a_case() {
    let folder = Folder::new();
    let experts = experts(&folder);
    let key = folder.path("key.case.json");
    let make = ["--consensus", key.to_str().expect("UTF-8")];
    assert_eq!(run(words("agreement", &experts, &make)).exit, 0);
    let first = fs::read(&key).expect("written");
    let again = run(words("agreement", &experts[..2], &make));
    assert_eq!((again.exit, again.out.as_str()), (1, ""));
    assert!(again.err.contains("exists"), "{}", again.err);
    assert_eq!(fs::read(&key).expect("there"), first);
    let forced = run(words("agreement", &experts[..2], &[&make[..], &["--force"]].concat()));
    assert_eq!(forced.exit, 0, "{}", forced.err);
    assert!(forced.out.contains("none of the films that the cases name is there"), "{}", forced.out);
    assert_ne!(fs::read(&key).expect("there"), first);
    // One of the cases is not written over, whatever is forced.
    let before = fs::read(&experts[0]).expect("there");
    let over = ["--consensus", experts[0].to_str().expect("UTF-8"), "--force"];
    let ran = run(words("agreement", &experts, &over));
    assert_eq!((ran.exit, ran.out.as_str()), (1, ""));
    assert!(ran.err.contains("is one of the cases"), "{}", ran.err);
    assert_eq!(fs::read(&experts[0]).expect("there"), before);
}

#[test]
fn a_key_is_not_made_without_somebody_who_was_named() {
    let folder = Folder::new();
    let mut files = experts(&folder);
    let key = folder.path("key.case.json");
    let make = ["--consensus", key.to_str().expect("UTF-8")];
    files.push(folder.path("nothing.case.json"));
    let ran = run(words("agreement", &files, &make));
    assert_eq!((ran.exit, ran.out.as_str()), (1, ""));
    assert!(ran.err.contains("nothing.case.json") && ran.err.contains("not written"), "{}", ran.err);
    assert!(!key.exists());
    files.pop();
    // Without a scale there is no error in mm yet, and that is said.
    for (index, file) in files.iter().enumerate() {
        let text = fs::read_to_string(file)
            .expect("there")
            .replace("\"length_mm\":20.0", &format!("\"length_mm\":2{index}.0"));
        fs::write(file, text).expect("written");
    }
    let ran = run(words("agreement", &files, &make));
    assert_eq!(ran.exit, 0, "{}", ran.err);
    assert!(ran.err.contains("gives no errors in mm"), "{}", ran.err);
    assert!(ran.out.contains("reference 1 of the scale: the cases do not agree on it"), "{}", ran.out);
    for more in [&["--json"][..], &["--csv"], &["--plots", "plots"]] {
        assert_eq!(run(words("agreement", &files, &[&make[..], more].concat())).exit, 2, "{more:?}");
    }
    assert_eq!(
        run(words("agreement", &files, &["--force"])).exit,
        2,
        "nothing is written that could be replaced"
    );
}

#[test]
fn plots_are_drawn_once_and_replaced_only_by_force() {
    let folder = Folder::new();
    let files = folder.study();
    let plots = folder.path("plots");
    let draw = ["--plots", plots.to_str().expect("UTF-8"), "--only", "crest.mesial,margin_to_crest.mesial"];
    assert_eq!(run(words("agreement", &files, &draw)).exit, 0);
    for name in ["crest.mesial--anna--ben.svg", "margin_to_crest.mesial--anna--ben.svg"] {
        let svg = fs::read_to_string(plots.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n") && !svg.contains("NaN"), "{svg}");
        assert_eq!(svg.matches("<circle ").count(), 3, "a point a tooth");
        let document = roxmltree::Document::parse(&svg).expect("well-formed");
        let texts =
            document.descendants().filter(|node| node.has_tag_name("text")).filter_map(|node| node.text());
        let texts: Vec<&str> = texts.collect();
        assert!(texts.join(" ").contains(crestgauge::report::SAFETY), "{texts:?}");
    }
    assert_eq!(fs::read_dir(&plots).expect("made").count(), 2);
    let again = run(words("agreement", &files, &draw));
    assert_eq!(again.exit, 1);
    assert!(again.err.contains("exists"), "{}", again.err);
    assert_eq!(run(words("agreement", &files, &[&draw[..], &["--force"]].concat())).exit, 0);
}

#[test]
fn cases_that_repeat_nothing_say_so() {
    let folder = Folder::new();
    let files: Vec<PathBuf> = folder.study().into_iter().take(3).collect();
    let ran = run(words("agreement", &files, &[]));
    assert_eq!((ran.exit, ran.out.as_str()), (1, ""));
    assert!(ran.err.contains("the cases are on different films: 3 cases, 3 films"), "{}", ran.err);
    let twice = run(words("agreement", &[files[0].clone(), files[0].clone()], &[]));
    assert!(twice.err.contains("named twice; it counts once"), "{}", twice.err);
    assert_eq!(twice.exit, 1);
    let none = run(words("agreement", &[folder.path("nothing.case.json")], &[]));
    assert_eq!(none.exit, 1);
    let unknown = run(words("agreement", &folder.study(), &["--only", "crest.mesail"]));
    assert_eq!(unknown.exit, 2);
    assert!(unknown.err.contains("did you mean \"crest.mesial\"?"), "{}", unknown.err);
}
