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
const ORIENTATION: u16 = 0x0112;
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

/// The tags by which a photo is shown upright and measured. They tell nothing of who took it,
/// where, when, or with which camera.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Needed {
    /// How the picture is turned, 1 to 8 as Exif has it.
    pub turned: Option<u16>,
    /// The lens's own focal length in millimetres, as a ratio.
    pub focal_mm: Option<[u32; 2]>,
    /// The focal length of the same view on 36 x 24 mm film, in millimetres.
    pub focal_35mm: Option<u16>,
}

impl Needed {
    /// Reads them from a block of tags, which begins with its byte order mark. What can't be read
    /// is left out.
    pub fn read(block: &[u8]) -> Self {
        Self::from_tiff(block).unwrap_or_default()
    }

    fn from_tiff(block: &[u8]) -> Option<Self> {
        let tiff = Tiff::open(block)?;
        let first = tiff.long(4)?;
        let lens = tiff
            .entry(first, CAMERA_DIRECTORY)
            .and_then(|entry| tiff.long(entry + 8));
        let in_lens = |tag| lens.and_then(|directory| tiff.entry(directory, tag));
        let turned = tiff.entry(first, ORIENTATION);
        let turned = turned.and_then(|entry| tiff.short(entry + 8));
        let ratio = |entry| {
            let at = tiff.long(entry + 8)?;
            let whole = |at| u32::try_from(tiff.long(at)?).ok();
            Some([whole(at)?, whole(at.checked_add(4)?)?])
        };
        let focal_35mm = in_lens(FOCAL_LENGTH_35MM).and_then(|entry| tiff.short(entry + 8));
        Some(Self {
            turned: turned.filter(|turned| (1..=8).contains(turned)),
            focal_mm: in_lens(FOCAL_LENGTH)
                .and_then(ratio)
                .filter(|[over, under]| *over > 0 && *under > 0),
            focal_35mm: focal_35mm.filter(|focal| *focal > 0),
        })
    }

    /// A block of tags that holds these and no others; `None` where there is nothing to say.
    pub fn block(&self) -> Option<Vec<u8>> {
        const SHORT: u16 = 3;
        const LONG: u16 = 4;
        const RATIO: u16 = 5;
        if *self == Self::default() {
            return None;
        }
        let entry = |tag: u16, kind: u16, value: u32| {
            // Two bytes stand at the left of the four.
            let value = if kind == SHORT { value << 16 } else { value };
            let head = [tag.to_be_bytes(), kind.to_be_bytes()].concat();
            [&head[..], &1_u32.to_be_bytes(), &value.to_be_bytes()].concat()
        };
        let directory = |entries: &[Vec<u8>]| {
            let count = entries.len() as u16;
            [&count.to_be_bytes()[..], &entries.concat(), &[0; 4]].concat()
        };
        let length = |entries: usize| 2 + 12 * entries as u32 + 4;

        let turned = self
            .turned
            .map(|turned| entry(ORIENTATION, SHORT, turned.into()));
        let in_lens = usize::from(self.focal_mm.is_some()) + usize::from(self.focal_35mm.is_some());
        let lens_at = 8 + length(usize::from(turned.is_some()) + usize::from(in_lens > 0));
        let pointer = (in_lens > 0).then(|| entry(CAMERA_DIRECTORY, LONG, lens_at));
        let first: Vec<_> = turned.into_iter().chain(pointer).collect();
        let mut block = [b"MM\0*\0\0\0\x08", &directory(&first)[..]].concat();
        if in_lens > 0 {
            let focal = self.focal_mm;
            let focal = focal.map(|_| entry(FOCAL_LENGTH, RATIO, lens_at + length(in_lens)));
            let film = self.focal_35mm;
            let film = film.map(|film| entry(FOCAL_LENGTH_35MM, SHORT, film.into()));
            let lens: Vec<_> = focal.into_iter().chain(film).collect();
            block.extend(directory(&lens));
            for part in self.focal_mm.into_iter().flatten() {
                block.extend(part.to_be_bytes());
            }
        }
        Some(block)
    }
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
    fn what_measuring_needs_is_kept_and_no_more() {
        for little in [true, false] {
            let needed = Needed::read(&block(little));
            let all = Needed {
                turned: Some(6),
                focal_mm: Some([54, 10]),
                focal_35mm: Some(26),
            };
            assert_eq!(needed, all);
            let written = needed.block().unwrap();
            let (fields, _) = exif::parse_exif(&written).unwrap();
            let mut tags: Vec<u16> = fields.iter().map(|field| field.tag.number()).collect();
            tags.sort_unstable();
            assert_eq!(tags, [ORIENTATION, FOCAL_LENGTH, FOCAL_LENGTH_35MM]);
        }
        assert_eq!(Needed::default().block(), None);
    }

    #[test]
    fn a_file_without_tags_has_none() {
        assert_eq!(read(b"\xff\xd8\xff\xe0\0\x10JFIF\0"), None);
        assert_eq!(read(b"Exif\0\0II*\0"), None);
    }

    proptest! {
        #[test]
        fn what_is_needed_comes_back_from_its_own_block(
            turned in proptest::option::of(1..=8_u16),
            focal_mm in proptest::option::of([1..u32::MAX, 1..u32::MAX]),
            focal_35mm in proptest::option::of(1..u16::MAX),
        ) {
            let needed = Needed { turned, focal_mm, focal_35mm };
            if let Some(block) = needed.block() {
                prop_assert_eq!(Needed::read(&block), needed);
                prop_assert!(exif::parse_exif(&block).is_ok());
            }
        }

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
            let _ = Needed::read(file.get(6..).unwrap_or_default());
            let _ = Needed::read(&[b"MM\0*", &rest[..]].concat());
            let _ = read(&[b"Exif\0\0MM\0*", &rest[..]].concat());
        }
    }
}
