//! The names and addresses by which a phone on the same network reaches this
//! machine, and which of them a local certificate may stand for.

use std::collections::BTreeSet;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

use crate::Error;

/// The networks that are private everywhere (RFC 1918, RFC 4193) and this machine
/// itself, as address and prefix length in bits. No address in them belongs to a
/// site of the internet.
pub const PRIVATE: [(IpAddr, u8); 6] = [
    (IpAddr::V4(Ipv4Addr::new(127, 0, 0, 0)), 8),
    (IpAddr::V4(Ipv4Addr::new(10, 0, 0, 0)), 8),
    (IpAddr::V4(Ipv4Addr::new(172, 16, 0, 0)), 12),
    (IpAddr::V4(Ipv4Addr::new(192, 168, 0, 0)), 16),
    (IpAddr::V6(Ipv6Addr::LOCALHOST), 128),
    (IpAddr::V6(Ipv6Addr::new(0xfc00, 0, 0, 0, 0, 0, 0, 0)), 7),
];

/// What a certificate of this machine stands for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Names {
    /// Host names, lower case.
    pub hosts: BTreeSet<String>,
    /// Addresses.
    pub addresses: BTreeSet<IpAddr>,
}

impl Names {
    /// The names of this machine that are private to its network: `localhost`, its
    /// host name, and its loopback and private addresses.
    ///
    /// # Errors
    /// When the system does not tell its addresses.
    pub fn of_this_machine() -> Result<Self, Error> {
        let host = gethostname::gethostname();
        Ok(Self::private(&host.to_string_lossy(), lan_addresses()?))
    }

    /// Those of a machine with this host name and these addresses.
    pub fn private(host: &str, addresses: impl IntoIterator<Item = IpAddr>) -> Self {
        let mut hosts = host_names(host);
        hosts.insert("localhost".to_owned());
        let mut addresses: BTreeSet<IpAddr> =
            addresses.into_iter().filter(|&a| is_private(a)).collect();
        addresses.insert(Ipv4Addr::LOCALHOST.into());
        addresses.insert(Ipv6Addr::LOCALHOST.into());
        Self { hosts, addresses }
    }
}

/// The addresses at which other machines of the network may reach this one:
/// neither loopback nor link-local, in order.
///
/// # Errors
/// When the system does not tell them.
pub fn lan_addresses() -> Result<Vec<IpAddr>, Error> {
    let interfaces = if_addrs::get_if_addrs().map_err(Error::Addresses)?;
    let addresses: BTreeSet<IpAddr> = interfaces
        .iter()
        .map(if_addrs::Interface::ip)
        .filter(|address| match address {
            IpAddr::V4(v4) => !v4.is_loopback() && !v4.is_link_local() && !v4.is_unspecified(),
            IpAddr::V6(v6) => {
                !v6.is_loopback() && !v6.is_unicast_link_local() && !v6.is_unspecified()
            }
        })
        .collect();
    Ok(addresses.into_iter().collect())
}

/// Whether the address is in one of the [`PRIVATE`] networks.
pub fn is_private(address: IpAddr) -> bool {
    PRIVATE
        .iter()
        .any(|&(network, prefix)| match (address, network) {
            (IpAddr::V4(address), IpAddr::V4(network)) => {
                (address.to_bits() ^ network.to_bits()).leading_zeros() >= u32::from(prefix)
            }
            (IpAddr::V6(address), IpAddr::V6(network)) => {
                (address.to_bits() ^ network.to_bits()).leading_zeros() >= u32::from(prefix)
            }
            _ => false,
        })
}

/// The host names that a certificate may carry for a machine called `host`.
///
/// `host.local` is the one that phones find without a name server. The bare name is
/// added only where it cannot be a top-level domain: an authority that may sign for
/// a machine called `dev` could sign for every site under `.dev`. All top-level
/// domains are letters alone, or begin with `xn--`.
fn host_names(host: &str) -> BTreeSet<String> {
    let host = host.trim_end_matches('.').to_ascii_lowercase();
    let mut names = BTreeSet::new();
    if !is_host_name(&host) || host == "localhost" {
        return names;
    }
    let label = host.split('.').next().unwrap_or(&host);
    names.insert(format!("{label}.local"));
    let could_be_top_level = label.len() == host.len()
        && (host.bytes().all(|b| b.is_ascii_alphabetic()) || host.starts_with("xn--"));
    if !could_be_top_level {
        names.insert(host);
    }
    names
}

/// Whether the name can stand in a certificate: labels of letters, digits and inner
/// hyphens, the last of them not a number, which would make it an address.
fn is_host_name(name: &str) -> bool {
    let label_fits = |label: &str| {
        (1..=63).contains(&label.len())
            && label
                .bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
            && !label.starts_with('-')
            && !label.ends_with('-')
    };
    let last_is_number = name
        .rsplit('.')
        .next()
        .is_some_and(|l| l.bytes().all(|b| b.is_ascii_digit()));
    // 253 less the six of ".local".
    name.len() <= 247 && name.split('.').all(label_fits) && !last_is_number
}

#[cfg(test)]
mod tests {
    use super::*;

    fn host_list(host: &str) -> Vec<String> {
        host_names(host).into_iter().collect()
    }

    #[test]
    fn a_bare_host_name_is_carried_only_where_it_cannot_be_a_top_level_domain() {
        assert_eq!(
            host_list("Coach-Laptop"),
            ["coach-laptop", "coach-laptop.local"]
        );
        assert_eq!(host_list("cage2"), ["cage2", "cage2.local"]);
        assert_eq!(host_list("dev"), ["dev.local"]);
        assert_eq!(host_list("xn--p1ai"), ["xn--p1ai.local"]);
        assert_eq!(
            host_list("pc.club.example."),
            ["pc.club.example", "pc.local"]
        );
    }

    #[test]
    fn names_that_no_certificate_can_carry_are_left_out() {
        for odd in [
            "",
            "localhost",
            "under_score",
            "-a",
            "a-",
            "10.0.0.1",
            "a..b",
            "a b",
            &"a".repeat(64),
        ] {
            assert!(host_names(odd).is_empty(), "{odd}");
        }
    }

    #[test]
    fn only_private_addresses_count_as_private() {
        for private in [
            "127.0.0.1",
            "10.255.0.1",
            "172.16.0.1",
            "172.31.255.255",
            "192.168.1.5",
            "::1",
            "fd00::2",
        ] {
            assert!(is_private(private.parse().unwrap()), "{private}");
        }
        for public in [
            "8.8.8.8",
            "172.32.0.1",
            "172.15.0.1",
            "192.169.0.1",
            "11.0.0.0",
            "::2",
            "2001:db8::1",
            "fe80::1",
        ] {
            assert!(!is_private(public.parse().unwrap()), "{public}");
        }
    }

    #[test]
    fn a_public_address_is_left_out_of_the_names() {
        let names = Names::private(
            "cage2",
            ["192.168.1.5".parse().unwrap(), "8.8.8.8".parse().unwrap()],
        );
        let addresses: Vec<String> = names.addresses.iter().map(ToString::to_string).collect();
        assert_eq!(addresses, ["127.0.0.1", "192.168.1.5", "::1"]);
        assert!(names.hosts.contains("localhost"));
    }
}
