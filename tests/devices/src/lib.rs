//! Simulated phones and a simulated relay, for tests of merge, log, exchange
//! and sealing. The phones run the real `notebook` crate; only storage and
//! network are simulated, and these fail in every way that is asked of them.

pub mod chance;
pub mod club_of_three;
pub mod copies;
pub mod history;
pub mod phone;
pub mod relay;
pub mod samples;
pub mod store;
pub mod time;
