//! Texts with places in them.

use std::fmt::{Display, Write};

/// Puts values into a text's places, which are names in braces. A place without a value stays as
/// it is.
///
/// ```
/// use peelcast::words::fill;
///
/// let text = fill("{a} of {b}: {a}", &[("a", &1), ("b", &"2 g")]);
/// assert_eq!(text, "1 of 2 g: 1");
/// ```
pub fn fill(text: &str, values: &[(&str, &dyn Display)]) -> String {
    let mut filled = String::with_capacity(text.len() + 8 * values.len());
    let mut rest = text;
    while let Some(open) = rest.find('{') {
        let (before, from) = rest.split_at(open);
        filled.push_str(before);
        let Some(close) = from.find('}') else {
            rest = from;
            break;
        };
        let name = &from[1..close];
        match values.iter().find(|(place, _)| *place == name) {
            // Writing to a string can't fail.
            Some((_, value)) => _ = write!(filled, "{value}"),
            None => filled.push_str(&from[..=close]),
        }
        rest = &from[close + 1..];
    }
    filled.push_str(rest);
    filled
}

#[cfg(test)]
mod tests {
    use super::fill;

    #[test]
    fn an_open_brace_is_text() {
        assert_eq!(fill("a { b {c", &[("c", &1)]), "a { b {c");
        assert_eq!(fill("{d} {", &[("c", &1)]), "{d} {");
    }

    #[test]
    fn values_are_not_filled_again() {
        assert_eq!(fill("{a}{b}", &[("a", &"{b}"), ("b", &"x")]), "{b}x");
    }
}
