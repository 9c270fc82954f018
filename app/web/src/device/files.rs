//! Files out of the app and into it: by the phone's share sheet where there is
//! one for files, else as a download; only ever by the user's own touch.

use js_sys::{Array, Uint8Array};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    Blob, BlobPropertyBag, File, FilePropertyBag, HtmlAnchorElement, HtmlInputElement, ShareData,
    Url,
};

/// Hands a file to the user.
///
/// # Errors
/// What the browser says; a share sheet that was closed is none.
pub async fn hand_out(name: &str, bytes: &[u8]) -> Result<(), String> {
    let parts = Array::of1(&Uint8Array::from(bytes));
    let said = |error: JsValue| format!("The file could not be handed out: {error:?}.");
    if let Some(shared) = by_share_sheet(name, &parts) {
        // A sheet that the user closes again is refused by the browser; the file
        // then went nowhere, as the user wanted.
        let _ = JsFuture::from(shared).await;
        return Ok(());
    }
    let kind = BlobPropertyBag::new();
    kind.set_type("application/octet-stream");
    let blob = Blob::new_with_u8_array_sequence_and_options(&parts, &kind).map_err(said)?;
    let address = Url::create_object_url_with_blob(&blob).map_err(said)?;
    let document = web_sys::window().and_then(|window| window.document());
    if let Some(Ok(link)) = document.map(|document| document.create_element("a")) {
        let link: HtmlAnchorElement = link.unchecked_into();
        link.set_href(&address);
        link.set_download(name);
        link.click();
    }
    Url::revoke_object_url(&address).map_err(said)
}

fn by_share_sheet(name: &str, parts: &Array) -> Option<js_sys::Promise> {
    let navigator = web_sys::window()?.navigator();
    // Not every browser has it, and web-sys would throw.
    js_sys::Reflect::get(&navigator, &"canShare".into())
        .ok()?
        .dyn_ref::<js_sys::Function>()?;
    let kind = FilePropertyBag::new();
    kind.set_type("application/octet-stream");
    let file = File::new_with_u8_array_sequence_and_options(parts, name, &kind).ok()?;
    let data = ShareData::new();
    data.set_files(&Array::of1(&file));
    navigator
        .can_share_with_data(&data)
        .then(|| navigator.share_with_data(&data))
}

/// The bytes of the file that the user picked; `None` when none was.
///
/// # Errors
/// When it cannot be read.
pub async fn picked(input: &HtmlInputElement) -> Result<Option<Vec<u8>>, String> {
    let Some(file) = input.files().and_then(|files| files.get(0)) else {
        return Ok(None);
    };
    let read = JsFuture::from(file.array_buffer()).await;
    // So that the same file can be picked again.
    input.set_value("");
    match read {
        Ok(buffer) => Ok(Some(Uint8Array::new(&buffer).to_vec())),
        Err(_) => Err("The file could not be read.".to_owned()),
    }
}
