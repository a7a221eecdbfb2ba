//! Days as files state them.

use crate::quantity::Day;

/// A day of the calendar in eight digits, year first, as `2026-11-24`; `None` where no calendar has it.
pub(super) fn calendar_day(digits: &str) -> Option<String> {
    let (year, rest) = digits.split_at_checked(4)?;
    let (month, day) = rest.split_at_checked(2)?;
    Day::parse(&format!("{year}-{month}-{day}")).ok().map(|day| day.to_string())
}
