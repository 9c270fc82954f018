//! What the tests of the relay stand on: the relay as a real process, a real
//! PostgreSQL, a client that speaks HTTP by hand and holds every answer against the
//! relay's own description, and phones with real keys.

pub mod binary;
pub mod client;
pub mod described;
pub mod phone;
pub mod postgres;
pub mod process;
pub mod store;

pub use client::{Answer, Client};
pub use phone::Phone;
pub use process::Relay;
pub use store::Store;
