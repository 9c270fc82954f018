//! The sync worker's binary: starts it, and nothing else.

fn main() {
    web::worker::start();
}
