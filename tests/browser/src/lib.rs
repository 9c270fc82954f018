//! Support for the browser tests.
