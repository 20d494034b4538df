//! A seal from a PKCS#12 file: bought, or made by the workshop's own authority.

use der::Decode;
use p256::ecdsa::SigningKey;
use p256::pkcs8::DecodePrivateKey;
use thiserror::Error;
use time::{Date, OffsetDateTime};
use x509_cert::Certificate;
use x509_cert::ext::pkix::{KeyUsage, KeyUsages};

use super::pkcs12::{self, Pkcs12Error};
use super::sign::{SealError, SealKey, is_within_validity, moment};

/// Certificates that vouch for the seal's, at most: longer chains are in no use.
const VOUCHING_MAX: usize = 5;

/// Why a file gives no seal.
#[derive(Debug, Error)]
pub enum ImportError {
    #[error(transparent)]
    File(#[from] Pkcs12Error),
    #[error("The file holds no private key. Export the certificate together with its key.")]
    NoKey,
    #[error("The file holds several private keys. Export the one for the seal by itself.")]
    SeveralKeys,
    #[error(
        "The key in the file is not of the kind that seals here. It has to be an ECDSA key on the curve P-256 (also \
         called prime256v1 or secp256r1): order a certificate for such a key. RSA cannot be used."
    )]
    KeyKind,
    #[error("No certificate in the file belongs to its key. Export the two that belong together.")]
    NoCertificate,
    #[error("The certificate ended on {0}. Order a new one.")]
    Ended(Date),
    #[error(
        "The certificate holds only from {0} on. Import it then, or set the clock of this machine."
    )]
    NotYet(Date),
    #[error(
        "The certificate is not meant for signatures. Order one for signing documents (key usage digital signature \
         or non-repudiation)."
    )]
    Purpose,
    #[error(transparent)]
    Seal(#[from] SealError),
}

/// The seal in a file, if it can seal now.
pub fn import(file: &[u8], passphrase: &str, now: OffsetDateTime) -> Result<SealKey, ImportError> {
    let contents = pkcs12::open(file, passphrase)?;
    let key = match contents.keys.as_slice() {
        [] => return Err(ImportError::NoKey),
        [key] => SigningKey::from_pkcs8_der(key).map_err(|_| ImportError::KeyKind)?,
        _ => return Err(ImportError::SeveralKeys),
    };
    let seal = belonging(key, contents.certificates)?;
    let own = Certificate::from_der(seal.certificate_der()).map_err(SealError::from)?;
    check_time(&own, now)?;
    check_purpose(&own)?;
    Ok(seal)
}

/// The key with its certificate and those that vouch for it, one after another. A root needs no carrying: whoever
/// trusts it has it.
fn belonging(key: SigningKey, mut all: Vec<Certificate>) -> Result<SealKey, ImportError> {
    let fits = |one: &Certificate| SealKey::join(key.clone(), vec![one.clone()]).is_ok();
    let own = all.iter().position(fits).ok_or(ImportError::NoCertificate)?;
    let mut chain = vec![all.remove(own)];
    while let Some(last) = chain.last().map(Certificate::tbs_certificate)
        && chain.len() <= VOUCHING_MAX
        && last.issuer() != last.subject()
        && let Some(next) = all.iter().position(|one| {
            let one = one.tbs_certificate();
            one.subject() == last.issuer() && one.subject() != one.issuer()
        })
    {
        chain.push(all.remove(next));
    }
    Ok(SealKey::join(key, chain)?)
}

fn check_time(own: &Certificate, now: OffsetDateTime) -> Result<(), ImportError> {
    if is_within_validity(own, now) {
        return Ok(());
    }
    let validity = own.tbs_certificate().validity();
    let from = moment(validity.not_before).ok_or(SealError::Time)?;
    let until = moment(validity.not_after).ok_or(SealError::Time)?;
    Err(if now < from {
        ImportError::NotYet(from.date())
    } else {
        ImportError::Ended(until.date())
    })
}

/// A certificate that says nothing of its use may be used.
fn check_purpose(own: &Certificate) -> Result<(), ImportError> {
    let usage = own.tbs_certificate().get_extension::<KeyUsage>();
    let signs = |usage: KeyUsage| {
        usage.0.contains(KeyUsages::DigitalSignature) || usage.0.contains(KeyUsages::NonRepudiation)
    };
    match usage.map_err(SealError::from)? {
        Some((_, usage)) if !signs(usage) => Err(ImportError::Purpose),
        _ => Ok(()),
    }
}
