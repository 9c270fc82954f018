//! How often may be asked: by address, and by notebook. Counted in this process
//! alone, so two relays behind one balancer allow twice as much together.

use std::hash::Hash;
use std::net::{IpAddr, Ipv6Addr};
use std::num::NonZeroU32;
use std::time::Duration;

use governor::clock::{Clock, DefaultClock};
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};

/// What a client may ask for.
#[derive(Clone, Copy, Debug)]
pub struct Rates {
    /// Requests a minute from one address. A club's phones share one address on
    /// the club's own network, so it is a bound on a whole club.
    pub by_address: NonZeroU32,
    /// Requests a minute that concern one notebook.
    pub by_notebook: NonZeroU32,
}

impl Default for Rates {
    fn default() -> Self {
        Self {
            by_address: NonZeroU32::new(6_000).expect("not zero"),
            by_notebook: NonZeroU32::new(1_200).expect("not zero"),
        }
    }
}

/// Counts requests.
pub struct Counted<K: Hash + Eq + Clone> {
    limiter: DefaultKeyedRateLimiter<K>,
    clock: DefaultClock,
}

impl<K: Hash + Eq + Clone> Counted<K> {
    /// Allows `a_minute` requests a minute for each key, and as many at once.
    #[must_use]
    pub fn new(a_minute: NonZeroU32) -> Self {
        Self {
            limiter: RateLimiter::keyed(Quota::per_minute(a_minute)),
            clock: DefaultClock::default(),
        }
    }

    /// Counts one request.
    ///
    /// # Errors
    /// How long to wait when it is one too many.
    pub fn take(&self, key: &K) -> Result<(), Duration> {
        self.limiter
            .check_key(key)
            .map_err(|refused| refused.wait_time_from(self.clock.now()))
    }

    /// Forgets the keys that have not been counted for a while.
    pub fn forget_idle(&self) {
        self.limiter.retain_recent();
        self.limiter.shrink_to_fit();
    }
}

/// What an address is counted as: an IPv6 client owns a whole /64 and could come
/// from a new address each time.
#[must_use]
pub fn counted_as(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V6(v6) => Ipv6Addr::from_bits(v6.to_bits() & !u128::from(u64::MAX)).into(),
        v4 => v4,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_request_too_many_is_told_how_long_to_wait_and_others_are_not_held_up() {
        let counted = Counted::new(NonZeroU32::new(3).unwrap());
        for _ in 0..3 {
            assert!(counted.take(&1).is_ok());
        }
        let wait = counted.take(&1).unwrap_err();
        assert!(
            wait > Duration::from_secs(15) && wait <= Duration::from_secs(20),
            "{wait:?}"
        );
        assert!(counted.take(&2).is_ok());
    }

    #[test]
    fn a_client_cannot_step_aside_within_its_own_ipv6_network() {
        let counted = |text: &str| counted_as(text.parse().unwrap());
        assert_eq!(
            counted("2001:db8:1:2:3::4"),
            counted("2001:db8:1:2:ffff::9")
        );
        assert_ne!(counted("2001:db8:1:2::1"), counted("2001:db8:1:3::1"));
        assert_ne!(counted("192.0.2.1"), counted("192.0.2.2"));
    }
}
