//! Where the relay under test lies. `cargo xtask` names it; otherwise it is built.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// The relay's binary, as it is shipped.
///
/// # Panics
/// When it is not named and cannot be built.
pub fn relay_binary() -> &'static Path {
    static BINARY: OnceLock<PathBuf> = OnceLock::new();
    BINARY.get_or_init(|| std::env::var_os("STRIDEBOOK_RELAY").map_or_else(build, PathBuf::from))
}

fn build() -> PathBuf {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut command = Command::new(cargo);
    for (name, _) in std::env::vars_os() {
        let name = name.to_string_lossy();
        // The outer cargo sets these for this test; the inner one would believe that
        // the crates changed and build them again.
        if name.starts_with("CARGO_PKG_") || name.starts_with("CARGO_MANIFEST_") {
            command.env_remove(name.as_ref());
        }
    }
    let output = command
        .args(["build", "--quiet", "--profile", "native", "-p", "relay"])
        .arg("--message-format=json")
        .stderr(std::process::Stdio::inherit())
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "the relay does not build");
    let built = String::from_utf8_lossy(&output.stdout);
    let executable = built
        .lines()
        .filter_map(|line| serde_json::from_str::<serde_json::Value>(line).ok())
        .filter_map(|message| message["executable"].as_str().map(PathBuf::from))
        .find(|path| path.file_stem().is_some_and(|name| name == "relay"));
    executable.expect("cargo names the relay that it built")
}
