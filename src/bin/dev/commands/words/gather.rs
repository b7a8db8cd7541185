//! What the source says to people, found among its tokens.

use proc_macro2::{Delimiter, Group, Literal, TokenStream, TokenTree};
use std::collections::BTreeSet;
use std::path::Path;

/// A text that is marked for translation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marked {
    /// The English text.
    pub english: String,
    /// Its form for several, if it depends on a number.
    pub plural: Option<String>,
    /// The file it stands in.
    pub file: String,
}

/// What one file, or all of them, say.
#[derive(Debug, Default)]
pub struct Gathered {
    /// What is marked, in the order of the source.
    pub marked: Vec<Marked>,
    /// What reads like a sentence and is not marked: file, line, text.
    pub unmarked: Vec<(String, usize, String)>,
    /// Words that stand for styles.
    pub classes: BTreeSet<String>,
}

/// Macros and functions whose words are for developers, or for the browser.
const FOR_DEVELOPERS: [&str; 11] = [
    "assert",
    "assert_eq",
    "assert_ne",
    "debug_assert",
    "debug_assert_eq",
    "panic",
    "unreachable",
    "expect",
    "format_args",
    "eprintln",
    "window_has",
];

/// Attributes of elements whose values nobody reads.
const UNREAD: [&str; 12] = [
    "class",
    "id",
    "type",
    "viewBox",
    "d",
    "points",
    "transform",
    "href",
    "src",
    "rel",
    "accept",
    "style",
];

/// Reads one file's source.
pub fn gather(file: &Path, source: &str, into: &mut Gathered) -> Result<(), String> {
    let name = file.display().to_string().replace('\\', "/");
    let tokens: TokenStream = source
        .parse()
        .map_err(|e| format!("{name} is no Rust that can be read: {e}."))?;
    walk(tokens, &name, into);
    Ok(())
}

fn walk(tokens: TokenStream, file: &str, into: &mut Gathered) {
    let tokens: Vec<TokenTree> = tokens.into_iter().collect();
    let mut at = 0;
    while at < tokens.len() {
        at = match &tokens[at] {
            TokenTree::Punct(hash) if hash.as_char() == '#' => attribute(&tokens, at),
            TokenTree::Ident(name) => word(&tokens, at, &name.to_string(), file, into),
            TokenTree::Group(group) => {
                walk(group.stream(), file, into);
                at + 1
            }
            TokenTree::Literal(literal) => {
                if let Some(text) = text_of(literal)
                    && reads_like_prose(&text)
                    && !is_unread(&tokens[..at])
                    && !is_pattern(&tokens[at + 1..])
                    && !text.split(' ').all(|word| into.classes.contains(word))
                {
                    let line = literal.span().start().line;
                    into.unmarked.push((file.to_owned(), line, text));
                }
                at + 1
            }
            TokenTree::Punct(_) => at + 1,
        };
    }
}

/// The place behind an attribute, and behind the item that only tests have.
fn attribute(tokens: &[TokenTree], hash: usize) -> usize {
    let mut at = hash + 1;
    if let Some(TokenTree::Punct(bang)) = tokens.get(at)
        && bang.as_char() == '!'
    {
        at += 1;
    }
    let Some(TokenTree::Group(group)) = tokens.get(at) else {
        return at;
    };
    at += 1;
    let text = group.stream().to_string().replace(' ', "");
    if text != "cfg(test)" {
        return at;
    }
    while at < tokens.len() {
        let end = match &tokens[at] {
            TokenTree::Group(body) => body.delimiter() == Delimiter::Brace,
            TokenTree::Punct(end) => end.as_char() == ';',
            _ => false,
        };
        at += 1;
        if end {
            break;
        }
    }
    at
}

/// A name: what is marked stands in the group behind some of them.
fn word(tokens: &[TokenTree], at: usize, name: &str, file: &str, into: &mut Gathered) -> usize {
    let bang = matches!(tokens.get(at + 1), Some(TokenTree::Punct(p)) if p.as_char() == '!');
    let behind = at + 1 + usize::from(bang);
    let Some(TokenTree::Group(group)) = tokens.get(behind) else {
        return at + 1;
    };
    if FOR_DEVELOPERS.contains(&name) {
        return behind + 1;
    }
    let texts = leading_texts(group);
    let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
    let (english, plural, used) = match (name, bang, texts.as_slice()) {
        ("tr" | "mark", false, [text]) | ("say", true, [text, ..]) => (*text, None, 1),
        ("count", true, [one, many, ..]) => (*one, Some(*many), 2),
        ("verbatim", false, [_]) => return behind + 1,
        _ => return at + 1,
    };
    if bang {
        let given = given(group);
        let asked = places(english)
            .union(&places(plural.unwrap_or_default()))
            .copied()
            .collect::<Vec<_>>();
        for place in asked {
            if !given.contains(place) {
                let line = group.span_open().start().line;
                let what = format!("{english} (no value for {{{place}}})");
                into.unmarked.push((file.to_owned(), line, what));
            }
        }
    }
    into.marked.push(Marked {
        english: english.to_owned(),
        plural: plural.map(str::to_owned),
        file: file.to_owned(),
    });
    // What stands in the places may say more.
    let mut left = used;
    let rest = group.stream().into_iter().filter(|token| {
        let text = matches!(token, TokenTree::Literal(l) if text_of(l).is_some());
        let mine = text && left > 0;
        left -= usize::from(mine);
        !mine
    });
    walk(rest.collect(), file, into);
    behind + 1
}

/// The texts at the head of a group's list, behind a number's name perhaps.
fn leading_texts(group: &Group) -> Vec<String> {
    let mut texts = Vec::new();
    for (n, token) in group.stream().into_iter().enumerate() {
        match token {
            TokenTree::Literal(literal) => texts.extend(text_of(&literal)),
            TokenTree::Punct(comma) if comma.as_char() == ',' => {}
            TokenTree::Ident(_) if n == 0 => {}
            _ => break,
        }
    }
    texts
}

/// The names that begin the items of a list.
fn given(group: &Group) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    let mut begins = true;
    for token in group.stream() {
        match &token {
            TokenTree::Ident(name) if begins => {
                names.insert(name.to_string());
            }
            _ => (),
        }
        begins = matches!(&token, TokenTree::Punct(comma) if comma.as_char() == ',');
    }
    names
}

/// The text of a string literal.
fn text_of(literal: &Literal) -> Option<String> {
    let source = literal.to_string();
    if let Some(raw) = source.strip_prefix('r') {
        let hashes = raw.bytes().take_while(|b| *b == b'#').count();
        let inner = raw.get(hashes + 1..raw.len() - hashes - 1)?;
        return Some(inner.to_owned());
    }
    let inner = source.strip_prefix('"')?.strip_suffix('"')?;
    let mut text = String::new();
    let mut chars = inner.chars().peekable();
    while let Some(c) = chars.next() {
        if c != '\\' {
            text.push(c);
            continue;
        }
        match chars.next()? {
            'n' => text.push('\n'),
            't' => text.push('\t'),
            'r' => text.push('\r'),
            '0' => text.push('\0'),
            'x' => {
                let hex: String = chars.by_ref().take(2).collect();
                text.push(char::from(u8::from_str_radix(&hex, 16).ok()?));
            }
            'u' => {
                let hex: String = chars.by_ref().skip(1).take_while(|c| *c != '}').collect();
                text.push(char::from_u32(u32::from_str_radix(&hex, 16).ok()?)?);
            }
            '\n' => while chars.next_if(|c| c.is_whitespace()).is_some() {},
            other => text.push(other),
        }
    }
    Some(text)
}

/// The app's own name, and units.
const SAME_EVERYWHERE: [&str; 4] = ["Peelcast", "fl oz", "sq in", "sq ft"];

/// Two words in a row, or one that begins like a sentence.
fn reads_like_prose(text: &str) -> bool {
    let is_word = |word: &str| {
        let letters = word.trim_matches(|c: char| !c.is_alphanumeric());
        !letters.is_empty() && letters.chars().all(|c| c.is_alphabetic() || c == '’')
    };
    if SAME_EVERYWHERE.contains(&text) || text.starts_with('<') {
        return false;
    }
    // What stands in the places is no word of this text.
    let mut own = String::new();
    let mut rest = text;
    while let Some((before, from)) = rest.split_once('{') {
        own += before;
        own.push('0');
        rest = from.split_once('}').map_or("", |(_, behind)| behind);
    }
    own += rest;
    let words: Vec<&str> = own.split([' ', '\n']).collect();
    let pair = words.windows(2).any(|two| two.iter().all(|w| is_word(w)));
    let mut chars = text.chars();
    let capital = chars.next().is_some_and(char::is_uppercase)
        && chars.next().is_some_and(char::is_lowercase)
        && !chars.any(char::is_uppercase)
        && is_word(words[0]);
    pair || capital
}

/// Whether the literal behind these tokens is the value of an attribute that nobody reads.
fn is_unread(before: &[TokenTree]) -> bool {
    let [.., TokenTree::Ident(name), TokenTree::Punct(equals)] = before else {
        return false;
    };
    equals.as_char() == '=' && UNREAD.contains(&name.to_string().as_str())
}

/// Whether the literal before these tokens is compared with, not shown.
fn is_pattern(after: &[TokenTree]) -> bool {
    let mark = |n: usize| match after.get(n) {
        Some(TokenTree::Punct(mark)) => Some(mark.as_char()),
        _ => None,
    };
    mark(0) == Some('|') || mark(0) == Some('=') && mark(1) == Some('>')
}

/// The names in braces.
pub fn places(text: &str) -> BTreeSet<&str> {
    let mut found = BTreeSet::new();
    let mut rest = text;
    while let Some((_, from)) = rest.split_once('{') {
        let Some((name, behind)) = from.split_once('}') else {
            break;
        };
        found.insert(name);
        rest = behind;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(source: &str) -> Gathered {
        let mut all = Gathered::default();
        gather(Path::new("a.rs"), source, &mut all).unwrap();
        all
    }

    #[test]
    fn what_is_marked_is_found() {
        let all = of(r##"
            fn a(n: usize) {
                let x = view! { <p class="two words">{tr("One \"text\"\u{2019}s \
                    end")}</p> };
                say!("{n} of {m}", n, m = tr("all of it"));
                count!(n, "{n} job {of}", "{n} jobs", of = words::tr("Which"));
                const B: &str = mark("In a table");
            }
        "##);
        let found: Vec<_> = all.marked.iter().map(|m| m.english.as_str()).collect();
        let wanted = [
            "One \"text\"’s end",
            "{n} of {m}",
            "all of it",
            "{n} job {of}",
            "Which",
            "In a table",
        ];
        assert_eq!(found, wanted);
        assert_eq!(all.marked[3].plural.as_deref(), Some("{n} jobs"));
        assert!(all.unmarked.is_empty(), "{:?}", all.unmarked);
    }

    #[test]
    fn what_is_not_marked_is_told() {
        let all = of(r#"
            #[doc = "Not for users at all"]
            fn a() {
                view! { <p title="A title" class="not seen">"Some words"</p> };
                x.expect("never for users");
                verbatim("Same in all");
                format!("{a} of them here");
                say!("{lost}", found = lost);
                key("no-prose");
            }
            #[cfg(test)]
            mod tests { const T: &str = "in a test"; }
        "#);
        let told: Vec<_> = all.unmarked.iter().map(|u| u.2.as_str()).collect();
        let lost = "{lost} (no value for {lost})";
        assert_eq!(told, ["A title", "Some words", "{a} of them here", lost]);
    }

    #[test]
    fn places_are_names_in_braces() {
        assert_eq!(places("{a} and {bc}, {a}"), BTreeSet::from(["a", "bc"]));
    }
}
