//! WebP: a RIFF file of chunks (RFC 9649, section 2; from memory).

use super::take;
use crate::survey::Needed;

/// The chunks that make the picture.
const PICTURE: [&[u8; 4]; 7] = [
    b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"ICCP", b"ANIM", b"ANMF",
];
/// The flags in the first chunk that announce tags and words.
const HAS_EXIF: u8 = 0x08;
const HAS_XMP: u8 = 0x04;

/// Copies the chunks that make the picture.
pub(super) fn clean(photo: &[u8]) -> Option<Vec<u8>> {
    let mut rest = photo;
    if take(&mut rest, 4)? != b"RIFF" {
        return None;
    }
    let length = u32::from_le_bytes(take(&mut rest, 4)?.try_into().ok()?);
    // What stands behind the end that the file itself tells is no part of it.
    rest = rest.get(..usize::try_from(length).ok()?).unwrap_or(rest);
    if take(&mut rest, 4)? != b"WEBP" {
        return None;
    }
    let mut clean = b"RIFF\0\0\0\0WEBP".to_vec();
    clean.reserve(photo.len());
    let (mut flags, mut tagged, mut pictured) = (None, false, false);
    while !rest.is_empty() {
        let name: &[u8; 4] = take(&mut rest, 4)?.try_into().ok()?;
        let length = u32::from_le_bytes(take(&mut rest, 4)?.try_into().ok()?);
        let length = usize::try_from(length).ok()?;
        let body = take(&mut rest, length)?;
        // Chunks begin at even places.
        if length % 2 == 1 && !rest.is_empty() {
            take(&mut rest, 1)?;
        }
        if name == b"VP8X" {
            flags = Some(clean.len() + 8);
        }
        if name == b"EXIF" && !tagged {
            // Some programs put the words of JPEG before the block.
            let block = Needed::read(body.strip_prefix(b"Exif\0\0").unwrap_or(body)).block();
            if let Some(block) = block {
                tagged = true;
                write(&mut clean, name, &block)?;
            }
        } else if PICTURE.contains(&name) {
            pictured |= matches!(name, b"VP8 " | b"VP8L" | b"ANMF");
            write(&mut clean, name, body)?;
        }
    }
    if let Some(flags) = flags.and_then(|at| clean.get_mut(at)) {
        *flags &= !(HAS_EXIF | HAS_XMP);
        *flags |= if tagged { HAS_EXIF } else { 0 };
    }
    let length = u32::try_from(clean.len() - 8).ok()?;
    clean[4..8].copy_from_slice(&length.to_le_bytes());
    pictured.then_some(clean)
}

fn write(clean: &mut Vec<u8>, name: &[u8; 4], body: &[u8]) -> Option<()> {
    clean.extend(name);
    clean.extend(u32::try_from(body.len()).ok()?.to_le_bytes());
    clean.extend(body);
    clean.resize(clean.len().next_multiple_of(2), 0);
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(parts: &[(&[u8; 4], &[u8])]) -> Vec<u8> {
        let mut bytes = b"RIFF\0\0\0\0WEBP".to_vec();
        for (name, body) in parts {
            write(&mut bytes, name, body).unwrap();
        }
        let length = bytes.len() as u32 - 8;
        bytes[4..8].copy_from_slice(&length.to_le_bytes());
        bytes
    }

    #[test]
    fn tags_and_words_go_with_their_flags_and_the_picture_stays() {
        let head = [0x3c, 0, 0, 0, 1, 0, 0, 1, 0, 0];
        let needed = Needed {
            turned: Some(8),
            ..Needed::default()
        };
        let block = needed.block().unwrap();
        let photo = file(&[
            (b"VP8X", &head),
            (b"ICCP", b"colours"),
            (b"VP8 ", b"pixels."),
            (b"EXIF", &[&b"Exif\0\0"[..], &block, b"a place"].concat()),
            (b"XMP ", b"<x/>"),
            (b"MAKR", b"of a maker"),
        ]);
        let photo = [&photo[..], b"behind the end"].concat();
        let mut kept = head;
        kept[0] = 0x38;
        let wanted = file(&[
            (b"VP8X", &kept),
            (b"ICCP", b"colours"),
            (b"VP8 ", b"pixels."),
            (b"EXIF", &block),
        ]);
        assert_eq!(clean(&photo).unwrap(), wanted);
        assert_eq!(clean(&wanted).unwrap(), wanted);
        let plain = file(&[(b"VP8L", b"pixels")]);
        assert_eq!(clean(&plain).unwrap(), plain);
        assert_eq!(clean(&plain[..plain.len() - 3]), None);
    }
}
