//! Photos by their bytes: kind, size, camera, and what is taken out of them before they go.

use crate::change::bytes;
use crate::run::{Limits, alone, many, target};
use crate::seed::{heif, jpeg, pictures, png, tiff};
use peelcast::job::bundle::without_traces;
use peelcast::survey::picture::{MOST_PIXELS, PictureError, PictureFormat, SHORTEST_SIDE, probe};

#[test]
fn photo_files() {
    let seeds = pictures();
    for seed in &seeds[..seeds.len() - 1] {
        assert!(probe(seed).is_ok(), "{:?}: {:?}", probe(seed), &seed[..12]);
    }
    let limits = Limits {
        seconds: 0.5,
        megabytes: 4.0,
    };
    let make = |rng: &mut fastrand::Rng| bytes(rng, &seeds);
    target("photo files", many(), &limits, make, |input| {
        match probe(input) {
            Ok(info) => {
                assert!(info.size.pixels() <= MOST_PIXELS);
                assert!(info.size.width.min(info.size.height) >= SHORTEST_SIDE);
                let camera = info.camera.unwrap_or_default();
                assert!(camera.model.len() <= 64);
                assert!(
                    camera
                        .focal_mm
                        .is_none_or(|focal| focal > 0.0 && focal.is_finite())
                );
            }
            Err(why) => assert!(!why.to_string().is_empty()),
        }
        let Ok(clean) = without_traces(input) else {
            return false;
        };
        assert!(clean.len() <= input.len() + 200);
        let again = without_traces(&clean).expect("what is clean stays so");
        assert_eq!(again, clean);
        true
    });
}

/// What is said of a file.
fn said(bytes: &[u8]) -> String {
    probe(bytes).expect_err("it is refused").to_string()
}

#[test]
fn each_strange_picture_is_taken_or_told_of_plainly() {
    let _alone = alone();
    // Four colours (CMYK) and sixteen bits are opened or not by the browser; the file is sound.
    for (bytes, kind) in [
        (jpeg(4000, 3000, 8, 4), PictureFormat::Jpeg),
        (jpeg(4000, 3000, 12, 3), PictureFormat::Jpeg),
        (png(4000, 3000, 16), PictureFormat::Png),
        (jpeg(30_000, 1500, 8, 3), PictureFormat::Jpeg),
        (heif(b"heic", 4000, 3000), PictureFormat::Heic),
        (heif(b"avif", 4000, 3000), PictureFormat::Avif),
    ] {
        assert_eq!(probe(&bytes).map(|info| info.format), Ok(kind));
        let cannot = kind.cannot_open();
        assert!(cannot.contains("Nothing was changed"), "{cannot}");
        assert!(cannot.contains(kind.name()), "{cannot}");
    }
    let one = said(&png(1, 1, 8));
    assert!(
        one.contains("only 1 x 1 pixels") && one.contains("at least 240"),
        "{one}"
    );
    for bytes in [
        png(30_000, 30_000, 8),
        jpeg(30_000, 30_000, 8, 3),
        heif(b"heic", 30_000, 30_000),
    ] {
        let large = said(&bytes);
        assert!(large.contains("900 megapixels (30000 x 30000)"), "{large}");
        assert!(large.contains("Choose one of 50 megapixels"), "{large}");
    }
    let none = PictureError::NotAPicture.to_string();
    assert!(none.contains("isn't a picture") && none.contains("JPEG, PNG or WebP"));
    for bytes in [
        &b"Shopping list: sand, lime."[..],
        b"PK\x03\x04",
        b"%PDF-1.7",
        b"<svg/>",
        &tiff(),
    ] {
        assert_eq!(said(bytes), none);
    }
    for (bytes, head) in [(jpeg(4000, 3000, 8, 3), 40), (png(4000, 3000, 8), 18)] {
        let cut = said(&bytes[..head]);
        assert!(
            cut.contains("damaged") && cut.contains("choose another"),
            "{cut}"
        );
    }
    let cut = said(&heif(b"heic", 4000, 3000)[..40]);
    assert!(cut.contains("HEIC") && cut.contains("JPEG"), "{cut}");
    assert!(said(b"").contains("empty"));
}
