//! The true speed of a machine's ball at release, from a radar or from balls
//! timed over a taped distance.

use crate::error::{FlightError, SetUpError};
use crate::flight::{Arrival, Flight};
use crate::placed::Placed;
use crate::range::{Field, RangeError, check};
use crate::units::{deg_to_rad, ft_to_m};

/// Rounds of the search for a speed; 4 to 8 are used.
const ROUNDS: usize = 60;
/// Speeds that agree within this share are the same.
const SAME: f64 = 1e-12;

/// What a radar shows, and how it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Radar {
    /// Speed it shows, mph.
    pub shown_mph: f64,
    /// Angle between its line of sight to the ball and the ball's path,
    /// degrees. A radar sees only the part of the speed along its line of
    /// sight, the cosine of this angle.
    pub angle_deg: f64,
    /// Where the ball is when it reads, ft from the back point of the plate;
    /// `None` for at release, as radars behind the machine mostly do.
    pub reads_at_ft: Option<f64>,
}

/// A speed from timed balls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimedSpeed {
    /// Speed at release, mph, of the mean time.
    pub speed_mph: f64,
    /// Standard error of it, mph, from the spread of the times; `None` for one
    /// ball.
    pub error_mph: Option<f64>,
}

impl Radar {
    fn check(&self) -> Result<(), RangeError> {
        check(Field::RadarSpeed, self.shown_mph)?;
        check(Field::RadarAngle, self.angle_deg)?;
        self.reads_at_ft
            .map_or(Ok(()), |ft| check(Field::RadarPlace, ft))
    }
}

impl Placed {
    /// Speed at release, mph, of a ball that makes the radar show what it
    /// shows; the machine's own speed is not used. `target_m` is where the
    /// ball is aimed.
    ///
    /// Errors: [`SetUpError::Range`]; [`SetUpError::Machine`] when the radar
    /// reads behind the machine or such a ball does not reach the target.
    pub fn speed_by_radar(
        &self,
        flight: &Flight,
        target_m: [f64; 3],
        radar: &Radar,
    ) -> Result<f64, SetUpError> {
        radar.check()?;
        let along_mph = radar.shown_mph / deg_to_rad(radar.angle_deg).cos();
        match radar.reads_at_ft {
            Some(reads_at_ft) if reads_at_ft != self.distance_ft => {
                self.speed_for(flight, target_m, reads_at_ft, along_mph, |arrival| {
                    along_mph / arrival.speed_mph()
                })
            }
            _ => Ok(along_mph),
        }
    }

    /// Speed at release, mph, by balls timed (s) from release over a taped
    /// distance (ft) toward the plate. `target_m` is where they are aimed.
    ///
    /// Errors: as [`Placed::speed_by_radar`]; [`Field::TimedTime`] too when no
    /// time is given.
    pub fn speed_by_times(
        &self,
        flight: &Flight,
        target_m: [f64; 3],
        taped_ft: f64,
        times_s: &[f64],
    ) -> Result<TimedSpeed, SetUpError> {
        check(Field::TimedDistance, taped_ft)?;
        for time_s in times_s {
            check(Field::TimedTime, *time_s)?;
        }
        let balls = times_s.len() as f64;
        let mean_s = times_s.iter().sum::<f64>() / balls;
        check(Field::TimedTime, mean_s)?;
        let first_mph = crate::units::m_s_to_mph(ft_to_m(taped_ft) / mean_s);
        let to_ft = self.distance_ft - taped_ft;
        let speed_mph = self.speed_for(flight, target_m, to_ft, first_mph, |arrival| {
            arrival.time_s / mean_s
        })?;
        let squares: f64 = times_s.iter().map(|time| (time - mean_s).powi(2)).sum();
        Ok(TimedSpeed {
            speed_mph,
            error_mph: (times_s.len() > 1)
                .then(|| speed_mph * (squares / (balls - 1.0) / balls).sqrt() / mean_s),
        })
    }

    /// The release speed, mph, at which the ball on its way past `at_ft` needs
    /// no change: `factor` says by how much the speed must change.
    fn speed_for(
        &self,
        flight: &Flight,
        target_m: [f64; 3],
        at_ft: f64,
        first_mph: f64,
        factor: impl Fn(&Arrival) -> f64,
    ) -> Result<f64, SetUpError> {
        let mut speed_mph = first_mph;
        for _ in 0..ROUNDS {
            let ball = Placed { speed_mph, ..*self }.thrown(flight, target_m)?;
            let arrival = flight
                .with_ball(self.ball)
                .fly_through_ground(&ball.launch, ft_to_m(at_ft))
                .map_err(SetUpError::Machine)?;
            let change = factor(&arrival);
            // Drag takes nearly the same share at any speed, so this settles
            // in a few rounds.
            speed_mph *= change;
            if (change - 1.0).abs() < SAME {
                return Ok(speed_mph);
            }
        }
        Err(SetUpError::Machine(FlightError::OutOfReach {
            speed_m_s: crate::units::mph_to_m_s(speed_mph),
            distance_m: ft_to_m(self.distance_ft - at_ft),
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ball::BASEBALL;
    use crate::spin::Spin;

    const MACHINE: Placed = Placed {
        distance_ft: 39.0,
        height_ft: 3.7,
        side_ft: -0.9,
        speed_mph: 64.0,
        spin: Spin::backspin(1500.0),
        ball: BASEBALL,
    };
    const TARGET_M: [f64; 3] = [0.0, 0.0, 0.762];

    fn arrival(at_ft: f64) -> Arrival {
        let flight = Flight::default();
        let ball = MACHINE.thrown(&flight, TARGET_M).unwrap();
        flight.fly(&ball.launch, ft_to_m(at_ft)).unwrap()
    }

    #[test]
    fn a_radar_behind_the_machine_and_in_line_shows_the_speed_itself() {
        let radar = Radar {
            shown_mph: 60.0,
            angle_deg: 0.0,
            reads_at_ft: None,
        };
        let mph = MACHINE.speed_by_radar(&Flight::default(), TARGET_M, &radar);
        assert_eq!(mph, Ok(60.0));
    }

    #[test]
    fn a_radar_off_the_line_shows_too_little_by_the_cosine() {
        // Source: the cosine of 20 degrees is 0.9397.
        let radar = Radar {
            shown_mph: 60.0,
            angle_deg: 20.0,
            reads_at_ft: None,
        };
        let mph = MACHINE
            .speed_by_radar(&Flight::default(), TARGET_M, &radar)
            .unwrap();
        assert!((mph - 60.0 / 0.939_692_62).abs() < 1e-6);
    }

    #[test]
    fn a_radar_that_reads_on_the_way_gives_the_release_speed_back() {
        for reads_at_ft in [0.0, 10.0, 30.0] {
            let shown_mph = arrival(reads_at_ft).speed_mph() * deg_to_rad(12.0).cos();
            assert!(shown_mph < 64.0);
            let radar = Radar {
                shown_mph,
                angle_deg: 12.0,
                reads_at_ft: Some(reads_at_ft),
            };
            // What the dial says does not matter.
            let machine = Placed {
                speed_mph: 80.0,
                ..MACHINE
            };
            let mph = machine
                .speed_by_radar(&Flight::default(), TARGET_M, &radar)
                .unwrap();
            assert!((mph - 64.0).abs() < 1e-8, "{reads_at_ft}: {mph}");
        }
    }

    #[test]
    fn five_timed_balls_give_the_speed_and_how_sure_it_is() {
        let time_s = arrival(9.0).time_s;
        let times = [-0.01, 0.0, 0.01, 0.005, -0.005].map(|off| time_s + off);
        let timed = MACHINE
            .speed_by_times(&Flight::default(), TARGET_M, 30.0, &times)
            .unwrap();
        assert!((timed.speed_mph - 64.0).abs() < 1e-6, "{timed:?}");
        // Spread 7.9 ms, over root 5: 3.5 ms of 0.33 s are 1.1 percent.
        let share = 0.007_906 / 5_f64.sqrt() / time_s;
        assert!((timed.error_mph.unwrap() - 64.0 * share).abs() < 0.01);
        let one = MACHINE.speed_by_times(&Flight::default(), TARGET_M, 30.0, &[time_s]);
        assert_eq!(one.unwrap().error_mph, None);
    }

    #[test]
    fn readings_that_are_none_are_refused() {
        let flight = Flight::default();
        let radar = Radar {
            shown_mph: f64::NAN,
            angle_deg: 0.0,
            reads_at_ft: None,
        };
        assert!(MACHINE.speed_by_radar(&flight, TARGET_M, &radar).is_err());
        let behind = Radar {
            shown_mph: 60.0,
            angle_deg: 0.0,
            reads_at_ft: Some(50.0),
        };
        assert!(MACHINE.speed_by_radar(&flight, TARGET_M, &behind).is_err());
        assert!(
            MACHINE
                .speed_by_times(&flight, TARGET_M, 30.0, &[])
                .is_err()
        );
        assert!(
            MACHINE
                .speed_by_times(&flight, TARGET_M, 30.0, &[0.3, -1.0])
                .is_err()
        );
    }
}
