//! Photos and short clips of the chosen hitter's looks: kept on this phone only,
//! with the room that they take.

use super::Desk;
use crate::device::attachments::Attachment;
use crate::device::{clock, storage};
use crate::words::{counted, fixed};
use leptos::prelude::*;
use notebook::RecordId;
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;
use web_sys::File;

/// The largest photo or clip, bytes (our choice, no source): about a minute and a
/// half of a phone's video, and ten of them fit into what a browser mostly allows.
pub const LARGEST_BYTES: f64 = 200e6;

/// What the browser says about room: bytes used and bytes allowed.
pub type Room = Option<(f64, f64)>;

/// Photos and clips, as a page shows them.
#[derive(Clone, Copy)]
pub struct Attached {
    desk: Desk,
    /// All of the chosen hitter, oldest first.
    pub list: RwSignal<Vec<Attachment>, LocalStorage>,
    /// Those taken away since the page was opened.
    removed: StoredValue<Vec<Attachment>, LocalStorage>,
    /// The room, as the browser estimates it.
    pub room: RwSignal<Room>,
}

impl Attached {
    /// Begins to read, now and whenever the hitter changes.
    pub fn start(desk: Desk) -> Self {
        let attached = Self {
            desk,
            list: RwSignal::new_local(Vec::new()),
            removed: StoredValue::new_local(Vec::new()),
            room: RwSignal::new(None),
        };
        Effect::new(move |_| {
            desk.chosen.track();
            attached.read();
        });
        attached
    }

    fn read(self) {
        let chosen = self.desk.chosen.get_untracked();
        spawn_local(async move {
            let read = match chosen {
                Some(id) => {
                    let all = async |database: &crate::device::database::Database| {
                        database.attachments("hitter", id).await
                    };
                    self.desk.reading(all).await
                }
                None => Ok(Vec::new()),
            };
            match read {
                // The page may have been left, or the hitter changed, meanwhile.
                Ok(list) if self.desk.chosen.get_untracked() == chosen => {
                    self.list.try_set(list);
                }
                Ok(_) => {}
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
            self.room.try_set(storage::used_bytes().await);
        });
    }

    /// Keeps a file that the user took or picked, for an item of a look; refuses
    /// what is no photo or clip, too large, or more than there is room for.
    pub fn add(self, check: RecordId, item: String, file: File) {
        let Some(hitter) = self.desk.chosen.get_untracked() else {
            return;
        };
        spawn_local(async move {
            let room = storage::used_bytes().await;
            if let Some(refused) = refused(&file, room) {
                self.desk.notes.fail(refused, None);
                return;
            }
            let attachment = Attachment {
                id: clock::new_id(),
                hitter,
                check,
                item,
                blob: file.into(),
            };
            self.put(attachment, "Kept on this phone only.").await;
        });
    }

    async fn put(self, attachment: Attachment, told: &'static str) {
        let kept = self
            .desk
            .reading(async |database| database.attach(&attachment).await)
            .await;
        match kept {
            Ok(()) => self.desk.notes.say(told, None),
            Err(error) => {
                let what = if attachment.is_clip() {
                    "clip"
                } else {
                    "photo"
                };
                self.desk
                    .notes
                    .fail(format!("The {what} was not kept. {error}"), None);
            }
        }
        self.read();
    }

    /// Takes one off this phone; until the page is left, "Undo" puts it back.
    pub fn remove(self, id: RecordId) {
        let known = self
            .list
            .with_untracked(|list| list.iter().find(|known| known.id == id).cloned());
        let Some(attachment) = known else {
            return;
        };
        spawn_local(async move {
            let gone = self
                .desk
                .reading(async |database| database.detach(id).await)
                .await;
            match gone {
                Ok(()) => {
                    let what = if attachment.is_clip() {
                        "clip"
                    } else {
                        "photo"
                    };
                    self.removed
                        .try_update_value(|removed| removed.push(attachment));
                    let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || self.bring_back(id));
                    self.desk.notes.say(
                        format!("The {what} is taken off this phone."),
                        Some(("Undo", undo)),
                    );
                }
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
            self.read();
        });
    }

    fn bring_back(self, id: RecordId) {
        let known = self.removed.try_update_value(|removed| {
            let place = removed.iter().position(|removed| removed.id == id)?;
            Some(removed.remove(place))
        });
        match known.flatten() {
            Some(attachment) => spawn_local(async move {
                self.put(attachment, "It is back on this phone.").await;
            }),
            None => self.desk.notes.fail(
                "It is gone: it could be brought back until the page was left.",
                None,
            ),
        }
    }

    /// What the room is, in one sentence.
    pub fn room_sentence(self) -> String {
        let (n, bytes) = self.list.with(|list| {
            let bytes: f64 = list.iter().map(|kept| kept.blob.size()).sum();
            (list.len(), bytes)
        });
        let files = counted(n, "photo or clip", "photos and clips");
        let of_hitter = format!("This hitter: {files}, {}.", megabytes(bytes));
        match self.room.get() {
            Some((used, allowed)) => format!(
                "{of_hitter} Stridebook uses {} of {} that the browser allows.",
                megabytes(used),
                megabytes(allowed)
            ),
            None => format!("{of_hitter} This browser does not say how much room there is."),
        }
    }
}

/// Why a file cannot be kept.
fn refused(file: &File, room: Room) -> Option<String> {
    let kind = file.type_();
    let size = file.size();
    if !kind.starts_with("image/") && !kind.starts_with("video/") {
        return Some("Photo or clip: this file is neither. Nothing was kept.".to_owned());
    }
    if size > LARGEST_BYTES {
        return Some(format!(
            "Photo or clip: up to {} are allowed, and this has {}. Nothing was kept; cut the \
             clip to the swing and try again.",
            megabytes(LARGEST_BYTES),
            megabytes(size)
        ));
    }
    let (used, allowed) = room?;
    (used + size > allowed).then(|| {
        format!(
            "No room: this has {}, and {} are left. Nothing was kept; take older clips off, or \
             free room on the phone.",
            megabytes(size),
            megabytes((allowed - used).max(0.0))
        )
    })
}

/// "3.4 MB", or "12 MB".
pub fn megabytes(bytes: f64) -> String {
    let mb = bytes / 1e6;
    format!("{} MB", fixed(mb, usize::from(mb < 10.0)))
}
