//! Swings of the day and of seven days against the limits that the coach sets.

use crate::parts::{group, line, live, live_line, name_field, said, table};
use crate::state::Desk;
use crate::state::contacts::today;
use crate::state::session::{Practice, limits_of};
use coaching::loads::{CAUTION, Limits, Loads, SPAN_DAYS};
use leptos::prelude::*;

/// One line that stands below the fan, and the caution once a limit is passed.
pub fn now() -> AnyView {
    let practice = expect_context::<Practice>();
    let loads = Memo::new(move |_| counted(practice));
    let passed = Memo::new(move |_| {
        let (loads, limits, today) = loads.get()?;
        let of_today = loads.passed(limits);
        let sentences = of_today.into_iter().filter(|passed| passed.day == today);
        let text: Vec<String> = sentences.map(|passed| passed.sentence()).collect();
        (!text.is_empty()).then(|| text.join(" "))
    });
    group(vec![
        live(move || match loads.get() {
            None => group(vec![]),
            Some((loads, limits, today)) => line("line", in_words(&loads, limits, today)),
        }),
        // Said once when a limit is passed, and not with every ball.
        live(move || match passed.get() {
            None => group(vec![]),
            Some(text) => said("refusal", format!("{text} {CAUTION}")),
        }),
    ])
}

fn counted(practice: Practice) -> Option<(Loads, Limits, i64)> {
    let hitter = practice.at_plate()?;
    let days = practice.days()?;
    Some((Loads::of(&days), limits_of(&hitter), today()))
}

/// Swings of today and of seven days, in words.
pub fn in_words(loads: &Loads, limits: Limits, today: i64) -> String {
    let of = |limit: Option<u32>| limit.map_or(String::new(), |limit| format!(" of {limit}"));
    format!(
        "Swings: today {}{}, seven days {}{}.",
        loads.on(today),
        of(limits.a_day()),
        loads.seven_days_to(today),
        of(limits.seven_days()),
    )
}

/// Swings day by day over the last seven.
pub fn by_day(loads: &Loads, today: i64) -> AnyView {
    let rows = (0..SPAN_DAYS).map(|back| {
        let day = match back {
            0 => "Today".to_owned(),
            1 => "Yesterday".to_owned(),
            days => format!("{days} days ago"),
        };
        vec![day, loads.on(today - back).to_string()]
    });
    table("Swings by day", &["Day", "Swings"], rows.collect())
}

/// The limits, and the days behind the numbers.
pub fn view() -> AnyView {
    let practice = expect_context::<Practice>();
    let desk = expect_context::<Desk>();
    let of_last_days = move || match counted(practice) {
        None => "Reading…".to_owned(),
        Some((loads, limits, today)) => {
            let mut text = in_words(&loads, limits, today);
            if let Some(left) = loads.left_on(today, limits) {
                text = format!("{text} Left today under your limits: {left}.");
            }
            for passed in loads.passed(limits) {
                let when = match today - passed.day {
                    0 => "Today".to_owned(),
                    1 => "Yesterday".to_owned(),
                    days => format!("{days} days ago"),
                };
                text = format!("{text} {when}: {}", passed.sentence());
            }
            text
        }
    };
    group(vec![
        live_line("line", of_last_days),
        live(move || match counted(practice) {
            None => group(vec![]),
            Some((loads, _, today)) => by_day(&loads, today),
        }),
        line(
            "line",
            "Counted: balls logged here but for takes and medicine-ball throws, and counts by tap that no ball is linked to.",
        ),
        limit(desk, practice, true),
        limit(desk, practice, false),
        line("line caution", CAUTION),
    ])
}

fn limit(desk: Desk, practice: Practice, of_day: bool) -> AnyView {
    let now = move || {
        let limits = practice.at_plate().map(|hitter| limits_of(&hitter));
        let limits = limits.unwrap_or_default();
        [limits.a_day(), limits.seven_days()]
    };
    let place = usize::from(!of_day);
    let label = match of_day {
        true => "Most swings a day (0 is no limit)",
        false => "Most swings in seven days (0 is no limit)",
    };
    name_field(
        label,
        Signal::derive(move || now()[place].unwrap_or(0).to_string()),
        Callback::new(move |typed: String| {
            let Some(hitter) = practice.hitter.get_untracked() else {
                return Ok(());
            };
            let Ok(given) = typed.trim().parse::<u32>() else {
                return Err(format!(
                    "{label}: a whole number is needed. The limits from before are kept."
                ));
            };
            let mut limits = untrack(now);
            limits[place] = (given > 0).then_some(given);
            let set = desk.set_limits(hitter, limits[0], limits[1]);
            set.map_err(|error| error.to_string())
        }),
    )
}
