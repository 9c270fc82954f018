//! How long one pitch and one set-up take. The medians are read from
//! `target/criterion/{flight_one_pitch,set_up_search,set_up_best}/new/estimates.json`.

use criterion::{Criterion, criterion_group, criterion_main};
use flight::{
    Flight, Machine, MachineModel, Pitch, Question, Room, Scales, Spin, find_set_up, level,
};
use std::hint::black_box;

fn flight_one_pitch(criterion: &mut Criterion) {
    let flight = Flight::default();
    let adult = level("baseball-adult").expect("a level of the table");
    let machine = Machine {
        distance_ft: 39.0,
        backspin_rpm: 1500.0,
    };
    let launch = find_set_up(&flight, &adult.game_pitch(), &machine)
        .expect("a set-up")
        .game_launch;
    criterion.bench_function("flight_one_pitch", |bencher| {
        bencher.iter(|| black_box(&flight).fly(black_box(&launch), 0.0));
    });
}

fn set_up_search(criterion: &mut Criterion) {
    let flight = Flight::default();
    let game = level("baseball-adult")
        .expect("a level of the table")
        .game_pitch();
    let machine = Machine {
        distance_ft: 39.0,
        backspin_rpm: 1500.0,
    };
    criterion.bench_function("set_up_search", |bencher| {
        bencher.iter(|| find_set_up(black_box(&flight), black_box(&game), black_box(&machine)));
    });
}

/// The best answer alone, without curve and uncertainty: an adult fastball that
/// runs to the arm side, any place in the room, a dial with marks.
fn set_up_best(criterion: &mut Criterion) {
    let adult = level("baseball-adult").expect("a level of the table");
    let question = Question {
        flight: Flight::default(),
        pitch: Pitch {
            spin: Spin::tilted(2200.0, -20.0, 0.1),
            ..adult.game_pitch().into()
        },
        machine: MachineModel::default(),
        room: Room::default(),
        scales: Scales::default(),
    };
    criterion.bench_function("set_up_best", |bencher| {
        bencher.iter(|| black_box(&question).best());
    });
}

criterion_group!(benches, flight_one_pitch, set_up_search, set_up_best);
criterion_main!(benches);
