//! The question that the set-up search answers for a hitter, put together from
//! what is kept and, where nobody has said anything, from the level's usual
//! values. No writes here.

use super::names::{cage, machine, set_up};
use coaching::vocabulary::Hand;
use flight::{
    Air, Drag, Field, Flight, Level, Lift, MachineModel, MatchError, PITCH_TYPES, Pitch, PitchType,
    Placed, Plane, Question, Range, RangeError, Release, Room, Scales, Solution, Span,
    TYPICAL_CONTACT_DEPTH_IN, USUAL_PLATE_SLIP, USUAL_SWING_S, Weather, Wheels, allowed, ball_kind,
    pitch_type,
};
use notebook::{Code, Equipment, Fields, Hitter, SetUp};

/// Where the machine may stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// At the distance that was given.
    Here,
    /// Anywhere in the room.
    Anywhere,
}

impl Stands {
    /// Both, as the screen shows them.
    pub const ALL: [Self; 2] = [Self::Here, Self::Anywhere];

    /// The stored id.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Here => "here",
            Self::Anywhere => "anywhere",
        }
    }

    /// What the user reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Here => "At my distance",
            Self::Anywhere => "Anywhere in my room",
        }
    }

    /// The one with this id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|stands| stands.id() == id)
    }
}

/// The laws of drag that can be chosen: id, name, law.
pub const DRAGS: [(&str, &str, Drag); 3] = [
    ("constant", "Constant, 0.35", Drag::Constant(0.35)),
    (
        "rises-with-spin",
        "Rises with spin",
        Drag::RisesWithSpin(0.35),
    ),
    ("falls-with-speed", "Falls with speed", Drag::FallsWithSpeed),
];

/// The laws of lift that can be chosen: id, name, law.
pub const LIFTS: [(&str, &str, Lift); 2] = [
    (
        "sawicki-hubbard-stronge",
        "Sawicki and others, 2003",
        Lift::SawickiHubbardStronge,
    ),
    ("cross-nathan", "Cross and Nathan", Lift::CrossNathan),
];

/// What the search is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetUpQuestion {
    /// The hitter's level.
    pub level: &'static Level,
    /// The pitcher's hand.
    pub pitcher: Hand,
    /// The kind of pitch; `None` for the level's typical pitch.
    pub kind: Option<&'static PitchType>,
    /// The pitch to prepare for, as this hand throws it.
    pub pitch: Pitch,
    /// Where the machine may stand.
    pub stands: Stands,
    /// Distance of the machine, ft, where it stands there.
    pub machine_distance_ft: f64,
    /// Speed for the inverse question, mph.
    pub machine_speed_mph: f64,
    /// Where the machine of the inverse question stands, when not as answered.
    pub own_place: Option<OwnPlace>,
    /// What the machine can be set to.
    pub machine: MachineModel,
    /// Where there is room.
    pub room: Room,
    /// The air there.
    pub weather: Weather,
    /// Law of drag.
    pub drag: Drag,
    /// Law of lift.
    pub lift: Lift,
    /// Where this hitter meets the ball, in.
    pub contact_depth_in: f64,
    /// Time of this hitter's swing, s.
    pub swing_s: f64,
    /// The count that the feed is timed for, s.
    pub count_s: f64,
}

/// Where a machine stands that was put up without this app.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnPlace {
    /// From its release to the back point of the plate, ft.
    pub distance_ft: f64,
    /// Height of its release above plate level, ft.
    pub height_ft: f64,
    /// Its release toward the third-base side, ft.
    pub third_side_ft: f64,
}

/// A usual count, s, for a hitter who has none yet (common practice: between 1
/// and 2 s).
const USUAL_COUNT_S: f64 = 1.5;

impl SetUpQuestion {
    /// What a level asks before anybody has said otherwise: its typical pitch,
    /// and a machine at the same share of the way as 39 ft of 55.
    pub fn usual(level: &'static Level) -> Self {
        let question = Self::unsearched(level);
        // A slow level's marks are far apart, and its machine cannot stand lower
        // than the ground: a step farther or nearer one fits.
        for half_steps in [0, 1, -1, 2, -2, 3, -3, 4, -4, 5, 6, 7, 8] {
            let step_ft = 0.5 * f64::from(half_steps);
            let nearby = Self {
                machine_distance_ft: question.machine_distance_ft + step_ft,
                ..question
            };
            if let Answer::Found(found) = nearby.answer() {
                return Self {
                    machine_speed_mph: found.speed_mph,
                    ..nearby
                };
            }
        }
        question
    }

    /// As [`SetUpQuestion::usual`], the machine's place and speed not yet tried.
    fn unsearched(level: &'static Level) -> Self {
        let half_feet = (level.release.distance_ft * 39.0 / 55.0 * 2.0).round();
        Self {
            level,
            pitcher: Hand::Right,
            kind: None,
            pitch: level.game_pitch().into(),
            stands: Stands::Here,
            machine_distance_ft: half_feet / 2.0,
            machine_speed_mph: level.speed_mph,
            own_place: None,
            machine: level.usual_machine(),
            room: level.usual_room(),
            weather: Weather::default(),
            drag: DRAGS[0].2,
            lift: LIFTS[0].2,
            contact_depth_in: TYPICAL_CONTACT_DEPTH_IN,
            swing_s: USUAL_SWING_S,
            count_s: USUAL_COUNT_S,
        }
    }

    /// The saved question of a hitter at a level, or the usual one. `machine`
    /// and `cage` are the records that it names, if they are known here.
    pub fn of(
        level: &'static Level,
        saved: Option<&SetUp>,
        machine: Option<&Equipment>,
        cage: Option<&Equipment>,
    ) -> Self {
        let Some(saved) = saved else {
            return Self::usual(level);
        };
        let mut question = Self::unsearched(level);
        let choice = |name| choice(&saved.choices, name);
        question.kind = choice(set_up::PITCH)
            .and_then(pitch_type)
            .filter(|kind| kind.sport == level.sport);
        if let Some(kind) = question.kind {
            question.pitch = kind.pitch(level);
        }
        let set = |value: &mut f64, name| put(value, &saved.numbers, name);
        let pitch = &mut question.pitch;
        pitch.speed_mph = *saved.game_speed_mph.get();
        set(&mut pitch.release.distance_ft, set_up::RELEASE_DISTANCE);
        set(&mut pitch.release.height_ft, set_up::RELEASE_HEIGHT);
        // Kept as the arm's side, which is the third-base side of a right-hander.
        let mut arm_side_ft = -pitch.release.side_ft;
        set(&mut arm_side_ft, set_up::RELEASE_SIDE);
        pitch.release.side_ft = -arm_side_ft;
        set(&mut pitch.target_height_ft, set_up::TARGET_HEIGHT);
        question.pitcher = Hand::from_id(saved.pitcher.get().as_str()).unwrap_or(Hand::Right);
        if question.pitcher == Hand::Left {
            question.pitch = question.pitch.mirrored();
        }
        set(&mut question.contact_depth_in, set_up::CONTACT_DEPTH);
        set(&mut question.swing_s, set_up::SWING);
        set(&mut question.count_s, set_up::COUNT);
        question.machine_distance_ft = *saved.machine_distance_ft.get();
        question.machine_speed_mph = *saved.machine_speed_mph.get();
        if choice(set_up::OWN_PLACE) == Some("otherwise") {
            let mut own = OwnPlace {
                distance_ft: question.machine_distance_ft,
                height_ft: 4.0,
                third_side_ft: 0.0,
            };
            set(&mut own.distance_ft, set_up::OWN_DISTANCE);
            set(&mut own.height_ft, set_up::OWN_HEIGHT);
            set(&mut own.third_side_ft, set_up::OWN_SIDE);
            question.own_place = Some(own);
        }
        question.stands = choice(set_up::STANDS)
            .and_then(Stands::from_id)
            .unwrap_or(question.stands);
        if let Some(law) = known(&DRAGS, choice(set_up::DRAG)) {
            question.drag = law;
        }
        if let Some(law) = known(&LIFTS, choice(set_up::LIFT)) {
            question.lift = law;
        }
        if let Some(machine) = machine {
            question.machine = model_of(machine, question.machine);
        }
        if let Some(cage) = cage {
            question.room = room_of(cage, question.room);
            question.weather = weather_of(cage);
        }
        question
    }

    /// The game's ball in the air of the place.
    ///
    /// # Errors
    /// When a reading of the weather is outside its range.
    pub fn flight(&self) -> Result<Flight, RangeError> {
        // Readings nobody took give the round density of the design's checks.
        let air = match self.weather == Weather::default() {
            true => Air::MILD_DAY,
            false => Air::of(&self.weather)?,
        };
        Ok(Flight {
            drag: self.drag,
            lift: self.lift,
            ..self.level.flight(air)
        })
    }

    /// Where times and angles are taken when the hitter's own contact counts.
    pub fn contact(&self) -> Plane {
        Plane::Contact {
            depth_in: self.contact_depth_in,
        }
    }

    /// The question as the search takes it.
    ///
    /// # Errors
    /// As [`SetUpQuestion::flight`].
    pub fn asked(&self) -> Result<Question, RangeError> {
        Ok(Question {
            flight: self.flight()?,
            pitch: self.pitch,
            machine: self.machine,
            room: match self.stands {
                Stands::Anywhere => self.room,
                Stands::Here => Room {
                    distance_ft: Span::new(self.machine_distance_ft, self.machine_distance_ft),
                    ..self.room
                },
            },
            scales: Scales::default(),
        })
    }

    /// Where the machine may stand: not behind the release it copies.
    pub fn distances(&self) -> Range {
        self.pitch.release.machine_distances()
    }

    /// What is allowed of a field, for this question.
    pub fn allowed(&self, field: Field) -> Range {
        match field {
            Field::MachineDistance => self.distances(),
            Field::ReleaseDistance => self.level.allowed(field),
            field => allowed(field),
        }
    }

    /// The machine's set-up, or the closest one, or why there is none.
    pub fn answer(&self) -> Answer {
        let asked = match self.asked() {
            Ok(asked) => asked,
            Err(error) => return Answer::None(error.into()),
        };
        match asked.best() {
            Ok(found) => Answer::Found(Box::new(found)),
            Err(error) => Answer::None(error),
        }
    }

    /// How far the pitcher's release is to his or her arm's side, ft.
    pub fn release_side_ft(&self) -> f64 {
        arm_side_ft(self.pitcher, &self.pitch.release)
    }

    /// The machine of the inverse question: as it stands by `solution`, or
    /// otherwise, at this question's own speed.
    pub fn placed(&self, solution: &Solution) -> Placed {
        let placed = Placed {
            speed_mph: self.machine_speed_mph,
            ..solution.into()
        };
        match self.own_place {
            None => placed,
            Some(own) => Placed {
                distance_ft: own.distance_ft,
                height_ft: own.height_ft,
                side_ft: -own.third_side_ft,
                ..placed
            },
        }
    }
}

/// What the search found.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// A set-up that matches.
    Found(Box<Solution>),
    /// None that matches, and why.
    None(MatchError),
}

impl Answer {
    /// The set-up, or the closest one where none matches.
    pub fn closest(&self) -> Option<&Solution> {
        match self {
            Self::Found(found) => Some(found),
            Self::None(MatchError::CannotMatch(cannot)) => Some(&cannot.closest),
            Self::None(_) => None,
        }
    }
}

fn arm_side_ft(pitcher: Hand, release: &Release) -> f64 {
    match pitcher {
        Hand::Right => -release.side_ft,
        Hand::Left => release.side_ft,
    }
}

/// The kinds of pitch of a level's sport.
pub fn kinds(level: &Level) -> impl Iterator<Item = &'static PitchType> {
    PITCH_TYPES
        .iter()
        .filter(move |kind| kind.sport == level.sport)
}

/// The choice of this name, where somebody has made it.
fn choice<'a>(choices: &'a Fields<Code>, name: &str) -> Option<&'a str> {
    choices.get(name).map(|field| field.get().as_str())
}

/// Puts the number of this name into `value`, where somebody has written it.
fn put(value: &mut f64, numbers: &Fields<f64>, name: &str) {
    if let Some(field) = numbers.get(name) {
        *value = *field.get();
    }
}

/// The entry of a list of id, name and law that has this id.
fn known<T: Copy>(laws: &[(&str, &str, T)], id: Option<&str>) -> Option<T> {
    laws.iter().find(|law| Some(law.0) == id).map(|law| law.2)
}

/// A record's machine as the search knows it; what nobody has measured is as
/// `usual`. What the record says wrongly is refused by the search, by name.
fn model_of(record: &Equipment, usual: MachineModel) -> MachineModel {
    let set = |value: &mut f64, name| put(value, &record.numbers, name);
    let mut model = usual;
    set(&mut model.height_ft.min, machine::HEIGHT_LEAST);
    set(&mut model.height_ft.max, machine::HEIGHT_MOST);
    set(&mut model.speed_mph.min, machine::SPEED_LEAST);
    set(&mut model.speed_mph.max, machine::SPEED_MOST);
    set(&mut model.speed_step_mph, machine::SPEED_STEP);
    set(&mut model.feed_delay_s, machine::FEED_DELAY);
    let (mut tilt_deg, mut spin_rpm) = (0.0, Span::new(-2500.0, 2500.0));
    if let Wheels::Two {
        tilt_deg: tilt,
        spin_rpm: spin,
    } = usual.wheels
    {
        (tilt_deg, spin_rpm) = (tilt, spin);
    }
    let mut plate_slip = USUAL_PLATE_SLIP;
    let mut sidespin_rpm = spin_rpm;
    set(&mut tilt_deg, machine::TILT);
    set(&mut plate_slip, machine::PLATE_SLIP);
    set(&mut sidespin_rpm.min, machine::SIDESPIN_LEAST);
    set(&mut sidespin_rpm.max, machine::SIDESPIN_MOST);
    let wheels = choice(&record.choices, machine::WHEELS);
    if wheels == Some("arm") {
        spin_rpm.max = USUAL_ARM_RPM;
    }
    set(&mut spin_rpm.min, machine::SPIN_LEAST);
    set(&mut spin_rpm.max, machine::SPIN_MOST);
    model.wheels = match wheels {
        Some("arm") => Wheels::Arm {
            backspin_rpm: spin_rpm.max,
        },
        Some("one") => Wheels::One {
            tilt_deg,
            plate_slip,
        },
        Some("three") => Wheels::Three {
            backspin_rpm: spin_rpm,
            sidespin_rpm,
        },
        _ => Wheels::Two { tilt_deg, spin_rpm },
    };
    if let Some(kind) = choice(&record.choices, machine::BALL).and_then(ball_kind) {
        model.ball = kind.ball;
    }
    model
}

/// Backspin of an arm or a hand of which nothing is known (common practice, no
/// source).
const USUAL_ARM_RPM: f64 = 1500.0;

fn room_of(record: &Equipment, mut room: Room) -> Room {
    let set = |value: &mut f64, name| put(value, &record.numbers, name);
    set(&mut room.distance_ft.min, cage::DISTANCE_LEAST);
    set(&mut room.distance_ft.max, cage::DISTANCE_MOST);
    let mut third_side_ft = -room.side_ft.min;
    set(&mut third_side_ft, cage::THIRD_SIDE);
    room.side_ft.min = -third_side_ft;
    set(&mut room.side_ft.max, cage::FIRST_SIDE);
    room
}

/// Pressure, hPa, from where a reading starts: about that at sea level.
const USUAL_PRESSURE_HPA: f64 = 1013.0;

fn weather_of(record: &Equipment) -> Weather {
    let set = |value: &mut f64, name| put(value, &record.numbers, name);
    let mut weather = Weather::default();
    set(&mut weather.altitude_m, cage::ALTITUDE);
    set(&mut weather.temperature_c, cage::TEMPERATURE);
    set(&mut weather.humidity_percent, cage::HUMIDITY);
    if choice(&record.choices, cage::PRESSURE_FROM) == Some("read-here") {
        let mut hpa = USUAL_PRESSURE_HPA;
        set(&mut hpa, cage::PRESSURE);
        weather.pressure_pa = Some(100.0 * hpa);
    }
    weather
}

/// The level a hitter plays at; the first of the list when a newer version of
/// the app has written one that this version does not know.
pub fn level_of(hitter: &Hitter) -> &'static Level {
    flight::level(hitter.level.get().as_str()).unwrap_or(&flight::LEVELS[0])
}
