//! Reading the session under way from the disk, and putting it away.

use super::super::contacts::balls_of;
use super::feed::placed_of;
use super::{BACK, FeedKey, Found, Practice, Turn, is_over};
use crate::device::database::StorageError;
use leptos::prelude::*;
use notebook::{Contact, Round, Session};
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

impl Practice {
    /// Reads the session under way that this phone began last, unless touches are
    /// on their way (then what is shown is newer).
    pub fn read(self) {
        if self.waiting.get_untracked() > 0 {
            return;
        }
        spawn_local(async move {
            let own = self.desk.with_clock(|stamps| stamps.stamp().device());
            let read = async {
                let sessions = self.desk.sessions().await?;
                let open = sessions.into_iter().find(|session| {
                    !is_over(session) && own.is_none_or(|own| session.head.author == own)
                });
                match open {
                    Some(session) => self.read_session(session).await,
                    None => {
                        self.put_away();
                        Ok(())
                    }
                }
            };
            self.found.set(match read.await {
                Ok(()) => Found::Read,
                Err(error) => Found::Failed(error),
            });
        });
    }

    pub(super) async fn read_session(self, session: Session) -> Result<(), StorageError> {
        let id = session.head.id;
        let read = async |database: &crate::device::database::Database| {
            let contacts: Vec<Contact> = database.by_index("session", id).await?;
            let rounds: Vec<Round> = database.by_index("session", id).await?;
            Ok((contacts, rounds))
        };
        let (mut contacts, rounds) = self.desk.reading(read).await?;
        contacts.retain(|contact| !contact.head.is_removed());
        if self.waiting.get_untracked() > 0 {
            return Ok(());
        }
        self.balls.set_value(balls_of(&contacts));
        self.feeds.set_value(Vec::new());
        for round in &rounds {
            if let Some(key) = FeedKey::of_context(round.hitter, &round.context)
                && let Some(placed) = placed_of(&round.numbers)
            {
                self.put_feed(key, placed);
            }
        }
        let hitters = self.rotation_of(&session);
        // Whose ball was the last; or who came to the plate after it and has a round.
        let last = contacts.last().map(|c| (c.head.id, c.hitter));
        let begun = rounds.last().map(|r| (r.head.id, r.hitter));
        let before = last.max(begun).map(|(_, hitter)| hitter);
        let here = before
            .filter(|id| hitters.contains(id))
            .or(hitters.first().copied());
        self.session.set(Some(session));
        if let Some(here) = here {
            // As after a reload in the middle of a turn: it goes on.
            self.turn_to(here);
            let of_turn = rounds.into_iter().rev().take_while(|r| r.hitter == here);
            let of_turn = of_turn.map(|round| {
                let of_round = contacts.iter().filter(|c| c.set == round.head.id);
                let next = of_round.map(|contact| contact.number + 1).max();
                (round, next.unwrap_or(1))
            });
            self.rounds.set_value(of_turn.collect());
            let mut turn = Turn::default();
            for contact in &contacts {
                if self.is_of_turn(contact) {
                    turn.put(contact);
                }
            }
            self.turn.set(turn);
        }
        let from = contacts.len().saturating_sub(BACK);
        let latest: Vec<Arc<Contact>> = contacts.drain(from..).map(Arc::new).collect();
        self.last.set(latest.last().cloned());
        self.latest.set_value(latest);
        self.undone.set(None);
        self.said.set(String::new());
        self.counted.update(|counted| *counted += 1);
        self.set_next();
        Ok(())
    }

    /// No session is shown.
    pub(super) fn put_away(self) {
        self.session.set(None);
        self.hitter.set(None);
        self.turn.set(Turn::default());
        self.last.set(None);
        self.undone.set(None);
        self.said.set(String::new());
        self.swings.set(None);
        self.balls.set_value(Vec::new());
        self.feeds.set_value(Vec::new());
        self.latest.set_value(Vec::new());
        self.rounds.set_value(Vec::new());
        self.counted.update(|counted| *counted += 1);
    }
}
