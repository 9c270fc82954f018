//! Not yet.
fn main() {}
