//! Sealing, signing and key derivation against the published vectors, through
//! our own functions wherever these can take a vector's input.

use chacha20poly1305::aead::{Aead, Payload};
use chacha20poly1305::{ChaCha20Poly1305, KeyInit, Nonce};
use notebook::DeviceId;
use notebook::sync::sealing::{derive, open, seal};
use notebook::sync::words::Words;
use notebook::sync::{DeviceSecret, Error, Hash, Role};

/// The plaintext that RFC 8439 and the XChaCha draft share.
const SUNSCREEN: &[u8] = b"Ladies and Gentlemen of the class of '99: If I could offer you only \
    one tip for the future, sunscreen would be it.";

fn hex(text: &str) -> Vec<u8> {
    let digits: String = text.split_whitespace().collect();
    let byte = |at| u8::from_str_radix(&digits[at..at + 2], 16).expect("hexadecimal");
    (0..digits.len()).step_by(2).map(byte).collect()
}

fn bytes<const N: usize>(text: &str) -> [u8; N] {
    hex(text).try_into().expect("the right length")
}

fn counting_from<const N: usize>(first: u8) -> [u8; N] {
    std::array::from_fn(|n| first + u8::try_from(n).expect("short"))
}

/// FIPS 180-4, example of one block: "abc".
#[test]
fn sha_256_of_abc() {
    let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(Hash::of(b"abc").to_string(), expected);
}

/// RFC 8439, 2.8.2. Our own sealing has the longer nonce of XChaCha, so this
/// one checks the crate beneath it.
#[test]
fn chacha20_poly1305_of_rfc_8439() {
    let sealed = hex(
        "d31a8d34648e60db7b86afbc53ef7ec2a4aded51296e08fea9e2b5a736ee62d6
         3dbea45e8ca9671282fafb69da92728b1a71de0a9e060b2905d6a5b67ecd3b36
         92ddbd7f2d778b8c9803aee328091b58fab324e4fad675945585808b4831d7bc
         3ff4def08e4b7a9de576d26586cec64b6116 1ae10b594f09e26a7e902ecbd0600691",
    );
    let aad = hex("50515253c0c1c2c3c4c5c6c7");
    let nonce = Nonce::from(bytes::<12>("070000004041424344454647"));
    let cipher = ChaCha20Poly1305::new(&counting_from::<32>(0x80).into());
    let message = Payload {
        msg: SUNSCREEN,
        aad: &aad,
    };
    assert_eq!(cipher.encrypt(&nonce, message).unwrap(), sealed);
}

/// draft-irtf-cfrg-xchacha-03, A.3.1.
#[test]
fn our_seal_is_the_xchacha20_poly1305_of_the_draft() {
    let expected = hex(
        "bd6d179d3e83d43b9576579493c0e939572a1700252bfaccbed2902c21396cbb
         731c7f1b0b4aa6440bf3a82f4eda7e39ae64c6708c54c216cb96b72e1213b452
         2f8c9ba40db5d945b11b69b982c1bb9e3f3fac2bc369488f76b2383565d3fff9
         21f9664c97637da9768812f615c68b13b52e c0875924c1c7987947deafd8780acf49",
    );
    let key = counting_from::<32>(0x80);
    let nonce = counting_from::<24>(0x40);
    let aad = hex("50515253c0c1c2c3c4c5c6c7");
    assert_eq!(seal(&key, &nonce, &aad, SUNSCREEN), expected);
    assert_eq!(*open(&key, &nonce, &aad, &expected).unwrap(), SUNSCREEN);
    for bit in 0..expected.len() * 8 {
        let mut flipped = expected.clone();
        flipped[bit / 8] ^= 1 << (bit % 8);
        assert_eq!(open(&key, &nonce, &aad, &flipped), Err(Error::Damaged));
    }
}

/// RFC 5869, appendix A, test cases 1 to 3 (SHA-256).
#[test]
fn our_derivation_is_hkdf_of_rfc_5869() {
    let first = derive::<42>(
        &[0x0b; 22],
        &counting_from::<13>(0),
        &counting_from::<10>(0xf0),
    );
    let expected = bytes(
        "3cb25f25faacd57a90434f64d0362f2a2d2d0a90cf1a5a4c5db02d56ecc4c5bf34007208d5b887185865",
    );
    assert_eq!(*first, expected);
    let second = derive::<82>(
        &counting_from::<80>(0),
        &counting_from::<80>(0x60),
        &counting_from::<80>(0xb0),
    );
    let expected = bytes(
        "b11e398dc80327a1c8e7f78c596a49344f012eda2d4efad8a050cc4c19afa97c
         59045a99cac7827271cb41c65e590e09da3275600c2f09b8367793a9aca3db71
         cc30c58179ec3e87c14c01d5c1f3434f1d87",
    );
    assert_eq!(*second, expected);
    let third = derive::<42>(&[0x0b; 22], &[], &[]);
    let expected = bytes(
        "8da4e775a563c18f715f802a063c5a31b8a11f5c5ee1879ec3454e5f3c738d2d9d201395faa4b61a96c8",
    );
    assert_eq!(*third, expected);
}

/// A device with these secret keys.
fn device(signing: [u8; 32], receiving: [u8; 32]) -> DeviceSecret {
    let mut keys = [0; 64];
    keys[..32].copy_from_slice(&signing);
    keys[32..].copy_from_slice(&receiving);
    DeviceSecret::from_bytes(DeviceId::from_bytes([1; 16]), &keys)
}

/// RFC 8032, 7.1, tests 1 to 3.
#[test]
fn a_device_signs_as_rfc_8032_does() {
    let vectors = [
        (
            "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
            "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
            "",
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155
             5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
        ),
        (
            "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
            "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
            "72",
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da
             085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
        ),
        (
            "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
            "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
            "af82",
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac
             18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
        ),
    ];
    for (secret, public, message, signature) in vectors {
        let device = device(bytes(secret), [1; 32]);
        let certificate = device.certificate(Role::Coach);
        let (message, signature) = (hex(message), bytes(signature));
        assert_eq!(certificate.signing, bytes::<32>(public));
        assert_eq!(device.sign(&message), signature);
        assert_eq!(certificate.verify(&message, &signature), Ok(()));
        let other = [message, b"more".to_vec()].concat();
        assert_eq!(
            certificate.verify(&other, &signature),
            Err(Error::Signature)
        );
    }
}

/// RFC 7748, 6.1: the keys of two parties, and the secret that they share. A
/// box that is put together by hand from the published secret opens.
#[test]
fn a_box_opens_with_the_shared_secret_of_rfc_7748() {
    let one = bytes("77076d0a7318a57d3c16c17251b26645df4c2f87ebc0992ab177fba51db92c2a");
    let one_public = bytes("8520f0098930a754748b7ddcb43ef75a0dbf3a0d26381af4eba4a98eaa9b4e6a");
    let other = bytes("5dab087e624a8a4b79e17f8b83800ee66f3bb1292618b6fd1c2f8b27ff88e0eb");
    let other_public: [u8; 32] =
        bytes("de9edb7d7b7dc1b4d35b61c2ece435373f8343c85b78674dadfc7e146f882b4f");
    let shared = hex("4a5d9d5ba4ce2de1728e3bf480350f25e07e21c947d19e3376f09b3c1e161742");
    let public = |secret| device([1; 32], secret).certificate(Role::Coach).receiving;
    assert_eq!(public(one), one_public);
    assert_eq!(public(other), other_public);

    let both = [one_public, other_public].concat();
    let key_and_nonce = derive::<56>(&shared, &both, b"stridebook box");
    let (key, nonce) = key_and_nonce.split_first_chunk::<32>().unwrap();
    let ciphertext = seal(key, nonce.try_into().unwrap(), b"context", b"message");
    let sealed = [one_public.to_vec(), ciphertext].concat();
    let receiver = device([1; 32], other);
    assert_eq!(*receiver.open(b"context", &sealed).unwrap(), b"message");
    assert_eq!(receiver.open(b"other", &sealed), Err(Error::Damaged));
}

/// RFC 7748, 7: a public key of small order gives an all-zero secret, which must
/// be refused.
#[test]
fn a_box_from_a_key_of_small_order_is_refused() {
    let sealed = [vec![0; 32], vec![0; 32]].concat();
    let opened = device([1; 32], [7; 32]).open(b"context", &sealed);
    assert_eq!(opened, Err(Error::BadKey));
}

/// The English vectors of 128 bits that BIP-39 publishes (vectors.json).
#[test]
fn twelve_words_are_those_of_bip_39() {
    let vectors = [
        (
            0x00,
            "abandon abandon abandon abandon abandon abandon abandon abandon abandon abandon abandon about",
        ),
        (
            0x7f,
            "legal winner thank year wave sausage worth useful legal winner thank yellow",
        ),
        (
            0x80,
            "letter advice cage absurd amount doctor acoustic avoid letter advice cage above",
        ),
        (0xff, "zoo zoo zoo zoo zoo zoo zoo zoo zoo zoo zoo wrong"),
    ];
    for (byte, words) in vectors {
        assert_eq!(*Words::from_bytes([byte; 16]).text(), words);
        assert_eq!(
            Words::read(words).ok().map(|read| *read.as_bytes()),
            Some([byte; 16])
        );
    }
}
