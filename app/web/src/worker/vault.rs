//! Keys at rest: what is secret is stored sealed by a key of the browser's own
//! (WebCrypto AES-GCM) that cannot be taken out of it.

use super::error::Error;
use super::hex::Hex;
use crate::device::idb::{self, Connection};
use js_sys::{Array, Object, Reflect, Uint8Array};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{CryptoKey, SubtleCrypto};

/// The worker's store for single rows.
pub const SYNC: &str = "sync";
const WRAPPING: &str = "wrapping";
const NONCE_BYTES: usize = 12;

/// Seals and opens what is to be stored.
pub struct Vault {
    subtle: SubtleCrypto,
    key: CryptoKey,
}

impl Vault {
    /// The vault of this phone; its key is made and kept when there is none.
    ///
    /// # Errors
    /// When the browser has no WebCrypto (an address that is not secure), or
    /// the key cannot be kept.
    pub async fn open(connection: &Connection) -> Result<Self, Error> {
        let subtle = subtle()?;
        let transaction = connection.reading(&[SYNC])?;
        let row = idb::get(&transaction.object_store(SYNC)?, &WRAPPING.into()).await?;
        if let Some(row) = row {
            let key = Reflect::get(&row, &"value".into())?.dyn_into()?;
            return Ok(Self { subtle, key });
        }
        let algorithm = object(&[("name", "AES-GCM".into()), ("length", 256.into())])?;
        let uses = Array::of2(&"encrypt".into(), &"decrypt".into());
        let made = subtle.generate_key_with_object(&algorithm, false, &uses)?;
        let key: CryptoKey = JsFuture::from(made).await?.dyn_into()?;
        let row = object(&[("key", WRAPPING.into()), ("value", key.clone().into())])?;
        let transaction = connection.strict(&[SYNC])?;
        transaction.object_store(SYNC)?.add(&row)?;
        idb::complete(&transaction).await?;
        Ok(Self { subtle, key })
    }

    /// Seals a secret that is stored as `use_of`.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn seal(&self, use_of: &str, secret: &[u8]) -> Result<Hex, Error> {
        let crypto = Reflect::get(&js_sys::global(), &"crypto".into())?;
        let crypto: web_sys::Crypto = crypto.dyn_into()?;
        let mut nonce = [0; NONCE_BYTES];
        crypto.get_random_values_with_u8_array(&mut nonce)?;
        let algorithm = algorithm(&nonce, use_of)?;
        let copy = Uint8Array::from(secret);
        let sealed = self
            .subtle
            .encrypt_with_object_and_buffer_source(&algorithm, &self.key, &copy)?;
        let sealed = Uint8Array::new(&JsFuture::from(sealed).await?);
        // The copy that the browser was given.
        copy.fill(0, 0, copy.length());
        let mut bytes = nonce.to_vec();
        bytes.extend(sealed.to_vec());
        Ok(Hex(bytes))
    }

    /// Opens a secret that was stored as `use_of`.
    ///
    /// # Errors
    /// When it was sealed on another phone or as something else.
    pub async fn open_secret(&self, use_of: &str, sealed: &Hex) -> Result<Vec<u8>, Error> {
        let damaged = || Error::Notebook(notebook::sync::Error::Damaged);
        let (nonce, sealed) = sealed.0.split_at_checked(NONCE_BYTES).ok_or_else(damaged)?;
        let algorithm = algorithm(nonce, use_of)?;
        let sealed = Uint8Array::from(sealed);
        let opened = self
            .subtle
            .decrypt_with_object_and_buffer_source(&algorithm, &self.key, &sealed)?;
        let opened = JsFuture::from(opened).await.map_err(|_| damaged())?;
        let opened = Uint8Array::new(&opened);
        let secret = opened.to_vec();
        opened.fill(0, 0, opened.length());
        Ok(secret)
    }
}

fn subtle() -> Result<SubtleCrypto, Error> {
    let crypto = Reflect::get(&js_sys::global(), &"crypto".into()).unwrap_or_default();
    let subtle = Reflect::get(&crypto, &"subtle".into()).unwrap_or_default();
    // Absent, and not only useless, where the address is not secure.
    let none = |_| Error::Browser("this address is not secure (https)".to_owned());
    subtle.dyn_into().map_err(none)
}

fn algorithm(nonce: &[u8], use_of: &str) -> Result<Object, Error> {
    object(&[
        ("name", "AES-GCM".into()),
        ("iv", Uint8Array::from(nonce).into()),
        ("additionalData", Uint8Array::from(use_of.as_bytes()).into()),
    ])
}

fn object(fields: &[(&str, JsValue)]) -> Result<Object, Error> {
    let object = Object::new();
    for (name, value) in fields {
        Reflect::set(&object, &JsValue::from_str(name), value)?;
    }
    Ok(object)
}
