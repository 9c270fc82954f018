//! The removal of batches behind a snapshot, once all members hold them.

use notebook::DeviceId;
use notebook::sync::acknowledgement::Acknowledgement;
use notebook::sync::snapshot::Manifest;
use notebook::sync::{Membership, NotebookId, Point, Role, Vector};
use sqlx::{AnyConnection, Row};

use crate::store::append::damaged;

/// Removes the batches within the snapshot once every member that is a phone has
/// said that it holds as much.
pub(super) async fn compact(
    connection: &mut AnyConnection,
    membership: &Membership,
) -> Result<(), sqlx::Error> {
    let id = membership.id();
    let Some(manifest) = kept_manifest(connection, id).await? else {
        return Ok(());
    };
    let vector = vector_of(&manifest)?;
    let mut waited_for: Vec<DeviceId> = membership
        .members()
        .filter(|member| member.role != Role::Recovery)
        .map(|member| member.device)
        .collect();
    let words = sqlx::query("SELECT device, signed FROM acknowledgements WHERE notebook = $1")
        .bind(&id.as_bytes()[..])
        .fetch_all(&mut *connection)
        .await?;
    for row in words {
        if acknowledged(&row.try_get::<Vec<u8>, _>(1)?)?.covers(&vector) {
            let device = super::look::device(&row.try_get::<Vec<u8>, _>(0)?)?;
            waited_for.retain(|member| *member != device);
        }
    }
    if !waited_for.is_empty() {
        return Ok(());
    }
    for (device, to) in vector.iter() {
        remove_behind(connection, id, device, to).await?;
    }
    Ok(())
}

async fn remove_behind(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    device: DeviceId,
    to: Point,
) -> Result<(), sqlx::Error> {
    let moved = sqlx::query(
        "UPDATE tips SET removed_to = $3, removed_content = $4 \
         WHERE notebook = $1 AND device = $2 AND removed_to < $3",
    )
    .bind(&notebook.as_bytes()[..])
    .bind(&device.as_bytes()[..])
    .bind(i64::from(to.last))
    .bind(&to.hash.as_bytes()[..])
    .execute(&mut *connection)
    .await?;
    if moved.rows_affected() > 0 {
        let device = device.as_bytes();
        remove_batches(connection, notebook, device, 0, i64::from(to.last)).await?;
    }
    Ok(())
}

/// Removes an author's batches that end after the entry `after` and at `to` or before.
pub(super) async fn remove_batches(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    device: &[u8],
    after: i64,
    to: i64,
) -> Result<(), sqlx::Error> {
    let counted = sqlx::query(
        "SELECT COUNT(*), COALESCE(CAST(SUM(bytes) AS BIGINT), 0) FROM batches \
         WHERE notebook = $1 AND device = $2 AND last > $3 AND last <= $4",
    )
    .bind(&notebook.as_bytes()[..])
    .bind(device)
    .bind(after)
    .bind(to)
    .fetch_one(&mut *connection)
    .await?;
    sqlx::query(
        "DELETE FROM batches WHERE notebook = $1 AND device = $2 AND last > $3 AND last <= $4",
    )
    .bind(&notebook.as_bytes()[..])
    .bind(device)
    .bind(after)
    .bind(to)
    .execute(&mut *connection)
    .await?;
    let (batches, bytes): (i64, i64) = (counted.try_get(0)?, counted.try_get(1)?);
    count_bytes(connection, notebook, -bytes, -batches).await
}

pub(super) async fn kept_manifest(
    connection: &mut AnyConnection,
    notebook: NotebookId,
) -> Result<Option<Vec<u8>>, sqlx::Error> {
    sqlx::query("SELECT manifest FROM snapshots WHERE notebook = $1")
        .bind(&notebook.as_bytes()[..])
        .fetch_optional(connection)
        .await?
        .map(|row| row.try_get(0))
        .transpose()
}

pub(super) async fn count_bytes(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    bytes: i64,
    batches: i64,
) -> Result<(), sqlx::Error> {
    sqlx::query(
        "UPDATE notebooks SET stored_bytes = stored_bytes + $2, batches = batches + $3 \
         WHERE id = $1",
    )
    .bind(&notebook.as_bytes()[..])
    .bind(bytes)
    .bind(batches)
    .execute(connection)
    .await
    .map(|_| ())
}

pub(super) fn acknowledged(signed: &[u8]) -> Result<Vector, sqlx::Error> {
    Acknowledgement::read(signed)
        .map(|acknowledgement| acknowledgement.vector)
        .map_err(|_| damaged("an acknowledgement that cannot be read"))
}

pub(super) fn vector_of(manifest: &[u8]) -> Result<Vector, sqlx::Error> {
    Manifest::read(manifest)
        .map(|manifest| manifest.vector)
        .map_err(|_| damaged("a snapshot manifest that cannot be read"))
}
