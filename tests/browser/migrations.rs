//! What lies on the phone outlives versions of the app, other tabs, and a phone
//! that dies: databases of older and newer versions, two tabs, a kill.

use anyhow::{Context, Result, bail, ensure};
use browser::{Phone, Place, Profile, Relay, Tab, on_runtime};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::time::Duration;

const DEVICE: &str = "0190a0b0-c0d0-7000-8000-00000000beef";
/// 2026-06-15T12:00:00Z.
const BEGUN_S: u64 = 1_781_524_800;
const HITTER: &str = "019ecb3d-0000-7000-8000-000000000001";
const CHECK: &str = "019ecb3d-0000-7000-8000-000000000002";
const SET: &str = "019ecb3d-0000-7000-8000-000000000003";

fn stamp(seconds: u64) -> String {
    format!("{seconds:08x}00000000-{}", DEVICE.replace('-', ""))
}

/// Seconds since 1970, now.
fn now_s() -> u64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    since.unwrap_or_default().as_secs()
}

fn head(id: &str, n: u64) -> Value {
    json!({"id": id, "schema": 1, "author": DEVICE, "made": stamp(BEGUN_S + n)})
}

fn id(n: u64) -> String {
    format!("019ecb3d-0000-7000-8000-{n:012}")
}

fn hitter(name: &str) -> Value {
    let field = |value: &str| json!({"value": value, "stamp": stamp(BEGUN_S)});
    let mut hitter = json!({"head": head(HITTER, 0), "bats": field("both"),
        "sport": field("softball"), "level": field("softball-43")});
    hitter["name"] = json!({"value": name, "stamp": stamp(BEGUN_S + 60),
                            "past": [{"value": "W", "stamp": stamp(BEGUN_S)}]});
    hitter
}

fn context() -> Value {
    json!({"side": "left", "feed": "right", "sport": "softball", "level": "softball-43",
           "environment": "front-toss"})
}

fn observation(n: u64, item: &str, answer: &str) -> Value {
    json!({"head": head(&id(n), n), "check": CHECK, "hitter": HITTER, "item": item,
           "answer": answer})
}

fn rep(n: u64, number: u64, count_s: f64) -> Value {
    json!({"head": head(&id(n), n), "hitter": HITTER, "set": SET, "number": number,
           "context": context(), "count_s": count_s, "taken_by": "two-taps"})
}

/// The stores of a version-1 database, as `v0_to_v1.rs` makes them.
fn version_1(last_stamp: &str) -> Value {
    let observations = [
        observation(11, "before-pain", "yes"),
        observation(12, "before-eyesight", "yes"),
        observation(13, "before-bat", "yes"),
        observation(14, "before-fatigue", "yes"),
        observation(15, "launch-balance", "yes"),
        observation(16, "launch-balance", "not-yet"),
        // An item that only a newer version knows is carried along.
        observation(17, "launch-of-next-year", "perhaps"),
    ];
    let mut taken_out = rep(23, 3, 2.9);
    taken_out["head"]["removed"] = json!({"value": true, "stamp": stamp(BEGUN_S + 30)});
    let reps = [rep(21, 1, 1.5), rep(22, 2, 1.75), taken_out];
    let store = |name: &str, indexes: &[&str], records: Value| json!({"name": name, "keyPath": "head.id", "indexes": indexes, "records": records});
    let check = json!({"head": head(CHECK, 10), "hitter": HITTER, "context": context()});
    json!([
        store("hitters", &[], json!([hitter("Wren")])),
        store("checks", &["hitter"], json!([check])),
        store("observations", &["check"], json!(observations)),
        store("reps", &["hitter", "set"], json!(reps)),
        {"name": "device", "keyPath": "key", "indexes": [], "records": [
            {"key": "device", "value": DEVICE},
            {"key": "last-stamp", "value": last_stamp},
        ]},
    ])
}

/// A page of the app's origin that does not run the app.
fn beside_the_app(relay: &Relay) -> String {
    format!("{}/manifest.webmanifest", relay.address())
}

#[test]
fn a_notebook_of_version_1_is_all_there_and_can_be_written_on() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(&beside_the_app(&relay)).await?;
        // The phone's clock was an hour ahead when the last record was made.
        let last_stamp = stamp(now_s() + 3_600);
        phone.make_database(1, &version_1(&last_stamp)).await?;
        ensure!(phone.database_version().await? == Some(1));
        let stores = ["hitters", "checks", "observations", "reps"];
        let mut before = Vec::new();
        for store in stores {
            before.push(phone.stored(store).await?);
        }

        phone.open(relay.address()).await?;
        phone.sees("Wren").await?;
        phone.sees("Bats both, Fast-pitch softball, 43 ft").await?;
        phone.sees("1 of 6 looked at").await?;
        phone.holds(REPS_ARE_2).await?;
        phone.touch("Open Swing check").await?;
        phone.sees("Work on the launch position").await?;
        phone
            .is_answered("Balanced between the feet", "Not yet")
            .await?;
        phone.touch("Close Swing check").await?;
        phone.touch("Open Count").await?;
        phone.sees("Rep 1: 1.50 s, Front toss").await?;
        phone.sees("Rep 2: 1.75 s, Front toss").await?;
        phone.touch("Close Count").await?;
        ensure!(phone.database_version().await? == Some(6));
        for (store, before) in stores.into_iter().zip(before) {
            ensure!(phone.stored(store).await? == before, "{store} changed");
        }

        // The new store takes a set-up, by the same device, stamped above all
        // that it has seen.
        phone.touch("Open Machine set-up").await?;
        phone.type_into("Machine distance", "30").await?;
        phone.sees("30 ft").await?;
        phone.reload().await?;
        phone.sees("30 ft").await?;
        let set_ups = phone.stored("set-ups").await?;
        ensure!(set_ups.len() == 1, "{set_ups:#?}");
        ensure!(set_ups[0]["head"]["author"] == DEVICE, "{set_ups:#?}");
        let given = set_ups[0]["machine_distance_ft"]["stamp"].as_str();
        ensure!(
            given > Some(&last_stamp),
            "{given:?} is not above {last_stamp}"
        );
        phone.off().await
    })
}

/// The stores of a version-5 database, as the steps to `v4_to_v5.rs` make them, with a
/// notebook that is shared and rows of its log that are not sealed yet.
fn version_5(last_stamp: &str) -> Value {
    let mut stores = version_1(last_stamp);
    let keyed = |name: &str, path: &str, records: Value| json!({"name": name, "keyPath": path, "indexes": [], "records": records});
    let machine = json!({"head": head(&id(40), 40), "what": "machine",
        "name": {"value": "Three wheels", "stamp": stamp(BEGUN_S)}});
    let row = json!({"n": 7, "subject": HITTER, "store": "hitters", "record": hitter("Wren")});
    let more = [
        keyed("set-ups", "head.id", json!([])),
        keyed("equipment", "head.id", json!([machine])),
        keyed("log", "n", json!([row])),
        keyed("shared", "subject", json!([{"subject": HITTER}])),
        keyed("notebooks", "head.id", json!([])),
        keyed("others", "key", json!([])),
        keyed("sync", "key", json!([{"key": "kept", "value": "as it is"}])),
        keyed("membership", "key", json!([])),
        keyed("batches", "key", json!([])),
    ];
    if let Some(stores) = stores.as_array_mut() {
        stores.extend(more);
    }
    stores
}

#[test]
fn a_notebook_of_version_5_gets_the_stores_of_the_book_and_keeps_all_it_had() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(&beside_the_app(&relay)).await?;
        let stores = version_5(&stamp(now_s()));
        phone.make_database(5, &stores).await?;
        let names = [
            "hitters",
            "checks",
            "observations",
            "reps",
            "equipment",
            "log",
            "sync",
        ];
        let mut before = Vec::new();
        for store in names {
            before.push(phone.stored(store).await?);
        }

        phone.open(relay.address()).await?;
        phone.sees("Wren").await?;
        ensure!(phone.database_version().await? == Some(6));
        for (store, before) in names.into_iter().zip(before) {
            ensure!(phone.stored(store).await? == before, "{store} changed");
        }
        let added = [
            "groups",
            "joins",
            "own",
            "outcomes",
            "sessions",
            "rounds",
            "contacts",
            "attachments",
        ];
        for store in added {
            ensure!(phone.stored(store).await?.is_empty(), "{store}");
        }
        phone.off().await
    })
}

const REPS_ARE_2: &str =
    "return document.querySelector('.four div:last-child dd').innerText === '2'";

#[test]
fn a_notebook_of_a_newer_version_is_left_alone_and_said_so() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(&beside_the_app(&relay)).await?;
        let mut stores = version_1(&stamp(now_s()));
        let newer = json!({"name": "of-next-year", "keyPath": "key", "indexes": [],
                           "records": [{"key": 1, "kept": "yes"}]});
        stores.as_array_mut().context("no list")?.push(newer);
        phone.make_database(99, &stores).await?;
        let all = [
            "hitters",
            "checks",
            "observations",
            "reps",
            "device",
            "of-next-year",
        ];
        let mut before = Vec::new();
        for store in all {
            before.push(phone.stored(store).await?);
        }

        phone.open(relay.address()).await?;
        for again in [false, true] {
            if again {
                phone.touch("Try again").await?;
            }
            phone.sees("was written by a newer version").await?;
            phone.sees("Nothing is lost").await?;
            phone.sees("Try again").await?;
        }
        ensure!(phone.database_version().await? == Some(99));
        for (store, before) in all.into_iter().zip(before) {
            ensure!(phone.stored(store).await? == before, "{store} changed");
        }
        phone.off().await
    })
}

#[test]
fn a_tab_left_open_lets_a_newer_version_in_and_says_when_it_cannot_save() -> Result<()> {
    on_runtime(async {
        let (_relay, _profile, phone, [first, _second]) = two_tabs().await?;
        // In the second tab, a newer version brings the database to its form.
        let upgraded = phone
            .script_async(
                "const {version} = (await indexedDB.databases())
                     .find(database => database.name === 'stridebook');
                 const request = indexedDB.open('stridebook', version + 1);
                 return await new Promise(done => {
                     request.onsuccess = () => { request.result.close(); done('upgraded'); };
                     request.onerror = () => done(String(request.error));
                     setTimeout(() => done('blocked by the tabs left open'), 5000);
                 });",
                vec![],
            )
            .await?;
        ensure!(upgraded == "upgraded", "{upgraded}");
        phone.look_at(&first).await?;
        phone.touch("Tap at lift").await?;
        tokio::time::sleep(Duration::from_millis(300)).await;
        phone.touch("Tap at contact").await?;
        phone.sees("Not saved").await?;
        phone.off().await
    })
}

/// Two tabs that both show the one hitter; the second is looked at.
async fn two_tabs() -> Result<(Relay, Profile, Phone, [Tab; 2])> {
    let relay = Relay::start()?;
    let profile = Profile::new()?;
    let phone = Phone::on(&profile).await?;
    phone.open(relay.address()).await?;
    phone.add_first_hitter("Wren").await?;
    let first = phone.tab().await?;
    phone.fresh_tab(relay.address()).await?;
    phone.sees("Wren").await?;
    let second = phone.tab().await?;
    Ok((relay, profile, phone, [first, second]))
}

#[test]
fn two_tabs_that_edit_different_fields_both_keep_both() -> Result<()> {
    on_runtime(async {
        let (_relay, _profile, phone, tabs) = two_tabs().await?;
        let [first, second] = &tabs;
        for tab in &tabs {
            phone.look_at(tab).await?;
            phone.touch("Open Machine set-up").await?;
            phone.sees("Left over").await?;
        }
        // One after the other: the other tab shows it without being touched.
        phone.type_into("Machine distance", "42").await?;
        phone.look_at(first).await?;
        has_value(&phone, "Machine distance", "42").await?;

        // And in the same moment.
        when_told(&phone, first, "Game pitch speed", "85").await?;
        when_told(&phone, second, "Machine speed", "60").await?;
        tell_both(&phone).await?;
        for tab in &tabs {
            phone.look_at(tab).await?;
            for (field, value) in [
                ("Machine distance", "42"),
                ("Game pitch speed", "85"),
                ("Machine speed", "60"),
            ] {
                has_value(&phone, field, value).await?;
            }
        }
        let set_ups = phone.stored("set-ups").await?;
        ensure!(set_ups.len() == 1, "{set_ups:#?}");
        ensure!(
            set_ups[0]["game_speed_mph"]["value"] == 85.0,
            "{set_ups:#?}"
        );
        ensure!(
            set_ups[0]["machine_speed_mph"]["value"] == 60.0,
            "{set_ups:#?}"
        );
        ensure!(
            set_ups[0]["machine_distance_ft"]["value"] == 42.0,
            "{set_ups:#?}"
        );
        phone.off().await
    })
}

#[test]
fn two_tabs_that_edit_one_field_at_once_agree_and_keep_the_other_value_too() -> Result<()> {
    on_runtime(async {
        let (_relay, _profile, phone, tabs) = two_tabs().await?;
        for (tab, value) in tabs.iter().zip(["85", "86"]) {
            phone.look_at(tab).await?;
            phone.touch("Open Machine set-up").await?;
            phone.sees("Left over").await?;
            when_told(&phone, tab, "Game pitch speed", value).await?;
        }
        tell_both(&phone).await?;
        phone
            .waits_for("for both edits to be on disk", async || {
                let set_ups = phone.stored("set-ups").await?;
                let Some(set_up) = set_ups.first() else {
                    return Ok(false);
                };
                let speed = &set_up["game_speed_mph"];
                let past = speed["past"].as_array().into_iter().flatten();
                let all: BTreeSet<_> = past
                    .chain([speed])
                    .map(|written| written["value"].to_string())
                    .collect();
                Ok(all.contains("85") && all.contains("86")
                    || all.contains("85.0") && all.contains("86.0"))
            })
            .await?;
        let stands = phone.stored("set-ups").await?[0]["game_speed_mph"]["value"]
            .as_f64()
            .context("no speed")?;
        for tab in &tabs {
            phone.look_at(tab).await?;
            has_value(&phone, "Game pitch speed", &stands.to_string()).await?;
        }
        phone.off().await
    })
}

#[test]
fn two_tabs_that_answer_at_the_same_time_both_see_both() -> Result<()> {
    on_runtime(async {
        let (_relay, _profile, phone, tabs) = two_tabs().await?;
        let [first, second] = &tabs;
        // The look is begun in the second tab; the first learns of it.
        phone.touch_in("Free of pain", "Yes").await?;
        phone.look_at(first).await?;
        phone.sees("Eyesight tested").await?;
        for tab in &tabs {
            phone.look_at(tab).await?;
            phone.touch("Open Swing check").await?;
            phone.is_answered("Free of pain", "Yes").await?;
        }
        when_told_answer(&phone, first, "Balanced between the feet", "Not yet").await?;
        when_told_answer(&phone, second, "Head still", "Yes").await?;
        tell_both(&phone).await?;
        for tab in &tabs {
            phone.look_at(tab).await?;
            phone
                .is_answered("Balanced between the feet", "Not yet")
                .await?;
            phone.is_answered("Head still", "Yes").await?;
            phone.is_answered("Free of pain", "Yes").await?;
        }
        ensure!(phone.stored("checks").await?.len() == 1);
        ensure!(phone.stored("observations").await?.len() == 3);
        phone.off().await
    })
}

#[test]
fn two_first_answers_in_two_tabs_at_once_are_both_kept() -> Result<()> {
    on_runtime(async {
        let (_relay, _profile, phone, tabs) = two_tabs().await?;
        let [first, second] = &tabs;
        for tab in &tabs {
            phone.look_at(tab).await?;
            phone.touch("Open Swing check").await?;
            phone.sees("Not begun").await?;
        }
        when_told_answer(&phone, first, "Free of pain", "Yes").await?;
        when_told_answer(&phone, second, "Bat fits", "Yes").await?;
        tell_both(&phone).await?;
        phone
            .waits_for("for both answers to be on disk", async || {
                Ok(phone.stored("observations").await?.len() == 2)
            })
            .await?;
        // Two looks, as by two observers: one is shown, the other is listed.
        let checks = phone.stored("checks").await?;
        for seen in phone.stored("observations").await? {
            ensure!(
                checks
                    .iter()
                    .any(|check| check["head"]["id"] == seen["check"]),
                "an answer without its look: {seen}"
            );
        }
        phone.look_at(first).await?;
        phone.reload().await?;
        phone
            .holds("return document.querySelectorAll('.looks li').length === 1")
            .await?;
        let pain = phone.is_pressed_in("Free of pain", "Yes").await?;
        let bat = phone.is_pressed_in("Bat fits", "Yes").await?;
        ensure!(pain != bat, "pain {pain}, bat {bat}");
        phone.off().await
    })
}

#[test]
fn a_running_lift_survives_what_another_tab_writes() -> Result<()> {
    on_runtime(async {
        let (_relay, _profile, phone, tabs) = two_tabs().await?;
        phone.look_at(&tabs[0]).await?;
        phone.count_once(Duration::from_millis(400)).await?;
        phone
            .waits_for("for the rep to be on disk", async || {
                Ok(phone.stored("reps").await?.len() == 1)
            })
            .await?;
        lift_survives(&phone, &tabs).await?;
        phone.off().await
    })
}

#[test]
fn the_very_first_lift_survives_what_another_tab_writes() -> Result<()> {
    on_runtime(async {
        let (_relay, _profile, phone, tabs) = two_tabs().await?;
        lift_survives(&phone, &tabs).await?;
        phone.off().await
    })
}

/// Lifts in the first tab, answers in the second, looks at the first again.
async fn lift_survives(phone: &Phone, [first, second]: &[Tab; 2]) -> Result<()> {
    phone.look_at(first).await?;
    phone.touch("Tap at lift").await?;
    phone.sees("Tap at contact").await?;
    phone.look_at(second).await?;
    phone.touch_in("Free of pain", "Yes").await?;
    phone.sees("Eyesight tested").await?;
    phone.look_at(first).await?;
    phone.sees("Eyesight tested").await?;
    let shown = phone.text().await?;
    ensure!(
        shown.contains("Tap at contact"),
        "the lift is gone:\n{shown}"
    );
    Ok(())
}

#[test]
fn a_record_that_cannot_be_read_is_left_as_it_is_and_does_not_close_the_book() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(&beside_the_app(&relay)).await?;
        let mut stores = version_1(&stamp(now_s()));
        let bad = json!({"head": head(&id(20), 20), "hitter": HITTER, "set": SET,
                         "count_s": "soon"});
        stores[3]["records"]
            .as_array_mut()
            .context("no reps")?
            .push(bad.clone());
        phone.make_database(1, &stores).await?;

        phone.open(relay.address()).await?;
        phone.sees("1 record could not be read").await?;
        phone.sees("Wren").await?;
        phone.holds(REPS_ARE_2).await?;
        phone.count_once(Duration::from_millis(400)).await?;
        phone.holds(&reps_are(3)).await?;
        let reps = phone.stored("reps").await?;
        ensure!(reps.len() == 5 && reps.contains(&bad), "{reps:#?}");
        phone.off().await
    })
}

#[test]
fn a_record_of_a_newer_version_is_shown_and_never_written_over() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(&beside_the_app(&relay)).await?;
        let mut stores = version_1(&stamp(now_s()));
        let newer = &mut stores[0]["records"][0];
        newer["head"]["schema"] = json!(99);
        newer["of_next_year"] = json!({"kept": true});
        let newer = newer.clone();
        phone.make_database(1, &stores).await?;

        phone.open(relay.address()).await?;
        phone.sees("Wren").await?;
        phone.open_place(Place::Hitters).await?;
        phone.touch("Edit Wren").await?;
        phone.type_into("First name or initials", "Robin").await?;
        phone.touch("Save").await?;
        phone
            .sees("Not saved. This was written by a newer version")
            .await?;
        phone.sees("Wren").await?;
        ensure!(phone.stored("hitters").await? == [newer], "written over");
        phone.off().await
    })
}

async fn has_value(phone: &Phone, field: &str, value: &str) -> Result<()> {
    phone
        .waits_for(&format!("for {field} to be {value}"), async || {
            Ok(phone.value_of(field).await? == value)
        })
        .await
}

/// Has a tab type `value` into a field at the moment that [`tell_both`] comes.
async fn when_told(phone: &Phone, tab: &Tab, field: &str, value: &str) -> Result<()> {
    let script = "const [field, value] = arguments;
        const label = [...document.querySelectorAll('label')]
            .find(label => label.innerText.startsWith(field));
        const input = document.getElementById(label.htmlFor);
        new BroadcastChannel('told').onmessage = () => {
            input.value = value;
            input.dispatchEvent(new Event('change', {bubbles: true}));
        };";
    phone.look_at(tab).await?;
    phone
        .script(script, vec![json!(field), json!(value)])
        .await?;
    Ok(())
}

/// Has a tab touch an answer at the moment that [`tell_both`] comes.
async fn when_told_answer(phone: &Phone, tab: &Tab, item: &str, answer: &str) -> Result<()> {
    let script = "const [item, answer] = arguments;
        const group = [...document.querySelectorAll('[role=group]')]
            .find(group => group.ariaLabel === item);
        const button = [...group.querySelectorAll('button')]
            .find(button => button.innerText === answer);
        new BroadcastChannel('told').onmessage = () => button.click();";
    phone.look_at(tab).await?;
    phone
        .script(script, vec![json!(item), json!(answer)])
        .await?;
    Ok(())
}

/// Tells every tab at once. (A channel of its own reaches those of this tab too.)
async fn tell_both(phone: &Phone) -> Result<()> {
    phone
        .script("new BroadcastChannel('told').postMessage('now')", vec![])
        .await?;
    Ok(())
}

#[test]
fn a_confirmed_rep_is_there_after_the_phone_dies() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.before_pages(WATCH_WRITES).await?;
        phone.open(relay.address()).await?;
        phone.add_first_hitter("Wren").await?;
        for n in 1..=3 {
            phone
                .count_once(Duration::from_millis(300 + 10 * n))
                .await?;
            phone.holds(&reps_are(n)).await?;
        }
        let counts = |reps: &[Value]| {
            let counts = reps.iter().map(|rep| rep["count_s"].clone());
            counts.collect::<Vec<_>>()
        };
        let before = counts(&phone.stored("reps").await?);
        // One more, and the power goes the moment the screen confirms it.
        phone.touch("Tap at lift").await?;
        tokio::time::sleep(Duration::from_millis(350)).await;
        phone.touch("Tap at contact").await?;
        phone.holds(&reps_are(4)).await?;
        let writes = phone.script("return window.writes", vec![]).await?;
        phone.kill().await?;

        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        phone.sees("Wren").await?;
        phone.holds(&reps_are(4)).await?;
        let after = counts(&phone.stored("reps").await?);
        ensure!(after[..3] == before[..], "{before:?}, then {after:?}");
        ensure!(after.len() == 4, "{after:?}");
        phone.off().await?;

        // A kill cannot show what a phone without power loses; this can: every
        // write asked for strict durability, and the screen changed after the
        // write was complete.
        each_was_strict_and_shown_after(&writes)
    })
}

fn reps_are(n: u64) -> String {
    format!("return document.querySelector('.four div:last-child dd')?.innerText === '{n}'")
}

/// Notes every writing transaction on records, when it was complete, and when
/// the number of reps on the screen changed.
const WATCH_WRITES: &str = "
    window.writes = [];
    const begin = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function (...asked) {
        const transaction = begin.apply(this, asked);
        if (transaction.mode === 'readwrite' && transaction.objectStoreNames.contains('reps')) {
            writes.push(`began ${transaction.durability}`);
            transaction.addEventListener('complete', () => writes.push('complete'));
        }
        return transaction;
    };
    let shown = '0';
    new MutationObserver(() => {
        const reps = document.querySelector('.four div:last-child dd')?.innerText ?? '0';
        if (reps !== shown) writes.push('shown');
        shown = reps;
    }).observe(document, {subtree: true, childList: true, characterData: true});
";

fn each_was_strict_and_shown_after(writes: &Value) -> Result<()> {
    let writes: Vec<String> = serde_json::from_value(writes.clone())?;
    let one = ["began strict", "complete", "shown"];
    if writes.len() != 12 || writes.chunks(3).any(|write| write != one) {
        bail!("four times {one:?} expected: {writes:?}");
    }
    Ok(())
}
