//! The library of reference objects: instruments, drills, receptors and balls of known size.
//!
//! The rows stand in `calibration/*.toml` and are embedded; a clinic can add a file of its own, whose rows win
//! over rows of the same name.

use super::Reference;
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// The embedded files, with the names they have in messages.
const EMBEDDED: [(&str, &str); 4] = [
    ("calibration/instruments.toml", include_str!("../../calibration/instruments.toml")),
    ("calibration/drills.toml", include_str!("../../calibration/drills.toml")),
    ("calibration/receptors.toml", include_str!("../../calibration/receptors.toml")),
    ("calibration/spheres.toml", include_str!("../../calibration/spheres.toml")),
];

/// What an object of the library is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ObjectKind {
    /// Something of known length: an `instrument` reference.
    Instrument,
    /// A drill of known diameter: a `width` reference.
    Drill,
    /// A film or plate of known size.
    Receptor,
    /// A ball of known diameter: a `sphere` reference.
    Sphere,
}

impl ObjectKind {
    /// Whether an object of this kind can give a reference its size.
    pub const fn serves(self, reference: &Reference) -> bool {
        matches!(
            (self, reference),
            (Self::Instrument, Reference::Instrument(_))
                | (Self::Drill, Reference::Width(_))
                | (Self::Sphere, Reference::Sphere(_))
        )
    }

    /// The word for this kind.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Instrument => "instrument",
            Self::Drill => "drill",
            Self::Receptor => "receptor",
            Self::Sphere => "sphere",
        }
    }
}

/// One row of the library.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReferenceObject {
    /// The name a case's `object` refers to.
    pub name: String,
    /// What it is.
    pub kind: ObjectKind,
    /// What it is in words.
    pub meaning: String,
    /// Where its size comes from; "from memory" where nobody looked it up.
    pub source: String,
    /// Length in mm.
    pub length_mm: Option<f64>,
    /// Diameter in mm.
    pub diameter_mm: Option<f64>,
    /// Half width of the tolerance of length or diameter in mm.
    pub tolerance_mm: Option<f64>,
    /// Width of a receptor in mm.
    pub width_mm: Option<f64>,
    /// Height of a receptor in mm.
    pub height_mm: Option<f64>,
    /// Which drills follow one another by diameter.
    pub family: Option<String>,
    /// Diameter of a drill at its very tip in mm; the full one where not stated.
    pub tip_diameter_mm: Option<f64>,
    /// How far above its very tip a drill has its full diameter, mm.
    pub tip_length_mm: Option<f64>,
    /// By how many mm a drill's diameter grows with each mm above that.
    pub taper: Option<f64>,
}

/// A jaw.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Jaw {
    /// The upper.
    Upper,
    /// The lower.
    Lower,
}

/// What one kind of tooth usually takes of drills and posts.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ToothLimit {
    /// Which teeth, in words.
    pub name: String,
    /// Their jaw.
    pub jaw: Jaw,
    /// Second digits of their ISO 3950 designations.
    pub positions: Vec<u8>,
    /// The roots it is said of, by their names in case files; all where empty.
    #[serde(default)]
    pub roots: Vec<String>,
    /// The widest drill usually taken, mm.
    pub drill_diameter_mm: Option<f64>,
    /// The deepest post usually taken, below the orifice, mm.
    pub post_depth_mm: Option<f64>,
    /// Why no post is advised there.
    pub not_advised: Option<String>,
    /// On whose word.
    pub source: String,
}

/// Why a library file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum LibraryError {
    /// The file cannot be read.
    #[error("{}: cannot be read: {why}", file.display())]
    Unreadable {
        /// The file.
        file: PathBuf,
        /// What the system says.
        why: std::io::Error,
    },
    /// The file is not TOML, or not of this form.
    #[error("{file}: {why}")]
    Malformed {
        /// The file.
        file: String,
        /// What is wrong.
        why: String,
    },
    /// A row is wrong.
    #[error("{file}: row {row} ({name}): {why}")]
    Row {
        /// The file.
        file: String,
        /// Which `[[object]]`, counted from 1.
        row: usize,
        /// Its name, as far as it has one.
        name: String,
        /// Which field and what is wrong with it.
        why: String,
    },
}

/// Reference objects by name.
#[derive(Debug, Clone, PartialEq)]
pub struct Library {
    objects: Vec<ReferenceObject>,
    limits: Vec<ToothLimit>,
}

impl Library {
    /// The embedded objects.
    ///
    /// # Errors
    /// Only if an embedded file is malformed, which a test rules out.
    pub fn embedded() -> Result<Self, LibraryError> {
        let mut library = Self { objects: Vec::new(), limits: Vec::new() };
        for (file, text) in EMBEDDED {
            library.add(file, text)?;
        }
        Ok(library)
    }

    /// The embedded objects and those of a clinic's own file.
    ///
    /// # Errors
    /// The file cannot be read, or a row in it is wrong; the error names file, row and field.
    pub fn with_file(file: &Path) -> Result<Self, LibraryError> {
        let text = std::fs::read_to_string(file)
            .map_err(|why| LibraryError::Unreadable { file: file.to_path_buf(), why })?;
        let mut library = Self::embedded()?;
        library.add(&file.display().to_string(), &text)?;
        Ok(library)
    }

    /// Adds the rows of one file; a row of a known name takes that row's place.
    ///
    /// # Errors
    /// A row is wrong; the error names file, row and field, and nothing was added.
    pub fn add(&mut self, file: &str, text: &str) -> Result<(), LibraryError> {
        let malformed = |why: String| LibraryError::Malformed { file: file.to_owned(), why };
        let mut table: toml::Table = text
            .parse()
            .map_err(|error: toml::de::Error| malformed(error.to_string().trim().replace('\n', " ")))?;
        let (objects, limits) = (table.remove("object"), table.remove("limit"));
        if let Some(key) = table.keys().next() {
            return Err(malformed(format!("`{key}` is not known here; objects stand under [[object]]")));
        }
        let rows = match (objects, &limits) {
            (Some(toml::Value::Array(rows)), _) => rows,
            (None, Some(toml::Value::Array(_))) => Vec::new(),
            _ => return Err(malformed("has no rows; each object is a table headed [[object]]".to_owned())),
        };
        let limits = limits_of(file, limits)?;
        let mut added: Vec<ReferenceObject> = Vec::new();
        for (index, row) in rows.into_iter().enumerate() {
            let name = row.get("name").and_then(toml::Value::as_str).unwrap_or("without a name").to_owned();
            let wrong = |why: String| LibraryError::Row {
                file: file.to_owned(),
                row: index + 1,
                name: name.clone(),
                why,
            };
            let object: ReferenceObject = row
                .try_into()
                .map_err(|error: toml::de::Error| wrong(error.to_string().trim().replace('\n', " ")))?;
            object.check().map_err(&wrong)?;
            if added.iter().any(|known| known.name == object.name) {
                return Err(wrong("`name` stands twice in this file".to_owned()));
            }
            added.push(object);
        }
        for limit in limits {
            self.limits.retain(|known| known.name != limit.name);
            self.limits.push(limit);
        }
        for object in added {
            self.objects.retain(|known| known.name != object.name);
            self.objects.push(object);
        }
        Ok(())
    }

    /// The object of this name.
    pub fn get(&self, name: &str) -> Option<&ReferenceObject> {
        self.objects.iter().find(|object| object.name == name)
    }

    /// What kinds of teeth usually take of drills and posts, in the order of the files.
    pub fn limits(&self) -> &[ToothLimit] {
        &self.limits
    }

    /// All objects, in the order of the files.
    pub fn objects(&self) -> &[ReferenceObject] {
        &self.objects
    }
}

/// The rows of `[[limit]]`.
fn limits_of(file: &str, rows: Option<toml::Value>) -> Result<Vec<ToothLimit>, LibraryError> {
    let Some(rows) = rows else { return Ok(Vec::new()) };
    let toml::Value::Array(rows) = rows else {
        let why = "`limit` is no list; each limit is a table headed [[limit]]".to_owned();
        return Err(LibraryError::Malformed { file: file.to_owned(), why });
    };
    let mut limits = Vec::new();
    for (index, row) in rows.into_iter().enumerate() {
        let name = row.get("name").and_then(toml::Value::as_str).unwrap_or("without a name").to_owned();
        let wrong = |why: String| LibraryError::Row {
            file: file.to_owned(),
            row: index + 1,
            name: name.clone(),
            why,
        };
        let limit: ToothLimit = row
            .try_into()
            .map_err(|error: toml::de::Error| wrong(error.to_string().trim().replace('\n', " ")))?;
        limit.check().map_err(wrong)?;
        limits.push(limit);
    }
    Ok(limits)
}

impl ToothLimit {
    fn check(&self) -> Result<(), String> {
        for (field, size) in
            [("drill_diameter_mm", self.drill_diameter_mm), ("post_depth_mm", self.post_depth_mm)]
        {
            if let Some(size) = size.filter(|size| !(size.is_finite() && *size > 0.0)) {
                return Err(format!("`{field}` is {size}, but a size in mm is more than 0"));
            }
        }
        if let Some(position) = self.positions.iter().find(|position| !(1..=8).contains(*position)) {
            return Err(format!(
                "`positions` holds {position}, but teeth are counted 1 to 8 from the midline"
            ));
        }
        let nothing_said =
            self.drill_diameter_mm.is_none() && self.post_depth_mm.is_none() && self.not_advised.is_none();
        if self.positions.is_empty() || nothing_said || self.source.trim().is_empty() {
            return Err(
                "needs `positions`, a source, and at least one of `drill_diameter_mm`, `post_depth_mm` and \
                        `not_advised`"
                    .to_owned(),
            );
        }
        Ok(())
    }
}

impl ReferenceObject {
    /// The diameter of a drill so far above its very tip, mm; below the tip that of the tip.
    pub fn drill_diameter_at(&self, above_tip_mm: f64) -> Option<f64> {
        let full = self.diameter_mm?;
        let tip = self.tip_diameter_mm.unwrap_or(full);
        let tip_length = self.tip_length_mm.unwrap_or_default();
        Some(if above_tip_mm >= tip_length {
            full + self.taper.unwrap_or_default() * (above_tip_mm - tip_length)
        } else {
            tip + (full - tip) * (above_tip_mm.max(0.0) / tip_length)
        })
    }

    fn check(&self) -> Result<(), String> {
        for (field, size) in [
            ("tip_diameter_mm", self.tip_diameter_mm),
            ("tip_length_mm", self.tip_length_mm),
            ("length_mm", self.length_mm),
            ("diameter_mm", self.diameter_mm),
            ("width_mm", self.width_mm),
            ("height_mm", self.height_mm),
        ] {
            if let Some(size) = size.filter(|size| !(size.is_finite() && *size > 0.0)) {
                return Err(format!("`{field}` is {size}, but a size in mm is more than 0"));
            }
        }
        if let Some(tolerance) = self.tolerance_mm.filter(|it| !(it.is_finite() && *it >= 0.0)) {
            return Err(format!("`tolerance_mm` is {tolerance}, but a tolerance is 0 or more"));
        }
        if let Some(taper) = self.taper.filter(|it| !(0.0..0.5).contains(it)) {
            return Err(format!("`taper` is {taper}, but a drill grows by 0 to 0.5 mm with each mm"));
        }
        if self.tip_diameter_mm.zip(self.diameter_mm).is_some_and(|(tip, full)| tip > full) {
            return Err(
                "`tip_diameter_mm` is more than `diameter_mm`; a tip is no wider than its drill".to_owned()
            );
        }
        for (field, text) in [("name", &self.name), ("meaning", &self.meaning), ("source", &self.source)] {
            if text.trim().is_empty() {
                return Err(format!("`{field}` is empty; say \"from memory\" where a source is not known"));
            }
        }
        let missing = match self.kind {
            ObjectKind::Instrument => self.length_mm.is_none().then_some("length_mm"),
            ObjectKind::Drill | ObjectKind::Sphere => self.diameter_mm.is_none().then_some("diameter_mm"),
            ObjectKind::Receptor if self.width_mm.is_none() => Some("width_mm"),
            ObjectKind::Receptor => self.height_mm.is_none().then_some("height_mm"),
        };
        missing.map_or(Ok(()), |field| Err(format!("`{field}` is missing")))
    }
}
