//! The relay as a real process over real sockets. `support` starts it and speaks
//! HTTP by hand, so that nothing between hides what is on the wire.

mod support;

mod files;
mod headers;
mod limits;
mod start;
mod stop;
mod tls;
