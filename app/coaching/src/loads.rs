//! Loads: one hitter's swings by day and over seven days, against the limits
//! that the coach sets. Which swings count and where a day begins is the
//! caller's. No limit of ours: how much is right for a child is for the coach,
//! the rules of the league and a doctor.

/// What stands beside every number of swings.
pub const CAUTION: &str = "These are your limits and not medical advice. The rules of your league and a doctor's word stand above them. Pain or fatigue ends the swinging, whatever the count says.";

/// Days that count together, the day itself included.
pub const SPAN_DAYS: i64 = 7;

/// Swings on one day; days by any count that goes up by one a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day {
    /// The number of the day.
    pub day: i64,
    /// Swings on it.
    pub swings: u32,
}

/// The limits the coach sets for a hitter; none of them need be set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Limits {
    a_day: Option<u32>,
    seven_days: Option<u32>,
}

/// Why limits were refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum LoadError {
    /// The limit of a day is out of range.
    #[error(
        "Swings a day: 1 to {most} are allowed, and {given} was given. The limits from before are kept.",
        most = Limits::MOST_A_DAY
    )]
    Day {
        /// The limit given.
        given: u32,
    },
    /// The limit of seven days is out of range.
    #[error(
        "Swings in seven days: 1 to {most} are allowed, and {given} was given. The limits from before are kept.",
        most = Limits::MOST_SEVEN_DAYS
    )]
    SevenDays {
        /// The limit given.
        given: u32,
    },
    /// Fewer in seven days than on one.
    #[error(
        "Swings in seven days: {a_day} (your limit for one day) to {most} are allowed, and {given} was given. The limits from before are kept.",
        most = Limits::MOST_SEVEN_DAYS
    )]
    FewerThanADay {
        /// The limit given.
        given: u32,
        /// The limit of a day.
        a_day: u32,
    },
}

impl Limits {
    /// The largest limit of a day. A bound on typing errors, not a number that
    /// is safe (our choice, no source).
    pub const MOST_A_DAY: u32 = 1_000;
    /// The largest limit of seven days, as above.
    pub const MOST_SEVEN_DAYS: u32 = 5_000;

    /// Limits of a day and of seven days; `None` is no limit.
    pub fn new(a_day: Option<u32>, seven_days: Option<u32>) -> Result<Self, LoadError> {
        if let Some(given) = a_day.filter(|given| !(1..=Self::MOST_A_DAY).contains(given)) {
            return Err(LoadError::Day { given });
        }
        if let Some(given) = seven_days.filter(|given| !(1..=Self::MOST_SEVEN_DAYS).contains(given))
        {
            return Err(LoadError::SevenDays { given });
        }
        if let (Some(a_day), Some(given)) = (a_day, seven_days)
            && given < a_day
        {
            return Err(LoadError::FewerThanADay { given, a_day });
        }
        Ok(Self { a_day, seven_days })
    }

    /// The limit of a day.
    pub const fn a_day(self) -> Option<u32> {
        self.a_day
    }

    /// The limit of seven days.
    pub const fn seven_days(self) -> Option<u32> {
        self.seven_days
    }
}

/// Over how long a limit runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Over {
    /// One day.
    Day,
    /// The seven days that end with the day.
    SevenDays,
}

/// A limit that was passed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Passed {
    /// The day it was passed on, or still was.
    pub day: i64,
    /// Which limit.
    pub over: Over,
    /// Swings counted.
    pub swings: u32,
    /// The limit; always below `swings`.
    pub limit: u32,
}

/// One hitter's swings, day by day.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Loads {
    /// Days with swings, in order, each once.
    days: Vec<Day>,
}

impl Loads {
    /// From numbers of swings in any order; those of one day are added up.
    pub fn of(counted: &[Day]) -> Self {
        let mut days: Vec<Day> = Vec::new();
        for day in counted.iter().filter(|day| day.swings > 0) {
            match days.binary_search_by_key(&day.day, |kept| kept.day) {
                Ok(place) => days[place].swings = days[place].swings.saturating_add(day.swings),
                Err(place) => days.insert(place, *day),
            }
        }
        Self { days }
    }

    /// Days with swings, in order.
    pub fn days(&self) -> &[Day] {
        &self.days
    }

    /// Swings on one day.
    pub fn on(&self, day: i64) -> u32 {
        self.over(day, day)
    }

    /// Swings over the seven days that end with `day`. Sunday to Saturday
    /// would let a hitter take two weeks' swings in four days.
    pub fn seven_days_to(&self, day: i64) -> u32 {
        self.over(day.saturating_sub(SPAN_DAYS - 1), day)
    }

    fn over(&self, first: i64, last: i64) -> u32 {
        self.days
            .iter()
            .filter(|day| (first..=last).contains(&day.day))
            .fold(0, |sum, day| sum.saturating_add(day.swings))
    }

    /// Every limit that was passed on a day with swings, in order of days, a
    /// day's own limit first.
    pub fn passed(&self, limits: Limits) -> Vec<Passed> {
        let on = |day: i64, over: Over| {
            let (swings, limit) = match over {
                Over::Day => (self.on(day), limits.a_day),
                Over::SevenDays => (self.seven_days_to(day), limits.seven_days),
            };
            limit.filter(|limit| swings > *limit).map(|limit| Passed {
                day,
                over,
                swings,
                limit,
            })
        };
        let both = |day: &Day| [on(day.day, Over::Day), on(day.day, Over::SevenDays)];
        self.days.iter().flat_map(both).flatten().collect()
    }

    /// Swings left on a day under both limits; `None` without a limit. It looks
    /// back and not ahead: later days are not counted.
    pub fn left_on(&self, day: i64, limits: Limits) -> Option<u32> {
        let by_day = limits.a_day.map(|limit| limit.saturating_sub(self.on(day)));
        let by_seven = limits
            .seven_days
            .map(|limit| limit.saturating_sub(self.seven_days_to(day)));
        [by_day, by_seven].into_iter().flatten().min()
    }
}

impl Passed {
    /// The limit that was passed, in words; [`CAUTION`] stands beside it.
    pub fn sentence(self) -> String {
        let Self { swings, limit, .. } = self;
        let over = match self.over {
            Over::Day => "that day",
            Over::SevenDays => "in seven days",
        };
        format!(
            "{swings} swings {over}: {} above your limit of {limit}.",
            swings - limit
        )
    }
}
