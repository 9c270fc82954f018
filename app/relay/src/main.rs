//! The command line of the relay.

use std::error::Error as _;
use std::future::Future;
use std::io::{IsTerminal, Write};
use std::net::SocketAddr;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::Parser;
use relay::{Config, Error, Limits, Relay, TlsChoice};

/// Serves the built Stridebook client.
#[derive(Debug, Parser)]
#[command(name = "relay", version)]
struct Arguments {
    /// Folder of the built client
    #[arg(long, value_name = "DIR", default_value = "dist")]
    dist: PathBuf,

    /// Address and port to listen on; port 0 takes any free one, 0.0.0.0 lets phones in
    #[arg(long, value_name = "IP:PORT", default_value = "127.0.0.1:8787")]
    listen: SocketAddr,

    /// Serve HTTPS; without --cert, by a certificate authority made for this machine
    #[arg(long)]
    tls: bool,

    /// Serve HTTPS with this certificate chain (PEM, the server's own first)
    #[arg(long, value_name = "FILE", requires = "key")]
    cert: Option<PathBuf>,

    /// The private key of --cert (PEM)
    #[arg(long, value_name = "FILE", requires = "cert")]
    key: Option<PathBuf>,

    /// Folder of the relay's own files: its certificate authority
    #[arg(long, value_name = "DIR", default_value = "data")]
    data: PathBuf,

    /// Write the port to this file once it is listened on; removed at the stop
    #[arg(long, value_name = "FILE")]
    port_file: Option<PathBuf>,
}

impl From<Arguments> for Config {
    fn from(arguments: Arguments) -> Self {
        let tls = match (arguments.cert, arguments.key) {
            (Some(cert), Some(key)) => TlsChoice::Given { cert, key },
            _ if arguments.tls => TlsChoice::Local,
            _ => TlsChoice::Off,
        };
        Self {
            dist: arguments.dist,
            listen: arguments.listen,
            tls,
            data: arguments.data,
            port_file: arguments.port_file,
            limits: Limits::default(),
        }
    }
}

#[tokio::main]
async fn main() -> ExitCode {
    let arguments = Arguments::parse();
    // The log goes to the error stream: the output stream is for whoever started us.
    tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_ansi(std::io::stderr().is_terminal())
        .with_target(false)
        .init();
    match run(arguments.into()).await {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("relay: {}", sentence(&error));
            ExitCode::FAILURE
        }
    }
}

async fn run(config: Config) -> Result<(), Error> {
    // Before anything is announced, so that no signal finds us unprepared.
    let stop = stop_signal()?;
    let relay = Relay::prepare(config).await?;
    let mut output = std::io::stdout().lock();
    // Whoever started us may have stopped reading: no reason not to serve.
    let _ = output
        .write_all(relay.announcement().as_bytes())
        .and_then(|()| output.flush());
    drop(output);
    relay.serve(stop).await;
    Ok(())
}

/// The error and what lies behind it, in one sentence.
fn sentence(error: &Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(error) = cause {
        text = format!("{text}: {error}");
        cause = error.source();
    }
    text
}

/// Done when the process is asked to stop: Ctrl-C, or SIGTERM from a supervisor.
#[cfg(unix)]
fn stop_signal() -> Result<impl Future<Output = ()>, Error> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt()).map_err(Error::Signals)?;
    let mut terminate = signal(SignalKind::terminate()).map_err(Error::Signals)?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    })
}

/// Done when the process is asked to stop by Ctrl-C.
#[cfg(not(unix))]
fn stop_signal() -> Result<impl Future<Output = ()>, Error> {
    Ok(async {
        if let Err(error) = tokio::signal::ctrl_c().await {
            tracing::warn!(%error, "Ctrl-C is not listened for");
        }
    })
}
