//! Bytes as the stores keep them: small hexadecimal digits in JSON.

use serde::{Deserialize, Serialize};

/// Bytes that are written as hexadecimal digits.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct Hex(pub Vec<u8>);

impl From<Hex> for String {
    fn from(hex: Hex) -> Self {
        to_hex(&hex.0)
    }
}

impl TryFrom<String> for Hex {
    type Error = &'static str;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        let digit = |c: &u8| {
            char::from(*c)
                .to_digit(16)
                .and_then(|d| u8::try_from(d).ok())
        };
        let pair = |pair: &[u8; 2]| Some(digit(&pair[0])? << 4 | digit(&pair[1])?);
        let (pairs, rest) = text.as_bytes().as_chunks();
        let bytes: Option<Vec<u8>> = pairs.iter().map(pair).collect();
        match bytes {
            Some(bytes) if rest.is_empty() => Ok(Self(bytes)),
            _ => Err("no hexadecimal digits"),
        }
    }
}

/// Small hexadecimal digits of `bytes`.
pub fn to_hex(bytes: &[u8]) -> String {
    let digit = |nibble: u8| char::from_digit(u32::from(nibble), 16).unwrap_or('0');
    bytes
        .iter()
        .flat_map(|byte| [digit(byte >> 4), digit(byte & 15)])
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_are_read_back_as_written_and_nothing_else_is_read() {
        let hex = Hex((0..=255).collect());
        let text = String::from(hex.clone());
        assert!(text.starts_with("000102") && text.ends_with("feff"));
        assert_eq!(Hex::try_from(text), Ok(hex));
        assert!(Hex::try_from("0".to_owned()).is_err());
        assert!(Hex::try_from("0g".to_owned()).is_err());
    }
}
