//! What files state about the distance of their pixels, and what of it is believed.

use super::make::{self, Field};
use super::{kinds, read};
use crestgauge::caution::CautionKind::{self, PitchMalformed, PitchNotMeasured, PitchStatementsDiffer};
use crestgauge::film::Film;
use image::ExtendedColorType;
use png::{PixelDimensions, Unit};

/// What a row of a table expects: millimetres across and down with the words for their source, and cautions
/// with their numbers.
type Expected = (Option<(f64, f64, &'static str)>, &'static [(CautionKind, Option<f64>)]);

/// Marker segments by the second byte of their marker.
type Segments = Vec<(u8, Vec<u8>)>;

fn check(film: &Film, expected: &Expected, row: &str) {
    let pitch = film.pitch.map(|pitch| (pitch.across.get(), pitch.down.get(), pitch.from.to_string()));
    match (&pitch, expected.0) {
        (None, None) => {}
        (Some((across, down, from)), Some((expected_across, expected_down, expected_from))) => {
            assert!((across - expected_across).abs() < 1e-9, "{row}: {across}");
            assert!((down - expected_down).abs() < 1e-9, "{row}: {down}");
            assert_eq!(from, expected_from, "{row}");
        }
        _ => panic!("{row}: {pitch:?} is not {:?}", expected.0),
    }
    let about_pitch =
        |kind: &CautionKind| matches!(kind, PitchMalformed | PitchNotMeasured | PitchStatementsDiffer);
    let raised: Vec<_> = film.cautions.iter().filter(|caution| about_pitch(&caution.kind)).collect();
    assert_eq!(raised.len(), expected.1.len(), "{row}: {raised:?}");
    for (caution, (kind, value)) in raised.iter().zip(expected.1) {
        assert_eq!(caution.kind, *kind, "{row}");
        match (caution.value, value) {
            (Some(value), Some(expected)) => assert!((value - expected).abs() < 5e-3, "{row}: {value}"),
            (value, expected) => assert_eq!(value, *expected, "{row}"),
        }
    }
}

#[test]
fn png_phys() {
    let table: [((u32, u32, Unit), Expected); 11] = [
        // Pixels per metre; the pitch is 1000 mm over that.
        ((50_000, 50_000, Unit::Meter), (Some((0.02, 0.02, "PNG pHYs")), &[])),
        ((50_000, 40_000, Unit::Meter), (Some((0.02, 0.025, "PNG pHYs")), &[])),
        ((11_811, 11_811, Unit::Meter), (Some((0.084_666_835_99, 0.084_666_835_99, "PNG pHYs")), &[])),
        ((2_835, 2_835, Unit::Meter), (None, &[(PitchNotMeasured, Some(72.0))])),
        ((2_834, 2_834, Unit::Meter), (None, &[(PitchNotMeasured, Some(72.0))])),
        ((3_780, 3_780, Unit::Meter), (None, &[(PitchNotMeasured, Some(96.0))])),
        ((3_779, 3_779, Unit::Meter), (None, &[(PitchNotMeasured, Some(96.0))])),
        ((3_800, 3_800, Unit::Meter), (Some((1.0 / 3.8, 1.0 / 3.8, "PNG pHYs")), &[])),
        ((0, 50_000, Unit::Meter), (None, &[(PitchMalformed, None)])),
        ((0, 0, Unit::Meter), (None, &[(PitchMalformed, None)])),
        ((50_000, 50_000, Unit::Unspecified), (None, &[])),
    ];
    for ((xppu, yppu, unit), expected) in table {
        let bytes = make::png((1, 1), png::ColorType::Grayscale, png::BitDepth::Eight, &[0], |encoder| {
            encoder.set_pixel_dims(Some(PixelDimensions { xppu, yppu, unit }));
        });
        check(&read(&bytes), &expected, &format!("{xppu} {yppu} {unit:?}"));
    }
}

#[test]
fn tiff_resolution() {
    let both = |over, under| vec![(282, Field::Ratio(over, under)), (283, Field::Ratio(over, under))];
    let unit = |unit| (296, Field::Short(vec![unit]));
    let table: [(Vec<(u16, Field)>, Expected); 16] = [
        ([both(1270, 1), vec![unit(2)]].concat(), (Some((0.02, 0.02, "TIFF resolution")), &[])),
        // Without a unit it is the inch.
        (both(12700, 10), (Some((0.02, 0.02, "TIFF resolution")), &[])),
        ([both(500, 1), vec![unit(3)]].concat(), (Some((0.02, 0.02, "TIFF resolution")), &[])),
        ([both(500, 1), vec![unit(1)]].concat(), (None, &[])),
        ([both(72, 1), vec![unit(2)]].concat(), (None, &[(PitchNotMeasured, Some(72.0))])),
        ([both(96, 1), vec![unit(2)]].concat(), (None, &[(PitchNotMeasured, Some(96.0))])),
        ([both(2835, 100), vec![unit(3)]].concat(), (None, &[(PitchNotMeasured, Some(72.0))])),
        ([both(28, 1), vec![unit(3)]].concat(), (None, &[(PitchNotMeasured, Some(72.0))])),
        ([both(38, 1), vec![unit(3)]].concat(), (None, &[(PitchNotMeasured, Some(96.0))])),
        ([both(0, 1), vec![unit(2)]].concat(), (None, &[(PitchMalformed, None)])),
        ([both(300, 0), vec![unit(2)]].concat(), (None, &[(PitchMalformed, None)])),
        ([both(0, 0), vec![unit(2)]].concat(), (None, &[(PitchMalformed, None)])),
        (vec![(282, Field::Ratio(300, 1))], (None, &[(PitchMalformed, None)])),
        (
            vec![(282, Field::Ratio(300, 1)), (283, Field::Long(vec![1, 2, 3]))],
            (None, &[(PitchMalformed, None)]),
        ),
        (
            [both(150, 1), vec![unit(2)]].concat(),
            (Some((25.4 / 150.0, 25.4 / 150.0, "TIFF resolution")), &[]),
        ),
        (Vec::new(), (None, &[])),
    ];
    for (tags, expected) in table {
        let film = read(&make::tiff(true, (1, 1), (8, 1, 1), &tags, &[0]));
        check(&film, &expected, &format!("{tags:?}"));
    }
}

#[test]
fn jpeg_densities_and_their_order() {
    let exif = |over, unit| {
        make::exif_segment(&[
            (282, Field::Ratio(over, 1)),
            (283, Field::Ratio(over, 1)),
            (296, Field::Short(vec![unit])),
        ])
    };
    let table: [(Segments, Expected); 13] = [
        (vec![make::jfif(1, 1270, 635)], (Some((0.02, 0.04, "JFIF density")), &[])),
        (vec![make::jfif(2, 500, 400)], (Some((0.02, 0.025, "JFIF density")), &[])),
        (vec![make::jfif(0, 1, 1)], (None, &[])),
        (vec![make::jfif(1, 72, 72)], (None, &[(PitchNotMeasured, Some(72.0))])),
        (vec![make::jfif(1, 96, 96)], (None, &[(PitchNotMeasured, Some(96.0))])),
        (vec![make::jfif(2, 28, 28)], (None, &[(PitchNotMeasured, Some(72.0))])),
        (vec![make::jfif(1, 0, 300)], (None, &[(PitchMalformed, None)])),
        (vec![exif(1270, 2)], (Some((0.02, 0.02, "EXIF resolution")), &[])),
        (vec![make::jfif(0, 1, 1), exif(500, 3)], (Some((0.02, 0.02, "EXIF resolution")), &[])),
        (vec![make::jfif(1, 1270, 1270), exif(500, 3)], (Some((0.02, 0.02, "JFIF density")), &[])),
        (
            vec![make::jfif(1, 1270, 1270), exif(635, 2)],
            (Some((0.02, 0.02, "JFIF density")), &[(PitchStatementsDiffer, Some(2.0))]),
        ),
        (
            vec![make::jfif(1, 300, 300), exif(72, 2)],
            (
                Some((25.4 / 300.0, 25.4 / 300.0, "JFIF density")),
                &[(PitchStatementsDiffer, Some(300.0 / 72.0))],
            ),
        ),
        (
            vec![make::jfif(1, 72, 72), exif(300, 2)],
            (None, &[(PitchStatementsDiffer, Some(300.0 / 72.0)), (PitchNotMeasured, Some(72.0))]),
        ),
    ];
    let plain = make::jpeg((8, 8), ExtendedColorType::L8, &[0; 64]);
    for (row, (segments, expected)) in table.iter().enumerate() {
        let film = read(&make::with_jpeg_segments(&plain, segments));
        check(&film, expected, &format!("row {row}"));
    }
}

#[test]
fn png_states_phys_before_exif() {
    let exif = make::exif(&[(282, Field::Ratio(635, 1)), (283, Field::Ratio(635, 1))]);
    let phys = |count: u32| [count.to_be_bytes().as_slice(), &count.to_be_bytes(), &[1]].concat();
    let plain = make::png_8((1, 1), &[0]);
    let only_exif = make::with_png_chunk(&plain, *b"eXIf", &exif);
    check(&read(&only_exif), &(Some((0.04, 0.04, "EXIF resolution")), &[]), "EXIF alone");
    let both = make::with_png_chunk(&only_exif, *b"pHYs", &phys(50_000));
    let expected: Expected = (Some((0.02, 0.02, "PNG pHYs")), &[(PitchStatementsDiffer, Some(2.0))]);
    check(&read(&both), &expected, "both");
}

#[test]
fn bmp_resolution() {
    let table: [((i32, i32), Expected); 5] = [
        ((50_000, 40_000), (Some((0.02, 0.025, "BMP resolution")), &[])),
        ((2835, 2835), (None, &[(PitchNotMeasured, Some(72.0))])),
        ((3780, 3780), (None, &[(PitchNotMeasured, Some(96.0))])),
        ((0, 0), (None, &[])),
        ((-50_000, 50_000), (None, &[(PitchMalformed, None)])),
    ];
    for (per_metre, expected) in table {
        let film = read(&make::bmp((1, 1), (24, 0), per_metre, &[], &[1, 1, 1, 0]));
        check(&film, &expected, &format!("{per_metre:?}"));
    }
}

#[test]
fn a_tiff_of_several_pages_gives_the_first() {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let mut encoder = tiff::encoder::TiffEncoder::new(&mut bytes).unwrap();
    for first in [1, 11, 21] {
        encoder.write_image::<tiff::encoder::colortype::Gray8>(2, 1, &[first, first + 1]).unwrap();
    }
    let film = read(&bytes.into_inner());
    assert_eq!((film.picture.grey(), film.frames), (&[1, 2][..], 3));
    assert_eq!(kinds(&film), [CautionKind::FirstFrameOnly]);
    assert_eq!(film.cautions[0].value, Some(3.0));
}

#[test]
fn an_animated_png_gives_the_first_picture() {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 2, 1);
    encoder.set_animated(2, 0).unwrap();
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&[1, 2]).unwrap();
    writer.write_image_data(&[3, 4]).unwrap();
    writer.finish().unwrap();
    let film = read(&bytes);
    assert_eq!((film.picture.grey(), film.frames), (&[1, 2][..], 2));
    assert_eq!(kinds(&film), [CautionKind::FirstFrameOnly]);
}
