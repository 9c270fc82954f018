//! What a hitter's name may be: as typed, and as typed by somebody unkind.

use coaching::Error;
use coaching::names::{LONGEST, MOST_CODE_POINTS, NameError, hitter_name};
use proptest::prelude::*;
use unicode_segmentation::UnicodeSegmentation;

/// The name kept, or what refused it.
fn kept(typed: &str) -> Result<String, NameError> {
    hitter_name(typed)
}

#[test]
fn names_and_initials_stay_as_typed() {
    for name in [
        "J. D.",
        "Ana",
        "O'Neal-Smith 2",
        "Zoë",
        "Zoe\u{308}",
        "שָׁלוֹם",
        "محمد",
        "می\u{200c}خواهم",
        "大輔",
        "अनिल",
        "👩‍🚀",
        "Kid ⚾️🥎",
        "👍🏽 🇩🇪 🏴󠁧󠁢󠁥󠁮󠁧󠁿",
    ] {
        assert_eq!(kept(name).as_deref(), Ok(name));
    }
}

#[test]
fn blanks_around_go_and_blanks_inside_become_one() {
    for typed in [
        "  Ana  Maria ",
        "Ana\tMaria\r\n",
        "\u{a0}Ana\u{3000}\u{2028}Maria",
        "Ana \u{202e} Maria",
    ] {
        assert_eq!(kept(typed).as_deref(), Ok("Ana Maria"), "{typed:?}");
    }
}

#[test]
fn controls_and_turns_of_direction_are_taken_out() {
    let unkind = [
        "\0",
        "\u{1b}",
        "\u{7f}",
        "\u{85}\u{9f}", // controls
        "\u{202a}",
        "\u{202b}",
        "\u{202c}",
        "\u{202d}",
        "\u{202e}", // embeddings, overrides
        "\u{2066}",
        "\u{2067}",
        "\u{2068}",
        "\u{2069}", // isolates
        "\u{200e}",
        "\u{200f}",
        "\u{61c}", // marks
        "\u{200b}",
        "\u{2060}",
        "\u{feff}",
        "\u{ad}", // no width
    ];
    for bad in unkind {
        // Next line (U+0085) is a blank by Unicode; the rest leave nothing.
        let expected = if bad.starts_with('\u{85}') {
            "A na"
        } else {
            "Ana"
        };
        assert_eq!(
            kept(&format!("A{bad}na")).as_deref(),
            Ok(expected),
            "{bad:?}"
        );
        assert_eq!(
            kept(&format!("{bad}Ana{bad}")).as_deref(),
            Ok("Ana"),
            "{bad:?}"
        );
        assert_eq!(kept(bad), Err(NameError::Empty), "{bad:?}");
    }
    assert_eq!(kept("\u{202e}محمد\u{202c}").as_deref(), Ok("محمد"));
}

#[test]
fn a_name_that_shows_nothing_is_empty() {
    for typed in [
        "",
        " \t\r\n",
        "\u{200d}\u{200c}",
        "\u{fe0f}",
        "\u{e0067}\u{e007f}",
        "\u{3164}",
        "\u{2800} \u{115f}",
        &" ".repeat(10_000),
        &"\u{202e}".repeat(10_000),
    ] {
        assert_eq!(kept(typed), Err(NameError::Empty), "{typed:?}");
    }
}

#[test]
fn forty_characters_fit_and_one_more_does_not() {
    // One character as a person counts, by letter, accent, emoji, family, flag.
    for one in ["x", "e\u{301}", "שָׁ", "م", "大", "⚾️", "👍🏽", "👨‍👩‍👧‍👦", "🇩🇪"]
    {
        let forty = one.repeat(LONGEST);
        assert_eq!(kept(&forty).as_deref(), Ok(&*forty), "{one}");
        assert_eq!(
            kept(&format!("  {forty}{one}")),
            Err(NameError::TooLong { given: LONGEST + 1 }),
            "{one}"
        );
    }
}

#[test]
fn ten_thousand_characters_are_refused_with_their_number() {
    for one in ["x", "م", "👨‍👩‍👧‍👦", "🇩🇪"] {
        assert_eq!(
            kept(&one.repeat(10_000)),
            Err(NameError::TooLong { given: 10_000 })
        );
    }
    // A rule that looked back at each step would not end here within a day.
    assert_eq!(
        kept(&"e\u{301} ".repeat(2_000_000)),
        Err(NameError::TooLong { given: 3_999_999 })
    );
}

#[test]
fn a_pile_of_accents_on_one_letter_is_refused() {
    let pile = |marks| format!("e{}", "\u{301}".repeat(marks));
    let most = pile(MOST_CODE_POINTS - 1);
    assert_eq!(kept(&most).as_deref(), Ok(&*most));
    assert_eq!(
        kept(&pile(10_000)),
        Err(NameError::TooManyMarks { given: 10_001 })
    );
}

#[test]
fn a_refusal_names_the_field_the_range_and_what_is_kept_but_not_the_text() {
    let sentence = |typed: &str| Error::from(kept(typed).unwrap_err()).to_string();
    assert_eq!(
        sentence(""),
        "Name: 1 to 40 characters are needed, and none was given. What was there before is kept."
    );
    assert_eq!(
        sentence(&"Q".repeat(10_000)),
        "Name: 1 to 40 characters are allowed, and 10000 were given. What was there before is kept."
    );
    assert_eq!(
        sentence(&format!("Q{}", "\u{301}".repeat(999))),
        "Name: 1 to 40 characters are allowed, with up to 400 letters, accents and signs in all, and 1000 were given. What was there before is kept."
    );
}

/// Pieces of the scripts and emoji for which our count claims to be Unicode's.
const COUNTED_EXACTLY: &[&str] = &[
    "a",
    "é",
    "e\u{301}",
    "\u{308}",
    "ж",
    "ש",
    "\u{5b8}",
    "\u{5c1}",
    "ب",
    "\u{64b}",
    "\u{670}",
    "漢",
    "-",
    "👩",
    "👨",
    "👧",
    "👍",
    "⚾",
    "🥎",
    "❤",
    "🏽",
    "\u{fe0f}",
    "\u{200d}",
    "\u{200c}",
    "🇩",
    "🇪",
    "\u{20e3}",
    "1",
    "🏴",
    "\u{e0067}",
    "\u{e007f}",
];

/// Pieces of scripts in which ours may count more, never less.
const COUNTED_AT_LEAST: &[&str] = &[
    "अ", "न", "\u{93f}", "\u{94d}", "ก", "\u{e31}", "ᄒ", "ᅡ", "ᆫ", "한", "த", "\u{bbf}", "a", "👩",
    "\u{200d}",
];

/// Our count and UAX #29's by unicode-segmentation, of 41 letters and the text:
/// a refusal is the one place where the count shows.
fn counts_of(pieces: Vec<&str>) -> (usize, usize) {
    let text = "a".repeat(LONGEST + 1) + &pieces.concat();
    match kept(&text) {
        Err(NameError::TooLong { given }) => (given, text.graphemes(true).count()),
        other => panic!("{other:?} for {text:?}"),
    }
}

proptest! {
    #[test]
    fn characters_are_counted_as_unicode_does(
        pieces in prop::collection::vec(prop::sample::select(COUNTED_EXACTLY), 0..30)
    ) {
        let (ours, unicode) = counts_of(pieces);
        prop_assert_eq!(ours, unicode);
    }

    #[test]
    fn in_other_scripts_no_fewer_are_counted_than_unicode_does(
        pieces in prop::collection::vec(prop::sample::select(COUNTED_AT_LEAST), 0..30)
    ) {
        let (ours, unicode) = counts_of(pieces);
        prop_assert!(ours >= unicode, "{} against {}", ours, unicode);
    }

    #[test]
    fn a_kept_name_is_tidy_and_stays_as_it_is(typed in any::<String>()) {
        if let Ok(name) = kept(&typed) {
            prop_assert_eq!(kept(&name), Ok(name.clone()));
            prop_assert_eq!(name.trim(), &name);
            prop_assert!(!name.contains("  "));
            prop_assert!(!name.chars().any(char::is_control));
            prop_assert!((1..=MOST_CODE_POINTS).contains(&name.chars().count()));
        }
    }
}
