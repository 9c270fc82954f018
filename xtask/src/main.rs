//! The project's own tasks: set up, run, test, bench. What CI runs is what a
//! developer runs; nothing is installed or built anywhere else.

mod bench;
mod browser;
mod client;
mod devices;
mod flight;
mod native;
mod offline_shell;
mod run;
mod setup;
mod shell;
mod test;

use anyhow::{Result, bail};
use std::path::Path;

const USAGE: &str = "\
cargo xtask <task>

  run [--tls] [--cert FILE --key FILE] [--listen ADDR:PORT]
                 set up, build a release, start the relay, print its address
  test [NAME]    set up, then every test: format, lints, native, browser;
                 with NAME, only the browser tests whose name holds it
  bench          set up, measure every figure beside its budget and write
                 target/bench.json
  shots          set up, then screenshots of every screen into target/shots
  devices --from FIRST --runs COUNT [--told]
                 histories of simulated phones, each determined by its number;
                 prints runs=N converged=N confirmed=N lost=N
  flight FILE    fly the cases of FILE (a JSON list) and print where and when
                 they arrive, for cross-checks by other programs
  setup [--browser]
                 install the tools only (with the browser and its driver)
  build          set up and build the client into dist/
  offline-shell  called by trunk after a build: writes the precache list
";

fn main() -> Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let rest: &[String] = arguments.get(1..).unwrap_or_default();
    match arguments.first().map(String::as_str) {
        Some("run") => run::run(rest),
        Some("test") => test::test(rest.first().map(String::as_str)),
        Some("bench") => bench::bench(),
        Some("shots") => test::shots(),
        Some("devices") => devices::run(rest),
        Some("flight") => match rest {
            [file] => flight::run(Path::new(file)),
            _ => bail!("which file? cargo xtask flight FILE"),
        },
        Some("setup") => {
            setup::set_up(rest.iter().any(|argument| argument == "--browser")).map(|_| ())
        }
        Some("build") => client::build(&setup::set_up(false)?).map(|_| ()),
        Some("offline-shell") => offline_shell::finish_staged_build(),
        Some("help" | "--help" | "-h") => {
            print!("{USAGE}");
            Ok(())
        }
        None => bail!("which task?\n\n{USAGE}"),
        Some(other) => bail!("there is no task {other:?}\n\n{USAGE}"),
    }
}
