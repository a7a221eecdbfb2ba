//! The sample images are what the program makes of the lines of sample-images/films.txt, byte for byte.

use crate::command_line::run;
use std::fs;
use std::path::{Path, PathBuf};

fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-images")
}

/// The films with their options, as sample-images/make has them.
fn lines() -> Vec<Vec<String>> {
    let text = fs::read_to_string(samples().join("films.txt")).unwrap();
    text.lines()
        .filter(|line| !line.starts_with('#') && !line.trim().is_empty())
        .map(|line| line.split_whitespace().map(str::to_owned).collect())
        .collect()
}

#[test]
fn every_sample_image_is_remade_byte_for_byte() {
    let folder = tempfile::tempdir().unwrap();
    let lines = lines();
    assert!(lines.len() >= 8);
    for line in &lines {
        let (name, options) = line.split_first().unwrap();
        let film = folder.path().join(name);
        let mut words = vec!["phantom".to_owned(), "-o".to_owned(), film.to_str().unwrap().to_owned()];
        words.extend(options.iter().cloned());
        let ran = run(&words);
        assert_eq!(ran.exit, 0, "{name}: {}", ran.err);
        for file in [film.clone(), film.with_extension("case.json")] {
            let kept = samples().join(file.file_name().unwrap());
            assert!(
                fs::read(&file).unwrap() == fs::read(&kept).unwrap(),
                "{}: not what the program makes; run sample-images/make and look at the difference",
                kept.display()
            );
        }
    }
}

#[test]
fn all_sample_images_have_a_line_in_the_readme_and_are_small() {
    let readme = fs::read_to_string(samples().join("README.md")).unwrap();
    for line in lines() {
        assert!(readme.contains(&format!("`{}`", line[0])), "{} is not in the README", line[0]);
    }
    let size: u64 =
        fs::read_dir(samples()).unwrap().map(|entry| entry.unwrap().metadata().unwrap().len()).sum();
    assert!(size < 10_000_000, "{size} bytes");
}
