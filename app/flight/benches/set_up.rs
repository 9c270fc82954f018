//! How long one pitch and one set-up take. The medians are read from
//! `target/criterion/{flight_one_pitch,set_up_search}/new/estimates.json`.

use criterion::{Criterion, criterion_group, criterion_main};
use flight::{Flight, Machine, find_set_up, level};
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

criterion_group!(benches, flight_one_pitch, set_up_search);
criterion_main!(benches);
