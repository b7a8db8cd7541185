//! Draws the PNG icons from their SVG with the headless browser.

use super::tools::chromium;
use super::{Trouble, output_of, project_root, setup};
use std::collections::HashMap;
use std::path::Path;
use std::process::Command;

/// The drawing, and the pictures made of it: name, width and height in pixels.
const DRAWING: &str = "icon.svg";
const PICTURES: [(&str, u32); 2] = [("icon-192.png", 192), ("icon-512.png", 512)];
/// The drawing has eight flat colours; the rest is for its smooth edges. An eighth of the bytes of
/// a picture in full colour, and no difference that an eye can see.
const COLOURS: usize = 10;

type Rgb = [u8; 3];

/// Draws them all into public/icons/.
pub fn draw() -> Result<(), Trouble> {
    setup::ready(setup::FOR_DRAWING)?;
    let folder = project_root()?.join("public/icons");
    let browser = chromium().ok_or("There is no Chromium.")?;
    for (name, size) in PICTURES {
        let picture = folder.join(name);
        // A browser without a desktop complains at length: what counts is the picture.
        output_of(
            Command::new(&browser)
                .args(["--headless=new", "--no-sandbox", "--disable-gpu"])
                .arg("--hide-scrollbars")
                .arg(format!("--window-size={size},{size}"))
                .arg(format!("--screenshot={}", picture.display()))
                .arg(format!("file://{}", folder.join(DRAWING).display())),
        )
        .ok_or_else(|| format!("The browser did not draw {name}."))?;
        let small =
            shrink(&picture).map_err(|e| format!("{name} could not be made small: {e}."))?;
        std::fs::write(&picture, small).map_err(|e| format!("{name} cannot be written: {e}."))?;
    }
    Ok(())
}

/// The same picture with few colours, as PNG.
fn shrink(picture: &Path) -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let file = std::io::BufReader::new(std::fs::File::open(picture)?);
    let mut decoder = png::Decoder::new(file);
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info()?;
    let mut bytes = vec![0; reader.output_buffer_size().ok_or("it is too large")?];
    let info = reader.next_frame(&mut bytes)?;
    let pixels: Vec<Rgb> = bytes
        .chunks_exact(info.color_type.samples())
        .map(|pixel| [pixel[0], pixel[1], pixel[2]])
        .collect();
    let palette = palette(&pixels, COLOURS);
    // Two pixels a byte; a row begins with a byte of its own.
    let indices: Vec<u8> = pixels
        .chunks(info.width as usize)
        .flat_map(|row| row.chunks(2))
        .map(|pair| {
            let [first, second] = [0, 1].map(|i| pair.get(i).map_or(0, |p| nearest(&palette, *p)));
            first << 4 | second
        })
        .collect();

    let mut small = Vec::new();
    let mut encoder = png::Encoder::new(&mut small, info.width, info.height);
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Four);
    encoder.set_palette(palette.concat());
    encoder.set_compression(png::Compression::High);
    encoder.set_filter(png::Filter::NoFilter);
    encoder.write_header()?.write_image_data(&indices)?;
    Ok(small)
}

/// The most frequent colours, at most `count`.
fn palette(pixels: &[Rgb], count: usize) -> Vec<Rgb> {
    let mut uses = HashMap::new();
    for pixel in pixels {
        *uses.entry(*pixel).or_insert(0_u32) += 1;
    }
    let mut colours: Vec<(Rgb, u32)> = uses.into_iter().collect();
    colours.sort_by_key(|(colour, uses)| (std::cmp::Reverse(*uses), *colour));
    colours.truncate(count);
    colours.into_iter().map(|(colour, _)| colour).collect()
}

/// The place in the palette of the colour that is nearest in red, green and blue.
fn nearest(palette: &[Rgb], pixel: Rgb) -> u8 {
    let distance = |colour: &Rgb| -> u32 {
        let parts = colour.iter().zip(pixel);
        parts.map(|(a, b)| u32::from(a.abs_diff(b)).pow(2)).sum()
    };
    (0..=u8::MAX)
        .zip(palette)
        .min_by_key(|(_, colour)| distance(colour))
        .map_or(0, |(index, _)| index)
}

#[cfg(test)]
mod tests {
    use super::{nearest, palette};

    #[test]
    fn frequent_colours_stay_and_rare_ones_join_the_nearest() {
        let (lime, slate, odd) = ([245, 242, 233], [30, 39, 44], [60, 70, 70]);
        let palette = palette(&[slate, lime, lime, lime, slate, odd], 2);
        assert_eq!(palette, [lime, slate]);
        assert_eq!(nearest(&palette, odd), 1);
        assert_eq!(nearest(&palette, lime), 0);
    }
}
