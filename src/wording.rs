//! Words and numbers as people read them: near names, and values rounded to their uncertainty.

/// Declares a choice: its variants, and the one word each has in files.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$variant_doc:meta])* $variant:ident: $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        pub enum $name { $($(#[$variant_doc])* #[serde(rename = $word)] $variant),+ }

        impl $name {
            /// Every choice with its word in files.
            pub const ALL: &'static [(&'static str, Self)] = &[$(($word, Self::$variant)),+];

            /// The word in files.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
        }
    };
}

pub(crate) use words;

/// The candidate nearest in spelling to `name`, if any is near enough to have been meant.
pub fn near<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = name.to_lowercase();
    candidates
        .into_iter()
        .map(|candidate| (strsim::damerau_levenshtein(&wanted, &candidate.to_lowercase()), candidate))
        .min_by_key(|(distance, _)| *distance)
        .filter(|(distance, candidate)| *distance <= 1 + candidate.len().min(name.len()) / 3)
        .map(|(_, candidate)| candidate)
}

/// `; did you mean "…"?`, or nothing where no candidate is near.
pub fn did_you_mean<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> String {
    near(name, candidates).map_or_else(String::new, |near| format!("; did you mean \"{near}\"?"))
}

/// How many digits after the point show `sd` with two digits, at most 4 and at least 0.
pub fn decimals(sd: f64) -> usize {
    if sd.is_nan() || sd <= 0.0 {
        return 2;
    }
    // 0.996 rounds to 1.0: the two digits are counted after rounding.
    (0..=4)
        .find(|&digits| {
            format!("{sd:.digits$}").bytes().filter(u8::is_ascii_digit).skip_while(|&b| b == b'0').count()
                >= 2
        })
        .unwrap_or(4)
}

/// A value rounded to match its standard uncertainty, without a minus sign on a rounded zero.
pub fn rounded(value: f64, sd: f64) -> String {
    unsigned_zero(format!("{value:.*}", decimals(sd)))
}

/// A sentence begins with a capital.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Drops the minus sign where every digit is 0.
pub fn unsigned_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|byte| byte == b'0' || byte == b'.') => rest.to_owned(),
        _ => text,
    }
}

/// A difference to so many decimals, with its sign; what rounds to nothing has none.
pub fn signed(difference: f64, decimals: usize) -> String {
    let text = unsigned_zero(format!("{difference:.decimals$}"));
    if text.starts_with('-') || text.bytes().all(|byte| byte == b'0' || byte == b'.') {
        text
    } else {
        format!("+{text}")
    }
}

/// `words` joined as a list: "a, b and c".
pub fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// `text` in lines of at most `width` characters, broken between words; a word longer than that has a line of its
/// own. A blank that must not break (U+00A0) keeps its words together and is a blank like any other afterwards.
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let is_break = |letter: char| letter.is_whitespace() && letter != '\u{a0}';
    for word in text.split(is_break).filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines.iter().map(|line| line.replace('\u{a0}', " ")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_has_a_sign_unless_it_rounds_to_nothing() {
        let words = [0.314, -0.314, -0.004, 0.004].map(|difference| signed(difference, 2));
        assert_eq!(words, ["+0.31", "-0.31", "0.00", "0.00"]);
    }

    #[test]
    fn near_names_are_found_and_far_ones_are_not() {
        let names = ["finish_line.mesial", "finish_line.distal", "crest.mesial"];
        assert_eq!(near("finishline.mesial", names), Some("finish_line.mesial"));
        assert_eq!(near("finish_line.mesail", names), Some("finish_line.mesial"));
        assert_eq!(near("banana", names), None);
    }

    #[test]
    fn what_must_not_break_does_not() {
        assert_eq!(wrapped("first moving 1 week", 14), ["first moving 1", "week"]);
        assert_eq!(wrapped("first moving\u{a0}1\u{a0}week", 14), ["first", "moving 1 week"]);
    }

    #[test]
    fn an_uncertainty_is_shown_with_two_digits_and_the_value_to_match() {
        assert_eq!(rounded(1.616_949, 0.325_938), "1.62");
        assert_eq!(rounded(36.574, 2.903), "36.6");
        assert_eq!(rounded(0.498_49, 0.014_73), "0.498");
        assert_eq!(rounded(-0.001, 0.2), "0.00");
        assert_eq!(rounded(12.3456, 0.996), "12.3");
        assert_eq!(rounded(3.0, 0.0), "3.00");
    }
}
