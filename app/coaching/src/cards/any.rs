//! A card of the starting set or a coach's own, asked in one way. No ranking
//! and no storage here.

use super::{Card, Component, Dose, Equipment, IN_SEASON};
use crate::check::{Phase, Skill, View, item};
use crate::own_cards::OwnCard;
use crate::vocabulary::{Environment, Side};

/// A card of the starting set or a coach's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AnyCard<'a> {
    /// Of the starting set.
    BuiltIn(&'static Card),
    /// A coach's own.
    Own(&'a OwnCard),
}

/// A field that both kinds of card have.
macro_rules! both {
    ($($(#[$doc:meta])* $name:ident: $type:ty, $field:ident => $built_in:expr, $own:expr;)+) => {
        $($(#[$doc])*
        pub fn $name(self) -> $type {
            match self {
                Self::BuiltIn($field) => $built_in,
                Self::Own($field) => $own,
            }
        })+
    };
}

impl<'a> AnyCard<'a> {
    both! {
        /// The stored id.
        id: &'a str, card => card.id, &card.id;
        /// The name.
        title: &'a str, card => card.title, &card.title;
        /// What it is for.
        purpose: &'a str, card => card.purpose, &card.purpose;
        /// Where the ball comes from; empty when there is none.
        environments: &'a [Environment], card => card.environments, &card.environments;
        /// Everything it needs.
        equipment: &'a [Equipment], card => card.equipment, &card.equipment;
        /// The room it takes; empty when a coach left it open.
        space: &'a str, card => card.space, &card.space;
        /// How long it takes, minutes.
        minutes: u8, card => card.minutes, card.minutes;
        /// What to do, in order.
        steps: Vec<&'a str>, card => card.steps.to_vec(), card.steps.iter().map(String::as_str).collect();
        /// What the hitter should feel; empty when a coach left it open.
        feel: &'a str, card => card.feel, &card.feel;
        /// From where to watch.
        view: View, card => card.view, card.view;
        /// What to watch from there; empty when a coach left it open.
        watch: &'a str, card => card.watch, &card.watch;
        /// How much of it.
        dose: Dose, card => card.dose, card.dose;
        /// The form to go back to; empty when a coach left it open.
        easier: &'a str, card => card.easier, &card.easier;
        /// The form to go on to; empty when a coach left it open.
        harder: &'a str, card => card.harder, &card.harder;
        /// What it does not train.
        not_trained: &'a [Component], card => card.not_trained, &card.not_trained;
    }

    /// The items it answers, each with the fault (which a coach may have left
    /// open), in its order.
    pub fn answers(self) -> Vec<(&'a str, &'a str)> {
        match self {
            Self::BuiltIn(card) => card.answers.iter().map(|a| (a.item, a.fault)).collect(),
            Self::Own(card) => {
                let answers = card.answers.iter();
                answers
                    .map(|a| (a.item.as_str(), a.fault.as_str()))
                    .collect()
            }
        }
    }

    /// What keeps people safe, in sentences: the coach's own words first, then
    /// what its balls and equipment ask for, last where the watcher stands.
    pub fn cautions(self) -> Vec<&'a str> {
        let mut all: Vec<&'a str> = Vec::new();
        match self {
            Self::BuiltIn(card) => all.extend(card.cautions.iter().map(|c| c.sentence())),
            Self::Own(card) => {
                if !card.caution.is_empty() {
                    all.push(&card.caution);
                }
                for caution in card.cautions() {
                    all.push(caution.sentence());
                }
            }
        }
        all.push(self.view().caution());
        all
    }

    /// The one cue of a round in season.
    pub fn cue_in_season(self) -> String {
        format!("{IN_SEASON} {}", self.feel()).trim_end().to_owned()
    }

    /// The fault of an item that it answers; `None` when it does not.
    pub fn fault_of(self, item: &str) -> Option<&'a str> {
        let mut answers = self.answers().into_iter();
        answers.find(|answer| answer.0 == item).map(|a| a.1)
    }

    /// Where it stands among all cards: by the first item it answers that this
    /// version knows; `None` when it knows none of them.
    pub fn place(self) -> Option<(Skill, Phase)> {
        let mut known = self.answers().into_iter();
        known
            .find_map(|(id, _)| item(id))
            .map(|item| (item.skill, item.phase))
    }

    /// Which fields the words "pull side" and "opposite side" mean, when the
    /// card uses them. `side` is where the hitter stands; `None` names both. A
    /// slap is always from the side of first base, which is a left-handed
    /// hitter's.
    pub fn fields_in_words(self, side: Option<Side>) -> Option<String> {
        let mut texts = self.steps();
        texts.extend([
            self.purpose(),
            self.feel(),
            self.watch(),
            self.easier(),
            self.harder(),
        ]);
        texts.extend(self.answers().into_iter().map(|(_, fault)| fault));
        let says = |words: &str| texts.iter().any(|text| text.contains(words));
        if !says("pull side") && !says("opposite side") {
            return None;
        }
        let slaps = self.place().is_some_and(|(skill, _)| skill == Skill::Slap);
        let side = if slaps { Some(Side::Left) } else { side };
        let of = |side: Side| {
            format!(
                "pull side is {}, opposite side is {}",
                side.pull_field(),
                side.opposite_field()
            )
        };
        Some(match side {
            Some(Side::Left) => format!("Batting left: {}.", of(Side::Left)),
            Some(Side::Right) => format!("Batting right: {}.", of(Side::Right)),
            None => format!(
                "Batting right: {}. Batting left: {}.",
                of(Side::Right),
                of(Side::Left)
            ),
        })
    }
}
