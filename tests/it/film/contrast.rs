//! Local contrast and sharpening against `OpenCV` and numpy (tests/data/contrast/README.md says which).

use super::read;
use crestgauge::film::{Cut, Division, Equaliser, Picture, Regions, Sharpening};
use serde_json::Value;
use std::fs;
use std::ops::RangeInclusive;
use std::path::PathBuf;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn case(name: &str) -> Value {
    let text = fs::read_to_string(root().join("tests/data/contrast/expected.json")).unwrap();
    let mut all: Value = serde_json::from_str(&text).unwrap();
    all[name].take()
}

fn whole<T: TryFrom<u64>>(case: &Value, key: &str) -> T {
    T::try_from(case[key].as_u64().unwrap()).ok().unwrap()
}

fn number(case: &Value, key: &str) -> f64 {
    case[key].as_f64().unwrap()
}

/// The grain of reference.py.
fn hashed(index: u64) -> u64 {
    ((index * 2_654_435_761) & 0xFFFF_FFFF) >> 16
}

/// Its slope under grain.
fn scattered(width: u32, height: u32) -> Picture {
    let all = (0..u64::from(height)).flat_map(|y| (0..u64::from(width)).map(move |x| (x, y)));
    let grey = all.map(|(x, y)| 60 * x + 90 * y + hashed(y * u64::from(width) + x) / 4);
    Picture::new(width, height, 16, grey.map(|grey| u16::try_from(grey).unwrap()).collect()).unwrap()
}

fn equalised(picture: &Picture, division: Division, range: RangeInclusive<u16>, limit: f64) -> Picture {
    let regions = Regions::new(picture, division, range, None);
    let equaliser = Equaliser::new(&regions, limit);
    let grey = equaliser.cut(&regions, picture, picture, 0, Cut::whole(picture));
    Picture::new(picture.width(), picture.height(), picture.bits(), grey).unwrap()
}

fn assert_near(picture: &Picture, case: &Value, name: &str) {
    let values = case["values"].as_array().unwrap();
    assert!(values.len() >= 400);
    for value in values {
        let [x, y] = [0, 1].map(|at: usize| u32::try_from(value[at].as_u64().unwrap()).unwrap());
        let grey = f64::from(picture.at(x, y).unwrap());
        let [expected, tolerance] = [2, 3].map(|at: usize| value[at].as_f64().unwrap());
        assert!(
            (grey - expected).abs() <= tolerance,
            "{name} at {x}, {y}: {grey} for {expected} +- {tolerance}"
        );
    }
}

#[test]
fn without_a_limit_each_region_follows_its_running_sum_as_in_opencv() {
    let case = case("unlimited");
    let picture = scattered(whole(&case, "width"), whole(&case, "height"));
    let division = Division { regions: [whole(&case, "across"), whole(&case, "down")], most_bins: 1 << 16 };
    assert_near(&equalised(&picture, division, 0..=u16::MAX, number(&case, "limit")), &case, "unlimited");
}

#[test]
fn with_a_limit_it_follows_opencv_where_that_hands_out_the_same_share() {
    for name in ["limited_16_bits", "limited_8_bits"] {
        let case = case(name);
        let size: usize = whole(&case, "size");
        let [multiplier, copies, first, step] =
            ["multiplier", "copies", "first", "step"].map(|key| whole::<u64>(&case, key));
        let mut grey = vec![0; 4 * size * size];
        for region in 0..4 {
            for index in 0..size * size {
                let (row, column) = (region / 2 * size + index / size, region % 2 * size + index % size);
                let shuffled = index as u64 * multiplier % (size * size) as u64;
                let value = first + step * region as u64 + shuffled / copies;
                grey[row * 2 * size + column] = u16::try_from(value).unwrap();
            }
        }
        let (side, bits) = (u32::try_from(2 * size).unwrap(), whole(&case, "bits"));
        let picture = Picture::new(side, side, bits, grey).unwrap();
        let division = Division { regions: [2, 2], most_bins: 1 << bits };
        let range = 0..=picture.largest_possible();
        assert_near(&equalised(&picture, division, range, number(&case, "limit")), &case, name);
    }
}

#[test]
fn a_film_follows_the_definition_with_few_bins_and_within_a_range() {
    let case = case("sample_film");
    let film = read(&fs::read(root().join("tests/data/films-truth/film-102.png")).unwrap());
    let division = Division {
        regions: [whole(&case, "across"), whole(&case, "down")],
        most_bins: whole(&case, "most_bins"),
    };
    let range = whole(&case, "from")..=whole(&case, "to");
    let result = equalised(&film.picture, division, range, number(&case, "limit"));
    assert_near(&result, &case, "film-102");
    let changed = result.grey().iter().zip(film.picture.grey()).filter(|(one, other)| one != other).count();
    assert!(changed > result.grey().len() / 2, "{changed}");
}

#[test]
fn sharpening_adds_what_differs_from_opencvs_blur() {
    let case = case("sharpened");
    let (width, height) = (whole(&case, "width"), whole(&case, "height"));
    let picture = scattered(width, height);
    let sharpening =
        Sharpening { is_on: true, amount: number(&case, "amount"), sigma: number(&case, "sigma") };
    let grey = sharpening.sharpened(picture.grey(), width as usize, u16::MAX);
    assert_near(&Picture::new(width, height, 16, grey).unwrap(), &case, "sharpened");
}
