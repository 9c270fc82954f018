//! Whether the browser promises to keep the notebook.

use crate::device::settings;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;

/// What the browser says about keeping this site's data.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keeping {
    /// Not asked yet, or the answer is under way.
    Unknown,
    /// The data stays until the user removes it.
    Promised,
    /// The browser may clear the data when the phone runs out of room.
    NotPromised,
    /// The browser has no such promise to give.
    NoAnswer,
}

impl Keeping {
    /// One sentence for the settings screen.
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::Unknown => "Not asked yet: it is asked when the first hitter is saved.",
            Self::Promised => "Yes: the browser keeps the notebook until you remove it yourself.",
            Self::NotPromised => {
                "No promise yet: the browser may clear the notebook if the phone runs out of \
                 room. Adding Stridebook to the home screen usually gets the promise."
            }
            Self::NoAnswer => "This browser gives no answer.",
        }
    }
}

fn manager() -> Option<web_sys::StorageManager> {
    let navigator = web_sys::window()?.navigator();
    // Missing on pages that are not secure, where the typed getter would throw.
    let manager = js_sys::Reflect::get(&navigator, &"storage".into()).ok()?;
    manager.dyn_into().ok()
}

/// What has been promised so far, without asking.
pub async fn promised() -> Keeping {
    let Some(Ok(asked)) = manager().map(|manager| manager.persisted()) else {
        return Keeping::NoAnswer;
    };
    match JsFuture::from(asked).await {
        Ok(answer) if answer.is_truthy() => Keeping::Promised,
        Ok(_) if settings::asked_to_keep() => Keeping::NotPromised,
        Ok(_) => Keeping::Unknown,
        Err(_) => Keeping::NoAnswer,
    }
}

/// Asks for the promise.
pub async fn ask() -> Keeping {
    let Some(Ok(asked)) = manager().map(|manager| manager.persist()) else {
        return Keeping::NoAnswer;
    };
    settings::set_asked_to_keep();
    match JsFuture::from(asked).await {
        Ok(answer) if answer.is_truthy() => Keeping::Promised,
        Ok(_) => Keeping::NotPromised,
        Err(_) => Keeping::NoAnswer,
    }
}

/// Bytes used and bytes allowed, as the browser estimates them.
pub async fn used_bytes() -> Option<(f64, f64)> {
    let estimate = JsFuture::from(manager()?.estimate().ok()?).await.ok()?;
    let number = |key: &str| js_sys::Reflect::get(&estimate, &key.into()).ok()?.as_f64();
    Some((number("usage")?, number("quota")?))
}
