//! JSON with a place in it: text to values that refuse duplicate keys, and readers that know where they stand.

use super::error::{CaseError, ErrorKind};
use crate::calibration::Extra;
use crate::caution::{Caution, CautionKind};
use crate::wording::{did_you_mean, near};
use serde::de::{DeserializeSeed, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use std::cell::RefCell;
use std::fmt;

/// Reads JSON text into a value.
///
/// # Errors
/// What is not JSON, a key that stands twice, or a number that is not finite; with line and column, and for a
/// duplicate key its place.
pub(super) fn parse(text: &str) -> Result<Value, CaseError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let place = RefCell::new(Vec::new());
    let mut source = serde_json::Deserializer::from_str(text);
    let parsed =
        Strict { place: &place }.deserialize(&mut source).and_then(|value| source.end().map(|()| value));
    parsed.map_err(|error| {
        let steps = place.borrow().join("/");
        let pointer = (!steps.is_empty()).then(|| format!("/{steps}"));
        CaseError::new(ErrorKind::NotJson(error.to_string()), pointer)
    })
}

/// Builds a value, keeping track of the place, so that a failure can name it.
struct Strict<'a> {
    place: &'a RefCell<Vec<String>>,
}

impl<'de> DeserializeSeed<'de> for Strict<'_> {
    type Value = Value;
    fn deserialize<D: serde::Deserializer<'de>>(self, source: D) -> Result<Value, D::Error> {
        source.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Strict<'_> {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }
    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }
    fn visit_bool<E>(self, it: bool) -> Result<Value, E> {
        Ok(Value::Bool(it))
    }
    fn visit_u64<E>(self, it: u64) -> Result<Value, E> {
        Ok(it.into())
    }
    fn visit_i64<E>(self, it: i64) -> Result<Value, E> {
        Ok(it.into())
    }
    fn visit_f64<E: serde::de::Error>(self, it: f64) -> Result<Value, E> {
        serde_json::Number::from_f64(it)
            .map(Value::Number)
            .ok_or_else(|| E::custom("a number must be finite"))
    }
    fn visit_str<E>(self, it: &str) -> Result<Value, E> {
        Ok(Value::String(it.to_owned()))
    }
    fn visit_string<E>(self, it: String) -> Result<Value, E> {
        Ok(Value::String(it))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut all = Vec::new();
        self.place.borrow_mut().push("0".to_owned());
        while let Some(item) = items.next_element_seed(Strict { place: self.place })? {
            all.push(item);
            if let Some(step) = self.place.borrow_mut().last_mut() {
                *step = all.len().to_string();
            }
        }
        self.place.borrow_mut().pop();
        Ok(Value::Array(all))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut all = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            self.place.borrow_mut().push(escaped(&key));
            if all.contains_key(&key) {
                return Err(serde::de::Error::custom(format!("the key {key:?} stands twice")));
            }
            let value = entries.next_value_seed(Strict { place: self.place })?;
            self.place.borrow_mut().pop();
            all.insert(key, value);
        }
        Ok(Value::Object(all))
    }
}

/// A key as a step of an RFC 6901 pointer.
fn escaped(key: &str) -> String {
    key.replace('~', "~0").replace('/', "~1")
}

/// The way from the document's root to a value.
#[derive(Clone, Copy)]
pub(super) enum Trail<'a> {
    Root,
    Key(&'a Trail<'a>, &'a str),
    Index(&'a Trail<'a>, usize),
}

impl fmt::Display for Trail<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Root => Ok(()),
            Self::Key(parent, key) => write!(f, "{parent}/{}", escaped(key)),
            Self::Index(parent, index) => write!(f, "{parent}/{index}"),
        }
    }
}

/// A value and where it stands.
#[derive(Clone, Copy)]
pub(super) struct Node<'a> {
    pub(super) value: &'a Value,
    pub(super) at: &'a Trail<'a>,
}

impl<'a> Node<'a> {
    /// An error about this value.
    pub(super) fn wrong(&self, why: impl Into<String>) -> CaseError {
        wrong(self.at, why)
    }

    fn expected(&self, what: &str) -> CaseError {
        let found = match self.value {
            Value::Null => "null (leave the key out where nothing is known)".to_owned(),
            Value::Bool(it) => it.to_string(),
            Value::Number(it) => it.to_string(),
            Value::String(it) => format!("{it:?}"),
            Value::Array(_) => "a list".to_owned(),
            Value::Object(_) => "an object".to_owned(),
        };
        self.wrong(format!("is {found}, but must be {what}"))
    }

    /// A number within bounds that physics or geometry sets.
    pub(super) fn number_in(self, least: f64, most: f64, unit: &str) -> Result<f64, CaseError> {
        let number = number(self)?;
        if (least..=most).contains(&number) {
            return Ok(number);
        }
        Err(self.wrong(format!("is {number}, but must be {least} to {most}{unit}")))
    }

    pub(super) fn text(self) -> Result<&'a str, CaseError> {
        self.value.as_str().ok_or_else(|| self.expected("text in quotes"))
    }

    /// One of a few words.
    pub(super) fn word<T: Copy>(self, words: &[(&'static str, T)]) -> Result<T, CaseError> {
        let text = self.text()?;
        words.iter().find(|(word, _)| *word == text).map(|(_, choice)| *choice).ok_or_else(|| {
            let known: Vec<_> = words.iter().map(|(word, _)| *word).collect();
            self.wrong(format!(
                "is {text:?}, but must be one of {}{}",
                known.join(", "),
                did_you_mean(text, known.iter().copied())
            ))
        })
    }

    pub(super) fn items<T>(
        self,
        mut read: impl FnMut(Node<'_>) -> Result<T, CaseError>,
    ) -> Result<Vec<T>, CaseError> {
        let items = self.value.as_array().ok_or_else(|| self.expected("a list"))?;
        items
            .iter()
            .enumerate()
            .map(|(index, value)| read(Node { value, at: &Trail::Index(self.at, index) }))
            .collect()
    }

    pub(super) fn fields(self) -> Result<Fields<'a>, CaseError> {
        let map = self.value.as_object().ok_or_else(|| self.expected("an object"))?;
        Ok(Fields { map, at: self.at, known: Vec::new() })
    }
}

/// A number. Free functions, not methods, so that they can be handed to a reader of any lifetime.
pub(super) fn number(node: Node<'_>) -> Result<f64, CaseError> {
    node.value.as_f64().filter(|it| it.is_finite()).ok_or_else(|| node.expected("a number"))
}

/// A standard uncertainty: 0 or more.
pub(super) fn spread(node: Node<'_>) -> Result<f64, CaseError> {
    let spread = number(node)?;
    if spread >= 0.0 {
        Ok(spread)
    } else {
        Err(node.wrong(format!("is {spread}, but an uncertainty is 0 or more")))
    }
}

/// A whole number above 0.
pub(super) fn count(node: Node<'_>) -> Result<u32, CaseError> {
    node.value
        .as_u64()
        .and_then(|it| u32::try_from(it).ok())
        .filter(|it| *it > 0)
        .ok_or_else(|| node.expected("a whole number above 0"))
}

/// A whole number from 0 to `most`.
pub(super) fn up_to(node: Node<'_>, most: u8) -> Result<u8, CaseError> {
    node.value
        .as_u64()
        .and_then(|it| u8::try_from(it).ok())
        .filter(|it| *it <= most)
        .ok_or_else(|| node.expected(&format!("a whole number from 0 to {most}")))
}

/// True or false.
pub(super) fn truth(node: Node<'_>) -> Result<bool, CaseError> {
    node.value.as_bool().ok_or_else(|| node.expected("true or false"))
}

/// An error at a place.
pub(super) fn wrong(at: &Trail<'_>, why: impl Into<String>) -> CaseError {
    let pointer = at.to_string();
    CaseError::new(ErrorKind::Wrong(why.into()), Some(pointer))
}

/// What is done with keys nobody asked for.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Unknown {
    /// An error with the near name: here a misspelt key would silently become a default.
    Refuse,
    /// Kept and written back, with a caution.
    Keep,
}

/// The fields of an object, and which of them were asked for.
pub(super) struct Fields<'a> {
    map: &'a Map<String, Value>,
    pub(super) at: &'a Trail<'a>,
    known: Vec<&'static str>,
}

impl<'a> Fields<'a> {
    pub(super) fn optional<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(Node<'_>) -> Result<T, CaseError>,
    ) -> Result<Option<T>, CaseError> {
        self.known.push(key);
        self.map.get(key).map(|value| read(Node { value, at: &Trail::Key(self.at, key) })).transpose()
    }

    pub(super) fn required<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(Node<'_>) -> Result<T, CaseError>,
    ) -> Result<T, CaseError> {
        let at = self.at;
        self.optional(key, read)?.ok_or_else(|| wrong(at, format!("has no {key:?}; it is needed here")))
    }

    pub(super) fn has(&self, key: &str) -> bool {
        self.map.contains_key(key)
    }

    /// Counts keys as known that are not read.
    pub(super) fn skip(&mut self, keys: &[&'static str]) {
        self.known.extend(keys);
    }

    /// The keys and values not asked for yet.
    pub(super) fn others(&self) -> impl Iterator<Item = (&'a String, &'a Value)> + use<'a> {
        let known = self.known.clone();
        self.map.iter().filter(move |(key, _)| !known.contains(&key.as_str()))
    }

    /// What is left once every known key was asked for.
    pub(super) fn rest(self, unknown: Unknown, cautions: &mut Vec<Caution>) -> Result<Extra, CaseError> {
        let mut extra = Extra::new();
        for (key, value) in self.others() {
            if !key.starts_with("x-") {
                let at = Trail::Key(self.at, key);
                if unknown == Unknown::Refuse {
                    let near = did_you_mean(key, self.known.iter().copied());
                    let advice = if near.is_empty() {
                        format!("; known here: {}", self.known.join(", "))
                    } else {
                        near
                    };
                    return Err(wrong(
                        &at,
                        format!("is not known here{advice} (keys of your own begin with x-)"),
                    ));
                }
                let caution = Caution::about(CautionKind::UnknownKey, at.to_string().trim_start_matches('/'));
                cautions.push(match near(key, self.known.iter().copied()) {
                    Some(near) => caution.detail(format!("did you mean {near:?}?")),
                    None => caution,
                });
            }
            extra.insert(key.clone(), value.clone());
        }
        Ok(extra)
    }
}
