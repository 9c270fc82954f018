//! Reads what phones ask for, each answer from one state of the database.

use notebook::DeviceId;
use notebook::sync::exchange::Then;
use notebook::sync::problem::Problem;
use notebook::sync::{Hash, NotebookId, Vector};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, AssertSqlSafe, Connection, Row};

use crate::refusal::Refusal;
use crate::store::append::{damaged, number, point};
use crate::store::connect::Database;

/// What lies beyond a phone's vector.
pub struct Beyond {
    /// Length of the membership log.
    pub members: u32,
    /// What comes after these batches.
    pub then: Then,
    /// The last point of every author.
    pub heads: Vector,
    /// Sealed batches, each author's in order.
    pub batches: Vec<Vec<u8>>,
}

/// The batches beyond `known`, until the next one would make them more than `limit`
/// bytes; at least one when there is any.
///
/// # Errors
/// When the database fails; inside, when there is no such notebook.
pub async fn beyond(
    database: &Database,
    notebook: NotebookId,
    known: &Vector,
    limit: usize,
) -> Result<Result<Beyond, Refusal>, sqlx::Error> {
    let mut connection = database.readers.acquire().await?;
    let mut transaction = connection.begin_with(database.kind.begin_reading()).await?;
    let Some(members) = members(&mut transaction, notebook).await? else {
        return Ok(Err(Problem::NoNotebook.into()));
    };
    let mut looked = Beyond {
        members,
        then: Then::Nothing,
        heads: Vector::default(),
        batches: Vec::new(),
    };
    let tips = sqlx::query(
        "SELECT device, last, content, removed_to FROM tips WHERE notebook = $1 ORDER BY device",
    )
    .bind(&notebook.as_bytes()[..])
    .fetch_all(&mut *transaction)
    .await?;
    for row in &tips {
        let author = device(&row.try_get::<Vec<u8>, _>(0)?)?;
        let tip = point(row.try_get(1)?, &row.try_get::<Vec<u8>, _>(2)?)?;
        if row.try_get::<i64, _>(3)? > i64::from(known.last(author)) {
            looked.then = Then::SnapshotFirst;
        }
        looked.heads.set(author, tip);
    }
    let mut left = Left { limit, first: true };
    for (author, first) in looked.heads.missing_from(known) {
        if looked.then != Then::Nothing {
            break;
        }
        let batches = &mut looked.batches;
        if take(
            &mut transaction,
            notebook,
            author,
            first,
            &mut left,
            batches,
        )
        .await?
        {
            looked.then = Then::More;
        }
    }
    transaction.commit().await?;
    Ok(Ok(looked))
}

/// The notebooks in whose present epoch a device is a member, at most `most`.
///
/// # Errors
/// When the database fails.
pub async fn notebooks_of(
    database: &Database,
    device: DeviceId,
    most: i64,
) -> Result<Vec<NotebookId>, sqlx::Error> {
    let rows =
        sqlx::query("SELECT notebook FROM devices WHERE device = $1 ORDER BY notebook LIMIT $2")
            .bind(&device.as_bytes()[..])
            .bind(most)
            .fetch_all(&database.readers)
            .await?;
    let id = |row: &AnyRow| {
        let bytes: Vec<u8> = row.try_get(0)?;
        let bytes = bytes
            .try_into()
            .map_err(|_| damaged("an id of another length"))?;
        Ok(NotebookId::from_bytes(bytes))
    };
    rows.iter().map(id).collect()
}

/// Room that is left in an answer.
struct Left {
    limit: usize,
    first: bool,
}

impl Left {
    /// Takes room for so many bytes, if there is as much or nothing was taken yet.
    fn take(&mut self, bytes: usize) -> bool {
        let fits = self.first || bytes <= self.limit;
        if fits {
            self.limit = self.limit.saturating_sub(bytes);
            self.first = false;
        }
        fits
    }
}

/// Batches of one author that are looked at in one go; by their sizes alone it is
/// decided which of them are read.
const AT_ONCE: i64 = 4_096;

/// Reads an author's batches from the entry `first` on; tells whether some are left.
async fn take(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    author: DeviceId,
    first: u32,
    left: &mut Left,
    batches: &mut Vec<Vec<u8>>,
) -> Result<bool, sqlx::Error> {
    let sizes = sqlx::query(
        "SELECT first, bytes FROM batches WHERE notebook = $1 AND device = $2 AND first >= $3 \
         ORDER BY first LIMIT $4",
    )
    .bind(&notebook.as_bytes()[..])
    .bind(&author.as_bytes()[..])
    .bind(i64::from(first))
    .bind(AT_ONCE)
    .fetch_all(&mut *connection)
    .await?;
    let mut last_fitting = None;
    let mut more = i64::try_from(sizes.len()).unwrap_or(AT_ONCE) == AT_ONCE;
    for row in &sizes {
        if !left.take(usize::try_from(length(row, 1)?).unwrap_or(usize::MAX)) {
            more = true;
            break;
        }
        last_fitting = Some(row.try_get::<i64, _>(0)?);
    }
    let Some(last_fitting) = last_fitting else {
        return Ok(more);
    };
    let rows = sqlx::query(
        "SELECT sealed FROM batches WHERE notebook = $1 AND device = $2 \
         AND first >= $3 AND first <= $4 ORDER BY first",
    )
    .bind(&notebook.as_bytes()[..])
    .bind(&author.as_bytes()[..])
    .bind(i64::from(first))
    .bind(last_fitting)
    .fetch_all(connection)
    .await?;
    for row in &rows {
        batches.push(row.try_get(0)?);
    }
    Ok(more)
}

/// How many entries the membership log has; `None` when there is no such notebook.
async fn members(
    connection: &mut AnyConnection,
    notebook: NotebookId,
) -> Result<Option<u32>, sqlx::Error> {
    sqlx::query("SELECT members FROM notebooks WHERE id = $1")
        .bind(&notebook.as_bytes()[..])
        .fetch_optional(connection)
        .await?
        .map(|row| number(row.try_get(0)?))
        .transpose()
}

/// Entries of the membership log from number `from` on.
///
/// # Errors
/// When the database fails.
pub async fn entries(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    from: u32,
) -> Result<Vec<Vec<u8>>, sqlx::Error> {
    let rows = sqlx::query(
        "SELECT entry FROM membership WHERE notebook = $1 AND number >= $2 ORDER BY number",
    )
    .bind(&notebook.as_bytes()[..])
    .bind(i64::from(from))
    .fetch_all(connection)
    .await?;
    rows.iter().map(|row| row.try_get(0)).collect()
}

/// The manifest of the snapshot that is kept.
///
/// # Errors
/// When the database fails.
pub async fn manifest(
    database: &Database,
    notebook: NotebookId,
) -> Result<Option<Vec<u8>>, sqlx::Error> {
    sqlx::query("SELECT manifest FROM snapshots WHERE notebook = $1")
        .bind(&notebook.as_bytes()[..])
        .fetch_optional(&database.readers)
        .await?
        .map(|row| row.try_get(0))
        .transpose()
}

/// A part of the snapshot.
///
/// # Errors
/// When the database fails.
pub async fn part(
    database: &Database,
    notebook: NotebookId,
    hash: Hash,
) -> Result<Option<Vec<u8>>, sqlx::Error> {
    sqlx::query("SELECT part FROM snapshot_parts WHERE notebook = $1 AND hash = $2")
        .bind(&notebook.as_bytes()[..])
        .bind(&hash.as_bytes()[..])
        .fetch_optional(&database.readers)
        .await?
        .map(|row| row.try_get(0))
        .transpose()
}

/// The counts of news of these notebooks, each with its id; those that are not there
/// are left out.
///
/// # Errors
/// When the database fails.
pub async fn news(
    database: &Database,
    notebooks: &[Vec<u8>],
) -> Result<Vec<(Vec<u8>, i64)>, sqlx::Error> {
    /// Ids in one question.
    const AT_ONCE: usize = 128;
    let mut news = Vec::with_capacity(notebooks.len());
    for some in notebooks.chunks(AT_ONCE) {
        let places: Vec<String> = (1..=some.len()).map(|at| format!("${at}")).collect();
        let text = format!(
            "SELECT id, news FROM notebooks WHERE id IN ({})",
            places.join(", ")
        );
        let query = some
            .iter()
            .fold(sqlx::query(AssertSqlSafe(text)), |query, id| {
                query.bind(&id[..])
            });
        // Not kept prepared: there are as many texts as numbers of ids.
        for row in query.persistent(false).fetch_all(&database.readers).await? {
            news.push((row.try_get(0)?, row.try_get(1)?));
        }
    }
    Ok(news)
}

/// Whether the database answers.
///
/// # Errors
/// When it does not.
pub async fn alive(database: &Database) -> Result<(), sqlx::Error> {
    sqlx::query("SELECT 1")
        .execute(&database.readers)
        .await
        .map(|_| ())
}

pub(super) fn device(bytes: &[u8]) -> Result<DeviceId, sqlx::Error> {
    bytes
        .try_into()
        .map(DeviceId::from_bytes)
        .map_err(|_| damaged("a device id of another length"))
}

/// A length: PostgreSQL's own function answers with 32 bits, columns have 64.
pub(super) fn length(row: &AnyRow, at: usize) -> Result<i64, sqlx::Error> {
    row.try_get::<i64, _>(at)
        .or_else(|_| row.try_get::<i32, _>(at).map(i64::from))
}
