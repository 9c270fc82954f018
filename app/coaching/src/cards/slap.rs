//! The drill cards of the slap, as data. No rule here.
//! Common practice of the trade, no source.

use super::{Answers, Card, Caution, Component, Dose, Effort, Equipment};
use crate::check::View;
use crate::vocabulary::Environment;

pub(super) const CARDS: &[Card] = &[
    Card {
        id: "crossed-slap-tee",
        title: "Crossed feet, slap off the tee",
        purpose: "The slap position: crossed, closed and in balance.",
        answers: &[
            Answers {
                item: "slap-position",
                fault: "tips with the feet crossed",
            },
            Answers {
                item: "slap-closed",
                fault: "the chest opens early",
            },
            Answers {
                item: "slap-barrel",
                fault: "the barrel passes the hands",
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
            "Start with the back foot already crossed over in front, toward the pitcher.",
            "Hold for two seconds: hands back, front shoulder closed.",
            "Slap the ball off the tee on the ground, to the opposite side.",
        ],
        feel: "The hands wait until the feet are down.",
        view: View::OpenSide,
        watch: "Front shoulder closed and hands back until the bat moves.",
        dose: Dose {
            sets: 3,
            reps: 6,
            effort: Effort::Easy,
        },
        easier: "Hold the position only, without a ball.",
        harder: "Start from the stance, with the steps.",
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
        id: "slap-along-line",
        title: "Slap along the line",
        purpose: "Steps that go toward the pitcher and stay inside the box.",
        answers: &[
            Answers {
                item: "slap-steps",
                fault: "the steps go toward first base",
            },
            Answers {
                item: "slap-box",
                fault: "a foot is outside the box at contact",
            },
            Answers {
                item: "slap-smooth",
                fault: "stops with the feet crossed",
            },
        ],
        environments: &[Environment::Tee],
        equipment: &[
            Equipment::Bat,
            Equipment::Balls,
            Equipment::Tee,
            Equipment::Net,
            Equipment::Chalk,
        ],
        space: "A tee well in front of a net, with room for the steps, and twice the length of a bat free all round.",
        minutes: 8,
        steps: &[
            "Chalk the box, and a line from the back foot toward the pitcher. The tee stands out front, clear of the feet.",
            "Walk the steps along the line, without a ball.",
            "Run the steps into a slap off the tee, and see where the feet came down.",
        ],
        feel: "The feet go where the ball comes from.",
        view: View::OpenSide,
        watch: "Feet along the line, and inside the box at contact.",
        dose: Dose {
            sets: 3,
            reps: 6,
            effort: Effort::Medium,
        },
        easier: "Walk it, and tap the ball off the tee.",
        harder: "Run the steps at full pace.",
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
        id: "slap-front-toss",
        title: "Slap at front toss",
        purpose: "Steps, slap and run in one move, on time.",
        answers: &[
            Answers {
                item: "slap-smooth",
                fault: "waits with crossed feet, or rushes",
            },
            Answers {
                item: "slap-barrel",
                fault: "the ball goes to the pull side or up",
            },
            Answers {
                item: "slap-run",
                fault: "leaves before the ball is met",
            },
        ],
        environments: &[Environment::FrontToss],
        equipment: &[
            Equipment::Bat,
            Equipment::Balls,
            Equipment::Helmet,
            Equipment::Screen,
            Equipment::Helper,
        ],
        space: "A field with a screen, and a clear way toward first base.",
        minutes: 12,
        steps: &[
            "Start the steps as the feeder's arm comes forward.",
            "Slap on the ground, to the middle or the opposite side.",
            "Look at the place of contact first, then drop the bat without throwing it, and run three steps.",
        ],
        feel: "Slap first, then run.",
        view: View::OpenSide,
        watch: "No stop before the slap, and the head at the ball at contact.",
        dose: Dose {
            sets: 4,
            reps: 6,
            effort: Effort::Medium,
        },
        easier: "A slower toss, and no run.",
        harder: "Mix soft and hard slaps by a call.",
        not_trained: Component::ALL,
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::ThrownBall,
            Caution::Footing,
            Caution::Fatigue,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
    Card {
        id: "slap-the-gap",
        title: "Slap where nobody stands",
        purpose: "Reading the field, then the slap that it calls for.",
        answers: &[
            Answers {
                item: "slap-field",
                fault: "the same slap wherever the infielders stand",
            },
            Answers {
                item: "slap-strikes",
                fault: "swings at everything once the feet move",
            },
        ],
        environments: &[Environment::FrontToss],
        equipment: &[
            Equipment::Bat,
            Equipment::Balls,
            Equipment::Helmet,
            Equipment::Screen,
            Equipment::Helper,
            Equipment::Markers,
        ],
        space: "An infield with a screen.",
        minutes: 12,
        steps: &[
            "Markers stand for the infielders. Move some, and toss only when whoever moved them is off the infield.",
            "The hitter says soft, hard or bunt, and then does it. For a bunt the fingers stay behind the bat.",
            "About one toss in three is outside the zone, never at the hitter: steps, and take.",
        ],
        feel: "Look at the field first, then at the ball.",
        view: View::FromBehind,
        watch: "What was said, what was done, and where the ball went.",
        dose: Dose {
            sets: 3,
            reps: 6,
            effort: Effort::Full,
        },
        easier: "Two layouts only: infielders in, and infielders back.",
        harder: "In place of moving markers, call infielders in or back as the toss begins.",
        not_trained: &[
            Component::Time,
            Component::Descent,
            Component::SideAngle,
            Component::Spin,
            Component::Speed,
        ],
        cautions: &[
            Caution::Pain,
            Caution::BatReach,
            Caution::ThrownBall,
            Caution::Footing,
            Caution::Fatigue,
            Caution::Fielders,
            Caution::Earphones,
            Caution::Weather,
        ],
    },
];
