//! The sync worker as the page sees it: what it tells, as signals, and asking it.
//! The worker is a wasm of its own and is not started before sync is wanted.

use super::subject::Subject;
use super::sync_messages::{
    Answer, Ask, Asked, CHANNEL, JoinRequest, SharedNotebook, SyncState, Told,
};
use crate::device::clock;
use gloo_storage::{LocalStorage, Storage as _};
use js_sys::{Array, Function, Promise, Uint8Array};
use leptos::prelude::*;
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{BroadcastChannel, MessageEvent, Worker};

/// Where trunk puts what starts the worker.
const WORKER: &str = "/worker_loader.js";
/// That sync was switched on, so that the worker starts with the page.
const SWITCH: &str = "stridebook.sync";

/// Syncing, for screens.
#[derive(Clone, Copy)]
pub struct Sync {
    /// How far it is.
    pub state: RwSignal<SyncState>,
    /// The notebooks of this device that can be shared.
    pub notebooks: RwSignal<Vec<SharedNotebook>>,
    /// Phones that ask to be let in.
    pub requests: RwSignal<Vec<JoinRequest>>,
    line: StoredValue<Rc<Line>, leptos::prelude::LocalStorage>,
}

/// The channel, the worker that this page started, and what was asked.
struct Line {
    channel: Option<BroadcastChannel>,
    started: Cell<bool>,
    asked: RefCell<BTreeMap<String, Open>>,
}

/// An ask without an answer.
struct Open {
    message: JsValue,
    resolve: Function,
}

impl Sync {
    /// Opens the channel; starts the worker if sync was switched on before. Call
    /// it once the first view stands.
    #[must_use]
    pub fn start() -> Self {
        let line = Rc::new(Line {
            channel: BroadcastChannel::new(CHANNEL).ok(),
            started: Cell::new(false),
            asked: RefCell::default(),
        });
        let sync = Self {
            state: RwSignal::new(SyncState::default()),
            notebooks: RwSignal::new(Vec::new()),
            requests: RwSignal::new(Vec::new()),
            line: StoredValue::new_local(line.clone()),
        };
        if let Some(channel) = &line.channel {
            let heard = Closure::<dyn Fn(MessageEvent)>::new(move |event: MessageEvent| {
                sync.heard(&event.data());
            });
            channel.set_onmessage(Some(heard.as_ref().unchecked_ref()));
            // Lives as long as the page.
            heard.forget();
        }
        if is_switched_on() {
            line.start_worker();
        }
        sync
    }

    /// Asks the worker, which is started for it when it does not run. Waits for
    /// the answer.
    ///
    /// # Errors
    /// Why not, as a sentence for the user.
    pub async fn ask(self, ask: Ask) -> Result<Answer, String> {
        Ok(self.ask_with(ask, None).await?.0)
    }

    /// As [`Self::ask`], with the bytes that come with the ask and its answer.
    ///
    /// # Errors
    /// Why not, as a sentence for the user.
    pub async fn ask_with(
        self,
        ask: Ask,
        bytes: Option<Vec<u8>>,
    ) -> Result<(Answer, Vec<u8>), String> {
        let switch = match ask {
            Ask::SwitchOn => Some(true),
            Ask::SwitchOff => Some(false),
            _ => None,
        };
        let line = self.line.get_value();
        let answered = line.ask(ask, bytes).await?;
        if let Some(on) = switch {
            // When it cannot be kept, sync starts at the next ask.
            let _ = LocalStorage::set(SWITCH, on);
        }
        Ok(answered)
    }

    /// Tells the worker whose notebook is on the screen, if it runs.
    pub fn watch(self, of: Option<Subject>) {
        let line = self.line.get_value();
        if line.started.get() {
            line.tell(Ask::Watch { of });
        }
    }

    fn heard(self, data: &JsValue) {
        let Some((text, bytes)) = parts(data) else {
            return;
        };
        // Asks of other pages come by here too.
        let Ok(told) = serde_json::from_str::<Told>(&text) else {
            return;
        };
        match told {
            Told::Ready => self.line.get_value().ask_again(),
            Told::State(state) => self.state.set(state),
            Told::Notebooks(notebooks) => self.notebooks.set(notebooks),
            Told::Requests(requests) => self.requests.set(requests),
            Told::Answer { to, answer } => self.line.get_value().answered(&to, answer, bytes),
        }
    }
}

/// Whether sync was switched on, on this phone.
#[must_use]
pub fn is_switched_on() -> bool {
    LocalStorage::get(SWITCH).unwrap_or(false)
}

impl Line {
    fn start_worker(&self) {
        if !self.started.replace(true) && Worker::new(WORKER).is_err() {
            self.started.set(false);
        }
    }

    fn tell(&self, ask: Ask) {
        if let Some(channel) = &self.channel {
            // Nobody listening is no error: nothing is waited for.
            let _ = channel.post_message(&message(&new_name(), ask, None));
        }
    }

    async fn ask(&self, ask: Ask, bytes: Option<Vec<u8>>) -> Result<(Answer, Vec<u8>), String> {
        let channel = self.channel.as_ref().ok_or("This browser cannot sync.")?;
        self.start_worker();
        let name = new_name();
        let message = message(&name, ask, bytes.as_deref());
        let waiting = Promise::new(&mut |resolve, _| {
            let message = message.clone();
            let open = Open { message, resolve };
            self.asked.borrow_mut().insert(name.clone(), open);
        });
        // A worker that is still starting asks for it again by `Ready`.
        let _ = channel.post_message(&message);
        let answer = JsFuture::from(waiting).await;
        let answer: Array = answer.unwrap_or_default().unchecked_into();
        let text = answer.get(0).as_string().unwrap_or_default();
        let bytes = answer.get(1).dyn_into::<Uint8Array>();
        let bytes = bytes.map(|bytes| bytes.to_vec()).unwrap_or_default();
        match serde_json::from_str(&text) {
            Ok(Ok(answer)) => Ok((answer, bytes)),
            Ok(Err(sentence)) => Err(sentence),
            Err(error) => Err(error.to_string()),
        }
    }

    fn ask_again(&self) {
        if let Some(channel) = &self.channel {
            for open in self.asked.borrow().values() {
                let _ = channel.post_message(&open.message);
            }
        }
    }

    fn answered(&self, to: &str, answer: Result<Answer, String>, bytes: Option<Uint8Array>) {
        let open = self.asked.borrow_mut().remove(to);
        let (Some(open), Ok(text)) = (open, serde_json::to_string(&answer)) else {
            return;
        };
        let bytes = bytes.map_or(JsValue::NULL, JsValue::from);
        let answer = Array::of2(&JsValue::from_str(&text), &bytes);
        let _ = open.resolve.call1(&JsValue::NULL, &answer);
    }
}

fn new_name() -> String {
    clock::new_id().to_string()
}

/// The message: a text, or a text and bytes.
fn message(name: &str, ask: Ask, bytes: Option<&[u8]>) -> JsValue {
    let id = name.to_owned();
    let text = serde_json::to_string(&Asked { id, ask }).unwrap_or_default();
    let text = JsValue::from_str(&text);
    match bytes {
        None => text,
        Some(bytes) => Array::of2(&text, &Uint8Array::from(bytes)).into(),
    }
}

/// Text and bytes of a message; `None` when it is none of ours.
#[must_use]
pub fn parts(data: &JsValue) -> Option<(String, Option<Uint8Array>)> {
    if let Some(text) = data.as_string() {
        return Some((text, None));
    }
    let list: &Array = data.dyn_ref()?;
    Some((list.get(0).as_string()?, list.get(1).dyn_into().ok()))
}
