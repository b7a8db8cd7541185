//! What a phone downloads, against the limits that the project has set itself.

use super::Trouble;
use super::release::{self, Turn};
use std::path::Path;

/// One part of the download, and the sum that it must stay under, in bytes after brotli.
struct Part {
    name: &'static str,
    limit: usize,
    /// What a machine that can't get Rust's own source is allowed on top: it builds with the
    /// standard library as it comes, and such a build is not for giving out.
    without_source: usize,
}

/// All that a first start fetches before somebody turns to the page: what the list of jobs needs.
const FIRST: Part = Part {
    name: "first start: the list of jobs",
    limit: 200_000,
    without_source: 20_000,
};

/// What works on records, the other screens and the picture tools, fetched at the first touch or
/// the second start.
const SECOND: Part = Part {
    name: "the rest, from the first touch on",
    limit: 1_260_000,
    without_source: 80_000,
};

/// The texts of all languages but English, each fetched where it is chosen.
const ASKED: Part = Part {
    name: "other languages, where they are chosen",
    limit: 60_000,
    without_source: 0,
};

/// Prints each file's size and fails if a part reaches its limit. `lean` says whether the
/// standard library was built anew.
pub fn check(site: &Path, lean: bool) -> Result<(), Trouble> {
    if !lean {
        println!("Rust's own source is missing here, so each part may be larger.");
    }
    let [mut first, mut second, mut asked] = [const { Vec::new() }; 3];
    for name in release::files(site)? {
        let path = site.join(&name);
        let content =
            std::fs::read(&path).map_err(|e| format!("{} cannot be read: {e}.", path.display()))?;
        let small = compressed(&content).map_err(|e| format!("brotli failed: {e}."))?;
        let small = small.len();
        let part = match release::turn(&name) {
            Turn::First => &mut first,
            Turn::Later => &mut second,
            Turn::Asked => &mut asked,
        };
        part.push((name, content.len(), small));
    }
    let parts = [(FIRST, first), (SECOND, second), (ASKED, asked)]
        .map(|(part, rows)| part.check(rows, lean));
    parts.into_iter().collect()
}

impl Part {
    fn check(&self, mut rows: Vec<(String, usize, usize)>, lean: bool) -> Result<(), Trouble> {
        rows.sort_by_key(|row| std::cmp::Reverse(row.2));
        println!("{:>10}  {:>10}  {}", "bytes", "brotli", self.name);
        for (name, plain, small) in &rows {
            println!("{plain:>10}  {small:>10}  {name}");
        }
        let plain: usize = rows.iter().map(|row| row.1).sum();
        let small: usize = rows.iter().map(|row| row.2).sum();
        println!("{plain:>10}  {small:>10}  all");
        let more = if lean { 0 } else { self.without_source };
        self.judge(small, self.limit + more)
    }

    fn judge(&self, small: usize, limit: usize) -> Result<(), Trouble> {
        let percent = 100.0 * small as f64 / limit as f64;
        if small < limit {
            println!("{percent:.1} % of {limit} bytes");
            return Ok(());
        }
        Err(format!(
            "The {} has {small} bytes, {percent:.1} % of the {limit} allowed: find what grew in \
             the table above.",
            self.name
        ))
    }
}

/// The content as brotli makes it smallest.
pub fn compressed(content: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut small = Vec::new();
    let parameters = brotli::enc::BrotliEncoderParams {
        quality: 11,
        lgwin: 22,
        ..Default::default()
    };
    brotli::BrotliCompress(&mut &content[..], &mut small, &parameters)?;
    Ok(small)
}

#[cfg(test)]
mod tests {
    use super::{FIRST, compressed};

    #[test]
    fn the_limit_itself_is_too_much() {
        assert!(FIRST.judge(FIRST.limit - 1, FIRST.limit).is_ok());
        assert!(FIRST.judge(FIRST.limit, FIRST.limit).is_err());
    }

    #[test]
    fn repetition_shrinks_and_noise_does_not() {
        assert!(compressed(&[7; 10_000]).unwrap().len() < 100);
        let mut state = 1_u32;
        let noise: Vec<u8> = (0..10_000)
            .map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (state >> 24) as u8
            })
            .collect();
        assert!(compressed(&noise).unwrap().len() > 9_000);
    }
}
