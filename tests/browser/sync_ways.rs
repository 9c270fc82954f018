//! Roles, and ways without any network: files and codes; and two tabs of one phone.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, on_runtime};
use serde_json::{Value, json};
use std::time::Duration;

const PAUSE: Duration = Duration::from_millis(300);

async fn coach_and_parent(relay: &Relay, profiles: &[Profile; 2]) -> Result<(Phone, Phone)> {
    let coach = Phone::syncing_on(&profiles[0], relay).await?;
    coach.add_first_hitter("Wren").await?;
    let of = coach.hitter_id("Wren").await?;
    let parent = Phone::syncing_on(&profiles[1], relay).await?;
    coach.lets_in(&parent, &of, "parent").await?;
    parent.sees("Wren").await?;
    Ok((coach, parent))
}

async fn has_role(phone: &Phone, role: &str) -> Result<()> {
    phone
        .told_that(role, |told| told["notebooks"][0]["role"] == role)
        .await?;
    Ok(())
}

#[test]
fn a_phone_that_only_reads_cannot_write_and_says_so() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let (coach, parent) = coach_and_parent(&relay, &profiles).await?;
        coach.open_sharing().await?;
        coach.touch_in("Role", "Reads only").await?;
        has_role(&parent, "read-only").await?;
        parent.touch("Tap at lift").await?;
        tokio::time::sleep(PAUSE).await;
        parent.touch("Tap at contact").await?;
        parent.sees("This phone only reads this notebook").await?;
        ensure!(parent.stored("reps").await?.is_empty());
        ensure!(parent.stored("log").await?.is_empty());
        // What others write still comes.
        coach.back_to_the_cage().await?;
        coach.count_once(PAUSE).await?;
        coach.in_step().await?;
        parent.gets("reps", 1).await?;

        coach.open_sharing().await?;
        coach.touch_in("Role", "Parent").await?;
        has_role(&parent, "parent").await?;
        parent.reload().await?;
        parent.count_once(PAUSE).await?;
        parent.in_step().await?;
        coach.gets("reps", 2).await?;
        coach.off().await?;
        parent.off().await
    })
}

#[test]
fn two_phones_without_a_network_exchange_a_sealed_file() -> Result<()> {
    on_runtime(async {
        let mut relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let (coach, parent) = coach_and_parent(&relay, &profiles).await?;
        relay.stop();
        coach.count_once(PAUSE).await?;
        parent.count_once(PAUSE).await?;
        carry(&coach, &parent, 1).await?;
        carry(&parent, &coach, 1).await?;
        // The same once more brings nothing.
        carry(&coach, &parent, 0).await?;
        for phone in [&coach, &parent] {
            phone.has("reps", 2).await?;
        }
        ensure!(coach.stored("reps").await? == parent.stored("reps").await?);
        let _relay = relay.again()?;
        for phone in [&coach, &parent] {
            phone.in_step().await?;
        }
        coach.off().await?;
        parent.off().await
    })
}

/// Carries a file with so many new entries.
async fn carry(from: &Phone, to: &Phone, entries: u32) -> Result<()> {
    let notebook = from.told().await?["notebooks"][0]["notebook"].clone();
    let (_, file) = from
        .ask_with(json!({"write-file": {"notebook": notebook}}), None)
        .await?;
    let text = String::from_utf8_lossy(&file);
    ensure!(!text.contains("Wren"), "the file can be read");
    let (read, _) = to.ask_with(json!("read-file"), Some(&file)).await?;
    ensure!(read["read"]["entries"] == entries, "{read}");
    Ok(())
}

#[test]
fn a_new_phone_is_let_in_by_codes_that_two_phones_show_each_other() -> Result<()> {
    on_runtime(async {
        let mut relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let coach = Phone::syncing_on(&profiles[0], &relay).await?;
        coach.add_first_hitter("Wren").await?;
        coach.count_once(PAUSE).await?;
        let of = coach.hitter_id("Wren").await?;
        let player = Phone::syncing_on(&profiles[1], &relay).await?;
        relay.stop();
        let (shown, request) = player
            .ask_with(json!({"show-request": {"role": "player"}}), None)
            .await?;
        let seen = seen_by(&coach, &shown["code"]).await?;
        ensure!(seen == request, "another request was read");
        let read = json!({"read-request": {"of": of, "role": "player"}});
        let (asks, _) = coach.ask_with(read, Some(&seen)).await?;
        ensure!(asks["request"]["fingerprint"] == shown["code"]["fingerprint"]);
        let seal = json!({"seal-pass": {"request": asks["request"]["request"]}});
        let (shown, _) = coach.ask_with(seal, None).await?;
        let pass = seen_by(&player, &shown["code"]).await?;
        player.ask_with(json!("read-pass"), Some(&pass)).await?;
        // With the network away the log is sealed once a file is written.
        carry_all(&coach, &player).await?;
        player.has("reps", 1).await?;
        player.has("hitters", 1).await?;
        let _relay = relay.again()?;
        coach.in_step().await?;
        player.count_once(PAUSE).await?;
        player.in_step().await?;
        coach.gets("reps", 2).await?;
        coach.off().await?;
        player.off().await
    })
}

async fn carry_all(from: &Phone, to: &Phone) -> Result<()> {
    let notebook = from.told().await?["notebooks"][0]["notebook"].clone();
    let (_, file) = from
        .ask_with(json!({"write-file": {"notebook": notebook}}), None)
        .await?;
    to.ask_with(json!("read-file"), Some(&file)).await?;
    Ok(())
}

/// What a phone reads off a picture of the code: six pixels a module, not quite black
/// on not quite white, and a little noise.
async fn seen_by(phone: &Phone, code: &Value) -> Result<Vec<u8>> {
    const MODULE: usize = 6;
    let side = usize::try_from(code["side"].as_u64().context("no side")?)?;
    let dark = code["dark"].as_str().context("no modules")?.as_bytes();
    let pixels = (side + 8) * MODULE;
    let grey = |at: usize| {
        let (x, y) = (at % pixels / MODULE, at / pixels / MODULE);
        let inside = (4..side + 4).contains(&x) && (4..side + 4).contains(&y);
        let is_dark = inside && dark[(y - 4) * side + x - 4] == b'1';
        let noise = u8::try_from(at * 7919 % 23).unwrap_or_default();
        if is_dark { 40 + noise } else { 200 + noise }
    };
    let picture: Vec<u8> = (0..pixels * pixels).map(grey).collect();
    let look = json!({"look-for-code": {"width": pixels, "height": pixels}});
    let (answer, bytes) = phone.ask_with(look, Some(&picture)).await?;
    ensure!(answer["seen"]["found"] == true, "no code is seen: {answer}");
    Ok(bytes)
}

#[test]
fn two_tabs_of_one_phone_write_at_once_and_one_takes_over_from_the_other() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let (coach, parent) = coach_and_parent(&relay, &profiles).await?;
        let first = coach.tab().await?;
        coach.count_once(PAUSE).await?;
        coach.fresh_tab(relay.address()).await?;
        let second = coach.tab().await?;
        coach.count_once(PAUSE).await?;
        coach.look_at(&first).await?;
        coach.count_once(PAUSE).await?;
        coach.in_step().await?;
        parent.gets("reps", 3).await?;
        // The first tab's worker held the lock.
        coach.close_for(&second).await?;
        coach.count_once(PAUSE).await?;
        coach.in_step().await?;
        parent.gets("reps", 4).await?;
        ensure!(coach.stored("reps").await? == parent.stored("reps").await?);
        coach.off().await?;
        parent.off().await
    })
}
