//! Membership logs that have been checked, at hand. This is a cache and no state:
//! what it holds is always compared with the database before it decides anything.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use notebook::sync::{Membership, NotebookId};
use sqlx::Row;

use crate::store::append::damaged;
use crate::store::connect::Database;
use crate::store::look::entries;

/// Logs at hand at most; a log is a few KiB.
const KEPT: usize = 4_096;

/// The checked logs of one process.
#[derive(Debug, Default)]
pub struct Memberships(Mutex<HashMap<NotebookId, Arc<Membership>>>);

impl Memberships {
    /// The log as it was when it was last looked at. What is checked against it
    /// counts only if it still stands in the transaction that writes.
    pub fn last_seen(&self, id: NotebookId) -> Option<Arc<Membership>> {
        self.locked().get(&id).cloned()
    }

    /// Keeps a log at hand.
    pub fn keep(&self, membership: Arc<Membership>) {
        let mut kept = self.locked();
        if kept.len() >= KEPT {
            kept.clear();
        }
        kept.insert(membership.id(), membership);
    }

    /// The log as it stands in the database; `None` when there is no such notebook.
    ///
    /// # Errors
    /// When the database fails, or holds a log that does not check.
    pub async fn now(
        &self,
        database: &Database,
        id: NotebookId,
    ) -> Result<Option<Arc<Membership>>, sqlx::Error> {
        let mut connection = database.readers.acquire().await?;
        let row = sqlx::query("SELECT last_entry FROM notebooks WHERE id = $1")
            .bind(&id.as_bytes()[..])
            .fetch_optional(&mut *connection)
            .await?;
        let Some(row) = row else {
            return Ok(None);
        };
        let head: Vec<u8> = row.try_get(0)?;
        let seen = self.last_seen(id);
        if let Some(seen) = seen.filter(|seen| seen.head().as_bytes()[..] == head[..]) {
            return Ok(Some(seen));
        }
        // From the start: that is rare, and cheap beside a mistake.
        let log = entries(&mut connection, id, 0).await?;
        let membership = Membership::replay(id, log).map_err(|error| {
            tracing::error!(%error, "a membership log of the database does not check");
            damaged("a membership log that does not check")
        })?;
        let membership = Arc::new(membership);
        self.keep(membership.clone());
        Ok(Some(membership))
    }

    fn locked(&self) -> MutexGuard<'_, HashMap<NotebookId, Arc<Membership>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
