//! The day a film was taken, out of EXIF data (CIPA DC-008: tag 0x9003 of the Exif directory, 20 bytes of ASCII).

use crate::film::make;
use crestgauge::film::{Bounds, read_bytes};
use image::ExtendedColorType;

/// EXIF data that hold nothing but the day of the original.
fn taken(text: &str) -> (u8, Vec<u8>) {
    let mut bytes = b"Exif\0\0II*\0\x08\0\0\0".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        [&tag.to_le_bytes()[..], &kind.to_le_bytes(), &count.to_le_bytes(), &value.to_le_bytes(), &[0; 4]]
            .concat()
    };
    let length = u32::try_from(text.len() + 1).unwrap();
    for (tag, kind, count, value) in [(0x8769, 4, 1, 26), (0x9003, 2, length, 44)] {
        bytes.extend(1_u16.to_le_bytes());
        bytes.extend(entry(tag, kind, count, value));
    }
    bytes.extend(text.as_bytes());
    bytes.push(0);
    (0xe1, bytes)
}

#[test]
fn the_day_of_the_original_is_read_and_nothing_that_no_calendar_has() {
    let plain = make::jpeg((8, 8), ExtendedColorType::L8, &[90; 64]);
    for (text, day) in [
        ("2026:11:24 10:20:30", Some("2026-11-24")),
        ("2024:02:29 00:00:00", Some("2024-02-29")),
        ("2025:02:29 00:00:00", None),
        ("2026:13:01 00:00:00", None),
        ("0000:00:00 00:00:00", None),
        ("    :  :     :  :  ", None),
        ("2026-11-24 10:20:30", None),
        ("2026", None),
    ] {
        let bytes = make::with_jpeg_segments(&plain, &[taken(text)]);
        let film = read_bytes(&bytes, &Bounds::default()).expect("a film");
        assert_eq!(film.date.as_deref(), day, "{text}");
    }
}
