//! What can be changed, and what comes of it. Everything that needs no database
//! has been checked before a change gets here.

use std::sync::Arc;

use axum::body::Bytes;
use notebook::DeviceId;
use notebook::sync::batch::Header;
use notebook::sync::problem::Problem;
use notebook::sync::{Hash, Membership, NotebookId, Vector};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

use crate::refusal::Refusal;
use crate::store::append::{Append, append, append_alone};
use crate::store::connect::Kind;
use crate::store::{mailbox, members, snapshot};

/// One change. `checked` is the membership log that it was checked against; the
/// change is made only while that log still stands in the database.
#[derive(Clone, Debug)]
pub enum Change {
    /// Begins a notebook.
    Found {
        /// The log that the entry makes.
        after: Arc<Membership>,
        /// The first entry of its membership log.
        entry: Bytes,
        /// Now, in seconds since 1970.
        now_s: i64,
    },
    /// Appends to a membership log.
    Admit {
        /// The log before.
        checked: Arc<Membership>,
        /// The log after.
        after: Arc<Membership>,
        /// The entry that makes the difference.
        entry: Bytes,
        /// What counts of the epochs before, when the entry begins a new one.
        closed: Option<Vector>,
        /// Whether batches beyond `closed` are dropped instead of refusing.
        again: bool,
    },
    /// Appends batches: all of them or none.
    Append {
        /// The log that certifies their author.
        checked: Arc<Membership>,
        /// At least one, all of one author, each right after the one before.
        run: Vec<Batch>,
    },
    /// Keeps what a device says it has stored.
    Acknowledge {
        /// The log that certifies the device.
        checked: Arc<Membership>,
        /// Which device.
        device: DeviceId,
        /// All that it has stored.
        vector: Vector,
        /// Its words.
        signed: Bytes,
    },
    /// Keeps a part of a snapshot that is to come.
    PutPart {
        /// The log that names the owner.
        checked: Arc<Membership>,
        /// The hash of the part.
        hash: Hash,
        /// The part.
        part: Bytes,
    },
    /// Puts a snapshot in the place of the one before. Where it knows more of an
    /// author than is held, the author's tip moves there.
    PutSnapshot {
        /// The log that names the owner.
        checked: Arc<Membership>,
        /// The manifest.
        manifest: Bytes,
        /// What the snapshot holds.
        vector: Vector,
        /// The hashes of its parts.
        parts: Vec<Hash>,
    },
    /// Puts something into an empty mailbox.
    PutMailbox {
        /// Its name.
        name: [u8; 16],
        /// What is put.
        sealed: Bytes,
        /// When it is thrown away, in seconds since 1970.
        expires_s: i64,
        /// Now, in seconds since 1970.
        now_s: i64,
    },
    /// Takes what lies in a mailbox.
    TakeMailbox {
        /// Its name.
        name: [u8; 16],
        /// Now, in seconds since 1970.
        now_s: i64,
    },
}

/// A batch that has been checked.
#[derive(Clone, Debug)]
pub struct Batch {
    /// What it says of itself.
    pub header: Header,
    /// Its bytes.
    pub sealed: Bytes,
}

impl Change {
    fn append(&self) -> Option<Append<'_>> {
        match self {
            Self::Append { checked, run } => Some(Append { checked, run }),
            _ => None,
        }
    }
}

/// What came of a change that was not refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is stored.
    Made,
    /// So many batches of so many bytes are stored; those before them were.
    Appended {
        /// Batches.
        batches: u64,
        /// Their bytes.
        bytes: u64,
    },
    /// It was stored before.
    Known,
    /// The membership log is not the one that the change was checked against:
    /// nothing is changed, and it has to be checked anew.
    LogMoved,
    /// What lay in the mailbox.
    Taken(Vec<u8>),
}

/// What is answered to a change.
pub type Answer = Result<Outcome, Refusal>;

/// How much one relay and one notebook may hold.
#[derive(Clone, Copy, Debug)]
pub struct Quotas {
    /// Notebooks of the relay.
    pub notebooks: i64,
    /// Batches of a notebook.
    pub batches: i64,
    /// Bytes of a notebook: its batches and the parts of its snapshot.
    pub bytes: i64,
    /// Mailboxes that hold something.
    pub mailboxes: i64,
}

impl Default for Quotas {
    fn default() -> Self {
        Self {
            notebooks: 10_000,
            batches: 200_000,
            bytes: 256 << 20,
            mailboxes: 10_000,
        }
    }
}

/// Makes changes in a transaction of their own, where these are appends to SQLite that
/// are quickly made; `None` where they are not, and nothing is changed then. The
/// transaction is committed.
///
/// # Errors
/// When the database fails; then the connection has to be closed.
pub async fn apply_alone(
    connection: &mut AnyConnection,
    kind: Kind,
    quotas: &Quotas,
    changes: &[&Change],
) -> Result<Option<Vec<Answer>>, sqlx::Error> {
    let appends: Option<Vec<Append<'_>>> = changes.iter().map(|change| change.append()).collect();
    match (kind, appends) {
        (Kind::Sqlite, Some(appends)) => append_alone(connection, quotas, &appends).await,
        _ => Ok(None),
    }
}

/// Makes changes in their order within the transaction of this connection, and answers
/// in that order. A refused change has written nothing, so that others in the same
/// transaction stand.
///
/// # Errors
/// When the database fails; then the whole transaction has to be given up.
pub async fn apply(
    connection: &mut AnyConnection,
    kind: Kind,
    quotas: &Quotas,
    changes: &[&Change],
) -> Result<Vec<Answer>, sqlx::Error> {
    let mut answers = Vec::with_capacity(changes.len());
    while let Some(change) = changes.get(answers.len()) {
        let left = &changes[answers.len()..];
        let appends: Vec<Append<'_>> = left.iter().map_while(|change| change.append()).collect();
        if appends.len() > 1 {
            answers.extend(append(connection, kind, quotas, &appends).await?);
        } else {
            answers.push(apply_one(connection, kind, quotas, change).await?);
        }
    }
    Ok(answers)
}

async fn apply_one(
    connection: &mut AnyConnection,
    kind: Kind,
    quotas: &Quotas,
    change: &Change,
) -> Result<Answer, sqlx::Error> {
    match change {
        Change::Found {
            after,
            entry,
            now_s,
        } => members::found(connection, quotas, after, entry, *now_s).await,
        Change::Admit {
            checked,
            after,
            entry,
            closed,
            again,
        } => {
            let closed = closed.as_ref();
            members::admit(connection, checked, after, entry, closed, *again).await
        }
        Change::Append { checked, run } => {
            let one = Append { checked, run };
            let mut answers = append(connection, kind, quotas, &[one]).await?;
            Ok(answers.remove(0))
        }
        Change::Acknowledge {
            checked,
            device,
            vector,
            signed,
        } => snapshot::acknowledge(connection, checked, *device, vector, signed).await,
        Change::PutPart {
            checked,
            hash,
            part,
        } => snapshot::put_part(connection, quotas, checked, *hash, part).await,
        Change::PutSnapshot {
            checked,
            manifest,
            vector,
            parts,
        } => snapshot::put(connection, checked, manifest, vector, parts).await,
        Change::PutMailbox {
            name,
            sealed,
            expires_s,
            now_s,
        } => mailbox::put(connection, quotas, name, sealed, *expires_s, *now_s).await,
        Change::TakeMailbox { name, now_s } => mailbox::take(connection, name, *now_s).await,
    }
}

/// What stands of a notebook in its own row.
pub(super) struct Notebook {
    members: i64,
    last_entry: Vec<u8>,
    pub(super) stored_bytes: i64,
}

impl Notebook {
    /// The row of a notebook; `None` when there is none.
    pub(super) async fn find(
        connection: &mut AnyConnection,
        id: NotebookId,
    ) -> Result<Option<Self>, sqlx::Error> {
        sqlx::query("SELECT members, last_entry, stored_bytes FROM notebooks WHERE id = $1")
            .bind(&id.as_bytes()[..])
            .fetch_optional(connection)
            .await?
            .map(|row| Self::from_row(&row))
            .transpose()
    }

    /// From a row that begins with these three columns.
    pub(super) fn from_row(row: &AnyRow) -> Result<Self, sqlx::Error> {
        Ok(Self {
            members: row.try_get(0)?,
            last_entry: row.try_get(1)?,
            stored_bytes: row.try_get(2)?,
        })
    }

    /// Whether the membership log is this one.
    pub(super) fn has_log(&self, checked: &Membership) -> bool {
        self.members == i64::from(checked.len()) && self.last_entry == checked.head().as_bytes()
    }
}

/// Finds the notebook while its log is the one that was checked against, or says
/// what to answer instead.
pub(super) async fn find_checked(
    connection: &mut AnyConnection,
    checked: &Membership,
) -> Result<Result<Notebook, Result<Outcome, Refusal>>, sqlx::Error> {
    let Some(notebook) = Notebook::find(connection, checked.id()).await? else {
        return Ok(Err(Err(Problem::NoNotebook.into())));
    };
    if !notebook.has_log(checked) {
        return Ok(Err(Ok(Outcome::LogMoved)));
    }
    Ok(Ok(notebook))
}
