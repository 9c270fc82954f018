//! The drill cards of the approach and pitch selection, as data. No rule here.
//! Common practice of the trade, no source.

use super::{Answers, Card, Caution, Component, Dose, Effort, Equipment};
use crate::check::View;
use crate::vocabulary::Environment;

pub(super) const CARDS: &[Card] = &[
    Card {
        id: "call-take-swing",
        title: "Call it, then take or swing",
        purpose: "Telling in time whether a pitch is one to hit.",
        answers: &[
            Answers {
                item: "approach-chase",
                fault: "swings at pitches outside the zone",
            },
            Answers {
                item: "approach-on-time",
                fault: "decides late, or before the pitch can be judged",
            },
            Answers {
                item: "approach-zone",
                fault: "lets strikes in the planned zone go by",
            },
        ],
        environments: &[Environment::ShortBattingPractice, Environment::Live],
        equipment: &[
            Equipment::Bat,
            Equipment::Balls,
            Equipment::Helmet,
            Equipment::Screen,
            Equipment::Helper,
        ],
        space: "A field or a cage with a screen.",
        minutes: 12,
        steps: &[
            "First round: take all, and call ball or strike before the pitch is at the plate.",
            "Second round: take all, and say yes or no while the pitch is on its way.",
            "Third round: swing at yes, take at no.",
            "Log each pitch: in the zone or not, swing or take.",
        ],
        feel: "Ready to swing at each pitch until it is seen to be a ball.",
        view: View::FromBehind,
        watch: "How early the call comes, and whether it is correct.",
        dose: Dose {
            sets: 3,
            reps: 8,
            effort: Effort::Full,
        },
        easier: "Slower pitches of one kind.",
        harder: "Mix speeds and kinds of pitch.",
        not_trained: &[Component::Descent, Component::Spin],
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::ThrownBall,
            Caution::Live,
            Caution::Fatigue,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
    Card {
        id: "two-strike-rounds",
        title: "Two-strike rounds",
        purpose: "A plan of its own for two strikes.",
        answers: &[
            Answers {
                item: "approach-plan",
                fault: "one plan for every count of balls and strikes",
            },
            Answers {
                item: "approach-chase",
                fault: "chases with two strikes",
            },
        ],
        environments: &[Environment::ShortBattingPractice, Environment::Live],
        equipment: &[
            Equipment::Bat,
            Equipment::Balls,
            Equipment::Helmet,
            Equipment::Screen,
            Equipment::Helper,
        ],
        space: "A field or a cage with a screen.",
        minutes: 12,
        steps: &[
            "Every turn begins with two strikes.",
            "Say the plan aloud: which zone, and where the ball should go.",
            "After a foul ball the turn goes on; a ball in play, a miss or a called strike ends it.",
            "Log swings outside the zone and called strikes.",
        ],
        feel: "Start early and small, and let the ball come closer.",
        view: View::FromBehind,
        watch: "Swings outside the zone, and strikes let go.",
        dose: Dose {
            sets: 3,
            reps: 5,
            effort: Effort::Full,
        },
        easier: "Begin each turn with one strike.",
        harder: "Keep score between hitter and thrower.",
        not_trained: &[Component::Descent, Component::Spin],
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::ThrownBall,
            Caution::Live,
            Caution::Fatigue,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
    Card {
        id: "plan-aloud",
        title: "Say the plan, then hit",
        purpose: "A plan for the pitcher and the count, made before the pitch.",
        answers: &[
            Answers {
                item: "approach-plan",
                fault: "has no plan to tell",
            },
            Answers {
                item: "approach-zone",
                fault: "swings at pitches outside the planned zone",
            },
        ],
        environments: &[Environment::ShortBattingPractice],
        equipment: &[
            Equipment::Bat,
            Equipment::Balls,
            Equipment::Helmet,
            Equipment::Screen,
            Equipment::Helper,
        ],
        space: "A field or a cage with a screen.",
        minutes: 12,
        steps: &[
            "Before a turn, the coach says how the pitcher throws, and the balls and strikes.",
            "The hitter says which pitch and zone to look for, and swings at that alone; with two strikes, at every strike.",
            "After each pitch the hitter says whether it was the one. Log it.",
        ],
        feel: "Look for one pitch in one place.",
        view: View::FromBehind,
        watch: "Whether swings and the plan agree.",
        dose: Dose {
            sets: 3,
            reps: 6,
            effort: Effort::Full,
        },
        easier: "One zone for the whole round.",
        harder: "Change the count within the turn: a small zone when ahead, a larger one when behind.",
        not_trained: &[Component::Descent, Component::Spin],
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::ThrownBall,
            Caution::Fatigue,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
];
