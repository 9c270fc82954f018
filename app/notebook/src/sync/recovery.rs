//! The recovery sheet: twelve words on paper that are a member of the notebook
//! like a phone is, so they hold its keys and may make another phone the owner.

use super::sealing::derive;
use super::words::Words;
use super::{Certificate, DeviceSecret, Error, Keys, Membership, Role, membership::Signing};
use crate::DeviceId;
use rand_core::CryptoRng;

/// The sheet as a device. Admit its certificate, with [`Role::Recovery`], and
/// the sheet works.
#[must_use]
pub fn sheet(words: &Words) -> DeviceSecret {
    let id = derive::<16>(words.as_bytes(), &[], b"stridebook recovery device");
    let keys = derive::<64>(words.as_bytes(), &[], b"stridebook recovery keys");
    DeviceSecret::from_bytes(DeviceId::from_bytes(*id), &keys)
}

/// Makes a new phone the owner by the sheet: the membership entries to append,
/// in order. The new owner then begins a new epoch without the lost phones.
///
/// # Errors
/// When the sheet is not a member, or the phone cannot be admitted.
pub fn recover(
    sheet: &DeviceSecret,
    membership: &Membership,
    phone: Certificate,
    rng: &mut impl CryptoRng,
) -> Result<Vec<Vec<u8>>, Error> {
    let role = membership.role(sheet.device(), membership.epoch());
    if role != Some(Role::Recovery) {
        return Err(Error::NotCertified(sheet.device()));
    }
    let mut keys = Keys::default();
    keys.learn(membership, sheet)?;
    let mut after = membership.clone();
    let mut entries = Vec::new();
    if after.device(phone.device).is_none() {
        let signing = Signing {
            membership: &after,
            secret: sheet,
            keys: &keys,
        };
        let admit = signing.admit(phone, rng)?;
        after.append(&admit)?;
        entries.push(admit);
    }
    let signing = Signing {
        membership: &after,
        secret: sheet,
        keys: &keys,
    };
    entries.push(signing.hand_over(phone.device)?);
    Ok(entries)
}
