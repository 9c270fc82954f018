//! The honest "cannot be matched": the closest set-up, what it misses, and
//! which limits stand in the way.

use crate::question::{Scales, Solution};
use crate::range::{Field, allowed};
use std::fmt;

/// A pitch that no allowed set-up matches.
#[derive(Debug, Clone, PartialEq)]
pub struct CannotMatch {
    /// The set-up with the least miss.
    pub closest: Solution,
    /// What it misses by more than its scale.
    pub misses: Vec<Component>,
    /// The limits that a better set-up would have to cross.
    pub limits: Vec<Limit>,
    /// Whether a speed between two marks of the dial would match.
    pub between_marks: bool,
}

/// A component of what the hitter sees.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Component {
    /// Time to the plane where the pitch is met.
    Time,
    /// Descent angle there.
    Descent,
    /// Side angle there.
    SideAngle,
}

/// A limit of the machine or the room at which a set-up stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// What is limited.
    pub field: Field,
    /// Which end it is.
    pub end: LimitEnd,
    /// Its value, in the unit of the field.
    pub value: f64,
}

/// The outcome of a search.
pub(crate) struct Closest {
    pub(crate) solution: Solution,
    pub(crate) limits: Vec<Limit>,
    pub(crate) between_marks: bool,
}

/// An end of a span.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitEnd {
    /// The lower end: a better set-up would have less.
    Least,
    /// The upper end: a better set-up would have more.
    Most,
    /// The only value allowed.
    Fixed,
}

impl CannotMatch {
    pub(crate) fn new(found: Closest, scales: &Scales) -> CannotMatch {
        let closest = found.solution;
        let left = &closest.leftover;
        let misses = [
            (Component::Time, left.time_s.abs() > scales.time_s),
            (
                Component::Descent,
                left.descent_deg.abs() > scales.descent_deg,
            ),
            (
                Component::SideAngle,
                left.side_angle_deg.abs() > scales.side_deg,
            ),
        ];
        CannotMatch {
            closest,
            misses: misses
                .into_iter()
                .filter_map(|(component, misses)| misses.then_some(component))
                .collect(),
            limits: found.limits,
            between_marks: found.between_marks,
        }
    }
}

/// A number for a sentence: two decimals at most.
fn short(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

impl fmt::Display for Limit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let end = match self.end {
            LimitEnd::Least => "at its least,",
            LimitEnd::Most => "at its most,",
            LimitEnd::Fixed => "fixed at",
        };
        let unit = allowed(self.field).unit;
        write!(f, "{} {end} {} {unit}", self.field, short(self.value))
    }
}

impl fmt::Display for CannotMatch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let left = &self.closest.leftover;
        write!(f, "cannot be matched: the closest set-up is off by")?;
        for (number, component) in self.misses.iter().enumerate() {
            f.write_str(if number > 0 { ", " } else { " " })?;
            match component {
                Component::Time => write!(f, "{} ms", short(1000.0 * left.time_s)),
                Component::Descent => write!(f, "{} degrees of descent", short(left.descent_deg)),
                Component::SideAngle => {
                    write!(f, "{} degrees to the side", short(left.side_angle_deg))
                }
            }?;
        }
        for (number, limit) in self.limits.iter().enumerate() {
            f.write_str(if number > 0 { ", " } else { ", with " })?;
            limit.fmt(f)?;
        }
        if self.between_marks {
            f.write_str("; a speed between two marks of the dial would match")?;
        }
        Ok(())
    }
}

impl std::error::Error for CannotMatch {}
