//! JPEG: segments between markers, then scans (ITU-T T.81, annex B; JFIF 1.02; from memory).

use super::take;
use crate::survey::Needed;

const START: u8 = 0xd8;
const END: u8 = 0xd9;
const SCAN: u8 = 0xda;
const JFIF: &[u8] = b"JFIF\0";
/// What stands in the JFIF segment before its small preview.
const JFIF_HEAD: usize = 12;

/// Copies the picture. Behind its end nothing is taken: there phones put more pictures, films and
/// their own notes.
pub(super) fn clean(photo: &[u8]) -> Option<Vec<u8>> {
    let mut rest = photo.strip_prefix(&[0xff, START])?;
    let mut clean = Vec::with_capacity(photo.len());
    clean.extend([0xff, START]);
    let (mut scanned, mut tagged) = (false, false);
    while let Some((code, body)) = segment(&mut rest) {
        match code {
            END => {
                clean.extend([0xff, END]);
                return Some(clean);
            }
            0xe0 if body.starts_with(JFIF) => {
                // Its preview may show what was cut away later: none, of no size.
                let head = body.get(..JFIF_HEAD)?;
                write(&mut clean, code, &[head, &[0, 0]].concat())?;
            }
            0xe1 if body.starts_with(b"Exif\0\0") && !tagged => {
                tagged = true;
                if let Some(block) = Needed::read(&body[6..]).block() {
                    write(&mut clean, code, &[b"Exif\0\0", &block[..]].concat())?;
                }
            }
            0xe2 if body.starts_with(b"ICC_PROFILE\0") => write(&mut clean, code, body)?,
            0xee if body.starts_with(b"Adobe") => write(&mut clean, code, body)?,
            // Tables, the frame and its scans.
            0xc0..=0xcf | 0xdb..=0xdf => write(&mut clean, code, body)?,
            SCAN => {
                scanned = true;
                write(&mut clean, code, body)?;
                let length = scan_length(rest);
                clean.extend(take(&mut rest, length)?);
            }
            _ => {}
        }
    }
    // A picture whose end is missing is shown as far as it goes.
    scanned.then_some(clean)
}

/// The next segment: its marker and what it holds.
fn segment<'a>(rest: &mut &'a [u8]) -> Option<(u8, &'a [u8])> {
    if take(rest, 1)? != [0xff] {
        return None;
    }
    let mut code = take(rest, 1)?[0];
    while code == 0xff {
        code = take(rest, 1)?[0];
    }
    if matches!(code, 0x01 | 0xd0..=END) {
        return Some((code, &[]));
    }
    let length = u16::from_be_bytes(take(rest, 2)?.try_into().ok()?);
    Some((code, take(rest, usize::from(length).checked_sub(2)?)?))
}

fn write(clean: &mut Vec<u8>, code: u8, body: &[u8]) -> Option<()> {
    let length = u16::try_from(body.len() + 2).ok()?;
    clean.extend([0xff, code]);
    clean.extend(length.to_be_bytes());
    clean.extend(body);
    Some(())
}

/// How far a scan goes: to the next marker that is none of its own.
fn scan_length(rest: &[u8]) -> usize {
    let ends = |pair: &[u8]| pair[0] == 0xff && !matches!(pair[1], 0 | 0xff | 0xd0..=0xd7);
    rest.windows(2).position(ends).unwrap_or(rest.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(code: u8, body: &[u8]) -> Vec<u8> {
        let mut bytes = Vec::new();
        write(&mut bytes, code, body).unwrap();
        bytes
    }

    #[test]
    fn segments_that_tell_go_and_the_picture_stays() {
        let scan = [0x12, 0xff, 0x00, 0x34, 0xff, 0xd0, 0x56];
        let jfif = part(0xe0, b"JFIF\0\x01\x02\0\0\x48\0\x48\x01\x01\xaa\xbb\xcc");
        let told = [
            part(0xe0, b"JFXX\0\x10 preview"),
            part(0xe1, b"http://ns.adobe.com/xap/1.0/\0<x/>"),
            part(0xe1, b"Exif\0\0II*\0\x08\0\0\0\0\0"),
            part(0xe2, b"MPF\0MM\0*"),
            part(0xed, b"Photoshop 3.0\0"),
            part(0xfe, b"a comment"),
        ]
        .concat();
        let colours = [
            part(0xe2, b"ICC_PROFILE\0\x01\x01"),
            part(0xee, b"Adobe\0\x64"),
        ]
        .concat();
        let tables = [
            part(0xdb, &[1; 65]),
            part(0xc2, &[8, 1, 0, 1, 0, 1]),
            part(0xc4, &[3; 9]),
        ];
        let tables = tables.concat();
        let scans = [
            part(SCAN, &[1, 1, 0, 0, 63, 0]),
            scan.to_vec(),
            part(0xfe, b"between two scans"),
            part(0xc4, &[4; 9]),
            part(SCAN, &[1, 1, 0, 1, 63, 0]),
            scan.to_vec(),
        ];
        let end = b"\xff\xd9";
        let photo = [
            b"\xff\xd8",
            &jfif[..],
            &told,
            &colours,
            &tables,
            &scans.concat(),
            end,
        ];
        let photo = [&photo.concat()[..], b"\xff\xd8 another picture \xff\xd9"].concat();
        let mut kept = scans.to_vec();
        kept.remove(2);
        let plain = part(0xe0, b"JFIF\0\x01\x02\0\0\x48\0\x48\0\0");
        let wanted = [
            b"\xff\xd8",
            &plain[..],
            &colours,
            &tables,
            &kept.concat(),
            end,
        ]
        .concat();
        assert_eq!(clean(&photo).unwrap(), wanted);
        assert_eq!(clean(&wanted).unwrap(), wanted);
    }

    #[test]
    fn a_photo_cut_in_its_scan_stays_as_far_as_it_goes_and_before_it_is_refused() {
        let head = [b"\xff\xd8".to_vec(), part(0xdb, &[1; 65])].concat();
        assert_eq!(clean(&head), None);
        let begun = [&head[..], &part(SCAN, &[1, 1, 0, 0, 63, 0]), &[9; 20]].concat();
        assert_eq!(clean(&begun).unwrap(), begun);
    }
}
