//! Answers to what pages ask, one function a kind of ask. Those about passes and the
//! recovery sheet are in `inviting` and `recovering`.

use super::beginning::begin;
use super::certificates::role_of;
use super::engine::Engine;
use super::error::Error;
use super::kept::Want;
use super::open::Open;
use super::passes;
use super::wishes::want;
use super::{anew, codes, files, own_log};
use crate::device::subject::Subject;
use crate::device::sync_messages::{Answer, Ask};
use notebook::DeviceId;
use notebook::sync::passes::request;

/// An answer and the bytes that go with it.
pub(super) type Answered = Result<(Answer, Option<Vec<u8>>), Error>;

pub(super) fn done() -> Answered {
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
                // Without a network nothing has been sealed since it went.
                own_log::seal_all(&self.core, &mut self.notebooks[index]).await?;
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
            Ask::GoOnAsNew => {
                anew::go_on(&self.core, &self.notebooks).await?;
                self.reborn = true;
                done()
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

    pub(super) fn check_on(&self) -> Result<(), Error> {
        if self.on { Ok(()) } else { Err(Error::Off) }
    }

    async fn switch(&mut self, on: bool) -> Answered {
        self.core.database.set_syncs(on).await?;
        self.on = on;
        self.paused = false;
        done()
    }

    pub(super) fn named(&self, notebook: &str) -> Result<usize, Error> {
        let found = |open: &Open| open.id.to_string() == notebook;
        self.notebooks.iter().position(found).ok_or(Error::Gone)
    }

    /// The notebook of `of`, begun when there is none.
    pub(super) async fn begun(&mut self, of: Subject) -> Result<usize, Error> {
        let known = |open: &Open| open.kept.subject == Some(of);
        if let Some(index) = self.notebooks.iter().position(known) {
            return Ok(index);
        }
        let begun = begin(&self.core, of, self.sheet_want()).await?;
        self.notebooks.push(begun);
        Ok(self.notebooks.len() - 1)
    }

    /// Notes a wish; one about a member of the club holds for all its notebooks.
    async fn wants(&mut self, notebook: &str, wanted: Want) -> Answered {
        let index = self.named(notebook)?;
        want(&self.core, &mut self.notebooks[index], wanted).await?;
        self.notebooks[index].look_ms = 0.0;
        done()
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
