//! Sealed batches that phones bring: one, or a run of them.

use std::sync::{Arc, OnceLock};

use axum::body::Bytes;
use axum::response::Response;
use notebook::sync::batch::Sealed;
use notebook::sync::problem::Problem;
use notebook::sync::{Error, Membership, NotebookId, run};
use serde_json::json;

use crate::api::Api;
use crate::api::call::Call;
use crate::api::notebooks::{TRIES, json_answer, status};
use crate::refusal::Refusal;
use crate::store::change::{Batch, Change, Outcome};

/// A run of so many batches is checked on several processors: a signature takes some
/// 50 us, handing work over a few.
const WORTH_SHARING: usize = 4;

impl Api {
    pub(super) async fn append(&self, call: &Call) -> Result<Response, Refusal> {
        let header = Sealed::read(&call.body)?.header;
        let sealed = call.body.clone();
        self.append_all(call, vec![Batch { header, sealed }]).await
    }

    pub(super) async fn append_run(&self, call: &Call) -> Result<Response, Refusal> {
        let run = run::read(&call.body)?
            .into_iter()
            .map(|(sealed, bytes)| Batch {
                header: sealed.header,
                sealed: call.body.slice_ref(bytes),
            });
        self.append_all(call, run.collect()).await
    }

    async fn append_all(&self, call: &Call, run: Vec<Batch>) -> Result<Response, Refusal> {
        let id = call.notebook()?;
        let last = run.last().map_or(0, |batch| batch.header.last);
        if run.iter().any(|batch| batch.header.notebook != id) {
            return Err(Problem::WrongNotebook.into());
        }
        let mut checked = self.checked_for(id, &run).await?;
        self.count(id)?;
        for _ in 0..TRIES {
            let change = Change::Append {
                checked,
                run: run.clone(),
            };
            let outcome = self.writer.write(change).await?;
            if outcome == Outcome::LogMoved {
                checked = self.membership(id).await?;
                check(&checked, &run).await?;
                continue;
            }
            if let Outcome::Appended { batches, bytes } = outcome {
                self.metrics.appended(batches, bytes);
                self.waiters.moved(id.as_bytes());
            }
            return Ok(json_answer(status(&outcome), json!({ "last": last })));
        }
        Err(Refusal::unavailable())
    }

    /// A membership log that certifies the batches. The one last seen will do, as the
    /// transaction that writes compares it; but it must not be what refuses.
    async fn checked_for(&self, id: NotebookId, run: &[Batch]) -> Result<Arc<Membership>, Refusal> {
        if let Some(seen) = self.memberships.last_seen(id) {
            match check(&seen, run).await {
                Ok(()) => return Ok(seen),
                // No later log makes a signature fit.
                Err(error @ Error::Signature) => return Err(error.into()),
                Err(_) => {}
            }
        }
        let now = self.membership(id).await?;
        check(&now, run).await?;
        Ok(now)
    }
}

/// Checks every batch of a run against a membership log; a long run in shares, one for
/// each processor.
async fn check(membership: &Arc<Membership>, run: &[Batch]) -> Result<(), Error> {
    let shares = processors();
    if run.len() < WORTH_SHARING || shares == 1 {
        return check_share(membership, run.iter().map(|batch| &batch.sealed));
    }
    let mut shares = run.chunks(run.len().div_ceil(shares));
    // The first share is for this task itself.
    let own = shares.next().unwrap_or_default();
    let others: Vec<_> = shares
        .map(|share| {
            let membership = membership.clone();
            let share: Vec<Bytes> = share.iter().map(|batch| batch.sealed.clone()).collect();
            tokio::spawn(async move { check_share(&membership, &share) })
        })
        .collect();
    let mut checked = check_share(membership, own.iter().map(|batch| &batch.sealed));
    for share in others {
        // A share that did not come to its end has checked nothing.
        let share = share.await.unwrap_or(Err(Error::Signature));
        checked = checked.and(share);
    }
    checked
}

/// How many there are for this process. Asked once: Linux reads files for it.
fn processors() -> usize {
    static PROCESSORS: OnceLock<usize> = OnceLock::new();
    *PROCESSORS.get_or_init(|| std::thread::available_parallelism().map_or(1, usize::from))
}

fn check_share<'a>(
    membership: &Membership,
    share: impl IntoIterator<Item = &'a Bytes>,
) -> Result<(), Error> {
    share
        .into_iter()
        .try_for_each(|sealed| membership.check_batch(&Sealed::read(sealed)?))
}
