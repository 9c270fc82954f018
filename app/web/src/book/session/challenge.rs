//! How hard the session is against the same hitter's games, with the band that the
//! coach allows.

use super::Settled;
use crate::parts::{group, line, live, name_field, refusal, said, selection};
use crate::state::Desk;
use crate::state::contacts::Ball;
use crate::state::names::session as name;
use crate::state::session::Practice;
use crate::words::plain;
use coaching::challenge::{Band, Challenge, SuccessRule};
use coaching::contact::Contact;
use leptos::prelude::*;
use notebook::{Code, RecordId, Session, write_named};
use wasm_bindgen_futures::spawn_local;

/// The ends of the band: name in the record, label, what holds until it is set.
const ENDS: [(&str, &str, f64); 3] = [
    (name::EASIER, "Easier than the game by up to, points", 20.0),
    (name::HARDER, "Harder than the game by up to, points", 20.0),
    (name::LEAST, "Least success that teaches, percent", 10.0),
];

/// The comparison, and what the coach sets for it.
pub fn view() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    let Settled(settled) = expect_context();
    // Games do not change while practice goes on: read once a hitter.
    let games = RwSignal::new(None);
    Effect::new(move |_| {
        let Some(hitter) = practice.hitter.get() else {
            return;
        };
        games.set(None);
        spawn_local(async move {
            let read = desk.game_contacts(hitter).await;
            if practice.hitter.get_untracked() == Some(hitter) {
                // The fold may be closed by then.
                games.try_set(Some(read));
            }
        });
    });
    let said_now = move || {
        settled.track();
        let Some(hitter) = practice.hitter.get() else {
            return line("line", "Nobody at the plate.");
        };
        match games.get() {
            None => said("line", "Reading this hitter's games…"),
            Some(Err(error)) => refusal(error.to_string()),
            Some(Ok(games)) => compared(practice, hitter, &games),
        }
    };
    let rule = selection(
        "What counts as a success",
        false,
        Signal::stored(crate::parts::options_of(SuccessRule::ALL, |rule| {
            (rule.id(), rule.name())
        })),
        Signal::derive(move || rule_of(practice).id().to_owned()),
        Callback::new(move |id: String| {
            if let Some(rule) = SuccessRule::from_id(&id) {
                practice.choose(name::SUCCESS, rule.id());
            }
        }),
    );
    let mut parts = vec![live(said_now), rule];
    parts.extend(ENDS.map(|(field, label, _)| end(practice, field, label)));
    group(parts)
}

fn rule_of(practice: Practice) -> SuccessRule {
    let chosen = practice.choice(name::SUCCESS);
    chosen
        .and_then(|id| SuccessRule::from_id(&id))
        .unwrap_or(SuccessRule::USUAL)
}

fn points(practice: Practice) -> [f64; 3] {
    ENDS.map(|(field, _, usual)| practice.number(field).unwrap_or(usual))
}

fn compared(practice: Practice, hitter: RecordId, games: &[Contact]) -> AnyView {
    let balls = untrack(|| practice.balls_of(hitter));
    let sentence = sentence(rule_of(practice), points(practice), &balls, games);
    group(vec![line("finding", sentence), line("line", GAMES)])
}

/// Which balls are those of games.
pub const GAMES: &str =
    "Games are only the balls that you logged with the environment Game, over the last 365 days.";

/// The rule and the band of a session as it is stored.
pub fn set_for(session: Option<&Session>) -> (SuccessRule, [f64; 3]) {
    let rule = session.and_then(|session| {
        let chosen = session.choices.get(name::SUCCESS)?;
        SuccessRule::from_id(chosen.get().as_str())
    });
    let points = ENDS.map(|(field, _, usual)| {
        let set = session.and_then(|session| session.numbers.get(field));
        set.map_or(usual, |set| *set.get())
    });
    (rule.unwrap_or(SuccessRule::USUAL), points)
}

/// The balls of practice beside those of games, in words.
pub fn sentence(
    rule: SuccessRule,
    [easier, harder, least]: [f64; 3],
    balls: &[Ball],
    games: &[Contact],
) -> String {
    let of_practice = balls
        .iter()
        .map(|ball| ball.contact)
        .filter(|contact| contact.environment != coaching::vocabulary::Environment::Game);
    let session: Vec<Contact> = of_practice.collect();
    let challenge = Challenge {
        session: rule.share(&session),
        game: rule.share(games),
        band: Band::new(easier, harder, least).unwrap_or_default(),
    };
    challenge.sentence()
}

/// The same for a session of before: the games are read.
pub fn of_session(session: Option<Session>, hitter: RecordId, balls: Vec<Ball>) -> AnyView {
    let desk = expect_context::<Desk>();
    let games = RwSignal::new(None);
    spawn_local(async move {
        let read = desk.game_contacts(hitter).await;
        // Closed by then, nobody needs it.
        games.try_set(Some(read));
    });
    live(move || match games.get() {
        None => said("line", "Reading this hitter's games…"),
        Some(Err(error)) => refusal(error.to_string()),
        Some(Ok(games)) => {
            let (rule, points) = set_for(session.as_ref());
            group(vec![
                line("finding", sentence(rule, points, &balls, &games)),
                line("line", GAMES),
            ])
        }
    })
}

/// One end of the band, typed.
fn end(practice: Practice, field: &'static str, label: &'static str) -> AnyView {
    name_field(
        label,
        Signal::derive(move || {
            let place = ENDS.iter().position(|end| end.0 == field).unwrap_or(0);
            plain(points(practice)[place])
        }),
        Callback::new(move |typed: String| set_end(practice, field, &typed)),
    )
}

fn set_end(practice: Practice, field: &'static str, typed: &str) -> Result<(), String> {
    let mut all = untrack(|| points(practice));
    let place = ENDS.iter().position(|end| end.0 == field).unwrap_or(0);
    // What is no whole number is outside of what is allowed, and said so.
    all[place] = typed.trim().parse::<u32>().map_or(-1.0, f64::from);
    let [easier, harder, least] = all;
    Band::new(easier, harder, least).map_err(|error| error.to_string())?;
    let value = all[place];
    practice.edit(|session, stamps| {
        if let Ok(code) = Code::new(field) {
            write_named(
                &mut session.numbers,
                &code,
                value,
                session.head.made,
                stamps,
            );
        }
    });
    Ok(())
}
