//! Support for the devices tests.
