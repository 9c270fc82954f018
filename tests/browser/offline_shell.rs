//! The offline shell: installable, all files on the phone after one visit, a
//! new version taken whole and only when the user says so, no other server.

use anyhow::{Context, Result, bail, ensure};
use browser::{Phone, Profile, Relay, built_client, on_runtime};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

#[test]
fn the_app_can_be_installed_and_its_icons_are_what_the_manifest_says() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        // A page that is no app: the browser does say so.
        phone
            .open(&format!("{}/icons/icon.svg", relay.address()))
            .await?;
        ensure!(
            !install_errors(&phone).await?.is_empty(),
            "this browser calls anything installable"
        );
        phone.open(relay.address()).await?;
        phone.ready_offline().await?;
        let errors = install_errors(&phone).await?;
        ensure!(errors.is_empty(), "not installable: {errors:#?}");

        let icons = phone.script_async(ICONS, vec![]).await?;
        let icons = icons.as_array().context("no icons")?;
        for icon in icons {
            ensure!(icon["declared"] == icon["found"], "{icon}");
        }
        for size in ["192x192", "512x512"] {
            ensure!(
                icons.iter().any(|icon| icon["declared"] == size
                    && icon["purpose"].as_str().unwrap_or("").contains("maskable")),
                "no maskable icon of {size}: {icons:#?}"
            );
        }
        phone.off().await
    })
}

async fn install_errors(phone: &Phone) -> Result<Vec<Value>> {
    let answer = phone
        .devtools("Page.getInstallabilityErrors", json!({}))
        .await?;
    Ok(serde_json::from_value(
        answer["installabilityErrors"].clone(),
    )?)
}

/// Every icon of the manifest with the size it says and the size it has.
const ICONS: &str = "
    const manifest = await (await fetch(document.querySelector('link[rel=manifest]').href)).json();
    return await Promise.all(manifest.icons.map(async ({src, sizes, type, purpose}) => {
        const response = await fetch(src);
        const blob = await response.blob();
        let found = `${response.status} ${blob.type}`;
        if (response.ok && blob.type === type) {
            const picture = new Image();
            picture.src = src;
            await picture.decode();
            found = sizes === 'any' ? 'any' : `${picture.naturalWidth}x${picture.naturalHeight}`;
        }
        return {src, purpose, declared: sizes, found};
    }));
";

#[test]
fn after_the_first_visit_every_file_is_in_one_cache_and_is_the_built_one() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        phone.ready_offline().await?;
        let listed = Worker::read(&built_client()?)?.files()?;
        let cached = one_cache(&phone).await?;
        let addresses: BTreeSet<&str> = listed.iter().map(|file| file.0.as_str()).collect();
        let kept: BTreeSet<&str> = cached.iter().map(|file| file.0.as_str()).collect();
        ensure!(kept == addresses, "kept {kept:?}, listed {addresses:?}");
        for file in &listed {
            ensure!(
                cached.contains(file),
                "{file:?} is not the file that is kept"
            );
        }
        // The list itself is whole: it names every built file but pictures for
        // the home screen, the worker, and compressed forms.
        ensure!(
            addresses == files_to_keep(&built_client()?)?,
            "{addresses:?}"
        );
        phone.off().await
    })
}

/// Addresses that must be listed, as far as `borrowed` names go.
fn files_to_keep(dist: &Path) -> Result<BTreeSet<&'static str>> {
    let mut found = BTreeSet::new();
    let mut folders = vec![dist.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder)? {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let inside = path.strip_prefix(dist)?.to_string_lossy().into_owned();
            let left_out = [".br", ".gz", ".png"]
                .iter()
                .any(|end| inside.ends_with(end));
            if left_out || inside == "service-worker.js" {
                continue;
            }
            let address = match inside.as_str() {
                "index.html" => "/".to_owned(),
                file => format!("/{file}"),
            };
            // A test's few names may live as long as its process.
            found.insert(&*address.leak());
        }
    }
    Ok(found)
}

/// Address and digest of every file in the one cache of the shell.
async fn one_cache(phone: &Phone) -> Result<Vec<(String, String)>> {
    let names = cache_names(phone).await?;
    let [name] = &names[..] else {
        bail!("not one cache: {names:?}");
    };
    ensure!(name.starts_with("stridebook-shell-"), "{name}");
    let body = format!(
        "{DIGEST}
         const cache = await caches.open(args[0]);
         return await Promise.all((await cache.keys()).map(async request => {{
             const kept = await cache.match(request);
             return [new URL(request.url).pathname,
                     await digest('SHA-256', await kept.arrayBuffer())];
         }}));"
    );
    let files = phone.script_async(&body, vec![json!(name)]).await?;
    Ok(serde_json::from_value(files)?)
}

async fn cache_names(phone: &Phone) -> Result<Vec<String>> {
    let names = phone
        .script_async("return await caches.keys()", vec![])
        .await?;
    Ok(serde_json::from_value(names)?)
}

/// As integrity attributes write a digest.
const DIGEST: &str = "
    const digest = async (kind, bytes) => {
        const hash = new Uint8Array(await crypto.subtle.digest(kind, bytes));
        return `${kind.toLowerCase().replace('-', '')}-${btoa(String.fromCharCode(...hash))}`;
    };
";

#[test]
fn a_new_version_waits_for_the_user_and_then_comes_whole() -> Result<()> {
    on_runtime(async {
        let server = tempfile::tempdir()?;
        let dist = server.path().join("dist");
        copy(&built_client()?, &dist)?;
        let mut relay = Relay::serving(&dist, 0)?;
        let (address, port) = (relay.address().to_owned(), relay.port()?);
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(&address).await?;
        phone.add_first_hitter("Wren").await?;
        phone.ready_offline().await?;
        let old = cache_names(&phone).await?;
        ensure!(!wears_new_style(&phone).await?, "the old version is new");

        // The coach has tapped at lift when the new version comes in.
        let spot = phone.spot_of("Tap at lift").await?;
        let lift = SystemTime::now();
        phone.finger_tap(spot, Some(lift)).await?;
        phone.sees("Tap at contact").await?;
        phone.script("window.notReloaded = true", vec![]).await?;
        NewVersion::of(&dist, &phone).await?.put(&dist)?;
        relay.stop();
        let mut relay = Relay::serving(&dist, port)?;
        phone.script_async(LOOK_FOR_UPDATE, vec![]).await?;
        phone.sees("A new version is ready").await?;
        let waits = phone
            .script_async(
                "return (await navigator.serviceWorker.getRegistration()).waiting !== null",
                vec![],
            )
            .await?;
        ensure!(waits == Value::Bool(true), "in use before the user said so");
        ensure!(
            cache_names(&phone).await?.contains(&old[0]),
            "old files gone"
        );

        // Time in which a page that reloads by itself would have done so.
        tokio::time::sleep(Duration::from_millis(1_500)).await;
        phone.holds("return window.notReloaded === true").await?;
        phone.sees("Tap at contact").await?;
        ensure!(!wears_new_style(&phone).await?, "changed under the hands");
        let contact = lift + Duration::from_millis(1_900);
        let spot = phone.spot_of("Tap at contact").await?;
        phone.finger_tap(spot, Some(contact)).await?;
        phone
            .waits_for("for the rep to be on disk", async || {
                Ok(phone.stored("reps").await?.len() == 1)
            })
            .await?;
        let rep = &phone.stored("reps").await?[0];
        let count_s = rep["count_s"].as_f64().unwrap_or_default();
        ensure!((count_s - 1.9).abs() < 0.005, "the lift was lost: {rep}");

        phone.touch("Use it now").await?;
        phone
            .holds("return window.notReloaded === undefined")
            .await?;
        phone.sees("Wren").await?;
        phone
            .holds("return document.querySelector('.four dd').innerText.startsWith('1.90')")
            .await?;
        ensure!(wears_new_style(&phone).await?, "still the old version");
        phone
            .waits_for("for the old files to go", async || {
                let names = cache_names(&phone).await?;
                Ok(names.len() == 1 && names != old)
            })
            .await?;
        ensure!(!phone.text().await?.contains("A new version is ready"));

        relay.stop();
        phone.reload().await?;
        phone.sees("Wren").await?;
        ensure!(wears_new_style(&phone).await?, "not kept for offline use");
        phone.off().await
    })
}

#[test]
fn another_tab_is_not_reloaded_when_one_takes_the_new_version() -> Result<()> {
    on_runtime(async {
        let server = tempfile::tempdir()?;
        let dist = server.path().join("dist");
        copy(&built_client()?, &dist)?;
        let mut relay = Relay::serving(&dist, 0)?;
        let (address, port) = (relay.address().to_owned(), relay.port()?);
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(&address).await?;
        phone.add_first_hitter("Wren").await?;
        phone.ready_offline().await?;
        let at_work = phone.tab().await?;
        phone.touch("Tap at lift").await?;
        phone.sees("Tap at contact").await?;

        phone.fresh_tab(&address).await?;
        phone.sees("Wren").await?;
        NewVersion::of(&dist, &phone).await?.put(&dist)?;
        relay.stop();
        let _relay = Relay::serving(&dist, port)?;
        phone.script_async(LOOK_FOR_UPDATE, vec![]).await?;
        phone.touch("Use it now").await?;
        phone
            .waits_for("for the new version", async || {
                wears_new_style(&phone).await
            })
            .await?;

        phone.look_at(&at_work).await?;
        ensure!(!wears_new_style(&phone).await?, "changed under the hands");
        phone.sees("Tap at contact").await?;
        phone.off().await
    })
}

#[test]
fn a_half_deployed_version_never_comes_into_use() -> Result<()> {
    on_runtime(async {
        let server = tempfile::tempdir()?;
        let dist = server.path().join("dist");
        copy(&built_client()?, &dist)?;
        let mut relay = Relay::serving(&dist, 0)?;
        let (address, port) = (relay.address().to_owned(), relay.port()?);
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(&address).await?;
        phone.add_first_hitter("Wren").await?;
        phone.ready_offline().await?;
        let kept = one_cache(&phone).await?;

        // The worker of the new version is there; of its files one is not yet.
        let new = NewVersion::of(&dist, &phone).await?;
        new.put(&dist)?;
        fs::write(dist.join(&new.style.0), "/* half of it */")?;
        relay.stop();
        let mut relay = Relay::serving(&dist, port)?;
        let end = phone.script_async(LOOK_FOR_UPDATE, vec![]).await?;
        ensure!(end == "redundant", "the half version is {end}");
        ensure!(one_cache(&phone).await? == kept, "the kept files changed");
        ensure!(!phone.text().await?.contains("A new version is ready"));

        relay.stop();
        phone.reload().await?;
        phone.sees("Wren").await?;
        phone.fresh_tab(&address).await?;
        phone.sees("Wren").await?;
        ensure!(one_cache(&phone).await? == kept, "the kept files changed");

        // Deployed whole at last, the same version does come.
        new.put(&dist)?;
        let _relay = Relay::serving(&dist, port)?;
        phone.script_async(LOOK_FOR_UPDATE, vec![]).await?;
        phone.sees("A new version is ready").await?;
        phone.off().await
    })
}

/// Looks for a new version as the browser does, and waits for its end: what
/// became of the worker that was found.
const LOOK_FOR_UPDATE: &str = "
    const registration = await navigator.serviceWorker.getRegistration();
    await registration.update();
    const worker = registration.installing;
    if (!worker) return registration.waiting ? 'installed' : 'nothing new';
    return await new Promise(done => {
        const look = () => {
            if (['installed', 'redundant'].includes(worker.state)) done(worker.state);
        };
        worker.addEventListener('statechange', look);
        look();
    });
";

/// Whether the page shows the style that only the new version has.
async fn wears_new_style(phone: &Phone) -> Result<bool> {
    let worn = phone
        .script(
            "return getComputedStyle(document.documentElement)
                 .getPropertyValue('--of-the-new-version').trim()",
            vec![],
        )
        .await?;
    Ok(worn == "yes")
}

/// The built worker: its text, and what it lists.
struct Worker(String);

impl Worker {
    fn read(dist: &Path) -> Result<Self> {
        Ok(Self(fs::read_to_string(dist.join("service-worker.js"))?))
    }

    /// The list as it stands in the text.
    fn list(&self) -> Result<&str> {
        let (_, rest) = self.0.split_once("const FILES = ").context("no list")?;
        let (list, _) = rest.split_once("];").context("a list without an end")?;
        Ok(list)
    }

    /// Addresses and digests.
    fn files(&self) -> Result<Vec<(String, String)>> {
        Ok(serde_json::from_str(&format!("{}]", self.list()?))?)
    }
}

/// A next version of the app, which differs from the one at hand in its style
/// alone: the style sheet has another content and so another name, the page
/// names that one, the worker lists both with their digests.
struct NewVersion {
    /// File name and content.
    style: (String, String),
    page: String,
    worker: String,
    /// File name of the style sheet that it replaces.
    old_style: String,
}

impl NewVersion {
    async fn of(dist: &Path, phone: &Phone) -> Result<Self> {
        let worker = Worker::read(dist)?;
        let files = worker.files()?;
        let old = files
            .iter()
            // The first page's; the book's keeps its name.
            .find(|file| file.0.starts_with("/main-") && file.0.ends_with(".css"))
            .context("no style sheet is listed")?;
        let old_style = old.0.trim_start_matches('/').to_owned();
        let css =
            fs::read_to_string(dist.join(&old_style))? + "\n:root { --of-the-new-version: yes }\n";
        let style = "main-0123456789abcdef.css".to_owned();

        let page = fs::read_to_string(dist.join("index.html"))?;
        let old_css = fs::read_to_string(dist.join(&old_style))?;
        let old_digest = digest(phone, "SHA-384", &old_css).await?;
        ensure!(page.contains(&old_digest), "the page holds no {old_digest}");
        let new_digest = digest(phone, "SHA-384", &css).await?;
        let new_page = page
            .replace(&old_style, &style)
            .replace(&old_digest, &new_digest);

        let mut listed = files.clone();
        for file in &mut listed {
            if file.0 == format!("/{old_style}") {
                *file = (format!("/{style}"), digest(phone, "SHA-256", &css).await?);
            } else if file.0 == "/" {
                file.1 = digest(phone, "SHA-256", &new_page).await?;
            }
        }
        let list = serde_json::to_string(&listed)?;
        let (before, rest) = worker
            .0
            .split_once("const VERSION = \"")
            .context("no version")?;
        let (_, after) = rest.split_once('"').context("a version without an end")?;
        let new_worker = format!("{before}const VERSION = \"0123456789abcdef\"{after}")
            .replace(&format!("{}]", worker.list()?), &list);
        Ok(Self {
            style: (style, css),
            page: new_page,
            worker: new_worker,
            old_style,
        })
    }

    /// Puts it where the relay reads from, in place of the one before. (Without
    /// compressed forms: the relay then sends the files as they are.)
    fn put(&self, dist: &Path) -> Result<()> {
        for (name, content) in [
            (self.style.0.as_str(), &self.style.1),
            ("index.html", &self.page),
            ("service-worker.js", &self.worker),
        ] {
            remove(&dist.join(name))?;
            fs::write(dist.join(name), content)?;
        }
        remove(&dist.join(&self.old_style))
    }
}

/// Removes a file and its compressed forms, as far as there are any.
fn remove(file: &Path) -> Result<()> {
    for ending in ["", ".br", ".gz"] {
        let path = PathBuf::from(format!("{}{ending}", file.display()));
        if path.exists() {
            fs::remove_file(path)?;
        }
    }
    Ok(())
}

async fn digest(phone: &Phone, kind: &str, text: &str) -> Result<String> {
    let body = format!("{DIGEST} return await digest(args[0], new TextEncoder().encode(args[1]));");
    let digest = phone
        .script_async(&body, vec![json!(kind), json!(text)])
        .await?;
    Ok(digest.as_str().context("no digest")?.to_owned())
}

fn copy(from: &Path, to: &Path) -> Result<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let path = entry?.path();
        let target = to.join(path.file_name().context("a file without a name")?);
        if path.is_dir() {
            copy(&path, &target)?;
        } else {
            fs::copy(&path, &target)?;
        }
    }
    Ok(())
}

#[test]
fn every_answer_carries_the_policy_and_nothing_goes_to_another_server() -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.open(relay.address()).await?;
        phone.add_first_hitter("Wren").await?;
        phone.ready_offline().await?;
        phone.count_once(Duration::from_millis(400)).await?;
        for panel in ["Machine set-up", "Swing check", "Count"] {
            phone.touch(&format!("Open {panel}")).await?;
            phone.touch(&format!("Close {panel}")).await?;
        }
        let fetched = phone
            .script(
                "return ['resource', 'navigation']
                     .flatMap(kind => performance.getEntriesByType(kind))
                     .map(entry => entry.name)",
                vec![],
            )
            .await?;
        let fetched: BTreeSet<String> = serde_json::from_value(fetched)?;
        ensure!(fetched.len() >= 5, "too few to be all: {fetched:?}");
        for address in &fetched {
            ensure!(
                address.starts_with(&format!("{}/", relay.address())),
                "{address} is another server"
            );
        }
        // Asked of the relay itself, past the offline shell: what the page
        // fetched, what the shell keeps, a screen, the worker, and nothing.
        phone
            .devtools("Network.setBypassServiceWorker", json!({"bypass": true}))
            .await?;
        let mut addresses: Vec<String> = fetched.into_iter().collect();
        addresses.extend(
            Worker::read(&built_client()?)?
                .files()?
                .into_iter()
                .map(|file| file.0),
        );
        addresses.extend(["/set-up", "/service-worker.js", "/no-such-file.js"].map(String::from));
        let policies = phone.script_async(POLICIES, vec![json!(addresses)]).await?;
        for (address, policy) in policies.as_object().context("no answers")? {
            let policy = policy.as_str().unwrap_or_default();
            for part in ["default-src 'none'", "script-src 'self' 'wasm-unsafe-eval'"] {
                ensure!(policy.contains(part), "{address} comes with {policy:?}");
            }
            ensure!(!policy.contains("unsafe-inline"), "{address}: {policy}");
        }
        // The policy does bite, and the harness does hear of it.
        ensure!(
            phone.faults().await?.is_empty(),
            "{:?}",
            phone.faults().await?
        );
        phone
            .script_async(
                "await fetch('http://127.0.0.2:9/').catch(() => {});
                 await new Promise(done => setTimeout(done, 50));",
                vec![],
            )
            .await?;
        let faults = phone.faults().await?;
        ensure!(
            faults.len() == 1 && faults[0].contains("refused by policy: connect-src"),
            "{faults:?}"
        );
        phone.script("window.stridebookFaults = []", vec![]).await?;
        phone.off().await
    })
}

const POLICIES: &str = "
    const [addresses] = args;
    const answers = await Promise.all(addresses.map(async address => {
        const response = await fetch(address, {cache: 'no-store'});
        return [address, response.headers.get('content-security-policy')];
    }));
    return Object.fromEntries(answers);
";
