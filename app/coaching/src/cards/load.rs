//! The drill cards of the load and forward move, as data. No rule here.
//! Common practice of the trade, no source.

use super::{Answers, Card, Caution, Component, Dose, Effort, Equipment};
use crate::check::View;
use crate::vocabulary::Environment;

pub(super) const CARDS: &[Card] = &[
    Card {
        id: "crossed-start",
        title: "Crossed start",
        purpose: "The back hip takes the weight, and the forward move comes out of it.",
        answers: &[
            Answers {
                item: "load-back-hip",
                fault: "the back hip is not felt",
            },
            Answers {
                item: "load-control",
                fault: "sits back without a forward move",
            },
        ],
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
            "Cross the front foot over the back foot, on the plate's side of it, with the weight on the back leg.",
            "Let the back hip fold, then step forward into the launch position.",
            "Swing off the tee without a stop.",
        ],
        feel: "The back hip holds the weight, then moves it forward.",
        view: View::FromBehind,
        watch: "A crease at the back hip, and the back knee not out over the toes.",
        dose: Dose {
            sets: 3,
            reps: 5,
            effort: Effort::Medium,
        },
        easier: "Step into the launch position and hold it, without a swing.",
        harder: "Take it at the count of the full swing.",
        not_trained: Component::ALL,
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::Tee,
            Caution::Footing,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
    Card {
        id: "back-then-forward",
        title: "Step back, then forward",
        purpose: "A rhythm that goes back before it goes forward, and ends in balance.",
        answers: &[
            Answers {
                item: "load-control",
                fault: "ends on the front foot",
            },
            Answers {
                item: "load-back-hip",
                fault: "the weight never gets into the back hip",
            },
            Answers {
                item: "load-same-launch",
                fault: "no rhythm, so that the landing differs each time",
            },
        ],
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
            "From a narrow stance, the feet nearly together, take a short step back with the back foot.",
            "Let the weight go into the back hip, then step forward with the front foot, without a stop.",
            "Land in the launch position and swing off the tee.",
            "Hold the end: the weight has not fallen past the front foot.",
        ],
        feel: "Slowly back, smoothly forward, in one rhythm.",
        view: View::OpenSide,
        watch: "The back knee inside the back foot, a soft landing, the belt between the feet.",
        dose: Dose {
            sets: 3,
            reps: 5,
            effort: Effort::Medium,
        },
        easier: "Without a bat: stop in the launch position.",
        harder: "Make the step back smaller until only the rhythm remains.",
        not_trained: Component::ALL,
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::Tee,
            Caution::Footing,
            Caution::Sway,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
    Card {
        id: "wide-open-start",
        title: "Wide open start",
        purpose: "The hips turn in on the way to the launch position.",
        answers: &[
            Answers {
                item: "load-front-hip",
                fault: "the hips do not turn in",
            },
            Answers {
                item: "load-back-hip",
                fault: "the front of the thigh takes the weight",
            },
        ],
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
            "Start wide open: the front foot well away from the plate, the chest half toward the pitcher.",
            "Step in to the usual place while the front hip turns in and the back hip folds.",
            "Arrive in the launch position and swing off the tee.",
        ],
        feel: "The front hip turns in, and the back hip folds.",
        view: View::OpenSide,
        watch: "The belt buckle turns a little toward the catcher as the foot steps in.",
        dose: Dose {
            sets: 3,
            reps: 5,
            effort: Effort::Medium,
        },
        easier: "Step in and hold the launch position, without a swing.",
        harder: "Open half as wide, then start from the usual stance.",
        not_trained: Component::ALL,
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::Tee,
            Caution::Footing,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
    Card {
        id: "outer-edge-towel",
        title: "Towel under the outer edge",
        purpose: "The pressure stays on the inner edge of the back foot, and the knee stays inside the foot.",
        answers: &[
            Answers {
                item: "load-back-foot",
                fault: "the weight rolls to the outer edge",
            },
            Answers {
                item: "load-control",
                fault: "sways back before moving forward",
            },
        ],
        environments: &[],
        equipment: &[Equipment::Towel],
        space: "A few steps of even ground.",
        minutes: 5,
        steps: &[
            "Lay a flat folded towel under the outer edge of the back foot.",
            "Load, and keep the pressure on the inner edge of the foot and the knee inside the foot.",
            "Move forward into the launch position, and hold it.",
        ],
        feel: "The inner edge of the back foot holds the ground.",
        view: View::OpenSide,
        watch: "The back knee stays on the pitcher's side of the foot.",
        dose: Dose {
            sets: 3,
            reps: 6,
            effort: Effort::Easy,
        },
        easier: "Only load and hold, without the forward move.",
        harder: "Take the towel away and keep the same pressure.",
        not_trained: Component::ALL,
        cautions: &[Caution::Pain, Caution::Footing, Caution::Sway],
    },
];
