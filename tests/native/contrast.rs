//! The look can be read: each text role keeps 7:1 on the grounds that it stands on, each line and
//! mark 3:1, in every theme. The colours are read out of style/base.css itself.
//!
//! Relative luminance and contrast ratio are those of WCAG 2.2 (its definitions of terms).

use std::collections::BTreeMap;

const CSS: &str = include_str!("../../style/base.css");

/// Grounds that any text may stand on.
const GROUNDS: [&str; 7] = [
    "ground",
    "card",
    "well",
    "done-wash",
    "wait-wash",
    "stop-wash",
    "note-wash",
];

/// Text roles with the grounds that they are used on.
const TEXTS: [(&str, &[&str]); 7] = [
    ("text", &GROUNDS),
    ("soft", &GROUNDS),
    ("link", &GROUNDS),
    ("done", &["ground", "card", "well", "done-wash"]),
    ("wait", &["ground", "card", "well", "wait-wash"]),
    ("stop", &["ground", "card", "well", "stop-wash"]),
    ("on-action", &["action", "action-pressed"]),
];

/// Letters that drawings set on their tones.
const LETTERS_ON_TONES: [&str; 3] = ["tone-stone", "tone-coat", "tone-coat-next"];

/// What must be seen, not read: outlines of controls, the focus ring, the main button's face.
const MARKS: [(&str, &[&str]); 4] = [
    ("line", &GROUNDS),
    ("focus", &GROUNDS),
    ("action", &["ground", "card"]),
    ("action-pressed", &["ground", "card"]),
];

/// Decoration that carries no meaning of its own.
const DECORATION: [&str; 1] = ["rule"];

type Theme = BTreeMap<String, [u8; 3]>;

fn colour(text: &str) -> Option<[u8; 3]> {
    let hex = text.trim().strip_prefix('#')?;
    let byte = |at: usize| u8::from_str_radix(hex.get(at..at + 2)?, 16).ok();
    (hex.len() == 6).then_some([byte(0)?, byte(2)?, byte(4)?])
}

/// The declarations of colour in one block, as (role, value).
fn declarations(selector: &str) -> Vec<(String, String)> {
    let block = CSS
        .split_once(&format!("{selector} {{"))
        .and_then(|(_, rest)| rest.split_once('}'));
    let Some((block, _)) = block else {
        panic!("style/base.css has a block {selector}");
    };
    block
        .lines()
        .filter_map(|line| line.trim().strip_prefix("--")?.split_once(':'))
        .map(|(role, value)| (role.into(), value.trim().trim_end_matches(';').into()))
        .filter(|(_, value): &(String, String)| value.contains('#'))
        .collect()
}

fn themes() -> BTreeMap<&'static str, Theme> {
    let mut light = Theme::new();
    let mut dark = Theme::new();
    for (role, value) in declarations(":root") {
        let pair = value
            .strip_prefix("light-dark(")
            .and_then(|v| v.strip_suffix(')'))
            .and_then(|v| v.split_once(','))
            .and_then(|(day, night)| Some((colour(day)?, colour(night)?)))
            .unwrap_or_else(|| panic!("--{role} is two colours, not {value}"));
        light.insert(role.clone(), pair.0);
        dark.insert(role, pair.1);
    }
    let mut sun = light.clone();
    for (role, value) in declarations(":root[data-theme=\"sun\"]") {
        let paint = colour(&value).unwrap_or_else(|| panic!("--{role} is a colour, not {value}"));
        assert!(
            sun.insert(role.clone(), paint).is_some(),
            "unknown --{role}"
        );
    }
    BTreeMap::from([("light", light), ("dark", dark), ("sun", sun)])
}

fn luminance(colour: [u8; 3]) -> f64 {
    let [r, g, b] = colour.map(|channel| {
        let c = f64::from(channel) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

fn contrast(a: [u8; 3], b: [u8; 3]) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Every pair of roles below `least` in any theme, as readable lines.
fn too_faint<'a>(
    pairs: impl Iterator<Item = (&'a str, &'a str)> + Clone,
    least: f64,
) -> Vec<String> {
    let mut faint = Vec::new();
    for (name, theme) in themes() {
        for (over, under) in pairs.clone() {
            let ratio = contrast(theme[over], theme[under]);
            if ratio < least {
                faint.push(format!("{name}: {over} on {under} is {ratio:.2}:1"));
            }
        }
    }
    faint
}

#[test]
fn text_keeps_seven_to_one() {
    let pairs = TEXTS
        .iter()
        .flat_map(|(text, grounds)| grounds.iter().map(move |ground| (*text, *ground)))
        .chain(LETTERS_ON_TONES.iter().map(|tone| ("text", *tone)));
    assert_eq!(too_faint(pairs, 7.0), Vec::<String>::new());
}

#[test]
fn lines_and_marks_keep_three_to_one() {
    let pairs = MARKS
        .iter()
        .flat_map(|(mark, grounds)| grounds.iter().map(move |ground| (*mark, *ground)));
    assert_eq!(too_faint(pairs, 3.0), Vec::<String>::new());
}

#[test]
fn no_colour_escapes_the_check() {
    let checked: Vec<&str> = TEXTS
        .iter()
        .chain(&MARKS)
        .flat_map(|(role, grounds)| std::iter::once(*role).chain(grounds.iter().copied()))
        .chain(LETTERS_ON_TONES)
        .chain(DECORATION)
        .collect();
    for (name, theme) in themes() {
        for role in theme.keys() {
            assert!(
                checked.contains(&role.as_str()),
                "{name}: --{role} is never checked"
            );
        }
    }
}

#[test]
fn colours_stand_in_the_roles_alone() {
    for (file, css) in STYLES {
        let after_roles = if file == "base.css" {
            css.split_once("/* ---- The sheet of paper ---- */")
                .expect("the roles end where the paper begins")
                .1
        } else {
            css
        };
        for (number, line) in after_roles.lines().enumerate() {
            let paints = line.contains("rgb(") || line.contains("hsl(") || hex_colour(line);
            assert!(
                !paints,
                "{file}: a colour outside the roles, line {number}: {line}"
            );
        }
    }
}

/// Whether a declaration of this line paints with a hex colour of its own.
fn hex_colour(line: &str) -> bool {
    line.split_once(':').is_some_and(|(_, value)| {
        value.split('#').skip(1).any(|rest| {
            let digits = rest.chars().take_while(char::is_ascii_hexdigit).count();
            matches!(digits, 3 | 4 | 6 | 8)
        })
    })
}

const STYLES: [(&str, &str); 4] = [
    ("base.css", CSS),
    ("shell.css", include_str!("../../style/shell.css")),
    ("pages.css", include_str!("../../style/pages.css")),
    ("print.css", include_str!("../../style/print.css")),
];

#[test]
fn the_formula_agrees_with_known_ratios() {
    assert!((contrast([0, 0, 0], [255, 255, 255]) - 21.0).abs() < 1e-9);
    // Mid grey #767676 on white is the well-known last grey above 4.5:1.
    assert!((contrast([0x76; 3], [255; 3]) - 4.54).abs() < 0.005);
}
