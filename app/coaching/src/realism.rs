//! Realism: what each environment of a session gives the hitter, beside the
//! game pitch, component by component. All flight is computed by `flight`; the
//! usual feeds are in [`feeds`], the words in `words`, what would make it closer
//! in [`closer`]. There is no score: the components are not of one kind.

pub mod closer;
pub mod feeds;
mod words;

use crate::cards::Component;
use crate::vocabulary::{Environment, Hand, list};
use flight::{Aimed, Air, Flight, Level, Pitch, Placed, Plane, SetUpError, Spin, USUAL_SWING_S};

/// The game pitch that everything is held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Game {
    /// The game's ball in the air of the day.
    pub flight: Flight,
    /// The pitch, and where it is met.
    pub pitch: Pitch,
    /// Time a swing takes, from the decision to contact, s.
    pub swing_s: f64,
}

impl Game {
    /// The typical pitch of a level by a pitcher of a hand, met where a ball
    /// over the middle is typically met, for a swing of
    /// [`flight::USUAL_SWING_S`] (common practice, no source).
    pub fn usual(level: &Level, air: Air, pitcher: Hand) -> Self {
        let right = Pitch {
            met_at: Plane::TYPICAL_CONTACT,
            ..level.game_pitch().into()
        };
        Self {
            flight: level.flight(air),
            pitch: match pitcher {
                Hand::Right => right,
                Hand::Left => right.mirrored(),
            },
            swing_s: USUAL_SWING_S,
        }
    }
}

/// How the ball of an environment comes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fed {
    /// It flies: from where, how fast, with what spin.
    Ball(Placed),
    /// No ball flies: a tee, a medicine ball.
    NoFlight,
    /// A pitcher pitches: as the game, and not computed.
    Pitched,
}

list! {
    /// How near one component is to the game pitch.
    Near {
        /// Within the scale of its component.
        Same = "same", "as the game pitch";
        /// Off by up to four of its scale.
        Off = "off", "off";
        /// Off by more.
        FarOff = "far-off", "far off";
        /// No ball flies.
        NoFlight = "no-flight", "none, as no ball flies";
        /// A pitcher pitches.
        Pitched = "pitched", "as pitched";
    }
}

/// The difference up to which a component counts as the game pitch's: 0.02 s,
/// 1 degree of descent, 2 of side angle, 300 rpm, 3 mph (our choice, no source).
pub const fn scale(component: Component) -> f64 {
    match component {
        Component::Time | Component::Decision => 0.02,
        Component::Descent => 1.0,
        Component::SideAngle => 2.0,
        Component::Spin => 300.0,
        Component::Speed => 3.0,
    }
}

/// All components, in the order of their list.
const COMPONENTS: [Component; 6] = [
    Component::Time,
    Component::Descent,
    Component::SideAngle,
    Component::Spin,
    Component::Speed,
    Component::Decision,
];

/// Scales from which a component is far off.
const FAR: f64 = 4.0;

/// One component of an environment, beside the game pitch. Units by component:
/// time and decision s, descent and side angle degrees as in `flight` (both
/// against the speed along the field, so that a side toss shows more descent
/// than along its own way), spin
/// rpm (of the part that moves the ball), speed where it is met mph.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Which component. [`Component::Decision`] is the time to decide: from
    /// release to contact, less the swing; negative when even a swing begun at
    /// release is late.
    pub component: Component,
    /// The environment's; none when no ball flies, or it is pitched.
    pub here: Option<f64>,
    /// The game pitch's.
    pub game: f64,
    /// Environment minus game. For spin the rate of the difference of the two
    /// spins, so never negative: two spins of one rate may push the ball to two
    /// sides.
    pub difference: Option<f64>,
    /// How near.
    pub near: Near,
}

/// What one environment gives of the game pitch, in the order of
/// [`Component::ALL`].
#[derive(Debug, Clone, PartialEq)]
pub struct Realism {
    /// The environment.
    pub environment: Environment,
    /// Every component.
    pub parts: [Part; 6],
}

/// What a hitter gets of one ball, by component; spin is the moving part.
fn given(ball: &Aimed, spin: Spin, swing_s: f64) -> [f64; 6] {
    let arrival = &ball.arrival;
    COMPONENTS.map(|component| match component {
        Component::Time => arrival.time_s,
        Component::Descent => arrival.descent_rad().to_degrees(),
        Component::SideAngle => arrival.side_angle_rad().to_degrees(),
        Component::Spin => spin.moving_rpm(),
        Component::Speed => arrival.speed_mph(),
        Component::Decision => arrival.time_s - swing_s,
    })
}

impl Realism {
    /// An environment beside the game pitch. The fed ball is aimed at the point
    /// where the pitch is met.
    ///
    /// Errors: those of `flight`, for an entry outside its range and for a ball
    /// that does not get there.
    pub fn of(environment: Environment, fed: Fed, game: &Game) -> Result<Self, RealismError> {
        let pitched = game.pitch.thrown(&game.flight)?;
        let of_game = given(&pitched, game.pitch.spin, game.swing_s);
        let without = |near: Near| {
            COMPONENTS.map(|component| Part {
                component,
                here: None,
                game: of_game[component as usize],
                difference: None,
                near,
            })
        };
        let parts = match fed {
            Fed::NoFlight => without(Near::NoFlight),
            Fed::Pitched => without(Near::Pitched),
            Fed::Ball(placed) => {
                let ball = placed.thrown(&game.flight, game.pitch.target_m())?;
                let here = given(&ball, placed.spin, game.swing_s);
                COMPONENTS.map(|component| {
                    let place = component as usize;
                    let difference = match component {
                        Component::Spin => placed.spin.minus(game.pitch.spin).moving_rpm(),
                        _ => here[place] - of_game[place],
                    };
                    Part {
                        component,
                        here: Some(here[place]),
                        game: of_game[place],
                        difference: Some(difference),
                        near: near(component, difference),
                    }
                })
            }
        };
        Ok(Self { environment, parts })
    }

    /// One component.
    pub fn part(&self, component: Component) -> &Part {
        &self.parts[component as usize]
    }

    /// Whether a component is off, or there is none.
    fn is_off(&self, component: Component) -> bool {
        matches!(
            self.part(component).near,
            Near::Off | Near::FarOff | Near::NoFlight
        )
    }
}

fn near(component: Component, difference: f64) -> Near {
    let off = difference.abs() / scale(component);
    if off <= 1.0 {
        Near::Same
    } else if off <= FAR {
        Near::Off
    } else {
        Near::FarOff
    }
}

/// Why an environment could not be held against the game pitch.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum RealismError {
    /// One of the two balls cannot be flown as entered.
    #[error("Beside the game pitch: {0}. Nothing was changed.")]
    Flight(#[from] SetUpError),
}
