//! Backup and restore. A backup is one SQLite file with the relay's own tables,
//! whatever database it was taken from; so it also moves a club from SQLite to
//! PostgreSQL and back. Taken while the relay runs, it holds one moment of it.

use std::fs;
use std::path::{Path, PathBuf};

use sqlx::any::{AnyArguments, AnyRow};
use sqlx::query::Query;
use sqlx::{Any, AnyConnection, AssertSqlSafe, Connection, Executor, Row};

use crate::Error;
use crate::store::connect::{Database, Kind, Place};
use crate::store::schema::{Column, TABLES, Table};

/// Rows read at a time. A row has at most 256 KiB.
const AT_ONCE: usize = 64;

/// Writes all that the database holds to a new file.
///
/// # Errors
/// When the file is there already or cannot be written, or the database fails.
pub async fn back_up(database: &Database, path: &Path) -> Result<(), Error> {
    if path.exists() {
        return Err(Error::BackupExists(path.to_owned()));
    }
    let unfinished = beside(path, ".unfinished");
    remove_sqlite(&unfinished);
    let copy = Database::open(&Place::Sqlite(unfinished.clone())).await?;
    let copied = copy_all(database, &copy).await;
    // One file: without its log, a copy of it is whole.
    let folded = copy
        .writers
        .execute("PRAGMA wal_checkpoint(TRUNCATE)")
        .await;
    copy.close().await;
    let finished = copied
        .and(folded.map(|_| ()).map_err(Error::Database))
        .and_then(|()| finish(&unfinished, path));
    if finished.is_err() {
        remove_sqlite(&unfinished);
    }
    finished
}

/// Puts the file in its place once it is on the disk.
fn finish(unfinished: &Path, path: &Path) -> Result<(), Error> {
    fs::File::open(unfinished)
        .and_then(|file| file.sync_all())
        .and_then(|()| fs::rename(unfinished, path))
        .map_err(|source| Error::BackupFile {
            path: path.to_owned(),
            source,
        })
}

/// Puts what a backup holds into an empty database, all or nothing.
///
/// # Errors
/// When the file is no backup, or the database is not empty or fails.
pub async fn restore(database: &Database, path: &Path) -> Result<(), Error> {
    // Worked on in a copy: opening brings tables up to date, and a backup stays as
    // it is.
    let working = beside(path, ".restoring");
    remove_sqlite(&working);
    let restored = restore_from(database, path, &working).await;
    remove_sqlite(&working);
    restored
}

async fn restore_from(database: &Database, path: &Path, working: &Path) -> Result<(), Error> {
    fs::copy(path, working).map_err(|source| Error::BackupFile {
        path: path.to_owned(),
        source,
    })?;
    let opened = Database::open(&Place::Sqlite(working.to_owned())).await;
    let backup = opened.map_err(|error| match error {
        Error::Database(_) => Error::NoBackup(path.to_owned()),
        other => other,
    })?;
    let copied = if is_empty(database).await? {
        copy_all(&backup, database).await
    } else {
        Err(Error::NotEmpty)
    };
    backup.close().await;
    copied
}

async fn is_empty(database: &Database) -> Result<bool, Error> {
    sqlx::query("SELECT id FROM notebooks LIMIT 1")
        .fetch_optional(&database.readers)
        .await
        .map(|row| row.is_none())
        .map_err(Error::Database)
}

/// Copies every row, read from one state and written in one transaction.
async fn copy_all(from: &Database, to: &Database) -> Result<(), Error> {
    let copying = async {
        let mut reading = from.readers.acquire().await?;
        let mut reading = reading.begin_with(from.kind.begin_reading()).await?;
        let mut writing = to.writers.acquire().await?;
        let mut writing = writing.begin_with(begin_copying(to.kind)).await?;
        for table in &TABLES {
            copy_table(&mut reading, &mut writing, table).await?;
        }
        writing.commit().await?;
        reading.commit().await
    };
    copying.await.map_err(Error::Database)
}

/// Nobody else works on a database that is being filled, so PostgreSQL need not look
/// for conflicts among all the rows.
const fn begin_copying(kind: Kind) -> &'static str {
    match kind {
        Kind::Sqlite => "BEGIN IMMEDIATE",
        Kind::Postgres => "BEGIN",
    }
}

async fn copy_table(
    from: &mut AnyConnection,
    to: &mut AnyConnection,
    table: &Table,
) -> Result<(), sqlx::Error> {
    let insert = insert(table);
    let mut last: Option<AnyRow> = None;
    loop {
        let text = select(table, last.is_some());
        let mut query = sqlx::query(AssertSqlSafe(text));
        if let Some(last) = &last {
            for at in 0..table.key {
                query = bind(query, last, table, at)?;
            }
        }
        let mut rows = query.fetch_all(&mut *from).await?;
        for row in &rows {
            let mut query = sqlx::query(AssertSqlSafe(insert.clone()));
            for at in 0..table.columns.len() {
                query = bind(query, row, table, at)?;
            }
            query.execute(&mut *to).await?;
        }
        if rows.len() < AT_ONCE {
            return Ok(());
        }
        last = rows.pop();
    }
}

fn bind<'q>(
    query: Query<'q, Any, AnyArguments>,
    row: &AnyRow,
    table: &Table,
    at: usize,
) -> Result<Query<'q, Any, AnyArguments>, sqlx::Error> {
    Ok(match table.columns[at].1 {
        Column::Number => query.bind(row.try_get::<i64, _>(at)?),
        Column::Bytes => query.bind(row.try_get::<Vec<u8>, _>(at)?),
    })
}

/// The next rows in order of the key; `after` a row whose key is bound.
fn select(table: &Table, after: bool) -> String {
    let names = names(table, table.columns.len());
    let key = self::names(table, table.key);
    let places: Vec<String> = (1..=table.key).map(|at| format!("${at}")).collect();
    let beyond = if after {
        format!("WHERE ({key}) > ({}) ", places.join(", "))
    } else {
        String::new()
    };
    format!(
        "SELECT {names} FROM {} {beyond}ORDER BY {key} LIMIT {AT_ONCE}",
        table.name
    )
}

fn insert(table: &Table) -> String {
    let places: Vec<String> = (1..=table.columns.len())
        .map(|at| format!("${at}"))
        .collect();
    let names = names(table, table.columns.len());
    format!(
        "INSERT INTO {} ({names}) VALUES ({})",
        table.name,
        places.join(", ")
    )
}

fn names(table: &Table, how_many: usize) -> String {
    let names: Vec<&str> = table.columns[..how_many]
        .iter()
        .map(|(name, _)| *name)
        .collect();
    names.join(", ")
}

fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    name.into()
}

/// Removes a database file with its companions, if they are there.
fn remove_sqlite(path: &Path) {
    for ending in ["", "-wal", "-shm"] {
        // Not there is what is wanted.
        let _ = fs::remove_file(beside(path, ending));
    }
}
