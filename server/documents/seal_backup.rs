//! The seal in one file under a passphrase: the key as encrypted PKCS#8 (scrypt, AES-256), the certificate beside
//! it, both PEM, so that `openssl pkey` opens it too. The salt is drawn from the machine.

use p256::ecdsa::SigningKey;
use pkcs8::{DecodePrivateKey, EncodePrivateKey, LineEnding};
use thiserror::Error;
use x509_cert::Certificate;

use super::sign::{SealError, SealKey};

/// Shorter ones are guessed.
pub const PASSPHRASE_CHARS_MIN: usize = 12;

const CERTIFICATE: &str = "-----BEGIN CERTIFICATE-----";

/// Why a copy cannot be made or opened.
#[derive(Debug, Error)]
pub enum BackupError {
    #[error(
        "The passphrase has to have at least {PASSPHRASE_CHARS_MIN} characters: four words that belong to nobody, for instance."
    )]
    Short,
    #[error("The copy does not open: the passphrase is another one, or the file was changed.")]
    Locked,
    #[error("This is no copy of a seal: it has to hold an encrypted key and its certificate.")]
    Form,
    #[error(transparent)]
    Seal(#[from] SealError),
}

/// The key, encrypted, and its certificate.
pub fn lock(seal: &SealKey, passphrase: &str) -> Result<String, BackupError> {
    if passphrase.chars().count() < PASSPHRASE_CHARS_MIN {
        return Err(BackupError::Short);
    }
    let key = seal.key.to_pkcs8_encrypted_pem(passphrase, LineEnding::LF);
    let key = key.map_err(SealError::from)?;
    Ok(format!("{}{}", key.as_str(), seal.certificate_pem()?))
}

/// What was locked, if the passphrase is the same and both parts belong together.
pub fn unlock(copy: &str, passphrase: &str) -> Result<SealKey, BackupError> {
    let at = copy.find(CERTIFICATE).ok_or(BackupError::Form)?;
    let (key, certificate) = copy.split_at_checked(at).ok_or(BackupError::Form)?;
    let certificates = Certificate::load_pem_chain(certificate.as_bytes());
    let certificates = certificates.map_err(|_| BackupError::Form)?;
    let key = SigningKey::from_pkcs8_encrypted_pem(key.trim(), passphrase);
    Ok(SealKey::join(key.map_err(|_| BackupError::Locked)?, certificates)?)
}
