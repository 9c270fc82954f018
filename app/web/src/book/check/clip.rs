//! A clip, frame by frame, with marks for lift, foot down and contact: the count that
//! they give. The frame shown is told by the browser, where it can tell.

use super::Page;
use super::attached::{SendFile, file_inputs};
use crate::device::clip::{address_of, forget_address, seek};
use crate::parts::{act, act_spoken, group, line, live, live_line, selection};
use crate::words::fixed;
use coaching::tempo::TempoError;
use coaching::tempo::stepping::{Clip, Intervals, Marks};
use leptos::html::Video;
use leptos::prelude::*;
use std::sync::Arc;

/// Frames a second of a file.
const RATES: [(&str, &str, f64); 4] = [
    ("30", "30", 30.0),
    ("60", "60", 60.0),
    ("120", "120", 120.0),
    ("240", "240", 240.0),
];

/// How many times slower than life a file plays.
const SLOWED: [(&str, &str, f64); 4] = [
    ("1", "At real speed", 1.0),
    ("2", "Slowed 2 times", 2.0),
    ("4", "Slowed 4 times", 4.0),
    ("8", "Slowed 8 times", 8.0),
];

/// How fast "Play slowly" plays.
const SLOWLY: f64 = 0.25;

/// What can be marked, in the order of the swing.
const MARKS: [&str; 3] = ["Lift", "Foot down", "Contact"];

/// Opens a clip without keeping it.
pub fn open() -> AnyView {
    let page = expect_context::<Page>();
    let opened = Callback::new(move |file: SendFile| {
        let file = file.get();
        if file.type_().starts_with("video/") {
            page.clip.set(Some(file.into()));
        } else {
            page.desk
                .notes
                .fail("Clip: this file is no clip. Nothing was opened.", None);
        }
    });
    group(vec![
        line(
            "line",
            "Opened here, a clip is not kept. To keep it, add it to an item.",
        ),
        file_inputs(opened),
    ])
}

/// One clip being stepped through.
#[derive(Clone, Copy)]
struct Stepping {
    video: NodeRef<Video>,
    /// Frames a second of the file.
    rate: RwSignal<&'static str>,
    slowed: RwSignal<&'static str>,
    /// The time in the file of the frame shown, seconds.
    frame_s: RwSignal<f64>,
    playing: RwSignal<bool>,
    /// The marks, as times in the file.
    marks: RwSignal<[Option<f64>; 3]>,
}

/// To the microsecond, as counts by taps are.
fn rounded_s(seconds: f64) -> f64 {
    (seconds * 1e6).round() / 1e6
}

fn value_of(list: &[(&str, &str, f64)], id: &str) -> f64 {
    list.iter()
        .find(|known| known.0 == id)
        .map_or(1.0, |known| known.2)
}

impl Stepping {
    fn rate(self) -> f64 {
        value_of(&RATES, self.rate.get())
    }

    fn slowed(self) -> f64 {
        value_of(&SLOWED, self.slowed.get())
    }

    /// Goes so many frames on (or back), and shows that frame from its middle: at
    /// its very edge a browser may show the one before.
    fn step(self, frames: f64) {
        let Some(video) = self.video.get_untracked() else {
            return;
        };
        if video.pause().is_err() {
            return;
        }
        let rate = untrack(|| self.rate());
        let now = (video.current_time() * rate + 1e-6).floor();
        let mut to = (now + frames).max(0.0);
        let last_s = video.duration();
        if last_s.is_finite() {
            to = to.min((last_s * rate - 0.5).floor().max(0.0));
        }
        let shown = self.frame_s;
        let tells = seek(&video, (to + 0.5) / rate, move |frame_s| {
            // The page may have been left meanwhile.
            shown.try_set(frame_s);
        });
        if !tells {
            self.frame_s.set(to / rate);
        }
    }

    /// Plays at a part of its speed, or pauses on the frame then shown.
    fn play(self, speed: f64) {
        let Some(video) = self.video.get_untracked() else {
            return;
        };
        if self.playing.get_untracked() {
            self.step(0.0);
        } else {
            video.set_playback_rate(speed);
            // A promise that is refused leaves the clip paused, as is seen.
            let _ = video.play();
        }
    }

    /// What the marks give, once lift and contact are marked.
    fn intervals(self) -> Option<Result<Intervals, TempoError>> {
        let [lift_s, foot_down_s, contact_s] = self.marks.get();
        let marks = Marks {
            lift_s: lift_s?,
            foot_down_s,
            contact_s: contact_s?,
        };
        let slowed = self.slowed();
        // What a file tells is its own rate: what the camera took is as many times
        // more as it plays slower.
        let clip = Clip {
            frames_a_second: self.rate() * slowed,
            slowed,
        };
        Some(clip.intervals(marks))
    }

    fn sentence(self) -> String {
        match self.intervals() {
            None => "Mark lift and contact to get the count.".to_owned(),
            Some(Err(error)) => error.to_string(),
            Some(Ok(intervals)) => intervals.sentence(),
        }
    }
}

/// The clip that is open.
pub fn stepping() -> AnyView {
    let page = expect_context::<Page>();
    let address = page
        .clip
        .with_untracked(|clip| clip.as_ref().and_then(address_of));
    let Some(address) = address else {
        return line("refusal", "This clip cannot be read.");
    };
    let shown = address.clone();
    on_cleanup(move || forget_address(&address));
    let clip = Stepping {
        video: NodeRef::new(),
        rate: RwSignal::new("30"),
        slowed: RwSignal::new("1"),
        frame_s: RwSignal::new(0.0),
        playing: RwSignal::new(false),
        marks: RwSignal::new([None; 3]),
    };
    let failed = RwSignal::new(false);
    let at = move || {
        let frame = (clip.frame_s.get() * clip.rate()).round();
        format!(
            "Frame {}, {} s of the file.",
            fixed(frame, 0),
            fixed(clip.frame_s.get(), 3)
        )
    };
    let close = Callback::new(move |()| page.clip.set(None));
    view! {
        <section class="stepping" aria-label="Clip, frame by frame">
            <video
                node_ref=clip.video
                src=shown
                playsinline
                preload="auto"
                prop:muted=true
                aria-label="Clip"
                on:loadeddata=move |_| clip.step(0.0)
                on:error=move |_| failed.set(true)
                on:play=move |_| clip.playing.set(true)
                on:pause=move |_| clip.playing.set(false)
            ></video>
            {live(move || {
                if failed.get() {
                    line("refusal", "This phone's browser cannot play this clip.")
                } else {
                    group(Vec::new())
                }
            })} {live_line("line", at)} {steps(clip)} {marks(clip)}
            {live_line("finding", move || clip.sentence())} {keep(page, clip)} {speeds(clip)}
            {act("Close the clip", "wide", close)}
        </section>
    }
    .into_any()
}

fn steps(clip: Stepping) -> AnyView {
    let step = |label: &'static str, spoken: &'static str, frames: f64| {
        act_spoken(
            Signal::stored(label.to_owned()),
            Signal::stored(spoken.to_owned()),
            "",
            None,
            Callback::new(move |()| clip.step(frames)),
        )
    };
    let slow = Signal::derive(move || {
        let word = if clip.playing.get() {
            "Pause"
        } else {
            "Play at ¼ speed"
        };
        word.to_owned()
    });
    view! {
        <div class="steps">
            {step("−10", "Back 10 frames", -10.0)} {step("−1", "Back 1 frame", -1.0)}
            {step("+1", "Forward 1 frame", 1.0)} {step("+10", "Forward 10 frames", 10.0)}
        </div>
        {act_spoken(slow, slow, "wide", None, Callback::new(move |()| clip.play(SLOWLY)))}
    }
    .into_any()
}

/// A button a mark: a touch marks the frame shown; where nothing is marked yet, the
/// button says so.
fn marks(clip: Stepping) -> AnyView {
    let one = |(place, name): (usize, &'static str)| {
        let label = Signal::derive(move || {
            let marked = clip.marks.get()[place];
            match marked {
                Some(at_s) => format!("{name} {} s", fixed(at_s, 3)),
                None => format!("Mark {}", name_within(name)),
            }
        });
        let spoken = Signal::derive(move || {
            let within = name_within(name);
            match clip.marks.get()[place] {
                Some(at_s) => format!(
                    "{name} marked at {} s. Mark {within} here instead",
                    fixed(at_s, 3)
                ),
                None => format!("Mark {within}"),
            }
        });
        let mark = Callback::new(move |()| {
            if clip.playing.get_untracked() {
                clip.step(0.0);
                return;
            }
            let now_s = clip.frame_s.get_untracked();
            clip.marks.update(|marks| marks[place] = Some(now_s));
        });
        act_spoken(label, spoken, "", None, mark)
    };
    let buttons: Vec<AnyView> = MARKS.into_iter().enumerate().map(one).collect();
    view! { <div class="steps">{buttons}</div> }.into_any()
}

fn name_within(name: &str) -> &'static str {
    match name {
        "Lift" => "lift",
        "Foot down" => "foot down",
        _ => "contact",
    }
}

fn keep(page: Page, clip: Stepping) -> AnyView {
    live(move || {
        let Some(Ok(intervals)) = clip.intervals() else {
            return group(Vec::new());
        };
        let keep = Callback::new(move |()| {
            let count = intervals.count;
            let foot_down = intervals.foot_down_to_contact;
            page.desk.keep_clip_count(
                rounded_s(count.seconds),
                foot_down.map(|foot| rounded_s(foot.seconds)),
                count.within.high_s - count.seconds,
            );
        });
        let forget = Callback::new(move |()| {
            let before = clip.marks.get_untracked();
            clip.marks.set([None; 3]);
            let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                clip.marks.try_set(before);
            });
            page.desk
                .notes
                .say("The marks are cleared.", Some(("Undo", undo)));
        });
        group(vec![
            act("Keep this count", "main-act", keep),
            act("Clear the marks", "quiet", forget),
        ])
    })
}

fn speeds(clip: Stepping) -> AnyView {
    let options = |list: &[(&str, &str, f64)]| {
        let owned = list
            .iter()
            .map(|known| (known.0.to_owned(), known.1.to_owned()));
        Signal::stored(owned.collect::<Vec<_>>())
    };
    let id_of = |list: &[(&'static str, &'static str, f64)], id: &str| {
        list.iter().find(|known| known.0 == id).map(|known| known.0)
    };
    group(vec![
        selection(
            "Frames a second of the file",
            false,
            options(&RATES),
            Signal::derive(move || clip.rate.get().to_owned()),
            Callback::new(move |id: String| {
                if let Some(id) = id_of(&RATES, &id) {
                    clip.rate.set(id);
                }
            }),
        ),
        selection(
            "The file plays",
            false,
            options(&SLOWED),
            Signal::derive(move || clip.slowed.get().to_owned()),
            Callback::new(move |id: String| {
                if let Some(id) = id_of(&SLOWED, &id) {
                    clip.slowed.set(id);
                }
            }),
        ),
        line(
            "line",
            "Assumed until you say otherwise: a file does not tell its frames. A slow-motion clip may play slowed: then say how many times, or the count is wrong.",
        ),
    ])
}
