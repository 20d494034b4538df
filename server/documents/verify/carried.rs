//! What a sealed certificate carries for machines: its record, checked against the seal around it.

use lopdf::{Document, Object};
use serde::Deserialize;

use super::{SealFacts, VerifyError, parsed, sealed};
use crate::domain::certificate::check_code;
use crate::domain::seal::{hex, sha256};

/// What the record inside a certificate names itself; later ones keep the beginning.
const FORMATS: &str = "fusewright-record/";

/// An unchanged certificate and what it says.
#[derive(Clone, Debug)]
pub struct Carried {
    pub seal: SealFacts,
    /// The embedded record, byte for byte.
    pub record: Vec<u8>,
    pub record_sha256: [u8; 32],
    /// The code that stands beside the QR code of this paper.
    pub code: String,
    pub said: Said,
}

/// What the record says of itself.
#[derive(Clone, Debug, Deserialize)]
pub struct Said {
    pub format: String,
    /// With its hyphens, as it is printed.
    pub number: String,
    pub issued: String,
    pub workshop: String,
    pub job_number: u64,
    pub steps: Vec<SaidStep>,
    pub entry_count: u64,
    /// Last value of the job's chain, in hexadecimal.
    pub head: String,
    pub register_index: u64,
    pub register_prev: String,
    pub seal_fingerprint: String,
}

#[derive(Clone, Debug, Deserialize)]
pub struct SaidStep {
    pub key: String,
    pub verdict: String,
    pub concession: Option<serde::de::IgnoredAny>,
}

impl Said {
    /// Steps that neither passed nor were accepted by a concession: a certificate has none.
    pub fn not_passed(&self) -> impl Iterator<Item = &SaidStep> {
        let stands = |step: &SaidStep| {
            matches!(step.verdict.as_str(), "pass" | "done") || step.concession.is_some()
        };
        self.steps.iter().filter(move |step| !stands(step))
    }
}

/// Checks a certificate with nothing but the file: the seal by [`super::check_coverage`], then that the one record
/// inside is ours, names this seal, and is the one that the seal was made for.
pub fn check_certificate(pdf: &[u8]) -> Result<Carried, VerifyError> {
    let document = parsed(pdf)?;
    let seal = sealed(&document, pdf)?;
    let record = only_attachment(&document)?;
    let said: Said = serde_json::from_slice(&record).map_err(|_| VerifyError::NoRecord)?;
    let is_of_this_seal = said.format.starts_with(FORMATS)
        && said.seal_fingerprint == hex(&seal.fingerprint)
        && seal.reason.contains(&said.number);
    if !is_of_this_seal || said.not_passed().next().is_some() {
        return Err(VerifyError::OtherRecord);
    }
    let (record_sha256, code) = (sha256(&record), check_code(&record));
    Ok(Carried { seal, record, record_sha256, code, said })
}

/// The one file inside: a second would leave open which of them is meant.
fn only_attachment(document: &Document) -> Result<Vec<u8>, VerifyError> {
    let is_attachment = |object: &&Object| {
        let stream = object.as_stream().ok();
        let kind = stream.and_then(|stream| stream.dict.get(b"Type").ok());
        kind.and_then(|kind| kind.as_name().ok()) == Some(b"EmbeddedFile")
    };
    let mut found = document.objects.values().filter(is_attachment);
    let (Some(only), None) = (found.next(), found.next()) else {
        return Err(VerifyError::NoRecord);
    };
    let stream = only.as_stream().map_err(|_| VerifyError::NoRecord)?;
    stream.get_plain_content().map_err(|_| VerifyError::NoRecord)
}
