//! Which JPEG is kept byte for byte, and which is not: one made for each way of hiding something.

use std::io::Cursor;

use fusewright::storage::picture::clean::{Frame, SEGMENTS_MAX, Unclean, walk};
use fusewright::storage::picture::{KEPT_SIDE_PX_MAX, PictureFault, as_it_came, kept, reencode};
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};

fn picture(width: u32, height: u32) -> DynamicImage {
    let pixel = |x: u32, y: u32| Rgb([u8::try_from(x % 251).unwrap(), (y % 7) as u8 * 30, 90]);
    DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, pixel))
}

fn encoded(image: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

fn plain() -> Vec<u8> {
    encoded(&picture(120, 80), ImageFormat::Jpeg)
}

fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
    let length = u16::try_from(body.len() + 2).unwrap();
    [&[0xff, marker][..], &length.to_be_bytes(), body].concat()
}

/// Right behind the start.
fn with(marker: u8, body: &[u8]) -> Vec<u8> {
    let plain = plain();
    [&plain[..2], &segment(marker, body), &plain[2..]].concat()
}

fn place_of(bytes: &[u8], marker: u8) -> usize {
    bytes.windows(2).position(|pair| pair == [0xff, marker]).unwrap()
}

/// Before the first segment of a kind.
fn before(marker: u8, inserted: &[u8]) -> Vec<u8> {
    let plain = plain();
    let at = place_of(&plain, marker);
    [&plain[..at], inserted, &plain[at..]].concat()
}

/// One segment a byte longer, its length saying so.
fn padded(marker: u8) -> Vec<u8> {
    let mut bytes = plain();
    let at = place_of(&bytes, marker);
    let length = u16::from_be_bytes([bytes[at + 2], bytes[at + 3]]);
    bytes[at + 2..at + 4].copy_from_slice(&(length + 1).to_be_bytes());
    bytes.insert(at + 2 + usize::from(length), 0x55);
    bytes
}

fn profile(body: &[u8]) -> Vec<u8> {
    [&b"ICC_PROFILE\0\x01\x01"[..], body].concat()
}

#[test]
fn what_a_phone_draws_is_kept_byte_for_byte() {
    let adobe = b"Adobe\0\x64\0\0\0\0\x01";
    let mut thousand = plain();
    let at = place_of(&thousand, 0xda);
    let filler = (0..200).flat_map(|_| segment(0xdd, &[0, 0])).collect::<Vec<u8>>();
    thousand.splice(at..at, filler);
    for clean in [plain(), with(0xe2, &profile(&[7; 500])), with(0xee, adobe), thousand] {
        assert_eq!(walk(&clean), Ok(Frame { width: 120, height: 80 }));
        let picture = as_it_came(&clean).unwrap();
        assert_eq!(picture.jpeg, clean);
        assert_eq!((picture.width, picture.height), (120, 80));
        assert_eq!(kept(&clean).unwrap().jpeg, clean);
    }
    // What this server writes itself passes its own rule.
    let written = reencode(&encoded(&picture(40, 30), ImageFormat::Png)).unwrap();
    assert_eq!(as_it_came(&written.jpeg).unwrap().jpeg, written.jpeg);
    walk(&written.thumb).unwrap();
}

#[test]
fn frames_of_other_processes_are_walked_and_not_more() {
    let frame = |marker| {
        let mut bytes = plain();
        let at = place_of(&bytes, 0xc0);
        bytes[at + 1] = marker;
        walk(&bytes)
    };
    for marker in [0xc0, 0xc1, 0xc2] {
        assert_eq!(frame(marker), Ok(Frame { width: 120, height: 80 }));
    }
    // Lossless and arithmetic ones, which no phone writes.
    for marker in [0xc3, 0xc9, 0xca, 0xcb] {
        assert_eq!(frame(marker), Err(Unclean::Foreign(marker)));
    }
}

#[track_caller]
fn assert_all(found: Vec<(Vec<u8>, Unclean)>) {
    for (nth, (bytes, fault)) in found.into_iter().enumerate() {
        assert_eq!(walk(&bytes), Err(fault), "case {nth}");
        assert!(as_it_came(&bytes).is_err(), "case {nth}");
    }
}

#[test]
fn a_block_that_no_picture_needs_is_found_wherever_it_stands() {
    let exif = b"Exif\0\0II*\0\x08\0\0\0\0\0";
    assert_all(vec![
        (with(0xe1, exif), Unclean::Foreign(0xe1)),
        (with(0xe1, b"http://ns.adobe.com/xap/1.0/\0<x/>"), Unclean::Foreign(0xe1)),
        (with(0xed, b"Photoshop 3.0\08BIM"), Unclean::Foreign(0xed)),
        (with(0xfe, b"N 59 54 E 10 45"), Unclean::Foreign(0xfe)),
        (with(0xe3, b"x"), Unclean::Foreign(0xe3)),
        (before(0xda, &segment(0xdc, &[0, 80])), Unclean::Foreign(0xdc)),
        (before(0xda, &segment(0xfe, b"late")), Unclean::Foreign(0xfe)),
        (before(0xdb, b"\xff"), Unclean::Foreign(0xff)),
    ]);
}

#[test]
fn a_block_that_is_longer_than_its_fields_is_found() {
    let thumbed = b"JFIF\0\x01\x02\0\0\x01\0\x01\x01\x01\x09\x09\x09";
    assert_all(vec![
        (with(0xe0, thumbed), Unclean::Length),
        (with(0xe0, b"JFXX\0\x10small"), Unclean::Length),
        (with(0xe2, b"MPF\0II*\0second picture"), Unclean::Length),
        (with(0xe2, b"ICC_PROFILE\0\x01\x02half"), Unclean::Length),
        (with(0xee, b"Adobe\0\x64\0\0\0\0\x01more"), Unclean::Length),
        (with(0xdd, &[0, 0, 0]), Unclean::Length),
        (padded(0xdb), Unclean::Length),
        (padded(0xc4), Unclean::Length),
        (padded(0xc0), Unclean::Length),
        (padded(0xda), Unclean::Length),
        (b"\xff\xd8\xff\xdb\0\x01".to_vec(), Unclean::Length),
    ]);
}

#[test]
fn what_stands_in_a_wrong_place_or_twice_is_found() {
    let whole = plain();
    let scan = place_of(&whole, 0xda);
    let two = [segment(0xe2, &profile(b"a")), segment(0xe2, &profile(b"b"))].concat();
    assert_all(vec![
        (before(0xda, &segment(0xe2, &profile(b"late"))), Unclean::Order),
        ([&whole[..2], &whole[scan..]].concat(), Unclean::Order),
        (before(0xdb, b"\0"), Unclean::Order),
        ([&whole[..2], &whole[..]].concat(), Unclean::Second),
        ([&whole[..2], &two, &whole[2..]].concat(), Unclean::Second),
    ]);
}

#[test]
fn what_is_cut_short_or_hangs_behind_is_found() {
    let whole = plain();
    let scan = place_of(&whole, 0xda);
    assert_all(vec![
        ([&whole[..], b"\0"].concat(), Unclean::Trailing),
        ([&whole[..], &whole[..]].concat(), Unclean::Trailing),
        ([&whole[..], b"<script>alert(1)</script>"].concat(), Unclean::Trailing),
        (whole[..whole.len() - 2].to_vec(), Unclean::CutShort),
        (whole[..whole.len() - 1].to_vec(), Unclean::CutShort),
        (whole[..scan].to_vec(), Unclean::CutShort),
        (whole[..3].to_vec(), Unclean::CutShort),
        (b"\xff\xd8\xff\xd9".to_vec(), Unclean::CutShort),
        (whole[1..].to_vec(), Unclean::NoStart),
        (Vec::new(), Unclean::NoStart),
    ]);
}

#[test]
fn a_picture_has_two_frames_never() {
    let whole = plain();
    let (at, next) = (place_of(&whole, 0xc0), place_of(&whole, 0xc4));
    let twice = [&whole[..next], &whole[at..next], &whole[next..]].concat();
    assert_eq!(walk(&twice), Err(Unclean::Second));
}

#[test]
fn so_many_blocks_are_walked_and_not_one_more() {
    let plain = plain();
    let at = place_of(&plain, 0xda);
    let fits = |more: &usize| {
        let filler = (0..*more).flat_map(|_| segment(0xdd, &[0, 0])).collect::<Vec<u8>>();
        walk(&[&plain[..at], &filler, &plain[at..]].concat()) != Err(Unclean::TooMany)
    };
    let own = (0..SEGMENTS_MAX).take_while(fits).count();
    assert!((SEGMENTS_MAX - 12..SEGMENTS_MAX).contains(&own), "{own}");
}

#[test]
fn stuffed_bytes_and_restarts_are_part_of_the_picture() {
    let whole = plain();
    let end = whole.len() - 2;
    for inside in [&b"\xff\x00"[..], b"\xff\xd0", b"\xff\xd7"] {
        walk(&[&whole[..end], inside, &whole[end..]].concat()).unwrap();
    }
    let broken = [&whole[..end], b"\xff\xd8", &whole[end..]].concat();
    assert_eq!(walk(&broken), Err(Unclean::Second));
}

#[test]
fn a_side_of_1600_is_kept_as_it_came_and_one_more_is_not() {
    let fits = encoded(&picture(KEPT_SIDE_PX_MAX, 8), ImageFormat::Jpeg);
    assert_eq!(as_it_came(&fits).unwrap().jpeg, fits);
    let wide = encoded(&picture(KEPT_SIDE_PX_MAX + 1, 8), ImageFormat::Jpeg);
    let fault = PictureFault::NotShrunk { width: KEPT_SIDE_PX_MAX + 1, height: 8 };
    assert_eq!(as_it_came(&wide), Err(fault));
    assert_eq!(kept(&wide).unwrap().width, KEPT_SIDE_PX_MAX);
}

#[test]
fn what_is_no_jpeg_is_refused_as_it_came_and_made_anew_by_the_form() {
    let png = encoded(&picture(30, 20), ImageFormat::Png);
    assert_eq!(as_it_came(&png), Err(PictureFault::Unclean(Unclean::NoStart)));
    assert_eq!(kept(&png), reencode(&png));
    assert_eq!(as_it_came(b"GIF89a"), Err(PictureFault::WrongKind));
    assert_eq!(as_it_came(b""), Err(PictureFault::Empty));
    let loaded = with(0xe1, b"Exif\0\0N 59 54");
    let mended = kept(&loaded).unwrap();
    assert!(!mended.jpeg.windows(7).any(|window| window == b"N 59 54"));
    walk(&mended.jpeg).unwrap();
}

#[test]
fn markers_that_fit_around_no_picture_are_refused() {
    let mut whole = plain();
    let at = place_of(&whole, 0xc0);
    // A frame of no height.
    whole[at + 5..at + 7].copy_from_slice(&[0, 0]);
    walk(&whole).unwrap();
    assert!(as_it_came(&whole).is_err());
}
