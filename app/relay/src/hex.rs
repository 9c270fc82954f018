//! Small hexadecimal digits, as ids stand in addresses and answers.

/// The digits of `bytes`, lower case.
#[must_use]
pub fn to_hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The bytes that exactly 2 N lower-case digits spell.
#[must_use]
pub fn from_hex<const N: usize>(text: &str) -> Option<[u8; N]> {
    let digits = text.as_bytes();
    let odd = |digit: &u8| !matches!(digit, b'0'..=b'9' | b'a'..=b'f');
    if digits.len() != 2 * N || digits.iter().any(odd) {
        return None;
    }
    let mut bytes = [0; N];
    for (byte, at) in bytes.iter_mut().zip((0..).step_by(2)) {
        *byte = u8::from_str_radix(&text[at..at + 2], 16).ok()?;
    }
    Some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_one_spelling_of_bytes_is_read() {
        assert_eq!(from_hex::<2>("0aff"), Some([0x0a, 0xff]));
        assert_eq!(to_hex(&[0x0a, 0xff]), "0aff");
        for odd in ["0AFF", "0af", "0aff0", "+aff", "0a f", ""] {
            assert_eq!(from_hex::<2>(odd), None, "{odd}");
        }
    }
}
