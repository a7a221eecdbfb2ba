//! Criteria as data: what a measurement is held against, how strongly, and on whose word.

use crate::case::{Part, Strength};
use crate::film::Sha256;
use crate::measure::{CATALOGUE, Repeat, Row};
use crate::wording::did_you_mean;
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// The default criteria, embedded.
const DEFAULT: &str = include_str!("default.toml");

/// What a measurement must be.
#[derive(Debug, Clone, PartialEq)]
pub enum Bound {
    /// At least this.
    AtLeast(f64),
    /// More than this.
    MoreThan(f64),
    /// At most this.
    AtMost(f64),
    /// Less than this.
    LessThan(f64),
    /// From the first to the second, both included.
    Between(f64, f64),
    /// Below the first or above the second.
    Outside(f64, f64),
    /// At least the value at this many sites.
    SitesAtLeast {
        /// How many sites.
        sites: usize,
        /// At least this at each.
        value: f64,
    },
    /// Which class it falls in: each class's name and upper end.
    Classes(Vec<Class>),
}

/// A class of values.
#[derive(Debug, Clone, PartialEq)]
pub struct Class {
    /// Its name.
    pub name: String,
    /// Its upper end; none for the last.
    pub end: Option<ClassEnd>,
}

/// The upper end of a class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ClassEnd {
    /// Values below it.
    Below(f64),
    /// Values up to and including it.
    UpTo(f64),
}

/// One criterion.
#[derive(Debug, Clone, PartialEq)]
pub struct Criterion {
    /// Its stable name.
    pub id: String,
    /// Its name for people.
    pub title: String,
    /// The measurement as the file names it: `wall.*@*`.
    pub measurement: String,
    /// The rows of the catalogue it is about.
    pub rows: Vec<&'static Row>,
    /// What they must be.
    pub bound: Bound,
    /// How much weight it carries.
    pub strength: Strength,
    /// The parts it judges: without one of them it does not apply.
    pub judges: Vec<Part>,
    /// On whose word.
    pub source: String,
}

impl Criterion {
    /// Whether it is about roots.
    pub fn is_of_root(&self) -> bool {
        self.rows.iter().any(|row| row.applies.is_root())
    }
}

impl Bound {
    /// The bound in words, its numbers with a unit.
    pub fn in_unit(&self, unit: &str) -> String {
        // 0.6666666666666666 reads as 0.667.
        let bare = |value: &f64| {
            let text = format!("{value:.3}");
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        };
        let number = |value: &f64| format!("{} {unit}", bare(value)).trim_end().to_owned();
        match self {
            Self::AtLeast(value) => format!("at least {}", number(value)),
            Self::MoreThan(value) => format!("more than {}", number(value)),
            Self::AtMost(value) => format!("at most {}", number(value)),
            Self::LessThan(value) => format!("less than {}", number(value)),
            Self::Between(low, high) => format!("{} to {}", bare(low), number(high)),
            Self::Outside(low, high) => format!("outside {} to {}", bare(low), number(high)),
            Self::SitesAtLeast { sites, value } => format!("at least {} at {sites} sites", number(value)),
            Self::Classes(classes) => {
                let names: Vec<_> = classes.iter().map(|class| class.name.as_str()).collect();
                names.join(" / ")
            }
        }
    }
}

/// Why a criteria file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum CriteriaError {
    /// It cannot be read.
    #[error("{}: cannot be read: {why}", file.display())]
    Unreadable {
        /// The file.
        file: PathBuf,
        /// What the system says.
        why: std::io::Error,
    },
    /// It is not TOML, or not of this form.
    #[error("{file}: {why}")]
    Malformed {
        /// The file.
        file: String,
        /// What is wrong.
        why: String,
    },
    /// A criterion is wrong.
    #[error("{file}: criterion {number} ({id}): {why}")]
    Criterion {
        /// The file.
        file: String,
        /// Which `[[criterion]]`, counted from 1.
        number: usize,
        /// Its id, as far as it has one.
        id: String,
        /// Which field and what is wrong with it.
        why: String,
    },
}

/// A set of criteria.
#[derive(Debug, Clone, PartialEq)]
pub struct Criteria {
    /// Name and version: `default 1`.
    pub name: String,
    /// SHA-256 of the file, lower hex.
    pub sha256: String,
    /// The criteria, in the order of the file.
    pub list: Vec<Criterion>,
}

impl Criteria {
    /// The embedded criteria.
    ///
    /// # Errors
    /// Only if the embedded file is malformed, which a test rules out.
    pub fn default_set() -> Result<Self, CriteriaError> {
        Self::parse("the embedded criteria", DEFAULT)
    }

    /// Criteria from a file, in place of the embedded ones.
    ///
    /// # Errors
    /// The file cannot be read, or something in it is wrong; the error names criterion and field.
    pub fn from_file(file: &Path) -> Result<Self, CriteriaError> {
        let text = std::fs::read_to_string(file)
            .map_err(|why| CriteriaError::Unreadable { file: file.to_path_buf(), why })?;
        Self::parse(&file.display().to_string(), &text)
    }

    /// Criteria from TOML text.
    ///
    /// # Errors
    /// Something in it is wrong; the error names criterion and field.
    pub fn parse(file: &str, text: &str) -> Result<Self, CriteriaError> {
        let malformed = |why: String| CriteriaError::Malformed { file: file.to_owned(), why };
        let mut header: toml::Table =
            text.parse().map_err(|error: toml::de::Error| malformed(one_line(&error)))?;
        let Some(toml::Value::Array(criteria)) = header.remove("criterion") else {
            return Err(malformed("has no criteria; each is a table headed [[criterion]]".to_owned()));
        };
        let mut list: Vec<Criterion> = Vec::new();
        let header: Header =
            header.try_into().map_err(|error: toml::de::Error| malformed(one_line(&error)))?;
        for (index, criterion) in criteria.into_iter().enumerate() {
            let id = criterion.get("id").and_then(toml::Value::as_str).unwrap_or("without an id").to_owned();
            let wrong = |why: String| CriteriaError::Criterion {
                file: file.to_owned(),
                number: index + 1,
                id: id.clone(),
                why,
            };
            let raw: Raw = criterion.try_into().map_err(|error: toml::de::Error| wrong(one_line(&error)))?;
            let criterion = raw.check().map_err(&wrong)?;
            if list.iter().any(|known| known.id == criterion.id) {
                return Err(wrong("`id` stands twice".to_owned()));
            }
            list.push(criterion);
        }
        Ok(Self {
            name: format!("{} {}", header.name, header.version),
            sha256: Sha256::of(text.as_bytes()).to_string(),
            list,
        })
    }
}

fn one_line(error: &toml::de::Error) -> String {
    error.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Header {
    name: String,
    version: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawClass {
    name: String,
    below: Option<f64>,
    up_to: Option<f64>,
}

/// A criterion as the file writes it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    id: String,
    title: String,
    measurement: String,
    at_least: Option<f64>,
    more_than: Option<f64>,
    at_most: Option<f64>,
    less_than: Option<f64>,
    between: Option<[f64; 2]>,
    outside: Option<[f64; 2]>,
    sites_at_least: Option<usize>,
    value: Option<f64>,
    classes: Option<Vec<RawClass>>,
    strength: Strength,
    #[serde(default)]
    judges: Vec<String>,
    source: String,
}

impl Raw {
    fn check(self) -> Result<Criterion, String> {
        let snake_case = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'_';
        if self.id.is_empty() || !self.id.bytes().all(snake_case) {
            return Err("`id` must be snake_case".to_owned());
        }
        if self.source.trim().is_empty() {
            return Err("`source` is empty; say \"common practice\" where there is none".to_owned());
        }
        let rows = rows(&self.measurement)?;
        let judges = self
            .judges
            .iter()
            .map(|name| {
                Part::ALL.iter().find(|(word, _)| word == name).map(|(_, part)| *part).ok_or_else(|| {
                    let known = Part::ALL.iter().map(|(word, _)| *word);
                    format!("`judges` names {name:?}, which is no part{}", did_you_mean(name, known))
                })
            })
            .collect::<Result<_, _>>()?;
        let bound = self.bound()?;
        if matches!(bound, Bound::Classes(_)) && self.strength != Strength::Information {
            return Err("`classes` only inform; set `strength = \"information\"`".to_owned());
        }
        Ok(Criterion {
            id: self.id,
            title: self.title,
            measurement: self.measurement,
            rows,
            bound,
            strength: self.strength,
            judges,
            source: self.source,
        })
    }

    fn bound(&self) -> Result<Bound, String> {
        let mut bounds = Vec::new();
        for (value, make) in [
            (self.at_least, Bound::AtLeast as fn(f64) -> Bound),
            (self.more_than, Bound::MoreThan),
            (self.at_most, Bound::AtMost),
            (self.less_than, Bound::LessThan),
        ] {
            bounds.extend(value.map(make));
        }
        for (field, range, make) in [
            ("between", self.between, Bound::Between as fn(f64, f64) -> Bound),
            ("outside", self.outside, Bound::Outside),
        ] {
            if let Some([low, high]) = range {
                if low.partial_cmp(&high) != Some(std::cmp::Ordering::Less) {
                    return Err(format!("`{field}` must go from a smaller to a larger number"));
                }
                bounds.push(make(low, high));
            }
        }
        match (self.sites_at_least, self.value) {
            (Some(sites @ 1..=4), Some(value)) => bounds.push(Bound::SitesAtLeast { sites, value }),
            (Some(_), Some(_)) => return Err("`sites_at_least` is 1 to 4: a tooth has four sites".to_owned()),
            (Some(_), None) => return Err("`value` is missing beside `sites_at_least`".to_owned()),
            (None, Some(_)) => return Err("`value` stands only beside `sites_at_least`".to_owned()),
            (None, None) => {}
        }
        if let Some(classes) = &self.classes {
            bounds.push(Bound::Classes(check_classes(classes)?));
        }
        match bounds.as_slice() {
            [only] if only.is_finite() => Ok(only.clone()),
            [_] => Err("a bound must be a finite number".to_owned()),
            [] => Err("has no bound; give one of at_least, more_than, at_most, less_than, between, outside, sites_at_least, classes".to_owned()),
            _ => Err("has more than one bound; make a criterion of each".to_owned()),
        }
    }
}

impl Bound {
    fn is_finite(&self) -> bool {
        match self {
            Self::AtLeast(value)
            | Self::MoreThan(value)
            | Self::AtMost(value)
            | Self::LessThan(value)
            | Self::SitesAtLeast { value, .. } => value.is_finite(),
            Self::Between(low, high) | Self::Outside(low, high) => low.is_finite() && high.is_finite(),
            Self::Classes(_) => true,
        }
    }
}

fn check_classes(raw: &[RawClass]) -> Result<Vec<Class>, String> {
    let mut classes = Vec::new();
    let mut previous = f64::NEG_INFINITY;
    for (index, class) in raw.iter().enumerate() {
        let is_last = index + 1 == raw.len();
        let end = match (class.below, class.up_to) {
            (Some(end), None) => Some(ClassEnd::Below(end)),
            (None, Some(end)) => Some(ClassEnd::UpTo(end)),
            (None, None) if is_last => None,
            _ => {
                return Err(format!(
                    "class {:?} needs either `below` or `up_to`; only the last has neither",
                    class.name
                ));
            }
        };
        if let Some(ClassEnd::Below(value) | ClassEnd::UpTo(value)) = end {
            if !value.is_finite() || value <= previous {
                return Err(format!("class {:?} must end above the class before it", class.name));
            }
            previous = value;
        }
        classes.push(Class { name: class.name.clone(), end });
    }
    match classes.last() {
        Some(Class { end: None, .. }) => Ok(classes),
        _ => Err("the last of `classes` must have no end, so that every value has a class".to_owned()),
    }
}

/// The rows of the catalogue a criterion's `measurement` means: `.*` over sites, `@*` over sections.
fn rows(measurement: &str) -> Result<Vec<&'static Row>, String> {
    let (rest, by_section) = match measurement.strip_suffix("@*") {
        Some(rest) => (rest, true),
        None => (measurement, false),
    };
    let (id, by_site) = match rest.strip_suffix(".*") {
        Some(id) => (id, true),
        None => (rest, false),
    };
    let rows: Vec<_> = CATALOGUE
        .iter()
        .filter(|row| {
            let repeats_alike = match row.repeat {
                Repeat::Once => !by_site && !by_section,
                Repeat::BySide | Repeat::ByProbedSite => by_site && !by_section,
                Repeat::BySection => !by_site && by_section,
                Repeat::BySideAndSection => by_site && by_section,
            };
            row.id == id && repeats_alike
        })
        .collect();
    if rows.is_empty() {
        let names: Vec<String> = CATALOGUE.iter().map(selector).collect();
        let near = did_you_mean(measurement, names.iter().map(String::as_str));
        return Err(format!("`measurement` is {measurement:?}, which the catalogue does not have{near}"));
    }
    Ok(rows)
}

/// How a criterion names a row of the catalogue.
fn selector(row: &Row) -> String {
    let suffix = match row.repeat {
        Repeat::Once => "",
        Repeat::BySide | Repeat::ByProbedSite => ".*",
        Repeat::BySection => "@*",
        Repeat::BySideAndSection => ".*@*",
    };
    format!("{}{suffix}", row.id)
}
