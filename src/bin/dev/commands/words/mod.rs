//! `cargo dev words`: all that the app says, in one place, and every language complete.

mod gather;

use super::{Trouble, project_root};
use gather::{Gathered, Marked, gather, places};
use peelcast::words::{Catalogue, Language, key};
use polib::catalog::Catalog;
use polib::po_file;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Where the languages lie.
const FOLDER: &str = "src/words";
/// How the names of their files in the site begin.
pub const PREFIX: &str = "words/";

/// Writes the template and puts new texts into each language, still without their translation;
/// what is no longer said leaves. With `check`, nothing is written, and whatever differs is told.
pub fn run(check: bool) -> Result<(), Trouble> {
    let root = project_root()?;
    let said = all_said(&root)?;
    let mut faults = Vec::new();
    for (file, line, text) in &said.unmarked {
        faults.push(format!("{file}:{line} says without a mark: {text}"));
    }
    let messages = merged(&said.marked)?;
    let template = written(&messages, None, |_| Vec::new());
    keep(
        &root.join(FOLDER).join("peelcast.pot"),
        &template,
        check,
        &mut faults,
    )?;
    for language in Language::ALL {
        if language == Language::English {
            continue;
        }
        let path = file_of(&root, language);
        let old = read(&path)?;
        let text = written(&messages, Some(language), |message| forms(&old, message));
        keep(&path, &text, check, &mut faults)?;
        faults.extend(flaws(&messages, &old, language));
    }
    println!(
        "{} texts, {} languages",
        messages.len(),
        Language::ALL.len()
    );
    if faults.is_empty() {
        return Ok(());
    }
    let many = faults.len();
    faults.push(format!(
        "{many} things to mend. `cargo dev words` writes new texts into {FOLDER}; translate \
         them there, and mark what people read (src/words)."
    ));
    Err(faults.join("\n"))
}

/// Writes the file that the app loads for each language but English into the site.
pub fn compile(root: &Path, site: &Path) -> Result<(), Trouble> {
    let into = site.join(PREFIX);
    std::fs::create_dir_all(&into)
        .map_err(|e| format!("{} can't be made: {e}.", into.display()))?;
    for language in Language::ALL {
        if language == Language::English {
            continue;
        }
        let catalog = read(&file_of(root, language))?;
        let texts = catalog.messages().map(|message| {
            let forms = match message.msgstr_plural() {
                Ok(forms) => forms.iter().map(String::as_str).collect(),
                Err(_) => vec![message.msgstr().unwrap_or_default()],
            };
            (message.msgid(), forms)
        });
        let told = texts.filter(|(_, forms): &(_, Vec<&str>)| forms.iter().all(|f| !f.is_empty()));
        let text = Catalogue::of(told).written();
        let path = into.join(format!("{}.json", language.tag()));
        std::fs::write(&path, text)
            .map_err(|e| format!("{} can't be written: {e}.", path.display()))?;
    }
    Ok(())
}

fn file_of(root: &Path, language: Language) -> PathBuf {
    root.join(FOLDER).join(format!("{}.po", language.tag()))
}

/// One text, with all files that it stands in.
struct Text {
    english: String,
    plural: Option<String>,
    files: Vec<String>,
}

/// What all files of the app say.
fn all_said(root: &Path) -> Result<Gathered, Trouble> {
    let mut files = Vec::new();
    list(&root.join("src"), "rs", &mut files)?;
    files.sort();
    let mut all = Gathered {
        classes: classes(root)?,
        ..Gathered::default()
    };
    for path in files {
        let name = path.strip_prefix(root).unwrap_or(&path);
        // The programs of the desk speak English only, and nobody reads tests.
        let worker = name == Path::new("src/bin/darkroom.rs");
        let desk = name.starts_with("src/bin") && !worker || name.ends_with("build.rs");
        let stem = name.file_stem().unwrap_or_default().to_string_lossy();
        if desk || stem.ends_with("tests") || stem.starts_with("test_") {
            continue;
        }
        let source = std::fs::read_to_string(&path)
            .map_err(|e| format!("{} can't be read: {e}.", path.display()))?;
        gather(name, &source, &mut all)?;
    }
    Ok(all)
}

/// The names of classes in the style sheets: words of these alone are said to nobody.
fn classes(root: &Path) -> Result<BTreeSet<String>, Trouble> {
    let mut names = BTreeSet::new();
    let mut sheets = Vec::new();
    list(&root.join("style"), "css", &mut sheets)?;
    for path in sheets {
        let text = std::fs::read_to_string(&path)
            .map_err(|e| format!("{} can't be read: {e}.", path.display()))?;
        let behind_dots = text.split('.').skip(1);
        names.extend(behind_dots.map(|behind| {
            let inside = |c: char| c.is_ascii_alphanumeric() || c == '-';
            behind.chars().take_while(|c| inside(*c)).collect()
        }));
    }
    Ok(names)
}

fn list(folder: &Path, ending: &str, into: &mut Vec<PathBuf>) -> Result<(), Trouble> {
    let trouble = |e| format!("{} can't be read: {e}.", folder.display());
    for entry in std::fs::read_dir(folder).map_err(trouble)? {
        let path = entry.map_err(trouble)?.path();
        if path.is_dir() {
            list(&path, ending, into)?;
        } else if path.extension().is_some_and(|e| e == ending) {
            into.push(path);
        }
    }
    Ok(())
}

/// Each text once, in the order in which it is first said.
fn merged(marked: &[Marked]) -> Result<Vec<Text>, Trouble> {
    let mut texts: Vec<Text> = Vec::new();
    let mut known: BTreeMap<u32, usize> = BTreeMap::new();
    for one in marked {
        let place = *known.entry(key(&one.english)).or_insert(texts.len());
        let Some(text) = texts.get_mut(place) else {
            texts.push(Text {
                english: one.english.clone(),
                plural: one.plural.clone(),
                files: vec![one.file.clone()],
            });
            continue;
        };
        if text.english != one.english {
            return Err(format!(
                "Two texts share a key, say one of them otherwise: “{}” and “{}”.",
                text.english, one.english
            ));
        }
        if text.plural != one.plural {
            return Err(format!(
                "“{}” is said with and without its form for several.",
                text.english
            ));
        }
        if !text.files.contains(&one.file) {
            text.files.push(one.file.clone());
        }
    }
    Ok(texts)
}

fn read(path: &Path) -> Result<Catalog, Trouble> {
    if !path.exists() {
        return Ok(Catalog::new(Default::default()));
    }
    po_file::parse(path).map_err(|e| format!("{} can't be read: {e}", path.display()))
}

/// The translated forms of a text, as far as there are any.
fn forms(catalog: &Catalog, text: &Text) -> Vec<String> {
    let Some(message) = catalog.find_message(None, &text.english, text.plural.as_deref()) else {
        return Vec::new();
    };
    match message.msgstr_plural() {
        Ok(forms) => forms.clone(),
        Err(_) => vec![message.msgstr().unwrap_or_default().to_owned()],
    }
}

/// A file of texts; without a language, the template.
fn written(
    texts: &[Text],
    language: Option<Language>,
    forms: impl Fn(&Text) -> Vec<String>,
) -> String {
    let tag = language.map_or("", Language::tag);
    let mut file = String::from("msgid \"\"\nmsgstr \"\"\n");
    for line in [
        "Project-Id-Version: Peelcast",
        "MIME-Version: 1.0",
        "Content-Type: text/plain; charset=UTF-8",
        "Content-Transfer-Encoding: 8bit",
        &format!("Language: {tag}"),
        "Plural-Forms: nplurals=2; plural=(n != 1);",
    ] {
        _ = writeln!(file, "{}", quoted(&format!("{line}\n")));
    }
    for text in texts {
        let Text {
            english,
            plural,
            files,
        } = text;
        let forms = forms(text);
        let form = |n: usize| quoted(forms.get(n).map_or("", String::as_str));
        _ = writeln!(file, "\n#: {}\nmsgid {}", files.join(" "), quoted(english));
        _ = match plural {
            None => writeln!(file, "msgstr {}", form(0)),
            Some(plural) => writeln!(
                file,
                "msgid_plural {}\nmsgstr[0] {}\nmsgstr[1] {}",
                quoted(plural),
                form(0),
                form(1)
            ),
        };
    }
    file
}

fn quoted(text: &str) -> String {
    let escaped = text.replace('\\', "\\\\").replace('"', "\\\"");
    format!("\"{}\"", escaped.replace('\n', "\\n").replace('\t', "\\t"))
}

/// Writes a file, or tells that it is not as it would be written.
fn keep(path: &Path, text: &str, check: bool, faults: &mut Vec<String>) -> Result<(), Trouble> {
    let trouble = |e| format!("{} can't be written: {e}.", path.display());
    if check {
        let there = std::fs::read_to_string(path).unwrap_or_default();
        if there.replace("\r\n", "\n") != text {
            faults.push(format!("{} lags behind the source.", path.display()));
        }
        return Ok(());
    }
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).map_err(trouble)?;
    }
    std::fs::write(path, text).map_err(trouble)
}

/// What a language lacks, or has wrong.
fn flaws(texts: &[Text], catalog: &Catalog, language: Language) -> Vec<String> {
    let mut flaws = Vec::new();
    for text in texts {
        let forms = forms(catalog, text);
        let wanted = if text.plural.is_some() { 2 } else { 1 };
        let mut flaw = |what: &str| {
            flaws.push(format!("{}: {what}: {}", language.tag(), text.english));
        };
        if forms.len() != wanted || forms.iter().any(String::is_empty) {
            flaw("not translated");
            continue;
        }
        // The form for one may leave its number out.
        let last = text.plural.as_ref().unwrap_or(&text.english);
        let given = forms.last().map_or("", String::as_str);
        let first = places(&forms[0]);
        if places(given) != places(last) || !first.is_subset(&places(last)) {
            flaw("other places than the English text");
        }
        let ends = |text: &str| text.len() - text.trim_matches(' ').len();
        if forms.iter().any(|form| ends(form) != ends(&text.english)) {
            flaw("other spaces at its ends than the English text");
        }
    }
    let fuzzy = catalog.messages().filter(|message| message.is_fuzzy());
    flaws.extend(fuzzy.map(|m| format!("{}: fuzzy: {}", language.tag(), m.msgid())));
    flaws
}

/// A text as the library keeps it, for the tests of this file.
#[cfg(test)]
fn message(english: &str, translated: &str) -> polib::message::Message {
    polib::message::Message::build_singular()
        .with_msgid(english.to_owned())
        .with_msgstr(translated.to_owned())
        .done()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(english: &str) -> Text {
        Text {
            english: english.to_owned(),
            plural: None,
            files: vec!["a.rs".to_owned()],
        }
    }

    #[test]
    fn what_is_written_is_read_back_by_the_library() {
        let texts = [text("A \"quoted\" \\ one\nin two lines"), text("{n} left")];
        let forms = |text: &Text| vec![format!("„{}“", text.english)];
        let file = written(&texts, Some(Language::German), forms);
        let catalog = po_file::parse_from_reader(file.as_bytes()).unwrap();
        for text in &texts {
            let found = super::forms(&catalog, text);
            assert_eq!(found, forms(text));
        }
    }

    #[test]
    fn flaws_are_found() {
        let mut catalog = Catalog::new(Default::default());
        for (english, translated) in [("{n} left", "{m} übrig"), ("Fine", "Gut"), (" and ", "und")]
        {
            catalog.append_or_update(message(english, translated));
        }
        let texts = ["{n} left", "Fine", " and ", "Lost"].map(text);
        let found = flaws(&texts, &catalog, Language::German);
        assert_eq!(found.len(), 3, "{found:?}");
    }

    #[test]
    fn a_text_is_kept_once() {
        let one = |plural: Option<&str>, file: &str| Marked {
            english: "a".to_owned(),
            plural: plural.map(str::to_owned),
            file: file.to_owned(),
        };
        let texts = merged(&[one(None, "x"), one(None, "y"), one(None, "x")]).unwrap();
        assert_eq!(texts.len(), 1);
        assert_eq!(texts[0].files, ["x", "y"]);
        assert!(merged(&[one(None, "x"), one(Some("as"), "x")]).is_err());
    }
}
