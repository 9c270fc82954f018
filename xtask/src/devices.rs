//! `cargo xtask devices`: histories of simulated phones, any of them again.

use crate::shell::{command, run as run_command};
use anyhow::Result;

/// Builds the simulation for speed and runs it; its own last line says how many
/// histories converged and what was lost.
///
/// # Errors
/// When a history does not converge, or loses what was confirmed.
pub fn run(arguments: &[String]) -> Result<()> {
    let mut cargo = command("cargo");
    cargo.args(["run", "--quiet", "--profile", "native", "-p", "devices"]);
    run_command(cargo.arg("--").args(arguments))
}
