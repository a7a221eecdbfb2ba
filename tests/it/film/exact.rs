//! Grey values come back exactly as written, at their own depth.

use super::make::{self, Field};
use super::read;
use crestgauge::film::{Format, Polarity};
use image::{ExtendedColorType, ImageEncoder as _};
use png::{BitDepth, ColorType};
use proptest::prelude::*;
use std::io::Cursor;
use tiff::encoder::{TiffEncoder, colortype};

/// Five pixels in two rows at several depths, packed by hand; rows begin on whole bytes in PNG and TIFF alike.
const PACKED: [(u8, &[u8], [u16; 10]); 8] = [
    (1, &[0b1011_0000, 0b0100_1000], [1, 0, 1, 1, 0, 0, 1, 0, 0, 1]),
    (2, &[0b0001_1011, 0b1100_0000, 0b1110_0100, 0], [0, 1, 2, 3, 3, 3, 2, 1, 0, 0]),
    (4, &[0x0f, 0x1e, 0x20, 0xd3, 0xc4, 0xb0], [0, 15, 1, 14, 2, 13, 3, 12, 4, 11]),
    (8, &[0, 255, 1, 254, 2, 253, 3, 252, 4, 251], [0, 255, 1, 254, 2, 253, 3, 252, 4, 251]),
    (
        10,
        // 0000000000 1111111111 0000000001 1000000000 0111111111, then 6 bits of padding.
        &[0x00, 0x3f, 0xf0, 0x06, 0x00, 0x7f, 0xc0, 0x00, 0x3f, 0xf0, 0x06, 0x00, 0x7f, 0xc0],
        [0, 1023, 1, 512, 511, 0, 1023, 1, 512, 511],
    ),
    (
        12,
        &[0x00, 0x0f, 0xff, 0x00, 0x18, 0x00, 0x7f, 0xf0, 0xab, 0xc1, 0x23, 0xff, 0xe0, 0x00, 0x80, 0x00],
        [0, 4095, 1, 2048, 2047, 0xabc, 0x123, 4094, 0, 2048],
    ),
    (
        14,
        // 00000000000000 11111111111111 00000000000001 10000000000000 01111111111111, then 2 bits.
        &[0, 3, 0xff, 0xf0, 0, 0x60, 0, 0x7f, 0xfc, 0, 3, 0xff, 0xf0, 0, 0x60, 0, 0x7f, 0xfc],
        [0, 16383, 1, 8192, 8191, 0, 16383, 1, 8192, 8191],
    ),
    (
        16,
        &[0, 0, 255, 255, 0, 1, 1, 0, 128, 0, 127, 255, 0, 255, 255, 0, 16, 0, 15, 255],
        [0, 65535, 1, 256, 32768, 32767, 255, 65280, 4096, 4095],
    ),
];

#[test]
fn png_of_every_grey_depth_keeps_its_values() {
    for (bits, samples, expected) in PACKED {
        let Some(depth) = BitDepth::from_u8(bits) else { continue };
        let film = read(&make::png((5, 2), ColorType::Grayscale, depth, samples, |_| ()));
        assert_eq!(film.picture.grey(), expected, "{bits} bits");
        assert_eq!((film.picture.bits(), film.format), (bits, Format::Png));
        assert_eq!(film.cautions, []);
    }
}

#[test]
fn tiff_of_every_grey_depth_keeps_its_values_whichever_end_is_white() {
    for (bits, samples, expected) in PACKED {
        for (photometric, polarity) in [(0, Polarity::WhiteIsZero), (1, Polarity::BlackIsZero)] {
            let film = read(&make::tiff(false, (5, 2), (bits.into(), 1, photometric), &[], samples));
            assert_eq!(
                film.picture.grey(),
                expected,
                "{bits} bits, photometric interpretation {photometric}"
            );
            assert_eq!((film.picture.bits(), film.format, film.polarity), (bits, Format::Tiff, polarity));
            assert_eq!(film.cautions, []);
        }
    }
}

#[test]
fn tiff_in_little_endian_order_differs_only_in_whole_words() {
    for (bits, samples, expected) in PACKED {
        let samples: Vec<u8> = match bits {
            16 => samples.as_chunks::<2>().0.iter().flat_map(|[high, low]| [*low, *high]).collect(),
            _ => samples.to_vec(),
        };
        let film = read(&make::tiff(true, (5, 2), (bits.into(), 1, 1), &[], &samples));
        assert_eq!((film.picture.grey(), film.picture.bits()), (&expected[..], bits));
    }
}

#[test]
fn tiles_of_packed_samples_are_put_together() {
    // Two tiles of 16 x 16 side by side, 12 bits: 24 bytes a row, 17 columns in use.
    let row = |first: u16| (first..first + 16).collect::<Vec<u16>>();
    let tile = |first: u16| -> Vec<u8> {
        let twelve = |pair: &[u16]| {
            let [one, two] = [pair[0], pair[1]];
            [one >> 4, (one & 15) << 4 | two >> 8, two & 255].map(|byte| u8::try_from(byte).unwrap())
        };
        (0..16)
            .flat_map(|down| row(first + 100 * down).chunks(2).flat_map(twelve).collect::<Vec<_>>())
            .collect()
    };
    let data = [tile(1000), tile(1016)].concat();
    let structure = |at: u32| {
        let tags = [
            (256, Field::Long(vec![17])),
            (257, Field::Long(vec![2])),
            (258, Field::Short(vec![12])),
            (259, Field::Short(vec![1])),
            (262, Field::Short(vec![1])),
            (277, Field::Short(vec![1])),
            (322, Field::Short(vec![16])),
            (323, Field::Short(vec![16])),
            (324, Field::Long(vec![at, at + 384])),
            (325, Field::Long(vec![384, 384])),
        ];
        make::tiff_structure(true, &tags, None, &data)
    };
    let at = structure(0).len() - data.len();
    let film = read(&structure(at.try_into().unwrap()));
    let expected: Vec<u16> = (1000..1017).chain(1100..1117).collect();
    assert_eq!((film.picture.grey(), film.picture.bits()), (&expected[..], 12));
}

#[test]
fn signed_samples_are_offset_by_half_their_range() {
    let signed = [(339, Field::Short(vec![2]))];
    let data: Vec<u8> = [-32768_i16, -1, 0, 32767].into_iter().flat_map(i16::to_be_bytes).collect();
    let film = read(&make::tiff(false, (4, 1), (16, 1, 1), &signed, &data));
    assert_eq!(film.picture.grey(), [0, 32767, 32768, 65535]);
    let film = read(&make::tiff(false, (4, 1), (8, 1, 1), &signed, &[0x80, 0xff, 0, 0x7f]));
    assert_eq!(film.picture.grey(), [0, 127, 128, 255]);
}

#[test]
fn a_png_whose_values_fit_its_significant_bits_has_that_depth() {
    for (values, bits) in [([0, 4095, 7, 2048], 12), ([0, 4095, 7, 4096], 16)] {
        let film = read(&make::with_png_chunk(&make::png_16((2, 2), &values), *b"sBIT", &[12]));
        assert_eq!((film.picture.grey(), film.picture.bits()), (&values[..], bits));
    }
}

#[test]
fn gamma_and_profiles_change_nothing() {
    let plain = make::png_16((2, 2), &[0, 1, 30000, 65535]);
    let gamma = make::with_png_chunk(&plain, *b"gAMA", &100_000_u32.to_be_bytes());
    // A profile whose compressed part is no profile at all: it is not even looked at.
    let profile = make::with_png_chunk(&plain, *b"iCCP", b"a profile\0\0nothing");
    for bytes in [gamma, profile] {
        assert_eq!(read(&bytes).picture.grey(), [0, 1, 30000, 65535]);
    }
}

#[test]
fn bmp_rows_run_either_way() {
    let palette: Vec<[u8; 4]> = (0..=255).map(|grey| [grey, grey, grey, 0]).collect();
    let film = read(&make::bmp((3, 2), (8, 0), (0, 0), &palette, &[4, 5, 6, 0, 1, 2, 3, 0]));
    assert_eq!(film.picture.grey(), [1, 2, 3, 4, 5, 6]);
    assert_eq!((film.picture.bits(), film.format), (8, Format::Bmp));
    let film = read(&make::bmp((3, -2), (8, 0), (0, 0), &palette, &[1, 2, 3, 0, 4, 5, 6, 0]));
    assert_eq!(film.picture.grey(), [1, 2, 3, 4, 5, 6]);
    assert_eq!(film.cautions, []);
}

#[test]
fn bmp_of_few_bits_looks_up_its_palette() {
    let palette: Vec<[u8; 4]> = (0..16).map(|index| [index * 3, index * 3, index * 3, 0]).collect();
    let film = read(&make::bmp((5, 1), (4, 0), (0, 0), &palette, &[0x0f, 0x1e, 0x20, 0]));
    assert_eq!(film.picture.grey(), [0, 45, 3, 42, 6]);
    let film = read(&make::bmp(
        (5, 1),
        (1, 0),
        (0, 0),
        &[[9, 9, 9, 0], [200, 200, 200, 0]],
        &[0b1011_0000, 0, 0, 0],
    ));
    assert_eq!(film.picture.grey(), [200, 9, 200, 200, 9]);
}

fn cycled<T: Copy>(seed: &[T], (width, height): (u32, u32)) -> Vec<T> {
    seed.iter().copied().cycle().take((width * height) as usize).collect()
}

proptest! {
    #[test]
    fn random_16_bit_grey_comes_back(
        size in (1_u32..40, 1_u32..40), seed in proptest::collection::vec(any::<u16>(), 1..64)
    ) {
        let grey = cycled(&seed, size);
        let bytes: Vec<u8> = grey.iter().flat_map(|value| value.to_ne_bytes()).collect();
        let mut by_image = Vec::new();
        image::codecs::png::PngEncoder::new(&mut by_image)
            .write_image(&bytes, size.0, size.1, ExtendedColorType::L16)
            .unwrap();
        let mut by_tiff = Cursor::new(Vec::new());
        TiffEncoder::new(&mut by_tiff)
            .unwrap()
            .write_image::<colortype::Gray16>(size.0, size.1, &grey)
            .unwrap();
        for file in [make::png_16(size, &grey), by_image, by_tiff.into_inner()] {
            let film = read(&file);
            prop_assert_eq!(film.picture.grey(), &grey[..]);
            prop_assert_eq!((film.picture.width(), film.picture.height(), film.picture.bits()), (size.0, size.1, 16));
        }
    }

    #[test]
    fn random_8_bit_grey_comes_back(
        size in (1_u32..40, 1_u32..40), seed in proptest::collection::vec(any::<u8>(), 1..64)
    ) {
        let grey = cycled(&seed, size);
        let expected: Vec<u16> = grey.iter().map(|value| u16::from(*value)).collect();
        let mut by_image = Vec::new();
        image::codecs::bmp::BmpEncoder::new(&mut by_image)
            .encode(&grey, size.0, size.1, ExtendedColorType::L8)
            .unwrap();
        let mut by_tiff = Cursor::new(Vec::new());
        TiffEncoder::new(&mut by_tiff)
            .unwrap()
            .with_compression(tiff::encoder::Compression::Packbits)
            .write_image::<colortype::Gray8>(size.0, size.1, &grey)
            .unwrap();
        for file in [make::png_8(size, &grey), by_image, by_tiff.into_inner()] {
            let film = read(&file);
            prop_assert_eq!(film.picture.grey(), &expected[..]);
            prop_assert_eq!((film.picture.width(), film.picture.height(), film.picture.bits()), (size.0, size.1, 8));
        }
    }
}
