//! PNG: chunks with a length and a checksum (W3C PNG, third edition; from memory).

use super::take;
use crate::job::bundle::crc::crc32;
use crate::survey::Needed;

const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";

/// The chunks that make the picture: its size, colours, pixels, frames, and how dense it is.
const PICTURE: [&[u8; 4]; 16] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"cICP",
    b"sBIT", b"bKGD", b"pHYs", b"acTL", b"fcTL", b"fdAT",
];

/// Copies the chunks that make the picture, up to its end.
pub(super) fn clean(photo: &[u8]) -> Option<Vec<u8>> {
    let mut rest = photo.strip_prefix(SIGNATURE)?;
    let mut clean = Vec::with_capacity(photo.len());
    clean.extend(SIGNATURE);
    let (mut begun, mut tagged) = (false, false);
    loop {
        let whole = rest;
        let Some((name, body)) = chunk(&mut rest) else {
            // Pixels that break off are shown as far as they go; of no other chunk a part is
            // taken.
            let cut = whole.get(4..8) == Some(b"IDAT");
            if cut {
                clean.extend(whole);
            }
            return (begun || cut).then_some(clean);
        };
        if name == b"eXIf" && !tagged {
            tagged = true;
            if let Some(block) = Needed::read(body).block() {
                write(&mut clean, name, &block)?;
            }
        }
        if PICTURE.contains(&name) {
            clean.extend(&whole[..whole.len() - rest.len()]);
        }
        begun |= name == b"IDAT";
        if name == b"IEND" {
            return Some(clean);
        }
    }
}

/// The next chunk: its name and what it holds.
fn chunk<'a>(rest: &mut &'a [u8]) -> Option<(&'a [u8; 4], &'a [u8])> {
    let length = u32::from_be_bytes(take(rest, 4)?.try_into().ok()?);
    let name = take(rest, 4)?.try_into().ok()?;
    let body = take(rest, usize::try_from(length).ok()?)?;
    take(rest, 4)?;
    Some((name, body))
}

fn write(clean: &mut Vec<u8>, name: &[u8; 4], body: &[u8]) -> Option<()> {
    let named = [name, body].concat();
    clean.extend(u32::try_from(body.len()).ok()?.to_be_bytes());
    clean.extend(&named);
    clean.extend(crc32(&named).to_be_bytes());
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(name: &[u8; 4], body: &[u8]) -> Vec<u8> {
        let mut bytes = Vec::new();
        write(&mut bytes, name, body).unwrap();
        bytes
    }

    #[test]
    fn words_and_tags_go_and_the_picture_stays() {
        let photo = [
            SIGNATURE,
            &part(b"IHDR", &[0; 13]),
            &part(b"tEXt", b"Author\0someone"),
            &part(b"eXIf", b"II*\0\x08\0\0\0\0\0"),
            &part(b"tIME", &[0; 7]),
            &part(b"IDAT", b"pixels"),
            &part(b"xxXx", b"of a maker"),
            &part(b"iTXt", b"XML:com.adobe.xmp"),
            &part(b"IEND", b""),
            b"more behind the end",
        ]
        .concat();
        let wanted = [
            SIGNATURE,
            &part(b"IHDR", &[0; 13]),
            &part(b"IDAT", b"pixels"),
            &part(b"IEND", b""),
        ]
        .concat();
        assert_eq!(clean(&photo).unwrap(), wanted);
        let cut = &wanted[..wanted.len() - 15];
        assert_eq!(clean(cut).unwrap(), cut);
        assert_eq!(clean(&wanted[..30]), None);
    }
}
