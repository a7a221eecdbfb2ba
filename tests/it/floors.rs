//! The house: every module of `src` imports only from floors below its own.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The floors, bottom first; modules on one floor do not know each other. Geometry stands on quantity, both of them
/// below everything that measures.
const FLOORS: &[&[&str]] = &[
    &["quantity", "caution", "wording"],
    &["geometry"],
    &["calibration", "film"],
    &["case"],
    &["measure"],
    &["verdict"],
    &["plan", "agreement", "practice", "edges", "phantom"],
    &["editor", "report"],
    &["cli", "viewer"],
    &["main", "lib"],
];

/// Downward, and forbidden all the same: measuring works on landmarks, never on grey values.
const STRANGERS: &[(&str, &str)] = &[("measure", "film")];

fn floor(module: &str) -> Option<usize> {
    FLOORS.iter().position(|floor| floor.contains(&module))
}

/// Why a module may not import another; `None` where it may.
fn objection(from: &str, to: &str) -> Option<String> {
    if from == to {
        return None;
    }
    let (Some(own), Some(other)) = (floor(from), floor(to)) else {
        let stranger = if floor(from).is_none() { from } else { to };
        return Some(format!("{stranger} stands on no floor; give it one in the table"));
    };
    if STRANGERS.contains(&(from, to)) {
        return Some(format!("{from} must not know {to}"));
    }
    let direction = match other.cmp(&own) {
        std::cmp::Ordering::Less => return None,
        std::cmp::Ordering::Equal => "sideways",
        std::cmp::Ordering::Greater => "upwards",
    };
    Some(format!("{from} imports {direction} from {to}"))
}

/// The code without comments, string and character literals, so that no word in them counts. Newlines stay.
fn code_of(source: &str) -> String {
    let text: Vec<char> = source.chars().collect();
    let mut code = String::new();
    let mut at = 0;
    let starts =
        |at: usize, what: &str| what.chars().enumerate().all(|(i, it)| text.get(at + i) == Some(&it));
    while at < text.len() {
        if starts(at, "//") {
            while at < text.len() && text[at] != '\n' {
                at += 1;
            }
        } else if starts(at, "/*") {
            while at < text.len() && !starts(at, "*/") {
                at += 1;
            }
            at += 2;
        } else if let Some(hashes) = raw_string(&text, at) {
            let end = format!("\"{}", "#".repeat(hashes));
            at += hashes + 2;
            while at < text.len() && !starts(at, &end) {
                at += 1;
            }
            at += end.len();
        } else if text[at] == '"' {
            at += 1;
            while at < text.len() && text[at] != '"' {
                at += if text[at] == '\\' { 2 } else { 1 };
            }
            at += 1;
        } else if starts(at, "'\"'") || starts(at, "'\\\"'") {
            at += if text[at + 1] == '\\' { 4 } else { 3 };
        } else {
            code.push(text[at]);
            at += 1;
        }
    }
    code
}

/// How many hashes a raw string that starts here has.
fn raw_string(text: &[char], at: usize) -> Option<usize> {
    let word_before = at > 0 && (text[at - 1].is_alphanumeric() || text[at - 1] == '_');
    let is_byte_string = at > 0 && text[at - 1] == 'b';
    if text[at] != 'r' || (word_before && !is_byte_string) {
        return None;
    }
    let hashes = text[at + 1..].iter().take_while(|it| **it == '#').count();
    (text.get(at + 1 + hashes) == Some(&'"')).then_some(hashes)
}

/// The first step of every path behind `prefix`: `b` of `prefix::b::c`, `b` and `d` of `prefix::{b::{c}, d}`.
fn behind(code: &str, prefix: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for (at, _) in code.match_indices(prefix) {
        let before = code[..at].chars().next_back();
        if before.is_some_and(|it| it.is_alphanumeric() || it == '_' || it == '$' || it == ':') {
            continue;
        }
        let rest = &code[at + prefix.len()..];
        if rest.starts_with('{') {
            let (mut depth, mut step) = (0, String::new());
            for it in rest.chars() {
                match it {
                    '{' | '}' | ',' => {
                        if depth == 1 && !step.is_empty() {
                            found.insert(first_step(&step));
                            step.clear();
                        }
                        depth += i32::from(it == '{') - i32::from(it == '}');
                        if depth == 0 {
                            break;
                        }
                    }
                    _ if depth == 1 => step.push(it),
                    _ => {}
                }
            }
        } else {
            found.insert(first_step(rest));
        }
    }
    found.remove("");
    found
}

fn first_step(path: &str) -> String {
    path.trim_start().chars().take_while(|it| it.is_alphanumeric() || *it == '_' || *it == '*').collect()
}

/// What a file imports from other modules: by `crate::`, by as many `super::` as lead to the crate's root, and in
/// the binary by the crate's name. Macros that build an item of another module name it the same way.
fn imports(source: &str, depth: usize, modules: &BTreeSet<String>) -> BTreeSet<String> {
    // White space within a path is legal; without it a path is one word.
    let code = code_of(source);
    let mut code: String = code.split("::").map(str::trim_end).collect::<Vec<_>>().join("::");
    while let Some(at) = code.find(":: ").or_else(|| code.find("::\n")) {
        code.remove(at + 2);
    }
    let mut found = behind(&code, "crate::");
    found.extend(behind(&code, "crestgauge::"));
    let climbed = behind(&code, &"super::".repeat(depth));
    found.extend(climbed.into_iter().filter(|step| modules.contains(step)));
    // An item at the root that is no module, such as a macro or a constant, belongs to the library itself.
    found.into_iter().map(|step| if modules.contains(&step) { step } else { "lib".to_owned() }).collect()
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// The top-level module a source file belongs to, and how many `super::` lead from it to the root.
fn module_of(file: &Path) -> (String, usize) {
    let steps: Vec<String> =
        file.with_extension("").iter().map(|step| step.to_string_lossy().into_owned()).collect();
    let depth = steps.iter().filter(|step| *step != "mod").count();
    (steps[0].clone(), depth)
}

#[test]
fn every_import_points_downwards() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    let within: Vec<&Path> = files.iter().map(|file| file.strip_prefix(&root).unwrap()).collect();
    let modules: BTreeSet<String> = within.iter().map(|file| module_of(file).0).collect();
    let mut objections: BTreeMap<String, String> = BTreeMap::new();
    for module in &modules {
        if floor(module).is_none() {
            objections.insert(module.clone(), "stands on no floor; give it one in the table".to_owned());
        }
    }
    for file in &within {
        let (module, depth) = module_of(file);
        for import in imports(&fs::read_to_string(root.join(file)).unwrap(), depth, &modules) {
            if let Some(objection) = objection(&module, &import) {
                objections.insert(file.display().to_string(), objection);
            }
        }
    }
    assert!(files.len() > 50, "only {} files were read", files.len());
    assert!(objections.is_empty(), "{objections:#?}");
}

#[test]
fn the_checker_sees_every_way_to_import() {
    let modules = ["case", "film", "measure", "report", "verdict", "quantity"].map(str::to_owned).into();
    let see = |source: &str, depth| imports(source, depth, &modules).into_iter().collect::<Vec<_>>();
    assert_eq!(see("use crate::case::Case;", 1), ["case"]);
    assert_eq!(
        see("use crate::{\n    case::{self, json::{parse}},\n    film, verdict as v,\n};", 1),
        ["case", "film", "verdict"]
    );
    assert_eq!(see("fn f() -> u8 { crate::report::count(&crate::film::X) }", 1), ["film", "report"]);
    assert_eq!(see("use super::{film::Film, places};", 1), ["film"]);
    assert_eq!(see("use super::super::report;\nuse super::film;", 2), ["report"]);
    assert_eq!(see("pub(crate) use crate :: measure :: Row;", 1), ["measure"]);
    assert_eq!(see("fn main() { crestgauge::verdict::run(); }", 1), ["verdict"]);
    assert_eq!(see("const ROOT: u8 = crate::VERSION;", 1), ["lib"]);
    assert_eq!(see("use crate::*;", 1), ["lib"]);
    let spoken = "// use crate::film;\n/* crate::film */ const A: &str = \"crate::film\\\" crate::film\";\n\
                  const B: &str = r#\"\" crate::film\"#; const C: char = '\"'; /// [`crate::film`]\n\
                  fn f<'a>(it: &'a str) { crate::case::g(it) }";
    assert_eq!(see(spoken, 1), ["case"]);
}

#[test]
fn the_checker_objects_to_upward_and_sideways_imports() {
    assert!(objection("measure", "verdict").unwrap().contains("upwards"));
    assert!(objection("quantity", "cli").unwrap().contains("upwards"));
    assert!(objection("calibration", "film").unwrap().contains("sideways"));
    assert!(objection("editor", "report").unwrap().contains("sideways"));
    assert!(objection("measure", "film").unwrap().contains("must not know"));
    assert!(objection("measure", "newcomer").unwrap().contains("no floor"));
    assert!(objection("newcomer", "quantity").unwrap().contains("no floor"));
    for (from, to) in [("case", "film"), ("case", "calibration"), ("geometry", "quantity"), ("cli", "report")]
    {
        assert_eq!(objection(from, to), None);
    }
}
