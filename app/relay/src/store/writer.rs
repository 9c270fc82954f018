//! Puts changes that come at the same time into one transaction, so that one wait
//! for the disk serves them all. A change is answered after its commit, never before.

use std::sync::Arc;
use std::time::Duration;

use sqlx::pool::PoolConnection;
use sqlx::{Any, Connection};
use tokio::sync::{mpsc, oneshot};
use tokio::time::timeout;

use crate::metrics::Metrics;
use crate::refusal::Refusal;
use crate::store::change::{Answer, Change, Quotas, apply, apply_alone};
use crate::store::connect::Database;

/// Changes in one transaction at most. More would make the first wait for long.
const IN_COMMIT: usize = 256;

/// Changes that wait for a transaction; who comes after that is told to come back.
const QUEUED: usize = 2_048;

/// How often a transaction is run that loses against others on the same database.
const TRIES: u32 = 12;

/// How long the connection is kept when nothing comes. Taking one from the pool and
/// giving it back are a question to the database each; but one that was kept for long
/// may be dead, and the pool waits for it when it is closed.
const KEPT: Duration = Duration::from_millis(100);

struct Job {
    change: Change,
    answer: oneshot::Sender<Answer>,
}

/// Hands changes to the one task that writes.
#[derive(Clone)]
pub struct Writer {
    jobs: mpsc::Sender<Job>,
}

impl Writer {
    /// Starts the task; it ends when the last `Writer` is dropped and all that was
    /// handed to it is written.
    #[must_use]
    pub fn start(database: Database, quotas: Quotas, metrics: Arc<Metrics>) -> Self {
        let (jobs, queue) = mpsc::channel(QUEUED);
        let writing = Writing {
            database,
            quotas,
            metrics,
            kept: None,
        };
        tokio::spawn(writing.all(queue));
        Self { jobs }
    }

    /// Makes a change and returns when it is on the disk.
    ///
    /// # Errors
    /// Why it was refused; nothing is stored then. After [`Refusal::unavailable`] it
    /// may be stored all the same, as a commit whose answer was lost.
    pub async fn write(&self, change: Change) -> Answer {
        let (answer, answered) = oneshot::channel();
        self.jobs
            .try_send(Job { change, answer })
            .map_err(|_| Refusal::unavailable())?;
        answered
            .await
            .unwrap_or_else(|_| Err(Refusal::unavailable()))
    }
}

/// What the one task works with.
struct Writing {
    database: Database,
    quotas: Quotas,
    metrics: Arc<Metrics>,
    /// The connection of the last transaction, if that went well.
    kept: Option<PoolConnection<Any>>,
}

impl Writing {
    async fn all(mut self, mut queue: mpsc::Receiver<Job>) {
        let mut group = Vec::new();
        while self.next(&mut queue, &mut group).await {
            self.group(std::mem::take(&mut group)).await;
        }
    }

    /// Waits for changes; false when there will be none.
    async fn next(&mut self, queue: &mut mpsc::Receiver<Job>, group: &mut Vec<Job>) -> bool {
        if self.kept.is_some() {
            if let Ok(taken) = timeout(KEPT, queue.recv_many(group, IN_COMMIT)).await {
                return taken > 0;
            }
            self.kept = None;
        }
        queue.recv_many(group, IN_COMMIT).await > 0
    }

    async fn group(&mut self, group: Vec<Job>) {
        match self.commit(&group).await {
            Ok(outcomes) => {
                for (job, outcome) in group.into_iter().zip(outcomes) {
                    // Who asked may have hung up; the change is made all the same.
                    let _ = job.answer.send(outcome);
                }
            }
            // One change may have spoiled it for the others: each for itself.
            Err(error) if group.len() > 1 && error.as_database_error().is_some() => {
                tracing::warn!(%error, changes = group.len(), "a common transaction failed");
                for job in group {
                    Box::pin(self.group(vec![job])).await;
                }
            }
            Err(error) => {
                tracing::error!(%error, changes = group.len(), "could not be written");
                for job in group {
                    let _ = job.answer.send(Err(Refusal::unavailable()));
                }
            }
        }
    }

    /// Runs all changes in one transaction, again and again while others are in the
    /// way.
    async fn commit(&mut self, group: &[Job]) -> Result<Vec<Answer>, sqlx::Error> {
        let mut tries = 1;
        loop {
            match self.commit_once(group).await {
                Err(error) if tries < TRIES && self.database.kind.may_pass_again(&error) => {
                    self.metrics.run_again();
                    tokio::time::sleep(pause(tries)).await;
                    tries += 1;
                }
                Ok(outcomes) => {
                    self.metrics.committed(group.len());
                    return Ok(outcomes);
                }
                Err(error) => return Err(error),
            }
        }
    }

    async fn commit_once(&mut self, group: &[Job]) -> Result<Vec<Answer>, sqlx::Error> {
        let kind = self.database.kind;
        let mut connection = match self.kept.take() {
            Some(connection) => connection,
            None => self.database.writers.acquire().await?,
        };
        let changes: Vec<&Change> = group.iter().map(|job| &job.change).collect();
        match apply_alone(&mut connection, kind, &self.quotas, &changes).await {
            Ok(None) => {}
            Ok(Some(outcomes)) => {
                self.kept = Some(connection);
                return Ok(outcomes);
            }
            Err(error) => {
                // Its transaction may be open: the database gives it up with it.
                connection.close_on_drop();
                return Err(error);
            }
        }
        let mut transaction = connection.begin_with(kind.begin_writing()).await?;
        let outcomes = apply(&mut transaction, kind, &self.quotas, &changes).await?;
        transaction.commit().await?;
        self.kept = Some(connection);
        Ok(outcomes)
    }
}

/// 1 ms, 2 ms, 4 ms and so on to 256 ms, each with a random part, so that two relays
/// do not meet again.
fn pause(tries: u32) -> Duration {
    // The last byte of a UUID of version 7 is random.
    let random = u64::from(uuid::Uuid::now_v7().as_bytes()[15]);
    let longest_ms = 1_u64 << tries.min(8);
    Duration::from_micros(longest_ms * (500 + 500 * random / 255))
}
