//! A child process that never outlives its owner.

use anyhow::{Context, Result, bail};
use std::io::{BufRead as _, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::Duration;

/// A running child; killed when dropped.
pub struct Process(Child);

impl Process {
    /// Starts `command` and waits until a line of its output holds `ready`;
    /// gives that line too.
    ///
    /// # Errors
    /// When it cannot be started, ends early, or is not ready within 30 s.
    pub fn start(command: &mut Command, ready: &str) -> Result<(Self, String)> {
        let written = format!("{command:?}");
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .with_context(|| format!("could not start {written}"))?;
        let output = child.stdout.take().context("no output to read")?;
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
                Err(_) => bail!("{written} did not say {ready:?} within 30 s"),
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
