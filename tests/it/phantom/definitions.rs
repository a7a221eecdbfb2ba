//! Pictures of landmarks: what is committed is what the table draws, byte for byte.

use crestgauge::phantom::{DEFINITIONS, Definition};
use std::collections::BTreeSet;
use std::num::NonZeroUsize;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

#[test]
fn pictures_of_landmarks_are_those_of_the_table() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/definitions");
    let file = |definition: &Definition| folder.join(format!("{}.png", definition.name));
    let differs = |definition: &Definition| {
        let file = file(definition);
        let committed = std::fs::read(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        committed != definition.png().expect("it can be drawn")
    };
    let (next, threads) =
        (AtomicUsize::new(0), std::thread::available_parallelism().map_or(1, NonZeroUsize::get));
    let other: Vec<&str> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|_| {
                scope.spawn(|| {
                    let mut other = Vec::new();
                    while let Some(definition) = DEFINITIONS.get(next.fetch_add(1, Ordering::Relaxed)) {
                        other.extend(differs(definition).then_some(definition.name));
                    }
                    other
                })
            })
            .collect();
        workers.into_iter().flat_map(|worker| worker.join().expect("it ends by itself")).collect()
    });
    assert!(
        other.is_empty(),
        "{other:?} are not what is drawn now: run the example definition_pictures and look at them"
    );
    let names: BTreeSet<String> = DEFINITIONS.iter().map(|it| format!("{}.png", it.name)).collect();
    let files = folder.read_dir().expect("the folder is there").filter_map(Result::ok);
    assert_eq!(files.map(|it| it.file_name().to_string_lossy().into_owned()).collect::<BTreeSet<_>>(), names);
}
