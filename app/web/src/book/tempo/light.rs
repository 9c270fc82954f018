//! The moving light: what is due now, as the ear hears it.

use super::plan::{Cue, Planned};
use super::run::Tempo;
use crate::device::clock::page_now_ms;
use crate::device::vibration::vibrate;
use crate::parts::live_line;
use leptos::prelude::*;

/// What the light shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    cue: Option<Cue>,
    /// From lift, 0, to contact, 1.
    way: f64,
}

/// Where the light stands, for the view.
#[derive(Clone, Copy)]
pub struct Light(pub RwSignal<Shown>);

impl Light {
    /// Dark.
    pub fn new() -> Self {
        Self(RwSignal::new(Shown {
            cue: None,
            way: 0.0,
        }))
    }
}

/// How long a cue stays after it was due, s.
const STAYS_S: f64 = 0.9;

/// What is shown at `now_s` of the plan.
fn shown(plan: &[Planned], now_s: f64) -> Shown {
    let dues = plan.iter().flat_map(|rep| &rep.dues);
    let last = dues.take_while(|due| due.at_s <= now_s).last();
    let cue = last
        .filter(|due| now_s - due.at_s < STAYS_S)
        .map(|due| due.cue);
    let rep = plan.iter().find(|rep| now_s < rep.ends_s);
    let way = rep.map_or(0.0, |rep| {
        ((now_s - rep.lift_s) / (rep.contact_s - rep.lift_s)).clamp(0.0, 1.0)
    });
    let way = if cue.is_none() { 0.0 } else { way };
    Shown { cue, way }
}

/// Runs the light, and the vibration with it, for as long as the set plays.
pub fn run(tempo: Tempo) {
    let Some(light) = tempo.gear.with_value(|gear| gear.light) else {
        return;
    };
    frame(tempo, light);
}

fn frame(tempo: Tempo, light: Light) {
    request_animation_frame(move || {
        let dark = Shown {
            cue: None,
            way: 0.0,
        };
        if tempo.running.try_with_untracked(Option::is_some) != Some(true) {
            // The page may be gone with its light.
            let _ = light.0.try_set(dark);
            return;
        }
        if let Some((player, running)) = tempo.playing() {
            let heard_s = player.audio_s(page_now_ms() - tempo.delay_ms());
            let now = shown(&running.plan, heard_s - running.start_s);
            let before = light.0.get_untracked();
            if now.cue != before.cue
                && let Some(cue) = now.cue
            {
                shake(cue, &running.plan, heard_s - running.start_s);
            }
            if now != before {
                light.0.set(now);
            }
        }
        frame(tempo, light);
    });
}

/// At lift the whole count at once, so that a busy page does not spoil it.
fn shake(cue: Cue, plan: &[Planned], now_s: f64) {
    const ON_MS: f64 = 60.0;
    match cue {
        Cue::Call | Cue::Feed => {
            vibrate(&[40]);
        }
        Cue::Lift => {
            let Some(rep) = plan.iter().find(|rep| now_s < rep.ends_s) else {
                return;
            };
            let mut pattern = vec![ON_MS as u32];
            let beats = rep.dues.iter().filter(|due| due.at_s > now_s);
            let mut done_s = now_s + ON_MS / 1e3;
            for beat in beats {
                pattern.push(((beat.at_s - done_s) * 1e3).max(0.0) as u32);
                pattern.push(ON_MS as u32);
                done_s = beat.at_s + ON_MS / 1e3;
            }
            vibrate(&pattern);
        }
        Cue::Beat(_) | Cue::Contact => {}
    }
}

/// The light on the page.
pub fn view(light: Light) -> AnyView {
    let cue = Memo::new(move |_| light.0.with(|shown| shown.cue));
    let kind = move || match cue.get() {
        None => "",
        Some(Cue::Call | Cue::Feed) => "call",
        Some(Cue::Lift) => "lift",
        Some(Cue::Beat(_)) => "beat",
        Some(Cue::Contact) => "contact",
    };
    let word = move || cue.get().map_or_else(|| "\u{2013}".to_owned(), Cue::word);
    let place = move || format!("{}%", light.0.with(|shown| shown.way) * 100.0);
    view! {
        <div class="tempo-light" data-cue=kind aria-hidden="true">
            <span class="tempo-word">{word}</span>
            <span class="tempo-rail">
                <span class="tempo-ball" style:left=place></span>
            </span>
        </div>
    }
    .into_any()
}

/// What the page says of counts, for eyes and screen readers.
pub fn said(tempo: Tempo) -> AnyView {
    live_line("tempo-said", move || tempo.said.get())
}
