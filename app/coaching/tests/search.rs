//! Finding hitters by name, against the plainest search that comes to mind.

use coaching::search::{folded, search};
use proptest::prelude::*;
use unicode_normalization::UnicodeNormalization;

/// A text as the browser hands it over: small letters, then NFD.
fn as_the_browser(text: &str) -> String {
    folded(&text.to_lowercase().nfd().collect::<String>())
}

fn found(typed: &str, names: &[&str]) -> Vec<usize> {
    let names: Vec<String> = names.iter().map(|name| as_the_browser(name)).collect();
    search(&as_the_browser(typed), &names)
}

#[test]
fn case_accents_and_signs_do_not_matter() {
    for (typed, name) in [
        ("jose", "José"),
        ("JOSÉ", "jose"),
        ("zoe", "Zoë"),
        ("soren", "Søren"),
        ("lukasz", "Łukasz"),
        ("strasse", "Straße"),
        ("oneal", "O'Neal"),
        ("o’neal", "O'Neal"),
        ("j d", "J. D."),
        ("jd", "J.D. Smith"),
        ("mary ann", "Mary-Ann"),
        ("ян", "Ян"),
        ("大", "大輔"),
        ("김", "김민수"),
        ("محمد", "مُحَمَّد"),
    ] {
        assert_eq!(found(typed, &[name]), [0], "{typed} in {name}");
    }
}

#[test]
fn names_that_begin_as_typed_come_first() {
    let names = ["Lee Ann", "Ann", "Ann Lee", "Anna Lee", "Bea"];
    assert_eq!(found("ann", &names), [1, 2, 3, 0]);
    assert_eq!(found("ann l", &names), [2, 0, 3]);
    assert_eq!(found("lee a", &names), [0, 2, 3]);
    assert_eq!(found("", &names), [0, 1, 2, 3, 4]);
    assert_eq!(found(" - ", &names), [0, 1, 2, 3, 4]);
    assert!(found("ann ann", &names).is_empty());
    assert!(found("x", &names).is_empty());
}

/// Whether every word begins a part of its own: tried in every way there is.
fn answers(words: &[&str], parts: &[&str]) -> bool {
    let Some((word, rest)) = words.split_first() else {
        return true;
    };
    (0..parts.len()).any(|place| {
        let mut others = parts.to_vec();
        others.remove(place).starts_with(word) && answers(rest, &others)
    })
}

/// Whether the name itself begins with the words: all whole but the last. A
/// single word may run over the blanks of the name.
fn begins(words: &[&str], name: &str) -> bool {
    if let [word] = words {
        return name.replace(' ', "").starts_with(word);
    }
    words.is_empty() || name == words.join(" ") || name.starts_with(&words.join(" "))
}

fn plainly(typed: &str, names: &[String]) -> Vec<usize> {
    let words: Vec<&str> = typed.split(' ').filter(|word| !word.is_empty()).collect();
    let answering = |place: &usize| {
        let parts: Vec<&str> = names[*place].split(' ').collect();
        answers(&words, &parts) || begins(&words, &names[*place])
    };
    let all: Vec<usize> = (0..names.len()).filter(answering).collect();
    let first = all.iter().filter(|place| begins(&words, &names[**place]));
    let rest = all.iter().filter(|place| !begins(&words, &names[**place]));
    first.chain(rest).copied().collect()
}

/// Names and searches of few letters, so that words often begin each other.
fn words() -> impl Strategy<Value = String> {
    prop::collection::vec("[ab]{1,3}", 1..4).prop_map(|words| words.join(" "))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn the_search_finds_what_the_plainest_search_finds_in_the_same_order(
        typed in prop_oneof![words(), Just(String::new())],
        names in prop::collection::vec(words(), 0..12),
    ) {
        prop_assert_eq!(search(&typed, &names), plainly(&typed, &names));
    }

    #[test]
    fn a_name_is_found_by_each_of_its_beginnings(name in "\\PC{1,20}") {
        let name = as_the_browser(&name);
        for (end, _) in name.char_indices().filter(|(_, c)| *c != ' ') {
            prop_assert_eq!(search(&name[..end], &[&name]), [0]);
        }
    }

    #[test]
    fn folding_what_is_folded_changes_nothing(text in any::<String>()) {
        let once = as_the_browser(&text);
        prop_assert_eq!(folded(&once), once.clone());
        prop_assert!(!once.contains("  ") && once.trim() == once);
    }
}
