//! Links of the two chains against what they have to follow on, wherever they were kept.

use super::entry::Body;
use super::seal::{Link, RegisterLine, body_commitment, entry_hash, register_hash};

/// An entry as it was found: what its hash is made of, and what stands beside that.
pub struct FoundEntry<'a> {
    pub link: Link<'a>,
    pub salt: &'a [u8; 16],
    pub body: &'a [u8],
    pub hash: &'a [u8; 32],
}

/// Checks an entry against its place and the value before it, and gives back its body.
pub fn check_entry(
    found: &FoundEntry<'_>,
    (seq, prev): (u64, &[u8; 32]),
) -> Result<Body, &'static str> {
    let link = &found.link;
    if link.seq != seq {
        return Err("an entry is missing before it");
    }
    if link.prev != prev {
        return Err("it does not follow on the entry before it");
    }
    if *link.commitment != body_commitment(found.salt, found.body) {
        return Err("its body or salt was changed");
    }
    if *found.hash != entry_hash(link) {
        return Err("its hash does not fit what stands beside it");
    }
    Body::read(found.body).map_err(|_| "its body cannot be read")
}

/// Checks a line of the register, which carries this hash, against its place and the value before it.
pub fn check_register_line(
    line: &RegisterLine<'_>,
    hash: &[u8; 32],
    (index, prev): (u64, &[u8; 32]),
) -> Result<(), &'static str> {
    if line.index != index {
        return Err("a line is missing before it");
    }
    if line.prev != prev {
        return Err("it does not follow on the line before it");
    }
    if *hash != register_hash(line) {
        return Err("its hash does not fit what stands beside it");
    }
    Ok(())
}
