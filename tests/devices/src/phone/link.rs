//! The connection between a phone and the relay, and all that can go wrong
//! with it.

use crate::chance::Chance;
use crate::relay::Relay;

/// The connection to the relay, for one step.
pub struct Link<'a> {
    /// The other end; `None` when there is no network.
    pub relay: Option<&'a mut Relay>,
    /// What becomes of messages.
    pub fate: Fate,
}

/// What becomes of a message and its answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// Both arrive.
    Arrives,
    /// The message is lost.
    AskLost,
    /// The message arrives, its answer is lost.
    AnswerLost,
    /// The message arrives twice.
    Twice,
    /// The connection breaks in the middle of the answer.
    AnswerCut,
    /// Each of these in so many percent of cases.
    Chances(usize),
}

impl Fate {
    fn settle(self, chance: &mut Chance) -> Self {
        let Self::Chances(percent) = self else {
            return self;
        };
        let fates = [
            Self::AskLost,
            Self::AnswerLost,
            Self::Twice,
            Self::AnswerCut,
        ];
        let drawn = fates.into_iter().find(|_| chance.percent(percent));
        drawn.unwrap_or(Self::Arrives)
    }
}

impl Link<'_> {
    /// Sends `ask`, and brings its answer back with what became of it; `None`
    /// when either was lost.
    pub(super) fn send_fated<T>(
        &mut self,
        chance: &mut Chance,
        ask: impl Fn(&mut Relay) -> T,
    ) -> Option<(T, Fate)> {
        let relay = self.relay.as_mut()?;
        let fate = self.fate.settle(chance);
        if fate == Fate::AskLost {
            return None;
        }
        let answer = ask(relay);
        if fate == Fate::Twice {
            ask(relay);
        }
        (fate != Fate::AnswerLost).then_some((answer, fate))
    }

    /// As [`Self::send_fated`], where an answer that is cut is as good as lost.
    pub(super) fn send<T>(
        &mut self,
        chance: &mut Chance,
        ask: impl Fn(&mut Relay) -> T,
    ) -> Option<T> {
        let (answer, fate) = self.send_fated(chance, ask)?;
        (fate != Fate::AnswerCut).then_some(answer)
    }
}
