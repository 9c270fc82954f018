//! The three ways in which bytes are sealed: with a key, to a device, and the
//! derivation of keys from keys. Nothing about what is sealed.

use super::Error;
use chacha20poly1305::aead::{Aead, Payload};
use chacha20poly1305::{KeyInit, XChaCha20Poly1305, XNonce};
use hkdf::Hkdf;
use rand_core::CryptoRng;
use sha2::Sha256;
use x25519_dalek::{PublicKey, StaticSecret};
use zeroize::Zeroizing;

/// A symmetric key, wiped from memory when dropped.
pub type Key = Zeroizing<[u8; 32]>;

/// Bytes that sealing adds: the Poly1305 tag.
pub const TAG_BYTES: usize = 16;
/// Bytes that sealing to a device adds: a public key for this one use, and the tag.
pub const BOX_BYTES: usize = 32 + TAG_BYTES;

/// HKDF-SHA256 (RFC 5869): `N` bytes from a secret, for the use that `info`
/// names. `N` is at most 8,160.
///
/// # Panics
/// Never for the lengths used here.
#[must_use]
pub fn derive<const N: usize>(secret: &[u8], salt: &[u8], info: &[u8]) -> Zeroizing<[u8; N]> {
    let mut derived = Zeroizing::new([0; N]);
    Hkdf::<Sha256>::new(Some(salt), secret)
        .expand(info, derived.as_mut())
        .expect("at most 255 blocks are asked for");
    derived
}

/// XChaCha20-Poly1305 (draft-irtf-cfrg-xchacha-03): the ciphertext with its
/// tag. A nonce must not be used twice with one key; 24 random bytes are not.
///
/// # Panics
/// Never for messages below 256 GiB.
#[must_use]
pub fn seal(key: &[u8; 32], nonce: &[u8; 24], aad: &[u8], message: &[u8]) -> Vec<u8> {
    XChaCha20Poly1305::new(key.into())
        .encrypt(&XNonce::from(*nonce), Payload { msg: message, aad })
        .expect("a message below 256 GiB")
}

/// Opens what [`seal`] made.
///
/// # Errors
/// [`Error::Damaged`] when a bit of key, nonce, `aad` or ciphertext differs.
pub fn open(
    key: &[u8; 32],
    nonce: &[u8; 24],
    aad: &[u8],
    sealed: &[u8],
) -> Result<Zeroizing<Vec<u8>>, Error> {
    XChaCha20Poly1305::new(key.into())
        .decrypt(&XNonce::from(*nonce), Payload { msg: sealed, aad })
        .map(Zeroizing::new)
        .map_err(|_| Error::Damaged)
}

/// Seals `message` so that only the holder of the receiving key opens it:
/// X25519 with a key for this one use, HKDF-SHA256, XChaCha20-Poly1305.
/// `context` says what it is for and must be the same on opening.
///
/// # Errors
/// [`Error::BadKey`] when the receiving key is a point of small order.
pub fn seal_to(
    receiving: &[u8; 32],
    context: &[u8],
    message: &[u8],
    rng: &mut impl CryptoRng,
) -> Result<Vec<u8>, Error> {
    let once = StaticSecret::from(*draw::<32>(rng));
    let sender = PublicKey::from(&once).to_bytes();
    let (key, nonce) = box_key(&once, receiving, &sender, receiving)?;
    let mut sealed = sender.to_vec();
    sealed.extend(seal(&key, &nonce, context, message));
    Ok(sealed)
}

/// Opens what [`seal_to`] made for this secret's public key.
///
/// # Errors
/// [`Error::Damaged`] when it was made for another key or context, or changed.
pub fn open_box(
    secret: &StaticSecret,
    context: &[u8],
    sealed: &[u8],
) -> Result<Zeroizing<Vec<u8>>, Error> {
    let (sender, ciphertext) = sealed.split_first_chunk::<32>().ok_or(Error::Cut)?;
    let receiving = PublicKey::from(secret).to_bytes();
    let (key, nonce) = box_key(secret, sender, sender, &receiving)?;
    open(&key, &nonce, context, ciphertext)
}

/// Key and nonce of a box. The key serves one message, so the nonce may follow
/// from the same secret.
fn box_key(
    mine: &StaticSecret,
    theirs: &[u8; 32],
    sender: &[u8; 32],
    receiver: &[u8; 32],
) -> Result<(Key, [u8; 24]), Error> {
    let shared = mine.diffie_hellman(&PublicKey::from(*theirs));
    if !shared.was_contributory() {
        return Err(Error::BadKey);
    }
    let both = [*sender, *receiver].concat();
    let derived = derive::<56>(shared.as_bytes(), &both, b"stridebook box");
    let mut key = Key::default();
    let mut nonce = [0; 24];
    key.copy_from_slice(&derived[..32]);
    nonce.copy_from_slice(&derived[32..]);
    Ok((key, nonce))
}

/// `N` random bytes.
pub fn draw<const N: usize>(rng: &mut impl CryptoRng) -> Zeroizing<[u8; N]> {
    let mut bytes = Zeroizing::new([0; N]);
    rng.fill_bytes(bytes.as_mut());
    bytes
}
