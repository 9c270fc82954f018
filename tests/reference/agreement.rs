//! Agreement of two observers: Cohen's kappa and its interval against
//! published worked examples, scikit-learn and statsmodels.

use coaching::agreement::{Kappa, Pairs};
use reference::run_script;
use serde::Deserialize;

/// One line of the table of `agreement.py`.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
struct Line {
    /// Both yes, first alone, second alone, both not yet.
    pairs: [u32; 4],
    sklearn_kappa: f64,
    statsmodels_kappa: f64,
    standard_error: f64,
    low: f64,
    high: f64,
}

fn read(json: &str) -> Vec<Line> {
    serde_json::from_str(json).expect("a table of agreement.py")
}

fn kept() -> Vec<Line> {
    read(include_str!("agreement.json"))
}

fn ours([both_yes, first_yes, second_yes, both_not_yet]: [u32; 4]) -> Kappa {
    let pairs = Pairs {
        both_yes,
        first_yes,
        second_yes,
        both_not_yet,
    };
    pairs.kappa().expect("both observers used both answers")
}

#[test]
fn kappa_is_that_of_published_worked_examples() {
    for (pairs, published, within) in [
        // Viera and Garrett, Family Medicine 37, 360, 2005: two residents on
        // 100 lectures; to two digits, from memory.
        ([15, 5, 10, 70], 0.57, 0.005),
        // The textbook case of 50 proposals read by two readers: observed 0.7,
        // by chance 0.5; from memory.
        ([20, 5, 10, 15], 0.4, 1e-12),
        // Documentation of ci.kappa in the R package statpsych, whose source is
        // Fleiss and Paik, Statistical Methods for Rates and Proportions, 2003.
        ([31, 12, 4, 58], 0.675_675_7, 5e-8),
    ] {
        let kappa = ours(pairs).kappa;
        assert!((kappa - published).abs() < within, "{pairs:?}: {kappa}");
    }
}

#[test]
fn the_interval_is_that_of_a_published_worked_example() {
    // Source: documentation of ci.kappa in the R package statpsych, all digits
    // given there.
    let kappa = ours([31, 12, 4, 58]);
    assert!((kappa.standard_error - 0.073_447_61).abs() < 5e-9);
    assert!((kappa.low - 0.531_721_0).abs() < 5e-8);
    assert!((kappa.high - 0.819_630_3).abs() < 5e-8);
}

#[test]
fn kappa_is_that_of_scikit_learn_and_its_interval_that_of_statsmodels() {
    // Source: agreement.json, made by agreement.py.
    let table = kept();
    assert!(table.len() >= 50);
    for line in table {
        let kappa = ours(line.pairs);
        let close = |ours: f64, theirs: f64| (ours - theirs).abs() < 1e-9;
        assert!(close(kappa.kappa, line.sklearn_kappa), "{line:?} {kappa:?}");
        assert!(close(kappa.kappa, line.statsmodels_kappa), "{line:?}");
        // When all agree, rounding leaves a variance of 1e-17 in either.
        let error = kappa.standard_error - line.standard_error;
        assert!(error.abs() < 1e-7, "{line:?} {kappa:?}");
        // Ours ends where kappa ends.
        assert!((kappa.low - line.low.max(-1.0)).abs() < 1e-6, "{line:?}");
        assert!((kappa.high - line.high.min(1.0)).abs() < 1e-6, "{line:?}");
    }
}

#[test]
fn both_libraries_still_make_the_kept_table() {
    let Some(json) = run_script("agreement.py", "sklearn, statsmodels") else {
        return;
    };
    let (kept, made) = (kept(), read(&json));
    assert_eq!(kept.len(), made.len());
    for (kept, made) in kept.iter().zip(&made) {
        assert_eq!(kept.pairs, made.pairs);
        assert!((kept.sklearn_kappa - made.sklearn_kappa).abs() < 1e-12);
        assert!((kept.standard_error - made.standard_error).abs() < 1e-7);
        assert!((kept.low - made.low).abs() < 1e-6);
        assert!((kept.high - made.high).abs() < 1e-6);
    }
}
