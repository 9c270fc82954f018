//! The list of the roster against the plain way of making it.

use coaching::joins::{Join, Joined};
use coaching::listing::{Entry, listed};
use coaching::search::search;
use proptest::prelude::*;

fn entry(id: u8, name: &str, archived: bool) -> Entry<u8> {
    Entry {
        id,
        name: name.to_owned(),
        archived,
    }
}

fn join(one: u8, other: u8) -> Join<u8> {
    Join {
        one,
        other,
        undone: false,
    }
}

#[test]
fn joined_records_are_one_row_and_either_name_finds_it() {
    let entries = [
        entry(2, "ana", false),
        entry(1, "wren", false),
        entry(3, "wren b", false),
    ];
    let joined = Joined::of(&[join(2, 3)]);
    let all = |typed| listed(&entries, &joined, typed, false, |_| true);
    assert_eq!(all(""), [2, 1]);
    assert_eq!(all("ana"), [2]);
    assert_eq!(all("wren"), [1, 2]);
    assert_eq!(all("nobody"), Vec::<u8>::new());
}

#[test]
fn a_record_stands_for_those_joined_only_while_it_is_here() {
    let entries = [entry(3, "wren b", false), entry(4, "wr", false)];
    // Record 2 was removed, or never came to this phone.
    let joined = Joined::of(&[join(2, 3), join(3, 4)]);
    assert_eq!(listed(&entries, &joined, "", false, |_| true), [3]);
}

#[test]
fn archived_hitters_are_listed_apart() {
    let entries = [entry(1, "ana", true), entry(2, "bo", false)];
    let joined = Joined::of(&[]);
    assert_eq!(listed(&entries, &joined, "", false, |_| true), [2]);
    assert_eq!(listed(&entries, &joined, "", true, |_| true), [1]);
}

proptest! {
    #[test]
    fn every_hitter_is_in_one_of_the_two_lists_once(
        names in proptest::collection::vec(("[a-c]{1,3}( [a-c]{1,2})?", any::<bool>()), 0..12),
        joins in proptest::collection::vec((0u8..12, 0u8..12, any::<bool>()), 0..6),
        members in proptest::collection::btree_set(0u8..12, 0..12),
        typed in "[a-c]{0,2}",
    ) {
        let entries: Vec<Entry<u8>> = names
            .iter()
            .enumerate()
            .map(|(id, (name, archived))| entry(id as u8, name, *archived))
            .collect();
        let here = |id: u8| usize::from(id) < entries.len();
        let joins: Vec<Join<u8>> = joins
            .iter()
            .map(|(one, other, undone)| Join { one: *one, other: *other, undone: *undone })
            .collect();
        let joined = Joined::of(&joins);
        let in_group = |id: u8| members.contains(&id);
        for archived in [false, true] {
            let got = listed(&entries, &joined, &typed, archived, in_group);
            // The plain way: each hitter is the set of its records.
            let mut wanted = Vec::new();
            for one in &entries {
                let records: Vec<u8> = (0..12).filter(|id| joined.is_same(*id, one.id)).collect();
                let first = *records.iter().find(|id| here(**id)).expect("this one is here");
                let found = records.iter().filter(|id| here(**id)).any(|id| {
                    !search(&typed, &[entries[usize::from(*id)].name.as_str()]).is_empty()
                });
                let fits = entries[usize::from(first)].archived == archived
                    && records.iter().any(|id| in_group(*id));
                if found && fits && !wanted.contains(&first) {
                    wanted.push(first);
                }
            }
            let mut sorted = got.clone();
            sorted.sort_unstable();
            wanted.sort_unstable();
            prop_assert_eq!(&sorted, &wanted);
            sorted.dedup();
            prop_assert_eq!(sorted.len(), got.len());
        }
    }
}
