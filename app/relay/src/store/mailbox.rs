//! Mailboxes: something small, put once and taken once.

use notebook::sync::problem::Problem;
use sqlx::{AnyConnection, Row};

use crate::refusal::Refusal;
use crate::store::change::{Outcome, Quotas};

pub(super) async fn put(
    connection: &mut AnyConnection,
    quotas: &Quotas,
    name: &[u8; 16],
    sealed: &[u8],
    expires_s: i64,
    now_s: i64,
) -> Result<Result<Outcome, Refusal>, sqlx::Error> {
    forget_expired(connection, now_s).await?;
    let lying: i64 = sqlx::query("SELECT COUNT(*) FROM mailboxes")
        .fetch_one(&mut *connection)
        .await?
        .try_get(0)?;
    if lying >= quotas.mailboxes {
        return Ok(Err(Problem::Quota.into()));
    }
    let put = sqlx::query(
        "INSERT INTO mailboxes (name, sealed, expires_s) VALUES ($1, $2, $3) \
         ON CONFLICT (name) DO NOTHING",
    )
    .bind(&name[..])
    .bind(sealed)
    .bind(expires_s)
    .execute(connection)
    .await?;
    Ok(match put.rows_affected() {
        0 => Err(Problem::MailboxFull.into()),
        _ => Ok(Outcome::Made),
    })
}

/// Takes and deletes at once, so that of two who ask only one gets it.
pub(super) async fn take(
    connection: &mut AnyConnection,
    name: &[u8; 16],
    now_s: i64,
) -> Result<Result<Outcome, Refusal>, sqlx::Error> {
    let taken = sqlx::query("DELETE FROM mailboxes WHERE name = $1 RETURNING sealed, expires_s")
        .bind(&name[..])
        .fetch_optional(connection)
        .await?;
    let Some(row) = taken else {
        return Ok(Err(Problem::None.into()));
    };
    let expires_s: i64 = row.try_get(1)?;
    if expires_s <= now_s {
        return Ok(Err(Problem::None.into()));
    }
    Ok(Ok(Outcome::Taken(row.try_get(0)?)))
}

/// Throws away what nobody has taken in time.
pub(super) async fn forget_expired(
    connection: &mut AnyConnection,
    now_s: i64,
) -> Result<(), sqlx::Error> {
    sqlx::query("DELETE FROM mailboxes WHERE expires_s <= $1")
        .bind(now_s)
        .execute(connection)
        .await
        .map(|_| ())
}
