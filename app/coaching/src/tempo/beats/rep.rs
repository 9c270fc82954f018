//! One rep of a timetable, as a whole.

use super::{Kind, Timetable};

/// When one rep is announced, lifted, met and over, seconds from the timetable's
/// start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RepTimes {
    /// Which set of the plan, 0 the first.
    pub set: usize,
    /// Its number within that set, 1 the first.
    pub number: u32,
    /// The announcement.
    pub announced_s: f64,
    /// The lift.
    pub lift_s: f64,
    /// Contact, when the count is kept.
    pub contact_s: f64,
    /// When the machine is fed, if one is.
    pub feed_s: Option<f64>,
    /// When the next rep may be announced.
    pub ends_s: f64,
}

impl Timetable {
    /// Every rep, in order of time.
    pub fn rep_times(&self) -> Vec<RepTimes> {
        let mut reps: Vec<RepTimes> = Vec::new();
        let mut sets = self.sizes.iter().enumerate().flat_map(|(set, reps)| {
            let numbers = 1..=u32::from(*reps);
            numbers.map(move |number| (set, number))
        });
        for cue in &self.cues {
            if usize::from(cue.rep) > reps.len() {
                let Some((set, number)) = sets.next() else {
                    break;
                };
                if let Some(before) = reps.last_mut() {
                    before.ends_s = cue.at_s;
                }
                reps.push(RepTimes {
                    set,
                    number,
                    announced_s: cue.at_s,
                    lift_s: cue.at_s,
                    contact_s: cue.at_s,
                    feed_s: None,
                    ends_s: self.ends_s,
                });
            }
            let Some(rep) = reps.last_mut() else { break };
            match cue.kind {
                Kind::Announce => rep.announced_s = cue.at_s,
                Kind::Lift => rep.lift_s = cue.at_s,
                Kind::Contact => rep.contact_s = cue.at_s,
                Kind::Feed => rep.feed_s = Some(cue.at_s),
                Kind::Beat(_) | Kind::Rest => {}
            }
        }
        reps
    }
}
