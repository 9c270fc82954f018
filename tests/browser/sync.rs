//! Phones that share notebooks through a real relay: in step after writing offline,
//! each with its own and no more, whatever is cut off in the middle.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Place, Profile, Relay, on_runtime};
use serde_json::{Value, json};
use std::path::Path;
use std::time::Duration;

/// Whether any file below `folder` holds `text`.
fn holds(folder: &Path, text: &str) -> Result<bool> {
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let found = if path.is_dir() {
            holds(&path, text)?
        } else {
            let bytes = std::fs::read(&path)?;
            bytes
                .windows(text.len())
                .any(|part| part == text.as_bytes())
        };
        if found {
            return Ok(true);
        }
    }
    Ok(false)
}

#[test]
fn coach_parent_and_player_who_wrote_offline_are_in_step_afterwards() -> Result<()> {
    on_runtime(async {
        let mut relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?, Profile::new()?];
        let coach = Phone::syncing_on(&profiles[0], &relay).await?;
        coach.add_first_hitter("Wren").await?;
        coach.add_hitter("Otis").await?;
        let of = coach.hitter_id("Wren").await?;
        let other = coach.hitter_id("Otis").await?;
        let parent = Phone::syncing_on(&profiles[1], &relay).await?;
        coach.lets_in(&parent, &of, "parent").await?;
        let player = Phone::syncing_on(&profiles[2], &relay).await?;
        coach.lets_in(&player, &of, "player").await?;
        parent.sees("Wren").await?;
        player.sees("Wren").await?;

        relay.stop();
        // The coach looks at Wren again, and all three count.
        choose(&coach, "Wren").await?;
        for phone in [&coach, &parent, &player] {
            phone.count_once(Duration::from_millis(300)).await?;
            phone.has("reps", 1).await?;
        }
        let waits = |told: &Value| told["state"]["waiting"]["changes"] == 1;
        parent.told_that("to wait with one change", waits).await?;

        let relay = relay.again()?;
        for phone in [&coach, &parent, &player] {
            phone.in_step().await?;
        }
        for phone in [&coach, &parent, &player] {
            phone.ask(json!("go-on")).await?;
            phone.has("reps", 3).await?;
        }
        ensure!(coach.stored("reps").await? == parent.stored("reps").await?);
        ensure!(coach.stored("reps").await? == player.stored("reps").await?);
        ensure!(coach.stored("hitters").await?.len() == 2);

        let at_parent = parent.whole_database().await?;
        ensure!(at_parent.contains("Wren") && at_parent.contains(&of));
        for foreign in ["Otis", &other] {
            ensure!(
                !at_parent.contains(foreign),
                "the parent's phone holds {foreign}"
            );
        }
        // Nothing of it can be read at the relay: neither names, nor ids of records,
        // nor the names of their fields.
        for plain in ["Wren", "Otis", "count_s", "two-taps", &of, &other] {
            ensure!(!holds(relay.data(), plain)?, "the relay holds {plain}");
        }
        for phone in [coach, parent, player] {
            phone.off().await?;
        }
        Ok(())
    })
}

/// Chooses a hitter in the roster.
async fn choose(phone: &Phone, name: &str) -> Result<()> {
    let row = "const row = [...document.querySelectorAll('.roster .hitter-now')]
                   .find(row => row.querySelector('.name').innerText === arguments[0]);
               row?.click(); return Boolean(row);";
    if phone
        .script("return !document.querySelector('.panel.opened')", vec![])
        .await?
        == true
    {
        phone.open_place(Place::Hitters).await?;
    }
    phone
        .waits_for("for the roster", async || {
            Ok(phone.script(row, vec![json!(name)]).await? == Value::Bool(true))
        })
        .await?;
    phone
        .holds("return !document.querySelector('.panel.opened')")
        .await
}

#[test]
fn a_phone_that_was_taken_off_reads_nothing_new_and_keeps_what_it_had() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let coach = Phone::syncing_on(&profiles[0], &relay).await?;
        coach.add_first_hitter("Wren").await?;
        let of = coach.hitter_id("Wren").await?;
        let parent = Phone::syncing_on(&profiles[1], &relay).await?;
        coach.lets_in(&parent, &of, "parent").await?;
        coach.count_once(Duration::from_millis(300)).await?;
        coach.in_step().await?;
        parent.ask(json!("go-on")).await?;
        parent.has("reps", 1).await?;

        let told = coach.told().await?;
        let notebook = told["notebooks"][0]["notebook"].clone();
        let members = told["notebooks"][0]["members"].as_array();
        let device = members
            .into_iter()
            .flatten()
            .find(|member| member["this_device"] == false)
            .map(|member| member["device"].clone())
            .context("no other member")?;
        let off = json!({"take-off": {"notebook": notebook, "device": device}});
        coach.ask(off).await?;
        coach
            .told_that("for the parent to be off", |told| {
                let members = told["notebooks"][0]["members"].as_array();
                members.is_some_and(|members| members.len() == 1)
            })
            .await?;
        coach.count_once(Duration::from_millis(300)).await?;
        coach.in_step().await?;
        parent
            .told_that("to hear of it", |told| {
                let sentence = told["state"]["attention"]["sentence"].as_str();
                sentence.is_some_and(|sentence| sentence.contains("taken off"))
            })
            .await?;
        ensure!(coach.stored("reps").await?.len() == 2);
        ensure!(parent.stored("reps").await?.len() == 1);
        parent.sees("Wren").await?;
        coach.off().await?;
        // Its requests were refused, which the browser notes as faults of the page
        // only when the page made them: the worker did.
        parent.off().await
    })
}

#[test]
fn a_second_coach_in_the_club_gets_every_hitter_and_the_clubs_machines() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let coach = Phone::on(&profiles[0]).await?;
        coach.open(relay.address()).await?;
        coach.add_first_hitter("Wren").await?;
        coach.add_hitter("Otis").await?;
        // From before it shared anything.
        let hitters = [
            coach.hitter_id("Wren").await?,
            coach.hitter_id("Otis").await?,
        ];
        has_a_club(&coach, &hitters).await?;
        coach.sync_on().await?;
        coach.open_place(Place::SetUp).await?;
        coach.touch("What the machine can do").await?;
        coach.touch("Describe my machine").await?;
        coach.has("equipment", 1).await?;
        let second = Phone::syncing_on(&profiles[1], &relay).await?;
        let pass = json!({"make-pass": {"of": "club", "role": "coach", "lives_s": 3600}});
        let words = coach.ask(pass).await?["words"]["words"].clone();
        second.ask(json!({"take-pass": {"words": words}})).await?;
        let told = coach
            .told_that("for a request", |told| told["requests"][0].is_object())
            .await?;
        let request = told["requests"][0]["request"].clone();
        coach.ask(json!({"admit": {"request": request}})).await?;
        for _ in 0..3 {
            coach.in_step().await?;
            second.ask(json!("go-on")).await?;
        }
        second
            .told_that("for all notebooks", |told| {
                let known = told["notebooks"].as_array().into_iter().flatten();
                known.filter(|known| known["joining"] == false).count() == 3
            })
            .await?;
        second.has("hitters", 2).await?;
        second.has("equipment", 1).await?;
        are_alike(&coach, &second, &["equipment"]).await?;
        are_alike(&coach, &second, &OF_THE_CLUB).await?;
        second.sees("Otis").await.or(second.sees("Wren").await)?;

        // A hitter whom the second coach adds gets to the first, by itself.
        second.add_hitter("Mica").await?;
        second.in_step().await?;
        coach
            .told_that("for the third hitter", |told| {
                let known = told["notebooks"].as_array().into_iter().flatten();
                known.filter(|known| known["joining"] == false).count() == 4
            })
            .await?;
        coach.has("hitters", 3).await?;
        coach.off().await?;
        second.off().await
    })
}

/// What a hitter's notebook and the club's hold beside reps and looks, as it is stored;
/// the session is with the hitter.
fn of_a_session(hitter: &str) -> [(&'static str, Value); 3] {
    let session = "01970000-0000-7000-8000-000000000001";
    let round = "01970000-0000-7000-8000-000000000002";
    let context = json!({"environment": "tee", "bat-mass-kg": 0.85});
    [
        (
            "outcomes",
            json!({"hitter": hitter, "card": "position-on-call", "outcome": "helped"}),
        ),
        (
            "rounds",
            json!({"hitter": hitter, "session": session, "context": context}),
        ),
        (
            "contacts",
            json!({"hitter": hitter, "session": session, "set": round, "number": 1,
                "context": context, "result": "line"}),
        ),
    ]
}

const OF_THE_CLUB: [&str; 4] = ["groups", "joins", "own", "sessions"];

/// Puts a record into each of the stores that the club's notebook holds beside the
/// machines.
async fn has_a_club(phone: &Phone, hitters: &[String]) -> Result<()> {
    let named = json!({"value": "Under twelves", "stamp": "now"});
    let content = json!({"value": "{\"version\":1,\"order\":[],\"hidden\":[]}", "stamp": "now"});
    let records = [
        json!({"name": named}),
        json!({"one": hitters[0], "other": hitters[1]}),
        json!({"what": "arrangement", "content": content}),
        json!({"name": named}),
    ];
    for (store, record) in OF_THE_CLUB.into_iter().zip(records) {
        phone.add_records(store, &[record]).await?;
    }
    Ok(())
}

/// Two phones hold the same, and some of it, in these stores.
async fn are_alike(one: &Phone, other: &Phone, stores: &[&str]) -> Result<()> {
    for store in stores {
        let there = one.stored(store).await?;
        ensure!(!there.is_empty(), "nothing in {store}");
        ensure!(other.stored(store).await? == there, "other {store}");
    }
    Ok(())
}

/// A coach with a notebook of `reps`, in step, and a player who waits to be let in
/// and is: the catch-up begins when the player's worker is told to go on.
async fn about_to_catch_up(
    relay: &Relay,
    profiles: &[Profile; 2],
    reps: usize,
) -> Result<(Phone, Phone)> {
    let coach = Phone::syncing_on(&profiles[0], relay).await?;
    let hitters = coach.add_hitters(1).await?;
    coach.add_reps(&hitters, 0, reps).await?;
    for (store, record) in of_a_session(&hitters[0]) {
        coach.add_records(store, &[record]).await?;
    }
    coach.ask(json!({"share": {"of": hitters[0]}})).await?;
    coach.in_step().await?;
    let player = Phone::syncing_on(&profiles[1], relay).await?;
    let pass = json!({"make-pass": {"of": hitters[0], "role": "player", "lives_s": 3600}});
    let words = coach.ask(pass).await?["words"]["words"].clone();
    player.ask(json!({"take-pass": {"words": words}})).await?;
    let told = coach
        .told_that("for a request", |told| told["requests"][0].is_object())
        .await?;
    player.ask(json!("pause")).await?;
    let request = told["requests"][0]["request"].clone();
    coach.ask(json!({"admit": {"request": request}})).await?;
    coach.in_step().await?;
    Ok((coach, player))
}

/// Lets the catch-up begin and waits until some but not all reps have come; how many.
async fn in_the_middle(phone: &Phone, all: usize) -> Result<usize> {
    // Counted in the page: by the time the driver had asked, all would be there.
    let body = "
        const answered = request => new Promise((resolve, reject) => {
            request.onsuccess = () => resolve(request.result);
            request.onerror = () => reject(request.error);
        });
        const database = await answered(indexedDB.open('stridebook'));
        const channel = new BroadcastChannel('stridebook-sync');
        channel.postMessage(JSON.stringify({id: crypto.randomUUID(), ask: 'go-on'}));
        channel.close();
        for (let count = 0, until = Date.now() + 20000; ;) {
            count = await answered(database.transaction('reps').objectStore('reps').count());
            if (count > 0 || Date.now() > until) {
                database.close();
                return count;
            }
        }";
    let there = phone.script_async(body, vec![]).await?;
    let there = usize::try_from(there.as_u64().context("no count")?)?;
    ensure!((1..all).contains(&there), "{there} of {all} are there");
    Ok(there)
}

/// So many that a catch-up can be cut in its middle, in batches.
const MANY: usize = 4_900;
/// So many that the owner has made a snapshot.
const SEASON: usize = 12_000;

#[test]
fn a_catch_up_goes_on_after_the_relay_was_away_in_its_middle() -> Result<()> {
    on_runtime(async {
        let mut relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let (coach, player) = about_to_catch_up(&relay, &profiles, MANY).await?;
        in_the_middle(&player, MANY).await?;
        relay.stop();
        player
            .waits_for("for the worker to miss the relay", async || {
                let told = player.told().await?;
                Ok(told["state"]["waiting"]["reached"] == false)
            })
            .await?;
        let there = player.stored("reps").await?.len();
        ensure!((1..MANY).contains(&there), "{there} reps");
        let _relay = relay.again()?;
        player.in_step().await?;
        let all = ["reps", "outcomes", "rounds", "contacts"];
        are_alike(&coach, &player, &all).await?;
        coach.off().await?;
        player.off().await
    })
}

#[test]
fn a_catch_up_with_a_season_goes_on_after_the_phone_died_in_its_middle() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profiles = [Profile::new()?, Profile::new()?];
        let (coach, player) = about_to_catch_up(&relay, &profiles, SEASON).await?;
        let there = in_the_middle(&player, SEASON).await?;
        player.kill().await?;
        let player = Phone::on(&profiles[1]).await?;
        player.open(relay.address()).await?;
        ensure!(player.stored("reps").await?.len() >= there);
        player.in_step().await?;
        let all = ["reps", "outcomes", "rounds", "contacts"];
        are_alike(&coach, &player, &all).await?;
        coach.off().await?;
        player.off().await
    })
}
