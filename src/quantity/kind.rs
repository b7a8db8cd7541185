//! The words that a typed quantity may use: units with their sizes, kind by kind.

use super::factor::*;
use crate::words::mark;

/// One kind of quantity: how it is called, its units, and what a bare number means.
pub(super) struct Kind {
    /// "length", for "not a unit of length".
    pub noun: &'static str,
    /// "a length", for "a length can't be below zero".
    pub article: &'static str,
    /// "12 or 0.5", for "type it like".
    pub example: &'static str,
    /// "mm or in", for "use".
    pub known: &'static str,
    /// Names of units in lower case, and how many of the program's unit each is.
    pub units: &'static [(&'static str, f64)],
    /// After a number in the first unit, a bare number is in the second.
    pub below: &'static [(&'static str, &'static str)],
}

pub(super) const LENGTH: Kind = Kind {
    noun: mark("length"),
    article: mark("a length"),
    example: mark("32.4 cm or 12 3/4 in"),
    known: mark("mm, cm, m, in or ft"),
    units: &[
        ("mm", 1.0),
        ("cm", 10.0),
        ("m", 1000.0),
        ("in", MM_PER_INCH),
        ("inch", MM_PER_INCH),
        ("inches", MM_PER_INCH),
        ("\"", MM_PER_INCH),
        ("ft", MM_PER_FOOT),
        ("foot", MM_PER_FOOT),
        ("feet", MM_PER_FOOT),
        ("'", MM_PER_FOOT),
    ],
    below: &[
        ("ft", "in"),
        ("foot", "in"),
        ("feet", "in"),
        ("'", "in"),
        ("m", "cm"),
    ],
};

pub(super) const MASS: Kind = Kind {
    noun: mark("mass"),
    article: mark("a mass"),
    example: mark("412 g or 2 lb 3 oz"),
    known: mark("g, kg, oz or lb"),
    units: &[
        ("g", 1.0),
        ("gram", 1.0),
        ("grams", 1.0),
        ("kg", 1000.0),
        ("oz", GRAMS_PER_OUNCE),
        ("ounce", GRAMS_PER_OUNCE),
        ("ounces", GRAMS_PER_OUNCE),
        ("lb", GRAMS_PER_POUND),
        ("lbs", GRAMS_PER_POUND),
        ("pound", GRAMS_PER_POUND),
        ("pounds", GRAMS_PER_POUND),
    ],
    below: &[
        ("lb", "oz"),
        ("lbs", "oz"),
        ("pound", "oz"),
        ("pounds", "oz"),
        ("kg", "g"),
    ],
};

pub(super) const VOLUME: Kind = Kind {
    noun: mark("volume"),
    article: mark("a volume"),
    example: mark("250 ml or 8 fl oz"),
    known: mark("ml, l, fl oz or gal (US)"),
    units: &[
        ("ml", 1.0),
        ("cm3", 1.0),
        ("cm³", 1.0),
        ("cc", 1.0),
        ("l", 1000.0),
        ("litre", 1000.0),
        ("litres", 1000.0),
        ("liter", 1000.0),
        ("liters", 1000.0),
        ("fl oz", ML_PER_FLUID_OUNCE),
        ("floz", ML_PER_FLUID_OUNCE),
        ("oz", ML_PER_FLUID_OUNCE),
        ("gal", ML_PER_GALLON),
        ("gallon", ML_PER_GALLON),
        ("gallons", ML_PER_GALLON),
    ],
    below: &[("gal", "fl oz"), ("l", "ml")],
};

pub(super) const TIME: Kind = Kind {
    noun: mark("time"),
    article: mark("a time"),
    example: mark("12 min or 1 h 20 min"),
    known: mark("s, min, h or d"),
    units: &[
        ("s", 1.0 / 60.0),
        ("sec", 1.0 / 60.0),
        ("min", 1.0),
        ("mins", 1.0),
        ("minute", 1.0),
        ("minutes", 1.0),
        ("h", 60.0),
        ("hr", 60.0),
        ("hrs", 60.0),
        ("hour", 60.0),
        ("hours", 60.0),
        ("d", 1440.0),
        ("day", 1440.0),
        ("days", 1440.0),
    ],
    below: &[
        ("h", "min"),
        ("hr", "min"),
        ("hrs", "min"),
        ("hour", "min"),
        ("hours", "min"),
        ("min", "s"),
        ("d", "h"),
    ],
};

/// A temperature is one number; its unit is not a factor, so it is read in degrees as typed.
pub(super) const TEMPERATURE: Kind = Kind {
    noun: mark("temperature"),
    article: mark("a temperature"),
    example: mark("20 C or 68 F"),
    known: mark("C or F"),
    units: &[
        ("c", 1.0),
        ("°c", 1.0),
        ("° c", 1.0),
        ("celsius", 1.0),
        ("f", 1.0),
        ("°f", 1.0),
        ("° f", 1.0),
        ("fahrenheit", 1.0),
    ],
    below: &[],
};

pub(super) const NUMBER: Kind = Kind {
    noun: mark("plain number"),
    article: mark("this number"),
    example: "12 or 0.5",
    known: mark("a number without a unit"),
    units: &[("", 1.0)],
    below: &[],
};
