//! `cargo xtask test`: everything that CI checks.

use crate::native::with_built;
use crate::shell::{command, run, step, target_dir, top};
use crate::{browser, client, native, setup};
use anyhow::Result;

/// What the client cannot be checked for without the wasm target.
const NATIVE: &[&str] = &[
    "--no-fail-fast",
    "--workspace",
    "--exclude",
    "web",
    "--exclude",
    "browser",
];

/// Runs every test; with `only`, the browser tests whose name holds it.
///
/// # Errors
/// When a test fails.
pub fn test(only: Option<&str>) -> Result<()> {
    let tools = setup::set_up(true)?;
    if only.is_none() {
        step("format", || {
            run(command("cargo").args(["fmt", "--all", "--check"]))
        })?;
        step("lints", || {
            run(command("cargo")
                .args(["clippy", "--quiet", "--all-targets"])
                .args(["--workspace", "--exclude", "web"])
                .args(["--", "-D", "warnings"]))
        })?;
        if tools.wasm_toolchain.is_none() {
            step("lints of the client", || {
                run(command("cargo")
                    .args(["clippy", "--quiet", "-p", "web"])
                    .args(["--target", "wasm32-unknown-unknown", "--", "-D", "warnings"]))
            })?;
        } else {
            // Debian's toolchain for the web brings no clippy.
            eprintln!("==> lints of the client: left out, this machine's wasm toolchain has none");
        }
    }
    let relay = native::relay()?;
    // Side by side: much of the client's build runs on one processor, and many of the
    // native tests wait for disks and databases.
    let dist = std::thread::scope(|scope| {
        let client = scope.spawn(|| client::build(&tools));
        if only.is_none() {
            step("native tests", || {
                let mut cargo = command("cargo");
                cargo.env("STRIDEBOOK_RELAY", &relay);
                run(cargo.arg("test").args(NATIVE))
            })?;
        }
        client.join().expect("the build does not panic")
    })?;
    step("browser tests", || {
        browser::test(&tools, &dist, &relay, only)
    })
}

/// Pictures of every screen into target/shots.
///
/// # Errors
/// When a step fails.
pub fn shots() -> Result<()> {
    let tools = setup::set_up(true)?;
    let dist = client::build(&tools)?;
    let relay = native::relay()?;
    let folder = target_dir().join("shots");
    std::fs::create_dir_all(&folder)?;
    let mut cargo = with_built("cargo", &tools, &dist, &relay);
    cargo.args(["run", "--quiet", "-p", "browser", "--bin", "shots", "--"]);
    run(cargo.arg(&folder))?;
    println!(
        "pictures are in {}",
        folder.strip_prefix(top()).unwrap_or(&folder).display()
    );
    Ok(())
}
