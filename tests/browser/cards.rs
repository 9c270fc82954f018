//! From a finding to the drill that fits, and back: cards suggested, tried and
//! ranked anew; a coach's own card written, shared as a file and read.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, Screen, axe_source, on_runtime};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};

const PAGE: &str = "/book/cards";

/// Runs `work` on a phone with a hitter and one look that found the balance
/// wanting, on the page of cards.
fn at_the_cards(work: impl AsyncFnOnce(&Phone, &str) -> Result<()>) -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let address = relay.address().to_owned();
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(&address).await?;
        phone.sees("Add a hitter").await?;
        let hitter = phone.add_hitters(1).await?.remove(0);
        phone.add_look(&hitter, LOOK, 60, json!({})).await?;
        phone.open(&format!("{address}{PAGE}")).await?;
        phone.sees("Cards that answer it").await?;
        work(&phone, &address).await?;
        phone.off().await
    })
}

/// A look that found the balance wanting.
const LOOK: &[(&str, &str)] = &[
    ("before-pain", "yes"),
    ("before-eyesight", "yes"),
    ("before-bat", "yes"),
    ("before-fatigue", "yes"),
    ("launch-balance", "not-yet"),
];

/// Titles of the suggested cards, in order.
async fn suggested(phone: &Phone) -> Result<Vec<String>> {
    let script = "return [...document.querySelectorAll(
        '[aria-labelledby=what-was-found] .drill .item-title')].map(title => title.innerText)";
    Ok(serde_json::from_value(phone.script(script, vec![]).await?)?)
}

async fn are_suggested(phone: &Phone, titles: &[&str]) -> Result<()> {
    phone
        .waits_for(&format!("for the order {titles:?}"), async || {
            Ok(suggested(phone).await? == titles)
        })
        .await
}

/// Waits until so many records of a store are there and not removed.
async fn are_kept(phone: &Phone, store: &str, n: usize) -> Result<()> {
    phone
        .waits_for(&format!("for {n} {store}"), async || {
            let all = phone.stored(store).await?;
            let kept = all
                .iter()
                .filter(|record| record["head"]["removed"]["value"] != json!(true));
            Ok(kept.count() == n)
        })
        .await
}

const POSITION: &str = "Position on call";
const EITHER_WAY: &str = "Forward or back on call";

#[test]
fn a_finding_leads_to_its_cards_and_what_came_of_them_ranks_them_anew() -> Result<()> {
    at_the_cards(async |phone, address| {
        // Both cards answer the balance (app/coaching/src/cards/launch.rs);
        // once is not settled.
        are_suggested(phone, &[POSITION, EITHER_WAY]).await?;
        phone.sees("Not yet, seen once: look again").await?;
        phone.sees("Several cards answer this. Try each").await?;
        phone.sees("Not tried yet; answers:").await?;
        phone.sees("In season: one cue a round.").await?;

        let group = format!("What came of {POSITION}");
        phone.touch_in(&group, "Did not help").await?;
        are_suggested(phone, &[EITHER_WAY, POSITION]).await?;
        phone.sees("Did not help before").await?;
        phone.is_answered(&group, "Did not help").await?;
        are_kept(phone, "outcomes", 1).await?;
        let kept = phone.stored("outcomes").await?;
        ensure!(kept[0]["card"] == "position-on-call", "{kept:?}");
        ensure!(kept[0]["item"] == "launch-balance", "{kept:?}");
        ensure!(kept[0]["outcome"] == "did-not", "{kept:?}");

        // Taken back, and done again.
        phone.touch("Undo").await?;
        are_suggested(phone, &[POSITION, EITHER_WAY]).await?;
        are_kept(phone, "outcomes", 0).await?;
        phone.touch_in(&group, "Did not help").await?;
        are_suggested(phone, &[EITHER_WAY, POSITION]).await?;

        phone.reload().await?;
        are_suggested(phone, &[EITHER_WAY, POSITION]).await?;
        phone.is_answered(&group, "Did not help").await?;
        phone.sees("Last: Did not help").await?;

        // The one that the hitter feels: then there is nothing more to try.
        phone
            .touch_in(
                &format!("What came of {EITHER_WAY}"),
                "Kept: the hitter feels it",
            )
            .await?;
        phone.sees("The hitter feels this one").await?;
        phone.no_longer_sees("Several cards answer this").await?;
        are_kept(phone, "outcomes", 2).await?;

        // A second look says it again: now it is repeated.
        let hitters = phone.stored("hitters").await?;
        let hitter = hitters[0]["head"]["id"].as_str().context("no hitter")?;
        phone.add_look(hitter, LOOK, 1, json!({})).await?;
        phone.open(&format!("{address}{PAGE}")).await?;
        phone.sees("Not yet, seen repeatedly").await?;
        are_suggested(phone, &[EITHER_WAY, POSITION]).await
    })
}

/// Own items answer findings, what the coach hid does not count, and a card of the
/// coach's own answers an own item. Of two records joined both the looks and the
/// history of cards are read.
#[test]
fn findings_and_cards_follow_the_coachs_own_items_and_joined_records() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let address = relay.address().trim_end_matches('/').to_owned();
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(&address).await?;
        phone.sees("Add a hitter").await?;
        let ids = phone.add_hitters(2).await?;
        let hands = json!({"version": 1, "id": "own.hands", "phase": "launch-position",
            "skill": "swing", "sport": null, "title": "Hands stay back", "view": "open-side",
            "good": "They stay.", "fault": "They drift.", "how": ""});
        let order = json!({"version": 1, "order": ["own.hands"], "hidden": ["launch-balance"]});
        let own = |what: &str, content: &Value| json!({"what": what, "content": {"value": content.to_string(), "stamp": "now"}});
        let lists = [own("item", &hands), own("arrangement", &order)];
        phone.add_records("own", &lists).await?;
        // Each record has one look that says not yet; the balance is hidden.
        let look = [("launch-balance", "not-yet"), ("own.hands", "not-yet")];
        phone.add_look(&ids[0], &look, 90, json!({})).await?;
        phone.add_look(&ids[1], &look, 30, json!({})).await?;
        let outcome = json!({"hitter": ids[1], "card": "position-on-call", "outcome": "helped"});
        phone.add_records("outcomes", &[outcome]).await?;

        phone.open(&format!("{address}{PAGE}")).await?;
        phone
            .sees("Seen once as not yet in the launch position: Hands stay back.")
            .await?;
        ensure!(!phone.text().await?.contains("Last: Helped"));
        phone.touch("Write a card of your own").await?;
        phone.type_into("Name", NAME).await?;
        write(&phone, "Purpose", "Hands wait.").await?;
        phone.touch("Swing: Launch position").await?;
        phone.touch_in("Launch position", "Hands stay back").await?;
        phone.sees("Fault of: Hands stay back").await?;
        write(&phone, "Steps", "Wait, then go.").await?;
        phone.touch("Save this card").await?;
        phone.sees(&format!("{NAME} is saved.")).await?;
        are_suggested(&phone, &[NAME]).await?;
        phone.sees("For: Hands stay back.").await?;
        phone
            .touch_in(&format!("What came of {NAME}"), "Helped")
            .await?;
        are_kept(&phone, "outcomes", 2).await?;

        let join = json!({"one": ids[0], "other": ids[1]});
        phone.add_records("joins", &[join]).await?;
        phone.reload().await?;
        phone
            .sees("Work on the launch position. Not yet, seen repeatedly: Hands stay back.")
            .await?;
        phone
            .type_into("Search cards by name", "position on call")
            .await?;
        phone.touch(&format!("Open the card {POSITION}")).await?;
        phone
            .is_answered(&format!("What came of {POSITION}"), "Helped")
            .await?;
        phone.open(&format!("{address}/book/hitter")).await?;
        phone
            .sees("Not yet, seen repeatedly: Hands stay back.")
            .await?;
        phone.sees("for: Hands stay back").await?;
        ensure!(!phone.text().await?.contains("Balanced between the feet"));
        phone.off().await
    })
}

#[test]
fn what_is_not_at_hand_goes_behind_and_is_remembered() -> Result<()> {
    at_the_cards(async |phone, _| {
        phone.touch("Equipment and time").await?;
        phone.touch_in("Equipment at hand", "Chalk or tape").await?;
        are_suggested(phone, &[EITHER_WAY, POSITION]).await?;
        phone.sees("not at hand: Chalk or tape").await?;
        phone.reload().await?;
        are_suggested(phone, &[EITHER_WAY, POSITION]).await?;
        phone.sees("13 things of 14 are at hand").await?;
        phone.touch("Equipment and time").await?;
        phone.touch_in("Minutes left", "5").await?;
        phone.sees("5 minutes left").await?;
        // Every card can be opened and recorded, suggested or not.
        phone.type_into("Search cards by name", "machine").await?;
        phone.sees("1 card has that name.").await?;
        phone
            .touch("Open the card Machine as the set-up says")
            .await?;
        phone.sees("No earphones wherever").await?;
        let order = "
            const detail = document.querySelector('.card-detail');
            const place = selector => [...detail.querySelectorAll('*')]
                .indexOf(detail.querySelector(selector));
            return place('.cautions') < place('.card-steps') && place('.cautions') > 0;";
        phone.holds(order).await?;
        phone
            .touch_in("What came of Machine as the set-up says", "Tried")
            .await?;
        are_kept(phone, "outcomes", 1).await?;
        phone
            .is_answered("What came of Machine as the set-up says", "Tried")
            .await
    })
}

#[test]
fn a_card_names_the_fields_of_the_hitters_own_side() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        let cards = format!("{}{PAGE}", relay.address());
        // Nobody yet: both sides are named, and all cards are there.
        phone.open(&cards).await?;
        phone.sees("No hitter is chosen").await?;
        phone
            .touch("Open the card Side toss, up the middle")
            .await?;
        phone.sees("Batting right: pull side is left field").await?;
        phone.sees("Batting left: pull side is right field").await?;
        phone.sees("Choose a hitter to record").await?;

        phone.open(relay.address()).await?;
        phone.sees("Add a hitter").await?;
        phone.touch("Add a hitter").await?;
        phone.type_into("First name or initials", "Wren").await?;
        phone.touch_in("Bats", "Left").await?;
        phone.touch("Save hitter").await?;
        phone.sees("Tap at lift").await?;
        phone.open(&cards).await?;
        phone.sees("No look yet from this side").await?;
        phone
            .touch("Open the card Side toss, up the middle")
            .await?;
        phone.sees("Batting left: pull side is right field").await?;
        ensure!(!phone.text().await?.contains("Batting right"));
        phone.off().await
    })
}

/// Types into a field of several lines.
async fn write(phone: &Phone, label: &str, text: &str) -> Result<()> {
    let script = "
        const [label, text] = arguments;
        const field = [...document.querySelectorAll('label')]
            .find(one => one.innerText.startsWith(label)).control;
        field.focus();
        field.value = text;
        field.dispatchEvent(new Event('input', {bubbles: true}));
        field.dispatchEvent(new Event('change', {bubbles: true}));";
    phone
        .script(script, vec![json!(label), json!(text)])
        .await?;
    Ok(())
}

const NAME: &str = "Slow start, then go";

/// Writes a card that answers the balance, and saves it.
async fn write_a_card(phone: &Phone) -> Result<()> {
    phone.touch("Write a card of your own").await?;
    phone.sees("A card of your own").await?;
    phone.touch("Save this card").await?;
    phone.sees("Not saved. Name: 1 to 40 characters").await?;
    phone.type_into("Name", &"x".repeat(41)).await?;
    phone
        .waits_for("for the name to be refused", async || {
            Ok(phone.said_about("Name").await?.contains("not 41"))
        })
        .await?;
    phone.type_into("Name", NAME).await?;
    write(phone, "Purpose", "Balance before speed.").await?;
    phone.touch("Swing: Launch position").await?;
    phone
        .touch_in("Launch position", "Balanced between the feet")
        .await?;
    phone
        .type_into("Fault of: Balanced", "hurries the start")
        .await?;
    phone
        .touch_in("Where the ball comes from", "Side toss")
        .await?;
    write(phone, "Steps", "Breathe out.\nGo slowly.").await?;
    phone.type_into("Minutes", "ten").await?;
    phone
        .waits_for("for the minutes to be refused", async || {
            let said = phone.said_about("Minutes").await?;
            Ok(said.contains("a whole number from 1 to 120"))
        })
        .await?;

    // What was typed outlives the page, also what is refused so far.
    phone.reload().await?;
    phone.sees("A card of your own").await?;
    ensure!(phone.value_of("Name").await? == NAME);
    ensure!(phone.value_of("Minutes").await? == "ten");
    ensure!(phone.value_of("Fault of: Balanced").await? == "hurries the start");
    phone.touch("Save this card").await?;
    phone.sees("Not saved. Minutes: a whole number").await?;
    ensure!(phone.stored("own").await?.is_empty(), "it was written");
    phone.type_into("Minutes", "7").await?;
    phone.touch("Save this card").await?;
    phone.sees(&format!("{NAME} is saved.")).await?;
    are_kept(phone, "own", 1).await
}

/// The files that the phone hands out land here.
async fn hands_out_to(phone: &Phone, folder: &Path) -> Result<()> {
    let to = json!({"behavior": "allow", "downloadPath": folder});
    phone.devtools("Browser.setDownloadBehavior", to).await?;
    Ok(())
}

/// Picks a file as the user does in the phone's own sheet.
async fn pick_file(phone: &Phone, file: &Path) -> Result<()> {
    let found = phone
        .devtools(
            "Runtime.evaluate",
            json!({"expression": "document.querySelector('input[type=file]')"}),
        )
        .await?;
    let input = &found["result"]["objectId"];
    ensure!(input.is_string(), "no field for files: {found}");
    phone
        .devtools(
            "DOM.setFileInputFiles",
            json!({"files": [file], "objectId": input}),
        )
        .await?;
    Ok(())
}

/// Shares the one card and gives the file that came of it.
async fn shared_file(phone: &Phone, folder: &Path) -> Result<PathBuf> {
    let file = folder.join("drill-cards.json");
    phone.touch("Share 1 card as a file").await?;
    phone
        .waits_for("for the file", async || {
            Ok(fs::read_to_string(&file).is_ok_and(|text| text.ends_with('}')))
        })
        .await?;
    Ok(file)
}

#[test]
fn an_own_card_is_written_shared_as_a_file_and_read_on_another_phone() -> Result<()> {
    let folder = tempfile::tempdir()?;
    at_the_cards(async |phone, address| {
        write_a_card(phone).await?;
        // Its place brings its equipment and cautions along, and it is ranked.
        are_suggested(phone, &[POSITION, EITHER_WAY, NAME]).await?;
        phone.sees("The feeder is behind a screen.").await?;
        phone.sees("Your own.").await?;

        hands_out_to(phone, folder.path()).await?;
        let file = shared_file(phone, folder.path()).await?;
        let text = fs::read_to_string(&file)?;
        ensure!(text.contains(NAME) && text.contains("stridebook-drill-cards"));

        // Removed and brought back.
        phone.touch("Remove this card").await?;
        phone.sees(&format!("{NAME} is removed.")).await?;
        are_suggested(phone, &[POSITION, EITHER_WAY]).await?;
        phone.touch("Undo").await?;
        are_suggested(phone, &[POSITION, EITHER_WAY, NAME]).await?;

        // Edited: the file has another form of it now.
        phone.touch(&format!("Open the card {NAME}")).await?;
        phone.touch("Edit this card").await?;
        phone.type_into("What to feel", "Breathe.").await?;
        phone.touch("Save this card").await?;
        phone.sees("Cue: Breathe.").await?;
        are_kept(phone, "own", 1).await?;
        pick_file(phone, &file).await?;
        phone.sees("Another form of this card is here").await?;
        phone.touch("Keep both").await?;
        phone.sees("Both are kept").await?;
        are_kept(phone, "own", 2).await?;
        phone.touch("Undo").await?;
        are_kept(phone, "own", 1).await?;
        pick_file(phone, &file).await?;
        phone.sees("Another form of this card is here").await?;
        phone
            .touch("Take the file's (mine stays in the history)")
            .await?;
        phone.no_longer_sees("Cue: Breathe.").await?;

        on_another_phone(address, &file, folder.path()).await
    })
}

async fn on_another_phone(address: &str, file: &Path, folder: &Path) -> Result<()> {
    let profile = Profile::new()?;
    let phone = Phone::on(&profile).await?;
    phone.open(&format!("{address}{PAGE}")).await?;
    phone.sees("You have no cards of your own").await?;
    pick_file(&phone, file).await?;
    phone.sees(&format!("Taken: {NAME}.")).await?;
    are_kept(&phone, "own", 1).await?;
    phone.reload().await?;
    phone.sees("Share 1 card as a file").await?;
    pick_file(&phone, file).await?;
    phone.sees(&format!("Here already: {NAME}.")).await?;

    let text = fs::read_to_string(file)?;
    let bad = folder.join("bad.json");
    for (contents, expected) in [
        ("{ \"kind\": ".to_owned(), "it cannot be read from line 1"),
        ("{}".to_owned(), "this is not one"),
        (
            text.replace("\"version\":1", "\"version\":9"),
            "it has version 9, and this app reads up to 1",
        ),
        (
            text.replace("\"minutes\":7", "\"minutes\":700"),
            "Card 1 of the file. Minutes: 1 to 120 are allowed, not 700.",
        ),
        (
            text.replace("\"side-toss\"", "\"trampoline\""),
            "Card 1 of the file, Where the ball comes from:",
        ),
    ] {
        fs::write(&bad, contents)?;
        pick_file(&phone, &bad).await?;
        phone.sees(expected).await?;
    }
    are_kept(&phone, "own", 1).await?;
    phone.off().await
}

/// How the page can look: the phone's setting and the theme chosen.
const LOOKS: [(&str, bool, &str); 3] = [
    ("light", false, "phone"),
    ("dark", true, "phone"),
    ("sun", false, "sun"),
];

async fn look(phone: &Phone, dark: bool, theme: &str) -> Result<()> {
    phone.prefer_dark(dark).await?;
    let script = "document.documentElement.setAttribute('data-theme', arguments[0])";
    phone.script(script, vec![json!(theme)]).await?;
    phone.stands_still().await
}

#[test]
fn the_page_is_right_for_everybody_in_every_look_and_size() -> Result<()> {
    let shots = std::env::var_os("STRIDEBOOK_SHOTS").map(PathBuf::from);
    at_the_cards(async |phone, _| {
        let axe = axe_source()?;
        phone
            .script(&format!("{axe}; window.axe = axe;"), vec![])
            .await?;
        let mut wrong = Vec::new();
        phone.touch("Equipment and time").await?;
        phone.touch(&format!("Open the card {POSITION}")).await?;
        wrong.extend(everything(phone, "cards", shots.as_deref()).await?);
        phone.type_into("Search cards by name", "machine").await?;
        phone
            .touch("Open the card Machine as the set-up says")
            .await?;
        phone.sees("Nobody in front of the machine").await?;
        wrong.extend(everything(phone, "machine-card", shots.as_deref()).await?);
        phone.touch("Write a card of your own").await?;
        phone.touch("Swing: Launch position").await?;
        phone
            .touch_in("Launch position", "Balanced between the feet")
            .await?;
        phone.touch("Save this card").await?;
        phone.sees("Not saved.").await?;
        wrong.extend(everything(phone, "card-form", shots.as_deref()).await?);
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

/// What is wrong in any look and size; pictures of each, if a folder is named.
async fn everything(phone: &Phone, at: &str, shots: Option<&Path>) -> Result<Vec<String>> {
    let mut wrong = Vec::new();
    for (name, dark, theme) in LOOKS {
        for screen in Screen::ALL {
            phone.set_screen(screen).await?;
            look(phone, dark, theme).await?;
            wrong.extend(badly_laid_out(phone, screen, at).await?);
            if let Some(folder) = shots {
                let Screen { width, height } = screen;
                let picture = phone.picture(true).await?;
                fs::write(
                    folder.join(format!("{at}-{name}-{width}x{height}.png")),
                    picture,
                )
                .context("the folder of pictures")?;
            }
        }
        phone.set_screen(Screen::PHONE).await?;
        phone.stands_still().await?;
        wrong.extend(violations(phone, name, at).await?);
    }
    Ok(wrong)
}

/// Violations of the default rules and the best practices; in bright sun also
/// of the enhanced contrast (7 to 1).
async fn violations(phone: &Phone, look: &str, at: &str) -> Result<Vec<String>> {
    let found = phone.violations(look == "sun").await?;
    let told = |what| format!("{at}, {look}: {what}");
    Ok(found.into_iter().map(told).collect())
}

/// Sideways scrolling, texts beyond the edge, and small things to touch.
async fn badly_laid_out(phone: &Phone, screen: Screen, at: &str) -> Result<Vec<String>> {
    let script = "
        const [width] = arguments;
        const wrong = [];
        const named = element => `${element.tagName.toLowerCase()}.${element.className} \
\"${(element.ariaLabel || element.innerText || element.value || '').slice(0, 40)}\"`;
        const root = document.documentElement;
        if (root.scrollWidth > width)
            wrong.push(`scrolls sideways: ${root.scrollWidth} px of ${width}`);
        const ownText = element => [...element.childNodes].some(
            node => node.nodeType === Node.TEXT_NODE && node.textContent.trim());
        for (const element of document.body.querySelectorAll('*')) {
            if (!element.checkVisibility({visibilityProperty: true})) continue;
            const box = element.getBoundingClientRect();
            if (ownText(element) && (box.left < -0.5 || box.right > width + 0.5))
                wrong.push(`beyond the edge: ${named(element)}`);
            if (element.matches('button, input, select, summary, textarea, main a.way')
                && (box.height < 47.99 || box.width < 47.99))
                wrong.push(`small to touch, ${box.width.toFixed(1)}x${box.height.toFixed(1)}: \
${named(element)}`);
        }
        return [...new Set(wrong)];";
    let Screen { width, height } = screen;
    let wrong = phone.script(script, vec![Value::from(width)]).await?;
    let wrong: Vec<String> = serde_json::from_value(wrong)?;
    let told = |what| format!("{at}, {width}x{height}: {what}");
    Ok(wrong.into_iter().map(told).collect())
}
