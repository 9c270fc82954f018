//! Builds the browser client into dist/.

use crate::setup::Tools;
use crate::shell::{command, run, step, top};
use anyhow::Result;
use std::fs;
use std::path::PathBuf;

/// Builds a release of the client and says where it lies.
///
/// # Errors
/// When trunk fails.
pub fn build(tools: &Tools) -> Result<PathBuf> {
    let dist = top().join("dist");
    step("building the client (release)", || {
        let mut trunk = command("trunk");
        if let Some(toolchain) = tools.wasm_toolchain {
            trunk.env("RUSTUP_TOOLCHAIN", toolchain);
        }
        run(trunk
            .env("PATH", &tools.path)
            .env(
                "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS",
                short_paths(),
            )
            // trunk reads NO_COLOR as a boolean; an empty or odd value stops it.
            .env_remove("NO_COLOR")
            .args(["build", "--release"]))
    })?;
    Ok(dist)
}

/// Compiler flags that cut this machine's folders out of the paths that panics
/// name (cargo names our own crates from the workspace's top already): the download is smaller, and the same wherever it is built. (The other
/// flags of the target are in .cargo/config.toml; cargo joins both.)
fn short_paths() -> String {
    let cargo_home = std::env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".cargo")));
    let registries = cargo_home
        .and_then(|home| fs::read_dir(home.join("registry/src")).ok())
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.path());
    registries
        .map(|folder| format!("--remap-path-prefix={}/=", folder.display()))
        .collect::<Vec<_>>()
        .join(" ")
}
