//! What of the phone the page holds while it is open.

use crate::device::audio::{Microphone, Player};
use crate::device::motion::Motion;
use crate::device::wake_lock::WakeLock;
use std::rc::Rc;

/// A contact that was heard or sensed: a lift of its own if any, contact, ms of
/// the page, and how far it is to be trusted.
pub type Contact = (Option<f64>, f64, Option<&'static str>);

/// Sound, ears, sensors, screen.
#[derive(Default)]
pub struct Gear {
    /// The loudspeaker and its clock.
    pub player: Option<Rc<Player>>,
    /// The microphone, while it listens.
    pub microphone: Option<Microphone>,
    /// The sensors, while they sense.
    pub motion: Option<Motion>,
    /// The screen kept on.
    pub wake_lock: Option<WakeLock>,
    /// The moving light.
    pub light: Option<super::light::Light>,
    /// What was heard or sensed since the set began to play.
    pub contacts: Vec<Contact>,
}
