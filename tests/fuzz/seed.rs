//! Small files of each kind, made here: pictures by their first bytes, and ZIP files that may lie.

use rawzip::crc32;

/// The sides of the pictures below: large enough to be measured on.
const WIDE: u16 = 640;
const HIGH: u16 = 480;

/// A block of tags (TIFF): model, orientation, focal lengths, place.
pub fn tags(little: bool) -> Vec<u8> {
    use exif::{Field, In, Rational, Tag, Value};
    let ratio = |num, denom| Value::Rational(vec![Rational { num, denom }]);
    let fields = [
        (Tag::Model, Value::Ascii(vec![b"Demo 1".to_vec()])),
        (Tag::Orientation, Value::Short(vec![6])),
        (Tag::FocalLength, ratio(54, 10)),
        (Tag::FocalLengthIn35mmFilm, Value::Short(vec![26])),
        (Tag::GPSLatitude, ratio(1, 2)),
    ]
    .map(|(tag, value)| Field {
        tag,
        ifd_num: In::PRIMARY,
        value,
    });
    let mut writer = exif::experimental::Writer::new();
    fields.iter().for_each(|field| writer.push_field(field));
    let mut block = std::io::Cursor::new(Vec::new());
    writer
        .write(&mut block, little)
        .expect("a block is written");
    block.into_inner()
}

fn segment(marker: u8, data: &[u8]) -> Vec<u8> {
    let length = (data.len() as u16 + 2).to_be_bytes();
    [&[0xff, marker], &length[..], data].concat()
}

/// A JPEG of these sides, bits and colours, without its pixels.
pub fn jpeg(width: u16, height: u16, bits: u8, colours: u8) -> Vec<u8> {
    let [w, h] = [width.to_be_bytes(), height.to_be_bytes()];
    let mut frame = vec![bits, h[0], h[1], w[0], w[1], colours];
    frame.extend((1..=colours).flat_map(|c| [c, 0x11, 0]));
    let mut scan = vec![colours];
    scan.extend((1..=colours).flat_map(|c| [c, 0]));
    scan.extend([0, 63, 0]);
    [
        &[0xff, 0xd8][..],
        &segment(0xe0, b"JFIF\0\x01\x01\0\0\x01\0\x01\0\0"),
        &segment(0xe1, &[b"Exif\0\0", &tags(false)[..]].concat()),
        &segment(0xe2, b"ICC_PROFILE\0\x01\x01profile"),
        &segment(0xee, b"Adobe\0\x64\0\0\0\0\x02"),
        &segment(0xfe, b"a comment"),
        &segment(0xdb, &[1; 65]),
        &segment(0xc0, &frame),
        &segment(0xc4, &[0; 17]),
        &segment(0xda, &scan),
        b"pixels \xff\0 \xff\xd0 pixels\xff\xd9",
    ]
    .concat()
}

/// A part of a PNG; its checksum is right.
fn chunk(name: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let named = [&name[..], data].concat();
    let length = (data.len() as u32).to_be_bytes();
    [&length[..], &named, &crc32(&named).to_be_bytes()].concat()
}

/// A PNG of these sides and bits, without its pixels.
pub fn png(width: u32, height: u32, bits: u8) -> Vec<u8> {
    let size = [width.to_be_bytes(), height.to_be_bytes()].concat();
    [
        &b"\x89PNG\r\n\x1a\n"[..],
        &chunk(b"IHDR", &[&size[..], &[bits, 2, 0, 0, 0]].concat()),
        &chunk(b"tEXt", b"Author\0nobody"),
        &chunk(b"eXIf", &tags(true)),
        &chunk(b"IDAT", b"pixels"),
        &chunk(b"IEND", b""),
    ]
    .concat()
}

/// A box of HEIC and AVIF.
fn boxed(name: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let length = (data.len() as u32 + 8).to_be_bytes();
    [&length[..], name, data].concat()
}

/// A HEIC (brand `heic`) or an AVIF (brand `avif`) of these sides, without its pixels.
pub fn heif(brand: &[u8; 4], width: u32, height: u32) -> Vec<u8> {
    let size = [width.to_be_bytes(), height.to_be_bytes()].concat();
    let extent = boxed(b"ispe", &[&[0; 4], &size[..]].concat());
    let shared = boxed(b"ipco", &extent);
    let link = boxed(b"ipma", &[0, 0, 0, 0, 0, 0, 0, 1, 0, 1, 1, 1]);
    let properties = boxed(b"iprp", &[shared, link].concat());
    let first = boxed(b"pitm", &[0, 0, 0, 0, 0, 1]);
    let kind = boxed(b"hdlr", b"\0\0\0\0\0\0\0\0pict\0\0\0\0\0\0\0\0\0\0\0\0\0");
    let meta = [&[0; 4], &kind[..], &first, &properties].concat();
    let kinds = [&brand[..], &[0; 4], b"mif1", brand].concat();
    [
        boxed(b"ftyp", &kinds),
        boxed(b"meta", &meta),
        boxed(b"mdat", &[b"Exif\0\0", &tags(false)[..]].concat()),
    ]
    .concat()
}

fn webp(parts: &[u8]) -> Vec<u8> {
    let length = (parts.len() as u32 + 4).to_le_bytes();
    [b"RIFF", &length[..], b"WEBP", parts].concat()
}

fn webp_part(name: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let length = (data.len() as u32).to_le_bytes();
    let end = vec![0; data.len() % 2];
    [&name[..], &length, data, &end].concat()
}

/// A TIFF, which is not taken: 640 x 480.
pub fn tiff() -> Vec<u8> {
    let entry = |tag: u16, value: u32| {
        let head = [tag.to_le_bytes(), 4_u16.to_le_bytes()].concat();
        [&head[..], &1_u32.to_le_bytes(), &value.to_le_bytes()].concat()
    };
    let entries = [entry(256, WIDE.into()), entry(257, HIGH.into())].concat();
    [&b"II*\0\x08\0\0\0\x02\0"[..], &entries, &[0; 4]].concat()
}

/// One file of each kind, and some kinds in several shapes.
pub fn pictures() -> Vec<Vec<u8>> {
    let [w, h] = [WIDE.to_le_bytes(), HIGH.to_le_bytes()].map(|side| [side[0], side[1]]);
    let gif = [
        b"GIF89a",
        &w[..],
        &h,
        b"\x80\0\0\0\0\0\xff\xff\xff\x21\xfe\x05hello\0\x21\xff\x0bNETSCAPE2.0\x03\x01\0\0\0",
        b"\x2c\0\0\0\0",
        &w,
        &h,
        b"\0\x02\x02\x4c\x01\0\x3b",
    ]
    .concat();
    let bmp = [
        &b"BM\x46\0\0\0\0\0\0\0\x36\0\0\0\x28\0\0\0"[..],
        &w,
        &[0, 0],
        &h,
        &[0, 0],
        b"\x01\0\x18\0",
        &[0; 30],
    ]
    .concat();
    let lossy = [&b"\x10\0\0\x9d\x01\x2a"[..], &w, &h, b"pixels"].concat();
    let extended = [&[0x2c, 0, 0, 0][..], &[0x7f, 0x02, 0, 0xdf, 0x01, 0]].concat();
    let parts = [
        webp_part(b"VP8X", &extended),
        webp_part(b"ICCP", b"profile"),
        webp_part(b"VP8 ", &lossy),
        webp_part(b"EXIF", &tags(true)),
        webp_part(b"XMP ", b"<x/>"),
    ];
    vec![
        jpeg(WIDE, HIGH, 8, 3),
        jpeg(WIDE, HIGH, 8, 4),
        png(WIDE.into(), HIGH.into(), 8),
        png(WIDE.into(), HIGH.into(), 16),
        gif,
        bmp,
        webp(&webp_part(b"VP8 ", &lossy)),
        webp(&webp_part(b"VP8L", b"\x2f\x7f\xc2\x77\0pixels")),
        webp(&parts.concat()),
        heif(b"heic", WIDE.into(), HIGH.into()),
        heif(b"avif", WIDE.into(), HIGH.into()),
        tiff(),
    ]
}

/// What a ZIP file says of one of its parts; it need not be true.
#[derive(Clone)]
pub struct Part {
    pub name: Vec<u8>,
    pub name_again: Option<Vec<u8>>,
    pub data: Vec<u8>,
    pub method: u16,
    pub crc: u32,
    pub size: u64,
    pub packed: u64,
    pub at: Option<u64>,
}

impl Part {
    /// A part that is stored as it is.
    pub fn new(name: &str, data: &[u8]) -> Self {
        Self {
            name: name.into(),
            name_again: None,
            data: data.to_vec(),
            method: 0,
            crc: crc32(data),
            size: data.len() as u64,
            packed: data.len() as u64,
            at: None,
        }
    }

    /// A part packed by DEFLATE, given packed, with what comes out of it.
    pub fn packed(name: &str, packed: &[u8], whole: &[u8]) -> Self {
        Self {
            method: 8,
            data: packed.to_vec(),
            packed: packed.len() as u64,
            ..Self::new(name, whole)
        }
    }
}

/// A ZIP file of these parts. Numbers too large for their fields go into the fields of ZIP64.
pub fn zip(parts: &[Part], count: Option<u16>) -> Vec<u8> {
    let mut file = Vec::new();
    let mut directory = Vec::new();
    for part in parts {
        let at = part.at.unwrap_or(file.len() as u64);
        let numbers = [part.size, part.packed, at];
        let extra: Vec<u8> = numbers
            .iter()
            .filter(|n| **n >= u64::from(u32::MAX))
            .flat_map(|n| n.to_le_bytes())
            .collect();
        let extra = match extra.len() as u16 {
            0 => Vec::new(),
            length => [&[1, 0][..], &length.to_le_bytes(), &extra].concat(),
        };
        let short = numbers.map(|n| u32::try_from(n).unwrap_or(u32::MAX).to_le_bytes());
        let about = [
            &20_u16.to_le_bytes()[..],
            &0x800_u16.to_le_bytes(),
            &part.method.to_le_bytes(),
            &[0, 0, 0x21, 0x5a],
            &part.crc.to_le_bytes(),
            &short[1],
            &short[0],
        ]
        .concat();
        let again = part.name_again.as_ref().unwrap_or(&part.name);
        let length = |bytes: &[u8]| (bytes.len() as u16).to_le_bytes();
        file.extend(
            [
                b"PK\x03\x04",
                &about[..],
                &length(again),
                &[0, 0],
                again,
                &part.data,
            ]
            .concat(),
        );
        directory.extend(
            [
                b"PK\x01\x02\x14\0",
                &about[..],
                &length(&part.name),
                &length(&extra),
                &[0; 10],
                &short[2],
                &part.name,
                &extra,
            ]
            .concat(),
        );
    }
    let count = count.unwrap_or(parts.len() as u16).to_le_bytes();
    let [length, at] = [directory.len(), file.len()].map(|n| (n as u32).to_le_bytes());
    file.extend(directory);
    file.extend(
        [
            b"PK\x05\x06\0\0\0\0",
            &count[..],
            &count,
            &length,
            &at,
            &[0, 0],
        ]
        .concat(),
    );
    file
}

/// Zeros packed by DEFLATE (RFC 1951) with its fixed code: 258 bytes in thirteen bits.
pub fn packed_zeros(copies: usize) -> (Vec<u8>, usize) {
    let mut bits = Vec::new();
    let mut put = |value: u32, count: u32, high_first: bool| {
        let bit = |i: u32| (value >> if high_first { count - 1 - i } else { i }) & 1;
        bits.extend((0..count).map(|i| bit(i) as u8));
    };
    // The fixed code: a zero, then copies of 258 bytes from one byte before, then the end.
    put(1, 1, false);
    put(1, 2, false);
    put(0x30, 8, true);
    for _ in 0..copies {
        put(0b1100_0101, 8, true);
        put(0, 5, true);
    }
    put(0, 7, true);
    let byte = |bits: &[u8]| bits.iter().rev().fold(0, |byte, bit| byte << 1 | bit);
    (bits.chunks(8).map(byte).collect(), 1 + 258 * copies)
}
