//! Signed requests: the relay hands sealed bytes to members only.

use super::hash::{from_hex, to_hex};
use super::{DeviceSecret, Error, Hash, Membership};
use crate::DeviceId;

/// How far the time of a request may be off, in seconds.
pub const TIME_OFF_S: u64 = 300;

const SCHEME: &str = "Stridebook ";

/// What a request's Authorization header claims, not yet checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Claim {
    /// Who asks.
    pub device: DeviceId,
    /// When it was signed, in seconds since 1970.
    pub time_s: u64,
    signature: [u8; 64],
}

/// What is asked: the parts of a request that a signature covers.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// GET, PUT or POST.
    pub method: &'a str,
    /// Path and query exactly as sent.
    pub path_and_query: &'a str,
    /// The body.
    pub body: &'a [u8],
}

impl Asked<'_> {
    fn signed_bytes(&self, device: DeviceId, time_s: u64) -> Vec<u8> {
        let mut bytes = b"SBQ1".to_vec();
        bytes.extend(device.as_bytes());
        bytes.extend(time_s.to_be_bytes());
        bytes.extend(Hash::of(self.method.as_bytes()).as_bytes());
        bytes.extend(Hash::of(self.path_and_query.as_bytes()).as_bytes());
        bytes.extend(Hash::of(self.body).as_bytes());
        bytes
    }

    /// The Authorization header for this request at `time_s`, seconds since
    /// 1970 by the relay's clock as far as it is known.
    #[must_use]
    pub fn sign(&self, secret: &DeviceSecret, time_s: u64) -> String {
        let signature = secret.sign(&self.signed_bytes(secret.device(), time_s));
        format!(
            "{SCHEME}device={}, time={time_s}, signature={}",
            to_hex(secret.device().as_bytes()),
            to_hex(&signature)
        )
    }
}

impl Claim {
    /// Reads an Authorization header.
    ///
    /// # Errors
    /// [`Error::RequestForm`] when it is none of ours.
    pub fn read(header: &str) -> Result<Self, Error> {
        let read = || {
            let mut parts = header.strip_prefix(SCHEME)?.splitn(3, ", ");
            let device = parts.next()?.strip_prefix("device=")?;
            let time = parts.next()?.strip_prefix("time=")?;
            let signature = parts.next()?.strip_prefix("signature=")?;
            if !time.bytes().all(|c| c.is_ascii_digit()) {
                return None;
            }
            Some(Self {
                device: DeviceId::from_bytes(from_hex(device).ok()?),
                time_s: time.parse().ok()?,
                signature: from_hex(signature).ok()?,
            })
        };
        read().ok_or(Error::RequestForm)
    }

    /// Checks that a present member asks exactly this, now; says who.
    ///
    /// # Errors
    /// [`Error::NotCertified`], [`Error::Signature`] or [`Error::RequestTime`].
    pub fn check(
        &self,
        membership: &Membership,
        asked: &Asked,
        now_s: u64,
    ) -> Result<DeviceId, Error> {
        let device = membership.device(self.device);
        let device = device.ok_or(Error::NotCertified(self.device))?;
        let signed = asked.signed_bytes(self.device, self.time_s);
        device.verify(&signed, &self.signature)?;
        if self.time_s.abs_diff(now_s) > TIME_OFF_S {
            return Err(Error::RequestTime);
        }
        Ok(self.device)
    }
}
