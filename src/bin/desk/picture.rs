//! A picture file, decoded and turned upright.

use super::field::Field;
use jpeg_decoder::PixelFormat;
use peelcast::survey::picture::{PictureFormat, probe};
use peelcast::survey::{ImageSize, RgbaView};
use std::io::Cursor;
use std::path::Path;

/// An upright picture: red, green, blue and alpha of each pixel.
pub struct Picture {
    size: ImageSize,
    pixels: Vec<[u8; 4]>,
}

impl Picture {
    /// Reads the JPEG or PNG file that `field` names, as seen from `folder`, which must have the
    /// size that the request says.
    pub fn open(field: &Field<'_>, folder: &Path, wanted: ImageSize) -> Result<Self, String> {
        Self::sized(field, folder, Some(wanted))
    }

    /// The same in whatever size it has, where none is `wanted`.
    pub fn sized(
        field: &Field<'_>,
        folder: &Path,
        wanted: Option<ImageSize>,
    ) -> Result<Self, String> {
        let name = field.text()?;
        let bytes = std::fs::read(folder.join(&name))
            .map_err(|e| field.error(format!("the file {name} can't be read: {e}.")))?;
        let picture = Self::decoded(&bytes).map_err(|e| field.error(e))?;
        let wanted = wanted.unwrap_or(picture.size);
        if picture.size == wanted {
            return Ok(picture);
        }
        let of = |size: ImageSize| format!("{} x {}", size.width, size.height);
        Err(field.error(format!(
            "the upright picture has {} pixels, but image_size_px says {}. The marks must be of \
             this very picture.",
            of(picture.size),
            of(wanted)
        )))
    }

    /// A JPEG or PNG file's bytes.
    pub fn decoded(bytes: &[u8]) -> Result<Self, String> {
        let info = probe(bytes).map_err(|e| e.to_string())?;
        let stored = match info.format {
            PictureFormat::Jpeg => jpeg(bytes),
            PictureFormat::Png => png(bytes),
            other => Err(format!(
                "{} can't be read here. Save the picture as JPEG or PNG.",
                other.name()
            )),
        };
        Ok(stored?.turned(orientation(bytes)))
    }

    /// Its size.
    pub fn size(&self) -> ImageSize {
        self.size
    }

    /// The whole of it.
    pub fn view(&self) -> RgbaView<'_> {
        RgbaView {
            width: self.size.width,
            height: self.size.height,
            bytes: self.pixels.as_flattened(),
        }
    }

    /// The brightness of each pixel.
    pub fn grey(&self) -> Vec<u8> {
        self.pixels.iter().map(brightness).collect()
    }

    /// Turned upright from how it is stored: orientation 1 to 8 (JEITA CP-3451, EXIF 2.3).
    fn turned(self, orientation: u32) -> Self {
        let ImageSize { width, height } = self.size;
        let across = orientation >= 5;
        let size = if across {
            ImageSize {
                width: height,
                height: width,
            }
        } else {
            self.size
        };
        let (right, low) = (width as usize - 1, height as usize - 1);
        let stored = |x: usize, y: usize| match orientation {
            2 => (right - x, y),
            3 => (right - x, low - y),
            4 => (x, low - y),
            5 => (y, x),
            6 => (y, low - x),
            7 => (right - y, low - x),
            8 => (right - y, x),
            _ => (x, y),
        };
        let pixels = (0..size.height as usize)
            .flat_map(|y| (0..size.width as usize).map(move |x| (x, y)))
            .map(|(x, y)| {
                let (column, row) = stored(x, y);
                self.pixels[row * width as usize + column]
            })
            .collect();
        Self { size, pixels }
    }
}

fn orientation(bytes: &[u8]) -> u32 {
    exif::Reader::new()
        .read_from_container(&mut Cursor::new(bytes))
        .ok()
        .and_then(|exif| {
            exif.get_field(exif::Tag::Orientation, exif::In::PRIMARY)?
                .value
                .get_uint(0)
        })
        .unwrap_or(1)
}

fn damaged(error: impl std::fmt::Display) -> String {
    format!("the picture is damaged ({error}). Save it anew, or choose another.")
}

fn jpeg(bytes: &[u8]) -> Result<Picture, String> {
    let mut decoder = jpeg_decoder::Decoder::new(bytes);
    let colours = decoder.decode().map_err(damaged)?;
    let info = decoder.info().ok_or_else(|| damaged("no size"))?;
    let (width, height) = (u32::from(info.width), u32::from(info.height));
    match info.pixel_format {
        PixelFormat::L8 => whole(width, height, 1, &colours),
        PixelFormat::RGB24 => whole(width, height, 3, &colours),
        PixelFormat::L16 | PixelFormat::CMYK32 => {
            Err("its colours are those of print or of 16 bits. Save it as an ordinary JPEG.".into())
        }
    }
}

fn png(bytes: &[u8]) -> Result<Picture, String> {
    let mut decoder = png::Decoder::new(Cursor::new(bytes));
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(damaged)?;
    let size = reader
        .output_buffer_size()
        .ok_or_else(|| damaged("its size"))?;
    let mut colours = vec![0; size];
    let info = reader.next_frame(&mut colours).map_err(damaged)?;
    whole(info.width, info.height, info.color_type.samples(), &colours)
}

/// Brightness of red, green and blue (ITU-R BT.601, as JPEG has it).
fn brightness(colour: &[u8; 4]) -> u8 {
    let [red, green, blue] = [0, 1, 2].map(|k| f64::from(colour[k]));
    (0.299 * red + 0.587 * green + 0.114 * blue).round() as u8
}

/// A picture from its bytes: grey, grey and alpha, three colours, or three and alpha.
fn whole(width: u32, height: u32, samples: usize, bytes: &[u8]) -> Result<Picture, String> {
    let pixels: Vec<[u8; 4]> = bytes
        .chunks_exact(samples)
        .map(|c| match *c {
            [grey] | [grey, _] => [grey, grey, grey, 255],
            [red, green, blue, ..] => [red, green, blue, 255],
            [] => [0; 4],
        })
        .collect();
    if pixels.len() as u64 != u64::from(width) * u64::from(height) {
        return Err(damaged("pixels are missing"));
    }
    Ok(Picture {
        size: ImageSize { width, height },
        pixels,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_orientation_is_turned_upright() {
        // Upright it reads 1 2 3 over 4 5 6; as the eight orientations store it:
        let stored: [(u32, u32, [u8; 6]); 8] = [
            (1, 3, [1, 2, 3, 4, 5, 6]),
            (2, 3, [3, 2, 1, 6, 5, 4]),
            (3, 3, [6, 5, 4, 3, 2, 1]),
            (4, 3, [4, 5, 6, 1, 2, 3]),
            (5, 2, [1, 4, 2, 5, 3, 6]),
            (6, 2, [3, 6, 2, 5, 1, 4]),
            (7, 2, [6, 3, 5, 2, 4, 1]),
            (8, 2, [4, 1, 5, 2, 6, 3]),
        ];
        for (orientation, width, data) in stored {
            let picture = whole(width, 6 / width, 1, &data)
                .unwrap()
                .turned(orientation);
            assert_eq!(
                picture.grey(),
                [1, 2, 3, 4, 5, 6],
                "orientation {orientation}"
            );
            assert_eq!((picture.size.width, picture.size.height), (3, 2));
        }
    }
}
