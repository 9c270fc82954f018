//! Records of one hitter joined by the coach, and taken apart again.

use std::collections::BTreeSet;

use coaching::joins::{Join, Joined};
use proptest::prelude::*;

fn join(one: u8, other: u8) -> Join<u8> {
    Join {
        one,
        other,
        undone: false,
    }
}

#[test]
fn the_oldest_record_stands_for_a_hitter() {
    let joined = Joined::of(&[join(7, 3), join(9, 7)]);
    assert_eq!(joined.first(9), 3);
    assert_eq!(joined.records_of(7), [3, 7, 9]);
    assert_eq!(joined.first(5), 5);
    assert_eq!(joined.records_of(5), [5]);
}

#[test]
fn taking_a_join_back_parts_only_what_no_other_join_holds() {
    let mut joins = [join(1, 2), join(2, 3), join(1, 3), join(3, 4)];
    joins[2].undone = true;
    assert_eq!(Joined::of(&joins).records_of(1), [1, 2, 3, 4]);
    joins[1].undone = true;
    assert_eq!(Joined::of(&joins).records_of(1), [1, 2]);
    assert_eq!(Joined::of(&joins).records_of(4), [3, 4]);
    joins[1].undone = false;
    joins[2].undone = false;
    assert_eq!(Joined::of(&joins).records_of(4), [1, 2, 3, 4]);
}

/// The plain way: walk from a record over every standing join.
fn reachable(joins: &[Join<u8>], from: u8) -> Vec<u8> {
    let mut found = BTreeSet::from([from]);
    loop {
        let before = found.len();
        for join in joins.iter().filter(|join| !join.undone) {
            if found.contains(&join.one) || found.contains(&join.other) {
                found.extend([join.one, join.other]);
            }
        }
        if found.len() == before {
            return found.into_iter().collect();
        }
    }
}

fn joins() -> impl Strategy<Value = Vec<Join<u8>>> {
    let one = (0_u8..14, 0_u8..14, prop::bool::weighted(0.3));
    let one = one.prop_map(|(one, other, undone)| Join { one, other, undone });
    prop::collection::vec(one, 0..16)
}

proptest! {
    #[test]
    fn records_are_joined_just_when_a_chain_of_joins_leads_from_one_to_the_other(joins in joins()) {
        let joined = Joined::of(&joins);
        for id in 0..15 {
            let records = reachable(&joins, id);
            prop_assert_eq!(joined.first(id), records[0]);
            prop_assert_eq!(joined.records_of(id), records);
        }
    }

    #[test]
    fn the_order_of_joins_does_not_matter(
        (joins, other) in joins().prop_flat_map(|joins| (Just(joins.clone()), Just(joins).prop_shuffle()))
    ) {
        for id in 0..14 {
            prop_assert_eq!(Joined::of(&joins).first(id), Joined::of(&other).first(id));
        }
    }

    #[test]
    fn joining_and_taking_it_back_leaves_everything_as_it_was(joins in joins(), one in 0_u8..14, other in 0_u8..14) {
        let mut more = joins.clone();
        more.push(Join { one, other, undone: true });
        prop_assert_eq!(Joined::of(&more), Joined::of(&joins));
    }
}
