//! A coach's own items and order, merged with the built-in list.

use coaching::Error;
use coaching::check::{ITEMS, Phase, Skill, View};
use coaching::checklist::{Arrangement, CheckList};
use coaching::own::{ItemError, ItemField, OwnItem, is_own_id};
use coaching::vocabulary::Sport;
use proptest::prelude::*;

fn own(id: &str, phase: Phase) -> OwnItem {
    OwnItem {
        id: id.to_owned(),
        phase,
        skill: Skill::Swing,
        sport: None,
        title: format!("Item {id}"),
        view: View::OpenSide,
        good: "Good.".to_owned(),
        fault: "Not good.".to_owned(),
        how: String::new(),
    }
}

fn arranged(order: &[&str], hidden: &[&str]) -> Arrangement {
    let owned = |ids: &[&str]| ids.iter().map(|id| (*id).to_owned()).collect();
    Arrangement {
        order: owned(order),
        hidden: owned(hidden),
    }
}

fn ids<'a>(list: &CheckList<'a>, phase: Phase) -> Vec<&'a str> {
    list.phase(phase).map(|(_, item)| item.id).collect()
}

fn swing<'a>(own: &'a [OwnItem], arrangement: &'a Arrangement) -> CheckList<'a> {
    CheckList::merged(Skill::Swing, Sport::Softball, own, arrangement)
}

#[test]
fn with_nothing_of_the_coach_the_list_is_the_built_in_one() {
    for skill in Skill::ALL {
        let none = Arrangement::default();
        let list = CheckList::merged(*skill, Sport::Baseball, &[], &none);
        assert_eq!(list, CheckList::built_in(*skill));
        let ids = list.items.iter().map(|item| item.id);
        assert!(ids.eq(skill.items().iter().map(|item| item.id)));
    }
}

#[test]
fn own_items_stand_last_in_their_phase_until_the_coach_moves_them() {
    let own = [
        own("own.hands", Phase::Load),
        own("own.eyes", Phase::Approach),
    ];
    let none = Arrangement::default();
    let list = swing(&own, &none);
    assert_eq!(ids(&list, Phase::Load).last(), Some(&"own.hands"));
    assert_eq!(ids(&list, Phase::Approach).last(), Some(&"own.eyes"));

    let order = arranged(&["own.hands", "load-control"], &[]);
    let list = swing(&own, &order);
    assert_eq!(
        ids(&list, Phase::Load),
        [
            "load-back-hip",
            "load-back-foot",
            "load-front-hip",
            "own.hands",
            "load-control",
            "load-same-launch"
        ],
        "what the order does not name follows its neighbour"
    );
}

#[test]
fn an_item_that_the_order_does_not_name_follows_its_neighbour() {
    // As if a newer version had brought launch-head after this order was made.
    let order = arranged(
        &[
            "launch-tilt",
            "launch-both-ways",
            "launch-balance",
            "launch-turn",
            "launch-again",
        ],
        &[],
    );
    assert_eq!(
        ids(&swing(&[], &order), Phase::LaunchPosition),
        [
            "launch-tilt",
            "launch-both-ways",
            "launch-head",
            "launch-balance",
            "launch-turn",
            "launch-again"
        ]
    );
}

#[test]
fn an_item_of_another_sport_or_skill_is_not_asked() {
    let mut softball = own("own.softball", Phase::Load);
    softball.sport = Some(Sport::Softball);
    let mut bunt = own("own.bunt", Phase::Load);
    bunt.skill = Skill::Bunt;
    let all = [softball, bunt];
    let order = arranged(&["own.bunt", "bunt-knees"], &["own.softball"]);
    for (skill, sport, expected) in [
        (Skill::Swing, Sport::Softball, None),
        (Skill::Bunt, Sport::Softball, Some("own.bunt")),
    ] {
        let list = CheckList::merged(skill, sport, &all, &order);
        let own = list.items.iter().find(|item| item.is_own());
        assert_eq!(own.map(|item| item.id), expected);
        assert!(list.newer.is_empty(), "known, though not of this list");
    }
    let none = Arrangement::default();
    let list = CheckList::merged(Skill::Swing, Sport::Baseball, &all, &none);
    assert!(!list.items.iter().any(|item| item.is_own()));
}

#[test]
fn what_is_hidden_is_not_asked_and_a_phase_is_never_left_empty() {
    let hidden = arranged(&[], &["load-control", "load-back-foot"]);
    let list = swing(&[], &hidden);
    assert_eq!(
        ids(&list, Phase::Load),
        ["load-back-hip", "load-front-hip", "load-same-launch"]
    );
    assert_eq!(list.hidden.len(), 2);
    assert!(list.not_hidden.is_empty());

    let all: Vec<&str> = Phase::Load.items().map(|item| item.id).collect();
    let hidden = arranged(&[], &all);
    let list = swing(&[], &hidden);
    assert_eq!(ids(&list, Phase::Load), all);
    assert_eq!(list.not_hidden, [Phase::Load]);

    let hidden = arranged(&[], &all[1..]);
    let list = swing(&[], &hidden);
    assert!(!list.may_hide(all[0]) && list.may_hide("launch-head"));
}

#[test]
fn an_id_of_a_newer_version_is_carried_and_told_and_not_asked() {
    let order = arranged(
        &["launch-next-year", "launch-head"],
        &["own.of-another-phone"],
    );
    let list = swing(&[], &order);
    assert_eq!(list.newer, ["launch-next-year", "own.of-another-phone"]);
    assert_eq!(list.items.len(), ITEMS.len());
    let moved = order.moved(&list, "launch-head", false);
    assert!(moved.order.contains(&"launch-next-year".to_owned()));
    assert_eq!(moved.hidden, order.hidden);
}

#[test]
fn moving_an_item_changes_places_with_its_neighbour_within_the_phase() {
    let none = Arrangement::default();
    let list = swing(&[], &none);
    let moved = none.moved(&list, "launch-head", true);
    let after = swing(&[], &moved);
    assert_eq!(
        ids(&after, Phase::LaunchPosition)[..3],
        ["launch-balance", "launch-head", "launch-both-ways"]
    );
    assert_eq!(
        swing(&[], &moved.moved(&after, "launch-head", false)).items,
        list.items
    );
    for (id, up) in [
        ("launch-balance", true),
        ("launch-tilt", false),
        ("no-such", true),
    ] {
        assert_eq!(none.moved(&list, id, up), none);
    }
}

#[test]
fn an_own_item_is_tidied_or_refused_with_field_and_range() {
    let mut item = own("own.a", Phase::Load);
    item.title = "  Hands   back ".to_owned();
    assert_eq!(item.clone().checked().unwrap().title, "Hands back");
    item.title = "x".repeat(41);
    let refused = item.clone().checked().unwrap_err();
    assert_eq!(
        refused,
        ItemError::Length {
            field: ItemField::Title,
            given: 41
        }
    );
    assert_eq!(
        Error::from(refused).to_string(),
        "Title: 1 to 40 characters are allowed, and 41 were given. What was there before is kept."
    );
    item.title = String::new();
    assert!(item.clone().checked().is_err());
    for id in [
        "own.",
        "launch-head",
        "own.Capital",
        "own.white space",
        &format!("own.{}", "a".repeat(61)),
    ] {
        assert!(!is_own_id(id), "{id}");
        item.id = id.to_owned();
        assert_eq!(item.clone().checked(), Err(ItemError::Id));
    }
}

fn any_id() -> impl Strategy<Value = String> {
    let known = ITEMS.iter().map(|item| item.id);
    let others = [
        "own.a",
        "own.b",
        "own.gone",
        "of-a-newer-version",
        "bunt-knees",
    ];
    prop::sample::select(known.chain(others).collect::<Vec<_>>()).prop_map(str::to_owned)
}

fn any_arrangement() -> impl Strategy<Value = Arrangement> {
    let ids = || prop::collection::vec(any_id(), 0..24);
    (ids(), ids()).prop_map(|(order, hidden)| Arrangement { order, hidden })
}

proptest! {
    #[test]
    fn every_item_is_asked_or_hidden_once_whatever_the_arrangement(arrangement in any_arrangement()) {
        let own = [own("own.a", Phase::Load), own("own.b", Phase::FullSwing)];
        let list = swing(&own, &arrangement);
        let mut all: Vec<_> = list.items.iter().chain(&list.hidden).map(|item| item.id).collect();
        all.sort_unstable();
        let mut expected: Vec<_> = ITEMS.iter().map(|item| item.id).chain(["own.a", "own.b"]).collect();
        expected.sort_unstable();
        prop_assert_eq!(all, expected);
        prop_assert!(list.items.is_sorted_by_key(|item| item.phase));
        for phase in Phase::ALL {
            prop_assert!(list.phase(*phase).count() > 0);
        }
        for id in ["own.gone", "of-a-newer-version"] {
            let named = arrangement.order.iter().chain(&arrangement.hidden).any(|known| known == id);
            prop_assert_eq!(list.newer.iter().filter(|newer| **newer == id).count(), usize::from(named));
        }
    }

    #[test]
    fn the_order_given_is_the_order_shown(arrangement in any_arrangement()) {
        let list = swing(&[], &arrangement);
        for phase in Phase::ALL {
            let shown = ids(&list, *phase);
            let mut first: Vec<&str> = Vec::new();
            for id in &arrangement.order {
                if shown.contains(&id.as_str()) && !first.contains(&id.as_str()) {
                    first.push(id);
                }
            }
            let among: Vec<&str> = shown.into_iter().filter(|id| first.contains(id)).collect();
            prop_assert_eq!(among, first);
        }
    }

    #[test]
    fn moving_loses_no_id(arrangement in any_arrangement(), id in any_id(), up in any::<bool>()) {
        let own = [own("own.a", Phase::Load), own("own.b", Phase::FullSwing)];
        let list = swing(&own, &arrangement);
        let moved = arrangement.moved(&list, &id, up);
        for kept in &arrangement.order {
            prop_assert!(moved.order.contains(kept));
        }
        let after = swing(&own, &moved);
        prop_assert_eq!(&after.newer.len(), &list.newer.len());
        let changed = list.items.iter().zip(&after.items).filter(|(was, is)| was.id != is.id).count();
        prop_assert!(changed == 0 || changed == 2, "{} places changed", changed);
    }

    #[test]
    fn hiding_and_asking_again_leaves_the_list_as_it_was(arrangement in any_arrangement(), id in any_id()) {
        let back = arrangement.with_hidden(&id, true).with_hidden(&id, false);
        let shown = arrangement.with_hidden(&id, false);
        prop_assert_eq!(swing(&[], &back), swing(&[], &shown));
    }
}
