//! Everything that can keep the relay from starting, or a command from being done,
//! one sentence a case.

use std::io;
use std::net::SocketAddr;
use std::path::PathBuf;

/// Why the relay cannot start or do a command. Each sentence names what to change.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// `--dist` names nothing, or no folder.
    #[error("--dist {}: there is no such folder; build the client first or name its dist folder", .0.display())]
    DistMissing(PathBuf),
    /// `--dist` names a folder that is no built client.
    #[error("--dist {}: the folder holds no index.html, so it is not a built client", .0.display())]
    NoIndex(PathBuf),
    /// A file of the client could not be read.
    #[error("--dist: {} cannot be read", path.display())]
    ReadDist {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// All files are held in memory, so their sum is bounded.
    #[error("--dist {}: the files are more than {limit_mib} MiB together, and all of them are held in memory", path.display())]
    DistTooLarge {
        /// The dist folder.
        path: PathBuf,
        /// The bound in MiB.
        limit_mib: u64,
    },
    /// Something that cannot have an address: a link, a device, a name that is not UTF-8.
    #[error("--dist: {} is not a plain file with a UTF-8 name", .0.display())]
    OddEntry(PathBuf),
    /// The content policy of the relay would keep this script from running.
    #[error(
        "--dist: {file} line {line} holds an inline <script>, which the Content-Security-Policy forbids; move it to a file of its own"
    )]
    InlineScript {
        /// The page, as it is addressed.
        file: String,
        /// The line of the opening tag, from 1.
        line: usize,
    },
    /// A `.br` or `.gz` beside a file was made from other content.
    #[error(
        "--dist: {sibling} does not unpack to {file}; it is left from another build, so build the client again"
    )]
    StaleSibling {
        /// The compressed file.
        sibling: String,
        /// The file beside it.
        file: String,
    },
    /// The port is in use.
    #[error(
        "--listen {0}: another process listens there already; choose another port, or 0 for any free one"
    )]
    PortInUse(SocketAddr),
    /// The address cannot be listened on for another reason.
    #[error("--listen {listen}: cannot listen there")]
    Listen {
        /// The address asked for.
        listen: SocketAddr,
        /// What the system said.
        source: io::Error,
    },
    /// The port could not be written down.
    #[error("--port-file {}: cannot be written", path.display())]
    PortFile {
        /// The file asked for.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A given PEM file could not be read.
    #[error("{flag} {}: cannot be read", path.display())]
    ReadPem {
        /// `--cert` or `--key`.
        flag: &'static str,
        /// The file given.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A given PEM file holds nothing of the kind asked for.
    #[error("{flag} {}: holds no {wanted} in PEM form", path.display())]
    NothingInPem {
        /// `--cert` or `--key`.
        flag: &'static str,
        /// The file given.
        path: PathBuf,
        /// What was looked for.
        wanted: &'static str,
    },
    /// Certificate and key were read, but cannot serve together.
    #[error("--cert {} and --key {}: cannot be used together", cert.display(), key.display())]
    CertAndKey {
        /// The certificate file.
        cert: PathBuf,
        /// The key file.
        key: PathBuf,
        /// What the TLS library said.
        source: rustls::Error,
    },
    /// The folder for the relay's own files cannot be used.
    #[error("--data: {} cannot be used", path.display())]
    Data {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The kept authority is there but damaged. It is never replaced silently:
    /// phones trust the old one.
    #[error("--data: {} is not a certificate authority of this relay; move it away, and a new one is made that each phone has to trust again", .0.display())]
    DamagedAuthority(PathBuf),
    /// A certificate could not be made.
    #[error("--tls: a certificate could not be made")]
    MakeCertificate(#[from] rcgen::Error),
    /// A certificate that was just made or read does not serve this machine.
    #[error("--tls: the certificate does not serve this machine")]
    Unfit(#[from] rustls::Error),
    /// The machine did not tell its addresses.
    #[error("the addresses of this machine cannot be read")]
    Addresses(#[source] io::Error),
    /// The process could not be told to listen for its stop.
    #[error("the stop signals cannot be listened for")]
    Signals(#[source] io::Error),
    /// The database cannot be opened, or fails.
    #[error("the database cannot be used")]
    Database(#[source] sqlx::Error),
    /// A newer relay has changed the tables.
    #[error(
        "the database has version {had} and this relay knows {known}: it belongs to a newer relay, so run that one"
    )]
    NewerDatabase {
        /// The database's version.
        had: usize,
        /// The latest version that this relay knows.
        known: usize,
    },
    /// SQLite is told its file by a URL.
    #[error("--data: {} is not UTF-8, so the database cannot be opened there", .0.display())]
    OddDatabasePath(PathBuf),
    /// The URL of the database is of another kind.
    #[error("STRIDEBOOK_DATABASE_URL begins neither with postgres:// nor with postgresql://")]
    OddDatabaseUrl,
    /// A backup must not overwrite anything.
    #[error("{} is there already: name a file that is not", .0.display())]
    BackupExists(PathBuf),
    /// The file of a backup cannot be written or read.
    #[error("the backup {} cannot be used", path.display())]
    BackupFile {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file is no backup of a relay.
    #[error("{} is no backup of a relay", .0.display())]
    NoBackup(PathBuf),
    /// Restoring must not mix two relays' notebooks.
    #[error(
        "the database holds notebooks already: restore into an empty one, and move this one away before"
    )]
    NotEmpty,
    /// A command names a notebook that is not there.
    #[error("there is no notebook {0}")]
    NoNotebook(String),
}
