//! What the screens look like, measured: nothing scrolls that must not, no text
//! is cut, everything that is touched is large enough, contrast and names are
//! right for everybody, and the keyboard alone is enough.

use anyhow::{Result, ensure};
use browser::{Look, Phone, Place, Profile, Relay, Screen, on_runtime};
use serde_json::{Value, json};
use std::time::{Duration, SystemTime};

/// Runs `work` on a phone that has the app open.
fn on_phone(work: impl AsyncFnOnce(&Phone) -> Result<()>) -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        phone.sees("Add a hitter").await?;
        work(&phone).await?;
        phone.off().await
    })
}

/// A hitter with a swing check under way and a set with two reps.
async fn put_to_work(phone: &Phone) -> Result<()> {
    phone.add_first_hitter("Wren").await?;
    for question in ["Free of pain", "Eyesight tested", "Bat fits", "Rested"] {
        phone.sees(question).await?;
        phone.touch_in(question, "Yes").await?;
    }
    phone.sees("Balanced between the feet").await?;
    phone
        .touch_in("Balanced between the feet", "Not yet")
        .await?;
    phone.sees("1 of 6 looked at").await?;
    for pause_ms in [400, 450] {
        phone.count_once(Duration::from_millis(pause_ms)).await?;
    }
    phone
        .waits_for("for both reps", async || {
            Ok(phone.stored("reps").await?.len() == 2)
        })
        .await
}

#[test]
fn home_shows_hitter_set_up_phase_and_count_without_scrolling() -> Result<()> {
    on_phone(async |phone| {
        let mut wrong = Vec::new();
        for look in Look::ALL {
            phone.show(look).await?;
            // The first time there is no hitter and no figure yet.
            let first = [
                ".hitter-now",
                ".panel.set-up",
                ".panel.swing-check",
                ".tap-button",
            ];
            wrong.extend(out_of_sight(phone, "first time", look, &first).await?);
        }
        put_to_work(phone).await?;
        let all = [
            ".hitter-now .name",
            ".set-up .figures",
            ".phase-line",
            ".swing-check .answers",
            ".count .figures",
            ".tap-button",
        ];
        for look in Look::ALL {
            phone.show(look).await?;
            wrong.extend(out_of_sight(phone, "at work", look, &all).await?);
            phone.touch("Tap at lift").await?;
            phone.sees("Tap at contact").await?;
            wrong.extend(out_of_sight(phone, "after the lift", look, &all).await?);
            phone.touch("Forget this lift").await?;
            phone.sees("Tap at lift").await?;
        }
        // The longest of everything: questions of two lines, a finding.
        for item in items_of_the_first_phases(phone).await? {
            phone.sees(&item).await?;
            wrong.extend(out_of_sight(phone, &item, Look::Sun, &all[..4]).await?);
            phone.touch_in(&item, "Yes").await?;
            phone
                .waits_for("for the next item", async || {
                    Ok(!next_item(phone).await?.contains(&item))
                })
                .await?;
        }
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

async fn next_item(phone: &Phone) -> Result<String> {
    let script = "return document.querySelector('.swing-check .item-title')?.innerText ?? ''";
    let title = phone.script(script, vec![]).await?;
    Ok(title.as_str().unwrap_or_default().to_owned())
}

/// Titles of what the check asks next, as the opened panel lists them.
async fn items_of_the_first_phases(phone: &Phone) -> Result<Vec<String>> {
    phone.open_place(Place::SwingCheck).await?;
    let script = "return [...document.querySelectorAll('.phase .item')]
        .filter(item => !item.querySelector('[aria-pressed=true]'))
        .map(item => item.querySelector('.item-title').innerText)";
    let titles = phone.script(script, vec![]).await?;
    phone.close_place(Place::SwingCheck).await?;
    Ok(serde_json::from_value(titles)?)
}

/// What is not wholly on the screen at home, and whether home scrolls.
async fn out_of_sight(
    phone: &Phone,
    when: &str,
    look: Look,
    parts: &[&str],
) -> Result<Vec<String>> {
    let script = "
        const [parts, width, height] = arguments;
        const root = document.documentElement;
        const wrong = [];
        if (root.scrollHeight > height)
            wrong.push(`home scrolls: ${root.scrollHeight} px of ${height}`);
        for (const part of parts) {
            const box = document.querySelector(part)?.getBoundingClientRect();
            if (!box || !box.height) wrong.push(`${part} is not there`);
            else if (box.top < 0 || box.left < 0 || box.bottom > height || box.right > width)
                wrong.push(`${part} is not wholly on the screen: to ${box.bottom}`);
        }
        return wrong;";
    // Not the page's own idea of its width and height: a phone makes a page
    // that is too wide smaller until it fits.
    let Screen { width, height } = Screen::PHONE;
    phone.stands_still().await?;
    let wrong: Vec<String> = serde_json::from_value(
        phone
            .script(script, vec![json!(parts), json!(width), json!(height)])
            .await?,
    )?;
    let look = look.name();
    Ok(wrong
        .into_iter()
        .map(|what| format!("{when}, {look}: {what}"))
        .collect())
}

#[test]
fn a_message_leaves_the_middle_of_the_count_button_free() -> Result<()> {
    on_phone(async |phone| {
        phone.add_first_hitter("Wren").await?;
        let spot = phone.spot_of("Tap at lift").await?;
        // Two taps at once: not a count, and the coach taps again.
        phone.finger_tap(spot, None).await?;
        phone.finger_tap(spot, None).await?;
        phone.sees("Nothing was recorded").await?;
        phone.finger_tap(spot, None).await?;
        let middle = "
            const button = document.querySelector('.tap-button');
            const {x, y, width, height} = button.getBoundingClientRect();
            return document.elementFromPoint(x + width / 2, y + height / 2) === button;";
        ensure!(
            phone.script(middle, vec![]).await? == Value::Bool(true),
            "a message lies over the middle of the count button"
        );
        phone.sees("Tap at contact").await
    })
}

#[test]
fn no_screen_scrolls_sideways_cuts_text_or_has_a_small_button() -> Result<()> {
    on_phone(async |phone| {
        let mut wrong = Vec::new();
        for screen in Screen::ALL {
            phone.set_screen(screen).await?;
            wrong.extend(phone.badly_laid_out(screen, "first time").await?);
            phone.open_place(Place::Hitters).await?;
            wrong.extend(phone.badly_laid_out(screen, "first hitter").await?);
            phone.close_place(Place::Hitters).await?;
        }
        phone.set_screen(Screen::PHONE).await?;
        put_to_work(phone).await?;
        for look in [Look::Light, Look::Sun] {
            phone.set_screen(Screen::PHONE).await?;
            phone.show(look).await?;
            for place in Place::ALL {
                phone.open_place(place).await?;
                open_all_there_is(phone, place).await?;
                for screen in Screen::ALL {
                    phone.set_screen(screen).await?;
                    phone.stands_still().await?;
                    let at = format!("{}, {}", place.name(), look.name());
                    wrong.extend(phone.badly_laid_out(screen, &at).await?);
                }
                phone.set_screen(Screen::PHONE).await?;
                phone.close_place(place).await?;
            }
        }
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

/// Opens what a panel still hides: forms, disclosures, refusals.
async fn open_all_there_is(phone: &Phone, place: Place) -> Result<()> {
    match place {
        Place::Hitters => {
            phone.touch("Add a hitter").await?;
            phone.touch("Edit Wren").await?;
            phone.touch("Save hitter").await?;
            phone.sees("none was given").await?;
        }
        Place::SetUp => {
            let folds = "return [...document.querySelectorAll(
                '.fold-head[aria-expanded=false]')].map(head => head.innerText)";
            let folds: Vec<String> = serde_json::from_value(phone.script(folds, vec![]).await?)?;
            for fold in folds {
                phone.touch(&fold).await?;
            }
            phone.sees("The closest that each can come").await?;
            for field in ["Game pitch speed", "Machine distance", "Machine speed"] {
                phone.type_into(field, &"9".repeat(300)).await?;
            }
            phone
                .holds("return document.querySelectorAll('.refusal:not(:empty)').length === 3")
                .await?;
        }
        Place::SwingCheck => {
            phone
                .script(
                    "for (const hidden of document.querySelectorAll('details'))
                         hidden.open = true",
                    vec![],
                )
                .await?;
        }
        Place::Count => {
            phone.pick("Environment", "Machine").await?;
            phone.sees("Ball comes as from a").await?;
        }
        Place::Home | Place::Settings => {}
    }
    Ok(())
}

/// Sharing, a page of the book, with all its folds open.
async fn open_sharing(phone: &Phone) -> Result<()> {
    phone.open_sharing().await?;
    for fold in ["Without any network", "Recovery sheet"] {
        phone.touch(fold).await?;
    }
    phone.sees("all phones of a notebook are lost").await
}

#[test]
fn sharing_fits_every_screen_and_axe_finds_nothing_in_any_look() -> Result<()> {
    on_phone(async |phone| {
        phone.add_first_hitter("Wren").await?;
        let mut wrong = Vec::new();
        for look in Look::ALL {
            phone.show(look).await?;
            open_sharing(phone).await?;
            for screen in Screen::ALL {
                phone.set_screen(screen).await?;
                phone.stands_still().await?;
                let at = format!("sharing, {}", look.name());
                wrong.extend(phone.badly_laid_out(screen, &at).await?);
            }
            phone.set_screen(Screen::PHONE).await?;
            wrong.extend(violations(phone, look, "sharing").await?);
            phone.back_to_the_cage().await?;
        }
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

#[test]
fn a_long_name_is_shortened_in_the_bar_and_pushes_nothing_away() -> Result<()> {
    on_phone(async |phone| {
        let name = "Wolfeschlegelsteinhausenbergerdorff-Anne";
        phone.add_first_hitter(name).await?;
        let mut wrong = Vec::new();
        for screen in Screen::ALL {
            phone.set_screen(screen).await?;
            wrong.extend(phone.badly_laid_out(screen, "long name").await?);
        }
        phone.set_screen(Screen::PHONE).await?;
        let parts = [
            ".hitter-now .name",
            ".hitter-bar > button:last-child",
            ".tap-button",
        ];
        wrong.extend(out_of_sight(phone, "long name", Look::Light, &parts).await?);
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

#[test]
fn axe_finds_nothing_on_any_screen_in_any_look() -> Result<()> {
    on_phone(async |phone| {
        let mut wrong = Vec::new();
        for look in Look::ALL {
            phone.show(look).await?;
            wrong.extend(violations(phone, look, "first time").await?);
        }
        put_to_work(phone).await?;
        for look in Look::ALL {
            phone.show(look).await?;
            for place in Place::ALL {
                phone.open_place(place).await?;
                open_all_there_is(phone, place).await?;
                wrong.extend(violations(phone, look, place.name()).await?);
                phone.close_place(place).await?;
            }
            // With a lift that waits, and with a message.
            phone.touch("Tap at lift").await?;
            phone.sees("Tap at contact").await?;
            wrong.extend(violations(phone, look, "lifted").await?);
            phone.touch("Forget this lift").await?;
            // Two taps at the same moment are no count, however slow the machine.
            let spot = phone.spot_of("Tap at lift").await?;
            let now = Some(SystemTime::now());
            phone.finger_tap(spot, now).await?;
            phone.finger_tap(spot, now).await?;
            phone.sees("Nothing was recorded").await?;
            wrong.extend(violations(phone, look, "message").await?);
            phone.touch("Dismiss").await?;
            phone.no_longer_sees("Nothing was recorded").await?;
        }
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

/// What axe finds, with where it was found.
async fn violations(phone: &Phone, look: Look, at: &str) -> Result<Vec<String>> {
    phone.stands_still().await?;
    let found = phone.violations(look == Look::Sun).await?;
    let look = look.name();
    Ok(found
        .into_iter()
        .map(|what| format!("{at}, {look}: {what}"))
        .collect())
}

#[test]
fn dark_chosen_in_the_settings_is_the_phones_own_dark() -> Result<()> {
    on_phone(async |phone| {
        phone.show(Look::Dark).await?;
        let by_phone = colours(phone).await?;
        phone.show(Look::Light).await?;
        let light = colours(phone).await?;
        phone.open_place(Place::Settings).await?;
        phone.touch_in("Screen", "Dark").await?;
        phone.is_answered("Screen", "Dark").await?;
        phone.close_place(Place::Settings).await?;
        ensure!(colours(phone).await? == by_phone, "two kinds of dark");
        ensure!(by_phone != light, "dark is light");
        // Light chosen holds on a phone that is set to dark.
        phone.prefer_dark(true).await?;
        phone.open_place(Place::Settings).await?;
        phone.touch_in("Screen", "Light").await?;
        phone.is_answered("Screen", "Light").await?;
        phone.close_place(Place::Settings).await?;
        ensure!(colours(phone).await? == light, "two kinds of light");
        phone.reload().await?;
        phone.sees("Add a hitter").await?;
        ensure!(colours(phone).await? == light, "the choice was forgotten");
        Ok(())
    })
}

/// Every colour that home paints with.
async fn colours(phone: &Phone) -> Result<Value> {
    phone
        .script(
            "return [...document.querySelectorAll('html, body, body *')]
                 .filter(element => element.checkVisibility())
                 .map(element => {
                     const style = getComputedStyle(element);
                     return [style.color, style.backgroundColor, style.borderTopColor,
                         style.colorScheme].join(' ');
                 })",
            vec![],
        )
        .await
}

#[test]
fn by_the_keyboard_alone_a_hitter_is_added_an_item_answered_a_count_taken() -> Result<()> {
    on_phone(async |phone| {
        tab_to(phone, "Add a hitter").await?;
        phone.press("Enter").await?;
        phone.sees("First name or initials").await?;
        tab_to(phone, "First name or initials").await?;
        phone.keys("Wren").await?;
        tab_to(phone, "Left").await?;
        phone.press(" ").await?;
        phone.is_answered("Bats", "Left").await?;
        tab_to(phone, "Save hitter").await?;
        phone.press("Enter").await?;
        phone.sees("Bats left, Adult baseball").await?;

        tab_to(phone, "Not yet").await?;
        phone.press(" ").await?;
        phone.sees("Stop here and refer").await?;
        let seen = phone.stored("observations").await?;
        ensure!(
            seen.len() == 1 && seen[0]["answer"] == "not-yet",
            "{seen:?}"
        );

        tab_to(phone, "Tap at lift").await?;
        phone.press(" ").await?;
        phone.sees("Tap at contact").await?;
        tokio::time::sleep(Duration::from_millis(400)).await;
        phone.press("Enter").await?;
        phone
            .waits_for("for the count to be on disk", async || {
                Ok(phone.stored("reps").await?.len() == 1)
            })
            .await
    })
}

/// Presses the tabulator key until what has the focus bears that name.
async fn tab_to(phone: &Phone, name: &str) -> Result<()> {
    let focused = "
        const element = document.activeElement;
        const text = element.ariaLabel
            || [...(element.labels || [])].map(label => label.innerText).join(' ')
            || element.innerText;
        const ring = getComputedStyle(element);
        return [text.replace(/\\s+/g, ' ').trim(),
            ring.outlineStyle !== 'none' && parseFloat(ring.outlineWidth) >= 2];";
    let mut passed = Vec::new();
    for _ in 0..80 {
        phone.press("Tab").await?;
        let at = phone.script(focused, vec![]).await?;
        if at[0] == name {
            ensure!(
                at[1] == Value::Bool(true),
                "no ring shows the focus on {name:?}"
            );
            return Ok(());
        }
        passed.push(at[0].clone());
    }
    anyhow::bail!("the tabulator key does not come to {name:?}; it came to {passed:?}")
}
