//! Days of the calendar.

use chrono::{DateTime, Datelike as _, Local};
use std::fmt;
use std::time::{SystemTime, UNIX_EPOCH};

/// A day of the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    year: u16,
    month: u8,
    of_month: u8,
}

impl Day {
    /// Reads a day as in `2026-11-24` (ISO 8601).
    ///
    /// # Errors
    /// A sentence saying why it is none.
    pub fn parse(text: &str) -> Result<Self, String> {
        let none = || format!("is {text:?}; a day is written as in 2026-11-24");
        let parts: Vec<&str> = text.split('-').collect();
        let [year, month, day] = parts.as_slice() else { return Err(none()) };
        let is_whole =
            |part: &str, length: usize| part.len() == length && part.bytes().all(|it| it.is_ascii_digit());
        if !(is_whole(year, 4) && is_whole(month, 2) && is_whole(day, 2)) {
            return Err(none());
        }
        let (Ok(year), Ok(month), Ok(day)) = (year.parse::<u16>(), month.parse::<u8>(), day.parse::<u8>())
        else {
            return Err(none());
        };
        let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
        let days = match month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            4 | 6 | 9 | 11 => 30,
            2 if is_leap => 29,
            2 => 28,
            _ => 0,
        };
        if year == 0 || !(1..=days).contains(&day) {
            return Err(format!("is {text:?}, a day no calendar has"));
        }
        Ok(Self { year, month, of_month: day })
    }

    /// The day a moment falls on, UTC; by the calendar of 400 years (146,097 days) that begin in March. What lies outside
    /// the years 1970 to 9999 is the nearest day within.
    pub fn of(moment: SystemTime) -> Self {
        const LAST: u64 = 2_932_896;
        let seconds = moment.duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
        let days = (seconds / 86_400).min(LAST) + 719_468;
        let (era, day) = (days / 146_097, days % 146_097);
        let year = (day - day / 1_460 + day / 36_524 - day / 146_096) / 365;
        let of_year = day - (365 * year + year / 4 - year / 100);
        let month = (5 * of_year + 2) / 153;
        let of_month = of_year - (153 * month + 2) / 5 + 1;
        let (month, next) = if month < 10 { (month + 3, 0) } else { (month - 9, 1) };
        // A year to 9999, a month to 12, a day to 31.
        #[expect(clippy::cast_possible_truncation, reason = "see above")]
        let day =
            Self { year: (era * 400 + year + next) as u16, month: month as u8, of_month: of_month as u8 };
        day
    }

    /// The day a moment falls on by this computer's clock: that of the place it is set to, summer time and all. What lies
    /// outside the years 1970 to 9999 is as [`of`](Self::of) has it.
    pub fn here(moment: SystemTime) -> Self {
        Self::by_clock(moment).unwrap_or_else(|| Self::of(moment))
    }

    fn by_clock(moment: SystemTime) -> Option<Self> {
        let since = moment.duration_since(UNIX_EPOCH).ok()?;
        // A file may state any moment, and far beyond these years the calendar's arithmetic ends in a panic.
        let utc = DateTime::from_timestamp(i64::try_from(since.as_secs()).ok()?, 0)
            .filter(|utc| utc.year() <= 9999)?;
        let there = utc.with_timezone(&Local).naive_local();
        let year = u16::try_from(there.year()).ok().filter(|year| (1970..=9999).contains(year))?;
        let of_month = u8::try_from(there.day()).ok()?;
        Some(Self { year, month: u8::try_from(there.month()).ok()?, of_month })
    }

    /// Year, month and day.
    pub const fn parts(self) -> (u16, u8, u8) {
        (self.year, self.month, self.of_month)
    }
}

impl fmt::Display for Day {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{:04}-{:02}-{:02}", self.year, self.month, self.of_month)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By `date -u -d @SECONDS` of GNU coreutils.
    #[test]
    fn moments_become_days() {
        for (seconds, day) in [
            (0, "1970-01-01"),
            (951_782_400, "2000-02-29"),
            (1_709_251_199, "2024-02-29"),
            (1_795_615_843, "2026-11-25"),
            (4_107_542_400, "2100-03-01"),
            (253_402_300_799, "9999-12-31"),
            (253_402_300_800, "9999-12-31"),
        ] {
            let moment = UNIX_EPOCH + std::time::Duration::from_secs(seconds);
            assert_eq!(Day::of(moment).to_string(), day);
        }
    }

    /// Years that no calendar's arithmetic reaches; an autosave that was spoiled may state them.
    #[test]
    fn no_moment_is_too_far_to_have_a_day() {
        use std::time::Duration;
        for seconds in [9_000_000_000_000, i64::MAX.unsigned_abs()] {
            let moment = UNIX_EPOCH + Duration::from_secs(seconds);
            assert_eq!([Day::of(moment), Day::here(moment)].map(|day| day.to_string()), ["9999-12-31"; 2]);
        }
        let before = UNIX_EPOCH - Duration::from_secs(1_000_000_000_000);
        assert_eq!(Day::here(before).to_string(), "1970-01-01");
        // A day about the ends may be that of the place or that of the nearest within, and is one of the calendar.
        for seconds in [0, 253_402_300_799, 253_402_300_800, 253_402_400_000] {
            let day = Day::here(UNIX_EPOCH + Duration::from_secs(seconds)).to_string();
            assert!(Day::parse(&day).is_ok(), "{day}");
        }
    }

    #[test]
    fn days_are_those_of_the_calendar() {
        assert_eq!(Day::parse("2024-02-29").map(|day| day.to_string()), Ok("2024-02-29".to_owned()));
        for text in
            ["2026-02-29", "2026-13-01", "2026-1-1", "26-01-01", "2026-01-00", "today", "2026-01-01T00"]
        {
            assert!(Day::parse(text).is_err(), "{text}");
        }
    }
}
