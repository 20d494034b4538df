//! PKCS#12 (RFC 7292), as far as a key with its certificates needs it: what a `.p12` or `.pfx` file holds, once
//! its passphrase fits. Only DER is read, as common tools write it.

use cms::content_info::ContentInfo;
use cms::encrypted_data::EncryptedData;
use der::asn1::{ObjectIdentifier, OctetString, SetOfVec};
use der::{Any, Decode, Encode, Sequence};
use spki::AlgorithmIdentifierOwned;
use thiserror::Error;
use x509_cert::Certificate;
use x509_cert::attr::Attribute;

mod secret;

use secret::{decrypt, mac_fits};

const ID_DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.1");
const ID_ENCRYPTED_DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.6");
const KEY: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.10.1.1");
const ENCRYPTED_KEY: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.10.1.2");
const CERTIFICATE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.10.1.3");
const X509: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.22.1");

/// Why a file gives nothing.
#[derive(Debug, Error)]
pub enum Pkcs12Error {
    #[error(
        "This is no PKCS#12 file (.p12, .pfx) that can be read here. Export key and certificate once more, for \
         instance with `openssl pkcs12 -export`."
    )]
    Form,
    #[error("The file does not open: the passphrase is another one, or the file was changed.")]
    Locked,
    #[error(
        "The file is locked in a way that is not read here ({0}). Export it once more with `openssl pkcs12 \
         -export -keypbe AES-256-CBC -certpbe AES-256-CBC -macalg sha256`."
    )]
    Algorithm(ObjectIdentifier),
    #[error(
        "The file asks for {0} rounds of work for its passphrase; at most {max} are done. Export it once more.",
        max = secret::ROUNDS_MAX
    )]
    Rounds(u32),
}

/// Whatever is not DER, or not what was to come there.
impl From<der::Error> for Pkcs12Error {
    fn from(_: der::Error) -> Self {
        Self::Form
    }
}

/// What a file holds.
#[derive(Default)]
pub(super) struct Contents {
    /// PKCS#8, DER.
    pub(super) keys: Vec<Vec<u8>>,
    pub(super) certificates: Vec<Certificate>,
}

#[derive(Sequence)]
struct Pfx {
    version: u8,
    safe: ContentInfo,
    #[asn1(optional = "true")]
    mac: Option<MacData>,
}

#[derive(Sequence)]
struct MacData {
    digest: NamedDigest,
    salt: OctetString,
    #[asn1(default = "once")]
    rounds: u32,
}

/// As often as RFC 7292 says where nothing is said.
fn once() -> u32 {
    1
}

#[derive(Sequence)]
struct NamedDigest {
    algorithm: AlgorithmIdentifierOwned,
    digest: OctetString,
}

#[derive(Sequence)]
struct Bag {
    id: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT")]
    value: Any,
    #[asn1(optional = "true")]
    attributes: Option<SetOfVec<Attribute>>,
}

#[derive(Sequence)]
struct CertificateBag {
    id: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT")]
    value: OctetString,
}

#[derive(Sequence)]
struct EncryptedKey {
    algorithm: AlgorithmIdentifierOwned,
    encrypted: OctetString,
}

/// Opens a file.
pub(super) fn open(file: &[u8], passphrase: &str) -> Result<Contents, Pkcs12Error> {
    let pfx = Pfx::from_der(file)?;
    let safe = data(&pfx.safe)?;
    if let Some(mac) = &pfx.mac
        && !mac_fits(mac, safe.as_bytes(), passphrase)?
    {
        return Err(Pkcs12Error::Locked);
    }
    let mut contents = Contents::default();
    for part in Vec::<ContentInfo>::from_der(safe.as_bytes())? {
        let bags = match part.content_type {
            ID_DATA => data(&part)?.into_bytes().to_vec(),
            ID_ENCRYPTED_DATA => decrypted(&part, passphrase)?,
            // A file for somebody's key and not for a passphrase.
            other => return Err(Pkcs12Error::Algorithm(other)),
        };
        for bag in Vec::<Bag>::from_der(&bags)? {
            take(&mut contents, &bag, passphrase)?;
        }
    }
    Ok(contents)
}

fn data(part: &ContentInfo) -> Result<OctetString, Pkcs12Error> {
    if part.content_type != ID_DATA {
        return Err(Pkcs12Error::Algorithm(part.content_type));
    }
    Ok(part.content.decode_as()?)
}

fn decrypted(part: &ContentInfo, passphrase: &str) -> Result<Vec<u8>, Pkcs12Error> {
    let content = part.content.decode_as::<EncryptedData>()?.enc_content_info;
    let encrypted = content.encrypted_content.ok_or(Pkcs12Error::Form)?;
    decrypt(&content.content_enc_alg, encrypted.as_bytes(), passphrase)
}

/// Other kinds of bags (lists of revoked certificates, secrets) are none of ours.
fn take(contents: &mut Contents, bag: &Bag, passphrase: &str) -> Result<(), Pkcs12Error> {
    match bag.id {
        KEY => contents.keys.push(bag.value.to_der()?),
        ENCRYPTED_KEY => {
            let key: EncryptedKey = bag.value.decode_as()?;
            let key = decrypt(&key.algorithm, key.encrypted.as_bytes(), passphrase)?;
            contents.keys.push(key);
        }
        CERTIFICATE => {
            let certificate: CertificateBag = bag.value.decode_as()?;
            if certificate.id == X509 {
                contents.certificates.push(Certificate::from_der(certificate.value.as_bytes())?);
            }
        }
        _ => {}
    }
    Ok(())
}
