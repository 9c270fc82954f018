//! TLS for the sockets: with certificate files that are given, or with those of the
//! local authority, remade while the process runs when the machine's addresses
//! change.

use std::path::Path;
use std::sync::{Arc, PoisonError, RwLock};
use std::time::Duration;

use rustls::ServerConfig;
use rustls::crypto::{CryptoProvider, ring};
use rustls::pki_types::pem::{self, PemObject};
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use rustls::server::{ClientHello, ResolvesServerCert};
use rustls::sign::CertifiedKey;
use time::OffsetDateTime;
use tokio_rustls::TlsAcceptor;

use crate::Error;
use crate::authority::{Authority, Leaf};
use crate::network::Names;

/// How often the machine's addresses are looked at: a laptop that is carried from
/// home to the cage is served right within this time.
const LOOK_AGAIN: Duration = Duration::from_secs(30);

/// The one cryptography of this process, named so that no other can be picked.
pub fn provider() -> Arc<CryptoProvider> {
    Arc::new(ring::default_provider())
}

/// The certificate that handshakes use now.
#[derive(Debug)]
struct Current(RwLock<Arc<CertifiedKey>>);

impl Current {
    fn set(&self, key: Arc<CertifiedKey>) {
        *self.0.write().unwrap_or_else(PoisonError::into_inner) = key;
    }
}

impl ResolvesServerCert for Current {
    fn resolve(&self, _: ClientHello<'_>) -> Option<Arc<CertifiedKey>> {
        Some(
            self.0
                .read()
                .unwrap_or_else(PoisonError::into_inner)
                .clone(),
        )
    }
}

fn acceptor(current: Arc<Current>) -> Result<TlsAcceptor, Error> {
    let mut config = ServerConfig::builder_with_provider(provider())
        // Named, because other crates of this program switch on more of rustls.
        .with_protocol_versions(&[&rustls::version::TLS13])?
        .with_no_client_auth()
        .with_cert_resolver(current);
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(TlsAcceptor::from(Arc::new(config)))
}

/// TLS with the PEM files of `--cert` (leaf first) and `--key`.
///
/// # Errors
/// When one cannot be read or holds nothing fitting, or they are not a pair.
pub fn given(cert: &Path, key: &Path) -> Result<TlsAcceptor, Error> {
    let chain = CertificateDer::pem_file_iter(cert)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .map_err(pem_error("--cert", cert, "certificate"))?;
    if chain.is_empty() {
        return Err(pem_error("--cert", cert, "certificate")(
            pem::Error::NoItemsFound,
        ));
    }
    let secret =
        PrivateKeyDer::from_pem_file(key).map_err(pem_error("--key", key, "private key"))?;
    let pair =
        CertifiedKey::from_der(chain, secret, &provider()).map_err(|source| Error::CertAndKey {
            cert: cert.to_owned(),
            key: key.to_owned(),
            source,
        })?;
    acceptor(Arc::new(Current(RwLock::new(Arc::new(pair)))))
}

fn pem_error(
    flag: &'static str,
    path: &Path,
    wanted: &'static str,
) -> impl FnOnce(pem::Error) -> Error {
    let path = path.to_owned();
    move |error| match error {
        pem::Error::Io(source) => Error::ReadPem { flag, path, source },
        _ => Error::NothingInPem { flag, path, wanted },
    }
}

/// TLS with certificates of the local authority.
pub struct Local {
    /// The authority that phones are to trust.
    pub authority: Authority,
    /// What the server's certificate stands for at the start.
    pub names: Names,
    current: Arc<Current>,
    leaf: Leaf,
}

impl Local {
    /// Reads or makes the authority and the server's certificate under `data`.
    ///
    /// # Errors
    /// When the folder cannot be used or a certificate cannot be made.
    pub fn prepare(data: &Path) -> Result<Self, Error> {
        let (names, now) = (Names::of_this_machine()?, OffsetDateTime::now_utc());
        let authority = Authority::keep(data, &names, now, provider())?;
        let leaf = authority.leaf(&names, now)?;
        if leaf.names != names {
            tracing::warn!(
                "this machine has another name than when the certificate authority was made; \
                 phones open it by its address"
            );
        }
        let current = Arc::new(Current(RwLock::new(leaf.key.clone())));
        Ok(Self {
            authority,
            names: leaf.names.clone(),
            current,
            leaf,
        })
    }

    /// The TLS side of the sockets. It follows [`Local::keep_current`].
    ///
    /// # Errors
    /// When the TLS library refuses its own defaults.
    pub fn acceptor(&self) -> Result<TlsAcceptor, Error> {
        acceptor(self.current.clone())
    }

    /// Looks at the machine's addresses now and then, for as long as it is polled,
    /// and makes a new certificate when they or the time ask for it.
    pub async fn keep_current(mut self) {
        loop {
            tokio::time::sleep(LOOK_AGAIN).await;
            // Files and the key are slow: not on the thread that serves.
            let looked = tokio::task::spawn_blocking(move || {
                let outcome = Names::of_this_machine()
                    .and_then(|names| self.look(&names, OffsetDateTime::now_utc()));
                if let Err(error) = outcome {
                    tracing::warn!(%error, "the certificate stays as it is");
                }
                self
            });
            match looked.await {
                Ok(same) => self = same,
                Err(_) => return,
            }
        }
    }

    /// Makes and uses a new certificate where the present one does not fit.
    fn look(&mut self, names: &Names, now: OffsetDateTime) -> Result<(), Error> {
        if self.authority.fits(&self.leaf, names, now) {
            return Ok(());
        }
        self.leaf = self.authority.leaf(names, now)?;
        self.current.set(self.leaf.key.clone());
        tracing::info!(
            "made a new certificate: the addresses of this machine have changed, or the old one ends"
        );
        Ok(())
    }
}
