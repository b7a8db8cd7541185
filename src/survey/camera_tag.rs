//! What the camera wrote beside the photo: its model and the lens that was used (EXIF).
//!
//! A reader of these few tags only: the whole of a general one would cost the app's first
//! download some 30 kB. Layout: TIFF 6.0, section 2; tags: CIPA DC-008 (Exif 2.x), from memory.

use serde::{Deserialize, Serialize};

/// The camera and lens that a photo's file names.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct CameraTag {
    /// The camera's model as its maker writes it; empty where the file doesn't say.
    pub model: String,
    /// The lens's own focal length, in millimetres. With the model it tells a phone's lenses
    /// apart.
    pub focal_mm: Option<f64>,
    /// The focal length that gives the same view on 36 x 24 mm film, in millimetres; cameras
    /// round it to a whole number.
    pub focal_35mm: Option<f64>,
}

const MODEL: u16 = 0x0110;
const CAMERA_DIRECTORY: u16 = 0x8769;
const FOCAL_LENGTH: u16 = 0x920a;
const FOCAL_LENGTH_35MM: u16 = 0xa405;

/// The tags stand before the picture, with a preview at most between: no further in is looked.
const FURTHEST: usize = 1 << 20;
/// No maker writes a longer name.
const LONGEST_MODEL: usize = 64;

/// Reads the tags from a file's first bytes; `None` where it has none, or none that make sense.
pub(super) fn read(bytes: &[u8]) -> Option<CameraTag> {
    let bytes = &bytes[..bytes.len().min(FURTHEST)];
    // JPEG and HEIC announce the tags alike; PNG and WebP have a chunk for them, whose name is
    // followed by its size in WebP.
    let tiff = [(&b"Exif\0\0"[..], 6), (b"eXIf", 4), (b"EXIF", 8)]
        .iter()
        .find_map(|&(name, ahead)| {
            let at = bytes.windows(name.len()).position(|w| w == name)?;
            Tiff::open(bytes.get(at + ahead..)?)
        })?;
    let first = tiff.long(4)?;
    let lens = tiff
        .entry(first, CAMERA_DIRECTORY)
        .and_then(|entry| tiff.long(entry + 8));
    let in_lens = |tag| lens.and_then(|directory| tiff.entry(directory, tag));
    let tag = CameraTag {
        model: tiff
            .entry(first, MODEL)
            .and_then(|entry| tiff.text(entry))
            .unwrap_or_default(),
        focal_mm: in_lens(FOCAL_LENGTH).and_then(|entry| tiff.ratio(entry)),
        // Zero says that the camera doesn't know.
        focal_35mm: in_lens(FOCAL_LENGTH_35MM)
            .and_then(|entry| tiff.short(entry + 8))
            .filter(|focal| *focal > 0)
            .map(f64::from),
    };
    (tag != CameraTag::default()).then_some(tag)
}

/// A block of tags, from its byte order mark on.
struct Tiff<'a> {
    bytes: &'a [u8],
    little: bool,
}

impl<'a> Tiff<'a> {
    fn open(bytes: &'a [u8]) -> Option<Self> {
        let little = match bytes.get(..4)? {
            b"II*\0" => true,
            b"MM\0*" => false,
            _ => return None,
        };
        Some(Self { bytes, little })
    }

    fn short(&self, at: usize) -> Option<u16> {
        let two = self.bytes.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if self.little {
            u16::from_le_bytes(two)
        } else {
            u16::from_be_bytes(two)
        })
    }

    /// Four bytes, which are mostly a place in the block.
    fn long(&self, at: usize) -> Option<usize> {
        let (first, second) = (self.short(at)?, self.short(at.checked_add(2)?)?);
        let [low, high] = if self.little {
            [first, second]
        } else {
            [second, first]
        };
        Some(usize::from(high) << 16 | usize::from(low))
    }

    /// Where the entry of twelve bytes stands: tag, type, count, value or its place.
    fn entry(&self, directory: usize, tag: u16) -> Option<usize> {
        let count = usize::from(self.short(directory)?);
        (0..count)
            .map(|i| directory + 2 + 12 * i)
            .find(|at| self.short(*at) == Some(tag))
    }

    fn text(&self, entry: usize) -> Option<String> {
        let count = self.long(entry + 4)?;
        let at = if count > 4 {
            self.long(entry + 8)?
        } else {
            entry + 8
        };
        let bytes = self.bytes.get(at..at.checked_add(count)?)?;
        let text: String = bytes
            .iter()
            .take(LONGEST_MODEL)
            .map(|byte| char::from(*byte))
            .take_while(|c| *c != '\0')
            .filter(|c| c.is_ascii() && !c.is_ascii_control())
            .collect();
        Some(text.trim().to_owned())
    }

    fn ratio(&self, entry: usize) -> Option<f64> {
        let at = self.long(entry + 8)?;
        let ratio = self.long(at)? as f64 / self.long(at.checked_add(4)?)? as f64;
        (ratio > 0.0 && ratio.is_finite()).then_some(ratio)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A block with the model "Demo 1", 5.4 mm and 26 mm, written by the general library.
    fn block(little: bool) -> Vec<u8> {
        use exif::{Field, In, Rational, Tag, Value};
        let fields = [
            (Tag::Model, Value::Ascii(vec![b"Demo 1".to_vec()])),
            (Tag::Orientation, Value::Short(vec![6])),
            (
                Tag::FocalLength,
                Value::Rational(vec![Rational { num: 54, denom: 10 }]),
            ),
            (Tag::FocalLengthIn35mmFilm, Value::Short(vec![26])),
        ]
        .map(|(tag, value)| Field {
            tag,
            ifd_num: In::PRIMARY,
            value,
        });
        let mut writer = exif::experimental::Writer::new();
        fields.iter().for_each(|field| writer.push_field(field));
        let mut block = std::io::Cursor::new(Vec::new());
        writer.write(&mut block, little).unwrap();
        block.into_inner()
    }

    fn demo() -> CameraTag {
        CameraTag {
            model: "Demo 1".into(),
            focal_mm: Some(5.4),
            focal_35mm: Some(26.0),
        }
    }

    #[test]
    fn tags_written_by_the_library_are_read_in_both_orders_and_every_wrapping() {
        for little in [true, false] {
            for head in [
                &b"\xff\xd8\xff\xe1..Exif\0\0"[..],
                b"....eXIf",
                b"EXIF.\0\0\0",
            ] {
                let file = [head, &block(little), b"the picture"].concat();
                assert_eq!(read(&file), Some(demo()), "{head:?}");
            }
        }
    }

    #[test]
    fn a_file_without_tags_has_none() {
        assert_eq!(read(b"\xff\xd8\xff\xe0\0\x10JFIF\0"), None);
        assert_eq!(read(b"Exif\0\0II*\0"), None);
    }

    proptest! {
        /// Wherever a block is cut or one of its bytes is changed, something or nothing is read.
        #[test]
        fn no_damage_makes_it_panic(
            little: bool, cut in 0..400usize, at in 0..200usize, byte: u8, rest: Vec<u8>,
        ) {
            let mut file = [b"Exif\0\0", &block(little)[..]].concat();
            let last = file.len() - 1;
            file[at.min(last)] = byte;
            file.truncate(cut);
            let _ = read(&file);
            let _ = read(&[b"Exif\0\0MM\0*", &rest[..]].concat());
        }
    }
}
