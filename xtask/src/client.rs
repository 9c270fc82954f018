//! Builds the browser client into dist/.

use crate::setup::Tools;
use crate::shell::{command, run, step, top};
use anyhow::Result;
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
            // trunk reads NO_COLOR as a boolean; an empty or odd value stops it.
            .env_remove("NO_COLOR")
            .args(["build", "--release"]))
    })?;
    Ok(dist)
}
