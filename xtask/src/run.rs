//! `cargo xtask run`: a release of everything, served.

use crate::shell::{command, run as run_command};
use crate::{client, native, setup};
use anyhow::Result;

/// Builds the client and the relay, and serves until stopped by Ctrl-C.
/// Arguments are the relay's own (`--tls`, `--cert`, `--key`, `--listen`).
///
/// # Errors
/// When a step fails.
pub fn run(arguments: &[String]) -> Result<()> {
    let tools = setup::set_up(false)?;
    let dist = client::build(&tools)?;
    let relay = native::relay()?;
    let mut serve = command(relay);
    serve.arg("--dist").arg(dist);
    let tls = arguments.iter().any(|argument| argument == "--tls");
    let listens = arguments.iter().any(|argument| argument == "--listen");
    if tls && !listens {
        // TLS is for phones on the same network; without it nobody but this
        // computer is let in.
        serve.args(["--listen", "0.0.0.0:8443"]);
    }
    run_command(serve.args(arguments))
}
