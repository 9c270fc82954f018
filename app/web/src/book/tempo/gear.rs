//! What of the phone the page holds while it is open.

use crate::device::audio::Player;
use crate::device::awake::Awake;
use crate::device::microphone::Microphone;
use crate::device::motion::Motion;
use std::rc::Rc;

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
    pub awake: Option<Awake>,
    /// The moving light.
    pub light: Option<super::light::Light>,
    /// What was heard since the set began to play, ms of the page.
    pub heard_ms: Vec<f64>,
}
