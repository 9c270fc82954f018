//! The exchange with the relay, a step at a time: carries out what
//! `notebook::sync::exchange` says is next. Every step ends with what it brought
//! stored, so the worker can be stopped between any two.

use super::error::Error;
use super::members;
use super::open::{Core, Open};
use super::own_log;
use super::server::Request;
use super::snapshots;
use super::take_in::take_in;
use super::wishes::make_wanted;
use super::{browser, kept};
use futures_util::future::join;
use notebook::DeviceId;
use notebook::sync::batch::Sealed;
use notebook::sync::exchange::{AnswerHead, AnswerReader, Ask, Piece, ReadRequest, Then, next};
use notebook::sync::problem::Problem;
use notebook::sync::run::Run;
use notebook::sync::{NotebookId, Vector, acknowledgement};

/// The most bytes of batches in one answer, and so in one transaction: a page must
/// not wait long for its own.
const READ_BYTES: u32 = 512 * 1024;

/// What a step came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Something was done; there may be more.
    Did,
    /// Records have changed; there may be more.
    Changed,
    /// All is in step.
    Rests,
}

/// Does the next thing, except for waiting.
///
/// # Errors
/// When the relay does not answer or refuses, or the browser does.
pub async fn step(core: &Core, open: &mut Open) -> Result<Step, Error> {
    if open.kept.filling.is_some() && open.unsealed == 0 {
        own_log::fill(core, open).await?;
        return Ok(Step::Did);
    }
    let ask =
        next(&open.here(core)?, &open.there).map_err(|error| own_clash(core, error.into()))?;
    let done = match ask {
        Ask::Read { wait: false } => read(core, open, 0).await,
        Ask::Read { wait: true } => return in_step(core, open).await,
        Ask::FetchMembership { from } => members::fetch(core, open, from).await,
        Ask::PushMembership { number } => members::push(core, open, number).await,
        Ask::Propose => members::propose(core, open).await,
        Ask::Seal => did(own_log::seal(core, open).await),
        Ask::Settle => did(own_log::settle(core, open).await),
        Ask::Push { author, number } => push(core, open, author, number).await,
        Ask::TakeSnapshot => snapshots::take(core, open).await,
        Ask::MakeSnapshot => snapshots::make(core, open).await,
        Ask::Acknowledge => acknowledge(core, open).await,
    };
    let done = done.map_err(|error| own_clash(core, error));
    if let Err(error) = &done {
        open.there.forget();
        if error.problem() == Some(Problem::NoNotebook) {
            members::found_at_relay(core, open).await?;
            return Ok(Step::Did);
        }
    }
    done
}

/// A clash over this device's own entries is the user's to end.
fn own_clash(core: &Core, error: Error) -> Error {
    match error {
        Error::Notebook(notebook::sync::Error::Clash { device, .. }) if device == core.me() => {
            Error::Clash
        }
        error => error,
    }
}

fn did(done: Result<(), Error>) -> Result<Step, Error> {
    done.map(|()| Step::Did)
}

async fn in_step(core: &Core, open: &mut Open) -> Result<Step, Error> {
    open.catching_up = None;
    if make_wanted(core, open).await? {
        return Ok(Step::Did);
    }
    if open.is_mine(core) && snapshots::is_due(open) {
        return snapshots::make(core, open).await;
    }
    let at_ms = browser::now_ms();
    let own = open.kept.vector.last(core.me());
    let before_ms = open.kept.in_step_ms.replace(at_ms);
    // Not kept at every look: a write costs more than the minute is worth.
    let stale = before_ms.is_none_or(|before_ms| at_ms - before_ms > 60_000.0);
    if stale || open.kept.confirmed != own {
        let mut next = open.kept.clone();
        next.confirmed = own;
        open.keep(core, next).await?;
    }
    Ok(Step::Rests)
}

/// An answer to reading.
pub struct Answer {
    /// The vector that was sent.
    after: Vector,
    head: AnswerHead,
    batches: Vec<Vec<u8>>,
    /// Whether it came whole.
    whole: Result<(), Error>,
}

/// Reads what is beyond our vector; waits up to `wait_s` for news.
///
/// # Errors
/// As [`step`].
pub async fn read(core: &Core, open: &mut Open, wait_s: u32) -> Result<Step, Error> {
    let members = open.membership()?.len();
    let after = wanted_after(open)?;
    let ahead = open.ahead.take().filter(|ahead| ahead.after == after);
    let answer = match ahead {
        Some(answer) => answer,
        None => {
            let limit = if open.kept.subject.is_some() {
                READ_BYTES
            } else {
                1
            };
            fetch(core, open.id, (members, after), (limit, wait_s)).await?
        }
    };
    let first_look = open.kept.subject.is_none() && open.there.heads().is_none();
    let head = &answer.head;
    if !open.there.heard(head, members) || first_look {
        return Ok(Step::Did);
    }
    let founder = open.membership()?.owner_at(1);
    if open.kept.subject.is_none() && founder.is_some_and(|it| head.heads.last(it) == 0) {
        // Whoever began it has sent nothing yet: not known whose notebook this is.
        return Err(Error::Joining);
    }
    note_confirmed(core, open, &head.heads);
    note_catching_up(open, &head.heads);
    // What came whole before a connection broke is taken in all the same.
    let batches = &answer.batches;
    let goes_on = head.then == Then::More && answer.whole.is_ok() && open.kept.subject.is_some();
    let taken = if let (true, Some(with_them)) = (goes_on, with(&answer.after, batches)) {
        // While this is stored, the next is on its way.
        let next = fetch(core, open.id, (members, with_them), (READ_BYTES, 0));
        let (next, taken) = join(next, take_in(core, open, batches)).await;
        open.ahead = next.ok();
        taken?
    } else {
        take_in(core, open, batches).await?
    };
    answer.whole?;
    if let Some((done, _)) = &mut open.catching_up {
        *done += taken;
    }
    if batches.is_empty() && head.then == Then::More {
        return Err(Error::Silence);
    }
    Ok(if taken > 0 { Step::Changed } else { Step::Did })
}

/// Asks the relay for what is beyond a vector.
async fn fetch(
    core: &Core,
    id: NotebookId,
    (members, after): (u32, Vector),
    (limit, wait_s): (u32, u32),
) -> Result<Answer, Error> {
    let asked = ReadRequest {
        members,
        vector: after.clone(),
    };
    let path = format!("/v1/notebooks/{id}/read?limit={limit}&wait={wait_s}");
    let body = asked.bytes();
    let request = Request {
        wait_s,
        ..Request::signed("POST", &path, &body, &core.secret)
    };
    let mut reader = AnswerReader::default();
    let mut head = None;
    let mut batches = Vec::new();
    let whole = core
        .server
        .stream(request, |bytes| {
            for piece in reader.push(bytes)? {
                match piece {
                    Piece::Head(found) => head = Some(found),
                    Piece::Batch(batch) => batches.push(batch),
                }
            }
            Ok(())
        })
        .await;
    match head {
        Some(head) => Ok(Answer {
            after,
            head,
            batches,
            whole,
        }),
        None => Err(whole.err().unwrap_or(Error::Silence)),
    }
}

/// The vector once these batches are taken in; `None` when one cannot be read.
fn with(vector: &Vector, batches: &[Vec<u8>]) -> Option<Vector> {
    let mut with_them = vector.clone();
    for batch in batches {
        let header = Sealed::read(batch).ok()?.header;
        with_them.set(header.device, header.point());
    }
    Some(with_them)
}

/// The vector that is sent: ours; but as long as it is not known whose notebook
/// this is, one that asks for the entries of whoever began it, first.
fn wanted_after(open: &Open) -> Result<Vector, Error> {
    if open.kept.subject.is_some() {
        return Ok(open.kept.vector.clone());
    }
    let mut after = open.there.heads().cloned().unwrap_or_default();
    if let Some(founder) = open.membership()?.owner_at(1) {
        after.remove(founder);
    }
    Ok(after)
}

fn note_confirmed(core: &Core, open: &mut Open, heads: &Vector) {
    // Stored with the next row. Never too high: what goes on under a new identity
    // after a clash begins there, and another phone may stand behind the same number.
    let (theirs, ours) = (heads.get(core.me()), open.kept.vector.get(core.me()));
    open.kept.confirmed = match theirs {
        Some(theirs) if Some(theirs) == ours => theirs.last,
        theirs => theirs.map_or(0, |it| it.last).min(open.kept.confirmed),
    };
}

fn note_catching_up(open: &mut Open, heads: &Vector) {
    let missing = heads
        .iter()
        .map(|(author, point)| point.last.saturating_sub(open.kept.vector.last(author)))
        .sum::<u32>();
    match &mut open.catching_up {
        Some((done, of)) => *of = *done + missing,
        None if missing > 0 => open.catching_up = Some((0, missing)),
        None => {}
    }
}

/// Brings the batches of an author from the one with entry `number` on, several by one
/// request.
async fn push(core: &Core, open: &mut Open, author: DeviceId, number: u32) -> Result<Step, Error> {
    let connection = core.database.connection();
    let to = open.kept.hand_on.last(author);
    let stored = kept::batches_from(connection, open.id, (author, number), to).await?;
    let first = stored.first().ok_or(notebook::sync::Error::Gap {
        device: author,
        last: number,
    })?;
    let mut run = Run::default();
    let together = stored.iter().take_while(|batch| run.push(batch)).count();
    let base = format!("/v1/notebooks/{}", open.id);
    let (path, body) = match together {
        0 | 1 => (format!("{base}/batches"), &first[..]),
        _ => (format!("{base}/runs"), run.bytes()),
    };
    let asked = core.server.ask(Request::open("POST", &path, body)).await;
    if let Err(error) = asked {
        return Err(match error.problem() {
            Some(Problem::Clash) if author == core.me() => Error::Clash,
            _ => error,
        });
    }
    let last = &stored[together.saturating_sub(1)];
    let point = Sealed::read(last)?.header.point();
    open.there.took(author, point);
    if author == core.me() {
        open.kept.confirmed = open.kept.confirmed.max(point.last);
    }
    Ok(Step::Did)
}

async fn acknowledge(core: &Core, open: &mut Open) -> Result<Step, Error> {
    let vector = open.kept.vector.clone();
    let bytes = acknowledgement::sign(&core.secret, open.id, &vector);
    let path = format!("/v1/notebooks/{}/acknowledgement", open.id);
    core.server.ask(Request::open("PUT", &path, &bytes)).await?;
    let mut next = open.kept.clone();
    next.acknowledged = vector;
    open.keep(core, next).await?;
    Ok(Step::Did)
}
