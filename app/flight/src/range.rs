//! The limits of every number that can be entered, in one place: used to
//! refuse what is outside and to tell the screen what to offer.

use std::fmt;

/// A number a coach can enter. Its `Display` is its name in plain words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Field {
    /// Speed of the game pitch at release, mph.
    GameSpeed,
    /// Backspin of the game pitch, rpm; negative is topspin.
    GameBackspin,
    /// Distance of the release point from the back point of the plate, ft.
    ReleaseDistance,
    /// Height of the release point above plate level, ft.
    ReleaseHeight,
    /// Sideways place of the release point, ft; negative for right-handers.
    ReleaseSide,
    /// Height of the target above plate level, ft.
    TargetHeight,
    /// Distance of the machine's release from the back point of the plate, ft.
    MachineDistance,
    /// Height of the machine's release above plate level, ft.
    MachineHeight,
    /// Sideways place of the machine's release, ft.
    MachineSide,
    /// Speed of the machine's ball at release, mph.
    MachineSpeed,
    /// Backspin of the machine's ball, rpm; negative is topspin.
    MachineBackspin,
    /// Altitude of the field above sea level, m.
    Altitude,
    /// Temperature of the air, C.
    Temperature,
    /// Relative humidity, percent.
    Humidity,
    /// Pressure of the air at the field, hPa.
    Pressure,
    /// Distance of the contact point in front of the back point of the plate, in.
    ContactDepth,
    /// Time from the decision to contact, s.
    SwingTime,
    /// One part of the spin of the game pitch, rpm.
    GameSpin,
    /// One part of the spin of the machine's ball, rpm.
    MachineSpin,
    /// Distance of a machine's or a feeder's release from the back point, ft.
    FeedDistance,
    /// Height of that release above plate level, ft.
    FeedHeight,
    /// Sideways place of that release, ft.
    FeedSide,
    /// Speed of the fed ball at release, mph.
    FeedSpeed,
    /// Step between two marks of the speed dial, mph; 0 for none.
    SpeedStep,
    /// The hitter's count from lift to contact, s.
    Count,
    /// Time from starting the feed to the ball's release, s.
    FeedDelay,
    /// Speed a radar shows, mph.
    RadarSpeed,
    /// Angle between a radar's line of sight and the ball's path, degrees.
    RadarAngle,
    /// Where along the flight a radar reads, ft from the back point of the plate.
    RadarPlace,
    /// Taped distance over which a ball was timed, ft.
    TimedDistance,
    /// Time of a ball over the taped distance, s.
    TimedTime,
    /// How far from the target balls arrive, in.
    SeenMiss,
    /// Where wheels push the ball, degrees.
    SpinTilt,
    /// Slip on the plate of a machine with one wheel, over the wheel's speed.
    PlateSlip,
}

impl Field {
    /// All fields, in the order of the screen.
    pub const ALL: [Field; 34] = [
        Field::GameSpeed,
        Field::GameBackspin,
        Field::ReleaseDistance,
        Field::ReleaseHeight,
        Field::ReleaseSide,
        Field::TargetHeight,
        Field::MachineDistance,
        Field::MachineHeight,
        Field::MachineSide,
        Field::MachineSpeed,
        Field::MachineBackspin,
        Field::Altitude,
        Field::Temperature,
        Field::Humidity,
        Field::Pressure,
        Field::ContactDepth,
        Field::SwingTime,
        Field::GameSpin,
        Field::MachineSpin,
        Field::FeedDistance,
        Field::FeedHeight,
        Field::FeedSide,
        Field::FeedSpeed,
        Field::SpeedStep,
        Field::Count,
        Field::FeedDelay,
        Field::RadarSpeed,
        Field::RadarAngle,
        Field::RadarPlace,
        Field::TimedDistance,
        Field::TimedTime,
        Field::SeenMiss,
        Field::SpinTilt,
        Field::PlateSlip,
    ];
}

impl fmt::Display for Field {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Field::GameSpeed => "Game pitch speed",
            Field::GameBackspin => "Game pitch backspin",
            Field::ReleaseDistance => "Release distance",
            Field::ReleaseHeight => "Release height",
            Field::ReleaseSide => "Release side",
            Field::TargetHeight => "Target height",
            Field::MachineDistance => "Machine distance",
            Field::MachineHeight => "Machine height",
            Field::MachineSide => "Machine side",
            Field::MachineSpeed => "Machine speed",
            Field::MachineBackspin => "Machine backspin",
            Field::Altitude => "Altitude",
            Field::Temperature => "Temperature",
            Field::Humidity => "Humidity",
            Field::Pressure => "Air pressure",
            Field::ContactDepth => "Contact depth",
            Field::SwingTime => "Swing time",
            Field::GameSpin => "Game pitch spin",
            Field::MachineSpin => "Machine spin",
            Field::FeedDistance => "Feed distance",
            Field::FeedHeight => "Feed height",
            Field::FeedSide => "Feed side",
            Field::FeedSpeed => "Feed speed",
            Field::SpeedStep => "Speed step",
            Field::Count => "Count",
            Field::FeedDelay => "Feed delay",
            Field::RadarSpeed => "Radar speed",
            Field::RadarAngle => "Radar angle",
            Field::RadarPlace => "Radar place",
            Field::TimedDistance => "Timed distance",
            Field::TimedTime => "Timed flight",
            Field::SeenMiss => "Miss at the plate",
            Field::SpinTilt => "Spin tilt",
            Field::PlateSlip => "Plate slip",
        })
    }
}

/// The allowed values of a field, both ends included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Smallest allowed value, in `unit`.
    pub min: f64,
    /// Largest allowed value, in `unit`.
    pub max: f64,
    /// Unit of both, as it is shown.
    pub unit: &'static str,
}

impl Range {
    /// Whether a value is a number inside the range.
    pub fn contains(&self, value: f64) -> bool {
        // NaN compares false with both ends.
        self.min <= value && value <= self.max
    }

    /// Refuses a value outside the range, naming the field and the range.
    pub fn check(&self, field: Field, given: f64) -> Result<(), RangeError> {
        if self.contains(given) {
            return Ok(());
        }
        Err(RangeError {
            field,
            given,
            min: self.min,
            max: self.max,
            unit: self.unit,
        })
    }

    /// The same range with a lower upper end; an upper end above the present
    /// one changes nothing.
    pub fn up_to(self, max: f64) -> Range {
        Range {
            max: self.max.min(max),
            ..self
        }
    }
}

/// The widest range of a field over all levels of play.
///
/// The machine may stand nowhere behind the release point it copies, and a
/// level has its own rubber: [`crate::Release::machine_distances`] and
/// [`crate::Level::allowed`] narrow what depends on these.
///
/// The ends are ours: they enclose every level of play with room to spare, and
/// lie where the model still means something.
pub fn allowed(field: Field) -> Range {
    let (min, max, unit) = match field {
        // From a slow youth pitch to above the fastest pitch ever thrown.
        Field::GameSpeed | Field::MachineSpeed => (20.0, 110.0, "mph"),
        Field::GameBackspin | Field::MachineBackspin => (-4000.0, 4000.0, "rpm"),
        // 60.5 ft is the longest rubber distance (Official Baseball Rules,
        // rule 2.01): nobody lets go of the ball behind it.
        Field::ReleaseDistance | Field::MachineDistance => (10.0, 60.5, "ft"),
        Field::ReleaseHeight | Field::MachineHeight => (0.5, 10.0, "ft"),
        Field::ReleaseSide | Field::MachineSide => (-6.0, 6.0, "ft"),
        Field::TargetHeight => (0.5, 5.0, "ft"),
        // From the lowest dry land to above the highest ball field.
        Field::Altitude => (-500.0, 5000.0, "m"),
        // Wider than anybody plays in.
        Field::Temperature => (-20.0, 50.0, "C"),
        Field::Humidity => (0.0, 100.0, "%"),
        // From the highest field in a storm to the strongest high.
        Field::Pressure => (500.0, 1090.0, "hPa"),
        // From the back point to a ball met far out front.
        Field::ContactDepth => (0.0, 48.0, "in"),
        Field::SwingTime => (0.05, 0.4, "s"),
        Field::GameSpin => (-4000.0, 4000.0, "rpm"),
        Field::MachineSpin => (-4000.0, 4000.0, "rpm"),
        // From a side toss to the rubber.
        Field::FeedDistance => (2.0, 60.5, "ft"),
        Field::FeedHeight => (0.5, 10.0, "ft"),
        Field::FeedSide => (-10.0, 10.0, "ft"),
        // From a toss to the fastest pitch.
        Field::FeedSpeed => (5.0, 110.0, "mph"),
        Field::SpeedStep => (0.0, 10.0, "mph"),
        Field::Count => (0.3, 6.0, "s"),
        Field::FeedDelay => (0.0, 10.0, "s"),
        Field::RadarSpeed => (5.0, 110.0, "mph"),
        Field::RadarAngle => (0.0, 60.0, "degrees"),
        Field::RadarPlace => (0.0, 60.5, "ft"),
        Field::TimedDistance => (2.0, 60.5, "ft"),
        Field::TimedTime => (0.02, 5.0, "s"),
        Field::SeenMiss => (-48.0, 48.0, "in"),
        Field::SpinTilt => (-360.0, 360.0, "degrees"),
        Field::PlateSlip => (0.0, 1.0, "of the wheel"),
    };
    Range { min, max, unit }
}

/// Refuses a value outside the widest range of its field.
pub(crate) fn check(field: Field, given: f64) -> Result<(), RangeError> {
    allowed(field).check(field, given)
}

/// A number that was refused: which field, what was given, what is allowed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RangeError {
    /// The field that was filled wrongly.
    pub field: Field,
    /// What was given, in `unit`; may be anything an `f64` can be.
    pub given: f64,
    /// Smallest allowed value, in `unit`.
    pub min: f64,
    /// Largest allowed value, in `unit`.
    pub max: f64,
    /// Unit of all three.
    pub unit: &'static str,
}

impl std::error::Error for RangeError {}

impl fmt::Display for RangeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let RangeError {
            field,
            given,
            min,
            max,
            unit,
        } = self;
        write!(f, "{field} must be from {min} to {max} {unit}; ")?;
        match given.is_finite() {
            true => write!(f, "{} {unit} was given", Given(*given)),
            false => write!(f, "what was given is {}", Given(*given)),
        }
    }
}

/// Any number, in few characters.
pub(crate) struct Given(pub(crate) f64);

impl fmt::Display for Given {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Given(given) = *self;
        if given.is_nan() {
            f.write_str("not a number")
        } else if given.is_infinite() {
            f.write_str("without end")
        } else if given != 0.0 && !(1e-4..1e6).contains(&given.abs()) {
            // Written out, such a number can fill the screen.
            write!(f, "{given:e}")
        } else {
            write!(f, "{given}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn refusal(given: f64) -> String {
        let range = allowed(Field::GameSpeed);
        range
            .check(Field::GameSpeed, given)
            .unwrap_err()
            .to_string()
    }

    #[test]
    fn a_refusal_names_the_field_the_range_and_what_was_given() {
        assert_eq!(
            refusal(400.0),
            "Game pitch speed must be from 20 to 110 mph; 400 mph was given"
        );
        assert_eq!(
            refusal(f64::NAN),
            "Game pitch speed must be from 20 to 110 mph; what was given is not a number"
        );
        assert_eq!(
            refusal(-5.5),
            "Game pitch speed must be from 20 to 110 mph; -5.5 mph was given"
        );
    }

    #[test]
    fn the_ends_of_a_range_are_inside() {
        for field in Field::ALL {
            let range = allowed(field);
            assert!(range.min < range.max, "{field}");
            assert!(range.contains(range.min) && range.contains(range.max));
        }
    }

    proptest! {
        #[test]
        fn any_number_is_either_inside_or_refused_in_one_short_line(
            given in proptest::num::f64::ANY,
            index in 0..Field::ALL.len(),
        ) {
            let field = Field::ALL[index];
            let range = allowed(field);
            match range.check(field, given) {
                Ok(()) => prop_assert!(given >= range.min && given <= range.max),
                Err(error) => {
                    let text = error.to_string();
                    prop_assert!(text.starts_with(&field.to_string()));
                    prop_assert!(text.contains(range.unit) && text.len() < 120, "{}", text);
                }
            }
        }
    }
}
