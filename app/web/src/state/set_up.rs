//! The question that the set-up search answers for the chosen hitter.

use super::Desk;
use super::desk::code;
use crate::device::clock;
use crate::device::database::Change;
use coaching::vocabulary::Hand;
use flight::{
    Air, GamePitch, Level, Machine, MachineSetting, Release, SetUp, SetUpError, StandsFor,
    find_set_up, stands_for,
};
use leptos::prelude::*;
use notebook::{Field, Head, Hitter, Record as _, Stamp};
use std::sync::Arc;

/// Backspin of a machine's ball when nothing is known of its wheels (common
/// practice, no source).
const MACHINE_BACKSPIN_RPM: f64 = 1500.0;

/// What the search is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetUpQuestion {
    /// The hitter's level.
    pub level: &'static Level,
    /// Speed of the game pitch, mph.
    pub game_speed_mph: f64,
    /// The pitcher's hand.
    pub pitcher: Hand,
    /// Distance of the machine, ft.
    pub machine_distance_ft: f64,
    /// Speed for the inverse question, mph.
    pub machine_speed_mph: f64,
}

/// One edit of the question.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SetUpEdit {
    /// Speed of the game pitch, mph.
    GameSpeed(f64),
    /// The pitcher's hand.
    Pitcher(Hand),
    /// Distance of the machine, ft.
    MachineDistance(f64),
    /// Speed for the inverse question, mph.
    MachineSpeed(f64),
}

impl SetUpQuestion {
    /// What a level asks before anybody has said otherwise: its typical pitch,
    /// and a machine at the same share of the way as 39 ft of 55.
    fn usual(level: &'static Level) -> Self {
        let half_feet = (level.release.distance_ft * 39.0 / 55.0 * 2.0).round();
        let mut question = Self {
            level,
            game_speed_mph: level.speed_mph,
            pitcher: Hand::Right,
            machine_distance_ft: half_feet / 2.0,
            machine_speed_mph: level.speed_mph,
        };
        if let Ok(found) = question.solve() {
            question.machine_speed_mph = found.speed_mph.round();
        }
        question
    }

    /// The usual question of the first level, when there is no hitter.
    pub fn first_level() -> Self {
        Self::usual(&flight::LEVELS[0])
    }

    /// The saved question of a hitter, or the usual one.
    pub fn of(hitter: &Hitter, saved: Option<&notebook::SetUp>) -> Self {
        let level = level_of(hitter);
        let usual = Self::usual(level);
        saved.map_or(usual, |saved| Self {
            level,
            game_speed_mph: *saved.game_speed_mph.get(),
            pitcher: Hand::from_id(saved.pitcher.get().as_str()).unwrap_or(usual.pitcher),
            machine_distance_ft: *saved.machine_distance_ft.get(),
            machine_speed_mph: *saved.machine_speed_mph.get(),
        })
    }

    /// Where the pitcher lets go.
    pub fn release(&self) -> Release {
        match self.pitcher {
            Hand::Right => self.level.release,
            Hand::Left => self.level.release.mirrored(),
        }
    }

    /// Where to put the machine and how to set it.
    ///
    /// # Errors
    /// When an entry is out of range or no speed gives the time.
    pub fn solve(&self) -> Result<SetUp, SetUpError> {
        let game = GamePitch {
            speed_mph: self.game_speed_mph,
            release: self.release(),
            ..self.level.game_pitch()
        };
        let machine = Machine {
            distance_ft: self.machine_distance_ft,
            backspin_rpm: self.machine_backspin_rpm(),
        };
        clock::timed("stridebook-set-up-search", || {
            find_set_up(&self.level.flight(Air::MILD_DAY), &game, &machine)
        })
    }

    /// What game pitch the machine stands for at this question's speed, on the
    /// spot that `solve` named.
    ///
    /// # Errors
    /// As `solve`.
    pub fn inverse(&self, place: &SetUp) -> Result<StandsFor, SetUpError> {
        let machine = MachineSetting {
            distance_ft: place.distance_ft,
            height_ft: place.height_ft,
            side_ft: place.side_ft,
            speed_mph: self.machine_speed_mph,
            backspin_rpm: self.machine_backspin_rpm(),
        };
        stands_for(
            &self.level.flight(Air::MILD_DAY),
            &self.release(),
            self.level.target_height_ft,
            self.level.backspin_rpm,
            &machine,
        )
    }

    /// No more spin than the pitch it copies is said to have.
    pub fn machine_backspin_rpm(&self) -> f64 {
        MACHINE_BACKSPIN_RPM.min(self.level.backspin_rpm)
    }
}

/// The level a hitter plays at; the first of the list when a newer version of
/// the app has written one that this version does not know.
pub fn level_of(hitter: &Hitter) -> &'static Level {
    flight::level(hitter.level.get().as_str()).unwrap_or(&flight::LEVELS[0])
}

impl Desk {
    /// The question of the chosen hitter.
    pub fn set_up_question(self) -> Option<SetUpQuestion> {
        let hitter = self.hitter()?;
        Some(
            self.set_up
                .with(|saved| SetUpQuestion::of(&hitter, saved.as_ref())),
        )
    }

    /// Saves one edit of the question; the values must be within their ranges.
    pub fn edit_set_up(self, edit: SetUpEdit) {
        let Some(hitter) = untrack(|| self.hitter()) else {
            return;
        };
        let saved = self.set_up.get_untracked();
        let now = SetUpQuestion::of(&hitter, saved.as_ref());
        let set_up = saved.or_else(|| {
            self.with_clock(|stamps| {
                // One set-up a hitter: its id follows from the hitter's.
                let head = Head::new(hitter.head.id, stamps);
                // Nobody wrote these: a default must never win over an edit
                // that is under way, here or on another phone.
                let default = Stamp::of_default(head.author);
                notebook::SetUp {
                    head,
                    hitter: hitter.head.id,
                    game_speed_mph: Field::new(now.game_speed_mph, default),
                    pitcher: Field::new(code(now.pitcher.id()), default),
                    machine_distance_ft: Field::new(now.machine_distance_ft, default),
                    machine_speed_mph: Field::new(now.machine_speed_mph, default),
                }
            })
        });
        let Some(mut set_up) = set_up else { return };
        let edited = self.with_clock(|stamps| match edit {
            SetUpEdit::GameSpeed(mph) => set_up.game_speed_mph.set(mph, stamps),
            SetUpEdit::Pitcher(hand) => set_up.pitcher.set(code(hand.id()), stamps),
            SetUpEdit::MachineDistance(ft) => set_up.machine_distance_ft.set(ft, stamps),
            SetUpEdit::MachineSpeed(mph) => set_up.machine_speed_mph.set(mph, stamps),
        });
        if edited != Some(true) {
            return;
        }
        let set_up = Arc::new(set_up);
        let change: Arc<dyn Change> = set_up.clone();
        self.save(vec![change], move || {
            if self.chosen.get_untracked() != Some(set_up.hitter) {
                return;
            }
            self.set_up.update(|shown| match shown {
                // Another edit may have been saved meanwhile.
                Some(shown) => shown.merge(&set_up),
                None => *shown = Some(notebook::SetUp::clone(&set_up)),
            });
        });
    }
}
