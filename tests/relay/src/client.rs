//! HTTP/1.1 by hand over one connection, so that nothing between hides what is on
//! the wire or repeats a request unasked.

use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

use serde_json::Value;

use crate::described;

/// Longer than the longest wait of the relay.
const PATIENCE: Duration = Duration::from_secs(45);

/// An answer as it came.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Its status.
    pub status: u16,
    /// Its headers, names in lower case.
    pub headers: Vec<(String, String)>,
    /// Its body.
    pub body: Vec<u8>,
}

impl Answer {
    /// The value of a header.
    #[must_use]
    pub fn header(&self, name: &str) -> Option<&str> {
        let mut named = self.headers.iter().filter(|(n, _)| n == name);
        named.next().map(|(_, value)| value.as_str())
    }

    /// The body as JSON.
    ///
    /// # Panics
    /// When it is not.
    #[must_use]
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("no JSON: {self:?}"))
    }

    /// Status and code of a refusal; the code is empty for what is none.
    #[must_use]
    pub fn refusal(&self) -> (u16, String) {
        let body: Value = serde_json::from_slice(&self.body).unwrap_or_default();
        let code = body["code"].as_str().unwrap_or_default();
        (self.status, code.to_owned())
    }
}

/// What is asked.
#[derive(Debug, Clone, Copy, Default)]
pub struct Ask<'a> {
    /// The method.
    pub method: &'a str,
    /// Path and query.
    pub target: &'a str,
    /// Further headers.
    pub headers: &'a [(&'a str, &'a str)],
    /// The body.
    pub body: &'a [u8],
}

/// A connection to a relay, opened when it is first needed and again when broken.
pub struct Client {
    address: SocketAddr,
    stream: Option<BufReader<TcpStream>>,
    /// Whether each answer is held against the description.
    checked: bool,
}

impl Client {
    /// A client whose every answer is held against the description.
    #[must_use]
    pub const fn new(address: SocketAddr) -> Self {
        Self {
            address,
            stream: None,
            checked: true,
        }
    }

    /// A client for speed, which takes answers as they come.
    #[must_use]
    pub const fn unchecked(address: SocketAddr) -> Self {
        Self {
            address,
            stream: None,
            checked: false,
        }
    }

    /// Asks, and expects an answer.
    ///
    /// # Panics
    /// When there is none, or it is not as the relay describes it.
    pub fn ask(&mut self, ask: &Ask) -> Answer {
        let answer = self.try_ask(ask);
        answer.unwrap_or_else(|error| panic!("{} {}: {error}", ask.method, ask.target))
    }

    /// Asks once. After an error nobody knows whether the relay has done it.
    ///
    /// # Errors
    /// When the connection cannot be made or breaks.
    ///
    /// # Panics
    /// When the answer is not as the relay describes it.
    pub fn try_ask(&mut self, ask: &Ask) -> io::Result<Answer> {
        let stream = match self.stream.take() {
            Some(stream) => stream,
            None => connect(self.address)?,
        };
        let (answer, stream) = exchange(stream, ask)?;
        if answer.header("connection") != Some("close") {
            self.stream = Some(stream);
        }
        if self.checked {
            described::check(ask.method, ask.target, &answer);
        }
        Ok(answer)
    }
}

fn connect(address: SocketAddr) -> io::Result<BufReader<TcpStream>> {
    let stream = TcpStream::connect(address)?;
    stream.set_nodelay(true)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    Ok(BufReader::new(stream))
}

fn exchange(
    mut stream: BufReader<TcpStream>,
    ask: &Ask,
) -> io::Result<(Answer, BufReader<TcpStream>)> {
    let mut request = format!(
        "{} {} HTTP/1.1\r\nhost: relay.test\r\n",
        ask.method, ask.target
    );
    for (name, value) in ask.headers {
        request.push_str(&format!("{name}: {value}\r\n"));
    }
    request.push_str(&format!("content-length: {}\r\n\r\n", ask.body.len()));
    let mut bytes = request.into_bytes();
    bytes.extend(ask.body);
    // The relay may answer and hang up before it has read all of too long a body.
    let written = stream.get_mut().write_all(&bytes);
    let answer = read(&mut stream, ask.method);
    match (written, answer) {
        (_, Ok(answer)) => Ok((answer, stream)),
        (Err(error), Err(_)) | (Ok(()), Err(error)) => Err(error),
    }
}

fn read(stream: &mut BufReader<TcpStream>, method: &str) -> io::Result<Answer> {
    let odd = |what: &str| io::Error::new(io::ErrorKind::InvalidData, what.to_owned());
    let mut line = String::new();
    if stream.read_line(&mut line)? == 0 {
        return Err(io::ErrorKind::UnexpectedEof.into());
    }
    let status = line
        .split(' ')
        .nth(1)
        .and_then(|status| status.parse().ok());
    let status: u16 = status.ok_or_else(|| odd(&line))?;
    let mut headers = Vec::new();
    loop {
        let mut line = String::new();
        if stream.read_line(&mut line)? == 0 {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        let line = line.trim_end();
        if line.is_empty() {
            break;
        }
        let (name, value) = line.split_once(": ").ok_or_else(|| odd(line))?;
        headers.push((name.to_ascii_lowercase(), value.to_owned()));
    }
    let length = headers
        .iter()
        .find(|(name, _)| name == "content-length")
        .and_then(|(_, value)| value.parse().ok());
    let length = match (status, method) {
        (204 | 304, _) | (_, "HEAD") => 0,
        _ => length.ok_or_else(|| odd("an answer without a length"))?,
    };
    let mut body = vec![0; length];
    stream.read_exact(&mut body)?;
    Ok(Answer {
        status,
        headers,
        body,
    })
}
