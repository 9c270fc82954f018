//! What would make an environment closer to the game pitch: suggestions with
//! stored ids, and the drill cards that say how. Nothing here is a plan.

use super::feeds::fastest_mph;
use super::words::speed;
use super::{Fed, Game, Realism};
use crate::cards::Component;
use crate::vocabulary::{Environment, list};
use flight::{Placed, UnitSystem};

list! {
    /// One thing that brings a set nearer to the game pitch.
    Suggestion {
        /// Set the machine up anew.
        OpenSetUp = "open-set-up", "Open the set-up: it says where the machine stands for this pitch, and how fast.";
        /// A faster ball from the same place.
        Firmer = "firmer", "Feed firmer, from behind the screen.";
        /// A slower ball, or from farther away.
        Softer = "softer", "Feed softer, or from farther away.";
        /// From the pitcher's side.
        AngledToss = "angled-toss", "Toss from in front, from the side the pitcher throws from.";
        /// Short batting practice at the time of the game pitch.
        FirmShortPractice = "firm-short-practice", "Firm short batting practice can take as long to the plate as the game pitch.";
        /// A rod that shows the descent.
        TeeWithGuide = "tee-with-guide", "A guide at the tee shows how steeply the game pitch comes down.";
        /// A machine, as the set-up says.
        MachineMatch = "machine-match", "A machine placed as the set-up says gives the time and the descent.";
        /// Take or swing.
        CallTakeSwing = "call-take-swing", "Call it, then take or swing: only then is there something to decide.";
    }
}

impl Suggestion {
    /// The drill card that says how, if there is one.
    pub const fn card(self) -> Option<&'static str> {
        match self {
            Self::OpenSetUp | Self::Firmer | Self::Softer => None,
            Self::AngledToss
            | Self::FirmShortPractice
            | Self::TeeWithGuide
            | Self::MachineMatch
            | Self::CallTakeSwing => Some(self.id()),
        }
    }

    /// The components that it brings nearer.
    pub const fn components(self) -> &'static [Component] {
        use Component::{Decision, Descent, SideAngle, Speed, Time};
        match self {
            Self::OpenSetUp => &[Time, Descent, SideAngle],
            Self::Firmer | Self::Softer | Self::FirmShortPractice => &[Time],
            Self::AngledToss => &[SideAngle],
            Self::TeeWithGuide => &[Descent],
            Self::MachineMatch => &[Time, Descent, Speed],
            Self::CallTakeSwing => &[Decision],
        }
    }

    /// Whether it fits where the ball comes from.
    const fn fits(self, environment: Environment) -> bool {
        use Environment::{
            AngledToss, FrontToss, Game, Live, Machine, MedicineBall, ShortBattingPractice,
            SideToss, Tee,
        };
        match (self, environment) {
            (_, Live | Game) => false,
            (Self::OpenSetUp, _) => matches!(environment, Machine),
            (Self::Firmer, _) => matches!(
                environment,
                FrontToss | AngledToss | SideToss | ShortBattingPractice
            ),
            // A side toss is there for the path: softer would take that away.
            (Self::Softer, _) => {
                matches!(environment, FrontToss | AngledToss | ShortBattingPractice)
            }
            (Self::AngledToss, _) => matches!(environment, FrontToss | SideToss),
            (Self::FirmShortPractice, _) => {
                matches!(environment, FrontToss | AngledToss | SideToss)
            }
            (Self::TeeWithGuide, _) => matches!(environment, MedicineBall | Tee),
            (Self::MachineMatch, _) => !matches!(environment, MedicineBall | Machine),
            (Self::CallTakeSwing, _) => matches!(environment, ShortBattingPractice | Machine),
        }
    }
}

impl Realism {
    /// What would bring this environment nearer, in the order of the list: only
    /// what fits it, and only where a component is off. Take or swing is always
    /// among them where balls come one like the other, as no time alone makes
    /// a decision.
    pub fn closer(&self) -> Vec<Suggestion> {
        let time = self.part(Component::Time).difference.unwrap_or(0.0);
        let helps = |suggestion: &Suggestion| match suggestion {
            Suggestion::CallTakeSwing => true,
            Suggestion::Firmer => self.is_off(Component::Time) && time > 0.0,
            Suggestion::Softer => self.is_off(Component::Time) && time < 0.0,
            other => other.components().iter().any(|part| self.is_off(*part)),
        };
        let all = Suggestion::ALL.iter().copied();
        all.filter(|suggestion| suggestion.fits(self.environment) && helps(suggestion))
            .collect()
    }
}

/// How firm, or how soft, a feed would have to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Firmness {
    /// At this speed it takes as long as the game pitch, mph.
    Speed(f64),
    /// Nobody feeds so fast from there: at the usual most, mph, it still takes
    /// so long, s.
    TooSlow {
        /// The most, mph.
        fastest_mph: f64,
        /// The time at that speed, s.
        time_s: f64,
    },
}

/// Halvings of the search for the speed: a hundred mph to a millionth.
const HALVINGS: usize = 27;

/// The speed at which a feed by hand from where it stands takes as long as the
/// game pitch; `None` for what is not fed by hand, for a ball that cannot be
/// flown, and when even the slowest throw that gets there takes less.
pub fn firm_enough(environment: Environment, fed: Fed, game: &Game) -> Option<Firmness> {
    let Fed::Ball(placed) = fed else { return None };
    let fastest_mph = fastest_mph(environment)?;
    let wanted_s = game.pitch.thrown(&game.flight).ok()?.arrival.time_s;
    let time_s = |speed_mph: f64| {
        let ball = Placed {
            speed_mph,
            ..placed
        };
        let thrown = ball.thrown(&game.flight, game.pitch.target_m()).ok()?;
        Some(thrown.arrival.time_s)
    };
    let shortest_s = time_s(fastest_mph)?;
    if shortest_s > wanted_s {
        return Some(Firmness::TooSlow {
            fastest_mph,
            time_s: shortest_s,
        });
    }
    // A throw too slow to get there counts as one that takes too long.
    let is_slower = |speed_mph: f64| time_s(speed_mph).is_none_or(|time| time > wanted_s);
    let [mut slow, mut fast] = [flight::allowed(flight::Field::FeedSpeed).min, fastest_mph];
    if !is_slower(slow) {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (slow + fast);
        if is_slower(middle) {
            slow = middle;
        } else {
            fast = middle;
        }
    }
    // Where the slowest flat throw is already quicker there is a jump and no
    // speed with that time.
    let is_met = (time_s(fast)? - wanted_s).abs() < 1e-3;
    is_met.then_some(Firmness::Speed(fast))
}

impl Firmness {
    /// How firm, in words.
    pub fn sentence(self, units: UnitSystem) -> String {
        match self {
            Self::Speed(speed_mph) => format!(
                "At {} it takes as long as the game pitch.",
                speed(speed_mph, units)
            ),
            Self::TooSlow {
                fastest_mph,
                time_s,
            } => format!(
                "At {}, the most by hand, it still takes {time_s:.2} s: feed from nearer, behind the screen, or use a machine.",
                speed(fastest_mph, units)
            ),
        }
    }
}
