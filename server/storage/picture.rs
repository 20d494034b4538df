//! Photos as they come in, made safe: decoded within limits, and written anew unless they are a picture
//! and nothing else already.
//!
//! Position, camera, comments and anything hidden behind the picture stay behind, and what only calls
//! itself a picture does not get in.

pub mod clean;

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::metadata::Orientation;
use image::{
    DynamicImage, ImageDecoder, ImageError, ImageFormat, ImageReader, Limits, Rgba, RgbaImage,
    imageops,
};

use clean::Unclean;

/// Largest photo that is taken.
pub const UPLOAD_BYTES_MAX: usize = 8 * 1024 * 1024;
/// Longest side that is decoded.
pub const SIDE_PX_MAX: u32 = 8_192;
/// Longest side that is kept.
pub const KEPT_SIDE_PX_MAX: u32 = 1_600;
/// Longest side in lists.
pub const THUMB_SIDE_PX: u32 = 240;
/// Longest side of a workshop's mark: sharp at the height it is printed in.
pub const LOGO_SIDE_PX_MAX: u32 = 640;
/// Memory that one decoding may take.
const DECODED_BYTES_MAX: u64 = 256 * 1024 * 1024;
const KEPT_QUALITY: u8 = 82;
const THUMB_QUALITY: u8 = 75;

/// A photo ready to be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    pub jpeg: Vec<u8>,
    pub thumb: Vec<u8>,
    pub width: u32,
    pub height: u32,
}

/// Why a photo cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PictureFault {
    #[error("The photo is empty. Take it again")]
    Empty,
    #[error("The photo is larger than 8 MB. Take it at a lower resolution")]
    TooLong,
    #[error("This is not a JPEG, PNG or WebP picture. Take the photo as a JPEG")]
    WrongKind,
    #[error(
        "The photo is {width} × {height}; at most {SIDE_PX_MAX} a side are taken. Make it smaller"
    )]
    TooManyPixels { width: u32, height: u32 },
    #[error("The photo takes too much memory. Take it at a lower resolution")]
    TooMuchMemory,
    #[error("The photo is damaged and cannot be read. Take it again")]
    Broken,
    #[error("The photo is not as a phone sends it: {0}. Take it again")]
    Unclean(#[from] Unclean),
    #[error(
        "The photo is {width} × {height}; a phone sends at most {KEPT_SIDE_PX_MAX} a side. Take it again"
    )]
    NotShrunk { width: u32, height: u32 },
}

/// A photo as it will be kept: byte for byte as it came where it is clean, written anew otherwise.
pub fn kept(bytes: &[u8]) -> Result<Picture, PictureFault> {
    let small = |frame: clean::Frame| frame.width.max(frame.height) <= KEPT_SIDE_PX_MAX;
    if clean::walk(bytes).is_ok_and(small) { as_it_came(bytes) } else { reencode(bytes) }
}

/// A clean photo, byte for byte as it came, so that its name is the digest of what is kept. Whatever
/// else can be read is refused: a phone shrinks first.
pub fn as_it_came(bytes: &[u8]) -> Result<Picture, PictureFault> {
    let (image, _) = decode(bytes)?;
    let frame = clean::walk(bytes)?;
    let (width, height) = (image.width(), image.height());
    if width.max(height) > KEPT_SIDE_PX_MAX {
        return Err(PictureFault::NotShrunk { width, height });
    }
    if (width, height) != (frame.width, frame.height) {
        return Err(PictureFault::Broken);
    }
    let thumb =
        shrunk(DynamicImage::ImageRgb8(image.into_rgb8()), THUMB_SIDE_PX, FilterType::Triangle);
    Ok(Picture { jpeg: bytes.to_vec(), thumb: jpeg(&thumb, THUMB_QUALITY)?, width, height })
}

/// Decodes, turns upright, shrinks and writes anew. Takes a processor for up to half a second.
pub fn reencode(bytes: &[u8]) -> Result<Picture, PictureFault> {
    let (image, orientation) = decode(bytes)?;
    let mut kept = shrunk(image, KEPT_SIDE_PX_MAX, FilterType::CatmullRom);
    kept.apply_orientation(orientation);
    let kept = DynamicImage::ImageRgb8(kept.into_rgb8());
    let jpeg = jpeg(&kept, KEPT_QUALITY)?;
    let (width, height) = (kept.width(), kept.height());
    let thumb = shrunk(kept, THUMB_SIDE_PX, FilterType::Triangle);
    Ok(Picture { jpeg, thumb: self::jpeg(&thumb, THUMB_QUALITY)?, width, height })
}

/// A workshop's mark, written anew as a PNG on white: paper has no transparency.
pub fn logo(bytes: &[u8]) -> Result<Vec<u8>, PictureFault> {
    let (image, orientation) = decode(bytes)?;
    let mut small = shrunk(image, LOGO_SIDE_PX_MAX, FilterType::CatmullRom);
    small.apply_orientation(orientation);
    let drawn = small.into_rgba8();
    let mut white = RgbaImage::from_pixel(drawn.width(), drawn.height(), Rgba([255; 4]));
    imageops::overlay(&mut white, &drawn, 0, 0);
    let mut png = Cursor::new(Vec::new());
    let image = DynamicImage::ImageRgb8(DynamicImage::ImageRgba8(white).into_rgb8());
    image.write_to(&mut png, ImageFormat::Png).map_err(|_| PictureFault::Broken)?;
    Ok(png.into_inner())
}

fn decode(bytes: &[u8]) -> Result<(DynamicImage, Orientation), PictureFault> {
    if bytes.is_empty() {
        return Err(PictureFault::Empty);
    }
    if bytes.len() > UPLOAD_BYTES_MAX {
        return Err(PictureFault::TooLong);
    }
    // By content: the name and the type that came along prove nothing.
    let format = image::guess_format(bytes).map_err(|_| PictureFault::WrongKind)?;
    if !matches!(format, ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP) {
        return Err(PictureFault::WrongKind);
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    reader.limits(limits());
    let mut decoder = reader.into_decoder().map_err(|error| fault(&error, bytes, format))?;
    let (width, height) = decoder.dimensions();
    if width > SIDE_PX_MAX || height > SIDE_PX_MAX {
        return Err(PictureFault::TooManyPixels { width, height });
    }
    if decoder.total_bytes() > DECODED_BYTES_MAX {
        return Err(PictureFault::TooMuchMemory);
    }
    // A photo whose metadata cannot be read stays as it lies.
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let image =
        DynamicImage::from_decoder(decoder).map_err(|error| fault(&error, bytes, format))?;
    Ok((image, orientation))
}

fn limits() -> Limits {
    let mut limits = Limits::default();
    limits.max_image_width = Some(SIDE_PX_MAX);
    limits.max_image_height = Some(SIDE_PX_MAX);
    limits.max_alloc = Some(DECODED_BYTES_MAX);
    limits
}

fn fault(error: &ImageError, bytes: &[u8], format: ImageFormat) -> PictureFault {
    let ImageError::Limits(_) = error else { return PictureFault::Broken };
    // Only the header is read here, to say how large the photo claims to be.
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    reader.no_limits();
    match reader.into_dimensions() {
        Ok((width, height)) if width.max(height) > SIDE_PX_MAX => {
            PictureFault::TooManyPixels { width, height }
        }
        _ => PictureFault::TooMuchMemory,
    }
}

fn shrunk(image: DynamicImage, side: u32, filter: FilterType) -> DynamicImage {
    if image.width().max(image.height()) <= side {
        return image;
    }
    image.resize(side, side, filter)
}

fn jpeg(image: &DynamicImage, quality: u8) -> Result<Vec<u8>, PictureFault> {
    let mut bytes = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut bytes, quality);
    image.write_with_encoder(encoder).map_err(|_| PictureFault::Broken)?;
    Ok(bytes)
}
