//! Is this file a picture that can be measured? Asked of its first bytes, before it is decoded.

use super::{CameraTag, ImageSize, camera_tag};
use crate::quantity::show;
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The kinds of picture file that are accepted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum PictureFormat {
    /// JPEG, as cameras write it.
    Jpeg,
    /// PNG, as screenshots are.
    Png,
    /// WebP.
    WebP,
    /// GIF (its first frame).
    Gif,
    /// Windows bitmap.
    Bmp,
    /// HEIC, as some phones store photos: not every browser opens it.
    Heic,
    /// AVIF.
    Avif,
}

impl PictureFormat {
    /// The name people know it by.
    pub fn name(self) -> &'static str {
        match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::WebP => tr("WebP"),
            Self::Gif => "GIF",
            Self::Bmp => "BMP",
            Self::Heic => "HEIC",
            Self::Avif => "AVIF",
        }
    }

    /// What to tell the user when the browser can't open a picture of this kind.
    pub fn cannot_open(self) -> String {
        match self {
            Self::Heic => tr(
                "This photo is stored as HEIC, which this browser can't open. Nothing \
                           was changed. In the phone's camera settings choose the format that \
                           suits most devices (JPEG) and take the photo again, or save a copy \
                           as JPEG.",
            )
            .into(),
            other => say!(
                "This {name} picture can't be opened: the file may be damaged. Nothing was changed. \
                 Take the photo again, or choose another.",
                name = other.name()
            ),
        }
    }
}

/// What the first bytes tell.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PictureInfo {
    /// The kind of file.
    pub format: PictureFormat,
    /// The size as stored; the browser may turn it by its EXIF orientation.
    pub size: ImageSize,
    /// The camera that took it, where the file says (JPEG, HEIC, PNG, WebP).
    pub camera: Option<CameraTag>,
}

/// Why a file is refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum PictureError {
    /// No bytes at all.
    Empty,
    /// Not one of the kinds of picture that are accepted.
    NotAPicture,
    /// Begins like a picture of this kind, but its size can't be read.
    Damaged(PictureFormat),
    /// More pixels than a phone can hold at once.
    TooLarge(ImageSize),
    /// Too few pixels to measure on.
    TooSmall(ImageSize),
}

/// A picture of this many pixels takes 200 MB once decoded, the most a phone's browser can be
/// trusted with.
pub const MOST_PIXELS: u64 = 50_000_000;

/// On a shorter side of fewer pixels a card's corner can't be marked to a useful part of its size.
pub const SHORTEST_SIDE: u32 = 240;

impl fmt::Display for PictureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str(
                tr("This file is empty (0 bytes), so there is no photo in it. Nothing was changed. \
                 Take the photo again, or choose another."),
            ),
            Self::NotAPicture => f.write_str(
                tr("This file isn't a picture the app knows. Nothing was changed. Choose a photo: \
                 JPEG, PNG or WebP."),
            ),
            // Phones store HEIC in many ways: one that can't be read is no broken photo.
            Self::Damaged(format @ PictureFormat::Heic) => f.write_str(&format.cannot_open()),
            Self::Damaged(_) => f.write_str(
                tr("This picture is damaged: its size can't be read. Nothing was changed. Take the \
                 photo again, or choose another."),
            ),
            Self::TooLarge(size) => f.write_str(&say!("This picture has {size} megapixels ({width} x {height}), more than a phone can hold at once. \
                 Nothing was changed. Choose one of {most} megapixels or fewer: set the camera to its \
                 standard size, or save a smaller copy.", size = show::fixed(size.pixels() as f64 / 1e6, 0), width = size.width, height = size.height, most = MOST_PIXELS / 1_000_000)),
            Self::TooSmall(size) => f.write_str(&say!("This picture is only {width} x {height} pixels, too small to measure on. Nothing was \
                 changed. Choose the photo in its full size, at least {SHORTEST_SIDE} pixels on \
                 its shorter side.", width = size.width, height = size.height, SHORTEST_SIDE)),
        }
    }
}

impl std::error::Error for PictureError {}

/// Reads kind, size and camera from the file's bytes; refuses what can't be measured on.
///
/// ```
/// use peelcast::survey::picture::{PictureError, probe};
/// assert_eq!(probe(b""), Err(PictureError::Empty));
/// assert_eq!(probe(b"a shopping list"), Err(PictureError::NotAPicture));
/// ```
pub fn probe(bytes: &[u8]) -> Result<PictureInfo, PictureError> {
    use imagesize::{Compression, ImageType};
    if bytes.is_empty() {
        return Err(PictureError::Empty);
    }
    let format = match imagesize::image_type(bytes) {
        Ok(ImageType::Jpeg) => PictureFormat::Jpeg,
        Ok(ImageType::Png) => PictureFormat::Png,
        Ok(ImageType::Webp) => PictureFormat::WebP,
        Ok(ImageType::Gif) => PictureFormat::Gif,
        Ok(ImageType::Bmp) => PictureFormat::Bmp,
        Ok(ImageType::Heif(Compression::Av1)) => PictureFormat::Avif,
        Ok(ImageType::Heif(_)) => PictureFormat::Heic,
        _ => return Err(PictureError::NotAPicture),
    };
    let size = imagesize::blob_size(bytes).map_err(|_| PictureError::Damaged(format))?;
    let side = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let size = ImageSize {
        width: side(size.width),
        height: side(size.height),
    };
    if size.width == 0 || size.height == 0 {
        return Err(PictureError::Damaged(format));
    }
    if size.pixels() > MOST_PIXELS {
        return Err(PictureError::TooLarge(size));
    }
    if size.width.min(size.height) < SHORTEST_SIDE {
        return Err(PictureError::TooSmall(size));
    }
    Ok(PictureInfo {
        format,
        size,
        camera: camera_tag::read(bytes),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The first bytes of a PNG of the given size: signature and IHDR.
    fn png(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
        bytes.extend(width.to_be_bytes());
        bytes.extend(height.to_be_bytes());
        bytes.extend([8, 2, 0, 0, 0]);
        bytes
    }

    #[test]
    fn a_picture_tells_its_kind_and_size() {
        let info = probe(&png(4000, 3000)).unwrap();
        assert_eq!(info.format, PictureFormat::Png);
        assert_eq!((info.size.width, info.size.height), (4000, 3000));
    }

    #[test]
    fn a_hundred_megapixels_are_refused_with_advice() {
        let error = probe(&png(11_648, 8_736)).unwrap_err();
        let said = error.to_string();
        assert!(
            said.contains("102 megapixels") && said.contains("50 megapixels"),
            "{said}"
        );
        assert!(probe(&png(u32::MAX, u32::MAX)).is_err());
    }

    #[test]
    fn a_thumbnail_is_refused() {
        assert!(matches!(
            probe(&png(160, 120)),
            Err(PictureError::TooSmall(_))
        ));
    }

    #[test]
    fn a_jpeg_cut_short_is_damaged() {
        assert_eq!(
            probe(b"\xff\xd8\xff\xe0\0\x10JFIF\0\x01\x01\0\0\x01"),
            Err(PictureError::Damaged(PictureFormat::Jpeg))
        );
    }

    #[test]
    fn heic_is_known_by_name() {
        let mut bytes = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec();
        bytes.extend([0; 64]);
        let said = probe(&bytes).unwrap_err().to_string();
        assert_eq!(said, PictureFormat::Heic.cannot_open());
        assert!(said.contains("HEIC") && said.contains("JPEG"), "{said}");
    }

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200), kind in 0..6usize) {
            let heads: [&[u8]; 6] = [b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF\0\0\0\0WEBP", b"GIF89a", b"BM", b"\0\0\0\x18ftypheic"];
            let _ = probe(&[heads[kind], &bytes].concat());
            let _ = probe(&bytes);
        }
    }
}
