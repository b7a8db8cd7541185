//! The checksum of ZIP files: CRC-32 as ISO 3309 and PNG have it.

const TABLE: [u32; 256] = table();

const fn table() -> [u32; 256] {
    let mut table = [0; 256];
    let mut byte = 0;
    while byte < 256 {
        let mut rest = byte as u32;
        let mut bit = 0;
        while bit < 8 {
            rest = (rest >> 1) ^ if rest & 1 == 1 { 0xedb8_8320 } else { 0 };
            bit += 1;
        }
        table[byte] = rest;
        byte += 1;
    }
    table
}

/// The CRC-32 of some bytes.
pub(super) fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |rest: u32, byte| {
        (rest >> 8) ^ TABLE[usize::from(rest as u8 ^ byte)]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_check_value_of_the_standard() {
        assert_eq!(crc32(b"123456789"), 0xcbf4_3926);
        assert_eq!(crc32(b""), 0);
    }
}
