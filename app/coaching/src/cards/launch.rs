//! The drill cards of the launch position, as data. No rule here.
//! Common practice of the trade, no source.

use super::{Answers, Card, Caution, Component, Dose, Effort, Equipment};
use crate::check::View;
use crate::vocabulary::Environment;

pub(super) const CARDS: &[Card] = &[
    Card {
        id: "ball-throw-hold",
        title: "Ball throw, hold the finish",
        purpose: "The turn starts in the hips and trunk, and the side tilt lasts to the end.",
        answers: &[
            Answers {
                item: "launch-turn",
                fault: "the front shoulder pulls open first",
            },
            Answers {
                item: "launch-tilt",
                fault: "the trunk stands up before contact",
            },
            Answers {
                item: "swing-direction",
                fault: "the turn falls off to one side",
            },
        ],
        environments: &[Environment::MedicineBall],
        equipment: &[Equipment::MedicineBall],
        space: "At least ten feet from a solid wall, more when the ball bounces, or an open field. Nobody in front.",
        minutes: 8,
        steps: &[
            "Take a light ball: 2 to 4 lb, and for the youngest a playground ball.",
            "Stand in the launch position, with the ball in both hands beside the back hip.",
            "Turn from the hips and throw the ball underhand toward the wall or the middle of the field.",
            "Hold the finish for two seconds, the trunk still tilted toward the plate.",
            "Let the ball come to rest, fetch it, and find the launch position again.",
        ],
        feel: "The belt buckle goes first, and the arms only follow.",
        view: View::OpenSide,
        watch: "The belt buckle comes round before the front shoulder opens.",
        dose: Dose {
            sets: 3,
            reps: 5,
            effort: Effort::Medium,
        },
        easier: "Throw from both knees, on soft ground: hips and trunk turn without the feet.",
        harder: "Throw out of the load and forward move.",
        not_trained: Component::ALL,
        cautions: &[Caution::Pain, Caution::MedicineBall, Caution::Weather],
    },
    Card {
        id: "position-on-call",
        title: "Position on call",
        purpose: "The same launch position, found again at any time.",
        answers: &[
            Answers {
                item: "launch-again",
                fault: "the position is not the same each time",
            },
            Answers {
                item: "launch-balance",
                fault: "the weight hangs over one foot",
            },
            Answers {
                item: "load-same-launch",
                fault: "the load ends in another position",
            },
        ],
        environments: &[],
        equipment: &[Equipment::Chalk],
        space: "A few steps of even ground.",
        minutes: 5,
        steps: &[
            "Take the launch position, and have both feet outlined with chalk or tape.",
            "Step away, and come back to the position on a call.",
            "Hold it for three seconds, and compare feet, hands and weight with the first time.",
            "Then come to it by the load and forward move: the feet land in the outlines.",
        ],
        feel: "The weight is spread evenly under both feet.",
        view: View::OpenSide,
        watch: "Feet in the outlines, hands at the same height, the belt midway between the feet.",
        dose: Dose {
            sets: 3,
            reps: 3,
            effort: Effort::Easy,
        },
        easier: "Leave the feet in place, and find only hands and weight again.",
        harder: "Come back after a few quick steps.",
        not_trained: Component::ALL,
        cautions: &[Caution::Pain, Caution::Footing],
    },
    Card {
        id: "forward-or-back",
        title: "Forward or back on call",
        purpose: "A launch position that can go either way at once.",
        answers: &[
            Answers {
                item: "launch-both-ways",
                fault: "shifts or sinks before pushing off",
            },
            Answers {
                item: "launch-balance",
                fault: "tips when asked to stay",
            },
        ],
        environments: &[],
        equipment: &[Equipment::Helper],
        space: "A few steps of even ground.",
        minutes: 5,
        steps: &[
            "Hold the launch position without a bat.",
            "On the call forward (to the pitcher) or back (to the catcher), push off one step that way at once.",
            "Come back and hold again. The caller mixes the two and the waits.",
        ],
        feel: "Both feet press into the ground, ready to push.",
        view: View::OpenSide,
        watch: "No dip, rise or shift before the push.",
        dose: Dose {
            sets: 3,
            reps: 6,
            effort: Effort::Medium,
        },
        easier: "Say before each push which way it will be.",
        harder: "Point with a hand in place of calling.",
        not_trained: Component::ALL,
        cautions: &[Caution::Pain, Caution::Footing],
    },
    Card {
        id: "head-on-mark",
        title: "Head on the mark",
        purpose: "The head stays in its place while the body turns under it.",
        answers: &[Answers {
            item: "launch-head",
            fault: "the head drifts, drops or rises",
        }],
        environments: &[Environment::Tee],
        equipment: &[
            Equipment::Bat,
            Equipment::Balls,
            Equipment::Tee,
            Equipment::Net,
        ],
        space: "A tee in front of a net, with twice the length of a bat free all round.",
        minutes: 8,
        steps: &[
            "The watcher chooses a mark in the background, level with the hitter's head.",
            "Start from the launch position and hit off the tee at an easy pace.",
            "Keep the eyes on the place of contact until the ball is in the net.",
        ],
        feel: "The eyes stay where the bat met the ball.",
        view: View::OpenSide,
        watch: "The head stays on the mark until contact.",
        dose: Dose {
            sets: 3,
            reps: 6,
            effort: Effort::Easy,
        },
        easier: "Turn without a bat, the arms crossed over the chest.",
        harder: "Add the load, then the full swing.",
        not_trained: Component::ALL,
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::Tee,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
];
