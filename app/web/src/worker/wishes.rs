//! Changes of membership that the owner wishes: noted first, made into entries of the
//! log once this phone is in step.

use super::certificates::{certificate, role_of};
use super::error::Error;
use super::hex::Hex;
use super::kept::Want;
use super::members::take_entries;
use super::open::{Core, Open};
use notebook::DeviceId;
use notebook::sync::Role;
use notebook::sync::membership::Signing;

/// Makes the next wanted change of membership into an entry on its way. Says
/// whether there is something to do.
///
/// # Errors
/// What the browser says.
pub async fn make_wanted(core: &Core, open: &mut Open) -> Result<bool, Error> {
    let Some(want) = open.kept.wants.first().cloned() else {
        return Ok(false);
    };
    let made = match open.signing(core) {
        Ok(signing) => make(&signing, open, &want, core),
        Err(error) => Err(error),
    };
    let mut next = open.kept.clone();
    match made {
        Ok(Some(entry)) => next.proposed = Some((Hex(entry), false)),
        // Done already, perhaps by this very entry.
        Ok(None) => drop(next.wants.remove(0)),
        Err(error) => {
            open.trouble = Some(error.to_string());
            next.wants.remove(0);
        }
    }
    open.keep(core, next).await?;
    Ok(true)
}

fn make(
    signing: &Signing<'_>,
    open: &Open,
    want: &Want,
    core: &Core,
) -> Result<Option<Vec<u8>>, Error> {
    let membership = signing.membership;
    let mut random = core.random.clone();
    let roles = membership
        .members()
        .map(|member| (member.device, member.role));
    let roles: Vec<(DeviceId, Role)> = match want {
        Want::Admit(keys, role) => {
            let certificate = certificate(keys, role_of(*role))?;
            if membership.device(certificate.device).is_some() {
                return Ok(None);
            }
            return Ok(Some(signing.admit(certificate, &mut random)?));
        }
        Want::HandOver(to) if membership.owner() == *to => return Ok(None),
        Want::HandOver(to) => return Ok(Some(signing.hand_over(*to)?)),
        Want::TakeOff(off) if membership.device(*off).is_none() => return Ok(None),
        Want::TakeOff(off) => roles.filter(|(device, _)| device != off).collect(),
        Want::Change(of, role) => {
            let role = role_of(*role);
            if membership
                .device(*of)
                .is_none_or(|member| member.role == role)
            {
                return Ok(None);
            }
            roles
                .map(|(device, before)| (device, if device == *of { role } else { before }))
                .collect()
        }
    };
    let closed = open.kept.vector.clone();
    Ok(Some(signing.new_epoch(&roles, closed, &mut random)?.entry))
}

/// Notes a wanted change of membership.
///
/// # Errors
/// [`Error::NotMine`], or what the browser says.
pub async fn want(core: &Core, open: &mut Open, want: Want) -> Result<(), Error> {
    open.signing(core)?;
    if open.kept.wants.contains(&want) {
        return Ok(());
    }
    let mut next = open.kept.clone();
    next.wants.push(want);
    open.keep(core, next).await
}

/// Enters a device at once, without the relay: for two phones with no network. The
/// relay is brought the entry later. Only for letting in, which leaves nothing out.
///
/// # Errors
/// [`Error::NotMine`], or when the log's rules forbid it.
pub async fn admit_now(core: &Core, open: &mut Open, want: &Want) -> Result<(), Error> {
    let made = make(&open.signing(core)?, open, want, core)?;
    match made {
        Some(entry) if open.kept.proposed.is_none() => take_entries(core, open, &[entry]).await,
        // Another entry has this one's number already.
        Some(_) => Err(notebook::sync::Error::MembershipGap {
            next: open.membership()?.len(),
        }
        .into()),
        None => Ok(()),
    }
}
