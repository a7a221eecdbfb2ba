//! First display: PS3.3, C.11.1 and C.11.2, by numbers worked out outside (tests/data/dicom/voi.csv says where).

use super::super::{kinds, read};
use super::make::{Set, element, sequence};
use crate::support::text;
use crestgauge::caution::CautionKind::DisplayMalformed;
use crestgauge::film::dicom::{FirstDisplay, LookUp, Modality, Voi, Window, WindowShape};

const CENTRE: (u16, u16) = (0x28, 0x1050);
const WIDTH: (u16, u16) = (0x28, 0x1051);
const INTERCEPT: (u16, u16) = (0x28, 0x1052);
const SLOPE: (u16, u16) = (0x28, 0x1053);
const FUNCTION: (u16, u16) = (0x28, 0x1056);

#[test]
fn windows_follow_the_standards_formulas() {
    let mut compared = 0;
    for line in text("dicom/voi.csv").lines().filter(|line| !line.starts_with('#')).skip(1) {
        let [function, rest @ ..] = &line.split(',').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let [centre, width, low, high, x, y] =
            rest.iter().map(|it| it.parse().unwrap()).collect::<Vec<f64>>()[..]
        else {
            panic!("{line}")
        };
        let shape = match *function {
            "LINEAR" => WindowShape::Linear,
            "LINEAR_EXACT" => WindowShape::LinearExact,
            "SIGMOID" => WindowShape::Sigmoid,
            other => panic!("{other}"),
        };
        let found = Window { centre, width, shape }.brightness(x) * (high - low) + low;
        assert!((found - y).abs() < 1e-5, "{line}: {found}");
        compared += 1;
    }
    assert_eq!(compared, 51);
}

/// Oracle H07: slope 0.5, intercept -100.
#[test]
fn rescale_is_slope_and_intercept() {
    let set = Set::two_pixels().text(SLOPE, "DS", "0.5").text(INTERCEPT, "DS", "-100");
    let film = read(&set.file());
    for (stored, value) in [(0.0, -100.0), (100.0, -50.0), (2048.0, 924.0), (4095.0, 1947.5)] {
        assert!((film.first_display.modality.value(stored) - value).abs() < 1e-9);
    }
    assert_eq!(film.picture.grey(), [1, 2], "measuring sees the values as stored");
    assert!(film.cautions.is_empty());
}

fn display(set: &Set) -> FirstDisplay {
    let film = read(&set.file());
    assert_eq!(film.cautions, []);
    film.first_display
}

fn near(found: Option<f64>, expected: f64) {
    let found = found.unwrap();
    assert!((found - expected).abs() < 1e-9, "{found} is not {expected}");
}

#[test]
fn the_steps_come_one_after_the_other() {
    // The first of two windows; 2047.5 / 4095 is the middle of LINEAR_EXACT around 1200.
    let set = Set::film(1, 1, &[0]).text(CENTRE, "DS", "1200\\9").text(WIDTH, "DS", "800\\9").text(
        FUNCTION,
        "CS",
        "LINEAR_EXACT",
    );
    near(display(&set).brightness(1200), 0.5);
    near(display(&set).brightness(1000), 0.25);
    let inverted = set.clone().text((0x28, 4), "CS", "MONOCHROME1");
    near(display(&inverted).brightness(1000), 0.75);
    // A film says it is inverted once or twice; it is turned once.
    near(display(&inverted.clone().text((0x2050, 0x20), "CS", "INVERSE")).brightness(1000), 0.75);
    near(display(&set.clone().text((0x2050, 0x20), "CS", "INVERSE")).brightness(1000), 0.75);
    // Rescaled before the window: 1000 stored is 2 x 1000 - 800 = 1200.
    let rescaled = set.clone().text(SLOPE, "DS", "2").text(INTERCEPT, "DS", "-800");
    near(display(&rescaled).brightness(1000), 0.5);
    // Signed values are offset by half their range here, and the window is about their own.
    let signed = set.clone().short((0x28, 0x103), 1);
    near(display(&signed).brightness(2048 + 1000), 0.25);
    // Nothing said: everything.
    let silent = Set::film(1, 1, &[0]);
    near(display(&silent).brightness(0), 0.0);
    near(display(&silent).brightness(4095), 1.0);
    near(display(&silent.text(SLOPE, "DS", "-1").text(INTERCEPT, "DS", "0")).brightness(4095), 0.0);
}

fn words(values: &[u16]) -> Vec<u8> {
    values.iter().flat_map(|value| value.to_le_bytes()).collect()
}

fn table(descriptor: [u16; 3], data: &[u8]) -> Vec<u8> {
    [element((0x28, 0x3002), "US", &words(&descriptor)), element((0x28, 0x3006), "OW", data)].concat()
}

#[test]
fn tables_are_looked_up_within_their_ends() {
    let voi = (0x28, 0x3010);
    let set = Set::film(1, 1, &[0]).with(voi, sequence(voi, &[table([3, 100, 12], &words(&[0, 819, 4095]))]));
    let display = self::display(&set);
    assert_eq!(display.voi, Voi::Table(LookUp { first: 100, bits: 12, entries: vec![0, 819, 4095] }));
    for (grey, brightness) in [(0, 0.0), (100, 0.0), (101, 0.2), (102, 1.0), (4000, 1.0)] {
        near(display.brightness(grey), brightness);
    }
    // Entries of 8 bits, two to a word.
    let set = Set::film(1, 1, &[0]).with(voi, sequence(voi, &[table([4, 0, 8], &[0, 51, 102, 255])]));
    near(self::display(&set).brightness(2), 0.4);
    // A modality table, and a window on what it makes.
    let modality = (0x28, 0x3000);
    let set = Set::film(1, 1, &[0])
        .with(modality, sequence(modality, &[table([3, 0, 16], &words(&[1000, 1200, 1400]))]))
        .text(CENTRE, "DS", "1200")
        .text(WIDTH, "DS", "800")
        .text(FUNCTION, "CS", "LINEAR_EXACT");
    near(self::display(&set).brightness(0), 0.25);
    near(self::display(&set).brightness(1), 0.5);
    near(self::display(&set).brightness(9), 0.75);
}

#[test]
fn padding_is_no_picture() {
    let set = Set::film(1, 1, &[0]).short((0x28, 0x120), 4095).short((0x28, 0x121), 4090);
    let display = display(&set);
    assert_eq!(display.padding, Some(4090..=4095));
    assert_eq!(display.brightness(4092), None);
    assert!(display.brightness(4089).is_some());
    // A signed one of -1, below zero as all of its kind.
    let signed = Set::film(1, 1, &[0])
        .short((0x28, 0x103), 1)
        .with((0x28, 0x120), element((0x28, 0x120), "SS", &(-1_i16).to_le_bytes()));
    assert_eq!(self::display(&signed).padding, Some(2047..=2047));
}

#[test]
fn what_is_malformed_is_a_caution_and_not_used() {
    let plain = FirstDisplay::plain(12, false);
    let lies = table([4, 0, 12], &words(&[1]));
    for set in [
        Set::two_pixels().text(SLOPE, "DS", "abc").text(INTERCEPT, "DS", "0"),
        Set::two_pixels().text(SLOPE, "DS", "0").text(INTERCEPT, "DS", "5"),
        Set::two_pixels().text(SLOPE, "DS", "2"),
        Set::two_pixels().text(CENTRE, "DS", "5").text(WIDTH, "DS", "0"),
        Set::two_pixels().text(CENTRE, "DS", "5").text(WIDTH, "DS", "-5"),
        Set::two_pixels().text(CENTRE, "DS", "5").text(WIDTH, "DS", "0.5"),
        Set::two_pixels().text(CENTRE, "DS", "5"),
        Set::two_pixels().text(CENTRE, "DS", "5").text(WIDTH, "DS", "9").text(FUNCTION, "CS", "CUBIC"),
        Set::two_pixels().with((0x28, 0x3010), sequence((0x28, 0x3010), std::slice::from_ref(&lies))),
        Set::two_pixels().with((0x28, 0x3000), sequence((0x28, 0x3000), std::slice::from_ref(&lies))),
    ] {
        let film = read(&set.file());
        assert_eq!(kinds(&film), [DisplayMalformed]);
        assert_eq!(film.first_display, plain);
        assert_eq!(film.picture.grey(), [1, 2]);
    }
    assert_eq!(plain.modality, Modality::Rescale { slope: 1.0, intercept: 0.0 });
}
