//! What stands in the database about batches, and how they are put there: many rows
//! by one command.

use notebook::sync::Point;
use notebook::sync::batch::Held;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, AssertSqlSafe, Row};

use crate::store::append::{bytes, damaged, hash, number, point};
use crate::store::change::{Batch, Notebook};
use crate::store::connect::Kind;

/// All that decides about a batch.
pub(super) struct Stands {
    pub(super) notebook: Notebook,
    /// Batches of the notebook.
    pub(super) batches: i64,
    /// Where its author's log ends.
    pub(super) tip: Option<Point>,
    /// The stored batch with the same first entry.
    pub(super) held: Option<Held>,
    /// The size of that one; 0 when there is none.
    pub(super) held_bytes: i64,
}

/// Asks once about all of them. The answers are in their order, `None` where there is
/// no such notebook. `before` is done first, on the same way to the database.
pub(super) async fn look(
    connection: &mut AnyConnection,
    before: &str,
    some: &[&Batch],
) -> Result<Vec<Option<Stands>>, sqlx::Error> {
    let text = format!("{before}{}", look_text(some.len()));
    let mut query = sqlx::query(AssertSqlSafe(text));
    for batch in some {
        query = query
            .bind(&batch.header.notebook.as_bytes()[..])
            .bind(&batch.header.device.as_bytes()[..])
            .bind(i64::from(batch.header.first));
    }
    let mut all = Vec::new();
    all.resize_with(some.len(), || None);
    for row in query.fetch_all(connection).await? {
        let place: i64 = row.try_get("place")?;
        let place = usize::try_from(place).ok();
        let of_place = place.and_then(|place| all.get_mut(place));
        *of_place.ok_or_else(|| damaged("an answer to no question"))? = stands(&row)?;
    }
    Ok(all)
}

/// All joins are outer ones, so that every batch has its row, and both databases
/// begin with the batches and find the rest by its keys.
fn look_text(count: usize) -> String {
    let asked = rows(count, |at| {
        let of = 3 * at;
        format!("({at}, ${}, ${}, ${})", of + 1, of + 2, of + 3)
    });
    format!(
        "WITH asked (place, notebook, device, first) AS (VALUES {asked}) \
         SELECT n.members, n.last_entry, n.stored_bytes, n.batches AS batches, \
         t.last AS tip_last, t.content AS tip_content, b.content AS held_content, \
         b.epoch AS held_epoch, b.bytes AS held_bytes, asked.place AS place FROM asked \
         LEFT JOIN notebooks n ON n.id = asked.notebook \
         LEFT JOIN tips t ON t.notebook = asked.notebook AND t.device = asked.device \
         LEFT JOIN batches b ON b.notebook = asked.notebook AND b.device = asked.device \
         AND b.first = asked.first"
    )
}

fn stands(row: &AnyRow) -> Result<Option<Stands>, sqlx::Error> {
    let batches: Option<i64> = row.try_get("batches")?;
    let Some(batches) = batches else {
        return Ok(None);
    };
    let held_bytes: Option<i64> = row.try_get("held_bytes")?;
    Ok(Some(Stands {
        notebook: Notebook::from_row(row)?,
        batches,
        tip: tip(row)?,
        held: held(row)?,
        held_bytes: held_bytes.unwrap_or(0),
    }))
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

/// Stores batches that come next, each of another author, moves the authors' tips
/// and counts the batches in their notebooks. `after` is done last, on the same way to
/// the database.
pub(super) async fn store(
    connection: &mut AnyConnection,
    kind: Kind,
    some: &[&Batch],
    after: &str,
) -> Result<(), sqlx::Error> {
    let text = format!("{}{after}", store_text(kind, some.len()));
    let mut query = sqlx::query(AssertSqlSafe(text)).bind(&[0_u8; 0][..]);
    for batch in some {
        let header = &batch.header;
        query = query
            .bind(&header.notebook.as_bytes()[..])
            .bind(&header.device.as_bytes()[..])
            .bind(i64::from(header.first))
            .bind(i64::from(header.last))
            .bind(i64::from(header.epoch))
            .bind(&header.content.as_bytes()[..])
            .bind(bytes(&batch.sealed))
            .bind(&batch.sealed[..]);
    }
    query.execute(connection).await.map(|_| ())
}

/// Stores a run of batches that come next, moves their author's tip and counts them.
/// `after` is done last, on the same way to the database.
/// The run goes in pieces of 64, 32, 16 and so on, so that there are few texts of the
/// command: each is prepared once and kept.
pub(super) async fn store_run(
    connection: &mut AnyConnection,
    kind: Kind,
    run: &[Batch],
    after: &str,
) -> Result<(), sqlx::Error> {
    let mut left = run;
    while let Some(begins) = left.first() {
        let (piece, rest) = left.split_at(1 << left.len().ilog2());
        let is_last = rest.is_empty();
        let after = if is_last { after } else { "" };
        let text = format!("{}{after}", run_text(kind, piece.len(), is_last));
        let mut query = sqlx::query(AssertSqlSafe(text))
            .bind(&begins.header.notebook.as_bytes()[..])
            .bind(&begins.header.device.as_bytes()[..]);
        for batch in piece {
            let header = &batch.header;
            query = query
                .bind(i64::from(header.first))
                .bind(i64::from(header.last))
                .bind(i64::from(header.epoch))
                .bind(&header.content.as_bytes()[..])
                .bind(bytes(&batch.sealed))
                .bind(&batch.sealed[..]);
        }
        if is_last {
            query = query
                .bind(&[0_u8; 0][..])
                .bind(run.iter().map(|batch| bytes(&batch.sealed)).sum::<i64>())
                .bind(i64::try_from(run.len()).unwrap_or(i64::MAX));
        }
        query.execute(&mut *connection).await?;
        left = rest;
    }
    Ok(())
}

/// The first two numbers are those of notebook and author, then come six of each batch.
fn run_text(kind: Kind, count: usize, is_last: bool) -> String {
    let rows = rows(count, |at| {
        let [first, last, epoch, content, bytes, sealed] =
            std::array::from_fn(|value| 3 + 6 * at + value);
        format!("($1, $2, ${first}, ${last}, ${epoch}, ${content}, ${bytes}, ${sealed})")
    });
    let batches = format!(
        "INSERT INTO batches (notebook, device, first, last, epoch, content, bytes, sealed) \
         VALUES {rows}"
    );
    if !is_last {
        return batches;
    }
    let end = 3 + 6 * count;
    let (last, content) = (end - 5, end - 3);
    let (nothing, more_bytes, more) = (end, end + 1, end + 2);
    let tip = format!(
        "INSERT INTO tips (notebook, device, last, content, removed_to, removed_content) \
         VALUES ($1, $2, ${last}, ${content}, 0, ${nothing}) \
         ON CONFLICT (notebook, device) DO UPDATE SET last = excluded.last, \
         content = excluded.content"
    );
    let notebook = format!(
        "UPDATE notebooks SET news = news + ${more}, \
         stored_bytes = stored_bytes + ${more_bytes}, batches = batches + ${more} WHERE id = $1"
    );
    match kind {
        Kind::Sqlite => format!("{batches}; {tip}; {notebook}"),
        Kind::Postgres => format!("WITH stored AS ({batches}), moved AS ({tip}) {notebook}"),
    }
}

/// Three commands over the same numbered values, sent as one. SQLite takes several
/// in one text but none that writes within a WITH; with PostgreSQL it is the other
/// way round.
fn store_text(kind: Kind, count: usize) -> String {
    let batches = rows(count, |at| {
        let [notebook, device, first, last, epoch, content, bytes, sealed] = values(at);
        format!(
            "(${notebook}, ${device}, ${first}, ${last}, ${epoch}, ${content}, ${bytes}, ${sealed})"
        )
    });
    let batches = format!(
        "INSERT INTO batches (notebook, device, first, last, epoch, content, bytes, sealed) \
         VALUES {batches}"
    );
    let tips = rows(count, |at| {
        let [notebook, device, _, last, _, content, ..] = values(at);
        format!("(${notebook}, ${device}, ${last}, ${content}, 0, $1)")
    });
    let tips = format!(
        "INSERT INTO tips (notebook, device, last, content, removed_to, removed_content) \
         VALUES {tips} ON CONFLICT (notebook, device) DO UPDATE SET last = excluded.last, \
         content = excluded.content"
    );
    let added = rows(count, |at| {
        let [notebook, .., bytes, _] = values(at);
        format!("(${notebook}, ${bytes})")
    });
    let notebooks = format!(
        "added (notebook, bytes) AS (VALUES {added}) UPDATE notebooks \
         SET news = notebooks.news + more.batches, \
         stored_bytes = notebooks.stored_bytes + more.bytes, \
         batches = notebooks.batches + more.batches \
         FROM (SELECT notebook, SUM(bytes) AS bytes, COUNT(*) AS batches FROM added \
         GROUP BY notebook) AS more WHERE notebooks.id = more.notebook"
    );
    match kind {
        Kind::Sqlite => format!("{batches}; {tips}; WITH {notebooks}"),
        Kind::Postgres => {
            format!("WITH stored AS ({batches}), moved AS ({tips}), {notebooks}")
        }
    }
}

/// Which numbers the eight values of a batch have. The first number of all is that of
/// the empty bytes.
fn values(at: usize) -> [usize; 8] {
    std::array::from_fn(|value| 2 + 8 * at + value)
}

fn rows(count: usize, row: impl Fn(usize) -> String) -> String {
    let rows: Vec<String> = (0..count).map(row).collect();
    rows.join(", ")
}

/// Puts the same content in, sealed for a later epoch.
pub(super) async fn replace(
    connection: &mut AnyConnection,
    batch: &Batch,
    more_bytes: i64,
) -> Result<(), sqlx::Error> {
    let header = &batch.header;
    sqlx::query(
        "UPDATE batches SET epoch = $4, bytes = $5, sealed = $6 \
         WHERE notebook = $1 AND device = $2 AND first = $3",
    )
    .bind(&header.notebook.as_bytes()[..])
    .bind(&header.device.as_bytes()[..])
    .bind(i64::from(header.first))
    .bind(i64::from(header.epoch))
    .bind(bytes(&batch.sealed))
    .bind(&batch.sealed[..])
    .execute(&mut *connection)
    .await?;
    sqlx::query(
        "UPDATE notebooks SET news = news + 1, stored_bytes = stored_bytes + $2 WHERE id = $1",
    )
    .bind(&header.notebook.as_bytes()[..])
    .bind(more_bytes)
    .execute(connection)
    .await
    .map(|_| ())
}
