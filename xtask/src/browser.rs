//! The browser tests: built once, then some programs at a time, as each waits for its
//! browser as much as it computes. Times that are held against a limit are those of
//! events and of the audio clock, which a busy machine does not move.

use crate::native::with_built;
use crate::setup::Tools;
use crate::shell::{command, step};
use anyhow::{Context, Result, bail};
use serde_json::Value;
use std::cmp::Reverse;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::time::Instant;

/// The longest, which begin first so that none is left alone at the end.
const LONGEST: &[&str] = &["tempo", "check", "session", "sync", "looks"];
/// Programs side by side.
const LANES: usize = 3;

/// A program of tests.
struct Program {
    name: String,
    path: PathBuf,
}

/// Runs them all; with `only`, the tests whose name holds it.
///
/// # Errors
/// Names every program that failed; what each printed stands above.
pub fn test(tools: &Tools, dist: &Path, relay: &Path, only: Option<&str>) -> Result<()> {
    let mut programs = built()?;
    let place = |name: &str| LONGEST.iter().position(|longest| *longest == name);
    // Taken from the end.
    programs.sort_by_key(|program| Reverse(place(&program.name).unwrap_or(LONGEST.len())));
    let waiting = Mutex::new(programs);
    let failed = Mutex::new(Vec::new());
    let one = |program: &Program| -> Result<()> {
        let mut command = with_built(&program.path, tools, dist, relay);
        let begun = Instant::now();
        let (passed, output) = tried(&mut command, only)?;
        // In one go, so that two programs' lines do not mix.
        eprintln!(
            "==> {} ({:.0} s)\n{output}",
            program.name,
            begun.elapsed().as_secs_f64()
        );
        if !passed {
            locked(&failed).push(program.name.clone());
        }
        Ok(())
    };
    std::thread::scope(|scope| {
        let lane = || -> Result<()> {
            loop {
                let next = locked(&waiting).pop();
                let Some(program) = next else { return Ok(()) };
                one(&program)?;
            }
        };
        let lanes: Vec<_> = (0..LANES).map(|_| scope.spawn(lane)).collect();
        lanes
            .into_iter()
            .try_for_each(|lane| lane.join().expect("a lane does not panic"))
    })?;
    let failed = failed.into_inner().expect("no lane panicked");
    if !failed.is_empty() {
        bail!("failed: {}", failed.join(", "));
    }
    Ok(())
}

fn locked<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().expect("no lane panicked")
}

/// Whether the program's tests passed, and all that it printed.
fn tried(command: &mut Command, only: Option<&str>) -> Result<(bool, String)> {
    let output = command
        // As cargo runs them.
        .current_dir(crate::shell::top().join("tests/browser"))
        // One Chromium at a time in each.
        .arg("--test-threads=1")
        .args(only)
        .stdin(Stdio::null())
        .output()
        .with_context(|| format!("could not start {command:?}"))?;
    let text =
        [output.stdout, output.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
    Ok((output.status.success(), text.concat()))
}

/// Builds the programs, and finds them in what cargo says of it.
fn built() -> Result<Vec<Program>> {
    step("building the browser tests", || {
        let mut cargo = command("cargo");
        cargo.args([
            "test",
            "--no-run",
            "-p",
            "browser",
            "--message-format=json-render-diagnostics",
        ]);
        let output = cargo
            .stdin(Stdio::null())
            .stderr(Stdio::inherit())
            .output()?;
        if !output.status.success() {
            bail!("the browser tests do not build");
        }
        let told = String::from_utf8(output.stdout)?;
        let programs: Vec<Program> = told.lines().filter_map(program).collect();
        if programs.is_empty() {
            bail!("cargo names no browser test");
        }
        Ok(programs)
    })
}

/// The program of one of cargo's messages, if it is a test's.
fn program(message: &str) -> Option<Program> {
    let message: Value = serde_json::from_str(message).ok()?;
    let is_test = message["target"]["kind"][0] == "test" && message["profile"]["test"] == true;
    Some(Program {
        name: message["target"]["name"].as_str()?.to_owned(),
        path: message["executable"].as_str()?.into(),
    })
    .filter(|_| is_test)
}
