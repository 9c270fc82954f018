//! One hitter's turn at the plate as the fan shows it: how many balls went where,
//! and the latest ones as dots. Its size does not grow with the balls.

use super::super::contacts::Ball;
use coaching::contact::ContactResult;
use coaching::contact::fan::{Sector, Third};
use notebook::{Contact, RecordId};

/// Balls that are drawn.
pub const DOTS: usize = 12;

/// A ball on the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dot {
    /// The contact's record.
    pub id: RecordId,
    /// Which ball in play of the turn it was; also where it is drawn among the
    /// others of its spot.
    pub place: usize,
    /// How high.
    pub result: ContactResult,
    /// Where to, degrees.
    pub direction_deg: f64,
}

/// How many balls went where in a turn.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Turn {
    /// By result, in the order of its list, and sector.
    cells: [[u16; 7]; 4],
    /// By result alone.
    results: [u32; 7],
    /// The latest balls in play.
    dots: Vec<Dot>,
}

impl Turn {
    /// Balls in play of a height in a sector.
    pub fn cell(&self, result: ContactResult, sector: Sector) -> u16 {
        let row = self.cells.get(result as usize);
        row.map_or(0, |row| row[sector as usize])
    }

    /// Balls with a result.
    pub const fn of_result(&self, result: ContactResult) -> u32 {
        self.results[result as usize]
    }

    /// All balls.
    pub fn balls(&self) -> u32 {
        self.results.iter().sum()
    }

    /// The ball that is drawn in a slot below [`DOTS`], and whether it is the last: a
    /// ball keeps its slot, so that a touch draws two and not all.
    pub fn dot(&self, slot: usize) -> Option<(Dot, bool)> {
        let last = self.dots.last()?.place;
        let dot = self.dots.iter().find(|dot| dot.place % DOTS == slot)?;
        Some((*dot, dot.place == last))
    }

    /// Puts a ball in.
    pub fn put(&mut self, contact: &Contact) {
        let Some(ball) = Ball::of(contact) else {
            return;
        };
        let result = ball.contact.result;
        self.results[result as usize] += 1;
        let Some(direction_deg) = ball.contact.direction_deg else {
            return;
        };
        if let Some(cell) = self.cell_of(&ball) {
            *cell += 1;
        }
        if self.dots.len() == DOTS {
            self.dots.remove(0);
        }
        self.dots.push(Dot {
            id: ball.id,
            place: self.dots.last().map_or(0, |dot| dot.place + 1),
            result,
            direction_deg,
        });
    }

    /// Takes a ball out again.
    pub fn take(&mut self, contact: &Contact) {
        let Some(ball) = Ball::of(contact) else {
            return;
        };
        let count = &mut self.results[ball.contact.result as usize];
        *count = count.saturating_sub(1);
        if let Some(cell) = self.cell_of(&ball) {
            *cell = cell.saturating_sub(1);
        }
        self.dots.retain(|dot| dot.id != ball.id);
    }

    fn cell_of(&mut self, ball: &Ball) -> Option<&mut u16> {
        let sector = Sector::of(ball.contact.direction_deg?)?;
        let row = self.cells.get_mut(ball.contact.result as usize)?;
        Some(&mut row[sector as usize])
    }
}

/// A ball in words: "Line drive, Left field, pull side".
pub(super) fn in_words(contact: &coaching::contact::Contact) -> String {
    let name = contact.result.name();
    let sector = contact.direction_deg.and_then(Sector::of);
    let side = match contact.third() {
        Some(Third::Pull) => ", pull side",
        Some(Third::Opposite) => ", opposite side",
        _ => "",
    };
    match sector {
        Some(Sector::Middle) => format!("{name}, up the middle"),
        Some(sector) => format!("{name}, {}{side}", sector.name()),
        None => name.to_owned(),
    }
}
