//! HTTPS: which certificate is shown, where it comes from, and a listener that shakes hands first.

mod acme;
mod certificate;
mod files;
mod kept;
mod listener;

use std::sync::Arc;

use rustls::ServerConfig;
use rustls::crypto::ring;
use rustls::server::{ClientHello, ResolvesServerCert};
use rustls::sign::CertifiedKey;
use tokio::sync::watch;

pub use acme::{Acme, AcmeFault, Wanted, try_again_minutes};
pub use certificate::{Certificate, CertificateFault};
pub use files::{Files, LOOK_EVERY, Looked, Pair};
pub use listener::{HandshakeLimits, TlsListener};

/// What an authority names when it looks whether a name is ours (RFC 8737).
const CHALLENGE_PROTOCOL: &[u8] = b"acme-tls/1";
/// What is spoken inside, best first.
const SPOKEN: [&[u8]; 2] = [b"h2", b"http/1.1"];

/// The certificate shown to whoever connects. It is replaced while the server runs; connections that
/// are open already go on with what they were shown.
#[derive(Debug, Default)]
pub struct Shown {
    certificate: watch::Sender<Option<Arc<Certificate>>>,
    challenge: watch::Sender<Option<Arc<CertifiedKey>>>,
}

impl Shown {
    /// What is shown now; nothing before the first certificate was obtained.
    pub fn certificate(&self) -> Option<Arc<Certificate>> {
        self.certificate.borrow().clone()
    }

    /// Tells of each change.
    pub fn changes(&self) -> watch::Receiver<Option<Arc<Certificate>>> {
        self.certificate.subscribe()
    }

    /// Shows another one from now on.
    pub fn show(&self, certificate: Certificate) {
        self.certificate.send_replace(Some(Arc::new(certificate)));
    }

    /// Shows this to an authority that looks whether the name is ours, until it is dropped.
    fn prove(&self, challenge: CertifiedKey) -> Proving<'_> {
        self.challenge.send_replace(Some(Arc::new(challenge)));
        Proving(self)
    }
}

/// Shows the answer to a challenge for as long as it lives.
struct Proving<'a>(&'a Shown);

impl Drop for Proving<'_> {
    fn drop(&mut self) {
        self.0.challenge.send_replace(None);
    }
}

impl ResolvesServerCert for Shown {
    fn resolve(&self, hello: ClientHello<'_>) -> Option<Arc<CertifiedKey>> {
        if hello.alpn().is_some_and(|mut spoken| spoken.any(|one| one == CHALLENGE_PROTOCOL)) {
            return self.challenge.borrow().clone();
        }
        self.certificate.borrow().as_ref().map(|certificate| Arc::clone(&certificate.key))
    }
}

/// TLS 1.2 and 1.3 as the library means them to be, with what we speak inside.
fn server_config(shown: Arc<Shown>) -> Result<Arc<ServerConfig>, rustls::Error> {
    let mut config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()?
        .with_no_client_auth()
        .with_cert_resolver(shown);
    config.alpn_protocols = SPOKEN.iter().map(|one| one.to_vec()).collect();
    config.alpn_protocols.push(CHALLENGE_PROTOCOL.to_vec());
    Ok(Arc::new(config))
}

/// Into the log: something went as it should.
fn note(words: &str) {
    tracing::info!("{words}");
}

/// Into the log: somebody should do something.
fn complain(words: &str) {
    tracing::error!("{words}");
}
