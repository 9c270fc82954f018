//! Tempo: taps by their events' own times, beats on time while the page is busy,
//! contact heard and swings felt, everything that a phone refuses or takes away, and
//! twenty reps alone.
//!
//! The ladder of twenty reps takes its time, whatever is beside it: so the other
//! phones are used while it runs, each with a browser of its own.

use anyhow::{Context, Result, ensure};
use browser::{
    FINGER_BACK, Look, MICROPHONE, Phone, Profile, RECORD_SOUND, Relay, Screen, axe_source,
    on_runtime, worst_jitter_ms,
};
use serde_json::{Value, json};
use std::time::{Duration, SystemTime};

/// A phone on the tempo page with a hitter; the browser started with `words`.
async fn on_tempo(words: &[&str], work: impl AsyncFnOnce(&Phone) -> Result<()>) -> Result<()> {
    let relay = Relay::start()?;
    let profile = Profile::new()?;
    let phone = Phone::on_with(&profile, words).await?;
    phone.before_pages(RECORD_SOUND).await?;
    phone.open(relay.address()).await?;
    phone.add_first_hitter("Wren").await?;
    phone
        .open(&format!("{}/book/tempo", relay.address()))
        .await?;
    phone.sees("Tap at lift").await?;
    work(&phone).await?;
    phone.off().await
}

async fn counts(phone: &Phone) -> Result<Vec<f64>> {
    let reps = phone.stored("reps").await?;
    let counts = reps.iter().filter_map(|rep| rep["count_s"].as_f64());
    Ok(counts.collect())
}

async fn count_number(phone: &Phone, n: usize) -> Result<f64> {
    phone
        .waits_for("for the count to be on disk", async || {
            Ok(counts(phone).await?.len() >= n)
        })
        .await?;
    Ok(counts(phone).await?[n - 1])
}

/// The shortest call and rest that are allowed.
async fn shortest_times(phone: &Phone) -> Result<()> {
    phone.touch("Target and set").await?;
    phone.type_into("Call before lift", "1").await?;
    phone.type_into("Rest between reps", "2").await
}

#[test]
fn twenty_reps_alone_hold_the_beat_while_other_phones_tap_listen_and_are_refused() -> Result<()> {
    on_runtime(async {
        let others = async {
            taps_by_their_events_times().await.context("taps")?;
            keys_of_a_remote().await.context("keys")?;
            what_is_said_of_a_set().await.context("said of a set")?;
            refused_or_missing().await.context("refused, missing")?;
            swings_felt().await.context("motion")?;
            contact_heard_until_a_call_comes().await.context("sound")?;
            hidden_in_mid_set().await.context("hidden")?;
            sets_compared_with_their_n().await.context("sets")?;
            the_page_fits_every_screen().await.context("layout")
        };
        let (ladder, others) = tokio::join!(ladder_alone(), others);
        ladder.context("ladder")?;
        others
    })
}

/// When each tone of the ladder is due, from the first call: with a count of 1 s in two
/// beats, 1 s from call to lift, a second to settle and 2 s of rest.
fn ladder_tones() -> Vec<f64> {
    let mut tones = Vec::new();
    let mut silent = 0;
    for rep in 0..20 {
        let begins_s = 5.0 * f64::from(rep);
        tones.push(begins_s);
        // One tone more than the set before calls a set's first rep.
        let more = match rep {
            0 => 1,
            8 => 2,
            14 => 3,
            _ => 0,
        };
        tones.extend((1..=more).map(|n| begins_s + 0.25 * f64::from(n)));
        tones.push(begins_s + 1.0);
        for beat_s in [1.5, 2.0] {
            let is_heard = match rep {
                0..8 => true,
                8..14 => {
                    silent += 1;
                    silent % 3 != 0
                }
                _ => false,
            };
            tones.extend(is_heard.then_some(begins_s + beat_s));
        }
    }
    tones
}

async fn ladder_alone() -> Result<()> {
    on_tempo(&[], async |phone| {
        phone.touch_in("Practice", "Alone").await?;
        phone.sees("Nobody in front").await?;
        shortest_times(phone).await?;
        phone.type_into("Target count", "1").await?;
        phone.sees("The target count is 1.00 s").await?;
        phone.touch("Start 20 reps").await?;
        let start = SystemTime::now();
        phone.sees("Stop (rep").await?;
        phone.make_busy().await?;
        tokio::time::sleep(Duration::from_secs(64)).await;
        phone.let_rest().await?;
        let planned = ladder_tones();
        let heard = async || -> Result<Vec<f64>> {
            Ok(serde_json::from_value(
                phone.script("return starts", vec![]).await?,
            )?)
        };
        let busy = heard().await?;
        let span_s = busy.last().unwrap_or(&0.0) - busy.first().unwrap_or(&0.0);
        ensure!(span_s >= 60.0, "{span_s} s of beats");
        let worst_ms = worst_jitter_ms(&busy, &planned);
        println!(
            "beats: worst jitter {worst_ms:.4} ms over {} sounds, {span_s:.1} s, page busy up to 200 ms",
            busy.len()
        );
        ensure!(worst_ms <= 2.0, "{worst_ms} ms: {busy:?}");
        while !phone.text().await?.contains("20 reps were played") {
            tokio::time::sleep(Duration::from_secs(1)).await;
            let shown = phone.text().await?;
            ensure!(start.elapsed()? < Duration::from_secs(140), "{shown}");
        }
        phone.sees("Nothing was measured").await?;
        let all = heard().await?;
        println!(
            "alone: 20 reps in {:.0} s, {} sounds",
            start.elapsed()?.as_secs_f64(),
            all.len()
        );
        ensure!(all.len() == planned.len(), "{} sounds: {all:?}", all.len());
        ensure!(worst_jitter_ms(&all, &planned) <= 2.0, "{all:?}");
        ensure!(counts(phone).await?.is_empty(), "a count was made up");
        Ok(())
    })
    .await
}

async fn taps_by_their_events_times() -> Result<()> {
    on_tempo(&[], async |phone| {
        phone.holds("return performance.now() > 2000").await?;
        let spot = phone.spot_of("Tap at lift").await?;
        phone.make_busy().await?;
        let mut worst_ms = 0.0_f64;
        for pair in 1..=12_usize {
            let apart = Duration::from_millis(250 + 90 * pair as u64);
            // The lift's time lies back by as much: well after the contact of before.
            tokio::time::sleep(apart + FINGER_BACK).await;
            let contact = SystemTime::now();
            phone.finger_tap(spot, Some(contact - apart)).await?;
            phone.finger_tap(spot, Some(contact)).await?;
            let count_s = count_number(phone, pair).await?;
            worst_ms = worst_ms.max((count_s - apart.as_secs_f64()).abs() * 1e3);
        }
        phone.let_rest().await?;
        println!("taps: worst error {worst_ms:.3} ms over 12 counts, page busy up to 200 ms");
        ensure!(worst_ms <= 5.0, "{worst_ms} ms");
        // By hand: the mean of 0.34, 0.43 .. 1.33 s is 0.835 s, 0.665 s short of the
        // usual target; half a second is the most that a count is made longer at once.
        phone
            .sees("The hitter rushes by more than 0.10 s: mean 0.8")
            .await?;
        phone.sees("12 counts. Try a longer count: 2.0 s").await?;
        phone.touch("Make the target 2.0 s").await?;
        phone.sees("Wren: target 2.00 s").await
    })
    .await
}

async fn keys_of_a_remote() -> Result<()> {
    on_tempo(&[], async |phone| {
        for (n, key) in ["PageDown", "ArrowRight", "Enter", " "]
            .into_iter()
            .enumerate()
        {
            phone
                .script("document.activeElement.blur()", vec![])
                .await?;
            // Held down, a key repeats; only its first press is a tap.
            let press = "const at = repeat => dispatchEvent.call(document.body, new KeyboardEvent(
                'keydown', {key: arguments[0], repeat, bubbles: true, cancelable: true}));
                at(false); at(true);";
            phone.script(press, vec![json!(key)]).await?;
            phone.sees("Tap at contact").await?;
            tokio::time::sleep(Duration::from_millis(350)).await;
            phone.script(press, vec![json!(key)]).await?;
            let count_s = count_number(phone, n + 1).await?;
            ensure!((0.3..6.0).contains(&count_s), "{key}: {count_s}");
            phone.sees("Tap at lift").await?;
            tokio::time::sleep(FINGER_BACK).await;
        }
        // Four are not enough for a word.
        phone.sees("Not yet: 1 more rep.").await
    })
    .await
}

/// Refusals name their field, the page remembers how it was used, a spoken count is
/// timed.
async fn what_is_said_of_a_set() -> Result<()> {
    on_tempo(&[], async |phone| {
        phone.touch_in("Practice", "Silent beats").await?;
        phone.touch_in("Count by", "Only played").await?;
        phone.touch("Target and set").await?;
        phone.type_into("Rest between reps", "1").await?;
        phone
            .sees("Rest between reps must be from 2 to 60 s; 1 s was given. Kept: 8 s.")
            .await?;
        phone.type_into("Rest between reps", "3").await?;
        phone.touch("Numbers").await?;
        phone.type_into("Band of one tempo", "9").await?;
        phone
            .sees("Band of one tempo must be from 0.02 to 0.5 s; 9 s was given. Kept: 0.1 s.")
            .await?;
        phone.reload().await?;
        phone.is_answered("Practice", "Silent beats").await?;
        phone.is_answered("Count by", "Only played").await?;
        phone.touch("Target and set").await?;
        ensure!(phone.value_of("Rest between reps").await? == "3");

        phone.touch("Spoken count").await?;
        phone.type_into("What is said", "one-and-two").await?;
        phone.touch("Time it by tapping").await?;
        phone.holds("return performance.now() > 5000").await?;
        let mut at = SystemTime::now() - Duration::from_secs(4);
        for count in 0..2 {
            if count > 0 {
                phone.touch("Next count").await?;
            }
            let spot = phone.spot_of("Tap each beat").await?;
            for _ in 0..4 {
                at += Duration::from_millis(450);
                phone.finger_tap(spot, Some(at)).await?;
            }
        }
        phone.sees("Count 2, 4 taps.").await?;
        phone.touch("Done").await?;
        // By hand: three steps of 0.45 s; 1.5 s are 3.33 of them.
        phone
            .sees("\u{201c}one-and-two\u{201d}, from its first to its last beat: 1.35 s")
            .await?;
        phone.sees("6 beats").await?;
        phone
            .sees("The target of 1.50 s is 3.3 of these beats.")
            .await
    })
    .await
}

/// The microphone refused by the browser, the sensors by the phone; then neither there.
/// Taps go on.
async fn refused_or_missing() -> Result<()> {
    let words = [
        "--deny-permission-prompts",
        "--use-fake-device-for-media-stream",
    ];
    on_tempo(&words, async |phone| {
        phone.touch_in("Count by", "Sound").await?;
        phone.sees("nothing is recorded").await?;
        phone.touch("Let the phone listen").await?;
        phone.sees("The microphone was refused").await?;
        phone
            .script(
                "navigator.mediaDevices.getUserMedia = () =>
                     Promise.reject(new DOMException('none', 'NotFoundError'));
                 DeviceMotionEvent.requestPermission = async () => 'denied';",
                vec![],
            )
            .await?;
        phone.touch("Ask again").await?;
        phone.sees("gives no microphone").await?;
        phone.touch_in("Count by", "Motion").await?;
        phone.touch("Let the phone sense motion").await?;
        phone.sees("The motion sensors were refused").await?;
        phone
            .script(
                "DeviceMotionEvent.requestPermission = async () => 'granted'",
                vec![],
            )
            .await?;
        phone.touch("Ask again").await?;
        phone.sees("gives no motion readings").await?;
        phone.touch_in("Count by", "Two taps").await?;
        phone.count_once(Duration::from_millis(500)).await?;
        count_number(phone, 1).await?;
        Ok(())
    })
    .await
}

/// Readings of a swing at 100 a second, all at once with times of their own: still, a
/// lift at 1.2 s, the fastest turn at 2.6 s; with `arguments[0]` another 0.5 s later.
const SWING: &str = "
    const [again] = arguments;
    const clamp = (x, low, high) => Math.min(Math.max(x, low), high);
    const step = (t, long) => 0.5 - 0.5 * Math.cos(Math.PI * clamp(t / long, 0, 1));
    const bell = t => 0.5 + 0.5 * Math.cos(Math.PI * clamp(t / 0.18, -1, 1));
    window.motionBegins = Math.max(window.motionBegins ?? 0, performance.now());
    let state = 20261125;
    const noise = () => (state = (state * 48271) % 2147483647) / 1073741824 - 1;
    for (let n = 0; n < 400; n++) {
        const t = n / 100;
        const turn = 600 * (bell(t - 2.6) + (again ? bell(t - 3.1) : 0))
            - 40 * step(t - 1.2, 0.15) * (1 - step(t - 2.27, 0.15));
        const push = 9.81 + 1.5 * step(t - 1.2, 0.1) * (1 - step(t - 2.0, 0.3));
        const event = new DeviceMotionEvent('devicemotion', {
            accelerationIncludingGravity: {x: 0.05 * noise(), y: push, z: 0.05 * noise()},
            rotationRate: {alpha: noise(), beta: turn + noise(), gamma: noise()},
            interval: 10,
        });
        Object.defineProperty(event, 'timeStamp', {value: motionBegins + 1000 * t});
        dispatchEvent(event);
    }
    motionBegins += 6000;
";

async fn swings_felt() -> Result<()> {
    on_tempo(&[], async |phone| {
        phone.touch_in("Count by", "Motion").await?;
        phone.touch("Let the phone sense motion").await?;
        phone.sees("The phone senses motion.").await?;
        phone.script(SWING, vec![json!(false)]).await?;
        let count_s = count_number(phone, 1).await?;
        ensure!((count_s - 1.4).abs() < 0.06, "{count_s}");
        // Two turns as fast: shown, and not kept until the coach says so.
        phone.script(SWING, vec![json!(true)]).await?;
        phone.sees("Motion: poor; two fast turns were felt").await?;
        phone.sees("Not kept yet").await?;
        ensure!(counts(phone).await?.len() == 1, "a poor count was kept");
        let leave = "return [...document.querySelectorAll('button')]
            .find(b => /^Leave .* out$/.test(b.innerText))?.innerText";
        let leave = phone.script(leave, vec![]).await?;
        let leave = leave.as_str().context("no way to leave it out")?.to_owned();
        phone.touch(&leave).await?;
        phone.no_longer_sees("Not kept yet").await?;
        ensure!(counts(phone).await?.len() == 1);
        phone.touch("Undo").await?;
        // Another set, and a look at another page: it waits all the same.
        phone.touch("Reps of this set").await?;
        phone.touch("Begin a new set").await?;
        phone.touch("Roster").await?;
        phone.sees("1 hitter").await?;
        phone.script("history.back()", vec![]).await?;
        phone.sees("Not kept yet").await?;
        let keep = leave
            .replace("Leave ", "Keep ")
            .replace(" out", " all the same");
        phone.touch(&keep).await?;
        count_number(phone, 2).await?;
        let reps = phone.stored("reps").await?;
        let marks: Vec<&Value> = reps.iter().map(|rep| &rep["choices"]["quality"]).collect();
        ensure!(marks == ["good", "poor"], "{marks:?}");
        ensure!(reps[1]["number"] == 2, "{reps:?}");
        ensure!(reps[0]["set"] == reps[1]["set"], "{reps:?}");
        Ok(())
    })
    .await
}

/// The phone hears its own beats and counts none of them; a call takes the microphone,
/// then the sound, and what was heard by then is kept.
async fn contact_heard_until_a_call_comes() -> Result<()> {
    on_tempo(&[], async |phone| {
        phone.script(MICROPHONE, vec![]).await?;
        phone.touch_in("Count by", "Sound").await?;
        phone.touch_in("Lift by", "The beat").await?;
        phone.touch("Let the phone listen").await?;
        phone.sees("The phone listens.").await?;
        phone.touch("Set by two balls").await?;
        let click = "click(live.currentTime + 0.4)";
        phone.script(click, vec![]).await?;
        phone.sees("One ball heard").await?;
        phone.script(click, vec![]).await?;
        phone.sees("Two balls heard").await?;
        shortest_times(phone).await?;
        phone.touch_in("Reps of a set", "5").await?;
        // Tones: two calls, lift, two beats; then call, lift, two beats; contact is
        // left to the ball. A ball 1.3 s after the first lift, none after the second.
        phone.script("hits = {2: 1.3}", vec![]).await?;
        phone.touch("Start the beat").await?;
        let first_s = count_number(phone, 1).await?;
        phone.sees("Rep 2: nothing heard, not measured.").await?;
        println!("sound: 1.3 s heard as {first_s:.4} s");
        ensure!((first_s - 1.3).abs() <= 0.010, "{first_s} s");
        ensure!(counts(phone).await?.len() == 1, "an own beat was counted");
        // The third lift; then the call.
        phone.holds("return starts.length > 10").await?;
        phone
            .script(
                "mic.stream.getTracks()[0].dispatchEvent(new Event('ended'))",
                vec![],
            )
            .await?;
        phone.sees("took the microphone away, as it does for a call. The set stopped after rep 2 of 5. Every count taken so far is kept.").await?;
        phone.sees("Rep 3 was cut off").await?;
        phone.touch("Ask again").await?;
        phone.sees("The phone listens.").await?;
        // The sound's clock stands still for a while, as when a phone cannot keep up.
        let stands = "await live.suspend();
            await new Promise(done => setTimeout(done, 300));
            await live.resume();";
        phone.script_async(stands, vec![]).await?;
        phone.script("starts.length = 0; hits = {2: 0.9}", vec![]).await?;
        phone.touch("Go on with the set").await?;
        phone.sees("Stop (rep 3 of 5)").await?;
        phone.holds("return starts.length > 2").await?;
        // The ball is heard, but its rep is not over when the sound stops.
        tokio::time::sleep(Duration::from_millis(1_300)).await;
        phone.script("live.suspend()", vec![]).await?;
        phone.sees("The phone stopped the sound, as it does for a call. The set stopped after rep 3 of 5. Every count taken so far is kept.").await?;
        let second_s = count_number(phone, 2).await?;
        println!("sound: 0.9 s heard as {second_s:.4} s");
        ensure!((second_s - 0.9).abs() <= 0.010, "{second_s} s");
        let mut reps = phone.stored("reps").await?;
        reps.sort_by_key(|rep| rep["number"].as_u64());
        let numbers: Vec<_> = reps.iter().map(|rep| rep["number"].as_u64()).collect();
        ensure!(numbers == [Some(1), Some(3)], "{numbers:?}");
        ensure!(reps[0]["set"] == reps[1]["set"], "another set");
        // Another way, and the microphone is off.
        phone.touch_in("Count by", "Two taps").await?;
        phone
            .holds("return mic.stream.getTracks()[0].readyState === 'ended'")
            .await
    })
    .await
}

async fn hidden_in_mid_set() -> Result<()> {
    on_tempo(&[], async |phone| {
        phone.count_once(Duration::from_millis(400)).await?;
        count_number(phone, 1).await?;
        phone.touch("Start the beat").await?;
        phone.sees("Stop (rep").await?;
        let here = phone.tab().await?;
        phone.blank_tab().await?;
        tokio::time::sleep(Duration::from_millis(300)).await;
        phone.look_at(&here).await?;
        phone.sees("the phone locked").await?;
        phone.sees("Every count taken so far is kept").await?;
        ensure!(counts(phone).await?.len() == 1);
        phone.touch("Go on with the set").await?;
        phone.sees("Stop (rep 1 of 10)").await
    })
    .await
}

/// Four sets of 20 counts against the machine, on the phone from before.
async fn with_sets(phone: &Phone) -> Result<()> {
    let hitters = phone.stored("hitters").await?;
    let id = hitters[0]["head"]["id"].as_str().context("no hitter")?;
    phone.add_reps(&[id.to_owned()], 0, 80).await?;
    phone.reload().await?;
    phone.sees("Practice").await
}

async fn sets_compared_with_their_n() -> Result<()> {
    on_tempo(&[], async |phone| {
        with_sets(phone).await?;
        phone.touch("Numbers").await?;
        // The sets' means are 1.3905 and 1.3705 s, their spreads 0.118 s: (0.1 - 0.02)
        // over 0.0372 s is a t of 2.15 with 38 degrees of freedom, p 0.019.
        phone
            .sees("Machine after Machine: The same tempo within 0.10 s")
            .await?;
        phone.sees("20 and 20 counts").await?;
        phone.sees("80 counts in 4 sets").await?;
        // A set at the tee: compared with the last, and in no line with the machine's.
        phone.touch("Target and set").await?;
        phone.pick("Environment", "Tee").await?;
        for n in 1..=5 {
            phone
                .count_once(Duration::from_millis(250 + 60 * n))
                .await?;
        }
        phone
            .sees("Tee after Machine: The tempo differs by more than 0.10 s")
            .await?;
        phone.sees("20 and 5 counts").await?;
        phone
            .sees("Over the sets of Tee: drift: Not yet: 3 more sets of 5 reps or more.")
            .await?;
        phone.touch("Plots").await?;
        phone.sees("Reps by set, seconds").await?;
        let drawn = "return [...document.querySelectorAll('.tempo-plot')].map(
            plot => [plot.ariaLabel, plot.querySelectorAll('.tempo-rep, .tempo-far').length])";
        let drawn = phone.script(drawn, vec![]).await?;
        ensure!(
            drawn[0] == json!(["Reps of the latest 5 sets against the target", 85]),
            "{drawn}"
        );
        Ok(())
    })
    .await
}

/// Pictures go to the folder that STRIDEBOOK_SHOTS names, of every mode then.
async fn the_page_fits_every_screen() -> Result<()> {
    on_tempo(&[], async |phone| {
        with_sets(phone).await?;
        let page = phone.script("return location.href", vec![]).await?;
        let page = page.as_str().context("no address")?.to_owned();
        let home = page.replace("/book/tempo", "/");
        let shots = std::env::var_os("STRIDEBOOK_SHOTS").map(std::path::PathBuf::from);
        let axe = axe_source()?;
        let mut wrong: Vec<String> = Vec::new();
        for look in Look::ALL {
            phone.set_screen(Screen::PHONE).await?;
            phone.open(&home).await?;
            phone.sees("Tap at lift").await?;
            phone.show(look).await?;
            phone.open(&page).await?;
            phone.sees("Practice").await?;
            let folds = [
                "Target and set",
                "Numbers",
                "Plots",
                "Spoken count",
                "Speaker delay",
            ];
            for fold in folds {
                phone.touch(fold).await?;
            }
            let modes: &[&str] = match &shots {
                Some(_) => &[
                    "Follow",
                    "Silent beats",
                    "Self check",
                    "Ladder",
                    "Random",
                    "Alone",
                ],
                None => &["Random"],
            };
            for mode in modes {
                phone.touch_in("Practice", mode).await?;
                let way = match *mode {
                    "Follow" | "Silent beats" => "Two taps",
                    "Self check" => "Sound",
                    "Alone" => "Only played",
                    _ => "Motion",
                };
                phone.touch_in("Count by", way).await?;
                for screen in Screen::ALL {
                    phone.set_screen(screen).await?;
                    phone.stands_still().await?;
                    let found = phone
                        .script(BADLY_LAID_OUT, vec![json!(screen.width)])
                        .await?;
                    let found: Vec<String> = serde_json::from_value(found)?;
                    let at = |what| format!("{mode}, {}, {}: {what}", look.name(), screen.width);
                    wrong.extend(found.into_iter().map(at));
                    if let Some(folder) = &shots {
                        let name = format!("{}-{}-{}.png", mode, look.name(), screen.width);
                        std::fs::write(folder.join(name), phone.picture(true).await?)?;
                    }
                }
                phone.set_screen(Screen::PHONE).await?;
            }
            phone
                .script(&format!("{axe}; window.axe = axe;"), vec![])
                .await?;
            let found = phone.violations(look == Look::Sun).await?;
            wrong.extend(
                found
                    .into_iter()
                    .map(|what| format!("{}: {what}", look.name())),
            );
        }
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
    .await
}

/// Sideways scrolling, and small things to touch.
const BADLY_LAID_OUT: &str = "
    const [width] = arguments;
    const wrong = [];
    if (document.documentElement.scrollWidth > width)
        wrong.push(`scrolls sideways: ${document.documentElement.scrollWidth}`);
    for (const element of document.querySelectorAll('main button, main a, main input, main select')) {
        if (!element.checkVisibility()) continue;
        const box = element.getBoundingClientRect();
        const name = (element.ariaLabel || element.innerText || '').slice(0, 40);
        if (box.height < 47.99 || box.width < 47.99)
            wrong.push(`small, ${box.width}x${box.height}: ${name}`);
        if (box.right > width + 0.5) wrong.push(`beyond the edge: ${name}`);
    }
    return wrong;";
