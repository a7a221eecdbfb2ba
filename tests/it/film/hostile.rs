//! Truncated, lying, empty and foreign files: one clear error each, no panic, no great allocation.

use super::make::{self, Field};
use crestgauge::film::{self, Bounds, FilmError};
use image::ExtendedColorType;
use png::{BitDepth, ColorType};
use proptest::prelude::*;

fn message(bytes: &[u8], bounds: &Bounds) -> String {
    film::read_bytes(bytes, bounds).map_or_else(|error| error.to_string(), |film| format!("{film:?}"))
}

/// One small file of each format and, where it matters, of each way of coding.
fn samples() -> Vec<(&'static str, Vec<u8>)> {
    let grey: Vec<u8> = (0..64).collect();
    let exif = make::exif_segment(&[(274, Field::Short(vec![6])), (282, Field::Ratio(300, 1))]);
    let palette: Vec<[u8; 4]> = (0..=255).map(|grey| [grey, grey, grey, 0]).collect();
    let runs = [8, 1, 0, 0, 8, 2, 0, 0, 0, 3, 1, 2, 3, 0, 5, 9, 0, 1];
    vec![
        ("PNG", make::png_8((8, 8), &grey)),
        ("PNG, 16 bits", make::png_16((8, 4), &[0x1234; 32])),
        (
            "PNG, palette",
            make::png((8, 8), ColorType::Indexed, BitDepth::Eight, &grey, |encoder| {
                encoder.set_palette([1, 2, 3].repeat(64));
            }),
        ),
        ("TIFF", make::tiff(true, (8, 8), (8, 1, 1), &[(282, Field::Ratio(300, 1))], &grey)),
        ("TIFF, 12 bits", make::tiff(false, (8, 5), (12, 1, 0), &[], &grey[..60])),
        ("JPEG", make::jpeg((8, 8), ExtendedColorType::L8, &grey)),
        ("JPEG, EXIF", make::with_jpeg_segments(&make::jpeg((8, 8), ExtendedColorType::L8, &grey), &[exif])),
        ("BMP", make::bmp((8, 8), (8, 0), (0, 0), &palette, &grey)),
        ("BMP, 24 bits", make::bmp((5, 4), (24, 0), (0, 0), &[], &grey)),
        ("BMP, runs", make::bmp((8, 3), (8, 1), (0, 0), &palette, &runs)),
    ]
}

#[test]
fn every_truncation_is_an_error_of_one_line() {
    for (name, bytes) in samples() {
        assert!(film::read_bytes(&bytes, &Bounds::default()).is_ok(), "{name} is whole");
        for length in 0..bytes.len() {
            let error = film::read_bytes(&bytes[..length], &Bounds::default());
            let Err(error) = error else {
                // Two bytes that say where a bitmap of runs ends; every pixel before them is there.
                assert!(name == "BMP, runs" && length >= bytes.len() - 2, "{name} cut to {length} was read");
                continue;
            };
            assert!(!error.to_string().contains('\n'), "{name} cut to {length}: {error}");
        }
    }
}

#[test]
fn what_is_cut_in_its_picture_is_called_cut() {
    for (name, bytes) in samples() {
        let cut = &bytes[..bytes.len() - 3];
        let error = film::read_bytes(cut, &Bounds::default()).unwrap_err();
        assert!(matches!(error, FilmError::Truncated(_)), "{name}: {error}");
    }
}

#[test]
fn a_header_that_lies_is_refused_before_memory_is_taken() {
    let png = |width: u32, height: u32| {
        let mut bytes = make::png_8((8, 8), &[0; 64]);
        bytes[16..20].copy_from_slice(&width.to_be_bytes());
        bytes[20..24].copy_from_slice(&height.to_be_bytes());
        let checked = make::crc32(&bytes[12..29]).to_be_bytes();
        bytes[29..33].copy_from_slice(&checked);
        bytes
    };
    let bounds = Bounds::default();
    assert_eq!(
        message(&png(2_000_000_000, 2_000_000_000), &bounds),
        "says it is 2000000000 x 2000000000 pixels, more than the 200000000 allowed: raise --max-pixels if you trust the file"
    );
    let short = "ends before its PNG picture does: copy it again from where it came";
    assert_eq!(message(&png(14_000, 14_000), &bounds), short);
    // Even with bounds that allow anything the file is too short for it.
    let none = Bounds { max_pixels: u64::MAX, max_bytes: u64::MAX };
    assert_eq!(message(&png(1 << 20, 1 << 20), &none), short);
    let tiff = make::tiff(true, (60_000, 60_000), (16, 3, 2), &[], &[0; 64]);
    assert_eq!(
        message(&tiff, &bounds),
        "says it is 60000 x 60000 pixels, more than the 200000000 allowed: raise --max-pixels if you trust the file"
    );
    let mut jpeg = make::jpeg((8, 8), ExtendedColorType::L8, &[0; 64]);
    let frame = jpeg.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
    jpeg[frame + 5..frame + 9].copy_from_slice(&[0x30, 0, 0x30, 0]);
    assert_eq!(
        message(&jpeg, &bounds),
        "ends before its JPEG picture does: copy it again from where it came"
    );
    let bmp = make::bmp((10_000, 10_000), (24, 0), (0, 0), &[], &[0; 64]);
    assert_eq!(message(&bmp, &bounds), "ends before its BMP picture does: copy it again from where it came");
}

/// Decoders fill what is missing with grey; the end marker alone does not tell.
#[test]
fn a_jpeg_with_some_of_its_coded_data_missing_is_an_error() {
    let samples: Vec<u8> = (0..64 * 64_u32).map(|index| (index * index % 251).try_into().unwrap()).collect();
    let grey = make::jpeg((64, 64), ExtendedColorType::L8, &samples);
    let progressive = include_bytes!("../../data/films/made-progressive.jpg").to_vec();
    for whole in [grey, progressive] {
        let (coded, end) = whole.split_at(whole.len() - 2);
        let picture = film::read_picture(&whole, &Bounds::default()).unwrap();
        let columns = picture.width() as usize;
        // The last byte may hold nothing but bits of padding.
        for missing in 2..300 {
            let cut = [&coded[..coded.len() - missing], end].concat();
            match film::read_picture(&cut, &Bounds::default()) {
                Err(error) => {
                    assert!(matches!(error, FilmError::Damaged { .. }), "{missing} missing: {error}");
                }
                // Some of the last block can be missing unnoticed, and nothing else.
                Ok(read) => {
                    let differs: Vec<usize> = (0..read.grey().len())
                        .filter(|place| read.grey()[*place] != picture.grey()[*place])
                        .collect();
                    let in_last_block = |place: &usize| {
                        place % columns >= (columns - 1) / 8 * 8
                            && place / columns >= (picture.height() as usize - 1) / 8 * 8
                    };
                    assert!(differs.iter().all(in_last_block), "{missing} missing");
                }
            }
        }
    }
}

#[test]
fn bounds_can_be_set() {
    let bytes = make::png_16((20, 10), &[1; 200]);
    let pixels = Bounds { max_pixels: 199, ..Bounds::default() };
    assert_eq!(
        message(&bytes, &pixels),
        "says it is 20 x 10 pixels, more than the 199 allowed: raise --max-pixels if you trust the file"
    );
    let length = bytes.len() as u64;
    let file = Bounds { max_bytes: length - 1, ..Bounds::default() };
    assert_eq!(
        message(&bytes, &file),
        format!(
            "has {length} bytes, more than the {} allowed: raise --max-bytes if you trust the file",
            length - 1
        )
    );
    let decoded = Bounds { max_bytes: 399, ..Bounds::default() };
    assert_eq!(
        message(&bytes, &decoded),
        "needs 400 bytes decoded, more than the 399 allowed: raise --max-bytes if you trust the file"
    );
    let enough = Bounds { max_pixels: 200, max_bytes: 400 };
    assert!(film::read_bytes(&bytes, &enough).is_ok());
}

#[test]
fn other_files_are_named() {
    let dicom = [[0; 128].as_slice(), b"DICM", &[2, 0]].concat();
    let table: [(&[u8], &str); 15] = [
        (b"", "is empty: copy it again from where it came"),
        (&dicom, "ends before its DICOM picture does: copy it again from where it came"),
        (b"%PDF-1.7\n", "is a PDF document, not a picture: export the radiograph in it as PNG or TIFF"),
        (b"{\\rtf1\\ansi}", "is an RTF document, not a picture: export the radiograph in it as PNG or TIFF"),
        (b"GIF89a\x01\0", "is a GIF picture, which is not read: save it as PNG"),
        (b"RIFF\x10\0\0\0WEBPVP8 ", "is a WebP picture, which is not read: save it as PNG"),
        (b"\0\0\0\x18ftypheic", "is an HEIF or AVIF picture, which is not read: save it as PNG or TIFF"),
        (b"\0\0\0\x18ftypavif", "is an HEIF or AVIF picture, which is not read: save it as PNG or TIFF"),
        (
            b"\0\0\0\x0cjP  \r\n\x87\n",
            "is a JPEG 2000, JPEG XL or JPEG-LS picture, which is not read: save it as PNG or TIFF",
        ),
        (
            b"PK\x03\x04",
            "is a ZIP archive or an office document, not a picture: unpack it and name the picture",
        ),
        (b"  {\"format\": 1}", "is JSON text, not a picture: if it is a case, use `crestgauge measure`"),
        (b"Dear colleague", "is text, not a picture: name the film itself"),
        ("Wurzelf\u{fc}llung".as_bytes(), "is text, not a picture: name the film itself"),
        (&[0, 1, 2, 3], "is no picture in a format known here: export it as PNG, TIFF, JPEG or BMP"),
        (b"\x89PNG\r\n\x1a\n", "ends before its PNG picture does: copy it again from where it came"),
    ];
    for (bytes, expected) in table {
        assert_eq!(message(bytes, &Bounds::default()), expected);
    }
}

#[test]
fn kinds_that_cannot_be_read_exactly_are_named() {
    let save = "save it as grey or RGB TIFF of 8 or 16 bits, or as PNG";
    let format = |kind: u16| vec![(339, Field::Short(vec![kind]))];
    let mut cmyk = make::jpeg((8, 8), ExtendedColorType::L8, &[0; 64]);
    let frame = cmyk.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
    cmyk[frame + 9] = 4;
    let mut lossless = make::jpeg((8, 8), ExtendedColorType::L8, &[0; 64]);
    lossless[frame + 1] = 0xc3;
    let mut twelve = make::jpeg((8, 8), ExtendedColorType::L8, &[0; 64]);
    twelve[frame + 4] = 12;
    let jpeg = "save it as 8-bit JPEG in grey or RGB, or better as PNG";
    let tiff_line = |what: &str| format!("is a TIFF of a kind that cannot be read exactly ({what}): {save}");
    let jpeg_line = |what: &str| format!("is a JPEG of a kind that cannot be read exactly ({what}): {jpeg}");
    let table = [
        (
            make::tiff(true, (1, 1), (32, 1, 1), &format(3), &[0; 4]),
            tiff_line("floating point samples of 32 bits"),
        ),
        (make::tiff(true, (1, 1), (32, 1, 1), &[], &[0; 4]), tiff_line("32 bits a sample")),
        (make::tiff(true, (1, 1), (8, 4, 5), &[], &[0; 4]), tiff_line("four inks, CMYK")),
        (make::tiff(true, (1, 1), (8, 3, 8), &[], &[0; 3]), tiff_line("L*a*b* colour")),
        (
            make::tiff(true, (1, 1), (8, 3, 6), &[], &[0; 3]),
            tiff_line("YCbCr colour without JPEG compression"),
        ),
        (
            make::tiff(true, (1, 1), (8, 1, 1), &[(266, Field::Short(vec![2]))], &[0]),
            tiff_line("bits in reversed order, FillOrder 2"),
        ),
        (cmyk, jpeg_line("four inks, CMYK")),
        (lossless, jpeg_line("lossless")),
        (twelve, jpeg_line("12 bits")),
    ];
    for (bytes, expected) in table {
        assert_eq!(message(&bytes, &Bounds::default()), expected);
    }
}

#[test]
fn directories_and_missing_files_are_named() {
    let directory = tempfile::tempdir().unwrap();
    let error = film::read(directory.path(), &Bounds::default()).unwrap_err();
    assert_eq!(error.to_string(), "is a directory, not a picture: name a file inside it");
    let error = film::read(&directory.path().join("none.png"), &Bounds::default()).unwrap_err();
    assert!(matches!(error, FilmError::Unreadable(_)));
    assert!(error.to_string().starts_with("cannot be read ("), "{error}");
}

#[test]
fn the_ending_of_the_name_decides_nothing_and_the_file_stays_as_it_is() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("film.jpg");
    let bytes = make::png_8((2, 1), &[3, 4]);
    std::fs::write(&path, &bytes).unwrap();
    let film = film::read(&path, &Bounds::default()).unwrap();
    assert_eq!((film.format, film.picture.grey()), (film::Format::Png, &[3, 4][..]));
    assert_eq!(film.sha256, film::content_hash(&path).unwrap());
    assert_eq!(film::describe(&path, &Bounds::default()).unwrap(), film.description());
    assert_eq!(film::header(&path, &Bounds::default()).unwrap().width, 2);
    assert_eq!(std::fs::read(&path).unwrap(), bytes);
}

/// FIPS 180-4's own example: the digest of the three letters abc.
#[test]
fn the_content_digest_is_sha_256() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("abc");
    std::fs::write(&path, b"abc").unwrap();
    assert_eq!(
        film::content_hash(&path).unwrap().to_string(),
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
}

const BEGINNINGS: [&[u8]; 7] = [
    b"",
    b"\x89PNG\r\n\x1a\n",
    b"\xff\xd8\xff",
    b"II*\0\x08\0\0\0",
    b"MM\0*\0\0\0\x08",
    b"BM",
    b"II+\0\x08\0\0\0",
];

/// Bounds under which a film that random bytes happen to announce stays small.
const SMALL: Bounds = Bounds { max_pixels: 1 << 16, max_bytes: 1 << 20 };

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn random_bytes_never_panic(
        beginning in proptest::sample::select(&BEGINNINGS[..]), rest in proptest::collection::vec(any::<u8>(), 0..300)
    ) {
        let bytes = [beginning, &rest].concat();
        if let Err(error) = film::read_bytes(&bytes, &SMALL) {
            prop_assert!(!error.to_string().contains('\n'));
            prop_assert!(!error.to_string().contains("gave up"), "a decoder panicked: {}", error);
        }
        let _ = film::header_of_bytes(&bytes, &SMALL);
    }

    #[test]
    fn a_film_with_bytes_changed_never_panics(
        which in any::<proptest::sample::Index>(),
        changes in proptest::collection::vec((any::<proptest::sample::Index>(), any::<u8>()), 1..6)
    ) {
        let samples = samples();
        let mut bytes = which.get(&samples).1.clone();
        for (place, value) in changes {
            let place = place.index(bytes.len());
            bytes[place] = value;
        }
        if let Err(error) = film::read_bytes(&bytes, &SMALL) {
            prop_assert!(!error.to_string().contains('\n'));
        }
        let _ = film::header_of_bytes(&bytes, &SMALL);
    }
}
