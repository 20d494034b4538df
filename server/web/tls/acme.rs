//! A certificate that an authority gives by itself (ACME, RFC 8555). It looks whether the name is ours
//! by connecting to port 443 (TLS-ALPN-01, RFC 8737), so that no other port need be open.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use instant_acme::{
    Account, AccountCredentials, AuthorizationStatus, ChallengeType, Error, Identifier, NewAccount,
    NewOrder, Order, OrderStatus, RetryPolicy,
};
use rcgen::{CertificateParams, CustomExtension, KeyPair};
use rustls::crypto::ring;
use rustls::pki_types::{PrivateKeyDer, PrivatePkcs8KeyDer};
use rustls::sign::CertifiedKey;

use super::certificate::{Certificate, CertificateFault, Places};
use super::kept::{ACCOUNT, CERTIFICATE, Kept};
use super::{Shown, complain, note};
use crate::domain::ids::Moment;
use crate::domain::seal::{hex, sha256};
use crate::world::Clock;

/// How often it is looked whether the certificate is due; a machine may sleep meanwhile.
const LOOK_EVERY: Duration = Duration::from_hours(1);
/// A whole order; an authority that takes longer is asked again later.
const ORDER_WITHIN: Duration = Duration::from_mins(5);
/// How long the authority may take for one step of an order.
const STEP_WITHIN: Duration = Duration::from_secs(90);
/// After a failed order, then after the next, …; the last for all that follow. Authorities count
/// failures and lock those out who ask too often.
const TRY_AGAIN_MINUTES: [u64; 4] = [1, 10, 100, 720];
/// What an authority says of an account it does not know (any more).
const NO_ACCOUNT: &str = "urn:ietf:params:acme:error:accountDoesNotExist";

/// What is wanted from which authority.
#[derive(Debug, Clone)]
pub struct Wanted {
    pub host: String,
    /// `mailto:…`
    pub contact: String,
    /// Address of the authority's directory.
    pub directory: String,
    /// The root that the authority's own address is checked with, where it is a private one.
    pub root: Option<PathBuf>,
}

/// Why there is no certificate from the authority.
#[derive(Debug, thiserror::Error)]
pub enum AcmeFault {
    #[error("{} cannot be kept ({why}). Give the server's account write access to it.", file.display())]
    Unkept { file: PathBuf, why: std::io::Error },
    #[error(
        "{} cannot be used as the root of the certificate authority ({why}). It must hold one \
         certificate in PEM.",
        file.display()
    )]
    Root { file: PathBuf, why: String },
    #[error("The certificate authority at {directory} gave no certificate for {host}: {why}.")]
    Refused { directory: String, host: String, why: String },
    #[error("The certificate authority at {0} did not finish within {ORDER_WITHIN:?}.")]
    Slow(String),
    #[error("What the certificate authority gave does not fit: {0}")]
    Unfit(#[from] CertificateFault),
}

/// Gets a certificate, keeps it, and renews it in time.
pub struct Acme {
    wanted: Wanted,
    kept: Kept,
    shown: Arc<Shown>,
    clock: Clock,
}

impl Acme {
    /// Shows what is kept below the folder from before. Each directory and contact has a place of
    /// its own there, so that a trial directory's certificate is never taken for a real one.
    pub fn open(wanted: Wanted, folder: &Path, clock: Clock) -> Result<Self, AcmeFault> {
        if let Some(file) = &wanted.root {
            let root = Account::builder_with_root(file).map(drop);
            root.map_err(|why| AcmeFault::Root { file: file.clone(), why: why.to_string() })?;
        }
        let place = sha256(format!("{}\n{}", wanted.directory, wanted.contact).as_bytes());
        let place = folder.join(hex(place.first_chunk::<8>().unwrap_or(&[0; 8])));
        let kept = Kept::open(&place).map_err(|why| AcmeFault::Unkept { file: place, why })?;
        let acme = Self { wanted, kept, shown: Arc::new(Shown::default()), clock };
        if let Some(pem) = acme.read(CERTIFICATE)? {
            match acme.understand(&pem) {
                Ok(certificate) => acme.shown.show(certificate),
                // Another host, or damaged: a new one is ordered.
                Err(why) => tracing::warn!("{why} A new one is ordered."),
            }
        }
        Ok(acme)
    }

    pub fn shown(&self) -> Arc<Shown> {
        Arc::clone(&self.shown)
    }

    /// Whether a certificate should be ordered: there is none, or two thirds of its time are over.
    pub fn is_due(&self) -> bool {
        let now = self.clock.now();
        self.shown.certificate().is_none_or(|shown| {
            let left = shown.ends.0 - now.0;
            left < (shown.ends.0 - shown.begins.0) / 3
        })
    }

    /// Orders whenever it is due, without end. What fails is told to the log and tried again.
    pub async fn keep(self) {
        let mut failures = 0;
        loop {
            if !self.is_due() {
                tokio::time::sleep(LOOK_EVERY).await;
                continue;
            }
            let obtained = self.obtain().await;
            failures = if obtained.is_ok() { 0 } else { failures + 1 };
            tokio::time::sleep(self.tell(obtained, failures)).await;
        }
    }

    /// Tells the log how an order went, and how long to wait until the next look.
    fn tell(&self, obtained: Result<Moment, AcmeFault>, failures: usize) -> Duration {
        match obtained {
            Ok(ends) => {
                let (host, ends) = (&self.wanted.host, ends.date());
                note(&format!("The certificate for {host} was obtained; it ends on {ends}."));
                LOOK_EVERY
            }
            Err(fault) => {
                let minutes = try_again_minutes(failures);
                complain(&format!("{fault} The next try is in {minutes} min."));
                Duration::from_mins(minutes)
            }
        }
    }

    /// Orders a certificate, keeps it and shows it; says when it ends.
    pub async fn obtain(&self) -> Result<Moment, AcmeFault> {
        let slow = |_| AcmeFault::Slow(self.wanted.directory.clone());
        let pem = tokio::time::timeout(ORDER_WITHIN, self.order()).await.map_err(slow)??;
        let certificate = self.understand(pem.as_bytes())?;
        let ends = certificate.ends;
        self.write(CERTIFICATE, pem.as_bytes())?;
        self.shown.show(certificate);
        Ok(ends)
    }

    /// One order, from the account to key and chain.
    async fn order(&self) -> Result<String, AcmeFault> {
        let account = self.account().await?;
        let names = [Identifier::Dns(self.wanted.host.clone())];
        let ordered = account.new_order(&NewOrder::new(&names)).await;
        let mut order = ordered.map_err(|why| self.refused(&why))?;
        self.prove(&mut order).await?;
        let retries = RetryPolicy::default().timeout(STEP_WITHIN);
        let key = order.finalize().await.map_err(|why| self.refused(&why))?;
        let chain = order.poll_certificate(&retries).await.map_err(|why| self.refused(&why))?;
        Ok(format!("{key}{chain}"))
    }

    /// Shows the authority what it asked for, until it has seen it.
    async fn prove(&self, order: &mut Order) -> Result<(), AcmeFault> {
        let mut proving = None;
        let mut authorizations = order.authorizations();
        while let Some(authorization) = authorizations.next().await {
            let mut authorization = authorization.map_err(|why| self.refused(&why))?;
            if authorization.status == AuthorizationStatus::Valid {
                continue;
            }
            let Some(mut challenge) = authorization.challenge(ChallengeType::TlsAlpn01) else {
                return Err(self.fault("it offers no TLS-ALPN-01 challenge"));
            };
            let answer = answer(&self.wanted.host, challenge.key_authorization().digest().as_ref());
            proving = Some(self.shown.prove(answer.map_err(|why| self.fault(why))?));
            challenge.set_ready().await.map_err(|why| self.refused(&why))?;
        }
        let retries = RetryPolicy::default().timeout(STEP_WITHIN);
        let status = order.poll_ready(&retries).await.map_err(|why| self.refused(&why))?;
        drop(proving);
        if status == OrderStatus::Ready {
            return Ok(());
        }
        Err(self.fault(why_not(order).await))
    }

    /// The account of before, or a new one.
    async fn account(&self) -> Result<Account, AcmeFault> {
        let builder = match &self.wanted.root {
            Some(file) => Account::builder_with_root(file),
            None => Account::builder(),
        };
        let builder = builder.map_err(|why| self.refused(&why))?;
        let known = self.read(ACCOUNT)?;
        let known = known.and_then(|text| serde_json::from_slice::<AccountCredentials>(&text).ok());
        if let Some(credentials) = known {
            return builder.from_credentials(credentials).await.map_err(|why| self.refused(&why));
        }
        let new = NewAccount {
            contact: &[&self.wanted.contact],
            terms_of_service_agreed: true,
            only_return_existing: false,
        };
        let made = builder.create(&new, self.wanted.directory.clone(), None).await;
        let (account, credentials) = made.map_err(|why| self.refused(&why))?;
        let text = serde_json::to_vec(&credentials).map_err(|why| self.fault(why))?;
        self.write(ACCOUNT, &text)?;
        Ok(account)
    }

    fn read(&self, name: &str) -> Result<Option<Vec<u8>>, AcmeFault> {
        let unkept = |why| AcmeFault::Unkept { file: self.kept.place(name), why };
        self.kept.read(name).map_err(unkept)
    }

    fn write(&self, name: &str, bytes: &[u8]) -> Result<(), AcmeFault> {
        let unkept = |why| AcmeFault::Unkept { file: self.kept.place(name), why };
        self.kept.write(name, bytes).map_err(unkept)
    }

    fn understand(&self, pem: &[u8]) -> Result<Certificate, CertificateFault> {
        let file = self.kept.place(CERTIFICATE);
        let places = Places { certificate: &file, key: &file };
        Certificate::read(pem, pem, &self.wanted.host, places)
    }

    /// An account that the authority does not know is made anew at the next try.
    fn refused(&self, why: &Error) -> AcmeFault {
        if let Error::Api(problem) = why
            && problem.r#type.as_deref() == Some(NO_ACCOUNT)
            && let Err(why) = self.kept.forget(ACCOUNT)
        {
            tracing::warn!("{} cannot be removed: {why}", self.kept.place(ACCOUNT).display());
        }
        self.fault(in_words(why))
    }

    fn fault(&self, why: impl std::fmt::Display) -> AcmeFault {
        let why = why.to_string().trim_end_matches('.').to_owned();
        let (directory, host) = (self.wanted.directory.clone(), self.wanted.host.clone());
        AcmeFault::Refused { directory, host, why }
    }
}

/// How long to wait after so many failures in a row.
pub fn try_again_minutes(failures: usize) -> u64 {
    let [.., longest] = TRY_AGAIN_MINUTES;
    TRY_AGAIN_MINUTES.get(failures.saturating_sub(1)).copied().unwrap_or(longest)
}

/// A certificate that says nothing but that we know what the authority asked (RFC 8737 section 3).
fn answer(host: &str, digest: &[u8]) -> Result<CertifiedKey, Box<dyn std::error::Error>> {
    let mut params = CertificateParams::new([host.to_owned()])?;
    params.custom_extensions = vec![CustomExtension::new_acme_identifier(digest)];
    let key = KeyPair::generate()?;
    let certificate = params.self_signed(&key)?;
    let key = PrivateKeyDer::Pkcs8(PrivatePkcs8KeyDer::from(key.serialize_der()));
    let key = ring::default_provider().key_provider.load_private_key(key)?;
    // Not `from_der`: it reads the certificate, and refuses an extension that is only for authorities.
    Ok(CertifiedKey::new(vec![certificate.der().clone()], key))
}

/// What the authority found when it looked.
async fn why_not(order: &mut Order) -> String {
    let mut authorizations = order.authorizations();
    while let Some(Ok(mut authorization)) = authorizations.next().await {
        // What is known of it dates from before it looked.
        let Ok(state) = authorization.refresh().await else { continue };
        let problem = state.challenges.iter().find_map(|challenge| challenge.error.as_ref());
        if let Some(detail) = problem.and_then(|problem| problem.detail.clone()) {
            return detail;
        }
    }
    "it did not find this server under that name".to_owned()
}

/// The innermost reason tells more than the outermost.
fn in_words(why: &Error) -> String {
    if let Error::Api(problem) = why
        && let Some(detail) = &problem.detail
    {
        return detail.clone();
    }
    let mut words = why.to_string();
    let mut inner = std::error::Error::source(why);
    while let Some(cause) = inner {
        words = format!("{words}: {cause}");
        inner = cause.source();
    }
    words
}
