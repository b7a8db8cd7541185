//! A field of a request that knows its own path, so that every error can name it.

use chrono::{DateTime, NaiveDate, Utc};
use peelcast::quantity::iso;
use serde::Deserialize;
use serde_json::value::RawValue;
use std::collections::BTreeMap;
use std::fmt::Display;

/// A piece of JSON that isn't read yet, and where it stands in the request.
#[derive(Clone, Debug)]
pub struct Field<'a> {
    path: String,
    raw: &'a RawValue,
}

/// The fields of an object.
#[derive(Clone, Debug)]
pub struct Fields<'a> {
    path: String,
    by_name: BTreeMap<String, &'a RawValue>,
}

impl<'a> Field<'a> {
    /// A whole request.
    pub fn root(raw: &'a RawValue) -> Self {
        Self {
            path: String::new(),
            raw,
        }
    }

    /// The same field as a request of its own.
    pub fn as_root(&self) -> Self {
        Self::root(self.raw)
    }

    /// An error about this field.
    pub fn error(&self, sentence: impl Display) -> String {
        let path = if self.path.is_empty() {
            "request"
        } else {
            &self.path
        };
        format!("{path}: {sentence}")
    }

    fn expected(&self, what: &str) -> String {
        self.error(format!("expected {what}, found {}.", self.kind()))
    }

    /// What stands here, for people.
    fn kind(&self) -> &'static str {
        match self.raw.get().as_bytes().first() {
            Some(b'{') => "an object",
            Some(b'[') => "a list",
            Some(b'"') => "a text",
            Some(b'n') => "null",
            Some(b't' | b'f') => "true or false",
            _ => "a number",
        }
    }

    /// Whatever can be read of it; `what` says what was expected.
    pub fn parse<T: Deserialize<'a>>(&self, what: &str) -> Result<T, String> {
        serde_json::from_str(self.raw.get()).map_err(|_| self.expected(what))
    }

    /// Whether nothing stands here.
    pub fn is_null(&self) -> bool {
        self.kind() == "null"
    }

    /// The fields of an object.
    pub fn fields(&self) -> Result<Fields<'a>, String> {
        Ok(Fields {
            path: self.path.clone(),
            by_name: self.parse("an object")?,
        })
    }

    /// The members of a list.
    pub fn list(&self) -> Result<Vec<Field<'a>>, String> {
        let members: Vec<&'a RawValue> = self.parse("a list")?;
        Ok(members
            .into_iter()
            .enumerate()
            .map(|(i, raw)| Self {
                path: format!("{}[{i}]", self.path),
                raw,
            })
            .collect())
    }

    /// A list of exactly `N` members.
    fn group<const N: usize>(&self, what: &str) -> Result<[Field<'a>; N], String> {
        let members = self.list().map_err(|_| self.expected(what))?;
        let found = members.len();
        members
            .try_into()
            .map_err(|_| self.error(format!("expected {what}, found a list of {found}.")))
    }

    /// An ordinary number.
    pub fn number(&self) -> Result<f64, String> {
        if self.kind() == "a number" {
            self.parse(&format!("a number in range, not {}", self.raw.get()))
                .map_err(|_| self.error(format!("the number {} is out of range.", self.raw.get())))
        } else {
            Err(self.expected("a number"))
        }
    }

    /// A number above 0.
    pub fn positive(&self) -> Result<f64, String> {
        let number = self.number()?;
        if number > 0.0 {
            Ok(number)
        } else {
            Err(self.error(format!("expected a number above 0, found {number}.")))
        }
    }

    /// A whole number of pixels.
    pub fn pixels(&self) -> Result<u32, String> {
        let number = self.number()?;
        if number.fract() == 0.0 && (1.0..=1e6).contains(&number) {
            Ok(number as u32)
        } else {
            Err(self.error(format!(
                "expected a whole number of pixels from 1 to 1000000, found {number}."
            )))
        }
    }

    /// A whole number, 0 or more.
    pub fn count(&self) -> Result<u32, String> {
        let number = self.number()?;
        if number.fract() == 0.0 && (0.0..=1e6).contains(&number) {
            Ok(number as u32)
        } else {
            Err(self.error(format!(
                "expected a whole number from 0 to 1000000, found {number}."
            )))
        }
    }

    /// A day.
    pub fn day(&self) -> Result<NaiveDate, String> {
        iso::read_day(&self.text()?)
            .ok_or_else(|| self.error("expected a day as year-month-day, such as \"2026-05-03\"."))
    }

    /// A moment with its day, its time and its distance from Coordinated Universal Time.
    pub fn moment(&self) -> Result<DateTime<Utc>, String> {
        iso::read_moment(&self.text()?).ok_or_else(|| {
            self.error("expected a day with its time, such as \"2026-05-03T12:00:00Z\".")
        })
    }

    /// Two numbers.
    pub fn pair(&self) -> Result<[f64; 2], String> {
        let [x, y] = self.group("a list of two numbers")?;
        Ok([x.number()?, y.number()?])
    }

    /// Three numbers.
    pub fn triple(&self) -> Result<[f64; 3], String> {
        let [x, y, z] = self.group("a list of three numbers")?;
        Ok([x.number()?, y.number()?, z.number()?])
    }

    /// Width and height.
    pub fn size(&self) -> Result<[u32; 2], String> {
        let [width, height] = self.group("a list of two whole numbers")?;
        Ok([width.pixels()?, height.pixels()?])
    }

    /// A list of pairs.
    pub fn pairs(&self) -> Result<Vec<[f64; 2]>, String> {
        self.list()?.iter().map(Field::pair).collect()
    }

    /// True or false.
    pub fn truth(&self) -> Result<bool, String> {
        self.parse("true or false")
    }

    /// A text.
    pub fn text(&self) -> Result<String, String> {
        self.parse("a text")
    }
}

impl<'a> Fields<'a> {
    fn at(&self, name: &str) -> String {
        if self.path.is_empty() {
            name.to_owned()
        } else {
            format!("{}.{name}", self.path)
        }
    }

    /// A field that must be there.
    pub fn required(&self, name: &str) -> Result<Field<'a>, String> {
        match self.by_name.get(name) {
            Some(raw) => Ok(Field {
                path: self.at(name),
                raw,
            }),
            None => Err(format!("{}: this field is missing.", self.at(name))),
        }
    }

    /// A field that may be missing or null.
    pub fn optional(&self, name: &str) -> Option<Field<'a>> {
        self.required(name).ok().filter(|f| !f.is_null())
    }

    /// All names that are there.
    pub fn names(&self) -> Vec<String> {
        self.by_name.keys().cloned().collect()
    }

    /// The names that are not among those known here, as paths.
    pub fn unknown(&self, known: &[&str]) -> Vec<String> {
        self.by_name
            .keys()
            .filter(|name| !known.contains(&name.as_str()))
            .map(|name| self.at(name))
            .collect()
    }
}
