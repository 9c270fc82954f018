//! The words for each component. Numbers are rounded here and nowhere else.

use super::{Near, Part};
use crate::cards::Component;
use flight::UnitSystem;

impl Part {
    /// The component as a row of a table: its name, what is here, what the game
    /// pitch has, and the difference in words.
    pub fn cells(&self, units: UnitSystem) -> [String; 4] {
        // A phone is narrow.
        self.words(units)
            .map(|words| words.replace(" degrees", "\u{b0}"))
    }

    fn words(&self, units: UnitSystem) -> [String; 4] {
        let name = match self.component {
            Component::Decision => "Time to decide",
            other => other.name(),
        };
        let (here, difference) = match (self.here, self.difference) {
            (Some(here), Some(difference)) => {
                let verdict = self.verdict(units, here, difference);
                (shown(self.component, units, here), verdict)
            }
            _ => (self.near.name().to_owned(), "not compared".to_owned()),
        };
        let game = shown(self.component, units, self.game);
        [name.to_owned(), here, game, difference]
    }

    /// The component in one line: what is here, what the game pitch has, and
    /// the difference in words.
    pub fn sentence(&self, units: UnitSystem) -> String {
        let [name, here, game, difference] = self.words(units);
        match self.difference {
            None => format!("{name}: {here}. Game pitch: {game}."),
            Some(_) => format!("{name}: {here}. Game pitch: {game}. Here: {difference}."),
        }
    }

    /// The difference of the numbers as shown, so that they add up.
    fn verdict(&self, units: UnitSystem, here: f64, difference: f64) -> String {
        let rounded = |value| rounded(self.component, units, value);
        let off = || match self.component {
            Component::Spin => off(self.component, units, difference),
            component => off(component, units, rounded(here) - rounded(self.game)),
        };
        match self.near {
            Near::Same => "as the game pitch".to_owned(),
            Near::FarOff => format!("{}, far off", off()),
            _ => off(),
        }
    }
}

/// A number in the unit in which it is shown, to the last digit that is.
fn rounded(component: Component, units: UnitSystem, value: f64) -> f64 {
    let value = match component {
        Component::Speed => units.shown_unit("mph").of(value),
        _ => value,
    };
    let a_unit = match component {
        Component::Time | Component::Decision => 100.0,
        Component::Descent | Component::SideAngle => 10.0,
        Component::Spin | Component::Speed => 1.0,
    };
    (value * a_unit).round() / a_unit
}

fn shown(component: Component, units: UnitSystem, value: f64) -> String {
    let size = value.abs();
    match component {
        Component::Decision if value <= 0.0 => {
            "none, as a swing begun at release is late".to_owned()
        }
        Component::Time | Component::Decision => format!("{value:.2} s"),
        Component::Descent if size < 0.05 => "level".to_owned(),
        Component::Descent if value < 0.0 => format!("{size:.1} degrees upward"),
        Component::Descent => format!("{size:.1} degrees down"),
        Component::SideAngle if size < 0.05 => "straight".to_owned(),
        Component::SideAngle => format!("{size:.1} degrees from the {} side", side(value)),
        Component::Spin => format!("{value:.0} rpm"),
        Component::Speed => speed(value, units),
    }
}

/// A speed to a whole number of the phone's unit: "84 mph", "135 km/h".
pub(super) fn speed(mph: f64, units: UnitSystem) -> String {
    let unit = units.shown_unit("mph");
    format!("{:.0} {}", unit.of(mph).round(), unit.name)
}

/// The side a ball comes from: a positive angle moves toward first base.
fn side(angle_deg: f64) -> &'static str {
    if angle_deg > 0.0 {
        "third-base"
    } else {
        "first-base"
    }
}

/// A difference of two numbers as shown, in words.
fn off(component: Component, units: UnitSystem, difference: f64) -> String {
    let size = difference.abs();
    let is_more = difference > 0.0;
    let either = |more: &'static str, less: &'static str| if is_more { more } else { less };
    match component {
        Component::Time | Component::Decision => {
            format!("{size:.2} s {}", either("longer", "shorter"))
        }
        Component::Descent => format!("{size:.1} degrees {}", either("steeper", "flatter")),
        Component::SideAngle => {
            format!("{size:.1} degrees more from the {} side", side(difference))
        }
        Component::Spin => format!("{size:.0} rpm between the two spins"),
        Component::Speed => format!(
            "{size:.0} {} {}",
            units.shown_unit("mph").name,
            either("faster", "slower")
        ),
    }
}
