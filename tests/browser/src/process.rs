//! A child process that never outlives its owner.

use anyhow::{Context, Result, bail};
use std::collections::VecDeque;
use std::io::{BufRead as _, BufReader, Read};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::RecvTimeoutError;
use std::sync::{Arc, Mutex, mpsc};
use std::time::Duration;

/// How many lines of a child's error stream are kept for a message.
const LINES_KEPT: usize = 20;

/// A running child; killed when dropped.
pub struct Process(Child);

impl Process {
    /// Starts `command` and waits until a line of its output holds `ready`;
    /// gives that line too. What it says on its error stream is shown only
    /// when it does not get ready.
    ///
    /// # Errors
    /// When it cannot be started, ends early, or is not ready within 30 s.
    pub fn start(command: &mut Command, ready: &str) -> Result<(Self, String)> {
        let written = format!("{command:?}");
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .with_context(|| format!("could not start {written}"))?;
        let output = child.stdout.take().context("no output to read")?;
        let said = last_lines(child.stderr.take().context("no errors to read")?);
        let process = Self(child);
        let (sender, lines) = mpsc::channel();
        // Reads on to the end, so that the child never blocks on a full pipe.
        std::thread::spawn(move || {
            for line in BufReader::new(output).lines().map_while(Result::ok) {
                // Nobody listens any more once the ready line has come.
                let _ = sender.send(line);
            }
        });
        loop {
            match lines.recv_timeout(Duration::from_secs(30)) {
                Ok(line) if line.contains(ready) => return Ok((process, line)),
                Ok(_) => {}
                Err(end) => {
                    let said = said.lock().map(|lines| lines.clone()).unwrap_or_default();
                    let how = match end {
                        RecvTimeoutError::Timeout => "within 30 s",
                        RecvTimeoutError::Disconnected => "before its end",
                    };
                    bail!("{written} did not say {ready:?} {how}; it said {said:#?}");
                }
            }
        }
    }

    /// Kills it and waits for its end.
    pub fn kill(&mut self) {
        // Already gone is as good.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        self.kill();
    }
}

/// Keeps the latest lines of `stream`, read to its end in the background.
fn last_lines(stream: impl Read + Send + 'static) -> Arc<Mutex<VecDeque<String>>> {
    let kept = Arc::new(Mutex::new(VecDeque::new()));
    let keeping = Arc::clone(&kept);
    std::thread::spawn(move || {
        for line in BufReader::new(stream).lines().map_while(Result::ok) {
            let Ok(mut lines) = keeping.lock() else {
                return;
            };
            lines.push_back(line);
            if lines.len() > LINES_KEPT {
                lines.pop_front();
            }
        }
    });
    kept
}

/// Kills a process that is not our child, and all its descendants, at once and
/// without a chance to tidy up.
///
/// # Errors
/// When the processes cannot be listed or killed.
pub fn kill_tree(top: u32) -> Result<()> {
    let listed = Command::new("ps")
        .args(["-A", "-o", "pid=,ppid="])
        .output()
        .context("could not list the processes with ps")?;
    let pairs: Vec<(u32, u32)> = String::from_utf8_lossy(&listed.stdout)
        .lines()
        .filter_map(|line| {
            let mut numbers = line.split_whitespace().map(str::parse);
            Some((numbers.next()?.ok()?, numbers.next()?.ok()?))
        })
        .collect();
    let mut tree = vec![top];
    let mut looked_at = 0;
    while let Some(parent) = tree.get(looked_at).copied() {
        tree.extend(pairs.iter().filter(|pair| pair.1 == parent).map(|p| p.0));
        looked_at += 1;
    }
    let killed = Command::new("kill")
        .arg("-9")
        .args(tree.iter().map(u32::to_string))
        .stderr(Stdio::null())
        .status()
        .context("could not run kill")?;
    // A helper that ended by itself in between is no failure; the top one is.
    if !killed.success() && is_alive(top) {
        bail!("could not kill process {top}");
    }
    Ok(())
}

/// Whether a process runs (a dead one that nobody has waited for does not).
pub fn is_alive(pid: u32) -> bool {
    let asked = Command::new("ps")
        .args(["-o", "stat=", "-p", &pid.to_string()])
        .output();
    asked.is_ok_and(|answer| {
        let state = String::from_utf8_lossy(&answer.stdout);
        !state.trim().is_empty() && !state.trim().starts_with('Z')
    })
}
