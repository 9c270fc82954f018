//! Decimal numbers as people type them, with a point or a comma.
//!
//! Own code and not `str::parse`: in the browser that weighs 15 KB, for
//! exponents, infinities and correct rounding of any number of digits. Here at
//! most 15 digits are taken; their whole number and the power of ten are both
//! exact in an `f64`, so one division rounds correctly and the result is the
//! very one of `str::parse`.

/// Most digits that count (those after leading zeros).
const MOST_DIGITS: usize = 15;

/// Splits a number without sign off the front of a text: digits, and at most
/// one point or comma among or before them. Returns it and the rest.
///
/// `None` when the text does not begin with a number, or with one of more than
/// 15 digits. "1,000" is 1: a comma is a decimal comma.
pub(crate) fn split_decimal(text: &str) -> Option<(f64, &str)> {
    let mut whole: u64 = 0;
    let mut digits = 0;
    let mut seen = 0;
    let mut decimals: Option<i32> = None;
    let mut end = text.len();
    for (at, character) in text.char_indices() {
        match (character, decimals) {
            ('0'..='9', _) => {
                whole = whole * 10 + u64::from(character as u32 - '0' as u32);
                seen += 1;
                digits += usize::from(whole > 0);
                if let Some(places) = &mut decimals {
                    *places += 1;
                }
                // Leading zeros of a fraction count as places.
                if digits > MOST_DIGITS || seen > 2 * MOST_DIGITS {
                    return None;
                }
            }
            ('.' | ',', None) => decimals = Some(0),
            _ => {
                end = at;
                break;
            }
        }
    }
    if seen == 0 {
        return None;
    }
    // A point that ends a sentence is not part of the number, but does no harm.
    let places = decimals.unwrap_or(0);
    let value = match places {
        0..=22 => whole as f64 / power_of_ten(places),
        // So many places hold nothing but zeros in front.
        _ => whole as f64 / power_of_ten(22) / power_of_ten(places - 22),
    };
    Some((value, &text[end..]))
}

/// Ten to a power from 0 to 22, exactly.
fn power_of_ten(power: i32) -> f64 {
    (0..power).fold(1.0, |value, _| value * 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn point_and_comma_are_the_same_and_the_rest_is_left() {
        assert_eq!(split_decimal("18.44m"), Some((18.44, "m")));
        assert_eq!(split_decimal("18,44 m"), Some((18.44, " m")));
        assert_eq!(split_decimal("92"), Some((92.0, "")));
        assert_eq!(split_decimal(".5"), Some((0.5, "")));
        assert_eq!(split_decimal("5."), Some((5.0, "")));
        assert_eq!(split_decimal("007"), Some((7.0, "")));
        assert_eq!(split_decimal("1.2.3"), Some((1.2, ".3")));
    }

    #[test]
    fn what_does_not_begin_with_a_number_is_none() {
        for text in [
            "",
            " 5",
            "-5",
            "+5",
            "e5",
            ".",
            ",",
            "m",
            "½",
            "٥",
            "1234567890123456",
        ] {
            assert_eq!(split_decimal(text), None, "{text}");
        }
    }

    proptest! {
        #[test]
        fn a_number_is_the_very_one_that_the_standard_library_reads(
            text in "[0-9]{1,8}(\\.[0-9]{0,7})?",
        ) {
            let (ours, rest) = split_decimal(&text).unwrap();
            prop_assert_eq!(ours.to_bits(), text.parse::<f64>().unwrap().to_bits());
            prop_assert_eq!(rest, "");
        }

        #[test]
        fn small_fractions_are_read_as_well(text in "0?\\.0{0,14}[0-9]{1,15}") {
            let (ours, _) = split_decimal(&text).unwrap();
            let theirs = text.parse::<f64>().unwrap();
            prop_assert!((ours - theirs).abs() <= 1e-15 * theirs);
        }

        #[test]
        fn no_text_whatever_makes_it_panic(text in ".*") {
            if let Some((value, rest)) = split_decimal(&text) {
                prop_assert!(value.is_finite() && value >= 0.0);
                prop_assert!(text.ends_with(rest));
            }
        }
    }
}
