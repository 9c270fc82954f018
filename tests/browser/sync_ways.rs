//! Roles, and ways without any network: files and codes; and two tabs of one phone.

use anyhow::{Result, ensure};
use browser::{Phone, Profile, Relay, on_runtime};
use serde_json::json;
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
fn a_new_phone_is_let_in_by_codes_that_the_cameras_read_off_the_screens() -> Result<()> {
    on_runtime(async {
        let mut relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let films = tempfile::tempdir()?;
        let film = |name| films.path().join(name);
        let coach = Phone::with_camera(&profiles[0], &film("coach.y4m")).await?;
        coach.syncs(&relay).await?;
        coach.add_first_hitter("Wren").await?;
        coach.count_once(PAUSE).await?;
        let player = Phone::with_camera(&profiles[1], &film("player.y4m")).await?;
        player.syncs(&relay).await?;
        for phone in [&coach, &player] {
            phone.open_sharing().await?;
            phone.touch("Without any network").await?;
            // Once the worker answers it needs the server no more.
            phone.ask(json!("tell")).await?;
        }
        relay.stop();

        player.touch("1. Show its code").await?;
        player.screen_to_film(&film("coach.y4m")).await?;
        coach.touch_in("The new phone is a", "Player").await?;
        coach.touch("2. Read the new phone\u{2019}s code").await?;
        coach
            .sees("Player for Wren. On the new phone must stand")
            .await?;
        let words = player.six_words().await?;
        coach.sees(&words).await?;
        coach.touch("The words are the same: show the pass").await?;
        coach.screen_to_film(&film("player.y4m")).await?;
        player
            .touch("3. Read the pass off the other screen")
            .await?;
        player.sees("The pass is taken").await?;

        // With the network away the log is sealed once a file is written.
        carry_all(&coach, &player).await?;
        player.has("reps", 1).await?;
        player.has("hitters", 1).await?;
        let _relay = relay.again()?;
        coach.in_step().await?;
        player.back_to_the_cage().await?;
        player.count_once(PAUSE).await?;
        player.in_step().await?;
        coach.gets("reps", 2).await?;
        coach.off().await?;
        player.off().await
    })
}

#[test]
fn a_phone_whose_camera_is_refused_is_told_of_the_file() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        // Nobody answers the browser's question; without a camera there is none.
        let phone = Phone::syncing_on(&profile, &relay).await?;
        phone.open_sharing().await?;
        phone.touch("Without any network").await?;
        phone.touch("3. Read the pass off the other screen").await?;
        phone.sees("The camera could not be used").await?;
        phone.sees("carry the notebook as a file").await?;
        phone.touch("Stop looking").await?;
        phone.no_longer_sees("The camera could not be used").await?;
        phone.off().await
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
