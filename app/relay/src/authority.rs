//! The local certificate authority: made once, kept in the data folder, trusted by
//! each phone by hand. It signs for this machine alone, and its name constraints
//! keep it so even if its key were stolen.
//!
//! Files, all under `DATA/tls`: `authority.pem` (key and certificate, mode 0600),
//! `leaf.pem` (the same of the server, mode 0600), `stridebook-ca.crt` (the
//! authority's certificate for phones) and `lock`.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SanType,
};
use rustls::RootCertStore;
use rustls::client::WebPkiServerVerifier;
use rustls::client::danger::ServerCertVerifier;
use rustls::crypto::CryptoProvider;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, ServerName, UnixTime};
use rustls::sign::CertifiedKey;
use time::{Duration, OffsetDateTime};
use x509_parser::extensions::GeneralName;
use x509_parser::prelude::X509Certificate;

use crate::Error;
use crate::network::{Names, PRIVATE};
use crate::private::{create_private_folder, data_error, lock, tighten, write_private};

/// How long a phone trusts the authority. After that, and on a lost data folder,
/// each phone has to be shown a new one.
const AUTHORITY_LIFE: Duration = Duration::days(5 * 365);

/// How long a server certificate is valid, from its start a day back to its end.
/// Phones refuse those of more than 398 days.
const LEAF_LIFE: Duration = Duration::days(397);

/// How long before its end a certificate is made anew.
const RENEWAL: Duration = Duration::days(7);

/// Clocks of phones and laptops differ: certificates begin a day back.
const CLOCK_SLACK: Duration = Duration::days(1);

/// A server certificate with its key, and what it stands for.
#[derive(Clone, Debug)]
pub struct Leaf {
    /// What the TLS handshake uses.
    pub key: Arc<CertifiedKey>,
    /// What it stands for.
    pub names: Names,
    ends: OffsetDateTime,
}

/// The authority, read from the data folder or just made there.
#[derive(Debug)]
pub struct Authority {
    folder: PathBuf,
    certificate: CertificateDer<'static>,
    pem: String,
    issuer: Issuer<'static, KeyPair>,
    hosts: BTreeSet<String>,
    ends: OffsetDateTime,
    provider: Arc<CryptoProvider>,
}

impl Authority {
    /// Reads the authority under `data`, or makes it for a machine of these names.
    ///
    /// One that is there is kept even when the machine has another name since, as
    /// phones trust it; only one that ends within a week is replaced.
    ///
    /// # Errors
    /// When the folder cannot be used, or holds a damaged authority.
    pub fn keep(
        data: &Path,
        names: &Names,
        now: OffsetDateTime,
        provider: Arc<CryptoProvider>,
    ) -> Result<Self, Error> {
        let folder = data.join("tls");
        create_private_folder(&folder).map_err(data_error(&folder))?;
        let _lock = lock(&folder)?;
        let path = folder.join("authority.pem");
        let kept = match fs::read(&path) {
            Ok(pem) => {
                tighten(&path).map_err(data_error(&path))?;
                let kept = Self::read(&folder, &pem, provider.clone());
                Some(kept.ok_or_else(|| Error::DamagedAuthority(path.clone()))?)
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            Err(error) => return Err(data_error(&path)(error)),
        };
        let authority = match kept {
            Some(kept) if kept.ends - RENEWAL > now => kept,
            ended => {
                if ended.is_some() {
                    tracing::warn!(
                        "the certificate authority has ended: each phone has to trust the new one"
                    );
                }
                let pem = new_authority(names, now)?;
                write_private(&path, pem.as_bytes()).map_err(data_error(&path))?;
                Self::read(&folder, pem.as_bytes(), provider)
                    .ok_or(Error::DamagedAuthority(path))?
            }
        };
        let public = authority.certificate_path();
        if fs::read(&public).ok().as_deref() != Some(authority.pem.as_bytes()) {
            fs::write(&public, &authority.pem).map_err(data_error(&public))?;
        }
        Ok(authority)
    }

    /// The authority in a PEM file of key and certificate; `None` when it is none.
    fn read(folder: &Path, pem: &[u8], provider: Arc<CryptoProvider>) -> Option<Self> {
        let text = std::str::from_utf8(pem).ok()?;
        let key = KeyPair::try_from(&PrivateKeyDer::from_pem_slice(pem).ok()?).ok()?;
        let certificate = CertificateDer::from_pem_slice(pem).ok()?;
        let (_, parsed) = x509_parser::parse_x509_certificate(&certificate).ok()?;
        let own_key = parsed.public_key().subject_public_key.data.as_ref() == key.public_key_raw();
        if !own_key || !parsed.is_ca() {
            return None;
        }
        let constraints = parsed
            .name_constraints()
            .ok()??
            .value
            .permitted_subtrees
            .as_ref()?;
        let hosts = constraints
            .iter()
            .filter_map(|subtree| match subtree.base {
                GeneralName::DNSName(host) => Some(host.to_owned()),
                _ => None,
            })
            .collect();
        let ends = ends(&parsed);
        Some(Self {
            folder: folder.to_owned(),
            // The key comes first in the file and the certificate fills the rest.
            pem: text[text.find("-----BEGIN CERTIFICATE-----")?..].to_owned(),
            issuer: Issuer::from_ca_cert_der(&certificate, key).ok()?,
            certificate,
            hosts,
            ends,
            provider,
        })
    }

    /// Where the certificate for phones is kept.
    pub fn certificate_path(&self) -> PathBuf {
        self.folder.join("stridebook-ca.crt")
    }

    /// The certificate for phones, in PEM form.
    pub fn certificate_pem(&self) -> &str {
        &self.pem
    }

    /// The SHA-256 of the certificate, as phones show it: pairs of hex digits.
    pub fn fingerprint(&self) -> String {
        let hash = ring::digest::digest(&ring::digest::SHA256, &self.certificate);
        let pairs: Vec<String> = hash
            .as_ref()
            .iter()
            .map(|byte| format!("{byte:02X}"))
            .collect();
        pairs.join(":")
    }

    /// Those of `names` that the authority may sign for. A host name that the
    /// machine has been given since is not among them.
    fn within(&self, names: &Names) -> Names {
        let (hosts, beyond): (BTreeSet<_>, BTreeSet<_>) = names
            .hosts
            .iter()
            .cloned()
            .partition(|host| self.hosts.contains(host));
        if !beyond.is_empty() {
            tracing::debug!(
                ?beyond,
                "the certificate authority was made for another host name"
            );
        }
        Names {
            hosts,
            addresses: names.addresses.clone(),
        }
    }

    /// The certificate of the server for these names: the kept one where it still
    /// fits, else a new one, which is kept.
    ///
    /// # Errors
    /// When none can be made or kept.
    pub fn leaf(&self, names: &Names, now: OffsetDateTime) -> Result<Leaf, Error> {
        let names = self.within(names);
        let path = self.folder.join("leaf.pem");
        let _lock = lock(&self.folder)?;
        if let Some(kept) = fs::read(&path).ok().and_then(|pem| self.read_leaf(&pem))
            && self.fits(&kept, &names, now)
            && self.verify(&kept, now).is_ok()
        {
            tighten(&path).map_err(data_error(&path))?;
            return Ok(kept);
        }
        let pem = self.new_leaf(&names, now)?;
        write_private(&path, pem.as_bytes()).map_err(data_error(&path))?;
        let leaf = self.read_leaf(pem.as_bytes()).ok_or_else(|| {
            rustls::Error::General("the new certificate cannot be read back".to_owned())
        })?;
        self.verify(&leaf, now)?;
        Ok(leaf)
    }

    /// Whether the certificate stands for exactly what the machine is called now,
    /// and does so for another week.
    pub fn fits(&self, leaf: &Leaf, names: &Names, now: OffsetDateTime) -> bool {
        // Near the end of the authority itself a new certificate would gain nothing.
        let lasts = leaf.ends - RENEWAL > now || leaf.ends >= self.ends;
        leaf.names == self.within(names) && lasts
    }

    fn read_leaf(&self, pem: &[u8]) -> Option<Leaf> {
        let certificate = CertificateDer::from_pem_slice(pem).ok()?;
        let key = PrivateKeyDer::from_pem_slice(pem).ok()?;
        let (_, parsed) = x509_parser::parse_x509_certificate(&certificate).ok()?;
        let mut names = Names::default();
        for name in &parsed.subject_alternative_name().ok()??.value.general_names {
            match name {
                GeneralName::DNSName(host) => {
                    names.hosts.insert((*host).to_owned());
                }
                GeneralName::IPAddress(bytes) => {
                    let v4 = <[u8; 4]>::try_from(*bytes).map(Into::into);
                    let v6 = <[u8; 16]>::try_from(*bytes).map(Into::into);
                    names.addresses.insert(v4.or(v6).ok()?);
                }
                _ => return None,
            }
        }
        let ends = ends(&parsed);
        let key = CertifiedKey::from_der(vec![certificate], key, &self.provider).ok()?;
        Some(Leaf {
            key: Arc::new(key),
            names,
            ends,
        })
    }

    fn new_leaf(&self, names: &Names, now: OffsetDateTime) -> Result<String, Error> {
        let key = KeyPair::generate()?;
        let mut params = named("Stridebook relay");
        params.not_before = now - CLOCK_SLACK;
        params.not_after = (params.not_before + LEAF_LIFE).min(self.ends);
        params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        params.use_authority_key_identifier_extension = true;
        for host in &names.hosts {
            params
                .subject_alt_names
                .push(SanType::DnsName(host.as_str().try_into()?));
        }
        params
            .subject_alt_names
            .extend(names.addresses.iter().copied().map(SanType::IpAddress));
        let certificate = params.signed_by(&key, &self.issuer)?;
        Ok(key.serialize_pem() + &certificate.pem())
    }

    /// Looks at the certificate as a phone would that trusts this authority alone.
    fn verify(&self, leaf: &Leaf, now: OffsetDateTime) -> Result<(), rustls::Error> {
        let mut roots = RootCertStore::empty();
        roots.add(self.certificate.clone())?;
        let verifier =
            WebPkiServerVerifier::builder_with_provider(Arc::new(roots), self.provider.clone())
                .build()
                .map_err(|error| rustls::Error::General(error.to_string()))?;
        let seconds = u64::try_from(now.unix_timestamp()).unwrap_or(0);
        let now = UnixTime::since_unix_epoch(std::time::Duration::from_secs(seconds));
        let hosts = leaf
            .names
            .hosts
            .iter()
            .filter_map(|host| ServerName::try_from(host.clone()).ok());
        let addresses = leaf
            .names
            .addresses
            .iter()
            .map(|&address| ServerName::from(address));
        for name in hosts.chain(addresses) {
            verifier.verify_server_cert(leaf.key.end_entity_cert()?, &[], &name, &[], now)?;
        }
        Ok(())
    }
}

/// A new authority for a machine of these names, as PEM of key and certificate.
fn new_authority(names: &Names, now: OffsetDateTime) -> Result<String, Error> {
    let key = KeyPair::generate()?;
    let host = names
        .hosts
        .iter()
        .find(|host| *host != "localhost")
        .map_or("localhost", String::as_str);
    // The day tells two of them apart in a phone's list.
    let mut params = named(&format!("Stridebook on {host}, {}", now.date()));
    params.not_before = now - CLOCK_SLACK;
    params.not_after = now + AUTHORITY_LIFE;
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let hosts = names.hosts.iter().cloned().map(GeneralSubtree::DnsName);
    let networks = PRIVATE.map(|(network, prefix)| {
        GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(network, prefix))
    });
    params.name_constraints = Some(NameConstraints {
        permitted_subtrees: hosts.chain(networks).collect(),
        excluded_subtrees: Vec::new(),
    });
    let certificate = params.self_signed(&key)?;
    Ok(key.serialize_pem() + &certificate.pem())
}

fn named(common_name: &str) -> CertificateParams {
    let mut params = CertificateParams::default();
    params.distinguished_name = rcgen::DistinguishedName::new();
    params
        .distinguished_name
        .push(DnType::CommonName, common_name);
    params
}

fn ends(certificate: &X509Certificate<'_>) -> OffsetDateTime {
    OffsetDateTime::from_unix_timestamp(certificate.validity().not_after.timestamp())
        .unwrap_or(OffsetDateTime::UNIX_EPOCH)
}
