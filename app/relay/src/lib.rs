//! Native static host (later the sync server).
