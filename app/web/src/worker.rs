//! The sync worker.

/// Starts.
pub fn start() {}
