//! The description of the interface, and what holds for all of it.

use std::collections::BTreeSet;

use relay_tests::described::description;
use relay_tests::phone::send;
use relay_tests::{Phone, Relay, Store};
use serde_json::Value;

fn described() -> BTreeSet<(String, String)> {
    let paths = description()["paths"].as_object().expect("paths");
    let methods = |path: &Value| -> Vec<String> {
        let names = path.as_object().expect("operations").keys();
        names
            .filter(|name| *name != "parameters")
            .map(|name| name.to_uppercase())
            .collect()
    };
    paths
        .iter()
        .flat_map(|(path, operations)| {
            methods(operations)
                .into_iter()
                .map(|method| (method, path.clone()))
        })
        .collect()
}

#[test]
fn every_route_is_described_and_every_described_one_is_there() {
    let routes: BTreeSet<(String, String)> = relay::api::routes::routes()
        .map(|(method, path)| (method.to_owned(), path.to_owned()))
        .collect();
    assert_eq!(routes, described());
    let store = Store::sqlite();
    let relay = Relay::start(&store, &[]);
    let mut client = relay.client();
    let paths: BTreeSet<&String> = routes.iter().map(|(_, path)| path).collect();
    for path in paths {
        let target = path
            .replace("{notebook}", &"0".repeat(64))
            .replace("{hash}", &"0".repeat(64))
            .replace("{mailbox}", &"0".repeat(32));
        for method in ["GET", "PUT", "POST", "DELETE", "PATCH"] {
            // Each answer is checked against the description by the client.
            let answer = send(&mut client, method, &target, b"");
            if routes.contains(&(method.to_owned(), path.clone())) {
                assert!(answer.status != 405, "{method} {path}: {answer:?}");
            } else if path.starts_with("/v1/") {
                assert_eq!(answer.refusal(), (405, "method".into()), "{method} {path}");
                let allow = answer.header("allow").expect("Allow");
                let has = |method: &str| routes.contains(&(method.to_owned(), path.clone()));
                for named in allow.split(", ").filter(|named| *named != "HEAD") {
                    assert!(has(named), "{path} allows {allow}");
                }
            }
        }
    }
    let answer = send(&mut client, "GET", "/v1/nothing/here", b"");
    assert_eq!(answer.refusal(), (404, "no-route".into()));
}

#[test]
fn the_description_is_served_and_names_every_code() {
    let store = Store::sqlite();
    let relay = Relay::start(&store, &[]);
    let answer = send(&mut relay.client(), "GET", "/v1/openapi.json", b"");
    assert_eq!(&answer.json(), description());
    let own = relay::refusal::OWN.iter().map(|(code, ..)| *code);
    let codes: BTreeSet<&str> = notebook::sync::problem::Problem::ALL
        .iter()
        .map(|problem| problem.code())
        .chain(own)
        .collect();
    let named =
        description()["components"]["schemas"]["Problem"]["properties"]["code"]["enum"].as_array();
    let named: BTreeSet<&str> = named
        .expect("codes")
        .iter()
        .filter_map(Value::as_str)
        .collect();
    assert_eq!(codes, named);
}

#[test]
fn answers_of_the_sync_part_are_kept_to_this_server_too() {
    let store = Store::sqlite();
    let relay = Relay::start(&store, &[]);
    let mut client = relay.client();
    let coach = Phone::founder(1);
    for (method, target) in [
        ("POST", "/v1/notebooks".to_owned()),
        ("GET", coach.path("membership")),
        ("OPTIONS", "/v1/notebooks".to_owned()),
        ("GET", "/v1/nothing".to_owned()),
    ] {
        let answer = send(&mut client, method, &target, &coach.log[0][..0]);
        let policy = answer.header("content-security-policy").expect("a policy");
        assert!(policy.starts_with("default-src 'none';"), "{policy}");
        assert_eq!(answer.header("access-control-allow-origin"), None);
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("x-request-id").expect("an id").len(), 32);
        assert!(answer.header("cache-control").is_some());
    }
}
