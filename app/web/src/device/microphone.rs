//! Sound in: blocks from the microphone, each with the time of the audio clock that it
//! begins at. No rules of tempo, and nothing is recorded.

use super::audio::Player;
use js_sys::{Float32Array, Object, Reflect};
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    AudioWorkletNode, MediaStream, MediaStreamAudioSourceNode, MediaStreamConstraints,
    MediaStreamTrack, MessageEvent,
};

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
        // The same stream: its own `clone` would be another one, with tracks of its own that
        // nobody ends.
        let same = Clone::clone(&stream);
        let opened = Self::listen(player, same, heard, ended).await;
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
            // Some phones do not end it for a call: they let it hear nothing.
            track.set_onmute(Some(on_end.as_ref().unchecked_ref()));
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
            let track: MediaStreamTrack = track.unchecked_into();
            track.set_onended(None);
            track.set_onmute(None);
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
