//! The built client, read once into memory and addressed by a map: a path that
//! is not a key of the map cannot reach a file, whatever it spells.

use std::cmp::Reverse;
use std::collections::{BTreeMap, HashMap};
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use axum::body::Bytes;
use axum::http::HeaderValue;

use crate::Error;
use crate::encoding::Accepted;
use crate::inline::inline_script;

/// The most that all files of the client may hold together, in MiB. The client
/// is about 1 MiB; the bound keeps a wrong `--dist` from filling the memory.
pub const MAX_DIST_MIB: u64 = 64;

/// One way to send a file: its bytes under one content coding.
#[derive(Clone, Debug)]
pub struct Coded {
    /// What is sent.
    pub bytes: Bytes,
    /// The strong entity tag of exactly these bytes.
    pub etag: HeaderValue,
    /// The value of `Content-Encoding`; `None` for the file as it is.
    pub coding: Option<&'static str>,
}

/// One file of the client.
#[derive(Clone, Debug)]
pub struct Asset {
    /// The value of `Content-Type`.
    pub mime: &'static str,
    /// The value of `Cache-Control`.
    pub cache: &'static str,
    plain: Coded,
    brotli: Option<Coded>,
    gzip: Option<Coded>,
}

impl Asset {
    /// The form that the client weighs highest, and among equals the smallest.
    /// `None` when the client refuses every form that the relay holds.
    pub fn choose(&self, accepted: Accepted) -> Option<&Coded> {
        [
            (accepted.identity, Some(&self.plain)),
            (accepted.gzip, self.gzip.as_ref()),
            (accepted.brotli, self.brotli.as_ref()),
        ]
        .into_iter()
        .filter_map(|(weight, coded)| weight.zip(coded))
        .max_by_key(|(weight, coded)| (*weight, Reverse(coded.bytes.len())))
        .map(|(_, coded)| coded)
    }
}

/// All files of the client by their address without the first `/`.
#[derive(Debug)]
pub struct Assets {
    files: HashMap<String, Asset>,
    index: Asset,
    /// The client's second page, if it has one.
    book: Option<Asset>,
    /// What all files hold together, compressed forms included, in bytes.
    pub total_bytes: u64,
}

impl Assets {
    /// Reads the folder `dist`. Names that begin with a dot are left out; `X.br`
    /// and `X.gz` beside `X` become forms of `X`.
    ///
    /// # Errors
    /// When the folder is no built client, is above [`MAX_DIST_MIB`], holds a page
    /// with an inline script, or holds a compressed form of other content.
    pub fn load(dist: &Path) -> Result<Self, Error> {
        if !dist.is_dir() {
            return Err(Error::DistMissing(dist.to_owned()));
        }
        if !dist.join("index.html").is_file() {
            return Err(Error::NoIndex(dist.to_owned()));
        }
        let contents = read_tree(dist)?;
        let total_bytes = contents.values().map(|content| content.len() as u64).sum();
        let mut files = HashMap::new();
        for (address, content) in &contents {
            if let Some(original) = compressed_of(address) {
                if !contents.contains_key(original) {
                    tracing::warn!(
                        file = address,
                        "left out: nothing is beside it that it is a form of"
                    );
                }
                continue;
            }
            refuse_inline_script(address, content)?;
            files.insert(address.clone(), asset(address, content, &contents)?);
        }
        let index = files["index.html"].clone();
        let book = files.get("book.html").cloned();
        Ok(Self {
            files,
            index,
            book,
            total_bytes,
        })
    }

    /// The file at this decoded address, which has no `/` at its start. The empty
    /// address is the index page.
    pub fn file(&self, address: &str) -> Option<&Asset> {
        if address.is_empty() {
            Some(&self.index)
        } else {
            self.files.get(address)
        }
    }

    /// The page that the screen at this address starts from: the client's book for
    /// `book` and what is below it, its index page for every other.
    pub fn page_of(&self, address: &str) -> &Asset {
        let is_book = address.split('/').next() == Some("book");
        let book = self.book.as_ref().filter(|_| is_book);
        book.unwrap_or(&self.index)
    }

    /// How many files have an address.
    pub fn count(&self) -> usize {
        self.files.len()
    }
}

/// The file that `address` is a compressed form of, by its name alone.
fn compressed_of(address: &str) -> Option<&str> {
    address
        .strip_suffix(".br")
        .or_else(|| address.strip_suffix(".gz"))
}

/// Reads every file under `dist`, keyed by its address.
fn read_tree(dist: &Path) -> Result<BTreeMap<String, Bytes>, Error> {
    let unreadable = |path: &Path| {
        let path = path.to_owned();
        move |source| Error::ReadDist { path, source }
    };
    let mut contents = BTreeMap::new();
    let mut left = MAX_DIST_MIB << 20;
    let mut folders: Vec<(PathBuf, String)> = vec![(dist.to_owned(), String::new())];
    while let Some((folder, prefix)) = folders.pop() {
        for entry in fs::read_dir(&folder).map_err(unreadable(&folder))? {
            let entry = entry.map_err(unreadable(&folder))?;
            let path = entry.path();
            let Some(name) = entry.file_name().to_str().map(str::to_owned) else {
                return Err(Error::OddEntry(path));
            };
            if name.starts_with('.') {
                continue;
            }
            // The kind of the entry itself: links are not followed, as they could
            // lead out of the folder or around in a ring.
            let kind = entry.file_type().map_err(unreadable(&path))?;
            let address = format!("{prefix}{name}");
            if kind.is_dir() {
                folders.push((path, format!("{address}/")));
            } else if kind.is_file() {
                let content = read_at_most(&path, left).map_err(unreadable(&path))?;
                let content = content.ok_or_else(|| Error::DistTooLarge {
                    path: dist.to_owned(),
                    limit_mib: MAX_DIST_MIB,
                })?;
                left -= content.len() as u64;
                contents.insert(address, content);
            } else {
                return Err(Error::OddEntry(path));
            }
        }
    }
    Ok(contents)
}

/// The content of a file; `None` when it is longer than `most` bytes.
fn read_at_most(path: &Path, most: u64) -> io::Result<Option<Bytes>> {
    let mut content = Vec::new();
    File::open(path)?.take(most + 1).read_to_end(&mut content)?;
    content.shrink_to_fit();
    Ok((content.len() as u64 <= most).then(|| content.into()))
}

fn refuse_inline_script(address: &str, content: &Bytes) -> Result<(), Error> {
    if !address.ends_with(".html") {
        return Ok(());
    }
    match inline_script(&String::from_utf8_lossy(content)) {
        Some(line) => Err(Error::InlineScript {
            file: address.to_owned(),
            line,
        }),
        None => Ok(()),
    }
}

fn asset(
    address: &str,
    content: &Bytes,
    contents: &BTreeMap<String, Bytes>,
) -> Result<Asset, Error> {
    let form = |suffix: &str, coding: &'static str, unpack: Unpack| {
        let sibling = format!("{address}{suffix}");
        let Some(packed) = contents.get(&sibling) else {
            return Ok(None);
        };
        if unpacks_to(unpack, packed, content) {
            Ok(Some(coded(packed, Some(coding))))
        } else {
            Err(Error::StaleSibling {
                sibling,
                file: address.to_owned(),
            })
        }
    };
    Ok(Asset {
        mime: mime(address),
        cache: cache_control(address),
        plain: coded(content, None),
        brotli: form(".br", "br", |packed| {
            Box::new(brotli_decompressor::Decompressor::new(packed, 4096))
        })?,
        gzip: form(".gz", "gzip", |packed| {
            Box::new(flate2::read::MultiGzDecoder::new(packed))
        })?,
    })
}

type Unpack = fn(&[u8]) -> Box<dyn Read + '_>;

/// Whether `packed` unpacks to exactly `content`. A form left from another build
/// would show some browsers an old client, which is very hard to see from outside.
fn unpacks_to(unpack: Unpack, packed: &[u8], content: &[u8]) -> bool {
    let mut unpacked = Vec::with_capacity(content.len());
    // One byte more than expected is enough to tell, so a bomb cannot go off.
    let read = unpack(packed)
        .take(content.len() as u64 + 1)
        .read_to_end(&mut unpacked);
    read.is_ok() && unpacked == content
}

fn coded(bytes: &Bytes, coding: Option<&'static str>) -> Coded {
    let hash = ring::digest::digest(&ring::digest::SHA256, bytes);
    let hex: String = hash.as_ref()[..16]
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let etag = HeaderValue::try_from(format!("\"{hex}\"")).expect("hex digits in quotes");
    Coded {
        bytes: bytes.clone(),
        etag,
        coding,
    }
}

/// The media type by the ending of the name, with the charset where it is text.
fn mime(address: &str) -> &'static str {
    let ending = address.rsplit_once('.').map_or("", |(_, ending)| ending);
    match ending.to_ascii_lowercase().as_str() {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "txt" => "text/plain; charset=utf-8",
        "csv" => "text/csv; charset=utf-8",
        "wasm" => "application/wasm",
        "json" | "map" => "application/json",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" | "jpeg" => "image/jpeg",
        "webp" => "image/webp",
        "ico" => "image/x-icon",
        "woff2" => "font/woff2",
        "mp3" => "audio/mpeg",
        "ogg" => "audio/ogg",
        "wav" => "audio/wav",
        "mp4" => "video/mp4",
        "webm" => "video/webm",
        "pdf" => "application/pdf",
        _ => "application/octet-stream",
    }
}

/// A file whose name carries the hash of its content can never change, so it is
/// kept for a year without asking; all else is asked about each time.
fn cache_control(address: &str) -> &'static str {
    if carries_hash(address) {
        "public, max-age=31536000, immutable"
    } else {
        "no-cache"
    }
}

/// Whether the name ends in a content hash as trunk writes it:
/// `web-0123456789abcdef.js` or `web-0123456789abcdef_bg.wasm`, the hash 8 or more
/// lower-case hex digits.
///
/// Digits alone are taken for a date or a size, as in `photo-20260401.png`: for one
/// real hash in about 1,800 that costs a question to the server, the other way
/// round a changed file would stay unseen for a year.
fn carries_hash(address: &str) -> bool {
    let name = address.rsplit('/').next().unwrap_or(address);
    let Some((stem, _ending)) = name.rsplit_once('.') else {
        return false;
    };
    let stem = stem.strip_suffix("_bg").unwrap_or(stem);
    let Some((_, hash)) = stem.rsplit_once('-') else {
        return false;
    };
    hash.len() >= 8
        && hash
            .bytes()
            .all(|digit| matches!(digit, b'0'..=b'9' | b'a'..=b'f'))
        && hash.bytes().any(|digit| digit.is_ascii_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_with_a_content_hash_are_kept_for_good() {
        for hashed in [
            "web-0123456789abcdef.js",
            "web-0123456789abcdef_bg.wasm",
            "styles/main-deadbeef.css",
            "a-b-12345678a.min-12345678a.css",
        ] {
            assert!(carries_hash(hashed), "{hashed}");
        }
        for plain in [
            "index.html",
            "service-worker.js",
            "manifest.webmanifest",
            "icon-192.png",
            "photo-20260401.png",
            "web-abcdef0.js",
            "web-DEADBEEF.js",
            "web-0123456789abcdeg.js",
            "0123456789abcdef.js",
            "snippets/gloo-0123456789abcdef/inline0.js",
            "web-0123456789abcdef",
        ] {
            assert!(!carries_hash(plain), "{plain}");
        }
    }

    #[test]
    fn the_smaller_form_wins_among_equal_weights() {
        let form = |length: usize, coding| coded(&Bytes::from(vec![0; length]), coding);
        let asset = Asset {
            mime: "text/plain",
            cache: "no-cache",
            plain: form(10, None),
            brotli: Some(form(20, Some("br"))),
            gzip: Some(form(15, Some("gzip"))),
        };
        let coding = |line: &str| {
            asset
                .choose(Accepted::parse([line]))
                .map(|coded| coded.coding.unwrap_or("identity"))
        };
        assert_eq!(coding("br, gzip"), Some("gzip"));
        assert_eq!(coding("br, gzip, identity"), Some("identity"));
        assert_eq!(coding("br, gzip;q=0.9"), Some("br"));
        assert_eq!(coding("zstd, identity;q=0"), None);
    }
}
