//! Files that lie: one line each, exit 1, and no memory taken for what is not there.

use super::make::{
    EXPLICIT, PIXELS, RLE, Set, element, encapsulated, file, header, sequence, short, text, wrapped,
};
use crate::command_line::run;
use crate::support::data;
use crestgauge::film::{self, Bounds, FilmError};
use proptest::prelude::*;

fn line(bytes: &[u8]) -> String {
    film::read_bytes(bytes, &Bounds::default()).unwrap_err().to_string()
}

fn nested(count: usize, stated: bool) -> Vec<u8> {
    let mut inner = Vec::new();
    for _ in 0..count {
        inner = if stated {
            sequence((0x40, 0xa730), &[inner])
        } else {
            let item = [&header_of_item()[..], &inner, &wrapped(0xe00d, &[])].concat();
            header((0x40, 0xa730), "SQ", u32::MAX, &[item, wrapped(0xe0dd, &[])].concat())
        };
    }
    inner
}

/// An item of undefined length.
fn header_of_item() -> [u8; 8] {
    [0xfe, 0xff, 0x00, 0xe0, 0xff, 0xff, 0xff, 0xff]
}

#[test]
#[expect(clippy::too_many_lines, reason = "one table")]
fn bad_files_are_one_line_and_exit_1() {
    let film = Set::two_pixels;
    let again = "copy it again from where it came, or save it anew as PNG";
    let damaged = |what: &str| format!("is a damaged DICOM ({what}): {again}");
    let kind = |what: &str| {
        format!(
            "is a DICOM of a kind that cannot be read exactly ({what}): export it without compression, or as 16-bit PNG or TIFF"
        )
    };
    let no_pixels =
        "is a DICOM object without pixel data, so no film: name the file with the radiograph in it";
    let truncated = "ends before its DICOM picture does: copy it again from where it came";
    let long = |length: u32| {
        file(EXPLICIT, "1.2.3", &film().with(PIXELS, header(PIXELS, "OW", length, &[0; 4])).bytes())
    };
    let deep = damaged("its sequences are nested more than 64 deep");
    let table = [
        ("no pixel data", film().without(PIXELS).file(), no_pixels.to_owned()),
        (
            "an unsupported syntax",
            file("1.2.840.10008.1.2.4.80", "1.2.3", &film().bytes()),
            kind("transfer syntax JPEG-LS Lossless Image Compression"),
        ),
        (
            "a video",
            file("1.2.840.10008.1.2.4.100", "1.2.3", &film().bytes()),
            kind("transfer syntax MPEG2 Main Profile / Main Level"),
        ),
        (
            "an unknown syntax",
            file("1.2.3.4", "1.2.3", &film().bytes()),
            kind("a private or unknown transfer syntax"),
        ),
        ("a length beyond the file", long(0xffff_fff0), truncated.to_owned()),
        ("a length a little beyond the file", long(6), truncated.to_owned()),
        (
            "a length beyond its item",
            film()
                .with((0x40, 0x275), sequence((0x40, 0x275), &[header((8, 0x100), "SH", 900, b"x ")]))
                .file(),
            // 90 bytes of elements of group 0028, then 12, 8 and 8 of headers.
            damaged("a length at byte 118 runs out of its sequence"),
        ),
        (
            "rows and columns beyond the data",
            film().short((0x28, 0x10), 65535).short((0x28, 0x11), 2000).file(),
            damaged("2000 x 65535 pixels need 262140000 bytes and its pixel data have 4"),
        ),
        (
            "more pixels than allowed",
            film().short((0x28, 0x10), 65535).short((0x28, 0x11), 65535).file(),
            "says it is 65535 x 65535 pixels, more than the 200000000 allowed: raise --max-pixels if you trust the file"
                .to_owned(),
        ),
        ("no rows", film().short((0x28, 0x10), 0).file(), damaged("it says it is 2 x 0 pixels")),
        ("0 bits", film().short((0x28, 0x100), 0).file(), kind("Bits Allocated 0, neither 8 nor 16")),
        ("7 bits", film().short((0x28, 0x100), 7).file(), kind("Bits Allocated 7, neither 8 nor 16")),
        ("64 bits", film().short((0x28, 0x100), 64).file(), kind("Bits Allocated 64, neither 8 nor 16")),
        (
            "bits beyond the cell",
            film().short((0x28, 0x102), 16).file(),
            damaged("12 bits stored up to bit 16 do not fit into 16 bits allocated"),
        ),
        (
            "bits below the cell",
            film().short((0x28, 0x102), 4).file(),
            damaged("12 bits stored up to bit 4 do not fit into 16 bits allocated"),
        ),
        (
            "no bits stored",
            film().short((0x28, 0x101), 0).file(),
            damaged("0 bits stored up to bit 11 do not fit into 16 bits allocated"),
        ),
        ("2000 sequences", film().with((0x40, 0xa730), nested(2000, false)).file(), deep.clone()),
        ("2000 sequences of stated length", film().with((0x40, 0xa730), nested(2000, true)).file(), deep),
        (
            "a directory",
            file(EXPLICIT, "1.2.840.10008.1.3.10", &film().bytes()),
            "is a DICOMDIR, which lists films and holds none: name one of the films it lists".to_owned(),
        ),
        (
            "a report",
            file(EXPLICIT, "1.2.840.10008.5.1.4.1.1.88.33", &film().bytes()),
            "is a DICOM structured report, which holds findings and no film: name the film it is about".to_owned(),
        ),
        (
            "no DICOM but in name",
            b"Only its name ends so".to_vec(),
            "is text, not a picture: name the film itself".to_owned(),
        ),
        (
            "bytes of no kind",
            vec![1, 2, 3, 0xff, 0xfe, 0],
            "is no picture in a format known here: export it as PNG, TIFF, JPEG or BMP".to_owned(),
        ),
        (
            "samples that are too many",
            film().short((0x28, 2), 4).file(),
            damaged("its pixels have 4 samples where their kind has 1"),
        ),
        (
            "fragments without compression",
            encapsulated(EXPLICIT, film(), &[0; 4]),
            damaged("its pixel data are in fragments, which its transfer syntax has not"),
        ),
        (
            "compression without fragments",
            file(RLE, "1.2.3", &film().bytes()),
            damaged("its pixel data are in one piece, which its transfer syntax has not"),
        ),
    ];
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("film.dcm");
    for (name, bytes, expected) in table {
        assert_eq!(line(&bytes), expected, "{name}");
        std::fs::write(&path, &bytes).unwrap();
        let ran = run(["inspect", path.to_str().unwrap()]);
        assert_eq!((ran.exit, ran.out.as_str()), (1, ""), "{name}");
        assert_eq!(ran.err, format!("{}: {expected}\n", path.display()), "{name}");
    }
}

/// 1 kB of zeros deflated stands for a megabyte.
#[test]
fn a_deflated_data_set_is_inflated_within_the_bounds() {
    use std::io::Write as _;
    let mut encoder = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::best());
    encoder.write_all(&Set::two_pixels().bytes()).unwrap();
    let small = encoder.finish().unwrap();
    let deflated = "1.2.840.10008.1.2.1.99";
    assert_eq!(super::super::read(&file(deflated, "1.2.3", &small)).picture.grey(), [1, 2]);
    let cut = file(deflated, "1.2.3", &small[..small.len() / 2]);
    assert!(line(&cut).starts_with("ends before its DICOM picture does"));
    let mut encoder = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::best());
    let filling = element((0x09, 0x1001), "OB", &vec![0; 4 << 20]);
    encoder.write_all(&[filling, Set::two_pixels().bytes()].concat()).unwrap();
    let bomb = file(deflated, "1.2.3", &encoder.finish().unwrap());
    assert!(bomb.len() < 10_000);
    let bounds = Bounds { max_pixels: 1000, max_bytes: 1 << 20 };
    assert!(matches!(film::read_bytes(&bomb, &bounds), Err(FilmError::TooManyBytes { .. })));
    assert!(film::read_bytes(&bomb, &Bounds::default()).is_ok());
}

#[test]
fn files_in_other_shapes_are_read() {
    let set = Set::two_pixels().text((8, 0x60), "CS", "IO").bytes();
    let whole = file(EXPLICIT, "1.2.3", &set);
    let implicit: Vec<u8> =
        [((8_u16, 0x60_u16), &b"IO"[..]), ((0x28, 2), &[1, 0]), ((0x28, 4), b"MONOCHROME2 ")]
            .into_iter()
            .chain([((0x28, 0x10), &[1, 0][..]), ((0x28, 0x11), &[2, 0]), ((0x28, 0x100), &[16, 0])])
            .chain([((0x28, 0x101), &[12, 0][..]), ((0x28, 0x102), &[11, 0]), (PIXELS, &[1, 0, 2, 0])])
            .flat_map(|((group, number), value)| {
                let length = u32::try_from(value.len()).unwrap();
                [&group.to_le_bytes()[..], &number.to_le_bytes(), &length.to_le_bytes(), value].concat()
            })
            .collect();
    for (name, bytes) in [
        ("without its preamble", whole[128..].to_vec()),
        ("without preamble and magic", whole[132..].to_vec()),
        ("a data set alone", set.clone()),
        ("an implicit data set alone", implicit.clone()),
        ("implicit under an explicit syntax", file(EXPLICIT, "1.2.3", &implicit)),
        ("padded with zeros", [&whole[..], &[0; 2048]].concat()),
        (
            "with a sequence of unknown kind and undefined length",
            file(
                EXPLICIT,
                "1.2.3",
                &[
                    header(
                        (9, 0x1010),
                        "UN",
                        u32::MAX,
                        &[wrapped(0xe000, &implicit), wrapped(0xe0dd, &[])].concat(),
                    ),
                    Set::two_pixels().bytes(),
                ]
                .concat(),
            ),
        ),
        (
            "with a value of odd length",
            file(
                EXPLICIT,
                "1.2.3",
                &[header((8, 0x70), "LO", 3, b"odd"), Set::two_pixels().bytes()].concat(),
            ),
        ),
        (
            "with a picture inside a sequence",
            Set::two_pixels()
                .with((0x88, 0x200), sequence((0x88, 0x200), &[Set::film(1, 1, &[9]).bytes()]))
                .file(),
        ),
    ] {
        assert_eq!(super::super::read(&bytes).picture.grey(), [1, 2], "{name}");
    }
    // Short cells and texts do not become others.
    assert_eq!(short((1, 1), 2).len() + text((1, 1), "CS", "AB").len(), 20);
}

fn samples() -> Vec<Vec<u8>> {
    [
        "made-12-bits",
        "made-lossless-12-4",
        "made-lossless-rgb",
        "made-run-lengths-12",
        "made-palette-16",
        "pydicom-MR_small_jp2klossless",
        "pydicom-SC_rgb_jpeg_dcmtk",
        "pydicom-SC_rgb_gdcm_KY",
        "pydicom-MR_small_implicit",
        "pydicom-image_dfl",
    ]
    .iter()
    .map(|name| std::fs::read(data(&format!("dicom/{name}.dcm"))).unwrap())
    .collect()
}

/// How a JPEG 2000 code stream begins.
const JPEG_2000_BEGINS: [u8; 4] = [0xff, 0x4f, 0xff, 0x51];

/// Bounds under which a film that changed bytes happen to announce stays small.
const SMALL: Bounds = Bounds { max_pixels: 1 << 19, max_bytes: 1 << 23 };

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn a_film_with_bytes_changed_is_a_film_or_one_line(
        which in any::<prop::sample::Index>(),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        // Headers stand in front: half of the changes go there.
        near in any::<bool>(),
        cut in prop::option::of(any::<prop::sample::Index>()),
    ) {
        let mut bytes = which.get(&samples()).clone();
        for (place, value) in changes {
            let reach = if near { bytes.len().min(1500) } else { bytes.len() };
            let place = place.index(reach);
            bytes[place] = value;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        if let Err(error) = film::read_bytes(&bytes, &SMALL) {
            prop_assert!(!error.to_string().contains('\n'));
            // The decoder of JPEG 2000 checks its sums in this build only, and then panics.
            let gave_up = error.to_string().contains("gave up");
            prop_assert!(!gave_up || bytes.windows(4).any(|it| it == JPEG_2000_BEGINS), "a decoder panicked: {}", error);
        }
        let _ = film::header_of_bytes(&bytes, &SMALL);
    }

    #[test]
    fn random_elements_are_a_film_or_one_line(rest in prop::collection::vec(any::<u8>(), 0..400)) {
        if let Err(error) = film::read_bytes(&file(EXPLICIT, "1.2.3", &rest), &SMALL) {
            prop_assert!(!error.to_string().contains('\n'));
        }
    }
}
