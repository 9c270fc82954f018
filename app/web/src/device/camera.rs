//! The camera, to read a code off another phone's screen. Pictures are looked at
//! and thrown away; none is kept.

use js_sys::Reflect;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    CanvasRenderingContext2d, HtmlCanvasElement, HtmlVideoElement, MediaStream,
    MediaStreamConstraints, MediaStreamTrack,
};

/// Pictures are made this wide before they are looked at: a code that fills half
/// of it has some five pixels a module.
const WIDTH_PX: u32 = 640;

/// A camera that is on.
pub struct Camera {
    stream: MediaStream,
    video: HtmlVideoElement,
    canvas: HtmlCanvasElement,
    context: CanvasRenderingContext2d,
}

/// Why there is no camera, as a sentence.
const NO_CAMERA: &str = "The camera could not be used. Allow it for this page in the browser, or \
                         carry the notebook as a file.";

impl Camera {
    /// Asks for the camera on the back and shows what it sees in `video`.
    ///
    /// # Errors
    /// Why not, as a sentence for the user.
    pub async fn on(video: HtmlVideoElement) -> Result<Self, String> {
        Self::open(video).await.ok_or_else(|| NO_CAMERA.to_owned())
    }

    async fn open(video: HtmlVideoElement) -> Option<Self> {
        let window = web_sys::window()?;
        let back = js_sys::Object::new();
        Reflect::set(&back, &"facingMode".into(), &"environment".into()).ok()?;
        let wanted = MediaStreamConstraints::new();
        wanted.set_video(&back);
        let asked = window
            .navigator()
            .media_devices()
            .ok()?
            .get_user_media_with_constraints(&wanted)
            .ok()?;
        let stream: MediaStream = JsFuture::from(asked).await.ok()?.unchecked_into();
        video.set_src_object(Some(&stream));
        JsFuture::from(video.play().ok()?).await.ok()?;
        let canvas: HtmlCanvasElement = window
            .document()?
            .create_element("canvas")
            .ok()?
            .unchecked_into();
        let context = canvas.get_context("2d").ok()??.unchecked_into();
        Some(Self {
            stream,
            video,
            canvas,
            context,
        })
    }

    /// What it sees now: width, height and grey values; `None` before the first
    /// picture.
    pub fn picture(&self) -> Option<(u32, u32, Vec<u8>)> {
        let (wide, high) = (self.video.video_width(), self.video.video_height());
        if wide == 0 {
            return None;
        }
        let (width, height) = (WIDTH_PX, WIDTH_PX * high / wide);
        self.canvas.set_width(width);
        self.canvas.set_height(height);
        let (w, h) = (f64::from(width), f64::from(height));
        self.context
            .draw_image_with_html_video_element_and_dw_and_dh(&self.video, 0.0, 0.0, w, h)
            .ok()?;
        let pixels = self.context.get_image_data(0.0, 0.0, w, h).ok()?.data();
        // Luma by ITU-R BT.601, in whole numbers.
        let grey = pixels.chunks_exact(4).map(|pixel| {
            let [r, g, b] = [pixel[0], pixel[1], pixel[2]].map(u32::from);
            ((299 * r + 587 * g + 114 * b) / 1000) as u8
        });
        Some((width, height, grey.collect()))
    }
}

impl Drop for Camera {
    fn drop(&mut self) {
        for track in self.stream.get_tracks() {
            track.unchecked_into::<MediaStreamTrack>().stop();
        }
        self.video.set_src_object(None);
    }
}
