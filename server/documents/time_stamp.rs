//! Time stamps of RFC 3161: what is asked of an authority, and whether what it gives is what it has to be. A
//! token says that a signature was there at a time, by a clock that is not ours.

use cms::content_info::ContentInfo;
use der::asn1::{BitString, Int, ObjectIdentifier, OctetString, Utf8StringRef};
use der::{Any, Decode, Encode, Sequence};
use sha2::{Digest, Sha256};
use spki::AlgorithmIdentifierOwned;
use thiserror::Error;
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;
use x509_cert::ext::Extension;

use super::cms_envelope::SHA_256;

mod token;

pub(super) use token::check;

/// Bytes of chance in a request, so that an old answer does not fit.
pub const NONCE_BYTES: usize = 8;

/// So much of an authority's own words is repeated.
const WORDS_CHARS_MAX: usize = 200;

/// What a token says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// By the clock of the authority.
    pub at: OffsetDateTime,
    /// The name in its certificate.
    pub authority: String,
    /// SHA-256 of its certificate. Genuine only if it is a known one.
    pub fingerprint: [u8; 32],
}

impl Stamp {
    /// RFC 3339, with what the authority says of fractions of a second.
    pub fn when(&self) -> String {
        self.at.format(&Rfc3339).unwrap_or_else(|_| self.at.to_string())
    }
}

/// Why there is no time stamp.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum StampError {
    #[error("what it answered is no time stamp that can be read here")]
    Form,
    #[error("it refused (status {status}{words})")]
    Refused { status: u8, words: String },
    #[error("its time stamp is of something else")]
    Imprint,
    #[error("its time stamp answers another question")]
    Nonce,
    #[error("its time stamp is signed in a way that is not known here")]
    Algorithm,
    #[error("the signature of its time stamp does not hold")]
    Signature,
    #[error("its certificate is not meant for time stamps, or did not hold at the time")]
    Certificate,
}

impl From<der::Error> for StampError {
    fn from(_: der::Error) -> Self {
        Self::Form
    }
}

#[derive(Sequence)]
struct Request {
    version: u8,
    imprint: Imprint,
    nonce: Int,
    certificate_wanted: bool,
}

#[derive(Sequence)]
struct Imprint {
    algorithm: AlgorithmIdentifierOwned,
    digest: OctetString,
}

#[derive(Sequence)]
struct Reply {
    outcome: Status,
    #[asn1(optional = "true")]
    token: Option<ContentInfo>,
}

#[derive(Sequence)]
struct Status {
    code: u8,
    #[asn1(optional = "true")]
    words: Option<Vec<Any>>,
    #[asn1(optional = "true")]
    faults: Option<BitString>,
}

/// What the authority has signed.
#[derive(Sequence)]
struct Stated {
    version: u8,
    policy: ObjectIdentifier,
    imprint: Imprint,
    serial: Int,
    /// With fractions of a second, which the common type does not know.
    at: Any,
    #[asn1(optional = "true")]
    accuracy: Option<Accuracy>,
    #[asn1(default = "no")]
    ordering: bool,
    #[asn1(optional = "true")]
    nonce: Option<Int>,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT", optional = "true")]
    authority: Option<Any>,
    #[asn1(context_specific = "1", tag_mode = "IMPLICIT", optional = "true")]
    extensions: Option<Vec<Extension>>,
}

#[derive(Sequence)]
struct Accuracy {
    #[asn1(optional = "true")]
    seconds: Option<u32>,
    #[asn1(context_specific = "0", tag_mode = "IMPLICIT", optional = "true")]
    millis: Option<u16>,
    #[asn1(context_specific = "1", tag_mode = "IMPLICIT", optional = "true")]
    micros: Option<u16>,
}

fn no() -> bool {
    false
}

/// A positive number of these bytes.
fn number(nonce: [u8; NONCE_BYTES]) -> der::Result<Int> {
    let digits: Vec<u8> = nonce.into_iter().skip_while(|&byte| byte == 0).collect();
    // A leading nought keeps the sign off.
    let signed = digits.first().is_none_or(|&first| first >= 0x80);
    let sign: &[u8] = if signed { &[0] } else { &[] };
    Int::new(&[sign, &digits].concat())
}

/// Asks for a time stamp of a signature.
pub fn request(signature: &[u8], nonce: [u8; NONCE_BYTES]) -> Result<Vec<u8>, StampError> {
    let algorithm = AlgorithmIdentifierOwned { oid: SHA_256, parameters: Some(Any::null()) };
    let digest = OctetString::new(Sha256::digest(signature).as_slice())?;
    let imprint = Imprint { algorithm, digest };
    let nonce = number(nonce)?;
    Ok(Request { version: 1, imprint, nonce, certificate_wanted: true }.to_der()?)
}

/// The token in an answer, if it is of this signature and answers this request.
pub fn read_reply(
    reply: &[u8],
    signature: &[u8],
    nonce: [u8; NONCE_BYTES],
) -> Result<Vec<u8>, StampError> {
    let reply = Reply::from_der(reply)?;
    // Granted, or granted with changes, which are looked at below.
    if reply.outcome.code > 1 {
        let words = reply.outcome.words.unwrap_or_default();
        let words = words.iter().filter_map(|one| one.decode_as::<Utf8StringRef<'_>>().ok());
        let words: Vec<&str> = words.map(|one| one.as_str()).collect();
        return Err(StampError::Refused { status: reply.outcome.code, words: plain(&words) });
    }
    let token = reply.token.ok_or(StampError::Form)?.to_der()?;
    let (_, stated) = check(&token, signature)?;
    if stated != Some(number(nonce)?) {
        return Err(StampError::Nonce);
    }
    Ok(token)
}

/// Words of somebody else, for one line.
fn plain(words: &[&str]) -> String {
    let words = words.join(" ");
    let told: String = words.chars().filter(|c| !c.is_control()).take(WORDS_CHARS_MAX).collect();
    if told.is_empty() { told } else { format!(": {told}") }
}
