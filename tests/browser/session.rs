//! The session log: one touch is one ball on disk, whatever is touched, fixed or
//! killed meanwhile; it paints fast with a full notebook, and does not grow.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, Screen, Spot, axe_source, on_runtime};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::time::Duration;

/// The page of the log.
fn session_page(relay: &Relay) -> String {
    format!("{}/book/session", relay.address())
}

/// Runs `work` on a phone where a session with one hitter has begun.
fn in_session(work: impl AsyncFnOnce(&Phone, &Relay) -> Result<()>) -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        begin(&phone, &relay).await?;
        work(&phone, &relay).await?;
        phone.off().await
    })
}

async fn begin(phone: &Phone, relay: &Relay) -> Result<()> {
    phone.open(relay.address()).await?;
    phone.add_first_hitter("Wren").await?;
    phone.open(&session_page(relay)).await?;
    phone.sees("Who hits?").await?;
    phone.touch("Begin with 1 hitter").await?;
    phone.sees("0 balls this turn").await
}

/// The middle of a field of the fan, by row (0 pop, 3 ground) and sector (0 left).
async fn spot(phone: &Phone, row: usize, sector: usize) -> Result<Spot> {
    let field = "return document.getElementById(arguments[0])";
    phone
        .spot_where(field, vec![json!(format!("fan-{row}-{sector}"))])
        .await
}

async fn tap(phone: &Phone, row: usize, sector: usize) -> Result<()> {
    let at = spot(phone, row, sector).await?;
    phone.finger_tap(at, None).await
}

/// The contacts on disk that are not removed.
async fn contacts(phone: &Phone) -> Result<Vec<Value>> {
    let mut all = phone.stored("contacts").await?;
    all.retain(|contact| contact["head"]["removed"]["value"] != json!(true));
    Ok(all)
}

async fn contacts_are(phone: &Phone, n: usize) -> Result<Vec<Value>> {
    phone
        .waits_for(&format!("for {n} balls on disk"), async || {
            Ok(contacts(phone).await?.len() == n)
        })
        .await?;
    contacts(phone).await
}

#[test]
fn one_touch_is_one_ball_with_its_round_and_undo_and_fix_take_it_back() -> Result<()> {
    in_session(async |phone, relay| {
        phone.pick("Ball comes from", "Front toss").await?;
        tap(phone, 2, 1).await?;
        phone
            .sees("Ball 1: Line drive, Left field, pull side. Saved.")
            .await?;
        let balls = contacts_are(phone, 1).await?;
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
        tap(phone, 3, 6).await?;
        phone
            .sees("Now: Ball 2: Ground ball, Right line, opposite side. Saved.")
            .await?;
        let balls = contacts_are(phone, 2).await?;
        ensure!(phone.stored("contacts").await?.len() == 3);
        ensure!(balls.iter().any(|ball| ball["result"] == "ground"));

        phone.touch_in("The last ball was hit", "Hard").await?;
        phone.is_answered("The last ball was hit", "Hard").await?;
        let balls = contacts_are(phone, 2).await?;
        ensure!(
            balls
                .iter()
                .any(|ball| ball["choices"]["quality"] == "hard")
        );

        phone.touch("Undo the last ball").await?;
        phone.sees("Ball 2 is taken out.").await?;
        contacts_are(phone, 1).await?;
        phone.touch("Bring back").await?;
        phone.sees("Ball 2: Ground ball").await?;
        contacts_are(phone, 2).await?;

        // Another environment is another round; a reload goes on with the turn.
        phone.pick("Ball comes from", "Tee").await?;
        tap(phone, 3, 3).await?;
        phone
            .sees("Ball 1: Ground ball, up the middle. Saved.")
            .await?;
        phone.open(&session_page(relay)).await?;
        phone.sees("3 balls this turn").await?;
        ensure!(phone.stored("rounds").await?.len() == 2);
        ensure!(phone.stored("sessions").await?.len() == 1);
        Ok(())
    })
}

#[test]
fn touches_faster_than_the_disk_are_all_kept_in_order() -> Result<()> {
    in_session(async |phone, _| {
        // The disk answers late: every strict transaction is held up.
        phone
            .script(
                "const fields = [...document.querySelectorAll('.fan-field')];
                 for (let n = 0; n < 60; n += 1)
                     fields[(n * 11) % 28].dispatchEvent(
                         new MouseEvent('click', {bubbles: true, detail: 1}));",
                vec![],
            )
            .await?;
        let mut balls = contacts_are(phone, 60).await?;
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
        phone.sees("60 balls this turn").await
    })
}

#[test]
fn a_session_of_300_balls_killed_20_times_misses_nothing_confirmed() -> Result<()> {
    on_runtime(async {
        const BALLS: usize = 300;
        const KILLS: usize = 20;
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        begin(&phone, &relay).await?;
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
            let there: BTreeSet<String> = contacts(&phone)
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
                let there = contacts(&phone).await?.len();
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
        tap(&phone, 2, 0).await?;
        phone
            .sees("Ball 1: Line drive, Left line, pull side. Saved.")
            .await?;
        phone.touch("Next: Hitter 02").await?;
        phone.sees("bats left").await?;
        thirds_are(&phone, "opposite side (left field)").await?;
        tap(&phone, 2, 0).await?;
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
        let balls = contacts_are(&phone, 3).await?;
        let mut by_time = balls.clone();
        by_time.sort_by_key(|ball| ball["head"]["id"].as_str().map(str::to_owned));
        ensure!(by_time[2]["hitter"] == by_time[0]["hitter"], "{by_time:#?}");
        ensure!(by_time[2]["context"]["side"] == "right", "{by_time:#?}");
        ensure!(by_time[1]["context"]["side"] == "left", "{by_time:#?}");
        ensure!(phone.stored("rounds").await?.len() == 3);
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

#[test]
fn the_keyboard_alone_logs_balls() -> Result<()> {
    in_session(async |phone, _| {
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
        contacts_are(phone, 6).await?;
        Ok(())
    })
}

async fn arrow(phone: &Phone, key: &str, number: u32) -> Result<()> {
    for kind in ["keyDown", "keyUp"] {
        let event = json!({"type": kind, "key": key, "code": key, "windowsVirtualKeyCode": number});
        phone.devtools("Input.dispatchKeyEvent", event).await?;
    }
    Ok(())
}

#[test]
fn side_tosses_say_not_yet_and_then_the_path() -> Result<()> {
    in_session(async |phone, _| {
        phone.pick("Ball comes from", "Side toss").await?;
        // Without spot and depth a ball is no evidence.
        tap(phone, 3, 1).await?;
        phone.sees("Ball 1: Ground ball").await?;
        phone.touch("What the balls say").await?;
        phone.sees("1 spot or depth not noted").await?;
        phone.sees("not yet: 12 more reps").await?;
        phone.touch_in("The toss came", "At the front hip").await?;
        phone
            .is_answered("The toss came", "At the front hip")
            .await?;
        phone.touch_in("Met", "On time").await?;
        phone.is_answered("Met", "On time").await?;
        phone.sees("not yet: 11 more reps").await?;
        phone
            .touch("Front hip, on time, unless I touch otherwise")
            .await?;
        phone
            .is_answered(
                "Side tosses",
                "Front hip, on time, unless I touch otherwise",
            )
            .await?;
        for n in 2..=24 {
            tap(phone, 3, n % 2).await?;
            phone.sees(&format!("Ball {n}: Ground ball")).await?;
        }
        phone.sees("24 balls count").await?;
        phone.sees("The balls say: down across the ball").await?;
        phone
            .sees("More to the pull side than to the opposite side.")
            .await?;
        // One that was early does not count.
        phone.touch_in("Met", "Early, out in front").await?;
        phone.sees("23 balls count; left out: 1 early").await
    })
}

#[test]
fn the_page_says_how_like_the_game_how_hard_and_how_much() -> Result<()> {
    in_session(async |phone, relay| {
        phone.pick("Ball comes from", "Front toss").await?;
        for n in 0..8 {
            tap(phone, n % 4, n % 7).await?;
            phone.sees(&format!("Ball {}: ", n + 1)).await?;
        }
        phone.sees("Swings: today 8, seven days 8.").await?;
        phone.touch("How like the game").await?;
        phone.sees("The game pitch of this hitter's set-up").await?;
        phone.sees("Time to decide").await?;
        phone.sees("What would make it closer").await?;
        phone.touch("How hard against the game").await?;
        phone.sees("Not enough swings to compare.").await?;
        phone
            .type_into("Easier than the game by up to, points", "99")
            .await?;
        phone.sees("1 to 60 points are allowed").await?;
        phone
            .type_into("Easier than the game by up to, points", "15")
            .await?;
        phone
            .waits_for("for the band on disk", async || {
                let sessions = phone.stored("sessions").await?;
                let points = &sessions[0]["numbers"]["band-easier-points"]["value"];
                Ok(points.as_f64() == Some(15.0))
            })
            .await?;
        phone.touch("Order of practice").await?;
        phone.sees("One kind of ball only").await?;
        phone
            .touch_in("What the session is for", "Ready for games")
            .await?;
        phone.sees("mix the balls at random").await?;
        phone.touch("Swings and limits").await?;
        phone
            .type_into("Most swings a day (0 is no limit)", "7")
            .await?;
        phone
            .sees("8 swings that day: 1 above your limit of 7.")
            .await?;
        phone.sees("not medical advice").await?;

        // Over, undone, over again; then a second one, and the two compared.
        phone.touch("This session").await?;
        phone.touch("End the session").await?;
        phone.sees("The session is over.").await?;
        phone.touch("Undo").await?;
        phone.sees("8 balls this turn").await?;
        phone.touch("This session").await?;
        phone.touch("End the session").await?;
        phone.sees("Who hits?").await?;
        phone.touch("Begin with 1 hitter").await?;
        phone.sees("0 balls this turn").await?;
        tap(phone, 2, 3).await?;
        phone.sees("Ball 1: Line drive").await?;
        phone
            .open(&format!("{}/book/sessions", relay.address()))
            .await?;
        phone.sees("Compare two sessions").await?;
        phone.sees("second minus first").await?;
        let first = "const row = document.querySelector('.sessions button'); row.click();
                     return row.innerText";
        phone.script(first, vec![]).await?;
        phone
            .sees("1 ball. Line drive, or hit hard in play: 1 of 1")
            .await
    })
}

#[test]
fn nothing_on_the_page_is_small_cut_or_against_the_rules_for_everybody() -> Result<()> {
    in_session(async |phone, relay| {
        let axe = axe_source()?;
        phone.pick("Ball comes from", "Side toss").await?;
        tap(phone, 3, 1).await?;
        phone.sees("Ball 1").await?;
        let mut wrong = Vec::new();
        for screen in Screen::ALL {
            phone.set_screen(screen).await?;
            phone.stands_still().await?;
            picture(phone, &format!("{}x{}-log", screen.width, screen.height)).await?;
        }
        open_folds(phone).await?;
        for screen in Screen::ALL {
            phone.set_screen(screen).await?;
            for theme in ["light", "dark", "sun"] {
                let kind = theme;
                let theme = json!(theme);
                phone
                    .script(
                        "document.documentElement.dataset.theme = arguments[0]",
                        vec![theme],
                    )
                    .await?;
                phone.stands_still().await?;
                wrong.extend(found(phone, &axe, screen).await?);
                picture(
                    phone,
                    &format!("{}x{}-{}", screen.width, screen.height, kind),
                )
                .await?;
            }
        }
        phone.set_screen(Screen::PHONE).await?;
        phone
            .open(&format!("{}/book/sessions", relay.address()))
            .await?;
        phone.sees("Compare two sessions").await?;
        wrong.extend(found(phone, &axe, Screen::PHONE).await?);
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

/// Keeps a picture of the page where `STRIDEBOOK_PICTURES` names a folder.
async fn picture(phone: &Phone, name: &str) -> Result<()> {
    if let Some(folder) = std::env::var_os("STRIDEBOOK_PICTURES") {
        let folder = std::path::Path::new(&folder);
        for (what, whole) in [("whole", true), ("screen", false)] {
            let path = folder.join(format!("session-{name}-{what}.png"));
            std::fs::write(path, phone.picture(whole).await?)?;
        }
    }
    Ok(())
}

async fn open_folds(phone: &Phone) -> Result<()> {
    let open = "for (const head of document.querySelectorAll('.fold-head[aria-expanded=false]'))
        head.click();";
    phone.script(open, vec![]).await?;
    phone.sees("Keep the screen on").await
}

/// What is too small to touch, beyond the edge, or found by axe.
async fn found(phone: &Phone, axe: &str, screen: Screen) -> Result<Vec<String>> {
    let laid_out = "
        const wrong = [];
        const width = arguments[0];
        if (document.documentElement.scrollWidth > width)
            wrong.push(`scrolls sideways: ${document.documentElement.scrollWidth}`);
        for (const element of document.querySelectorAll(
                'button, input, select, summary, a.way, .fan-field')) {
            if (!element.checkVisibility({visibilityProperty: true})) continue;
            const box = element.getBoundingClientRect();
            if (box.width < 47.99 || box.height < 47.99)
                wrong.push(`small, ${box.width.toFixed(1)}x${box.height.toFixed(1)}: ` +
                    (element.id || element.innerText || element.ariaLabel));
            if (box.left < -0.5 || box.right > width + 0.5)
                wrong.push(`beyond the edge: ${element.innerText}`);
        }
        return wrong;";
    let mut wrong: Vec<String> =
        serde_json::from_value(phone.script(laid_out, vec![json!(screen.width)]).await?)?;
    phone.script(axe, vec![]).await?;
    let violations = phone
        .script_async(
            "const result = await axe.run(document, {resultTypes: ['violations']});
             return result.violations.flatMap(rule => rule.nodes.map(
                 node => `${rule.id}: ${node.html.slice(0, 160)} ${node.failureSummary}`));",
            vec![],
        )
        .await?;
    wrong.extend(serde_json::from_value::<Vec<String>>(violations)?);
    let at = format!("{}x{}", screen.width, screen.height);
    Ok(wrong
        .into_iter()
        .map(|what| format!("{at}: {what}"))
        .collect())
}

/// Times one touch on the fan from its event to the frame that says it is saved.
const TIME_TOUCH: &str = "
    const balls = document.querySelector('.saved').innerText;
    window.touchMs = null;
    addEventListener('click', event => {
        const look = () => {
            const now = document.querySelector('.saved').innerText;
            if (now === balls || !now.endsWith('Saved.')) return requestAnimationFrame(look);
            const painted = new MessageChannel();
            painted.port1.onmessage = () =>
                window.touchMs = performance.now() - event.timeStamp;
            painted.port2.postMessage(null);
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

#[test]
#[ignore = "a benchmark, run by name on a quiet machine; holds the budget of 100 ms"]
fn a_touch_paints_within_100_ms_on_a_slow_phone_with_200_000_reps_and_balls() -> Result<()> {
    const MANY: usize = 200_000;
    const TOUCHES: usize = 100;
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        phone.sees("Add a hitter").await?;
        let hitters = phone.add_hitters(60).await?;
        phone.add_reps(&hitters, 0, MANY).await?;
        for from in (0..MANY).step_by(20_000) {
            let arguments = vec![
                json!(hitters),
                json!(from),
                json!(from + 20_000),
                json!(MANY),
            ];
            phone.script_async(ADD_CONTACTS, arguments).await?;
        }
        phone.off().await?;

        let phone = Phone::on(&profile).await?;
        phone.open(&session_page(&relay)).await?;
        phone.sees("Who hits?").await?;
        phone.touch("Hitter 02").await?;
        phone.touch("Begin with 2 hitters").await?;
        phone.sees("0 balls this turn").await?;
        phone.sees("Swings: today").await?;
        phone.slow_down(4.0).await?;
        let mut times_ms = Vec::new();
        for n in 0..TOUCHES {
            let at = spot(&phone, n % 4, (n * 3) % 7).await?;
            phone.script(TIME_TOUCH, vec![]).await?;
            phone.finger_tap(at, None).await?;
            phone.holds("return window.touchMs !== null").await?;
            let ms = phone.script("return window.touchMs", vec![]).await?;
            times_ms.push(ms.as_f64().context("no time")?);
        }
        // The next hitter's first ball, at once after the change.
        let mut next_ms = Vec::new();
        for n in 0..10 {
            let button = phone
                .spot_where("return document.querySelector('.next')", vec![])
                .await?;
            phone.finger_tap(button, None).await?;
            let at = spot(&phone, n % 4, n % 7).await?;
            phone.script(TIME_TOUCH, vec![]).await?;
            phone.finger_tap(at, None).await?;
            phone.holds("return window.touchMs !== null").await?;
            let ms = phone.script("return window.touchMs", vec![]).await?;
            next_ms.push(ms.as_f64().context("no time")?);
        }
        let bare_ms = phone.script_async(BARE_WRITES, vec![]).await?;
        phone.slow_down(1.0).await?;
        contacts_at_least(&phone, TOUCHES + 10).await?;
        times_ms.sort_by(f64::total_cmp);
        next_ms.sort_by(f64::total_cmp);
        let p98 = times_ms[(0.98 * TOUCHES as f64).ceil() as usize - 1];
        let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
        eprintln!(
            "touch to paint of \"saved\", 4 times slowed down, {MANY} reps and {MANY} balls \
             stored: median {:.0} ms, 98th percentile {p98:.0} ms, worst {:.0} ms ({TOUCHES} \
             touches; load {})",
            times_ms[TOUCHES / 2],
            times_ms[TOUCHES - 1],
            load.trim()
        );
        eprintln!("first ball after the change of hitter, ms: {next_ms:.0?}");
        eprintln!("a bare strict write of one row and the next frame, median ms: {bare_ms}");
        ensure!(p98 < 100.0, "98th percentile {p98:.0} ms");
        phone.off().await
    })
}

/// What this machine needs now for one strict write and a frame, whatever the app
/// does: the median of 30.
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
async fn contacts_at_least(phone: &Phone, n: usize) -> Result<()> {
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
    ensure!(count == Some(200_000 + n as u64), "{count:?}");
    Ok(())
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
