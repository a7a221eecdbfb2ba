//! Small films for tests, by other people's encoders or laid out by hand from the formats' definitions.

use image::ExtendedColorType;
use image::codecs::jpeg::JpegEncoder;
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

/// A PNG of 8-bit grey.
pub(crate) fn png_8(size: (u32, u32), grey: &[u8]) -> Vec<u8> {
    png(size, ColorType::Grayscale, BitDepth::Eight, grey, |_| ())
}

/// The same PNG with one more chunk after its first.
pub(crate) fn with_png_chunk(png: &[u8], kind: [u8; 4], content: &[u8]) -> Vec<u8> {
    const AFTER_IHDR: usize = 8 + 25;
    let mut checked = kind.to_vec();
    checked.extend_from_slice(content);
    let mut bytes = png[..AFTER_IHDR].to_vec();
    bytes.extend(u32::try_from(content.len()).unwrap().to_be_bytes());
    bytes.extend(&checked);
    bytes.extend(crc32(&checked).to_be_bytes());
    bytes.extend_from_slice(&png[AFTER_IHDR..]);
    bytes
}

/// The checksum of PNG (third edition, annex D), bit by bit.
pub(crate) fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(
            sum ^ u32::from(*byte),
            |sum, _| if sum & 1 == 1 { 0xedb8_8320 ^ (sum >> 1) } else { sum >> 1 },
        )
    })
}

/// A value of a TIFF tag.
#[derive(Clone, Debug)]
pub(crate) enum Field {
    Short(Vec<u16>),
    Long(Vec<u32>),
    Ratio(u32, u32),
}

impl Field {
    fn encoded(&self, little: bool) -> (u16, u32, Vec<u8>) {
        let short = |value: &u16| if little { value.to_le_bytes() } else { value.to_be_bytes() };
        let long = |value: &u32| if little { value.to_le_bytes() } else { value.to_be_bytes() };
        match self {
            Self::Short(values) => {
                (3, values.len().try_into().unwrap(), values.iter().flat_map(short).collect())
            }
            Self::Long(values) => {
                (4, values.len().try_into().unwrap(), values.iter().flat_map(long).collect())
            }
            Self::Ratio(over, under) => (5, 1, [over, under].into_iter().flat_map(long).collect()),
        }
    }
}

/// A TIFF structure with one directory, its values, then `data` (TIFF 6.0, section 2); `data_tag` gets the place
/// of the data.
pub(crate) fn tiff_structure(
    little: bool,
    tags: &[(u16, Field)],
    data_tag: Option<u16>,
    data: &[u8],
) -> Vec<u8> {
    let short = |value: u16| if little { value.to_le_bytes() } else { value.to_be_bytes() };
    let long = |value: u32| if little { value.to_le_bytes() } else { value.to_be_bytes() };
    let mut tags = tags.to_vec();
    if let Some(tag) = data_tag {
        tags.push((tag, Field::Long(vec![0])));
    }
    tags.sort_by_key(|(tag, _)| *tag);
    let mut values_at = 8 + 2 + 12 * tags.len() + 4;
    let encoded: Vec<_> = tags.iter().map(|(tag, field)| (*tag, field.encoded(little))).collect();
    let outside: usize =
        encoded.iter().map(|(_, (_, _, value))| if value.len() > 4 { value.len() } else { 0 }).sum();
    let data_at = values_at + outside;
    let mut bytes = if little { b"II*\0".to_vec() } else { b"MM\0*".to_vec() };
    bytes.extend(long(8));
    bytes.extend(short(tags.len().try_into().unwrap()));
    let mut values = Vec::new();
    for (tag, (kind, count, value)) in encoded {
        bytes.extend(short(tag));
        bytes.extend(short(kind));
        bytes.extend(long(count));
        if Some(tag) == data_tag {
            bytes.extend(long(data_at.try_into().unwrap()));
        } else if value.len() > 4 {
            bytes.extend(long(values_at.try_into().unwrap()));
            values_at += value.len();
            values.extend(value);
        } else {
            bytes.extend(&value);
            bytes.extend(vec![0; 4 - value.len()]);
        }
    }
    bytes.extend(long(0));
    bytes.extend(values);
    bytes.extend_from_slice(data);
    bytes
}

/// An uncompressed TIFF of one strip. `tags` are added to, or replace, those a picture needs.
pub(crate) fn tiff(
    little: bool,
    (width, height): (u32, u32),
    (bits, samples, photometric): (u16, u16, u16),
    tags: &[(u16, Field)],
    data: &[u8],
) -> Vec<u8> {
    let mut all = tags.to_vec();
    let needed = [
        (256, Field::Long(vec![width])),
        (257, Field::Long(vec![height])),
        (258, Field::Short(vec![bits; usize::from(samples)])),
        (259, Field::Short(vec![1])),
        (262, Field::Short(vec![photometric])),
        (277, Field::Short(vec![samples])),
        (278, Field::Long(vec![height])),
        (279, Field::Long(vec![data.len().try_into().unwrap()])),
    ];
    for (tag, field) in needed {
        if !tags.iter().any(|(given, _)| *given == tag) {
            all.push((tag, field));
        }
    }
    tiff_structure(little, &all, Some(273), data)
}

/// EXIF data of these tags, without the name that stands before them in a JPEG.
pub(crate) fn exif(tags: &[(u16, Field)]) -> Vec<u8> {
    tiff_structure(false, tags, None, &[])
}

/// A JPEG of grey or RGB bytes at the best quality.
pub(crate) fn jpeg((width, height): (u32, u32), colour: ExtendedColorType, samples: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 100).encode(samples, width, height, colour).unwrap();
    bytes
}

/// The same JPEG with other segments in place of its JFIF header.
pub(crate) fn with_jpeg_segments(jpeg: &[u8], segments: &[(u8, Vec<u8>)]) -> Vec<u8> {
    assert_eq!(jpeg[2..4], [0xff, 0xe0], "the encoder begins with a JFIF header");
    let header_ends = 4 + usize::from(u16::from_be_bytes([jpeg[4], jpeg[5]]));
    let mut bytes = jpeg[..2].to_vec();
    for (marker, content) in segments {
        bytes.extend([0xff, *marker]);
        bytes.extend(u16::try_from(content.len() + 2).unwrap().to_be_bytes());
        bytes.extend(content);
    }
    bytes.extend_from_slice(&jpeg[header_ends..]);
    bytes
}

/// A JFIF header segment.
pub(crate) fn jfif(unit: u8, across: u16, down: u16) -> (u8, Vec<u8>) {
    let mut content = b"JFIF\0\x01\x02".to_vec();
    content.push(unit);
    content.extend(across.to_be_bytes());
    content.extend(down.to_be_bytes());
    content.extend([0, 0]);
    (0xe0, content)
}

/// An EXIF segment.
pub(crate) fn exif_segment(tags: &[(u16, Field)]) -> (u8, Vec<u8>) {
    (0xe1, [b"Exif\0\0".to_vec(), exif(tags)].concat())
}

/// A BMP with a header of 40 bytes. `height` is negative where the rows run top down. Rows come padded.
pub(crate) fn bmp(
    (width, height): (i32, i32),
    (bits, compression): (u16, u32),
    per_metre: (i32, i32),
    palette: &[[u8; 4]],
    data: &[u8],
) -> Vec<u8> {
    let pixels_at = 54 + 4 * palette.len();
    let mut bytes = b"BM".to_vec();
    bytes.extend(u32::try_from(pixels_at + data.len()).unwrap().to_le_bytes());
    bytes.extend([0; 4]);
    bytes.extend(u32::try_from(pixels_at).unwrap().to_le_bytes());
    bytes.extend(40_u32.to_le_bytes());
    bytes.extend(width.to_le_bytes());
    bytes.extend(height.to_le_bytes());
    bytes.extend(1_u16.to_le_bytes());
    bytes.extend(bits.to_le_bytes());
    bytes.extend(compression.to_le_bytes());
    bytes.extend(u32::try_from(data.len()).unwrap().to_le_bytes());
    bytes.extend(per_metre.0.to_le_bytes());
    bytes.extend(per_metre.1.to_le_bytes());
    bytes.extend(u32::try_from(palette.len()).unwrap().to_le_bytes());
    bytes.extend([0; 4]);
    bytes.extend(palette.as_flattened());
    bytes.extend_from_slice(data);
    bytes
}
