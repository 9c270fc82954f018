//! The tables and their versions. One file a step; a step that has been released
//! is never changed, what changes is a new step.

use sqlx::{AnyConnection, AssertSqlSafe, Connection, Executor, Row};

use crate::Error;
use crate::store::connect::{Database, Kind};

/// The steps in order; the version of a database is how many of them it has had.
const STEPS: [&str; 1] = [include_str!("schema/v1.sql")];

/// How often it is tried, as two relays may start on an empty database together.
const TRIES: u32 = 20;

/// How a column's values are moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// A whole number.
    Number,
    /// Bytes.
    Bytes,
}

/// A table as backup and restore move it.
#[derive(Clone, Copy, Debug)]
pub struct Table {
    /// Its name.
    pub name: &'static str,
    /// Its columns, those of the primary key first.
    pub columns: &'static [(&'static str, Column)],
    /// How many of the columns are the primary key.
    pub key: usize,
}

impl Table {
    /// Whether each row belongs to the notebook in its column `notebook`.
    #[must_use]
    pub fn names_notebook(&self) -> bool {
        self.columns.iter().any(|(name, _)| *name == "notebook")
    }
}

use Column::{Bytes, Number};

/// Every table that holds data.
pub const TABLES: [Table; 9] = [
    Table {
        name: "notebooks",
        key: 1,
        columns: &[
            ("id", Bytes),
            ("members", Number),
            ("last_entry", Bytes),
            ("news", Number),
            ("stored_bytes", Number),
            ("batches", Number),
            ("made_s", Number),
        ],
    },
    Table {
        name: "membership",
        key: 2,
        columns: &[("notebook", Bytes), ("number", Number), ("entry", Bytes)],
    },
    Table {
        name: "devices",
        key: 2,
        columns: &[("device", Bytes), ("notebook", Bytes)],
    },
    Table {
        name: "tips",
        key: 2,
        columns: &[
            ("notebook", Bytes),
            ("device", Bytes),
            ("last", Number),
            ("content", Bytes),
            ("removed_to", Number),
            ("removed_content", Bytes),
        ],
    },
    Table {
        name: "batches",
        key: 3,
        columns: &[
            ("notebook", Bytes),
            ("device", Bytes),
            ("first", Number),
            ("last", Number),
            ("epoch", Number),
            ("content", Bytes),
            ("bytes", Number),
            ("sealed", Bytes),
        ],
    },
    Table {
        name: "acknowledgements",
        key: 2,
        columns: &[("notebook", Bytes), ("device", Bytes), ("signed", Bytes)],
    },
    Table {
        name: "snapshots",
        key: 1,
        columns: &[("notebook", Bytes), ("manifest", Bytes)],
    },
    Table {
        name: "snapshot_parts",
        key: 2,
        columns: &[("notebook", Bytes), ("hash", Bytes), ("part", Bytes)],
    },
    Table {
        name: "mailboxes",
        key: 1,
        columns: &[("name", Bytes), ("sealed", Bytes), ("expires_s", Number)],
    },
];

/// Runs the steps that the database has not had yet, all or none.
///
/// # Errors
/// [`Error::NewerDatabase`], or what the database says.
pub async fn bring_up_to_date(database: &Database) -> Result<(), Error> {
    let mut tries = 1;
    loop {
        match step_by_step(database).await {
            Err(Error::Database(error)) if tries < TRIES && met_another(database.kind, &error) => {
                tracing::debug!(%error, "another relay brings the tables up to date");
                tokio::time::sleep(std::time::Duration::from_millis(50)).await;
                tries += 1;
            }
            other => return other,
        }
    }
}

/// Whether another relay did the same at the same time. PostgreSQL then says that
/// the table is there, or that its name is taken in its own catalogue.
fn met_another(kind: Kind, error: &sqlx::Error) -> bool {
    let code = error.as_database_error().and_then(|error| error.code());
    kind.may_pass_again(error)
        || kind == Kind::Postgres && matches!(code.as_deref(), Some("42P07" | "23505" | "42710"))
}

async fn step_by_step(database: &Database) -> Result<(), Error> {
    let mut connection = database.writers.acquire().await.map_err(Error::Database)?;
    let mut transaction = connection
        .begin_with(database.kind.begin_writing())
        .await
        .map_err(Error::Database)?;
    transaction
        .execute("CREATE TABLE IF NOT EXISTS relay_schema (version INTEGER NOT NULL)")
        .await
        .map_err(Error::Database)?;
    let had = version(&mut transaction).await.map_err(Error::Database)?;
    if had > STEPS.len() {
        return Err(Error::NewerDatabase {
            had,
            known: STEPS.len(),
        });
    }
    for (before, step) in STEPS.iter().enumerate().skip(had) {
        run_step(&mut transaction, database.kind, step)
            .await
            .map_err(Error::Database)?;
        tracing::info!(version = before + 1, "brought the tables up to date");
    }
    if had < STEPS.len() {
        sqlx::query("DELETE FROM relay_schema")
            .execute(&mut *transaction)
            .await
            .map_err(Error::Database)?;
        sqlx::query("INSERT INTO relay_schema (version) VALUES ($1)")
            .bind(i32::try_from(STEPS.len()).expect("few steps"))
            .execute(&mut *transaction)
            .await
            .map_err(Error::Database)?;
    }
    transaction.commit().await.map_err(Error::Database)
}

async fn version(connection: &mut AnyConnection) -> Result<usize, sqlx::Error> {
    let row = sqlx::query("SELECT version FROM relay_schema")
        .fetch_optional(connection)
        .await?;
    let version = row.map_or(Ok(0), |row| row.try_get::<i32, _>(0))?;
    Ok(usize::try_from(version).unwrap_or(0))
}

async fn run_step(
    connection: &mut AnyConnection,
    kind: Kind,
    step: &str,
) -> Result<(), sqlx::Error> {
    let (number, bytes) = match kind {
        Kind::Sqlite => ("INTEGER", "BLOB"),
        Kind::Postgres => ("BIGINT", "BYTEA"),
    };
    let step = step.replace("NUMBER", number).replace("BYTES", bytes);
    for statement in step
        .split(';')
        .map(str::trim)
        .filter(|text| !text.is_empty())
    {
        connection
            .execute(AssertSqlSafe(statement.to_owned()))
            .await?;
    }
    Ok(())
}
