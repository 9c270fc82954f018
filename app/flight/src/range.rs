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
}

impl Field {
    /// All fields, in the order of the screen.
    pub const ALL: [Field; 12] = [
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
    };
    Range { min, max, unit }
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
        if given.is_nan() {
            write!(f, "what was given is not a number")
        } else if given.is_infinite() {
            write!(f, "what was given is without end")
        } else if *given != 0.0 && !(1e-4..1e6).contains(&given.abs()) {
            // Written out, such a number can fill the screen.
            write!(f, "{given:e} {unit} was given")
        } else {
            write!(f, "{given} {unit} was given")
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
