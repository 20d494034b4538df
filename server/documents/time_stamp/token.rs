//! Whether a token holds: one signer, who may stamp, over exactly this, and no list, attribute or certificate beside it
//! that has nothing to do with him.

use cms::cert::CertificateChoices;
use cms::content_info::{CmsVersion, ContentInfo};
use cms::signed_data::{SignedData, SignerIdentifier, SignerInfo};
use der::asn1::{Int, ObjectIdentifier, OctetString, OctetStringRef};
use der::{Any, AnyRef, Decode, Encode, Tag, Tagged};
use ring::signature::{self, UnparsedPublicKey, VerificationAlgorithm};
use sha1::Sha1;
use sha2::{Digest, Sha256, Sha384, Sha512};
use spki::AlgorithmIdentifierOwned;
use time::{Date, Month, OffsetDateTime, Time, UtcDateTime};
use x509_cert::Certificate;
use x509_cert::ext::pkix::{ExtendedKeyUsage, SubjectKeyIdentifier};

use super::super::cms_envelope::{ID_SIGNED_DATA, MESSAGE_DIGEST, SHA_256, find};
use super::super::sign::is_within_validity;
use super::{Stamp, StampError, Stated};

type Oid = ObjectIdentifier;

const ID_STATED: Oid = Oid::new_unwrap("1.2.840.113549.1.9.16.1.4");
const TIME_STAMPING: Oid = Oid::new_unwrap("1.3.6.1.5.5.7.3.8");
const CONTENT_TYPE: Oid = Oid::new_unwrap("1.2.840.113549.1.9.3");
const SIGNING_CERTIFICATE: Oid = Oid::new_unwrap("1.2.840.113549.1.9.16.2.12");
const SIGNING_CERTIFICATE_V2: Oid = Oid::new_unwrap("1.2.840.113549.1.9.16.2.47");
const SHA_384: Oid = Oid::new_unwrap("2.16.840.1.101.3.4.2.2");
const SHA_512: Oid = Oid::new_unwrap("2.16.840.1.101.3.4.2.3");
const RSA: Oid = Oid::new_unwrap("1.2.840.113549.1.1.1");
const RSA_SHA_256: Oid = Oid::new_unwrap("1.2.840.113549.1.1.11");
const RSA_SHA_384: Oid = Oid::new_unwrap("1.2.840.113549.1.1.12");
const RSA_SHA_512: Oid = Oid::new_unwrap("1.2.840.113549.1.1.13");
const ECDSA_SHA_256: Oid = Oid::new_unwrap("1.2.840.10045.4.3.2");
const ECDSA_SHA_384: Oid = Oid::new_unwrap("1.2.840.10045.4.3.3");
const P_256: Oid = Oid::new_unwrap("1.2.840.10045.3.1.7");
const P_384: Oid = Oid::new_unwrap("1.3.132.0.34");

/// What a token says of this signature, and the number it repeats.
pub(in super::super) fn check(
    token: &[u8],
    signature: &[u8],
) -> Result<(Stamp, Option<Int>), StampError> {
    let outer = ContentInfo::from_der(token)?;
    if outer.content_type != ID_SIGNED_DATA {
        return Err(StampError::Form);
    }
    let message: SignedData = outer.content.decode_as()?;
    let (signer, content) = only_signer(&message)?;
    let certificate = check_certificates(&message, signer)?;
    check_signer(signer, &content, &certificate)?;

    let stated = Stated::from_der(&content)?;
    let of_this = stated.imprint.algorithm.oid == SHA_256
        && stated.imprint.digest.as_bytes() == &Sha256::digest(signature)[..];
    if !of_this {
        return Err(StampError::Imprint);
    }
    let at = moment(&stated.at).ok_or(StampError::Form)?;
    if !may_stamp(&certificate, at) {
        return Err(StampError::Certificate);
    }
    let authority = certificate.tbs_certificate().subject().to_string();
    let fingerprint = Sha256::digest(certificate.to_der()?).into();
    Ok((Stamp { at, authority, fingerprint }, stated.nonce))
}

/// The signer and what he signed. Whatever nobody vouches for is refused: lists of revoked certificates,
/// attributes that are not signed, algorithms that are not used.
fn only_signer(message: &SignedData) -> Result<(&SignerInfo, Vec<u8>), StampError> {
    let mut signers = message.signer_infos.0.iter();
    let (Some(signer), None) = (signers.next(), signers.next()) else {
        return Err(StampError::Form);
    };
    let mut digests = message.digest_algorithms.iter();
    let (Some(digest), None) = (digests.next(), digests.next()) else {
        return Err(StampError::Form);
    };
    let version = match signer.sid {
        SignerIdentifier::IssuerAndSerialNumber(_) => CmsVersion::V1,
        SignerIdentifier::SubjectKeyIdentifier(_) => CmsVersion::V3,
    };
    let is_plain = message.crls.is_none()
        && (message.version, signer.version) == (CmsVersion::V3, version)
        && [digest, &signer.digest_alg, &signer.signature_algorithm].iter().all(|one| is_bare(one))
        && signer.unsigned_attrs.is_none()
        && digest.oid == signer.digest_alg.oid
        && message.encap_content_info.econtent_type == ID_STATED;
    let content = message.encap_content_info.econtent.as_ref();
    let content = content.filter(|_| is_plain).ok_or(StampError::Form)?;
    Ok((signer, content.decode_as::<OctetString>()?.into_bytes().to_vec()))
}

/// None of the algorithms known here takes parameters.
fn is_bare(algorithm: &AlgorithmIdentifierOwned) -> bool {
    algorithm.parameters.as_ref().is_none_or(|parameters| *parameters == Any::null())
}

/// The signer's certificate. Each other one has to vouch for it, or for one that does; a root also for itself. Of
/// an authority that sends a chain without its root, the last one's own words are vouched for by nobody here; of
/// such a certificate nothing is told.
fn check_certificates(
    message: &SignedData,
    signer: &SignerInfo,
) -> Result<Certificate, StampError> {
    let mut others = Vec::new();
    for one in message.certificates.iter().flat_map(|all| all.0.iter()) {
        let CertificateChoices::Certificate(certificate) = one else {
            return Err(StampError::Form);
        };
        others.push(certificate.clone());
    }
    let own = others.iter().position(|one| is_named(one, &signer.sid));
    let mut vouched = vec![others.remove(own.ok_or(StampError::Form)?)];
    while !others.is_empty() {
        let next = others.iter().position(|one| vouched.iter().any(|below| vouches(one, below)));
        let next = others.remove(next.ok_or(StampError::Signature)?);
        let is_root = next.tbs_certificate().issuer() == next.tbs_certificate().subject();
        if is_root && !vouches(&next, &next) {
            return Err(StampError::Signature);
        }
        vouched.push(next);
    }
    Ok(vouched.swap_remove(0))
}

fn is_named(certificate: &Certificate, sid: &SignerIdentifier) -> bool {
    let tbs = certificate.tbs_certificate();
    match sid {
        SignerIdentifier::IssuerAndSerialNumber(named) => {
            tbs.issuer() == &named.issuer && tbs.serial_number() == &named.serial_number
        }
        SignerIdentifier::SubjectKeyIdentifier(named) => tbs
            .get_extension::<SubjectKeyIdentifier>()
            .is_ok_and(|found| found.is_some_and(|(_, identifier)| identifier.0 == named.0)),
    }
}

fn vouches(issuer: &Certificate, below: &Certificate) -> bool {
    let bytes = below.tbs_certificate().to_der().ok();
    let signature = below.signature().as_bytes();
    let same = below.tbs_certificate().signature() == below.signature_algorithm()
        && below.tbs_certificate().issuer() == issuer.tbs_certificate().subject();
    bytes.zip(signature).is_some_and(|(bytes, signature)| {
        let algorithm = below.signature_algorithm().oid;
        same && holds(issuer, (algorithm, None), &bytes, signature) == Ok(())
    })
}

/// What the signer signed: kind and digest of the content, and which certificate is his.
fn check_signer(
    signer: &SignerInfo,
    content: &[u8],
    certificate: &Certificate,
) -> Result<(), StampError> {
    let attributes = signer.signed_attrs.as_ref();
    let kind = find(attributes, CONTENT_TYPE).ok_or(StampError::Form)?;
    let digest = find(attributes, MESSAGE_DIGEST).ok_or(StampError::Form)?;
    let digest: &OctetStringRef = digest.decode_as()?;
    let expected = hash(signer.digest_alg.oid, content).ok_or(StampError::Algorithm)?;
    if kind.decode_as::<ObjectIdentifier>()? != ID_STATED || digest.as_bytes() != expected {
        return Err(StampError::Signature);
    }
    if !names(signer, certificate)? {
        return Err(StampError::Certificate);
    }
    let bytes = attributes.ok_or(StampError::Form)?.to_der()?;
    let algorithm = (signer.signature_algorithm.oid, Some(signer.digest_alg.oid));
    holds(certificate, algorithm, &bytes, signer.signature.as_bytes())
}

/// Whether the first certificate that the signer names is this one: by SHA-1 in the older form, by a hash of
/// choice in the newer one.
fn names(signer: &SignerInfo, certificate: &Certificate) -> Result<bool, StampError> {
    let der = certificate.to_der()?;
    let attributes = signer.signed_attrs.as_ref();
    if let Some(named) = find(attributes, SIGNING_CERTIFICATE_V2) {
        let first = first_named(named)?;
        let (algorithm, digest) = match first.as_slice() {
            [algorithm, digest, ..] if algorithm.tag() == Tag::Sequence => {
                let algorithm = algorithm.decode_as::<AlgorithmIdentifierOwned>()?;
                (algorithm.oid, digest)
            }
            [digest, ..] => (SHA_256, digest),
            [] => return Ok(false),
        };
        let expected = hash(algorithm, &der).ok_or(StampError::Algorithm)?;
        return Ok(digest.decode_as::<&OctetStringRef>()?.as_bytes() == expected);
    }
    let named = find(attributes, SIGNING_CERTIFICATE).ok_or(StampError::Form)?;
    let first = first_named(named)?;
    let digest = first.first().ok_or(StampError::Form)?.decode_as::<&OctetStringRef>()?;
    Ok(digest.as_bytes() == &Sha1::digest(&der)[..])
}

/// The parts of the first of the named certificates.
fn first_named(named: &Any) -> Result<Vec<Any>, StampError> {
    let parts: Vec<Any> = named.decode_as()?;
    let all: Vec<Any> = parts.first().ok_or(StampError::Form)?.decode_as()?;
    Ok(all.first().ok_or(StampError::Form)?.decode_as()?)
}

fn hash(algorithm: Oid, bytes: &[u8]) -> Option<Vec<u8>> {
    match algorithm {
        SHA_256 => Some(Sha256::digest(bytes).to_vec()),
        SHA_384 => Some(Sha384::digest(bytes).to_vec()),
        SHA_512 => Some(Sha512::digest(bytes).to_vec()),
        _ => None,
    }
}

/// Whether a signature over these bytes is by this certificate's key. Where the algorithm of the signature names
/// no hash, the one beside it counts.
fn holds(
    certificate: &Certificate,
    (algorithm, digest): (Oid, Option<Oid>),
    bytes: &[u8],
    signature: &[u8],
) -> Result<(), StampError> {
    let spki = certificate.tbs_certificate().subject_public_key_info();
    let curve = spki.algorithm.parameters.as_ref().map(AnyRef::from);
    let curve = curve.and_then(|curve| curve.decode_as::<ObjectIdentifier>().ok());
    let algorithm = match (algorithm, digest) {
        (RSA, Some(SHA_256)) => RSA_SHA_256,
        (RSA, Some(SHA_384)) => RSA_SHA_384,
        (RSA, Some(SHA_512)) => RSA_SHA_512,
        (other, _) => other,
    };
    let algorithm: &'static dyn VerificationAlgorithm = match (algorithm, curve) {
        (RSA_SHA_256, _) => &signature::RSA_PKCS1_2048_8192_SHA256,
        (RSA_SHA_384, _) => &signature::RSA_PKCS1_2048_8192_SHA384,
        (RSA_SHA_512, _) => &signature::RSA_PKCS1_2048_8192_SHA512,
        (ECDSA_SHA_256, Some(P_256)) => &signature::ECDSA_P256_SHA256_ASN1,
        (ECDSA_SHA_256, Some(P_384)) => &signature::ECDSA_P384_SHA256_ASN1,
        (ECDSA_SHA_384, Some(P_256)) => &signature::ECDSA_P256_SHA384_ASN1,
        (ECDSA_SHA_384, Some(P_384)) => &signature::ECDSA_P384_SHA384_ASN1,
        _ => return Err(StampError::Algorithm),
    };
    let key = UnparsedPublicKey::new(algorithm, spki.subject_public_key.raw_bytes());
    key.verify(bytes, signature).map_err(|_| StampError::Signature)
}

/// Whether a certificate is meant for time stamps alone, as RFC 3161 asks for, and held at the time.
fn may_stamp(certificate: &Certificate, at: OffsetDateTime) -> bool {
    let usage = certificate.tbs_certificate().get_extension::<ExtendedKeyUsage>();
    let meant = matches!(usage, Ok(Some((true, usage))) if usage.0 == [TIME_STAMPING]);
    meant && is_within_validity(certificate, at)
}

/// `20261120153210Z`, or with a fraction of the second.
fn moment(text: &Any) -> Option<OffsetDateTime> {
    let text = (text.tag() == Tag::GeneralizedTime).then(|| std::str::from_utf8(text.value()))?;
    let text = text.ok()?.strip_suffix('Z')?;
    let (whole, fraction) = text.split_once('.').unwrap_or((text, "0"));
    if whole.len() != 14 || !text.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        return None;
    }
    let part = |from: usize, to: usize| whole.get(from..to)?.parse::<u8>().ok();
    let month = Month::try_from(part(4, 6)?).ok()?;
    let date = Date::from_calendar_date(whole.get(..4)?.parse().ok()?, month, part(6, 8)?).ok()?;
    let nanos: String = fraction.chars().chain("000000000".chars()).take(9).collect();
    let time = Time::from_hms_nano(part(8, 10)?, part(10, 12)?, part(12, 14)?, nanos.parse().ok()?);
    Some(UtcDateTime::new(date, time.ok()?).into())
}
