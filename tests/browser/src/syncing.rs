//! A phone's sync worker, spoken to as a page speaks to it: over its channel.

use crate::phone::{Phone, Profile};
use crate::places::Place;
use crate::relay::Relay;
use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};
use std::time::{Duration, Instant};

/// The longest that phones may need to get in step.
const IN_STEP: Duration = Duration::from_secs(60);

/// Asks the worker and gives its answer with all that it told on the way. A worker
/// that is still starting says when it is ready, and is asked again.
const ASK: &str = "
    const [ask, bytes] = args;
    const channel = new BroadcastChannel('stridebook-sync');
    const id = crypto.randomUUID();
    const message = JSON.stringify({id, ask});
    const told = {};
    const post = () => channel.postMessage(
        bytes ? [message, new Uint8Array(bytes)] : message);
    return await new Promise((done, fail) => {
        setTimeout(() => fail(new Error('no answer to ' + message)), 25000);
        channel.onmessage = ({data}) => {
            const heard = JSON.parse(Array.isArray(data) ? data[0] : data);
            if (heard === 'ready') return post();
            if (heard.answer?.to === id) {
                const bytes = Array.isArray(data) ? [...data[1]] : [];
                channel.close();
                done({...told, answer: heard.answer.answer, bytes});
            } else Object.assign(told, heard);
        };
        post();
    });
";

impl Phone {
    /// A phone that syncs with `relay`.
    ///
    /// # Errors
    /// When it does not start.
    pub async fn syncing_on(profile: &Profile, relay: &Relay) -> Result<Self> {
        let phone = Self::on(profile).await?;
        phone.syncs(relay).await?;
        Ok(phone)
    }

    /// Opens the app of `relay` for the first time, and switches sync on.
    ///
    /// # Errors
    /// When a step fails.
    pub async fn syncs(&self, relay: &Relay) -> Result<()> {
        self.open(relay.address()).await?;
        self.sees("Add a hitter").await?;
        self.sync_on().await
    }

    /// The id of the hitter of that name.
    ///
    /// # Errors
    /// When there is none.
    pub async fn hitter_id(&self, name: &str) -> Result<String> {
        let hitters = self.stored("hitters").await?;
        let found = hitters
            .iter()
            .find(|hitter| hitter["name"]["value"] == name);
        let id = found.and_then(|hitter| hitter["head"]["id"].as_str());
        id.map(str::to_owned)
            .with_context(|| format!("no hitter {name} among {hitters:#?}"))
    }

    /// Adds one more hitter.
    ///
    /// # Errors
    /// When a step fails.
    pub async fn add_hitter(&self, name: &str) -> Result<()> {
        self.open_place(Place::Hitters).await?;
        self.touch("Add a hitter").await?;
        self.type_into("First name or initials", name).await?;
        self.touch("Save hitter").await?;
        self.sees(name).await
    }

    /// Waits until so many records lie in a store.
    ///
    /// # Errors
    /// When they do not in time.
    pub async fn has(&self, store: &str, count: usize) -> Result<()> {
        let what = format!("for {count} in {store}");
        self.waits_for(&what, async || Ok(self.stored(store).await?.len() == count))
            .await
    }

    /// Looks at once until so many records lie in a store.
    ///
    /// # Errors
    /// When they do not in time.
    pub async fn gets(&self, store: &str, count: usize) -> Result<()> {
        self.ask(json!("go-on")).await?;
        self.in_step().await?;
        self.has(store, count).await
    }

    /// Switches sync on; the worker starts with every page from then on.
    ///
    /// # Errors
    /// When it does not start.
    pub async fn sync_on(&self) -> Result<()> {
        // As the first ask of a page starts it; after that the page does by itself.
        self.script("new Worker('/worker_loader.js')", vec![])
            .await?;
        self.ask(json!("switch-on")).await?;
        self.reload().await?;
        Ok(())
    }

    /// Asks the worker.
    ///
    /// # Errors
    /// When it refuses; says why.
    pub async fn ask(&self, ask: Value) -> Result<Value> {
        Ok(self.ask_with(ask, None).await?.0)
    }

    /// Asks the worker with bytes; the answer with its own.
    ///
    /// # Errors
    /// When it refuses; says why.
    pub async fn ask_with(&self, ask: Value, bytes: Option<&[u8]>) -> Result<(Value, Vec<u8>)> {
        let said = self.asked(&ask, bytes).await?;
        if let Some(refused) = said["answer"]["Err"].as_str() {
            bail!("{ask} was refused: {refused}");
        }
        let bytes = serde_json::from_value(said["bytes"].clone())?;
        Ok((said["answer"]["Ok"].clone(), bytes))
    }

    async fn asked(&self, ask: &Value, bytes: Option<&[u8]>) -> Result<Value> {
        self.script_async(ASK, vec![ask.clone(), json!(bytes)])
            .await
    }

    /// What the worker tells now: `state`, `notebooks`, `requests`.
    ///
    /// # Errors
    /// When it does not answer.
    pub async fn told(&self) -> Result<Value> {
        self.asked(&json!("tell"), None).await
    }

    /// Has the worker look at once, and waits until `is_so` of what it tells.
    ///
    /// # Errors
    /// When it is not so in time; says what it tells instead.
    pub async fn told_that(&self, what: &str, is_so: impl Fn(&Value) -> bool) -> Result<Value> {
        let begun = Instant::now();
        loop {
            self.ask(json!("go-on")).await?;
            for _ in 0..4 {
                let told = self.told().await?;
                if is_so(&told) {
                    return Ok(told);
                }
                if begun.elapsed() > IN_STEP {
                    bail!("waited in vain {what}; told: {told:#}");
                }
                tokio::time::sleep(Duration::from_millis(250)).await;
            }
        }
    }

    /// Waits until all is in step.
    ///
    /// # Errors
    /// When it is not in time.
    pub async fn in_step(&self) -> Result<Value> {
        self.told_that("to be in step", |told| {
            told["state"].get("in-step").is_some()
        })
        .await
    }

    /// A pass for `other` into the notebook `of`, from words to being let in, with
    /// the six words compared. This phone owns the notebook.
    ///
    /// # Errors
    /// When a step fails.
    pub async fn lets_in(&self, other: &Self, of: &str, role: &str) -> Result<()> {
        let pass = json!({"make-pass": {"of": of, "role": role, "lives_s": 3600}});
        let words = self.ask(pass).await?["words"]["words"].clone();
        let asked = other.ask(json!({"take-pass": {"words": words}})).await?;
        let shown = &asked["requested"]["fingerprint"];
        let told = self
            .told_that("for a request", |told| told["requests"][0].is_object())
            .await?;
        let request = &told["requests"][0];
        ensure!(
            request["fingerprint"] == *shown,
            "{request:#} is not {shown}"
        );
        self.ask(json!({"admit": {"request": request["request"]}}))
            .await?;
        let notebook = asked["requested"]["notebook"].clone();
        self.in_step().await?;
        other
            .told_that("to be let in", |told| {
                let known = told["notebooks"].as_array().into_iter().flatten();
                known
                    .filter(|known| known["notebook"] == notebook)
                    .any(|known| known["joining"] == false && known["of"] == of)
            })
            .await?;
        Ok(())
    }

    /// Logs all reps of a hitter, as the page logs each with its write.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn log_reps(&self, of: &str) -> Result<()> {
        let body = "
            const answered = request => new Promise((resolve, reject) => {
                request.onsuccess = () => resolve(request.result);
                request.onerror = () => reject(request.error);
            });
            const database = await answered(indexedDB.open('stridebook'));
            const transaction = database.transaction(['reps', 'log'], 'readwrite');
            const reps = await answered(transaction.objectStore('reps').getAll());
            for (const record of reps)
                transaction.objectStore('log').add({subject: args[0], store: 'reps', record});
            await new Promise((resolve, reject) => {
                transaction.oncomplete = resolve;
                transaction.onabort = () => reject(transaction.error);
            });
            database.close();
            const channel = new BroadcastChannel('stridebook-changes');
            channel.postMessage('changed');
            channel.close();";
        self.script_async(body, vec![json!(of)]).await?;
        Ok(())
    }

    /// Everything in the phone's database as one text, bytes left out.
    ///
    /// # Errors
    /// When there is no database.
    pub async fn whole_database(&self) -> Result<String> {
        let body = "
            const answered = request => new Promise((resolve, reject) => {
                request.onsuccess = () => resolve(request.result);
                request.onerror = () => reject(request.error);
            });
            const database = await answered(indexedDB.open('stridebook'));
            const all = {};
            for (const name of database.objectStoreNames)
                all[name] = await answered(database.transaction(name).objectStore(name).getAll());
            database.close();
            const text = new TextDecoder('latin1');
            return JSON.stringify(all, (key, value) =>
                value instanceof Uint8Array ? text.decode(value) : value);";
        let all = self.script_async(body, vec![]).await?;
        all.as_str().map(str::to_owned).context("no text")
    }
}
