//! Figures of the session log: one touch on the fan with a club's reps and balls on
//! the phone, a JSON line each on the output stream, in words on the error stream.
//!
//! Two times of each touch, from its event to the end of a frame that shows it: the
//! one that marks the field until its ball is on disk, and the one that says that it is
//! saved, which comes after the strict write. Beside them what this machine needs for a
//! strict write alone, whatever the app does.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, on_runtime, session_page};
use serde_json::json;

/// How slow the phone's processor is for the budget, times.
const SLOW: f64 = 4.0;
/// Reps, and as many balls, on the phone.
const MANY: usize = 200_000;
/// Touches that are timed.
const TOUCHES: usize = 100;

fn main() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        fill(&profile, &relay).await?;
        let phone = Phone::on(&profile).await?;
        phone.open(&session_page(&relay)).await?;
        phone.sees("Who hits?").await?;
        phone.touch("Hitter 02").await?;
        phone.touch("Begin with 2 hitters").await?;
        phone.sees("0 balls this turn").await?;
        phone.sees("Swings: today").await?;
        phone.slow_down(SLOW).await?;
        let bare_before_ms = bare(&phone).await?;
        let mut times = Vec::new();
        for n in 0..TOUCHES {
            times.push(touch(&phone, n % 4, (n * 3) % 7).await?);
        }
        // The next hitter's first ball, at once after the change.
        let mut next = Vec::new();
        for n in 0..10 {
            let button = phone
                .spot_where("return document.querySelector('.next')", vec![])
                .await?;
            phone.finger_tap(button, None).await?;
            next.push(touch(&phone, n % 4, n % 7).await?);
        }
        let bare_after_ms = bare(&phone).await?;
        phone.slow_down(1.0).await?;
        are_on_disk(&phone, TOUCHES + next.len()).await?;
        say(times, next, [bare_before_ms, bare_after_ms]);
        phone.off().await
    })
}

/// A club of sixty with its reps and balls.
async fn fill(profile: &Profile, relay: &Relay) -> Result<()> {
    let phone = Phone::on(profile).await?;
    phone.open(relay.address()).await?;
    phone.sees("Add a hitter").await?;
    let hitters = phone.add_hitters(60).await?;
    phone.add_reps(&hitters, 0, MANY).await?;
    for from in (0..MANY).step_by(20_000) {
        let arguments = [
            json!(hitters),
            json!(from),
            json!(from + 20_000),
            json!(MANY),
        ];
        phone.script_async(ADD_CONTACTS, arguments.to_vec()).await?;
    }
    phone.off().await
}

/// One touch: ms to the answer, and to "Saved.".
#[derive(Clone, Copy)]
struct Times {
    answered_ms: f64,
    saved_ms: f64,
}

async fn touch(phone: &Phone, row: usize, sector: usize) -> Result<Times> {
    let at = phone.fan_spot(row, sector).await?;
    phone.script(TIME_TOUCH, vec![]).await?;
    phone.finger_tap(at, None).await?;
    phone.holds("return window.savedMs !== null").await?;
    let ms = phone
        .script("return [window.answeredMs, window.savedMs]", vec![])
        .await?;
    let of = |place: usize| ms[place].as_f64().context("no time");
    let times = Times {
        answered_ms: of(0)?,
        saved_ms: of(1)?,
    };
    // What the touch set going has come to rest before the next.
    phone.stands_still().await?;
    Ok(times)
}

fn say(times: Vec<Times>, next: Vec<Times>, bare_ms: [f64; 2]) {
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    eprintln!(
        "Touch on the fan to paint, {SLOW} times slowed down, {MANY} reps and {MANY} balls on \
         the phone, {} touches (load of the machine now: {}):",
        times.len(),
        load.trim()
    );
    let answered = sorted(times.iter().map(|times| times.answered_ms).collect());
    let saved = sorted(times.iter().map(|times| times.saved_ms).collect());
    let percentile = |sorted: &[f64]| sorted[(0.98 * sorted.len() as f64).ceil() as usize - 1];
    figure(
        "ball to paint of its answer, 98th percentile",
        percentile(&answered),
    );
    figure(
        "ball to paint of its answer, median",
        answered[answered.len() / 2],
    );
    figure("ball to paint of \"saved\", median", saved[saved.len() / 2]);
    figure(
        "ball to paint of \"saved\", 98th percentile",
        percentile(&saved),
    );
    let next = sorted(next.iter().map(|times| times.saved_ms).collect());
    figure(
        "first ball after a change of hitter to paint of \"saved\", worst",
        next[next.len() - 1],
    );
    figure(
        "a strict write of one row and its frame, median",
        0.5 * (bare_ms[0] + bare_ms[1]),
    );
    eprintln!("    all, ms: {saved:.0?}");
    eprintln!("    strict write alone before and after, ms: {bare_ms:.0?}");
}

fn sorted(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values
}

fn figure(name: &str, ms: f64) {
    let rounded = (ms * 10.0).round() / 10.0;
    println!("{}", json!({"name": name, "value": rounded, "unit": "ms"}));
    eprintln!("  {name}: {rounded} ms");
}

/// Times one touch from its event to the frame that answers and to the one that
/// says it is saved.
const TIME_TOUCH: &str = "
    const line = document.querySelector('.saved');
    const before = line.textContent;
    window.answeredMs = window.savedMs = null;
    let isAnswered = false;
    addEventListener('click', event => {
        const look = () => {
            const now = line.textContent;
            const isSaved = now !== before && now.endsWith('Saved.');
            const answers = isSaved || document.querySelector('.on-its-way');
            if (answers && (isSaved || !isAnswered)) {
                isAnswered = true;
                const painted = new MessageChannel();
                painted.port1.onmessage = () => {
                    const ms = performance.now() - event.timeStamp;
                    window.answeredMs ??= ms;
                    if (isSaved) window.savedMs = ms;
                };
                painted.port2.postMessage(null);
                if (isSaved) return;
            }
            requestAnimationFrame(look);
        };
        requestAnimationFrame(look);
    }, {capture: true, once: true});
";

/// Contacts in their stored form, made in the page like the samples' reps.
const ADD_CONTACTS: &str = "
    const [hitters, from, to, total] = args;
    const DEVICE = '0190a0b0-c0d0-7000-8000-00000000beef';
    const hex = (n, width) => Math.floor(n).toString(16).padStart(width, '0');
    const stampOf = ms => hex(ms / 1000, 8) + hex((ms % 1000) * 4294967.296, 8)
        + '-' + DEVICE.replaceAll('-', '');
    const idOf = (ms, kind, n) => {
        const time = hex(ms, 12);
        return `${time.slice(0, 8)}-${time.slice(8)}-7${kind}-8000-${hex(n, 12)}`;
    };
    const database = await new Promise((resolve, reject) => {
        const request = indexedDB.open('stridebook');
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
    });
    const transaction = database.transaction('contacts', 'readwrite', {durability: 'relaxed'});
    const store = transaction.objectStore('contacts');
    const begun = Date.now() - total * 8000 - 60000;
    const results = ['ground', 'line', 'fly', 'pop', 'miss', 'foul', 'take'];
    for (let n = from; n < to; n += 1) {
        const ms = begun + n * 8000;
        const round = Math.floor(n / 20);
        const result = results[n % 7];
        const numbers = n % 7 < 4 ? {'direction-deg': ((n * 37) % 90) - 45} : undefined;
        store.add({
            head: {id: idOf(ms, '00d', n), schema: 1, author: DEVICE, made: stampOf(ms)},
            hitter: hitters[round % hitters.length],
            session: idOf(begun + Math.floor(n / 1000) * 8000000, '00e', Math.floor(n / 1000)),
            set: idOf(begun, '00f', round),
            number: (n % 20) + 1,
            context: {side: 'right', feed: 'right', sport: 'baseball',
                level: 'baseball-adult', environment: 'front-toss'},
            result,
            ...(numbers ? {numbers} : {}),
        });
    }
    await new Promise((resolve, reject) => {
        transaction.oncomplete = resolve;
        transaction.onabort = () => reject(transaction.error);
    });
    database.close();
";

async fn bare(phone: &Phone) -> Result<f64> {
    let ms = phone.script_async(BARE_WRITES, vec![]).await?;
    ms.as_f64().context("no time of a write")
}

/// What this machine needs now for one strict write and a frame: the median of 30.
const BARE_WRITES: &str = "
    const request = indexedDB.open('bare', 1);
    request.onupgradeneeded = () => request.result.createObjectStore('rows');
    const database = await new Promise(done => request.onsuccess = () => done(request.result));
    const times = [];
    for (let n = 0; n < 30; n += 1) {
        const begun = performance.now();
        const transaction = database.transaction('rows', 'readwrite', {durability: 'strict'});
        transaction.objectStore('rows').put({n}, n);
        await new Promise(done => transaction.oncomplete = done);
        await new Promise(done => requestAnimationFrame(() => {
            const painted = new MessageChannel();
            painted.port1.onmessage = done;
            painted.port2.postMessage(null);
        }));
        times.push(performance.now() - begun);
    }
    database.close();
    return Math.round(times.sort((a, b) => a - b)[15]);
";

/// That the touches reached the disk; counted, as the store is large.
async fn are_on_disk(phone: &Phone, n: usize) -> Result<()> {
    let body = "
        const database = await new Promise((resolve, reject) => {
            const request = indexedDB.open('stridebook');
            request.onsuccess = () => resolve(request.result);
            request.onerror = () => reject(request.error);
        });
        const count = await new Promise((resolve, reject) => {
            const request = database.transaction('contacts').objectStore('contacts').count();
            request.onsuccess = () => resolve(request.result);
            request.onerror = () => reject(request.error);
        });
        database.close();
        return count;";
    let count = phone.script_async(body, vec![]).await?.as_u64();
    ensure!(count == Some((MANY + n) as u64), "{count:?}");
    Ok(())
}
