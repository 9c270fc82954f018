//! What a hitter's name or initials may be. One rule for every screen and for
//! every import; no storage and no search here.

/// The most characters a name may have, as a person counts them.
pub const LONGEST: usize = 40;

/// The most code points those characters may take. A family emoji takes seven
/// and a pointed Hebrew letter three; a pile of accents takes hundreds.
pub const MOST_CODE_POINTS: usize = 400;

/// Why a name was refused. Only lengths are told, never the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NameError {
    /// Nothing visible was given.
    #[error(
        "Name: 1 to {LONGEST} characters are needed, and none was given. What was there before is kept."
    )]
    Empty,
    /// More than [`LONGEST`] characters.
    #[error(
        "Name: 1 to {LONGEST} characters are allowed, and {given} were given. What was there before is kept."
    )]
    TooLong {
        /// Characters given, after tidying.
        given: usize,
    },
    /// Few characters, with more accents and joins on them than are kept.
    #[error(
        "Name: 1 to {LONGEST} characters are allowed, with up to {MOST_CODE_POINTS} letters, accents and signs in all, and {given} were given. What was there before is kept."
    )]
    TooManyMarks {
        /// Code points given, after tidying.
        given: usize,
    },
}

/// The name as kept: no blanks around it, single spaces inside, no control
/// characters, nothing that turns the direction of the text around it. Letters
/// of every script and emoji stay as they are.
///
/// One pass, and no more kept than [`MOST_CODE_POINTS`], whatever is given.
pub fn hitter_name(typed: &str) -> Result<String, NameError> {
    let mut name = String::new();
    let mut counted = Counter::default();
    let mut code_points = 0;
    let mut visible = false;
    let mut blank_before = false;
    let mut take = |c: char| {
        counted.add(c);
        code_points += 1;
        if code_points <= MOST_CODE_POINTS {
            name.push(c);
        }
    };
    for c in typed.chars() {
        if c.is_whitespace() {
            blank_before = true;
        } else if !is_dropped(c) {
            if blank_before && visible {
                take(' ');
            }
            blank_before = false;
            // Joiners and selectors mean something only after a visible sign.
            if visible || !is_invisible(c) {
                visible = true;
                take(c);
            }
        }
    }
    if !visible {
        Err(NameError::Empty)
    } else if counted.characters > LONGEST {
        Err(NameError::TooLong {
            given: counted.characters,
        })
    } else if code_points > MOST_CODE_POINTS {
        Err(NameError::TooManyMarks { given: code_points })
    } else {
        Ok(name)
    }
}

/// Characters that a name never keeps: controls, those that turn the direction
/// of the text (embedding, override, isolate, and the bare direction marks),
/// and blanks of no width that would make two equal names differ.
fn is_dropped(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{180e}'
            | '\u{200b}' | '\u{200e}' | '\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{feff}' | '\u{fff9}'..='\u{fffb}')
}

/// Characters kept within a name that show nothing when they stand alone:
/// joiners, selectors and tags (emoji and several scripts need them), and the
/// letters that are blank by design.
fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
        | '\u{180b}'..='\u{180f}'
        | '\u{200c}' | '\u{200d}' | '\u{2800}' | '\u{3164}'
        | '\u{fe00}'..='\u{fe0f}' | '\u{ffa0}'
        | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}')
}

/// Counts characters as a person sees them, by a small part of Unicode's rule
/// (UAX #29): accents and points of Latin, Cyrillic, Hebrew and Arabic, and
/// emoji with their joins, skin tones, flags and tags. For other scripts it
/// counts a vowel sign as a character of its own, so it never says fewer than
/// a person would. The whole rule would add 19 KB to the client.
#[derive(Default)]
struct Counter {
    characters: usize,
    last: Last,
}

/// What the character before was, as far as it decides on a join.
#[derive(Default, Clone, Copy, PartialEq)]
enum Last {
    #[default]
    Nothing,
    Other,
    /// An emoji, with any selectors and tones on it.
    Emoji,
    /// An emoji and a joiner: a following emoji joins.
    EmojiJoined,
    /// Half a flag: a following half completes it.
    HalfFlag,
}

impl Counter {
    fn add(&mut self, c: char) {
        let joins = self.last != Last::Nothing
            && (extends(c)
                || (self.last == Last::EmojiJoined && is_emoji(c))
                || (self.last == Last::HalfFlag && is_half_flag(c)));
        if !joins {
            self.characters += 1;
        }
        self.last = match c {
            '\u{200d}' if self.last == Last::Emoji => Last::EmojiJoined,
            c if extends(c) && self.last == Last::Emoji => Last::Emoji,
            c if is_half_flag(c) && !joins => Last::HalfFlag,
            c if is_emoji(c) => Last::Emoji,
            _ => Last::Other,
        };
    }
}

/// Whether a character belongs to the one before it.
fn extends(c: char) -> bool {
    matches!(c,
        '\u{300}'..='\u{36f}' | '\u{483}'..='\u{489}'
        | '\u{591}'..='\u{5bd}' | '\u{5bf}' | '\u{5c1}' | '\u{5c2}' | '\u{5c4}' | '\u{5c5}' | '\u{5c7}'
        | '\u{610}'..='\u{61a}' | '\u{64b}'..='\u{65f}' | '\u{670}'
        | '\u{6d6}'..='\u{6dc}' | '\u{6df}'..='\u{6e4}' | '\u{6e7}' | '\u{6e8}' | '\u{6ea}'..='\u{6ed}'
        | '\u{1ab0}'..='\u{1ace}' | '\u{1dc0}'..='\u{1dff}'
        | '\u{200c}' | '\u{200d}' | '\u{20d0}'..='\u{20f0}'
        | '\u{fe00}'..='\u{fe0f}' | '\u{fe20}'..='\u{fe2f}'
        | '\u{1f3fb}'..='\u{1f3ff}'
        | '\u{e0020}'..='\u{e007f}' | '\u{e0100}'..='\u{e01ef}')
}

/// Half of a flag (a regional indicator).
fn is_half_flag(c: char) -> bool {
    matches!(c, '\u{1f1e6}'..='\u{1f1ff}')
}

/// The blocks that hold the emoji which joiners join. Their few other signs do
/// no harm: nobody joins those.
fn is_emoji(c: char) -> bool {
    matches!(c,
        '\u{2190}'..='\u{21ff}' | '\u{2300}'..='\u{23ff}' | '\u{2600}'..='\u{27bf}'
        | '\u{2b00}'..='\u{2bff}' | '\u{1f000}'..='\u{1f1e5}' | '\u{1f200}'..='\u{1faff}')
        && !extends(c)
}
