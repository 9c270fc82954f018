//! Tempo: taps by their events' own times, beats on time while the page is busy,
//! the microphone refused or missing, a page that is hidden, twenty reps alone.

use anyhow::{Result, ensure};
use browser::{Phone, Profile, Relay, on_runtime};
use serde_json::json;
use std::time::{Duration, SystemTime};

/// A phone on the tempo page with a hitter; the browser started with `words`.
fn on_tempo(words: &[&str], work: impl AsyncFnOnce(&Phone) -> Result<()>) -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on_with(&profile, words).await?;
        phone.before_pages(RECORD).await?;
        phone.open(relay.address()).await?;
        phone.add_first_hitter("Wren").await?;
        phone
            .open(&format!("{}/book/tempo", relay.address()))
            .await?;
        phone.sees("Tap at lift").await?;
        work(&phone).await?;
        phone.off().await
    })
}

/// Whatever the page sends to its speaker goes to a recorder too: a worklet on the
/// page's own live context that hands its blocks on. A sound's start is the first
/// sample above a tenth after 20 ms of silence; its time is the audio clock's.
const RECORD: &str = "
    window.starts = [];
    window.recorder = null;
    const connect = AudioNode.prototype.connect;
    AudioNode.prototype.connect = function (to, ...rest) {
        if (to === this.context.destination) {
            window.live = this.context;
            window.recorder ??= this.context.audioWorklet.addModule('/hear.js').then(() => {
                const node = new AudioWorkletNode(this.context, 'hear');
                let last = -Infinity;
                node.port.onmessage = ({data: {frame, samples}}) => {
                    for (let n = 0; n < samples.length; n++) {
                        if (Math.abs(samples[n]) < 1e-4) continue;
                        const at = (frame + n) / this.context.sampleRate;
                        if (at - last > 0.02) starts.push(at);
                        last = at;
                    }
                };
                return node;
            });
            const from = this;
            recorder.then(node => connect.call(from, node));
        }
        return connect.call(this, to, ...rest);
    };
";

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

#[test]
fn taps_are_counted_by_their_events_own_times_however_busy_the_page_is() -> Result<()> {
    on_tempo(&[], async |phone| {
        phone.holds("return performance.now() > 4000").await?;
        let spot = phone.spot_of("Tap at lift").await?;
        phone.make_busy().await?;
        let mut worst_ms = 0.0_f64;
        for pair in 1..=12_usize {
            let apart = Duration::from_millis(400 + 190 * pair as u64);
            // The lift's time lies back by as much: not before the contact of before.
            tokio::time::sleep(apart).await;
            let contact = SystemTime::now();
            phone.finger_tap(spot, Some(contact - apart)).await?;
            phone.finger_tap(spot, Some(contact)).await?;
            let count_s = count_number(phone, pair).await?;
            worst_ms = worst_ms.max((count_s - apart.as_secs_f64()).abs() * 1e3);
        }
        phone.let_rest().await?;
        println!("taps: worst error {worst_ms:.3} ms over 12 counts, page busy up to 200 ms");
        ensure!(worst_ms <= 5.0, "{worst_ms} ms");
        Ok(())
    })
}

#[test]
fn a_remotes_keys_tap_and_a_key_held_down_taps_once() -> Result<()> {
    on_tempo(&[], async |phone| {
        for (n, key) in ["PageDown", "ArrowRight", "Enter", " "]
            .into_iter()
            .enumerate()
        {
            phone
                .script("document.activeElement.blur()", vec![])
                .await?;
            let press = "const at = repeat => dispatchEvent.call(document.body, new KeyboardEvent(
                'keydown', {key: arguments[0], repeat, bubbles: true, cancelable: true}));
                at(false); at(true);";
            phone.script(press, vec![json!(key)]).await?;
            phone.sees("Tap at contact").await?;
            tokio::time::sleep(Duration::from_millis(350)).await;
            phone.script(press, vec![json!(key)]).await?;
            let count_s = count_number(phone, n + 1).await?;
            ensure!((0.3..3.0).contains(&count_s), "{key}: {count_s}");
            phone.sees("Tap at lift").await?;
        }
        Ok(())
    })
}

#[test]
fn the_beat_holds_for_a_minute_while_the_page_is_blocked_at_random() -> Result<()> {
    on_tempo(&[], async |phone| {
        phone.touch("Start the beat").await?;
        phone.sees("Stop (rep").await?;
        phone.make_busy().await?;
        tokio::time::sleep(Duration::from_secs(62)).await;
        phone.let_rest().await?;
        let starts: Vec<f64> =
            serde_json::from_value(phone.script("return starts", vec![]).await?)?;
        // Call, lift and three parts of half a second, then rest: with the usual
        // target of 1.5 s a rep takes 1.6 + 1.5 + 8 s.
        let beats: Vec<f64> = starts
            .windows(2)
            .map(|two| two[1] - two[0])
            .filter(|apart_s| *apart_s < 0.75 && *apart_s > 0.35)
            .collect();
        ensure!(beats.len() >= 12, "{} beats: {starts:?}", beats.len());
        let worst_ms = beats
            .iter()
            .map(|apart_s| (apart_s - 0.5).abs() * 1e3)
            .fold(0.0, f64::max);
        let span_s = starts.last().unwrap_or(&0.0) - starts.first().unwrap_or(&0.0);
        println!(
            "beats: worst jitter {worst_ms:.4} ms over {} intervals, {} sounds, {span_s:.1} s",
            beats.len(),
            starts.len()
        );
        ensure!(worst_ms <= 2.0, "{worst_ms} ms: {starts:?}");
        Ok(())
    })
}

#[test]
fn a_refused_microphone_says_so_and_taps_go_on() -> Result<()> {
    on_tempo(
        &[
            "--deny-permission-prompts",
            "--use-fake-device-for-media-stream",
        ],
        async |phone| {
            phone.touch_in("Count by", "Sound").await?;
            phone.sees("nothing is recorded").await?;
            phone.touch("Let the phone listen").await?;
            phone.sees("The microphone was refused").await?;
            phone.touch_in("Count by", "Two taps").await?;
            phone.touch("Tap at lift").await?;
            tokio::time::sleep(Duration::from_millis(500)).await;
            phone.touch("Tap at contact").await?;
            count_number(phone, 1).await?;
            Ok(())
        },
    )
}

#[test]
fn without_a_microphone_or_sensors_the_page_says_so() -> Result<()> {
    on_tempo(&["--use-fake-ui-for-media-stream"], async |phone| {
        phone
            .script(
                "navigator.mediaDevices.getUserMedia = () =>
                     Promise.reject(new DOMException('none', 'NotFoundError'))",
                vec![],
            )
            .await?;
        phone.touch_in("Count by", "Sound").await?;
        phone.touch("Let the phone listen").await?;
        phone.sees("gives no microphone").await?;
        phone.touch_in("Count by", "Motion").await?;
        phone.touch("Let the phone sense motion").await?;
        phone.sees("gives no motion readings").await
    })
}

#[test]
fn a_page_hidden_in_mid_set_says_so_and_loses_nothing() -> Result<()> {
    on_tempo(&[], async |phone| {
        phone.touch("Tap at lift").await?;
        tokio::time::sleep(Duration::from_millis(400)).await;
        phone.touch("Tap at contact").await?;
        count_number(phone, 1).await?;
        phone.touch("Start the beat").await?;
        phone.sees("Stop (rep").await?;
        let here = phone.tab().await?;
        phone.blank_tab().await?;
        tokio::time::sleep(Duration::from_millis(600)).await;
        let other = phone.tab().await?;
        phone.look_at(&here).await?;
        phone.sees("Every count taken so far is kept").await?;
        ensure!(counts(phone).await?.len() == 1);
        phone.touch("Go on with the set").await?;
        phone.sees("Stop (rep").await?;
        let _ = other;
        Ok(())
    })
}

#[test]
fn a_player_alone_runs_twenty_reps_without_a_touch_and_nothing_is_made_up() -> Result<()> {
    on_tempo(&[], async |phone| {
        phone.touch_in("Practice", "Alone").await?;
        phone.sees("Nobody in front").await?;
        phone.touch("Target and set").await?;
        phone.type_into("Rest between reps", "3").await?;
        phone.touch("Start 20 reps").await?;
        let start = SystemTime::now();
        loop {
            tokio::time::sleep(Duration::from_secs(2)).await;
            if phone.text().await?.contains("20 reps were played") {
                break;
            }
            ensure!(
                start.elapsed()? < Duration::from_secs(240),
                "{}",
                phone.text().await?
            );
        }
        phone.sees("Nothing was measured").await?;
        let sounds = phone.script("return starts.length", vec![]).await?;
        println!(
            "alone: 20 reps in {:.0} s, {sounds} sounds",
            start.elapsed()?.as_secs_f64()
        );
        // 20 calls with 1 + 2 + 3 + 4 more for the four sets, 20 times four beats.
        ensure!(sounds == 20 + 10 + 80, "{sounds} sounds");
        ensure!(counts(phone).await?.is_empty(), "a count was made up");
        Ok(())
    })
}
