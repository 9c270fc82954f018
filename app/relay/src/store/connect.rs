//! Opens the database: SQLite in the data folder, or what a URL names.

use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::time::Duration;

use sqlx::AnyPool;
use sqlx::any::{AnyConnectOptions, AnyPoolOptions};
use sqlx::{AnyConnection, ConnectOptions, Executor};

use crate::Error;
use crate::private::{create_private_folder, data_error, tighten};
use crate::store::schema;

/// Where entries are kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// In this file, with its companions `-wal` and `-shm`.
    Sqlite(PathBuf),
    /// In the database of this URL, `postgres://...`; anything that speaks its
    /// protocol and has serializable transactions.
    Postgres(String),
}

/// What differs between the two databases, and nothing else does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// SQLite.
    Sqlite,
    /// PostgreSQL.
    Postgres,
}

impl Kind {
    /// Begins a transaction that writes. SQLite takes its one write lock at once,
    /// or the transaction could not be upgraded later; PostgreSQL finds conflicts
    /// at the commit.
    #[must_use]
    pub const fn begin_writing(self) -> &'static str {
        match self {
            Self::Sqlite => "BEGIN IMMEDIATE",
            Self::Postgres => "BEGIN ISOLATION LEVEL SERIALIZABLE",
        }
    }

    /// Begins a transaction that sees one state of the database throughout.
    #[must_use]
    pub const fn begin_reading(self) -> &'static str {
        match self {
            Self::Sqlite => "BEGIN DEFERRED",
            Self::Postgres => "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
        }
    }

    /// Whether the transaction failed only because of others at the same time, so
    /// that it may go through when it is run again.
    #[must_use]
    pub fn may_pass_again(self, error: &sqlx::Error) -> bool {
        let Some(code) = error.as_database_error().and_then(|error| error.code()) else {
            return false;
        };
        match self {
            // Serialization failure, deadlock (PostgreSQL 15, appendix A), and two
            // relays that bring the tables up to date at the same time.
            Self::Postgres => matches!(&*code, "40001" | "40P01"),
            // Busy and locked with their extended codes (sqlite.org/rescode.html).
            Self::Sqlite => code
                .parse::<u32>()
                .is_ok_and(|code| matches!(code & 0xff, 5 | 6)),
        }
    }
}

/// An open database.
#[derive(Clone, Debug)]
pub struct Database {
    /// Which of the two it is.
    pub kind: Kind,
    /// For reading, and for PostgreSQL the writing too.
    pub readers: AnyPool,
    /// For writing: with SQLite a single connection, as it lets one write at a time.
    pub writers: AnyPool,
}

/// Connections that read. More would only wait for the processors.
const READERS: u32 = 8;

/// How long to wait for a connection of the pool, and for SQLite's write lock.
const PATIENCE: Duration = Duration::from_secs(5);

impl Database {
    /// Opens it and brings its tables up to date.
    ///
    /// # Errors
    /// [`Error::Database`] when it cannot be opened, [`Error::NewerDatabase`] when a
    /// newer relay made its tables.
    pub async fn open(place: &Place) -> Result<Self, Error> {
        sqlx::any::install_default_drivers();
        let opened = match place {
            Place::Sqlite(path) => open_sqlite(path).await?,
            Place::Postgres(url) => open_postgres(url).await?,
        };
        schema::bring_up_to_date(&opened).await?;
        Ok(opened)
    }

    /// Closes all connections; SQLite folds its log back into the file.
    pub async fn close(&self) {
        self.readers.close().await;
        self.writers.close().await;
    }
}

async fn open_sqlite(path: &Path) -> Result<Database, Error> {
    if let Some(folder) = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
    {
        create_private_folder(folder).map_err(data_error(folder))?;
    }
    make_private_file(path)?;
    let options = AnyConnectOptions::from_str(&sqlite_url(path)?)
        .map_err(Error::Database)?
        .disable_statement_logging();
    let pool = |connections: u32| {
        AnyPoolOptions::new()
            .max_connections(connections)
            .acquire_timeout(PATIENCE)
            .idle_timeout(None)
            .max_lifetime(None)
            .after_connect(|connection, _| Box::pin(prepare_sqlite(connection)))
    };
    Ok(Database {
        kind: Kind::Sqlite,
        writers: pool(1)
            .connect_with(options.clone())
            .await
            .map_err(Error::Database)?,
        readers: pool(READERS)
            .connect_with(options)
            .await
            .map_err(Error::Database)?,
    })
}

/// SQLite makes its files open to others unless the file is there already; the
/// companions take over its mode.
fn make_private_file(path: &Path) -> Result<(), Error> {
    let mut options = std::fs::OpenOptions::new();
    options.create(true).truncate(false).write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options
        .open(path)
        .and_then(|_| tighten(path))
        .map_err(data_error(path))
}

fn sqlite_url(path: &Path) -> Result<String, Error> {
    let text = path
        .to_str()
        .ok_or_else(|| Error::OddDatabasePath(path.to_owned()))?;
    let quoted = percent_encoding::utf8_percent_encode(text, PATH_ESCAPES);
    Ok(format!("sqlite://{quoted}"))
}

/// What ends the path in the URL of a database.
const PATH_ESCAPES: &percent_encoding::AsciiSet = &percent_encoding::CONTROLS
    .add(b'%')
    .add(b'?')
    .add(b'#')
    .add(b' ');

/// `synchronous=FULL` in WAL mode: a commit returns when the log is on the disk
/// (sqlite.org/pragma.html#pragma_synchronous).
async fn prepare_sqlite(connection: &mut AnyConnection) -> Result<(), sqlx::Error> {
    for pragma in [
        "PRAGMA busy_timeout = 5000",
        "PRAGMA journal_mode = WAL",
        "PRAGMA synchronous = FULL",
        "PRAGMA foreign_keys = ON",
        // What is deleted is overwritten: a removed notebook is gone.
        "PRAGMA secure_delete = FAST",
        "PRAGMA cache_size = -8000",
    ] {
        connection.execute(pragma).await?;
    }
    Ok(())
}

async fn open_postgres(url: &str) -> Result<Database, Error> {
    let options = AnyConnectOptions::from_str(url)
        .map_err(Error::Database)?
        .disable_statement_logging();
    let pool = AnyPoolOptions::new()
        .max_connections(READERS + 2)
        .acquire_timeout(PATIENCE)
        .after_connect(|connection, _| Box::pin(prepare_postgres(connection)))
        .connect_with(options)
        .await
        .map_err(Error::Database)?;
    Ok(Database {
        kind: Kind::Postgres,
        readers: pool.clone(),
        writers: pool,
    })
}

/// An acknowledged change is on the disk, whatever the server's own setting is. A
/// server that does not know the setting has no such shortcut.
async fn prepare_postgres(connection: &mut AnyConnection) -> Result<(), sqlx::Error> {
    if let Err(error) = connection.execute("SET synchronous_commit = on").await {
        if error.as_database_error().is_none() {
            return Err(error);
        }
        tracing::debug!(%error, "the database has no synchronous_commit");
    }
    Ok(())
}
