//! What pages are told: the worker's state in the words of the screens.

use super::certificates::told_role;
use super::engine::Engine;
use super::kept::Want;
use super::line::Line;
use super::open::{Core, Open};
use super::passes::{fingerprint, own_fingerprint};
use crate::device::sync_messages::{JoinRequest, Member, SharedNotebook, SyncState, Told};

/// What was told.
#[derive(Default, PartialEq)]
pub struct Said {
    state: Option<SyncState>,
    notebooks: Option<Vec<SharedNotebook>>,
    requests: Option<Vec<JoinRequest>>,
}

impl Said {
    /// What there is to say.
    pub fn of(engine: &Engine) -> Self {
        let notebooks = engine.notebooks.iter();
        let notebooks = notebooks.map(|open| notebook(&engine.core, open));
        Self {
            state: Some(state(engine)),
            notebooks: Some(notebooks.collect()),
            requests: Some(requests(engine)),
        }
    }

    /// Tells what is not as it was said before.
    pub fn tell_beyond(&self, before: &Self, line: &Line) {
        let tell = |changed: bool, told: Option<Told>| {
            if let (true, Some(told)) = (changed, told) {
                line.tell(&told, None);
            }
        };
        tell(
            self.notebooks != before.notebooks,
            self.notebooks.clone().map(Told::Notebooks),
        );
        tell(
            self.requests != before.requests,
            self.requests.clone().map(Told::Requests),
        );
        tell(
            self.state != before.state,
            self.state.clone().map(Told::State),
        );
    }

    /// Tells everything.
    pub fn tell_all(&self, line: &Line) {
        self.tell_beyond(&Self::default(), line);
    }
}

fn state(engine: &Engine) -> SyncState {
    let all = || engine.notebooks.iter();
    if !engine.on || engine.notebooks.is_empty() {
        return SyncState::OnThisPhone;
    }
    let (done, of) = all()
        .filter_map(|open| open.catching_up)
        .fold((0, 0), |(done, of), more| (done + more.0, of + more.1));
    if engine.paused {
        return SyncState::Paused { done, of };
    }
    if let Some(sentence) = all().find_map(|open| trouble(&engine.core, open)) {
        return SyncState::Attention { sentence };
    }
    if of > 0 && engine.reached {
        return SyncState::CatchingUp { done, of };
    }
    let present = || {
        let is_in = |open: &&Open| open.membership.is_some() && (!open.kept.off || open.kept.anew);
        all().filter(is_in)
    };
    let changes = present().map(|open| open.waiting(&engine.core)).sum();
    let since = present().map(|open| open.kept.in_step_ms);
    let since = since.reduce(|a, b| Some(a?.min(b?))).flatten();
    match since {
        Some(at_ms) if changes == 0 => SyncState::InStep { at_ms },
        _ => SyncState::Waiting {
            changes,
            reached: engine.reached,
        },
    }
}

fn trouble(core: &Core, open: &Open) -> Option<String> {
    if open.kept.off && !open.kept.anew {
        let waits = open.waiting(core) > 0;
        let unsent = " What was written here since then stays on this phone.";
        return Some(format!(
            "This phone was taken off a notebook. What it has of it stays.{}",
            if waits { unsent } else { "" }
        ));
    }
    open.trouble.clone()
}

fn notebook(core: &Core, open: &Open) -> SharedNotebook {
    let membership = open.membership.as_ref();
    let leaving = |device| {
        open.kept.wants.iter().any(|want| match want {
            Want::TakeOff(of) | Want::Change(of, _) | Want::HandOver(of) => *of == device,
            Want::Admit(..) => false,
        })
    };
    let members = membership.into_iter().flat_map(|log| {
        log.members().map(|member| Member {
            device: member.device.to_string(),
            role: told_role(member.role),
            fingerprint: fingerprint(member),
            this_device: member.device == core.me(),
            owner: member.device == log.owner(),
            leaving: leaving(member.device),
        })
    });
    SharedNotebook {
        notebook: open.id.to_string(),
        of: open.kept.subject,
        mine: open.is_mine(core),
        role: open.role(core).filter(|_| !open.kept.off).map(told_role),
        joining: open.is_joining(),
        clash: open.clash,
        fingerprint: own_fingerprint(core),
        members: members.collect(),
        waiting: open.waiting(core),
        in_step_ms: open.kept.in_step_ms,
        trouble: trouble(core, open),
    }
}

fn requests(engine: &Engine) -> Vec<JoinRequest> {
    let asking = engine.invited.iter().filter_map(|(name, invited)| {
        let certificate = invited.certificate().ok()?;
        let of = engine
            .notebooks
            .iter()
            .find(|open| open.id.to_string() == invited.notebook)
            .and_then(|open| open.kept.subject);
        Some(JoinRequest {
            request: name.clone(),
            notebook: invited.notebook.clone(),
            of,
            role: invited.role,
            fingerprint: fingerprint(&certificate),
        })
    });
    asking.collect()
}
