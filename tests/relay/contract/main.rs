//! Everything that phone and relay say to each other, on SQLite and on PostgreSQL.
//! Each answer is also held against the relay's own OpenAPI description.

mod batches;
mod founding;
mod interface;
mod limits;
mod mailboxes;
mod reading;
mod runs;
mod snapshots;
mod together;
mod two_relays;
