//! A photo laid flat, as an address that stands in a page itself.

use crate::picture::Picture;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use peelcast::darkroom::{Answer, Ask, Darkroom, Photo};
use peelcast::job::Flat;

/// The wall of a piece seen square on, from the bytes of its photo; `None` where they are no JPEG or
/// PNG picture, or not the one that was measured on.
pub fn laid(bytes: &[u8], flat: &Flat) -> Option<String> {
    let picture = Picture::decoded(bytes).ok()?;
    let size = picture.size();
    if [size.width, size.height] != [flat.photo.width, flat.photo.height] {
        return None;
    }
    let mut photo = Photo::new(size, size);
    photo.push(picture.view().bytes);
    let (sight, frame) = (flat.sight.clone(), flat.frame.clone());
    let answer = Darkroom::new(photo).answer(Ask::Flat { sight, frame }, &mut |_| ());
    let Ok(Answer::Flat {
        width,
        height,
        rgba,
    }) = answer
    else {
        return None;
    };
    let file = file(width, height, &rgba).ok()?;
    Some(format!("data:image/png;base64,{}", STANDARD.encode(file)))
}

fn file(width: u32, height: u32, rgba: &[u8]) -> Result<Vec<u8>, png::EncodingError> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(png::ColorType::Rgba);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(rgba)?;
    writer.finish()?;
    Ok(file)
}
