//! Cautions: what a reader must know before trusting a number. Each kind is declared once, in the table below.

use schemars::JsonSchema;
use serde::Serialize;

/// How one kind of caution reads. `{value}` and `{limit}` in the text stand for the numbers that raised it.
#[derive(Debug, Clone, Copy)]
struct Declaration {
    id: &'static str,
    unit: &'static str,
    text: &'static str,
}

macro_rules! cautions {
    ($($(#[$doc:meta])* $name:ident: $id:literal, $unit:literal, $text:literal;)+) => {
        /// A kind of caution.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum CautionKind { $($(#[$doc])* $name),+ }

        impl CautionKind {
            /// Every kind, in the order of the table.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            const fn declaration(self) -> Declaration {
                match self { $(Self::$name => Declaration { id: $id, unit: $unit, text: $text }),+ }
            }
        }
    };
}

cautions! {
    /// The tooth axis was constructed by a fallback.
    AxisFallback: "axis_fallback", "",
        "the tooth axis could not be taken from the margin's middle to the apex; it was taken otherwise";
    /// Not every root's apex is placed.
    FewerApices: "fewer_apices", "",
        "{value} of {limit} apices are placed; the tooth axis comes from fewer roots";
    /// A measured direction lies far from the direction of the reference that scales it.
    DirectionOffReference: "direction_off_reference", "deg",
        "measured {value} deg away from the reference that scales it (more than {limit} deg): a reference in their own direction would make them surer";
    /// A measured length is long beside the reference.
    BeyondReference: "beyond_reference", "1",
        "{value} times as long as the reference that scales it (more than {limit} times): the scale's error grows with it";
    /// A section is not square to the canal.
    SectionOblique: "section_oblique", "deg",
        "the section lies {value} deg off the square to the canal (more than {limit} deg): place its points square to it";
    /// A section that lies where another root is.
    SectionElsewhere: "section_elsewhere", "mm",
        "lies {value} mm from its own root's course and {limit} mm from another's: was it clicked on the other root?";
    /// A reading beyond what one meets.
    ReadingOutOfRange: "reading_out_of_range", "mm",
        "{value} mm is read, past the {limit} mm at which what one meets ends (common practice): read it again";
    /// A reference makes no scale.
    ReferenceWithoutLength: "reference_without_length", "",
        "has no length in the direction it scales: click an instrument along the tooth, a width across it";
    /// Axial and transverse references disagree.
    ReferenceDisagreement: "reference_disagreement", "sd",
        "the references disagree by {value} sd (more than {limit}): check their lengths, points and magnification";
    /// References of one direction disagree among themselves.
    ReferencesInconsistent: "references_inconsistent", "sd",
        "references of the same direction differ by {value} sd (more than {limit}): one of them is wrong";
    /// The exposure elongates or foreshortens.
    Elongation: "elongation", "1",
        "this exposure lengthens the tooth {value} times along its axis (more than {limit}): tooth and receptor were not parallel";
    /// The exposure foreshortens.
    Foreshortening: "foreshortening", "1",
        "this exposure shortens the tooth to {value} of its length (less than {limit}): tooth and receptor were not parallel";
    /// A pitch that nobody measured.
    PitchNotMeasured: "pitch_not_measured", "dpi",
        "{value} dpi is what programs write when nobody measured the resolution; it says nothing about the film's scale";
    /// A `width` reference is not square to the axis.
    WidthOblique: "width_oblique", "deg",
        "the width was taken {value} deg off the square to the axis (more than {limit} deg)";
    /// Metal edges bloom.
    MetalBloom: "metal_bloom", "mm",
        "metal edges bloom on a film by about {value} mm: a width taken across metal reads a little too wide (common practice)";
    /// Pixels are not square and the pitch says otherwise.
    PitchAgainstAspect: "pitch_against_aspect", "1",
        "the pitch's down / across is {value}, the film's pixel aspect {limit}; the aspect was used";
    /// A landmark lies outside the film.
    OffFilm: "landmark_off_film", "px",
        "lies {value} px outside the film";
    /// The film is not the one the case was made on.
    FilmChanged: "film_changed", "",
        "the film's content is not the one this case was placed on (its SHA-256 differs): check every landmark";
    /// The film is not where the case says.
    FilmMissing: "film_missing", "",
        "the film was not found beside the case; numbers come from the stored landmarks alone";
    /// The film's size is not the stated one.
    FilmSizeDiffers: "film_size_differs", "px",
        "the film measures {value} px here, the case says {limit}: landmarks may belong to another picture";
    /// `mesial_is` contradicts the quadrant.
    MesialAgainstQuadrant: "mesial_against_quadrant", "",
        "mesial is stated on the side where this quadrant has distal when seen from in front: mirrored film, or wrong tooth";
    /// Mesial and distal landmarks are on the wrong sides.
    SidesCrossed: "sides_crossed", "px",
        "mesial and distal lie {value} px on each other's side";
    /// The post or filling ends beyond the apex.
    TipBeyondApex: "tip_beyond_apex", "mm",
        "lies {value} mm beyond the apex";
    /// The crest is coronal of the finish line.
    CrestAboveFinishLine: "crest_above_finish_line", "mm",
        "the crest lies {value} mm coronal of the finish line";
    /// Points or landmarks are in an order no tooth has.
    ImpossibleOrder: "impossible_order", "mm",
        "points lie in the wrong order, by {value} mm: check that none was placed in another's stead";
    /// The tooth lies the other way up than films are mounted.
    FilmTurned: "film_turned", "",
        "the tooth lies the other way up than films are mounted; a film turned by half has mesial and distal on the other sides: say which side is mesial";
    /// A length between two landmarks at one place.
    EndsCoincide: "ends_coincide", "",
        "its two ends lie at exactly one place: check that each was placed by itself";
    /// Wall heights before treatment.
    HeightsProvisional: "heights_provisional", "",
        "at the assessment stage caries and old fillings are still there: wall heights are provisional";
    /// The scale makes an implausible tooth.
    ScaleImplausible: "scale_implausible", "mm",
        "the scale makes this {value} mm; teeth of this kind measure about {limit} mm: check the reference";
    /// Canal points crowd.
    CanalPointsClose: "canal_points_close", "mm",
        "canal points stand {value} mm apart (closer than {limit} mm): such clicks only lengthen the path";
    /// A key nobody knows.
    UnknownKey: "unknown_key", "",
        "this key is not known here; it is kept and has no effect (keys that begin with x- are yours)";
    /// The tooth is not named.
    ToothNotStated: "tooth_not_stated", "",
        "no tooth is named: parallax is taken as for a molar, the larger of the two";
    /// A default stands in for something the film could have told.
    MagnificationAssumed: "magnification_assumed", "1",
        "no magnification is stated; {value} is assumed, the middle of what the paralleling technique gives (common practice)";
    /// Embedded colour.
    ColourFilm: "colour_film", "",
        "a colour picture: grey is 0.299 R + 0.587 G + 0.114 B of the stored values";
    /// Only the first picture of several is used.
    FirstFrameOnly: "first_frame_only", "1",
        "the file holds {value} pictures; only the first is used";
    /// Transparency is ignored.
    TransparencyIgnored: "transparency_ignored", "",
        "the picture has transparency, which is ignored";
    /// A malformed pitch.
    PitchMalformed: "pitch_malformed", "",
        "the stated resolution is zero or malformed and was not used";
    /// Two statements of pitch in one file differ.
    PitchStatementsDiffer: "pitch_statements_differ", "1",
        "two statements of resolution in the file differ by a factor of {value}; only the first counts";
    /// The pitch is already that in the patient.
    PitchCalibrated: "pitch_calibrated", "",
        "the film's pitch was corrected or calibrated for some depth in the patient: it holds at that depth, with magnification 1";
    /// It is not known where the pitch holds.
    PitchPlaneUnknown: "pitch_plane_unknown", "",
        "the film does not say whether its pitch is that at the receptor or was corrected for magnification; it is taken as that at the receptor";
    /// A malformed magnification.
    MagnificationMalformed: "magnification_malformed", "",
        "the stated magnification is malformed, below 1 or above 10, and was not used";
    /// Two statements of magnification in one file differ.
    MagnificationStatementsDiffer: "magnification_statements_differ", "1",
        "the stated magnification and that by the distances differ by a factor of {value}; the former counts";
    /// A statement about display that is malformed.
    DisplayMalformed: "display_malformed", "",
        "what the film says of its display is malformed and was not used; measuring does not depend on it";
    /// Text in the picture itself.
    BurnedInAnnotation: "burned_in_annotation", "",
        "the film says that text is burned into its picture: a name may be visible in it";
    /// Lossy compression.
    LossyCompression: "lossy_compression", "",
        "the film was stored with lossy compression: fine edges may have moved";
}

impl CautionKind {
    /// The stable name of this kind in files.
    pub const fn id(self) -> &'static str {
        self.declaration().id
    }

    /// The unit of value and limit; empty where there is none.
    pub const fn unit(self) -> &'static str {
        self.declaration().unit
    }

    /// The sentence as declared, with `{value}` and `{limit}` in place of the numbers.
    pub const fn template(self) -> &'static str {
        self.declaration().text
    }
}

/// A caution raised, with what it is about and the numbers that raised it.
#[derive(Debug, Clone, PartialEq)]
pub struct Caution {
    /// Which caution this is.
    pub kind: CautionKind,
    /// What it is about: a measurement's or landmark's name, or a place in the case file.
    pub about: Vec<String>,
    /// The number that raised it.
    pub value: Option<f64>,
    /// The limit it passed, or what was expected.
    pub limit: Option<f64>,
    /// Words of the case at hand, after the declared sentence.
    pub detail: Option<String>,
    /// What may be wrong in the first place, before the declared sentence.
    pub suspicion: Option<&'static str>,
}

impl Caution {
    /// A caution about one thing.
    pub fn about(kind: CautionKind, about: impl Into<String>) -> Self {
        Self { about: vec![about.into()], ..Self::general(kind) }
    }

    /// A caution about the whole film or case.
    pub fn general(kind: CautionKind) -> Self {
        Self { kind, about: Vec::new(), value: None, limit: None, detail: None, suspicion: None }
    }

    /// The number that raised it. A number that is not finite says nothing and is left out.
    #[must_use]
    pub fn value(mut self, value: f64) -> Self {
        self.value = value.is_finite().then_some(value);
        self
    }

    /// The limit it passed.
    #[must_use]
    pub fn limit(mut self, limit: f64) -> Self {
        self.limit = limit.is_finite().then_some(limit);
        self
    }

    /// Words of the case at hand.
    #[must_use]
    pub fn detail(mut self, detail: impl Into<String>) -> Self {
        self.detail = Some(detail.into());
        self
    }

    /// What may be wrong in the first place.
    #[must_use]
    pub const fn suspicion(mut self, words: &'static str) -> Self {
        self.suspicion = Some(words);
        self
    }

    /// The sentence for people, numbers rounded to what is worth reading.
    pub fn text(&self) -> String {
        let number = |number: Option<f64>| number.map_or_else(|| "?".to_owned(), readable);
        let mut text = self
            .kind
            .template()
            .replace("{value}", &number(self.value))
            .replace("{limit}", &number(self.limit));
        if let Some(detail) = &self.detail {
            text.push_str(": ");
            text.push_str(detail);
        }
        match self.suspicion {
            Some(suspicion) => format!("{suspicion}: {text}"),
            None => text,
        }
    }
}

/// A caution as it stands in files.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CautionRow {
    /// Which caution this is.
    pub id: String,
    /// What it is about.
    pub about: Vec<String>,
    /// The number that raised it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// The limit it passed, or what was expected.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
    /// Unit of both.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub unit: String,
    /// The sentence for people.
    pub text: String,
}

impl From<&Caution> for CautionRow {
    fn from(caution: &Caution) -> Self {
        Self {
            id: caution.kind.id().to_owned(),
            about: caution.about.clone(),
            value: caution.value,
            limit: caution.limit,
            unit: caution.kind.unit().to_owned(),
            text: caution.text(),
        }
    }
}

impl Serialize for Caution {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        CautionRow::from(self).serialize(serializer)
    }
}

/// A number as one reads it: whole above 20, else at most two digits after the point.
fn readable(number: f64) -> String {
    if number.abs() >= 20.0 {
        return format!("{number:.0}");
    }
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn every_caution_has_a_name_of_its_own() {
        let names: HashSet<_> = CautionKind::ALL.iter().map(|kind| kind.id()).collect();
        assert_eq!(names.len(), CautionKind::ALL.len());
    }

    #[test]
    fn the_sentence_carries_its_numbers() {
        let caution =
            Caution::about(CautionKind::ReferenceDisagreement, "calibration").value(2.71).limit(2.0);
        assert!(caution.text().contains("2.71 sd (more than 2)"), "{}", caution.text());
    }

    #[test]
    fn what_is_not_finite_is_left_out() {
        let caution = Caution::general(CautionKind::FilmChanged).value(f64::NAN);
        assert_eq!(caution.value, None);
    }
}
