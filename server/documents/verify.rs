//! Is this file exactly as it was sealed? The strict rule for our own files: one signature, over
//! the whole file, nothing appended, nothing hidden in the padding. A viewer may say "valid" where
//! this says no; then this is right. Whose seal it is, the caller decides by the fingerprint.

use lopdf::{Dictionary, Document, Object};
use p256::ecdsa::signature::Verifier;
use p256::ecdsa::{DerSignature, VerifyingKey};
use p256::pkcs8::DecodePublicKey;
use sha2::{Digest, Sha256};
use thiserror::Error;
use time::OffsetDateTime;
use x509_cert::Certificate;
use x509_cert::der::{Decode, Encode};

use super::cms_envelope::{Opened, envelope, open, signed_bytes};
use super::pdf_object::{string_text, text_date};
use super::sign::is_within_validity;
use super::time_stamp::{Stamp, check};

mod carried;

pub use carried::{Carried, Said, SaidStep, check_certificate};

/// What an intact seal says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SealFacts {
    /// By the clock of the server that sealed it.
    pub signed_at: OffsetDateTime,
    /// SHA-256 of the certificate in the file. Genuine only if it is a known one.
    pub fingerprint: [u8; 32],
    pub certificate_der: Vec<u8>,
    /// Name of the workshop as it stands in the seal.
    pub name: String,
    pub reason: String,
    /// When the signature was there by somebody else's clock, if it carries a time stamp.
    pub stamp: Option<Stamp>,
}

/// Why a file does not count as sealed and unchanged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum VerifyError {
    #[error("The file cannot be read as a PDF.")]
    Unreadable,
    #[error("The file carries no seal.")]
    NotSealed,
    #[error("The file carries more than one signature.")]
    SeveralSignatures,
    #[error("The seal does not cover the whole file, or something was appended to it.")]
    NotWhole,
    #[error("The seal is not in the form this program writes.")]
    Form,
    #[error("The file was changed after it was sealed.")]
    Altered,
    #[error("The signature does not belong to the certificate in the file.")]
    Signature,
    #[error("The time stamp in the seal does not belong to it, or was changed.")]
    Stamp,
    #[error("The seal was made outside the validity of its certificate.")]
    OutsideValidity,
    #[error("The seal holds, but the file does not carry the one record that a certificate has.")]
    NoRecord,
    #[error(
        "The record in the file was not made for this seal, or holds a result that did not pass."
    )]
    OtherRecord,
}

/// Checks form, coverage, digest and signature of the one seal in the file.
pub fn check_coverage(pdf: &[u8]) -> Result<SealFacts, VerifyError> {
    sealed(&parsed(pdf)?, pdf)
}

fn parsed(pdf: &[u8]) -> Result<Document, VerifyError> {
    Document::load_mem(pdf).map_err(|_| VerifyError::Unreadable)
}

/// The seal of a file that was parsed already.
fn sealed(document: &Document, pdf: &[u8]) -> Result<SealFacts, VerifyError> {
    let seal = only_signature(document)?;
    let parts = covered(pdf, seal)?;
    let message = decode_hole(parts.hole)?;
    let opened = open(&message).ok().flatten().ok_or(VerifyError::Form)?;
    let digest =
        Sha256::new().chain_update(parts.before).chain_update(parts.after).finalize().into();

    // Building the message anew and comparing all of it, padding included, leaves no byte in the
    // hole that could say something else.
    let rebuilt =
        envelope(&digest, &opened.certificates, &opened.signature, opened.stamp.as_deref());
    let rebuilt = rebuilt.map_err(|_| VerifyError::Form)?;
    let padding = message.get(opened.length..).unwrap_or_default();
    if message.get(..opened.length) != Some(rebuilt.as_slice()) {
        return Err(VerifyError::Altered);
    }
    if padding.iter().any(|&byte| byte != 0) {
        return Err(VerifyError::Form);
    }
    let own = opened.certificates.first().ok_or(VerifyError::Form)?;
    let certificate = Certificate::from_der(own).map_err(|_| VerifyError::Form)?;
    check_signature(&certificate, &digest, &opened)?;
    let stamp = opened.stamp.as_deref().map(|token| check(token, &opened.signature));
    let stamp = stamp.transpose().map_err(|_| VerifyError::Stamp)?.map(|(stamp, _)| stamp);
    facts(seal, &certificate, own.clone(), stamp)
}

/// The one signature dictionary, which must be the certifying one.
fn only_signature(document: &Document) -> Result<&Dictionary, VerifyError> {
    let signatures = document.objects.values().filter_map(|object| object.as_dict().ok());
    match signatures.filter(|dictionary| dictionary.has(b"ByteRange")).count() {
        0 => return Err(VerifyError::NotSealed),
        1 => {}
        _ => return Err(VerifyError::SeveralSignatures),
    }
    let catalog = document.catalog().map_err(|_| VerifyError::Unreadable)?;
    catalog
        .get_deref(b"Perms", document)
        .and_then(Object::as_dict)
        .and_then(|permissions| permissions.get_deref(b"DocMDP", document))
        .and_then(Object::as_dict)
        .map_err(|_| VerifyError::Form)
}

/// A sealed file in its parts: together with the angle brackets of the hole, the whole of it.
struct Parts<'a> {
    before: &'a [u8],
    hole: &'a [u8],
    after: &'a [u8],
}

/// Splits the file as its byte range says, if that covers everything.
fn covered<'a>(pdf: &'a [u8], seal: &Dictionary) -> Result<Parts<'a>, VerifyError> {
    let range = seal.get(b"ByteRange").and_then(Object::as_array).map_err(|_| VerifyError::Form)?;
    let numbers: Vec<usize> = range
        .iter()
        .filter_map(|number| number.as_i64().ok().and_then(|number| usize::try_from(number).ok()))
        .collect();
    let [0, from, to, rest] = *numbers.as_slice() else { return Err(VerifyError::Form) };
    if range.len() != 4 || to.checked_add(rest) != Some(pdf.len()) || from >= to {
        return Err(VerifyError::NotWhole);
    }
    let (before, tail) = pdf.split_at_checked(from).ok_or(VerifyError::NotWhole)?;
    let (gap, after) = tail.split_at_checked(to - from).ok_or(VerifyError::NotWhole)?;
    let hole = gap.strip_prefix(b"<").and_then(|gap| gap.strip_suffix(b">"));
    Ok(Parts { before, hole: hole.ok_or(VerifyError::NotWhole)?, after })
}

/// Lower-case hexadecimal only, as this program writes it: another case would be another file with
/// the same meaning.
fn decode_hole(hole: &[u8]) -> Result<Vec<u8>, VerifyError> {
    let digit = |byte: u8| match byte {
        b'0'..=b'9' => Ok(byte - b'0'),
        b'a'..=b'f' => Ok(byte - b'a' + 10),
        _ => Err(VerifyError::Form),
    };
    let (pairs, left_over) = hole.as_chunks::<2>();
    if !left_over.is_empty() {
        return Err(VerifyError::Form);
    }
    pairs.iter().map(|&[high, low]| Ok(digit(high)? << 4 | digit(low)?)).collect()
}

fn check_signature(
    certificate: &Certificate,
    digest: &[u8; 32],
    opened: &Opened,
) -> Result<(), VerifyError> {
    let key = public_key(certificate).ok_or(VerifyError::Form)?;
    let signature = DerSignature::from_bytes(&opened.signature);
    let signature = signature.map_err(|_| VerifyError::Signature)?;
    let signed = signed_bytes(digest, &opened.certificates).map_err(|_| VerifyError::Form)?;
    key.verify(&signed, &signature).map_err(|_| VerifyError::Signature)
}

fn public_key(certificate: &Certificate) -> Option<VerifyingKey> {
    let spki = certificate.tbs_certificate().subject_public_key_info().to_der().ok()?;
    VerifyingKey::from_public_key_der(&spki).ok()
}

/// Whether a message (a status list, a change of the seal) carries the signature of a seal.
pub fn is_signed_by(certificate_der: &[u8], message: &[u8], signature: &[u8]) -> bool {
    let certificate = Certificate::from_der(certificate_der).ok();
    let key = certificate.as_ref().and_then(public_key);
    let signature = DerSignature::from_bytes(signature).ok();
    key.zip(signature).is_some_and(|(key, signature)| key.verify(message, &signature).is_ok())
}

fn facts(
    seal: &Dictionary,
    certificate: &Certificate,
    certificate_der: Vec<u8>,
    stamp: Option<Stamp>,
) -> Result<SealFacts, VerifyError> {
    let text = |key: &[u8]| {
        seal.get(key).and_then(Object::as_str).map(string_text).map_err(|_| VerifyError::Form)
    };
    let signed_at = text_date(&text(b"M")?).ok_or(VerifyError::Form)?;
    if !is_within_validity(certificate, signed_at) {
        return Err(VerifyError::OutsideValidity);
    }
    Ok(SealFacts {
        signed_at,
        fingerprint: Sha256::digest(&certificate_der).into(),
        certificate_der,
        name: text(b"Name")?,
        reason: text(b"Reason")?,
        stamp,
    })
}
