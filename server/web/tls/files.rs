//! A certificate that lies in files which another program renews: read at the start, and again
//! whenever they have changed.

use std::fs;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use super::certificate::{Certificate, CertificateFault, Places};
use super::{Shown, complain, note};
use crate::domain::seal::sha256;
use crate::world::Clock;

/// How often the files are looked at. A renewal is no hurry, and reading two small files costs
/// nothing; what they hold is compared, as a time of change may lie or be too coarse.
pub const LOOK_EVERY: Duration = Duration::from_mins(1);
const DAY_MS: i64 = 86_400_000;

/// The two files.
#[derive(Debug, Clone)]
pub struct Pair {
    pub certificate: PathBuf,
    pub key: PathBuf,
}

/// What a look at the files came to.
#[derive(Debug)]
pub enum Looked {
    /// Nothing has changed since the last look.
    Same,
    /// Another certificate is shown from now on.
    Taken,
    /// What lies there now cannot be used; the one of before is still shown.
    Kept(CertificateFault),
}

/// The files, and what was last seen in them.
pub struct Files {
    pair: Pair,
    host: String,
    shown: Arc<Shown>,
    clock: Clock,
    seen: [u8; 32],
    told_day: Option<i64>,
}

impl Files {
    /// Reads and shows them. What only a person can mend is refused: missing, mismatched or for
    /// another name. A certificate outside its time is shown all the same, with an error in the log:
    /// the clock of a small machine is wrong until it has asked for the time, and a renewal may come.
    pub fn open(pair: Pair, host: &str, clock: Clock) -> Result<Self, CertificateFault> {
        let shown = Arc::new(Shown::default());
        let host = host.to_owned();
        let mut files = Self { pair, host, shown, clock, seen: [0; 32], told_day: None };
        let (chain, key) = files.read()?;
        files.seen = digest(&chain, &key);
        files.shown.show(files.understand(&chain, &key)?);
        Ok(files)
    }

    pub fn shown(&self) -> Arc<Shown> {
        Arc::clone(&self.shown)
    }

    /// Looks whether they have changed, and takes what fits.
    pub fn look_again(&mut self) -> Looked {
        let read = self.read();
        let seen = match &read {
            Ok((chain, key)) => digest(chain, key),
            Err(fault) => sha256(fault.to_string().as_bytes()),
        };
        if seen == self.seen {
            return Looked::Same;
        }
        self.seen = seen;
        let renewed = read.and_then(|(chain, key)| self.understand(&chain, &key));
        match renewed.and_then(|renewed| self.is_in_time(renewed)) {
            Ok(renewed) => {
                self.shown.show(renewed);
                self.told_day = None;
                Looked::Taken
            }
            Err(fault) => Looked::Kept(fault),
        }
    }

    /// Looks again and again, and tells the log.
    pub async fn watch(mut self, every: Duration) {
        let mut timer = tokio::time::interval(every);
        loop {
            timer.tick().await;
            // Reading may wait for a disk.
            let looked = tokio::task::spawn_blocking(move || {
                self.look_and_tell();
                self
            });
            let Ok(files) = looked.await else { return };
            self = files;
        }
    }

    fn look_and_tell(&mut self) {
        match self.look_again() {
            Looked::Same => {}
            Looked::Taken => note("The certificate has changed and is taken."),
            Looked::Kept(fault) => {
                complain(&format!("{fault} Until then the certificate of before is shown."));
            }
        }
        if let Some(concern) = self.concern_of_the_day() {
            complain(&concern);
        }
    }

    /// What should be known about the time of what is shown, once a day.
    fn concern_of_the_day(&mut self) -> Option<String> {
        let now = self.clock.now();
        let today = now.0.div_euclid(DAY_MS);
        if self.told_day.replace(today) == Some(today) {
            return None;
        }
        self.shown.certificate()?.concern(now)
    }

    fn read(&self) -> Result<(Vec<u8>, Vec<u8>), CertificateFault> {
        let read = |file: &PathBuf| {
            fs::read(file).map_err(|why| CertificateFault::Unread { file: file.clone(), why })
        };
        Ok((read(&self.pair.certificate)?, read(&self.pair.key)?))
    }

    fn understand(&self, chain: &[u8], key: &[u8]) -> Result<Certificate, CertificateFault> {
        let places = Places { certificate: &self.pair.certificate, key: &self.pair.key };
        Certificate::read(chain, key, &self.host, places)
    }

    /// One that has ended is no renewal.
    fn is_in_time(&self, renewed: Certificate) -> Result<Certificate, CertificateFault> {
        if renewed.has_ended(self.clock.now()) {
            let file = self.pair.certificate.clone();
            return Err(CertificateFault::Ended { file, ended: renewed.ends });
        }
        Ok(renewed)
    }
}

/// Of both files, so that the key is not kept in memory once more.
fn digest(chain: &[u8], key: &[u8]) -> [u8; 32] {
    sha256(&[sha256(chain), sha256(key)].concat())
}
