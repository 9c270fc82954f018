//! The roster at 500 hitters, and the hitter's page: found, grouped, archived,
//! joined, taken back, and what the page says after answers in the cage.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, Screen, axe_source, on_runtime};
use serde_json::{Value, json};

const HITTERS: usize = 500;
/// Runs `work` on a phone that has the app open, with the relay's address.
fn on_phone(work: impl AsyncFnOnce(&Phone, &str) -> Result<()>) -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        phone.sees("Add a hitter").await?;
        work(&phone, relay.address()).await?;
        phone.off().await
    })
}

async fn open_page(phone: &Phone, address: &str, page: &str, sees: &str) -> Result<()> {
    let address = format!("{}/book/{page}", address.trim_end_matches('/'));
    phone.open(&address).await?;
    phone.sees(sees).await
}

/// Touches the row of a hitter.
async fn touch_row(phone: &Phone, name: &str) -> Result<()> {
    let spot = phone.spot_where(ROW, vec![json!(name)]).await?;
    phone.finger_tap(spot, None).await
}

const ROW: &str = "
    return [...document.querySelectorAll('.roster .hitter-now')]
        .find(row => row.querySelector('.name').innerText === arguments[0])";

async fn find(phone: &Phone, typed: &str, said: &str) -> Result<()> {
    phone.type_into("Find by name", typed).await?;
    phone.sees(said).await
}

#[test]
fn at_500_hitters_the_roster_finds_groups_archives_joins_and_keeps_all() -> Result<()> {
    on_phone(async |phone, address| {
        phone.add_hitters(HITTERS).await?;
        open_page(phone, address, "roster", "15 of 500 hitters shown.").await?;
        phone.touch("Show more (485 left)").await?;
        phone.sees("45 of 500 hitters shown.").await?;
        find(phone, "hitter 499", "1 hitter.").await?;

        phone.touch("Groups").await?;
        phone.type_into("New group", "Under 12").await?;
        phone.touch("Make the group").await?;
        phone.sees("Done: show the group").await?;
        find(phone, "hitter 499", "1 hitter.").await?;
        phone.touch("Hitter 499 in Under 12").await?;
        phone.sees("In Under 12").await?;
        phone.touch("Done: show the group").await?;
        phone.sees("1 hitter in Under 12.").await?;
        phone.pick("Group", "All hitters").await?;

        find(phone, "hitter 498", "1 hitter.").await?;
        phone.touch("Edit Hitter 498").await?;
        phone.touch("Archive this hitter").await?;
        phone.sees("No hitter has a name like this.").await?;
        phone.touch("Undo").await?;
        phone.sees("1 hitter.").await?;
        phone.touch("Edit Hitter 498").await?;
        phone.touch("Archive this hitter").await?;
        phone.sees("Archived (1)").await?;
        phone.touch("Archived (1)").await?;
        phone.touch("Restore Hitter 498").await?;
        phone.touch("Back to the roster").await?;

        find(phone, "hitter 497", "1 hitter.").await?;
        phone.touch("Edit Hitter 497").await?;
        phone.type_into("Target count", "9").await?;
        phone.sees("Target count: 1 s to 3 s are allowed").await?;
        phone.type_into("Target count", "1.5").await?;
        phone.sees("target count saved").await?;
        phone
            .touch("Join with another record of the same hitter")
            .await?;
        phone
            .type_into("Find the other record by name", "hitter 496")
            .await?;
        let offered = "return document.querySelectorAll('.offered button').length === 1";
        phone.holds(offered).await?;
        let spot = phone
            .spot_where("return document.querySelector('.offered button')", vec![])
            .await?;
        phone.finger_tap(spot, None).await?;
        phone.sees("read as one hitter").await?;
        // The older record stands for both; either name finds it.
        find(phone, "hitter 497", "Also Hitter 497").await?;
        find(phone, "", "15 of 499 hitters shown.").await?;

        phone.reload().await?;
        phone.sees("15 of 499 hitters shown.").await?;
        find(phone, "hitter 496", "Also Hitter 497").await?;
        phone.touch("Edit Hitter 496").await?;
        phone.sees("Joined records").await?;
        let back = "return [...document.querySelectorAll('button')]
            .find(button => button.innerText === 'Take this join back')";
        let spot = phone.spot_where(back, vec![]).await?;
        phone.finger_tap(spot, None).await?;
        phone.sees("two hitters again").await?;
        phone.sees("1 hitter.").await?;
        phone.touch("Remove this hitter").await?;
        phone.sees("Hitter 496 is removed.").await?;
        phone.touch("Undo").await?;
        phone.sees("1 hitter.").await?;
        let joins = phone.stored("joins").await?;
        ensure!(joins.len() == 1, "{joins:?}");
        let hitters = phone.stored("hitters").await?;
        let kept = hitters
            .iter()
            .find(|hitter| hitter["name"]["value"] == "Hitter 497");
        let target = &kept.context("no hitter 497")?["numbers"]["count-target-s"]["value"];
        ensure!(*target == json!(1.5), "{target}");
        Ok(())
    })
}

#[test]
fn the_hitters_page_says_where_the_work_is_after_answers_in_the_cage() -> Result<()> {
    on_phone(async |phone, address| {
        phone.add_first_hitter("Wren").await?;
        for question in ["Free of pain", "Eyesight tested", "Bat fits", "Rested"] {
            phone.sees(question).await?;
            phone.touch_in(question, "Yes").await?;
        }
        let item = "Balanced between the feet";
        phone.sees(item).await?;
        phone.touch_in(item, "Not yet").await?;
        phone.sees("1 of 6 looked at").await?;
        open_page(phone, address, "hitter", "Seen once as not yet").await?;
        phone.sees("looks more at least").await?;
        phone.sees("No drill card was tried yet.").await?;
        Ok(())
    })
}

#[test]
fn roster_and_hitters_page_are_named_large_enough_and_within_the_screen() -> Result<()> {
    on_phone(async |phone, address| {
        let ids = phone.add_hitters(40).await?;
        phone.add_looks(&ids, 3).await?;
        let axe = axe_source()?;
        open_page(phone, address, "roster", "15 of 40 hitters shown.").await?;
        phone.touch("Groups").await?;
        phone.touch("Edit Hitter 02").await?;
        phone.sees("Archive this hitter").await?;
        let mut wrong = looked_at(phone, &axe, "roster").await?;
        phone.touch("Close Hitter 02").await?;
        touch_row(phone, "Hitter 03").await?;
        phone.sees("Where the work is").await?;
        phone.sees("What changed").await?;
        phone.touch("Change what is kept").await?;
        wrong.extend(looked_at(phone, &axe, "hitter").await?);
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

/// What axe finds, what is small to touch, and what scrolls sideways.
async fn looked_at(phone: &Phone, axe: &str, page: &str) -> Result<Vec<String>> {
    phone
        .script(&format!("{axe}; window.axe = axe;"), vec![])
        .await?;
    let body = "
        const {violations} = await axe.run(document, {runOnly: {type: 'tag',
            values: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa', 'best-practice']}});
        const wrong = violations.map(({id, nodes}) =>
            `${id}: ${nodes.slice(0, 3).map(node => node.html.slice(0, 120)).join(' | ')}`);
        for (const element of document.querySelectorAll('button, input, select, textarea, a.way')) {
            const {width, height} = element.getBoundingClientRect();
            if (element.checkVisibility() && (width < 47.99 || height < 47.99))
                wrong.push(`small to touch, ${width}x${height}: ${element.outerHTML.slice(0, 120)}`);
        }
        if (document.documentElement.scrollWidth > args[0]) wrong.push('scrolls sideways');
        return wrong;";
    let mut all = Vec::new();
    for screen in Screen::ALL {
        phone.set_screen(screen).await?;
        phone.stands_still().await?;
        let wrong = phone.script_async(body, vec![json!(screen.width)]).await?;
        let wrong: Vec<String> = serde_json::from_value(wrong)?;
        all.extend(
            wrong
                .into_iter()
                .map(|what| format!("{page}, {}: {what}", screen.width)),
        );
    }
    phone.set_screen(Screen::PHONE).await?;
    Ok(all)
}

#[test]
fn the_address_goes_with_the_page_so_a_reload_stays_and_back_goes_back() -> Result<()> {
    on_phone(async |phone, address| {
        phone.add_first_hitter("Wren").await?;
        open_page(phone, address, "roster", "1 hitter").await?;
        let at = async |path: &str| {
            let is_there = format!("return location.pathname === '{path}'");
            phone.holds(&is_there).await
        };
        phone.touch("Session").await?;
        at("/book/session").await?;
        phone.sees("Who hits?").await?;
        phone.reload().await?;
        phone.sees("Who hits?").await?;
        phone.touch("Hitter").await?;
        at("/book/hitter").await?;
        phone.script("history.back()", vec![]).await?;
        at("/book/session").await?;
        phone.sees("Who hits?").await?;
        phone.script("history.back()", vec![]).await?;
        at("/book/roster").await?;
        phone.sees("1 hitter").await
    })
}

#[test]
fn by_the_keyboard_alone_a_hitter_is_chosen() -> Result<()> {
    on_phone(async |phone, address| {
        phone.add_hitters(3).await?;
        open_page(phone, address, "roster", "3 hitters.").await?;
        let focused = "return document.activeElement.innerText ?? ''";
        for _ in 0..30 {
            phone.press("Tab").await?;
            let at = phone.script(focused, vec![]).await?;
            if at.as_str().is_some_and(|at| at.starts_with("Hitter 02")) {
                phone.press("Enter").await?;
                phone.sees("Where the work is").await?;
                let who = "return document.querySelector('.who').innerText";
                ensure!(phone.script(who, vec![]).await? == Value::from("Hitter 02"));
                return what_is_typed_outlives_the_page(phone, address).await;
            }
        }
        anyhow::bail!("the tabulator key does not come to the second hitter")
    })
}

/// A name and a note half typed, neither saved: the name stands in its form again, the
/// note is saved once its field is shown.
async fn what_is_typed_outlives_the_page(phone: &Phone, address: &str) -> Result<()> {
    open_page(phone, address, "roster", "3 hitters.").await?;
    phone.touch("Add a hitter").await?;
    phone.type_into("First name", "Half typ").await?;
    phone.reload().await?;
    phone.sees("Save hitter").await?;
    ensure!(phone.value_of("First name").await? == "Half typ");
    phone.touch("Cancel").await?;
    phone.touch("Edit Hitter 03").await?;
    phone.sees("nothing medical").await?;
    let type_only = "const note = document.querySelector('.hitter-form textarea');
        note.value = 'Early';
        note.dispatchEvent(new Event('input', {bubbles: true}));";
    phone.script(type_only, vec![]).await?;
    phone.reload().await?;
    phone.sees("3 hitters.").await?;
    ensure!(
        !phone.text().await?.contains("Save hitter"),
        "the form is open again"
    );
    phone.touch("Edit Hitter 03").await?;
    phone.sees("Hitter 03: note saved.").await?;
    let hitters = phone.stored("hitters").await?;
    let kept = |hitter: &&Value| hitter["texts"]["note"]["value"] == "Early";
    ensure!(hitters.iter().filter(kept).count() == 1, "{hitters:?}");
    Ok(())
}
