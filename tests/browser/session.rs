//! The session log: one touch is one ball on disk, whatever is touched, fixed, refused
//! by the disk or killed meanwhile; and the page does not grow.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, in_session, on_runtime, session_page};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::time::Duration;

#[test]
fn one_touch_is_one_ball_with_its_round_and_undo_and_fix_take_it_back() -> Result<()> {
    in_session(async |phone, relay| {
        phone.pick("Ball comes from", "Front toss").await?;
        phone.ball(2, 1).await?;
        phone
            .sees("Ball 1: Line drive, Left field, pull side. Saved.")
            .await?;
        let balls = phone.balls_are(1).await?;
        let rounds = phone.stored("rounds").await?;
        ensure!(rounds.len() == 1, "{rounds:#?}");
        ensure!(balls[0]["set"] == rounds[0]["head"]["id"], "{balls:#?}");
        ensure!(balls[0]["result"] == "line", "{balls:#?}");
        ensure!(
            balls[0]["context"]["environment"] == "front-toss",
            "{balls:#?}"
        );
        let direction = balls[0]["numbers"]["direction-deg"].as_f64();
        let expected = -2.0 * 90.0 / 7.0;
        ensure!((direction.context("no direction")? - expected).abs() < 1e-9);

        phone.touch("Miss").await?;
        phone.sees("Ball 2: Miss. Saved.").await?;
        phone.touch("Fix the last").await?;
        phone.sees("takes the place of the last ball").await?;
        phone.ball(3, 6).await?;
        phone
            .sees("Now: Ball 2: Ground ball, Right line, opposite side. Saved.")
            .await?;
        let balls = phone.balls_are(2).await?;
        ensure!(phone.stored("contacts").await?.len() == 3);
        ensure!(balls.iter().any(|ball| ball["result"] == "ground"));

        phone.touch_in("The last ball was hit", "Hard").await?;
        phone.is_answered("The last ball was hit", "Hard").await?;
        let balls = phone.balls_are(2).await?;
        ensure!(
            balls
                .iter()
                .any(|ball| ball["choices"]["quality"] == "hard")
        );

        phone.touch("Undo the last ball").await?;
        phone.sees("Ball 2 is taken out.").await?;
        phone.balls_are(1).await?;
        phone.touch("Bring back").await?;
        phone.sees("Ball 2: Ground ball").await?;
        phone.balls_are(2).await?;

        // Another environment is another round; a reload goes on with the turn.
        phone.pick("Ball comes from", "Tee").await?;
        phone.ball(3, 3).await?;
        phone
            .sees("Ball 1: Ground ball, up the middle. Saved.")
            .await?;
        phone.open(&session_page(relay)).await?;
        phone.sees("3 balls this turn").await?;
        ensure!(phone.stored("rounds").await?.len() == 2);
        ensure!(phone.stored("sessions").await?.len() == 1);
        by_keyboard(phone).await?;
        faster_than_the_disk(phone).await
    })
}

/// The keyboard logs balls as fingers do, in a round of its own.
async fn by_keyboard(phone: &Phone) -> Result<()> {
    phone.pick("Ball comes from", "Angled toss").await?;
    phone
        .script(
            "document.querySelector('.fan-field[tabindex=\"0\"]').focus()",
            vec![],
        )
        .await?;
    phone.press("Enter").await?;
    phone
        .sees("Ball 1: Line drive, up the middle. Saved.")
        .await?;
    for (key, said) in [
        ("1", "Ball 2: Line drive, Left line"),
        ("m", "Ball 3: Miss. Saved."),
        ("t", "Ball 4: Take. Saved."),
        ("f", "Ball 5: Foul. Saved."),
    ] {
        phone.press(key).await?;
        phone.sees(said).await?;
    }
    arrow(phone, "ArrowUp", 38).await?;
    arrow(phone, "ArrowRight", 39).await?;
    phone
        .holds("return document.activeElement.id === 'fan-1-1'")
        .await?;
    phone.press(" ").await?;
    phone.sees("Ball 6: Fly ball, Left field").await?;
    Ok(())
}

async fn arrow(phone: &Phone, key: &str, number: u32) -> Result<()> {
    for kind in ["keyDown", "keyUp"] {
        let event = json!({"type": kind, "key": key, "code": key, "windowsVirtualKeyCode": number});
        phone.devtools("Input.dispatchKeyEvent", event).await?;
    }
    Ok(())
}

/// Sixty touches in one moment are sixty balls, in order, in a round of their own; the
/// page is put out of sight meanwhile, as when the screen goes off.
async fn faster_than_the_disk(phone: &Phone) -> Result<()> {
    let before = phone.balls().await?.len();
    phone
        .pick("Ball comes from", "Short batting practice")
        .await?;
    phone
        .script(
            "const fields = [...document.querySelectorAll('.fan-field')];
             for (let n = 0; n < 60; n += 1)
                 fields[(n * 11) % 28].dispatchEvent(
                     new MouseEvent('click', {bubbles: true, detail: 1}));",
            vec![],
        )
        .await?;
    let state = |state: &str| json!({"state": state});
    phone
        .devtools("Page.setWebLifecycleState", state("frozen"))
        .await?;
    phone
        .devtools("Page.setWebLifecycleState", state("active"))
        .await?;
    let mut balls = phone.balls_are(before + 60).await?.split_off(before);
    balls.sort_by_key(|ball| ball["number"].as_u64());
    let results = ["pop", "fly", "line", "ground"];
    for (n, ball) in balls.iter().enumerate() {
        let field = (n * 11) % 28;
        let wanted = results[field / 7];
        ensure!(ball["number"] == json!(n + 1), "{ball:#?}");
        ensure!(ball["result"] == wanted, "ball {n}: {ball:#?}");
        let sector = (field % 7) as f64;
        let direction = ball["numbers"]["direction-deg"].as_f64().unwrap_or(99.0);
        ensure!(
            (direction - (sector - 3.0) * 90.0 / 7.0).abs() < 1e-9,
            "ball {n}"
        );
    }
    Ok(())
}

#[test]
fn a_disk_that_refuses_keeps_the_balls_and_says_so() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.begin_session(&relay).await?;
        phone.ball(2, 3).await?;
        phone
            .sees("Ball 1: Line drive, up the middle. Saved.")
            .await?;
        phone.off().await?;

        // The browser's own limit of room, below what is stored already; from its
        // start on, as it looks at the limit only now and then.
        let phone = Phone::on(&profile).await?;
        let limit = |bytes: Option<u64>| {
            let mut said = json!({"origin": relay.address()});
            if let Some(bytes) = bytes {
                said["quotaSize"] = json!(bytes);
            }
            said
        };
        phone
            .devtools("Storage.overrideQuotaForOrigin", limit(Some(1)))
            .await?;
        phone.open(&session_page(&relay)).await?;
        phone.sees("1 ball this turn").await?;
        phone.ball(3, 0).await?;
        phone.sees("The phone has no room left").await?;
        phone.sees("Not saved: 1 touch is kept here").await?;
        phone.touch("Miss").await?;
        phone.sees("Not saved: 2 touches are kept here").await?;
        ensure!(on_their_way(&phone).await? == 2);
        ensure!(phone.balls().await?.len() == 1);
        ensure!(asks_before_leaving(&phone).await?);
        phone
            .devtools("Storage.overrideQuotaForOrigin", limit(None))
            .await?;
        phone.touch("Try again").await?;
        phone.sees("Ball 3: Miss. Saved.").await?;
        ensure!(on_their_way(&phone).await? == 0);
        let balls = phone.balls_are(3).await?;
        let results: Vec<&Value> = balls.iter().map(|ball| &ball["result"]).collect();
        ensure!(results == ["line", "ground", "miss"], "{results:?}");
        ensure!(!asks_before_leaving(&phone).await?);
        phone.off().await
    })
}

/// How many fields and buttons show that their ball is not on disk yet.
async fn on_their_way(phone: &Phone) -> Result<u64> {
    let marked = "return document.querySelectorAll('.on-its-way').length";
    let marked = phone.script(marked, vec![]).await?;
    marked.as_u64().context("no number")
}

/// Whether the browser would ask before it closes the page.
async fn asks_before_leaving(phone: &Phone) -> Result<bool> {
    let body = "const event = new Event('beforeunload', {cancelable: true});
        return !dispatchEvent(event)";
    let asks = phone.script(body, vec![]).await?;
    asks.as_bool().context("no answer")
}

#[test]
fn a_session_of_300_balls_killed_20_times_misses_nothing_confirmed() -> Result<()> {
    on_runtime(async {
        const BALLS: usize = 300;
        const KILLS: usize = 20;
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.begin_session(&relay).await?;
        phone.off().await?;
        let mut confirmed: BTreeSet<String> = BTreeSet::new();
        let mut seed: u64 = std::env::var("STRIDEBOOK_SEED")
            .ok()
            .and_then(|seed| seed.parse().ok())
            .unwrap_or(20_261_125);
        eprintln!("seed {seed}");
        let mut random = move |up_to: u64| {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % up_to
        };
        let mut more = 0;
        for kill in 0..=KILLS {
            let phone = Phone::on(&profile).await?;
            phone.open(&session_page(&relay)).await?;
            phone.sees("this turn").await?;
            let there: BTreeSet<String> = phone
                .balls()
                .await?
                .iter()
                .filter_map(|ball| Some(ball["head"]["id"].as_str()?.to_owned()))
                .collect();
            let lost: Vec<_> = confirmed.difference(&there).collect();
            ensure!(lost.is_empty(), "after kill {kill}: lost {lost:?}");
            more += there.len() - confirmed.len();
            confirmed.extend(there);
            let on_disk = confirmed.len();
            phone.sees(&format!("{on_disk} ball")).await?;
            // The kill comes somewhere around every fifteenth ball.
            let upto = match kill {
                KILLS => BALLS,
                kill => BALLS / (KILLS + 1) * kill + 4 + random(20) as usize,
            };
            let wanted = upto.saturating_sub(on_disk).max(1);
            // As a coach would, ball after ball; the last time to the end.
            let beyond = if kill == KILLS { 0 } else { 20 };
            let arguments = vec![json!(wanted + beyond), json!(random(28))];
            phone.script(HANDS, arguments).await?;
            phone
                .holds(&format!("return window.said.length >= {wanted}"))
                .await?;
            tokio::time::sleep(Duration::from_millis(random(40))).await;
            // What it has said just before the power goes.
            let said = phone.script("return window.said", vec![]).await?;
            let said: Vec<String> = serde_json::from_value(said)?;
            confirmed.extend(said);
            if kill < KILLS {
                phone.kill().await?;
            } else {
                let there = phone.balls().await?.len();
                ensure!(there == confirmed.len() && there >= BALLS, "{there} balls");
                phone.off().await?;
            }
        }
        eprintln!(
            "{} balls, {KILLS} kills: none that was confirmed is missing; {more} were on disk \
             before the test had read that they were",
            confirmed.len()
        );
        Ok(())
    })
}

/// Touches the fan ball after ball, the next as soon as the last is said to be
/// saved, and notes the ids of balls at the moment the screen says so: the id that
/// the page hands to the disk is watched there.
const HANDS: &str = "
    const [balls, from] = arguments;
    window.said = [];
    const order = [];
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (value, ...rest) {
        if (this.name === 'contacts') order.push(value.head.id);
        return put.call(this, value, ...rest);
    };
    const fields = [...document.querySelectorAll('.fan-field')];
    const line = document.querySelector('.saved');
    let n = 0;
    const next = () => fields[(from + n * 5) % 28].dispatchEvent(
        new MouseEvent('click', {bubbles: true, detail: 1}));
    new MutationObserver(() => {
        if (!line.innerText.endsWith('Saved.')) return;
        said.push(order[n]);
        n += 1;
        if (n < balls) setTimeout(next, 20);
    }).observe(line, {subtree: true, childList: true, characterData: true});
    next();
";

#[test]
fn hitters_take_turns_by_one_touch_and_each_side_has_its_words() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        phone.sees("Add a hitter").await?;
        // One of each side: right, left, both.
        phone.add_hitters(3).await?;
        phone.open(&session_page(&relay)).await?;
        phone.sees("Who hits?").await?;
        for name in ["Hitter 02", "Hitter 03"] {
            phone.touch(name).await?;
        }
        phone.touch("Begin with 3 hitters").await?;
        phone.sees("bats right").await?;
        thirds_are(&phone, "pull side (left field)").await?;
        phone.ball(2, 0).await?;
        phone
            .sees("Ball 1: Line drive, Left line, pull side. Saved.")
            .await?;
        phone.touch("Next: Hitter 02").await?;
        phone.sees("bats left").await?;
        thirds_are(&phone, "opposite side (left field)").await?;
        phone.ball(2, 0).await?;
        phone
            .sees("Line drive, Left line, opposite side. Saved.")
            .await?;
        phone.touch("Next: Hitter 03").await?;
        phone.pick("Bats now", "Left").await?;
        // At once after the touch: the ball is the new hitter's.
        phone
            .script(
                "document.querySelector('.next').click();
                 document.getElementById('fan-3-6').dispatchEvent(
                     new MouseEvent('click', {bubbles: true, detail: 1}));",
                vec![],
            )
            .await?;
        let balls = phone.balls_are(3).await?;
        let mut by_time = balls.clone();
        by_time.sort_by_key(|ball| ball["head"]["id"].as_str().map(str::to_owned));
        ensure!(by_time[2]["hitter"] == by_time[0]["hitter"], "{by_time:#?}");
        ensure!(by_time[2]["context"]["side"] == "right", "{by_time:#?}");
        ensure!(by_time[1]["context"]["side"] == "left", "{by_time:#?}");
        ensure!(phone.stored("rounds").await?.len() == 3);
        by_group(&phone, &relay).await?;
        phone.off().await
    })
}

async fn thirds_are(phone: &Phone, left: &str) -> Result<()> {
    let script = format!(
        "return document.querySelector('.thirds span').innerText === {}",
        json!(left)
    );
    phone.holds(&script).await
}

/// The next session begins with a whole group by one touch.
async fn by_group(phone: &Phone, relay: &Relay) -> Result<()> {
    let put = "
        const database = await new Promise(done => {
            const request = indexedDB.open('stridebook');
            request.onsuccess = () => done(request.result);
        });
        const all = store => new Promise(done => {
            const request = database.transaction(store).objectStore(store).getAll();
            request.onsuccess = () => done(request.result);
        });
        const [first, second] = await all('hitters');
        const {author, made} = first.head;
        const stamped = value => ({value, stamp: made});
        const group = {
            head: {id: '01900000-0000-7000-8000-000000000001', schema: 1, author, made},
            name: stamped('Under 12'),
            hitters: {[first.head.id]: stamped('in'), [second.head.id]: stamped('in')},
        };
        await new Promise((done, failed) => {
            const transaction = database.transaction('groups', 'readwrite');
            transaction.objectStore('groups').put(group);
            transaction.oncomplete = done;
            transaction.onabort = () => failed(transaction.error);
        });
        database.close();";
    phone.script_async(put, vec![]).await?;
    phone.touch("This session").await?;
    phone.touch("End the session").await?;
    phone.sees("The session is over.").await?;
    phone.open(&session_page(relay)).await?;
    phone.sees("Who hits?").await?;
    phone.touch("All of Under 12").await?;
    phone.touch("Begin with 2 hitters").await?;
    phone.sees("0 balls this turn").await?;
    phone.sees("Next: Hitter 02").await
}

#[test]
fn memory_grows_by_less_than_20_mb_over_1_000_balls() -> Result<()> {
    const BALLS: usize = 1_000;
    in_session(async |phone, _| {
        phone.touch("What the balls say").await?;
        touch_many(phone, 20).await?;
        let before = memory_mb(phone).await?;
        // Three hours are simulated by their balls; waiting itself keeps nothing.
        for _ in 0..10 {
            touch_many(phone, BALLS / 10).await?;
        }
        phone
            .sees(&format!("{} balls this turn", BALLS + 20))
            .await?;
        let after = memory_mb(phone).await?;
        eprintln!(
            "memory (script heap and wasm, after collection): {before:.1} MB after 20 balls, \
             {after:.1} MB after {}; grown by {:.2} MB",
            BALLS + 20,
            after - before
        );
        ensure!(after - before < 20.0, "{before:.1} MB, then {after:.1} MB");
        Ok(())
    })
}

/// Touches the fan so many times, each as soon as the last is saved.
async fn touch_many(phone: &Phone, n: usize) -> Result<()> {
    let body = "
        const fields = [...document.querySelectorAll('.fan-field')];
        const line = document.querySelector('.saved');
        for (let n = 0; n < args[0]; n += 1) {
            const saved = new Promise(done => {
                const watch = new MutationObserver(() => {
                    if (!line.innerText.endsWith('Saved.')) return;
                    watch.disconnect();
                    done();
                });
                watch.observe(line, {subtree: true, childList: true, characterData: true});
            });
            fields[(n * 5) % 28].dispatchEvent(
                new MouseEvent('click', {bubbles: true, detail: 1}));
            await saved;
        }";
    phone.script_async(body, vec![json!(n)]).await?;
    Ok(())
}

/// What the page holds: the heap after it was collected, and the wasm's memory.
async fn memory_mb(phone: &Phone) -> Result<f64> {
    phone.devtools("Performance.enable", json!({})).await?;
    phone.devtools("HeapProfiler.enable", json!({})).await?;
    for _ in 0..2 {
        phone
            .devtools("HeapProfiler.collectGarbage", json!({}))
            .await?;
    }
    let told = phone.devtools("Performance.getMetrics", json!({})).await?;
    let metrics = told["metrics"].as_array().context("no metrics")?;
    let heap = metrics
        .iter()
        .find(|metric| metric["name"] == "JSHeapUsedSize")
        .and_then(|metric| metric["value"].as_f64())
        .context("no heap")?;
    let wasm = phone
        .script_async(
            "const module = await import('/book.js');
             const exports = await module.default();
             return exports.memory.buffer.byteLength;",
            vec![],
        )
        .await?
        .as_f64()
        .context("no wasm memory")?;
    Ok((heap + wasm) / 1e6)
}
