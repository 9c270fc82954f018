//! What the page and the sync worker share: the phone, and the worker itself. The
//! page (main.rs) adds state and screens; the worker (bin/worker.rs) only starts
//! what is in `worker`. No views here.

pub mod device;
pub mod worker;
