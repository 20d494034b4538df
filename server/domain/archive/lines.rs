//! The two chains as lines of JSON, each with everything that its hash is made of.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::super::ids::{DeviceId, EntryId, Moment, PersonId};
use super::hex_text::Hex;

/// One entry of the job's chain.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EntryLine {
    pub seq: u64,
    pub prev: Hex<32>,
    pub entry: EntryId,
    pub device: DeviceId,
    pub person: PersonId,
    pub received_ms: Moment,
    pub salt: Hex<16>,
    pub commitment: Hex<32>,
    pub hash: Hex<32>,
    /// How far the phone's clock was ahead; a remark of the server and no part of the hash.
    pub clock_ahead_ms: Option<i64>,
    /// The body byte for byte as the device wrote it: `jq -j .body` prints what is hashed.
    pub body: String,
}

/// One line of the register.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RegisterText {
    pub index: u64,
    pub prev: Hex<32>,
    pub kind: String,
    pub number: String,
    pub record_sha256: Hex<32>,
    pub pdf_sha256: Hex<32>,
    pub time_ms: Moment,
    pub hash: Hex<32>,
}

/// Each on a line of its own.
pub fn write_lines(lines: &[impl Serialize]) -> Vec<u8> {
    let mut text = Vec::new();
    for line in lines {
        // Strings and numbers: writing them as JSON cannot fail.
        text.extend(serde_json::to_vec(line).unwrap_or_default());
        text.push(b'\n');
    }
    text
}

/// Reads at most `most` lines; the fault names the line.
pub fn read_lines<T: DeserializeOwned>(
    file: &str,
    bytes: &[u8],
    most: usize,
) -> Result<Vec<T>, String> {
    let lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
    if lines.len() > most {
        return Err(format!("{file} has more than {most} lines."));
    }
    let read = |(at, line): (usize, &&[u8])| {
        serde_json::from_slice(line)
            .map_err(|why| format!("{file}, line {}, cannot be read ({why}).", at + 1))
    };
    lines.iter().enumerate().map(read).collect()
}
