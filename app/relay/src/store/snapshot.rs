//! Snapshots, their parts, and what members say that they hold.

use notebook::DeviceId;
use notebook::sync::problem::Problem;
use notebook::sync::{Hash, Membership, NotebookId, Point, Vector};
use serde_json::Value;
use sqlx::{AnyConnection, Row};

use crate::hex::to_hex;
use crate::refusal::Refusal;
use crate::store::append::point;
use crate::store::change::{Outcome, Quotas, find_checked};
use crate::store::compact::{
    acknowledged, compact, count_bytes, kept_manifest, remove_batches, vector_of,
};

pub(super) async fn acknowledge(
    connection: &mut AnyConnection,
    checked: &Membership,
    device: DeviceId,
    vector: &Vector,
    signed: &[u8],
) -> Result<Result<Outcome, Refusal>, sqlx::Error> {
    if let Err(instead) = find_checked(connection, checked).await? {
        return Ok(instead);
    }
    let kept =
        sqlx::query("SELECT signed FROM acknowledgements WHERE notebook = $1 AND device = $2")
            .bind(&checked.id().as_bytes()[..])
            .bind(&device.as_bytes()[..])
            .fetch_optional(&mut *connection)
            .await?;
    if let Some(row) = kept {
        let before = acknowledged(&row.try_get::<Vec<u8>, _>(0)?)?;
        if *vector == before || !vector.covers(&before) {
            return Ok(Ok(Outcome::Known));
        }
    }
    sqlx::query(
        "INSERT INTO acknowledgements (notebook, device, signed) VALUES ($1, $2, $3) \
         ON CONFLICT (notebook, device) DO UPDATE SET signed = excluded.signed",
    )
    .bind(&checked.id().as_bytes()[..])
    .bind(&device.as_bytes()[..])
    .bind(signed)
    .execute(&mut *connection)
    .await?;
    compact(connection, checked).await?;
    Ok(Ok(Outcome::Made))
}

pub(super) async fn put_part(
    connection: &mut AnyConnection,
    quotas: &Quotas,
    checked: &Membership,
    hash: Hash,
    part: &[u8],
) -> Result<Result<Outcome, Refusal>, sqlx::Error> {
    let notebook = match find_checked(connection, checked).await? {
        Ok(notebook) => notebook,
        Err(instead) => return Ok(instead),
    };
    let bytes = i64::try_from(part.len()).unwrap_or(i64::MAX);
    if has_part(connection, checked.id(), hash).await? {
        return Ok(Ok(Outcome::Known));
    }
    if notebook.stored_bytes + bytes > quotas.bytes {
        return Ok(Err(Problem::Quota.into()));
    }
    sqlx::query("INSERT INTO snapshot_parts (notebook, hash, part) VALUES ($1, $2, $3)")
        .bind(&checked.id().as_bytes()[..])
        .bind(&hash.as_bytes()[..])
        .bind(part)
        .execute(&mut *connection)
        .await?;
    count_bytes(connection, checked.id(), bytes, 0).await?;
    Ok(Ok(Outcome::Made))
}

pub(super) async fn put(
    connection: &mut AnyConnection,
    checked: &Membership,
    manifest: &[u8],
    vector: &Vector,
    parts: &[Hash],
) -> Result<Result<Outcome, Refusal>, sqlx::Error> {
    if let Err(instead) = find_checked(connection, checked).await? {
        return Ok(instead);
    }
    if let Some(kept) = kept_manifest(connection, checked.id()).await? {
        if kept == manifest {
            return Ok(Ok(Outcome::Known));
        }
        if !vector.covers(&vector_of(&kept)?) {
            return Ok(Err(Problem::SnapshotOlder.into()));
        }
    }
    let mut beyond = Vec::new();
    for (device, wanted) in vector.iter() {
        match stands(connection, checked.id(), device, wanted).await? {
            Stands::Held => {}
            Stands::Beyond => beyond.push((device, wanted)),
            Stands::Otherwise => return Ok(Err(Problem::SnapshotMismatch.into())),
        }
    }
    let mut missing = Vec::new();
    for hash in parts {
        if !has_part(connection, checked.id(), *hash).await? {
            missing.push(Value::from(to_hex(hash.as_bytes())));
        }
    }
    if !missing.is_empty() {
        return Ok(Err(
            Refusal::from(Problem::PartsMissing).and("parts", missing)
        ));
    }
    sqlx::query(
        "INSERT INTO snapshots (notebook, manifest) VALUES ($1, $2) \
         ON CONFLICT (notebook) DO UPDATE SET manifest = excluded.manifest",
    )
    .bind(&checked.id().as_bytes()[..])
    .bind(manifest)
    .execute(&mut *connection)
    .await?;
    for (device, to) in beyond {
        move_beyond(connection, checked.id(), device, to).await?;
    }
    remove_other_parts(connection, checked.id(), parts).await?;
    compact(connection, checked).await?;
    Ok(Ok(Outcome::Made))
}

async fn remove_other_parts(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    parts: &[Hash],
) -> Result<(), sqlx::Error> {
    let rows = sqlx::query("SELECT hash, LENGTH(part) FROM snapshot_parts WHERE notebook = $1")
        .bind(&notebook.as_bytes()[..])
        .fetch_all(&mut *connection)
        .await?;
    let mut removed = 0;
    for row in rows {
        let hash: Vec<u8> = row.try_get(0)?;
        if parts.iter().any(|part| part.as_bytes()[..] == hash[..]) {
            continue;
        }
        removed += super::look::length(&row, 1)?;
        sqlx::query("DELETE FROM snapshot_parts WHERE notebook = $1 AND hash = $2")
            .bind(&notebook.as_bytes()[..])
            .bind(hash)
            .execute(&mut *connection)
            .await?;
    }
    count_bytes(connection, notebook, -removed, 0).await
}

/// How a point stands to the chain that is held.
enum Stands {
    /// It is in it.
    Held,
    /// It lies beyond its end.
    Beyond,
    /// The chain has another batch there, or none that ends there.
    Otherwise,
}

async fn stands(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    device: DeviceId,
    wanted: Point,
) -> Result<Stands, sqlx::Error> {
    let tip = sqlx::query("SELECT last FROM tips WHERE notebook = $1 AND device = $2")
        .bind(&notebook.as_bytes()[..])
        .bind(&device.as_bytes()[..])
        .fetch_optional(&mut *connection)
        .await?;
    let last = tip.map_or(Ok(0), |row| row.try_get::<i64, _>(0))?;
    if i64::from(wanted.last) > last {
        return Ok(Stands::Beyond);
    }
    let rows = sqlx::query(
        "SELECT last, content FROM tips WHERE notebook = $1 AND device = $2 AND last = $3 \
         UNION ALL SELECT removed_to, removed_content FROM tips \
         WHERE notebook = $1 AND device = $2 AND removed_to = $3 \
         UNION ALL SELECT last, content FROM batches \
         WHERE notebook = $1 AND device = $2 AND last = $3",
    )
    .bind(&notebook.as_bytes()[..])
    .bind(&device.as_bytes()[..])
    .bind(i64::from(wanted.last))
    .fetch_all(connection)
    .await?;
    for row in rows {
        if point(row.try_get(0)?, &row.try_get::<Vec<u8>, _>(1)?)? == wanted {
            return Ok(Stands::Held);
        }
    }
    Ok(Stands::Otherwise)
}

/// Moves an author's tip on to a point that the snapshot alone holds: this relay has
/// gone back, and what lies between can only be had from the snapshot.
async fn move_beyond(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    device: DeviceId,
    to: Point,
) -> Result<(), sqlx::Error> {
    remove_batches(
        connection,
        notebook,
        device.as_bytes(),
        0,
        i64::from(to.last),
    )
    .await?;
    sqlx::query(
        "INSERT INTO tips (notebook, device, last, content, removed_to, removed_content) \
         VALUES ($1, $2, $3, $4, $3, $4) ON CONFLICT (notebook, device) DO UPDATE SET \
         last = excluded.last, content = excluded.content, \
         removed_to = excluded.removed_to, removed_content = excluded.removed_content",
    )
    .bind(&notebook.as_bytes()[..])
    .bind(&device.as_bytes()[..])
    .bind(i64::from(to.last))
    .bind(&to.hash.as_bytes()[..])
    .execute(connection)
    .await
    .map(|_| ())
}

async fn has_part(
    connection: &mut AnyConnection,
    notebook: NotebookId,
    hash: Hash,
) -> Result<bool, sqlx::Error> {
    sqlx::query("SELECT hash FROM snapshot_parts WHERE notebook = $1 AND hash = $2")
        .bind(&notebook.as_bytes()[..])
        .bind(&hash.as_bytes()[..])
        .fetch_optional(connection)
        .await
        .map(|row| row.is_some())
}
