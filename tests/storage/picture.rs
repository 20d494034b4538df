//! Photos made safe: what gets in, what stays behind, what is refused.

use std::io::Cursor;

use fusewright::storage::picture::{
    KEPT_SIDE_PX_MAX, PictureFault, THUMB_SIDE_PX, UPLOAD_BYTES_MAX, reencode,
};
use image::{DynamicImage, GenericImageView as _, ImageFormat, Rgb, RgbImage};

/// Left half red, right half blue.
fn two_halves(width: u32, height: u32) -> DynamicImage {
    let pixel = |x, _| if x < width / 2 { Rgb([220, 20, 20]) } else { Rgb([20, 20, 220]) };
    DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, pixel))
}

fn encoded(image: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// A JPEG with an Exif block after its first two bytes: orientation, and a maker's text.
fn with_exif(jpeg: &[u8], orientation: u8, text: &str) -> Vec<u8> {
    // TIFF, little-endian, one directory of two entries (TIFF 6.0, Exif 2.32): 0x010f maker as
    // ASCII at offset 38, 0x0112 orientation as SHORT.
    let length = u8::try_from(text.len() + 1).unwrap();
    let mut tiff = b"II*\0\x08\0\0\0\x02\0".to_vec();
    tiff.extend([0x0f, 0x01, 2, 0, length, 0, 0, 0, 38, 0, 0, 0]);
    tiff.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0, orientation, 0, 0, 0]);
    tiff.extend([0; 4]);
    tiff.extend(text.as_bytes());
    tiff.push(0);
    let size = u16::try_from(tiff.len() + 8).unwrap();
    let mut block = vec![0xff, 0xe1];
    block.extend(size.to_be_bytes());
    block.extend(b"Exif\0\0");
    block.extend(tiff);
    [&jpeg[..2], &block, &jpeg[2..]].concat()
}

fn holds(bytes: &[u8], needle: &[u8]) -> bool {
    bytes.windows(needle.len()).any(|window| window == needle)
}

/// A PNG's signature and header alone, claiming a size (PNG, third edition, 11.2.1).
fn png_header(width: u32, height: u32, depth: u8, colour: u8) -> Vec<u8> {
    let mut header = b"IHDR".to_vec();
    header.extend(width.to_be_bytes());
    header.extend(height.to_be_bytes());
    header.extend([depth, colour, 0, 0, 0]);
    let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\x0d".to_vec();
    png.extend(&header);
    png.extend(crc32(&header).to_be_bytes());
    // An empty stretch of pixels, so that a decoder gets as far as looking at the size.
    png.extend(b"\0\0\0\0IDAT");
    png.extend(crc32(b"IDAT").to_be_bytes());
    png
}

fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            if crc & 1 == 1 { crc >> 1 ^ 0xedb8_8320 } else { crc >> 1 }
        })
    })
}

#[test]
fn jpeg_png_and_webp_come_out_as_jpeg() {
    for format in [ImageFormat::Jpeg, ImageFormat::Png, ImageFormat::WebP] {
        let picture = reencode(&encoded(&two_halves(300, 200), format)).unwrap();
        assert_eq!((picture.width, picture.height), (300, 200));
        assert_eq!(image::guess_format(&picture.jpeg).unwrap(), ImageFormat::Jpeg);
        let kept = image::load_from_memory(&picture.jpeg).unwrap();
        assert!(kept.get_pixel(20, 100).0[0] > 180, "{format:?}: the left half is red");
        assert!(kept.get_pixel(280, 100).0[2] > 180, "{format:?}: the right half is blue");
    }
}

#[test]
fn a_large_photo_shrinks_to_the_kept_side_and_a_small_one_stays() {
    let picture = reencode(&encoded(&two_halves(3200, 1000), ImageFormat::Jpeg)).unwrap();
    assert_eq!((picture.width, picture.height), (KEPT_SIDE_PX_MAX, 500));
    let thumb = image::load_from_memory(&picture.thumb).unwrap();
    assert_eq!((thumb.width(), thumb.height()), (THUMB_SIDE_PX, 75));
    let picture = reencode(&encoded(&two_halves(16, 8), ImageFormat::Png)).unwrap();
    assert_eq!((picture.width, picture.height), (16, 8));
}

#[test]
fn a_photo_taken_upright_stands_upright() {
    // Orientation 6 of Exif: the camera's right is the picture's bottom.
    let lying = with_exif(&encoded(&two_halves(300, 200), ImageFormat::Jpeg), 6, "x");
    let picture = reencode(&lying).unwrap();
    assert_eq!((picture.width, picture.height), (200, 300));
    let kept = image::load_from_memory(&picture.jpeg).unwrap();
    assert!(kept.get_pixel(100, 20).0[0] > 180, "red is now above");
    assert!(kept.get_pixel(100, 280).0[2] > 180, "blue is now below");
}

#[test]
fn metadata_and_what_hangs_behind_the_picture_stay_behind() {
    let plain = encoded(&two_halves(300, 200), ImageFormat::Jpeg);
    let mut loaded = with_exif(&plain, 1, "N 59 54 E 10 45");
    loaded.extend(b"<script>alert(1)</script>");
    assert!(holds(&loaded, b"Exif"));
    assert!(holds(&loaded, b"N 59 54"));
    let picture = reencode(&loaded).unwrap();
    for bytes in [&picture.jpeg, &picture.thumb] {
        for trace in [&b"Exif"[..], b"N 59 54", b"<script>"] {
            assert!(!holds(bytes, trace));
        }
    }
}

#[test]
fn the_same_photo_always_gives_the_same_bytes() {
    let photo = encoded(&two_halves(2000, 900), ImageFormat::Jpeg);
    assert_eq!(reencode(&photo), reencode(&photo));
}

#[test]
fn a_small_file_that_claims_a_huge_picture_is_refused_by_its_header() {
    let fault = reencode(&png_header(30_000, 30_000, 8, 2)).unwrap_err();
    assert_eq!(fault, PictureFault::TooManyPixels { width: 30_000, height: 30_000 });

    // The height and width of a JPEG stand five bytes into its frame header (ITU-T T.81, B.2.2).
    let mut jpeg = encoded(&two_halves(64, 64), ImageFormat::Jpeg);
    let frame = jpeg.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
    jpeg[frame + 5..frame + 9].copy_from_slice(&[0xff, 0xdc, 0xff, 0xdc]);
    let fault = reencode(&jpeg).unwrap_err();
    assert_eq!(fault, PictureFault::TooManyPixels { width: 65_500, height: 65_500 });
}

#[test]
fn a_side_may_have_8192_pixels_and_not_one_more() {
    let longest = encoded(&two_halves(8_192, 2), ImageFormat::Png);
    assert_eq!(reencode(&longest).unwrap().width, KEPT_SIDE_PX_MAX);
    let longer = encoded(&two_halves(8_193, 2), ImageFormat::Png);
    let fault = PictureFault::TooManyPixels { width: 8_193, height: 2 };
    assert_eq!(reencode(&longer), Err(fault));
}

#[test]
fn a_picture_that_would_fill_the_memory_is_refused() {
    // 8000 × 8000 in four channels of 16 bits: 512 MB.
    assert_eq!(reencode(&png_header(8_000, 8_000, 16, 6)), Err(PictureFault::TooMuchMemory));
}

#[test]
fn what_is_no_photo_is_refused_whatever_it_is_called() {
    for bytes in [
        &b"<svg xmlns=\"http://www.w3.org/2000/svg\"></svg>"[..],
        b"<!doctype html><script>alert(1)</script>",
        b"GIF89a\x01\0\x01\0\x80\0\0\0\0\0\xff\xff\xff!\xf9\x04\0\0\0\0\0,\0\0\0\0\x01\0\x01\0\0;",
        b"\0\0\0\x18ftypheic\0\0\0\0mif1heic",
        b"%PDF-1.7",
        b"x",
    ] {
        assert_eq!(reencode(bytes), Err(PictureFault::WrongKind));
    }
    assert_eq!(reencode(b""), Err(PictureFault::Empty));
}

#[test]
fn a_photo_cut_short_is_called_damaged() {
    let png = encoded(&two_halves(300, 200), ImageFormat::Png);
    assert_eq!(reencode(&png[..png.len() / 2]), Err(PictureFault::Broken));
    assert_eq!(reencode(b"\xff\xd8\xff\xe0"), Err(PictureFault::Broken));
}

#[test]
fn a_photo_of_eight_megabytes_is_taken_and_a_byte_more_is_not() {
    let mut photo = encoded(&two_halves(300, 200), ImageFormat::Jpeg);
    photo.resize(UPLOAD_BYTES_MAX, 0);
    reencode(&photo).unwrap();
    photo.push(0);
    assert_eq!(reencode(&photo), Err(PictureFault::TooLong));
}
