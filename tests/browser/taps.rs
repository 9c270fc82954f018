//! The count of two taps is the difference of their events' own times, however
//! busy the phone is when they come; and one touch is one tap.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, Spot, on_runtime};
use serde_json::{Value, json};
use std::time::{Duration, SystemTime};

/// The design's budget for a count against known event times.
const BUDGET_MS: f64 = 5.0;

/// Runs `work` on a phone with a hitter, the count button before it.
fn with_hitter(work: impl AsyncFnOnce(&Phone, Spot) -> Result<()>) -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        phone.add_first_hitter("Wren").await?;
        let spot = phone.spot_of("Tap at lift").await?;
        phone.script(WATCH, vec![]).await?;
        work(&phone, spot).await?;
        phone.off().await
    })
}

/// Notes the time of every press and click as the page's first listener sees
/// it, and how late that listener ran.
const WATCH: &str = "
    window.seen = [];
    for (const kind of ['pointerdown', 'keydown', 'click'])
        addEventListener(kind, event => seen.push(
            {kind, at: event.timeStamp, late: performance.now() - event.timeStamp}), true);
";

async fn seen(phone: &Phone, kind: &str) -> Result<Vec<Value>> {
    let script = "return seen.filter(event => event.kind === arguments[0])";
    let events = phone.script(script, vec![json!(kind)]).await?;
    Ok(serde_json::from_value(events)?)
}

async fn counts_on_disk(phone: &Phone) -> Result<Vec<f64>> {
    let reps = phone.stored("reps").await?;
    Ok(reps
        .iter()
        .filter_map(|rep| rep["count_s"].as_f64())
        .collect())
}

async fn count_number(phone: &Phone, n: usize) -> Result<f64> {
    phone
        .waits_for("for the count to be on disk", async || {
            Ok(counts_on_disk(phone).await?.len() >= n)
        })
        .await?;
    let counts = counts_on_disk(phone).await?;
    ensure!(counts.len() == n, "{n} counts expected: {counts:?}");
    Ok(counts[n - 1])
}

/// Pauses in ms, the same at each run, as if at random (a linear congruence).
fn as_if_at_random(up_to: u64) -> impl Iterator<Item = u64> {
    let mut state: u64 = 20_261_125;
    std::iter::repeat_with(move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % up_to
    })
}

#[test]
fn a_count_is_the_time_between_the_events_however_busy_the_phone_is() -> Result<()> {
    with_hitter(async |phone, spot| {
        // An event older than the page would be told as of the page's beginning.
        phone.holds("return performance.now() > 3000").await?;
        phone.make_busy().await?;
        let mut gaps_ms = as_if_at_random(2_400);
        for pair in 1..=20 {
            let apart = Duration::from_millis(300 + gaps_ms.next().unwrap_or_default());
            let contact = SystemTime::now();
            press(phone, spot, contact - apart, pair).await?;
            press(phone, spot, contact, pair).await?;
            let count_s = count_number(phone, pair).await?;
            let error_ms = (count_s - apart.as_secs_f64()).abs() * 1e3;
            ensure!(
                error_ms <= BUDGET_MS,
                "pair {pair}: {count_s} s for events {apart:?} apart"
            );
        }
        phone.let_rest().await?;
        let presses = seen(phone, "pointerdown").await?;
        ensure!(presses.len() == 40, "{} presses", presses.len());
        Ok(())
    })
}

/// Finger and mouse in turn.
async fn press(phone: &Phone, spot: Spot, at: SystemTime, pair: usize) -> Result<()> {
    if pair.is_multiple_of(2) {
        phone.finger_tap(spot, Some(at)).await
    } else {
        phone.mouse_down(spot, Some(at)).await?;
        phone.mouse_up(spot, Some(at)).await
    }
}

#[test]
fn a_count_does_not_grow_by_the_time_its_handler_had_to_wait() -> Result<()> {
    with_hitter(async |phone, spot| {
        phone.make_busy().await?;
        let mut pauses_ms = as_if_at_random(400);
        let mut late_ms = Vec::new();
        for pair in 1..=10 {
            // In real time: the events carry the browser's own times.
            phone.finger_tap(spot, None).await?;
            let pause_ms = 300 + pauses_ms.next().unwrap_or_default();
            tokio::time::sleep(Duration::from_millis(pause_ms)).await;
            phone.finger_tap(spot, None).await?;
            let count_s = count_number(phone, pair).await?;
            let presses = seen(phone, "pointerdown").await?;
            let number = |n: usize, of: &str| presses[n][of].as_f64().unwrap_or_default();
            let (lift, contact) = (2 * pair - 2, 2 * pair - 1);
            let apart_ms = number(contact, "at") - number(lift, "at");
            let error_ms = (count_s * 1e3 - apart_ms).abs();
            ensure!(error_ms <= BUDGET_MS, "{count_s} s for {apart_ms} ms");
            late_ms.push(number(contact, "late") - number(lift, "late"));
        }
        phone.let_rest().await?;
        // Had the handlers' times been taken, at least one count would be off
        // by this much.
        let most_ms = late_ms.iter().fold(0.0_f64, |most, ms| most.max(ms.abs()));
        ensure!(
            most_ms > 10.0 * BUDGET_MS,
            "the page was never busy when a tap came: this shows nothing ({late_ms:?})"
        );
        Ok(())
    })
}

/// One phone for all: what makes no count comes first.
#[test]
fn every_way_to_touch_the_button_is_one_tap_and_never_two() -> Result<()> {
    with_hitter(async |phone, spot| {
        one_touch_of_a_finger(phone, spot)
            .await
            .context("a finger")?;
        a_mouse_button_held(phone, spot).await.context("a mouse")?;
        a_finger_held(phone, spot).await.context("a finger held")?;
        the_space_and_the_enter_key(phone).await.context("keys")?;
        a_click_without_a_press(phone).await.context("a click")?;
        a_key_and_then_a_click(phone)
            .await
            .context("a key, a click")
    })
}

async fn one_touch_of_a_finger(phone: &Phone, spot: Spot) -> Result<()> {
    phone.finger_tap(spot, None).await?;
    // The click that follows a touch has been and gone.
    phone
        .holds("return seen.some(event => event.kind === 'click')")
        .await?;
    only_a_lift(phone).await?;
    phone.touch("Forget this lift").await?;
    phone.sees("Tap at lift").await?;

    // Two fingers that come down together are one tap.
    let second = Spot {
        x: spot.x + 60.0,
        ..spot
    };
    phone.finger_down(spot, None).await?;
    phone.fingers("touchStart", &[spot, second], None).await?;
    phone.fingers_off(None).await?;
    only_a_lift(phone).await?;
    phone.touch("Forget this lift").await?;
    phone.sees("Tap at lift").await
}

async fn a_mouse_button_held(phone: &Phone, spot: Spot) -> Result<()> {
    for held_ms in [50, 3_400] {
        phone.script("seen.length = 0", vec![]).await?;
        phone.mouse_down(spot, None).await?;
        phone.sees("Tap at contact").await?;
        tokio::time::sleep(Duration::from_millis(held_ms)).await;
        phone.mouse_up(spot, None).await?;
        phone.holds("return seen.at(-1).kind === 'click'").await?;
        only_a_lift(phone).await?;
        phone.touch("Forget this lift").await?;
        phone.sees("Tap at lift").await?;
    }
    Ok(())
}

async fn a_finger_held(phone: &Phone, spot: Spot) -> Result<()> {
    phone.finger_down(spot, None).await?;
    tokio::time::sleep(Duration::from_millis(3_400)).await;
    phone.fingers_off(None).await?;
    // A click, if the browser makes one, comes before the next frames.
    phone.stands_still().await?;
    only_a_lift(phone).await?;
    phone.touch("Forget this lift").await?;
    phone.sees("Tap at lift").await
}

async fn the_space_and_the_enter_key(phone: &Phone) -> Result<()> {
    phone
        .script(
            "seen.length = 0; document.querySelector('.tap-button').focus()",
            vec![],
        )
        .await?;
    for (n, key) in [" ", "Enter"].into_iter().enumerate() {
        phone.press(key).await?;
        phone.sees("Tap at contact").await?;
        tokio::time::sleep(Duration::from_millis(300)).await;
        // Held down, a key repeats; only its first press is a tap.
        phone.key_down(key, false).await?;
        phone.key_down(key, true).await?;
        phone.key_up(key).await?;
        count_number(phone, n + 1).await?;
        phone.stands_still().await?;
        phone.sees("Tap at lift").await?;
    }
    ensure!(seen(phone, "keydown").await?.len() == 6);
    Ok(())
}

/// As assistive technology makes it.
async fn a_click_without_a_press(phone: &Phone) -> Result<()> {
    let click = "document.querySelector('.tap-button').click()";
    phone
        .script(&format!("seen.length = 0; {click}"), vec![])
        .await?;
    phone.sees("Tap at contact").await?;
    tokio::time::sleep(Duration::from_millis(400)).await;
    phone.script(click, vec![]).await?;
    let count_s = count_number(phone, 3).await?;
    let clicks = seen(phone, "click").await?;
    let at = |n: usize| clicks[n]["at"].as_f64().unwrap_or_default();
    let error_ms = (count_s * 1e3 - (at(1) - at(0))).abs();
    ensure!(error_ms <= BUDGET_MS, "{count_s} s for {clicks:?}");
    phone.sees("Tap at lift").await
}

async fn a_key_and_then_a_click(phone: &Phone) -> Result<()> {
    phone
        .script("document.querySelector('.tap-button').focus()", vec![])
        .await?;
    phone.press(" ").await?;
    phone.sees("Tap at contact").await?;
    tokio::time::sleep(Duration::from_millis(400)).await;
    phone
        .script("document.querySelector('.tap-button').click()", vec![])
        .await?;
    count_number(phone, 4).await?;
    Ok(())
}

async fn only_a_lift(phone: &Phone) -> Result<()> {
    phone.sees("Tap at contact").await?;
    let shown = phone.text().await?;
    ensure!(!shown.contains("Nothing was recorded"), "{shown}");
    ensure!(counts_on_disk(phone).await?.is_empty(), "a rep was kept");
    Ok(())
}
