//! What the phone gives: storage, time, the offline shell. No rules of hitting
//! here, and no views.

pub mod clock;
pub mod database;
mod migrations;
pub mod offline;
pub mod settings;
pub mod storage;
