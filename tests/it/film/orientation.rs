//! All eight orientations against grids turned by hand.

use super::make::{self, Field};
use super::read;
use crestgauge::film::{self, Bounds, Header};
use image::ExtendedColorType;

/// The stored grid 1 2 3 / 4 5 6, as each EXIF orientation means it to be seen.
const UPRIGHT: [(u16, (u32, u32), [u16; 6]); 8] = [
    (1, (3, 2), [1, 2, 3, 4, 5, 6]),
    (2, (3, 2), [3, 2, 1, 6, 5, 4]),
    (3, (3, 2), [6, 5, 4, 3, 2, 1]),
    (4, (3, 2), [4, 5, 6, 1, 2, 3]),
    (5, (2, 3), [1, 4, 2, 5, 3, 6]),
    (6, (2, 3), [4, 1, 5, 2, 6, 3]),
    (7, (2, 3), [6, 3, 5, 2, 4, 1]),
    (8, (2, 3), [3, 6, 2, 5, 1, 4]),
];

/// SHA-256 of the twelve bytes 01 00 02 00 03 00 04 00 05 00 06 00, by `sha256sum` of GNU coreutils.
const GREY_SHA256: &str = "b1cd5bf03b9488553472b7264c8d53326d8d6b2aa42ab53e2d0f27387db492d5";

fn tag(orientation: u16) -> (u16, Field) {
    (274, Field::Short(vec![orientation]))
}

#[test]
fn pixels_and_size_are_turned_and_the_grey_digest_is_not() {
    for (orientation, (width, height), expected) in UPRIGHT {
        let stored = make::png_8((3, 2), &[1, 2, 3, 4, 5, 6]);
        let exif = make::exif(&[tag(orientation)]);
        let mut late = stored[..stored.len() - 12].to_vec();
        // The same chunk after the picture data, before IEND, where the standard allows it too.
        late.extend(&make::with_png_chunk(&stored, *b"eXIf", &exif)[33..33 + 12 + exif.len()]);
        late.extend_from_slice(&stored[stored.len() - 12..]);
        for bytes in [
            make::with_png_chunk(&stored, *b"eXIf", &exif),
            late,
            make::tiff(true, (3, 2), (8, 1, 1), &[tag(orientation)], &[1, 2, 3, 4, 5, 6]),
        ] {
            let film = read(&bytes);
            assert_eq!(film.picture.grey(), expected, "orientation {orientation}, {}", film.format);
            assert_eq!((film.picture.width(), film.picture.height()), (width, height));
            assert_eq!(u16::from(film.orientation.exif()), orientation);
            assert_eq!(film.grey_sha256.to_string(), GREY_SHA256);
            let header = film::header_of_bytes(&bytes, &Bounds::default()).unwrap();
            assert_eq!(header, Header { format: film.format, width, height });
        }
    }
}

#[test]
fn a_jpeg_is_turned_by_its_exif_data() {
    // Six flat blocks of 8 x 8, twenty levels apart, so that the loss of the coding cannot mix them up.
    let mut samples = Vec::new();
    for row in 0..16 {
        for column in 0..24 {
            samples.push(20 * (1 + column / 8 + 3 * (row / 8)));
        }
    }
    let plain = make::jpeg((24, 16), ExtendedColorType::L8, &samples);
    for (orientation, (width, height), expected) in UPRIGHT {
        let bytes = make::with_jpeg_segments(&plain, &[make::exif_segment(&[tag(orientation)])]);
        let film = read(&bytes);
        assert_eq!((film.picture.width(), film.picture.height()), (8 * width, 8 * height));
        let seen: Vec<u16> = (0..height)
            .flat_map(|row| (0..width).map(move |column| (8 * column + 4, 8 * row + 4)))
            .map(|(x, y)| (film.picture.at(x, y).unwrap() + 10) / 20)
            .collect();
        assert_eq!(seen, expected, "orientation {orientation}");
        let header = film::header_of_bytes(&bytes, &Bounds::default()).unwrap();
        assert_eq!((header.width, header.height), (8 * width, 8 * height));
    }
}

#[test]
fn a_quarter_turn_exchanges_the_pitch() {
    for (orientation, (width, _), _) in UPRIGHT {
        let tags = [
            tag(orientation),
            (282, Field::Ratio(500, 1)),
            (283, Field::Ratio(400, 1)),
            (296, Field::Short(vec![3])),
        ];
        let film = read(&make::tiff(true, (3, 2), (8, 1, 1), &tags, &[1, 2, 3, 4, 5, 6]));
        let pitch = film.pitch.unwrap();
        let expected = if width == 3 { (0.02, 0.025) } else { (0.025, 0.02) };
        assert_eq!((pitch.across.get(), pitch.down.get()), expected, "orientation {orientation}");
    }
}

#[test]
fn an_impossible_orientation_says_nothing() {
    for orientation in [0, 9, 65535] {
        let film = read(&make::tiff(true, (3, 2), (8, 1, 1), &[tag(orientation)], &[1, 2, 3, 4, 5, 6]));
        assert_eq!(film.picture.grey(), [1, 2, 3, 4, 5, 6]);
    }
}
