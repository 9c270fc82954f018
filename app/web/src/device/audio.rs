//! Sound out and sound in, on one clock: tones started at times of the audio
//! clock, and blocks from the microphone with the time each begins at. No rules
//! of tempo, and nothing is recorded.

use super::clock::page_now_ms;
use js_sys::{Float32Array, Function, Object, Reflect};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    AudioBuffer, AudioContext, AudioWorkletNode, GainNode, MediaStream, MediaStreamAudioSourceNode,
    MediaStreamConstraints, MediaStreamTrack, MessageEvent,
};

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
    context: AudioContext,
    /// All tones go through it; replaced to silence what is still to come.
    out: RefCell<GainNode>,
    tones: RefCell<Vec<(Tone, AudioBuffer)>>,
    hears: Cell<bool>,
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

/// A block of samples from the microphone.
pub struct Block<'a> {
    /// When it begins, audio clock, s.
    pub at_s: f64,
    /// How many samples a second.
    pub rate_hz: f64,
    /// The samples, one channel.
    pub samples: &'a [f32],
}

/// Why there is no microphone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoMicrophone {
    /// The user, or the phone's settings, said no.
    Refused,
    /// There is none.
    Missing,
    /// Anything else, as when another app holds it.
    Failed,
}

impl NoMicrophone {
    /// As a sentence for the user.
    #[must_use]
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::Refused => {
                "The microphone was refused, so nothing listens. Counting by two taps goes on. \
                 To allow it later: the browser's settings for this page."
            }
            Self::Missing => {
                "This phone gives no microphone to the page. Counting by two taps goes on."
            }
            Self::Failed => {
                "The microphone could not be used; perhaps another app holds it. Counting by two \
                 taps goes on."
            }
        }
    }
}

/// A microphone that is on.
pub struct Microphone {
    stream: MediaStream,
    source: MediaStreamAudioSourceNode,
    node: AudioWorkletNode,
    /// Sound is this much older than the frame it arrives in, as the browser
    /// tells, s; zero when it does not.
    pub late_s: f64,
    _on_block: Closure<dyn Fn(MessageEvent)>,
    _on_end: Closure<dyn Fn()>,
}

impl Microphone {
    /// Asks for the microphone and hands on what it hears, until it is dropped.
    /// `ended` is called when the phone takes it away, as for a call.
    ///
    /// # Errors
    /// Why there is none.
    pub async fn on(
        player: &Player,
        heard: Rc<dyn Fn(Block)>,
        ended: Rc<dyn Fn()>,
    ) -> Result<Self, NoMicrophone> {
        let stream = ask().await.map_err(|error| reason(&error))?;
        let opened = Self::listen(player, stream.clone(), heard, ended).await;
        opened.map_err(|_| {
            stop(&stream);
            NoMicrophone::Failed
        })
    }

    async fn listen(
        player: &Player,
        stream: MediaStream,
        heard: Rc<dyn Fn(Block)>,
        ended: Rc<dyn Fn()>,
    ) -> Result<Self, JsValue> {
        let context = &player.context;
        if !player.hears.get() {
            JsFuture::from(context.audio_worklet()?.add_module("/hear.js")?).await?;
            player.hears.set(true);
        }
        let source = context.create_media_stream_source(&stream)?;
        let node = AudioWorkletNode::new(context, "hear")?;
        let rate_hz = f64::from(context.sample_rate());
        let on_block = Closure::<dyn Fn(MessageEvent)>::new(move |event: MessageEvent| {
            let part = |name: &str| Reflect::get(&event.data(), &name.into()).unwrap_or_default();
            let samples = Float32Array::from(part("samples")).to_vec();
            heard(Block {
                at_s: part("frame").as_f64().unwrap_or(0.0) / rate_hz,
                rate_hz,
                samples: &samples,
            });
        });
        node.port()?
            .set_onmessage(Some(on_block.as_ref().unchecked_ref()));
        source.connect_with_audio_node(&node)?;
        let on_end = Closure::<dyn Fn()>::new(move || ended());
        let mut late_s = 0.0;
        for track in stream.get_tracks() {
            let track: MediaStreamTrack = track.unchecked_into();
            track.set_onended(Some(on_end.as_ref().unchecked_ref()));
            let told = Reflect::get(&track.get_settings(), &"latency".into()).unwrap_or_default();
            late_s = told.as_f64().unwrap_or(0.0);
        }
        Ok(Self {
            stream,
            source,
            node,
            late_s,
            _on_block: on_block,
            _on_end: on_end,
        })
    }
}

impl Drop for Microphone {
    fn drop(&mut self) {
        // What the browser took away already needs no taking away.
        let _ = self.source.disconnect();
        if let Ok(port) = self.node.port() {
            port.set_onmessage(None);
            port.close();
        }
        for track in self.stream.get_tracks() {
            track.unchecked_into::<MediaStreamTrack>().set_onended(None);
        }
        stop(&self.stream);
    }
}

fn stop(stream: &MediaStream) {
    for track in stream.get_tracks() {
        track.unchecked_into::<MediaStreamTrack>().stop();
    }
}

/// The sound as it is: what a phone does to speech would bend a click.
async fn ask() -> Result<MediaStream, JsValue> {
    let wanted = Object::new();
    for name in ["echoCancellation", "noiseSuppression", "autoGainControl"] {
        Reflect::set(&wanted, &name.into(), &false.into())?;
    }
    Reflect::set(&wanted, &"channelCount".into(), &1.into())?;
    let constraints = MediaStreamConstraints::new();
    constraints.set_audio(&wanted);
    let window = web_sys::window().ok_or(JsValue::NULL)?;
    let devices = window.navigator().media_devices()?;
    let asked = devices.get_user_media_with_constraints(&constraints)?;
    Ok(JsFuture::from(asked).await?.unchecked_into())
}

fn reason(error: &JsValue) -> NoMicrophone {
    let name = Reflect::get(error, &"name".into()).unwrap_or_default();
    match name.as_string().as_deref() {
        Some("NotAllowedError" | "SecurityError") => NoMicrophone::Refused,
        Some("NotFoundError" | "OverconstrainedError") => NoMicrophone::Missing,
        _ => NoMicrophone::Failed,
    }
}
