//! A batch to the end of its author's log. The one change that has to be fast.

use notebook::sync::batch::{Header, Held, Place, place};
use notebook::sync::problem::Problem;
use notebook::sync::{Hash, Membership, Point};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

use crate::refusal::Refusal;
use crate::store::change::{Notebook, Outcome, Quotas};

pub(super) async fn append(
    connection: &mut AnyConnection,
    quotas: &Quotas,
    checked: &Membership,
    header: &Header,
    sealed: &[u8],
) -> Result<Result<Outcome, Refusal>, sqlx::Error> {
    let Some(row) = look(connection, header).await? else {
        return Ok(Err(Problem::NoNotebook.into()));
    };
    let notebook = Notebook::from_row(&row)?;
    if !notebook.has_log(checked) {
        return Ok(Ok(Outcome::LogMoved));
    }
    let held_bytes: Option<i64> = row.try_get("held_bytes")?;
    let more_bytes = i64::try_from(sealed.len()).unwrap_or(i64::MAX) - held_bytes.unwrap_or(0);
    let placed = match place(header, tip(&row)?, held(&row)?) {
        Ok(Place::Known) => return Ok(Ok(Outcome::Known)),
        Ok(placed) => placed,
        Err(error) => return Ok(Err(error.into())),
    };
    let batches: i64 = row.try_get("batches")?;
    let is_next = placed == Place::Next;
    if notebook.stored_bytes + more_bytes > quotas.bytes || is_next && batches >= quotas.batches {
        return Ok(Err(Problem::Quota.into()));
    }
    if is_next {
        insert(connection, header, sealed).await?;
        move_tip(connection, header).await?;
    } else {
        replace(connection, header, sealed).await?;
    }
    sqlx::query(
        "UPDATE notebooks SET news = news + 1, stored_bytes = stored_bytes + $2, \
         batches = batches + $3 WHERE id = $1",
    )
    .bind(&header.notebook.as_bytes()[..])
    .bind(more_bytes)
    .bind(i64::from(is_next))
    .execute(connection)
    .await?;
    Ok(Ok(Outcome::Made))
}

/// All that decides about a batch, in one question.
async fn look(
    connection: &mut AnyConnection,
    header: &Header,
) -> Result<Option<AnyRow>, sqlx::Error> {
    sqlx::query(
        "SELECT n.members, n.last_entry, n.stored_bytes, n.batches AS batches, \
         t.last AS tip_last, t.content AS tip_content, b.content AS held_content, \
         b.epoch AS held_epoch, b.bytes AS held_bytes FROM notebooks n \
         LEFT JOIN tips t ON t.notebook = n.id AND t.device = $2 \
         LEFT JOIN batches b ON b.notebook = n.id AND b.device = $2 AND b.first = $3 \
         WHERE n.id = $1",
    )
    .bind(&header.notebook.as_bytes()[..])
    .bind(&header.device.as_bytes()[..])
    .bind(i64::from(header.first))
    .fetch_optional(connection)
    .await
}

fn tip(row: &AnyRow) -> Result<Option<Point>, sqlx::Error> {
    let last: Option<i64> = row.try_get("tip_last")?;
    let content: Option<Vec<u8>> = row.try_get("tip_content")?;
    last.zip(content)
        .map(|(last, content)| point(last, &content))
        .transpose()
}

fn held(row: &AnyRow) -> Result<Option<Held>, sqlx::Error> {
    let epoch: Option<i64> = row.try_get("held_epoch")?;
    let content: Option<Vec<u8>> = row.try_get("held_content")?;
    epoch
        .zip(content)
        .map(|(epoch, content)| {
            Ok(Held {
                content: hash(&content)?,
                epoch: number(epoch)?,
            })
        })
        .transpose()
}

async fn insert(
    connection: &mut AnyConnection,
    header: &Header,
    sealed: &[u8],
) -> Result<(), sqlx::Error> {
    sqlx::query(
        "INSERT INTO batches (notebook, device, first, last, epoch, content, bytes, sealed) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(&header.notebook.as_bytes()[..])
    .bind(&header.device.as_bytes()[..])
    .bind(i64::from(header.first))
    .bind(i64::from(header.last))
    .bind(i64::from(header.epoch))
    .bind(&header.content.as_bytes()[..])
    .bind(i64::try_from(sealed.len()).unwrap_or(i64::MAX))
    .bind(sealed)
    .execute(connection)
    .await
    .map(|_| ())
}

async fn move_tip(connection: &mut AnyConnection, header: &Header) -> Result<(), sqlx::Error> {
    sqlx::query(
        "INSERT INTO tips (notebook, device, last, content, removed_to, removed_content) \
         VALUES ($1, $2, $3, $4, 0, $5) \
         ON CONFLICT (notebook, device) DO UPDATE SET last = excluded.last, \
         content = excluded.content",
    )
    .bind(&header.notebook.as_bytes()[..])
    .bind(&header.device.as_bytes()[..])
    .bind(i64::from(header.last))
    .bind(&header.content.as_bytes()[..])
    .bind(&[0_u8; 0][..])
    .execute(connection)
    .await
    .map(|_| ())
}

/// Puts the same content in, sealed for a later epoch.
async fn replace(
    connection: &mut AnyConnection,
    header: &Header,
    sealed: &[u8],
) -> Result<(), sqlx::Error> {
    sqlx::query(
        "UPDATE batches SET epoch = $4, bytes = $5, sealed = $6 \
         WHERE notebook = $1 AND device = $2 AND first = $3",
    )
    .bind(&header.notebook.as_bytes()[..])
    .bind(&header.device.as_bytes()[..])
    .bind(i64::from(header.first))
    .bind(i64::from(header.epoch))
    .bind(i64::try_from(sealed.len()).unwrap_or(i64::MAX))
    .bind(sealed)
    .execute(connection)
    .await
    .map(|_| ())
}

/// A point as it stands in two columns.
pub(super) fn point(last: i64, content: &[u8]) -> Result<Point, sqlx::Error> {
    Ok(Point {
        last: number(last)?,
        hash: hash(content)?,
    })
}

pub(super) fn hash(bytes: &[u8]) -> Result<Hash, sqlx::Error> {
    bytes
        .try_into()
        .map(Hash::from_bytes)
        .map_err(|_| damaged("a hash of another length"))
}

pub(super) fn number(value: i64) -> Result<u32, sqlx::Error> {
    u32::try_from(value).map_err(|_| damaged("a number out of its range"))
}

/// What the relay itself has stored cannot be read.
pub(super) fn damaged(what: &str) -> sqlx::Error {
    sqlx::Error::Decode(format!("the database holds {what}").into())
}
