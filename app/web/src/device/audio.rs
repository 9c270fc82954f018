//! Sound out: tones started at times of the audio clock. No rules of tempo; sound in
//! is `microphone`.

use super::clock::page_now_ms;
use js_sys::{Function, Reflect};
use std::cell::{Cell, RefCell};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{AudioBuffer, AudioContext, GainNode};

/// A tone that begins at full strength and fades.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tone {
    /// Pitch, Hz.
    pub hz: f64,
    /// Until it has faded to nothing, s.
    pub lasts_s: f64,
}

/// The loudspeaker, and its clock.
pub struct Player {
    pub(super) context: AudioContext,
    /// All tones go through it; replaced to silence what is still to come.
    out: RefCell<GainNode>,
    tones: RefCell<Vec<(Tone, AudioBuffer)>>,
    /// Whether the worklet that hands sound on is loaded.
    pub(super) hears: Cell<bool>,
    on_state: RefCell<Option<Closure<dyn Fn()>>>,
}

const NO_SOUND: &str =
    "This browser plays no sound here. The moving light and the taps still work.";

impl Player {
    /// Starts the sound. Browsers allow it only from a touch.
    ///
    /// # Errors
    /// Why not, as a sentence for the user.
    pub async fn on() -> Result<Self, String> {
        Self::open().await.map_err(|_| NO_SOUND.to_owned())
    }

    async fn open() -> Result<Self, JsValue> {
        let context = AudioContext::new()?;
        JsFuture::from(context.resume()?).await?;
        let out = connected_gain(&context)?;
        Ok(Self {
            context,
            out: RefCell::new(out),
            tones: RefCell::default(),
            hears: Cell::new(false),
            on_state: RefCell::new(None),
        })
    }

    /// The audio clock, s.
    #[must_use]
    pub fn now_s(&self) -> f64 {
        self.context.current_time()
    }

    /// Has `tone` begin at `at_s` of the audio clock. It does so on time however
    /// busy the page is then.
    pub fn play_at(&self, tone: Tone, at_s: f64) {
        // Without a buffer there is nothing to hear; the light shows the beat.
        let _ = self.start(tone, at_s);
    }

    fn start(&self, tone: Tone, at_s: f64) -> Result<(), JsValue> {
        let source = self.context.create_buffer_source()?;
        source.set_buffer(Some(&self.buffer(tone)?));
        source.connect_with_audio_node(&self.out.borrow())?;
        source.start_with_when(at_s.max(0.0))
    }

    fn buffer(&self, tone: Tone) -> Result<AudioBuffer, JsValue> {
        let known = self.tones.borrow();
        if let Some((_, buffer)) = known.iter().find(|(known, _)| *known == tone) {
            return Ok(buffer.clone());
        }
        drop(known);
        let rate = self.context.sample_rate();
        let samples = samples(tone, f64::from(rate));
        let buffer = self.context.create_buffer(1, samples.len() as u32, rate)?;
        buffer.copy_to_channel(&samples, 0)?;
        self.tones.borrow_mut().push((tone, buffer.clone()));
        Ok(buffer)
    }

    /// Silences everything that sounds or is still to come.
    pub fn silence(&self) {
        if let Ok(fresh) = connected_gain(&self.context) {
            // It may have been disconnected by the browser already.
            let _ = self.out.replace(fresh).disconnect();
        }
    }

    /// When what is due at `at_s` leaves the phone, in ms since the page was
    /// opened, as far as the browser knows how late its speaker is.
    #[must_use]
    pub fn page_ms(&self, at_s: f64) -> f64 {
        let (context_s, page_ms) = self.played();
        page_ms + (at_s - context_s) * 1e3
    }

    /// The reverse of [`Player::page_ms`].
    #[must_use]
    pub fn audio_s(&self, at_ms: f64) -> f64 {
        let (context_s, page_ms) = self.played();
        context_s + (at_ms - page_ms) / 1e3
    }

    /// A time of the audio clock, and when the speaker plays it.
    fn played(&self) -> (f64, f64) {
        let number = |of: &JsValue, name: &str| {
            let value = Reflect::get(of, &name.into()).unwrap_or_default();
            value.as_f64().unwrap_or(0.0)
        };
        let asked = method(&self.context, "getOutputTimestamp")
            .and_then(|stamp| stamp.call0(&self.context).ok());
        if let Some(stamp) = asked {
            let (context_s, page_ms) = (
                number(&stamp, "contextTime"),
                number(&stamp, "performanceTime"),
            );
            if context_s > 0.0 && page_ms > 0.0 {
                return (context_s, page_ms);
            }
        }
        // Before the first sound, or in a browser that does not tell.
        let late_s = number(&self.context, "baseLatency") + number(&self.context, "outputLatency");
        (self.now_s(), page_now_ms() + late_s * 1e3)
    }

    /// Calls `told` with the browser's word whenever the sound is suspended,
    /// interrupted, closed or runs again.
    pub fn on_state(&self, told: impl Fn(String) + 'static) {
        let context = self.context.clone();
        let listener = Closure::<dyn Fn()>::new(move || told(state(&context)));
        self.context
            .set_onstatechange(Some(listener.as_ref().unchecked_ref()));
        self.on_state.replace(Some(listener));
    }

    /// Whether the clock runs.
    #[must_use]
    pub fn runs(&self) -> bool {
        state(&self.context) == "running"
    }

    /// Has it run again after the browser suspended it.
    pub async fn go_on(&self) -> bool {
        if let Ok(resumed) = self.context.resume() {
            // Refused without a touch: what `runs` says is what holds.
            let _ = JsFuture::from(resumed).await;
        }
        self.runs()
    }
}

impl Drop for Player {
    fn drop(&mut self) {
        self.context.set_onstatechange(None);
        // Closed already: nothing is left to do.
        let _ = self.context.close();
    }
}

/// The browser's own word: newer browsers know one that web-sys does not.
fn state(context: &AudioContext) -> String {
    let state = Reflect::get(context, &"state".into()).unwrap_or_default();
    state.as_string().unwrap_or_default()
}

fn method(of: &JsValue, name: &str) -> Option<Function> {
    Reflect::get(of, &name.into()).ok()?.dyn_into().ok()
}

fn connected_gain(context: &AudioContext) -> Result<GainNode, JsValue> {
    let gain = context.create_gain()?;
    gain.connect_with_audio_node(&context.destination())?;
    Ok(gain)
}

/// The tone as samples. A cosine, so that its first sample is its loudest and
/// nobody has to wait for it.
fn samples(tone: Tone, rate_hz: f64) -> Vec<f32> {
    let n = (tone.lasts_s * rate_hz) as usize;
    (0..n)
        .map(|sample| {
            let through = sample as f64 / n as f64;
            let turn = sample as f64 / rate_hz * tone.hz * core::f64::consts::TAU;
            (0.6 * turn.cos() * (1.0 - through) * (1.0 - through)) as f32
        })
        .collect()
}
