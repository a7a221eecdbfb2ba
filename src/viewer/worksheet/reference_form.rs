//! What can be said of a reference before and after its points are clicked. No drawing.

use crate::calibration::{
    Between, DEFAULT_DIAMETER_TOLERANCE_MM, DEFAULT_LENGTH_TOLERANCE_MM, Extra, Instrument, Library,
    ObjectKind, Receptor, Reference, Scan, Sphere, Width,
};

/// So many letters of an object's name stand in a heading.
const MOST_OF_NAME: usize = 18;

/// What a reference can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Kind {
    /// Something of known length along the tooth.
    #[default]
    Instrument,
    /// Something of known width across it.
    Width,
    /// A ball.
    Sphere,
    /// A receptor of known pitch.
    Receptor,
    /// A scan of known resolution.
    Scan,
}

impl Kind {
    /// Every kind.
    pub(super) const ALL: [Self; 5] =
        [Self::Instrument, Self::Width, Self::Sphere, Self::Receptor, Self::Scan];

    /// What it is called.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Instrument => "length along the tooth",
            Self::Width => "width across the tooth",
            Self::Sphere => "ball",
            Self::Receptor => "sensor or plate, known pitch",
            Self::Scan => "known dpi, of a scan or a file",
        }
    }

    /// What it can be on a film.
    pub(super) const fn hint(self) -> &'static str {
        match self {
            Self::Instrument => {
                "A file, drill or cone in the canal, or a wire beside the tooth, whose length is known. It scales depths \
                 best; be sure what its length lies between."
            }
            Self::Width => {
                "A post, file or implant of known diameter, clicked square to its length. Metal blooms a little."
            }
            Self::Sphere => "A steel ball beside the tooth; click three or more places on its rim.",
            Self::Receptor => "The pixel size the maker states, and how much the tooth is magnified.",
            Self::Scan => {
                "The resolution a film was scanned at, or its file states, and how much the tooth is magnified."
            }
        }
    }

    /// The kind of object that can give it its size.
    pub(super) const fn object_kind(self) -> Option<ObjectKind> {
        match self {
            Self::Instrument => Some(ObjectKind::Instrument),
            Self::Width => Some(ObjectKind::Drill),
            Self::Sphere => Some(ObjectKind::Sphere),
            Self::Receptor | Self::Scan => None,
        }
    }

    /// What its size is called.
    pub(super) const fn size_name(self) -> &'static str {
        if matches!(self, Self::Instrument) { "Length" } else { "Diameter" }
    }
}

/// What a length lies between, in words.
pub(super) const fn between_words(between: Between) -> &'static str {
    match between {
        Between::TipStop => "tip to rubber stop",
        Between::TipHandle => "tip to handle",
        Between::TipReference => "tip to stop reference",
        Between::ReferenceFilling => "stop reference to end of filling",
        Between::Ends => "one visible end to the other",
    }
}

/// What is known of a reference but for its points; what is `None` is not stated.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Form {
    pub(super) kind: Kind,
    /// The object of the library that gives it its size.
    pub(super) object: Option<String>,
    /// Length or diameter, mm.
    pub(super) size: Option<f64>,
    /// Half width of its tolerance, mm.
    pub(super) tolerance: Option<f64>,
    /// Its standard uncertainty, mm.
    pub(super) sd: Option<f64>,
    /// What the length lies between.
    pub(super) between: Option<Between>,
    /// Whether it is clicked along a curve.
    pub(super) is_curved: bool,
    /// Pitch across and down, mm.
    pub(super) pitch: [Option<f64>; 2],
    /// Dots per inch.
    pub(super) dpi: Option<f64>,
    /// How much the tooth is magnified.
    pub(super) magnification: Option<f64>,
    /// Its standard uncertainty.
    pub(super) magnification_sd: Option<f64>,
}

impl Form {
    /// What a reference says.
    pub(super) fn of(reference: &Reference) -> Self {
        match reference.clone() {
            Reference::Instrument(it) => Self {
                kind: Kind::Instrument,
                object: it.object,
                size: it.length_mm,
                tolerance: it.tolerance_mm,
                sd: it.length_sd_mm,
                between: it.between,
                is_curved: it.points.len() > 2,
                ..Self::default()
            },
            Reference::Width(it) => Self {
                kind: Kind::Width,
                object: it.object,
                size: it.diameter_mm,
                tolerance: it.tolerance_mm,
                sd: it.diameter_sd_mm,
                ..Self::default()
            },
            Reference::Sphere(it) => Self {
                kind: Kind::Sphere,
                object: it.object,
                size: it.diameter_mm,
                tolerance: it.tolerance_mm,
                sd: it.diameter_sd_mm,
                ..Self::default()
            },
            Reference::Receptor(it) => Self {
                kind: Kind::Receptor,
                pitch: it.pitch_mm.map(Some),
                magnification: it.magnification,
                magnification_sd: it.magnification_sd,
                ..Self::default()
            },
            Reference::Scan(it) => Self {
                kind: Kind::Scan,
                dpi: Some(it.dpi),
                magnification: it.magnification,
                magnification_sd: it.magnification_sd,
                ..Self::default()
            },
        }
    }

    /// The reference this makes, with the points and the user's own keys of `kept`.
    ///
    /// # Errors
    /// Its size is not stated; the sentence says what to do.
    pub(super) fn reference(&self, kept: Option<&Reference>) -> Result<Reference, String> {
        let Self { object, size, tolerance, sd, magnification, magnification_sd, .. } = self.clone();
        if self.kind.object_kind().is_some() && size.is_none() && object.is_none() {
            return Err("choose an object, or type its size in mm".to_owned());
        }
        let points = kept.map(Reference::points).unwrap_or_default().to_vec();
        let extra = kept.map(extra_of).unwrap_or_default();
        Ok(match self.kind {
            Kind::Instrument => Reference::Instrument(Instrument {
                points,
                length_mm: size,
                tolerance_mm: tolerance,
                length_sd_mm: sd,
                between: self.between,
                object,
                extra,
            }),
            Kind::Width => Reference::Width(Width {
                points,
                diameter_mm: size,
                tolerance_mm: tolerance,
                diameter_sd_mm: sd,
                object,
                extra,
            }),
            Kind::Sphere => Reference::Sphere(Sphere {
                points,
                diameter_mm: size,
                tolerance_mm: tolerance,
                diameter_sd_mm: sd,
                object,
                extra,
            }),
            Kind::Receptor => {
                let [across, down] = self.pitch;
                let across = across.ok_or("type the pitch in mm, such as 0.02")?;
                let pitch_mm = [across, down.unwrap_or(across)];
                Reference::Receptor(Receptor { pitch_mm, magnification, magnification_sd, extra })
            }
            Kind::Scan => {
                let dpi = self.dpi.ok_or("type the resolution in dots per inch, such as 600")?;
                Reference::Scan(Scan { dpi, magnification, magnification_sd, extra })
            }
        })
    }

    /// Whether all that is stated can be: what is not stated yet is no fault.
    ///
    /// # Errors
    /// A size that is not above 0, a negative uncertainty and the like, in words.
    pub(super) fn check(&self) -> Result<(), String> {
        let mut whole = self.clone();
        whole.size = self.size.or(Some(1.0));
        whole.pitch = self.pitch.map(|pitch| pitch.or(Some(1.0)));
        whole.dpi = self.dpi.or(Some(1.0));
        match whole.reference(None)?.check() {
            Err(refused) if !refused.key.starts_with("points") => Err(format!("it {}", refused.why)),
            _ => Ok(()),
        }
    }

    /// How many points make it whole without being asked; `None` where one says so oneself.
    pub(super) const fn whole_at(&self) -> Option<usize> {
        match self.kind {
            Kind::Instrument if self.is_curved => None,
            Kind::Instrument | Kind::Width => Some(2),
            Kind::Sphere | Kind::Receptor | Kind::Scan => None,
        }
    }

    /// The size in force, mm.
    pub(super) fn size_in_force(&self, library: &Library) -> Option<f64> {
        let object = || library.get(self.object.as_deref()?);
        self.size.or_else(|| {
            let object = object()?;
            if self.kind == Kind::Instrument { object.length_mm } else { object.diameter_mm }
        })
    }

    /// The tolerance where none is stated, mm.
    pub(super) fn usual_tolerance(&self, library: &Library) -> f64 {
        let of_object =
            self.object.as_deref().and_then(|name| library.get(name)).and_then(|it| it.tolerance_mm);
        of_object.unwrap_or(match self.kind {
            Kind::Instrument => DEFAULT_LENGTH_TOLERANCE_MM,
            _ => DEFAULT_DIAMETER_TOLERANCE_MM,
        })
    }

    /// In a few words: "length, 21 mm (file-21)".
    pub(super) fn words(&self, library: &Library) -> String {
        let (what, size, unit) = match self.kind {
            Kind::Instrument => ("length", self.size_in_force(library), "mm"),
            Kind::Width => ("width", self.size_in_force(library), "mm"),
            Kind::Sphere => ("ball", self.size_in_force(library), "mm"),
            Kind::Receptor => ("pitch", self.pitch[0], "mm"),
            Kind::Scan => ("resolution", self.dpi, "dpi"),
        };
        let size = size.map_or_else(|| "size not known".to_owned(), |size| format!("{size} {unit}"));
        // A clinic's own names can be of any length, a worksheet cannot.
        let object = self.object.as_deref().map(|name| match name.char_indices().nth(MOST_OF_NAME) {
            Some((end, _)) => format!(" ({}\u{2026})", name.get(..end).unwrap_or(name)),
            None => format!(" ({name})"),
        });
        format!("{what}, {size}{}", object.unwrap_or_default())
    }
}

fn extra_of(reference: &Reference) -> Extra {
    match reference {
        Reference::Instrument(it) => &it.extra,
        Reference::Width(it) => &it.extra,
        Reference::Sphere(it) => &it.extra,
        Reference::Receptor(it) => &it.extra,
        Reference::Scan(it) => &it.extra,
    }
    .clone()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::ReferencePoint;

    fn with_ends(reference: Reference) -> Reference {
        let end = |x: f64| ReferencePoint { x, y: 5.0, sd_px: None, placed: None, extra: Extra::new() };
        reference.with_points(vec![end(1.0), end(9.0)])
    }

    #[test]
    fn a_reference_comes_back_as_it_went_into_the_form() {
        let mut extra = Extra::new();
        extra.insert("x-note".to_owned(), "kept".into());
        let instrument = with_ends(Reference::Instrument(Instrument {
            points: Vec::new(),
            length_mm: Some(21.0),
            tolerance_mm: Some(0.25),
            length_sd_mm: None,
            between: Some(Between::TipStop),
            object: None,
            extra: extra.clone(),
        }));
        let receptor = Reference::Receptor(Receptor {
            pitch_mm: [0.02, 0.021],
            magnification: Some(1.05),
            magnification_sd: None,
            extra,
        });
        for reference in [instrument, receptor] {
            assert_eq!(Form::of(&reference).reference(Some(&reference)), Ok(reference));
        }
    }

    #[test]
    fn a_size_is_asked_for_and_an_impossible_one_refused() {
        let form = Form::default();
        assert!(form.reference(None).expect_err("no size").contains("type its size"));
        assert_eq!(form.check(), Ok(()));
        let impossible = Form { size: Some(-1.0), ..Form::default() };
        assert!(impossible.check().expect_err("negative").contains("more than 0"));
        let magnified = Form { kind: Kind::Scan, magnification: Some(105.0), ..Form::default() };
        assert!(magnified.check().expect_err("a percentage").contains("0.5 to 3"));
    }

    #[test]
    fn a_heading_names_the_size_in_force() {
        let library = Library::embedded().unwrap();
        let words = |form: Form| form.words(&library);
        let of = |object: &str| Form { object: Some(object.to_owned()), ..Form::default() };
        assert_eq!(words(of("file-21")), "length, 21 mm (file-21)");
        assert_eq!(words(Form { size: Some(20.5), ..Form::default() }), "length, 20.5 mm");
        assert_eq!(
            words(of("an-object-nobody-knows")),
            "length, size not known (an-object-nobody-k\u{2026})"
        );
        assert_eq!(
            words(Form { kind: Kind::Scan, dpi: Some(600.0), ..Form::default() }),
            "resolution, 600 dpi"
        );
    }

    #[test]
    fn only_what_has_two_ends_is_whole_by_itself() {
        assert_eq!(Form::default().whole_at(), Some(2));
        assert_eq!(Form { is_curved: true, ..Form::default() }.whole_at(), None);
        assert_eq!(Form { kind: Kind::Sphere, ..Form::default() }.whole_at(), None);
    }
}
