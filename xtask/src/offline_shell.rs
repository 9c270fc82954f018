//! Finishes a build that trunk has staged: moves the inline script to a file,
//! writes the service worker's precache list from content hashes, compresses.

use anyhow::{Context, Result, bail};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Served with compression when that makes them smaller.
const COMPRESSIBLE: &[&str] = &["css", "html", "js", "json", "svg", "wasm", "webmanifest"];

/// The post_build hook of trunk.
///
/// # Errors
/// When trunk did not call it, or its output is not what we expect.
pub fn finish_staged_build() -> Result<()> {
    let staging = std::env::var_os("TRUNK_STAGING_DIR")
        .map(PathBuf::from)
        .context("TRUNK_STAGING_DIR is not set: this task is called by trunk")?;
    let index = staging.join("index.html");
    let page = fs::read_to_string(&index).with_context(|| format!("reading {index:?}"))?;
    let (page, script) = without_inline_script(&page)?;
    let name = format!("start-{}.js", &hex(&Sha256::digest(&script))[..16]);
    fs::write(staging.join(&name), script)?;
    let book = staging.join("book.html");
    fs::write(&book, book_page(&page)?)?;
    fs::write(staging.join(BOOK_START), BOOK_SCRIPT)?;
    fs::write(&index, page.replace(SCRIPT_PLACE, &name))?;

    let mut files = files_below(&staging)?;
    files.sort();
    let listed = files
        .iter()
        // Pictures for the home screen: the phone fetches them itself, once,
        // when the app is installed.
        .filter(|path| path.extension().is_none_or(|ending| ending != "png"))
        .map(|path| Ok((address(&staging, path)?, Sha256::digest(fs::read(path)?))))
        .collect::<Result<Vec<_>>>()?;
    let template =
        fs::read_to_string(crate::shell::top().join("service-worker/service-worker.js"))?;
    fs::write(
        staging.join("service-worker.js"),
        service_worker(&template, &listed)?,
    )?;
    files.push(staging.join("service-worker.js"));
    for path in &files {
        compress(path)?;
    }
    Ok(())
}

const SCRIPT_PLACE: &str = "{start-script}";

/// Takes trunk's one inline module script out of `page` and leaves a reference
/// to a file in its place: the policy then needs no hash, on any host.
fn without_inline_script(page: &str) -> Result<(String, String)> {
    // With quotes, or as trunk's minifier leaves it.
    const OPEN: [&str; 2] = ["<script type=\"module\">", "<script type=module>"];
    const CLOSE: &str = "</script>";
    let (before, rest) = OPEN
        .iter()
        .find_map(|open| page.split_once(open))
        .context("trunk wrote no inline module script: has its output changed?")?;
    let (script, after) = rest.split_once(CLOSE).context("a script without an end")?;
    if after.contains("<script") || before.contains("<script") {
        bail!("more than one script in index.html: the policy would refuse it");
    }
    let reference = format!("<script type=\"module\" src=\"/{SCRIPT_PLACE}\">{CLOSE}");
    Ok((
        format!("{before}{reference}{after}"),
        script.trim().to_owned(),
    ))
}

/// The book's start script, its style sheet, and what it starts.
const BOOK_START: &str = "book-start.js";
const BOOK_SCRIPT: &str =
    "import init from '/book.js';\nawait init({ module_or_path: '/book_bg.wasm' });\n";
const BOOK_STYLE: &str = "<link rel=\"stylesheet\" href=\"/book.css\">";

/// The app's second page from its first, whose script has been taken out: the same
/// head without the first page's wasm, with the book's start and style.
fn book_page(page: &str) -> Result<String> {
    let page = page.replace(SCRIPT_PLACE, BOOK_START);
    let mut pieces = page.split("<link ");
    let mut book = pieces.next().unwrap_or_default().to_owned();
    let mut left_out = 0;
    for piece in pieces {
        let (link, after) = piece.split_once('>').context("a link without an end")?;
        if link.contains("preload") {
            left_out += 1;
            book.push_str(after);
        } else {
            book.push_str(&format!("<link {piece}"));
        }
    }
    if left_out != 2 {
        bail!("trunk wrote {left_out} links ahead, not 2: has its output changed?");
    }
    let head = book.find("</head>").context("a page without a head")?;
    book.insert_str(head, BOOK_STYLE);
    Ok(book)
}

fn service_worker(template: &str, files: &[(String, impl AsRef<[u8]>)]) -> Result<String> {
    let mut version = Sha256::new();
    version.update(template);
    let mut list = Vec::new();
    for (address, digest) in files {
        version.update(address);
        version.update(digest.as_ref());
        list.push((
            address,
            format!("sha256-{}", STANDARD.encode(digest.as_ref())),
        ));
    }
    for place in ["__VERSION__", "__FILES__"] {
        if template.matches(place).count() != 1 {
            bail!("service-worker.js must hold {place} exactly once");
        }
    }
    Ok(template
        .replace("__VERSION__", &hex(&version.finalize())[..16])
        .replace("__FILES__", &serde_json::to_string_pretty(&list)?))
}

/// The address a staged file is served at; index.html is the home page.
fn address(staging: &Path, path: &Path) -> Result<String> {
    let inside = path.strip_prefix(staging)?.to_string_lossy();
    Ok(if inside == "index.html" {
        "/".to_owned()
    } else {
        format!("/{inside}")
    })
}

fn files_below(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(files_below(&path)?);
        } else {
            found.push(path);
        }
    }
    Ok(found)
}

fn compress(path: &Path) -> Result<()> {
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    if !COMPRESSIBLE.contains(&ending.as_ref()) {
        return Ok(());
    }
    let plain = fs::read(path)?;
    let mut brotli = Vec::new();
    let params = brotli::enc::BrotliEncoderParams {
        quality: 11,
        lgwin: 24,
        ..Default::default()
    };
    brotli::BrotliCompress(&mut plain.as_slice(), &mut brotli, &params)?;
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    gzip.write_all(&plain)?;
    for (ending, bytes) in [("br", brotli), ("gz", gzip.finish()?)] {
        if bytes.len() < plain.len() {
            fs::write(format!("{}.{ending}", path.display()), bytes)?;
        }
    }
    Ok(())
}

fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_inline_script_moves_out_and_a_second_one_is_refused() {
        let page = "<head><script type=\"module\">\nimport a;\n</script></head>";
        let (page, script) = without_inline_script(page).unwrap();
        assert_eq!(script, "import a;");
        assert!(!page.contains("import a;"));
        assert!(page.contains("src=\"/{start-script}\""));
        let small = without_inline_script("<script type=module>a</script>").unwrap();
        assert_eq!(small.1, "a");
        let two = "<script>x</script><script type=\"module\">y</script>";
        assert!(without_inline_script(two).is_err());
        assert!(without_inline_script("<p>none</p>").is_err());
    }

    #[test]
    fn the_book_starts_its_own_wasm_and_fetches_none_ahead() {
        let page = "<head><link href=/a.css rel=stylesheet><link href=/web.js rel=modulepreload><link rel=\"preload\" \
                    href=\"/web.wasm\"><script type=\"module\" src=\"/{start-script}\"></script></head>";
        let book = book_page(page).unwrap();
        assert!(book.contains("src=\"/book-start.js\""), "{book}");
        assert!(book.contains("href=\"/book.css\"></head>"), "{book}");
        assert!(!book.contains("web."), "{book}");
        assert!(book.contains("/a.css"), "{book}");
        assert!(book_page("<head></head>").is_err());
    }

    #[test]
    fn the_version_changes_with_any_file_and_with_the_worker_itself() {
        let template = "V=\"__VERSION__\";F=__FILES__;";
        let first = service_worker(template, &[("/".to_owned(), [1_u8; 32])]).unwrap();
        let again = service_worker(template, &[("/".to_owned(), [1_u8; 32])]).unwrap();
        let other = service_worker(template, &[("/".to_owned(), [2_u8; 32])]).unwrap();
        let worker = service_worker(&format!("{template} "), &[("/".to_owned(), [1_u8; 32])]);
        assert_eq!(first, again);
        assert_ne!(first, other);
        assert_ne!(first, worker.unwrap().trim_end());
    }
}
