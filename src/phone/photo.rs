//! Photos coming in, and photos as the screens show them: an address for an image.
//!
//! The browser decodes and turns the picture upright by its EXIF, off the main thread.

use super::database::Trouble;
use super::window::window;
use super::{file, new_id, photos};
use crate::job::{PhotoId, PhotoRef};
use crate::quantity::show;
use crate::say;
use crate::survey::CameraTag;
use crate::survey::picture::{self, PictureError};
use crate::words::tr;
use std::fmt;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, File, ImageBitmap, Url};

/// A file larger than this is no photo that a phone takes.
const MOST_BYTES: f64 = 150e6;
/// Enough of the file to find its kind and size; the rest is read only where this is not enough.
const HEAD_BYTES: f64 = 256.0 * 1024.0;

/// Why a photo is not taken in, or not shown. Each says what is safe and what to do.
#[derive(Clone, Debug, PartialEq)]
pub enum PhotoError {
    /// The file is no picture that can be measured on.
    Picture(PictureError),
    /// More bytes than the app takes.
    TooManyBytes(f64),
    /// The browser cannot open this kind of picture.
    CannotOpen(String),
    /// The file could not be read from where it lies.
    Unreadable,
    /// It could not be stored.
    Store(Trouble),
    /// The record names it, but its bytes are not on this phone.
    Missing,
}

impl fmt::Display for PhotoError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Picture(error) => error.fmt(f),
            Self::TooManyBytes(bytes) => f.write_str(&say!(
                "This file has {size} MB, more than any phone's photo. Nothing was changed. \
                 Choose a photo as the camera took it, or a copy under {most} MB.", size = show::fixed(bytes / 1e6, 0), most = show::fixed(MOST_BYTES / 1e6, 0)
            )),
            Self::CannotOpen(sentence) => f.write_str(sentence),
            Self::Unreadable => f.write_str(
                tr("The phone could not read this file. Nothing was changed. If it lies in a cloud folder, save it on the phone first, then choose it again."),
            ),
            Self::Store(Trouble::Full) => f.write_str(
                tr("There is no room on this phone for the photo. It was not stored; everything stored before is safe. Free some room on the phone; or export a job with photos, delete it, and delete it for good in the settings. Then choose the photo again."),
            ),
            Self::Store(trouble) => trouble.fmt(f),
            Self::Missing => f.write_str(
                tr("The photo of this piece is not on this phone. The marks and the measure are safe. Import the job's file again to bring the photo back, or take a new one."),
            ),
        }
    }
}

impl From<Trouble> for PhotoError {
    fn from(trouble: Trouble) -> Self {
        Self::Store(trouble)
    }
}

/// Looks at a file that the user chose and keeps its bytes as they are. The returned size is that
/// of the upright picture.
pub async fn take_in(file: &File) -> Result<PhotoRef, PhotoError> {
    let mut photo = inspect(file).await?;
    photo.name = file.name();
    photos::keep(&photo.id, file).await?;
    Ok(photo)
}

/// Keeps a picture of the viewfinder, and where down was in it.
pub async fn take_in_frame(
    picture: &Blob,
    gravity: Option<[f64; 3]>,
) -> Result<PhotoRef, PhotoError> {
    let mut photo = inspect(picture).await?;
    photo.name = "viewfinder.jpg".to_owned();
    // The viewfinder shows another part of the sensor than the camera app: a lens of its own.
    photo.camera = Some(CameraTag {
        model: "viewfinder".to_owned(),
        ..CameraTag::default()
    });
    photo.gravity = gravity;
    photos::keep(&photo.id, picture).await?;
    Ok(photo)
}

/// Looks at a picture and gives it a new name; nothing is stored yet.
pub async fn inspect(blob: &Blob) -> Result<PhotoRef, PhotoError> {
    let bytes = blob.size();
    if bytes > MOST_BYTES {
        return Err(PhotoError::TooManyBytes(bytes));
    }
    let info = match picture::probe(&head(blob, HEAD_BYTES).await?) {
        // A size that hides behind a large preview lies further inside.
        Err(PictureError::Damaged(_)) if bytes > HEAD_BYTES => {
            picture::probe(&head(blob, bytes).await?)
        }
        probed => probed,
    };
    let info = info.map_err(PhotoError::Picture)?;
    let bitmap = decode(blob).await;
    let bitmap = bitmap.map_err(|_| PhotoError::CannotOpen(info.format.cannot_open()))?;
    let photo = PhotoRef {
        id: PhotoId::new(&new_id()),
        width: bitmap.width(),
        height: bitmap.height(),
        bytes: bytes as u64,
        camera: info.camera,
        ..PhotoRef::default()
    };
    bitmap.close();
    Ok(photo)
}

/// The first bytes of a file.
async fn head(blob: &Blob, bytes: f64) -> Result<Vec<u8>, PhotoError> {
    let unreadable = |_| PhotoError::Unreadable;
    let part = blob
        .slice_with_f64_and_f64(0.0, bytes)
        .map_err(unreadable)?;
    file::bytes(&part).await.map_err(unreadable)
}

/// Decodes a picture off the main thread, upright.
async fn decode(blob: &Blob) -> Result<ImageBitmap, JsValue> {
    let decoded = window().create_image_bitmap_with_blob(blob)?;
    Ok(JsFuture::from(decoded).await?.unchecked_into())
}

/// An address that an image element can show; it ends when this value is dropped.
#[derive(Debug)]
pub struct PhotoUrl(String);

impl PhotoUrl {
    /// An address for a stored photo.
    pub async fn of(id: &PhotoId) -> Result<Self, PhotoError> {
        let blob = photos::bytes(id).await?.ok_or(PhotoError::Missing)?;
        Self::of_blob(&blob)
    }

    /// An address for bytes at hand.
    pub fn of_blob(blob: &Blob) -> Result<Self, PhotoError> {
        let url = Url::create_object_url_with_blob(blob).map_err(|_| PhotoError::Unreadable)?;
        Ok(Self(url))
    }

    /// The address.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Drop for PhotoUrl {
    fn drop(&mut self) {
        // An address that is already gone needs no end.
        let _ = Url::revoke_object_url(&self.0);
    }
}
