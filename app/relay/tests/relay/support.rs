//! A built client in a temporary folder, a relay process on it, and a plain HTTP client.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// Longer than anything here takes, and short enough not to stall a run.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// A page as trunk builds it once its script has been moved to a file.
pub const PAGE: &str = "<!doctype html>\n<title>Stridebook</title>\n<script type=\"module\" src=\"/start-1f2e3d4c5b6a7980.js\"></script>\n";

/// A folder that holds a built client under `dist`, and room for the relay's data.
pub struct Place {
    folder: TempDir,
}

impl Place {
    /// With the page, its script and a text, the latter two compressed both ways.
    pub fn new() -> Self {
        let place = Self::empty();
        place.file("index.html", PAGE.as_bytes());
        place.compressed("start-1f2e3d4c5b6a7980.js", script().as_bytes());
        place.compressed("words/en.txt", text().as_bytes());
        place
    }

    /// With an empty `dist`.
    pub fn empty() -> Self {
        let place = Self {
            folder: tempfile::tempdir().expect("a temporary folder"),
        };
        fs::create_dir(place.dist()).expect("dist is made");
        place
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn dist(&self) -> PathBuf {
        self.path("dist")
    }

    /// Writes a file of the client.
    pub fn file(&self, name: &str, content: &[u8]) {
        let path = self.dist().join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("folders are made");
        fs::write(path, content).expect("the file is written");
    }

    /// Writes a file of the client and both compressed forms of it.
    pub fn compressed(&self, name: &str, content: &[u8]) {
        self.file(name, content);
        self.file(&format!("{name}.br"), &brotli(content));
        self.file(&format!("{name}.gz"), &gzip(content));
    }

    /// Starts a relay on any free port of this machine.
    pub fn relay(&self, arguments: &[&str]) -> Running {
        self.relay_at("127.0.0.1:0", arguments)
    }

    pub fn relay_at(&self, listen: &str, arguments: &[&str]) -> Running {
        Running::new(self.command(listen, arguments))
    }

    /// What a relay that cannot start says, having made sure that it does not.
    pub fn refusal(&self, listen: &str, arguments: &[&str]) -> String {
        let mut child = self
            .command(listen, arguments)
            .spawn()
            .expect("the relay runs");
        let begun = Instant::now();
        while child.try_wait().expect("a child").is_none() {
            if begun.elapsed() > PATIENCE {
                child.kill().expect("killed");
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        let outcome = child.wait_with_output().expect("what it said");
        assert!(!outcome.status.success(), "the relay must not start");
        assert!(outcome.stdout.is_empty(), "nothing is announced");
        String::from_utf8(outcome.stderr).expect("UTF-8")
    }

    fn command(&self, listen: &str, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_relay"));
        command
            .arg("--dist")
            .arg(self.dist())
            .arg("--data")
            .arg(self.path("data"));
        command.args(["--listen", listen]).args(arguments);
        command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        command
    }
}

pub fn script() -> String {
    "export const place = 'the machine';\n".repeat(60)
}

pub fn text() -> String {
    "front toss, side toss, tee, machine\n".repeat(40)
}

pub fn brotli(content: &[u8]) -> Vec<u8> {
    let mut packed = Vec::new();
    brotli::CompressorWriter::new(&mut packed, 4096, 9, 20)
        .write_all(content)
        .expect("memory");
    packed
}

pub fn gzip(content: &[u8]) -> Vec<u8> {
    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    packed.write_all(content).expect("memory");
    packed.finish().expect("memory")
}

/// A relay process that listens. It ends with this value.
pub struct Running {
    child: Child,
    /// All that it printed, up to the ready line.
    pub announced: Vec<String>,
    /// Where it listens.
    pub address: SocketAddr,
    log: Arc<Mutex<String>>,
}

impl Running {
    fn new(mut command: Command) -> Self {
        let mut child = command.spawn().expect("the relay starts");
        let log = Arc::new(Mutex::new(String::new()));
        let errors = BufReader::new(child.stderr.take().expect("piped"));
        let into = log.clone();
        std::thread::spawn(move || {
            for line in errors.lines().map_while(Result::ok) {
                into.lock().expect("the log").push_str(&(line + "\n"));
            }
        });
        let mut announced = Vec::new();
        for line in BufReader::new(child.stdout.take().expect("piped")).lines() {
            announced.push(line.expect("UTF-8"));
            let last = announced.last().expect("a line");
            if let Some((_, url)) = last.split_once("stridebook relay ready at ") {
                let address = url.split_once("://").expect("a scheme").1;
                let address = address.parse().expect("an address");
                return Self {
                    child,
                    announced,
                    address,
                    log,
                };
            }
        }
        let _ = child.wait();
        panic!(
            "no ready line: {announced:?} {}",
            log.lock().expect("the log")
        );
    }

    pub fn id(&self) -> u32 {
        self.child.id()
    }

    pub fn connect(&self) -> TcpStream {
        connect(self.address)
    }

    /// Sends a request head (without its last empty line) and reads the answer to
    /// the end of the connection.
    pub fn ask(&self, head: &str) -> Answer {
        let mut stream = self.connect();
        send(&mut stream, head);
        Answer::read(&mut stream)
    }

    pub fn get(&self, path: &str) -> Answer {
        self.ask(&format!("GET {path} HTTP/1.1"))
    }

    /// Waits until the log holds `text`.
    pub fn await_log(&self, text: &str) -> String {
        let begun = Instant::now();
        loop {
            let log = self.log.lock().expect("the log").clone();
            if log.contains(text) {
                return log;
            }
            assert!(begun.elapsed() < PATIENCE, "no {text:?} in the log: {log}");
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    /// Sends a signal by its name, such as `TERM`.
    pub fn signal(&self, name: &str) {
        let id = self.id().to_string();
        let status = Command::new("sh")
            .args(["-c", "kill -s \"$0\" \"$1\"", name, &id])
            .status();
        assert!(status.expect("sh runs").success());
    }

    /// Waits for the end of the process, and tells how long that took.
    pub fn ended(&mut self) -> (ExitStatus, Duration) {
        let begun = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().expect("a child") {
                return (status, begun.elapsed());
            }
            assert!(begun.elapsed() < PATIENCE, "the relay does not end");
            std::thread::sleep(Duration::from_millis(5));
        }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub fn connect(address: SocketAddr) -> TcpStream {
    let stream = TcpStream::connect(address).expect("the relay listens");
    stream.set_read_timeout(Some(PATIENCE)).expect("a timeout");
    stream.set_write_timeout(Some(PATIENCE)).expect("a timeout");
    stream
}

/// Sends a request of which this is the head; the connection is to end after it.
pub fn send(stream: &mut impl Write, head: &str) {
    let request = format!("{head}\r\nHost: relay.test\r\nConnection: close\r\n\r\n");
    stream
        .write_all(request.as_bytes())
        .expect("the request is sent");
}

/// An answer as it came.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn read(stream: &mut impl Read) -> Self {
        let mut all = Vec::new();
        stream.read_to_end(&mut all).expect("an answer");
        let end = all
            .windows(4)
            .position(|four| four == b"\r\n\r\n")
            .expect("a whole head");
        let head = std::str::from_utf8(&all[..end]).expect("ASCII");
        let mut lines = head.split("\r\n");
        let status = lines
            .next()
            .and_then(|line| line.split(' ').nth(1))
            .expect("a status line");
        let header = |line: &str| {
            let (name, value) = line.split_once(": ").expect("a header");
            (name.to_ascii_lowercase(), value.to_owned())
        };
        Self {
            status: status.parse().expect("a number"),
            headers: lines.map(header).collect(),
            body: all[end + 4..].to_vec(),
        }
    }

    /// The value of a header that is there at most once.
    pub fn header(&self, name: &str) -> Option<&str> {
        let mut values = self
            .headers
            .iter()
            .filter(|(n, _)| n == name)
            .map(|(_, v)| v.as_str());
        let value = values.next();
        assert_eq!(values.next(), None, "{name} is there once");
        value
    }

    pub fn text(&self) -> &str {
        std::str::from_utf8(&self.body).expect("UTF-8")
    }
}

/// The path as a command-line argument.
pub fn argument(path: &Path) -> &str {
    path.to_str().expect("UTF-8")
}
