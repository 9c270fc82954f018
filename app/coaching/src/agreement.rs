//! Whether two observers of the same hitter see the same: Cohen's kappa with
//! its interval, and what may honestly be said of it in words. No answers are
//! chosen here: the caller brings those of both observers.

use crate::vocabulary::Answer;

/// Pairs needed before a word is said (our choice, no source): below it, one
/// more pair can move kappa by a whole word or more.
pub const AT_LEAST: u32 = 20;

/// The point of the standard normal distribution that leaves 2.5 percent above.
const NORMAL_975: f64 = 1.959_963_984_540_054;

/// What two observers said of items that both saw: how many pairs of each kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Pairs {
    /// Both said "yes".
    pub both_yes: u32,
    /// The first said "yes", the second "not yet".
    pub first_yes: u32,
    /// The first said "not yet", the second "yes".
    pub second_yes: u32,
    /// Both said "not yet".
    pub both_not_yet: u32,
}

impl Pairs {
    /// Counts the items that both saw, by id. An item that one of them did not
    /// see, or was not asked, counts for nothing. Should an id come twice with
    /// one observer, the later answer counts.
    pub fn of(first: &[(&str, Answer)], second: &[(&str, Answer)]) -> Self {
        let mut pairs = Self::default();
        for (place, (id, one)) in first.iter().enumerate() {
            let is_latest = first[place + 1..].iter().all(|(later, _)| later != id);
            let other = second.iter().rev().find(|(known, _)| known == id);
            if is_latest && let Some((_, other)) = other {
                pairs.add(*one, *other);
            }
        }
        pairs
    }

    fn add(&mut self, first: Answer, second: Answer) {
        match (first, second) {
            (Answer::Yes, Answer::Yes) => self.both_yes += 1,
            (Answer::Yes, Answer::NotYet) => self.first_yes += 1,
            (Answer::NotYet, Answer::Yes) => self.second_yes += 1,
            (Answer::NotYet, Answer::NotYet) => self.both_not_yet += 1,
            (Answer::NotSeen, _) | (_, Answer::NotSeen) => {}
        }
    }

    /// These and others together, as of several looks.
    #[must_use]
    pub fn and(self, more: Self) -> Self {
        Self {
            both_yes: self.both_yes.saturating_add(more.both_yes),
            first_yes: self.first_yes.saturating_add(more.first_yes),
            second_yes: self.second_yes.saturating_add(more.second_yes),
            both_not_yet: self.both_not_yet.saturating_add(more.both_not_yet),
        }
    }

    /// Pairs in all.
    pub fn n(&self) -> u64 {
        self.agreed() + u64::from(self.first_yes) + u64::from(self.second_yes)
    }

    /// Pairs in which both said the same.
    pub fn agreed(&self) -> u64 {
        u64::from(self.both_yes) + u64::from(self.both_not_yet)
    }

    /// Cohen's kappa; `None` when one observer or both gave only one of the two
    /// answers, because then agreement by chance cannot be told from agreement.
    pub fn kappa(&self) -> Option<Kappa> {
        let n = self.n() as f64;
        let first_yes = f64::from(self.both_yes) + f64::from(self.first_yes);
        let second_yes = f64::from(self.both_yes) + f64::from(self.second_yes);
        if [first_yes, second_yes]
            .iter()
            .any(|yes| *yes == 0.0 || *yes == n)
        {
            return None;
        }
        // The shares: p of the table, rows the first observer, columns the
        // second, and the margins of each.
        let p = [
            [f64::from(self.both_yes) / n, f64::from(self.first_yes) / n],
            [
                f64::from(self.second_yes) / n,
                f64::from(self.both_not_yet) / n,
            ],
        ];
        let row = [first_yes / n, 1.0 - first_yes / n];
        let column = [second_yes / n, 1.0 - second_yes / n];
        let observed = p[0][0] + p[1][1];
        let by_chance = row[0] * column[0] + row[1] * column[1];
        let kappa = (observed - by_chance) / (1.0 - by_chance);

        // Fleiss, Cohen and Everitt (Psychological Bulletin 72, 323, 1969),
        // their equation for the large-sample variance of kappa.
        let rest = 1.0 - kappa;
        let mut variance = -(kappa - by_chance * rest).powi(2);
        for i in 0..2 {
            for j in 0..2 {
                let weight = if i == j {
                    1.0 - (row[i] + column[i]) * rest
                } else {
                    (column[i] + row[j]) * rest
                };
                variance += p[i][j] * weight * weight;
            }
        }
        // Rounding may leave a shade below nothing when all agreed.
        let standard_error = (variance.max(0.0) / n).sqrt() / (1.0 - by_chance);
        Some(Kappa {
            kappa,
            standard_error,
            low: (kappa - NORMAL_975 * standard_error).max(-1.0),
            high: (kappa + NORMAL_975 * standard_error).min(1.0),
        })
    }

    /// What may be said of the agreement, in one to three sentences.
    pub fn sentence(&self) -> String {
        let (n, agreed) = (self.n(), self.agreed());
        if n == 0 {
            return "There is no item that both saw.".to_owned();
        }
        let items = if n == 1 { "item" } else { "items" };
        let same = format!("Of {n} {items} that both saw, {agreed} got the same answer.");
        let Some(kappa) = self.kappa() else {
            return format!(
                "{same} One observer gave only one of the two answers, so this may be chance: kappa cannot be told."
            );
        };
        if n < u64::from(AT_LEAST) {
            return format!("{same} That is too few to judge: {AT_LEAST} are needed.");
        }
        let Kappa {
            kappa: k,
            standard_error,
            low,
            high,
        } = kappa;
        if standard_error < 1e-9 {
            // All the same or all opposite: the formula gives an interval of no
            // width, which is too good to be true for any n.
            return format!("{same} Kappa {k:.2}; its interval cannot be told.");
        }
        let [word, at_low, at_high] = [k, low, high].map(|k| Strength::of(k).words());
        let range = if at_low == at_high {
            format!("{word} agreement")
        } else {
            format!("{word} agreement, but it may be from {at_low} to {at_high}")
        };
        format!("{same} Kappa {k:.2}, 95 percent interval {low:.2} to {high:.2}: {range}.")
    }
}

/// The longest time between two looks that are compared, seconds (our choice, no
/// source): a swing changes in more than a day.
pub const SAME_DAY_S: f64 = 24.0 * 3600.0;

/// The rule of [`paired`], for the screen.
pub const PAIRED: &str = "Two looks are compared when two observers took them of the same hitter and side, one right after the other and no more than a day apart. Each look counts once.";

/// Which looks are compared, as places in the list: `looks` are those at one
/// hitter on one side, oldest first, each with its observer and its time in seconds.
/// Each look pairs with the one right after it, if another observer took that one
/// no more than [`SAME_DAY_S`] later; a look counts once.
pub fn paired<T: PartialEq>(looks: &[(T, f64)]) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    let mut place = 0;
    while let Some([(one, at_s), (other, then_s)]) = looks.get(place..place + 2) {
        let is_pair = one != other && then_s - at_s <= SAME_DAY_S;
        if is_pair {
            pairs.push((place, place + 1));
        }
        place += if is_pair { 2 } else { 1 };
    }
    pairs
}

/// Cohen's kappa: 1 for full agreement, 0 for no more than chance gives. The
/// interval takes pairs as independent; items of one hitter lean on each other,
/// so the true one is rather wider.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kappa {
    /// The estimate.
    pub kappa: f64,
    /// Its large-sample standard error.
    pub standard_error: f64,
    /// Lower end of the 95 percent interval, not below -1.
    pub low: f64,
    /// Upper end of the 95 percent interval, not above 1.
    pub high: f64,
}

/// Kappa as a word. Words and limits: Landis and Koch (Biometrics 33, 159,
/// 1977), from memory; they call them arbitrary themselves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Strength {
    /// Below 0.
    Poor,
    /// To 0.20.
    Slight,
    /// To 0.40.
    Fair,
    /// To 0.60.
    Moderate,
    /// To 0.80.
    Substantial,
    /// Above 0.80.
    AlmostPerfect,
}

impl Strength {
    /// The word for a kappa, by the hundredth that a screen shows.
    pub fn of(kappa: f64) -> Self {
        match (kappa * 100.0).round() {
            k if k < 0.0 => Self::Poor,
            k if k <= 20.0 => Self::Slight,
            k if k <= 40.0 => Self::Fair,
            k if k <= 60.0 => Self::Moderate,
            k if k <= 80.0 => Self::Substantial,
            _ => Self::AlmostPerfect,
        }
    }

    /// The word, to stand within a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Poor => "poor",
            Self::Slight => "slight",
            Self::Fair => "fair",
            Self::Moderate => "moderate",
            Self::Substantial => "substantial",
            Self::AlmostPerfect => "almost perfect",
        }
    }
}
