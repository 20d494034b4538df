//! A certificate with its key, as files give them, and what is wrong with them in words.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use der::Decode as _;
use rustls::client::verify_server_name;
use rustls::crypto::ring;
use rustls::pki_types::pem::PemObject as _;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, ServerName};
use rustls::server::ParsedCertificate;
use rustls::sign::CertifiedKey;
use rustls::{Error, InconsistentKeys};
use x509_cert::ext::pkix::SubjectAltName;
use x509_cert::ext::pkix::name::GeneralName;

use crate::domain::ids::Moment;

/// A certificate that ends this soon is spoken of each day.
const ENDS_SOON_DAYS: i64 = 14;
const DAY_MS: i64 = 86_400_000;

/// A certificate that fits its key and the host.
#[derive(Debug)]
pub struct Certificate {
    pub(super) key: Arc<CertifiedKey>,
    pub begins: Moment,
    pub ends: Moment,
}

/// Why a certificate is not shown.
#[derive(Debug, thiserror::Error)]
pub enum CertificateFault {
    #[error(
        "{} cannot be read ({why}). Correct its name, or give the server's account read access to it.",
        file.display()
    )]
    Unread { file: PathBuf, why: std::io::Error },
    #[error(
        "{} holds no certificate. It must hold PEM (BEGIN CERTIFICATE): the server's own first, \
         then those between it and the root.",
        .0.display()
    )]
    NoCertificate(PathBuf),
    #[error(
        "{} holds no private key. It must hold PEM (BEGIN PRIVATE KEY, EC PRIVATE KEY or RSA \
         PRIVATE KEY) without a password.",
        .0.display()
    )]
    NoKey(PathBuf),
    #[error(
        "The key in {} does not belong to the certificate in {}. Name the two that were made \
         together.",
        key.display(),
        certificate.display()
    )]
    Mismatch { certificate: PathBuf, key: PathBuf },
    #[error(
        "The certificate in {} is for {names}, but people type {host}: browsers would refuse it. \
         Get one for {host}, or correct --origin.",
        file.display()
    )]
    Name { file: PathBuf, names: String, host: String },
    #[error("{} cannot be used ({why}). Get a new one.", file.display())]
    Unusable { file: PathBuf, why: String },
    #[error(
        "The certificate in {} ended on {}. Put a renewed one in its place.",
        file.display(),
        ended.date()
    )]
    Ended { file: PathBuf, ended: Moment },
}

/// Where a certificate and its key were read from, for what is said about them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Places<'a> {
    pub(super) certificate: &'a Path,
    pub(super) key: &'a Path,
}

impl Certificate {
    /// Reads a chain and its key (PKCS#8, SEC1 or PKCS#1), both PEM, and holds them against each
    /// other and against the host.
    pub(super) fn read(
        chain: &[u8],
        key: &[u8],
        host: &str,
        places: Places<'_>,
    ) -> Result<Self, CertificateFault> {
        let file = places.certificate;
        let unusable = |file: &Path, why: &dyn std::fmt::Display| CertificateFault::Unusable {
            file: file.to_owned(),
            why: why.to_string(),
        };
        let chain = CertificateDer::pem_slice_iter(chain)
            .collect::<Result<Vec<_>, _>>()
            .map_err(|why| unusable(file, &why))?;
        let Some(own) = chain.first().cloned() else {
            return Err(CertificateFault::NoCertificate(file.to_owned()));
        };
        let (begins, ends) = validity(&own).map_err(|why| unusable(file, &why))?;
        check_name(&own, host, file)?;
        let key = PrivateKeyDer::from_pem_slice(key)
            .map_err(|_| CertificateFault::NoKey(places.key.to_owned()))?;
        let key = CertifiedKey::from_der(chain, key, &ring::default_provider());
        let key = key.map_err(|why| match why {
            Error::InconsistentKeys(InconsistentKeys::KeyMismatch) => CertificateFault::Mismatch {
                certificate: file.to_owned(),
                key: places.key.to_owned(),
            },
            why => unusable(places.key, &why),
        })?;
        Ok(Self { key: Arc::new(key), begins, ends })
    }

    pub fn has_ended(&self, now: Moment) -> bool {
        now > self.ends
    }

    /// What somebody should know about its time, if anything.
    pub fn concern(&self, now: Moment) -> Option<String> {
        let (begins, ends) = (self.begins.date(), self.ends.date());
        if self.has_ended(now) {
            return Some(format!(
                "The certificate ended on {ends}, so browsers refuse this server. Renew it: the new \
                 one is taken without a restart."
            ));
        }
        if now < self.begins {
            return Some(format!(
                "The certificate begins only on {begins}, so browsers refuse this server until \
                 then. Is this machine's clock right?"
            ));
        }
        (self.ends.0 - now.0 < ENDS_SOON_DAYS * DAY_MS)
            .then(|| format!("The certificate ends on {ends} and was not renewed yet."))
    }
}

fn validity(own: &CertificateDer<'_>) -> Result<(Moment, Moment), der::Error> {
    let parsed = x509_cert::Certificate::from_der(own)?;
    let validity = parsed.tbs_certificate().validity();
    let moment = |time: x509_cert::time::Time| {
        let millis = time.to_unix_duration().as_millis();
        Moment(i64::try_from(millis).unwrap_or(i64::MAX))
    };
    Ok((moment(validity.not_before), moment(validity.not_after)))
}

/// By the rules of browsers: alternative names only, one label for a star.
fn check_name(own: &CertificateDer<'_>, host: &str, file: &Path) -> Result<(), CertificateFault> {
    let is_for_host = || -> Result<(), Error> {
        let name = ServerName::try_from(host).map_err(|why| Error::General(why.to_string()))?;
        verify_server_name(&ParsedCertificate::try_from(own)?, &name)
    };
    is_for_host().map_err(|_| CertificateFault::Name {
        file: file.to_owned(),
        names: names(own).unwrap_or_else(|| "no name at all".to_owned()),
        host: host.to_owned(),
    })
}

/// The names a certificate is for, as people write them.
fn names(own: &CertificateDer<'_>) -> Option<String> {
    let parsed = x509_cert::Certificate::from_der(own).ok()?;
    let (_, SubjectAltName(names)) = parsed.tbs_certificate().get_extension().ok()??;
    let names = names.iter().filter_map(|name| match name {
        GeneralName::DnsName(name) => Some(name.to_string()),
        GeneralName::IpAddress(bytes) => address(bytes.as_bytes()),
        _ => None,
    });
    let names: Vec<String> = names.collect();
    (!names.is_empty()).then(|| names.join(", "))
}

fn address(bytes: &[u8]) -> Option<String> {
    let four = || Some(std::net::IpAddr::from(<[u8; 4]>::try_from(bytes).ok()?));
    let sixteen = || Some(std::net::IpAddr::from(<[u8; 16]>::try_from(bytes).ok()?));
    Some(four().or_else(sixteen)?.to_string())
}
