//! The sync worker: keeps this phone's notebooks in step with the others through
//! the relay. Runs beside the page and draws nothing.
//!
//! Every tab starts one; of these one holds a lock of the browser and works, the
//! others wait for it. So the rows of the worker have one writer.

mod anew;
mod asks;
mod beginning;
mod browser;
mod certificates;
mod club;
mod codes;
mod engine;
mod error;
mod exchange;
mod files;
mod hex;
mod inviting;
mod kept;
mod line;
mod members;
mod open;
mod own_log;
mod passes;
mod records;
mod recovering;
mod server;
mod snapshots;
mod take_in;
mod told;
mod vault;
mod wishes;

use crate::device::database::Database;
use crate::device::sync_messages::{SyncState, Told};
use browser::{Random, scope};
use engine::Engine;
use error::Error;
use hex::Hex;
use js_sys::{Function, Promise, Reflect};
use line::Line;
use notebook::DeviceId;
use notebook::sync::DeviceSecret;
use open::Core;
use serde::{Deserialize, Serialize};
use server::Server;
use std::rc::Rc;
use vault::Vault;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::spawn_local;

const LOCK: &str = "stridebook-sync";
const SECRET: &str = "secret";

/// The device's keys as stored.
#[derive(Serialize, Deserialize)]
struct Secret {
    device: DeviceId,
    keys: Hex,
}

/// Waits for the lock and then syncs, for as long as the worker lives.
pub fn start() {
    let hold = Closure::once_into_js(|| {
        spawn_local(run());
        // Never kept, so the lock is held until the worker is gone.
        Promise::new(&mut |_, _| {})
    });
    if request_lock(hold.unchecked_ref()).is_none() {
        // A browser without locks: with one tab it works all the same, and with
        // two their transactions keep each other's rows whole.
        spawn_local(run());
    }
}

/// By name: web-sys has the locks behind its flag for unstable APIs.
fn request_lock(hold: &Function) -> Option<()> {
    let navigator = scope().ok()?.navigator();
    let locks = Reflect::get(&navigator, &"locks".into()).ok()?;
    let request: Function = Reflect::get(&locks, &"request".into())
        .ok()?
        .dyn_into()
        .ok()?;
    request.call2(&locks, &LOCK.into(), hold).ok().map(|_| ())
}

async fn run() {
    let server = Rc::new(Server::default());
    let Ok(line) = Line::open(server.clone()) else {
        return;
    };
    loop {
        match begin(server.clone(), line.clone()).await {
            Ok(engine) => {
                engine.run().await;
                // What the new one is to send lies in the log.
                line.page_wrote();
            }
            Err(error) => refuse(&line, &error).await,
        }
    }
}

async fn begin(server: Rc<Server>, line: Rc<Line>) -> Result<Engine, Error> {
    let random = Random::of_browser()?;
    let (database, stamps) = Database::open().await?;
    let connection = database.connection();
    let vault = Vault::open(connection).await?;
    let device = stamps.stamp().device();
    let stored: Option<Secret> = kept::row(connection, SECRET).await?;
    let secret = match stored.filter(|stored| stored.device == device) {
        Some(stored) => {
            let keys = vault.open_secret(SECRET, &stored.keys).await?;
            let keys: [u8; 64] = keys
                .try_into()
                .map_err(|_| notebook::sync::Error::Damaged)?;
            DeviceSecret::from_bytes(device, &keys)
        }
        None => {
            let secret = DeviceSecret::draw(device, &mut random.clone());
            let keys = vault.seal(SECRET, secret.to_bytes().as_ref()).await?;
            kept::keep_row(connection, SECRET, &Secret { device, keys }).await?;
            secret
        }
    };
    let wrote = line.clone();
    database.on_change_elsewhere(move || wrote.page_wrote());
    let core = Core {
        database,
        stamps,
        server,
        vault,
        secret,
        random,
    };
    Engine::load(core, line).await
}

/// Sync cannot work here: says why, to whoever asks.
async fn refuse(line: &Line, error: &Error) {
    let sentence = error.to_string();
    line.tell(&Told::Ready, None);
    line.tell(
        &Told::State(SyncState::Attention {
            sentence: sentence.clone(),
        }),
        None,
    );
    loop {
        while let Some((asked, _)) = line.next() {
            let (to, answer) = (asked.id, Err(sentence.clone()));
            line.tell(&Told::Answer { to, answer }, None);
        }
        line.take_changed();
        line.take_online();
        line.wait(60_000).await;
    }
}
