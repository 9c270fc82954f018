//! `cargo xtask bench`: every figure beside its budget of the design.

use crate::native::with_built;
use crate::setup::Tools;
use crate::shell::{command, run, step, target_dir};
use crate::{client, native, setup};
use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;
use std::process::Command;

/// A figure that is measured, and what the design allows. In the browser the
/// processor is slowed down four times, at 390x844, with a club of 60 hitters
/// and 200,000 reps on the phone and the server gone.
struct Budget {
    /// How the figure's name begins.
    name: &'static str,
    unit: &'static str,
    /// What meets the design.
    met: Met,
}

/// What meets the design.
#[derive(Clone, Copy)]
enum Met {
    /// This value or less.
    AtMost(f64),
    /// This value or more.
    AtLeast(f64),
    /// No budget, for the record.
    Any,
}

const fn budget(name: &'static str, most: f64, unit: &'static str) -> Budget {
    Budget {
        name,
        unit,
        met: Met::AtMost(most),
    }
}

const fn at_least(name: &'static str, least: f64, unit: &'static str) -> Budget {
    Budget {
        name,
        unit,
        met: Met::AtLeast(least),
    }
}

const fn record(name: &'static str, unit: &'static str) -> Budget {
    Budget {
        name,
        unit,
        met: Met::Any,
    }
}

/// Name, value and unit of what was measured.
type Figure = (String, f64, String);

fn figure(name: &str, value: f64, unit: &str) -> Figure {
    (name.to_owned(), value, unit.to_owned())
}

const BUDGETS: &[Budget] = &[
    budget("first load, all files, brotli", 350.0, "KB"),
    budget("second wasm in a worker, brotli", 400.0, "KB"),
    record("the book, after the first paint, brotli", "KB"),
    budget("offline start to usable, median", 1.0, "s"),
    record("offline start to usable, worst", "s"),
    record("offline start to usable, browser just started, worst", "s"),
    budget("tap to paint, 98th percentile", 100.0, "ms"),
    budget("tap to paint at 20,000 looks, roster search", 100.0, "ms"),
    budget("tap to paint at 20,000 looks, hitter's page", 100.0, "ms"),
    budget("ball to paint of its answer, 98th percentile", 100.0, "ms"),
    budget("ball to paint of \"saved\", 98th percentile", 100.0, "ms"),
    record("ball to paint of \"saved\", median", "ms"),
    record(
        "first ball after a change of hitter to paint of \"saved\", worst",
        "ms",
    ),
    record("a strict write of one row and its frame, median", "ms"),
    budget("set-up search, native median", 5.0, "ms"),
    budget(
        "set-up search for time and angles, native median",
        5.0,
        "ms",
    ),
    budget("set-up search, browser, median", 50.0, "ms"),
    record("one pitch, native median", "us"),
    budget("flight against DOP853, time, relative", 1e-6, ""),
    budget("flight against DOP853, speed, relative", 1e-6, ""),
    budget("flight against DOP853, position", 0.1, "mm"),
    budget("tap time, worst error", 5.0, "ms"),
    budget("beat jitter over 60 s, worst", 2.0, "ms"),
    at_least("contact heard within 10 ms, 10 dB", 99.0, "%"),
    budget("something else taken for contact, 10 dB", 1.0, "%"),
    record("contact heard within 10 ms, 0 dB", "%"),
    record("something else taken for contact, 0 dB", "%"),
    budget("opening, ", 1.5, "times"),
    budget("10,000 offline changes caught up, median", 2.0, "s"),
    record("the same rows stored and nothing else, median", "s"),
    record("10,000 changes by snapshot, median", "s"),
    at_least(
        "relay appends a second against raw SQLite, 32 phones, each in its transaction",
        0.5,
        "times",
    ),
    record("relay appends a second against raw SQLite", "times"),
    record("relay appends a second", "1/s"),
];

/// Measures, prints the table and writes target/bench.json.
///
/// # Errors
/// When a figure cannot be measured. A budget that is not met is printed, and
/// fails the command at its end.
pub fn bench() -> Result<()> {
    let tools = setup::set_up(true)?;
    let dist = client::build(&tools)?;
    let relay = native::relay()?;
    let bytes = travelling_bytes(&dist)?;
    let kb = |name: &str, bytes: u64| figure(name, bytes as f64 / 1000.0, "KB");
    let mut figures = vec![
        kb("first load, all files, brotli", bytes.first),
        kb("second wasm in a worker, brotli", bytes.worker),
        kb("the book, after the first paint, brotli", bytes.book),
    ];
    figures.extend(step("measuring flight and set-up", flight_figures)?);
    figures.extend(step("measuring contact by sound", onset_figures)?);
    figures.extend(step("measuring in the browser", || {
        browser_figures(&tools, &dist, &relay)
    })?);
    figures.extend(step("measuring the relay", || relay_figures(&relay))?);
    report(&figures)
}

/// How the addresses of the sync worker's files begin.
const SECOND: &str = "/worker";

/// How the addresses of the book's own files begin.
const BOOK: &str = "/book";

/// What travels.
#[derive(Default)]
struct Bytes {
    /// With the first visit, before the first paint or right after it: the page, its
    /// wasm, styles, icons, and the service worker.
    first: u64,
    /// For the sync worker, after the first paint.
    worker: u64,
    /// For the second page, after the first paint: what it does not share with the
    /// first.
    book: u64,
}

/// What the service worker keeps and the service worker itself, as they travel.
fn travelling_bytes(dist: &Path) -> Result<Bytes> {
    let worker = fs::read_to_string(dist.join("service-worker.js"))?;
    let (_, list) = worker
        .split_once("const FILES = ")
        .context("the service worker has no list")?;
    let (list, _) = list.split_once("];").context("a list without an end")?;
    let files: Vec<(String, String)> = serde_json::from_str(&format!("{list}]"))?;
    let mut all = Bytes::default();
    for (address, _) in files
        .iter()
        .chain([&("/service-worker.js".to_owned(), String::new())])
    {
        let name = match address.as_str() {
            "/" => "index.html",
            other => other.trim_start_matches('/'),
        };
        let plain = dist.join(name);
        let brotli = dist.join(format!("{name}.br"));
        let travels = if brotli.exists() { brotli } else { plain };
        let bytes = fs::metadata(&travels)
            .with_context(|| format!("{}", travels.display()))?
            .len();
        eprintln!("    {bytes:>8} bytes {address}");
        *match address.as_str() {
            worker if worker.starts_with(SECOND) => &mut all.worker,
            book if book.starts_with(BOOK) => &mut all.book,
            _ => &mut all.first,
        } += bytes;
    }
    if all.worker == 0 || all.book == 0 {
        bail!(
            "no file of the sync worker or the book in {}",
            dist.display()
        );
    }
    Ok(all)
}

fn flight_figures() -> Result<Vec<Figure>> {
    run(command("cargo").args(["bench", "--quiet", "-p", "flight", "--bench", "set_up"]))?;
    let median_ns = |id: &str| -> Result<f64> {
        let path = target_dir()
            .join("criterion")
            .join(id)
            .join("new/estimates.json");
        let text = fs::read(&path).with_context(|| format!("{}", path.display()))?;
        let estimates: Value = serde_json::from_slice(&text)?;
        estimates["median"]["point_estimate"]
            .as_f64()
            .with_context(|| format!("no median in {}", path.display()))
    };
    let worst = answer_json(command("cargo").args([
        "run",
        "--quiet",
        "-p",
        "reference",
        "--bin",
        "flight_worst_error",
    ]))?;
    let of = |key: &str| worst[key].as_f64().with_context(|| format!("no {key}"));
    Ok(vec![
        figure(
            "set-up search, native median",
            median_ns("set_up_search")? / 1e6,
            "ms",
        ),
        figure(
            "set-up search for time and angles, native median",
            median_ns("set_up_best")? / 1e6,
            "ms",
        ),
        figure(
            "one pitch, native median",
            median_ns("flight_one_pitch")? / 1e3,
            "us",
        ),
        figure("flight against DOP853, time, relative", of("time_rel")?, ""),
        figure(
            "flight against DOP853, speed, relative",
            of("speed_rel")?,
            "",
        ),
        figure("flight against DOP853, position", of("position_mm")?, "mm"),
    ])
}

/// A thousand synthesised reps at each ratio, as the tests of the onset print them:
/// "10 dB: found 1.000, false 0.000, worst 1.0 ms".
fn onset_figures() -> Result<Vec<Figure>> {
    let text = crate::shell::answer(command("cargo").args([
        "test",
        "--quiet",
        "-p",
        "coaching",
        "--test",
        "tempo_onset",
        "--",
        "--nocapture",
        "--test-threads=1",
        "_db",
    ]))
    .context("measuring contact by sound failed")?;
    let mut figures = Vec::new();
    for ratio in ["10 dB", "0 dB"] {
        let share = |word: &str| -> Result<f64> {
            // The harness's dots may stand before it; "10 dB" must not pass for "0 dB".
            let is_of = |line: &&str| line.trim_start_matches('.').starts_with(ratio);
            let line = text.lines().find(is_of);
            let line = line.with_context(|| format!("no line of {ratio}"))?;
            let value = line.split_once(&format!("{word} ")).context("no share")?.1;
            let value = value.split([',', ' ']).next().unwrap_or_default();
            Ok(100.0 * value.parse::<f64>()?)
        };
        let heard = format!("contact heard within 10 ms, {ratio}");
        figures.push((heard, share("found")?, "%".to_owned()));
        let wrong = format!("something else taken for contact, {ratio}");
        figures.push((wrong, share("false")?, "%".to_owned()));
    }
    Ok(figures)
}

/// The last line of the command's output, as JSON.
fn answer_json(command: &mut Command) -> Result<Value> {
    let text = crate::shell::answer(command).context("a measuring program failed")?;
    let line = text
        .lines()
        .last()
        .context("a measuring program said nothing")?;
    Ok(serde_json::from_str(line)?)
}

fn browser_figures(tools: &Tools, dist: &Path, relay: &Path) -> Result<Vec<Figure>> {
    let mut said = String::new();
    for program in ["measure", "measure_roster", "measure_session", "catch_up"] {
        let mut cargo = with_built("cargo", tools, dist, relay);
        cargo.args(["run", "--quiet", "-p", "browser", "--bin", program]);
        let output = cargo.stderr(std::process::Stdio::inherit()).output()?;
        if !output.status.success() {
            bail!("measuring in the browser failed ({program})");
        }
        said.push_str(&String::from_utf8_lossy(&output.stdout));
    }
    said.lines()
        .filter(|line| line.starts_with('{'))
        .map(|line| {
            let figure: Value = serde_json::from_str(line)?;
            let name = figure["name"].as_str().context("a figure without a name")?;
            let value = figure["value"]
                .as_f64()
                .context("a figure without a value")?;
            let unit = figure["unit"].as_str().context("a figure without a unit")?;
            Ok((name.to_owned(), value, unit.to_owned()))
        })
        .collect()
}

fn relay_figures(relay: &Path) -> Result<Vec<Figure>> {
    let mut cargo = command("cargo");
    cargo.env("STRIDEBOOK_RELAY", relay);
    cargo.args(["run", "--quiet", "--profile", "native"]);
    cargo.args(["-p", "relay_tests", "--bin", "measure_relay"]);
    let text = crate::shell::answer(&mut cargo).context("measuring the relay failed")?;
    text.lines()
        .filter(|line| line.starts_with('{'))
        .map(|line| {
            let said: Value = serde_json::from_str(line)?;
            let text = |key: &str| said[key].as_str().with_context(|| format!("no {key}"));
            let value = said["value"].as_f64().context("no value")?;
            Ok((text("what")?.to_owned(), value, text("unit")?.to_owned()))
        })
        .collect()
}

fn report(figures: &[Figure]) -> Result<()> {
    let mut rows = Vec::new();
    let mut missed = Vec::new();
    println!("\n{:<62} {:>14} {:>12}  met", "what", "measured", "budget");
    for (name, value, unit) in figures {
        let budget = BUDGETS.iter().find(|budget| name.starts_with(budget.name));
        let wanted = budget.map_or(Met::Any, |budget| budget.met);
        let (met, limit) = match wanted {
            Met::AtMost(most) => (Some(*value <= most), Some(most)),
            Met::AtLeast(least) => (Some(*value >= least), Some(least)),
            Met::Any => (None, None),
        };
        let said = match met {
            Some(true) => "yes",
            Some(false) => "NO",
            None => "",
        };
        let sign = match wanted {
            Met::AtLeast(_) => "\u{2265} ",
            _ => "",
        };
        let said_limit = limit.map_or(String::new(), |limit| {
            format!("{sign}{} {unit}", short(limit))
        });
        let value_said = format!("{} {unit}", short(*value));
        println!("{name:<62} {value_said:>14} {said_limit:>12}  {said}");
        rows.push(json!({"name": name, "value": value, "unit": unit, "budget": limit, "met": met}));
        if met == Some(false) {
            missed.push(name.as_str());
        }
    }
    for budget in BUDGETS {
        let measured = figures
            .iter()
            .any(|(name, _, unit)| name.starts_with(budget.name) && unit == budget.unit);
        if !measured {
            bail!("{:?} was not measured in {}", budget.name, budget.unit);
        }
    }
    let path = target_dir().join("bench.json");
    fs::write(&path, serde_json::to_string_pretty(&rows)?)?;
    println!("\nwritten to {}", path.display());
    if !missed.is_empty() {
        bail!("over budget: {}", missed.join("; "));
    }
    Ok(())
}

fn short(value: f64) -> String {
    if value != 0.0 && value.abs() < 1e-3 {
        format!("{value:.1e}")
    } else {
        let text = format!("{value:.3}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}
