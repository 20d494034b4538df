//! One certificate, set and sealed once for all tests: setting type is slow in a test build.

use std::sync::LazyLock;

use fusewright::documents::certificate::certificate;
use fusewright::documents::paper::PaperPhoto;
use fusewright::documents::sign::{SealKey, SealNote, seal};
use image::{ImageFormat, Rgb, RgbImage};
use time::macros::datetime;

use super::sample;

pub(super) const RECORD: &[u8] = br#"{"number":"HB-2026-00417-K","note":"/ByteRange [0 1 2 3]"}"#;

pub(super) struct Sealed {
    pub(super) plain: Vec<u8>,
    pub(super) pdf: Vec<u8>,
    pub(super) key: SealKey,
}

pub(super) static SEALED: LazyLock<Sealed> = LazyLock::new(|| {
    let plain = certificate(&sample::paper(), RECORD, &photos(3)).unwrap();
    let key = key(7);
    let pdf = seal(&plain, &key, &note()).unwrap();
    Sealed { plain, pdf, key }
});

pub(super) fn key(seed: u8) -> SealKey {
    SealKey::create(
        "Hollow Bay, \"Vehicle\" Electrics",
        [seed; 48],
        datetime!(2026-01-01 0:00 UTC),
        3,
    )
    .unwrap()
}

pub(super) fn note() -> SealNote {
    SealNote {
        at: datetime!(2026-11-20 15:32:10 UTC),
        name: "Höllow Bay Vehicle Electrics".to_owned(),
        reason: "Release of job (2417)".to_owned(),
    }
}

/// Small photos in different colours.
pub(super) fn photos(count: u8) -> Vec<PaperPhoto> {
    (0..count)
        .map(|number| {
            let mut jpeg = std::io::Cursor::new(Vec::new());
            RgbImage::from_pixel(64, 48, Rgb([90, 40 * (number % 6), 120]))
                .write_to(&mut jpeg, ImageFormat::Jpeg)
                .unwrap();
            PaperPhoto { caption: format!("Load space, view {number}"), jpeg: jpeg.into_inner() }
        })
        .collect()
}
