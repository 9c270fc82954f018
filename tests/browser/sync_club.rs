//! The club when a coach leaves and another comes: keys change, and are listed anew.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, on_runtime};
use serde_json::{Value, json};
use std::time::Duration;

/// What a phone is told of the notebook of `of`.
fn notebook<'a>(told: &'a Value, of: &str) -> Option<&'a Value> {
    let all = told["notebooks"].as_array().into_iter().flatten();
    all.into_iter().find(|one| one["of"] == of)
}

/// The devices in the notebook of `of`, but for this one's.
fn others<'a>(told: &'a Value, of: &str) -> Vec<&'a Value> {
    let members = notebook(told, of).and_then(|one| one["members"].as_array());
    let members = members.into_iter().flatten();
    let members = members.filter(|member| member["this_device"] == false);
    members.map(|member| &member["device"]).collect()
}

/// The keys on the club's list, each as "epoch of the club's key, epoch of its own".
async fn listed_under(phone: &Phone) -> Result<Vec<String>> {
    let listed = phone.stored("notebooks").await?;
    let keys = listed.iter().map(|one| {
        let key = one["key"]["value"].as_str()?;
        let (epochs, _) = key.rsplit_once('.')?;
        Some(epochs.to_owned())
    });
    keys.map(|key| key.context("no key")).collect()
}

#[test]
fn a_coach_who_left_the_club_reads_nothing_new_and_one_who_comes_gets_all() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?, Profile::new()?];
        let coach = Phone::syncing_on(&profiles[0], &relay).await?;
        coach.add_first_hitter("Wren").await?;
        let wren = coach.hitter_id("Wren").await?;
        let leaves = Phone::syncing_on(&profiles[1], &relay).await?;
        coach.lets_in(&leaves, "club", "coach").await?;
        coach.count_once(Duration::from_millis(300)).await?;
        leaves.gets("reps", 1).await?;
        ensure!(listed_under(&coach).await? == ["1.1"]);

        // Taken off the club alone: what follows for the hitters is owed.
        let told = coach.told().await?;
        let [device] = others(&told, "club")[..] else {
            anyhow::bail!("not one other coach: {told:#}");
        };
        ensure!(others(&told, &wren) == [device]);
        let club = notebook(&told, "club").map(|one| &one["notebook"]);
        let off = json!({"take-off": {"notebook": club, "device": device}});
        coach.ask(off).await?;
        coach
            .told_that("for the coach to be off everywhere", |told| {
                others(told, "club").is_empty() && others(told, &wren).is_empty()
            })
            .await?;
        coach.count_once(Duration::from_millis(300)).await?;
        coach.in_step().await?;
        coach
            .waits_for("for the keys to be listed anew", async || {
                Ok(listed_under(&coach).await? == ["2.2"])
            })
            .await?;
        leaves
            .told_that("to hear of it", |told| {
                let sentence = told["state"]["attention"]["sentence"].as_str();
                sentence.is_some_and(|sentence| sentence.contains("taken off"))
            })
            .await?;

        // By the list, whose keys she has never seen before.
        let comes = Phone::syncing_on(&profiles[2], &relay).await?;
        coach.lets_in(&comes, "club", "coach").await?;
        comes.gets("reps", 2).await?;
        ensure!(comes.stored("reps").await? == coach.stored("reps").await?);
        comes.sees("Wren").await?;
        ensure!(leaves.stored("reps").await?.len() == 1);
        coach.off().await?;
        leaves.off().await?;
        comes.off().await
    })
}
