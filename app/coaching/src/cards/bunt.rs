//! The drill cards of the bunt, as data. No rule here.
//! Common practice of the trade, no source.

use super::{Answers, Card, Caution, Component, Dose, Effort, Equipment};
use crate::check::View;
use crate::vocabulary::Environment;

pub(super) const CARDS: &[Card] = &[
    Card {
        id: "bunt-no-ball",
        title: "Bunt position, no ball",
        purpose: "The same quiet way into a safe bunt position.",
        answers: &[
            Answers {
                item: "bunt-square",
                fault: "not set in time, or knees straight",
            },
            Answers {
                item: "bunt-barrel",
                fault: "the barrel is low or beside the body",
            },
            Answers {
                item: "bunt-fingers",
                fault: "fingers around the front of the bat",
            },
            Answers {
                item: "bunt-move",
                fault: "ends somewhere else each time",
            },
        ],
        environments: &[],
        equipment: &[Equipment::Bat],
        space: "A few steps of even ground.",
        minutes: 5,
        steps: &[
            "From the stance, move into the bunt position on a call.",
            "Check it: knees bent, bat in front at the top of the zone, fingers behind the bat.",
            "Hold for two seconds, go back, and do it again.",
        ],
        feel: "The knees are soft and the hands are quiet.",
        view: View::OpenSide,
        watch: "The same knees, bat and head each time.",
        dose: Dose {
            sets: 2,
            reps: 5,
            effort: Effort::Easy,
        },
        easier: "Start in the position, and only check it.",
        harder: "Call it while a thrower goes through the motion without a ball.",
        not_trained: Component::ALL,
        cautions: &[Caution::Pain, Caution::BatReach, Caution::Fingers],
    },
    Card {
        id: "bunt-into-zones",
        title: "Bunt into the zones",
        purpose: "A ball that rolls slowly to the side that was called.",
        answers: &[
            Answers {
                item: "bunt-knees",
                fault: "pushes the barrel down at low pitches",
            },
            Answers {
                item: "bunt-soft",
                fault: "the ball runs hard to a fielder",
            },
            Answers {
                item: "bunt-line",
                fault: "the ball misses the called side",
            },
        ],
        environments: &[Environment::FrontToss],
        equipment: &[
            Equipment::Bat,
            Equipment::SoftBalls,
            Equipment::Balls,
            Equipment::Helmet,
            Equipment::Screen,
            Equipment::Helper,
            Equipment::Markers,
        ],
        space: "An infield with a screen.",
        minutes: 10,
        steps: &[
            "Mark a zone toward each base line where the rolls should stop.",
            "Soft balls first. Call the side before each toss.",
            "Go down with the knees for low tosses, and let the ball come to the bat.",
            "Count the balls that stop in the called zone.",
        ],
        feel: "The bat catches the ball.",
        view: View::OpenSide,
        watch: "The knees do the work, and the bat keeps its angle.",
        dose: Dose {
            sets: 3,
            reps: 6,
            effort: Effort::Easy,
        },
        easier: "One side only, tossed at one height.",
        harder: "Throw firmer, from behind the screen, once the fingers stay behind the bat on every ball.",
        not_trained: Component::ALL,
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::ThrownBall,
            Caution::Fingers,
            Caution::Fielders,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
    Card {
        id: "bunt-or-back",
        title: "Bunt or pull back",
        purpose: "Bunts strikes only.",
        answers: &[Answers {
            item: "bunt-strikes",
            fault: "reaches for pitches outside the zone",
        }],
        environments: &[Environment::ShortBattingPractice],
        equipment: &[
            Equipment::Bat,
            Equipment::Balls,
            Equipment::Helmet,
            Equipment::Screen,
            Equipment::Helper,
        ],
        space: "A field or a cage with a screen.",
        minutes: 8,
        steps: &[
            "Throw strikes and balls, mixed, and no ball at the hitter.",
            "Bunt the strikes. Pull the bat back early from the others.",
            "Log each: in the zone or not, bunt or take.",
        ],
        feel: "The bat starts at the top of the zone: what is higher is a ball.",
        view: View::FromBehind,
        watch: "Whether the bat goes after pitches outside the zone.",
        dose: Dose {
            sets: 3,
            reps: 6,
            effort: Effort::Medium,
        },
        easier: "Say before each throw whether it will be a strike.",
        harder: "Mix the speeds.",
        not_trained: &[Component::Descent, Component::Spin, Component::Speed],
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::ThrownBall,
            Caution::Fingers,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
];
