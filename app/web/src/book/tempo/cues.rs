//! How each cue sounds and reads.

use crate::device::audio::{Player, Tone};
use coaching::tempo::beats::{Cue, Kind, RepTimes, Timetable};

/// What the light says.
pub fn word(kind: Kind) -> String {
    match kind {
        Kind::Announce => "Ready".to_owned(),
        Kind::Feed => "Feed".to_owned(),
        Kind::Lift => "Lift".to_owned(),
        Kind::Beat(beat) => beat.to_string(),
        Kind::Contact => "Contact".to_owned(),
        Kind::Rest => "Rest".to_owned(),
    }
}

/// How it sounds; the rest is told by the light alone.
const fn tone(kind: Kind) -> Option<Tone> {
    let (hz, lasts_s) = match kind {
        Kind::Announce => (440.0, 0.09),
        Kind::Feed => (330.0, 0.2),
        Kind::Lift => (784.0, 0.1),
        Kind::Beat(_) => (988.0, 0.05),
        Kind::Contact => (1568.0, 0.12),
        Kind::Rest => return None,
    };
    Some(Tone { hz, lasts_s })
}

/// Whether it sounds; with a microphone that listens, contact is the ball's alone.
pub fn sounds(cue: &Cue, listens: bool) -> bool {
    !cue.is_muted && tone(cue.kind).is_some() && !(listens && cue.kind == Kind::Contact)
}

/// From one call to the next before the first rep of a set, s.
const CALLS_APART_S: f64 = 0.25;

/// Puts a whole timetable on the audio clock, `start_s` its beginning. The first rep
/// of a set is called by one tone more than the set before; `first_set` sets were
/// played before these.
pub fn play(
    player: &Player,
    table: &Timetable,
    reps: &[RepTimes],
    (start_s, first_set): (f64, usize),
    listens: bool,
) {
    for cue in table.cues().iter().filter(|cue| sounds(cue, listens)) {
        if let Some(tone) = tone(cue.kind) {
            player.play_at(tone, start_s + cue.at_s);
        }
    }
    let Some(call) = tone(Kind::Announce) else {
        return;
    };
    for rep in reps.iter().filter(|rep| rep.number == 1) {
        for more in 1..=first_set + rep.set + 1 {
            let at_s = rep.announced_s + CALLS_APART_S * more as f64;
            if at_s < rep.lift_s {
                player.play_at(call, start_s + at_s);
            }
        }
    }
}
