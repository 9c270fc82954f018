//! A machine's limits and the room it stands in: what the search may choose
//! from.

use crate::ball::{BASEBALL, Ball};
use crate::field::{Level, Sport};
use crate::range::{Field, Range, RangeError, allowed, check};
use crate::span::Span;
use crate::wheels::Wheels;

/// What a machine (or a thrower) can be set to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MachineModel {
    /// Heights of its release above plate level, ft.
    pub height_ft: Span,
    /// Speeds of its ball at release, mph.
    pub speed_mph: Span,
    /// Step between two marks of its dial, mph, counted from the slowest
    /// speed; 0 when any speed can be set.
    pub speed_step_mph: f64,
    /// What throws the ball.
    pub wheels: Wheels,
    /// From starting the feed to the ball's release, s.
    pub feed_delay_s: f64,
    /// The balls it is loaded with; the game's ball may be another.
    pub ball: Ball,
}

/// Where it may stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Distances of its release from the back point of the plate, ft.
    pub distance_ft: Span,
    /// Its release to the side, ft; sign as in [`crate::Release::side_ft`].
    pub side_ft: Span,
}

impl Level {
    /// A usual machine for this level: two upright wheels, a dial with marks of
    /// 1 mph up to the level's fastball, loaded with the level's ball; for baseball on legs of 2 to 5.5 ft,
    /// for softball down to the low release. Common practice, no source.
    pub fn usual_machine(&self) -> MachineModel {
        MachineModel {
            height_ft: match self.sport {
                Sport::Baseball => Span::new(2.0, 5.5),
                Sport::Softball => Span::new(1.0, 4.0),
            },
            speed_mph: Span::new(20.0, self.speed_mph.ceil()),
            ball: self.ball,
            ..MachineModel::default()
        }
    }

    /// A usual room for this level: from half to nine tenths of the way to the
    /// game's release, up to 4 ft off the middle. Common practice, no source.
    pub fn usual_room(&self) -> Room {
        let share = |share: f64| (self.release.distance_ft * share).round();
        Room {
            distance_ft: Span::new(share(0.5), share(0.9)),
            ..Room::default()
        }
    }
}

impl Default for MachineModel {
    /// A machine with two upright wheels on adjustable legs, whose dial has
    /// marks of 1 mph. Common practice, no source; to be edited.
    fn default() -> Self {
        MachineModel {
            height_ft: Span::new(2.5, 5.5),
            speed_mph: Span::new(30.0, 90.0),
            speed_step_mph: 1.0,
            wheels: Wheels::Two {
                tilt_deg: 0.0,
                spin_rpm: Span::new(-2500.0, 2500.0),
            },
            feed_delay_s: 1.0,
            ball: BASEBALL,
        }
    }
}

impl Default for Room {
    /// A cage of 55 ft, 12 ft wide, the machine up to 4 ft off the middle.
    /// Common practice, no source; to be edited.
    fn default() -> Self {
        Room {
            distance_ft: Span::new(30.0, 50.0),
            side_ft: Span::new(-4.0, 4.0),
        }
    }
}

/// Refuses a span that leaves the range of its field or runs backward.
fn check_span(field: Field, span: &Span) -> Result<(), RangeError> {
    check(field, span.max)?;
    let Range { min, max, unit } = allowed(field).up_to(span.max);
    Range { min, max, unit }.check(field, span.min)
}

impl MachineModel {
    /// Refuses limits that are none.
    pub fn check(&self) -> Result<(), RangeError> {
        check_span(Field::FeedHeight, &self.height_ft)?;
        check_span(Field::FeedSpeed, &self.speed_mph)?;
        check(Field::SpeedStep, self.speed_step_mph)?;
        check(Field::FeedDelay, self.feed_delay_s)?;
        match self.wheels {
            Wheels::Arm { backspin_rpm } => check(Field::MachineSpin, backspin_rpm),
            Wheels::One {
                tilt_deg,
                plate_slip,
            } => {
                check(Field::SpinTilt, tilt_deg)?;
                check(Field::PlateSlip, plate_slip)
            }
            Wheels::Two { tilt_deg, spin_rpm } => {
                check(Field::SpinTilt, tilt_deg)?;
                check_span(Field::MachineSpin, &spin_rpm)
            }
            Wheels::Three {
                backspin_rpm,
                sidespin_rpm,
            } => {
                check_span(Field::MachineSpin, &backspin_rpm)?;
                check_span(Field::MachineSpin, &sidespin_rpm)
            }
        }
    }

    /// The marks of the dial next below and above a speed, mph; the speed
    /// itself when any can be set.
    pub fn marks_around(&self, speed_mph: f64) -> [f64; 2] {
        let Span { min, max } = self.speed_mph;
        if self.speed_step_mph <= 0.0 {
            return [self.speed_mph.nearest(speed_mph); 2];
        }
        let last = ((max - min) / self.speed_step_mph + 1e-9).floor();
        let mark = |number: f64| min + self.speed_step_mph * number.max(0.0).min(last);
        // A hair keeps a mark its own neighbour.
        let steps = (speed_mph - min) / self.speed_step_mph;
        [mark((steps + 1e-9).floor()), mark((steps - 1e-9).ceil())]
    }

    /// The same machine seen in a mirror.
    pub fn mirrored(self) -> MachineModel {
        MachineModel {
            wheels: self.wheels.mirrored(),
            ..self
        }
    }
}

impl Room {
    /// Refuses a room that is none.
    pub fn check(&self) -> Result<(), RangeError> {
        check_span(Field::FeedDistance, &self.distance_ft)?;
        check_span(Field::FeedSide, &self.side_ft)
    }

    /// The same room seen in a mirror.
    pub fn mirrored(self) -> Room {
        Room {
            side_ft: self.side_ft.mirrored(),
            ..self
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_marks_are_counted_from_the_slowest_speed_and_end_with_the_dial() {
        let machine = MachineModel {
            speed_mph: Span::new(35.0, 71.0),
            speed_step_mph: 2.5,
            ..MachineModel::default()
        };
        assert_eq!(machine.marks_around(61.0), [60.0, 62.5]);
        assert_eq!(machine.marks_around(60.0), [60.0, 60.0]);
        assert_eq!(machine.marks_around(99.0), [70.0, 70.0]);
        assert_eq!(machine.marks_around(1.0), [35.0, 35.0]);
        let free = MachineModel {
            speed_step_mph: 0.0,
            ..machine
        };
        assert_eq!(free.marks_around(61.3), [61.3, 61.3]);
    }

    #[test]
    fn limits_that_are_none_are_refused_by_name() {
        let usual = MachineModel::default();
        assert!(usual.check().is_ok() && Room::default().check().is_ok());
        let wheels = |wheels| MachineModel { wheels, ..usual };
        let cases = [
            (
                Field::FeedHeight,
                MachineModel {
                    height_ft: Span::new(5.0, 3.0),
                    ..usual
                },
            ),
            (
                Field::FeedSpeed,
                MachineModel {
                    speed_mph: Span::new(1.0, 80.0),
                    ..usual
                },
            ),
            (
                Field::FeedSpeed,
                MachineModel {
                    speed_mph: Span::new(30.0, f64::NAN),
                    ..usual
                },
            ),
            (
                Field::SpeedStep,
                MachineModel {
                    speed_step_mph: -1.0,
                    ..usual
                },
            ),
            (
                Field::FeedDelay,
                MachineModel {
                    feed_delay_s: f64::INFINITY,
                    ..usual
                },
            ),
            (
                Field::MachineSpin,
                wheels(Wheels::Arm {
                    backspin_rpm: 9000.0,
                }),
            ),
            (
                Field::PlateSlip,
                wheels(Wheels::One {
                    tilt_deg: 0.0,
                    plate_slip: -0.5,
                }),
            ),
            (
                Field::SpinTilt,
                wheels(Wheels::Two {
                    tilt_deg: f64::NAN,
                    spin_rpm: Span::only(0.0),
                }),
            ),
        ];
        for (field, machine) in cases {
            assert_eq!(machine.check().unwrap_err().field, field);
        }
        let room = Room {
            distance_ft: Span::new(39.0, 30.0),
            ..Room::default()
        };
        let text = room.check().unwrap_err().to_string();
        assert_eq!(
            text,
            "Feed distance must be from 2 to 30 ft; 39 ft was given"
        );
    }
}
