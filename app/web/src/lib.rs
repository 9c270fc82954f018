//! What the two pages and the sync worker share: the phone, the desk with every
//! write, the widgets, and the worker itself. The first page (main.rs) adds the
//! screens of the cage, the book (bin/book.rs) the pages for roster, checks, cards,
//! sessions and tempo; each binary holds only what it calls. No screens here.

pub mod device;
pub mod parts;
pub mod state;
pub mod words;
pub mod worker;
