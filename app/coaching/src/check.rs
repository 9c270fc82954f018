//! The swing check as data: four phases, their items, and the questions before
//! the first phase. No answers and no order rule here: those are in
//! [`screening`](crate::screening).
//!
//! What good looks like, what the fault looks like and how to see it are common
//! practice of the trade, no source, in our own words. An item's id never
//! changes meaning; an item that comes to mean something else gets a new id.
//! Every item and question is put so that "yes" is good.

use crate::vocabulary::list;

list! {
    /// The phases in the order in which they are judged. The order is common
    /// practice, no source: each phase can only be judged when the ones before
    /// it are good.
    Phase {
        /// The position from which the swing starts forward.
        LaunchPosition = "launch-position", "Launch position";
        /// Weight back, then forward into the launch position.
        Load = "load", "Load and forward move";
        /// The whole swing, as fast as in a game.
        FullSwing = "full-swing", "Full swing at game tempo";
        /// What to swing at.
        Approach = "approach", "Approach and pitch selection";
    }
}

impl Phase {
    /// The place in the order, from 0.
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The number on the screen, from 1.
    pub const fn number(self) -> usize {
        self.index() + 1
    }

    /// The name for a small card.
    pub const fn short_name(self) -> &'static str {
        match self {
            Self::LaunchPosition => "Launch",
            Self::Load => "Load",
            Self::FullSwing => "Full swing",
            Self::Approach => "Approach",
        }
    }

    /// The name within a sentence.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::LaunchPosition => "the launch position",
            Self::Load => "the load and forward move",
            Self::FullSwing => "the full swing at game tempo",
            Self::Approach => "the approach and pitch selection",
        }
    }

    /// How the hitter works while this phase is looked at.
    pub const fn how(self) -> &'static str {
        match self {
            Self::LaunchPosition => {
                "The hitter starts from the launch position, with no load: a light medicine ball or an easy toss."
            }
            Self::Load => "The hitter adds the load and forward move to the same easy work.",
            Self::FullSwing => "The hitter takes the full swing at the usual count.",
            Self::Approach => "The hitter faces pitches as in a game and chooses what to swing at.",
        }
    }

    /// The items of this phase, in the order in which they are asked.
    pub fn items(self) -> impl Iterator<Item = &'static Item> {
        ITEMS.iter().filter(move |item| item.phase == self)
    }
}

list! {
    /// Where the watcher or the phone stands.
    View {
        /// Behind the hitter, on the catcher's side, looking to the pitcher.
        FromBehind = "from-behind", "From behind";
        /// On the side to which the hitter's chest faces.
        OpenSide = "open-side", "From the open side";
        /// At the pitcher, looking to the plate.
        FromPitcher = "from-pitcher", "From the pitcher's side";
    }
}

impl View {
    /// What keeps the watcher safe there.
    pub const fn caution(self) -> &'static str {
        match self {
            Self::FromBehind => {
                "Stand out of the bat's reach, and behind netting once balls are pitched."
            }
            Self::OpenSide => {
                "Stand out of the bat's reach, and behind a screen once balls are hit."
            }
            Self::FromPitcher => "Stand behind a screen, or put up a fixed phone and walk away.",
        }
    }
}

/// One thing to look at.
#[derive(Debug, PartialEq, Eq)]
pub struct Item {
    /// The stored id. It never changes meaning.
    pub id: &'static str,
    /// The phase it belongs to.
    pub phase: Phase,
    /// What a "yes" says, at most 40 characters.
    pub title: &'static str,
    /// Where to look from.
    pub view: View,
    /// What good looks like.
    pub good: &'static str,
    /// What the fault looks like.
    pub fault: &'static str,
    /// How to see it.
    pub how: &'static str,
    /// What to mind beyond [`View::caution`].
    pub caution: Option<&'static str>,
}

/// One question before the first phase.
#[derive(Debug, PartialEq, Eq)]
pub struct Question {
    /// The stored id. It never changes meaning.
    pub id: &'static str,
    /// What a "yes" says, at most 40 characters.
    pub title: &'static str,
    /// The question to the hitter or the watcher.
    pub ask: &'static str,
    /// What to do when the answer is not yes.
    pub if_not: &'static str,
    /// Whether anything but yes, once asked, stops the check.
    pub stops: bool,
}

/// The item of a stored id; `None` when this version has no such item.
pub fn item(id: &str) -> Option<&'static Item> {
    ITEMS.iter().find(|item| item.id == id)
}

/// The question of a stored id; `None` when this version has no such question.
pub fn question(id: &str) -> Option<&'static Question> {
    BEFORE.iter().find(|question| question.id == id)
}

const MEDICINE_BALL: Option<&str> = Some(
    "With a medicine ball: light, supervised, nobody in front or where it rebounds, and stop on pain.",
);

const MACHINE: Option<&str> = Some(
    "With a machine: helmets for all in the cage, nobody in front of it while it is powered, and the first five balls with the box empty.",
);

const GAME: Option<&str> = Some("In a game, log from behind netting.");

/// What is asked before the first phase (common practice, no source). None of
/// it is a diagnosis.
pub const BEFORE: &[Question] = &[
    Question {
        id: "before-pain",
        title: "Free of pain",
        ask: "Is the hitter free of pain, at rest and when swinging?",
        if_not: "Stop here and refer the hitter to licensed care. For a minor, tell the guardian. Go on only when care agrees.",
        stops: true,
    },
    Question {
        id: "before-eyesight",
        title: "Eyesight tested",
        ask: "Has eyesight been tested in the last year, and are the glasses or lenses worn that it asks for?",
        if_not: "Have the eyes tested before the approach is judged.",
        stops: false,
    },
    Question {
        id: "before-bat",
        title: "Bat fits",
        ask: "Does the bat fit in length and weight, so that the hitter can hold it out level with one arm for ten seconds?",
        if_not: "Find a bat that fits, then check the swing with it.",
        stops: false,
    },
    Question {
        id: "before-fatigue",
        title: "Rested",
        ask: "Is the hitter rested enough to swing as usual?",
        if_not: "Rest first and check on another day. A tired body shows faults that are not there when rested.",
        stops: false,
    },
];

/// The starting set, in the order in which it is asked.
pub const ITEMS: &[Item] = &[
    Item {
        id: "launch-balance",
        phase: Phase::LaunchPosition,
        title: "Balanced between the feet",
        view: View::OpenSide,
        good: "The weight is between the feet, and the hitter can stay there for three seconds.",
        fault: "The weight hangs over one foot, and the hitter tips or steps to stay up.",
        how: "Have the hitter hold the launch position for three seconds, and see where the middle of the belt is between the feet.",
        caution: None,
    },
    Item {
        id: "launch-both-ways",
        phase: Phase::LaunchPosition,
        title: "Could drive either way at once",
        view: View::OpenSide,
        good: "From the held position the hitter can push off forward or back with no other move first.",
        fault: "The hitter has to shift, sink or rise before pushing off one of the two ways.",
        how: "While the position is held, call forward or back without warning, and see whether another move comes first.",
        caution: None,
    },
    Item {
        id: "launch-head",
        phase: Phase::LaunchPosition,
        title: "Head still",
        view: View::FromPitcher,
        good: "The head keeps its place and height while the body turns under it.",
        fault: "The head drops, rises, or drifts as the turn begins.",
        how: "Line the helmet up with a fixed mark behind the hitter, and see whether it stays on the mark to contact.",
        caution: None,
    },
    Item {
        id: "launch-again",
        phase: Phase::LaunchPosition,
        title: "Finds it again on command, 3 of 3",
        view: View::OpenSide,
        good: "Asked three times, the hitter comes to the same position three times.",
        fault: "At least once the feet, the hands or the weight end up somewhere else.",
        how: "Have the hitter step away and come back to the position on your call, three times; compare feet, hands and weight.",
        caution: None,
    },
    Item {
        id: "launch-turn",
        phase: Phase::LaunchPosition,
        title: "Turn begins in hips and trunk",
        view: View::FromPitcher,
        good: "The hips and trunk begin the turn, and the shoulders follow.",
        fault: "The front shoulder pulls open first, and the hips come late or stay.",
        how: "Watch the belt buckle and the front shoulder: the buckle comes round first.",
        caution: MEDICINE_BALL,
    },
    Item {
        id: "launch-tilt",
        phase: Phase::LaunchPosition,
        title: "Side tilt kept through contact",
        view: View::FromBehind,
        good: "The trunk stays tilted toward the plate through contact, so that the swing meets a ball that comes down.",
        fault: "The trunk stands up before contact, and the bat comes across above the ball.",
        how: "Compare the line of the trunk as the turn begins and at contact. A flatter pitch, as in fast-pitch softball, asks for less tilt.",
        caution: None,
    },
    Item {
        id: "load-back-hip",
        phase: Phase::Load,
        title: "Weight goes into the back hip",
        view: View::FromBehind,
        good: "The back hip folds and takes the weight.",
        fault: "The back knee pushes out over the toes, and the front of the thigh takes the weight.",
        how: "Watch the crease of the back hip and the back knee, and ask the hitter where the weight is felt.",
        caution: None,
    },
    Item {
        id: "load-back-foot",
        phase: Phase::Load,
        title: "Pressure stays inside the back foot",
        view: View::OpenSide,
        good: "The pressure stays on the inner edge of the back foot and the knee inside the foot.",
        fault: "The weight rolls to the outer edge, the knee moves out over the foot, and the body sways back.",
        how: "Think of a line straight up from the back foot: the knee stays on the pitcher's side of it.",
        caution: None,
    },
    Item {
        id: "load-front-hip",
        phase: Phase::Load,
        title: "Front hip turns in on the move",
        view: View::FromPitcher,
        good: "The front hip turns in a little while the body moves.",
        fault: "The front hip does not turn in, or it opens while the body moves.",
        how: "Watch the front hip: a little more of its back pocket comes into sight as the hitter moves.",
        caution: None,
    },
    Item {
        id: "load-control",
        phase: Phase::Load,
        title: "Forward move under control",
        view: View::OpenSide,
        good: "The body moves forward smoothly, and the front foot lands softly.",
        fault: "The body stays stuck on the back leg, or falls onto the front foot.",
        how: "Watch the belt move toward the pitcher, and listen: a loud front foot means a fall.",
        caution: None,
    },
    Item {
        id: "load-same-launch",
        phase: Phase::Load,
        title: "Arrives at the same launch position",
        view: View::OpenSide,
        good: "The load and forward move end in the same launch position as the one held before.",
        fault: "The hitter arrives wider, narrower, lower or with the hands elsewhere.",
        how: "Call stop as the front foot lands, and compare with the position held before; or compare two clips.",
        caution: None,
    },
    Item {
        id: "swing-count",
        phase: Phase::FullSwing,
        title: "Same count as in every drill set",
        view: View::OpenSide,
        good: "The count from lift to contact is the same as in the other drill sets.",
        fault: "The count gets shorter or longer when the drill changes.",
        how: "Take at least five counts in each drill set, and compare the means.",
        caution: None,
    },
    Item {
        id: "swing-direction",
        phase: Phase::FullSwing,
        title: "Turn and finish go to the middle",
        view: View::FromBehind,
        good: "The turn and the finish keep their direction to the middle of the field.",
        fault: "The turn or the finish falls off to the pull side or to the opposite side.",
        how: "Watch where the chest faces and the barrel goes just after contact, over several swings.",
        caution: None,
    },
    Item {
        id: "swing-path",
        phase: Phase::FullSwing,
        title: "Path meets the ball's plane",
        view: View::FromBehind,
        good: "Firm tosses at the front hip come off as lines up the middle.",
        fault: "The balls keep rolling over to the pull side, or keep flaring to the opposite side.",
        how: "Note the direction and height of each ball, and judge the set and not one swing.",
        caution: Some(
            "With side toss: feeder behind a screen, hitter in a helmet, soft balls first, and toss to the line of the front hip and not at the body.",
        ),
    },
    Item {
        id: "swing-on-time",
        phase: Phase::FullSwing,
        title: "On time at game speed",
        view: View::OpenSide,
        good: "At game speed the hitter meets the ball in the same place as against a slower feed.",
        fault: "At game speed the hitter meets the ball late, or hurries and is early.",
        how: "Feed balls that take as long to the plate as a game pitch, and watch where each is met against the front foot.",
        caution: MACHINE,
    },
    Item {
        id: "approach-plan",
        phase: Phase::Approach,
        title: "Has a plan for count and pitcher",
        view: View::FromBehind,
        good: "Asked before a pitch, the hitter says what to look for from this pitcher with these balls and strikes.",
        fault: "The hitter has no answer, or one answer for every pitcher and every count of balls and strikes.",
        how: "Ask between pitches in practice, or after the plate appearance in a game.",
        caution: GAME,
    },
    Item {
        id: "approach-zone",
        phase: Phase::Approach,
        title: "Swings at strikes in the planned zone",
        view: View::FromBehind,
        good: "A strike in the planned zone gets a swing.",
        fault: "Strikes in the planned zone go by, or swings go to other places.",
        how: "Log each pitch: in the planned zone or not, swing or take.",
        caution: GAME,
    },
    Item {
        id: "approach-chase",
        phase: Phase::Approach,
        title: "Chases seldom",
        view: View::FromBehind,
        good: "Pitches outside the strike zone are taken.",
        fault: "The hitter keeps swinging at pitches outside the strike zone.",
        how: "Log swings against pitches seen outside the zone, over more than one game or round.",
        caution: GAME,
    },
    Item {
        id: "approach-on-time",
        phase: Phase::Approach,
        title: "Decides on time",
        view: View::OpenSide,
        good: "Swings are full and takes are quiet.",
        fault: "The hitter checks swings, starts late, or starts before the pitch can be judged.",
        how: "Have the hitter call yes or no aloud at each pitch before it reaches the plate.",
        caution: GAME,
    },
];
