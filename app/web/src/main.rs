//! Leptos client.
fn main() {}
