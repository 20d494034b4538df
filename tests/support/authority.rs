//! Certificates of the tests' own: a root, and what it vouches for.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use fusewright::domain::ids::Moment;
use fusewright::web::tls::Pair;
use rcgen::{
    BasicConstraints, CertificateParams, DnType, IsCa, Issuer, KeyPair, PublicKeyData,
    SignatureAlgorithm,
};
use rustls::crypto::ring;
use rustls::pki_types::CertificateDer;
use rustls::{ClientConfig, RootCertStore};

use super::MORNING;

/// A root and its key.
pub(crate) struct Authority {
    issuer: Issuer<'static, KeyPair>,
    root: CertificateDer<'static>,
    pub(crate) root_pem: String,
}

/// A certificate and its key, both PEM.
pub(crate) struct Issued {
    pub(crate) chain: String,
    pub(crate) key: String,
}

impl Issued {
    /// Puts both where a server may read them.
    pub(crate) fn lay_into(&self, folder: &Path) -> Pair {
        let pair = pair_in(folder);
        std::fs::write(&pair.certificate, &self.chain).unwrap();
        std::fs::write(&pair.key, &self.key).unwrap();
        pair
    }
}

pub(crate) fn pair_in(folder: &Path) -> Pair {
    Pair { certificate: folder.join("chain.pem"), key: folder.join("key.pem") }
}

impl Authority {
    pub(crate) fn new(name: &str) -> Self {
        let mut params = CertificateParams::default();
        params.distinguished_name.push(DnType::CommonName, name);
        params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
        let key = KeyPair::generate().unwrap();
        let certificate = params.self_signed(&key).unwrap();
        let (root, root_pem) = (certificate.der().clone(), certificate.pem());
        Self { issuer: Issuer::new(params, key), root, root_pem }
    }

    /// A certificate from some days before to some days after the tests' morning.
    pub(crate) fn issue_for(&self, names: &[&str], days: std::ops::Range<i64>) -> Issued {
        let key = KeyPair::generate().unwrap();
        let chain = self.vouch_for(names, &key, MORNING, days);
        Issued { chain, key: key.serialize_pem() }
    }

    /// A certificate for somebody's key, from some days before to some days after a moment.
    pub(crate) fn vouch_for(
        &self,
        names: &[&str],
        key: &impl PublicKeyData,
        now: Moment,
        days: std::ops::Range<i64>,
    ) -> String {
        let names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
        let mut params = CertificateParams::new(names).unwrap();
        params.not_before = now.plus_days(days.start).utc();
        params.not_after = now.plus_days(days.end).utc();
        params.signed_by(key, &self.issuer).unwrap().pem()
    }

    /// A certificate that is good by the machine's clock.
    pub(crate) fn issue_now(&self, names: &[&str]) -> Issued {
        let now = fusewright::world::Clock::system().now();
        let key = KeyPair::generate().unwrap();
        let chain = self.vouch_for(names, &key, now, -1..60);
        Issued { chain, key: key.serialize_pem() }
    }

    /// A client that trusts this root and nothing else.
    pub(crate) fn trusted(&self) -> ClientConfig {
        let mut roots = RootCertStore::empty();
        roots.add(self.root.clone()).unwrap();
        client_config(roots)
    }

    /// A browser that trusts this root, and finds the name at the address.
    pub(crate) fn browser(&self, host: &str, at: std::net::SocketAddr) -> reqwest::ClientBuilder {
        let mut config = self.trusted();
        config.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
        reqwest::Client::builder().tls_backend_preconfigured(config).resolve(host, at)
    }
}

pub(crate) fn client_config(roots: RootCertStore) -> ClientConfig {
    ClientConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_root_certificates(roots)
        .with_no_client_auth()
}

/// Somebody's public key as a request for a certificate has it: a point on P-256.
pub(crate) struct Point(pub(crate) Vec<u8>);

impl PublicKeyData for Point {
    fn der_bytes(&self) -> &[u8] {
        &self.0
    }

    fn algorithm(&self) -> &'static SignatureAlgorithm {
        &rcgen::PKCS_ECDSA_P256_SHA256
    }
}

/// Where a root lies as a file.
pub(crate) fn root_file(authority: &Authority, folder: &Path) -> PathBuf {
    let file = folder.join("root.pem");
    std::fs::write(&file, &authority.root_pem).unwrap();
    file
}
