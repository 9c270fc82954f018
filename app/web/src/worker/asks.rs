//! Answers to what pages ask, one function a kind of ask.

use super::browser::{now_ms, now_s};
use super::engine::{Engine, SHEET};
use super::error::Error;
use super::hex::Hex;
use super::kept::{self, Kept, Want};
use super::members::{admit_now, begin, certificate_keys, entries_at_relay, post_entry, role_of};
use super::members::{take_entries, want};
use super::open::Open;
use super::passes::{self, Invited, PASS, own_fingerprint};
use super::server::Request;
use super::{codes, files};
use crate::device::subject::Subject;
use crate::device::sync_messages::{Answer, Ask, JoinRequest, Role};
use notebook::DeviceId;
use notebook::sync::words::Words;
use notebook::sync::{Membership, NotebookId, passes::request, recovery};

/// An answer and the bytes that go with it.
type Answered = Result<(Answer, Option<Vec<u8>>), Error>;

fn done() -> Answered {
    Ok((Answer::Done, None))
}

impl Engine {
    /// Answers.
    ///
    /// # Errors
    /// Why not.
    pub async fn answer(&mut self, ask: Ask, bytes: Vec<u8>) -> Answered {
        match ask {
            Ask::Tell => {
                self.tell_all();
                done()
            }
            Ask::SwitchOn => self.switch(true).await,
            Ask::SwitchOff => self.switch(false).await,
            Ask::Watch { of } => {
                self.watched = of;
                done()
            }
            Ask::Share { of } => {
                let index = self.begun(of).await?;
                let notebook = self.notebooks[index].id.to_string();
                Ok((Answer::Begun { notebook }, None))
            }
            Ask::MakePass { of, role, lives_s } => self.make_pass(of, role, lives_s).await,
            Ask::TakePass { words } => {
                self.check_on()?;
                let (id, kept) = passes::take(&self.core, &words).await?;
                self.join(id, kept).await
            }
            Ask::ReadPass => {
                let (id, kept) = passes::take_sealed(&self.core, &bytes)?;
                self.join(id, kept).await
            }
            Ask::Admit { request } => self.admit(&request).await,
            Ask::Refuse { request } => {
                self.forget_invited(&request).await?;
                done()
            }
            Ask::ShowRequest { role } => {
                let bytes = request(&self.core.secret, role_of(role));
                Ok((codes::code(&self.core, &bytes)?, Some(bytes)))
            }
            Ask::ReadRequest { of, role } => self.read_request(of, role, bytes).await,
            Ask::SealPass { request } => self.seal_pass(&request).await,
            Ask::TakeOff { notebook, device } => {
                self.wants(&notebook, Want::TakeOff(id(&device)?)).await
            }
            Ask::ChangeRole {
                notebook,
                device,
                role,
            } => {
                let device = id(&device)?;
                self.wants(&notebook, Want::Change(device, role)).await
            }
            Ask::HandOver { notebook, device } => {
                self.wants(&notebook, Want::HandOver(id(&device)?)).await
            }
            Ask::MakeSheet => self.make_sheet().await,
            Ask::Recover { words } => self.recover(&words).await,
            Ask::WriteFile { notebook } => {
                let index = self.named(&notebook)?;
                let file = files::write(&self.core, &self.notebooks[index]).await?;
                let name = format!("{}.stridebook", &notebook[..8.min(notebook.len())]);
                Ok((Answer::File { name }, Some(file)))
            }
            Ask::ReadFile => self.read_file(&bytes).await,
            Ask::LookForCode { width, height } => {
                let found = codes::look(&bytes, width, height);
                let answer = Answer::Seen {
                    found: found.is_some(),
                };
                Ok((answer, found))
            }
            Ask::Pause => {
                self.paused = true;
                done()
            }
            Ask::GoOn => {
                self.paused = false;
                for open in &mut self.notebooks {
                    open.look_ms = 0.0;
                    open.there.forget();
                }
                done()
            }
        }
    }

    fn check_on(&self) -> Result<(), Error> {
        if self.on { Ok(()) } else { Err(Error::Off) }
    }

    async fn switch(&mut self, on: bool) -> Answered {
        self.core.database.set_syncs(on).await?;
        self.on = on;
        self.paused = false;
        done()
    }

    fn named(&self, notebook: &str) -> Result<usize, Error> {
        let found = |open: &Open| open.id.to_string() == notebook;
        self.notebooks.iter().position(found).ok_or(Error::Gone)
    }

    /// The notebook of `of`, begun when there is none.
    async fn begun(&mut self, of: Subject) -> Result<usize, Error> {
        let known = |open: &Open| open.kept.subject == Some(of);
        if let Some(index) = self.notebooks.iter().position(known) {
            return Ok(index);
        }
        let begun = begin(&self.core, of, self.sheet_want()).await?;
        self.notebooks.push(begun);
        Ok(self.notebooks.len() - 1)
    }

    async fn make_pass(&mut self, of: Subject, role: Role, lives_s: u64) -> Answered {
        self.check_on()?;
        let index = self.begun(of).await?;
        let open = &self.notebooks[index];
        let (words, name, invited) = passes::make(&self.core, open, role, lives_s).await?;
        self.invited.push((name, invited));
        Ok((Answer::Words { words }, None))
    }

    /// Begins to join.
    async fn join(&mut self, id: NotebookId, kept: Kept) -> Answered {
        let known = self.notebooks.iter().position(|open| open.id == id);
        let index = match known {
            Some(index) => {
                // Once more: this phone was a member, or has asked before.
                let mut next = self.notebooks[index].kept.clone();
                next.to_send = kept.to_send;
                if self.notebooks[index].membership.is_none() {
                    next.pass = kept.pass;
                }
                self.notebooks[index].keep(&self.core, next).await?;
                index
            }
            None => {
                kept::keep(self.core.database.connection(), id, &kept).await?;
                self.notebooks.push(Open::new(id, kept));
                self.notebooks.len() - 1
            }
        };
        self.notebooks[index].look_ms = 0.0;
        self.notebooks[index].since_ms = now_ms();
        let requested = Answer::Requested {
            notebook: id.to_string(),
            fingerprint: own_fingerprint(&self.core),
        };
        Ok((requested, None))
    }

    fn invited(&self, request: &str) -> Result<&Invited, Error> {
        let found = self.invited.iter().find(|(name, _)| name == request);
        found.map(|(_, invited)| invited).ok_or(Error::Gone)
    }

    async fn forget_invited(&mut self, request: &str) -> Result<(), Error> {
        let connection = self.core.database.connection();
        kept::forget_row(connection, &format!("{PASS}{request}")).await?;
        self.invited.retain(|(name, _)| name != request);
        Ok(())
    }

    async fn admit(&mut self, request: &str) -> Answered {
        let invited = self.invited(request)?;
        let certificate = invited.certificate()?;
        let wanted = Want::Admit(certificate_keys(&certificate), invited.role);
        let index = self.named(&invited.notebook)?;
        want(&self.core, &mut self.notebooks[index], wanted).await?;
        self.notebooks[index].look_ms = 0.0;
        self.forget_invited(request).await?;
        done()
    }

    async fn read_request(&mut self, of: Subject, role: Role, bytes: Vec<u8>) -> Answered {
        let index = self.begun(of).await?;
        let notebook = self.notebooks[index].id.to_string();
        let invited = Invited {
            notebook: notebook.clone(),
            role,
            made_s: now_s(),
            expires_s: now_s() + 3_600,
            words: None,
            request: Some(Hex(bytes)),
        };
        let certificate = invited.certificate()?;
        let name = super::hex::to_hex(&certificate.fingerprint().as_bytes()[..16]);
        let connection = self.core.database.connection();
        kept::keep_row(connection, &format!("{PASS}{name}"), &invited).await?;
        self.invited.retain(|(known, _)| *known != name);
        self.invited.push((name.clone(), invited));
        let request = JoinRequest {
            request: name,
            notebook,
            of: Some(of),
            role,
            fingerprint: passes::fingerprint(&certificate),
        };
        Ok((Answer::Request(request), None))
    }

    async fn seal_pass(&mut self, request: &str) -> Answered {
        let invited = self.invited(request)?.clone();
        let certificate = invited.certificate()?;
        let index = self.named(&invited.notebook)?;
        let wanted = Want::Admit(certificate_keys(&certificate), invited.role);
        let open = &mut self.notebooks[index];
        admit_now(&self.core, open, &wanted).await?;
        let owner = open.membership()?.device(self.core.me());
        let pass = notebook::sync::passes::Pass {
            notebook: open.id,
            role: role_of(invited.role),
            owner: *owner.ok_or(Error::NotMine)?,
            expires_s: invited.expires_s,
        };
        let sealed = pass.seal_to(&certificate, &mut self.core.random.clone())?;
        self.forget_invited(request).await?;
        Ok((codes::code(&self.core, &sealed)?, Some(sealed)))
    }

    /// Notes a wish; one about a member of the club holds for all its notebooks.
    async fn wants(&mut self, notebook: &str, wanted: Want) -> Answered {
        let index = self.named(notebook)?;
        want(&self.core, &mut self.notebooks[index], wanted).await?;
        self.notebooks[index].look_ms = 0.0;
        done()
    }

    async fn make_sheet(&mut self) -> Answered {
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
                let old = super::members::certificate(before, notebook::sync::Role::Recovery)?;
                want(&self.core, open, Want::TakeOff(old.device)).await?;
            }
        }
        let words = words.text().to_string();
        Ok((Answer::Words { words }, None))
    }

    async fn recover(&mut self, words: &str) -> Answered {
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

    async fn read_file(&mut self, bytes: &[u8]) -> Answered {
        let id = files::notebook_in(bytes)?;
        let index = self.notebooks.iter().position(|open| open.id == id);
        let open = &mut self.notebooks[index.ok_or(Error::OtherFile)?];
        let entries = files::read(&self.core, open, bytes).await?;
        open.look_ms = 0.0;
        self.core.database.tell_others();
        Ok((Answer::Read { entries }, None))
    }
}

fn id(device: &str) -> Result<DeviceId, Error> {
    device.parse().map_err(|_| Error::Gone)
}
