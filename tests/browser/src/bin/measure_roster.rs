//! Roster and hitter's page at 500 hitters with 20,000 looks: two figures, a JSON line
//! each on the output stream, and in words on the error stream. Timed as in `measure`,
//! on a processor slowed down as there.
//!
//! A search is timed letter by letter, by real keys, from each key that narrows the
//! list to the frame that says how many answer; the page from the touch on a hitter's
//! row to the frame that shows that hitter's finding.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Profile, Relay, TIME_EVENT, on_runtime};
use serde_json::json;

/// How slow the phone's processor is for the budget, times.
const SLOW: f64 = 4.0;
const HITTERS: usize = 500;
const LOOKS_EACH: usize = 40;
/// How often a hitter is searched and opened.
const TIMES: usize = 50;
/// So many rows stand on the roster at first.
const ROWS: usize = 15;

fn main() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        phone.sees("Add a hitter").await?;
        let ids = phone.add_hitters(HITTERS).await?;
        let answers = phone.add_looks(&ids, LOOKS_EACH).await?;
        let looks = HITTERS * LOOKS_EACH;
        eprintln!("{HITTERS} hitters, {looks} looks, {answers} answers, {SLOW} times slowed down:");
        let roster = format!("{}/book/roster", relay.address().trim_end_matches('/'));
        phone.open(&roster).await?;
        phone.sees(&said(HITTERS)).await?;
        phone.slow_down(SLOW).await?;
        let (mut keys_ms, mut pages_ms) = (Vec::new(), Vec::new());
        for n in 0..TIMES {
            let number = 100 + (n * 37) % 400;
            search(&phone, number, &mut keys_ms).await?;
            pages_ms.push(open_page(&phone, number).await?);
            phone.script("history.back()", vec![]).await?;
            phone.sees(&said(HITTERS)).await?;
            phone.stands_still().await?;
        }
        phone.slow_down(1.0).await?;
        told("roster search", keys_ms);
        told("hitter's page", pages_ms);
        phone.off().await
    })
}

/// What the roster says when so many are found.
fn said(found: usize) -> String {
    match found {
        1 => "1 hitter.".to_owned(),
        few if few <= ROWS => format!("{few} hitters."),
        many => format!("{ROWS} of {many} hitters shown."),
    }
}

/// How many of "Hitter 01" to "Hitter 500" have a number that begins so: the plain
/// reference for what the search finds.
fn begin_with(digits: &str) -> usize {
    let numbers = 1..=HITTERS;
    numbers
        .filter(|number| format!("{number:02}").starts_with(digits))
        .count()
}

/// Types the name of a hitter; the time of each digit.
async fn search(phone: &Phone, number: usize, keys_ms: &mut Vec<f64>) -> Result<()> {
    let field = "return document.querySelector('.search input')";
    let spot = phone.spot_where(field, vec![]).await?;
    phone.finger_tap(spot, None).await?;
    phone.keys("hitter ").await?;
    phone.stands_still().await?;
    let digits = number.to_string();
    for end in 1..=digits.len() {
        let found = said(begin_with(&digits[..end]));
        let shown =
            format!("document.querySelector('.page [role=status]').innerText === '{found}'");
        let key = &digits[end - 1..end];
        keys_ms.push(timed(phone, "keydown", &shown, phone.press(key)).await?);
    }
    Ok(())
}

/// Touches the one row that is left; the time until the finding stands there.
async fn open_page(phone: &Phone, number: usize) -> Result<f64> {
    let row = "return document.querySelector('.roster .hitter-now')";
    let row = phone.spot_where(row, vec![]).await?;
    let shown = format!(
        "document.querySelector('.who')?.innerText === 'Hitter {number}' \
         && document.querySelector('.finding')?.innerText.startsWith('Work on')"
    );
    timed(phone, "click", &shown, phone.finger_tap(row, None)).await
}

/// From the next event of a kind, which `act` makes, until `shown` is painted, ms.
async fn timed(
    phone: &Phone,
    kind: &str,
    shown: &str,
    act: impl Future<Output = Result<()>>,
) -> Result<f64> {
    let before = phone.script(&format!("return {shown}"), vec![]).await?;
    ensure!(before != json!(true), "it stands there already: {shown}");
    let arguments = vec![json!(kind), json!(shown)];
    phone.script(TIME_EVENT, arguments).await?;
    act.await?;
    phone.holds("return window.tapMs !== null").await?;
    let ms = phone.script("return window.tapMs", vec![]).await?;
    phone.stands_still().await?;
    ms.as_f64().context("no time")
}

/// Says the 98th percentile, by nearest rank.
fn told(what: &str, mut ms: Vec<f64>) {
    ms.sort_by(f64::total_cmp);
    let rank = (0.98 * ms.len() as f64).ceil() as usize;
    let value = (ms[rank.clamp(1, ms.len()) - 1] * 1e4).round() / 1e4;
    let name = format!("tap to paint at 20,000 looks, {what}, 98th percentile");
    println!("{}", json!({"name": name, "value": value, "unit": "ms"}));
    eprintln!(
        "  {name}: {value} ms ({} times, median {:.0} ms, worst {:.0} ms)",
        ms.len(),
        ms[ms.len() / 2],
        ms[ms.len() - 1]
    );
}
