//! Who waits for news of which notebook.
//!
//! What this process stores wakes its waiters at once. What another relay on the
//! same database stores is found by asking the database at short intervals, one
//! question for all waiters together, and only while someone waits. LISTEN/NOTIFY
//! would save that question but needs a held connection that poolers and some
//! databases of the same protocol do not give, and takes a lock at each commit.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};

use tokio::sync::{Notify, watch};

/// A notebook as the database names it.
pub type NotebookKey = Vec<u8>;

/// All waiters of this process.
#[derive(Debug)]
pub struct Waiters {
    by_notebook: Mutex<HashMap<NotebookKey, Vec<Weak<Notify>>>>,
    stopping: watch::Sender<bool>,
}

impl Default for Waiters {
    fn default() -> Self {
        Self {
            by_notebook: Mutex::default(),
            stopping: watch::Sender::new(false),
        }
    }
}

impl Waiters {
    /// Begins to wait for any of these notebooks: [`Waiter::news`] returns once one
    /// of them is [`moved`](Self::moved) after this call.
    pub fn wait_for(self: &Arc<Self>, notebooks: Vec<NotebookKey>) -> Waiter {
        let bell = Arc::new(Notify::new());
        let mut by_notebook = self.locked();
        for notebook in &notebooks {
            by_notebook
                .entry(notebook.clone())
                .or_default()
                .push(Arc::downgrade(&bell));
        }
        drop(by_notebook);
        Waiter {
            waiters: self.clone(),
            stopping: self.stopping.subscribe(),
            notebooks,
            bell,
        }
    }

    /// Wakes who waits for this notebook.
    pub fn moved(&self, notebook: &[u8]) {
        if let Some(bells) = self.locked().get(notebook) {
            bells
                .iter()
                .filter_map(Weak::upgrade)
                .for_each(|bell| bell.notify_one());
        }
    }

    /// Ends all waiting, now and from now on.
    pub fn stop(&self) {
        self.stopping.send_replace(true);
    }

    /// The notebooks that someone waits for.
    pub fn awaited(&self) -> Vec<NotebookKey> {
        self.locked().keys().cloned().collect()
    }

    fn locked(&self) -> MutexGuard<'_, HashMap<NotebookKey, Vec<Weak<Notify>>>> {
        self.by_notebook
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }
}

/// One waiting request.
pub struct Waiter {
    waiters: Arc<Waiters>,
    stopping: watch::Receiver<bool>,
    notebooks: Vec<NotebookKey>,
    bell: Arc<Notify>,
}

impl Waiter {
    /// Returns true when one of the notebooks has moved, and false when the process
    /// is about to stop.
    pub async fn news(&mut self) -> bool {
        tokio::select! {
            () = self.bell.notified() => true,
            _ = self.stopping.wait_for(|&stopping| stopping) => false,
        }
    }
}

impl Drop for Waiter {
    fn drop(&mut self) {
        let mut by_notebook = self.waiters.locked();
        for notebook in &self.notebooks {
            let Some(bells) = by_notebook.get_mut(notebook) else {
                continue;
            };
            let own = Arc::as_ptr(&self.bell);
            bells.retain(|bell| bell.as_ptr() != own);
            if bells.is_empty() {
                by_notebook.remove(notebook);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn news_that_come_between_asking_and_waiting_are_not_missed() {
        let waiters = Arc::new(Waiters::default());
        let mut waiter = waiters.wait_for(vec![vec![1], vec![2]]);
        waiters.moved(&[2]);
        assert!(waiter.news().await);
    }

    #[tokio::test]
    async fn the_stop_ends_all_waiting_even_what_begins_after_it() {
        let waiters = Arc::new(Waiters::default());
        let mut before = waiters.wait_for(vec![vec![1]]);
        waiters.stop();
        assert!(!before.news().await);
        assert!(!waiters.wait_for(vec![vec![1]]).news().await);
    }

    #[test]
    fn who_has_gone_is_not_asked_for_any_more() {
        let waiters = Arc::new(Waiters::default());
        let first = waiters.wait_for(vec![vec![1], vec![2]]);
        let second = waiters.wait_for(vec![vec![2]]);
        drop(first);
        assert_eq!(waiters.awaited(), [vec![2]]);
        drop(second);
        assert!(waiters.awaited().is_empty());
    }
}
