//! What a coach types wrongly: the message names the field and the range, and
//! nothing that was saved is lost. Right entries of every script are kept.

use anyhow::{Result, ensure};
use browser::{Phone, Place, Profile, Relay, Spot, on_runtime};
use serde_json::{Value, json};
use std::time::{Duration, SystemTime};

const NAME: &str = "First name or initials";

/// Runs `work` on a phone that has the app open.
fn on_phone(work: impl AsyncFnOnce(&Phone) -> Result<()>) -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        work(&phone).await?;
        phone.off().await
    })
}

#[test]
fn a_name_that_cannot_be_kept_is_refused_in_words_and_nothing_is_saved() -> Result<()> {
    on_phone(async |phone| {
        phone.touch("Add a hitter").await?;
        for (typed, given) in bad_names() {
            let said = refused_name(phone, &typed, "Save hitter").await?;
            names_field_and_range(&said, &given)?;
            // What was typed is still there to be mended.
            ensure!(phone.value_of(NAME).await? == typed, "the text is gone");
        }
        ensure!(phone.stored("hitters").await?.is_empty(), "one was saved");
        phone.reload().await?;
        phone.sees("No hitters yet").await
    })
}

#[test]
fn a_bad_new_name_leaves_the_hitter_as_he_was() -> Result<()> {
    on_phone(async |phone| {
        phone.add_first_hitter("Wren").await?;
        let before = phone.stored("hitters").await?;
        phone.open_place(Place::Hitters).await?;
        phone.touch("Edit Wren").await?;
        for (typed, given) in bad_names() {
            let said = refused_name(phone, &typed, "Save").await?;
            names_field_and_range(&said, &given)?;
            ensure!(
                said.contains("What was there before is kept"),
                "not said what was kept: {said}"
            );
        }
        ensure!(phone.stored("hitters").await? == before, "it was written");
        phone.reload().await?;
        phone.sees("Wren").await?;
        ensure!(phone.stored("hitters").await? == before, "it was written");
        Ok(())
    })
}

/// Names that are refused, and what the message says was given.
fn bad_names() -> Vec<(String, String)> {
    let none = "none was given".to_owned();
    vec![
        (String::new(), none.clone()),
        ("   \t ".to_owned(), none.clone()),
        // Nothing that can be seen: no-width blanks and turns of direction.
        (
            "\u{200b}\u{202e}\u{2066}\u{feff}\u{200d}".to_owned(),
            none.clone(),
        ),
        ("a".repeat(41), "41 were given".to_owned()),
        ("a".repeat(10_000), "10000 were given".to_owned()),
        ("\u{26be}".repeat(41), "41 were given".to_owned()),
        (
            // One letter under ten thousand accents.
            format!("e{}", "\u{301}".repeat(10_000)),
            "10001 were given".to_owned(),
        ),
    ]
}

async fn refused_name(phone: &Phone, typed: &str, save: &str) -> Result<String> {
    phone.type_into(NAME, typed).await?;
    phone.touch(save).await?;
    phone
        .holds("return document.querySelector('form .refusal').innerText !== ''")
        .await?;
    let said = phone.said_about(NAME).await?;
    // The next refusal must be its own.
    phone.type_into(NAME, typed).await?;
    Ok(said)
}

fn names_field_and_range(said: &str, given: &str) -> Result<()> {
    for part in ["Name", "1 to 40 characters", given] {
        ensure!(said.contains(part), "{part:?} is not in {said:?}");
    }
    ensure!(said.chars().count() < 250, "too long to be read: {said}");
    Ok(())
}

#[test]
fn names_in_emoji_hebrew_and_arabic_are_kept_as_typed() -> Result<()> {
    on_phone(async |phone| {
        let names = [
            "\u{26be}\u{fe0f} \u{1f468}\u{200d}\u{1f469}\u{200d}\u{1f467}\u{200d}\u{1f466} \u{1f1ee}\u{1f1f9}",
            "נֹעָה",
            "ليلى",
            "O\u{2019}Neill-Ávila",
            &"\u{1f9e2}".repeat(40),
        ];
        for (n, name) in names.into_iter().enumerate() {
            add_hitter(phone, name, n == 0).await?;
            ensure!(
                named(&phone.stored("hitters").await?).contains(&name),
                "{name:?} was not kept as typed"
            );
        }
        phone.reload().await?;
        // The last one added is at work; the others are in the list.
        phone.sees(names[4]).await?;
        phone.open_place(Place::Hitters).await?;
        for name in names {
            phone.sees(name).await?;
        }
        // Each name runs in its own direction, the words around it in ours.
        for (name, direction) in [(names[1], "rtl"), (names[2], "rtl"), (names[3], "ltr")] {
            let directions = phone.script(DIRECTIONS, vec![json!(name)]).await?;
            ensure!(
                directions == json!([direction, "ltr"]),
                "{name}: {directions}"
            );
        }
        Ok(())
    })
}

/// Direction of the shown name and of the facts under it.
const DIRECTIONS: &str = "
    const name = [...document.querySelectorAll('.roster .name')]
        .find(name => name.textContent === arguments[0]);
    const direction = element => element.matches(':dir(rtl)') ? 'rtl' : 'ltr';
    return [direction(name), direction(name.parentElement.querySelector('.facts'))];
";

#[test]
fn signs_that_turn_the_text_around_a_name_are_taken_out_of_it() -> Result<()> {
    on_phone(async |phone| {
        add_hitter(
            phone,
            "\u{202e}nerW\u{202c} \u{2066}דן\u{2069}\u{200f}",
            true,
        )
        .await?;
        ensure!(
            named(&phone.stored("hitters").await?) == ["nerW דן"],
            "{:?}",
            phone.stored("hitters").await?
        );
        phone.reload().await?;
        phone.sees("nerW דן").await
    })
}

async fn add_hitter(phone: &Phone, name: &str, first: bool) -> Result<()> {
    if first {
        phone.touch("Add a hitter").await?;
    } else {
        phone.open_place(Place::Hitters).await?;
        phone.touch("Add a hitter").await?;
    }
    let before = if first {
        0
    } else {
        phone.stored("hitters").await?.len()
    };
    phone.type_into(NAME, name).await?;
    phone.touch("Save hitter").await?;
    phone
        .waits_for("for the hitter to be on disk", async || {
            Ok(phone.stored("hitters").await?.len() == before + 1)
        })
        .await?;
    phone.sees("Tap at lift").await
}

fn named(hitters: &[Value]) -> Vec<&str> {
    hitters
        .iter()
        .filter_map(|hitter| hitter["name"]["value"].as_str())
        .collect()
}

#[test]
fn a_speed_that_cannot_be_is_refused_with_field_range_and_what_is_kept() -> Result<()> {
    on_phone(async |phone| {
        phone.add_first_hitter("Wren").await?;
        phone.touch("Open Machine set-up").await?;
        phone.type_into("Game pitch speed", "90").await?;
        phone.type_into("Machine speed", "61.5").await?;
        phone
            .waits_for("for both speeds to be on disk", async || {
                let kept = phone.stored("set-ups").await?;
                Ok(kept.len() == 1
                    && kept[0]["game_speed_mph"]["value"] == 90.0
                    && kept[0]["machine_speed_mph"]["value"] == 61.5)
            })
            .await?;
        let before = phone.stored("set-ups").await?;
        let ten_thousand = "9".repeat(10_000);
        let long_word = "fast".repeat(2_500);
        let mut wrong = Vec::new();
        for (field, kept) in [("Game pitch speed", "90"), ("Machine speed", "61.5")] {
            for typed in [
                "0",
                "-5",
                "NaN",
                "abc",
                "400",
                "1e3",
                "",
                "19.99",
                "110.01",
                "Infinity",
                "64 2",
                &ten_thousand,
                &long_word,
            ] {
                let expected = [field, "20 to 110 mph", &format!("Kept: {kept} mph")];
                wrong.extend(wrong_refusal(phone, field, typed, &expected).await?);
            }
        }
        ensure!(wrong.is_empty(), "{wrong:#?}");
        phone.reload().await?;
        phone.sees("Left over").await?;
        ensure!(phone.stored("set-ups").await? == before, "it was written");
        ensure!(phone.value_of("Game pitch speed").await? == "90");
        ensure!(phone.value_of("Machine speed").await? == "61.5");
        Ok(())
    })
}

#[test]
fn a_distance_beyond_the_release_is_refused_and_a_decimal_comma_is_read() -> Result<()> {
    on_phone(async |phone| {
        phone.add_first_hitter("Wren").await?;
        phone.touch("Open Machine set-up").await?;
        // The adult release is 55 ft from the plate: no machine stands behind it.
        let mut wrong = Vec::new();
        for typed in ["70", "55.5", "9.5", "-39", "0", "far", "NaN"] {
            let expected = ["Machine distance", "10 to 55 ft", "Kept: 39 ft"];
            wrong.extend(wrong_refusal(phone, "Machine distance", typed, &expected).await?);
        }
        ensure!(wrong.is_empty(), "{wrong:#?}");
        ensure!(phone.stored("set-ups").await?.is_empty(), "it was written");
        phone.type_into("Machine distance", " 39,5 ").await?;
        phone.sees("39 ft 6 in").await?;
        ensure!(phone.said_about("Machine distance").await?.is_empty());
        phone.reload().await?;
        phone.sees("39 ft 6 in").await?;
        let kept = phone.stored("set-ups").await?;
        ensure!(kept[0]["machine_distance_ft"]["value"] == 39.5, "{kept:?}");
        Ok(())
    })
}

/// Types what must be refused, and says what is wrong with the refusal, if
/// anything is.
async fn wrong_refusal(
    phone: &Phone,
    field: &str,
    typed: &str,
    expected: &[&str],
) -> Result<Option<String>> {
    // A right entry, which says nothing, so that the next message is this one's.
    let kept = phone.value_of(field).await?;
    phone.type_into(field, typed).await?;
    let begins: String = typed.chars().take(20).collect();
    phone
        .waits_for(&format!("for {begins:?} to be refused"), async || {
            Ok(!phone.said_about(field).await?.is_empty())
        })
        .await?;
    let said = phone.said_about(field).await?;
    phone.type_into(field, &kept).await?;
    phone
        .waits_for("for a right entry to be accepted", async || {
            Ok(phone.said_about(field).await?.is_empty())
        })
        .await?;
    let missing: Vec<_> = expected
        .iter()
        .filter(|part| !said.contains(*part))
        .collect();
    if missing.is_empty() && said.chars().count() < 200 {
        return Ok(None);
    }
    Ok(Some(format!(
        "{field}, {begins:?}: {said:?} is too long or lacks {missing:?}"
    )))
}

#[test]
fn taps_too_close_or_too_far_apart_say_so_and_record_nothing() -> Result<()> {
    on_phone(async |phone| {
        phone.add_first_hitter("Wren").await?;
        let spot = phone.spot_of("Tap at lift").await?;
        // An event older than the page would be told as of the page's beginning.
        phone.holds("return performance.now() > 6500").await?;
        // After too short a time two taps were one that bounced; after too long
        // the second is the lift of the next swing.
        for (apart_ms, said, next) in [
            (120, "is too short", "Tap at lift"),
            (6_200, "is too long", "Tap at contact"),
        ] {
            two_taps(phone, spot, apart_ms).await?;
            phone.sees(said).await?;
            phone.sees("Count: 0.2 to 6.0 s are allowed").await?;
            phone.sees("Nothing was recorded").await?;
            phone.sees(next).await?;
            phone.touch("Dismiss").await?;
            phone.no_longer_sees(said).await?;
        }
        phone.touch("Forget this lift").await?;
        phone.sees("Tap at lift").await?;
        ensure!(phone.stored("reps").await?.is_empty(), "a rep was kept");
        // The next two taps count, and theirs is the only rep.
        two_taps(phone, spot, 1_300).await?;
        phone
            .waits_for("for the rep to be on disk", async || {
                Ok(!phone.stored("reps").await?.is_empty())
            })
            .await?;
        let reps = phone.stored("reps").await?;
        ensure!(reps.len() == 1, "{reps:#?}");
        ensure!(reps[0]["number"] == 1, "{reps:#?}");
        let count_s = reps[0]["count_s"].as_f64().unwrap_or_default();
        ensure!((count_s - 1.3).abs() < 0.005, "{count_s}");
        Ok(())
    })
}

/// Two taps whose events say that they came `apart_ms` apart.
async fn two_taps(phone: &Phone, spot: Spot, apart_ms: u64) -> Result<()> {
    let contact = SystemTime::now();
    let lift = contact - Duration::from_millis(apart_ms);
    phone.finger_tap(spot, Some(lift)).await?;
    phone.sees("Tap at contact").await?;
    phone.finger_tap(spot, Some(contact)).await
}
