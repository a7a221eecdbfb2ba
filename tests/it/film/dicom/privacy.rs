//! Nothing of the patient: an identity planted wherever a file can hold one is looked for in all that comes out.

use super::make::{EXPLICIT, Set, element, file, sequence, text, wrapped};
use crate::command_line::run;
use std::path::Path;

/// Invented, and obviously so. Every planted value holds this word or these digits.
const WORD: &str = "Zzplanted";
const DIGITS: &str = "90817263";

fn planted() -> Set {
    let name = format!("{WORD}^Patient");
    let uid = format!("1.2.3.{DIGITS}.4");
    let inside = || {
        vec![
            [
                text((0x10, 0x10), "PN", &name),
                text((0x10, 0x20), "LO", DIGITS),
                text((0x08, 0x1155), "UI", &uid),
                text((0x29, 0x10), "LO", WORD),
            ]
            .concat(),
        ]
    };
    let mut set = Set::film(4, 4, &[7; 16]);
    for (tag, representation, value) in [
        ((0x08, 0x05), "CS", "ISO_IR 192"),
        ((0x08, 0x18), "UI", &*uid),
        ((0x08, 0x20), "DA", "19081726"),
        ((0x08, 0x50), "SH", DIGITS),
        ((0x08, 0x80), "LO", WORD),
        ((0x08, 0x90), "PN", &name),
        ((0x08, 0x1030), "LO", WORD),
        ((0x08, 0x1070), "PN", &name),
        ((0x10, 0x10), "PN", &name),
        ((0x10, 0x20), "LO", DIGITS),
        ((0x10, 0x30), "DA", "19081726"),
        ((0x10, 0x1000), "LO", DIGITS),
        ((0x10, 0x1040), "LO", WORD),
        ((0x10, 0x4000), "LT", WORD),
        ((0x18, 0x1000), "LO", DIGITS),
        ((0x20, 0x0d), "UI", &uid),
        ((0x20, 0x0e), "UI", &uid),
        ((0x20, 0x10), "SH", DIGITS),
        ((0x20, 0x4000), "LT", WORD),
        ((0x28, 0xa02), "CS", "FIDUCIAL"),
        ((0x28, 0xa04), "LO", WORD),
        ((0x28, 0x1055), "LO", WORD),
        ((0x29, 0x10), "LO", WORD),
        ((0x29, 0x1001), "UT", WORD),
        ((0x28, 0x30), "DS", "0.02\\0.02"),
        ((0x28, 0x301), "CS", "YES"),
    ] {
        set = set.text(tag, representation, value);
    }
    // In sequences that are skipped, and in one that is looked into.
    let explained = [
        element((0x28, 0x3002), "US", &[2, 0, 0, 0, 12, 0]),
        text((0x28, 0x3003), "LO", WORD),
        element((0x28, 0x3006), "OW", &[0, 0, 255, 15]),
    ]
    .concat();
    set.with((0x08, 0x1140), sequence((0x08, 0x1140), &inside()))
        .with((0x40, 0x275), sequence((0x40, 0x275), &[sequence((0x08, 0x1120), &inside())]))
        .with((0x28, 0x3010), sequence((0x28, 0x3010), &[explained]))
}

/// No word of the planted identity, in whatever case or order of a date.
fn clean(what: &str, out: &str) {
    let lower = out.to_lowercase();
    for planted in [WORD, DIGITS, "19081726", "1908-17-26", "1.2.3.", "FIDUCIAL\\"] {
        assert!(!lower.contains(&planted.to_lowercase()), "{what} holds {planted:?}: {out}");
    }
}

fn outputs(path: &Path, folder: &Path) -> Vec<String> {
    let film = path.to_str().unwrap();
    let case = folder.join("tooth.case.json");
    let mut all = Vec::new();
    for arguments in [
        vec!["inspect", film],
        vec!["inspect", "--json", film],
        vec!["draft", film, "-o", case.to_str().unwrap(), "--force", "--tooth", "21"],
        vec!["measure", case.to_str().unwrap()],
        vec!["measure", "--json", case.to_str().unwrap()],
        vec!["measure", "--csv", case.to_str().unwrap()],
    ] {
        let ran = run(arguments);
        all.extend([ran.out, ran.err]);
    }
    for ending in ["pdf", "svg", "csv", "json"] {
        let report = folder.join(format!("report.{ending}"));
        let ran = run(["report", case.to_str().unwrap(), "-o", report.to_str().unwrap(), "--force"]);
        all.extend([
            ran.out,
            ran.err,
            String::from_utf8_lossy(&std::fs::read(&report).unwrap()).into_owned(),
        ]);
    }
    all.extend(std::fs::read_to_string(&case));
    all
}

/// A structured report refers to its film, by the film's own identifiers and nothing else of it.
#[test]
fn a_structured_report_takes_the_films_identifiers_alone() {
    let folder = tempfile::tempdir().unwrap();
    let [film, case, report] =
        ["film.dcm", "tooth.case.json", "report.dcm"].map(|name| folder.path().join(name));
    let class = "1.2.840.10008.5.1.4.1.1.1.3";
    std::fs::write(&film, planted().text((0x08, 0x16), "UI", class).file()).unwrap();
    let [film, case, output] = [&film, &case, &report].map(|path| path.to_str().unwrap());
    assert_eq!(run(["draft", film, "-o", case, "--tooth", "21"]).exit, 0);
    let ran = run(["report", case, "-o", output, "--date", "2026-11-24"]);
    assert_eq!(ran.exit, 0, "{}", ran.err);
    clean("what is said", &ran.out);
    assert!(!ran.out.contains("no DICOM object"), "{}", ran.out);
    let text = String::from_utf8_lossy(&std::fs::read(&report).unwrap()).to_lowercase();
    let uid = format!("1.2.3.{DIGITS}.4");
    assert!(text.contains(&uid));
    let rest = text.replace(&uid, "");
    for planted in [WORD, DIGITS, "19081726"] {
        assert!(!rest.contains(&planted.to_lowercase()), "the report holds {planted:?}");
    }
}

#[test]
fn a_planted_identity_reaches_no_output() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("film.dcm");
    let bytes = planted().file();
    assert!(bytes.windows(WORD.len()).filter(|window| *window == WORD.as_bytes()).count() > 15);
    std::fs::write(&path, &bytes).unwrap();
    let all = outputs(&path, folder.path());
    for out in &all {
        clean("an output", out);
    }
    let case = all.last().unwrap();
    assert!(case.contains("\"receptor\"") && case.contains("\"pitch_mm\""), "{case}");
    assert!(all[0].contains("burned into its picture"), "{}", all[0]);
}

/// Error lines quote what is wrong. Whatever attribute is broken, they must not quote the patient.
#[test]
fn error_lines_of_broken_files_hold_no_identity() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("film.dcm");
    let uid = format!("1.2.3.{DIGITS}.4");
    let mut broken = vec![
        file(&uid, &uid, &planted().bytes()),
        file(EXPLICIT, &uid, &planted().without((0x7fe0, 0x10)).bytes()),
        planted().text((0x28, 4), "CS", WORD).file(),
        planted().text((0x28, 8), "IS", WORD).file(),
        planted().text((0x28, 0x10), "LO", WORD).file(),
        planted().text((0x28, 0x100), "LO", DIGITS).file(),
        planted().without((0x28, 0x10)).file(),
    ];
    // Not errors but cautions.
    for (tag, representation) in [
        ((0x28, 0x30), "DS"),
        ((0x28, 0x34), "IS"),
        ((0x18, 0x1164), "DS"),
        ((0x18, 0x1110), "DS"),
        ((0x18, 0x1114), "DS"),
        ((0x28, 0xa02), "CS"),
        ((0x28, 0x1050), "DS"),
        ((0x28, 0x1053), "DS"),
        ((0x28, 0x1056), "CS"),
        ((0x08, 0x22), "DA"),
        ((0x28, 0x301), "CS"),
    ] {
        broken.push(planted().text(tag, representation, WORD).file());
        broken.push(planted().text(tag, representation, DIGITS).file());
    }
    let whole = planted().file();
    for place in (132..whole.len()).step_by(29) {
        broken.push(whole[..place].to_vec());
        let mut changed = whole.clone();
        changed[place] ^= 0xff;
        broken.push(changed);
    }
    for bytes in broken {
        std::fs::write(&path, &bytes).unwrap();
        let ran = run(["inspect", "--json", path.to_str().unwrap()]);
        clean("inspect", &ran.out);
        clean("an error", &ran.err);
        assert!(ran.err.lines().count() <= 1, "{}", ran.err);
    }
}

/// What encapsulated pixel data are handed to their decoder with is no more than what describes them.
#[test]
fn a_film_with_identity_in_front_of_every_fragment_is_read() {
    let run_lengths = {
        let mut stream = vec![0_u8; 64];
        stream[..12].copy_from_slice(&[2, 0, 0, 0, 64, 0, 0, 0, 66, 0, 0, 0]);
        stream.extend([241, 1, 241, 2]);
        stream
    };
    let fragments = [wrapped(0xe000, &[]), wrapped(0xe000, &run_lengths), wrapped(0xe0dd, &[])].concat();
    let pixels = super::make::header((0x7fe0, 0x10), "OB", u32::MAX, &fragments);
    let set = planted().with((0x7fe0, 0x10), pixels);
    let film = super::super::read(&file("1.2.840.10008.1.2.5", "1.2.3", &set.bytes()));
    assert_eq!(film.picture.grey(), [0x102; 16]);
    clean("a film", &format!("{film:?}"));
}
