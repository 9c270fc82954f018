//! What the session log says: the path, how like the game, how hard, in which order
//! and how much; and that the page can be used by everybody.

use anyhow::{Context, Result, ensure};
use browser::{Phone, Relay, Screen, axe_source, in_session};
use serde_json::{Value, json};

#[test]
fn side_tosses_say_not_yet_and_then_the_path() -> Result<()> {
    in_session(async |phone, relay| {
        phone.pick("Ball comes from", "Side toss").await?;
        // Without spot and depth a ball is no evidence.
        phone.ball(3, 1).await?;
        phone.sees("Ball 1: Ground ball").await?;
        phone.touch("What the balls say").await?;
        phone.sees("1 spot or depth not noted").await?;
        phone.sees("not yet: 12 more reps").await?;
        phone
            .touch_in("The toss came", "On the line of the front hip")
            .await?;
        phone
            .is_answered("The toss came", "On the line of the front hip")
            .await?;
        phone.touch_in("Met", "On time").await?;
        phone.is_answered("Met", "On time").await?;
        phone.sees("not yet: 11 more reps").await?;
        phone
            .touch("Front hip, on time, unless I touch otherwise")
            .await?;
        phone
            .is_answered(
                "Side tosses",
                "Front hip, on time, unless I touch otherwise",
            )
            .await?;
        for n in 2..=24 {
            phone.ball(3, n % 2).await?;
            phone.sees(&format!("Ball {n}: Ground ball")).await?;
        }
        phone.sees("24 balls count").await?;
        phone.sees("The balls say: down across the ball").await?;
        phone
            .sees("More to the pull side than to the opposite side.")
            .await?;
        // One that was early does not count.
        phone.touch_in("Met", "Early, out in front").await?;
        phone.sees("23 balls count; left out: 1 early").await?;
        by_point(phone).await?;
        count_linked(phone).await?;
        machine_in_its_round(phone).await?;
        fed_as_the_coach_says(phone, relay).await?;
        a_round_in_mixed_order(phone, relay).await
    })
}

/// A free point on the fan.
async fn by_point(phone: &Phone) -> Result<()> {
    phone.touch("This session").await?;
    phone
        .touch_in("A touch on the fan is", "The point touched")
        .await?;
    phone
        .is_answered("A touch on the fan is", "The point touched")
        .await?;
    // A quarter of the field's width from its right edge: a quarter of a sector.
    let right = "const field = document.getElementById('fan-2-4').getBoundingClientRect();
        document.getElementById('fan-2-4').dispatchEvent(new MouseEvent('click', {
            bubbles: true, detail: 1, clientX: field.left + 0.75 * field.width}));";
    let before = phone.balls().await?.len();
    phone.script(right, vec![]).await?;
    let balls = phone.balls_are(before + 1).await?;
    let ball = balls.last().context("no ball")?;
    let direction = ball["numbers"]["direction-deg"].as_f64();
    let expected = (1.0 + 0.25) * 90.0 / 7.0;
    ensure!(
        (direction.context("no direction")? - expected).abs() < 0.2,
        "{ball:#?}"
    );
    ensure!(ball["choices"]["direction-by"] == "point", "{ball:#?}");
    phone
        .touch_in("A touch on the fan is", "Its sector")
        .await?;
    phone
        .is_answered("A touch on the fan is", "Its sector")
        .await?;
    phone.touch("This session").await
}

/// A count taken in the round is named by the ball.
async fn count_linked(phone: &Phone) -> Result<()> {
    phone.touch("More of the last ball").await?;
    phone.touch("Link the latest count").await?;
    phone.sees("No count of this hitter").await?;
    let hitter = phone.stored("hitters").await?[0]["head"]["id"].clone();
    let hitter = hitter.as_str().context("no id")?.to_owned();
    phone.add_reps(&[hitter], 0, 1).await?;
    phone.touch("Link the latest count").await?;
    phone.sees("Linked to a count.").await?;
    let reps = phone.stored("reps").await?;
    let balls = phone.balls().await?;
    let ball = balls.last().context("no ball")?;
    ensure!(ball["choices"]["rep"] == reps[0]["head"]["id"], "{ball:#?}");
    Ok(())
}

/// The numbers of a feed, as a round keeps them.
const FEED: [&str; 6] = [
    "feed-distance-ft",
    "feed-height-ft",
    "feed-third-side-ft",
    "feed-speed-mph",
    "feed-backspin-rpm",
    "feed-sidespin-rpm",
];

async fn rounds_of(phone: &Phone, environment: &str) -> Result<Vec<Value>> {
    let mut rounds = phone.stored("rounds").await?;
    rounds.retain(|round| round["context"]["environment"] == environment);
    Ok(rounds)
}

/// A machine's round has the numbers of its solved set-up.
async fn machine_in_its_round(phone: &Phone) -> Result<()> {
    phone.touch("How the ball is fed").await?;
    phone.pick("Ball comes from", "Machine").await?;
    phone.sees("As the set-up solved it").await?;
    phone.sees("Fed from").await?;
    phone.ball(2, 2).await?;
    phone.sees("Ball 1: Line drive").await?;
    let rounds = rounds_of(phone, "machine").await?;
    ensure!(rounds.len() == 1, "{rounds:#?}");
    for name in FEED {
        let number = rounds[0]["numbers"][name]["value"].as_f64();
        ensure!(number.is_some(), "{name}: {:#?}", rounds[0]);
    }
    Ok(())
}

/// A feed by hand as the coach says it: on disk before its first ball, kept over a
/// reload, and another one begins another round.
async fn fed_as_the_coach_says(phone: &Phone, relay: &Relay) -> Result<()> {
    phone.pick("Ball comes from", "Front toss").await?;
    phone.sees("Not noted: taken as the usual feed").await?;
    phone.type_into("Toss distance", "99").await?;
    phone.sees("Kept: 16 ft").await?;
    phone.type_into("Toss distance", "14").await?;
    phone.sees("As you set it, recorded in the round.").await?;
    phone
        .waits_for("for the feed on disk", async || {
            let rounds = rounds_of(phone, "front-toss").await?;
            let distance = |round: &Value| round["numbers"][FEED[0]]["value"].as_f64();
            Ok(rounds.len() == 1 && distance(&rounds[0]) == Some(14.0))
        })
        .await?;
    phone.open(&browser::session_page(relay)).await?;
    phone.sees("this turn").await?;
    phone.touch("How the ball is fed").await?;
    phone.sees("As you set it, recorded in the round.").await?;
    ensure!(phone.value_of("Toss distance").await? == "14");
    phone.ball(2, 3).await?;
    phone.sees("Ball 1: Line drive, up the middle").await?;
    ensure!(rounds_of(phone, "front-toss").await?.len() == 1);
    phone.type_into("Toss speed", "25").await?;
    phone
        .waits_for("for another round", async || {
            Ok(rounds_of(phone, "front-toss").await?.len() == 2)
        })
        .await?;
    phone.ball(1, 3).await?;
    phone.sees("Ball 1: Fly ball, up the middle").await?;
    let rounds = rounds_of(phone, "front-toss").await?;
    let of = |round: usize, name: usize| rounds[round]["numbers"][FEED[name]]["value"].clone();
    ensure!(rounds.len() == 2, "{rounds:#?}");
    ensure!(
        [of(0, 0), of(1, 0)]
            .iter()
            .all(|distance| distance.as_f64() == Some(14.0))
    );
    ensure!(of(0, 3) != of(1, 3) && of(1, 3).as_f64() == Some(25.0));
    // The table of the fed ball beside the game pitch, for the feed as it is now.
    phone.touch("How like the game").await?;
    phone.sees("Fed from 14 ft").await?;
    let table = "
        const headings = [...document.querySelectorAll('h4')];
        let table = headings.find(heading => heading.innerText === 'Front toss');
        while (table.tagName !== 'TABLE') table = table.nextElementSibling;
        return [...table.rows].map(row => [row.cells.length, row.cells[0].scope]);";
    let rows = phone.script(table, vec![]).await?;
    let body = vec![json!([4, "row"]); 6];
    ensure!(
        rows.as_array().is_some_and(|rows| rows[1..] == body),
        "{rows}"
    );
    Ok(())
}

/// A planned round names each ball, sets it, and marks it on the ball's record.
async fn a_round_in_mixed_order(phone: &Phone, relay: &Relay) -> Result<()> {
    phone.touch("Order of practice").await?;
    phone.touch("Begin this round").await?;
    phone
        .sees("Kinds of ball: 2 to 6 are allowed, and the round has 0")
        .await?;
    phone
        .touch("Add: Front toss, as from a right-hander")
        .await?;
    phone.pick("Ball comes from", "Tee").await?;
    phone.touch("Add: Tee").await?;
    phone.type_into("Balls of each kind", "0").await?;
    phone.sees("1 to 20 are allowed, and 0 was given").await?;
    phone.type_into("Balls of each kind", "3").await?;
    phone.touch_in("Their order", "At random").await?;
    phone.touch("Begin this round").await?;
    phone.sees("Ball 1 of 6.").await?;
    let before = phone.balls().await?.len();
    let mut named = Vec::new();
    for n in 1..=6 {
        phone.sees(&format!("Ball {n} of 6.")).await?;
        let said = phone
            .script(
                "return document.querySelector('.next-ball').innerText",
                vec![],
            )
            .await?;
        let said = said.as_str().context("nothing is named")?.to_owned();
        named.push(if said.contains("Tee") {
            "tee"
        } else {
            "front-toss"
        });
        if n == 4 {
            // Taken back and hit again, it is the same ball of the round; and a reload
            // goes on with it.
            phone.ball(2, 3).await?;
            phone.sees("Ball 5 of 6.").await?;
            phone.touch("Undo the last ball").await?;
            phone.sees("Ball 4 of 6.").await?;
            phone.open(&browser::session_page(relay)).await?;
            phone.sees("Ball 4 of 6.").await?;
            let again = phone
                .script(
                    "return document.querySelector('.next-ball').innerText",
                    vec![],
                )
                .await?;
            ensure!(again == said.as_str(), "{again} after {said}");
        }
        phone.ball(2, 3).await?;
    }
    phone.sees("The round of 6 balls is over.").await?;
    let balls = phone.balls_are(before + 6).await?.split_off(before);
    for (n, (ball, named)) in balls.iter().zip(&named).enumerate() {
        ensure!(ball["context"]["environment"] == *named, "{n}: {ball:#?}");
        ensure!(ball["choices"]["order"] == "random", "{ball:#?}");
        ensure!(
            ball["numbers"]["order-place"].as_f64() == Some(n as f64 + 1.0),
            "{ball:#?}"
        );
    }
    Ok(())
}

/// Every suggestion has its way there: a firmer toss is noted by one touch, and what
/// a drill is stands on its card.
async fn firmer_and_its_card(phone: &Phone, relay: &Relay) -> Result<()> {
    let own_words = "return [...document.querySelectorAll('button')]
        .map(button => button.innerText).find(text => text.startsWith('Note the feed at '))";
    let label = phone.script(own_words, vec![]).await?;
    let label = label.as_str().context("nothing notes a firmer feed")?;
    let mph = label.trim_start_matches("Note the feed at ");
    let mph: f64 = mph.trim_end_matches(" mph").parse()?;
    phone.touch(label).await?;
    phone.sees(&format!("high, at {mph} mph.")).await?;
    phone.sees("as the game pitch").await?;
    // As firm as that, no firmer one is asked for.
    phone.no_longer_sees("Note the feed at ").await?;
    phone
        .touch("Drill card: Machine as the set-up says")
        .await?;
    phone.sees("Close the card").await?;
    let opened = "return document.querySelectorAll('.card-detail').length";
    ensure!(phone.script(opened, vec![]).await? == 1);
    phone.sees("Cautions").await?;
    picture(phone, "card").await?;
    phone.open(&browser::session_page(relay)).await?;
    phone.sees("8 balls this turn").await?;
    phone.ball(1, 3).await?;
    phone.sees("9 balls this turn").await?;
    phone
        .waits_for("for the round of the firmer feed", async || {
            let rounds = phone.stored("rounds").await?;
            let noted = rounds.last().map(|round| round["numbers"].clone());
            Ok(noted.is_some_and(|numbers| numbers.to_string().contains(&format!("{mph}"))))
        })
        .await?;
    phone.touch("Undo the last ball").await?;
    phone.sees("8 balls this turn").await?;
    phone.touch("How like the game").await
}

#[test]
fn the_page_says_how_like_the_game_how_hard_and_how_much() -> Result<()> {
    in_session(async |phone, relay| {
        phone.pick("Ball comes from", "Front toss").await?;
        for n in 0..8 {
            phone.ball(n % 4, n % 7).await?;
            phone.sees(&format!("Ball {}: ", n + 1)).await?;
        }
        phone.sees("Swings: today 8, seven days 8.").await?;
        phone.touch("How like the game").await?;
        phone.sees("The game pitch of this hitter's set-up").await?;
        phone.sees("Time to decide").await?;
        phone.sees("What would make it closer").await?;
        firmer_and_its_card(phone, relay).await?;
        phone.touch("How hard against the game").await?;
        phone.sees("Not enough swings to compare.").await?;
        phone
            .type_into("Easier than the game by up to, points", "99")
            .await?;
        phone.sees("1 to 60 points are allowed").await?;
        phone
            .type_into("Easier than the game by up to, points", "15")
            .await?;
        phone
            .waits_for("for the band on disk", async || {
                let sessions = phone.stored("sessions").await?;
                let points = &sessions[0]["numbers"]["band-easier-points"]["value"];
                Ok(points.as_f64() == Some(15.0))
            })
            .await?;
        phone.touch("Order of practice").await?;
        phone.sees("One kind of ball only").await?;
        phone
            .touch_in("What the session is for", "Ready for games")
            .await?;
        phone.sees("mix the balls at random").await?;
        phone.touch("Swings and limits").await?;
        phone
            .type_into("Most swings a day (0 is no limit)", "7")
            .await?;
        phone
            .sees("8 swings that day: 1 above your limit of 7.")
            .await?;
        phone.sees("not medical advice").await?;

        // Over, undone, over again; then a second one, and the two compared.
        phone.touch("This session").await?;
        phone.touch("End the session").await?;
        phone.sees("The session is over.").await?;
        phone.touch("Undo").await?;
        phone.sees("8 balls this turn").await?;
        phone.touch("This session").await?;
        phone.touch("End the session").await?;
        phone.sees("Who hits?").await?;
        phone.touch("Begin with 1 hitter").await?;
        phone.sees("0 balls this turn").await?;
        phone.ball(2, 3).await?;
        phone.sees("Ball 1: Line drive").await?;
        phone
            .open(&format!("{}/book/sessions", relay.address()))
            .await?;
        phone.sees("Compare two sessions").await?;
        phone.sees("second minus first").await?;
        let axe = axe_source()?;
        let mut wrong = Vec::new();
        for screen in Screen::ALL {
            phone.set_screen(screen).await?;
            phone.stands_still().await?;
            picture(
                phone,
                &format!("{}x{}-compare", screen.width, screen.height),
            )
            .await?;
            wrong.extend(found(phone, &axe, screen).await?);
        }
        phone.set_screen(Screen::SMALL).await?;
        let first = "const row = document.querySelector('.sessions button'); row.click();
                     return row.innerText";
        phone.script(first, vec![]).await?;
        phone
            .sees("1 ball, 1 swing. Line drive, or hit hard in play: 1 of 1")
            .await?;
        phone.touch("How hard it was for Wren").await?;
        phone
            .sees("Games are only the balls that you logged")
            .await?;
        // The hitter's own page.
        phone
            .open(&format!("{}/book/hitter", relay.address()))
            .await?;
        phone.sees("9 balls in 2 sessions").await?;
        phone.sees("Swings: today 9 of 7, seven days 9.").await?;
        phone.touch("Swings by day").await?;
        phone.touch("How hard the latest session was").await?;
        phone
            .sees("Games are only the balls that you logged")
            .await?;
        phone.touch("What the balls say").await?;
        phone
            .sees("Front toss, as from a right-hander, bats right")
            .await?;
        picture(phone, "360x640-hitter").await?;
        wrong.extend(found(phone, &axe, Screen::SMALL).await?);
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

#[test]
fn nothing_on_the_page_is_small_cut_or_against_the_rules_for_everybody() -> Result<()> {
    in_session(async |phone, relay| {
        let axe = axe_source()?;
        phone.pick("Ball comes from", "Side toss").await?;
        phone.ball(3, 1).await?;
        phone.sees("Ball 1").await?;
        let mut wrong = Vec::new();
        for screen in Screen::ALL {
            phone.set_screen(screen).await?;
            phone.stands_still().await?;
            picture(phone, &format!("{}x{}-log", screen.width, screen.height)).await?;
        }
        open_folds(phone).await?;
        for screen in Screen::ALL {
            phone.set_screen(screen).await?;
            for theme in ["light", "dark", "sun"] {
                let kind = theme;
                let theme = json!(theme);
                phone
                    .script(
                        "document.documentElement.dataset.theme = arguments[0]",
                        vec![theme],
                    )
                    .await?;
                phone.stands_still().await?;
                wrong.extend(found(phone, &axe, screen).await?);
                picture(
                    phone,
                    &format!("{}x{}-{}", screen.width, screen.height, kind),
                )
                .await?;
            }
        }
        phone.set_screen(Screen::PHONE).await?;
        phone
            .open(&format!("{}/book/sessions", relay.address()))
            .await?;
        phone.sees("Compare two sessions").await?;
        wrong.extend(found(phone, &axe, Screen::PHONE).await?);
        ensure!(wrong.is_empty(), "{wrong:#?}");
        Ok(())
    })
}

/// Keeps a picture of the page where `STRIDEBOOK_PICTURES` names a folder.
async fn picture(phone: &Phone, name: &str) -> Result<()> {
    if let Some(folder) = std::env::var_os("STRIDEBOOK_PICTURES") {
        let folder = std::path::Path::new(&folder);
        for (what, whole) in [("whole", true), ("screen", false)] {
            let path = folder.join(format!("session-{name}-{what}.png"));
            std::fs::write(path, phone.picture(whole).await?)?;
        }
    }
    Ok(())
}

async fn open_folds(phone: &Phone) -> Result<()> {
    let open = "for (const head of document.querySelectorAll('.fold-head[aria-expanded=false]'))
        head.click();";
    phone.script(open, vec![]).await?;
    phone.sees("Keep the screen on").await
}

/// What is too small to touch, beyond the edge, or found by axe.
async fn found(phone: &Phone, axe: &str, screen: Screen) -> Result<Vec<String>> {
    let laid_out = "
        const wrong = [];
        const width = arguments[0];
        if (document.documentElement.scrollWidth > width)
            wrong.push(`scrolls sideways: ${document.documentElement.scrollWidth}`);
        for (const element of document.querySelectorAll(
                'button, input, select, summary, a.way, .fan-field')) {
            if (!element.checkVisibility({visibilityProperty: true})) continue;
            const box = element.getBoundingClientRect();
            if (box.width < 47.99 || box.height < 47.99)
                wrong.push(`small, ${box.width.toFixed(1)}x${box.height.toFixed(1)}: ` +
                    (element.id || element.innerText || element.ariaLabel));
            if (box.left < -0.5 || box.right > width + 0.5)
                wrong.push(`beyond the edge: ${element.innerText}`);
        }
        return wrong;";
    let mut wrong: Vec<String> =
        serde_json::from_value(phone.script(laid_out, vec![json!(screen.width)]).await?)?;
    phone.script(axe, vec![]).await?;
    let violations = phone
        .script_async(
            "const result = await axe.run(document, {resultTypes: ['violations']});
             return result.violations.flatMap(rule => rule.nodes.map(
                 node => `${rule.id}: ${node.html.slice(0, 160)} ${node.failureSummary}`));",
            vec![],
        )
        .await?;
    wrong.extend(serde_json::from_value::<Vec<String>>(violations)?);
    let at = format!("{}x{}", screen.width, screen.height);
    Ok(wrong
        .into_iter()
        .map(|what| format!("{at}: {what}"))
        .collect())
}
