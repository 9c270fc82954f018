//! What the phone gives: storage, time, the offline shell, the sync worker. No rules of hitting
//! here, and no views.

pub mod attachments;
pub mod audio;
pub mod awake;
pub mod camera;
pub mod clip;
pub mod clock;
pub mod database;
pub mod files;
pub mod idb;
pub mod log;
pub mod microphone;
mod migrations;
pub mod motion;
pub mod offline;
pub mod page;
pub mod recent;
pub mod settings;
pub mod storage;
pub mod subject;
pub mod sync;
pub mod sync_messages;
pub mod vibration;
