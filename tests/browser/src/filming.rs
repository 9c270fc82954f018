//! A phone's camera: what another phone's screen shows is filmed, and the browser is
//! started with the film as its camera.

use crate::phone::{Phone, Profile};
use anyhow::{Context, Result, ensure};
use std::fs::File;
use std::io::Write;
use std::path::Path;

/// Width and height of the film.
const SIZE: (usize, usize) = (640, 480);

impl Phone {
    /// A phone whose camera sees what the film shows when it is switched on, and whose
    /// user allows it.
    ///
    /// # Errors
    /// When it does not start.
    pub async fn with_camera(profile: &Profile, film: &Path) -> Result<Self> {
        // The browser looks at its cameras before it is asked for one.
        write_film(film, |_, _| false)?;
        let film = format!("--use-file-for-fake-video-capture={}", film.display());
        let words = [
            "--use-fake-device-for-media-stream",
            "--use-fake-ui-for-media-stream",
            &film,
        ];
        Self::on_with(profile, &words).await
    }

    /// Films the code that this phone's screen shows: not quite black on not quite
    /// white, with a little noise.
    ///
    /// # Errors
    /// When it shows none, or it is too large for the film.
    pub async fn screen_to_film(&self, film: &Path) -> Result<()> {
        self.holds("return document.querySelector('svg.code') !== null")
            .await?;
        let script = "
            const code = document.querySelector('svg.code');
            return [code.viewBox.baseVal.width, code.querySelector('path').getAttribute('d')];";
        let shown = self.script(script, vec![]).await?;
        let side = usize::try_from(shown[0].as_u64().context("no size")?)?;
        let path = shown[1].as_str().context("no modules")?;
        let mut dark = vec![false; side * side];
        for module in path.split('M').skip(1) {
            let (x, rest) = module.split_once(' ').context("no place")?;
            let y = rest.split('h').next().context("no place")?;
            dark[y.parse::<usize>()? * side + x.parse::<usize>()?] = true;
        }
        let module = SIZE.1 / side;
        ensure!(module >= 4, "{side} modules are too many for the film");
        write_film(film, |x, y| {
            let (x, y) = (x / module, y / module);
            x < side && y < side && dark[y * side + x]
        })
    }

    /// The six words that stand under the code.
    ///
    /// # Errors
    /// When there are none.
    pub async fn six_words(&self) -> Result<String> {
        let script = "return document.querySelector('figcaption').innerText";
        let text = self.script(script, vec![]).await?;
        let text = text.as_str().context("no words")?;
        let words = text.split_once(": ").context("no words")?.1;
        Ok(words.trim_end_matches('.').to_owned())
    }
}

/// Writes a film of a second in YUV4MPEG2, grey, that shows one picture.
fn write_film(film: &Path, is_dark: impl Fn(usize, usize) -> bool) -> Result<()> {
    let (width, height) = SIZE;
    let grey = |at: usize| {
        let noise = u8::try_from(at * 7919 % 23).unwrap_or_default();
        let base = if is_dark(at % width, at / width) {
            40
        } else {
            200
        };
        base + noise
    };
    let luma: Vec<u8> = (0..width * height).map(grey).collect();
    let no_colour = vec![128; width * height / 2];
    let mut file = File::create(film)?;
    writeln!(file, "YUV4MPEG2 W{width} H{height} F10:1 Ip A1:1 C420jpeg")?;
    for _ in 0..10 {
        file.write_all(b"FRAME\n")?;
        file.write_all(&luma)?;
        file.write_all(&no_colour)?;
    }
    Ok(())
}
