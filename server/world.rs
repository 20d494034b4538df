//! What the program takes from the world: time and chance. Everything else gets them handed in.

use std::sync::Arc;

use uuid::Uuid;

use crate::domain::ids::Moment;
use crate::domain::seal::hex;

/// Tells the time. Tests hand in their own.
#[derive(Clone)]
pub struct Clock(Arc<dyn Fn() -> Moment + Send + Sync>);

impl Clock {
    /// The machine's clock.
    pub fn system() -> Self {
        Self::from(|| {
            #[expect(clippy::disallowed_methods, reason = "the one place that asks the machine")]
            let now = time::OffsetDateTime::now_utc();
            // Milliseconds fit an i64 for the next 292 million years.
            Moment(i64::try_from(now.unix_timestamp_nanos() / 1_000_000).unwrap_or(i64::MAX))
        })
    }

    pub fn from(tell: impl Fn() -> Moment + Send + Sync + 'static) -> Self {
        Self(Arc::new(tell))
    }

    pub fn now(&self) -> Moment {
        (self.0)()
    }
}

/// The machine has no randomness to give; nothing secret can be made.
#[derive(Debug, thiserror::Error)]
#[error("The machine gives no random numbers: {0}")]
pub struct NoChance(getrandom::Error);

/// Unpredictable bytes from the machine.
pub fn random<const N: usize>() -> Result<[u8; N], NoChance> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(NoChance)?;
    Ok(bytes)
}

const SECRET_BYTES: usize = 32;
/// Hexadecimal digits of a [`secret`].
pub const SECRET_CHARS: usize = SECRET_BYTES * 2;

/// 256 bits that a browser or an address carries.
pub fn secret() -> Result<String, NoChance> {
    Ok(hex(&random::<SECRET_BYTES>()?))
}

/// Read aloud and typed without doubt: no I, L, O, U. With 32 of them each byte of chance picks one
/// as likely as any other.
const READABLE: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const CODE_CHARS: usize = 8;

/// A code that people read from one screen and type into another: 40 bits.
pub fn readable_code() -> Result<String, NoChance> {
    let chance: [u8; CODE_CHARS] = random()?;
    let pick = |byte: &u8| READABLE.get(usize::from(byte % 32)).copied().map(char::from);
    Ok(chance.iter().filter_map(pick).collect())
}

/// A new id: time first, so that ids sort by age, then chance (UUID version 7).
pub fn new_id(now: Moment) -> Result<Uuid, NoChance> {
    let millis = u64::try_from(now.0).unwrap_or(0);
    Ok(uuid::Builder::from_unix_timestamp_millis(millis, &random()?).into_uuid())
}
