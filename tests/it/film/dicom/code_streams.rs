//! Code streams that say of themselves what the data set does not, or what is not there.

use super::make::{RLE, Set, encapsulated};
use crate::command_line::run;
use crate::support::data;
use crestgauge::film::{self, Bounds};

const LOSSLESS: &str = "1.2.840.10008.1.2.4.70";
const JPEG_2000: &str = "1.2.840.10008.1.2.4.90";
const BASELINE: &str = "1.2.840.10008.1.2.4.50";

fn line(bytes: &[u8]) -> String {
    film::read_bytes(bytes, &Bounds::default()).unwrap_err().to_string()
}

/// A frame header that announces 65535 x 65535 pixels costs decoders gigabytes. Here it is compared first, also where
/// the data set says the same.
#[test]
fn code_streams_are_compared_before_memory_is_taken() {
    let size = |marker: u8, precision: u8, rows: u16, columns: u16| {
        let mut jpeg = vec![0xff, 0xd8, 0xff, marker, 0, 11, precision];
        jpeg.extend(rows.to_be_bytes());
        jpeg.extend(columns.to_be_bytes());
        jpeg.extend([1, 1, 0x11, 0]);
        jpeg
    };
    let tiled = |columns: u32, rows: u32, tile: u32, precincts: Option<u8>| {
        let mut stream = vec![0xff, 0x4f, 0xff, 0x51, 0, 41, 0, 0];
        for number in [columns, rows, 0, 0, tile, tile, 0, 0] {
            stream.extend(number.to_be_bytes());
        }
        stream.extend([0, 1, 11, 1, 1]);
        let levels = 5;
        let style: Vec<u8> = match precincts {
            Some(size) => [&[1, 0, 0, 1, 0, levels, 4, 4, 0, 1][..], &[size; 6]].concat(),
            None => vec![0, 0, 0, 1, 0, levels, 4, 4, 0, 1],
        };
        stream.extend([0xff, 0x52, 0, u8::try_from(style.len() + 2).unwrap()]);
        stream.extend(style);
        stream
    };
    let large = || Set::two_pixels().short((0x28, 0x10), 5000).short((0x28, 0x11), 5000);
    let other = "its code stream is 65535 x 65535 pixels of 1 samples, its data set says 2 x 1 of 1";
    let cut = "ends before its DICOM picture does";
    for (bytes, says) in [
        (encapsulated(LOSSLESS, Set::two_pixels(), &size(0xc3, 12, 65535, 65535)), other),
        (encapsulated(BASELINE, Set::two_pixels(), &size(0xc0, 8, 65535, 65535)), other),
        (encapsulated(JPEG_2000, Set::two_pixels(), &tiled(65535, 65535, 65535, None)), other),
        (encapsulated(LOSSLESS, large(), &size(0xc3, 12, 5000, 5000)), cut),
        (encapsulated(BASELINE, large(), &size(0xc0, 8, 5000, 5000)), cut),
        (encapsulated(RLE, large(), &[2, 0, 0, 0]), "its run lengths have no header"),
        (encapsulated(JPEG_2000, large(), &tiled(5000, 5000, 1, None)), "has 25000000 tiles, more than 4096"),
        (
            encapsulated(JPEG_2000, large(), &tiled(5000, 5000, 5000, Some(0))),
            "has more than 1048576 precincts",
        ),
        (
            encapsulated(LOSSLESS, Set::two_pixels(), &size(0xc3, 17, 1, 2)),
            "17 bits, its data set room for 16",
        ),
        (encapsulated(LOSSLESS, Set::two_pixels(), &size(0xc0, 12, 1, 2)), "it is coded by another process"),
        (encapsulated(BASELINE, Set::two_pixels(), &size(0xc1, 12, 1, 2)), "lossy JPEG of 12 bits"),
    ] {
        let found = line(&bytes);
        assert!(found.contains(says), "{found} lacks {says}");
    }
}

#[test]
fn run_lengths_that_lie_are_errors() {
    let stream = |numbers: &[u32], segments: &[u8]| {
        let mut header: Vec<u8> = numbers.iter().flat_map(|number| number.to_le_bytes()).collect();
        header.resize(64, 0);
        [&header, segments].concat()
    };
    let read =
        |stream: &[u8]| film::read_bytes(&encapsulated(RLE, Set::two_pixels(), stream), &Bounds::default());
    let whole = stream(&[2, 64, 68], &[1, 0, 0, 0, 1, 1, 2, 0]);
    assert_eq!(read(&whole).unwrap().picture.grey(), [1, 2]);
    for (bad, says) in [
        (stream(&[1, 64], &[1, 1, 2, 0]), "1 segments where its pixels have 2 bytes"),
        (stream(&[2, 64, 4000], &[1, 0, 0, 0]), "lie about where they stand"),
        (stream(&[2, 68, 64], &[1, 0, 0, 0, 1, 1, 2, 0]), "lie about where they stand"),
        (stream(&[2, 4, 68], &[1, 0, 0, 0, 1, 1, 2, 0]), "lie about where they stand"),
        (stream(&[2, 64, 68], &[1, 0, 0, 0, 0, 1, 128, 128]), "end before its last row"),
    ] {
        let found = read(&bad).unwrap_err().to_string();
        assert!(found.contains(says), "{found} lacks {says}");
    }
}

/// The decoder of JPEG 2000 checks its sums in this build and panics where one overflows, as it does for some of these
/// code-block sizes. A user sees one line, whatever happens.
#[test]
fn a_decoder_that_panics_is_one_line() {
    let whole = std::fs::read(data("dicom/pydicom-MR_small_jp2klossless.dcm")).unwrap();
    let begins = whole.windows(4).position(|four| four == [0xff, 0x4f, 0xff, 0x51]).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("film.dcm");
    for value in [2, 15, 16, 31] {
        let mut bytes = whole.clone();
        bytes[begins + 63] = value;
        std::fs::write(&path, &bytes).unwrap();
        let ran = run(["inspect", path.to_str().unwrap()]);
        assert_eq!((ran.exit, ran.err.lines().count()), (1, 1), "{}", ran.err);
    }
}
