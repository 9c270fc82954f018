//! Answers about passes: giving one, taking one, and letting in who asks.

use super::asks::{Answered, done};
use super::browser::{now_ms, now_s};
use super::certificates::{certificate_keys, role_of};
use super::codes;
use super::engine::Engine;
use super::error::Error;
use super::hex::Hex;
use super::kept::{self, Kept, Want};
use super::open::Open;
use super::passes::{self, Invited, PASS, own_fingerprint};
use super::wishes::{admit_now, want};
use crate::device::subject::Subject;
use crate::device::sync_messages::{Answer, JoinRequest, Role};
use notebook::sync::NotebookId;

impl Engine {
    pub(super) async fn make_pass(&mut self, of: Subject, role: Role, lives_s: u64) -> Answered {
        self.check_on()?;
        let index = self.begun(of).await?;
        let open = &self.notebooks[index];
        let (words, name, invited) = passes::make(&self.core, open, role, lives_s).await?;
        self.invited.push((name, invited));
        Ok((Answer::Words { words }, None))
    }

    /// Begins to join.
    pub(super) async fn join(&mut self, id: NotebookId, kept: Kept) -> Answered {
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

    pub(super) async fn forget_invited(&mut self, request: &str) -> Result<(), Error> {
        let connection = self.core.database.connection();
        kept::forget_row(connection, &format!("{PASS}{request}")).await?;
        self.invited.retain(|(name, _)| name != request);
        Ok(())
    }

    pub(super) async fn admit(&mut self, request: &str) -> Answered {
        let invited = self.invited(request)?;
        let certificate = invited.certificate()?;
        let wanted = Want::Admit(certificate_keys(&certificate), invited.role);
        let index = self.named(&invited.notebook)?;
        want(&self.core, &mut self.notebooks[index], wanted).await?;
        self.notebooks[index].look_ms = 0.0;
        self.forget_invited(request).await?;
        done()
    }

    pub(super) async fn read_request(
        &mut self,
        of: Subject,
        role: Role,
        bytes: Vec<u8>,
    ) -> Answered {
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

    pub(super) async fn seal_pass(&mut self, request: &str) -> Answered {
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
}
