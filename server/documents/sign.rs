//! The workshop's digital seal: its key, its certificate, and sealing a PDF with it (`PAdES` baseline
//! B-B, certifying, no change allowed afterwards). Draws no random number and reads no clock: both
//! are handed in, and signing itself is deterministic (RFC 6979).

use der::asn1::{GeneralizedTime, Utf8StringRef};
use der::{Any, Decode, Encode, EncodePem};
use p256::ecdsa::signature::Signer;
use p256::ecdsa::{DerSignature, SigningKey};
use p256::pkcs8::{DecodePrivateKey, EncodePrivateKey, LineEnding};
use sha2::{Digest, Sha256};
use thiserror::Error;
use time::OffsetDateTime;
use x509_cert::Certificate;
use x509_cert::attr::AttributeTypeAndValue;
use x509_cert::builder::profile::BuilderProfile;
use x509_cert::builder::{Builder, CertificateBuilder};
use x509_cert::certificate::TbsCertificate;
use x509_cert::ext::pkix::{
    BasicConstraints, ExtendedKeyUsage, KeyUsage, KeyUsages, SubjectKeyIdentifier,
};
use x509_cert::ext::{Extension, ToExtension};
use x509_cert::name::{Name, RdnSequence, RelativeDistinguishedName};
use x509_cert::serial_number::SerialNumber;
use x509_cert::time::{Time, Validity};

use super::cms_envelope::{envelope, signed_bytes};
use super::pdf_update::Revision;

const COMMON_NAME: der::asn1::ObjectIdentifier = der::asn1::ObjectIdentifier::new_unwrap("2.5.4.3");
const DOCUMENT_SIGNING: der::asn1::ObjectIdentifier =
    der::asn1::ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.3.36");
/// Room for a signature with one certificate.
const SIGNATURE_BYTES_MAX: usize = 8 * 1024;
/// Room for the token of a time stamp, with the certificates of its authority.
pub const STAMP_BYTES_MAX: usize = 16 * 1024;
/// Upper bound of a common name in RFC 5280.
const COMMON_NAME_CHARS_MAX: usize = 64;

/// So long before its end a seal is announced to end.
pub const ENDS_SOON_DAYS: i64 = 60;

/// Why a key could not be made or read, or a document not sealed.
#[derive(Debug, Error)]
pub enum SealError {
    #[error("These random bytes make no key; draw new ones.")]
    Randomness,
    #[error("The seal's certificate needs a name of 1 to {COMMON_NAME_CHARS_MAX} characters.")]
    CommonName,
    #[error("The time lies outside what the seal's certificate or the file format can hold.")]
    Time,
    #[error("The key of the seal cannot be read: {0}")]
    Key(#[from] p256::pkcs8::Error),
    #[error("The key and the certificate of the seal do not belong together.")]
    Mismatch,
    #[error("The certificate of the seal cannot be made or read: {0}")]
    Certificate(#[from] x509_cert::builder::Error),
    #[error("The seal cannot be encoded: {0}")]
    Encoding(#[from] der::Error),
    #[error("The document cannot be read: {0}")]
    Document(#[from] lopdf::Error),
    #[error("Only an unsealed document made here can be sealed.")]
    NotOurs,
    #[error("The signature does not fit into the room left for it.")]
    TooLong,
}

/// What stands in the seal, in words.
#[derive(Clone, Debug)]
pub struct SealNote {
    /// When the document is sealed, by the server's clock.
    pub at: OffsetDateTime,
    /// Who seals: the workshop.
    pub name: String,
    /// Why, for instance "Release of job 2417".
    pub reason: String,
}

/// A P-256 key with its certificate: self-signed, or somebody else's with those that vouch for it.
#[derive(Clone)]
pub struct SealKey {
    pub(super) key: SigningKey,
    /// Its own certificate first, then those that vouch for each other.
    certificates: Vec<Certificate>,
    /// The same as DER.
    chain: Vec<Vec<u8>>,
}

impl std::fmt::Debug for SealKey {
    /// Never shows the key.
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("SealKey").finish_non_exhaustive()
    }
}

impl SealKey {
    /// Makes a key and its certificate. The first 32 random bytes become the key, the last 16 the
    /// serial number.
    pub fn create(
        common_name: &str,
        randomness: [u8; 48],
        not_before: OffsetDateTime,
        years: u16,
    ) -> Result<Self, SealError> {
        let (secret, serial) = randomness.split_at(32);
        let key = SigningKey::from_slice(secret).map_err(|_| SealError::Randomness)?;
        let profile = SealProfile { subject: distinguished_name(common_name)? };
        let spki = spki::SubjectPublicKeyInfoOwned::from_key(key.verifying_key())
            .map_err(x509_cert::builder::Error::from)?;
        let validity = validity(not_before, years)?;
        let builder = CertificateBuilder::new(profile, serial_number(serial)?, validity, spki)?;
        let certificate = builder.build::<_, DerSignature>(&key)?;
        Self::join(key, vec![certificate])
    }

    /// Reads a key (PKCS#8) and its certificate, both PEM. Certificates that vouch for it may follow.
    pub fn from_pem(key_pem: &str, certificate_pem: &str) -> Result<Self, SealError> {
        let key = SigningKey::from_pkcs8_pem(key_pem)?;
        Self::join(key, Certificate::load_pem_chain(certificate_pem.as_bytes())?)
    }

    pub(super) fn join(key: SigningKey, certificates: Vec<Certificate>) -> Result<Self, SealError> {
        let ours = spki::SubjectPublicKeyInfoOwned::from_key(key.verifying_key())
            .map_err(x509_cert::builder::Error::from)?;
        let certified = certificates.first().map(Certificate::tbs_certificate);
        if certified.is_none_or(|own| *own.subject_public_key_info() != ours) {
            return Err(SealError::Mismatch);
        }
        let chain = certificates.iter().map(Encode::to_der).collect::<Result<_, _>>()?;
        Ok(Self { key, certificates, chain })
    }

    /// How many bytes its signatures are given.
    fn room(&self) -> usize {
        SIGNATURE_BYTES_MAX + self.chain.iter().skip(1).map(Vec::len).sum::<usize>()
    }

    fn own(&self) -> Option<&Certificate> {
        self.certificates.first()
    }

    /// The secret key as PKCS#8 PEM: for a file only the server may read, never for the database.
    pub fn key_pem(&self) -> Result<String, SealError> {
        Ok(self.key.to_pkcs8_pem(LineEnding::LF)?.as_str().to_owned())
    }

    pub fn certificate_pem(&self) -> Result<String, SealError> {
        let parts = self.certificates.iter().map(|one| one.to_pem(LineEnding::LF));
        Ok(parts.collect::<Result<String, _>>()?)
    }

    /// Its own certificate.
    pub fn certificate_der(&self) -> &[u8] {
        self.chain.first().map_or(&[], Vec::as_slice)
    }

    /// SHA-256 of the certificate: what is printed on every certificate and published.
    pub fn fingerprint(&self) -> [u8; 32] {
        Sha256::digest(self.certificate_der()).into()
    }

    /// The same of a certificate in PEM whose key is not at hand.
    pub fn fingerprint_of(certificate_pem: &str) -> Result<[u8; 32], SealError> {
        let chain = Certificate::load_pem_chain(certificate_pem.as_bytes())?;
        let own = chain.first().ok_or(SealError::Mismatch)?;
        Ok(Sha256::digest(own.to_der()?).into())
    }

    /// Signs any message (receipts, chain heads): DER ECDSA over SHA-256.
    pub fn sign(&self, message: &[u8]) -> Vec<u8> {
        let signature: DerSignature = self.key.sign(message);
        signature.as_bytes().to_vec()
    }

    /// When its certificate ends: nothing is sealed after that.
    pub fn not_after(&self) -> Option<OffsetDateTime> {
        moment(self.own()?.tbs_certificate().validity().not_after)
    }

    /// Its end, if that is near or has passed.
    pub fn ends_soon(&self, now: OffsetDateTime) -> Option<OffsetDateTime> {
        self.not_after().filter(|end| *end - now <= time::Duration::days(ENDS_SOON_DAYS))
    }

    fn is_valid_at(&self, at: OffsetDateTime) -> bool {
        self.own().is_some_and(|own| is_within_validity(own, at))
    }
}

/// A time in a certificate.
pub(super) fn moment(time: Time) -> Option<OffsetDateTime> {
    let seconds = i64::try_from(time.to_unix_duration().as_secs()).ok()?;
    OffsetDateTime::from_unix_timestamp(seconds).ok()
}

/// Whether a certificate had begun and not ended at that moment.
pub(super) fn is_within_validity(certificate: &Certificate, at: OffsetDateTime) -> bool {
    let validity = certificate.tbs_certificate().validity();
    u64::try_from(at.unix_timestamp()).is_ok_and(|seconds| {
        let from = validity.not_before.to_unix_duration().as_secs();
        let until = validity.not_after.to_unix_duration().as_secs();
        (from..=until).contains(&seconds)
    })
}

/// Seals a document: appends one certifying signature over every byte of the file. The same
/// document, key and note give the same bytes.
pub fn seal(pdf: &[u8], key: &SealKey, note: &SealNote) -> Result<Vec<u8>, SealError> {
    Sealing::begin(pdf, key, note, false)?.finish(None)
}

/// A document that is signed, before the signature is put into it: so that somebody else can put a time to it.
#[derive(Clone)]
pub struct Sealing {
    revision: Revision,
    digest: [u8; 32],
    chain: Vec<Vec<u8>>,
    signature: Vec<u8>,
}

impl Sealing {
    /// Signs a document; room for a time stamp is left where there is to be one.
    pub fn begin(
        pdf: &[u8],
        key: &SealKey,
        note: &SealNote,
        is_stamped: bool,
    ) -> Result<Self, SealError> {
        if !key.is_valid_at(note.at) {
            return Err(SealError::Time);
        }
        let room = key.room() + if is_stamped { STAMP_BYTES_MAX } else { 0 };
        let revision = Revision::append(pdf, note, room)?;
        let digest = revision.digest();
        let signature = key.sign(&signed_bytes(&digest, &key.chain)?);
        Ok(Self { revision, digest, chain: key.chain.clone(), signature })
    }

    /// What a time stamp is to be of.
    pub fn signature(&self) -> &[u8] {
        &self.signature
    }

    /// The finished file, with the token of a time stamp if there is one.
    pub fn finish(self, stamp: Option<&[u8]>) -> Result<Vec<u8>, SealError> {
        let message = envelope(&self.digest, &self.chain, &self.signature, stamp)?;
        self.revision.fill(&message)
    }
}

/// A certificate as text, as tools like it.
pub fn certificate_pem(certificate_der: &[u8]) -> Result<String, SealError> {
    Ok(Certificate::from_der(certificate_der)?.to_pem(LineEnding::LF)?)
}

/// What the certificate of a seal says: no authority over others, signs documents, self-issued.
struct SealProfile {
    subject: Name,
}

impl BuilderProfile for SealProfile {
    fn get_issuer(&self, subject: &Name) -> Name {
        subject.clone()
    }

    fn get_subject(&self) -> Name {
        self.subject.clone()
    }

    fn build_extensions(
        &self,
        spk: spki::SubjectPublicKeyInfoRef<'_>,
        _issuer_spk: spki::SubjectPublicKeyInfoRef<'_>,
        tbs: &TbsCertificate,
    ) -> x509_cert::builder::Result<Vec<Extension>> {
        let subject = tbs.subject();
        let usage = KeyUsage(KeyUsages::DigitalSignature | KeyUsages::NonRepudiation);
        // RFC 7093 method 1: the leftmost 160 bits of the SHA-256 of the public key.
        let point = Sha256::digest(spk.subject_public_key.raw_bytes());
        let short = point.iter().copied().take(20).collect::<Vec<_>>();
        let identifier = SubjectKeyIdentifier(der::asn1::OctetString::new(short)?);
        Ok(vec![
            (&BasicConstraints { ca: false, path_len_constraint: None })
                .to_extension(subject, &[])?,
            (&usage).to_extension(subject, &[])?,
            (&ExtendedKeyUsage(vec![DOCUMENT_SIGNING])).to_extension(subject, &[])?,
            (&identifier).to_extension(subject, &[])?,
        ])
    }
}

/// A name with a single common name, whatever characters it holds.
fn distinguished_name(common_name: &str) -> Result<Name, SealError> {
    if !(1..=COMMON_NAME_CHARS_MAX).contains(&common_name.chars().count()) {
        return Err(SealError::CommonName);
    }
    let value = Any::from(Utf8StringRef::new(common_name)?);
    let attribute = AttributeTypeAndValue { oid: COMMON_NAME, value };
    let mut names = RdnSequence::default();
    names.push(RelativeDistinguishedName::try_from(vec![attribute])?);
    Ok(Name::from_der(&names.to_der()?)?)
}

/// A positive serial number of 127 bits.
fn serial_number(random: &[u8]) -> Result<SerialNumber, SealError> {
    let mut bytes = random.to_vec();
    if let Some(first) = bytes.first_mut() {
        // Clears the sign and makes sure that the first byte is not zero.
        *first = (*first & 0x7F) | 0x40;
    }
    Ok(SerialNumber::new(&bytes)?)
}

fn validity(not_before: OffsetDateTime, years: u16) -> Result<Validity, SealError> {
    let year = not_before.year().checked_add(i32::from(years)).ok_or(SealError::Time)?;
    // 29 February becomes 28 February in a year that has none.
    let not_after = not_before
        .replace_year(year)
        .or_else(|_| not_before.replace_day(28).and_then(|day| day.replace_year(year)))
        .map_err(|_| SealError::Time)?;
    Ok(Validity::new(certificate_time(not_before)?, certificate_time(not_after)?))
}

fn certificate_time(at: OffsetDateTime) -> Result<Time, SealError> {
    let seconds = u64::try_from(at.unix_timestamp()).map_err(|_| SealError::Time)?;
    let since_epoch = std::time::Duration::from_secs(seconds);
    Ok(Time::GeneralTime(GeneralizedTime::from_unix_duration(since_epoch)?))
}
