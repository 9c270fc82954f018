//! A relay process, started, asked, killed.

use std::fs::{self, File};
use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Output, Stdio};
use std::time::{Duration, Instant};

use crate::binary::relay_binary;
use crate::client::Client;
use crate::store::Store;

/// Longer than anything here takes.
const PATIENCE: Duration = Duration::from_secs(30);

/// A running relay; killed when dropped.
pub struct Relay {
    child: Child,
    address: SocketAddr,
    log: PathBuf,
}

impl Relay {
    /// Starts a relay on a store, on any free port of this machine.
    ///
    /// # Panics
    /// When it does not start.
    #[must_use]
    pub fn start(store: &Store, arguments: &[&str]) -> Self {
        Self::started(store, command(store, arguments))
    }

    /// Starts a relay under another program, such as `strace -f -o FILE`.
    ///
    /// # Panics
    /// When it does not start.
    #[must_use]
    pub fn start_under(store: &Store, program: &[&str], arguments: &[&str]) -> Self {
        let relay = command(store, arguments);
        let mut command = Command::new(program[0]);
        command
            .args(&program[1..])
            .arg(relay.get_program())
            .args(relay.get_args());
        for (name, value) in relay.get_envs() {
            match value {
                Some(value) => command.env(name, value),
                None => command.env_remove(name),
            };
        }
        Self::started(store, command)
    }

    fn started(store: &Store, mut command: Command) -> Self {
        let log = store.folder().join("relay.log");
        let into = File::options()
            .create(true)
            .append(true)
            .open(&log)
            .expect("the log");
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(into)
            .spawn()
            .expect("the relay starts");
        let output = BufReader::new(child.stdout.take().expect("piped"));
        let mut lines = output.lines().map_while(Result::ok);
        let url = lines.find_map(|line| {
            line.split_once("relay ready at http://")
                .map(|(_, at)| at.to_owned())
        });
        let Some(url) = url else {
            let _ = child.wait();
            panic!(
                "no ready line; {}",
                fs::read_to_string(&log).unwrap_or_default()
            );
        };
        let address = url.parse().expect("an address");
        Self {
            child,
            address,
            log,
        }
    }

    /// Runs a command of the relay to its end, such as `backup FILE`.
    ///
    /// # Panics
    /// When it cannot be run.
    #[must_use]
    pub fn run(store: &Store, arguments: &[&str]) -> Output {
        let mut command = Command::new(relay_binary());
        store.name_to(&mut command);
        command.args(arguments).output().expect("the relay runs")
    }

    /// Where it listens.
    #[must_use]
    pub const fn address(&self) -> SocketAddr {
        self.address
    }

    /// A client that checks every answer.
    #[must_use]
    pub const fn client(&self) -> Client {
        Client::new(self.address)
    }

    /// Its process id.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// What it has logged so far, with what relays before it on the same store have.
    ///
    /// # Panics
    /// When the log cannot be read.
    #[must_use]
    pub fn log(&self) -> String {
        fs::read_to_string(&self.log).expect("the log")
    }

    /// Kills it as a power switch would, with SIGKILL, and waits for its end.
    pub fn kill(&mut self) {
        // Already gone is as good.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// Asks it to stop, as a supervisor does, with SIGTERM.
    ///
    /// # Panics
    /// When the signal cannot be sent.
    pub fn terminate(&self) {
        let sent = Command::new("kill")
            .arg("-TERM")
            .arg(self.id().to_string())
            .status();
        assert!(sent.expect("kill runs").success());
    }

    /// Waits for its end.
    ///
    /// # Panics
    /// When it does not end.
    pub fn ended(&mut self) -> ExitStatus {
        let begun = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().expect("a child") {
                return status;
            }
            assert!(begun.elapsed() < PATIENCE, "the relay does not end");
            std::thread::sleep(Duration::from_millis(5));
        }
    }
}

impl Drop for Relay {
    fn drop(&mut self) {
        self.kill();
    }
}

fn command(store: &Store, arguments: &[&str]) -> Command {
    let dist = store.folder().join("dist");
    make_client(&dist);
    let mut command = Command::new(relay_binary());
    store.name_to(&mut command);
    command.arg("--dist").arg(dist);
    command.args(["--listen", "127.0.0.1:0"]).args(arguments);
    command
}

/// The smallest client that the relay serves.
fn make_client(dist: &Path) {
    if !dist.exists() {
        fs::create_dir_all(dist).expect("dist is made");
        fs::write(
            dist.join("index.html"),
            "<!doctype html>\n<title>Stridebook</title>\n",
        )
        .expect("written");
    }
}
