//! The moving light: what is due now, as the ear hears it.

use super::cues;
use super::run::{Running, Tempo};
use crate::device::clock::page_now_ms;
use crate::device::vibration::vibrate;
use crate::parts::live_line;
use coaching::tempo::beats::{Cue, Kind, Mode, RepTimes};
use leptos::prelude::*;

/// What the light shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    kind: Option<(u16, Kind)>,
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
            kind: None,
            way: 0.0,
        }))
    }
}

/// How long a cue stays after it was due, s.
const STAYS_S: f64 = 0.9;

/// What is shown at `now_s` of the set. What is muted is muted here too: the hitter
/// keeps it alone.
fn shown(running: &Running, now_s: f64) -> Shown {
    let due = running.table.between(now_s - STAYS_S, now_s);
    let Some(cue) = due.iter().rev().find(|cue| !cue.is_muted) else {
        return Shown {
            kind: None,
            way: 0.0,
        };
    };
    let rep = &running.reps[usize::from(cue.rep) - 1];
    let at_s = match cue.rung.mode {
        Mode::Follow => now_s,
        Mode::Silent | Mode::SelfCheck => cue.at_s,
    };
    let way = (at_s - rep.lift_s) / (rep.contact_s - rep.lift_s);
    Shown {
        kind: Some((cue.rep, cue.kind)),
        way: way.clamp(0.0, 1.0),
    }
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
            kind: None,
            way: 0.0,
        };
        if tempo.running.try_with_untracked(Option::is_some) != Some(true) {
            // The page may be gone with its light.
            let _ = light.0.try_set(dark);
            return;
        }
        if let Some((player, running)) = tempo.playing() {
            let heard_s = player.audio_s(page_now_ms() - tempo.delay_ms());
            let now_s = heard_s - running.start_s;
            let now = shown(&running, now_s);
            let before = light.0.get_untracked();
            if now.kind != before.kind
                && let Some((rep, kind)) = now.kind
            {
                let rep = &running.reps[usize::from(rep) - 1];
                shake(kind, rep, running.table.cues(), now_s);
            }
            if now != before {
                light.0.set(now);
            }
        }
        frame(tempo, light);
    });
}

/// At lift the whole count at once, so that a busy page does not spoil it.
fn shake(kind: Kind, rep: &RepTimes, cues: &[Cue], now_s: f64) {
    const ON_MS: f64 = 60.0;
    match kind {
        Kind::Announce | Kind::Feed => {
            vibrate(&[40]);
        }
        Kind::Lift => {
            let mut pattern = vec![ON_MS as u32];
            let is_beat = |cue: &&Cue| matches!(cue.kind, Kind::Beat(_) | Kind::Contact);
            let to_come = |cue: &&Cue| (now_s..=rep.contact_s).contains(&cue.at_s);
            let beats = cues.iter().filter(is_beat).filter(to_come);
            let mut done_s = now_s + ON_MS / 1e3;
            for beat in beats.filter(|cue| !cue.is_muted) {
                pattern.push(((beat.at_s - done_s) * 1e3).max(0.0) as u32);
                pattern.push(ON_MS as u32);
                done_s = beat.at_s + ON_MS / 1e3;
            }
            vibrate(&pattern);
        }
        Kind::Beat(_) | Kind::Contact | Kind::Rest => {}
    }
}

/// The light on the page.
pub fn view(light: Light) -> AnyView {
    let cue = Memo::new(move |_| light.0.with(|shown| shown.kind));
    let kind = move || match cue.get().map(|(_, kind)| kind) {
        None => "",
        Some(Kind::Announce | Kind::Feed) => "call",
        Some(Kind::Lift) => "lift",
        Some(Kind::Beat(_)) => "beat",
        Some(Kind::Contact) => "contact",
        Some(Kind::Rest) => "rest",
    };
    let word = move || {
        cue.get()
            .map_or_else(|| "\u{2013}".to_owned(), |(_, kind)| cues::word(kind))
    };
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
