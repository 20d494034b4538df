//! The photos in a sealed paper: each stands in the file byte for byte as it was handed in, so the seal
//! also fixes photos that no hash names.

use std::collections::BTreeSet;

use lopdf::{Document, Object};

use crate::domain::entry::Digest;

/// The digests of all JPEG pictures in a PDF; none where it cannot be read.
pub fn photos_in(pdf: &[u8]) -> BTreeSet<Digest> {
    let Ok(document) = Document::load_mem(pdf) else { return BTreeSet::new() };
    let streams = document.objects.values().filter_map(|object| object.as_stream().ok());
    streams
        .filter(|stream| is_jpeg(&stream.content, &stream.dict))
        .map(|s| Digest::of(&s.content))
        .collect()
}

fn is_jpeg(content: &[u8], dictionary: &lopdf::Dictionary) -> bool {
    let filter = dictionary.get(b"Filter").and_then(Object::as_name);
    filter.is_ok_and(|name| name == b"DCTDecode") && content.starts_with(b"\xff\xd8")
}
