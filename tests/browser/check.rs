//! The page of the swing check and that of the check items, in the real browser:
//! how many touches a full check takes, what the answers say, own items, photos and
//! clips on this phone, and the count from a clip.
//!
//! The files: `clip-60.webm` is ffmpeg's own test picture, 60 frames a second for two
//! seconds (`ffmpeg -f lavfi -i testsrc=size=160x120:rate=60:duration=2 -c:v libvpx`),
//! `photo.png` one picture of it.

use anyhow::{Context, Result, ensure};
use browser::{Look, Phone, Profile, Relay, Screen, axe_source, on_runtime};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Items of the swing, and the questions before them.
const SWING: usize = 19;
const BEFORE: usize = 4;

/// The ids of the questions and of the swing's items, in the order in which they are
/// asked.
const ASKED: [&str; BEFORE + SWING] = [
    "before-pain",
    "before-eyesight",
    "before-bat",
    "before-fatigue",
    "launch-balance",
    "launch-both-ways",
    "launch-head",
    "launch-again",
    "launch-turn",
    "launch-tilt",
    "load-back-hip",
    "load-back-foot",
    "load-front-hip",
    "load-control",
    "load-same-launch",
    "swing-count",
    "swing-direction",
    "swing-path",
    "swing-on-time",
    "approach-plan",
    "approach-zone",
    "approach-chase",
    "approach-on-time",
];

/// Answers to all of them but the last `open`: "yes" but for these.
fn answers(not_yet: &[&str], open: usize) -> Vec<(&'static str, &'static str)> {
    let answer = |id: &&'static str| {
        let answer = if not_yet.contains(id) {
            "not-yet"
        } else {
            "yes"
        };
        (*id, answer)
    };
    ASKED[..ASKED.len() - open].iter().map(answer).collect()
}

/// Adds a look at the hitter so many minutes ago.
async fn look(
    phone: &Phone,
    answers: &[(&str, &str)],
    minutes_ago: u32,
    observer: &str,
) -> Result<()> {
    let hitters = phone.stored("hitters").await?;
    let hitter = hitters[0]["head"]["id"].as_str().context("no hitter")?;
    let choices = json!({"skill": "swing", "observer": observer});
    phone.add_look(hitter, answers, minutes_ago, choices).await
}

/// Counts the touches of a page.
const COUNT_TOUCHES: &str = "
    window.touches = 0;
    addEventListener('click', event => { if (event.isTrusted) window.touches += 1; }, true);";

/// Runs `work` on a phone with one hitter, at home; it is given the address too.
fn with_hitter(work: impl AsyncFnOnce(&Phone, &str) -> Result<()>) -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.before_pages(COUNT_TOUCHES).await?;
        phone.open(relay.address()).await?;
        phone.add_first_hitter("Wren").await?;
        work(&phone, relay.address()).await?;
        phone.off().await
    })
}

async fn open_book(phone: &Phone, address: &str, page: &str) -> Result<()> {
    let address = address.trim_end_matches('/');
    phone.open(&format!("{address}/book/{page}")).await
}

/// The card that the run shows.
async fn card(phone: &Phone) -> Result<String> {
    let script = "return document.querySelector('.run .answers')?.ariaLabel ?? ''";
    let title = phone.script(script, vec![]).await?;
    Ok(title.as_str().unwrap_or_default().to_owned())
}

async fn waits_for_run(phone: &Phone) -> Result<String> {
    phone
        .waits_for("for a card", async || Ok(!card(phone).await?.is_empty()))
        .await?;
    card(phone).await
}

/// Answers the card shown; says which it was.
async fn answer_card(phone: &Phone, answer: &str) -> Result<String> {
    let title = waits_for_run(phone).await?;
    // As long as a very quick reader takes: what is touched sooner is not taken.
    tokio::time::sleep(Duration::from_millis(230)).await;
    phone.touch_in(&title, answer).await?;
    phone
        .waits_for(
            "for the next card",
            async || Ok(card(phone).await? != title),
        )
        .await?;
    Ok(title)
}

/// Answers the run to its end: `not_yet` with "Not yet", all else with "Yes".
async fn run_to_the_end(phone: &Phone, not_yet: &[&str]) -> Result<usize> {
    let mut n = 0;
    loop {
        let title = waits_for_run(phone).await?;
        let answer = if not_yet.contains(&title.as_str()) {
            "Not yet"
        } else {
            "Yes"
        };
        answer_card(phone, answer).await?;
        n += 1;
        if card(phone).await?.is_empty() {
            return Ok(n);
        }
    }
}

async fn observations(phone: &Phone, n: usize) -> Result<Vec<Value>> {
    phone
        .waits_for(&format!("for {n} answers on disk"), async || {
            Ok(phone.stored("observations").await?.len() == n)
        })
        .await?;
    phone.stored("observations").await
}

#[test]
fn a_full_check_takes_one_touch_an_item_and_not_more_than_two_around_it() -> Result<()> {
    with_hitter(async |phone, address| {
        let start = Instant::now();
        // From home: the touch on the link, the only one around the items.
        open_book(phone, address, "check").await?;
        let asked = run_to_the_end(phone, &[]).await?;
        phone
            .sees("Everything was seen in this look and is good")
            .await?;
        let taken = start.elapsed();
        let touches = phone.script("return window.touches", vec![]).await?;
        println!("{asked} questions and items, {touches} touches in the page, {taken:?}");
        ensure!(asked == BEFORE + SWING, "{asked} cards");
        ensure!(
            touches == json!(asked),
            "{touches} touches for {asked} cards"
        );
        // At one second for each touch beside the page's own time.
        ensure!(
            taken + Duration::from_secs(asked as u64) < Duration::from_secs(90),
            "{taken:?} for {asked} cards"
        );
        let answers = observations(phone, asked).await?;
        ensure!(answers.iter().all(|seen| seen["answer"] == "yes"));
        let checks = phone.stored("checks").await?;
        ensure!(checks.len() == 1, "{checks:#?}");
        ensure!(checks[0]["choices"] == json!({"skill": "swing", "observer": "first"}));
        // The first page knows the same look.
        phone.open(address).await?;
        phone
            .sees("All clear")
            .await
            .or(phone.sees("Everything").await)
    })
}

#[test]
fn not_seen_is_never_good_pain_stops_and_an_answer_can_be_changed() -> Result<()> {
    with_hitter(async |phone, address| {
        open_book(phone, address, "check").await?;
        for _ in 0..BEFORE {
            answer_card(phone, "Yes").await?;
        }
        let not_seen = answer_card(phone, "Not seen").await?;
        for _ in 1..6 {
            answer_card(phone, "Yes").await?;
        }
        observations(phone, BEFORE + 6).await?;
        phone.touch("Result").await?;
        phone
            .sees(&format!(
                "We cannot tell yet. Still look at the launch position: {not_seen}."
            ))
            .await?;
        // Go back over the list and change the answer: the phase is clear.
        phone.touch("Whole list").await?;
        phone.touch_in(&not_seen, "Yes").await?;
        phone.is_answered(&not_seen, "Yes").await?;
        phone.touch("Result").await?;
        phone
            .sees("Still look at the load and forward move")
            .await?;
        // The caution of the view stands beside the item, outside of any fold.
        phone.touch("Go on with this look").await?;
        waits_for_run(phone).await?;
        phone.sees("Stand out of the bat's reach").await?;
        // After a reload the run goes on where it stood.
        let before = card(phone).await?;
        phone.reload().await?;
        ensure!(waits_for_run(phone).await? == before);
        // Pain stops.
        phone.touch("Whole list").await?;
        phone.touch_in("Free of pain", "Not yet").await?;
        phone.sees("refer the hitter to licensed care").await?;
        phone.no_longer_sees("Drill cards for this").await
    })
}

#[test]
fn with_three_phases_clear_the_trouble_is_likely_the_approach_and_the_log_opens() -> Result<()> {
    with_hitter(async |phone, address| {
        look(phone, &answers(&["approach-chase"], 2), 30, "first").await?;
        open_book(phone, address, "check").await?;
        run_to_the_end(phone, &["Chases seldom"]).await?;
        phone
            .sees("the trouble is likely approach or pitch selection. Not yet: Chases seldom.")
            .await?;
        let links = "return [...document.querySelectorAll('main a')].map(a => a.pathname)";
        let links = phone.script(links, vec![]).await?.to_string();
        ensure!(links.contains("/book/session"), "{links}");
        ensure!(links.contains("/book/cards"), "{links}");
        // A second look with the same answer makes it a repeated one.
        phone.touch("Begin a new look").await?;
        phone
            .waits_for("for the first question", async || {
                Ok(card(phone).await? == "Free of pain")
            })
            .await?;
        look(phone, &answers(&["approach-chase"], 0), 2, "first").await?;
        phone.reload().await?;
        phone.sees("All looks (2)").await?;
        phone
            .sees("Not yet, seen repeatedly: Chases seldom.")
            .await?;
        phone.touch("Earlier looks").await?;
        phone
            .holds("return document.querySelectorAll('.looks li').length >= 5")
            .await
    })
}

#[test]
fn slap_and_bunt_have_runs_of_their_own_and_no_skill_is_read_as_another() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let address = relay.address();
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(address).await?;
        phone.touch("Add a hitter").await?;
        phone.type_into("First name or initials", "Wren").await?;
        phone.touch_in("Bats", "Left").await?;
        phone.pick("Level", "Fast-pitch softball, 43 ft").await?;
        phone.touch("Save hitter").await?;
        phone.sees("Free of pain").await?;
        for (skill, first, last, n) in [
            (
                "Slap",
                "Balanced with the feet crossed",
                "Slaps strikes, takes balls",
                9,
            ),
            (
                "Bunt",
                "Set in time and in balance",
                "Bunts strikes, takes balls",
                8,
            ),
        ] {
            open_book(&phone, address, "check").await?;
            phone.touch("Skill, observer, new look").await?;
            phone.touch_in("Skill", skill).await?;
            phone
                .waits_for("for the first question", async || {
                    Ok(card(&phone).await? == "Free of pain")
                })
                .await?;
            for _ in 0..BEFORE {
                answer_card(&phone, "Yes").await?;
            }
            ensure!(answer_card(&phone, "Not yet").await? == first);
            for _ in 2..n {
                answer_card(&phone, "Yes").await?;
            }
            ensure!(answer_card(&phone, "Yes").await? == last);
            let phase = if skill == "Slap" { "slap" } else { "bunt" };
            phone
                .sees(&format!("Work on the {phase} position. Not yet: {first}."))
                .await?;
        }
        let checks = phone.stored("checks").await?;
        let skills: Vec<&Value> = checks
            .iter()
            .map(|look| &look["choices"]["skill"])
            .collect();
        ensure!(skills == [&json!("slap"), &json!("bunt")], "{checks:#?}");
        // Neither is taken for a look at the swing.
        phone.open(address).await?;
        phone.sees("Free of pain").await?;
        open_book(&phone, address, "hitter").await?;
        phone.sees("Slap, batting left").await?;
        phone.sees("Bunt, batting left").await?;
        phone.off().await
    })
}

#[test]
fn two_observers_are_compared_and_the_n_is_said() -> Result<()> {
    with_hitter(async |phone, address| {
        let late = ["launch-head", "approach-on-time"];
        look(phone, &answers(&late[..1], 0), 40, "first").await?;
        look(phone, &answers(&late, 1), 35, "second").await?;
        open_book(phone, address, "check").await?;
        phone.touch("Skill, observer, new look").await?;
        phone.touch("Second").await?;
        // The second observer's look goes on where it stood.
        run_to_the_end(phone, &["Decides on time"]).await?;
        let checks = phone.stored("checks").await?;
        ensure!(checks.len() == 2, "{checks:#?}");
        phone.touch("Do two observers agree?").await?;
        phone
            .sees("1 pair of looks. Of 19 items that both saw, 18 got the same answer. That is too few to judge: 20 are needed.")
            .await?;
        phone.sees("Each look counts once").await?;
        // Another pair: now enough for kappa. By hand: 38 pairs, both yes 34, both
        // not yet 2, the second alone not yet 2; chance (36*34 + 2*4)/38^2 = 1232/1444,
        // kappa (36/38 - 0.8532) / (1 - 0.8532) = 0.64.
        look(phone, &answers(&late[..1], 0), 10, "first").await?;
        look(phone, &answers(&late, 0), 5, "second").await?;
        phone.reload().await?;
        phone.touch("Do two observers agree?").await?;
        phone
            .sees("2 pairs of looks. Of 38 items that both saw, 36")
            .await?;
        phone.sees("Kappa 0.64, 95 percent interval").await
    })
}

#[test]
fn own_items_order_and_hiding_are_kept_undone_and_followed_by_the_check() -> Result<()> {
    with_hitter(async |phone, address| {
        open_book(phone, address, "items").await?;
        phone.touch("Add an item").await?;
        type_text(phone, "Title", &"x".repeat(41)).await?;
        phone.touch("Save the item").await?;
        phone
            .sees("Title: 1 to 40 characters are allowed, and 41 were given.")
            .await?;
        type_text(phone, "Title", "Hands stay back").await?;
        type_text(phone, "What good looks like", "They stay.").await?;
        // What is typed outlives the page, and a form closed by mistake.
        phone.reload().await?;
        phone.sees("It is asked once you save it").await?;
        phone.touch("Leave it as it was").await?;
        phone.touch("Undo").await?;
        phone.sees("It is asked once you save it").await?;
        ensure!(phone.stored("own").await?.is_empty(), "saved unasked");
        phone.touch("Save the item").await?;
        phone.sees("Added: Hands stay back.").await?;
        ensure!(
            titles(phone).await?[6] == "Hands stay back",
            "{:?}",
            titles(phone).await?
        );
        phone.touch("Up: Hands stay back").await?;
        phone.sees("Moved: Hands stay back.").await?;
        phone
            .waits_for("for the new order", async || {
                Ok(titles(phone).await?[5] == "Hands stay back")
            })
            .await?;
        phone.touch("Hide: Head still").await?;
        phone.sees("Hidden: Head still").await?;
        phone.touch("Undo").await?;
        phone.no_longer_sees("Hidden: Head still").await?;
        phone.touch("Hide: Head still").await?;
        phone.sees("Hidden: Head still.").await?;
        phone.reload().await?;
        phone.sees("Hidden: Head still").await?;
        open_book(phone, address, "check").await?;
        waits_for_run(phone).await?;
        phone.touch("Whole list").await?;
        phone.sees("They stay.").await?;
        phone.no_longer_sees("Head still").await?;
        phone.touch_in("Hands stay back", "Not yet").await?;
        phone.is_answered("Hands stay back", "Not yet").await?;
        phone.touch("Result").await?;
        phone
            .sees("Work on the launch position. Not yet: Hands stay back.")
            .await?;
        // Back to the usual order, and the item gone: its answer stays on disk.
        open_book(phone, address, "items").await?;
        phone.touch("Back to the usual order").await?;
        phone.no_longer_sees("Hidden: Head still").await?;
        phone.touch("Remove: Hands stay back").await?;
        phone.sees("The item is removed.").await?;
        phone
            .waits_for("for the list without it", async || {
                Ok(titles(phone).await?.len() == SWING)
            })
            .await?;
        phone.touch("Undo").await?;
        phone
            .waits_for("for the item again", async || {
                Ok(titles(phone).await?.len() == SWING + 1)
            })
            .await?;
        observations(phone, 1).await?;
        Ok(())
    })
}

async fn titles(phone: &Phone) -> Result<Vec<String>> {
    let script = "return [...document.querySelectorAll('main .item .item-title')]
        .map(title => title.innerText)";
    Ok(serde_json::from_value(phone.script(script, vec![]).await?)?)
}

/// Types into the text area whose label begins so.
async fn type_text(phone: &Phone, label: &str, text: &str) -> Result<()> {
    let script = "const [label, text] = arguments;
        const area = [...document.querySelectorAll('label')]
            .find(l => l.innerText.trim().startsWith(label)).querySelector('textarea');
        area.value = text; area.dispatchEvent(new Event('input', {bubbles: true}));";
    phone
        .script(script, vec![json!(label), json!(text)])
        .await?;
    Ok(())
}

fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("files")
        .join(name)
}

/// Picks a file in the shown file input of that label, as the phone's picker does.
async fn pick_file(phone: &Phone, label: &str, path: &Path) -> Result<()> {
    phone.sees(label).await?;
    let find = format!(
        "[...document.querySelectorAll('label')].find(l => l.innerText.trim() === '{label}' \
         && l.checkVisibility()).querySelector('input')"
    );
    let found = phone
        .devtools("Runtime.evaluate", json!({"expression": find}))
        .await?;
    let id = found["result"]["objectId"]
        .as_str()
        .context("no file input")?;
    phone
        .devtools(
            "DOM.setFileInputFiles",
            json!({"files": [path], "objectId": id}),
        )
        .await?;
    Ok(())
}

/// To the first item's card, with its photos and clips opened.
async fn open_attachments(phone: &Phone) -> Result<()> {
    waits_for_run(phone).await?;
    phone.touch("Whole list").await?;
    let script = "const of = [...document.querySelectorAll('.item')]
        .find(item => item.innerText.includes('Balanced between the feet'));
        const open = of && [...of.querySelectorAll('button')]
            .find(b => /^Photo/.test(b.innerText));
        open?.click(); return Boolean(open)";
    phone.holds(script).await?;
    phone.sees("Choose a photo or clip").await
}

#[test]
fn photos_and_clips_stay_on_the_phone_until_they_are_taken_off_and_no_room_is_said() -> Result<()> {
    with_hitter(async |phone, address| {
        open_book(phone, address, "check").await?;
        open_attachments(phone).await?;
        phone.sees("Up to 200 MB each").await?;
        phone.sees("that the browser allows").await?;
        let text = tempfile::Builder::new().suffix(".txt").tempfile()?;
        std::fs::write(text.path(), "no picture")?;
        pick_file(phone, "Choose a photo or clip", text.path()).await?;
        phone
            .sees("this file is neither. Nothing was kept.")
            .await?;
        phone.touch("Dismiss").await?;
        let kept = async |n: usize| {
            phone
                .waits_for(&format!("for {n} kept"), async || {
                    Ok(phone.stored("attachments").await?.len() == n)
                })
                .await
        };
        kept(0).await?;
        pick_file(phone, "Choose a photo or clip", &file("photo.png")).await?;
        kept(1).await?;
        pick_file(phone, "Choose a photo or clip", &file("clip-60.webm")).await?;
        kept(2).await?;
        phone.sees("This hitter: 2 photos and clips").await?;
        phone.reload().await?;
        open_attachments(phone).await?;
        phone
            .holds("const shown = document.querySelector('figure img'); return shown?.naturalWidth === 64")
            .await?;
        // Take the photo off, put it back, take it off for good.
        let take_off = "const off = [...document.querySelectorAll('button')]
            .find(b => b.ariaLabel?.startsWith('Take off: Photo')); off?.click(); return Boolean(off)";
        phone.holds(take_off).await?;
        kept(1).await?;
        phone.touch("Undo").await?;
        kept(2).await?;
        phone.holds(take_off).await?;
        kept(1).await?;
        phone.reload().await?;
        open_attachments(phone).await?;
        phone.sees("This hitter: 1 photo or clip").await?;
        // What is attached is no record: nothing of it is on its way to a relay.
        ensure!(phone.stored("observations").await?.is_empty());
        let log = phone.stored("log").await?;
        ensure!(!format!("{log:?}").contains("webm"));
        no_room_is_said(phone).await?;
        // The clip opens from there.
        phone
            .holds(
                "const open = [...document.querySelectorAll('button')]
            .find(b => b.innerText === 'Frame by frame'); open?.click(); return Boolean(open)",
            )
            .await?;
        phone.sees("Frame 0,").await
    })
}

/// No room is said, and nothing is lost: the one that is there stays.
async fn no_room_is_said(phone: &Phone) -> Result<()> {
    // A browser that has given away all it allows but a kilobyte.
    phone
        .script(
            "StorageManager.prototype.estimate = async () => ({usage: 9e6, quota: 9.001e6})",
            vec![],
        )
        .await?;
    pick_file(phone, "Choose a photo or clip", &file("clip-60.webm")).await?;
    phone
        .sees("No room: this has 0.0 MB, and 0.0 MB are left.")
        .await?;
    ensure!(phone.stored("attachments").await?.len() == 1);
    // The estimate was wrong, and the disk itself says so.
    phone
        .script(
            "StorageManager.prototype.estimate = async () => ({usage: 0, quota: 9e9});
                 IDBObjectStore.prototype.put = new Proxy(IDBObjectStore.prototype.put, {
                     apply(put, store, args) {
                         if (store.name === 'attachments')
                             throw new DOMException('full', 'QuotaExceededError');
                         return Reflect.apply(put, store, args);
                     }});",
            vec![],
        )
        .await?;
    pick_file(phone, "Choose a photo or clip", &file("clip-60.webm")).await?;
    phone
        .sees("The clip was not kept. The phone has no room left")
        .await?;
    ensure!(phone.stored("attachments").await?.len() == 1);
    phone.touch("Dismiss").await
}

#[test]
fn stepping_through_a_clip_gives_its_count_within_a_frame() -> Result<()> {
    with_hitter(async |phone, address| {
        open_book(phone, address, "check").await?;
        waits_for_run(phone).await?;
        phone.touch("A clip, frame by frame").await?;
        pick_file(phone, "Choose a photo or clip", &file("clip-60.webm")).await?;
        phone.sees("Frame 0,").await?;
        phone.pick("Frames a second of the file", "60").await?;
        phone.touch("Forward 10 frames").await?;
        phone.sees("Frame 10,").await?;
        for frame in [11, 12, 13] {
            phone.touch("Forward 1 frame").await?;
            phone.sees(&format!("Frame {frame},")).await?;
        }
        phone.touch("Back 1 frame").await?;
        phone.sees("Frame 12, 0.200 s of the file.").await?;
        phone.touch("Mark lift").await?;
        for frame in [22, 32, 42, 52] {
            phone.touch("Forward 10 frames").await?;
            phone.sees(&format!("Frame {frame},")).await?;
        }
        phone.touch("Mark foot down").await?;
        for frame in [62, 72] {
            phone.touch("Forward 10 frames").await?;
            phone.sees(&format!("Frame {frame},")).await?;
        }
        phone.touch("Mark contact").await?;
        phone
            .sees("Lift to contact 1.000 s (by the frames 0.983 to 1.017 s). Foot down to contact 0.333 s (by the frames 0.316 to 0.350 s).")
            .await?;
        phone.pick("The file plays", "Slowed 4 times").await?;
        phone.sees("Lift to contact 0.250 s").await?;
        phone.pick("The file plays", "At real speed").await?;
        phone.touch("Keep this count").await?;
        phone.sees("Kept as rep 1 of the set at hand.").await?;
        let reps = phone.stored("reps").await?;
        ensure!(reps.len() == 1, "{reps:#?}");
        let count_s = reps[0]["count_s"].as_f64().context("no count")?;
        ensure!((count_s - 1.0).abs() <= 1.0 / 60.0, "{count_s}");
        ensure!(reps[0]["taken_by"] == "clip");
        let foot_s = reps[0]["numbers"]["foot-down-to-contact-s"].as_f64();
        ensure!((foot_s.context("no foot down")? - 1.0 / 3.0).abs() <= 1.0 / 60.0);
        // Not attached: nothing of it is kept.
        ensure!(phone.stored("attachments").await?.is_empty());
        // A quarter of the speed, and a pause stands on a frame.
        phone.touch("Play at ¼ speed").await?;
        phone
            .holds("return document.querySelector('video').playbackRate === 0.25")
            .await?;
        phone.touch("Pause").await?;
        phone
            .holds("return document.querySelector('video').paused")
            .await?;
        phone.touch("Close the clip").await?;
        waits_for_run(phone).await?;
        Ok(())
    })
}

#[test]
fn the_pages_fit_every_screen_and_axe_finds_nothing() -> Result<()> {
    with_hitter(async |phone, address| {
        let axe = axe_source()?;
        let mut wrong = Vec::new();
        let shots = std::env::var_os("STRIDEBOOK_SHOTS").map(PathBuf::from);
        for shown in ["run", "list", "result", "clip", "items", "form"] {
            let page = if ["items", "form"].contains(&shown) {
                "items"
            } else {
                "check"
            };
            phone.set_screen(Screen::PHONE).await?;
            open_book(phone, address, page).await?;
            match shown {
                "run" => {
                    waits_for_run(phone).await?;
                    phone.touch("Skill, observer, new look").await?;
                }
                "list" => open_attachments(phone).await?,
                "result" => {
                    waits_for_run(phone).await?;
                    phone.touch("Result").await?;
                    phone.touch("Do two observers agree?").await?;
                    phone.touch("Photos and clips on this phone").await?;
                }
                "clip" => {
                    waits_for_run(phone).await?;
                    phone.touch("A clip, frame by frame").await?;
                    pick_file(phone, "Choose a photo or clip", &file("clip-60.webm")).await?;
                    phone.sees("Frame 0,").await?;
                }
                "items" => phone.sees("Back to the usual order").await?,
                _ => {
                    phone.touch("Add an item").await?;
                    phone.touch("Save the item").await?;
                    phone.sees("1 to 40 characters are allowed, and 0").await?;
                }
            }
            for look in Look::ALL {
                phone.prefer_dark(look == Look::Dark).await?;
                let theme = if look == Look::Sun { "sun" } else { "phone" };
                let script = "document.documentElement.setAttribute('data-theme', arguments[0])";
                phone.script(script, vec![json!(theme)]).await?;
                for screen in Screen::ALL {
                    phone.set_screen(screen).await?;
                    phone.stands_still().await?;
                    let at = format!("{shown}, {}, {}", look.name(), screen.width);
                    wrong.extend(badly_laid_out(phone, screen, &at).await?);
                    if let Some(folder) = &shots {
                        let name = format!("{shown}-{}-{}.png", look.name(), screen.width);
                        let whole = shown != "run";
                        std::fs::write(folder.join(name), phone.picture(whole).await?)?;
                    }
                }
                wrong.extend(
                    violations(phone, &axe, look, &format!("{shown}, {}", look.name())).await?,
                );
            }
        }
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

/// Sideways scrolling, and small things to touch.
async fn badly_laid_out(phone: &Phone, screen: Screen, at: &str) -> Result<Vec<String>> {
    let script = "
        const [width] = arguments;
        const wrong = [];
        if (document.documentElement.scrollWidth > width)
            wrong.push(`scrolls sideways: ${document.documentElement.scrollWidth} of ${width}`);
        for (const element of document.querySelectorAll(
            'main button, main a, main input, main select, main textarea')) {
            if (!element.checkVisibility()) continue;
            const box = element.getBoundingClientRect();
            const name = (element.ariaLabel || element.innerText || '').slice(0, 40);
            if (box.height < 47.99 || box.width < 47.99)
                wrong.push(`small, ${box.width}x${box.height}: ${name}`);
            if (box.right > width + 0.5) wrong.push(`beyond the edge: ${name}`);
        }
        return wrong;";
    let wrong: Vec<String> =
        serde_json::from_value(phone.script(script, vec![json!(screen.width)]).await?)?;
    Ok(wrong
        .into_iter()
        .map(|what| format!("{at}: {what}"))
        .collect())
}

/// Violations of the default rules and the best practices; in bright sun also of the
/// enhanced contrast (7 to 1).
async fn violations(phone: &Phone, axe: &str, look: Look, at: &str) -> Result<Vec<String>> {
    phone.stands_still().await?;
    phone
        .script(&format!("{axe}; window.axe = axe;"), vec![])
        .await?;
    let found = phone.violations(look == Look::Sun).await?;
    Ok(found
        .into_iter()
        .map(|what| format!("{at}: {what}"))
        .collect())
}
