//! The relay: the static host of the built client, and the server that carries
//! sealed entries between phones, over HTTP or TLS.
//!
//! Nothing here knows what a hitter or a rep is, and nothing here may learn it: the
//! relay checks who wrote a sealed entry, keeps it, and hands it back unread.
//!
//! - [`assets`] reads the built client into memory, [`encoding`] picks a coding,
//!   [`inline`] refuses a page that the content policy would break.
//! - [`authority`] and [`tls`] keep the local certificates, [`network`] knows the
//!   machine's names and addresses.
//! - [`headers`] holds what every answer carries, [`site`] answers requests,
//!   [`serve`] owns sockets, time limits and the stop.
//! - [`api`] answers what is under `/v1`, [`refusal`] says why not; [`store`] keeps
//!   entries in SQLite or PostgreSQL. [`rates`] and [`metrics`] count, [`waiting`]
//!   knows who waits for news.
//! - [`commands`] is the command line.

pub mod api;
pub mod assets;
pub mod authority;
pub mod commands;
pub mod encoding;
pub mod error;
pub mod headers;
pub mod hex;
pub mod inline;
pub mod metrics;
pub mod network;
pub mod rates;
pub mod refusal;
pub mod serve;
pub mod site;
pub mod store;
pub mod tls;
pub mod waiting;

mod private;
mod run;

pub use error::Error;
pub use run::{Config, Relay, TlsChoice};
pub use serve::Limits;
