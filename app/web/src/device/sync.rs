//! The sync worker as the page sees it: what it tells, as signals, and asking it.
//! The worker is a wasm of its own and is not started before sync is wanted.

use super::subject::Subject;
use super::sync_messages::{
    Answer, Ask, Asked, CHANNEL, JoinRequest, SharedNotebook, SyncState, Told,
};
use crate::device::clock;
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

thread_local! {
    /// Whether this page has started its worker.
    static STARTED: Cell<bool> = const { Cell::new(false) };
    /// Whether this phone syncs, as far as this page knows.
    static ON: Cell<bool> = const { Cell::new(false) };
    /// Whose notebook is on the screen.
    static WATCHED: Cell<Option<Subject>> = const { Cell::new(None) };
}

/// Syncing, for screens.
#[derive(Clone, Copy)]
pub struct Sync {
    /// How far it is.
    pub state: RwSignal<SyncState>,
    /// The notebooks of this device that can be shared.
    pub notebooks: RwSignal<Vec<SharedNotebook>>,
    /// Phones that ask to be let in.
    pub requests: RwSignal<Vec<JoinRequest>>,
    line: StoredValue<Rc<Line>, LocalStorage>,
}

/// The channel and what was asked.
struct Line {
    channel: Option<BroadcastChannel>,
    asked: RefCell<BTreeMap<String, Open>>,
}

/// An ask without an answer.
struct Open {
    message: JsValue,
    resolve: Function,
}

impl Sync {
    /// Opens the channel.
    #[must_use]
    pub fn start() -> Self {
        let line = Rc::new(Line {
            channel: BroadcastChannel::new(CHANNEL).ok(),
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
            ON.set(on);
        }
        Ok(answered)
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
            Told::Ready => {
                self.line.get_value().ask_again();
                tell_watched();
            }
            Told::State(state) => self.state.set(state),
            Told::Notebooks(notebooks) => self.notebooks.set(notebooks),
            Told::Requests(requests) => self.requests.set(requests),
            Told::Answer { to, answer } => self.line.get_value().answered(&to, answer, bytes),
        }
    }
}

/// Whether this phone syncs; known once the notebook is open.
#[must_use]
pub fn is_switched_on() -> bool {
    ON.get()
}

/// Starts the worker with this page. Called once the notebook is open and read, on a
/// phone that syncs; otherwise the worker starts when it is first asked something.
pub fn start_worker() {
    ON.set(true);
    start();
}

/// Notes whose notebook is on the screen: its changes come at once.
pub fn watch(of: Option<Subject>) {
    if WATCHED.replace(of) != of && STARTED.get() {
        tell_watched();
    }
}

fn tell_watched() {
    let of = WATCHED.get();
    if let (Some(_), Ok(channel)) = (of, BroadcastChannel::new(CHANNEL)) {
        // A worker that is still starting is told when it is ready.
        let _ = channel.post_message(&message(&new_name(), Ask::Watch { of }, None));
        channel.close();
    }
}

fn start() {
    if !STARTED.replace(true) && Worker::new(WORKER).is_err() {
        STARTED.set(false);
    }
}

impl Line {
    async fn ask(&self, ask: Ask, bytes: Option<Vec<u8>>) -> Result<(Answer, Vec<u8>), String> {
        let channel = self.channel.as_ref().ok_or("This browser cannot sync.")?;
        start();
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
