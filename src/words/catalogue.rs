//! The texts of one language, as the app loads them.

use serde_json::{Map, Value};
use std::collections::HashMap;

/// The texts of one language by the keys of the English ones; a text that depends on a number has
/// a form for each of the language's cases.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Catalogue {
    texts: HashMap<u32, Vec<String>>,
}

/// What an English text is found by: it is shorter than the text, and the download too. That no
/// two texts share one is checked when they are gathered. (FNV-1a, 32 bits: G. Fowler, L. Noll,
/// K.-P. Vo; RFC 9923 has its constants.)
pub const fn key(english: &str) -> u32 {
    let bytes = english.as_bytes();
    let mut hash = 0x811c_9dc5_u32;
    let mut i = 0;
    while i < bytes.len() {
        hash = (hash ^ bytes[i] as u32).wrapping_mul(0x0100_0193);
        i += 1;
    }
    hash
}

impl Catalogue {
    /// Of English texts and their forms in this language.
    pub fn of<'a>(texts: impl IntoIterator<Item = (&'a str, Vec<&'a str>)>) -> Self {
        let owned = |forms: Vec<&str>| forms.into_iter().map(str::to_owned).collect();
        let texts = texts.into_iter();
        let texts = texts.map(|(english, forms)| (key(english), owned(forms)));
        Self {
            texts: texts.collect(),
        }
    }

    /// Reads the file of a language; `None` if it is none.
    ///
    /// ```
    /// use peelcast::words::Catalogue;
    ///
    /// let of = Catalogue::of([("Plan", vec!["Plan"]), ("{n} job", vec!["{n} A", "{n} B"])]);
    /// assert_eq!(Catalogue::read(&of.written()), Some(of));
    /// assert_eq!(Catalogue::read("<!doctype html>"), None);
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        let file: Value = serde_json::from_str(text).ok()?;
        let mut texts = HashMap::new();
        for (key, forms) in file.as_object()? {
            let key = u32::from_str_radix(key, 36).ok()?;
            let owned = |form: &Value| form.as_str().map(str::to_owned);
            let forms = match forms {
                Value::Array(forms) => forms.iter().map(owned).collect::<Option<_>>()?,
                form => vec![owned(form)?],
            };
            texts.insert(key, forms);
        }
        Some(Self { texts })
    }

    /// The file of a language: a JSON object from keys (base 36) to texts, or lists of their forms.
    pub fn written(&self) -> String {
        let value = |forms: &Vec<String>| match forms.as_slice() {
            [only] => Value::from(only.as_str()),
            forms => Value::from(forms),
        };
        let texts = self.texts.iter();
        let file: Map<String, Value> = texts
            .map(|(key, forms)| (base_36(*key), value(forms)))
            .collect();
        Value::from(file).to_string()
    }

    /// The text for an English one, in one of its forms.
    pub(super) fn text(&self, english: &str, form: usize) -> Option<&str> {
        self.texts.get(&key(english))?.get(form).map(String::as_str)
    }
}

fn base_36(mut number: u32) -> String {
    let mut digits = Vec::new();
    loop {
        digits.extend(char::from_digit(number % 36, 36));
        number /= 36;
        if number == 0 {
            return digits.iter().rev().collect();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_those_of_the_published_function() {
        // RFC 9923 (second-hand, the usual test vectors): FNV-1a of "", "a", "foobar".
        assert_eq!(key(""), 0x811c_9dc5);
        assert_eq!(key("a"), 0xe40c_292c);
        assert_eq!(key("foobar"), 0xbf9c_f968);
    }

    #[test]
    fn numbers_in_base_36_are_read_back() {
        for number in [0, 1, 35, 36, 1_000_000, u32::MAX] {
            assert_eq!(u32::from_str_radix(&base_36(number), 36), Ok(number));
        }
    }
}
