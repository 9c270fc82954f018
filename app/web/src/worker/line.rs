//! The worker's end of the channels: what pages ask, in order, and what rings the
//! bell while it waits.

use super::browser::{after, scope};
use super::server::Server;
use crate::device::sync::parts;
use crate::device::sync_messages::{Asked, CHANNEL, Told};
use js_sys::{Array, Function, Promise, Uint8Array};
use std::cell::{Cell, RefCell};
use std::collections::VecDeque;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{BroadcastChannel, MessageEvent};

/// The line to the pages.
pub struct Line {
    channel: BroadcastChannel,
    server: Rc<Server>,
    asked: RefCell<VecDeque<(Asked, Vec<u8>)>>,
    changed: Cell<bool>,
    online: Cell<bool>,
    bell: RefCell<Option<Function>>,
}

impl Line {
    /// Opens the line.
    ///
    /// # Errors
    /// When the browser has no channels.
    pub fn open(server: Rc<Server>) -> Result<Rc<Self>, JsValue> {
        let line = Rc::new(Self {
            channel: BroadcastChannel::new(CHANNEL)?,
            server,
            asked: RefCell::default(),
            changed: Cell::new(true),
            online: Cell::new(false),
            bell: RefCell::default(),
        });
        let heard = line.clone();
        let listener = Closure::<dyn Fn(MessageEvent)>::new(move |event: MessageEvent| {
            heard.heard(&event.data());
        });
        line.channel
            .set_onmessage(Some(listener.as_ref().unchecked_ref()));
        // Both live as long as the worker.
        listener.forget();
        let heard = line.clone();
        let back = Closure::<dyn Fn()>::new(move || {
            heard.online.set(true);
            heard.ring();
        });
        if let Ok(scope) = scope() {
            scope.add_event_listener_with_callback("online", back.as_ref().unchecked_ref())?;
        }
        back.forget();
        Ok(line)
    }

    fn heard(&self, data: &JsValue) {
        let Some((text, bytes)) = parts(data) else {
            return;
        };
        // What is told to pages comes by here too when another worker tells.
        let Ok(asked) = serde_json::from_str::<Asked>(&text) else {
            return;
        };
        let bytes = bytes.map(|bytes: Uint8Array| bytes.to_vec());
        self.asked
            .borrow_mut()
            .push_back((asked, bytes.unwrap_or_default()));
        self.ring();
    }

    /// A page has written.
    pub fn page_wrote(&self) {
        self.changed.set(true);
        self.ring();
    }

    fn ring(&self) {
        self.server.stop_waiting();
        if let Some(bell) = self.bell.take() {
            // Nothing hangs on what it returns.
            let _ = bell.call0(&JsValue::NULL);
        }
    }

    /// The next ask.
    pub fn next(&self) -> Option<(Asked, Vec<u8>)> {
        self.asked.borrow_mut().pop_front()
    }

    /// Whether somebody asks.
    pub fn is_asked(&self) -> bool {
        !self.asked.borrow().is_empty()
    }

    /// Whether there is anything to see to.
    pub fn has_news(&self) -> bool {
        self.is_asked() || self.changed.get() || self.online.get()
    }

    /// Whether a page has written since this was asked last.
    pub fn take_changed(&self) -> bool {
        self.changed.take()
    }

    /// Whether the phone has come online since this was asked last.
    pub fn take_online(&self) -> bool {
        self.online.take()
    }

    /// Waits `ms` milliseconds, or until there is something to see to.
    pub async fn wait(&self, ms: i32) {
        if self.has_news() {
            return;
        }
        let bell = Promise::new(&mut |resolve, _| {
            self.bell.replace(Some(resolve));
        });
        // Neither is ever broken.
        let _ = JsFuture::from(Promise::race(&Array::of2(&bell, &after(ms)))).await;
        self.bell.take();
    }

    /// Tells all pages, with bytes where a file or code travels.
    pub fn tell(&self, told: &Told, bytes: Option<&[u8]>) {
        let text = serde_json::to_string(told).unwrap_or_default();
        let text = JsValue::from_str(&text);
        let message = match bytes {
            None => text,
            Some(bytes) => Array::of2(&text, &Uint8Array::from(bytes)).into(),
        };
        // Nobody listening is no error.
        let _ = self.channel.post_message(&message);
    }
}
