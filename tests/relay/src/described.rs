//! The relay's description of itself, and whether an answer is as it says. The
//! schemas of OpenAPI 3.1 are JSON Schema 2020-12, checked by the crate jsonschema.

use std::collections::HashMap;
use std::sync::{Mutex, OnceLock};

use jsonschema::Validator;
use serde_json::{Value, json};

use crate::client::Answer;

/// The description, as the relay serves it.
pub fn description() -> &'static Value {
    static DESCRIPTION: OnceLock<Value> = OnceLock::new();
    DESCRIPTION.get_or_init(|| serde_json::from_str(relay::api::OPENAPI).expect("JSON"))
}

/// Checks that the answer to `method` on `target` is one that the description has:
/// its status, media type, headers, body, and the code of a refusal.
///
/// # Panics
/// When it is not.
pub fn check(method: &str, target: &str, answer: &Answer) {
    let path = target.split('?').next().unwrap_or_default();
    let all = description();
    let templates = all["paths"].as_object().expect("paths");
    let template = templates.keys().find(|template| fits(template, path));
    let operation = template.map(|template| &all["paths"][template][method.to_lowercase()]);
    let Some(operation) = operation.filter(|operation| operation.is_object()) else {
        if !path.starts_with("/v1/") {
            return;
        }
        let (_, code) = answer.refusal();
        let expected = if template.is_some() {
            "method"
        } else {
            "no-route"
        };
        assert_eq!(
            code, expected,
            "{method} {path} is not described: {answer:?}"
        );
        return body_fits(
            "Problem",
            &json!({"$ref": "#/components/schemas/Problem"}),
            answer,
        );
    };
    let what = format!("{method} {path} answered {}", answer.status);
    let response = &operation["responses"][answer.status.to_string()];
    assert!(
        response.is_object(),
        "{what}, which is not described: {answer:?}"
    );
    let response = resolved(response);
    for (name, _) in response["headers"].as_object().into_iter().flatten() {
        let name = name.to_lowercase();
        assert!(answer.header(&name).is_some(), "{what} without {name}");
    }
    let kind = answer.header("content-type");
    let Some(content) = response["content"].as_object() else {
        assert!(answer.body.is_empty(), "{what} with a body");
        return;
    };
    let schema = kind.and_then(|kind| content.get(kind));
    let schema = schema.unwrap_or_else(|| panic!("{what} as {kind:?}, not one of {content:?}"));
    if answer.status >= 400 && operation["x-problems"].is_array() {
        let (_, code) = answer.refusal();
        let has = |list: &Value| {
            list.as_array()
                .is_some_and(|list| list.contains(&json!(code)))
        };
        let known = has(&operation["x-problems"]) || has(&all["x-problems"]);
        assert!(
            known,
            "{what} with the code {code:?}, which is not described"
        );
    }
    body_fits(&what, &schema["schema"], answer);
}

fn fits(template: &str, path: &str) -> bool {
    let (template, path) = (template.split('/'), path.split('/'));
    template.clone().count() == path.clone().count()
        && template
            .zip(path)
            .all(|(part, given)| part.starts_with('{') || part == given)
}

fn resolved(response: &Value) -> &Value {
    match response["$ref"].as_str() {
        Some(reference) => description()
            .pointer(reference.trim_start_matches('#'))
            .unwrap_or_else(|| panic!("{reference} leads nowhere")),
        None => response,
    }
}

fn body_fits(what: &str, schema: &Value, answer: &Answer) {
    let kind = answer.header("content-type").unwrap_or_default();
    let value = if kind.contains("json") {
        answer.json()
    } else if schema["contentMediaType"] == "application/octet-stream" {
        return;
    } else {
        json!(String::from_utf8_lossy(&answer.body))
    };
    let faults: Vec<String> = with_validator(schema, |validator| {
        validator
            .iter_errors(&value)
            .map(|fault| fault.to_string())
            .collect()
    });
    assert!(faults.is_empty(), "{what}: {faults:?} in {value}");
}

/// Validators are made once: making one takes longer than using it.
fn with_validator<T>(schema: &Value, use_it: impl FnOnce(&Validator) -> T) -> T {
    static MADE: OnceLock<Mutex<HashMap<String, Validator>>> = OnceLock::new();
    let mut made = MADE
        .get_or_init(Mutex::default)
        .lock()
        .unwrap_or_else(|poisoned| poisoned.into_inner());
    let validator = made.entry(schema.to_string()).or_insert_with(|| {
        let whole = json!({
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "allOf": [schema],
            "components": description()["components"],
        });
        jsonschema::validator_for(&whole).expect("a schema")
    });
    use_it(validator)
}
