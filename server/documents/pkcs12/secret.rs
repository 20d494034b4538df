//! What a passphrase opens in a PKCS#12 file: PBES2 (RFC 8018), and the older ways of RFC 7292 with triple DES and
//! RC2, which are weak but which some systems still export.

use cbc::Decryptor;
use cbc::cipher::block_padding::Pkcs7;
use cbc::cipher::{BlockModeDecrypt, InnerIvInit, KeyInit, KeyIvInit};
use der::asn1::{ObjectIdentifier, OctetString};
use der::{Decode, Encode, Sequence};
use des::TdesEde3;
use hmac::{Hmac, Mac};
use pkcs8::pkcs5::EncryptionScheme;
use pkcs8::pkcs5::pbes2::Kdf;
use rc2::Rc2;
use sha1::Sha1;
use sha2::{Digest, Sha256, Sha384, Sha512};
use spki::AlgorithmIdentifierOwned;

use super::{MacData, Pkcs12Error};

/// More rounds than any tool asks for: some seconds of work.
pub(super) const ROUNDS_MAX: u32 = 10_000_000;

const PBES2: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.5.13");
const SHA1_TRIPLE_DES: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.1.3");
const SHA1_RC2_40: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.1.6");
const SHA_1: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.14.3.2.26");
const SHA_256: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.1");
const SHA_384: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.2");
const SHA_512: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.3");

#[derive(Sequence)]
struct Rounds {
    salt: OctetString,
    rounds: u32,
}

pub(super) fn decrypt(
    algorithm: &AlgorithmIdentifierOwned,
    encrypted: &[u8],
    passphrase: &str,
) -> Result<Vec<u8>, Pkcs12Error> {
    let unknown = || Pkcs12Error::Algorithm(algorithm.oid);
    if algorithm.oid == PBES2 {
        let der = algorithm.to_der()?;
        let scheme = EncryptionScheme::from_der(&der).map_err(|_| unknown())?;
        if let Some(Kdf::Pbkdf2(kdf)) = scheme.pbes2().map(|parameters| &parameters.kdf) {
            bounded(kdf.iteration_count)?;
        }
        return scheme.decrypt(passphrase, encrypted).map_err(|_| Pkcs12Error::Locked);
    }
    let parameters = algorithm.parameters.as_ref().ok_or_else(unknown)?;
    let parameters: Rounds = parameters.decode_as()?;
    let derived = |id, length| {
        let (salt, rounds) = (parameters.salt.as_bytes(), bounded(parameters.rounds)?);
        Ok::<_, Pkcs12Error>(derive::<Sha1>(passphrase, salt, (id, rounds), (64, length)))
    };
    let mut buffer = encrypted.to_vec();
    let opened = match algorithm.oid {
        SHA1_TRIPLE_DES => {
            let (key, iv) = (derived(FOR_KEY, 24)?, derived(FOR_IV, 8)?);
            let cipher = Decryptor::<TdesEde3>::new_from_slices(&key, &iv);
            let cipher = cipher.map_err(|_| Pkcs12Error::Form)?;
            cipher.decrypt_padded::<Pkcs7>(&mut buffer)
        }
        SHA1_RC2_40 => {
            let (key, iv) = (derived(FOR_KEY, 5)?, derived(FOR_IV, 8)?);
            let cipher = Rc2::new_from_slice(&key).map_err(|_| Pkcs12Error::Form)?;
            let cipher = Decryptor::<Rc2>::inner_iv_slice_init(cipher, &iv);
            let cipher = cipher.map_err(|_| Pkcs12Error::Form)?;
            cipher.decrypt_padded::<Pkcs7>(&mut buffer)
        }
        _ => return Err(unknown()),
    };
    opened.map(<[u8]>::to_vec).map_err(|_| Pkcs12Error::Locked)
}

fn bounded(rounds: u32) -> Result<u32, Pkcs12Error> {
    if rounds > ROUNDS_MAX { Err(Pkcs12Error::Rounds(rounds)) } else { Ok(rounds) }
}

/// Whether the passphrase is the one that the file was closed with, and nothing in it was changed.
pub(super) fn mac_fits(mac: &MacData, safe: &[u8], passphrase: &str) -> Result<bool, Pkcs12Error> {
    let (salt, purpose) = (mac.salt.as_bytes(), (FOR_MAC, bounded(mac.rounds)?));
    let digest = mac.digest.digest.as_bytes();
    Ok(match mac.digest.algorithm.oid {
        SHA_1 => {
            fits::<Hmac<Sha1>>(&derive::<Sha1>(passphrase, salt, purpose, (64, 20)), safe, digest)
        }
        SHA_256 => fits::<Hmac<Sha256>>(
            &derive::<Sha256>(passphrase, salt, purpose, (64, 32)),
            safe,
            digest,
        ),
        SHA_384 => fits::<Hmac<Sha384>>(
            &derive::<Sha384>(passphrase, salt, purpose, (128, 48)),
            safe,
            digest,
        ),
        SHA_512 => fits::<Hmac<Sha512>>(
            &derive::<Sha512>(passphrase, salt, purpose, (128, 64)),
            safe,
            digest,
        ),
        other => return Err(Pkcs12Error::Algorithm(other)),
    })
}

fn fits<M: Mac + KeyInit>(key: &[u8], bytes: &[u8], digest: &[u8]) -> bool {
    let mac = <M as KeyInit>::new_from_slice(key);
    mac.is_ok_and(|mac| mac.chain_update(bytes).verify_slice(digest).is_ok())
}

// What bytes are derived for, RFC 7292 appendix B.3.
const FOR_KEY: u8 = 1;
const FOR_IV: u8 = 2;
const FOR_MAC: u8 = 3;

/// RFC 7292 appendix B.2: so many bytes from a passphrase, with a hash that takes blocks of `block` bytes.
fn derive<D: Digest>(
    passphrase: &str,
    salt: &[u8],
    (id, rounds): (u8, u32),
    (block, length): (usize, usize),
) -> Vec<u8> {
    let units = passphrase.encode_utf16().chain([0]);
    let passphrase: Vec<u8> = units.flat_map(u16::to_be_bytes).collect();
    let filled = |bytes: &[u8]| -> Vec<u8> {
        let whole = bytes.len().div_ceil(block) * block;
        bytes.iter().copied().cycle().take(whole).collect()
    };
    let mut input = [filled(salt), filled(&passphrase)].concat();
    let mut derived = Vec::new();
    while derived.len() < length {
        let mut hash = D::new().chain_update(vec![id; block]).chain_update(&input).finalize();
        for _ in 1..rounds {
            hash = D::digest(&hash);
        }
        let add: Vec<u8> = hash.iter().copied().cycle().take(block).collect();
        input.chunks_mut(block).for_each(|part| add_one_and(part, &add));
        derived.extend_from_slice(&hash);
    }
    derived.truncate(length);
    derived
}

/// Adds a number of the same length, and one; what does not fit is dropped.
fn add_one_and(part: &mut [u8], add: &[u8]) {
    let mut carry = 1_u16;
    for (place, more) in part.iter_mut().zip(add).rev() {
        carry += u16::from(*place) + u16::from(*more);
        let [high, low] = carry.to_be_bytes();
        *place = low;
        carry = u16::from(high);
    }
}
