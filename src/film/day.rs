//! Days as files state them.

/// A day of the calendar in eight digits, year first, as `2026-11-24`; `None` where no calendar has it.
pub(super) fn calendar_day(digits: &str) -> Option<String> {
    if digits.len() != 8 || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let (year, rest) = digits.split_at_checked(4)?;
    let (month, day) = rest.split_at_checked(2)?;
    let number: u16 = year.parse().ok()?;
    let leap = number.is_multiple_of(4) && (!number.is_multiple_of(100) || number.is_multiple_of(400));
    let days = match month {
        "04" | "06" | "09" | "11" => 30,
        "02" if leap => 29,
        "02" => 28,
        "01" | "03" | "05" | "07" | "08" | "10" | "12" => 31,
        _ => return None,
    };
    (number > 0 && (1..=days).contains(&day.parse::<u8>().ok()?)).then(|| format!("{year}-{month}-{day}"))
}
