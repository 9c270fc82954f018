//! Reps put together as sets. No views, no storage and no numbers: those are
//! `coaching::tempo`.

use notebook::{RecordId, Rep};

/// A set of reps.
#[derive(Debug, Clone, PartialEq)]
pub struct Set {
    /// Its identity.
    pub id: RecordId,
    /// Where the ball came from, as the first rep stores it.
    pub environment: String,
    /// When its first rep was made, ms since 1970.
    pub made_ms: f64,
    /// The counts, s, oldest first.
    pub counts_s: Vec<f64>,
}

/// Reps, oldest first, as sets in the order in which they began.
pub fn sets(reps: &[Rep]) -> Vec<Set> {
    let mut sets: Vec<Set> = Vec::new();
    for rep in reps {
        match sets.iter_mut().find(|set| set.id == rep.set) {
            Some(set) => set.counts_s.push(rep.count_s),
            None => sets.push(Set {
                id: rep.set,
                environment: rep.context.environment.as_str().to_owned(),
                made_ms: rep.head.made.since_1970().as_millis() as f64,
                counts_s: vec![rep.count_s],
            }),
        }
    }
    sets
}
