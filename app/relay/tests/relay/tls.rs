//! TLS with the local authority and with given files, seen by a client that trusts
//! one root only.

use std::collections::BTreeSet;
use std::fs;
use std::net::IpAddr;
use std::path::Path;
use std::sync::Arc;

use relay::authority::Authority;
use relay::network::Names;
use relay::tls::provider;
use rustls::client::WebPkiServerVerifier;
use rustls::client::danger::ServerCertVerifier;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, ServerName, UnixTime};
use rustls::{CertificateError, ClientConfig, ClientConnection, RootCertStore, StreamOwned};
use time::{Duration, OffsetDateTime};
use x509_parser::extensions::GeneralName;

use crate::support::{Answer, Place, Running, argument, send};

/// The authority's certificate as the relay announced it.
pub fn authority(relay: &Running) -> RootCertStore {
    let path = announced(relay, "certificate authority for phones: ");
    only(CertificateDer::from_pem_file(path).expect("a certificate"))
}

fn announced<'a>(relay: &'a Running, label: &str) -> &'a str {
    relay
        .announced
        .iter()
        .find_map(|line| line.strip_prefix(label))
        .expect(label)
}

fn only(certificate: CertificateDer<'static>) -> RootCertStore {
    let mut roots = RootCertStore::empty();
    roots.add(certificate).expect("a root");
    roots
}

/// Asks over TLS as a client that trusts `roots` and opens `name`.
pub fn ask(
    relay: &Running,
    roots: &RootCertStore,
    name: &str,
    head: &str,
) -> Result<Answer, rustls::Error> {
    let mut config = ClientConfig::builder_with_provider(provider())
        .with_safe_default_protocol_versions()?
        .with_root_certificates(roots.clone())
        .with_no_client_auth();
    // As browsers offer them.
    config.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
    let name = ServerName::try_from(name.to_owned()).expect("a name");
    let mut socket = relay.connect();
    let mut connection = ClientConnection::new(Arc::new(config), name)?;
    while connection.is_handshaking() {
        connection.complete_io(&mut socket).map_err(|error| {
            let text = error.to_string();
            let inner = error
                .into_inner()
                .and_then(|inner| inner.downcast::<rustls::Error>().ok());
            inner.map_or(rustls::Error::General(text), |error| *error)
        })?;
    }
    assert_eq!(connection.alpn_protocol(), Some(&b"http/1.1"[..]));
    let mut stream = StreamOwned::new(connection, socket);
    send(&mut stream, head);
    Ok(Answer::read(&mut stream))
}

#[test]
fn a_phone_that_trusts_the_authority_opens_the_app_by_every_private_name() {
    let place = Place::new();
    let relay = place.relay(&["--tls"]);
    let last = relay.announced.last().expect("a line");
    assert_eq!(
        *last,
        format!("stridebook relay ready at https://{}", relay.address)
    );
    let roots = authority(&relay);
    let names = Names::of_this_machine().expect("names");
    assert!(names.hosts.contains("localhost"));
    let addresses: Vec<String> = names.addresses.iter().map(ToString::to_string).collect();
    assert!(addresses.contains(&"127.0.0.1".to_owned()) && addresses.contains(&"::1".to_owned()));
    for name in names.hosts.iter().chain(&addresses) {
        let answer = ask(&relay, &roots, name, "GET / HTTP/1.1").expect(name);
        assert_eq!(
            (answer.status, answer.text()),
            (200, crate::support::PAGE),
            "{name}"
        );
    }
    let wrong = ask(&relay, &roots, "example.com", "GET / HTTP/1.1").expect_err("another name");
    assert!(
        matches!(
            wrong,
            rustls::Error::InvalidCertificate(
                CertificateError::NotValidForName | CertificateError::NotValidForNameContext { .. }
            )
        ),
        "{wrong}"
    );
}

#[test]
fn a_phone_that_trusts_only_the_public_authorities_does_not_open_it() {
    let place = Place::new();
    let relay = place.relay(&["--tls"]);
    let public = RootCertStore {
        roots: webpki_roots::TLS_SERVER_ROOTS.to_vec(),
    };
    assert!(public.len() > 50, "there are public authorities");
    let error = ask(&relay, &public, "localhost", "GET / HTTP/1.1").expect_err("not trusted");
    assert_eq!(
        error,
        rustls::Error::InvalidCertificate(CertificateError::UnknownIssuer)
    );
}

#[test]
fn the_authority_is_served_for_phones_with_the_fingerprint_that_is_printed() {
    let place = Place::new();
    let relay = place.relay(&["--tls"]);
    let answer = ask(
        &relay,
        &authority(&relay),
        "localhost",
        "GET /stridebook-ca.crt HTTP/1.1",
    )
    .expect("trusted");
    assert_eq!(
        answer.header("content-type"),
        Some("application/x-x509-ca-cert")
    );
    let path = announced(&relay, "certificate authority for phones: ");
    assert!(Path::new(path).is_absolute());
    assert_eq!(answer.text(), fs::read_to_string(path).expect("the file"));
    assert!(!answer.text().contains("PRIVATE KEY"));
    let der = CertificateDer::from_pem_slice(&answer.body).expect("a certificate");
    let hash = ring::digest::digest(&ring::digest::SHA256, &der);
    let pairs: Vec<String> = hash
        .as_ref()
        .iter()
        .map(|byte| format!("{byte:02X}"))
        .collect();
    assert_eq!(
        announced(&relay, "its SHA-256 fingerprint: "),
        pairs.join(":")
    );
}

#[test]
fn authority_and_certificate_outlive_the_process() {
    let place = Place::new();
    let seen = || {
        let relay = place.relay(&["--tls"]);
        let leaf = fs::read(place.path("data/tls/leaf.pem")).expect("the leaf");
        (relay.announced[..2].to_vec(), leaf)
    };
    assert_eq!(seen(), seen());
}

#[cfg(unix)]
#[test]
fn keys_are_for_their_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let place = Place::new();
    let mode = |name: &str| {
        fs::metadata(place.path(name))
            .expect(name)
            .permissions()
            .mode()
            & 0o777
    };
    drop(place.relay(&["--tls"]));
    let keys = ["data/tls/authority.pem", "data/tls/leaf.pem"];
    assert_eq!(keys.map(mode), [0o600; 2]);
    assert_eq!(mode("data/tls"), 0o700);
    for key in keys {
        fs::set_permissions(place.path(key), fs::Permissions::from_mode(0o644)).expect("opened up");
    }
    drop(place.relay(&["--tls"]));
    assert_eq!(keys.map(mode), [0o600; 2], "closed again");
}

#[test]
fn a_damaged_authority_is_never_replaced_silently() {
    let place = Place::new();
    drop(place.relay(&["--tls"]));
    let path = place.path("data/tls/authority.pem");
    fs::write(&path, "nothing").expect("damaged");
    let told = place.refusal("127.0.0.1:0", &["--tls"]);
    assert!(
        told.contains("authority.pem is not a certificate authority"),
        "{told}"
    );
    assert_eq!(fs::read(&path).expect("the file"), b"nothing");
}

#[test]
fn relays_that_start_together_share_one_authority() {
    let place = Place::new();
    let relays: Vec<Running> = std::thread::scope(|scope| {
        let starts: Vec<_> = (0..4)
            .map(|_| scope.spawn(|| place.relay(&["--tls"])))
            .collect();
        starts
            .into_iter()
            .map(|start| start.join().expect("started"))
            .collect()
    });
    let roots = authority(&relays[0]);
    for relay in &relays {
        assert_eq!(
            ask(relay, &roots, "127.0.0.1", "GET / HTTP/1.1")
                .expect("trusted")
                .status,
            200
        );
    }
}

#[test]
fn given_certificate_files_are_served() {
    let place = Place::new();
    let made = rcgen::generate_simple_self_signed(vec!["club.example".to_owned()]).expect("made");
    let (cert, key) = (place.path("cert.pem"), place.path("key.pem"));
    fs::write(&cert, made.cert.pem()).expect("written");
    fs::write(&key, made.signing_key.serialize_pem()).expect("written");
    let relay = place.relay(&["--cert", argument(&cert), "--key", argument(&key)]);
    assert_eq!(
        relay.announced,
        [format!(
            "stridebook relay ready at https://{}",
            relay.address
        )]
    );
    let roots = only(made.cert.der().clone());
    let answer = ask(&relay, &roots, "club.example", "GET / HTTP/1.1").expect("trusted");
    assert_eq!(answer.status, 200);
    let answer = ask(
        &relay,
        &roots,
        "club.example",
        "GET /stridebook-ca.crt HTTP/1.1",
    )
    .expect("trusted");
    assert_eq!(answer.status, 404, "there is no local authority");
    assert!(!place.path("data/tls").exists(), "no authority is made");
}

// What follows looks at the authority itself, at times of the test's choosing.

fn names() -> Names {
    Names::private("cage2", ["192.168.1.5".parse().expect("an address")])
}

fn now() -> OffsetDateTime {
    OffsetDateTime::from_unix_timestamp(1_790_000_000).expect("a time")
}

fn keep(data: &Path, names: &Names, now: OffsetDateTime) -> Authority {
    Authority::keep(data, names, now, provider()).expect("an authority")
}

fn pem_of(data: &Path, file: &str) -> Vec<u8> {
    fs::read(data.join("tls").join(file)).expect(file)
}

#[test]
fn the_authority_is_bound_to_private_addresses_and_this_machine() {
    let place = Place::new();
    let authority = keep(&place.path("data"), &names(), now());
    let der = CertificateDer::from_pem_slice(authority.certificate_pem().as_bytes())
        .expect("a certificate");
    let (_, parsed) = x509_parser::parse_x509_certificate(&der).expect("X.509");
    let constraints = parsed.name_constraints().expect("readable").expect("there");
    assert!(
        constraints.critical,
        "a client that does not know them must refuse"
    );
    let permitted = constraints
        .value
        .permitted_subtrees
        .as_ref()
        .expect("permitted names");
    let (mut hosts, mut networks) = (BTreeSet::new(), BTreeSet::new());
    for subtree in permitted {
        match subtree.base {
            GeneralName::DNSName(host) => hosts.insert(host.to_owned()),
            GeneralName::IPAddress(bytes) => networks.insert(bytes.to_vec()),
            ref other => panic!("{other:?}"),
        };
    }
    assert_eq!(
        hosts,
        ["cage2", "cage2.local", "localhost"]
            .map(str::to_owned)
            .into()
    );
    let mut fc00 = vec![0; 32];
    (fc00[0], fc00[16]) = (0xfc, 0xfe);
    let mut loopback = vec![0; 16];
    loopback[15] = 1;
    loopback.extend([255; 16]);
    let expected = [
        vec![127, 0, 0, 0, 255, 0, 0, 0],
        vec![10, 0, 0, 0, 255, 0, 0, 0],
        vec![172, 16, 0, 0, 255, 240, 0, 0],
        vec![192, 168, 0, 0, 255, 255, 0, 0],
        loopback,
        fc00,
    ];
    assert_eq!(networks, expected.into());
    let basic = parsed
        .basic_constraints()
        .expect("readable")
        .expect("there");
    assert_eq!(
        (basic.value.ca, basic.value.path_len_constraint),
        (true, Some(0))
    );
}

#[test]
fn a_thief_of_the_authoritys_key_cannot_stand_for_a_site_of_the_internet() {
    let place = Place::new();
    let data = place.path("data");
    let authority = keep(&data, &names(), now());
    let root = CertificateDer::from_pem_slice(authority.certificate_pem().as_bytes())
        .expect("a certificate");
    let stolen = PrivateKeyDer::from_pem_slice(&pem_of(&data, "authority.pem")).expect("the key");
    let key = rcgen::KeyPair::try_from(&stolen).expect("the key");
    let issuer = rcgen::Issuer::from_ca_cert_der(&root, key).expect("an issuer");
    let verifier =
        WebPkiServerVerifier::builder_with_provider(Arc::new(only(root.clone())), provider())
            .build()
            .expect("a verifier");
    let at = UnixTime::since_unix_epoch(std::time::Duration::from_secs(
        now().unix_timestamp().unsigned_abs(),
    ));
    let opens = |name: &str| {
        let mut params = rcgen::CertificateParams::new(vec![name.to_owned()]).expect("a name");
        params.not_before = now() - Duration::days(1);
        params.not_after = now() + Duration::days(30);
        let leaf_key = rcgen::KeyPair::generate().expect("a key");
        let leaf = params.signed_by(&leaf_key, &issuer).expect("signed");
        let name = ServerName::try_from(name.to_owned()).expect("a name");
        verifier
            .verify_server_cert(leaf.der(), &[], &name, &[], at)
            .map(|_| ())
    };
    for own in [
        "localhost",
        "cage2",
        "cage2.local",
        "192.168.44.7",
        "10.0.0.1",
        "fd00::7",
    ] {
        assert_eq!(opens(own), Ok(()), "{own}");
    }
    for foreign in [
        "example.com",
        "bank.example",
        "other.local",
        "8.8.8.8",
        "172.32.0.1",
        "2001:db8::1",
    ] {
        let error = opens(foreign).expect_err(foreign);
        assert!(
            error.to_string().contains("NameConstraint"),
            "{foreign}: {error}"
        );
    }
}

#[test]
fn the_servers_certificate_is_valid_for_397_days_at_most() {
    let place = Place::new();
    let data = place.path("data");
    keep(&data, &names(), now())
        .leaf(&names(), now())
        .expect("a certificate");
    let der = CertificateDer::from_pem_slice(&pem_of(&data, "leaf.pem")).expect("a certificate");
    let (_, parsed) = x509_parser::parse_x509_certificate(&der).expect("X.509");
    let validity = parsed.validity();
    let days = (validity.not_after.timestamp() - validity.not_before.timestamp()) as f64 / 86400.0;
    assert!(days <= 397.0 && days > 390.0, "{days}");
    assert!(validity.not_before.timestamp() < now().unix_timestamp());
    assert!(!parsed.is_ca());
    let usage = parsed
        .extended_key_usage()
        .expect("readable")
        .expect("there");
    assert!(usage.value.server_auth && !usage.value.client_auth && !usage.value.any);
}

#[test]
fn the_servers_certificate_is_kept_until_a_week_before_its_end() {
    let place = Place::new();
    let data = place.path("data");
    let authority = keep(&data, &names(), now());
    let made_at = |days: i64| {
        authority
            .leaf(&names(), now() + Duration::days(days))
            .expect("a certificate");
        pem_of(&data, "leaf.pem")
    };
    let first = made_at(0);
    assert_eq!(made_at(300), first);
    // It began a day back and lasts 397 days, so it ends on day 396.
    assert_eq!(made_at(388), first);
    let second = made_at(390);
    assert_ne!(second, first);
    assert_eq!(made_at(391), second);
}

#[test]
fn a_certificate_of_another_authority_is_replaced() {
    let place = Place::new();
    let data = place.path("data");
    let first = keep(&data, &names(), now());
    first.leaf(&names(), now()).expect("a certificate");
    let of_first = pem_of(&data, "leaf.pem");
    fs::remove_file(data.join("tls/authority.pem")).expect("removed");
    let second = keep(&data, &names(), now());
    assert_ne!(second.fingerprint(), first.fingerprint());
    second.leaf(&names(), now()).expect("a certificate");
    assert_ne!(pem_of(&data, "leaf.pem"), of_first);
}

#[test]
fn an_authority_is_made_by_one_process_at_a_time() {
    let place = Place::new();
    let data = place.path("data");
    fs::create_dir_all(data.join("tls")).expect("made");
    let held = fs::File::create(data.join("tls/lock")).expect("the lock file");
    held.lock().expect("locked");
    std::thread::scope(|scope| {
        let keeping = scope.spawn(|| keep(&data, &names(), now()));
        std::thread::sleep(std::time::Duration::from_millis(500));
        assert!(!data.join("tls/authority.pem").exists(), "it waits");
        held.unlock().expect("unlocked");
        keeping.join().expect("an authority");
    });
    assert!(data.join("tls/authority.pem").exists());
}

#[test]
fn the_servers_certificate_follows_the_addresses_of_the_machine() {
    let place = Place::new();
    let data = place.path("data");
    let authority = keep(&data, &names(), now());
    let leaf = authority.leaf(&names(), now()).expect("a certificate");
    assert_eq!(leaf.names, names());
    assert!(authority.fits(&leaf, &names(), now()));
    let moved = Names::private("cage2", ["10.1.2.3".parse().expect("an address")]);
    assert!(!authority.fits(&leaf, &moved, now()));
    let after = authority.leaf(&moved, now()).expect("a certificate");
    assert_eq!(after.names, moved);
    assert!(
        !after
            .names
            .addresses
            .contains(&"192.168.1.5".parse::<IpAddr>().expect("an address"))
    );
}

#[test]
fn a_machine_that_is_renamed_keeps_the_authority_that_phones_trust() {
    let place = Place::new();
    let data = place.path("data");
    let before = keep(&data, &names(), now()).fingerprint();
    let renamed = Names::private("cage3", ["192.168.1.5".parse().expect("an address")]);
    let authority = keep(&data, &renamed, now());
    assert_eq!(authority.fingerprint(), before);
    let leaf = authority.leaf(&renamed, now()).expect("a certificate");
    assert_eq!(leaf.names.hosts, ["localhost".to_owned()].into());
    assert_eq!(leaf.names.addresses, renamed.addresses);
    assert!(
        authority.fits(&leaf, &renamed, now()),
        "it is not made anew over and over"
    );
}

#[test]
fn an_authority_that_ends_within_a_week_is_replaced() {
    let place = Place::new();
    let data = place.path("data");
    let first = keep(&data, &names(), now()).fingerprint();
    let late = now() + Duration::days(5 * 365 - 30);
    let authority = keep(&data, &names(), late);
    assert_eq!(authority.fingerprint(), first);
    let leaf = authority.leaf(&names(), late).expect("a certificate");
    let ends = |pem: &[u8]| {
        let der = CertificateDer::from_pem_slice(pem).expect("a certificate");
        let (_, parsed) = x509_parser::parse_x509_certificate(&der).expect("X.509");
        parsed.validity().not_after.timestamp()
    };
    assert_eq!(
        ends(&pem_of(&data, "leaf.pem")),
        ends(authority.certificate_pem().as_bytes())
    );
    assert!(
        authority.fits(&leaf, &names(), late + Duration::days(25)),
        "it ends with the authority"
    );
    let too_late = now() + Duration::days(5 * 365 - 5);
    let second = keep(&data, &names(), too_late);
    assert_ne!(second.fingerprint(), first);
    second
        .leaf(&names(), too_late)
        .expect("the leaf of the old authority is replaced too");
}
