//! The relay: for now the static host of the built client, over HTTP or TLS.
//!
//! Nothing here knows what a hitter or a rep is, and nothing here may learn it:
//! later this process carries sealed entries and hands them back unread.
//!
//! - [`assets`] reads the built client into memory, [`encoding`] picks a coding,
//!   [`inline`] refuses a page that the content policy would break.
//! - [`authority`] and [`tls`] keep the local certificates, [`network`] knows the
//!   machine's names and addresses.
//! - [`headers`] holds what every answer carries, [`site`] answers requests,
//!   [`serve`] owns sockets, time limits and the stop.

pub mod assets;
pub mod authority;
pub mod encoding;
pub mod error;
pub mod headers;
pub mod inline;
pub mod network;
pub mod serve;
pub mod site;
pub mod tls;

mod private;
mod run;

pub use error::Error;
pub use run::{Config, Relay, TlsChoice};
pub use serve::Limits;
