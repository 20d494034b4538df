//! The signature inside a PDF: a detached CMS message as `PAdES` baseline B-B asks for it. One
//! signer, his certificate, three signed attributes, no signing time (the PDF carries that).

use cms::cert::{CertificateChoices, IssuerAndSerialNumber};
use cms::content_info::{CmsVersion, ContentInfo};
use cms::signed_data::{
    CertificateSet, EncapsulatedContentInfo, SignedData, SignerIdentifier, SignerInfo, SignerInfos,
};
use der::asn1::{ObjectIdentifier, OctetString, SetOfVec};
use der::{Any, Decode, Encode, Reader, SliceReader};
use sha2::{Digest, Sha256};
use spki::AlgorithmIdentifierOwned;
use x509_cert::Certificate;
use x509_cert::attr::{Attribute, Attributes};

const ID_DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.1");
const ID_SIGNED_DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.2");
const CONTENT_TYPE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.3");
const MESSAGE_DIGEST: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.4");
const SIGNING_CERTIFICATE_V2: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.47");
const SHA_256: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.1");
const ECDSA_WITH_SHA_256: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.10045.4.3.2");
/// `SigningCertificateV2` with one certificate hash and nothing else: three sequences and the
/// header of a 32-byte string. SHA-256 is the default, which DER leaves out.
const SIGNING_CERTIFICATE_HEAD: [u8; 8] = [0x30, 0x26, 0x30, 0x24, 0x30, 0x22, 0x04, 0x20];

/// The bytes that are signed: the attributes naming the content, its digest and the certificate.
pub(super) fn signed_bytes(digest: &[u8; 32], certificate: &[u8]) -> der::Result<Vec<u8>> {
    attributes(digest, certificate)?.to_der()
}

/// The whole message; the same arguments give the same bytes, which is what checking relies on.
pub(super) fn envelope(
    digest: &[u8; 32],
    certificate: &[u8],
    signature: &[u8],
) -> der::Result<Vec<u8>> {
    let parsed = Certificate::from_der(certificate)?;
    let signer = SignerInfo {
        version: CmsVersion::V1,
        sid: SignerIdentifier::IssuerAndSerialNumber(IssuerAndSerialNumber {
            issuer: parsed.tbs_certificate().issuer().clone(),
            serial_number: parsed.tbs_certificate().serial_number().clone(),
        }),
        digest_alg: algorithm(SHA_256),
        signed_attrs: Some(attributes(digest, certificate)?),
        signature_algorithm: algorithm(ECDSA_WITH_SHA_256),
        signature: OctetString::new(signature)?,
        unsigned_attrs: None,
    };
    let message = SignedData {
        version: CmsVersion::V1,
        digest_algorithms: SetOfVec::try_from(vec![algorithm(SHA_256)])?,
        encap_content_info: EncapsulatedContentInfo { econtent_type: ID_DATA, econtent: None },
        certificates: Some(CertificateSet::try_from(vec![CertificateChoices::Certificate(
            parsed,
        )])?),
        crls: None,
        signer_infos: SignerInfos::try_from(vec![signer])?,
    };
    ContentInfo { content_type: ID_SIGNED_DATA, content: Any::encode_from(&message)? }.to_der()
}

/// What a message holds, read from the start of a hole.
pub(super) struct Opened {
    /// How many bytes the message takes; the rest of the hole is padding.
    pub(super) length: usize,
    pub(super) certificate: Vec<u8>,
    pub(super) signature: Vec<u8>,
}

/// Reads certificate and signature of a message with one of each.
pub(super) fn open(hole: &[u8]) -> der::Result<Option<Opened>> {
    let mut reader = SliceReader::new(hole)?;
    let outer = ContentInfo::decode(&mut reader)?;
    let length = u32::from(reader.position()) as usize;
    let message: SignedData = outer.content.decode_as()?;
    let certificates = message.certificates.unwrap_or(CertificateSet(SetOfVec::new()));
    let (mut certificates, mut signers) = (certificates.0.iter(), message.signer_infos.0.iter());
    let one_of_each = (certificates.next(), signers.next(), certificates.next(), signers.next());
    let (Some(CertificateChoices::Certificate(certificate)), Some(signer), None, None) =
        one_of_each
    else {
        return Ok(None);
    };
    Ok(Some(Opened {
        length,
        certificate: certificate.to_der()?,
        signature: signer.signature.as_bytes().to_vec(),
    }))
}

fn algorithm(oid: ObjectIdentifier) -> AlgorithmIdentifierOwned {
    AlgorithmIdentifierOwned { oid, parameters: None }
}

fn attributes(digest: &[u8; 32], certificate: &[u8]) -> der::Result<Attributes> {
    let mut named = SIGNING_CERTIFICATE_HEAD.to_vec();
    named.extend_from_slice(&Sha256::digest(certificate));
    SetOfVec::try_from(vec![
        attribute(CONTENT_TYPE, Any::encode_from(&ID_DATA)?)?,
        attribute(MESSAGE_DIGEST, Any::encode_from(&OctetString::new(digest.as_slice())?)?)?,
        attribute(SIGNING_CERTIFICATE_V2, Any::from_der(&named)?)?,
    ])
}

fn attribute(oid: ObjectIdentifier, value: Any) -> der::Result<Attribute> {
    Ok(Attribute { oid, values: SetOfVec::try_from(vec![value])? })
}
