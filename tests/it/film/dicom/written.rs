//! Films written here: the same bytes each time, which pydicom has read back (tests/data/dicom/reference.py).

use super::super::read;
use crate::support::data;
use crestgauge::film::dicom::{NewFilm, Voi, Window, WindowShape, WriteError, encode};
use crestgauge::film::{Picture, PitchFrom, Polarity};
use crestgauge::quantity::Millimetres;

fn picture(bits: u8, step: u16) -> Picture {
    Picture::new(20, 30, bits, (0..600).map(|place| place * step).collect()).unwrap()
}

fn film(picture: &Picture) -> NewFilm<'_> {
    NewFilm {
        picture,
        across: Millimetres(0.02),
        down: Millimetres(0.025),
        magnification: Some(1.05),
        inverted: false,
    }
}

/// `CRESTGAUGE_WRITE_DOCUMENTS=1` writes the file anew; then `reference.py` has to be run.
#[test]
fn the_file_is_the_one_an_independent_toolkit_has_read() {
    let bytes = encode(&film(&picture(12, 6))).unwrap();
    let path = data("dicom/written-12.dcm");
    if std::env::var_os("CRESTGAUGE_WRITE_DOCUMENTS").is_some() {
        std::fs::write(&path, &bytes).unwrap();
    }
    assert_eq!(bytes, std::fs::read(path).unwrap());
}

#[test]
fn what_is_written_is_read_back() {
    for (bits, step, inverted) in [(8, 0, false), (10, 1, true), (12, 6, false), (16, 109, true)] {
        let picture = picture(bits, step);
        let bytes = encode(&NewFilm { inverted, ..film(&picture) }).unwrap();
        let film = read(&bytes);
        assert_eq!(film.picture, picture);
        let pitch = film.pitch.unwrap();
        assert_eq!((pitch.across.get(), pitch.down.get(), pitch.from), (0.02, 0.025, PitchFrom::DicomImager));
        assert_eq!(film.magnification, Some(1.05));
        assert_eq!(film.polarity == Polarity::WhiteIsZero, inverted);
        assert_eq!((film.cautions, film.date, film.frames), (Vec::new(), None, 1));
        let range = f64::from(1_u32 << bits);
        let all = Window { centre: range / 2.0, width: range, shape: WindowShape::Linear };
        assert_eq!(film.first_display.voi, Voi::Window(all));
    }
}

#[test]
fn identifiers_follow_from_the_content() {
    let ids = |bytes: &[u8]| {
        let found: Vec<String> = bytes
            .windows(5)
            .enumerate()
            .filter(|(_, window)| *window == b"2.25.")
            .map(|(at, _)| {
                let digits = bytes[at + 5..].iter().take_while(|byte| byte.is_ascii_digit());
                digits.map(|digit| char::from(*digit)).collect()
            })
            .collect();
        // The film's own stands in the file meta information too, beside that of the encoder.
        assert_eq!(found.len(), 5);
        assert!(found.iter().all(|digits| digits.parse::<u128>().is_ok() && !digits.starts_with('0')));
        found
    };
    let (one, other) = (picture(12, 6), picture(12, 5));
    let ids_of_one = ids(&encode(&film(&one)).unwrap());
    assert_eq!(ids_of_one, ids(&encode(&film(&one)).unwrap()));
    assert_ne!(ids_of_one, ids(&encode(&film(&other)).unwrap()));
    let wider = NewFilm { across: Millimetres(0.021), ..film(&one) };
    assert_ne!(ids_of_one, ids(&encode(&wider).unwrap()));
}

/// A decimal string has 16 characters at most.
#[test]
fn long_numbers_are_cut_to_what_the_format_holds() {
    let picture = picture(12, 6);
    for across in [1.0 / 3.0, 0.1 + 0.2, 999.123_456_789_123, 1.234_567_890_123e-6] {
        let bytes = encode(&NewFilm { across: Millimetres(across), ..film(&picture) }).unwrap();
        let read = read(&bytes).pitch.unwrap().across.get();
        assert!((read - across).abs() <= 5e-12, "{read} is not {across}");
    }
}

#[test]
fn what_cannot_be_written_is_said() {
    let five = picture(5, 0);
    assert_eq!(encode(&film(&five)), Err(WriteError::Depth(5)));
    let long = Picture::new(70_000, 1, 12, vec![0; 70_000]).unwrap();
    assert_eq!(encode(&film(&long)), Err(WriteError::TooLarge { width: 70_000, height: 1 }));
    let fine = picture(12, 6);
    for bad in [0.0, -0.02, f64::NAN, f64::INFINITY] {
        let error = encode(&NewFilm { down: Millimetres(bad), ..film(&fine) }).unwrap_err();
        assert!(error.to_string().ends_with("is no distance of pixels"), "{error}");
        let error = encode(&NewFilm { magnification: Some(bad), ..film(&fine) }).unwrap_err();
        assert!(error.to_string().contains("is no magnification"), "{error}");
    }
}
