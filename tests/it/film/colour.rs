//! Colour becomes 0.299 R + 0.587 G + 0.114 B, and equal channels stay what they are.

use super::make::{self, Field};
use super::{kinds, read};
use crestgauge::caution::CautionKind;
use image::ExtendedColorType;
use png::{BitDepth, ColorType};

/// Colours with the grey worked out by hand from the definition.
const COLOURS: [([u8; 3], u16); 8] = [
    ([255, 0, 0], 76),     // 76.245
    ([0, 255, 0], 150),    // 149.685
    ([0, 0, 255], 29),     // 29.07
    ([255, 255, 0], 226),  // 225.93
    ([10, 20, 30], 18),    // 18.15
    ([200, 100, 50], 124), // 124.2
    ([1, 2, 3], 2),        // 1.815
    ([0, 1, 0], 1),        // 0.587
];

fn greys() -> Vec<u16> {
    COLOURS.iter().map(|(_, grey)| *grey).collect()
}

fn samples() -> Vec<u8> {
    COLOURS.iter().flat_map(|(colour, _)| *colour).collect()
}

#[test]
fn eight_bit_colour_is_weighted_in_every_format() {
    let reversed: Vec<u8> =
        COLOURS.iter().flat_map(|([red, green, blue], _)| [*blue, *green, *red]).collect();
    let planes: Vec<u8> =
        (0..3).flat_map(|plane| COLOURS.iter().map(move |(colour, _)| colour[plane])).collect();
    let palette: Vec<[u8; 4]> =
        reversed.as_chunks().0.iter().map(|[blue, green, red]| [*blue, *green, *red, 0]).collect();
    let three_strips = |at: u32| {
        let tags = [
            (284, Field::Short(vec![2])),
            (273, Field::Long(vec![at, at + 8, at + 16])),
            (279, Field::Long(vec![8, 8, 8])),
            (256, Field::Long(vec![8])),
            (257, Field::Long(vec![1])),
            (258, Field::Short(vec![8, 8, 8])),
            (262, Field::Short(vec![2])),
            (277, Field::Short(vec![3])),
        ];
        make::tiff_structure(true, &tags, None, &planes)
    };
    let at = three_strips(0).len() - planes.len();
    let files = [
        make::png((8, 1), ColorType::Rgb, BitDepth::Eight, &samples(), |_| ()),
        make::png((8, 1), ColorType::Indexed, BitDepth::Four, &[0x01, 0x23, 0x45, 0x67], |encoder| {
            encoder.set_palette(samples());
        }),
        make::tiff(true, (8, 1), (8, 3, 2), &[], &samples()),
        three_strips(at.try_into().unwrap()),
        make::bmp((8, 1), (24, 0), (0, 0), &[], &reversed),
        make::bmp((8, 1), (8, 0), (0, 0), &palette, &[0, 1, 2, 3, 4, 5, 6, 7]),
    ];
    for (index, bytes) in files.iter().enumerate() {
        let film = read(bytes);
        assert_eq!((film.picture.grey(), film.picture.bits()), (&greys()[..], 8), "file {index}");
        assert_eq!(kinds(&film), [CautionKind::ColourFilm], "file {index}");
    }
}

#[test]
fn sixteen_bit_colour_is_weighted() {
    // By hand: 0.299 x 65535 = 19594.965; 0.587 x 40000 + 0.114 x 1 = 23480.114.
    let colours: [[u16; 3]; 2] = [[65535, 0, 0], [0, 40000, 1]];
    let big: Vec<u8> = colours.as_flattened().iter().flat_map(|sample| sample.to_be_bytes()).collect();
    for bytes in [
        make::png((2, 1), ColorType::Rgb, BitDepth::Sixteen, &big, |_| ()),
        make::tiff(false, (2, 1), (16, 3, 2), &[], &big),
    ] {
        let film = read(&bytes);
        assert_eq!((film.picture.grey(), film.picture.bits()), (&[19595, 23480][..], 16));
    }
}

#[test]
fn twelve_bit_colour_is_weighted() {
    // One pixel of 4095, 0, 4095 and one of 1, 2, 3: 0.413 x 4095 = 1691.235, and 1.815.
    let packed = [0xff, 0xf0, 0x00, 0xff, 0xf0, 0x01, 0x00, 0x20, 0x03];
    let film = read(&make::tiff(true, (2, 1), (12, 3, 2), &[], &packed));
    assert_eq!((film.picture.grey(), film.picture.bits()), (&[1691, 2][..], 12));
}

#[test]
fn grey_stored_as_colour_keeps_every_level_and_is_not_called_colour() {
    let samples: Vec<u8> = (0..=255).flat_map(|grey| [grey; 3]).collect();
    let expected: Vec<u16> = (0..=255).collect();
    for bytes in [
        make::png((16, 16), ColorType::Rgb, BitDepth::Eight, &samples, |_| ()),
        make::tiff(true, (16, 16), (8, 3, 2), &[], &samples),
        make::bmp((16, -16), (24, 0), (0, 0), &[], &samples),
    ] {
        let film = read(&bytes);
        assert_eq!(film.picture.grey(), expected);
        assert_eq!(film.cautions, []);
    }
    let sixteen: Vec<u8> = (0..=65535_u16).flat_map(|grey| [grey.to_be_bytes(); 3]).flatten().collect();
    let film = read(&make::png((256, 256), ColorType::Rgb, BitDepth::Sixteen, &sixteen, |_| ()));
    assert!(film.picture.grey().iter().copied().eq(0..=65535));
}

#[test]
fn a_tiff_palette_keeps_the_sixteen_bits_of_its_map() {
    let map = [(320, Field::Short(vec![65535, 0, 100, 7, 0, 0, 100, 7, 0, 65535, 100, 7]))];
    let film = read(&make::tiff(true, (4, 1), (2, 1, 3), &map, &[0b0001_1011]));
    // 0.299 x 65535 = 19594.965; 0.114 x 65535 = 7470.99.
    assert_eq!((film.picture.grey(), film.picture.bits()), (&[19595, 7471, 100, 7][..], 16));
}

#[test]
fn transparency_is_ignored_and_said() {
    let grey_alpha = [10, 0, 20, 128, 30, 255, 40, 1];
    let extra = [(338, Field::Short(vec![2]))];
    let rgba = [10, 10, 10, 0, 20, 20, 20, 9, 30, 30, 30, 255, 40, 40, 40, 77];
    let transparent_grey = make::with_png_chunk(&make::png_8((4, 1), &[10, 20, 30, 40]), *b"tRNS", &[0, 20]);
    for (index, bytes) in [
        make::png((4, 1), ColorType::GrayscaleAlpha, BitDepth::Eight, &grey_alpha, |_| ()),
        make::png((4, 1), ColorType::Rgba, BitDepth::Eight, &rgba, |_| ()),
        transparent_grey,
        make::tiff(true, (4, 1), (8, 2, 1), &extra, &grey_alpha),
        make::tiff(true, (4, 1), (8, 4, 2), &extra, &rgba),
    ]
    .iter()
    .enumerate()
    {
        let film = read(bytes);
        assert_eq!(film.picture.grey(), [10, 20, 30, 40], "file {index}");
        assert_eq!(kinds(&film), [CautionKind::TransparencyIgnored], "file {index}");
    }
}

#[test]
fn a_jpeg_keeps_flat_greys_and_says_that_it_is_lossy() {
    let film = read(&make::jpeg((16, 8), ExtendedColorType::L8, &[100; 128]));
    assert_eq!(film.picture.grey(), [100; 128]);
    assert_eq!(kinds(&film), [CautionKind::LossyCompression]);
    // Flat colour, 124.2 by the weights; the file's own transform and its subsampling round each sample once.
    let samples: Vec<u8> = [200, 100, 50].repeat(256);
    let film = read(&make::jpeg((16, 16), ExtendedColorType::Rgb8, &samples));
    assert!(film.picture.grey().iter().all(|grey| (122..=126).contains(grey)), "{:?}", film.picture.at(0, 0));
    assert_eq!(kinds(&film), [CautionKind::ColourFilm, CautionKind::LossyCompression]);
}
