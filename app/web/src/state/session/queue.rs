//! Touches on their way to the disk, in order: they come faster than it answers.
//! What waits is written together with the next write; when one fails, all of them
//! wait until it is tried again.

use super::super::contacts::Ball;
use super::Practice;
use crate::device::database::Change;
use crate::device::page::after_paint;
use leptos::prelude::*;
use notebook::Contact;
use std::collections::VecDeque;
use std::sync::Arc;
use std::time::Duration;
use wasm_bindgen_futures::spawn_local;

/// What is shown once a touch is on disk.
pub enum Done {
    /// A ball.
    Added(Arc<Contact>),
    /// A ball in place of another.
    Replaced {
        /// The one of before.
        old: Arc<Contact>,
        /// The one that counts now.
        new: Arc<Contact>,
    },
    /// A ball was taken out.
    Removed(Arc<Contact>),
    /// How the ball is fed.
    Fed,
}

struct Job {
    changes: Vec<Arc<dyn Change>>,
    done: Done,
}

/// What waits, and whether a write is under way.
#[derive(Default)]
pub struct Queue {
    jobs: VecDeque<Job>,
    is_writing: bool,
}

/// How long a write may take before the screen says that it is under way: a word for
/// every ball would cost a frame more before the one that says it is saved.
const PATIENCE: Duration = Duration::from_millis(100);

impl Practice {
    /// Adds a write to the end of the queue.
    pub(super) fn enqueue(self, changes: Vec<Arc<dyn Change>>, done: Done) {
        self.queue
            .update_value(|queue| queue.jobs.push_back(Job { changes, done }));
        self.waiting.update(|waiting| *waiting += 1);
        self.write_on();
    }

    /// Writes what waits, unless that is under way.
    fn write_on(self) {
        let begins = self.queue.try_update_value(|queue| {
            let begins = !queue.is_writing;
            queue.is_writing = true;
            begins
        });
        if begins == Some(true) {
            spawn_local(self.write_all());
            let is_slow = move || self.slow.set(self.waiting.get_untracked() > 0);
            set_timeout(is_slow, PATIENCE);
        }
    }

    async fn write_all(self) {
        loop {
            let (n, changes) = self.queue.with_value(|queue| {
                let changes = queue.jobs.iter().flat_map(|job| job.changes.clone());
                (queue.jobs.len(), changes.collect::<Vec<_>>())
            });
            if n == 0 {
                break;
            }
            let written = self.desk.write(&changes).await;
            self.failed.set(written.is_err());
            if let Err(error) = written {
                let again: Arc<dyn Fn() + Send + Sync> = Arc::new(move || self.write_on());
                self.desk.notes.fail(
                    format!("Not saved. {error} The balls wait in order. Do not close the page."),
                    Some(("Try again", again)),
                );
                break;
            }
            let written = self
                .queue
                .try_update_value(|queue| queue.jobs.drain(..n).collect::<Vec<_>>());
            for job in written.into_iter().flatten() {
                self.show(job.done);
            }
            self.waiting.update(|waiting| *waiting -= n);
        }
        self.queue.update_value(|queue| queue.is_writing = false);
        self.slow.set(false);
    }

    /// Shows what is on disk now.
    fn show(self, done: Done) {
        match done {
            Done::Added(contact) => {
                self.count_in(&contact);
                self.say(&contact, "");
                self.last.set(Some(contact));
            }
            Done::Replaced { old, new } => {
                self.count_out(&old);
                self.count_in(&new);
                self.say(&new, "Now: ");
                self.last.set(Some(new));
            }
            Done::Removed(contact) => {
                self.count_out(&contact);
                self.said
                    .set(format!("Ball {} is taken out.", contact.number));
                self.last
                    .set(self.latest.with_value(|latest| latest.last().cloned()));
                self.undone.set(Some(contact));
            }
            Done::Fed => {
                self.fed.update(|fed| *fed += 1);
                return;
            }
        }
        // What is worked out of all balls follows the word that this one is saved.
        after_paint(move || {
            let _ = self.counted.try_update(|counted| *counted += 1);
        });
    }

    fn count_in(self, contact: &Contact) {
        if let Some(ball) = Ball::of(contact) {
            self.balls.update_value(|balls| balls.push(ball));
        }
        if self.is_of_turn(contact) {
            self.turn.update(|turn| turn.put(contact));
        }
    }

    fn count_out(self, contact: &Contact) {
        let id = contact.head.id;
        self.balls.update_value(|balls| {
            // Among the latest, so from the end.
            if let Some(place) = balls.iter().rposition(|ball| ball.id == id) {
                balls.remove(place);
            }
        });
        if self.is_of_turn(contact) {
            self.turn.update(|turn| turn.take(contact));
        }
    }

    fn say(self, contact: &Contact, before: &str) {
        let words = Ball::of(contact).map(|ball| super::turn::in_words(&ball.contact));
        let words = words.unwrap_or_default();
        let number = contact.number;
        self.said
            .set(format!("{before}Ball {number}: {words}. Saved."));
    }
}
