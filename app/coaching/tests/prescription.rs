//! Ranking of drill cards: what may raise a card and what never does.

use coaching::cards::{Equipment, cards};
use coaching::check::{ITEMS, Skill};
use coaching::prescription::{AnyCard, AtHand, Outcome, Prescription};
use proptest::prelude::*;

fn all_cards() -> impl Iterator<Item = AnyCard<'static>> {
    cards().map(AnyCard::BuiltIn)
}

const EVERYTHING: AtHand = AtHand {
    equipment: Equipment::ALL,
    minutes: None,
};

fn ranked<'a>(faults: &[&str], history: &[(&str, Outcome)], at_hand: AtHand) -> Prescription<'a> {
    Prescription::of(faults, all_cards(), history, at_hand)
}

fn ids<'a>(prescription: &'a Prescription) -> Vec<&'a str> {
    prescription
        .suggestions
        .iter()
        .map(|one| one.card.id())
        .collect()
}

#[test]
fn loading_the_front_of_the_thigh_tries_the_three_load_cards_in_turn() {
    let fault = ["load-back-hip"];
    let first = ranked(&fault, &[], EVERYTHING);
    assert_eq!(
        ids(&first),
        ["crossed-start", "back-then-forward", "wide-open-start"]
    );
    assert!(first.try_each);
    assert_eq!(
        first.suggestions[0].why,
        "Not tried yet; answers: the back hip is not felt."
    );

    let history = [("crossed-start", Outcome::DidNot)];
    let second = ranked(&fault, &history, EVERYTHING);
    assert_eq!(
        ids(&second),
        ["back-then-forward", "wide-open-start", "crossed-start"]
    );
    assert!(second.try_each);
    assert!(
        second.suggestions[2]
            .why
            .starts_with("Did not help before;")
    );

    let history = [
        ("crossed-start", Outcome::DidNot),
        ("back-then-forward", Outcome::Tried),
        ("wide-open-start", Outcome::Kept),
    ];
    let last = ranked(&fault, &history, EVERYTHING);
    assert_eq!(
        ids(&last),
        ["wide-open-start", "back-then-forward", "crossed-start"]
    );
    assert!(!last.try_each, "the hitter has one");
}

#[test]
fn what_is_not_at_hand_or_takes_too_long_stands_behind_and_is_told() {
    let at_hand = AtHand {
        equipment: &[Equipment::Bat, Equipment::Towel, Equipment::Helper],
        minutes: Some(6),
    };
    let prescription = ranked(
        &["load-control"],
        &[("crossed-start", Outcome::Kept)],
        at_hand,
    );
    assert_eq!(
        ids(&prescription),
        ["outer-edge-towel", "crossed-start", "back-then-forward"]
    );
    assert!(prescription.suggestions[0].is_possible());
    assert!(!prescription.suggestions[1].is_possible());
    assert_eq!(
        prescription.suggestions[1].why,
        "The hitter feels this one; answers: sits back without a forward move; not at hand: Balls and 2 more; takes 8 minutes."
    );
}

#[test]
fn in_season_a_round_has_one_cue() {
    let card = all_cards()
        .find(|card| card.id() == "crossed-start")
        .unwrap();
    assert_eq!(
        card.cue_in_season(),
        "In season: one cue a round. The back hip holds the weight, then moves it forward."
    );
}

#[test]
fn every_item_leads_to_a_card() {
    for skill in Skill::ALL {
        for item in skill.items() {
            assert!(
                !ranked(&[item.id], &[], EVERYTHING).suggestions.is_empty(),
                "{}",
                item.id
            );
        }
    }
    for none in [&[][..], &["of-a-newer-version"], &["own.gone"]] {
        let prescription = ranked(none, &[], EVERYTHING);
        assert!(prescription.suggestions.is_empty() && !prescription.try_each);
    }
}

#[test]
fn tried_does_not_undo_what_was_said_before_it() {
    let history = [
        ("crossed-start", Outcome::Helped),
        ("crossed-start", Outcome::Tried),
    ];
    let prescription = ranked(&["load-back-hip"], &history, EVERYTHING);
    assert_eq!(prescription.suggestions[0].last, Some(Outcome::Helped));
    let history = [
        ("crossed-start", Outcome::Kept),
        ("crossed-start", Outcome::DidNot),
    ];
    let prescription = ranked(&["load-back-hip"], &history, EVERYTHING);
    assert_eq!(prescription.suggestions[2].last, Some(Outcome::DidNot));
}

fn any_faults() -> impl Strategy<Value = Vec<&'static str>> {
    let ids: Vec<_> = ITEMS.iter().map(|item| item.id).collect();
    prop::sample::subsequence(ids, 1..5).prop_shuffle()
}

fn any_history() -> impl Strategy<Value = Vec<(&'static str, Outcome)>> {
    let ids: Vec<_> = cards().map(|card| card.id).collect();
    let one = (
        prop::sample::select(ids),
        prop::sample::select(Outcome::ALL),
    );
    prop::collection::vec(one, 0..20)
}

fn any_equipment() -> impl Strategy<Value = Vec<Equipment>> {
    prop::sample::subsequence(Equipment::ALL, 0..=Equipment::ALL.len())
}

fn place(prescription: &Prescription, id: &str) -> Option<usize> {
    ids(prescription).iter().position(|known| *known == id)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn just_the_cards_that_answer_are_suggested_each_once_with_its_reason(
        faults in any_faults(), history in any_history(), equipment in any_equipment(), minutes in prop::option::of(0_u16..30),
    ) {
        let prescription = ranked(&faults, &history, AtHand { equipment: &equipment, minutes });
        let mut suggested = ids(&prescription);
        suggested.sort_unstable();
        let mut answering: Vec<_> = all_cards()
            .filter(|card| faults.iter().any(|fault| card.fault_of(fault).is_some()))
            .map(AnyCard::id)
            .collect();
        answering.sort_unstable();
        prop_assert_eq!(suggested, answering);
        for one in &prescription.suggestions {
            prop_assert!(one.why.ends_with('.') && one.why.chars().count() <= 160, "{}", one.why);
            prop_assert!(!one.why.contains('\n'));
        }
    }

    #[test]
    fn a_card_that_lacks_equipment_never_outranks_one_that_has_all(
        faults in any_faults(), history in any_history(), equipment in any_equipment(), minutes in prop::option::of(0_u16..30),
    ) {
        let prescription = ranked(&faults, &history, AtHand { equipment: &equipment, minutes });
        let lacking: Vec<bool> = prescription.suggestions.iter().map(|one| !one.missing.is_empty()).collect();
        prop_assert!(lacking.is_sorted());
        let possible: Vec<bool> = prescription.suggestions.iter().map(|one| !one.is_possible()).collect();
        let first_impossible = possible.iter().position(|not| *not).unwrap_or(possible.len());
        prop_assert!(possible[first_impossible..].iter().all(|not| *not));
    }

    #[test]
    fn did_not_help_never_raises_a_card_and_helped_and_kept_never_lower_it(
        faults in any_faults(), history in any_history(), equipment in any_equipment(),
        card in prop::sample::select(cards().map(|card| card.id).collect::<Vec<_>>()),
    ) {
        let at_hand = AtHand { equipment: &equipment, minutes: Some(12) };
        let before = place(&ranked(&faults, &history, at_hand), card);
        for outcome in Outcome::ALL {
            let mut more = history.clone();
            more.push((card, *outcome));
            let after = place(&ranked(&faults, &more, at_hand), card);
            match outcome {
                Outcome::DidNot => prop_assert!(after >= before),
                Outcome::Kept => prop_assert!(after <= before),
                Outcome::Helped => {
                    let was_kept = history.iter().rev().find(|(id, o)| *id == card && *o != Outcome::Tried);
                    prop_assert!(after <= before || was_kept.map(|x| x.1) == Some(Outcome::Kept));
                }
                Outcome::Tried => prop_assert!(after >= before),
            }
        }
    }

    #[test]
    fn more_equipment_never_takes_a_card_out_of_reach(
        faults in any_faults(), history in any_history(), equipment in any_equipment(), more in any_equipment(),
    ) {
        let fewer = ranked(&faults, &history, AtHand { equipment: &equipment, minutes: None });
        let both: Vec<_> = equipment.iter().chain(&more).copied().collect();
        let all = ranked(&faults, &history, AtHand { equipment: &both, minutes: None });
        for one in &fewer.suggestions {
            let again = all.suggestions.iter().find(|other| other.card.id() == one.card.id()).unwrap();
            prop_assert!(!one.is_possible() || again.is_possible());
        }
    }

    #[test]
    fn what_became_of_other_cards_does_not_change_the_order_of_two(
        faults in any_faults(), history in any_history(),
        card in prop::sample::select(cards().map(|card| card.id).collect::<Vec<_>>()),
        outcome in prop::sample::select(Outcome::ALL),
    ) {
        let mut more = history.clone();
        more.push((card, outcome));
        let without = |history: &[(&str, Outcome)]| {
            let prescription = ranked(&faults, history, EVERYTHING);
            let mut rest: Vec<String> = ids(&prescription).iter().map(|id| (*id).to_owned()).collect();
            rest.retain(|id| id != card);
            rest
        };
        prop_assert_eq!(without(&more), without(&history));
    }
}
