//! One certificate, set and sealed once for all tests: setting type is slow in a test build.

use std::sync::LazyLock;

use fusewright::documents::certificate::certificate;
use fusewright::documents::paper::PaperPhoto;
use fusewright::documents::sign::{SealKey, SealNote, seal};
use fusewright::documents::typeset::{Files, Imprint, typeset};
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

/// A small sealed page with text, fonts and this record.
pub(super) fn carrying(record: &[u8]) -> Vec<u8> {
    carrying_under(&SEALED.key, record)
}

pub(super) fn carrying_under(key: &SealKey, record: &[u8]) -> Vec<u8> {
    let imprint = Imprint { ident: "x".to_owned(), at: note().at };
    let text = "#set document(title: \"x\")
        #pdf.attach(\"/record.json\", description: \"r\", relationship: \"data\", mime-type: \"application/json\")
        Text";
    let files = Files::default().with("/record.json", record);
    seal(&typeset(text, files, &imprint).unwrap(), key, &note()).unwrap()
}

/// A record as certificates carry it, with one result.
pub(super) fn record(seal: &[u8], verdict: &str) -> Vec<u8> {
    let steps = serde_json::json!([{ "key": "torque.1", "verdict": verdict, "concession": null }]);
    let said = serde_json::json!({
        "format": "fusewright-record/1", "number": "2417", "issued": "2026-11-20T15:32:10Z",
        "workshop": "Hollow Bay", "job_number": 2417, "steps": steps, "entry_count": 3,
        "head": "00", "register_index": 0, "register_prev": "00",
        "seal_fingerprint": fusewright::domain::seal::hex(seal),
    });
    serde_json::to_vec(&said).unwrap()
}

/// Where some bytes first stand in the file.
pub(super) fn find(pdf: &[u8], wanted: &[u8]) -> usize {
    pdf.windows(wanted.len()).position(|window| window == wanted).unwrap()
}

/// First byte of the signature's hexadecimal.
pub(super) fn hole(pdf: &[u8]) -> usize {
    find(pdf, b"/Contents <30") + b"/Contents <".len()
}
