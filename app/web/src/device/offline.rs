//! The service worker as the page sees it: whether the app is ready to work
//! offline, and whether a new version waits.

use crate::device::clock::page_now_ms;
use leptos::prelude::*;
use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{
    RegistrationOptions, ServiceWorker, ServiceWorkerContainer, ServiceWorkerRegistration,
    ServiceWorkerState, ServiceWorkerUpdateViaCache, VisibilityState,
};

/// How ready the app is to be used without a network.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ready {
    /// Files are being fetched.
    Preparing,
    /// Everything is on the phone.
    Yes,
    /// Cannot be: the address is not secure, or the browser does not allow it.
    No,
}

/// The offline shell's state, for screens.
#[derive(Clone, Copy)]
pub struct Offline {
    /// Ready to work without network.
    pub ready: RwSignal<Ready>,
    /// A new version is on the phone and waits to be used.
    pub new_version: RwSignal<bool>,
}

/// Not more often than this when the app comes back to the front.
const LOOK_AGAIN_AFTER_MS: f64 = 3_600_000.0;

impl Offline {
    /// Registers the service worker and watches it.
    pub fn start() -> Self {
        let offline = Self {
            ready: RwSignal::new(Ready::Preparing),
            new_version: RwSignal::new(false),
        };
        spawn_local(async move {
            if offline.register().await.is_none() {
                offline.ready.set(Ready::No);
            }
        });
        offline
    }

    async fn register(self) -> Option<()> {
        let container = container()?;
        let options = RegistrationOptions::new();
        options.set_update_via_cache(ServiceWorkerUpdateViaCache::None);
        let registered = container.register_with_options("/service-worker.js", &options);
        let registration: ServiceWorkerRegistration =
            JsFuture::from(registered).await.ok()?.unchecked_into();
        if registration.waiting().is_some() {
            self.new_version.set(true);
        }
        self.watch_updates(&registration);
        look_for_updates_on_return(registration);
        // Resolves when a worker is active, that is, when all files are kept.
        JsFuture::from(container.ready().ok()?).await.ok()?;
        self.ready.set(Ready::Yes);
        Some(())
    }

    fn watch_updates(self, registration: &ServiceWorkerRegistration) {
        let watched = registration.clone();
        let on_found = Closure::<dyn Fn()>::new(move || {
            let Some(installing) = watched.installing() else {
                return;
            };
            // Without a controller this is the first version, nothing to replace.
            let replaces = container().is_some_and(|c| c.controller().is_some());
            let worker: ServiceWorker = installing.clone();
            let on_state = Closure::<dyn Fn()>::new(move || {
                if replaces && worker.state() == ServiceWorkerState::Installed {
                    self.new_version.set(true);
                }
            });
            installing.set_onstatechange(Some(on_state.as_ref().unchecked_ref()));
            on_state.forget();
        });
        registration.set_onupdatefound(Some(on_found.as_ref().unchecked_ref()));
        on_found.forget();
    }

    /// Changes to the new version and opens the page again; called only by the
    /// user's own tap.
    pub fn use_new_version(self) {
        spawn_local(async move {
            let Some(container) = container() else { return };
            let Ok(registration) = JsFuture::from(container.get_registration()).await else {
                return;
            };
            let Ok(registration) = registration.dyn_into::<ServiceWorkerRegistration>() else {
                return;
            };
            let reload = Closure::<dyn Fn()>::new(|| {
                // Fails only while the page is being unloaded already.
                let _ = window().location().reload();
            });
            container.set_oncontrollerchange(Some(reload.as_ref().unchecked_ref()));
            reload.forget();
            match registration.waiting() {
                Some(waiting) => {
                    let _ = waiting.post_message(&JsValue::from_str("use-new-version"));
                }
                // Another tab has changed over already: only this page is old.
                None => {
                    let _ = window().location().reload();
                }
            }
        });
    }
}

/// A phone keeps an app in the background for days: look again when it returns.
fn look_for_updates_on_return(registration: ServiceWorkerRegistration) {
    let looked = Rc::new(Cell::new(page_now_ms()));
    let on_change = Closure::<dyn Fn()>::new(move || {
        let now = page_now_ms();
        let visible = document().visibility_state() == VisibilityState::Visible;
        if visible && now - looked.get() > LOOK_AGAIN_AFTER_MS {
            looked.set(now);
            // Offline this fails, and the next return tries again.
            let _ = registration.update();
        }
    });
    document().set_onvisibilitychange_by(&on_change);
    on_change.forget();
}

trait OnVisibilityChange {
    fn set_onvisibilitychange_by(&self, closure: &Closure<dyn Fn()>);
}

impl OnVisibilityChange for web_sys::Document {
    fn set_onvisibilitychange_by(&self, closure: &Closure<dyn Fn()>) {
        // Adding a listener to the document cannot fail.
        let _ = self
            .add_event_listener_with_callback("visibilitychange", closure.as_ref().unchecked_ref());
    }
}

fn container() -> Option<ServiceWorkerContainer> {
    let navigator = window().navigator();
    // Missing on pages that are not secure, where the typed getter would throw.
    let container = js_sys::Reflect::get(&navigator, &"serviceWorker".into()).ok()?;
    container.dyn_into().ok()
}
