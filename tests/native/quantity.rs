//! Numbers as people type and read them.

use peelcast::quantity::parse;
use peelcast::quantity::show::{self, System};
use peelcast::quantity::{
    Celsius, Estimate, Grams, Millilitres, Millimetres, Minutes, SquareMillimetres,
};
use proptest::prelude::*;

use System::{Metric, UsCustomary};

#[test]
fn lengths_as_typed() {
    for (text, system, mm) in [
        ("12 3/4 in", Metric, 323.85),
        ("12-3/4 in", Metric, 323.85),
        ("12¾ in", Metric, 323.85),
        ("12 ¾”", Metric, 323.85),
        ("32,4 cm", UsCustomary, 324.0),
        ("1' 2\"", Metric, 355.6),
        ("1’ 2″", Metric, 355.6),
        ("1'2", Metric, 355.6),
        ("1 ft 2 in", Metric, 355.6),
        ("0.5", Metric, 0.5),
        ("0.5", UsCustomary, 12.7),
        (".5", Metric, 0.5),
        ("0,125", UsCustomary, 3.175),
        ("1/4\"", Metric, 6.35),
        ("1⁄4 in.", Metric, 6.35),
        ("3/4", UsCustomary, 19.05),
        ("  1 m 20 ", Metric, 1200.0),
        ("12 MM", UsCustomary, 12.0),
        ("0", Metric, 0.0),
    ] {
        let read = parse::length(text, system).map(|l| l.0);
        assert!(
            read.as_ref().is_ok_and(|l| (l - mm).abs() < 1e-9),
            "{text}: {read:?}"
        );
    }
}

#[test]
fn masses_volumes_times_and_temperatures_as_typed() {
    let close = |a: f64, b: f64| (a - b).abs() < 1e-9;
    // NIST SP 811: 1 lb = 453.59237 g, 1 oz = 28.349523125 g, 1 US fl oz = 29.5735295625 ml.
    let two_three = parse::mass("2 lb 3 oz", Metric).unwrap().0;
    assert!(close(two_three, 2.0 * 453.592_37 + 3.0 * 28.349_523_125));
    assert_eq!(parse::mass("2 lb 3", Metric).unwrap().0, two_three);
    assert_eq!(parse::mass("1.5 kg", UsCustomary).unwrap(), Grams(1500.0));
    assert!(close(parse::mass("8", UsCustomary).unwrap().0, 226.796_185));
    let cup = parse::volume("8 fl oz", Metric).unwrap().0;
    assert!(close(cup, 236.588_236_5));
    assert_eq!(parse::volume("8", UsCustomary).unwrap().0, cup);
    assert_eq!(parse::volume("0,25 l", Metric).unwrap(), Millilitres(250.0));
    assert_eq!(parse::minutes("1 h 20 min").unwrap(), Minutes(80.0));
    assert_eq!(parse::minutes("1h20").unwrap(), Minutes(80.0));
    assert_eq!(parse::minutes("90 s").unwrap(), Minutes(1.5));
    assert_eq!(parse::minutes("12").unwrap(), Minutes(12.0));
    assert!(close(parse::temperature("68 F", Metric).unwrap().0, 20.0));
    assert!(close(
        parse::temperature("400°F", Metric).unwrap().0,
        204.444_444_444_444_46
    ));
    assert!(close(
        parse::temperature("68", UsCustomary).unwrap().0,
        20.0
    ));
    assert_eq!(parse::temperature("-5", Metric).unwrap(), Celsius(-5.0));
    assert_eq!(
        parse::temperature("−5 °C", UsCustomary).unwrap(),
        Celsius(-5.0)
    );
    assert_eq!(parse::number("-1,5").unwrap(), -1.5);
    assert_eq!(parse::number("3/8").unwrap(), 0.375);
}

#[test]
fn what_cannot_be_read_is_named_in_a_sentence() {
    let length = |text| parse::length(text, Metric).unwrap_err().to_string();
    assert_eq!(
        length(""),
        "Nothing is typed yet. Type a number, for example 32.4 cm or 12 3/4 in."
    );
    assert_eq!(
        length("abc"),
        "“abc” can't be read as a number. Type it like 32.4 cm or 12 3/4 in."
    );
    assert_eq!(
        length("1,200 mm"),
        "“1,200 mm” could mean 1.200 or 1200. Type the one you mean, without a comma."
    );
    assert_eq!(
        length("3/0 in"),
        "“3/0 in” divides by zero. Check the fraction."
    );
    assert_eq!(
        length("-4 mm"),
        "“-4 mm” is below zero; a length can't be. Take the minus sign away."
    );
    assert_eq!(
        length("4 kg"),
        "“4 kg”: “kg” is not a unit of length. Use mm, cm, m, in or ft."
    );
    assert_eq!(
        length("12 mm 5"),
        "“12 mm 5”: the number after “mm” needs its unit."
    );
    assert!(length("1.2.3").contains("more than one decimal mark"));
    assert!(length("12 3").contains("can't be read"));
    assert!(length("99999999 m").contains("far too large"));
    assert!(
        parse::number("12 mm")
            .unwrap_err()
            .to_string()
            .contains("“mm”")
    );
    assert!(parse::temperature("-300", Metric).is_err());
    assert!(parse::temperature("20 C 5 C", Metric).is_err());
}

#[test]
fn values_as_shown() {
    for (mm, metric, us) in [
        (0.0, "0 mm", "0 in"),
        (0.9, "0.9 mm", "1/32 in"),
        (6.35, "6.35 mm", "1/4 in"),
        (25.4, "25.4 mm", "1 in"),
        (323.85, "324 mm", "12 3/4 in"),
        (914.4, "914 mm", "3 ft"),
        (974.725, "975 mm", "3 ft 2 3/8 in"),
        (1234.0, "1.23 m", "4 ft 9/16 in"),
    ] {
        assert_eq!(show::length(Millimetres(mm), Metric), metric);
        assert_eq!(show::length(Millimetres(mm), UsCustomary), us);
    }
    for (grams, metric, us) in [
        (2.5, "2.5 g", "0.09 oz"),
        (412.0, "412 g", "14.5 oz"),
        (453.592_37, "454 g", "1 lb"),
        (1284.0, "1284 g", "2 lb 13.3 oz"),
        (5000.0, "5 kg", "11 lb 0 oz"),
    ] {
        assert_eq!(show::mass(Grams(grams), Metric), metric);
        let shown = show::mass(Grams(grams), UsCustomary);
        assert_eq!(shown, us.trim_end_matches(" 0 oz"));
    }
    assert_eq!(show::area(SquareMillimetres(60_000.0), Metric), "600 cm²");
    assert_eq!(
        show::area(SquareMillimetres(92_903.04), UsCustomary),
        "144 sq in"
    );
    assert_eq!(
        show::area(SquareMillimetres(929_030.4), UsCustomary),
        "10 sq ft"
    );
    assert_eq!(show::volume(Millilitres(1500.0), Metric), "1.5 l");
    assert_eq!(show::temperature(Celsius(204.0), UsCustomary), "399 °F");
    assert_eq!(show::temperature(Celsius(-0.2), Metric), "0 °C");
    for (minutes, text) in [
        (0.0, "0 min"),
        (0.75, "45 s"),
        (1.5, "90 s"),
        (12.4, "12 min"),
        (60.0, "1 h"),
        (80.0, "1 h 20 min"),
        (1500.0, "25 h"),
        (3060.0, "2 d 3 h"),
        (-80.0, "-1 h 20 min"),
    ] {
        assert_eq!(show::duration(Minutes(minutes)), text);
    }
}

#[test]
fn weighing_never_shortens() {
    assert_eq!(show::weighing(Grams(1284.0), Grams(1.0), Metric), "1284 g");
    assert_eq!(show::weighing(Grams(48.3), Grams(0.1), Metric), "48.3 g");
    let eighth = Grams(28.349_523_125 / 8.0);
    assert_eq!(
        show::weighing(eighth * 19.0, eighth, UsCustomary),
        "2 3/8 oz"
    );
}

#[test]
fn ranges_show_no_more_digits_than_the_spread_supports() {
    let mass = |value, sd| show::mass_range(&Estimate::positive(Grams(value), sd), Metric);
    assert_eq!(mass(412.0, 18.0), "412 g (380 to 450)");
    assert_eq!(mass(412.0, 180.0), "410 g (200 to 900)");
    assert_eq!(mass(412.0, 0.0), "412 g");
    assert_eq!(mass(2412.0, 18.0), "2.412 kg (2.38 to 2.45)");
    let area = Estimate::positive(SquareMillimetres(60_000.0), 600.0);
    assert_eq!(show::area_range(&area, Metric), "600.0 cm² (588 to 612)");
    let side = Estimate::positive(Millimetres(323.85), 3.0);
    assert_eq!(
        show::length_range(&side, UsCustomary),
        "12 3/4 in (12 1/2 to 13 in)"
    );
    let wait = Estimate::positive(Minutes(80.0), 10.0);
    assert_eq!(
        show::duration_range(&wait),
        "1 h 20 min (1 h 3 min to 1 h 42 min)"
    );
}

/// What is read back from what was shown, and half of what rounding may take.
fn back<Q>(
    shown: String,
    read: impl Fn(&str) -> Result<Q, parse::ParseError>,
) -> Result<Q, TestCaseError> {
    read(&shown).map_err(|e| TestCaseError::fail(format!("{shown}: {e}")))
}

proptest! {
    #[test]
    fn a_length_shown_is_read_back(mm in 0.0f64..20_000.0, us: bool) {
        let system = if us { UsCustomary } else { Metric };
        let read = back(show::length(Millimetres(mm), system), |t| parse::length(t, system))?;
        let half_step = match (us, mm) {
            (true, mm) if mm < 6.35 => 25.4 / 128.0,
            (true, _) => 25.4 / 32.0,
            (false, mm) if mm < 10.0 => 0.005,
            (false, mm) if mm < 100.0 => 0.05,
            (false, mm) if mm < 999.5 => 0.5,
            (false, _) => 5.0,
        };
        prop_assert!((read.0 - mm).abs() <= half_step + 1e-9);
    }

    #[test]
    fn a_mass_shown_is_read_back(grams in 0.0f64..80_000.0, us: bool) {
        let system = if us { UsCustomary } else { Metric };
        let read = back(show::mass(Grams(grams), system), |t| parse::mass(t, system))?;
        // Ounces are shown to a tenth, grams to the gram: up to half of that is rounded away.
        let rounding = match us {
            true if grams >= 28.3 => 1.42,
            false if grams >= 9.9 => 0.5,
            _ => 0.15,
        };
        prop_assert!((read.0 - grams).abs() <= 0.006 * grams + rounding);
    }

    #[test]
    fn a_volume_shown_is_read_back(ml in 0.0f64..20_000.0, us: bool) {
        let system = if us { UsCustomary } else { Metric };
        let read = back(show::volume(Millilitres(ml), system), |t| parse::volume(t, system))?;
        prop_assert!((read.0 - ml).abs() <= 0.006 * ml + 1.5);
    }

    #[test]
    fn a_temperature_shown_is_read_back(celsius in -30.0f64..300.0, us: bool) {
        let system = if us { UsCustomary } else { Metric };
        let read = back(show::temperature(Celsius(celsius), system), |t| parse::temperature(t, system))?;
        prop_assert!((read.0 - celsius).abs() <= 0.5 + 1e-9);
    }

    #[test]
    fn a_duration_shown_is_read_back(minutes in 0.0f64..10_000.0) {
        let read = back(show::duration(Minutes(minutes)), parse::minutes)?;
        // To the hour above two days, to the minute below.
        let rounding = if minutes >= 2879.0 { 60.0 } else { 0.5 };
        prop_assert!((read.0 - minutes).abs() <= rounding + 1e-9);
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,12}", typed in "[0-9 ,./'\"a-z-]{0,12}") {
        for text in [&text, &typed] {
            for system in [Metric, UsCustomary] {
                if let Ok(length) = parse::length(text, system) {
                    prop_assert!(length.0.is_finite() && length.0 >= 0.0);
                }
                for error in [
                    parse::mass(text, system).err(),
                    parse::volume(text, system).err(),
                    parse::temperature(text, system).err(),
                    parse::minutes(text).err(),
                    parse::number(text).err(),
                ] {
                    prop_assert!(error.is_none_or(|e| e.to_string().ends_with('.')));
                }
            }
        }
    }

    #[test]
    fn a_range_keeps_its_order(value in 0.01f64..1e6, relative in 0.001f64..1.0) {
        let estimate = Estimate::positive(Grams(value), value * relative);
        let shown = show::mass_range(&estimate, Metric);
        let numbers: Vec<f64> = shown
            .split(|c: char| !(c.is_ascii_digit() || c == '.'))
            .filter_map(|t| t.parse().ok())
            .collect();
        prop_assert_eq!(numbers.len(), 3, "{}", shown);
        prop_assert!(numbers[1] <= numbers[0] + 1e-9 && numbers[0] <= numbers[2] + 1e-9, "{}", shown);
    }
}

#[test]
fn german_numbers_are_shown_and_read_with_a_comma() {
    // A thread of its own: a language is set once for all.
    let german = std::thread::spawn(|| {
        peelcast::words::set(peelcast::words::Language::German, None);
        let metric = System::Metric;
        for (typed, millimetres) in [
            ("32,4 cm", 324.0),
            ("1,234 m", 1234.0),
            ("12 3/4 in", 323.85),
        ] {
            let read = parse::length(typed, metric).expect(typed);
            assert!((read.0 - millimetres).abs() < 1e-9, "{typed}: {read:?}");
        }
        assert_eq!(show::length(Millimetres(32.44), metric), "32,4 mm");
        assert_eq!(show::weighing(Grams(41.26), Grams(0.1), metric), "41,3 g");
        let shown = show::number(1.234, 3);
        assert_eq!(parse::number(&shown), Ok(1.234));
        let twofold = parse::number("1.234").unwrap_err().to_string();
        assert!(twofold.contains("1,234 or 1234"), "{twofold}");
    });
    german.join().expect("German numbers");
}

#[test]
fn what_keyboards_and_habits_make_of_a_length() {
    let metric = |text: &str| {
        parse::length(text, Metric)
            .unwrap_or_else(|e| panic!("{e}"))
            .0
    };
    let us = |text: &str| {
        parse::length(text, UsCustomary)
            .unwrap_or_else(|e| panic!("{e}"))
            .0
    };
    for text in [
        "12 3/4 in",
        "12-3/4 in",
        "12 3/4\"",
        "12 3⁄4 in",
        "12 3∕4 in",
        "12\u{a0}3/4\u{a0}in",
        "12\u{202f}3/4 in",
        "12¾ in",
        "12 ¾ in",
        "12-¾ in",
        "12‑3/4 inches",
        "12 3/4”",
        "12 3/4″",
        "12 3/4 ''",
        "12 3/4′′",
        "1' 3/4\"",
        "1 ft 3/4 in",
        "12,75 in",
        "12.75in",
    ] {
        assert!((metric(text) - 323.85).abs() < 1e-9, "{text}");
    }
    for text in ["12 3/4", "12¾", "12-3/4", "12 3⁄4"] {
        assert!((us(text) - 323.85).abs() < 1e-9, "{text}");
    }
    for text in [
        "32,4 cm",
        "32.4cm",
        "32,4\u{a0}cm",
        "324",
        "324 mm",
        "0,324 m",
    ] {
        assert!((metric(text) - 324.0).abs() < 1e-9, "{text}");
    }
    for text in [
        "1 ft 2 1/2 in",
        "1' 2 1/2\"",
        "1’ 2½”",
        "1′ 2 ½″",
        "1'-2 1/2\"",
        "1' - 2-1/2\"",
        "1ft2.5in",
        "14 1/2 in",
    ] {
        assert!((metric(text) - 368.3).abs() < 1e-9, "{text}");
    }
    assert!((metric("1' 2\"") - 355.6).abs() < 1e-9);
    assert!((us("5/8") - 15.875).abs() < 1e-9);
    assert!((us("⅝") - 15.875).abs() < 1e-9);
    assert!((us("½") - 12.7).abs() < 1e-9 && (us("¼") - 6.35).abs() < 1e-9);
    // What only looks like a number is none.
    for text in [
        "12 3/",
        "5-6 mm",
        "1'-",
        "- 2 in -",
        "1/2/3",
        "12 3 4/5 in",
        "5 -",
    ] {
        assert!(parse::length(text, Metric).is_err(), "{text}");
    }
}

#[test]
fn masses_temperatures_and_times_in_the_ways_people_write_them() {
    let close = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let mass = |text| {
        parse::mass(text, Metric)
            .unwrap_or_else(|e| panic!("{e}"))
            .0
    };
    assert!(close(mass("1 lb 3 oz"), 19.0 * 28.349_523_125));
    assert!(close(mass("3 1/2 oz"), 3.5 * 28.349_523_125));
    assert!(close(mass("3½ oz"), mass("3 1/2 oz")));
    assert!(close(mass("1,2 kg"), 1200.0) && close(mass("1.2kg"), 1200.0));
    let warmth = |text| {
        parse::temperature(text, Metric)
            .unwrap_or_else(|e| panic!("{e}"))
            .0
    };
    for text in [
        "68 F",
        "68°F",
        "68 ° F",
        "68\u{a0}ºF",
        "20 °C",
        "20˚C",
        "20 C",
        "20",
    ] {
        assert!(close(warmth(text), 20.0), "{text}");
    }
    for text in ["1 h 20 min", "1:20", "1h20", "80", "80 min", "01:20"] {
        assert_eq!(parse::minutes(text), Ok(Minutes(80.0)), "{text}");
    }
    for text in ["1:2", ":20", "1:", "-1:20", "1:20:30", "1.5:20"] {
        assert!(parse::minutes(text).is_err(), "{text}");
    }
    let large = parse::minutes("99999999999:20").unwrap_err().to_string();
    assert!(
        large.contains("“99999999999:20” is far too large"),
        "{large}"
    );
}

#[test]
fn every_wrong_entry_says_what_to_write() {
    let length = |text| parse::length(text, Metric).unwrap_err().to_string();
    for (text, says) in [
        ("abc", "Type it like"),
        ("12 3/0", "Check the fraction"),
        ("-4", "Take the minus sign away"),
        ("1,2,3", "Use one point or one comma"),
        ("99999999999", "Check the number and its unit"),
        ("12 lb", "Use mm, cm, m, in or ft"),
        ("", "Type a number"),
    ] {
        let said = length(text);
        assert!(said.contains(says) && said.ends_with('.'), "{text}: {said}");
        assert!(
            text.is_empty() || said.contains(&format!("“{text}”")),
            "{said}"
        );
    }
}
