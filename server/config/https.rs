//! How the server comes to HTTPS by itself: with certificate files, or with an authority's help.

use std::net::SocketAddr;
use std::path::PathBuf;

use clap::Args;

use super::{host, is_this_machine};

/// Whose certificates every browser trusts, and who asks no money for them.
const USUAL_DIRECTORY: &str = "https://acme-v02.api.letsencrypt.org/directory";
/// Endings that no public authority gives certificates for (RFC 6761, RFC 6762, RFC 8375, and what
/// routers and the root zone leave to private use).
const PRIVATE_ENDINGS: [&str; 10] = [
    ".arpa",
    ".corp",
    ".example",
    ".home",
    ".internal",
    ".invalid",
    ".lan",
    ".local",
    ".localhost",
    ".test",
];

/// Everything that can be said about HTTPS.
#[derive(Debug, Clone, Args)]
pub struct HttpsSettings {
    /// Serve HTTPS with the certificate in this file (PEM: the server's own, then those between it
    /// and the root). It is read again when it has changed
    #[arg(long, env = "FUSEWRIGHT_TLS_CERTIFICATE", hide_env_values = true, value_name = "FILE")]
    pub tls_certificate: Option<PathBuf>,
    /// The certificate's private key (PEM, without a password)
    #[arg(long, env = "FUSEWRIGHT_TLS_KEY", hide_env_values = true, value_name = "FILE")]
    pub tls_key: Option<PathBuf>,
    /// Serve HTTPS with a certificate that is got and renewed by itself (ACME): the address that the
    /// authority may write to. Giving it agrees to the authority's terms. The authority must reach
    /// the host of --origin on port 443
    #[arg(
        long,
        env = "FUSEWRIGHT_ACME_CONTACT",
        hide_env_values = true,
        value_name = "mailto:ADDRESS"
    )]
    pub acme_contact: Option<String>,
    /// Directory of the certificate authority; Let's Encrypt if it is not given
    #[arg(long, env = "FUSEWRIGHT_ACME_DIRECTORY", hide_env_values = true, value_name = "URL")]
    pub acme_directory: Option<String>,
    /// Root (PEM) that the authority's own address is checked with, for a private authority
    #[arg(long, env = "FUSEWRIGHT_ACME_ROOT", hide_env_values = true, value_name = "FILE")]
    pub acme_root: Option<PathBuf>,
    /// Address and port where plain http is led on to the origin, for example 0.0.0.0:80
    #[arg(
        long,
        env = "FUSEWRIGHT_REDIRECT_FROM",
        hide_env_values = true,
        value_name = "ADDRESS:PORT"
    )]
    pub redirect_from: Option<SocketAddr>,
}

/// Where the certificate comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Https {
    Files { certificate: PathBuf, key: PathBuf },
    Acme { contact: String, directory: String, root: Option<PathBuf> },
}

/// What makes no sense together, as a sentence.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum HttpsFault {
    #[error("{given} needs {missing} beside it: a certificate and its key go together.")]
    HalfAPair { given: &'static str, missing: &'static str },
    #[error(
        "--tls-certificate and --acme-contact both say where the certificate comes from. Give one \
         of them."
    )]
    TwoSources,
    #[error("{0} says something about a certificate authority. It needs --acme-contact beside it.")]
    NoContact(&'static str),
    #[error(
        "HTTPS needs the address that people type, as the certificate is for its host: name it with \
         --origin https://…"
    )]
    NoOrigin,
    #[error("{option} is about HTTPS, but the origin is {origin}. Name it with https.")]
    PlainOrigin { option: &'static str, origin: String },
    #[error("The contact {0} is not an address like mailto:desk@jobs.example.")]
    Contact(String),
    #[error("The directory {0} is not an address that begins with https://.")]
    Directory(String),
    #[error(
        "The origin {0} names a port, but a certificate authority looks at port 443 and no other. \
         Leave the port out, or use --tls-certificate."
    )]
    Port(String),
    #[error(
        "No certificate authority gives a certificate for {0} by ACME. Use a name, or \
         --tls-certificate."
    )]
    NoName(String),
    #[error(
        "{0} is a name for private use, so no public authority gives a certificate for it. Name a \
         private one with --acme-directory, or use --tls-certificate."
    )]
    PrivateName(String),
}

impl HttpsSettings {
    /// What is wanted, before the origin is looked at.
    pub(super) fn source(&self) -> Result<Option<Https>, HttpsFault> {
        let half = |given, missing| Err(HttpsFault::HalfAPair { given, missing });
        let files = match (&self.tls_certificate, &self.tls_key) {
            (Some(_), None) => return half("--tls-certificate", "--tls-key"),
            (None, Some(_)) => return half("--tls-key", "--tls-certificate"),
            (Some(certificate), Some(key)) => Some((certificate.clone(), key.clone())),
            (None, None) => None,
        };
        match (files, &self.acme_contact) {
            (Some(_), Some(_)) => Err(HttpsFault::TwoSources),
            (None, Some(contact)) => self.authority(contact).map(Some),
            (files, None) => {
                self.no_authority()?;
                Ok(files.map(|(certificate, key)| Https::Files { certificate, key }))
            }
        }
    }

    fn no_authority(&self) -> Result<(), HttpsFault> {
        if self.acme_directory.is_some() {
            return Err(HttpsFault::NoContact("--acme-directory"));
        }
        if self.acme_root.is_some() {
            return Err(HttpsFault::NoContact("--acme-root"));
        }
        Ok(())
    }

    fn authority(&self, contact: &str) -> Result<Https, HttpsFault> {
        if !is_contact(contact) {
            return Err(HttpsFault::Contact(contact.to_owned()));
        }
        let directory = self.acme_directory.as_deref().unwrap_or(USUAL_DIRECTORY);
        if !directory.starts_with("https://") {
            return Err(HttpsFault::Directory(directory.to_owned()));
        }
        let (contact, directory) = (contact.to_owned(), directory.to_owned());
        Ok(Https::Acme { contact, directory, root: self.acme_root.clone() })
    }

    /// Holds what is wanted against the origin.
    pub(super) fn check(&self, source: Option<&Https>, origin: &str) -> Result<(), HttpsFault> {
        let is_plain = !origin.starts_with("https://");
        let plain = |option| HttpsFault::PlainOrigin { option, origin: origin.to_owned() };
        match source {
            Some(Https::Files { .. }) if is_plain => return Err(plain("--tls-certificate")),
            Some(Https::Acme { .. }) if is_plain => return Err(plain("--acme-contact")),
            Some(Https::Acme { .. }) => self.check_name(origin)?,
            Some(Https::Files { .. }) | None => {}
        }
        if self.redirect_from.is_some() && is_plain {
            return Err(plain("--redirect-from"));
        }
        Ok(())
    }

    /// Whether an authority can look at it, and would.
    fn check_name(&self, origin: &str) -> Result<(), HttpsFault> {
        let host = host(origin);
        if origin.strip_prefix("https://") != Some(host) && !host.contains(':') {
            return Err(HttpsFault::Port(origin.to_owned()));
        }
        if host.parse::<std::net::IpAddr>().is_ok() || is_this_machine(host) {
            return Err(HttpsFault::NoName(host.to_owned()));
        }
        let is_private =
            !host.contains('.') || PRIVATE_ENDINGS.iter().any(|ending| host.ends_with(ending));
        if is_private && self.acme_directory.is_none() {
            return Err(HttpsFault::PrivateName(host.to_owned()));
        }
        Ok(())
    }
}

/// One address, without the headers a `mailto:` might have.
fn is_contact(text: &str) -> bool {
    let Some((name, place)) = text.strip_prefix("mailto:").and_then(|to| to.split_once('@')) else {
        return false;
    };
    let plain = |part: &str| {
        !part.is_empty() && !part.contains(|c: char| c.is_whitespace() || "@,?;<>".contains(c))
    };
    plain(name) && plain(place)
}
