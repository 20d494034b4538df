//! A small certificate authority on loopback (RFC 8555 with TLS-ALPN-01, RFC 8737), as strict as the
//! tests need: nonces count once, signatures must fit, and the challenge is really looked at.

use std::collections::HashSet;
use std::net::SocketAddr;
use std::sync::{Arc, Mutex};

use axum::Router;
use axum::body::Bytes;
use axum::extract::State;
use axum::http::{Method, StatusCode, Uri};
use axum::response::{IntoResponse as _, Response};
use base64::prelude::{BASE64_URL_SAFE_NO_PAD as BASE64, Engine as _};
use der::{Decode as _, Encode as _};
use fusewright::domain::seal::sha256;
use fusewright::web::tls::{Files, HandshakeLimits, TlsListener};
use fusewright::world::Clock;
use p256::ecdsa::signature::Verifier as _;
use p256::ecdsa::{Signature, VerifyingKey};
use rustls::client::danger::{HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier};
use rustls::crypto::{CryptoProvider, ring, verify_tls13_signature_with_raw_key};
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use rustls::{ClientConfig, DigitallySignedStruct, Error, RootCertStore, SignatureScheme};
use serde_json::{Value, json};
use tempfile::TempDir;
use tokio::io::AsyncReadExt as _;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio_rustls::TlsConnector;
use x509_cert::ext::Extension;
use x509_cert::ext::pkix::SubjectAltName;
use x509_cert::ext::pkix::name::GeneralName;
use x509_cert::request::{CertReq, ExtensionReq};

use super::authority::{Authority, Point, client_config, root_file};

/// `id-pe-acmeIdentifier`, RFC 8737 section 6.1.
const ACME_IDENTIFIER: &str = "1.3.6.1.5.5.7.1.31";
const PROTOCOL: &[u8] = b"acme-tls/1";

/// What an authority makes of orders.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mood {
    Willing,
    /// Policy forbids the name.
    RefusesOrders,
    /// Offers only challenges that need another port.
    OffersHttpOnly,
    /// Knows no account that was not made since it began.
    Forgetful,
}

/// The only order at a time.
#[derive(Default)]
struct Order {
    host: String,
    is_proved: bool,
    failure: Option<String>,
    chain: Option<String>,
}

struct Inner {
    address: String,
    authority: Authority,
    mood: Mutex<Mood>,
    nonces: Mutex<HashSet<String>>,
    /// The public key of the only account at a time, as its JWK has it.
    account: Mutex<Option<(String, String)>>,
    order: Mutex<Order>,
    counts: Mutex<(usize, usize)>,
    /// Where the name leads that somebody wants a certificate for.
    leads_to: watch::Sender<Option<SocketAddr>>,
}

/// A running authority.
pub(crate) struct AcmeServer {
    folder: TempDir,
    inner: Arc<Inner>,
}

impl AcmeServer {
    pub(crate) async fn start(mood: Mood) -> Self {
        let folder = TempDir::new().unwrap();
        let authority = Authority::new("Test authority");
        root_file(&authority, folder.path());
        let pair = authority.issue_now(&["127.0.0.1"]).lay_into(folder.path());
        let shown = Files::open(pair, "127.0.0.1", Clock::system()).unwrap().shown();
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let inner = Arc::new(Inner {
            address: format!("https://{}", listener.local_addr().unwrap()),
            authority,
            mood: Mutex::new(mood),
            nonces: Mutex::default(),
            account: Mutex::default(),
            order: Mutex::default(),
            counts: Mutex::default(),
            leads_to: watch::Sender::new(None),
        });
        let listener = TlsListener::new(listener, shown, HandshakeLimits::default()).unwrap();
        let router = Router::new().fallback(answer).with_state(Arc::clone(&inner));
        tokio::spawn(async move { axum::serve(listener, router).await });
        Self { folder, inner }
    }

    pub(crate) fn directory(&self) -> String {
        format!("{}/directory", self.inner.address)
    }

    pub(crate) fn root(&self) -> std::path::PathBuf {
        self.folder.path().join("root.pem")
    }

    /// The authority whose root vouches for what it gives.
    pub(crate) fn authority(&self) -> &Authority {
        &self.inner.authority
    }

    pub(crate) fn lead_to(&self, address: SocketAddr) {
        self.inner.leads_to.send_replace(Some(address));
    }

    pub(crate) fn becomes(&self, mood: Mood) {
        if mood == Mood::Forgetful {
            *self.inner.account.lock().unwrap() = None;
        }
        *self.inner.mood.lock().unwrap() = mood;
    }

    /// How many accounts were made and how many orders were taken.
    pub(crate) fn accounts_and_orders(&self) -> (usize, usize) {
        *self.inner.counts.lock().unwrap()
    }
}

type Refusal = (StatusCode, &'static str, String);

fn refusal(kind: &'static str, detail: impl Into<String>) -> Refusal {
    (StatusCode::FORBIDDEN, kind, detail.into())
}

async fn answer(
    State(inner): State<Arc<Inner>>,
    method: Method,
    uri: Uri,
    body: Bytes,
) -> Response {
    let mut response = match inner.answer(&method, uri.path(), &body) {
        Ok(response) => response,
        Err((status, kind, detail)) => {
            let kind = format!("urn:ietf:params:acme:error:{kind}");
            (status, json!({"type": kind, "detail": detail}).to_string()).into_response()
        }
    };
    response.headers_mut().insert("replay-nonce", inner.nonce().parse().unwrap());
    response
}

impl Inner {
    fn nonce(&self) -> String {
        let nonce = BASE64.encode(fusewright::world::random::<16>().unwrap());
        self.nonces.lock().unwrap().insert(nonce.clone());
        nonce
    }

    fn at(&self, path: &str) -> String {
        format!("{}{path}", self.address)
    }

    fn answer(
        self: &Arc<Self>,
        method: &Method,
        path: &str,
        body: &[u8],
    ) -> Result<Response, Refusal> {
        match (method, path) {
            (&Method::GET, "/directory") => return Ok(self.directory()),
            (&Method::HEAD, "/new-nonce") => return Ok(StatusCode::OK.into_response()),
            (&Method::POST, _) => {}
            _ => return Err(refusal("malformed", "no such place")),
        }
        let payload = self.open(path, body)?;
        match path {
            "/new-account" => Ok(self.created("/account/1", &json!({"status": "valid"}))),
            "/new-order" => self.new_order(&payload),
            "/order/1" => Ok(self.order().to_string().into_response()),
            "/authorization/1" => Ok(self.authorization().to_string().into_response()),
            "/challenge/1" => {
                tokio::spawn(Arc::clone(self).look());
                Ok(self.challenge().to_string().into_response())
            }
            "/finalize/1" => self.finalize(&payload),
            "/certificate/1" => {
                Ok(self.order.lock().unwrap().chain.clone().unwrap().into_response())
            }
            _ => Err(refusal("malformed", "no such place")),
        }
    }

    fn directory(&self) -> Response {
        let places = json!({
            "newNonce": self.at("/new-nonce"),
            "newAccount": self.at("/new-account"),
            "newOrder": self.at("/new-order"),
        });
        places.to_string().into_response()
    }

    fn created(&self, path: &str, what: &Value) -> Response {
        (StatusCode::CREATED, [("location", self.at(path))], what.to_string()).into_response()
    }

    /// Checks a signed request (RFC 8555 section 6.2 to 6.5), and gives what is inside.
    fn open(&self, path: &str, body: &[u8]) -> Result<Value, Refusal> {
        let request: Value = serde_json::from_slice(body).unwrap();
        let text = |key: &str| request[key].as_str().unwrap();
        let protected = BASE64.decode(text("protected")).unwrap();
        let header: Value = serde_json::from_slice(&protected).unwrap();
        assert_eq!(header["alg"], "ES256");
        assert_eq!(header["url"], self.at(path));
        if !self.nonces.lock().unwrap().remove(header["nonce"].as_str().unwrap()) {
            return Err((StatusCode::BAD_REQUEST, "badNonce", "not one of ours".to_owned()));
        }
        let payload = BASE64.decode(text("payload")).unwrap();
        let payload = serde_json::from_slice(&payload).unwrap_or(Value::Null);
        let (x, y) = self.signer(path, &header, &payload)?;
        let point = [vec![4], BASE64.decode(x).unwrap(), BASE64.decode(y).unwrap()].concat();
        let key = VerifyingKey::from_sec1_bytes(&point).unwrap();
        let signed = format!("{}.{}", text("protected"), text("payload"));
        let signature = BASE64.decode(text("signature")).unwrap();
        key.verify(signed.as_bytes(), &Signature::from_slice(&signature).unwrap()).unwrap();
        Ok(payload)
    }

    fn signer(
        &self,
        path: &str,
        header: &Value,
        payload: &Value,
    ) -> Result<(String, String), Refusal> {
        let mut account = self.account.lock().unwrap();
        if path == "/new-account" {
            assert_eq!(payload["termsOfServiceAgreed"], true);
            assert_eq!(payload["contact"], json!(["mailto:desk@jobs.example"]));
            let part = |key: &str| header["jwk"][key].as_str().unwrap().to_owned();
            *account = Some((part("x"), part("y")));
            self.counts.lock().unwrap().0 += 1;
        } else {
            assert_eq!(header["kid"], self.at("/account/1"));
        }
        account.clone().ok_or_else(|| refusal("accountDoesNotExist", "no such account"))
    }

    fn new_order(&self, payload: &Value) -> Result<Response, Refusal> {
        if *self.mood.lock().unwrap() == Mood::RefusesOrders {
            return Err(refusal("rejectedIdentifier", "The policy forbids this name."));
        }
        assert_eq!(payload["identifiers"][0]["type"], "dns");
        assert_eq!(payload["identifiers"].as_array().unwrap().len(), 1);
        let host = payload["identifiers"][0]["value"].as_str().unwrap().to_owned();
        *self.order.lock().unwrap() = Order { host, ..Order::default() };
        self.counts.lock().unwrap().1 += 1;
        Ok(self.created("/order/1", &self.order()))
    }

    fn order(&self) -> Value {
        let order = self.order.lock().unwrap();
        let status = match &*order {
            Order { chain: Some(_), .. } => "valid",
            Order { is_proved: true, .. } => "ready",
            Order { failure: Some(_), .. } => "invalid",
            _ => "pending",
        };
        json!({
            "status": status,
            "authorizations": [self.at("/authorization/1")],
            "finalize": self.at("/finalize/1"),
            "certificate": self.at("/certificate/1"),
        })
    }

    fn authorization(&self) -> Value {
        let challenge = self.challenge();
        let host = self.order.lock().unwrap().host.clone();
        json!({
            "identifier": {"type": "dns", "value": host},
            "status": challenge["status"],
            "challenges": [challenge],
        })
    }

    fn challenge(&self) -> Value {
        let order = self.order.lock().unwrap();
        let kind = match *self.mood.lock().unwrap() {
            Mood::OffersHttpOnly => "http-01",
            _ => "tls-alpn-01",
        };
        let (url, token) = (self.at("/challenge/1"), token(&order.host));
        let mut challenge = json!({"type": kind, "url": url, "token": token, "status": "pending"});
        if order.is_proved {
            challenge["status"] = json!("valid");
        }
        if let Some(detail) = &order.failure {
            challenge["status"] = json!("invalid");
            let kind = "urn:ietf:params:acme:error:connection";
            challenge["error"] = json!({"type": kind, "detail": detail});
        }
        challenge
    }

    /// Looks whether the name is theirs, as soon as it leads anywhere.
    async fn look(self: Arc<Self>) {
        let host = self.order.lock().unwrap().host.clone();
        let (x, y) = self.account.lock().unwrap().clone().unwrap();
        let jwk = format!(r#"{{"crv":"P-256","kty":"EC","x":"{x}","y":"{y}"}}"#);
        let authorization = format!("{}.{}", token(&host), BASE64.encode(sha256(jwk.as_bytes())));
        let mut leads_to = self.leads_to.subscribe();
        let address = leads_to.wait_for(Option::is_some).await.unwrap().unwrap();
        let found = find_proof(address, &host, &sha256(authorization.as_bytes())).await;
        let mut order = self.order.lock().unwrap();
        order.is_proved = found.is_ok();
        order.failure = found.err();
    }

    fn finalize(&self, payload: &Value) -> Result<Response, Refusal> {
        let mut order = self.order.lock().unwrap();
        if !order.is_proved {
            return Err(refusal("orderNotReady", "Nothing is proved yet."));
        }
        let csr = BASE64.decode(payload["csr"].as_str().unwrap()).unwrap();
        let csr = CertReq::from_der(&csr).unwrap();
        assert_eq!(names_asked_for(&csr), [order.host.clone()]);
        let key = Point(csr.info.public_key.subject_public_key.raw_bytes().to_vec());
        let now = Clock::system().now();
        order.chain = Some(self.authority.vouch_for(&[&order.host], &key, now, -1..89));
        drop(order);
        Ok(self.order().to_string().into_response())
    }
}

fn token(host: &str) -> String {
    BASE64.encode(sha256(host.as_bytes()))
}

fn names(alternatives: &SubjectAltName) -> Vec<String> {
    let name = |one: &GeneralName| match one {
        GeneralName::DnsName(name) => name.to_string(),
        other => format!("{other:?}"),
    };
    alternatives.0.iter().map(name).collect()
}

fn names_asked_for(csr: &CertReq) -> Vec<String> {
    let attribute = csr.info.attributes.iter().next().unwrap();
    let value = attribute.values.iter().next().unwrap().to_der().unwrap();
    let ExtensionReq(extensions) = ExtensionReq::from_der(&value).unwrap();
    names(&SubjectAltName::from_der(extensions[0].extn_value.as_bytes()).unwrap())
}

/// What RFC 8737 section 3 asks for, or what is wrong with what was found.
async fn find_proof(address: SocketAddr, host: &str, digest: &[u8; 32]) -> Result<(), String> {
    let words = |why: &dyn std::fmt::Display| why.to_string();
    let stream = TcpStream::connect(address).await.map_err(|why| words(&why))?;
    let name = ServerName::try_from(host.to_owned()).map_err(|why| words(&why))?;
    let mut config = believing();
    config.alpn_protocols = vec![PROTOCOL.to_vec()];
    let connector = TlsConnector::from(Arc::new(config));
    let mut stream = connector.connect(name, stream).await.map_err(|why| words(&why))?;
    let session = stream.get_ref().1;
    if session.alpn_protocol() != Some(PROTOCOL) {
        return Err("another protocol was agreed on".to_owned());
    }
    let [certificate] = session.peer_certificates().unwrap() else {
        return Err("more than one certificate was shown".to_owned());
    };
    check_proof(certificate, host, digest)?;
    match stream.read(&mut [0]).await {
        Ok(0) => Ok(()),
        other => Err(format!("it went on after the handshake: {other:?}")),
    }
}

fn check_proof(certificate: &CertificateDer<'_>, host: &str, digest: &[u8]) -> Result<(), String> {
    let certificate = x509_cert::Certificate::from_der(certificate).unwrap();
    let tbs = certificate.tbs_certificate();
    let (_, alternatives) = tbs.get_extension::<SubjectAltName>().unwrap().unwrap();
    if names(&alternatives) != [host] {
        return Err(format!("it is for {:?}", names(&alternatives)));
    }
    let is_proof = |one: &&Extension| one.extn_id.to_string() == ACME_IDENTIFIER;
    let Some(proof) = tbs.extensions().unwrap().iter().find(is_proof) else {
        return Err("the extension is missing".to_owned());
    };
    let expected = [&[0x04, 0x20], digest].concat();
    if !proof.critical || proof.extn_value.as_bytes() != expected {
        return Err("the extension says something else".to_owned());
    }
    Ok(())
}

/// A client that looks at any certificate: whether it is trusted is not the question.
fn believing() -> ClientConfig {
    let mut config = client_config(RootCertStore::empty());
    let verifier = Believer(ring::default_provider());
    config.dangerous().set_certificate_verifier(Arc::new(verifier));
    config
}

#[derive(Debug)]
struct Believer(CryptoProvider);

impl ServerCertVerifier for Believer {
    fn verify_server_cert(
        &self,
        _: &CertificateDer<'_>,
        _: &[CertificateDer<'_>],
        _: &ServerName<'_>,
        _: &[u8],
        _: UnixTime,
    ) -> Result<ServerCertVerified, Error> {
        Ok(ServerCertVerified::assertion())
    }

    fn verify_tls12_signature(
        &self,
        _: &[u8],
        _: &CertificateDer<'_>,
        _: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        Err(Error::General("the newer version was not agreed on".to_owned()))
    }

    /// By the key alone: the extension is marked so that whoever does not know it refuses the rest.
    fn verify_tls13_signature(
        &self,
        message: &[u8],
        certificate: &CertificateDer<'_>,
        signed: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        let certificate = x509_cert::Certificate::from_der(certificate).unwrap();
        let key = certificate.tbs_certificate().subject_public_key_info().to_der().unwrap();
        let known = &self.0.signature_verification_algorithms;
        verify_tls13_signature_with_raw_key(message, &key.into(), signed, known)
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        self.0.signature_verification_algorithms.supported_schemes()
    }
}
