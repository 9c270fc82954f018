//! What a set plays, and when, in seconds from its start. No clock and no sound
//! here; the timetable is made whole before the first tone, so that nothing has
//! to be in time later.

use coaching::count::Target;

/// Ways of practice, in the order of the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// Every beat is heard.
    Follow,
    /// Every third beat is left out.
    Silent,
    /// Only the call is heard; the hitter swings and then sees how far off.
    SelfCheck,
    /// Sets in several environments with one target.
    Ladder,
    /// The ball comes when nobody expects it.
    Random,
    /// Four sets of five by a player alone, with no touch between.
    Alone,
}

impl Mode {
    /// Every way.
    pub const ALL: [Self; 6] = [
        Self::Follow,
        Self::Silent,
        Self::SelfCheck,
        Self::Ladder,
        Self::Random,
        Self::Alone,
    ];

    /// Its id in records.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Follow => "follow",
            Self::Silent => "silent-beats",
            Self::SelfCheck => "self-check",
            Self::Ladder => "ladder",
            Self::Random => "random",
            Self::Alone => "alone",
        }
    }

    /// Its name on the screen.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Follow => "Follow",
            Self::Silent => "Silent beats",
            Self::SelfCheck => "Self check",
            Self::Ladder => "Ladder",
            Self::Random => "Random",
            Self::Alone => "Alone",
        }
    }

    /// What happens in it.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Follow => "Call, lift, beats, contact. Swing with them.",
            Self::Silent => "Every third beat is left out. Keep the count through it.",
            Self::SelfCheck => "Only the call is heard. Swing, then see how far off the count was.",
            Self::Ladder => "The same target in one environment after another, a set in each.",
            Self::Random => {
                "The tone of the feed comes when nobody expects it; the ball is let go after the \
                 machine's feed delay, and lift so early that the count fits."
            }
            Self::Alone => {
                "Tee or medicine ball only. Four sets of five with no touch between: each rep is \
                 called by sound."
            }
        }
    }

    /// The way of this id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|mode| mode.id() == id)
    }
}

/// What is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cue {
    /// A rep is called.
    Call,
    /// The feed begins.
    Feed,
    /// The front heel moves.
    Lift,
    /// A beat between, from 1.
    Beat(usize),
    /// Contact.
    Contact,
}

impl Cue {
    /// What the light says.
    pub fn word(self) -> String {
        match self {
            Self::Call => "Ready".to_owned(),
            Self::Feed => "Feed".to_owned(),
            Self::Lift => "Lift".to_owned(),
            Self::Beat(n) => n.to_string(),
            Self::Contact => "Contact".to_owned(),
        }
    }
}

/// One thing that is due.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Due {
    /// When, s from the set's start.
    pub at_s: f64,
    /// What.
    pub cue: Cue,
    /// Whether it sounds; one that does not is shown by the light alone.
    pub sounds: bool,
}

/// One rep as planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// Which set of the plan, from 0.
    pub set: usize,
    /// Its number within that set, from 1.
    pub number: u32,
    /// Lift, s from the start.
    pub lift_s: f64,
    /// Contact, s from the start.
    pub contact_s: f64,
    /// When the next one begins.
    pub ends_s: f64,
    /// What is due, in order.
    pub dues: Vec<Due>,
}

/// What is asked of a plan.
#[derive(Debug, Clone, Copy)]
pub struct Wish {
    /// The way of practice.
    pub mode: Mode,
    /// The count.
    pub target: Target,
    /// Reps of one set.
    pub reps: u32,
    /// Number of the first rep within its set.
    pub first: u32,
    /// From contact to the next call, s.
    pub rest_s: f64,
    /// From the feed to the ball's release, s.
    pub feed_delay_s: f64,
    /// Whether contact is left silent, so that the microphone hears the ball.
    pub listens: bool,
}

/// Sets of a player alone.
pub const ALONE_SETS: usize = 4;
/// Reps in each.
pub const ALONE_REPS: u32 = 5;
/// From the call to lift, s (our choice, no source).
const CALL_S: f64 = 1.6;
/// Before the first call: to put the phone down and step in, s (our choice).
const STEP_IN_S: f64 = 1.0;
/// The most that a random feed waits beyond the call, s (our choice).
const RANDOM_S: f64 = 4.0;

/// The timetable. `chance` gives numbers from 0 to 1.
pub fn plan(wish: &Wish, chance: &mut dyn FnMut() -> f64) -> Vec<Planned> {
    let (sets, reps) = match wish.mode {
        Mode::Alone => (ALONE_SETS, ALONE_REPS),
        _ => (1, wish.reps),
    };
    let mut planned = Vec::new();
    let mut at_s = STEP_IN_S;
    for set in 0..sets {
        for number in wish.first..wish.first + reps {
            // A set is called by one tone more than the one before.
            let calls = if number == 1 { set + 2 } else { 1 };
            let rep = one(wish, set, number, calls, at_s, chance);
            at_s = rep.ends_s;
            planned.push(rep);
        }
    }
    planned
}

/// How many parts the beats divide a count into: each near half a second.
pub fn parts(target: Target) -> usize {
    ((target.seconds() / 0.5).round() as usize).max(2)
}

fn one(
    wish: &Wish,
    set: usize,
    number: u32,
    calls: usize,
    from_s: f64,
    chance: &mut dyn FnMut() -> f64,
) -> Planned {
    let mut dues: Vec<Due> = (0..calls)
        .map(|call| Due {
            at_s: from_s + 0.25 * call as f64,
            cue: Cue::Call,
            sounds: true,
        })
        .collect();
    let called_s = from_s + 0.25 * (calls - 1) as f64;
    let mut lift_s = called_s + CALL_S;
    let count_s = wish.target.seconds();
    if wish.mode == Mode::Random {
        let feed_s = called_s + 1.0 + chance() * RANDOM_S;
        dues.push(Due {
            at_s: feed_s,
            cue: Cue::Feed,
            sounds: true,
        });
        // The hitter lifts to the arm or the ball, not before it was fed.
        lift_s = feed_s + wish.feed_delay_s.max(0.2);
    }
    let parts = parts(wish.target);
    for part in 0..=parts {
        let cue = match part {
            0 => Cue::Lift,
            _ if part == parts => Cue::Contact,
            _ => Cue::Beat(part),
        };
        let by_mode = match wish.mode {
            Mode::SelfCheck | Mode::Random => true,
            Mode::Silent => part % 3 == 2,
            _ => false,
        };
        let muted = by_mode || wish.listens && cue == Cue::Contact;
        dues.push(Due {
            at_s: lift_s + count_s * part as f64 / parts as f64,
            cue,
            sounds: !muted,
        });
    }
    Planned {
        set,
        number,
        lift_s,
        contact_s: lift_s + count_s,
        ends_s: lift_s + count_s + wish.rest_s,
        dues,
    }
}

/// The count that what was heard or sensed gives: from `lift_s` to the first of
/// `contacts_s` that can be this rep's, within twice the target. None is none:
/// what was not measured is never made up.
pub fn count_of(lift_s: f64, target: Target, contacts_s: &[f64]) -> Option<f64> {
    let latest_s = 2.0 * target.seconds();
    contacts_s
        .iter()
        .map(|contact_s| contact_s - lift_s)
        .filter(|count_s| (coaching::count::SHORTEST_S..=latest_s).contains(count_s))
        .fold(None, |first: Option<f64>, count_s| {
            Some(first.map_or(count_s, |first| first.min(count_s)))
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wish(mode: Mode) -> Wish {
        Wish {
            mode,
            target: Target::new(1.5).expect("a target"),
            reps: 5,
            first: 1,
            rest_s: 8.0,
            feed_delay_s: 2.0,
            listens: false,
        }
    }

    #[test]
    fn beats_divide_the_count_evenly_and_end_at_contact() {
        for rep in plan(&wish(Mode::Follow), &mut || 0.5) {
            let beats: Vec<f64> = rep
                .dues
                .iter()
                .filter(|due| due.cue != Cue::Call)
                .map(|due| due.at_s)
                .collect();
            assert_eq!(beats.len(), 4);
            for pair in beats.windows(2) {
                assert!((pair[1] - pair[0] - 0.5).abs() < 1e-12);
            }
            assert!((beats[3] - rep.contact_s).abs() < 1e-12);
            assert!(rep.dues.iter().all(|due| due.sounds));
        }
    }

    #[test]
    fn alone_is_twenty_reps_in_four_sets_that_never_overlap() {
        let reps = plan(&wish(Mode::Alone), &mut || 0.5);
        assert_eq!(reps.len(), 20);
        assert!(
            reps.windows(2)
                .all(|pair| pair[0].ends_s <= pair[1].dues[0].at_s)
        );
        let last = reps.last().expect("a rep");
        assert_eq!((last.set, last.number), (3, 5));
    }

    #[test]
    fn silent_beats_leave_out_every_third_and_listening_leaves_contact_out() {
        let silent = |mode, listens| {
            let reps = plan(
                &Wish {
                    listens,
                    ..wish(mode)
                },
                &mut || 0.5,
            );
            let quiet = reps[0].dues.iter().filter(|due| !due.sounds);
            quiet.map(|due| due.cue).collect::<Vec<_>>()
        };
        assert_eq!(silent(Mode::Silent, false), [Cue::Beat(2)]);
        assert_eq!(silent(Mode::Follow, true), [Cue::Contact]);
        assert_eq!(silent(Mode::SelfCheck, false).len(), 4);
    }

    #[test]
    fn nothing_heard_is_no_count_and_the_first_possible_one_counts() {
        let target = Target::new(1.5).expect("a target");
        assert_eq!(count_of(10.0, target, &[]), None);
        assert_eq!(count_of(10.0, target, &[9.0, 10.1, 13.5]), None);
        let count_s = count_of(10.0, target, &[12.0, 11.4]).expect("a count");
        assert!((count_s - 1.4).abs() < 1e-9);
    }
}
