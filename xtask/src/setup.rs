//! Brings a bare machine to where it can build and test: each step is guarded,
//! runs once, and prints what it does. The order and the reasons are in
//! DEVELOPERS.md under "Building for the browser".

use crate::shell::{answer, command, find, run, step};
use anyhow::{Context, Result, bail};
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

const TRUNK_VERSION: &str = "0.21.14";
/// The same number stands in app/web/Cargo.toml and in Trunk.toml: the crate
/// and its command line tool must agree to the digit.
const WASM_BINDGEN_VERSION: &str = "0.2.130";
const BINARYEN_VERSION: &str = "132.0.0";
const AXE_VERSION: &str = "4.14.1";

/// Debian's rust for the web, used only where rustup cannot add the target.
const DEBIAN_RUST: &[&str] = &[
    "rustc-web",
    "cargo-web",
    "rust-web-src",
    "rust-web-llvm",
    "lld-22",
];
const DEBIAN_BROWSER: &[&str] = &["chromium", "chromium-driver"];
/// The relay's tests start a PostgreSQL of their own, and look at calls to the
/// system by strace.
const DEBIAN_RELAY: &[&str] = &["postgresql", "strace"];

/// What the builds need to know of the tools.
pub struct Tools {
    /// PATH with our own tools first.
    pub path: OsString,
    /// The rustup toolchain for the wasm32 build; `None` is the default one.
    pub wasm_toolchain: Option<&'static str>,
    /// Folder of npm packages (axe-core for the accessibility test).
    pub npm: PathBuf,
}

/// Installs what is missing. With `tests`, what only tests and figures need too:
/// Chromium and its driver, PostgreSQL and strace.
///
/// # Errors
/// When a package or a tool cannot be installed; the message names the step.
pub fn set_up(tests: bool) -> Result<Tools> {
    let folder = tools_folder()?;
    fs::create_dir_all(&folder)?;
    let wasm_toolchain = wasm_target(&folder)?;
    if tests {
        debian_packages(DEBIAN_BROWSER)?;
        debian_packages(DEBIAN_RELAY)?;
    }
    cargo_tool(&folder, "trunk", TRUNK_VERSION, &["trunk", "--locked"])?;
    // Without --locked: the locked webpki-roots is no longer in the registry.
    cargo_tool(
        &folder,
        "wasm-bindgen",
        WASM_BINDGEN_VERSION,
        &["wasm-bindgen-cli"],
    )?;
    npm_packages(&folder)?;
    let build_folder = folder.join("build");
    if build_folder.exists() {
        fs::remove_dir_all(&build_folder)?;
    }
    let npm = folder.join("npm").join("node_modules");
    let path = std::env::join_paths([folder.join("bin"), npm.join(".bin")].into_iter().chain(
        std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default()),
    ))?;
    Ok(Tools {
        path,
        wasm_toolchain,
        npm,
    })
}

/// Outside `target/`, so that a clean checkout on the same machine finds the
/// tools again.
fn tools_folder() -> Result<PathBuf> {
    if let Some(folder) = std::env::var_os("STRIDEBOOK_TOOLS") {
        return Ok(PathBuf::from(folder));
    }
    let cache = std::env::var_os("XDG_CACHE_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| Path::new(&home).join(".cache")))
        .context("neither XDG_CACHE_HOME nor HOME is set; set STRIDEBOOK_TOOLS to a folder")?;
    Ok(cache.join("stridebook"))
}

/// Makes wasm32-unknown-unknown available and says which toolchain has it.
fn wasm_target(folder: &Path) -> Result<Option<&'static str>> {
    const TARGET: &str = "wasm32-unknown-unknown";
    let installed = |toolchain: Option<&str>| {
        let mut rustc = command("rustc");
        if let Some(toolchain) = toolchain {
            rustc.env("RUSTUP_TOOLCHAIN", toolchain);
        }
        answer(rustc.args(["--print", "target-libdir", "--target", TARGET]))
            .is_some_and(|libdir| has_rlibs(Path::new(&libdir)))
    };
    if installed(None) {
        return Ok(None);
    }
    if installed(Some("wasm")) {
        return Ok(Some("wasm"));
    }
    if find("rustup").is_some() {
        eprintln!("==> trying rustup target add {TARGET}");
        let added = Command::new("timeout")
            .args(["120", "rustup", "target", "add", TARGET])
            .status();
        if added.is_ok_and(|status| status.success()) {
            return Ok(None);
        }
        eprintln!("    rustup cannot add it here: using Debian's rust for the web instead");
    }
    debian_packages(DEBIAN_RUST)?;
    let libdir = PathBuf::from("/usr/lib/rustlib").join(TARGET).join("lib");
    if !has_rlibs(&libdir) {
        step("compiling the standard library for wasm32", || {
            compile_standard_library(folder, TARGET, &libdir)
        })?;
    }
    run(command("rustup").args(["toolchain", "link", "wasm", "/usr"]))?;
    if !installed(Some("wasm")) {
        bail!("the toolchain `wasm` was linked but has no {TARGET} library in {libdir:?}");
    }
    Ok(Some("wasm"))
}

fn has_rlibs(libdir: &Path) -> bool {
    let Ok(entries) = fs::read_dir(libdir) else {
        return false;
    };
    entries
        .flatten()
        .any(|entry| entry.file_name().to_string_lossy().starts_with("libcore-"))
}

fn compile_standard_library(folder: &Path, target: &str, libdir: &Path) -> Result<()> {
    let crate_folder = folder.join("build").join("standard-library");
    fs::create_dir_all(crate_folder.join("src"))?;
    fs::write(crate_folder.join("src/lib.rs"), "")?;
    fs::write(
        crate_folder.join("Cargo.toml"),
        "[package]\nname = \"empty\"\nversion = \"0.0.0\"\nedition = \"2021\"\n[workspace]\n",
    )?;
    run(Command::new("/usr/bin/cargo")
        .current_dir(&crate_folder)
        .env_remove("RUSTUP_TOOLCHAIN")
        .env("CARGO_TARGET_DIR", crate_folder.join("target"))
        .env("RUSTC_BOOTSTRAP", "1")
        .env("RUSTC", "/usr/bin/rustc")
        // Without the bitcode a later build with lto fails.
        .env("RUSTFLAGS", "-Cembed-bitcode=yes")
        .env("CARGO_PROFILE_RELEASE_OPT_LEVEL", "s")
        .args(["build", "--release", "-Zbuild-std=std,panic_abort"])
        .args(["--target", target]))?;
    fs::create_dir_all(libdir)?;
    let built = crate_folder
        .join("target")
        .join(target)
        .join("release/deps");
    // libcore last: its presence is what says that the copy is whole.
    let mut libraries: Vec<PathBuf> = fs::read_dir(&built)?
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            name.starts_with("lib") && name.ends_with(".rlib") && !name.starts_with("libempty-")
        })
        .collect();
    libraries.sort_by_key(|path| path.to_string_lossy().contains("libcore-"));
    for library in libraries {
        let name = library.file_name().context("a library without a name")?;
        fs::copy(&library, libdir.join(name))?;
    }
    Ok(())
}

fn debian_packages(packages: &[&str]) -> Result<()> {
    let missing: Vec<&str> = packages
        .iter()
        .copied()
        .filter(|package| {
            let state = answer(command("dpkg-query").args(["-W", "-f=${Status}", package]));
            state.as_deref() != Some("install ok installed")
        })
        .collect();
    if missing.is_empty() {
        return Ok(());
    }
    if find("apt-get").is_none() {
        bail!(
            "these are missing and this machine has no apt-get; install their like by hand: {}",
            missing.join(", ")
        );
    }
    step(&format!("installing {}", missing.join(", ")), || {
        let root = answer(command("id").arg("-u")).as_deref() == Some("0");
        let apt = |arguments: &[&str]| {
            let mut apt = command(if root { "apt-get" } else { "sudo" });
            if !root {
                apt.arg("apt-get");
            }
            apt.env("DEBIAN_FRONTEND", "noninteractive");
            run(apt.args(["-qq", "-o", "Dpkg::Use-Pty=0"]).args(arguments))
        };
        apt(&["update"])?;
        let mut install = vec!["install", "-y", "--no-install-recommends"];
        install.extend(&missing);
        apt(&install)
    })
}

fn cargo_tool(folder: &Path, program: &str, version: &str, arguments: &[&str]) -> Result<()> {
    let path = folder.join("bin").join(program);
    let has = answer(command(&path).arg("--version"));
    if has.is_some_and(|line| line.split_whitespace().any(|word| word == version)) {
        return Ok(());
    }
    step(&format!("building {program} {version}"), || {
        run(command("cargo")
            .env_remove("RUSTUP_TOOLCHAIN")
            .env("CARGO_TARGET_DIR", folder.join("build"))
            // A tool that runs for seconds need not be built for minutes.
            .env("CARGO_PROFILE_RELEASE_OPT_LEVEL", "1")
            .env("CARGO_PROFILE_RELEASE_LTO", "off")
            .env("CARGO_PROFILE_RELEASE_CODEGEN_UNITS", "16")
            .args(["install", "--quiet", "--force", "--version", version])
            .arg("--root")
            .arg(folder)
            .args(arguments))
    })
}

fn npm_packages(folder: &Path) -> Result<()> {
    let npm = folder.join("npm");
    let wanted = [("binaryen", BINARYEN_VERSION), ("axe-core", AXE_VERSION)];
    let has = |(package, version): &(&str, &str)| {
        let manifest = npm.join("node_modules").join(package).join("package.json");
        fs::read(manifest)
            .ok()
            .and_then(|bytes| serde_json::from_slice::<serde_json::Value>(&bytes).ok())
            .is_some_and(|json| json["version"] == *version)
    };
    if wanted.iter().all(has) {
        return Ok(());
    }
    if find("npm").is_none() {
        debian_packages(&["nodejs", "npm"])?;
    }
    step("installing wasm-opt and axe-core from npm", || {
        fs::create_dir_all(&npm)?;
        fs::write(npm.join("package.json"), "{\"private\": true}\n")?;
        run(command("npm")
            .current_dir(&npm)
            .args(["install", "--silent", "--no-fund", "--no-audit"])
            .args(wanted.map(|(package, version)| format!("{package}@{version}"))))
    })
}
