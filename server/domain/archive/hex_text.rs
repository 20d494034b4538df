//! Bytes of a fixed length, written as lower-case hexadecimal and read in no other way.

use serde::{Deserialize, Serialize};

use super::super::seal::hex;

/// `N` bytes as `2·N` digits of 0-9 and a-f.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Hex<const N: usize>(pub [u8; N]);

impl<const N: usize> From<Hex<N>> for String {
    fn from(bytes: Hex<N>) -> Self {
        hex(&bytes.0)
    }
}

impl<const N: usize> TryFrom<String> for Hex<N> {
    type Error = &'static str;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        let value = |digit: u8| match digit {
            b'0'..=b'9' => Some(digit - b'0'),
            b'a'..=b'f' => Some(digit - b'a' + 10),
            _ => None,
        };
        let (pairs, left_over) = text.as_bytes().as_chunks::<2>();
        let bytes: Option<Vec<u8>> =
            pairs.iter().map(|[high, low]| Some(value(*high)? << 4 | value(*low)?)).collect();
        let bytes = bytes.filter(|_| left_over.is_empty());
        bytes
            .and_then(|bytes| bytes.try_into().ok())
            .map(Self)
            .ok_or("not a value of this length in lower-case hexadecimal")
    }
}

impl<const N: usize> std::fmt::Display for Hex<N> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&hex(&self.0))
    }
}
