//! Small films made by encoders, for tests.

use png::{BitDepth, ColorType, Encoder};

/// A PNG of packed sample bytes, and whatever `with` sets before they are written.
pub(crate) fn png(
    (width, height): (u32, u32),
    colour: ColorType,
    depth: BitDepth,
    samples: &[u8],
    with: impl FnOnce(&mut Encoder<'_, &mut Vec<u8>>),
) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, width, height);
    encoder.set_color(colour);
    encoder.set_depth(depth);
    with(&mut encoder);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(samples).unwrap();
    writer.finish().unwrap();
    bytes
}

/// A PNG of 16-bit grey.
pub(crate) fn png_16(size: (u32, u32), grey: &[u16]) -> Vec<u8> {
    let samples: Vec<u8> = grey.iter().flat_map(|value| value.to_be_bytes()).collect();
    png(size, ColorType::Grayscale, BitDepth::Sixteen, &samples, |_| ())
}
