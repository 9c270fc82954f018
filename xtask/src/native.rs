//! The native binaries: the relay, and the drivers of the browser.

use crate::setup::Tools;
use crate::shell::{command, run, step, target_dir};
use anyhow::Result;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Builds the relay and says where it lies.
///
/// # Errors
/// When cargo fails.
pub fn relay() -> Result<PathBuf> {
    step("building the relay", || {
        run(command("cargo").args(["build", "--quiet", "--profile", "native", "-p", "relay"]))
    })?;
    Ok(target_dir().join("native").join("relay"))
}

/// A command that finds the built client, the relay and the tools where the
/// browser's tests and drivers look for them.
pub fn with_built(program: impl AsRef<OsStr>, tools: &Tools, dist: &Path, relay: &Path) -> Command {
    let mut command = command(program);
    command
        .env("STRIDEBOOK_DIST", dist)
        .env("STRIDEBOOK_RELAY", relay)
        .env("STRIDEBOOK_AXE", tools.npm.join("axe-core/axe.min.js"));
    command
}
