//! Batches to the ends of their authors' logs. The one change that has to be fast:
//! those that come together are looked at by one question and stored by one command,
//! as each of these is a way to the database and back. The SQL is in [`rows`].

mod rows;

use std::collections::{HashMap, HashSet};

use notebook::sync::batch::{Place, place};
use notebook::sync::problem::Problem;
use notebook::sync::{Hash, Membership, Point};
use sqlx::{AnyConnection, Executor};

use crate::refusal::Refusal;
use crate::store::append::rows::Stands;
use crate::store::change::{Answer, Batch, Outcome, Quotas};
use crate::store::connect::Kind;

/// Single batches that are stored by one command at most. As many texts of it are
/// prepared once and kept, and the database driver keeps a hundred.
const TOGETHER: usize = 32;

/// A run of batches that has been checked against a membership log.
#[derive(Clone, Copy)]
pub(super) struct Append<'a> {
    pub(super) checked: &'a Membership,
    /// At least one; each right after the one before.
    pub(super) run: &'a [Batch],
}

/// Appends them in their order. The answers are in that order too.
pub(super) async fn append(
    connection: &mut AnyConnection,
    kind: Kind,
    quotas: &Quotas,
    all: &[Append<'_>],
) -> Result<Vec<Answer>, sqlx::Error> {
    let mut answers = Vec::with_capacity(all.len());
    while let Some(next) = all.get(answers.len()) {
        let left = &all[answers.len()..];
        if next.run.len() > 1 {
            answers.push(append_run(connection, kind, quotas, next).await?);
        } else {
            let some = &left[..of_different_authors(left)];
            answers.extend(append_together(connection, kind, quotas, some).await?);
        }
    }
    Ok(answers)
}

/// Appends in a transaction of their own that needs two ways to SQLite: it begins with
/// the question and is committed by the command that stores. `None` where one question
/// is not enough. After an error the connection has to be closed: the transaction may
/// be open.
pub(super) async fn append_alone(
    connection: &mut AnyConnection,
    quotas: &Quotas,
    all: &[Append<'_>],
) -> Result<Option<Vec<Answer>>, sqlx::Error> {
    let kind = Kind::Sqlite;
    let singles: Vec<&Batch> = all.iter().map(|append| &append.run[0]).collect();
    let is_run = all.len() == 1;
    if !is_run && of_different_authors(all) < all.len() {
        return Ok(None);
    }
    let begin = format!("{}; ", kind.begin_writing());
    let stands = rows::look(connection, &begin, &singles).await?;
    let mut added = HashMap::new();
    let mut next = Vec::with_capacity(all.len());
    let mut answers = Vec::with_capacity(all.len());
    for ((append, batch), stands) in all.iter().zip(&singles).zip(stands) {
        let added = added.entry(batch.header.notebook).or_default();
        let decided = decide(quotas, append, &[stands], added);
        if let Ok(Decided::Store { from: 0, .. }) = &decided {
            next.push(*batch);
            answers.push(Ok(stored(append.run)));
        } else if let (true, Ok(Decided::Unknown)) = (is_run, &decided) {
            answers.push(append_run(connection, kind, quotas, append).await?);
        } else {
            answers.push(carry_out(connection, kind, append.run, decided).await?);
        }
    }
    const COMMIT: &str = "; COMMIT";
    match (&next[..], all) {
        ([], _) => {
            connection.execute("COMMIT").await?;
        }
        (_, [one]) => rows::store_run(connection, kind, one.run, COMMIT).await?,
        _ => rows::store(connection, kind, &next, COMMIT).await?,
    }
    Ok(Some(answers))
}

/// How many from the start on are single batches that have each an author of its own.
/// What decides about one of these is not changed by the others.
fn of_different_authors(all: &[Append<'_>]) -> usize {
    let mut authors = HashSet::new();
    let mut is_new = |append: &&Append<'_>| {
        let header = &append.run[0].header;
        append.run.len() == 1 && authors.insert((header.notebook, *header.device.as_bytes()))
    };
    all.iter().take(TOGETHER).take_while(&mut is_new).count()
}

async fn append_together(
    connection: &mut AnyConnection,
    kind: Kind,
    quotas: &Quotas,
    some: &[Append<'_>],
) -> Result<Vec<Answer>, sqlx::Error> {
    let singles: Vec<&Batch> = some.iter().map(|append| &append.run[0]).collect();
    let stands = rows::look(connection, "", &singles).await?;
    // What the batches before in `some` add to their notebooks.
    let mut added = HashMap::new();
    let mut next = Vec::with_capacity(some.len());
    let mut answers = Vec::with_capacity(some.len());
    for ((append, batch), stands) in some.iter().zip(&singles).zip(stands) {
        let added = added.entry(batch.header.notebook).or_default();
        let decided = decide(quotas, append, &[stands], added);
        answers.push(match decided {
            Ok(Decided::Store { from: 0, resealed }) if resealed.is_empty() => {
                next.push(*batch);
                Ok(stored(append.run))
            }
            other => carry_out(connection, kind, append.run, other).await?,
        });
    }
    if !next.is_empty() {
        rows::store(connection, kind, &next, "").await?;
    }
    Ok(answers)
}

async fn append_run(
    connection: &mut AnyConnection,
    kind: Kind,
    quotas: &Quotas,
    append: &Append<'_>,
) -> Result<Answer, sqlx::Error> {
    let mut added = Added::default();
    // Mostly the first one comes next, and so do all after it.
    let first = rows::look(connection, "", &[&append.run[0]]).await?;
    let mut decided = decide(quotas, append, &first, &mut added);
    if let Ok(Decided::Unknown) = decided {
        let mut all = Vec::with_capacity(append.run.len());
        for some in append.run.chunks(TOGETHER) {
            let some: Vec<&Batch> = some.iter().collect();
            all.extend(rows::look(connection, "", &some).await?);
        }
        decided = decide(quotas, append, &all, &mut added);
    }
    carry_out(connection, kind, append.run, decided).await
}

/// What has come to a notebook and does not stand in its row yet.
#[derive(Default)]
struct Added {
    bytes: i64,
    batches: i64,
}

/// What to do with a run.
enum Decided {
    /// Put some in the places of the same content sealed for an earlier epoch, and
    /// store those from a place in the run on at the end.
    Store {
        from: usize,
        resealed: Vec<Resealed>,
    },
    /// Only answer.
    Nothing(Outcome),
    /// It has to be looked at batch by batch.
    Unknown,
}

/// The place in the run of a batch that was sealed again, and how many bytes more
/// than before it has.
struct Resealed {
    at: usize,
    more_bytes: i64,
}

/// Decides about a run by what stands of its first batches; nothing is written where
/// one of them is refused.
fn decide(
    quotas: &Quotas,
    append: &Append<'_>,
    all: &[Option<Stands>],
    added: &mut Added,
) -> Result<Decided, Refusal> {
    let first = all.first().and_then(Option::as_ref);
    let first = first.ok_or(Problem::NoNotebook)?;
    if !first.notebook.has_log(append.checked) {
        return Ok(Decided::Nothing(Outcome::LogMoved));
    }
    let mut resealed = Vec::new();
    let mut from = append.run.len();
    for (at, batch) in append.run.iter().enumerate() {
        let Some(stands) = all.get(at).and_then(Option::as_ref) else {
            return Ok(Decided::Unknown);
        };
        match place(&batch.header, stands.tip, stands.held)? {
            Place::Known => {}
            Place::Resealed => resealed.push(Resealed {
                at,
                more_bytes: bytes(&batch.sealed) - stands.held_bytes,
            }),
            // Each of the others is right after it.
            Place::Next => {
                from = at;
                break;
            }
        }
    }
    let next = &append.run[from..];
    if next.is_empty() && resealed.is_empty() {
        return Ok(Decided::Nothing(Outcome::Known));
    }
    let new_batches = i64::try_from(next.len()).unwrap_or(i64::MAX);
    let new_bytes = next.iter().map(|batch| bytes(&batch.sealed)).sum::<i64>()
        + resealed.iter().map(|one| one.more_bytes).sum::<i64>();
    let is_full = !next.is_empty() && first.batches + added.batches + new_batches > quotas.batches;
    if is_full || first.notebook.stored_bytes + added.bytes + new_bytes > quotas.bytes {
        return Err(Problem::Quota.into());
    }
    added.bytes += new_bytes;
    added.batches += new_batches;
    Ok(Decided::Store { from, resealed })
}

async fn carry_out(
    connection: &mut AnyConnection,
    kind: Kind,
    run: &[Batch],
    decided: Result<Decided, Refusal>,
) -> Result<Answer, sqlx::Error> {
    let (from, resealed) = match decided {
        Ok(Decided::Store { from, resealed }) => (from, resealed),
        Ok(Decided::Nothing(outcome)) => return Ok(Ok(outcome)),
        Ok(Decided::Unknown) => return Ok(Err(Problem::Internal.into())),
        Err(refusal) => return Ok(Err(refusal)),
    };
    for one in &resealed {
        rows::replace(connection, &run[one.at], one.more_bytes).await?;
    }
    if from < run.len() {
        rows::store_run(connection, kind, &run[from..], "").await?;
    }
    let replaced = resealed.iter().map(|one| &run[one.at]);
    Ok(Ok(stored(replaced.chain(&run[from..]))))
}

fn stored<'a>(batches: impl IntoIterator<Item = &'a Batch>) -> Outcome {
    let (batches, bytes) = batches.into_iter().fold((0, 0), |(count, all), batch| {
        (count + 1, all + batch.sealed.len() as u64)
    });
    Outcome::Appended { batches, bytes }
}

fn bytes(sealed: &[u8]) -> i64 {
    i64::try_from(sealed.len()).unwrap_or(i64::MAX)
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
