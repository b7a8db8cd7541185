//! GIF: blocks behind a head (GIF89a, sections 15 to 27; from memory).

use super::take;

/// Copies the pictures with their timing and colours.
pub(super) fn clean(photo: &[u8]) -> Option<Vec<u8>> {
    let mut rest = photo;
    let mut clean = Vec::with_capacity(photo.len());
    let head = take(&mut rest, 13)?;
    clean.extend(head);
    clean.extend(take(&mut rest, table(head[10]))?);
    loop {
        let whole = rest;
        let kept = match take(&mut rest, 1)? {
            b"\x3b" => {
                clean.push(0x3b);
                return Some(clean);
            }
            b"\x2c" => {
                let at = take(&mut rest, 9)?;
                take(&mut rest, table(at[8]) + 1)?;
                blocks(&mut rest)?;
                true
            }
            b"\x21" => {
                let kind = take(&mut rest, 1)?[0];
                let repeats = rest.starts_with(b"\x0bNETSCAPE2.0");
                let colours = rest.starts_with(b"\x0bICCRGBG1012");
                blocks(&mut rest)?;
                kind == 0xf9 || (kind == 0xff && (repeats || colours))
            }
            _ => return None,
        };
        if kept {
            clean.extend(&whole[..whole.len() - rest.len()]);
        }
    }
}

/// The length of a table of colours by the flags that announce it.
fn table(flags: u8) -> usize {
    if flags & 0x80 == 0 {
        return 0;
    }
    3 << ((flags & 7) + 1)
}

/// Passes blocks up to the empty one.
fn blocks(rest: &mut &[u8]) -> Option<()> {
    loop {
        let length = usize::from(take(rest, 1)?[0]);
        if length == 0 {
            return Some(());
        }
        take(rest, length)?;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_go_and_the_picture_stays() {
        let head = b"GIF89a\x01\0\x01\0\x80\0\0\0\0\0\xff\xff\xff";
        let comment = b"\x21\xfe\x05where\0";
        let words = b"\x21\xff\x0bXMP DataXMP\x04<x/>\0";
        let repeat = b"\x21\xff\x0bNETSCAPE2.0\x03\x01\0\0\0";
        let picture = b"\x2c\0\0\0\0\x01\0\x01\0\0\x02\x02\x44\x01\0";
        let photo = [
            &head[..],
            comment,
            repeat,
            words,
            picture,
            b"\x3b",
            b"behind",
        ]
        .concat();
        let wanted = [&head[..], repeat, picture, b"\x3b"].concat();
        assert_eq!(clean(&photo).unwrap(), wanted);
        assert_eq!(clean(&wanted[..wanted.len() - 2]), None);
    }
}
