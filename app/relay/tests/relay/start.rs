//! What is printed at the start, and what keeps a relay from starting.

use std::fs;
use std::net::TcpListener;

use crate::support::{PAGE, Place, argument, brotli};

const ANY: &str = "127.0.0.1:0";

#[test]
fn the_ready_line_names_the_address_that_answers() {
    let relay = Place::new().relay(&[]);
    let url = format!("stridebook relay ready at http://{}", relay.address);
    assert_eq!(relay.announced, [url]);
    assert_ne!(relay.address.port(), 0);
    assert_eq!(relay.get("/").status, 200);
}

#[test]
fn the_port_file_holds_the_port_while_the_relay_runs() {
    let place = Place::new();
    let file = place.path("port");
    fs::write(&file, "of an earlier run").expect("written");
    let mut relay = place.relay(&["--port-file", argument(&file)]);
    let port = fs::read_to_string(&file).expect("the port file");
    assert_eq!(port, format!("{}\n", relay.address.port()));
    relay.signal("TERM");
    assert!(relay.ended().0.success());
    assert!(!file.exists());

    fs::write(&file, "of an earlier run").expect("written");
    fs::remove_file(place.dist().join("index.html")).expect("removed");
    place.refusal(ANY, &["--port-file", argument(&file)]);
    assert!(
        !file.exists(),
        "no one is to wait for a relay of an earlier run"
    );
}

#[test]
fn on_all_addresses_each_one_of_the_network_is_named() {
    let relay = Place::new().relay_at("0.0.0.0:0", &[]);
    let port = relay.address.port();
    let mut expected: Vec<String> = relay::network::lan_addresses()
        .expect("addresses")
        .into_iter()
        .filter(std::net::IpAddr::is_ipv4)
        .map(|ip| format!("on this network: http://{ip}:{port}"))
        .collect();
    expected.push(format!("stridebook relay ready at http://127.0.0.1:{port}"));
    assert_eq!(relay.announced, expected);
    relay.await_log("without --tls");
}

#[test]
fn a_folder_that_is_no_built_client_is_named() {
    let place = Place::empty();
    let told = place.refusal(ANY, &[]);
    assert!(
        told.contains("--dist") && told.contains("no index.html"),
        "{told}"
    );
    fs::remove_dir(place.dist()).expect("removed");
    let told = place.refusal(ANY, &[]);
    assert!(
        told.contains("--dist") && told.contains("there is no such folder"),
        "{told}"
    );
}

#[test]
fn a_page_with_an_inline_script_is_refused() {
    let place = Place::new();
    place.file(
        "index.html",
        b"<!doctype html>\n<script type=module>\nimport('/web.js')</script>\n",
    );
    let told = place.refusal(ANY, &[]);
    assert!(
        told.contains("index.html line 2 holds an inline <script>"),
        "{told}"
    );
    place.file("index.html", PAGE.as_bytes());
    place.file("help/tee.html", b"<script>1</script>");
    let told = place.refusal(ANY, &[]);
    assert!(
        told.contains("help/tee.html line 1 holds an inline <script>"),
        "{told}"
    );
}

#[test]
fn a_compressed_form_of_another_build_is_refused() {
    for (name, packed) in [
        ("index.html.br", brotli(b"<!doctype html>older")),
        (
            "index.html.br",
            brotli(format!("{PAGE} and more").as_bytes()),
        ),
        ("index.html.gz", b"no gzip at all".to_vec()),
        ("index.html.gz", Vec::new()),
    ] {
        let place = Place::new();
        place.file(name, &packed);
        let told = place.refusal(ANY, &[]);
        assert!(
            told.contains(&format!("{name} does not unpack to index.html")),
            "{told}"
        );
    }
}

#[test]
fn a_client_too_large_for_memory_is_refused() {
    let place = Place::new();
    let file = fs::File::create(place.dist().join("video.mp4")).expect("made");
    file.set_len(relay::assets::MAX_DIST_MIB << 20)
        .expect("sized");
    let told = place.refusal(ANY, &[]);
    assert!(
        told.contains("--dist") && told.contains("more than 64 MiB"),
        "{told}"
    );
}

#[cfg(unix)]
#[test]
fn a_link_in_the_client_is_refused_wherever_it_leads() {
    let place = Place::new();
    std::os::unix::fs::symlink("/", place.dist().join("root")).expect("linked");
    let told = place.refusal(ANY, &[]);
    assert!(told.contains("root is not a plain file"), "{told}");
}

#[test]
fn a_port_in_use_is_named() {
    let taken = TcpListener::bind(ANY).expect("a port");
    let address = taken.local_addr().expect("an address").to_string();
    let told = Place::new().refusal(&address, &[]);
    assert!(
        told.contains(&format!(
            "--listen {address}: another process listens there"
        )),
        "{told}"
    );
}

#[test]
fn an_address_of_another_machine_or_none_is_named() {
    let told = Place::new().refusal("198.51.100.7:0", &[]);
    assert!(
        told.contains("--listen 198.51.100.7:0: cannot listen there: "),
        "{told}"
    );
    let told = Place::new().refusal("here", &[]);
    assert!(told.contains("'here' for '--listen <IP:PORT>'"), "{told}");
}

#[test]
fn certificate_files_that_cannot_serve_are_named() {
    let place = Place::new();
    let pair = |name: &str| {
        let made = rcgen::generate_simple_self_signed(vec![name.to_owned()]).expect("made");
        let paths = (
            place.path(&format!("{name}.pem")),
            place.path(&format!("{name}.key")),
        );
        fs::write(&paths.0, made.cert.pem()).expect("written");
        fs::write(&paths.1, made.signing_key.serialize_pem()).expect("written");
        paths
    };
    let (one, other) = (pair("one"), pair("other"));
    let refusal = |cert, key| {
        place.refusal(
            ANY,
            &["--tls", "--cert", argument(cert), "--key", argument(key)],
        )
    };
    let missing = place.path("missing.pem");

    let told = refusal(&missing, &one.1);
    assert!(
        told.contains("--cert ") && told.contains("missing.pem: cannot be read: "),
        "{told}"
    );
    let told = refusal(&one.0, &missing);
    assert!(
        told.contains("--key ") && told.contains("missing.pem: cannot be read: "),
        "{told}"
    );
    let told = refusal(&one.1, &one.1);
    assert!(
        told.contains("--cert ") && told.contains("holds no certificate in PEM form"),
        "{told}"
    );
    let told = refusal(&one.0, &one.0);
    assert!(
        told.contains("--key ") && told.contains("holds no private key in PEM form"),
        "{told}"
    );
    let told = refusal(&one.0, &other.1);
    assert!(told.contains("cannot be used together"), "{told}");
    let told = place.refusal(ANY, &["--cert", argument(&one.0)]);
    assert!(told.contains("--key <FILE>"), "{told}");
}

#[test]
fn a_data_folder_that_cannot_be_used_is_named() {
    let place = Place::new();
    fs::write(place.path("data"), "a file").expect("written");
    let told = place.refusal(ANY, &["--tls"]);
    assert!(
        told.contains("--data: ") && told.contains("cannot be used: "),
        "{told}"
    );
}

#[test]
fn a_port_file_that_cannot_be_written_is_named() {
    let place = Place::new();
    let told = place.refusal(ANY, &["--port-file", argument(&place.path("none/port"))]);
    assert!(
        told.contains("--port-file ") && told.contains("cannot be written: "),
        "{told}"
    );
}
