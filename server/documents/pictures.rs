//! Photos and drawings of a paper: their fixed names in the engine, and what the template is told of them.

use serde_json::{Value, json};

use super::drawing::PaperDrawing;
use super::typeset::{Files, TypesetError};

/// The workshop's mark as a PNG.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Logo(pub Vec<u8>);

/// A photo as it goes into the document; already re-encoded and without metadata.
#[derive(Clone, Debug)]
pub struct PaperPhoto {
    pub caption: String,
    pub jpeg: Vec<u8>,
}

/// Photos in one paper; each has a fixed name in the engine.
pub const PHOTOS_MAX: usize = PHOTO_NAMES.len();

const PHOTO_NAMES: [&str; 24] = [
    "/photo-01.jpg",
    "/photo-02.jpg",
    "/photo-03.jpg",
    "/photo-04.jpg",
    "/photo-05.jpg",
    "/photo-06.jpg",
    "/photo-07.jpg",
    "/photo-08.jpg",
    "/photo-09.jpg",
    "/photo-10.jpg",
    "/photo-11.jpg",
    "/photo-12.jpg",
    "/photo-13.jpg",
    "/photo-14.jpg",
    "/photo-15.jpg",
    "/photo-16.jpg",
    "/photo-17.jpg",
    "/photo-18.jpg",
    "/photo-19.jpg",
    "/photo-20.jpg",
    "/photo-21.jpg",
    "/photo-22.jpg",
    "/photo-23.jpg",
    "/photo-24.jpg",
];

/// File and caption of each photo, in their order.
pub(super) fn photo_lines(photos: &[PaperPhoto]) -> Result<Vec<Value>, TypesetError> {
    if photos.len() > PHOTOS_MAX {
        return Err(TypesetError::TooManyPhotos { count: photos.len(), max: PHOTOS_MAX });
    }
    let named = PHOTO_NAMES.iter().zip(photos);
    Ok(named.map(|(file, photo)| json!({ "file": file, "caption": photo.caption })).collect())
}

pub(super) fn with_photos(files: Files, photos: &[PaperPhoto]) -> Files {
    let named = PHOTO_NAMES.iter().zip(photos);
    named.fold(files, |files, (&name, photo)| files.with(name, photo.jpeg.as_slice()))
}

/// File, caption and description of each drawing; those beyond the names are left out.
pub(super) fn drawing_lines(names: &[&str], drawings: &[PaperDrawing]) -> Vec<Value> {
    let line = |(file, drawing): (&&str, &PaperDrawing)| json!({ "file": file, "caption": drawing.caption, "description": drawing.description });
    names.iter().zip(drawings).map(line).collect()
}

/// The workshop's mark under the name by which `letterhead.typ` asks for it.
pub(super) fn with_logo(files: Files, logo: Option<&Logo>) -> Files {
    match logo {
        Some(Logo(png)) => files.with("/logo.png", png.as_slice()),
        None => files,
    }
}

pub(super) fn with_drawings(
    files: Files,
    names: &[&'static str],
    drawings: &[PaperDrawing],
) -> Files {
    let each = names.iter().zip(drawings);
    each.fold(files, |files, (&name, drawing)| files.with(name, drawing.svg.as_str()))
}
