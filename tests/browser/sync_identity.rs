//! Phones that change: restored from a copy, lost, handed over to another.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, on_runtime};
use serde_json::{Value, json};
use std::time::Duration;

const PAUSE: Duration = Duration::from_millis(300);

/// The notebook that the phone shares alone.
async fn notebook(phone: &Phone) -> Result<Value> {
    Ok(phone.told().await?["notebooks"][0].clone())
}

/// The members of the notebook that are phones.
fn phones(told: &Value) -> Vec<&Value> {
    let members = told["notebooks"][0]["members"].as_array();
    let members = members.into_iter().flatten();
    members
        .filter(|member| member["role"] != "recovery-sheet")
        .collect()
}

#[test]
fn a_copied_phone_goes_on_as_a_new_one_and_loses_nothing() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let coach = Phone::syncing_on(&profiles[0], &relay).await?;
        coach.add_first_hitter("Wren").await?;
        let of = coach.hitter_id("Wren").await?;
        let parent = Phone::syncing_on(&profiles[1], &relay).await?;
        coach.lets_in(&parent, &of, "parent").await?;
        parent.sees("Wren").await?;
        parent.count_once(PAUSE).await?;
        parent.in_step().await?;
        parent.off().await?;
        let copied = profiles[1].copied()?;

        let parent = Phone::on(&profiles[1]).await?;
        parent.open(relay.address()).await?;
        parent.count_once(PAUSE).await?;
        parent.in_step().await?;
        let copy = Phone::on(&copied).await?;
        copy.open(relay.address()).await?;
        copy.count_once(PAUSE).await?;
        copy.told_that("to see the clash", |told| {
            told["notebooks"][0]["clash"] == true
        })
        .await?;
        let before = notebook(&copy).await?["fingerprint"].clone();

        copy.open_sharing().await?;
        copy.sees("one of the two was copied or restored").await?;
        copy.touch("Go on as a new phone").await?;
        copy.told_that("to wait to be let in", |told| {
            told["notebooks"][0]["joining"] == true
        })
        .await?;
        ensure!(notebook(&copy).await?["fingerprint"] != before);
        coach.lets_in(&copy, &of, "parent").await?;
        for phone in [&coach, &parent, &copy] {
            phone.gets("reps", 3).await?;
        }
        ensure!(coach.stored("reps").await? == copy.stored("reps").await?);
        ensure!(coach.stored("reps").await? == parent.stored("reps").await?);
        // Both go on side by side.
        copy.back_to_the_cage().await?;
        parent.count_once(PAUSE).await?;
        copy.count_once(PAUSE).await?;
        for phone in [&parent, &copy, &coach, &parent, &copy] {
            phone.ask(json!("go-on")).await?;
            phone.in_step().await?;
        }
        for phone in [&coach, &parent, &copy] {
            phone.has("reps", 5).await?;
        }
        for phone in [coach, parent, copy] {
            phone.off().await?;
        }
        Ok(())
    })
}

#[test]
fn a_recovery_sheet_brings_everything_back_on_a_new_phone() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let lost = Phone::syncing_on(&profiles[0], &relay).await?;
        lost.add_first_hitter("Wren").await?;
        let of = lost.hitter_id("Wren").await?;
        lost.ask(json!({"share": {"of": of}})).await?;
        let words = lost.ask(json!("make-sheet")).await?["words"]["words"].clone();
        let words = words.as_str().context("no words")?.to_owned();
        lost.count_once(PAUSE).await?;
        lost.told_that("for the sheet to be a member", |told| {
            let members = told["notebooks"][0]["members"].as_array();
            members.is_some_and(|members| members.len() == 2)
        })
        .await?;
        lost.in_step().await?;
        let reps = lost.stored("reps").await?;
        lost.kill().await?;

        let found = Phone::syncing_on(&profiles[1], &relay).await?;
        found.open_sharing().await?;
        found.touch("Recovery sheet").await?;
        found.type_into("Twelve words of a sheet", &words).await?;
        found.touch("Bring back").await?;
        found.sees("1 notebook now belong").await?;
        found.gets("reps", 1).await?;
        ensure!(found.stored("reps").await? == reps);
        // The lost phone is taken off on the same screen.
        found.touch("Take this phone off").await?;
        found
            .told_that("for the lost phone to be off", |told| {
                phones(told).len() == 1
            })
            .await?;
        ensure!(notebook(&found).await?["mine"] == true);
        found.off().await
    })
}

#[test]
fn a_parent_who_owns_the_notebook_changes_phones() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?, Profile::new()?];
        let coach = Phone::syncing_on(&profiles[0], &relay).await?;
        coach.add_first_hitter("Wren").await?;
        let of = coach.hitter_id("Wren").await?;
        let old = Phone::syncing_on(&profiles[1], &relay).await?;
        coach.lets_in(&old, &of, "parent").await?;
        hand_over(&coach, &old).await?;

        let new = Phone::syncing_on(&profiles[2], &relay).await?;
        old.lets_in(&new, &of, "parent").await?;
        hand_over(&old, &new).await?;
        let told = new.told().await?;
        let old_device = old_device(&old).await?;
        ensure!(phones(&told).len() == 3);
        let off = json!({"take-off": {"notebook": told["notebooks"][0]["notebook"],
                                      "device": old_device}});
        new.ask(off).await?;
        new.told_that("for the old phone to be off", |told| {
            phones(told).len() == 2
        })
        .await?;
        new.count_once(PAUSE).await?;
        new.in_step().await?;
        coach.gets("reps", 1).await?;
        old.told_that("to hear of it", |told| {
            let sentence = told["state"]["attention"]["sentence"].as_str();
            sentence.is_some_and(|sentence| sentence.contains("taken off"))
        })
        .await?;
        ensure!(old.stored("reps").await?.is_empty());
        for phone in [coach, old, new] {
            phone.off().await?;
        }
        Ok(())
    })
}

/// The phone's own device id.
async fn old_device(phone: &Phone) -> Result<Value> {
    let told = phone.told().await?;
    let own = phones(&told)
        .into_iter()
        .find(|member| member["this_device"] == true);
    Ok(own.context("no member")?["device"].clone())
}

/// Makes `to` the owner, and waits until it knows.
async fn hand_over(from: &Phone, to: &Phone) -> Result<()> {
    let device = old_device(to).await?;
    let notebook = notebook(from).await?["notebook"].clone();
    from.ask(json!({"hand-over": {"notebook": notebook, "device": device}}))
        .await?;
    from.told_that("to own it no more", |told| {
        told["notebooks"][0]["mine"] == false
    })
    .await?;
    to.told_that("to own it", |told| told["notebooks"][0]["mine"] == true)
        .await?;
    Ok(())
}
