//! The membership log: its beginning, and what is appended to it.

use notebook::sync::problem::Problem;
use notebook::sync::{Membership, NotebookId, Vector};
use sqlx::{AnyConnection, Row};

use crate::refusal::Refusal;
use crate::store::append::point;
use crate::store::change::{Notebook, Outcome, Quotas, find_checked};
use crate::store::compact;

pub(super) async fn found(
    connection: &mut AnyConnection,
    quotas: &Quotas,
    after: &Membership,
    entry: &[u8],
    now_s: i64,
) -> Result<Result<Outcome, Refusal>, sqlx::Error> {
    let id = after.id();
    if Notebook::find(connection, id).await?.is_some() {
        return Ok(Ok(Outcome::Known));
    }
    let notebooks: i64 = sqlx::query("SELECT COUNT(*) FROM notebooks")
        .fetch_one(&mut *connection)
        .await?
        .try_get(0)?;
    if notebooks >= quotas.notebooks {
        return Ok(Err(Problem::Quota.into()));
    }
    sqlx::query(
        "INSERT INTO notebooks (id, members, last_entry, news, stored_bytes, batches, made_s) \
         VALUES ($1, 1, $2, 1, 0, 0, $3)",
    )
    .bind(&id.as_bytes()[..])
    .bind(&after.head().as_bytes()[..])
    .bind(now_s)
    .execute(&mut *connection)
    .await?;
    insert_entry(connection, id, 0, entry).await?;
    list_devices(connection, after).await?;
    Ok(Ok(Outcome::Made))
}

pub(super) async fn admit(
    connection: &mut AnyConnection,
    checked: &Membership,
    after: &Membership,
    entry: &[u8],
    closed: Option<&Vector>,
    again: bool,
) -> Result<Result<Outcome, Refusal>, sqlx::Error> {
    if let Err(instead) = find_checked(connection, checked).await? {
        return Ok(instead);
    }
    if let Some(closed) = closed {
        let beyond = beyond(connection, checked.id(), closed).await?;
        let behind_removed = beyond
            .iter()
            .any(|author| author.keep_to < author.removed_to);
        if behind_removed || !again && !beyond.is_empty() {
            return Ok(Err(Problem::NotInStep.into()));
        }
        for author in &beyond {
            drop_beyond(connection, checked.id(), author).await?;
        }
    }
    insert_entry(connection, checked.id(), checked.len(), entry).await?;
    sqlx::query(
        "UPDATE notebooks SET members = $2, last_entry = $3, news = news + 1 WHERE id = $1",
    )
    .bind(&checked.id().as_bytes()[..])
    .bind(i64::from(after.len()))
    .bind(&after.head().as_bytes()[..])
    .execute(&mut *connection)
    .await?;
    list_devices(connection, after).await?;
    if closed.is_some() {
        // Who was taken off does not have to acknowledge any more.
        compact::compact(connection, after).await?;
    }
    Ok(Ok(Outcome::Made))
}

async fn insert_entry(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    number: u32,
    entry: &[u8],
) -> Result<(), sqlx::Error> {
    sqlx::query("INSERT INTO membership (notebook, number, entry) VALUES ($1, $2, $3)")
        .bind(&notebook.as_bytes()[..])
        .bind(i64::from(number))
        .bind(entry)
        .execute(connection)
        .await
        .map(|_| ())
}

/// Writes down who belongs to the present epoch.
async fn list_devices(
    connection: &mut AnyConnection,
    after: &Membership,
) -> Result<(), sqlx::Error> {
    sqlx::query("DELETE FROM devices WHERE notebook = $1")
        .bind(&after.id().as_bytes()[..])
        .execute(&mut *connection)
        .await?;
    for member in after.members() {
        sqlx::query("INSERT INTO devices (device, notebook) VALUES ($1, $2)")
            .bind(&member.device.as_bytes()[..])
            .bind(&after.id().as_bytes()[..])
            .execute(&mut *connection)
            .await?;
    }
    Ok(())
}

/// An author of whom more is stored than a new epoch counts.
struct Beyond {
    device: Vec<u8>,
    /// The last entry that counts.
    keep_to: i64,
    removed_to: i64,
    removed_content: Vec<u8>,
}

async fn beyond(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    closed: &Vector,
) -> Result<Vec<Beyond>, sqlx::Error> {
    let rows = sqlx::query(
        "SELECT device, last, content, removed_to, removed_content FROM tips WHERE notebook = $1",
    )
    .bind(&notebook.as_bytes()[..])
    .fetch_all(connection)
    .await?;
    let mut beyond = Vec::new();
    for row in rows {
        let device: Vec<u8> = row.try_get(0)?;
        let tip = point(row.try_get(1)?, &row.try_get::<Vec<u8>, _>(2)?)?;
        let counts = closed.get(super::look::device(&device)?);
        let keep_to = match counts {
            Some(counts) if counts.last > tip.last || counts == tip => continue,
            // The batch that ends there is another one, so it is dropped too.
            Some(counts) if counts.last == tip.last => i64::from(counts.last) - 1,
            Some(counts) => i64::from(counts.last),
            None => 0,
        };
        beyond.push(Beyond {
            device,
            keep_to,
            removed_to: row.try_get(3)?,
            removed_content: row.try_get(4)?,
        });
    }
    Ok(beyond)
}

/// Drops what does not count; its author pushes it again, sealed anew.
async fn drop_beyond(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    author: &Beyond,
) -> Result<(), sqlx::Error> {
    compact::remove_batches(
        connection,
        notebook,
        &author.device,
        author.keep_to,
        i64::MAX,
    )
    .await?;
    let left = sqlx::query(
        "SELECT last, content FROM batches WHERE notebook = $1 AND device = $2 \
         ORDER BY first DESC LIMIT 1",
    )
    .bind(&notebook.as_bytes()[..])
    .bind(&author.device[..])
    .fetch_optional(&mut *connection)
    .await?;
    let (last, content) = match left {
        Some(row) => (row.try_get(0)?, row.try_get(1)?),
        None => (author.removed_to, author.removed_content.clone()),
    };
    if last == 0 {
        return sqlx::query("DELETE FROM tips WHERE notebook = $1 AND device = $2")
            .bind(&notebook.as_bytes()[..])
            .bind(&author.device[..])
            .execute(connection)
            .await
            .map(|_| ());
    }
    sqlx::query("UPDATE tips SET last = $3, content = $4 WHERE notebook = $1 AND device = $2")
        .bind(&notebook.as_bytes()[..])
        .bind(&author.device[..])
        .bind(last)
        .bind(content)
        .execute(connection)
        .await
        .map(|_| ())
}
