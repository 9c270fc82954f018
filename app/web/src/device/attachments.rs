//! Pictures and short clips attached to a check's item. They stay on this phone:
//! they are no records, are not logged and not synced.

use super::database::{Database, StorageError};
use super::idb;
use js_sys::{Object, Reflect};
use notebook::RecordId;
use wasm_bindgen::prelude::*;
use web_sys::Blob;

/// The store of attachments.
pub const ATTACHMENTS: &str = "attachments";

/// A picture or a clip.
#[derive(Debug, Clone)]
pub struct Attachment {
    /// Its identity; begins with the time of making.
    pub id: RecordId,
    /// Whose swing it shows.
    pub hitter: RecordId,
    /// The check it belongs to.
    pub check: RecordId,
    /// The item it was attached to.
    pub item: String,
    /// The picture or clip itself; its type says which.
    pub blob: Blob,
}

impl Attachment {
    /// Whether it is a clip, and not a picture.
    #[must_use]
    pub fn is_clip(&self) -> bool {
        self.blob.type_().starts_with("video/")
    }

    fn to_js(&self) -> Result<JsValue, StorageError> {
        let row = Object::new();
        let texts = [
            ("id", self.id.to_string()),
            ("hitter", self.hitter.to_string()),
            ("check", self.check.to_string()),
            ("item", self.item.clone()),
        ];
        for (name, text) in texts {
            Reflect::set(&row, &name.into(), &text.into())?;
        }
        Reflect::set(&row, &"blob".into(), &self.blob)?;
        Ok(row.into())
    }

    /// `None` for a row that is not as this version writes it.
    fn from_js(row: &JsValue) -> Option<Self> {
        let field = |name: &str| Reflect::get(row, &name.into()).ok();
        let text = |name: &str| field(name)?.as_string();
        Some(Self {
            id: text("id")?.parse().ok()?,
            hitter: text("hitter")?.parse().ok()?,
            check: text("check")?.parse().ok()?,
            item: text("item")?,
            blob: field("blob")?.dyn_into().ok()?,
        })
    }
}

impl Database {
    /// Keeps an attachment; on disk when this ends.
    ///
    /// # Errors
    /// What the browser says, no room left above all.
    pub async fn attach(&self, attachment: &Attachment) -> Result<(), StorageError> {
        let row = attachment.to_js()?;
        let transaction = self.connection().strict(&[ATTACHMENTS])?;
        let put = async {
            transaction.object_store(ATTACHMENTS)?.put(&row)?;
            Ok(())
        };
        idb::carried_out(&transaction, put).await
    }

    /// Takes an attachment off this phone for good.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn detach(&self, id: RecordId) -> Result<(), StorageError> {
        let transaction = self.connection().strict(&[ATTACHMENTS])?;
        let delete = async {
            let store = transaction.object_store(ATTACHMENTS)?;
            store.delete(&JsValue::from_str(&id.to_string()))?;
            Ok(())
        };
        idb::carried_out(&transaction, delete).await
    }

    /// What is attached to a check (`by` "check") or of a hitter (`by` "hitter"),
    /// oldest first.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn attachments(
        &self,
        by: &'static str,
        id: RecordId,
    ) -> Result<Vec<Attachment>, StorageError> {
        let rows = self.rows_by(ATTACHMENTS, by, id).await?;
        Ok(rows.iter().filter_map(Attachment::from_js).collect())
    }
}
