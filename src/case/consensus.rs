//! The mark of a case whose points are a consensus.

use super::document::Case;

/// The key of a case that says who agreed, in words. With it the points that carry their own `sd_px` are what several
/// observers agreed on; without it they are somebody's placing with an uncertainty of its own.
pub const CONSENSUS_KEY: &str = "x-consensus";

impl Case {
    /// Who agreed, where the case says that its points are a consensus. Anything but words counts as not said.
    pub fn consensus(&self) -> Option<&str> {
        let said = self.extra.get(CONSENSUS_KEY)?.as_str()?.trim();
        (!said.is_empty()).then_some(said)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_consensus_is_said_in_words_or_not_at_all() {
        let mut case = crate::case::film_102();
        assert_eq!(case.consensus(), None);
        for (said, understood) in [
            (serde_json::json!(" anna and ben "), Some("anna and ben")),
            (serde_json::json!("  "), None),
            (serde_json::json!(true), None),
            (serde_json::json!(2), None),
        ] {
            case.extra.insert(CONSENSUS_KEY.to_owned(), said);
            assert_eq!(case.consensus(), understood);
        }
    }
}
