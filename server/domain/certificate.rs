//! The certificate's number, its public check code, and the machine-readable record it carries.

use serde::Serialize;

use super::seal;

/// Letters and digits in the order of ISO/IEC 7064.
const ALPHABET: &[u8; 36] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
/// Crockford's base 32: no I, L, O, U, so that a code can be read aloud and typed.
const CODE_ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// Bits of the record's hash that the public check code carries.
const CODE_BITS: usize = 80;

mod fitted;
mod loaded;
mod paper_size;
mod record;
mod seal_change;
mod status_list;

pub use fitted::{KitLine, VehicleLine};
pub use loaded::LoadedLine;
pub use paper_size::PaperSize;
pub use record::{
    AcknowledgedLine, ConcessionLine, Facts, InstrumentLine, Record, StepLine, WorkLine,
};
pub use seal_change::{KEY, SealChange, SealLine, SealList};
pub use status_list::{Standing, StatusLine, StatusList};

/// A certificate number: workshop prefix, year, place in the register, check character.
///
/// The check character is ISO/IEC 7064 MOD 37,36: it finds every single wrong character and
/// nearly every swap of neighbours.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(into = "String")]
pub struct CertificateNumber {
    prefix: String,
    year: u16,
    index: u64,
}

/// Why a typed number is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NumberFault {
    #[error("A certificate number looks like AB-26-00012-X. Type it as it stands on the paper")]
    Shape,
    #[error("One character of this number is wrong. Compare it with the paper, letter by letter")]
    Check,
}

impl CertificateNumber {
    /// `prefix` is two to four capital letters, `year` the last two digits.
    pub fn new(prefix: &str, year: u16, index: u64) -> Self {
        Self { prefix: prefix.to_ascii_uppercase(), year: year % 100, index }
    }

    /// Reads a number as people type it: any case, with or without hyphens and spaces.
    pub fn parse(text: &str) -> Result<Self, NumberFault> {
        let plain: String = text
            .chars()
            .filter(|c| !matches!(c, '-' | ' '))
            .map(|c| c.to_ascii_uppercase())
            .collect();
        let letters = plain.bytes().take_while(u8::is_ascii_uppercase).count();
        let digits = plain.len().saturating_sub(letters + 1);
        if !plain.is_ascii() || !(2..=4).contains(&letters) || !(7..=14).contains(&digits) {
            return Err(NumberFault::Shape);
        }
        let (prefix, rest) = plain.split_at(letters);
        let (year, rest) = rest.split_at(2);
        let (index, _check) = rest.split_at(rest.len() - 1);
        let year = year.parse().map_err(|_| NumberFault::Shape)?;
        let index = index.parse().map_err(|_| NumberFault::Shape)?;
        let number = Self::new(prefix, year, index);
        if number.plain() == plain { Ok(number) } else { Err(NumberFault::Check) }
    }

    pub fn index(&self) -> u64 {
        self.index
    }

    /// Without hyphens, as it stands in addresses.
    pub fn plain(&self) -> String {
        let body = format!("{}{:02}{:05}", self.prefix, self.year, self.index);
        let check = check_character(&body).unwrap_or('0');
        format!("{body}{check}")
    }
}

impl std::fmt::Display for CertificateNumber {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let body = format!("{}{:02}{:05}", self.prefix, self.year, self.index);
        let check = check_character(&body).unwrap_or('0');
        write!(f, "{}-{:02}-{:05}-{check}", self.prefix, self.year, self.index)
    }
}

/// A stored number as it stands on the paper, with its hyphens.
pub fn on_paper(number: &str) -> String {
    CertificateNumber::parse(number).map_or_else(|_| number.to_owned(), |parsed| parsed.to_string())
}

impl From<CertificateNumber> for String {
    fn from(number: CertificateNumber) -> Self {
        number.to_string()
    }
}

/// The check character of ISO/IEC 7064 MOD 37,36 for capitals and digits; `None` for others.
///
/// # Example
///
/// The Global Release Identifier standard prints `A1-2425G-ABC1234002-M`.
///
/// ```
/// use fusewright::domain::certificate::check_character;
///
/// assert_eq!(check_character("A12425GABC1234002"), Some('M'));
/// ```
pub fn check_character(text: &str) -> Option<char> {
    let mut product = 36;
    for byte in text.bytes() {
        let value = ALPHABET.iter().position(|c| *c == byte)?;
        let sum = (product + value) % 36;
        product = if sum == 0 { 36 } else { sum } * 2 % 37;
    }
    ALPHABET.get((37 - product) % 36).map(|c| char::from(*c))
}

/// The public check code: the first 80 bits of the record's SHA-256, in groups of four.
pub fn check_code(record: &[u8]) -> String {
    let hash = seal::sha256(record);
    let bit = |at: usize| hash.get(at / 8).is_some_and(|byte| byte >> (7 - at % 8) & 1 == 1);
    (0..CODE_BITS / 5)
        .map(|group| (0..5).fold(0, |value, at| value * 2 + usize::from(bit(group * 5 + at))))
        .filter_map(|value| CODE_ALPHABET.get(value).map(|c| char::from(*c)))
        .collect()
}
