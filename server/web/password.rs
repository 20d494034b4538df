//! Passwords: what one must be, and its slow hash.

use argon2::password_hash::phc::PasswordHash;
use argon2::{Algorithm, Argon2, Params, PasswordHasher as _, PasswordVerifier as _, Version};

use super::app::App;
use super::error::{WebError, ours};

/// Characters, counted as people count them.
pub(super) const PASSWORD_CHARS_MIN: usize = 15;
pub(super) const PASSWORD_CHARS_MAX: usize = 128;

/// What a password may not hold, in lower case: the first things a stranger tries.
const GUESSED_FIRST: [&str; 8] = [
    "password",
    "passphrase",
    "fusewright",
    "123456789",
    "qwertyuiop",
    "letmein",
    "workshop",
    "abcdefgh",
];

/// Work factor of the hash.
#[derive(Debug, Clone, Copy)]
pub struct Cost {
    pub memory_kib: u32,
    pub passes: u32,
}

impl Cost {
    /// 19 MiB, two passes: the middle way of the password-storage guides; some 40 ms here.
    pub const REAL: Self = Self { memory_kib: 19 * 1024, passes: 2 };
    /// For tests and demo data, where hundreds are made.
    pub const LIGHT: Self = Self { memory_kib: 8, passes: 1 };

    fn argon2(self) -> Result<Argon2<'static>, argon2::Error> {
        let params = Params::new(self.memory_kib, self.passes, 1, None)?;
        Ok(Argon2::new(Algorithm::Argon2id, Version::V0x13, params))
    }
}

/// Checks a new password; the error says what to choose instead.
pub(super) fn check(password: &str, sign_in: &str) -> Result<(), String> {
    let count = password.chars().count();
    if count < PASSWORD_CHARS_MIN {
        return Err(format!(
            "Use at least {PASSWORD_CHARS_MIN} characters: four or five words that do not belong \
             together are easy to remember and hard to guess."
        ));
    }
    if count > PASSWORD_CHARS_MAX {
        return Err(format!("Use at most {PASSWORD_CHARS_MAX} characters."));
    }
    let plain = password.to_lowercase();
    let name = sign_in.to_lowercase();
    let guessed = GUESSED_FIRST.iter().any(|word| plain.contains(word));
    if guessed || (name.chars().count() > 2 && plain.contains(&name)) {
        return Err("This holds a word that is guessed first. Choose other words.".to_owned());
    }
    let mut letters: Vec<char> = plain.chars().collect();
    letters.sort_unstable();
    letters.dedup();
    if letters.len() < 5 {
        return Err("Use more different characters.".to_owned());
    }
    Ok(())
}

/// The hash that is stored, with its salt and cost inside.
pub fn hash(password: &str, cost: Cost) -> Result<String, String> {
    let argon2 = cost.argon2().map_err(|e| e.to_string())?;
    argon2
        .hash_password(password.as_bytes())
        .map(|hash| hash.to_string())
        .map_err(|e| e.to_string())
}

fn matches(password: &str, stored: &str) -> bool {
    PasswordHash::new(stored)
        .is_ok_and(|hash| Argon2::default().verify_password(password.as_bytes(), &hash).is_ok())
}

impl App {
    /// Hashes off the request threads, at most two at once.
    pub(super) async fn hash_password(&self, password: String) -> Result<String, WebError> {
        let cost = self.hash_cost();
        let _permit = self.hashing.acquire().await.map_err(ours)?;
        let hashed = tokio::task::spawn_blocking(move || hash(&password, cost)).await;
        hashed.map_err(ours)?.map_err(ours)
    }

    /// Compares, and takes as long for a name that does not exist.
    pub(super) async fn password_matches(
        &self,
        password: String,
        stored: Option<String>,
    ) -> Result<bool, WebError> {
        let cost = self.hash_cost();
        let _permit = self.hashing.acquire().await.map_err(ours)?;
        tokio::task::spawn_blocking(move || {
            if let Some(stored) = stored {
                return matches(&password, &stored);
            }
            // The same work for nothing, so that the time does not tell which names exist.
            let _ = hash(&password, cost);
            false
        })
        .await
        .map_err(ours)
    }
}
