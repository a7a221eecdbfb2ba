//! Grey values come back exactly as written, at their own depth.

use super::make;
use crestgauge::film::{self, Bounds, Film, Format};
use png::{BitDepth, ColorType};
use proptest::prelude::*;

pub(crate) fn read(bytes: &[u8]) -> Film {
    film::read_bytes(bytes, &Bounds::default()).unwrap()
}

#[test]
fn png_of_every_grey_depth_keeps_its_values() {
    // Five pixels in two rows, packed by hand; PNG rows begin on whole bytes.
    let depths: [(BitDepth, u8, &[u8], [u16; 10]); 5] = [
        (BitDepth::One, 1, &[0b1011_0000, 0b0100_1000], [1, 0, 1, 1, 0, 0, 1, 0, 0, 1]),
        (BitDepth::Two, 2, &[0b0001_1011, 0b1100_0000, 0b1110_0100, 0], [0, 1, 2, 3, 3, 3, 2, 1, 0, 0]),
        (BitDepth::Four, 4, &[0x0f, 0x1e, 0x20, 0xd3, 0xc4, 0xb0], [0, 15, 1, 14, 2, 13, 3, 12, 4, 11]),
        (
            BitDepth::Eight,
            8,
            &[0, 255, 1, 254, 2, 253, 3, 252, 4, 251],
            [0, 255, 1, 254, 2, 253, 3, 252, 4, 251],
        ),
        (
            BitDepth::Sixteen,
            16,
            &[0, 0, 255, 255, 0, 1, 1, 0, 128, 0, 127, 255, 0, 255, 255, 0, 16, 0, 15, 255],
            [0, 65535, 1, 256, 32768, 32767, 255, 65280, 4096, 4095],
        ),
    ];
    for (depth, bits, samples, expected) in depths {
        let film = read(&make::png((5, 2), ColorType::Grayscale, depth, samples, |_| ()));
        assert_eq!(film.picture.grey(), expected, "{bits} bits");
        assert_eq!((film.picture.bits(), film.format), (bits, Format::Png));
        assert_eq!(film.cautions, []);
    }
}

proptest! {
    #[test]
    fn random_16_bit_grey_comes_back_from_png(
        width in 1_u32..40, height in 1_u32..40, seed in proptest::collection::vec(any::<u16>(), 1..64)
    ) {
        let grey: Vec<u16> = seed.iter().copied().cycle().take((width * height) as usize).collect();
        let film = read(&make::png_16((width, height), &grey));
        prop_assert_eq!(film.picture.grey(), &grey[..]);
        prop_assert_eq!((film.picture.width(), film.picture.height(), film.picture.bits()), (width, height, 16));
    }
}
