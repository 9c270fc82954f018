//! Marks on a clip, stepped frame by frame: lift, foot down, contact. What a frame
//! hides is said with each number.

use super::TempoError;
use super::cannot::Interval;
use crate::count::checked_count_s;

/// How a clip was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clip {
    /// Frames a second that the camera took.
    pub frames_a_second: f64,
    /// How many times slower than life the clip plays: 1 for a plain one, 8 when
    /// 240 frames a second were saved to play at 30.
    pub slowed: f64,
}

/// The frames on which the marks stand, as times of the clip in seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Marks {
    /// The front heel's first move.
    pub lift_s: f64,
    /// The front foot is down, if it was marked.
    pub foot_down_s: Option<f64>,
    /// Contact.
    pub contact_s: f64,
}

/// Seconds between two marks. Each mark is good to half a frame to either side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stepped {
    /// From mark to mark, seconds of life.
    pub seconds: f64,
    /// The farthest that both half frames can move it.
    pub within: Interval,
    /// Its standard uncertainty, seconds: a frame over the root of 6, for two
    /// errors that are even over a frame (JCGM 100:2008, 4.3.7, from memory: each
    /// a frame over the root of 12).
    pub uncertainty_s: f64,
}

/// What the marks of one rep give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Intervals {
    /// Lift to contact: the count.
    pub count: Stepped,
    /// Foot down to contact, if foot down was marked.
    pub foot_down_to_contact: Option<Stepped>,
}

impl Clip {
    /// Frames a second of a camera, lowest and highest.
    pub const RATES: (f64, f64) = (10.0, 1_000.0);

    /// The intervals between the marks.
    ///
    /// # Errors
    /// When the clip's numbers are out of range, foot down is not between the two
    /// others, or the count is not one that may be recorded.
    pub fn intervals(self, marks: Marks) -> Result<Intervals, TempoError> {
        let fits = (Self::RATES.0..=Self::RATES.1).contains(&self.frames_a_second);
        if !fits || !(1.0..=16.0).contains(&self.slowed) {
            return Err(TempoError::Frames);
        }
        let count = self.between(marks.lift_s, marks.contact_s);
        checked_count_s(count.seconds)?;
        let foot_down_to_contact = match marks.foot_down_s {
            None => None,
            Some(down_s) if (marks.lift_s..=marks.contact_s).contains(&down_s) => {
                Some(self.between(down_s, marks.contact_s))
            }
            Some(_) => return Err(TempoError::FootDown),
        };
        Ok(Intervals {
            count,
            foot_down_to_contact,
        })
    }

    fn between(self, from_s: f64, to_s: f64) -> Stepped {
        let frame_s = 1.0 / self.frames_a_second;
        let seconds = (to_s - from_s) / self.slowed;
        Stepped {
            seconds,
            within: Interval {
                low_s: (seconds - frame_s).max(0.0),
                high_s: seconds + frame_s,
            },
            uncertainty_s: frame_s / 6.0_f64.sqrt(),
        }
    }
}

impl Intervals {
    /// Both in words.
    pub fn sentence(&self) -> String {
        let said = |of: &Stepped| {
            format!(
                "{:.3} s (by the frames {:.3} to {:.3} s)",
                of.seconds, of.within.low_s, of.within.high_s
            )
        };
        let count = format!("Lift to contact {}.", said(&self.count));
        match &self.foot_down_to_contact {
            Some(down) => format!("{count} Foot down to contact {}.", said(down)),
            None => count,
        }
    }
}
