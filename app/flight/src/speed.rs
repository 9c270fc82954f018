//! The search for the speed at which an aimed ball takes a given time.

use crate::aim::Aimed;
use crate::error::{FlightError, SetUpError};
use crate::range::{Field, allowed};

/// Times that agree within this are the same time, s.
const SAME_TIME_S: f64 = 1e-11;
/// As near as a time must be when the search can narrow no further, s.
const NEAR_TIME_S: f64 = 1e-9;
/// Rounds of the search for a speed; a set-up needs about 5.
const SPEED_ROUNDS: usize = 100;

/// A ball aimed at a speed.
pub(crate) struct Found {
    /// Speed at release, mph.
    pub(crate) speed_mph: f64,
    /// Its launch and arrival.
    pub(crate) aimed: Aimed,
}

impl Found {
    fn time_s(&self) -> f64 {
        self.aimed.arrival.time_s
    }
}

/// Finds the speed of the field's range at which the ball takes `wanted_s`.
///
/// A faster ball takes less time, and a ball too slow for any aim counts as
/// one that takes too long; so the answer is bracketed. Inside the bracket the
/// logarithm of time is nearly a straight line over that of speed, which the
/// secant method uses; a step that leaves the bracket is replaced by its
/// middle.
pub(crate) fn speed_for_time(
    field: Field,
    wanted_s: f64,
    aim_at: impl Fn(f64) -> Result<Aimed, FlightError>,
) -> Result<Found, SetUpError> {
    let range = allowed(field);
    let cannot_fly = |error| match field {
        Field::GameSpeed => SetUpError::GamePitch(error),
        _ => SetUpError::Machine(error),
    };
    let try_at = |speed_mph: f64| match aim_at(speed_mph) {
        Ok(aimed) => Ok(Some(Found { speed_mph, aimed })),
        Err(FlightError::OutOfReach { .. }) => Ok(None),
        Err(other) => Err(cannot_fly(other)),
    };
    let if_near = |end: Found| {
        if (end.time_s() - wanted_s).abs() <= NEAR_TIME_S {
            return Ok(end);
        }
        Err(SetUpError::NoSpeed {
            field,
            wanted_s,
            min_mph: range.min,
            max_mph: range.max,
            nearest_mph: end.speed_mph,
            nearest_s: end.time_s(),
        })
    };

    let fastest = Found {
        speed_mph: range.max,
        aimed: aim_at(range.max).map_err(cannot_fly)?,
    };
    if fastest.time_s() > wanted_s {
        return if_near(fastest);
    }
    if let Some(slowest) = try_at(range.min)?
        && slowest.time_s() < wanted_s
    {
        return if_near(slowest);
    }

    let mut too_slow_mph = range.min;
    let mut last = (fastest.speed_mph, fastest.time_s());
    let mut too_fast = fastest;
    // Speed times time is nearly the distance.
    let mut next_mph = last.0 * last.1 / wanted_s;
    for _ in 0..SPEED_ROUNDS {
        if !(too_slow_mph < next_mph && next_mph < too_fast.speed_mph) {
            next_mph = (too_slow_mph * too_fast.speed_mph).sqrt();
        }
        if next_mph <= too_slow_mph || next_mph >= too_fast.speed_mph {
            break;
        }
        let tried_mph = next_mph;
        let Some(found) = try_at(tried_mph)? else {
            too_slow_mph = tried_mph;
            next_mph = (too_slow_mph * too_fast.speed_mph).sqrt();
            continue;
        };
        let time_s = found.time_s();
        if (time_s - wanted_s).abs() <= SAME_TIME_S {
            return Ok(found);
        }
        let slope = (time_s / last.1).ln() / (tried_mph / last.0).ln();
        next_mph = tried_mph * ((wanted_s / time_s).ln() / slope).exp();
        last = (tried_mph, time_s);
        if time_s > wanted_s {
            too_slow_mph = tried_mph;
        } else {
            too_fast = found;
        }
    }
    // When none is near, the slowest ball that still gets there is too quick.
    if_near(too_fast)
}
