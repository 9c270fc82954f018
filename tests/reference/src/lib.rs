//! Support for the reference tests.
