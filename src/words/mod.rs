//! The languages of the app.
//!
//! The code speaks English, and marks what people read: [`tr`](crate::words::tr) for a text,
//! [`say!`](crate::say) for one with places in it, [`count!`](crate::count) for one that depends on
//! a number, [`mark`](crate::words::mark) for one that stands in a table and is translated where it
//! is shown. `cargo dev words` gathers all of them into `src/words/peelcast.pot`, and every other
//! language is one file in the same format beside it (GNU gettext's PO). The app loads the one that
//! is set, and speaks English where none is.
//!
//! ```
//! use peelcast::words::{Catalogue, Language, set, tr};
//! use peelcast::{count, say};
//!
//! assert_eq!(tr("Plan"), "Plan");
//! assert_eq!(say!("{mass} to bring", mass = "412 g"), "412 g to bring");
//! let jobs = 3;
//! assert_eq!(count!(jobs, "{jobs} job", "{jobs} jobs"), "3 jobs");
//!
//! let german = Catalogue::of([
//!     ("{mass} to bring", vec!["{mass} mitbringen"]),
//!     ("{jobs} job", vec!["{jobs} Auftrag", "{jobs} Aufträge"]),
//! ]);
//! set(Language::German, Some(german));
//! assert_eq!(say!("{mass} to bring", mass = "412 g"), "412 g mitbringen");
//! assert_eq!(count!(jobs, "{jobs} job", "{jobs} jobs"), "3 Aufträge");
//! ```

mod catalogue;
mod fill;
mod language;

pub use catalogue::{Catalogue, key};
pub use fill::fill;
pub use language::Language;

use std::cell::Cell;

thread_local! {
    static NOW: Cell<(Language, Option<&'static Catalogue>)> =
        const { Cell::new((Language::English, None)) };
}

/// The language that is set.
pub fn language() -> Language {
    NOW.get().0
}

/// Sets the language of this thread, with its texts; what they lack stays English. Set it once, at
/// the start: texts that were asked for before stay as they are, and the catalogue stays in memory.
pub fn set(language: Language, catalogue: Option<Catalogue>) {
    let catalogue = catalogue.map(|catalogue| &*Box::leak(Box::new(catalogue)));
    NOW.set((language, catalogue));
}

/// The texts that are set, as the file that they were read from; none in English.
pub fn written() -> Option<String> {
    Some(NOW.get().1?.written())
}

/// A text in the language that is set.
pub fn tr(english: &'static str) -> &'static str {
    chosen(english, 0).unwrap_or(english)
}

/// A text of a table, in English: it is gathered like the others, and whoever shows it asks [`tr`].
pub const fn mark(english: &'static str) -> &'static str {
    english
}

/// A text that is the same in every language, or that only developers read.
pub const fn verbatim(text: &'static str) -> &'static str {
    text
}

/// A text that stands alone, made to stand inside a sentence: with a small first letter, but in
/// languages whose nouns begin with a capital.
pub fn lower(text: &str) -> String {
    let mut letters = text.chars();
    match (language(), letters.next()) {
        (Language::English, Some(first)) => {
            let small = first.to_ascii_lowercase();
            std::iter::once(small).chain(letters).collect()
        }
        _ => text.to_owned(),
    }
}

/// The text for a number of things, of the two forms that English has.
pub fn tr_count(number: usize, one: &'static str, many: &'static str) -> &'static str {
    let form = language().form(number);
    chosen(one, form).unwrap_or(if number == 1 { one } else { many })
}

fn chosen(english: &str, form: usize) -> Option<&'static str> {
    NOW.get().1?.text(english, form)
}

/// A sentence with places in it, in the language that is set: the text, then what stands in each
/// place, as `name = value` or, for a variable of that name, as `name`. Numbers are written by
/// [`show`](crate::quantity::show) before, since each language has its own sign for decimals.
#[macro_export]
macro_rules! say {
    ($text:literal $(, $place:ident $(= $value:expr)?)* $(,)?) => {
        $crate::words::fill(
            $crate::words::tr($text),
            &[$((stringify!($place), &$crate::place!($place $(= $value)?))),*],
        )
    };
}

/// A sentence that depends on a number: the number, the text for one, the text for several, then
/// what stands in each place; the number's own place needs no mention if it is a variable.
#[macro_export]
macro_rules! count {
    ($number:ident, $one:literal, $many:literal $(, $place:ident $(= $value:expr)?)* $(,)?) => {
        $crate::words::fill(
            $crate::words::tr_count($number as usize, $one, $many),
            &[
                (stringify!($number), &$number),
                $((stringify!($place), &$crate::place!($place $(= $value)?))),*
            ],
        )
    };
}

/// What stands in a place: its value, or the variable of its name.
#[doc(hidden)]
#[macro_export]
macro_rules! place {
    ($place:ident = $value:expr) => {
        $value
    };
    ($place:ident) => {
        $place
    };
}
