//! The open set against the target: whether the hitter rushes, and the longer count
//! that is then offered.

use super::numbers::band;
use super::run::Tempo;
use super::setting::keep_target;
use super::spoken;
use crate::parts::{act, group, line, live};
use coaching::count::SetStats;
use coaching::tempo::pace::{Pace, Paced};
use leptos::prelude::*;

/// What may be said of the open set, and the offer.
pub fn view(tempo: Tempo) -> AnyView {
    live(move || {
        let Some(set) = SetStats::of(&tempo.counts_s()) else {
            return ().into_any();
        };
        let paced = match Paced::of(&set, tempo.target(), band(tempo)) {
            Ok(paced) => paced,
            Err(cannot) => return line("line", cannot.sentence()),
        };
        let spoken = spoken::known(tempo.desk.chosen.get());
        let mut parts = vec![line("line", paced.sentence(spoken.as_ref()))];
        if let Pace::Rushes { offer: Some(offer) } = paced.pace {
            parts.push(act(
                format!("Make the target {:.1} s", offer.seconds()),
                "wide",
                Callback::new(move |()| keep_target(tempo, offer.seconds())),
            ));
        }
        group(parts)
    })
}
