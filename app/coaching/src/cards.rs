//! Drill cards as data: what a card holds and its lists. The starting set is in
//! the modules below; what a card needs by its environment is in [`needs`]; a
//! coach's own cards are in [`own_cards`](crate::own_cards). No ranking here.
//!
//! The drills are common practice of the trade, no source, in our own words. A
//! card's id never changes meaning.

mod any;
mod approach;
mod bunt;
mod launch;
mod load;
pub mod needs;
mod slap;
mod swing;

pub use any::AnyCard;

use crate::check::View;
use crate::vocabulary::{Environment, list};

list! {
    /// What a card needs. A bat is meant whenever balls are hit.
    Equipment {
        /// A bat.
        Bat = "bat", "Bat";
        /// Balls of the game.
        Balls = "balls", "Balls";
        /// Soft balls.
        SoftBalls = "soft-balls", "Soft balls";
        /// A light medicine ball.
        MedicineBall = "medicine-ball", "Light medicine ball";
        /// A batting tee.
        Tee = "tee", "Tee";
        /// A net or cage that stops the balls.
        Net = "net", "Net or cage";
        /// A protective screen for whoever throws or feeds.
        Screen = "screen", "Screen";
        /// A batting helmet.
        Helmet = "helmet", "Helmet";
        /// A soft rod, or a second tee, that shows the descent.
        Guide = "guide", "Soft rod or second tee";
        /// A folded towel.
        Towel = "towel", "Folded towel";
        /// A pitching machine.
        Machine = "machine", "Machine";
        /// Chalk or tape for lines on the ground.
        Chalk = "chalk", "Chalk or tape";
        /// Cones or other markers.
        Markers = "markers", "Markers";
        /// Somebody who feeds, throws or catches.
        Helper = "helper", "Somebody to help";
    }
}

list! {
    /// A part of what a game pitch asks, as in the realism of a set-up.
    Component {
        /// The time from release to the plate.
        Time = "time", "Time to the plate";
        /// How steeply the ball comes down.
        Descent = "descent", "Descent";
        /// From which side it comes.
        SideAngle = "side-angle", "Side angle";
        /// How it spins.
        Spin = "spin", "Spin";
        /// How fast it is.
        Speed = "speed", "Speed";
        /// Whether to swing at it.
        Decision = "decision", "Decision";
    }
}

list! {
    /// How hard the hitter works.
    Effort {
        /// Slow, to feel the position.
        Easy = "easy", "Easy";
        /// Smooth, about three quarters.
        Medium = "medium", "Three quarters";
        /// As in a game.
        Full = "full", "Full";
    }
}

list! {
    /// What keeps people safe, as sentences for the card.
    Caution {
        /// Any card.
        Pain = "pain", "Stop on pain or after a blow to the head, and refer the hitter to licensed care.";
        /// Any card with a bat.
        BatReach = "bat-reach", "Everybody else stays out of the bat's reach.";
        /// Any thrown or fed ball.
        ThrownBall = "thrown-ball", "The hitter wears a helmet, with a face guard where the rules ask for one, and whoever throws or feeds stays behind a screen.";
        /// Balls from the side.
        SideToss = "side-toss", "The feeder is behind a screen. Soft balls first. Toss to the line of the front hip, not at the body.";
        /// A medicine ball.
        MedicineBall = "medicine-ball", "Light ball, under supervision. Keep the rebound zone clear, with nobody in front. Stop on pain, and when the throws get slower.";
        /// A machine.
        Machine = "machine", "Helmets for all in the cage. Nobody in front of the machine but the hitter while it is powered; unplug it and let it stop before clearing a jam.";
        /// A machine, its first balls.
        FirstBalls = "first-balls", "The first five balls, and five after every change: box empty. An adult stays at the machine: a minor never runs it unsupervised. Follow the maker's manual.";
        /// A pitcher in practice.
        Live = "live", "The pitcher throws from behind a screen. Whoever catches wears full gear.";
        /// A game.
        Game = "game", "In a game, log from behind netting.";
        /// A tee.
        Tee = "tee", "Hit into a net or an empty field, with nobody in front. Helmet on where others hit nearby.";
        /// Crossing and stepping drills.
        Footing = "footing", "Dry, even ground and good shoes: feet cross or step here.";
        /// Moves back and forth.
        Sway = "sway", "No sway: the back knee stays inside the back foot.";
        /// A rod near the swing.
        Guide = "guide", "The rod is soft and light, so that a bat can hit it without harm. No metal and no wood.";
        /// Tired swings.
        Fatigue = "fatigue", "Stop when the hitter tires: the swing changes then, and the changed swing would be the one practiced.";
        /// Bunting.
        Fingers = "fingers", "The fingers of the top hand stay behind the bat on every ball.";
        /// Wherever balls are hit.
        Earphones = "earphones", "No earphones wherever balls are thrown, fed or hit: everybody has to hear a call to stop.";
        /// Whatever may be done outdoors.
        Weather = "weather", "Outdoors: leave the field at the first thunder or lightning, and come back when the local rule says so. In heat, follow the local rule.";
        /// People or markers where the ball goes.
        Fielders = "fielders", "Use markers in place of fielders unless those wear gloves and stand at game distance or farther.";
    }
}

impl Caution {
    /// The sentence on the card.
    pub const fn sentence(self) -> &'static str {
        self.name()
    }
}

/// A fault that a card answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Answers {
    /// The id of the item that was "not yet".
    pub item: &'static str,
    /// The fault of that item which this card answers, to stand within a
    /// sentence, up to 60 characters.
    pub fault: &'static str,
}

/// How much of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dose {
    /// Sets.
    pub sets: u8,
    /// Reps in each set.
    pub reps: u8,
    /// How hard.
    pub effort: Effort,
}

impl Dose {
    /// The dose in one line.
    pub fn sentence(self) -> String {
        let sets = if self.sets == 1 { "set" } else { "sets" };
        let Self { sets: n, reps, .. } = self;
        format!("{n} {sets} of {reps}. Effort: {}.", self.effort.name())
    }
}

/// One drill card of the starting set.
#[derive(Debug, PartialEq, Eq)]
pub struct Card {
    /// The stored id. It never changes meaning.
    pub id: &'static str,
    /// The name, up to 40 characters.
    pub title: &'static str,
    /// What it is for.
    pub purpose: &'static str,
    /// The faults it answers; never empty.
    pub answers: &'static [Answers],
    /// Where the ball comes from; empty when there is none.
    pub environments: &'static [Environment],
    /// Everything it needs.
    pub equipment: &'static [Equipment],
    /// The room it takes.
    pub space: &'static str,
    /// How long it takes, minutes, without setting up.
    pub minutes: u8,
    /// What to do, in order.
    pub steps: &'static [&'static str],
    /// What the hitter should feel: in season, the one cue of a round.
    pub feel: &'static str,
    /// From where to watch.
    pub view: View,
    /// What to watch from there.
    pub watch: &'static str,
    /// How much of it.
    pub dose: Dose,
    /// The form to go back to.
    pub easier: &'static str,
    /// The form to go on to.
    pub harder: &'static str,
    /// What it does not train.
    pub not_trained: &'static [Component],
    /// What keeps people safe, beside the caution of [`View`].
    pub cautions: &'static [Caution],
}

/// What holds for every card in season.
pub const IN_SEASON: &str = "In season: one cue a round.";

/// The starting set, in the order of the phases, slap and bunt at the end.
pub fn cards() -> impl Iterator<Item = &'static Card> {
    [
        launch::CARDS,
        load::CARDS,
        swing::CARDS,
        approach::CARDS,
        slap::CARDS,
        bunt::CARDS,
    ]
    .into_iter()
    .flatten()
}

/// The card of a stored id; `None` when this version has no such card.
pub fn card(id: &str) -> Option<&'static Card> {
    cards().find(|card| card.id == id)
}
