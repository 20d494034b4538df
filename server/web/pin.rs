//! PINs: six digits of chance, and what is hashed in their place.
//!
//! Chosen PINs are guessed soon; issued ones leave ten guesses a chance of 1 in 100 000. Six digits are
//! too few to stand in the database by themselves, however slowly they are hashed, so what is hashed is a
//! keyed digest of them. The key lies outside of the database.

use hmac::{Hmac, KeyInit as _, Mac as _};
use sha2::Sha256;

use super::app::App;
use super::error::{WebError, ours};
use crate::domain::seal::hex;
use crate::storage::pepper::{self, Pepper};
use crate::storage::pins;
use crate::world::{NoChance, random};

pub(super) const PIN_DIGITS: usize = 6;
const PINS: u32 = 1_000_000;
/// The largest multiple of [`PINS`] that chance can give: what lies above would favour low PINs.
const FAIR: u32 = u32::MAX - u32::MAX % PINS;

/// A new PIN. All are as likely, `000000` too.
pub fn fresh() -> Result<String, NoChance> {
    loop {
        let chance = u32::from_be_bytes(random()?);
        if chance < FAIR {
            return Ok(format!("{:06}", chance % PINS));
        }
    }
}

/// A PIN mixed with the pepper, as it is handed to the slow hash.
pub fn mixed(pepper: &Pepper, pin: &str) -> Result<String, String> {
    let keyed = Hmac::<Sha256>::new_from_slice(pepper.bytes()).map_err(|why| why.to_string())?;
    Ok(hex(&keyed.chain_update(pin.as_bytes()).finalize().into_bytes()))
}

/// A PIN as it was typed: six digits, with or without a gap.
pub(super) fn read(typed: &str) -> Option<String> {
    let digits: String = typed.chars().filter(|c| !c.is_whitespace()).collect();
    let fits = digits.len() == PIN_DIGITS && digits.bytes().all(|byte| byte.is_ascii_digit());
    fits.then_some(digits)
}

/// In two groups of three, as people read it out.
pub(super) fn grouped(pin: &str) -> String {
    pin.split_at_checked(3).map_or_else(|| pin.to_owned(), |(one, two)| format!("{one} {two}"))
}

impl App {
    /// Hashes a new PIN. The first one of a key folder makes the pepper; where PINs are left from one
    /// that is gone, they are taken away, since none of them would ever be right again.
    pub(super) async fn hash_pin(&self, pin: &str) -> Result<String, WebError> {
        let pepper = if let Some(pepper) = pepper::load(self.key_folder()).await? {
            pepper
        } else {
            pins::take_all(self.store()).await?;
            pepper::append(self.key_folder(), random()?).await?
        };
        self.hash_password(mixed(&pepper, pin).map_err(ours)?).await
    }

    /// Compares, and takes as long where there is nothing to compare with.
    pub(super) async fn pin_matches(
        &self,
        pin: &str,
        stored: Option<String>,
    ) -> Result<bool, WebError> {
        let Some(pepper) = pepper::load(self.key_folder()).await? else {
            if stored.is_none() {
                return self.password_matches(pin.to_owned(), None).await;
            }
            let (file, folder) = (pepper::FILE, self.key_folder().display());
            let remedy = "put it back, or give every technician a new PIN";
            return Err(ours(format!("{folder} holds no {file}: {remedy}")));
        };
        self.password_matches(mixed(&pepper, pin).map_err(ours)?, stored).await
    }
}
