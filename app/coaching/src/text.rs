//! One line of text as a person types it: how it is tidied and how its length
//! is counted. What a given text is for, and its limits, live where it is used.

/// How long a text may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Limits {
    /// Fewest characters, as a person counts them.
    pub(crate) least: usize,
    /// Most characters, as a person counts them.
    pub(crate) most: usize,
    /// Most code points those characters may take.
    pub(crate) most_code_points: usize,
}

/// Why a text does not fit its limits. Only lengths are told, never the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unfit {
    /// Fewer characters than needed: so many.
    Short { given: usize },
    /// More characters than allowed: so many.
    Long { given: usize },
    /// Few characters, with too many accents and joins on them: so many code
    /// points.
    Marks { given: usize },
}

/// The text as kept: no blanks around it, single spaces inside, no control
/// characters, nothing that turns the direction of the text around it. Letters
/// of every script and emoji stay as they are. A text that shows nothing is
/// empty.
///
/// One pass, and no more kept than the limits allow, whatever is given.
pub(crate) fn tidied(typed: &str, limits: Limits) -> Result<String, Unfit> {
    let mut text = String::new();
    let mut counted = Counter::default();
    let mut code_points = 0;
    let mut visible = false;
    let mut blank_before = false;
    let mut take = |c: char| {
        counted.add(c);
        code_points += 1;
        if code_points <= limits.most_code_points {
            text.push(c);
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
    let given = counted.characters;
    if given < limits.least {
        Err(Unfit::Short { given })
    } else if given > limits.most {
        Err(Unfit::Long { given })
    } else if code_points > limits.most_code_points {
        Err(Unfit::Marks { given: code_points })
    } else {
        Ok(text)
    }
}

/// Characters that a text never keeps: controls, those that turn the direction
/// of the text (embedding, override, isolate, and the bare direction marks),
/// and blanks of no width that would make two equal texts differ.
fn is_dropped(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{180e}'
            | '\u{200b}' | '\u{200e}' | '\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{feff}' | '\u{fff9}'..='\u{fffb}')
}

/// Characters kept within a text that show nothing when they stand alone:
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
pub(crate) fn extends(c: char) -> bool {
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
