//! The distribution functions against SciPy's.

use coaching::statistics::{beta_cdf, beta_quantile, ln_gamma, normal_quantile, t_cdf, t_quantile};
use proptest::prelude::*;
use serde::Deserialize;

/// What the table was made with, and its rows: what is put in, then what comes
/// out.
#[derive(Deserialize)]
struct Table {
    made_by: String,
    ln_gamma: Vec<[f64; 2]>,
    beta_cdf: Vec<[f64; 4]>,
    beta_quantile: Vec<[f64; 4]>,
    t_cdf: Vec<[f64; 3]>,
    t_quantile: Vec<[f64; 3]>,
    normal_quantile: Vec<[f64; 2]>,
}

fn table() -> Table {
    serde_json::from_str(include_str!("statistics_table.json")).expect("a table")
}

/// Within `relative` of the table's number, or within it of nothing.
fn close(ours: f64, theirs: f64, relative: f64, of: &str) {
    let off = (ours - theirs).abs() / theirs.abs().max(1e-300);
    assert!(
        off <= relative || (ours - theirs).abs() < 1e-14,
        "{of}: {ours} against {theirs}, off by {off:e}"
    );
}

#[test]
fn the_logarithm_of_gamma_is_as_in_scipy() {
    let table = table();
    assert!(table.made_by.contains("SciPy"));
    assert_eq!(table.ln_gamma.len(), 15);
    for [x, theirs] in table.ln_gamma {
        close(ln_gamma(x), theirs, 1e-13, &format!("ln_gamma({x})"));
    }
}

#[test]
fn beta_shares_are_as_in_scipy() {
    let rows = table().beta_cdf;
    assert!(rows.len() > 50);
    for [x, a, b, theirs] in rows {
        close(
            beta_cdf(x, a, b),
            theirs,
            1e-10,
            &format!("beta_cdf({x}, {a}, {b})"),
        );
    }
}

#[test]
fn beta_quantiles_are_as_in_scipy() {
    let rows = table().beta_quantile;
    assert!(rows.len() > 45);
    for [p, a, b, theirs] in rows {
        close(
            beta_quantile(p, a, b),
            theirs,
            1e-10,
            &format!("beta_quantile({p}, {a}, {b})"),
        );
    }
}

#[test]
fn t_shares_are_as_in_scipy() {
    let rows = table().t_cdf;
    assert_eq!(rows.len(), 80);
    for [t, df, theirs] in rows {
        close(t_cdf(t, df), theirs, 1e-10, &format!("t_cdf({t}, {df})"));
    }
}

#[test]
fn t_quantiles_are_as_in_scipy() {
    let rows = table().t_quantile;
    assert_eq!(rows.len(), 100);
    for [p, df, theirs] in rows {
        close(
            t_quantile(p, df),
            theirs,
            1e-10,
            &format!("t_quantile({p}, {df})"),
        );
    }
}

#[test]
fn normal_quantiles_are_as_in_scipy() {
    let rows = table().normal_quantile;
    assert_eq!(rows.len(), 13);
    for [p, theirs] in rows {
        close(
            normal_quantile(p),
            theirs,
            1e-14,
            &format!("normal_quantile({p})"),
        );
    }
}

#[test]
fn the_points_of_the_printed_tables_come_out() {
    // Student's table as in every textbook: 95 percent, both sides.
    for (df, t) in [
        (1.0, 12.706),
        (4.0, 2.776),
        (9.0, 2.262),
        (30.0, 2.042),
        (120.0, 1.980),
    ] {
        assert!((t_quantile(0.975, df) - t).abs() < 5e-4, "{df}");
    }
    // Closed forms: an even beta is a straight line, t of 1 degree is Cauchy's.
    assert!((beta_cdf(0.3, 1.0, 1.0) - 0.3).abs() < 1e-14);
    assert!((t_cdf(1.0, 1.0) - 0.75).abs() < 1e-14);
    assert!((ln_gamma(0.5) - core::f64::consts::PI.sqrt().ln()).abs() < 1e-14);
}

#[test]
fn the_ends_are_the_ends() {
    assert_eq!(beta_cdf(-0.1, 2.0, 3.0), 0.0);
    assert_eq!(beta_cdf(1.1, 2.0, 3.0), 1.0);
    assert_eq!(beta_quantile(0.0, 2.0, 3.0), 0.0);
    assert_eq!(beta_quantile(1.0, 2.0, 3.0), 1.0);
    assert_eq!(t_cdf(f64::INFINITY, 3.0), 1.0);
    assert_eq!(t_cdf(f64::NEG_INFINITY, 3.0), 0.0);
    assert_eq!(t_cdf(-1e200, 3.0), 0.0);
    assert_eq!(t_quantile(0.5, 3.0), 0.0);
    assert_eq!(t_quantile(1.0, 3.0), f64::INFINITY);
    assert_eq!(t_quantile(0.0, 3.0), f64::NEG_INFINITY);
    assert_eq!(normal_quantile(0.0), f64::NEG_INFINITY);
    assert_eq!(normal_quantile(1.0), f64::INFINITY);
}

#[test]
fn what_is_not_defined_is_no_number() {
    let none = [
        ln_gamma(0.0),
        ln_gamma(-1.5),
        ln_gamma(f64::NAN),
        beta_cdf(0.5, 0.0, 1.0),
        beta_cdf(0.5, 1.0, -1.0),
        beta_cdf(f64::NAN, 1.0, 1.0),
        beta_quantile(1.1, 1.0, 1.0),
        beta_quantile(0.5, f64::NAN, 1.0),
        t_cdf(f64::NAN, 3.0),
        t_cdf(1.0, 0.0),
        t_cdf(f64::INFINITY, f64::NAN),
        t_quantile(-0.1, 3.0),
        t_quantile(0.9, f64::NAN),
        normal_quantile(f64::NAN),
        normal_quantile(1.5),
    ];
    for (place, value) in none.into_iter().enumerate() {
        assert!(value.is_nan(), "place {place}: {value}");
    }
}

proptest! {
    #[test]
    fn a_quantile_leads_back_to_its_share(
        p in 0.001..0.999_f64,
        a in 0.3..300.0_f64,
        b in 0.3..300.0_f64,
        df in 0.8..2_000.0_f64,
    ) {
        // One step of x near 1 is some share of its own, so ask by both sides.
        let x = beta_quantile(p, a, b);
        let slack = 1e-10;
        prop_assert!(beta_cdf(x - f64::EPSILON, a, b) <= p + slack);
        prop_assert!(beta_cdf(x + f64::EPSILON, a, b) >= p - slack);
        prop_assert!((t_cdf(t_quantile(p, df), df) - p).abs() < slack);
    }

    #[test]
    fn both_tails_of_t_are_alike(t in 0.0..50.0_f64, df in 0.8..2_000.0_f64) {
        prop_assert!((t_cdf(t, df) + t_cdf(-t, df) - 1.0).abs() < 1e-14);
    }
}
