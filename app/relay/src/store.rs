//! What the relay keeps: sealed entries by notebook, and what it needs to know
//! whose they are. SQLite or PostgreSQL by the same queries; nothing here opens an
//! entry, and nothing here speaks HTTP.
//!
//! - [`connect`] opens a database and brings its tables up to date ([`schema`]).
//! - [`writer`] puts concurrent changes into common transactions; [`change`] says
//!   what a change is, and `append`, `members`, `snapshot`, `compact` and `mailbox` make them.
//! - [`look`] reads, [`memberships`] keeps checked membership logs at hand.
//! - [`backup`] and [`admin`] serve the command line.

pub mod admin;
pub mod backup;
pub mod change;
pub mod connect;
pub mod look;
pub mod memberships;
pub mod schema;
pub mod writer;

mod append;
mod compact;
mod mailbox;
mod members;
mod snapshot;
