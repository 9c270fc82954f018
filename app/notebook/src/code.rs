//! A stable id out of a list that another crate owns.

use crate::Error;
use serde::{Deserialize, Serialize};
use std::borrow::Borrow;
use std::fmt;

/// A stable text id: an environment, a level, an item of the swing check.
///
/// Text and not an enum, because a record may come from a phone with a newer
/// version of the app: a value this version does not know must be carried on
/// unchanged, never refused and never lost.
///
/// 1 to 64 of the characters a-z, 0-9, hyphen and full stop.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Code(String);

impl Code {
    /// The code that `text` spells.
    ///
    /// # Errors
    /// [`Error::Code`] when `text` has another character or length.
    pub fn new(text: &str) -> Result<Self, Error> {
        let allowed = |c: u8| matches!(c, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.');
        if (1..=64).contains(&text.len()) && text.bytes().all(allowed) {
            Ok(Self(text.to_owned()))
        } else {
            Err(Error::Code(text.chars().take(80).collect()))
        }
    }

    /// The text of the code.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// So that a map by code can be asked by text.
impl Borrow<str> for Code {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for Code {
    type Error = Error;
    fn try_from(text: String) -> Result<Self, Error> {
        Self::new(&text)
    }
}

impl From<Code> for String {
    fn from(code: Code) -> Self {
        code.0
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_of_a_newer_version_is_carried_unchanged() {
        let code: Code = serde_json::from_str("\"launch.some-item-of-next-year\"").unwrap();
        assert_eq!(
            serde_json::to_string(&code).unwrap(),
            "\"launch.some-item-of-next-year\""
        );
    }

    #[test]
    fn text_that_is_no_code_is_refused() {
        for text in ["", "Capital", "white space", "é", &"a".repeat(65)] {
            assert!(Code::new(text).is_err(), "{text:?}");
        }
    }
}
