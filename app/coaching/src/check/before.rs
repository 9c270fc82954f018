//! The questions before the first phase, as data. No rule here.

use super::Question;

/// What is asked before the first phase (common practice, no source). None of
/// it is a diagnosis.
pub const BEFORE: &[Question] = &[
    Question {
        id: "before-pain",
        title: "Free of pain",
        ask: "Is the hitter free of pain, at rest and when swinging?",
        if_not: "Stop here and refer the hitter to licensed care. For a minor, tell the guardian. Go on only when that care agrees.",
        stops: true,
        stands: false,
    },
    Question {
        id: "before-eyesight",
        title: "Eyesight tested",
        ask: "Has eyesight been tested in the last year, and does the hitter wear any glasses or lenses that were prescribed?",
        if_not: "Have the eyes tested, or the prescribed glasses or lenses worn, before the approach is judged.",
        stops: false,
        stands: true,
    },
    Question {
        id: "before-bat",
        title: "Bat fits",
        ask: "Does the bat fit in length and weight, so that the hitter can hold it out level with one arm for ten seconds?",
        if_not: "Find a bat that fits, then check the swing with it.",
        stops: false,
        stands: true,
    },
    Question {
        id: "before-fatigue",
        title: "Rested",
        ask: "Is the hitter rested enough to swing as usual?",
        if_not: "Rest first and check on another day. A tired body shows faults that are not there when rested.",
        stops: false,
        stands: false,
    },
];
