//! Runs histories by number: `devices --from FIRST --runs COUNT [--told]`. Its
//! last line is `runs=N converged=N confirmed=N lost=N`.

use devices::history;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |name: &str| {
        let at = arguments.iter().position(|argument| argument == name)?;
        arguments.get(at + 1)?.parse::<u64>().ok()
    };
    let (Some(from), Some(runs)) = (number("--from"), number("--runs")) else {
        eprintln!("devices --from FIRST --runs COUNT [--told]");
        return ExitCode::from(2);
    };
    let tell = arguments.iter().any(|argument| argument == "--told");
    let (mut converged, mut confirmed, mut lost) = (0, 0, 0);
    for run in from..from.saturating_add(runs) {
        let outcome = history::run(run);
        if tell {
            outcome.told.iter().for_each(|line| println!("{line}"));
        }
        if !outcome.converged || outcome.lost > 0 {
            println!(
                "history {run}: converged {}, lost {}; again by: cargo xtask devices --from {run} --runs 1 --told",
                outcome.converged, outcome.lost
            );
        }
        converged += u64::from(outcome.converged);
        confirmed += outcome.confirmed;
        lost += outcome.lost;
    }
    println!("runs={runs} converged={converged} confirmed={confirmed} lost={lost}");
    if converged == runs && lost == 0 && runs > 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
