//! Pictures of landmarks: what is committed is what the table draws, byte for byte.

use crestgauge::phantom::DEFINITIONS;
use std::path::Path;

#[test]
fn pictures_of_landmarks_are_those_of_the_table() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/definitions");
    for definition in DEFINITIONS.iter().step_by(7) {
        let file = folder.join(format!("{}.png", definition.name));
        let committed = std::fs::read(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        let drawn = definition.png().expect("it can be drawn");
        assert!(
            committed == drawn,
            "{} is not what is drawn now: run the example definition_pictures and look at it",
            definition.name
        );
    }
    let names: std::collections::BTreeSet<String> =
        DEFINITIONS.iter().map(|it| format!("{}.png", it.name)).collect();
    let files = folder.read_dir().expect("the folder is there").filter_map(Result::ok);
    assert_eq!(
        files
            .map(|it| it.file_name().to_string_lossy().into_owned())
            .collect::<std::collections::BTreeSet<_>>(),
        names
    );
}
