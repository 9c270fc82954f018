//! A set is played: put on the audio clock as a whole, looked after rep by rep.

use super::cues;
use super::practice::{Mode, timetable};
use super::run::{Left, Running, Tempo};
use super::taking::rounded_s;
use super::way::Way;
use crate::device::audio::Player;
use crate::device::awake::{self, Awake};
use crate::device::vibration::vibrate;
use crate::state::{Desk, Taken, names};
use crate::words::counted;
use coaching::tempo::beats::RepTimes;
use coaching::tempo::onset::{Search, echo_s};
use leptos::prelude::*;
use notebook::RecordId;
use std::rc::Rc;
use std::time::Duration;
use wasm_bindgen_futures::spawn_local;

/// How long after twice the target a rep's contact may still be told of, s: a
/// microphone's blocks and a busy page are late.
const LATE_S: f64 = 0.6;

/// From the touch to the first call, s: to put the phone down and step in (our
/// choice).
const STEP_IN_S: f64 = 1.0;

impl Tempo {
    /// The player and the set that plays.
    pub fn playing(self) -> Option<(Rc<Player>, Running)> {
        let running = self.running.try_get_untracked()??;
        let player = self.gear.with_value(|gear| gear.player.clone())?;
        Some((player, running))
    }

    /// Plays a set.
    pub fn play(self) {
        self.begin(None);
    }

    /// Goes on with a set that was stopped.
    pub fn go_on(self) {
        let left = self.stopped.get_untracked().map(|stopped| stopped.left);
        self.begin(left);
    }

    fn begin(self, goes_on: Option<Left>) {
        spawn_local(async move {
            let sound = self.sound().await;
            if self.running.try_with_untracked(|_| ()).is_none() {
                // The page is gone.
                return;
            }
            let started = sound.and_then(|player| self.start(&player, goes_on));
            match started {
                Ok(()) => self.stopped.set(None),
                Err(why) => self.said.set(why),
            }
        });
    }

    /// The sound, switched on when it is not.
    ///
    /// # Errors
    /// Why there is none, as a sentence.
    pub async fn sound(self) -> Result<Rc<Player>, String> {
        if let Some(player) = self.gear.with_value(|gear| gear.player.clone()) {
            if player.runs() || player.go_on().await {
                return Ok(player);
            }
            return Err("The browser holds the sound back. Touch Start once more.".to_owned());
        }
        let player = Rc::new(Player::on().await?);
        player.on_state(move |state| {
            if state != "running" && state != "closed" {
                self.interrupted("The phone stopped the sound, as it does for a call.");
            }
        });
        self.gear
            .update_value(|gear| gear.player = Some(player.clone()));
        Ok(player)
    }

    /// What a fresh start plays.
    fn wished(self) -> Result<Left, String> {
        let environment = self.desk.environment.get_untracked();
        let reps = self.reps_of_set.get_untracked();
        let rungs = self.mode.get_untracked().rungs(environment, reps);
        let rungs = rungs.map_err(|error| error.to_string())?;
        let sets = rungs
            .into_iter()
            .map(|rung| (Desk::new_tempo_set(), rung))
            .collect();
        Ok(Left {
            sets,
            first_set: 0,
            first_reps: 0,
            before: 0,
        })
    }

    fn start(self, player: &Player, goes_on: Option<Left>) -> Result<(), String> {
        let is_new = goes_on.is_none();
        let left = match goes_on {
            Some(left) => left,
            None => self.wished()?,
        };
        let mode = self.mode.get_untracked();
        let feed = (mode == Mode::Random).then(|| untrack(|| self.feed()));
        let target = untrack(|| self.target());
        let rungs: Vec<_> = left.sets.iter().map(|(_, rung)| *rung).collect();
        let times = (self.call_s.get_untracked(), self.rest_s.get_untracked());
        let table = timetable(target, &rungs, times, feed, js_sys::Math::random)?;
        if is_new {
            self.new_set();
        }
        if let Some((set, _)) = left.sets.first() {
            self.set.set(*set);
        }
        let reps = table.rep_times();
        let start_s = player.now_s() + STEP_IN_S;
        let listens = self.way.get_untracked() == Way::Sound;
        cues::play(player, &table, &reps, (start_s, left.first_set), listens);
        self.gear.update_value(|gear| {
            gear.heard_ms.clear();
            gear.awake = Some(Awake::wish());
        });
        self.running.set(Some(Running {
            table: Rc::new(table),
            reps: Rc::new(reps),
            start_s,
            sets: Rc::new(left.sets),
            first_set: left.first_set,
            first_reps: left.first_reps,
            before: left.before,
            over: 0,
            measured: 0,
            target,
            feed,
        }));
        self.said.set(String::new());
        spawn_local(async move {
            if !awake::is_on().await {
                let _ = self.said.try_set(
                    "This phone does not let the page keep the screen on: set its own time until \
                     it locks longer than the set, or the set stops."
                        .to_owned(),
                );
            }
        });
        super::light::run(self);
        self.tick();
        Ok(())
    }

    /// When a moment of the set is heard, ms of the page.
    fn heard_at_ms(self, player: &Player, running: &Running, at_s: f64) -> f64 {
        player.page_ms(running.start_s + at_s) + self.delay_ms()
    }

    /// Where contact is looked for after a lift, s of the page: not where the phone's
    /// own beats are heard, nor where the machine lets the ball go. A lift by the beat
    /// is looked for where the microphone hears it, so that speaker and microphone
    /// may be late.
    pub fn search(self, lift_s: f64, by_beat: bool) -> Search {
        let Some((player, running)) = self.playing() else {
            return Search {
                lift_s,
                known_s: Vec::new(),
            };
        };
        let at_s = |of_set_s: f64| self.heard_at_ms(&player, &running, of_set_s) / 1e3;
        let cues = running.table.cues();
        let own = cues.iter().filter(|cue| cues::sounds(cue, true));
        let own: Vec<f64> = own.map(|cue| at_s(cue.at_s)).collect();
        let late_s = echo_s(&own, &self.heard_s());
        let own = own.into_iter().map(|at_s| at_s + late_s);
        let released = running.reps.iter().filter_map(|rep| {
            let feed = running.feed?;
            Some(at_s(rep.feed_s?) + feed.delay_s + late_s)
        });
        let is_near = |known_s: &f64| (known_s - lift_s).abs() < 10.0;
        let known_s = own.chain(released).filter(is_near).collect();
        let lift_s = if by_beat { lift_s + late_s } else { lift_s };
        Search { lift_s, known_s }
    }

    /// What was heard since the set began, s of the page.
    fn heard_s(self) -> Vec<f64> {
        self.gear
            .with_value(|gear| gear.heard_ms.iter().map(|ms| ms / 1e3).collect())
    }

    /// The set and number of the rep that plays.
    pub fn place(self) -> Option<(RecordId, u32)> {
        self.running.with_untracked(|running| {
            let running = running.as_ref()?;
            let rep = running.reps.get(running.over)?;
            Some((running.sets[rep.set].0, running.number(rep)))
        })
    }

    /// While a set plays, a count belongs to the rep that plays.
    pub fn place_in_plan(self, taken: &mut Taken) {
        if let Some((set, number)) = self.place() {
            (taken.set, taken.number) = (set, number);
            self.running.update(|running| {
                if let Some(running) = running {
                    running.measured += 1;
                }
            });
        }
    }

    /// Looks which reps are over, and comes again.
    fn tick(self) {
        let Some((player, running)) = self.playing() else {
            return;
        };
        let now_s = player.now_s() - running.start_s - self.delay_ms() / 1e3;
        let waits_s = match self.way.get_untracked() {
            Way::Sound | Way::Motion => running.target.seconds() + LATE_S,
            _ => 0.0,
        };
        let is_over = |rep: &&RepTimes| now_s > (rep.contact_s + waits_s).min(rep.ends_s);
        for index in running.over..running.reps.iter().take_while(is_over).count() {
            self.end_rep(index);
        }
        let ended = self.running.with_untracked(|running| {
            running
                .as_ref()
                .is_none_or(|running| running.over >= running.total())
        });
        if ended {
            self.finish();
        } else {
            set_timeout(
                move || {
                    if self.running.try_with_untracked(|_| ()).is_some() {
                        self.tick();
                    }
                },
                Duration::from_millis(50),
            );
        }
    }

    /// A rep is over: what was heard of it becomes its count.
    fn end_rep(self, index: usize) {
        let Some((_, running)) = self.playing() else {
            return;
        };
        let rep = running.reps[index];
        self.set.set(running.sets[rep.set].0);
        if self.hears_by_beat() && !self.keep_heard(index) {
            let number = running.number(&rep);
            self.said
                .set(format!("Rep {number}: nothing heard, not measured."));
        }
        self.running.update(|running| {
            if let Some(running) = running {
                running.over = index + 1;
            }
        });
    }

    /// Whether contacts wait until their rep is over.
    pub fn hears_by_beat(self) -> bool {
        self.way.get_untracked() == Way::Sound && self.lift_by_beat.get_untracked()
    }

    /// Keeps the count of a rep whose contact was heard; whether it was.
    pub fn keep_heard(self, index: usize) -> bool {
        let Some((player, running)) = self.playing() else {
            return false;
        };
        let rep = running.reps[index];
        let lift_s = self.heard_at_ms(&player, &running, rep.lift_s) / 1e3;
        let search = self.search(lift_s, true);
        let heard = self.heard_s();
        let Some(count_s) = search.first_of(&heard, 2.0 * running.target.seconds()) else {
            return false;
        };
        let mut taken = self.taken(rounded_s(count_s), names::rep::SOUND);
        taken.environment = running.sets[rep.set].1.environment;
        taken.choices.push((names::rep::LIFT_BY, "beat"));
        self.place_in_plan(&mut taken);
        self.keep(taken);
        true
    }

    /// All has been played to its end.
    fn finish(self) {
        let Some((_, running)) = self.playing() else {
            return;
        };
        let played = counted(running.before + running.total(), "rep was", "reps were");
        let left = running.total() - running.measured.min(running.total());
        let measured = match self.way.get_untracked() {
            Way::Taps => "What was tapped is kept.".to_owned(),
            Way::Played => "Nothing was measured.".to_owned(),
            _ => format!("{} measured, {left} not measured.", running.measured),
        };
        self.stop_playing();
        self.said.set(format!("{played} played. {measured}"));
    }

    /// Stops what plays; everything taken stays.
    pub fn stop_playing(self) {
        self.gear.update_value(|gear| {
            if let Some(player) = &gear.player {
                player.silence();
            }
            gear.awake = None;
        });
        if self.running.with_untracked(Option::is_some) {
            self.running.set(None);
            vibrate(&[]);
        }
    }
}
