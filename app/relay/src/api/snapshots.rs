//! Snapshots, their parts, and the acknowledgements that let entries go.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use notebook::sync::Hash;
use notebook::sync::acknowledgement::Acknowledgement;
use notebook::sync::problem::Problem;
use notebook::sync::snapshot::Manifest;

use crate::api::call::Call;
use crate::api::notebooks::status;
use crate::api::reading::bytes;
use crate::api::{Api, failed};
use crate::refusal::Refusal;
use crate::store::change::{Change, Outcome};
use crate::store::look;

impl Api {
    pub(super) async fn acknowledge(&self, call: &Call) -> Result<Response, Refusal> {
        let acknowledgement = Acknowledgement::read(&call.body)?;
        let checked = self.membership(call.notebook()?).await?;
        acknowledgement.check(&checked)?;
        self.count(checked.id())?;
        let change = Change::Acknowledge {
            checked,
            device: acknowledgement.device,
            vector: acknowledgement.vector,
            signed: call.body.clone(),
        };
        self.write_checked(change).await?;
        Ok(StatusCode::NO_CONTENT.into_response())
    }

    pub(super) async fn put_part(&self, call: &Call) -> Result<Response, Refusal> {
        let (checked, _) = self.member(call).await?;
        let hash = call.hash()?;
        if Hash::of(&call.body) != hash {
            return Err(Problem::Damaged.into());
        }
        let part = call.body.clone();
        let change = Change::PutPart {
            checked,
            hash,
            part,
        };
        self.write_checked(change).await?;
        Ok(StatusCode::NO_CONTENT.into_response())
    }

    pub(super) async fn put_snapshot(&self, call: &Call) -> Result<Response, Refusal> {
        let manifest = Manifest::read(&call.body)?;
        let checked = self.membership(call.notebook()?).await?;
        manifest.check(&checked)?;
        self.count(checked.id())?;
        let change = Change::PutSnapshot {
            checked,
            manifest: call.body.clone(),
            vector: manifest.vector,
            parts: manifest.parts,
        };
        let outcome = self.write_checked(change).await?;
        Ok(status(&outcome).into_response())
    }

    pub(super) async fn get_snapshot(&self, call: &Call) -> Result<Response, Refusal> {
        let (membership, _) = self.member(call).await?;
        let manifest = look::manifest(&self.database, membership.id())
            .await
            .map_err(failed)?;
        Ok(bytes(manifest.ok_or(Problem::None)?))
    }

    pub(super) async fn get_part(&self, call: &Call) -> Result<Response, Refusal> {
        let (membership, _) = self.member(call).await?;
        let part = look::part(&self.database, membership.id(), call.hash()?)
            .await
            .map_err(failed)?;
        Ok(bytes(part.ok_or(Problem::None)?))
    }

    /// Makes a change that was just checked. A membership log that moved in this
    /// instant is rare, and the phone asks again by itself.
    async fn write_checked(&self, change: Change) -> Result<Outcome, Refusal> {
        match self.writer.write(change).await? {
            Outcome::LogMoved => Err(Refusal::unavailable()),
            outcome => Ok(outcome),
        }
    }
}
