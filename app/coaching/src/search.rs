//! Finding hitters by name. Texts come in small letters and with their accents
//! taken apart, as the browser makes them (`toLowerCase`, then `normalize` with
//! "NFD"): the tables for that are not brought along. No names are kept here.

use crate::text::extends;

/// Folds a text in small letters and NFD for search: accents go, a few letters
/// that have no parts become plain ones, every sign that is no letter or digit
/// parts two words, and apostrophes join them.
pub fn folded(small_nfd: &str) -> String {
    let mut text = String::new();
    let mut blank = false;
    for c in small_nfd.chars() {
        match c {
            '\'' | '\u{2019}' | '\u{2bc}' => {}
            c if extends(c) => {}
            c if c.is_ascii() && !c.is_ascii_alphanumeric() => blank = true,
            c if c.is_whitespace() || is_dash(c) => blank = true,
            c => {
                if blank && !text.is_empty() {
                    text.push(' ');
                }
                blank = false;
                match plain(c) {
                    Some(letters) => text.push_str(letters),
                    None => text.push(c),
                }
            }
        }
    }
    text
}

fn is_dash(c: char) -> bool {
    matches!(c, '\u{2010}'..='\u{2015}' | '\u{b7}' | '\u{30fb}')
}

/// Latin letters that Unicode does not take apart, as most people type them.
const fn plain(c: char) -> Option<&'static str> {
    Some(match c {
        'ß' => "ss",
        'æ' => "ae",
        'œ' => "oe",
        'ø' => "o",
        'ł' => "l",
        'đ' | 'ð' => "d",
        'þ' => "th",
        'ı' => "i",
        _ => return None,
    })
}

/// How a name answers a search.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fit {
    /// The name begins with what was typed.
    Begins,
    /// Every word typed begins a word of the name.
    Words,
}

/// The places of the names that answer what was typed, best first and in the
/// order given among equals. Both sides are [`folded`]. A name answers when
/// every word typed begins a word of it, each another one; one word also when
/// the name without its blanks begins with it, so that "jd" finds "j d". Nothing
/// typed gives every name.
pub fn search<S: AsRef<str>>(typed: &str, names: &[S]) -> Vec<usize> {
    let words: Vec<&str> = typed.split(' ').filter(|word| !word.is_empty()).collect();
    let mut first = Vec::new();
    let mut rest = Vec::new();
    for (place, name) in names.iter().enumerate() {
        match fit(&words, name.as_ref()) {
            Some(Fit::Begins) => first.push(place),
            Some(Fit::Words) => rest.push(place),
            None => {}
        }
    }
    first.append(&mut rest);
    first
}

/// How a name answers the words typed, if it does.
fn fit(words: &[&str], name: &str) -> Option<Fit> {
    let mut parts: Vec<&str> = name.split(' ').collect();
    let in_order = words.len() <= parts.len()
        && words
            .iter()
            .zip(&parts)
            .enumerate()
            .all(|(place, (word, part))| {
                // All but the last word have to stand in full to begin the name.
                if place + 1 < words.len() {
                    word == part
                } else {
                    part.starts_with(word)
                }
            });
    if in_order || matches!(words, [word] if begins_without_blanks(name, word)) {
        return Some(Fit::Begins);
    }
    // Longest word first. When two words begin one part, the longer begins only
    // parts that the shorter begins too; so whichever part it takes, no choice
    // of the others would have done better.
    let mut waiting: Vec<&str> = words.to_vec();
    while let Some(longest) = (0..waiting.len()).max_by_key(|place| waiting[*place].len()) {
        let word = waiting.swap_remove(longest);
        let fitting = parts.iter().position(|part| part.starts_with(word))?;
        parts.swap_remove(fitting);
    }
    Some(Fit::Words)
}

/// Whether a name without its blanks begins with a word.
fn begins_without_blanks(name: &str, word: &str) -> bool {
    let mut letters = name.chars().filter(|c| *c != ' ');
    word.chars().all(|c| letters.next() == Some(c))
}
