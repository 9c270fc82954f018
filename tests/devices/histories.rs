//! Histories of simulated phones end the same everywhere and lose nothing that
//! was confirmed. `cargo xtask devices` runs any number of them.

use devices::history;

#[test]
fn a_thousand_histories_converge_and_lose_nothing() {
    let mut confirmed = 0;
    for number in 0..1_000 {
        let outcome = history::run(number);
        let again = format!("cargo xtask devices --from {number} --runs 1 --told");
        assert!(
            outcome.converged,
            "history {number} does not converge: {again}"
        );
        assert_eq!(outcome.lost, 0, "history {number} loses writes: {again}");
        confirmed += outcome.confirmed;
    }
    assert!(confirmed > 30_000, "they wrote too little: {confirmed}");
}
