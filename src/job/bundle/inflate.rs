//! What other programs pack small (DEFLATE, RFC 1951) back into bytes.
//!
//! An export made here is stored plainly; one that was unpacked and packed again by another
//! program mostly isn't.

/// Lengths of copies by their symbol from 257 on: the least, and how many bits tell more (section
/// 3.2.5).
const LENGTHS: [(u16, u8); 29] = [
    (3, 0),
    (4, 0),
    (5, 0),
    (6, 0),
    (7, 0),
    (8, 0),
    (9, 0),
    (10, 0),
    (11, 1),
    (13, 1),
    (15, 1),
    (17, 1),
    (19, 2),
    (23, 2),
    (27, 2),
    (31, 2),
    (35, 3),
    (43, 3),
    (51, 3),
    (59, 3),
    (67, 4),
    (83, 4),
    (99, 4),
    (115, 4),
    (131, 5),
    (163, 5),
    (195, 5),
    (227, 5),
    (258, 0),
];
/// How far back copies are taken from, the same way.
const DISTANCES: [(u16, u8); 30] = [
    (1, 0),
    (2, 0),
    (3, 0),
    (4, 0),
    (5, 1),
    (7, 1),
    (9, 2),
    (13, 2),
    (17, 3),
    (25, 3),
    (33, 4),
    (49, 4),
    (65, 5),
    (97, 5),
    (129, 6),
    (193, 6),
    (257, 7),
    (385, 7),
    (513, 8),
    (769, 8),
    (1025, 9),
    (1537, 9),
    (2049, 10),
    (3073, 10),
    (4097, 11),
    (6145, 11),
    (8193, 12),
    (12289, 12),
    (16385, 13),
    (24577, 13),
];
/// The order in which the lengths of the codes for lengths stand (section 3.2.7).
const ORDER: [usize; 19] = [
    16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15,
];
/// The symbol that ends a block.
const END: usize = 256;
const LONGEST_CODE: usize = 15;

/// The bytes that were packed, of which there must be exactly so many; `None` if the data is no
/// such thing.
pub(super) fn inflate(packed: &[u8], size: usize) -> Option<Vec<u8>> {
    let mut bits = Bits {
        bytes: packed,
        held: 0,
        count: 0,
    };
    // Nothing is packed into less than a thousandth: a wrong size takes no room beforehand.
    let mut out = Vec::with_capacity(size.min(packed.len().saturating_mul(1040)));
    loop {
        let last = bits.take(1)? == 1;
        match bits.take(2)? {
            0 => stored(&mut bits, &mut out, size)?,
            1 => {
                let mut lengths = [8; 288];
                lengths[144..256].fill(9);
                lengths[256..280].fill(7);
                block(
                    &mut bits,
                    &mut out,
                    size,
                    &Codes::of(&lengths)?,
                    &Codes::of(&[5; 30])?,
                )?;
            }
            2 => {
                let (symbols, distances) = told(&mut bits)?;
                block(&mut bits, &mut out, size, &symbols, &distances)?;
            }
            _ => return None,
        }
        if last {
            return (out.len() == size).then_some(out);
        }
    }
}

/// A block as it is: its length, that again turned over, its bytes.
fn stored(bits: &mut Bits, out: &mut Vec<u8>, size: usize) -> Option<()> {
    bits.skip_to_byte();
    let (length, check) = (bits.take(16)?, bits.take(16)?);
    if length != !check & 0xffff || out.len() + length > size {
        return None;
    }
    for _ in 0..length {
        out.push(bits.take(8)? as u8);
    }
    Some(())
}

/// A block of bytes and of copies of what went before.
fn block(
    bits: &mut Bits,
    out: &mut Vec<u8>,
    size: usize,
    symbols: &Codes,
    distances: &Codes,
) -> Option<()> {
    loop {
        let symbol = symbols.read(bits)?;
        if symbol == END {
            return Some(());
        }
        if symbol < END {
            if out.len() == size {
                return None;
            }
            out.push(symbol as u8);
            continue;
        }
        let &(least, more) = LENGTHS.get(symbol - END - 1)?;
        let length = usize::from(least) + bits.take(more)?;
        let &(least, more) = DISTANCES.get(distances.read(bits)?)?;
        let distance = usize::from(least) + bits.take(more)?;
        if out.len() + length > size {
            return None;
        }
        let from = out.len().checked_sub(distance)?;
        // A copy may reach into itself.
        for i in from..from + length {
            out.push(out[i]);
        }
    }
}

/// The codes that a block tells itself.
fn told(bits: &mut Bits) -> Option<(Codes, Codes)> {
    let symbols = 257 + bits.take(5)?;
    let distances = 1 + bits.take(5)?;
    let count = 4 + bits.take(4)?;
    let mut lengths = [0; 19];
    for place in &ORDER[..count] {
        lengths[*place] = bits.take(3)? as u8;
    }
    let codes = Codes::of(&lengths)?;
    let mut lengths = Vec::with_capacity(symbols + distances);
    while lengths.len() < symbols + distances {
        let (length, times) = match codes.read(bits)? {
            16 => (*lengths.last()?, 3 + bits.take(2)?),
            17 => (0, 3 + bits.take(3)?),
            18 => (0, 11 + bits.take(7)?),
            length => (length as u8, 1),
        };
        lengths.extend(std::iter::repeat_n(length, times));
    }
    if lengths.len() > symbols + distances {
        return None;
    }
    let (symbols, distances) = lengths.split_at(symbols);
    Some((Codes::of(symbols)?, Codes::of(distances)?))
}

/// A code of Huffman's: how many words there are of each length, and the symbols in their order
/// (section 3.2.2).
struct Codes {
    count: [usize; LONGEST_CODE + 1],
    symbols: Vec<usize>,
}

impl Codes {
    /// From the length of each symbol's word; `None` if there are more words than fit.
    fn of(lengths: &[u8]) -> Option<Self> {
        let mut count = [0; LONGEST_CODE + 1];
        for length in lengths {
            count[usize::from(*length)] += 1;
        }
        count[0] = 0;
        let mut free = 1_usize;
        for used in &count[1..] {
            free = (2 * free).checked_sub(*used)?;
        }
        let mut symbols: Vec<usize> = (0..lengths.len()).filter(|i| lengths[*i] > 0).collect();
        symbols.sort_by_key(|i| lengths[*i]);
        Some(Self { count, symbols })
    }

    fn read(&self, bits: &mut Bits) -> Option<usize> {
        let (mut word, mut first, mut at) = (0, 0, 0);
        for count in &self.count[1..] {
            word = 2 * word + bits.take(1)?;
            first *= 2;
            if word < first + count {
                return self.symbols.get(at + word - first).copied();
            }
            first += count;
            at += count;
        }
        None
    }
}

/// Bits from the low end of each byte on.
struct Bits<'a> {
    bytes: &'a [u8],
    held: usize,
    count: u8,
}

impl Bits<'_> {
    /// The next bits, at most 16, the first one lowest.
    fn take(&mut self, count: u8) -> Option<usize> {
        while self.count < count {
            let (first, rest) = self.bytes.split_first()?;
            self.held |= usize::from(*first) << self.count;
            self.count += 8;
            self.bytes = rest;
        }
        let taken = self.held & ((1 << count) - 1);
        self.held >>= count;
        self.count -= count;
        Some(taken)
    }

    /// Leaves out what is left of a byte.
    fn skip_to_byte(&mut self) {
        self.held >>= self.count % 8;
        self.count -= self.count % 8;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_block_of_each_kind_is_read() {
        let stored = [1, 3, 0, 0xfc, 0xff, b'a', b'b', b'c'];
        assert_eq!(inflate(&stored, 3).unwrap(), b"abc");
        // “aaaaaaaaaa” and “hello” by the fixed code, as zlib writes them.
        assert_eq!(
            inflate(&[0x4b, 0x84, 0x03, 0x00], 10).unwrap(),
            b"aaaaaaaaaa"
        );
        let hello = [0xcb, 0x48, 0xcd, 0xc9, 0xc9, 0x07, 0x00];
        assert_eq!(inflate(&hello, 5).unwrap(), b"hello");
        assert_eq!(inflate(&hello, 4), None);
        assert_eq!(inflate(&hello, 6), None);
        assert_eq!(inflate(&hello[..6], 5), None);
    }

    /// PNG's pixels are packed the same way, between two bytes of head and four of checksum: the
    /// library that writes them is another's.
    fn packed_by_another(row: &[u8]) -> Vec<u8> {
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, row.len() as u32, 1);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_filter(png::Filter::NoFilter);
        encoder.set_deflate_compression(png::DeflateCompression::Level(6));
        let mut writer = encoder.write_header().unwrap();
        writer.write_image_data(row).unwrap();
        drop(writer);
        let at = file.windows(4).position(|part| part == b"IDAT").unwrap();
        let length = u32::from_be_bytes(file[at - 4..at].try_into().unwrap()) as usize;
        file[at + 6..at + length].to_vec()
    }

    proptest! {
        #[test]
        fn what_another_library_packs_comes_back(
            words in proptest::collection::vec("[a-e]{1,9} ?", 1..300),
            noise in proptest::collection::vec(any::<u8>(), 1..200),
        ) {
            let text = words.concat().into_bytes();
            for bytes in [&text[..], &noise, &[&text[..], &noise, &text].concat()] {
                let back = inflate(&packed_by_another(bytes), bytes.len() + 1);
                let back = back.unwrap();
                prop_assert_eq!(&back[1..], bytes);
            }
        }

        #[test]
        fn noise_is_refused_or_read_but_never_a_panic(
            bytes in proptest::collection::vec(any::<u8>(), 0..200), kind in 0..8_u8,
        ) {
            let _ = inflate(&[&[kind][..], &bytes].concat(), 1000);
        }
    }
}
