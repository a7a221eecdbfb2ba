//! The ways to a ferrule, each declared once: its name, its weeks, and what it does to neighbours and gum line.

use super::rows::{Way, Weeks};
use crate::case::{Case, SmileLine};

/// What is declared of a way.
pub(super) struct Declared {
    pub(super) way: Way,
    pub(super) title: &'static str,
    /// Whether what it leaves is reckoned.
    pub(super) has_arithmetic: bool,
    /// Its weeks, where the way alone says so: of what, at least, at most.
    weeks: Option<(&'static str, u32, u32)>,
    words: &'static [&'static str],
    /// What it does to the gum line, by how much of it a smile shows.
    gum_line: GumLine,
}

/// Which way the gum's margin goes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum GumLine {
    Stays,
    /// It comes down with the tooth, unless the fibres are cut.
    ComesAlong,
    /// It goes up the root.
    GoesApical,
    Open,
}

impl Declared {
    /// Its weeks, where the way alone says so.
    pub(super) fn weeks(&self) -> Vec<Weeks> {
        self.weeks.map(|(of, from, to)| weeks(of, from, to)).into_iter().collect()
    }
}

/// Every way, in the order they are shown in.
pub(super) const WAYS: &[Declared] = &[
    Declared {
        way: Way::SulcusOnly,
        title: "margin deeper, within the sulcus",
        has_arithmetic: true,
        weeks: None,
        words: &["the margin must stay within the sulcus and clear of the attachment: probe each site"],
        gum_line: GumLine::Stays,
    },
    Declared {
        way: Way::Extrusion,
        title: "extrusion",
        has_arithmetic: true,
        weeks: None,
        words: &[
            "neighbours carry the anchorage and keep their bone",
            "slow extrusion brings crest and gum along unless the fibres are severed again and again: film before the \
             margin is cut",
            "the narrower root comes up: emergence profile and interdental room change",
        ],
        gum_line: GumLine::ComesAlong,
    },
    Declared {
        way: Way::Surgery,
        title: "crown lengthening by surgery",
        has_arithmetic: true,
        weeks: None,
        words: &["neighbours lose bone on the sides that face this tooth", "the crown becomes longer"],
        gum_line: GumLine::GoesApical,
    },
    Declared {
        way: Way::Both,
        title: "extrusion and crown lengthening",
        has_arithmetic: true,
        weeks: None,
        words: &["neighbours carry the anchorage and lose some bone"],
        gum_line: GumLine::GoesApical,
    },
    Declared {
        way: Way::SurgicalExtrusion,
        title: "surgical extrusion",
        has_arithmetic: false,
        weeks: Some(("splint and healing", 4, 8)),
        words: &[
            "without arithmetic here: resorption and ankylosis are possible; for whoever is trained in it",
        ],
        gum_line: GumLine::Open,
    },
    Declared {
        way: Way::Extraction,
        title: "extraction and what follows it",
        has_arithmetic: false,
        weeks: None,
        words: &[
            "without arithmetic here: always an option to be talked about, with what would replace the tooth",
        ],
        gum_line: GumLine::Open,
    },
];

/// What holds of every way.
pub(super) fn words_for_all() -> Vec<String> {
    [
        "no way is called best: crown to root, neighbours, gum line, time and the patient's wishes weigh together",
        "a margin that is cut anew is reckoned a full ferrule below the wall's top; what is not certain is where the bone \
         is",
        "how far a tooth is lifted and how much bone is removed is set by a way, and a post's depths end where p reaches 0.95: \
         these numbers have no ± of their own",
        "more ferrule at the price of root in bone is not always stronger: in the laboratory, strength fell once crown to \
         root passed about 1 (BMC Oral Health 2023)",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// What a way does, in words.
pub(super) fn words_of(way: Way, case: &Case) -> Vec<String> {
    let Some(declared) = WAYS.iter().find(|it| it.way == way) else { return Vec::new() };
    let mut words: Vec<String> = declared.words.iter().map(|it| (*it).to_owned()).collect();
    let line = case.clinical.smile_line;
    let gum = match (declared.gum_line, line) {
        (GumLine::Stays, Some(SmileLine::High)) => Some("the gum line stays, and the smile shows the margin"),
        (GumLine::Stays, _) => Some("the gum line stays"),
        (GumLine::ComesAlong, Some(SmileLine::High)) => {
            Some("the gum line comes down with the tooth, and the smile shows it: it may need levelling")
        }
        (GumLine::ComesAlong, _) => Some("the gum line comes down with the tooth"),
        (GumLine::GoesApical, Some(SmileLine::High)) => {
            Some("the gum line goes up, and the smile shows it: uneven beside the neighbours")
        }
        (GumLine::GoesApical, Some(SmileLine::Low)) => {
            Some("the gum line goes up; the smile hardly shows it")
        }
        (GumLine::GoesApical, _) => Some("the gum line goes up"),
        (GumLine::Open, _) => None,
    };
    words.extend(gum.map(str::to_owned));
    if case.roots.len() > 1 && matches!(way, Way::Surgery | Way::Both) {
        words.push(
            "where little is left from crest to furcation, removing bone opens the furcation".to_owned(),
        );
    }
    if line.is_none() && matches!(declared.gum_line, GumLine::ComesAlong | GumLine::GoesApical) {
        words.push("how much a smile shows is not noted".to_owned());
    }
    words
}

fn weeks(of: &str, from: u32, to: u32) -> Weeks {
    Weeks { of: of.to_owned(), from, to }
}

/// Weeks of an extrusion: 1 to 1.5 mm a week (Reichardt et al. 2021 for the faster; the slower common practice), then
/// holding for 4 weeks at least and up to 4 weeks for each mm (common practice).
pub(super) fn extrusion_weeks(lift: f64) -> Vec<Weeks> {
    let whole = |number: f64| {
        // A lift of a tooth is a few mm: rounded up it fits many times over.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let weeks = number.ceil().clamp(1.0, 1000.0) as u32;
        weeks
    };
    vec![weeks("moving", whole(lift / 1.5), whole(lift)), weeks("holding", 4, whole(4.0 * lift).max(4))]
}

/// Weeks of crown lengthening: impressions from 6 weeks on, the gum's margin steady by 6 months (Shobha et al. 2010;
/// the earlier end common practice).
pub(super) fn surgery_weeks() -> Vec<Weeks> {
    vec![weeks("healing before the final margin", 6, 26)]
}
