//! Edits on several phones, in any order and with clocks that lie, end the same
//! everywhere and lose nothing.

use devices::copies::copies as phones;
use devices::time::set_wall_s;
use notebook::Record;
use proptest::prelude::*;

#[derive(Debug, Clone)]
enum Act {
    Rename(usize, String),
    Remove(usize, bool),
    TakeIn(usize, usize),
    ClockTo(u64),
}

fn acts() -> impl Strategy<Value = Vec<Act>> {
    let phone = 0..4_usize;
    let act = prop_oneof![
        (phone.clone(), "[a-z]{1,6}").prop_map(|(p, name)| Act::Rename(p, name)),
        (phone.clone(), any::<bool>()).prop_map(|(p, removed)| Act::Remove(p, removed)),
        (phone.clone(), phone).prop_map(|(to, from)| Act::TakeIn(to, from)),
        // From 1996 to 2065: a phone's clock may say anything.
        (820_000_000..3_000_000_000_u64).prop_map(Act::ClockTo),
    ];
    prop::collection::vec(act, 0..40)
}

proptest! {
    #[test]
    fn all_phones_end_with_the_same_hitter_and_every_name_is_kept(acts in acts()) {
        let mut phones = phones(4);
        let mut written = vec!["first".to_owned()];
        for act in acts {
            match act {
                Act::Rename(phone, name) => {
                    phones[phone].rename(&name);
                    prop_assert_eq!(phones[phone].hitter.name.get(), &name, "own edit wins");
                    written.push(name);
                }
                Act::Remove(phone, removed) => {
                    phones[phone].set_removed(removed);
                    prop_assert_eq!(phones[phone].hitter.head.is_removed(), removed);
                }
                Act::TakeIn(to, from) => {
                    let copy = phones[from].hitter.clone();
                    phones[to].take_in(&copy);
                }
                Act::ClockTo(wall_s) => set_wall_s(wall_s),
            }
        }
        let copies: Vec<_> = phones.iter().map(|phone| phone.hitter.clone()).collect();
        let (mut onward, mut backward) = (copies[0].clone(), copies[3].clone());
        copies.iter().for_each(|copy| onward.merge(copy));
        copies.iter().rev().for_each(|copy| backward.merge(copy));
        prop_assert_eq!(&onward, &backward, "any order");
        // Associative: merging two halves that were merged before.
        let (mut left, mut right) = (copies[0].clone(), copies[2].clone());
        left.merge(&copies[1]);
        right.merge(&copies[3]);
        left.merge(&right);
        prop_assert_eq!(&left, &onward, "any grouping");
        let once = onward.clone();
        onward.merge(&once);
        prop_assert_eq!(&onward, &once, "merging again changes nothing");
        for name in written {
            let kept = *once.name.get() == name
                || once.name.past().iter().any(|past| past.value == name);
            prop_assert!(kept, "{name} is lost");
        }
    }
}
