//! Measures how long a phone takes to catch up with 10,000 changes over loopback,
//! from the start of its worker until all is in its database, the page open
//! beside it; and beside it how long this browser takes to store the same rows when
//! nothing else is done to them. Prints figures as `measure` does:
//! `cargo run -p browser --bin catch_up` with the variables of `cargo xtask` set.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, on_runtime};
use serde_json::json;
use std::time::Duration;

const CHANGES: usize = 10_000;
/// How often it is measured; a new phone each time.
const TIMES: usize = 5;

/// After so long a page that has been opened does nothing more of itself.
const AT_REST: Duration = Duration::from_secs(2);

/// Waits until the worker says that all is in step; the seconds until then.
const UNTIL_IN_STEP: &str = "
    const channel = new BroadcastChannel('stridebook-sync');
    const begun = performance.now();
    const now = Date.now();
    const ask = what => channel.postMessage(JSON.stringify({id: crypto.randomUUID(), ask: what}));
    return await new Promise((done, fail) => {
        setTimeout(() => fail(new Error('not in step')), 28000);
        channel.onmessage = ({data}) => {
            const told = JSON.parse(Array.isArray(data) ? data[0] : data);
            if (told === 'ready') ask('switch-on');
            if (told.state?.['in-step']?.at_ms > now) done((performance.now() - begun) / 1000);
        };
        BEGIN;
    });
";

/// Stores the rows of the reps in a database of its own that has the same indexes, in
/// strict transactions of 1,000; the seconds that it takes.
const BARE: &str = "
    const answer = request => new Promise((done, fail) => {
        request.onsuccess = () => done(request.result);
        request.onerror = () => fail(request.error);
    });
    const from = await answer(indexedDB.open('stridebook'));
    const reps = from.transaction('reps').objectStore('reps');
    // A store tells of its indexes only while its transaction lives.
    const indexes = [...reps.indexNames].map(name => [name, reps.index(name).keyPath]);
    const rows = await answer(reps.getAll());
    const name = `bare-${crypto.randomUUID()}`;
    const opening = indexedDB.open(name, 1);
    opening.onupgradeneeded = () => {
        const store = opening.result.createObjectStore('rows', {keyPath: reps.keyPath});
        for (const [index, path] of indexes) store.createIndex(index, path);
    };
    const to = await answer(opening);
    const begun = performance.now();
    for (let at = 0; at < rows.length; at += 1000) {
        const transaction = to.transaction('rows', 'readwrite', {durability: 'strict'});
        for (const row of rows.slice(at, at + 1000))
            transaction.objectStore('rows').add(row);
        transaction.commit();
        await new Promise((done, fail) => {
            transaction.oncomplete = done;
            transaction.onabort = () => fail(transaction.error);
        });
    }
    const took = (performance.now() - begun) / 1000;
    from.close();
    to.close();
    indexedDB.deleteDatabase(name);
    return [rows.length, took];
";

fn main() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let home = Profile::new()?;
        let coach = switched_on(&home, &relay).await?;
        let hitters = coach.add_hitters(1).await?;
        // As members from the beginning, these get every change in a batch; who joins
        // later gets a snapshot.
        let mut early = Vec::new();
        for _ in 0..TIMES {
            let profile = Profile::new()?;
            let phone = switched_on(&profile, &relay).await?;
            coach.lets_in(&phone, &hitters[0], "read-only").await?;
            phone.in_step().await?;
            // Its worker does not start with the page then, so that it can be timed.
            phone.ask(json!("switch-off")).await?;
            phone.off().await?;
            early.push(profile);
        }
        // The hitter itself is one of the changes.
        coach.add_reps(&hitters, 0, CHANGES - 1).await?;
        coach.log_reps(&hitters[0]).await?;
        coach.in_step().await?;
        let (mut times_s, mut bare_s) = (Vec::new(), Vec::new());
        for profile in &early {
            let phone = Phone::on(profile).await?;
            phone.open(relay.address()).await?;
            phone.sees("Hitter 01").await?;
            // Opening the page is measured elsewhere.
            tokio::time::sleep(AT_REST).await;
            let begin = "new Worker('/worker_loader.js')";
            times_s.push(until_in_step_s(&phone, begin).await?);
            let there = phone.stored("reps").await?.len();
            ensure!(there == CHANGES - 1, "{there} reps came");
            bare_s.push(bare_for_s(&phone).await?);
            phone.off().await?;
        }
        say("10,000 offline changes caught up, median", times_s);
        say("the same rows stored and nothing else, median", bare_s);
        let mut times_s = Vec::new();
        for _ in 0..TIMES {
            let profile = Profile::new()?;
            let phone = switched_on(&profile, &relay).await?;
            times_s.push(joined_s(&coach, &phone, &hitters[0]).await?);
            phone.off().await?;
        }
        say("10,000 changes by snapshot, median", times_s);
        coach.off().await
    })
}

async fn switched_on(profile: &Profile, relay: &Relay) -> Result<Phone> {
    let phone = Phone::on(profile).await?;
    phone.open(relay.address()).await?;
    phone.sees("Add a hitter").await?;
    phone.sync_on().await?;
    Ok(phone)
}

fn say(name: &str, mut times_s: Vec<f64>) {
    times_s.sort_unstable_by(f64::total_cmp);
    eprintln!("  {TIMES} times, s: {times_s:.2?}");
    let median = times_s[TIMES / 2];
    println!("{}", json!({"name": name, "value": median, "unit": "s"}));
}

async fn until_in_step_s(phone: &Phone, begin: &str) -> Result<f64> {
    let script = UNTIL_IN_STEP.replace("BEGIN", begin);
    let seconds = phone.script_async(&script, vec![]).await?;
    seconds.as_f64().context("no time")
}

/// What the browser itself needs for the rows.
async fn bare_for_s(phone: &Phone) -> Result<f64> {
    let told = phone.script_async(BARE, vec![]).await?;
    ensure!(told[0] == json!(CHANGES - 1), "{told} rows were stored");
    told[1].as_f64().context("no time")
}

/// Joins a notebook of 10,000 changes, of which the owner has made a snapshot.
async fn joined_s(coach: &Phone, phone: &Phone, of: &str) -> Result<f64> {
    let pass = json!({"make-pass": {"of": of, "role": "read-only", "lives_s": 3600}});
    let words = coach.ask(pass).await?["words"]["words"].clone();
    phone.ask(json!({"take-pass": {"words": words}})).await?;
    let told = coach
        .told_that("for a request", |told| told["requests"][0].is_object())
        .await?;
    phone.ask(json!("pause")).await?;
    let request = told["requests"][0]["request"].clone();
    coach.ask(json!({"admit": {"request": request}})).await?;
    coach.in_step().await?;
    let go_on = "ask('go-on')";
    until_in_step_s(phone, go_on).await
}
