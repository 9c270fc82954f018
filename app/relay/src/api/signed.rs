//! Who asks: requests that only members of a notebook may make.

use std::sync::Arc;

use notebook::DeviceId;
use notebook::sync::problem::Problem;
use notebook::sync::request::{Asked, Claim};
use notebook::sync::{Membership, NotebookId};

use crate::api::call::Call;
use crate::api::{Api, failed, now_s};
use crate::refusal::Refusal;

impl Api {
    /// The membership log as it stands in the database.
    pub(super) async fn membership(&self, id: NotebookId) -> Result<Arc<Membership>, Refusal> {
        let now = self
            .memberships
            .now(&self.database, id)
            .await
            .map_err(failed)?;
        Ok(now.ok_or(Problem::NoNotebook)?)
    }

    /// Counts a request of a member. Those of others do not count here, or a stranger
    /// could keep a notebook's own phones out; they count for their address.
    pub(super) fn count(&self, id: NotebookId) -> Result<(), Refusal> {
        self.by_notebook.take(&id).map_err(Refusal::slow_down)
    }

    /// Checks that a present member signed the request, and counts it.
    pub(super) async fn member(&self, call: &Call) -> Result<(Arc<Membership>, DeviceId), Refusal> {
        let membership = self.membership(call.notebook()?).await?;
        let device = check(call, &membership)?;
        self.count(membership.id())?;
        Ok((membership, device))
    }
}

/// Who is said to have signed the request; nothing is checked yet.
pub(super) fn claimed(call: &Call) -> Result<DeviceId, Refusal> {
    let claim = call
        .authorization
        .as_deref()
        .ok_or(Problem::RequestSignature)?;
    Ok(Claim::read(claim)?.device)
}

/// Checks that a member of this log signed the request, and says who.
pub(super) fn check(call: &Call, membership: &Membership) -> Result<DeviceId, Refusal> {
    let asked = Asked {
        method: &call.method,
        path_and_query: &call.path_and_query,
        body: &call.body,
    };
    let claim = call
        .authorization
        .as_deref()
        .ok_or(Problem::RequestSignature)?;
    let now_s = now_s();
    Claim::read(claim)
        .and_then(|claim| claim.check(membership, &asked, now_s))
        .map_err(|error| match error.problem() {
            Problem::Signature => Problem::RequestSignature.into(),
            Problem::RequestTime => Refusal::from(Problem::RequestTime).and("time", now_s),
            _ => error.into(),
        })
}
