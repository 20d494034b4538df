//! An appended revision that adds one certifying signature field to a PDF, with two holes left
//! open: for the byte range and for the signature. The bytes before it stay untouched.

use lopdf::{Dictionary, Document, Object, ObjectId, StringFormat, dictionary};
use sha2::{Digest, Sha256};

use super::pdf_object::{date_text, text_string, write_dictionary, write_object};
use super::sign::{SealError, SealNote};

const BYTE_RANGE_CHARS: usize = 40;
/// Annotation flags "print" and "locked".
const PRINT_AND_LOCKED: i64 = 4 | 128;
/// Form flags "signatures exist" and "append only".
const SIGNED_APPEND_ONLY: i64 = 1 | 2;
/// No change at all is allowed after a certifying signature of this level.
const NO_CHANGES: i64 = 1;

/// A revision with its holes: `hole` runs from `<` to after `>`.
#[derive(Clone)]
pub(super) struct Revision {
    pub(super) bytes: Vec<u8>,
    hole: std::ops::Range<usize>,
}

impl Revision {
    /// Appends the revision, byte range filled in, signature still zeros: so many bytes are left for it.
    pub(super) fn append(pdf: &[u8], note: &SealNote, room: usize) -> Result<Self, SealError> {
        let mut update = Update::read(pdf)?;
        update.add_field(note)?;
        update.write(pdf, note, room)
    }

    /// The digest over everything but the hole.
    pub(super) fn digest(&self) -> [u8; 32] {
        let (before, rest) = self.bytes.split_at(self.hole.start);
        let after = rest.split_at(self.hole.len()).1;
        Sha256::new().chain_update(before).chain_update(after).finalize().into()
    }

    /// The finished file, with the signature in its hole.
    pub(super) fn fill(mut self, signature: &[u8]) -> Result<Vec<u8>, SealError> {
        let hex = super::pdf_object::lower_hex(signature);
        let from = self.hole.start + 1;
        let room = self.bytes.get_mut(from..self.hole.end - 1).unwrap_or_default();
        let place = room.get_mut(..hex.len()).ok_or(SealError::TooLong)?;
        place.copy_from_slice(hex.as_bytes());
        Ok(self.bytes)
    }
}

/// The objects that are new or changed, by number.
struct Update {
    document: Document,
    changed: std::collections::BTreeMap<ObjectId, Dictionary>,
    next_number: u32,
    signature: ObjectId,
    widget: ObjectId,
}

impl Update {
    fn read(pdf: &[u8]) -> Result<Self, SealError> {
        let document = Document::load_mem(pdf)?;
        let catalog = document.catalog()?;
        let classic = !document.trailer.has(b"Type") && document.xref_recovery.is_none();
        if catalog.has(b"AcroForm") || document.is_encrypted() || !classic {
            return Err(SealError::NotOurs);
        }
        let size = document.trailer.get(b"Size")?.as_i64()?;
        let first = u32::try_from(size).map_err(|_| SealError::NotOurs)?;
        let (signature, widget) = ((first, 0), (first + 1, 0));
        let changed = std::collections::BTreeMap::new();
        Ok(Self { document, changed, next_number: first + 2, signature, widget })
    }

    /// A changeable copy of an object that was already there.
    fn change(&mut self, id: ObjectId) -> Result<&mut Dictionary, SealError> {
        let before = self.document.get_dictionary(id)?;
        Ok(self.changed.entry(id).or_insert_with(|| before.clone()))
    }

    fn add_field(&mut self, note: &SealNote) -> Result<(), SealError> {
        let page = self.document.page_iter().last().ok_or(SealError::NotOurs)?;
        let mut widget = dictionary! {
            "Type" => "Annot", "Subtype" => "Widget", "FT" => "Sig",
            "T" => text_string("Seal"),
            "TU" => text_string(&format!("Digital seal of {}", note.name)),
            "V" => self.signature, "P" => page, "F" => PRINT_AND_LOCKED,
            "Rect" => vec![0.into(), 0.into(), 0.into(), 0.into()],
        };
        if let Some(key) = self.add_to_structure(page)? {
            widget.set("StructParent", key);
        }
        self.changed.insert(self.widget, widget);
        self.add_to_page(page)?;
        let (signature, field) = (self.signature, self.widget);
        let catalog = self.change(self.document.trailer.get(b"Root")?.as_reference()?)?;
        catalog.set(
            "AcroForm",
            dictionary! { "Fields" => vec![field.into()], "SigFlags" => SIGNED_APPEND_ONLY },
        );
        catalog.set("Perms", dictionary! { "DocMDP" => signature });
        Ok(())
    }

    fn add_to_page(&mut self, page: ObjectId) -> Result<(), SealError> {
        let before = self.document.get_dictionary(page)?.get_deref(b"Annots", &self.document);
        let mut annotations = before.and_then(Object::as_array).cloned().unwrap_or_default();
        annotations.push(self.widget.into());
        self.change(page)?.set("Annots", annotations);
        Ok(())
    }

    /// Tells assistive technology about the field: a form element at the end of the document,
    /// entered in the parent tree. Returns the key of that entry, or nothing for untagged files.
    fn add_to_structure(&mut self, page: ObjectId) -> Result<Option<i64>, SealError> {
        let Ok(root) = self.document.catalog()?.get(b"StructTreeRoot") else { return Ok(None) };
        let root = root.as_reference()?;
        let tree = self.document.get_dictionary(root)?;
        let key = tree.get(b"ParentTreeNextKey")?.as_i64()?;
        let top = match tree.get(b"K")? {
            Object::Array(tops) => tops.first().ok_or(SealError::NotOurs)?.as_reference()?,
            top => top.as_reference()?,
        };
        let element = (self.next_number, 0);
        self.next_number += 1;
        let reference = dictionary! { "Type" => "OBJR", "Obj" => self.widget, "Pg" => page };
        let form = dictionary! {
            "Type" => "StructElem", "S" => "Form", "P" => top, "Pg" => page,
            "Alt" => text_string("Digital seal of the workshop"), "K" => vec![reference.into()],
        };
        self.changed.insert(element, form);
        self.change(top)?.get_mut(b"K")?.as_array_mut()?.push(element.into());
        let tree = self.change(root)?;
        tree.set("ParentTreeNextKey", key + 1);
        let numbers = tree.get_mut(b"ParentTree")?.as_dict_mut()?.get_mut(b"Nums")?;
        numbers.as_array_mut()?.extend([key.into(), element.into()]);
        Ok(Some(key))
    }

    /// Writes the appended part: objects, cross-reference table, trailer, byte range.
    fn write(self, pdf: &[u8], note: &SealNote, room: usize) -> Result<Revision, SealError> {
        let mut bytes = pdf.to_vec();
        if !bytes.ends_with(b"\n") {
            bytes.push(b'\n');
        }
        let mut offsets = vec![(self.signature, bytes.len())];
        let holes = self.write_signature(&mut bytes, note, room)?;
        for (&id, dictionary) in &self.changed {
            offsets.push((id, bytes.len()));
            bytes.extend_from_slice(format!("{} {} obj\n", id.0, id.1).as_bytes());
            write_dictionary(&mut bytes, dictionary);
            bytes.extend_from_slice(b"\nendobj\n");
        }
        offsets.sort_unstable();
        let start = bytes.len();
        write_table(&mut bytes, &offsets);
        self.write_trailer(&mut bytes, start)?;
        fill_byte_range(&mut bytes, &holes);
        Ok(Revision { bytes, hole: holes.signature })
    }

    fn write_signature(
        &self,
        out: &mut Vec<u8>,
        note: &SealNote,
        room: usize,
    ) -> Result<Holes, SealError> {
        let date = date_text(note.at).ok_or(SealError::Time)?;
        let transform = dictionary! {
            "Type" => "SigRef", "TransformMethod" => "DocMDP",
            "TransformParams" => dictionary! {
                "Type" => "TransformParams", "P" => NO_CHANGES, "V" => Object::Name(b"1.2".to_vec()),
            },
        };
        out.extend_from_slice(format!("{} 0 obj\n", self.signature.0).as_bytes());
        out.extend_from_slice(
            b"<</Type /Sig/Filter /Adobe.PPKLite/SubFilter /ETSI.CAdES.detached/M ",
        );
        for (key, value) in [
            ("", text_string(&date)),
            ("/Name ", text_string(&note.name)),
            ("/Reason ", text_string(&note.reason)),
            ("/Reference ", vec![Object::Dictionary(transform)].into()),
        ] {
            out.extend_from_slice(key.as_bytes());
            write_object(out, &value);
        }
        out.extend_from_slice(b"/ByteRange [");
        let byte_range = out.len();
        out.resize(byte_range + BYTE_RANGE_CHARS, b' ');
        out.extend_from_slice(b"]/Contents ");
        let from = out.len();
        out.push(b'<');
        out.resize(from + 1 + 2 * room, b'0');
        out.push(b'>');
        let signature = from..out.len();
        out.extend_from_slice(b">>\nendobj\n");
        Ok(Holes { byte_range, signature })
    }

    fn write_trailer(&self, out: &mut Vec<u8>, start: usize) -> Result<(), SealError> {
        let mut trailer = self.document.trailer.clone();
        let before = i64::try_from(self.document.xref_start).map_err(|_| SealError::NotOurs)?;
        trailer.set("Size", i64::from(self.next_number));
        trailer.set("Prev", before);
        let first = trailer.get(b"ID")?.as_array()?.first().ok_or(SealError::NotOurs)?.clone();
        // The second half names this revision; it follows from the bytes, so that sealing twice
        // gives the same file.
        let half = Sha256::digest(&*out).iter().copied().take(16).collect();
        let second = Object::String(half, StringFormat::Hexadecimal);
        trailer.set("ID", vec![first, second]);
        out.extend_from_slice(b"trailer\n");
        write_dictionary(out, &trailer);
        out.extend_from_slice(format!("\nstartxref\n{start}\n%%EOF\n").as_bytes());
        Ok(())
    }
}

struct Holes {
    byte_range: usize,
    signature: std::ops::Range<usize>,
}

/// The cross-reference table of the touched objects; each entry is exactly twenty bytes.
fn write_table(out: &mut Vec<u8>, offsets: &[(ObjectId, usize)]) {
    out.extend_from_slice(b"xref\n");
    for run in offsets.chunk_by(|(before, _), (after, _)| before.0 + 1 == after.0) {
        if let Some(((first, _), _)) = run.first() {
            out.extend_from_slice(format!("{first} {}\n", run.len()).as_bytes());
        }
        for ((_, generation), offset) in run {
            out.extend_from_slice(format!("{offset:010} {generation:05} n \n").as_bytes());
        }
    }
}

fn fill_byte_range(bytes: &mut [u8], holes: &Holes) {
    let (from, to) = (holes.signature.start, holes.signature.end);
    let text = format!("0 {from} {to} {}", bytes.len() - to);
    let end = holes.byte_range + text.len();
    if let Some(place) = bytes.get_mut(holes.byte_range..end) {
        place.copy_from_slice(text.as_bytes());
    }
}
