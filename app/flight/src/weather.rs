//! The weather at a field: what a coach can read off, and the air it makes.

use crate::air::Air;
use crate::error::FlightError;
use crate::flight::{Flight, Launch};
use crate::range::{Field, RangeError, check};
use crate::{atmosphere, moist_air};

/// Readings at the field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weather {
    /// Altitude of the field above sea level, m.
    pub altitude_m: f64,
    /// Temperature of the air, C.
    pub temperature_c: f64,
    /// Relative humidity, percent.
    pub humidity_percent: f64,
    /// Pressure as a barometer at the field shows it, Pa, or `None` for the
    /// standard pressure at this altitude. A weather report gives the pressure
    /// reduced to sea level: that one must not be put here.
    pub pressure_pa: Option<f64>,
}

impl Default for Weather {
    /// A mild day near the sea: 20 C, half the vapour the air could hold. Ours;
    /// its air is within 0.1 percent of [`Air::MILD_DAY`].
    fn default() -> Self {
        Weather {
            altitude_m: 0.0,
            temperature_c: 20.0,
            humidity_percent: 50.0,
            pressure_pa: None,
        }
    }
}

impl Weather {
    /// The pressure at the field, Pa: as read, or the standard one of ISO 2533
    /// at this altitude.
    pub fn pressure_pa(&self) -> f64 {
        self.pressure_pa
            .unwrap_or_else(|| atmosphere::pressure_pa(self.altitude_m))
    }

    fn check(&self) -> Result<(), RangeError> {
        check(Field::Altitude, self.altitude_m)?;
        check(Field::Temperature, self.temperature_c)?;
        check(Field::Humidity, self.humidity_percent)?;
        self.pressure_pa
            .map_or(Ok(()), |pa| check(Field::Pressure, pa / 100.0))
    }
}

impl Air {
    /// The air of a field in this weather: moist air by CIPM-2007 (Picard et
    /// al., Metrologia 45, 149, 2008), the pressure by ISO 2533 where none was
    /// read. Error of the formula: below 2e-4 relative from -10 to 45 C.
    ///
    /// Errors when a reading is outside [`crate::allowed`].
    pub fn of(weather: &Weather) -> Result<Air, RangeError> {
        weather.check()?;
        Ok(Air {
            density_kg_m3: moist_air::density_kg_m3(
                weather.temperature_c,
                weather.pressure_pa(),
                weather.humidity_percent / 100.0,
            ),
        })
    }
}

/// What another air changes of the same throw, aim and all: there minus here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirChange {
    /// Time to the plane, s.
    pub time_s: f64,
    /// Speed there, m/s.
    pub speed_m_s: f64,
    /// Height there, m; positive when the ball arrives higher.
    pub height_m: f64,
    /// Side there, m; positive when the ball arrives more toward +x.
    pub side_m: f64,
}

impl Flight {
    /// What changes when the same ball is thrown in another air.
    ///
    /// Errors: those of [`Flight::fly`], but for the ground.
    pub fn in_other_air(
        &self,
        other: Air,
        launch: &Launch,
        plane_y_m: f64,
    ) -> Result<AirChange, FlightError> {
        let here = self.fly_through_ground(launch, plane_y_m)?;
        let there = Flight {
            air: other,
            ..*self
        }
        .fly_through_ground(launch, plane_y_m)?;
        Ok(AirChange {
            time_s: there.time_s - here.time_s,
            speed_m_s: there.speed_m_s() - here.speed_m_s(),
            height_m: there.position_m[2] - here.position_m[2],
            side_m: there.position_m[0] - here.position_m[0],
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn density(weather: Weather) -> f64 {
        Air::of(&weather).unwrap().density_kg_m3
    }

    #[test]
    fn the_usual_weather_makes_the_air_of_the_reference_pitch() {
        let ours = density(Weather::default());
        assert!((ours / Air::MILD_DAY.density_kg_m3 - 1.0).abs() < 1e-3);
    }

    #[test]
    fn dry_air_at_standard_temperature_is_the_standard_atmosphere() {
        // CIPM-2007 holds carbon dioxide of its day and a real gas; ISO 2533
        // an ideal one of 1975: 0.05 percent apart.
        for altitude_m in [0.0, 500.0, 1500.0, 3000.0] {
            let ours = density(Weather {
                altitude_m,
                temperature_c: atmosphere::temperature_k(altitude_m) - 273.15,
                humidity_percent: 0.0,
                pressure_pa: None,
            });
            let standard = Air::standard_at(altitude_m).unwrap().density_kg_m3;
            assert!((ours / standard - 1.0).abs() < 6e-4, "{altitude_m} {ours}");
        }
    }

    #[test]
    fn heat_vapour_and_altitude_all_thin_the_air() {
        let usual = Weather::default();
        let thinner = [
            Weather {
                temperature_c: 35.0,
                ..usual
            },
            Weather {
                humidity_percent: 90.0,
                ..usual
            },
            Weather {
                altitude_m: 1600.0,
                ..usual
            },
            Weather {
                pressure_pa: Some(98_000.0),
                ..usual
            },
        ];
        for weather in thinner {
            assert!(density(weather) < density(usual), "{weather:?}");
        }
    }

    #[test]
    fn a_pitch_in_the_mountains_arrives_sooner_faster_and_with_less_lift() {
        let flight = Flight::default();
        let launch = Launch {
            release_m: [0.0, 16.764, 1.8288],
            velocity_m_s: [0.0, -41.0, -1.8],
            spin_rad_s: [-230.0, 0.0, 0.0],
        };
        let mountains = Air::of(&Weather {
            altitude_m: 1600.0,
            ..Weather::default()
        })
        .unwrap();
        let change = flight.in_other_air(mountains, &launch, 0.0).unwrap();
        assert!(change.time_s < 0.0 && change.speed_m_s > 0.0 && change.height_m < 0.0);
        let none = flight.in_other_air(flight.air, &launch, 0.0).unwrap();
        assert_eq!((none.time_s, none.height_m), (0.0, 0.0));
    }

    #[test]
    fn a_reading_that_is_none_is_refused_by_its_name() {
        let usual = Weather::default();
        let cases = [
            (
                Field::Altitude,
                Weather {
                    altitude_m: 9000.0,
                    ..usual
                },
            ),
            (
                Field::Temperature,
                Weather {
                    temperature_c: f64::NAN,
                    ..usual
                },
            ),
            (
                Field::Humidity,
                Weather {
                    humidity_percent: 101.0,
                    ..usual
                },
            ),
            (
                Field::Pressure,
                Weather {
                    pressure_pa: Some(1013.25),
                    ..usual
                },
            ),
        ];
        for (field, weather) in cases {
            assert_eq!(Air::of(&weather).unwrap_err().field, field);
        }
    }
}
