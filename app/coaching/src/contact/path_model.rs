//! What balls each class of path gives: for hitters of every class, spread over
//! what else differs between them, the chances of each direction and height.
//! From the collision model and the spreads stated here; no counting of balls.
//!
//! The three classes are those of the trade's rule of thumb. How steep each is,
//! where the barrel faces and how it meets the ball is ours, set so that the
//! rule holds in the model (common practice, no source). What is concluded can
//! be no better than these numbers.

use super::collision::{Bodies, HEIGHT_EDGES_DEG, Swing, Toss};
use super::fan::{FAIR_DEG, SECTOR_DEG};

/// Cells of the outcome: pull, middle, opposite, each by ground, line, fly and
/// pop; then foul on the pull side and foul on the opposite side.
pub(super) const CELLS: usize = 14;
/// Place of the foul cells.
pub(super) const FOUL: usize = 12;
/// The classes.
pub(super) const CLASSES: usize = 3;

/// A number that differs: its middle and its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// The middle.
    pub mean: f64,
    /// The standard deviation from hitter to hitter.
    pub hitters_sd: f64,
    /// The standard deviation from ball to ball of one hitter.
    pub balls_sd: f64,
}

/// One class of path: what its hitters do on a firm side toss that comes where
/// it should and is met neither early nor late.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClassSpreads {
    /// How steeply the barrel moves up, degrees.
    pub attack_deg: Spread,
    /// Where the barrel faces, degrees, positive to the opposite side; the
    /// spread from ball to ball includes some 2 in of depth to each side.
    pub face_deg: Spread,
    /// Ball above the middle of the barrel, in.
    pub offset_in: Spread,
    /// How far the end of the bat hangs, degrees; the same for all.
    pub tilt_deg: f64,
}

/// Where a level barrel faces so that the firm side toss, which comes from the
/// open side, goes to the middle, degrees.
pub const AIM_DEG: f64 = 0.3;

const fn class(attack_deg: f64, face_deg: f64, offset_in: f64, tilt_deg: f64) -> ClassSpreads {
    ClassSpreads {
        // Within a hitter the rise changes little, and what it changes is like
        // a change of the offset: its spread from ball to ball is counted there.
        attack_deg: Spread {
            mean: attack_deg,
            hitters_sd: 4.0,
            balls_sd: 0.0,
        },
        face_deg: Spread {
            mean: AIM_DEG + face_deg,
            hitters_sd: 8.0,
            balls_sd: 11.0,
        },
        offset_in: Spread {
            mean: offset_in,
            hitters_sd: 0.25,
            balls_sd: 0.45,
        },
        tilt_deg,
    }
}

/// The classes, in the order of [`super::path::PathClass`]: down across the
/// ball, level through it, uphill. The face of the first is turned to the pull
/// side, as the barrel rolls over; that of the last trails.
pub const SPREADS: [ClassSpreads; CLASSES] = [
    class(-10.0, -10.0, -0.3, 20.0),
    class(5.0, 0.0, 0.4, 30.0),
    class(18.0, 9.0, 0.7, 38.0),
];

/// Speed of the barrel in the model, mph. It hardly matters: at 45 mph a side
/// toss leaves 2 degrees nearer to the pull side, which is within the spread of
/// the face.
pub const BAT_SPEED_MPH: f64 = 60.0;

/// How well an eye tells an angle: the scale of a logistic error, degrees, for
/// directions and for heights (our choice, no source).
pub const EYE_DEG: f64 = 3.0;

/// Places of the hitters of a class about their middle, in standard deviations,
/// and how far apart these are. Closer than what 40 balls of a hitter tell.
const FACES: (i32, f64) = (4, 0.6);
const OFFSETS: (i32, f64) = (3, 0.8);
/// Gauss and Hermite's three places and weights for a normal spread.
const ATTACKS: [(f64, f64); 3] = [
    (-1.732_050_807_568_877_2, 1.0 / 6.0),
    (0.0, 2.0 / 3.0),
    (1.732_050_807_568_877_2, 1.0 / 6.0),
];

/// A step of the sum over balls, and how far out it goes, in standard
/// deviations: the normal spread and the eye's error are so smooth that the sum
/// is exact to a thousandth.
const BALL_STEP_SD: f64 = 0.7;
const BALL_REACH_SD: f64 = 3.2;

/// One hitter of a class.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Hitter {
    /// The place of the class.
    pub(super) class: usize,
    /// How many of the class are like this one; all hitters together 1.
    pub(super) weight: f64,
    /// The chance of each cell, together 1.
    pub(super) cells: [f64; CELLS],
}

/// The hitters of all classes, every class a third.
pub(super) fn hitters() -> Vec<Hitter> {
    let mut all = Vec::new();
    for (class, spreads) in SPREADS.iter().enumerate() {
        let faces = places(spreads.face_deg, FACES);
        let offsets = places(spreads.offset_in, OFFSETS);
        for (attack, attack_weight) in ATTACKS {
            let attack_deg = spreads.attack_deg.mean + attack * spreads.attack_deg.hitters_sd;
            let balls = Balls::of(spreads, attack_deg);
            for (face_deg, face_weight) in &faces {
                let by_offset = balls.facing(*face_deg);
                for (offset_in, offset_weight) in &offsets {
                    all.push(Hitter {
                        class,
                        weight: attack_weight * face_weight * offset_weight / CLASSES as f64,
                        cells: balls.met_at(*offset_in, &by_offset),
                    });
                }
            }
        }
    }
    all
}

/// The places of a spread from hitter to hitter, with their weights.
fn places(spread: Spread, (to_each_side, step): (i32, f64)) -> Vec<(f64, f64)> {
    let at = |place: i32| {
        let sd = f64::from(place) * step;
        (spread.mean + sd * spread.hitters_sd, bell(sd))
    };
    let places: Vec<_> = (-to_each_side..=to_each_side).map(at).collect();
    let sum: f64 = places.iter().map(|(_, weight)| weight).sum();
    places
        .into_iter()
        .map(|(place, weight)| (place, weight / sum))
        .collect()
}

/// The normal curve, without its factor.
fn bell(sd: f64) -> f64 {
    (-0.5 * sd * sd).exp()
}

/// Every ball that hitters of a class with one attack angle may hit: a grid of
/// faces by offsets, with the chance of each cell as the eye tells it.
struct Balls {
    face: Grid,
    offset: Grid,
    /// By face, then by offset.
    cells: Vec<Vec<[f64; CELLS]>>,
}

/// Evenly spaced values that a spread from ball to ball is summed over.
struct Grid {
    values: Vec<f64>,
    balls_sd: f64,
}

impl Grid {
    fn of(spread: Spread, (places, step): (i32, f64)) -> Self {
        let reach = f64::from(places) * step * spread.hitters_sd + BALL_REACH_SD * spread.balls_sd;
        let width = BALL_STEP_SD * spread.balls_sd;
        let each_side = (reach / width).ceil() as i32;
        let value = |place: i32| spread.mean + width * f64::from(place);
        Self {
            values: (-each_side..=each_side).map(value).collect(),
            balls_sd: spread.balls_sd,
        }
    }

    /// What a hitter with this middle does: the weight of each value, together 1.
    fn weights(&self, mean: f64) -> Vec<f64> {
        let weight = |value: &f64| bell((value - mean) / self.balls_sd);
        let weights: Vec<f64> = self.values.iter().map(weight).collect();
        let sum: f64 = weights.iter().sum();
        weights.into_iter().map(|weight| weight / sum).collect()
    }
}

impl Balls {
    fn of(spreads: &ClassSpreads, attack_deg: f64) -> Self {
        let face = Grid::of(spreads.face_deg, FACES);
        let offset = Grid::of(spreads.offset_in, OFFSETS);
        let bodies = Bodies::default();
        let hit = |face_deg: &f64, offset_in: &f64| {
            let swing = Swing {
                bat_speed_mph: BAT_SPEED_MPH,
                face_deg: *face_deg,
                attack_deg,
                tilt_deg: spreads.tilt_deg,
                depth_in: 0.0,
                offset_in: *offset_in,
            };
            match swing.hit(&bodies, Toss::FIRM_SIDE) {
                Some(ball) => seen(ball.toward_opposite_deg, ball.launch_deg),
                None => [0.0; CELLS],
            }
        };
        let row = |face_deg: &f64| offset.values.iter().map(|o| hit(face_deg, o)).collect();
        Self {
            cells: face.values.iter().map(row).collect(),
            face,
            offset,
        }
    }

    /// The chances by offset, for a hitter whose barrel faces there on average.
    fn facing(&self, face_deg: f64) -> Vec<[f64; CELLS]> {
        let weights = self.face.weights(face_deg);
        let mut sums = vec![[0.0; CELLS]; self.offset.values.len()];
        for (row, weight) in self.cells.iter().zip(weights) {
            for (sum, cells) in sums.iter_mut().zip(row) {
                add(sum, weight, cells);
            }
        }
        sums
    }

    /// The chances of a hitter, of the balls that are hit.
    fn met_at(&self, offset_in: f64, by_offset: &[[f64; CELLS]]) -> [f64; CELLS] {
        let mut sum = [0.0; CELLS];
        for (cells, weight) in by_offset.iter().zip(self.offset.weights(offset_in)) {
            add(&mut sum, weight, cells);
        }
        let hit: f64 = sum.iter().sum();
        sum.map(|chance| chance / hit)
    }
}

fn add(sum: &mut [f64; CELLS], weight: f64, cells: &[f64; CELLS]) {
    for (sum, cell) in sum.iter_mut().zip(cells) {
        *sum += weight * cell;
    }
}

/// The chance of each cell for a ball that goes there, by an eye that errs.
fn seen(toward_opposite_deg: f64, launch_deg: f64) -> [f64; CELLS] {
    let below = |value: f64, edge: f64| 1.0 / (1.0 + ((value - edge) / EYE_DEG).exp());
    let middle_deg = 1.5 * SECTOR_DEG;
    let [foul_pull, pull, middle, fair] =
        [-FAIR_DEG, -middle_deg, middle_deg, FAIR_DEG].map(|edge| below(toward_opposite_deg, edge));
    let [ground, line, fly] = HEIGHT_EDGES_DEG.map(|edge| below(launch_deg, edge));
    let heights = [ground, line - ground, fly - line, 1.0 - fly];
    let mut cells = [0.0; CELLS];
    for (third, share) in [pull - foul_pull, middle - pull, fair - middle]
        .into_iter()
        .enumerate()
    {
        for (height, part) in heights.iter().enumerate() {
            cells[4 * third + height] = share * part;
        }
    }
    cells[FOUL] = foul_pull;
    cells[FOUL + 1] = 1.0 - fair;
    cells
}
