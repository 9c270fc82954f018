//! Pictures of every screen in every look at every size, to be looked at.
//! Takes the folder to put them into, and "book" for the book's pages alone.

use anyhow::{Context, Result};
use browser::{Look, Phone, Place, Profile, Relay, Screen, on_runtime};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The pages of the book, by the last part of their addresses.
const LEAVES: [&str; 9] = [
    "roster", "hitter", "check", "items", "cards", "tempo", "session", "sessions", "sharing",
];

fn main() -> Result<()> {
    let folder = std::env::args_os()
        .nth(1)
        .map(PathBuf::from)
        .context("usage: shots FOLDER [book]")?;
    fs::create_dir_all(&folder)?;
    on_runtime(async {
        let relay = Relay::start()?;
        if std::env::args().nth(2).is_some_and(|part| part == "book") {
            return book(&relay, &folder).await;
        }
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        phone.sees("Add a hitter").await?;
        in_every_look(&phone, &folder, "first-run", &[Place::Home]).await?;
        put_to_work(&phone).await?;
        in_every_look(&phone, &folder, "", &Place::ALL).await?;
        phone.off().await?;
        book(&relay, &folder).await
    })
}

/// The pages of the book with a team on the phone.
async fn book(relay: &Relay, folder: &Path) -> Result<()> {
    let profile = Profile::new()?;
    let phone = Phone::on(&profile).await?;
    phone.open(relay.address()).await?;
    phone.sees("Add a hitter").await?;
    let ids = phone.add_hitters(14).await?;
    phone.add_looks(&ids, 3).await?;
    for look in Look::ALL {
        phone.show(look).await?;
        for leaf in LEAVES {
            let address = format!("{}/book/{leaf}", relay.address());
            phone.open(&address).await?;
            phone.no_longer_sees("Opening").await?;
            phone.no_longer_sees("Reading").await?;
            pictures(&phone, folder, leaf, look, true).await?;
        }
        phone.back_to_the_cage().await?;
    }
    phone.off().await
}

/// A hitter with a check under way, a set with a few reps, and a lift.
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
    for pause_ms in [700, 820, 760] {
        phone.count_once(Duration::from_millis(pause_ms)).await?;
    }
    Ok(())
}

async fn in_every_look(phone: &Phone, folder: &Path, of: &str, places: &[Place]) -> Result<()> {
    for look in Look::ALL {
        phone.set_screen(Screen::PHONE).await?;
        phone.show(look).await?;
        for place in places {
            phone.open_place(*place).await?;
            let what = if of.is_empty() { place.name() } else { of };
            pictures(phone, folder, what, look, *place != Place::Home).await?;
            phone.close_place(*place).await?;
        }
    }
    Ok(())
}

/// What is shown now at every size; `whole` with what lies below the screen.
async fn pictures(phone: &Phone, folder: &Path, what: &str, look: Look, whole: bool) -> Result<()> {
    for screen in Screen::ALL {
        phone.set_screen(screen).await?;
        phone.stands_still().await?;
        let Screen { width, height } = screen;
        let name = format!("{what}-{}-{width}x{height}.png", look.name());
        fs::write(folder.join(&name), phone.picture(whole).await?)?;
        println!("{name}");
    }
    phone.set_screen(Screen::PHONE).await
}
