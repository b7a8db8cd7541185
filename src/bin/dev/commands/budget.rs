//! What the first start downloads, against the limit that the project has set itself.

use super::{Trouble, release};
use std::path::Path;

/// All that is downloaded at first start, compressed with brotli, comes to less than this, in
/// bytes.
const LIMIT: usize = 450_000;

/// What a machine that can't get Rust's own source is allowed on top: it builds with the standard
/// library as it comes, and such a build is not for giving out.
const WITHOUT_SOURCE: usize = 45_000;

/// Prints each file's size and fails if the sum reaches the limit. `lean` says whether the
/// standard library was built anew.
pub fn check(site: &Path, lean: bool) -> Result<(), Trouble> {
    let mut rows = Vec::new();
    for name in release::files(site)? {
        let path = site.join(&name);
        let content =
            std::fs::read(&path).map_err(|e| format!("{} cannot be read: {e}.", path.display()))?;
        let small = compressed(&content).map_err(|e| format!("brotli failed: {e}."))?;
        rows.push((name, content.len(), small));
    }
    rows.sort_by_key(|row| std::cmp::Reverse(row.2));
    println!("{:>10}  {:>10}  file", "bytes", "brotli");
    for (name, plain, small) in &rows {
        println!("{plain:>10}  {small:>10}  {name}");
    }
    let plain: usize = rows.iter().map(|row| row.1).sum();
    let small: usize = rows.iter().map(|row| row.2).sum();
    println!("{plain:>10}  {small:>10}  all");
    if lean {
        judge(small, LIMIT)
    } else {
        println!("Rust's own source is missing here, so {WITHOUT_SOURCE} bytes more are allowed.");
        judge(small, LIMIT + WITHOUT_SOURCE)
    }
}

fn judge(small: usize, limit: usize) -> Result<(), Trouble> {
    let percent = 100.0 * small as f64 / limit as f64;
    if small < limit {
        println!("{percent:.1} % of {limit} bytes");
        Ok(())
    } else {
        Err(format!(
            "The first start downloads {small} bytes, {percent:.1} % of the {limit} allowed: \
             find what grew in the table above."
        ))
    }
}

/// Bytes after brotli at its best, as static hosts store it.
fn compressed(content: &[u8]) -> std::io::Result<usize> {
    let mut small = Vec::new();
    let parameters = brotli::enc::BrotliEncoderParams {
        quality: 11,
        lgwin: 22,
        ..Default::default()
    };
    brotli::BrotliCompress(&mut &content[..], &mut small, &parameters)
}

#[cfg(test)]
mod tests {
    use super::{LIMIT, compressed, judge};

    #[test]
    fn the_limit_itself_is_too_much() {
        assert!(judge(LIMIT - 1, LIMIT).is_ok());
        assert!(judge(LIMIT, LIMIT).is_err());
    }

    #[test]
    fn repetition_shrinks_and_noise_does_not() {
        assert!(compressed(&[7; 10_000]).unwrap() < 100);
        let mut state = 1_u32;
        let noise: Vec<u8> = (0..10_000)
            .map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (state >> 24) as u8
            })
            .collect();
        assert!(compressed(&noise).unwrap() > 9_000);
    }
}
