//! The job's sheet as one page of HTML that needs nothing beside it. Its lines are the app's own
//! (`peelcast::job::sheet`).

use crate::drawing;
use crate::laid::laid;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use peelcast::coating::Stock;
use peelcast::job::bundle::{Bundle, without_traces};
use peelcast::job::sheet::{Body, Fact, Section, SheetPage, Style, sheet};
use peelcast::job::{Begun, Memory, PhotoRef, Piece};
use peelcast::quantity::show::System;
use peelcast::survey::picture::{PictureFormat, probe};
use std::fmt::Write;

/// A piece with a long log fills one page of A4 or Letter paper; on paper letters are small for that.
const STYLE: &str = "
@page { margin: 9mm 10mm; }
html { font: 9pt/1.25 Arial, 'Helvetica Neue', sans-serif; color: #000; background: #fff; }
body { max-width: 190mm; margin: 0 auto; }
article + article { break-before: page; margin-top: 10mm; }
h1 { font-size: 14pt; margin: 0 0 1mm; } h1 small { font-size: 9pt; font-weight: normal; }
h2 { font-size: 10pt; margin: 1.5mm 0 0.5mm; break-after: avoid; }
.made-up { display: inline-block; border: 1px solid #000; padding: 0 2mm; font-weight: bold; }
p, dl, ul, table { margin: 0 0 1mm; } ul { padding-left: 4mm; }
dl div { display: flex; gap: 2mm; } dt { flex: none; color: #444; } dd { margin: 0; }
.head, .card ul, .bag ul, .coats dl, .log ul { columns: 3; column-gap: 5mm; }
.bag ul, .card ul, .log ul { list-style: none; padding: 0; }
.top { display: flex; gap: 5mm; align-items: flex-start; } .beside { flex: 1; }
figure { margin: 0 0 1mm; } figcaption { color: #444; max-width: 70mm; }
.photo { max-width: 64mm; max-height: 48mm; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; padding: 0.3mm 2mm 0.3mm 0; border-bottom: 1px solid #999; }
svg { display: block; }
@media print {
  html { font: 7pt/1.1 Arial, 'Helvetica Neue', sans-serif; }
  article + article { margin-top: 0; }
  p, dl, ul, table { margin-bottom: 0.5mm; } th, td { padding-block: 0; }
  h2 { margin: 0.6mm 0 0.2mm; font-size: 8pt; } figcaption { font-size: 6pt; }
  .top > div:first-child { display: flex; gap: 3mm; align-items: flex-start; }
  .photo { max-width: 40mm; }
  .head, .bag ul, .log ul, .coats dl { columns: 4; }
  .fitness ul, .cautions ul { padding: 0; }
  .fitness li, .cautions li { display: inline; }
  .fitness li::after, .cautions li::after { content: ' '; }
}
";

/// The sections that stand beside the drawing.
const BESIDE: [&str; 3] = ["measured", "times", "cast"];

/// The sheets of all jobs in an export, as they stood when it was made, with times in Coordinated
/// Universal Time. All that the file teaches
/// of pastes and hands is taken into account; the shelf is not in it.
pub fn page(found: &Bundle, system: System) -> String {
    let memory = Memory::of(&found.jobs, &Begun::default());
    let stock = Stock::default();
    let mut html = String::from(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n<meta \
         name=\"viewport\" content=\"width=device-width\"/>\n<title>",
    );
    let names: Vec<&str> = found.jobs.iter().map(|job| job.title()).collect();
    html += &escaped(&names.join(", "));
    html += "</title>\n<style>";
    html += STYLE;
    html += "</style>\n</head>\n<body>\n";
    for job in &found.jobs {
        let style = Style {
            system,
            now: found.exported,
            today: found.exported.date_naive(),
            stock: &stock,
            memory: &memory,
            clock: &|at| at.format("%Y-%m-%d %H:%M UTC").to_string(),
        };
        for (page, piece) in sheet(job, &style).iter().zip(&job.pieces) {
            html += &article(page, piece, found, system);
        }
    }
    html + "</body>\n</html>\n"
}

/// A piece from its head to its cautions.
fn article(page: &SheetPage, piece: &Piece, found: &Bundle, system: System) -> String {
    let laid = page.flat.as_ref().and_then(|flat| {
        let photo = found
            .photos
            .iter()
            .find(|photo| photo.id == flat.photo.id)?;
        laid(&photo.bytes, flat)
    });
    // What can't be laid flat here is shown as it was taken.
    let picture = match laid {
        Some(_) => None,
        None => piece
            .photos()
            .next()
            .and_then(|photo| picture(found, photo)),
    };
    let mut html = format!("<article id=\"sheet-{}\">\n", escaped(page.piece.as_str()));
    if let Some(notice) = page.notice {
        html += &format!("<p class=\"made-up\">{}</p>\n", escaped(notice));
    }
    let (title, job) = (escaped(&page.title), escaped(&page.job));
    html += &format!("<h1>{title} <small>{job}</small></h1>\n<div class=\"head\">");
    html += &facts(&page.head);
    html += "</div>\n<div class=\"top\">\n<div>\n";
    if let Some(flat) = &page.flat {
        let laid = laid.as_deref();
        html += &drawing::outline(flat, laid, &page.measured, piece.border, system);
    }
    if let Some(picture) = picture {
        html += &format!(
            "<figure><img class=\"photo\" alt=\"The first photo of the piece\" \
             src=\"{picture}\"/></figure>\n"
        );
    }
    html += "</div>\n<div class=\"beside\">\n";
    let beside = |section: &&Section| BESIDE.contains(&section.key);
    for one in page.sections.iter().filter(beside) {
        html += &section(one);
    }
    html += "</div>\n</div>\n";
    for one in page.sections.iter().filter(|one| !beside(one)) {
        html += &section(one);
    }
    html + "</article>\n"
}

fn section(section: &Section) -> String {
    let (key, title) = (section.key, escaped(section.title));
    let mut html = format!("<section class=\"{key}\">\n<h2>{title}</h2>\n");
    for body in &section.body {
        html += &match body {
            Body::Facts(all) => facts(all),
            Body::Table { rows, .. } if key == "bag" => list(rows.iter().map(|row| ticked(row))),
            Body::Table { rows, .. } if key == "log" => list(rows.iter().map(|row| row.join(" "))),
            Body::Table { rows, .. } if key == "card" => {
                list(rows.iter().map(|row| row.join(", ")))
            }
            Body::Table { head, rows } => table(head, rows),
            Body::Lines(lines) => list(lines.iter().cloned()),
            Body::Missing(sentence) => format!("<p>{}</p>\n", escaped(sentence)),
        };
    }
    html + "</section>\n"
}

fn facts(all: &[Fact]) -> String {
    let lines = all.iter().map(|fact| {
        let (what, value) = (escaped(&fact.what), escaped(&fact.value));
        format!("<div><dt>{what}</dt><dd>{value}</dd></div>\n")
    });
    format!("<dl>\n{}</dl>\n", lines.collect::<String>())
}

fn table(head: &[String], rows: &[Vec<String>]) -> String {
    let mut html = String::from("<table>\n<thead><tr>");
    for name in head {
        let _ = write!(html, "<th scope=\"col\">{}</th>", escaped(name));
    }
    html += "</tr></thead>\n<tbody>\n";
    for row in rows {
        html += "<tr>";
        for cell in row {
            let _ = write!(html, "<td>{}</td>", escaped(cell));
        }
        html += "</tr>\n";
    }
    html + "</tbody>\n</table>\n"
}

/// A thing of the bag with its box: a row of tick, name and amount.
fn ticked(row: &[String]) -> String {
    let cell = |at: usize| row.get(at).map_or("", String::as_str);
    let ticked = if cell(0).is_empty() { "☐" } else { "☑" };
    format!("{ticked} {} {}", cell(2), cell(1))
}

fn list(lines: impl Iterator<Item = String>) -> String {
    let lines = lines.map(|line| format!("<li>{}</li>\n", escaped(&line)));
    format!("<ul>\n{}</ul>\n", lines.collect::<String>())
}

/// The address of a photo that stands in the page itself, without what it tells of place, time
/// and device; `None` if it is not in the export, or no browser would show it.
fn picture(found: &Bundle, photo: &PhotoRef) -> Option<String> {
    let photo = found.photos.iter().find(|one| one.id == photo.id)?;
    let bytes = without_traces(&photo.bytes).ok()?;
    let kind = match probe(&bytes).ok()?.format {
        PictureFormat::Jpeg => "jpeg",
        PictureFormat::Png => "png",
        PictureFormat::WebP => "webp",
        PictureFormat::Gif => "gif",
        PictureFormat::Bmp => "bmp",
        PictureFormat::Heic | PictureFormat::Avif => return None,
    };
    Some(format!(
        "data:image/{kind};base64,{}",
        STANDARD.encode(bytes)
    ))
}

/// Text as HTML and XML hold it, within elements and within quotes.
pub fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe += "&amp;",
            '<' => safe += "&lt;",
            '>' => safe += "&gt;",
            '"' => safe += "&quot;",
            '\'' => safe += "&#39;",
            // No sign of writing: XML has no place for it.
            c if c.is_control() && !matches!(c, '\n' | '\t') => safe.push(' '),
            c => safe.push(c),
        }
    }
    safe
}
