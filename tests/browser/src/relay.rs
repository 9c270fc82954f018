//! The relay process under test.

use crate::process::Process;
use anyhow::{Context, Result};
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

/// The built client, as `cargo xtask` names it.
///
/// # Errors
/// When the tests were not started by `cargo xtask`.
pub fn built_client() -> Result<PathBuf> {
    named_by("STRIDEBOOK_DIST")
}

/// The text of axe-core, the accessibility checker.
///
/// # Errors
/// When the tests were not started by `cargo xtask`, or it cannot be read.
pub fn axe_source() -> Result<String> {
    let path = named_by("STRIDEBOOK_AXE")?;
    std::fs::read_to_string(&path).with_context(|| format!("reading {path:?}"))
}

/// The path that an environment variable of `cargo xtask` names.
///
/// # Errors
/// When the tests were not started by `cargo xtask`.
pub fn named_by(variable: &str) -> Result<PathBuf> {
    std::env::var_os(variable)
        .map(PathBuf::from)
        .with_context(|| format!("{variable} is not set: run these with `cargo xtask test`"))
}

/// A running relay.
pub struct Relay {
    process: Process,
    address: String,
    /// Its database and other files; gone with it.
    data: TempDir,
}

impl Relay {
    /// Starts a relay that serves the built client.
    ///
    /// # Errors
    /// When it does not start.
    pub fn start() -> Result<Self> {
        Self::serving(&built_client()?, 0)
    }

    /// Starts a relay that serves `dist` on `port` (0: any).
    ///
    /// # Errors
    /// When it does not start.
    pub fn serving(dist: &Path, port: u16) -> Result<Self> {
        Self::keeping_in(tempfile::tempdir()?, dist, port)
    }

    /// Starts it again on its port and with its data, after [`Relay::stop`].
    ///
    /// # Errors
    /// When it does not start.
    pub fn again(self) -> Result<Self> {
        let port = self.port()?;
        Self::keeping_in(self.data, &built_client()?, port)
    }

    fn keeping_in(data: TempDir, dist: &Path, port: u16) -> Result<Self> {
        let (process, line) = Process::start(
            Command::new(named_by("STRIDEBOOK_RELAY")?)
                .arg("--dist")
                .arg(dist)
                .arg("--data")
                .arg(data.path())
                .args(["--listen", &format!("127.0.0.1:{port}")]),
            "relay ready at ",
        )?;
        let address = line
            .split_once("ready at ")
            .map(|(_, address)| address.trim().trim_end_matches('/').to_owned())
            .context("no address in the relay's line")?;
        Ok(Self {
            process,
            address,
            data,
        })
    }

    /// The folder of its database.
    #[must_use]
    pub fn data(&self) -> &Path {
        self.data.path()
    }

    /// The address of the app, without a slash at its end.
    #[must_use]
    pub fn address(&self) -> &str {
        &self.address
    }

    /// Its port.
    ///
    /// # Errors
    /// When the address has none.
    pub fn port(&self) -> Result<u16> {
        let port = self.address.rsplit(':').next().unwrap_or_default();
        port.parse().context("no port in the relay's address")
    }

    /// Stops it for good.
    pub fn stop(&mut self) {
        self.process.kill();
    }
}
