//! The command line: serving, and what an operator does beside it.

use std::net::SocketAddr;
use std::num::NonZeroU32;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};
use notebook::sync::NotebookId;
use time::OffsetDateTime;

use crate::rates::Rates;
use crate::store::change::Quotas;
use crate::store::connect::{Database, Place};
use crate::store::{admin, backup};
use crate::{Config, Error, Limits, TlsChoice};

/// Names the database when it is not the one in the data folder. In the environment,
/// as it may hold a password that a command line would show to everyone.
pub const DATABASE_URL: &str = "STRIDEBOOK_DATABASE_URL";

/// Serves the built Stridebook client and carries sealed entries between phones.
#[derive(Debug, Parser)]
#[command(name = "relay", version)]
pub struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,

    #[command(flatten)]
    serve: Serve,

    /// Folder of the relay's own files: database and certificate authority. With
    /// STRIDEBOOK_DATABASE_URL=postgres://... the database is there instead
    #[arg(long, value_name = "DIR", default_value = "data", global = true)]
    data: PathBuf,
}

#[derive(Debug, Args)]
struct Serve {
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

    /// Write the port to this file once it is listened on; removed at the stop
    #[arg(long, value_name = "FILE")]
    port_file: Option<PathBuf>,

    /// Connections at a time
    #[arg(long, value_name = "N", default_value_t = Limits::default().connections)]
    connections: usize,

    /// Count clients by the last address in X-Forwarded-For, which the proxy in front writes
    #[arg(long)]
    behind_proxy: bool,

    /// Requests a minute from one address; all phones of a club's network share one
    #[arg(long, value_name = "N", default_value_t = Rates::default().by_address)]
    address_rate: NonZeroU32,

    /// Requests a minute for one notebook
    #[arg(long, value_name = "N", default_value_t = Rates::default().by_notebook)]
    notebook_rate: NonZeroU32,

    /// Notebooks that this relay takes
    #[arg(long, value_name = "N", default_value_t = Quotas::default().notebooks)]
    notebooks: i64,

    /// Sealed batches that a notebook may hold
    #[arg(long, value_name = "N", default_value_t = Quotas::default().batches)]
    notebook_batches: i64,

    /// MiB that a notebook may hold
    #[arg(long, value_name = "MIB", default_value_t = Quotas::default().bytes >> 20)]
    notebook_mib: i64,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Write all that the database holds to a new file, also while the relay runs
    Backup {
        /// The file, which must not be there yet
        file: PathBuf,
    },
    /// Put a backup into an empty database
    Restore {
        /// The file of the backup
        file: PathBuf,
    },
    /// List the notebooks: id, entries of the membership log, batches, bytes, date
    Notebooks,
    /// Remove a notebook with all that belongs to it
    RemoveNotebook {
        /// Its id, 64 hexadecimal digits
        id: String,
    },
}

/// What the command line asks for.
#[derive(Debug)]
pub enum Wanted {
    /// To serve.
    Serving(Box<Config>),
    /// To do one thing and end.
    Done(Task),
}

/// One thing to do.
#[derive(Debug)]
pub struct Task {
    command: Command,
    store: Place,
}

impl Arguments {
    /// What is asked for; `database_url` is the value of [`DATABASE_URL`].
    ///
    /// # Errors
    /// [`Error::OddDatabaseUrl`].
    pub fn wanted(self, database_url: Option<String>) -> Result<Wanted, Error> {
        let store = match database_url {
            None => Place::Sqlite(self.data.join("relay.db")),
            Some(url) if url.starts_with("postgres://") || url.starts_with("postgresql://") => {
                Place::Postgres(url)
            }
            Some(_) => return Err(Error::OddDatabaseUrl),
        };
        Ok(match self.command {
            Some(command) => Wanted::Done(Task { command, store }),
            None => Wanted::Serving(Box::new(self.serve.config(self.data, store))),
        })
    }
}

impl Serve {
    fn config(self, data: PathBuf, store: Place) -> Config {
        let tls = match (self.cert, self.key) {
            (Some(cert), Some(key)) => TlsChoice::Given { cert, key },
            _ if self.tls => TlsChoice::Local,
            _ => TlsChoice::Off,
        };
        Config {
            dist: self.dist,
            listen: self.listen,
            tls,
            data,
            port_file: self.port_file,
            limits: Limits {
                connections: self.connections,
                ..Limits::default()
            },
            store,
            quotas: Quotas {
                notebooks: self.notebooks,
                batches: self.notebook_batches,
                bytes: self.notebook_mib << 20,
                ..Quotas::default()
            },
            rates: Rates {
                by_address: self.address_rate,
                by_notebook: self.notebook_rate,
            },
            behind_proxy: self.behind_proxy,
        }
    }
}

impl Task {
    /// Does it; what it has to say, as lines that end in a line feed.
    ///
    /// # Errors
    /// When it cannot be done.
    pub async fn run(self) -> Result<String, Error> {
        let database = Database::open(&self.store).await?;
        let said = match self.command {
            Command::Backup { file } => backup::back_up(&database, &file)
                .await
                .map(|()| format!("the backup is in {}\n", file.display())),
            Command::Restore { file } => backup::restore(&database, &file)
                .await
                .map(|()| format!("restored from {}\n", file.display())),
            Command::Notebooks => admin::notebooks(&database).await.map(|all| listed(&all)),
            Command::RemoveNotebook { id } => remove(&database, &id).await,
        };
        database.close().await;
        said
    }
}

async fn remove(database: &Database, text: &str) -> Result<String, Error> {
    let id: NotebookId = text
        .parse()
        .map_err(|_| Error::NoNotebook(text.to_owned()))?;
    admin::remove(database, id).await?;
    Ok(format!("removed {id}\n"))
}

fn listed(all: &[admin::Summary]) -> String {
    let mut lines = String::from("notebook\tmembership entries\tbatches\tbytes\tsince\n");
    for notebook in all {
        let since = OffsetDateTime::from_unix_timestamp(notebook.made_s)
            .map_or_else(|_| String::from("?"), |at| at.date().to_string());
        lines.push_str(&format!(
            "{}\t{}\t{}\t{}\t{since}\n",
            notebook.id, notebook.members, notebook.batches, notebook.stored_bytes
        ));
    }
    lines
}
