//! What a card needs and must say by where its ball comes from: one rule for
//! the starting set (a test holds it to this) and for a coach's own cards (what
//! is missing is added to what the coach wrote).

use super::{Caution, Equipment};
use crate::vocabulary::Environment;

/// What an environment needs on the field. Nobody feeds a tee, and a game
/// brings its own.
pub const fn equipment(environment: Environment) -> &'static [Equipment] {
    use Equipment::{Helmet, Helper, Machine, MedicineBall, Screen, Tee};
    match environment {
        Environment::MedicineBall => &[MedicineBall],
        Environment::Tee => &[Tee],
        Environment::FrontToss
        | Environment::SideToss
        | Environment::AngledToss
        | Environment::ShortBattingPractice
        | Environment::Live => &[Helmet, Screen, Helper],
        Environment::Machine => &[Machine, Helmet, Screen, Helper],
        Environment::Game => &[Helmet],
    }
}

/// What a card with a ball from there must say.
pub const fn cautions(environment: Environment) -> &'static [Caution] {
    use Caution::{BatReach, Earphones, FirstBalls, Game, Live, Machine, MedicineBall};
    use Caution::{SideToss, Tee, ThrownBall, Weather};
    match environment {
        Environment::MedicineBall => &[MedicineBall, Weather],
        Environment::Tee => &[BatReach, Tee, Earphones, Weather],
        Environment::FrontToss | Environment::AngledToss | Environment::ShortBattingPractice => {
            &[BatReach, ThrownBall, Earphones, Weather]
        }
        Environment::SideToss => &[BatReach, ThrownBall, SideToss, Earphones, Weather],
        Environment::Machine => &[
            BatReach, ThrownBall, Machine, FirstBalls, Earphones, Weather,
        ],
        Environment::Live => &[BatReach, ThrownBall, Live, Earphones, Weather],
        Environment::Game => &[Game, Weather],
    }
}

/// Everything a card must say, each once: by its environments, by its
/// equipment, and what every card says.
pub fn all_cautions(environments: &[Environment], needed: &[Equipment]) -> Vec<Caution> {
    let by_environment = environments.iter().flat_map(|place| cautions(*place));
    let by_equipment = needed.iter().filter_map(|thing| match thing {
        Equipment::Bat => Some(&Caution::BatReach),
        Equipment::MedicineBall => Some(&Caution::MedicineBall),
        Equipment::Guide => Some(&Caution::Guide),
        _ => None,
    });
    let machine: &[Caution] = if needed.contains(&Equipment::Machine) {
        cautions(Environment::Machine)
    } else {
        &[]
    };
    let mut all = vec![Caution::Pain];
    for caution in by_environment.chain(by_equipment).chain(machine) {
        if !all.contains(caution) {
            all.push(*caution);
        }
    }
    all
}
