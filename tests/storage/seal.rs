//! The seal's formulas against values made without this program.

use fusewright::domain::ids::{DeviceId, EntryId, JobId, Moment, PersonId, WorkshopId};
use fusewright::domain::seal::{Link, body_commitment, entry_hash, hex, job_genesis, sha256};
use uuid::Uuid;

/// The vector of the project's written seal format; its values were made with a shell one-liner
/// over `sha256sum` that shares no code with this program.
#[test]
fn the_chain_starts_and_goes_on_as_the_format_says() {
    let job = JobId(Uuid::from_bytes(std::array::from_fn(|n| u8::try_from(n).unwrap())));
    let genesis = job_genesis(job, WorkshopId(Uuid::from_bytes([0xaa; 16])));
    assert_eq!(hex(&genesis), "ac89dfa4d8c81350db710e060d8c6162ae283fe861c7e554dce0069ced88f3e1");

    let body = br#"{"step":"m-07","torque_mNm":11800}"#;
    let commitment = body_commitment(&[4; 16], body);
    let expected = "3b7cdb8b5ad5286bee380adfbfef996ac9663a24166f0becce739b762dfb909b";
    assert_eq!(hex(&commitment), expected);

    let hash = entry_hash(&Link {
        job,
        seq: 0,
        prev: &genesis,
        entry: EntryId(Uuid::from_bytes([1; 16])),
        device: DeviceId(Uuid::from_bytes([2; 16])),
        person: PersonId(Uuid::from_bytes([3; 16])),
        received: Moment(1_764_054_000_000),
        commitment: &commitment,
    });
    assert_eq!(hex(&hash), "a77eef52ccca7483b760ac4e006ed7829efbf54d7cd8dace8a3abe4d7a096d66");
}

/// FIPS 180-4, the example of the one-block message "abc".
#[test]
fn the_digest_is_sha_256() {
    let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(hex(&sha256(b"abc")), expected);
}
