//! What an operator can see and do: sizes and dates, and removal. Never content:
//! nobody here could read it.

use notebook::sync::NotebookId;
use sqlx::{AssertSqlSafe, Connection, Row};

use crate::Error;
use crate::store::connect::Database;
use crate::store::schema::TABLES;

/// What is known of a notebook without its keys.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Summary {
    /// Its id in hexadecimal digits.
    pub id: String,
    /// Entries of its membership log.
    pub members: i64,
    /// Batches that are kept.
    pub batches: i64,
    /// Bytes that count against its quota.
    pub stored_bytes: i64,
    /// When it came to this relay, in seconds since 1970.
    pub made_s: i64,
}

/// All notebooks, the largest first.
///
/// # Errors
/// When the database fails.
pub async fn notebooks(database: &Database) -> Result<Vec<Summary>, Error> {
    let asked = sqlx::query(
        "SELECT id, members, batches, stored_bytes, made_s FROM notebooks \
         ORDER BY stored_bytes DESC, id",
    )
    .fetch_all(&database.readers)
    .await;
    let summary = |row: &sqlx::any::AnyRow| {
        Ok(Summary {
            id: crate::hex::to_hex(&row.try_get::<Vec<u8>, _>(0)?),
            members: row.try_get(1)?,
            batches: row.try_get(2)?,
            stored_bytes: row.try_get(3)?,
            made_s: row.try_get(4)?,
        })
    };
    asked
        .and_then(|rows| rows.iter().map(summary).collect())
        .map_err(Error::Database)
}

/// Removes a notebook with all that belongs to it. Phones that hold it can bring it
/// back; tell them before.
///
/// # Errors
/// [`Error::NoNotebook`], or when the database fails.
pub async fn remove(database: &Database, id: NotebookId) -> Result<(), Error> {
    let mut tries = 1;
    loop {
        match remove_once(database, id).await {
            Ok(0) => return Err(Error::NoNotebook(id.to_string())),
            Ok(_) => return Ok(()),
            Err(error) if tries < 12 && database.kind.may_pass_again(&error) => tries += 1,
            Err(error) => return Err(Error::Database(error)),
        }
    }
}

async fn remove_once(database: &Database, id: NotebookId) -> Result<u64, sqlx::Error> {
    let mut connection = database.writers.acquire().await?;
    let mut transaction = connection.begin_with(database.kind.begin_writing()).await?;
    for table in TABLES.iter().filter(|table| table.names_notebook()) {
        let text = format!("DELETE FROM {} WHERE notebook = $1", table.name);
        sqlx::query(AssertSqlSafe(text))
            .bind(&id.as_bytes()[..])
            .execute(&mut *transaction)
            .await?;
    }
    let removed = sqlx::query("DELETE FROM notebooks WHERE id = $1")
        .bind(&id.as_bytes()[..])
        .execute(&mut *transaction)
        .await?;
    transaction.commit().await?;
    Ok(removed.rows_affected())
}
