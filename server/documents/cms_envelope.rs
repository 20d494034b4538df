//! The signature inside a PDF: a detached CMS message as `PAdES` baseline B-B asks for it. One signer, the
//! certificates that he names in what he signs, three signed attributes, no signing time (the PDF carries
//! that). With a time stamp as an unsigned attribute it is baseline B-T.

use cms::cert::{CertificateChoices, IssuerAndSerialNumber};
use cms::content_info::{CmsVersion, ContentInfo};
use cms::signed_data::{
    CertificateSet, EncapsulatedContentInfo, SignedData, SignerIdentifier, SignerInfo, SignerInfos,
};
use der::asn1::{ObjectIdentifier, OctetString, SetOfVec};
use der::{Any, Decode, Encode, Reader, Sequence, SliceReader};
use sha2::{Digest, Sha256};
use spki::AlgorithmIdentifierOwned;
use x509_cert::Certificate;
use x509_cert::attr::{Attribute, Attributes};

const ID_DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.1");
pub(super) const ID_SIGNED_DATA: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.2");
const CONTENT_TYPE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.3");
pub(super) const MESSAGE_DIGEST: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.4");
const SIGNING_CERTIFICATE_V2: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.47");
const TIME_STAMP_TOKEN: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.14");
pub(super) const SHA_256: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.1");
const ECDSA_WITH_SHA_256: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.10045.4.3.2");

/// `SigningCertificateV2` of RFC 5035: the hash of each certificate, the signer's first. SHA-256 is the
/// default, which DER leaves out.
#[derive(Sequence)]
struct SigningCertificateV2 {
    certificates: Vec<NamedCertificate>,
}

#[derive(Sequence)]
struct NamedCertificate {
    sha256: OctetString,
}

/// The bytes that are signed: the attributes naming the content, its digest and the certificates.
pub(super) fn signed_bytes(digest: &[u8; 32], certificates: &[Vec<u8>]) -> der::Result<Vec<u8>> {
    attributes(digest, certificates)?.to_der()
}

/// The whole message; the same arguments give the same bytes, which is what checking relies on.
pub(super) fn envelope(
    digest: &[u8; 32],
    certificates: &[Vec<u8>],
    signature: &[u8],
    stamp: Option<&[u8]>,
) -> der::Result<Vec<u8>> {
    let parsed = certificates.iter().map(|one| Certificate::from_der(one));
    let parsed: Vec<Certificate> = parsed.collect::<Result<_, _>>()?;
    let signer = SignerInfo {
        version: CmsVersion::V1,
        sid: identifier(parsed.first().ok_or(der::ErrorKind::Failed)?),
        digest_alg: algorithm(SHA_256),
        signed_attrs: Some(attributes(digest, certificates)?),
        signature_algorithm: algorithm(ECDSA_WITH_SHA_256),
        signature: OctetString::new(signature)?,
        unsigned_attrs: stamp.map(stamped).transpose()?,
    };
    let certificates: Vec<_> = parsed.into_iter().map(CertificateChoices::Certificate).collect();
    let message = SignedData {
        version: CmsVersion::V1,
        digest_algorithms: SetOfVec::try_from(vec![algorithm(SHA_256)])?,
        encap_content_info: EncapsulatedContentInfo { econtent_type: ID_DATA, econtent: None },
        certificates: Some(CertificateSet::try_from(certificates)?),
        crls: None,
        signer_infos: SignerInfos::try_from(vec![signer])?,
    };
    ContentInfo { content_type: ID_SIGNED_DATA, content: Any::encode_from(&message)? }.to_der()
}

fn identifier(certificate: &Certificate) -> SignerIdentifier {
    SignerIdentifier::IssuerAndSerialNumber(IssuerAndSerialNumber {
        issuer: certificate.tbs_certificate().issuer().clone(),
        serial_number: certificate.tbs_certificate().serial_number().clone(),
    })
}

fn stamped(token: &[u8]) -> der::Result<Attributes> {
    SetOfVec::try_from(vec![attribute(TIME_STAMP_TOKEN, Any::from_der(token)?)?])
}

/// What a message holds, read from the start of a hole.
pub(super) struct Opened {
    /// How many bytes the message takes; the rest of the hole is padding.
    pub(super) length: usize,
    /// As what was signed names them: the signer's first.
    pub(super) certificates: Vec<Vec<u8>>,
    pub(super) signature: Vec<u8>,
    /// The token of a time stamp.
    pub(super) stamp: Option<Vec<u8>>,
}

/// Reads a message with one signer. Nothing is judged here but the form.
pub(super) fn open(hole: &[u8]) -> der::Result<Option<Opened>> {
    let mut reader = SliceReader::new(hole)?;
    let outer = ContentInfo::decode(&mut reader)?;
    let length = u32::from(reader.position()) as usize;
    let message: SignedData = outer.content.decode_as()?;
    let mut signers = message.signer_infos.0.iter();
    let (Some(signer), None) = (signers.next(), signers.next()) else { return Ok(None) };
    let carried = message.certificates.map(|all| all.0.into_vec()).unwrap_or_default();
    let mut found = Vec::new();
    for one in carried {
        let CertificateChoices::Certificate(certificate) = one else { return Ok(None) };
        found.push(certificate.to_der()?);
    }
    let Some(certificates) = in_order(found, signer)? else { return Ok(None) };
    let stamp = find(signer.unsigned_attrs.as_ref(), TIME_STAMP_TOKEN);
    let stamp = stamp.map(Encode::to_der).transpose()?;
    let signature = signer.signature.as_bytes().to_vec();
    Ok(Some(Opened { length, certificates, signature, stamp }))
}

/// The certificates in the order in which the signer names them, if he names each.
fn in_order(mut found: Vec<Vec<u8>>, signer: &SignerInfo) -> der::Result<Option<Vec<Vec<u8>>>> {
    let Some(named) = find(signer.signed_attrs.as_ref(), SIGNING_CERTIFICATE_V2) else {
        return Ok(None);
    };
    let mut ordered = Vec::new();
    for name in named.decode_as::<SigningCertificateV2>()?.certificates {
        let at = found.iter().position(|one| Sha256::digest(one)[..] == *name.sha256.as_bytes());
        let Some(at) = at else { return Ok(None) };
        ordered.push(found.remove(at));
    }
    Ok(found.is_empty().then_some(ordered))
}

/// The only value of an attribute.
pub(super) fn find(attributes: Option<&Attributes>, oid: ObjectIdentifier) -> Option<&Any> {
    let mut all = attributes?.iter().filter(|attribute| attribute.oid == oid);
    let (only, None) = (all.next()?, all.next()) else { return None };
    let mut values = only.values.iter();
    values.next().filter(|_| values.next().is_none())
}

fn algorithm(oid: ObjectIdentifier) -> AlgorithmIdentifierOwned {
    AlgorithmIdentifierOwned { oid, parameters: None }
}

fn attributes(digest: &[u8; 32], certificates: &[Vec<u8>]) -> der::Result<Attributes> {
    let named = certificates.iter().map(|certificate| {
        let sha256 = OctetString::new(Sha256::digest(certificate).as_slice())?;
        Ok(NamedCertificate { sha256 })
    });
    let named = SigningCertificateV2 { certificates: named.collect::<der::Result<_>>()? };
    SetOfVec::try_from(vec![
        attribute(CONTENT_TYPE, Any::encode_from(&ID_DATA)?)?,
        attribute(MESSAGE_DIGEST, Any::encode_from(&OctetString::new(digest.as_slice())?)?)?,
        attribute(SIGNING_CERTIFICATE_V2, Any::encode_from(&named)?)?,
    ])
}

fn attribute(oid: ObjectIdentifier, value: Any) -> der::Result<Attribute> {
    Ok(Attribute { oid, values: SetOfVec::try_from(vec![value])? })
}
