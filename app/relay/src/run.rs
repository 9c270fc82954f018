//! From a configuration to a listening process.

use std::fs;
use std::future::Future;
use std::io;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::Router;
use axum::body::Bytes;
use tokio::net::TcpListener;
use tokio_rustls::TlsAcceptor;

use crate::api::Api;
use crate::assets::Assets;
use crate::network::{Names, lan_addresses};
use crate::rates::Rates;
use crate::serve::{Limits, serve};
use crate::site::site;
use crate::store::change::Quotas;
use crate::store::connect::{Database, Place};
use crate::tls::{self, Local};
use crate::{Error, authority::Authority};

/// How connections are secured.
#[derive(Clone, Debug)]
pub enum TlsChoice {
    /// Plain HTTP: for this machine itself, or behind something that does TLS.
    Off,
    /// With certificates of the local authority.
    Local,
    /// With these PEM files.
    Given {
        /// The certificate chain, the server's own first.
        cert: PathBuf,
        /// Its private key.
        key: PathBuf,
    },
}

/// What the command line asks for.
#[derive(Clone, Debug)]
pub struct Config {
    /// The folder of the built client.
    pub dist: PathBuf,
    /// Where to listen; port 0 for any free one.
    pub listen: SocketAddr,
    /// How connections are secured.
    pub tls: TlsChoice,
    /// The folder of the relay's own files.
    pub data: PathBuf,
    /// Where to write the port, in decimal digits, once it is listened on.
    pub port_file: Option<PathBuf>,
    /// What clients may take.
    pub limits: Limits,
    /// Where entries are kept.
    pub store: Place,
    /// How much is kept.
    pub quotas: Quotas,
    /// How often may be asked.
    pub rates: Rates,
    /// Whether the last address of `X-Forwarded-For` is whom to count.
    pub behind_proxy: bool,
}

/// A relay that listens but does not answer yet.
pub struct Relay {
    listener: TcpListener,
    site: Router,
    api: Arc<Api>,
    acceptor: Option<TlsAcceptor>,
    local: Option<Local>,
    port_file: Option<PathBuf>,
    limits: Limits,
    announcement: String,
}

impl Relay {
    /// Reads the client and the certificates, opens the database, and listens.
    ///
    /// # Errors
    /// Each case of [`Error`]; nothing is left listening then.
    pub async fn prepare(config: Config) -> Result<Self, Error> {
        // A port file of an earlier run must not be taken for this one's.
        if let Some(path) = &config.port_file {
            remove_port_file(path)?;
        }
        let assets = Assets::load(&config.dist)?;
        tracing::info!(
            files = assets.count(),
            bytes = assets.total_bytes,
            "read the client"
        );
        let (acceptor, local) = match &config.tls {
            TlsChoice::Off => (None, None),
            TlsChoice::Given { cert, key } => (Some(tls::given(cert, key)?), None),
            TlsChoice::Local => {
                let local = Local::prepare(&config.data)?;
                (Some(local.acceptor()?), Some(local))
            }
        };
        let database = Database::open(&config.store).await?;
        let api = Arc::new(Api::new(
            database,
            config.quotas,
            config.rates,
            config.behind_proxy,
        ));
        let listener =
            TcpListener::bind(config.listen)
                .await
                .map_err(|source| match source.kind() {
                    io::ErrorKind::AddrInUse => Error::PortInUse(config.listen),
                    _ => Error::Listen {
                        listen: config.listen,
                        source,
                    },
                })?;
        let bound = listener.local_addr().map_err(|source| Error::Listen {
            listen: config.listen,
            source,
        })?;
        if acceptor.is_none() && !bound.ip().is_loopback() {
            tracing::warn!("without --tls a phone's browser keeps the app from working offline");
        }
        let lan = if bound.ip().is_unspecified() {
            lan_addresses()?
        } else {
            Vec::new()
        };
        if let Some(local) = &local {
            warn_of_unnamed(&lan, &local.names);
        }
        if let Some(path) = &config.port_file {
            write_port_file(path, bound.port())?;
        }
        let pem = local
            .as_ref()
            .map(|local| Bytes::copy_from_slice(local.authority.certificate_pem().as_bytes()));
        Ok(Self {
            announcement: announcement(bound, acceptor.is_some(), &lan, local.as_ref()),
            site: site(Arc::new(assets), pem, &api),
            api,
            listener,
            acceptor,
            local,
            port_file: config.port_file,
            limits: config.limits,
        })
    }

    /// What the process prints when it listens: lines that end in a line feed, the
    /// last of them `stridebook relay ready at http://127.0.0.1:8787`.
    pub fn announcement(&self) -> &str {
        &self.announcement
    }

    /// Answers until `stop` is done and the last answers have ended. Requests that
    /// wait for news are answered at once then.
    pub async fn serve(self, stop: impl Future<Output = ()>) {
        let stop = async {
            stop.await;
            self.api.stop_waiting();
        };
        let serving = serve(self.listener, self.site, self.acceptor, self.limits, stop);
        let local = async {
            match self.local {
                Some(local) => forever_after(local.keep_current()).await,
                None => std::future::pending().await,
            }
        };
        tokio::select! {
            () = serving => {}
            () = local => {}
            () = self.api.keep_up() => {}
        }
        self.api.close().await;
        if let Some(path) = &self.port_file
            && let Err(error) = remove_port_file(path)
        {
            tracing::warn!(%error, "left the port file behind");
        }
    }
}

/// Runs `work` and then never ends, so that its end does not end the serving.
async fn forever_after(work: impl Future<Output = ()>) {
    work.await;
    std::future::pending().await
}

fn announcement(bound: SocketAddr, secure: bool, lan: &[IpAddr], local: Option<&Local>) -> String {
    let mut lines = Vec::new();
    if let Some(local) = local {
        lines.extend(authority_lines(&local.authority));
    }
    lines.extend(address_lines(
        bound,
        secure,
        lan,
        local.map(|local| &local.names),
    ));
    lines.push(String::new());
    lines.join("\n")
}

fn authority_lines(authority: &Authority) -> [String; 2] {
    let path = authority.certificate_path();
    let path = fs::canonicalize(&path).unwrap_or(path);
    [
        format!("certificate authority for phones: {}", path.display()),
        format!("its SHA-256 fingerprint: {}", authority.fingerprint()),
    ]
}

/// The addresses to open. Of those on the network, a local certificate stands only
/// for the private ones (`names`); the others are left out, as they would not open.
fn address_lines(
    bound: SocketAddr,
    secure: bool,
    lan: &[IpAddr],
    names: Option<&Names>,
) -> Vec<String> {
    let scheme = if secure { "https" } else { "http" };
    let url = |ip: IpAddr| format!("{scheme}://{}", SocketAddr::new(ip, bound.port()));
    let here = match bound.ip() {
        IpAddr::V4(ip) if ip.is_unspecified() => Ipv4Addr::LOCALHOST.into(),
        IpAddr::V6(ip) if ip.is_unspecified() => Ipv6Addr::LOCALHOST.into(),
        ip => ip,
    };
    let mut lines: Vec<String> = lan
        .iter()
        // 0.0.0.0 does not take IPv6, while :: takes both on all common systems.
        .filter(|ip| bound.is_ipv6() || ip.is_ipv4())
        .filter(|ip| names.is_none_or(|names| names.addresses.contains(ip)))
        .map(|&ip| format!("on this network: {}", url(ip)))
        .collect();
    lines.push(format!("stridebook relay ready at {}", url(here)));
    lines
}

/// A phone cannot open an address that the certificate does not stand for.
fn warn_of_unnamed(lan: &[IpAddr], names: &Names) {
    for ip in lan.iter().filter(|ip| !names.addresses.contains(ip)) {
        tracing::warn!(%ip, "is not a private address: to serve it, give a certificate with --cert and --key");
    }
}

fn remove_port_file(path: &Path) -> Result<(), Error> {
    match fs::remove_file(path) {
        Err(source) if source.kind() != io::ErrorKind::NotFound => Err(Error::PortFile {
            path: path.to_owned(),
            source,
        }),
        _ => Ok(()),
    }
}

/// Written beside its place and then moved there, so that who waits for the file
/// never reads half a number.
fn write_port_file(path: &Path, port: u16) -> Result<(), Error> {
    let mut unfinished = path.as_os_str().to_owned();
    unfinished.push(".unfinished");
    fs::write(&unfinished, format!("{port}\n"))
        .and_then(|()| fs::rename(&unfinished, path))
        .map_err(|source| Error::PortFile {
            path: path.to_owned(),
            source,
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lan() -> Vec<IpAddr> {
        ["192.168.1.5", "8.8.8.8", "fd00::2"]
            .map(|ip| ip.parse().unwrap())
            .to_vec()
    }

    #[test]
    fn a_listener_on_all_addresses_names_each_that_a_phone_can_open() {
        assert_eq!(
            address_lines("0.0.0.0:80".parse().unwrap(), false, &lan(), None),
            [
                "on this network: http://192.168.1.5:80",
                "on this network: http://8.8.8.8:80",
                "stridebook relay ready at http://127.0.0.1:80",
            ]
        );
        assert_eq!(
            address_lines(
                "[::]:443".parse().unwrap(),
                true,
                &lan(),
                Some(&Names::private("cage2", lan()))
            ),
            [
                "on this network: https://192.168.1.5:443",
                "on this network: https://[fd00::2]:443",
                "stridebook relay ready at https://[::1]:443",
            ]
        );
    }
}
