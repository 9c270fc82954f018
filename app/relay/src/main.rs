//! The process: log, signals, and how it ends.

use std::error::Error as _;
use std::future::Future;
use std::io::{IsTerminal, Write};
use std::process::ExitCode;

use clap::Parser;
use relay::commands::{Arguments, DATABASE_URL, Wanted};
use relay::{Config, Error, Relay};

#[tokio::main]
async fn main() -> ExitCode {
    let arguments = Arguments::parse();
    // The log goes to the error stream: the output stream is for whoever started us.
    tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_ansi(std::io::stderr().is_terminal())
        .with_target(false)
        .init();
    // Empty is what a container file leaves when it names a variable without a value.
    let database_url = std::env::var(DATABASE_URL)
        .ok()
        .filter(|url| !url.is_empty());
    let done = match arguments.wanted(database_url) {
        Ok(Wanted::Serving(config)) => serve(*config).await,
        Ok(Wanted::Done(task)) => task.run().await.map(|said| say(&said)),
        Err(error) => Err(error),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("relay: {}", sentence(&error));
            ExitCode::FAILURE
        }
    }
}

async fn serve(config: Config) -> Result<(), Error> {
    // Before anything is announced, so that no signal finds us unprepared.
    let stop = stop_signal()?;
    let relay = Relay::prepare(config).await?;
    say(relay.announcement());
    relay.serve(stop).await;
    Ok(())
}

/// Whoever started us may have stopped reading: no reason not to go on.
fn say(text: &str) {
    let mut output = std::io::stdout().lock();
    let _ = output
        .write_all(text.as_bytes())
        .and_then(|()| output.flush());
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
