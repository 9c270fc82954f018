//! Batches to the ends of their authors' logs. The one change that has to be fast:
//! those that come together are looked at by one question and stored by one command,
//! as each of these is a way to the database and back. The SQL is in [`rows`].

mod rows;

use std::collections::{HashMap, HashSet};

use notebook::sync::batch::{Header, Place, place};
use notebook::sync::problem::Problem;
use notebook::sync::{Hash, Membership, Point};
use sqlx::AnyConnection;

use crate::refusal::Refusal;
use crate::store::append::rows::Stands;
use crate::store::change::{Answer, Outcome, Quotas};
use crate::store::connect::Kind;

/// Batches that are stored by one command at most. As many texts of it are prepared
/// once and kept, and the database driver keeps a hundred.
const TOGETHER: usize = 32;

/// A batch that has been checked against a membership log.
#[derive(Clone, Copy)]
pub(super) struct Append<'a> {
    pub(super) checked: &'a Membership,
    pub(super) header: &'a Header,
    pub(super) sealed: &'a [u8],
}

impl Append<'_> {
    fn bytes(&self) -> i64 {
        i64::try_from(self.sealed.len()).unwrap_or(i64::MAX)
    }
}

/// Appends them in their order. The answers are in that order too.
pub(super) async fn append(
    connection: &mut AnyConnection,
    kind: Kind,
    quotas: &Quotas,
    all: &[Append<'_>],
) -> Result<Vec<Answer>, sqlx::Error> {
    let mut answers = Vec::with_capacity(all.len());
    let mut left = all;
    while !left.is_empty() {
        let (some, after) = left.split_at(of_different_authors(left));
        answers.extend(append_together(connection, kind, quotas, some).await?);
        left = after;
    }
    Ok(answers)
}

/// How many from the start on have each an author of its own. What decides about one
/// of these is not changed by the others.
fn of_different_authors(all: &[Append<'_>]) -> usize {
    let mut authors = HashSet::new();
    let mut is_new = |append: &&Append<'_>| {
        let author = (append.header.notebook, *append.header.device.as_bytes());
        authors.insert(author)
    };
    all.iter().take(TOGETHER).take_while(&mut is_new).count()
}

async fn append_together(
    connection: &mut AnyConnection,
    kind: Kind,
    quotas: &Quotas,
    some: &[Append<'_>],
) -> Result<Vec<Answer>, sqlx::Error> {
    let stands = rows::look(connection, some).await?;
    // What the batches before in `some` add to their notebooks.
    let mut added = HashMap::new();
    let mut next = Vec::with_capacity(some.len());
    let mut answers = Vec::with_capacity(some.len());
    for (append, stands) in some.iter().zip(stands) {
        let added = added.entry(append.header.notebook).or_default();
        answers.push(match decide(quotas, append, stands.as_ref(), added) {
            Ok(Decided::Next) => {
                next.push(*append);
                Ok(Outcome::Made)
            }
            Ok(Decided::Reseal { more_bytes }) => {
                rows::replace(connection, append, more_bytes).await?;
                Ok(Outcome::Made)
            }
            Ok(Decided::Nothing(outcome)) => Ok(outcome),
            Err(refusal) => Err(refusal),
        });
    }
    if !next.is_empty() {
        rows::store(connection, kind, &next).await?;
    }
    Ok(answers)
}

/// What has come to a notebook and does not stand in its row yet.
#[derive(Default)]
struct Added {
    bytes: i64,
    batches: i64,
}

/// What to do with a batch.
enum Decided {
    /// Store it at the end.
    Next,
    /// Put it in the place of the same content sealed for an earlier epoch.
    Reseal { more_bytes: i64 },
    /// Only answer.
    Nothing(Outcome),
}

fn decide(
    quotas: &Quotas,
    append: &Append<'_>,
    stands: Option<&Stands>,
    added: &mut Added,
) -> Result<Decided, Refusal> {
    let stands = stands.ok_or(Problem::NoNotebook)?;
    if !stands.notebook.has_log(append.checked) {
        return Ok(Decided::Nothing(Outcome::LogMoved));
    }
    let placed = place(append.header, stands.tip, stands.held)?;
    let (bytes, batches) = match placed {
        Place::Known => return Ok(Decided::Nothing(Outcome::Known)),
        Place::Next => (append.bytes(), 1),
        Place::Resealed => (append.bytes() - stands.held_bytes, 0),
    };
    let is_full = placed == Place::Next && stands.batches + added.batches >= quotas.batches;
    if is_full || stands.notebook.stored_bytes + added.bytes + bytes > quotas.bytes {
        return Err(Problem::Quota.into());
    }
    added.bytes += bytes;
    added.batches += batches;
    Ok(match placed {
        Place::Next => Decided::Next,
        _ => Decided::Reseal { more_bytes: bytes },
    })
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
