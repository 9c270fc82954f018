//! The figures that only a browser can give, a JSON line each on the output
//! stream ({"name", "value", "unit"}) and in words on the error stream.
//!
//! A tap is timed from its event's own time stamp to the end of the frame that
//! shows what it does: the change is looked for at the start of each frame
//! (`requestAnimationFrame`), and a message posted from there comes back after
//! the frame is painted. (The Event Timing API is no help here: without a
//! screen, Chromium tells the times of its paints late and in batches.)
//!
//! With "club" as its argument the notebook of a million reps is left out.
//!
//! The slow-down holds for the page's main thread; the browser's own storage
//! and the offline shell's worker run at full speed.

use anyhow::{Context, Result, ensure};
use browser::{
    Phone, Place, Profile, RECORD_SOUND, Relay, Screen, Spot, TIME_EVENT, on_runtime,
    worst_jitter_ms,
};
use serde_json::json;
use std::time::{Duration, Instant, SystemTime};

/// How slow the phone's processor is for the budgets, times.
const SLOW: f64 = 4.0;
/// The club of the tap budget.
const CLUB_HITTERS: usize = 60;
const CLUB_REPS: usize = 200_000;
/// The notebooks that are opened, in reps.
const FEW_REPS: usize = 1_000;
const MANY_REPS: usize = 1_000_000;
const FEWER_REPS: usize = 500_000;
/// The longest that filling the large notebook may take.
const PATIENCE: Duration = Duration::from_secs(240);

fn main() -> Result<()> {
    on_runtime(async {
        let begun = Instant::now();
        say_load();
        let mut relay = Relay::start()?;
        let address = relay.address().to_owned();
        let club = Profile::new()?;
        let phone = Phone::on(&club).await?;
        make_club(&phone, &address).await?;
        phone.off().await?;
        relay.stop();
        // From here on without the server.
        say_load();
        offline_start(&club, &address).await?;
        say_load();
        taps(&club, &address).await?;
        tap_times(&club, &address).await?;
        beat_jitter(&club, &address).await?;

        // Last, as it keeps the disk busy for a while.
        if std::env::args().nth(1).as_deref() != Some("club") {
            openings().await?;
        }
        eprintln!("All figures took {:.0} s.", begun.elapsed().as_secs_f64());
        Ok(())
    })
}

/// A notebook with few reps, and with many, is opened.
async fn openings() -> Result<()> {
    let relay = Relay::start()?;
    let one = Profile::new()?;
    let hitter = make_notebook(&one, relay.address()).await?;
    eprintln!("Opening a notebook, full speed:");
    let few_s = opening_s(&one, relay.address()).await?;
    let many = fill_notebook(&one, relay.address(), &hitter).await?;
    let many_s = opening_s(&one, relay.address()).await?;
    opening_figures(few_s, many_s, many);
    Ok(())
}

/// Says how busy the machine is beside this: figures of time depend on it.
fn say_load() {
    if let Ok(load) = std::fs::read_to_string("/proc/loadavg") {
        eprintln!("  (load of the machine now: {})", load.trim());
    }
}

fn figure(name: &str, value: f64, unit: &str) {
    let rounded = (value * 1e4).round() / 1e4;
    println!("{}", json!({"name": name, "value": rounded, "unit": unit}));
    eprintln!("  {name}: {rounded} {unit}");
}

/// Sixty hitters with 200,000 reps, on a phone that works offline.
async fn make_club(phone: &Phone, address: &str) -> Result<()> {
    eprintln!("A club of {CLUB_HITTERS} hitters and {CLUB_REPS} reps:");
    phone.open(address).await?;
    phone.sees("Add a hitter").await?;
    phone.ready_offline().await?;
    let hitters = phone.add_hitters(CLUB_HITTERS).await?;
    phone.add_reps(&hitters, 0, CLUB_REPS).await?;
    phone.reload().await?;
    phone.sees("Hitter 01").await
}

/// One hitter with few reps, on a phone that works offline; the hitter's id.
async fn make_notebook(profile: &Profile, address: &str) -> Result<Vec<String>> {
    let phone = Phone::on(profile).await?;
    phone.open(address).await?;
    phone.sees("Add a hitter").await?;
    phone.ready_offline().await?;
    let hitter = phone.add_hitters(1).await?;
    phone.add_reps(&hitter, 0, FEW_REPS).await?;
    phone.off().await?;
    Ok(hitter)
}

/// Adds reps to the notebook up to the many; how many there are then.
async fn fill_notebook(profile: &Profile, address: &str, hitter: &[String]) -> Result<usize> {
    let phone = Phone::on(profile).await?;
    phone.open(address).await?;
    phone.sees("Hitter 01").await?;
    let begun = Instant::now();
    phone.add_reps(hitter, FEW_REPS, FEWER_REPS).await?;
    let mut there = FEWER_REPS;
    if begun.elapsed() > PATIENCE / 2 {
        eprintln!("    this machine is slow: {FEWER_REPS} reps have to do");
    } else {
        phone.add_reps(hitter, FEWER_REPS, MANY_REPS).await?;
        there = MANY_REPS;
    }
    eprintln!("    filled in {:.0} s", begun.elapsed().as_secs_f64());
    phone.off().await?;
    Ok(there)
}

/// Median time from navigation to usable, in seconds, on a phone switched on
/// anew (so that no work of before goes on).
async fn opening_s(profile: &Profile, address: &str) -> Result<f64> {
    let phone = Phone::on(profile).await?;
    phone.open(address).await?;
    phone.sees("Hitter 01").await?;
    let mut times_s = Vec::new();
    for _ in 0..15 {
        phone.reload().await?;
        times_s.push(usable_s(&phone).await?);
    }
    phone.off().await?;
    let sorted = sorted(times_s);
    eprintln!("    15 times, s: {sorted:.3?}");
    Ok(median(&sorted))
}

fn opening_figures(few_s: f64, many_s: f64, many: usize) {
    let (few, many) = (thousands(FEW_REPS), thousands(many));
    figure(&format!("opening with {few} reps, median"), few_s, "s");
    figure(&format!("opening with {many} reps, median"), many_s, "s");
    figure(
        &format!("opening, {many} reps against {few}"),
        many_s / few_s,
        "times",
    );
}

/// 1000000 as "1,000,000"; whole thousands only.
fn thousands(n: usize) -> String {
    match n / 1_000 {
        thousands @ 1_000.. => format!("{},{:03},000", thousands / 1_000, thousands % 1_000),
        thousands => format!("{thousands},000"),
    }
}

/// Waits for the mark that the app leaves when it can be used.
async fn usable_s(phone: &Phone) -> Result<f64> {
    phone
        .holds("return performance.getEntriesByName('stridebook-usable').length > 0")
        .await?;
    let ms = phone
        .script(
            "return performance.getEntriesByName('stridebook-usable')[0].startTime",
            vec![],
        )
        .await?;
    Ok(ms.as_f64().context("no time")? / 1e3)
}

/// The server is gone, the files are on the phone, its processor is slow.
async fn offline_start(profile: &Profile, address: &str) -> Result<()> {
    eprintln!("Offline start, 390x844, {SLOW} times slowed down, the club on the phone:");
    let phone = Phone::on(profile).await?;
    phone.open(address).await?;
    phone.sees("Hitter 01").await?;
    let home = phone.tab().await?;
    let mut times_s = Vec::new();
    for _ in 0..10 {
        phone.blank_tab().await?;
        phone.slow_down(SLOW).await?;
        phone.open(address).await?;
        times_s.push(usable_s(&phone).await?);
        phone.close_for(&home).await?;
    }
    phone.slow_down(SLOW).await?;
    for _ in 0..5 {
        phone.reload().await?;
        times_s.push(usable_s(&phone).await?);
    }
    phone.off().await?;
    let sorted_s = sorted(times_s);
    eprintln!("    10 fresh tabs and 5 reloads, s: {sorted_s:.3?}");
    figure("offline start to usable, median", median(&sorted_s), "s");
    figure("offline start to usable, worst", worst(&sorted_s), "s");

    let mut just_on_s = Vec::new();
    for _ in 0..3 {
        let phone = Phone::on(profile).await?;
        phone.slow_down(SLOW).await?;
        phone.open(address).await?;
        just_on_s.push(usable_s(&phone).await?);
        phone.off().await?;
    }
    let sorted_s = sorted(just_on_s);
    eprintln!("    3 browsers just started, s: {sorted_s:.3?}");
    figure(
        "offline start to usable, browser just started, worst",
        worst(&sorted_s),
        "s",
    );
    Ok(())
}

/// A club's taps, timed.
struct Taps<'a> {
    phone: &'a Phone,
    all_ms: Vec<f64>,
    kinds: Vec<(&'static str, Vec<f64>)>,
}

impl Taps<'_> {
    /// Taps once at `spot` and waits until `shown` holds. `by` is the event that
    /// acts: a press for the count button, a click for every other.
    async fn tap(&mut self, what: &'static str, by: &str, spot: Spot, shown: &str) -> Result<()> {
        let arguments = vec![json!(by), json!(shown)];
        self.phone.script(TIME_EVENT, arguments).await?;
        self.phone.finger_tap(spot, None).await?;
        self.phone.holds("return window.tapMs !== null").await?;
        let ms = self.phone.script("return window.tapMs", vec![]).await?;
        let ms = ms.as_f64().context("no time")?;
        self.all_ms.push(ms);
        match self.kinds.iter_mut().find(|kind| kind.0 == what) {
            Some((_, times)) => times.push(ms),
            None => self.kinds.push((what, vec![ms])),
        }
        // What the tap set going has come to rest before the next.
        self.phone.stands_still().await
    }
}

async fn taps(profile: &Profile, address: &str) -> Result<()> {
    eprintln!("Tap to paint, {SLOW} times slowed down, the club on the phone:");
    let phone = Phone::on(profile).await?;
    phone.set_screen(Screen::PHONE).await?;
    phone.open(address).await?;
    phone.sees("Hitter 01").await?;
    phone.slow_down(SLOW).await?;
    let mut taps = Taps {
        phone: &phone,
        all_ms: Vec::new(),
        kinds: Vec::new(),
    };
    count_taps(&mut taps).await?;
    panel_taps(&mut taps).await?;
    answer_taps(&mut taps).await?;
    hitter_taps(&mut taps).await?;
    set_up_taps(&mut taps).await?;
    for (what, times_ms) in &taps.kinds {
        let sorted = sorted(times_ms.clone());
        figure(
            &format!("tap to paint, {what}, 98th percentile"),
            percentile_98(&sorted),
            "ms",
        );
        eprintln!(
            "    {} taps, median {:.0} ms, worst {:.0} ms",
            sorted.len(),
            median(&sorted),
            worst(&sorted)
        );
    }
    let all = sorted(taps.all_ms);
    figure("tap to paint, 98th percentile", percentile_98(&all), "ms");
    eprintln!("    {} taps of all kinds", all.len());
    phone.off().await
}

async fn count_taps(taps: &mut Taps<'_>) -> Result<()> {
    let reps = "document.querySelector('.four div:last-child dd').innerText";
    for _ in 0..30 {
        let spot = taps.phone.spot_of("Tap at lift").await?;
        let lifted = "document.querySelector('.tap-button.lifted') !== null";
        taps.tap("lift", "pointerdown", spot, lifted).await?;
        tokio::time::sleep(Duration::from_millis(250)).await;
        let before = taps.phone.script(&format!("return {reps}"), vec![]).await?;
        let counted = format!("{reps} !== {before}");
        let spot = taps.phone.spot_of("Tap at contact").await?;
        taps.tap("contact, rep on disk", "pointerdown", spot, &counted)
            .await?;
    }
    Ok(())
}

async fn panel_taps(taps: &mut Taps<'_>) -> Result<()> {
    for _ in 0..10 {
        for place in &Place::ALL[1..] {
            let phone = taps.phone;
            let spot = match place {
                Place::Hitters => {
                    let bar = "return document.querySelector('.hitter-bar .hitter-now')";
                    phone.spot_where(bar, vec![]).await?
                }
                Place::Settings => phone.spot_of("Settings").await?,
                place => phone.spot_of(&format!("Open {}", place.title())).await?,
            };
            let opened = format!(
                "document.querySelector('.panel.{}.opened .detail') !== null",
                place.name()
            );
            taps.tap(opening(*place), "click", spot, &opened).await?;
            let close = format!("Close {}", place.title());
            let spot = taps.phone.spot_of(&close).await?;
            let closed = "!document.querySelector('.panel.opened') \
                          && document.querySelector('.panel.count').checkVisibility()";
            taps.tap("closing a panel", "click", spot, closed).await?;
        }
    }
    Ok(())
}

const fn opening(place: Place) -> &'static str {
    match place {
        Place::Home => "home",
        Place::Hitters => "opening the hitters",
        Place::SetUp => "opening the set-up",
        Place::SwingCheck => "opening the swing check",
        Place::Count => "opening the count",
        Place::Settings => "opening the settings",
    }
}

async fn answer_taps(taps: &mut Taps<'_>) -> Result<()> {
    let phone = taps.phone;
    phone.open_place(Place::SwingCheck).await?;
    let answers = ["Yes", "Not yet", "Not seen"];
    for answer in answers.into_iter().cycle().take(30) {
        let button = "
            return [...document.querySelectorAll('[role=group][aria-label=\"Head still\"] button')]
                .find(button => button.innerText === arguments[0])";
        let spot = phone.spot_where(button, vec![json!(answer)]).await?;
        let answered = format!(
            "document.querySelector('[role=group][aria-label=\"Head still\"] \
             [aria-pressed=true]')?.innerText === '{answer}'"
        );
        taps.tap("answer, on disk", "click", spot, &answered)
            .await?;
    }
    phone.close_place(Place::SwingCheck).await
}

async fn hitter_taps(taps: &mut Taps<'_>) -> Result<()> {
    let phone = taps.phone;
    for n in 0..30 {
        let name = format!("Hitter {:02}", (n * 7) % CLUB_HITTERS + 1);
        phone.open_place(Place::Hitters).await?;
        // A long roster is shown in parts: find the hitter by name.
        phone.type_into("Find by name", &name).await?;
        let row = "return [...document.querySelectorAll('.roster .hitter-now')]
            .find(row => row.querySelector('.name').innerText === arguments[0])";
        let spot = phone.spot_where(row, vec![json!(name)]).await?;
        let switched = format!(
            "document.querySelector('.hitter-bar .name')?.innerText === '{name}' \
             && !document.querySelector('.panel.opened')"
        );
        taps.tap("switching the hitter", "click", spot, &switched)
            .await?;
    }
    Ok(())
}

async fn set_up_taps(taps: &mut Taps<'_>) -> Result<()> {
    let phone = taps.phone;
    phone.open_place(Place::SetUp).await?;
    let mut searches_ms = Vec::new();
    for _ in 0..20 {
        let before = phone.value_of("Machine distance").await?;
        let spot = phone.spot_of("Machine distance: less").await?;
        let changed =
            format!("document.getElementById('field-Machine-distance').value !== '{before}'");
        taps.tap("set-up searched again, on disk", "click", spot, &changed)
            .await?;
        // The app times its own search and keeps the latest time.
        let ms = phone
            .script(
                "return performance.getEntriesByName('stridebook-set-up-search', 'measure')
                     .at(-1)?.duration ?? null",
                vec![],
            )
            .await?;
        searches_ms.push(ms.as_f64().context("the app timed no search")?);
    }
    let searches_ms = sorted(searches_ms);
    eprintln!("    20 searches, ms: {searches_ms:.1?}");
    figure("set-up search, browser, median", median(&searches_ms), "ms");
    figure("set-up search, browser, worst", worst(&searches_ms), "ms");
    phone.close_place(Place::SetUp).await
}

/// Saved counts against the times of their events, the page busy all the while.
async fn tap_times(profile: &Profile, address: &str) -> Result<()> {
    let phone = Phone::on(profile).await?;
    phone.open(address).await?;
    phone.sees("Hitter").await?;
    phone.touch("Open Count").await?;
    phone.touch("Begin a new set").await?;
    phone.touch("Close Count").await?;
    phone.sees("Tap at lift").await?;
    let spot = phone.spot_of("Tap at lift").await?;
    phone.holds("return performance.now() > 3000").await?;
    phone.slow_down(SLOW).await?;
    phone.make_busy().await?;
    let mut worst_ms = 0.0_f64;
    for pair in 0..30_u32 {
        let apart = Duration::from_millis(u64::from(400 + (pair * 379) % 1_800));
        let contact = SystemTime::now();
        phone.finger_tap(spot, Some(contact - apart)).await?;
        phone.finger_tap(spot, Some(contact)).await?;
        let count_s = count_of_rep(&phone, pair + 1).await?;
        worst_ms = worst_ms.max((count_s - apart.as_secs_f64()).abs() * 1e3);
    }
    phone.let_rest().await?;
    eprintln!("Tap times, {SLOW} times slowed down and busy up to 200 ms at a time:");
    figure("tap time, worst error of 30 counts", worst_ms, "ms");
    phone.off().await
}

/// The beat of a played set on the page's own audio clock, the page busy all the while.
async fn beat_jitter(profile: &Profile, address: &str) -> Result<()> {
    let phone = Phone::on(profile).await?;
    phone.before_pages(RECORD_SOUND).await?;
    phone.open(&format!("{address}/book/tempo")).await?;
    phone.sees("Start the beat").await?;
    phone.touch("Target and set").await?;
    phone.type_into("Target count", "1.5").await?;
    phone.type_into("Call before lift", "1").await?;
    phone.type_into("Rest between reps", "2").await?;
    phone.touch_in("Reps of a set", "20").await?;
    phone.touch("Start the beat").await?;
    phone.sees("Stop (rep").await?;
    phone.slow_down(SLOW).await?;
    phone.make_busy().await?;
    tokio::time::sleep(Duration::from_secs(65)).await;
    phone.let_rest().await?;
    let starts_s = phone.script("return starts", vec![]).await?;
    let starts_s: Vec<f64> = serde_json::from_value(starts_s)?;
    // Call, a second to the lift, three beats of half a second, a second to settle, two
    // of rest; the set is called twice.
    let mut planned_s = Vec::new();
    for rep in 0..20 {
        let tones_s = [0.0, 1.0, 1.5, 2.0, 2.5].map(|tone_s| 5.5 * f64::from(rep) + tone_s);
        planned_s.extend(tones_s);
    }
    planned_s.insert(1, 0.25);
    let span_s = starts_s.last().unwrap_or(&0.0) - starts_s.first().unwrap_or(&0.0);
    ensure!(span_s >= 60.0, "only {span_s} s of beats: {starts_s:?}");
    eprintln!("Beats, {SLOW} times slowed down and busy up to 200 ms at a time:");
    let worst_ms = worst_jitter_ms(&starts_s, &planned_s);
    figure("beat jitter over 60 s, worst", worst_ms, "ms");
    phone.off().await
}

/// The count saved last, in seconds, once it is the set's rep of that number.
async fn count_of_rep(phone: &Phone, number: u32) -> Result<f64> {
    let body = "
        const database = await new Promise((resolve, reject) => {
            const request = indexedDB.open('stridebook');
            request.onsuccess = () => resolve(request.result);
            request.onerror = () => reject(request.error);
        });
        const cursor = await new Promise((resolve, reject) => {
            const reps = database.transaction('reps').objectStore('reps');
            const request = reps.openCursor(null, 'prev');
            request.onsuccess = () => resolve(request.result);
            request.onerror = () => reject(request.error);
        });
        database.close();
        return cursor.value;";
    let begun = Instant::now();
    loop {
        let rep = phone.script_async(body, vec![]).await?;
        if rep["number"].as_u64() == Some(number.into()) {
            return rep["count_s"].as_f64().context("no count");
        }
        ensure!(begun.elapsed() < Duration::from_secs(10), "no rep: {rep}");
    }
}

fn sorted(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values
}

fn median(sorted: &[f64]) -> f64 {
    let middle = sorted.len() / 2;
    if sorted.len().is_multiple_of(2) {
        (sorted[middle - 1] + sorted[middle]) / 2.0
    } else {
        sorted[middle]
    }
}

fn worst(sorted: &[f64]) -> f64 {
    sorted.last().copied().unwrap_or(f64::NAN)
}

/// By nearest rank.
fn percentile_98(sorted: &[f64]) -> f64 {
    let rank = (0.98 * sorted.len() as f64).ceil() as usize;
    sorted[rank.clamp(1, sorted.len()) - 1]
}
