//! The starting set of drill cards: every item has a card, every text is plain
//! and true for both sides of the plate, and the cautions are where they must be.

use std::collections::HashSet;

use coaching::cards::{AnyCard, Card, Caution, Component, Equipment, card, cards, needs};
use coaching::check::{Phase, Skill, View, item};
use coaching::own::is_own;
use coaching::vocabulary::{Environment, Side};

/// Every sentence of a card, with its place.
fn sentences(card: &'static Card) -> Vec<(String, &'static str)> {
    let texts = [
        ("purpose", card.purpose),
        ("space", card.space),
        ("feel", card.feel),
        ("watch", card.watch),
        ("easier", card.easier),
        ("harder", card.harder),
    ];
    let steps = card.steps.iter().map(|step| ("step", *step));
    let place = |(field, text)| (format!("{} {field}", card.id), text);
    texts.into_iter().chain(steps).map(place).collect()
}

#[test]
fn every_item_has_a_card_and_every_card_answers_items_that_are() {
    for skill in Skill::ALL {
        for item in skill.items() {
            let answering = cards().filter(|card| card.answers.iter().any(|a| a.item == item.id));
            assert!(answering.count() > 0, "no card answers {}", item.id);
        }
    }
    for card in cards() {
        assert!(!card.answers.is_empty());
        for answer in card.answers {
            assert!(
                item(answer.item).is_some(),
                "{} answers {}",
                card.id,
                answer.item
            );
        }
        let distinct: HashSet<_> = card.answers.iter().map(|answer| answer.item).collect();
        assert_eq!(distinct.len(), card.answers.len(), "{}", card.id);
    }
}

#[test]
fn loading_the_front_of_the_thigh_answers_to_all_three_load_cards() {
    let answering = cards().filter(|card| card.answers.iter().any(|a| a.item == "load-back-hip"));
    assert_eq!(
        answering.map(|card| card.id).collect::<Vec<_>>(),
        ["crossed-start", "back-then-forward", "wide-open-start"]
    );
}

/// Ids are stored with what a hitter tried: none may go or change.
#[test]
fn the_ids_of_the_starting_set_are_kept() {
    let ids: Vec<_> = cards().map(|card| card.id).collect();
    assert_eq!(
        ids,
        [
            "ball-throw-hold",
            "position-on-call",
            "forward-or-back",
            "head-on-mark",
            "crossed-start",
            "back-then-forward",
            "wide-open-start",
            "outer-edge-towel",
            "count-ladder",
            "side-toss-middle",
            "tee-with-guide",
            "angled-toss",
            "firm-short-practice",
            "machine-match",
            "call-take-swing",
            "two-strike-rounds",
            "plan-aloud",
            "crossed-slap-tee",
            "slap-along-line",
            "slap-front-toss",
            "slap-the-gap",
            "bunt-no-ball",
            "bunt-into-zones",
            "bunt-or-back",
        ]
    );
    for id in ids {
        assert_eq!(card(id).map(|card| card.id), Some(id));
        assert!(item(id).is_none() && !is_own(id), "{id}");
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        assert!(id.chars().all(plain), "{id}");
    }
    assert_eq!(card("of-a-newer-version"), None);
    let titles: HashSet<_> = cards().map(|card| card.title).collect();
    assert_eq!(titles.len(), cards().count());
}

#[test]
fn every_card_says_what_its_balls_and_its_equipment_ask_for() {
    for card in cards() {
        for caution in needs::all_cautions(card.environments, card.equipment) {
            assert!(
                card.cautions.contains(&caution),
                "{} lacks {}",
                card.id,
                caution.id()
            );
        }
        for place in card.environments {
            for thing in needs::equipment(*place) {
                assert!(
                    card.equipment.contains(thing),
                    "{} lacks {}",
                    card.id,
                    thing.id()
                );
            }
        }
        let hits = card
            .environments
            .iter()
            .any(|place| *place != Environment::MedicineBall);
        assert!(
            !hits || card.equipment.contains(&Equipment::Bat),
            "{}",
            card.id
        );
        let balls = [Equipment::Balls, Equipment::SoftBalls];
        assert!(
            !hits || balls.iter().any(|ball| card.equipment.contains(ball)),
            "{}",
            card.id
        );
        let distinct: HashSet<_> = card.cautions.iter().collect();
        assert_eq!(distinct.len(), card.cautions.len(), "{}", card.id);
    }
}

/// Safety of the place, by the environments alone and not by way of [`needs`].
#[test]
fn every_card_with_balls_says_no_earphones_and_what_the_weather_asks_for() {
    for card in cards() {
        let said: Vec<&str> = card.cautions.iter().map(|c| c.sentence()).collect();
        let says = |words: &str| said.iter().any(|sentence| sentence.contains(words));
        let hits = card
            .environments
            .iter()
            .any(|place| !matches!(place, Environment::MedicineBall | Environment::Game));
        assert!(
            !hits || says("No earphones wherever"),
            "{} lacks the earphones",
            card.id
        );
        let anywhere = !card.environments.is_empty();
        assert!(
            !anywhere || (says("lightning") && says("heat") && says("local rule")),
            "{} lacks the weather",
            card.id
        );
        let tee = card.environments.contains(&Environment::Tee);
        assert!(
            !tee || says("Helmet on where others hit nearby"),
            "{} lacks the helmet at the tee",
            card.id
        );
    }
    // A coach's own card of any environment says the same.
    for place in Environment::ALL {
        let cautions = needs::all_cautions(&[*place], &[]);
        assert!(cautions.contains(&Caution::Weather), "{}", place.id());
        let quiet = matches!(place, Environment::MedicineBall | Environment::Game);
        assert_eq!(
            cautions.contains(&Caution::Earphones),
            !quiet,
            "{}",
            place.id()
        );
    }
}

#[test]
fn a_card_says_its_cautions_with_those_of_the_view() {
    for card in cards() {
        let cautions = AnyCard::BuiltIn(card).cautions();
        assert_eq!(cautions.len(), card.cautions.len() + 1, "{}", card.id);
        assert_eq!(cautions.last(), Some(&card.view.caution()), "{}", card.id);
    }
}

#[test]
fn the_fields_of_pull_and_opposite_side_are_mirrored() {
    let of = |id, side| AnyCard::BuiltIn(card(id).unwrap()).fields_in_words(side);
    let right = "Batting right: pull side is left field, opposite side is right field.";
    let left = "Batting left: pull side is right field, opposite side is left field.";
    assert_eq!(
        of("side-toss-middle", Some(Side::Right)).as_deref(),
        Some(right)
    );
    assert_eq!(
        of("side-toss-middle", Some(Side::Left)).as_deref(),
        Some(left)
    );
    assert_eq!(
        of("side-toss-middle", None),
        Some(format!("{right} {left}"))
    );
    // A slap is from the side of first base, whoever stands at work.
    assert_eq!(
        of("slap-front-toss", Some(Side::Right)).as_deref(),
        Some(left)
    );
    assert_eq!(of("position-on-call", Some(Side::Right)), None);
    for card in cards() {
        let texts: String = sentences(card).iter().map(|(_, text)| *text).collect();
        let faults: String = card.answers.iter().map(|answer| answer.fault).collect();
        let names = ["pull side", "opposite side"]
            .iter()
            .any(|words| texts.contains(words) || faults.contains(words));
        let said = AnyCard::BuiltIn(card).fields_in_words(None);
        assert_eq!(said.is_some(), names, "{}", card.id);
    }
}

#[test]
fn every_card_stands_in_a_phase_of_a_skill() {
    let place = |id| AnyCard::BuiltIn(card(id).unwrap()).place();
    assert!(cards().all(|card| AnyCard::BuiltIn(card).place().is_some()));
    assert_eq!(place("crossed-start"), Some((Skill::Swing, Phase::Load)));
    assert_eq!(place("bunt-or-back"), Some((Skill::Bunt, Phase::Approach)));
}

/// The rule of safety itself, not by way of [`needs`].
#[test]
fn thrown_balls_have_helmet_and_screen_and_a_medicine_ball_has_its_words() {
    for card in cards() {
        let said: String = card
            .cautions
            .iter()
            .map(|caution| caution.sentence())
            .collect();
        let says = |words: &[&str]| {
            for word in words {
                assert!(said.contains(word), "{} does not say {word:?}", card.id);
            }
        };
        says(&["Stop on pain", "licensed care"]);
        for place in card.environments {
            match place {
                Environment::MedicineBall => says(&[
                    "Light ball",
                    "supervision",
                    "rebound zone clear",
                    "nobody in front",
                    "Stop on pain",
                ]),
                Environment::Tee => says(&["out of the bat's reach", "nobody in front"]),
                Environment::Game => says(&["netting"]),
                thrown => {
                    says(&[
                        "wears a helmet",
                        "behind a screen",
                        "out of the bat's reach",
                    ]);
                    let things = [Equipment::Helmet, Equipment::Screen];
                    assert!(
                        things.iter().all(|thing| card.equipment.contains(thing)),
                        "{}",
                        card.id
                    );
                    match thrown {
                        Environment::SideToss => says(&[
                            "feeder is behind a screen",
                            "Soft balls first",
                            "front hip, not at the body",
                        ]),
                        Environment::Machine => says(&[
                            "Helmets for all",
                            "Nobody in front",
                            "unplug",
                            "box empty",
                            "minor",
                            "manual",
                        ]),
                        Environment::Live => says(&["full gear"]),
                        _ => {}
                    }
                }
            }
        }
        // Nobody stands where a ball from a tee or a medicine ball goes.
        let alone = [Environment::MedicineBall, Environment::Tee];
        if card.environments.iter().any(|place| alone.contains(place)) {
            assert_ne!(card.view, View::FromPitcher, "{}", card.id);
        }
        let bunts = card
            .answers
            .iter()
            .any(|answer| answer.item.starts_with("bunt-"));
        assert_eq!(
            card.cautions.contains(&Caution::Fingers),
            bunts,
            "{}",
            card.id
        );
        let steps: String = card.steps.concat().to_lowercase();
        let crosses = steps
            .split_whitespace()
            .any(|word| word.starts_with("cross"))
            || ["step back", "step in", "steps"]
                .iter()
                .any(|word| steps.contains(word));
        assert!(
            !crosses || card.cautions.contains(&Caution::Footing),
            "{}",
            card.id
        );
    }
    let back_and_forth = card("back-then-forward").unwrap();
    assert!(back_and_forth.cautions.contains(&Caution::Sway));
}

#[test]
fn what_a_card_does_not_train_fits_where_its_ball_comes_from() {
    for card in cards() {
        let live = [
            Environment::Live,
            Environment::Game,
            Environment::ShortBattingPractice,
            Environment::Machine,
        ];
        let real = card.environments.iter().any(|place| live.contains(place));
        if !real {
            for part in [Component::Spin, Component::Speed] {
                assert!(
                    card.not_trained.contains(&part),
                    "{} claims {}",
                    card.id,
                    part.id()
                );
            }
        }
        if card
            .answers
            .iter()
            .any(|answer| answer.item == "swing-on-time")
        {
            assert!(!card.not_trained.contains(&Component::Time), "{}", card.id);
        }
        let chooses = card
            .answers
            .iter()
            .any(|answer| item(answer.item).is_some_and(|item| item.phase == Phase::Approach));
        assert_eq!(
            card.not_trained.contains(&Component::Decision),
            !chooses,
            "{}",
            card.id
        );
    }
}

#[test]
fn a_dose_is_what_a_hitter_can_do_in_the_minutes() {
    for card in cards() {
        let reps = u32::from(card.dose.sets) * u32::from(card.dose.reps);
        assert!((5..=40).contains(&reps), "{}: {reps}", card.id);
        let seconds = 60.0 * f64::from(card.minutes) / f64::from(reps);
        assert!(
            (15.0..=65.0).contains(&seconds),
            "{}: {seconds} s a rep",
            card.id
        );
    }
    let ladder = card("count-ladder").unwrap();
    assert_eq!(ladder.dose.sentence(), "3 sets of 5. Effort: Full.");
}

#[test]
fn texts_are_short_plain_sentences() {
    for card in cards() {
        let length = card.title.chars().count();
        assert!(
            (1..=40).contains(&length) && !card.title.ends_with('.'),
            "{}",
            card.title
        );
        assert!((1..=6).contains(&card.steps.len()), "{}", card.id);
        for answer in card.answers {
            let length = answer.fault.chars().count();
            assert!(
                (5..=60).contains(&length),
                "{}: {length}, {}",
                card.id,
                answer.fault
            );
            assert!(!answer.fault.ends_with('.'), "{}", answer.fault);
        }
        for (place, text) in sentences(card) {
            let length = text.chars().count();
            assert!((10..=140).contains(&length), "{place}: {length}, {text:?}");
            assert!(
                text.ends_with('.') && text.trim() == text,
                "{place}: {text:?}"
            );
            assert!(
                text.starts_with(|c: char| c.is_uppercase()),
                "{place}: {text:?}"
            );
            assert!(
                !text.contains("  ") && !text.contains('!'),
                "{place}: {text:?}"
            );
        }
    }
    for caution in Caution::ALL {
        let text = caution.sentence();
        assert!(text.ends_with('.') && text.chars().count() <= 160, "{text}");
    }
}

#[test]
fn texts_read_true_for_both_sides_of_the_plate_and_for_everybody() {
    let faults =
        cards().flat_map(|card| card.answers.iter().map(|a| (card.id.to_owned(), a.fault)));
    let titles = cards().map(|card| (card.id.to_owned(), card.title));
    let cautions = Caution::ALL
        .iter()
        .map(|caution| (caution.id().to_owned(), caution.sentence()));
    let all = cards()
        .flat_map(sentences)
        .chain(faults)
        .chain(titles)
        .chain(cautions);
    for (place, text) in all {
        let lower = text.to_lowercase();
        for word in lower.split(|c: char| !c.is_alphabetic()) {
            let unwanted = [
                "left", "right", "lefty", "righty", "he", "she", "him", "her", "his", "hers",
            ];
            assert!(!unwanted.contains(&word), "{place}: {word:?} in {text:?}");
        }
    }
}
