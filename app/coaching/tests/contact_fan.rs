//! The field fan: sectors, thirds and touches with their edges, mirrored words,
//! and what counts as a swing, a miss and a ball in play.

use coaching::Error;
use coaching::contact::fan::{
    DRAWN_DEG, FAIR_DEG, MOST_DEG, Point, SECTOR_DEG, Sector, TOO_NEAR, Third, is_fair,
    toward_opposite_deg,
};
use coaching::contact::{ContactError, ContactResult, Quality, checked_direction_deg};
use coaching::vocabulary::Side;
use proptest::prelude::*;

/// Ids are stored: none may go or change.
#[test]
fn the_stored_ids_are_kept() {
    let ids: Vec<_> = ContactResult::ALL
        .iter()
        .map(|result| result.id())
        .collect();
    assert_eq!(
        ids,
        ["ground", "line", "fly", "pop", "miss", "foul", "take"]
    );
    let ids: Vec<_> = Quality::ALL.iter().map(|quality| quality.id()).collect();
    assert_eq!(ids, ["weak", "solid", "hard"]);
    let ids: Vec<_> = Sector::ALL.iter().map(|sector| sector.id()).collect();
    assert_eq!(
        ids,
        [
            "left-line",
            "left",
            "left-center",
            "middle",
            "right-center",
            "right",
            "right-line"
        ]
    );
    let ids: Vec<_> = Third::ALL.iter().map(|third| third.id()).collect();
    assert_eq!(ids, ["pull", "middle", "opposite"]);
    assert_eq!(ContactResult::from_id("of-a-newer-version"), None);
}

#[test]
fn what_is_a_swing_a_ball_met_and_a_ball_in_play() {
    // (result, swing, met, in play)
    let table = [
        (ContactResult::Ground, true, true, true),
        (ContactResult::Line, true, true, true),
        (ContactResult::Fly, true, true, true),
        (ContactResult::Pop, true, true, true),
        (ContactResult::Miss, true, false, false),
        (ContactResult::Foul, true, true, false),
        (ContactResult::Take, false, false, false),
    ];
    assert_eq!(table.len(), ContactResult::ALL.len());
    for (result, swing, met, in_play) in table {
        let is = (result.is_swing(), result.is_touched(), result.is_in_play());
        assert_eq!(is, (swing, met, in_play), "{result:?}");
    }
}

#[test]
fn every_sector_is_a_seventh_of_fair_territory_and_records_its_middle() {
    assert!((SECTOR_DEG - 90.0 / 7.0).abs() < 1e-12);
    for (place, sector) in Sector::ALL.iter().enumerate() {
        let low_deg = -45.0 + place as f64 * 90.0 / 7.0;
        let middle_deg = low_deg + 45.0 / 7.0;
        assert!((sector.direction_deg() - middle_deg).abs() < 1e-9);
        for deg in [low_deg + 1e-6, middle_deg, low_deg + 90.0 / 7.0 - 1e-6] {
            assert_eq!(Sector::of(deg), Some(*sector), "{deg}");
        }
        assert_eq!(Sector::of(sector.direction_deg()), Some(*sector));
        assert_eq!(Sector::of(-sector.direction_deg()), Some(sector.mirrored()));
    }
}

#[test]
fn the_lines_are_fair_and_beyond_them_there_is_no_sector() {
    assert_eq!(Sector::of(-FAIR_DEG), Some(Sector::LeftLine));
    assert_eq!(Sector::of(FAIR_DEG), Some(Sector::RightLine));
    assert_eq!(Sector::of(0.0), Some(Sector::Middle));
    assert_eq!(Sector::of(-0.0), Some(Sector::Middle));
    for deg in [
        45.000_001,
        -45.000_001,
        90.0,
        -90.0,
        f64::INFINITY,
        f64::NAN,
    ] {
        assert_eq!(Sector::of(deg), None, "{deg}");
        assert!(!is_fair(deg));
    }
}

#[test]
fn a_ball_in_play_beyond_the_lines_is_a_foul() {
    assert_eq!(ContactResult::Line.at(45.0), ContactResult::Line);
    assert_eq!(ContactResult::Line.at(45.1), ContactResult::Foul);
    assert_eq!(ContactResult::Ground.at(-60.0), ContactResult::Foul);
    assert_eq!(ContactResult::Foul.at(10.0), ContactResult::Foul);
    assert_eq!(ContactResult::Miss.at(-60.0), ContactResult::Miss);
    assert_eq!(ContactResult::Take.at(f64::NAN), ContactResult::Take);
}

#[test]
fn the_middle_is_the_middle_three_sectors_and_the_rest_is_mirrored_by_side() {
    for sector in Sector::ALL {
        let right = Third::of(sector.direction_deg(), Side::Right);
        let left = Third::of(sector.direction_deg(), Side::Left);
        let expected = match *sector {
            Sector::LeftLine | Sector::Left => (Third::Pull, Third::Opposite),
            Sector::Right | Sector::RightLine => (Third::Opposite, Third::Pull),
            _ => (Third::Middle, Third::Middle),
        };
        assert_eq!((right, left), expected, "{sector:?}");
    }
    // Foul ground belongs to its side.
    assert_eq!(Third::of(-70.0, Side::Right), Third::Pull);
    assert_eq!(Third::of(-70.0, Side::Left), Third::Opposite);
}

#[test]
fn words_name_the_field_of_the_side_batted() {
    for side in [Side::Left, Side::Right] {
        let pull = Third::Pull.words(side);
        let opposite = Third::Opposite.words(side);
        assert_eq!(pull, format!("pull side ({})", side.pull_field()));
        assert_eq!(
            opposite,
            format!("opposite side ({})", side.opposite_field())
        );
        assert_eq!(Third::Middle.words(side), "middle");
    }
}

#[test]
fn a_touch_is_a_direction_a_depth_and_a_sector() {
    let spot = |x: f64, y: f64| Point { x, y }.spot();
    let middle = spot(0.0, 0.8).unwrap();
    assert_eq!((middle.direction_deg, middle.depth), (0.0, 0.8));
    assert_eq!(middle.sector, Some(Sector::Middle));
    // Along the right line: as far to the right as ahead.
    let line = spot(0.5, 0.5).unwrap();
    assert!((line.direction_deg - 45.0).abs() < 1e-12);
    assert_eq!(line.sector, Some(Sector::RightLine));
    let foul = spot(-0.6, 0.4).unwrap();
    assert!(foul.direction_deg < -FAIR_DEG && foul.sector.is_none());
    // Beyond the fence is at the fence.
    assert_eq!(spot(0.0, 3.0).unwrap().depth, 1.0);
    // On the line through the plate there is a direction, behind it none.
    assert_eq!(spot(0.5, 0.0).unwrap().direction_deg, MOST_DEG);
    assert_eq!(spot(0.5, -0.01), None);
}

#[test]
fn a_touch_at_the_plate_or_no_number_is_no_touch() {
    let nan = f64::NAN;
    for (x, y) in [
        (0.0, 0.0),
        (0.01, 0.02),
        (nan, 0.5),
        (0.5, nan),
        (f64::INFINITY, 0.5),
    ] {
        assert_eq!(Point { x, y }.spot(), None, "{x} {y}");
    }
    assert!(
        Point {
            x: 0.0,
            y: TOO_NEAR
        }
        .spot()
        .is_some()
    );
}

#[test]
fn only_a_ball_that_was_hit_has_a_direction_and_refusals_say_what_is_allowed() {
    for result in [ContactResult::Line, ContactResult::Foul] {
        for deg in [-90.0, -12.5, 0.0, 90.0] {
            assert_eq!(checked_direction_deg(result, deg), Ok(deg));
        }
    }
    for result in [ContactResult::Miss, ContactResult::Take] {
        assert_eq!(
            checked_direction_deg(result, 0.0),
            Err(ContactError::NothingHit)
        );
    }
    for given_deg in [90.1, -90.1, f64::INFINITY, f64::NAN] {
        let refused = checked_direction_deg(ContactResult::Line, given_deg).unwrap_err();
        assert!(matches!(refused, ContactError::Direction { .. }));
        assert_eq!(
            Error::from(refused).to_string(),
            "Direction: -90 (left) to 90 (right) degrees are allowed, and what was given is not. Nothing was recorded."
        );
    }
}

proptest! {
    #[test]
    fn a_point_drawn_again_is_the_same_touch(deg in -DRAWN_DEG..DRAWN_DEG, depth in TOO_NEAR..=1.0) {
        prop_assume!(depth > TOO_NEAR + 1e-9);
        let spot = Point::at(deg, depth).spot().unwrap();
        prop_assert!((spot.direction_deg - deg).abs() < 1e-9);
        prop_assert!((spot.depth - depth).abs() < 1e-12);
    }

    #[test]
    fn the_fan_is_its_own_mirror_image(deg in -90.0_f64..=90.0) {
        prop_assert_eq!(Sector::of(-deg), Sector::of(deg).map(Sector::mirrored));
        prop_assert_eq!(Third::of(deg, Side::Left), Third::of(-deg, Side::Right));
        let back = toward_opposite_deg(toward_opposite_deg(deg, Side::Left), Side::Left);
        prop_assert_eq!(back, deg);
    }

    #[test]
    fn a_sector_and_a_point_in_it_are_in_one_third(deg in -45.0_f64..=45.0) {
        let middle_deg = Sector::of(deg).unwrap().direction_deg();
        for side in [Side::Left, Side::Right] {
            prop_assert_eq!(Third::of(deg, side), Third::of(middle_deg, side));
        }
    }

    #[test]
    fn any_two_numbers_are_a_touch_on_the_fan_or_none(
        x in prop::num::f64::ANY, y in prop::num::f64::ANY,
    ) {
        if let Some(spot) = (Point { x, y }).spot() {
            prop_assert!(spot.direction_deg.abs() <= MOST_DEG);
            prop_assert!((TOO_NEAR..=1.0).contains(&spot.depth));
        }
    }
}
