//! What a photo's file tells beside its picture: where and when it was taken, with which camera,
//! by whom. It is taken out before a photo is handed on, unless the user keeps it.
//!
//! The picture's own data is copied as it stands, so every pixel stays what it was. Kept are its
//! colours (ICC profile), how it is turned, and the focal length, by which it is measured.
//! Whatever else is not known to belong to the picture goes: what a maker or a program of
//! tomorrow hides there goes too.

mod gif;
mod jpeg;
mod png;
mod webp;

use crate::job::Job;
use crate::say;
use crate::survey::picture::{PictureFormat, probe};
use crate::words::tr;

/// What becomes of place, time and device in what is handed on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Traces {
    /// They are taken out; a photo from which they can't be taken stays at home.
    #[default]
    Removed,
    /// Photos go as they were taken.
    Kept,
}

/// Why traces can't be taken out of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Untraceable {
    /// A kind of file in which they may lie anywhere.
    Format(PictureFormat),
    /// A file that breaks off before its picture, or that is none.
    Damaged,
}

impl Untraceable {
    /// Why, as the end of a sentence.
    pub(super) fn why(self) -> String {
        match self {
            Self::Format(format) => say!(
                "place, time and camera can't be taken out of a {name} file",
                name = format.name()
            ),
            Self::Damaged => {
                tr("its file is damaged, so place, time and camera can't be taken out of it").into()
            }
        }
    }
}

/// The same picture, pixel for pixel, in a file that tells nothing of place, time and device.
pub fn without_traces(photo: &[u8]) -> Result<Vec<u8>, Untraceable> {
    let info = probe(photo).map_err(|_| Untraceable::Damaged)?;
    let clean = match info.format {
        PictureFormat::Jpeg => jpeg::clean(photo),
        PictureFormat::Png => png::clean(photo),
        PictureFormat::WebP => webp::clean(photo),
        PictureFormat::Gif => gif::clean(photo),
        // It has no place for such things.
        PictureFormat::Bmp => Some(photo.to_vec()),
        PictureFormat::Heic | PictureFormat::Avif => {
            return Err(Untraceable::Format(info.format));
        }
    };
    // Of a damaged file something else may be left than was shown before.
    let same = |clean: &Vec<u8>| {
        probe(clean).is_ok_and(|after| (after.format, after.size) == (info.format, info.size))
    };
    clean.filter(same).ok_or(Untraceable::Damaged)
}

/// The same job without the names of the cameras. Nothing that is measured depends on them.
pub(super) fn nameless(job: &Job) -> Job {
    let mut job = job.without_removed();
    for piece in &mut job.pieces {
        let shots = piece
            .shots
            .iter_mut()
            .filter_map(|shot| shot.photo.as_mut());
        let pictures = piece.pictures.iter_mut().map(|picture| &mut picture.photo);
        for camera in shots
            .chain(pictures)
            .filter_map(|photo| photo.camera.as_mut())
        {
            camera.model.clear();
        }
    }
    job
}

/// The first so many bytes, and the rest.
fn take<'a>(bytes: &mut &'a [u8], count: usize) -> Option<&'a [u8]> {
    let (taken, rest) = bytes.split_at_checked(count)?;
    *bytes = rest;
    Some(taken)
}
