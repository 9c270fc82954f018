//! What is answered: files, their kinds and forms, screens, and nothing else.

use std::io::{Read, Write};

use crate::support::{Answer, PAGE, Place, Running, script, text};

fn get_with(relay: &Running, path: &str, headers: &str) -> Answer {
    relay.ask(&format!("GET {path} HTTP/1.1\r\n{headers}"))
}

#[test]
fn each_kind_of_file_has_its_media_type() {
    let place = Place::new();
    let kinds = [
        ("page.html", "text/html; charset=utf-8"),
        ("a.js", "text/javascript; charset=utf-8"),
        ("a.wasm", "application/wasm"),
        ("a.css", "text/css; charset=utf-8"),
        ("a.json", "application/json"),
        ("manifest.webmanifest", "application/manifest+json"),
        ("icon.svg", "image/svg+xml"),
        ("icon.png", "image/png"),
        ("favicon.ico", "image/x-icon"),
        ("robots.TXT", "text/plain; charset=utf-8"),
        ("LICENSE", "application/octet-stream"),
    ];
    for (name, _) in kinds {
        place.file(name, b"content");
    }
    let relay = place.relay(&[]);
    for (name, kind) in kinds {
        let answer = relay.get(&format!("/{name}"));
        assert_eq!((answer.status, answer.text()), (200, "content"), "{name}");
        assert_eq!(answer.header("content-type"), Some(kind), "{name}");
        assert_eq!(answer.header("content-length"), Some("7"), "{name}");
    }
}

#[test]
fn the_form_is_the_one_that_the_client_weighs_highest() {
    let relay = Place::new().relay(&[]);
    let unpack = |answer: &Answer| {
        let mut text = String::new();
        match answer.header("content-encoding") {
            Some("br") => {
                brotli::Decompressor::new(&answer.body[..], 4096).read_to_string(&mut text)
            }
            Some("gzip") => {
                flate2::read::GzDecoder::new(&answer.body[..]).read_to_string(&mut text)
            }
            _ => (&answer.body[..]).read_to_string(&mut text),
        }
        .expect("it unpacks");
        text
    };
    for (accept, coding) in [
        ("X-None: 1", None),
        ("Accept-Encoding:", None),
        ("Accept-Encoding: gzip, deflate, br, zstd", Some("br")),
        ("Accept-Encoding: gzip, deflate", Some("gzip")),
        ("Accept-Encoding: br;q=0, gzip", Some("gzip")),
        ("Accept-Encoding: br;q=0.5, gzip;q=0.8", Some("gzip")),
        ("Accept-Encoding: br;q=0, gzip;q=0", None),
        ("Accept-Encoding: br;q=0.3, identity", None),
        ("Accept-Encoding: gzip\r\nAccept-Encoding: br", Some("br")),
        ("Accept-Encoding: *", Some("br")),
        ("Accept-Encoding: zstd", None),
        ("Accept-Encoding: identity;q=0, gzip", Some("gzip")),
    ] {
        let answer = get_with(&relay, "/start-1f2e3d4c5b6a7980.js", accept);
        assert_eq!(answer.status, 200, "{accept}");
        assert_eq!(answer.header("content-encoding"), coding, "{accept}");
        assert_eq!(answer.header("vary"), Some("Accept-Encoding"), "{accept}");
        assert_eq!(
            answer.header("content-type"),
            Some("text/javascript; charset=utf-8")
        );
        assert_eq!(
            answer.body.len() < script().len() / 2,
            coding.is_some(),
            "{accept}"
        );
        assert_eq!(unpack(&answer), script(), "{accept}");
    }
}

#[test]
fn a_client_that_refuses_every_form_is_told_so() {
    let relay = Place::new().relay(&[]);
    let answer = get_with(&relay, "/", "Accept-Encoding: identity;q=0");
    assert_eq!(
        (answer.status, answer.header("vary")),
        (406, Some("Accept-Encoding"))
    );
}

#[test]
fn compressed_forms_and_hidden_files_have_no_address_of_their_own() {
    let place = Place::new();
    place.file(".secret", b"hidden");
    place.file(".git/config", b"hidden");
    place.file("alone.gz", b"no file beside it");
    let relay = place.relay(&[]);
    for path in [
        "/start-1f2e3d4c5b6a7980.js.br",
        "/words/en.txt.gz",
        "/alone.gz",
        "/.secret",
        "/.git/config",
    ] {
        assert_eq!(relay.get(path).status, 404, "{path}");
    }
    relay.await_log("file=\"alone.gz\"");
}

#[test]
fn a_client_that_holds_the_form_already_gets_no_body() {
    let relay = Place::new().relay(&[]);
    let path = "/words/en.txt";
    let mut tags = Vec::new();
    for coding in ["identity", "gzip", "br"] {
        let accept = format!("Accept-Encoding: {coding}");
        let first = get_with(&relay, path, &accept);
        let tag = first.header("etag").expect("a tag").to_owned();
        assert!(
            tag.starts_with('"') && tag.ends_with('"') && tag.len() > 20,
            "{tag} is strong"
        );
        for held in [
            tag.clone(),
            format!("\"x\", {tag}"),
            format!("W/{tag}"),
            "*".to_owned(),
        ] {
            let answer = get_with(&relay, path, &format!("{accept}\r\nIf-None-Match: {held}"));
            assert_eq!((answer.status, answer.body.len()), (304, 0), "{held}");
            assert_eq!(answer.header("etag"), Some(tag.as_str()));
            assert_eq!(answer.header("cache-control"), Some("no-cache"));
            assert_eq!(answer.header("vary"), Some("Accept-Encoding"));
            assert_eq!(answer.header("content-encoding"), None);
        }
        tags.push(tag);
    }
    tags.sort();
    tags.dedup();
    assert_eq!(tags.len(), 3, "each form has its own tag");
    let other = get_with(&relay, path, &format!("If-None-Match: {}", &tags[0][1..]));
    assert_eq!((other.status, other.text()), (200, text().as_str()));
}

#[test]
fn the_tag_follows_the_content() {
    let place = Place::new();
    let tag = |place: &Place| {
        place
            .relay(&[])
            .get("/index.html")
            .header("etag")
            .map(str::to_owned)
    };
    let before = tag(&place);
    assert_eq!(tag(&place), before, "the same after a restart");
    place.file("index.html", PAGE.replace("Stride", "Strode").as_bytes());
    assert_ne!(tag(&place), before);
}

#[test]
fn only_names_with_a_content_hash_are_kept_without_asking() {
    let place = Place::new();
    for name in [
        "web-0123456789abcdef_bg.wasm",
        "service-worker.js",
        "manifest.webmanifest",
    ] {
        place.file(name, b"content");
    }
    let relay = place.relay(&[]);
    let kept = "public, max-age=31536000, immutable";
    for (path, cache) in [
        ("/start-1f2e3d4c5b6a7980.js", kept),
        ("/web-0123456789abcdef_bg.wasm", kept),
        ("/", "no-cache"),
        ("/index.html", "no-cache"),
        ("/service-worker.js", "no-cache"),
        ("/manifest.webmanifest", "no-cache"),
        ("/words/en.txt", "no-cache"),
    ] {
        let answer = relay.get(path);
        assert_eq!(answer.status, 200, "{path}");
        assert_eq!(answer.header("cache-control"), Some(cache), "{path}");
    }
}

#[test]
fn head_answers_as_get_without_the_body() {
    // Kept, as the database in it is opened again for one of these.
    let place = Place::new();
    let relay = place.relay(&[]);
    for target in [
        "/words/en.txt",
        "/missing.txt",
        "/healthz",
        "/hitters HTTP/1.1\r\nAccept: text/html",
    ] {
        let target = if target.contains("HTTP") {
            target.to_owned()
        } else {
            format!("{target} HTTP/1.1")
        };
        let (get, head) = (
            relay.ask(&format!("GET {target}")),
            relay.ask(&format!("HEAD {target}")),
        );
        let comparable = |answer: &Answer| {
            let mut headers = answer.headers.clone();
            headers.retain(|(name, _)| name != "date" && name != "x-request-id");
            headers.sort();
            (answer.status, headers)
        };
        assert_eq!(comparable(&get), comparable(&head), "{target}");
        assert_eq!(
            head.header("content-length"),
            Some(get.body.len().to_string().as_str())
        );
        assert!(!get.body.is_empty() && head.body.is_empty(), "{target}");
    }
}

#[test]
fn other_methods_are_refused_with_what_is_allowed() {
    let relay = Place::new().relay(&[]);
    for method in [
        "POST", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "PROPFIND",
    ] {
        for path in ["/index.html", "/nothing", "/healthz"] {
            let answer = relay.ask(&format!("{method} {path} HTTP/1.1"));
            assert_eq!(answer.status, 405, "{method} {path}");
            let mut allowed: Vec<_> = answer
                .header("allow")
                .expect("Allow")
                .split(',')
                .map(str::trim)
                .collect();
            allowed.sort_unstable();
            assert_eq!(allowed, ["GET", "HEAD"], "{method} {path}");
        }
    }
}

#[test]
fn a_screen_of_the_client_is_its_page_and_everything_else_is_missing() {
    let relay = Place::new().relay(&[]);
    let browser = "Accept: text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8";
    for path in [
        "/",
        "/hitters",
        "/hitters/0190a1b2/check",
        "/hitters/",
        "/count?set=2",
        "/h%C3%A9",
    ] {
        let answer = get_with(&relay, path, browser);
        assert_eq!((answer.status, answer.text()), (200, PAGE), "{path}");
        assert_eq!(
            answer.header("content-type"),
            Some("text/html; charset=utf-8"),
            "{path}"
        );
        assert_eq!(answer.header("cache-control"), Some("no-cache"), "{path}");
    }
    for (path, accept) in [
        ("/hitters/web.js", browser),
        ("/web-0123456789abcdef.js", browser),
        ("/hitters", "Accept: */*"),
        ("/hitters", "Accept: application/json"),
        ("/hitters", "Accept: text/html;q=0, */*"),
        ("/hitters", "X-None: 1"),
    ] {
        let answer = get_with(&relay, path, accept);
        assert_eq!(
            (answer.status, answer.text()),
            (404, "nothing is here\n"),
            "{path} {accept}"
        );
        assert_eq!(
            answer.header("content-type"),
            Some("text/plain; charset=utf-8")
        );
    }
}

#[test]
fn no_path_leads_out_of_the_client() {
    let place = Place::new();
    std::fs::write(place.path("secret"), "not for phones").expect("written");
    std::fs::write(place.path("secret.txt"), "not for phones").expect("written");
    let absolute = place.path("secret.txt");
    let relay = place.relay(&[]);
    let absolute = absolute.to_str().expect("UTF-8");
    for path in [
        "/../secret.txt",
        "/words/../../secret",
        "/%2e%2e/secret",
        "/..%2fsecret",
        "/%2e%2e%2fsecret.txt",
        "/words%2f..%2f..%2fsecret",
        "/..%5csecret",
        "/..\\secret",
        "/%252e%252e%252fsecret.txt",
        "/.%2e/secret",
        "/words/./en.txt",
        "/%00",
        "/index.html%00",
        "/%ff%fe",
        absolute,
        &format!("/{absolute}"),
    ] {
        let answer = get_with(&relay, path, "Accept: text/html");
        assert!(
            matches!(answer.status, 400 | 404),
            "{path}: {}",
            answer.status
        );
        assert!(!answer.text().contains("not for phones"), "{path}");
    }
}

#[test]
fn a_path_is_decoded_before_it_is_looked_up() {
    let place = Place::new();
    place.file("words/frappé au té.txt", b"words");
    let relay = place.relay(&[]);
    let answer = relay.get("/words/frapp%C3%A9%20au%20t%c3%a9.txt?v=2");
    assert_eq!((answer.status, answer.text()), (200, "words"));
    assert_eq!(relay.get("/%77ords/en.txt").status, 200);
}

#[test]
fn one_connection_answers_several_requests() {
    // Kept, as the health check asks the database in its folder.
    let place = Place::new();
    let relay = place.relay(&[]);
    let mut stream = relay.connect();
    let request = "GET /healthz HTTP/1.1\r\nHost: relay.test\r\n\r\n";
    stream
        .write_all(request.repeat(2).as_bytes())
        .expect("sent");
    crate::support::send(&mut stream, "GET /healthz HTTP/1.1");
    let mut all = String::new();
    stream.read_to_string(&mut all).expect("answers");
    assert_eq!(all.matches("HTTP/1.1 200 OK\r\n").count(), 3, "{all}");
    assert!(all.ends_with("\r\n\r\nok"), "{all}");
}
