//! Side tosses as noted ball by ball, and which of them are evidence of the
//! path. What they say together is in [`path`](super::path).
//!
//! A ball that was met early or late, or tossed elsewhere than to the front
//! hip, is never evidence, and neither is one of which that was not noted: it
//! may have gone where it went for that reason.

use super::fan::{Third, is_fair, toward_opposite_deg};
use super::path_model::FOUL;
use super::{ContactResult, checked_direction_deg};
use crate::vocabulary::{Side, list};

list! {
    /// Where a side toss came.
    TossSpot {
        /// On the line of the front hip, as it should.
        FrontHip = "front-hip", "On the line of the front hip";
        /// Too high.
        High = "high", "High";
        /// Too low.
        Low = "low", "Low";
        /// Too near to the body.
        Inside = "inside", "Inside";
        /// Too far from it.
        Outside = "outside", "Outside";
    }
}

list! {
    /// Where a ball was met.
    ContactDepth {
        /// Too far in front.
        Early = "early", "Early, out in front";
        /// Where it should be.
        OnTime = "on-time", "On time";
        /// Too deep.
        Late = "late", "Late, deep";
    }
}

list! {
    /// Why a ball was no evidence of the path.
    LeftOut {
        /// Where it came or where it was met was not noted.
        NotNoted = "not-noted", "spot or depth not noted";
        /// It did not come to the front hip.
        OffLocation = "off-location", "not on the line of the front hip";
        /// It was met early.
        Early = "early", "early";
        /// It was met late.
        Late = "late", "late";
        /// It was missed or let go by.
        NotHit = "not-hit", "missed or let go by";
        /// Its direction was not told, or is none.
        NoDirection = "no-direction", "without a direction";
    }
}

/// One ball of a side toss.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideTossBall {
    /// What came of it.
    pub result: ContactResult,
    /// Where it went, degrees, as in [`super::fan`].
    pub direction_deg: Option<f64>,
    /// Where the toss came; none when that was not noted.
    pub toss: Option<TossSpot>,
    /// Where it was met; none when that was not noted.
    pub depth: Option<ContactDepth>,
}

impl SideTossBall {
    /// The cell of the ball, or why it is left out.
    pub(super) fn cell(&self, batted: Side) -> Result<usize, LeftOut> {
        if !self.result.is_touched() {
            return Err(LeftOut::NotHit);
        }
        match (self.toss, self.depth) {
            (None, _) | (_, None) => return Err(LeftOut::NotNoted),
            (Some(TossSpot::FrontHip), Some(ContactDepth::OnTime)) => {}
            (Some(TossSpot::FrontHip), Some(ContactDepth::Early)) => return Err(LeftOut::Early),
            (Some(TossSpot::FrontHip), Some(ContactDepth::Late)) => return Err(LeftOut::Late),
            (Some(_), _) => return Err(LeftOut::OffLocation),
        }
        let direction_deg = self
            .direction_deg
            .and_then(|direction_deg| checked_direction_deg(self.result, direction_deg).ok())
            .ok_or(LeftOut::NoDirection)?;
        let height = match self.result.at(direction_deg) {
            ContactResult::Ground => 0,
            ContactResult::Line => 1,
            ContactResult::Fly => 2,
            ContactResult::Pop => 3,
            _ if is_fair(direction_deg) => return Err(LeftOut::NoDirection),
            _ if toward_opposite_deg(direction_deg, batted) < 0.0 => return Ok(FOUL),
            _ => return Ok(FOUL + 1),
        };
        Ok(4 * Third::of(direction_deg, batted) as usize + height)
    }
}
