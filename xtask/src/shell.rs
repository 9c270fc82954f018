//! Running other programs: every command is printed before it runs, so that a
//! reader of CI's output sees exactly what was done.

use anyhow::{Context, Result, bail};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

/// The workspace's top folder.
pub fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("xtask lies one folder below the top")
        .to_path_buf()
}

/// The folder for built things, as cargo sees it.
pub fn target_dir() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| top().join("target"), PathBuf::from)
}

/// A command that runs in the workspace's top folder without the variables
/// that the cargo that started us left behind.
pub fn command(program: impl AsRef<std::ffi::OsStr>) -> Command {
    let mut command = Command::new(program);
    command.current_dir(top());
    for (name, _) in std::env::vars_os() {
        let name = name.to_string_lossy();
        // `cargo xtask` sets these for its own child; a nested cargo that sees
        // them believes that the crates changed and builds them again.
        if name.starts_with("CARGO_PKG_") || name.starts_with("CARGO_MANIFEST_") {
            command.env_remove(name.as_ref());
        }
    }
    command
}

/// Runs `command` with its output shown, and fails when it fails.
pub fn run(command: &mut Command) -> Result<()> {
    let line = written(command);
    eprintln!("  $ {line}");
    let status = command
        .stdin(Stdio::null())
        .status()
        .with_context(|| format!("could not start: {line}"))?;
    if !status.success() {
        bail!("failed ({status}): {line}");
    }
    Ok(())
}

/// Runs `command` quietly; its standard output, trimmed, when it succeeds.
pub fn answer(command: &mut Command) -> Option<String> {
    let output = command.stdin(Stdio::null()).output().ok()?;
    output
        .status
        .success()
        .then(|| String::from_utf8_lossy(&output.stdout).trim().to_owned())
}

/// Where `program` is found in PATH.
pub fn find(program: &str) -> Option<PathBuf> {
    std::env::split_paths(&std::env::var_os("PATH")?)
        .map(|folder| folder.join(program))
        .find(|path| path.is_file())
}

/// Says what is being done, does it, and says how long it took.
pub fn step<T>(what: &str, work: impl FnOnce() -> Result<T>) -> Result<T> {
    let start = Instant::now();
    eprintln!("==> {what}");
    let result = work().with_context(|| format!("while: {what}"))?;
    eprintln!("    done in {:.1} s: {what}", start.elapsed().as_secs_f64());
    Ok(result)
}

fn written(command: &Command) -> String {
    let words = std::iter::once(command.get_program()).chain(command.get_args());
    words
        .map(|word| word.to_string_lossy().into_owned())
        .collect::<Vec<_>>()
        .join(" ")
}
