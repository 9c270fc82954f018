//! Answers about the recovery sheet: making one, and becoming the owner by one.

use super::asks::Answered;
use super::certificates::{self, certificate_keys};
use super::engine::{Engine, SHEET};
use super::error::Error;
use super::kept::{self, Kept, Want};
use super::members::{entries_at_relay, post_entry, take_entries};
use super::open::Open;
use super::server::Request;
use super::wishes::want;
use crate::device::sync_messages::{Answer, Role};
use notebook::sync::words::Words;
use notebook::sync::{Membership, NotebookId, recovery};

impl Engine {
    pub(super) async fn make_sheet(&mut self) -> Answered {
        let words = Words::draw(&mut self.core.random.clone());
        let sheet = recovery::sheet(&words);
        let certificate = sheet.certificate(notebook::sync::Role::Recovery);
        let keys = certificate_keys(&certificate);
        kept::keep_row(self.core.database.connection(), SHEET, &keys).await?;
        let before = self.sheet.replace(keys);
        for open in &mut self.notebooks {
            if !open.is_mine(&self.core) {
                continue;
            }
            open.look_ms = 0.0;
            let admit = Want::Admit(certificate_keys(&certificate), Role::RecoverySheet);
            want(&self.core, open, admit).await?;
            // A lost sheet must not open what is written from now on.
            if let Some(before) = &before {
                let old = certificates::certificate(before, notebook::sync::Role::Recovery)?;
                want(&self.core, open, Want::TakeOff(old.device)).await?;
            }
        }
        let words = words.text().to_string();
        Ok((Answer::Words { words }, None))
    }

    pub(super) async fn recover(&mut self, words: &str) -> Answered {
        self.check_on()?;
        let sheet = recovery::sheet(&Words::read(words)?);
        let request = Request::signed("GET", "/v1/notebooks", &[], &sheet);
        let listed = self.core.server.ask(request).await?;
        let listed: serde_json::Value = serde_json::from_slice(&listed).unwrap_or_default();
        let ids: Vec<NotebookId> = listed["notebooks"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(|id| id.as_str()?.parse().ok())
            .collect();
        if ids.is_empty() {
            return Err(Error::UnknownSheet);
        }
        let mut notebooks = 0;
        for id in ids {
            let entries = entries_at_relay(&self.core, id, 0, &sheet).await?;
            let mut membership = Membership::replay(id, &entries)?;
            let owner = membership.device(membership.owner());
            let role = owner.map_or(notebook::sync::Role::Coach, |owner| owner.role);
            let phone = self.core.secret.certificate(role);
            let mut random = self.core.random.clone();
            let mut all = entries;
            for entry in recovery::recover(&sheet, &membership, phone, &mut random)? {
                post_entry(&self.core, id, &entry, false).await?;
                membership.append(&entry)?;
                all.push(entry);
            }
            let known = self.notebooks.iter().position(|open| open.id == id);
            let index = match known {
                Some(index) => index,
                None => {
                    self.notebooks.push(Open::new(id, Kept::default()));
                    self.notebooks.len() - 1
                }
            };
            let open = &mut self.notebooks[index];
            take_entries(&self.core, open, &all).await?;
            open.look_ms = 0.0;
            notebooks += 1;
        }
        let keys = certificate_keys(&sheet.certificate(notebook::sync::Role::Recovery));
        kept::keep_row(self.core.database.connection(), SHEET, &keys).await?;
        self.sheet = Some(keys);
        Ok((Answer::Recovered { notebooks }, None))
    }
}
