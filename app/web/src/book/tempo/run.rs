//! The set under way: taps to counts, the timetable played, what was heard or
//! sensed put to its rep, and what to do when the browser stops.

use super::gear::Gear;
use super::plan::{Cue, Mode, Planned, Wish, count_of, plan};
use crate::device::audio::{Player, Tone};
use crate::device::clock::page_now_ms;
use crate::device::page;
use crate::device::vibration::vibrate;
use crate::device::wake_lock::WakeLock;
use crate::state::{Desk, Taken, names};
use crate::words::{counted, fixed};
use coaching::count::{CountError, Taps, Target, checked_count_s};
use coaching::vocabulary::Environment;
use leptos::prelude::*;
use notebook::{RecordId, Rep};
use std::rc::Rc;
use std::time::Duration;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::spawn_local;

/// How a count is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Two taps.
    Taps,
    /// Lift by the tap or the beat, contact heard.
    Sound,
    /// Lift and turn sensed.
    Motion,
    /// Played only; nothing is measured.
    Played,
}

impl Way {
    /// Ids and names, in the order of the screen.
    pub const NAMED: [(&'static str, &'static str); 4] = [
        (names::rep::TWO_TAPS, "Two taps"),
        (names::rep::SOUND, "Sound"),
        (names::rep::MOTION, "Motion"),
        ("played", "Only played"),
    ];

    const ALL: [Self; 4] = [Self::Taps, Self::Sound, Self::Motion, Self::Played];

    /// Its id; of a way that measures also the rep's `taken_by`.
    pub const fn id(self) -> &'static str {
        Self::NAMED[self as usize].0
    }

    /// The way of this id.
    pub fn from_id(id: &str) -> Self {
        let known = Self::ALL.into_iter().find(|way| way.id() == id);
        known.unwrap_or(Self::Taps)
    }
}

/// A played set.
#[derive(Clone)]
pub struct Running {
    /// What is planned, in order.
    pub plan: Rc<Vec<Planned>>,
    /// The plan's second zero on the audio clock.
    pub start_s: f64,
    /// Sets of the plan.
    sets: Rc<Vec<RecordId>>,
    /// How many reps are over.
    pub over: usize,
    /// How many of those were measured.
    pub measured: usize,
    target: Target,
    environment: Environment,
}

impl Running {
    /// Reps of the plan.
    pub fn total(&self) -> usize {
        self.plan.len()
    }
}

/// What stopped a set, and what of it is left.
#[derive(Clone)]
pub struct Stopped {
    /// What the user reads.
    pub why: String,
    /// Reps that were not played yet.
    left: u32,
    next: u32,
}

/// The page's state.
#[derive(Clone, Copy)]
pub struct Tempo {
    /// The desk.
    pub desk: Desk,
    /// Sound, microphone, sensors, screen.
    pub gear: StoredValue<Gear, LocalStorage>,
    /// The way of practice.
    pub mode: RwSignal<Mode>,
    /// How counts are taken.
    pub way: RwSignal<Way>,
    /// Lift is taken from the beat and not from a tap.
    pub lift_by_beat: RwSignal<bool>,
    /// Foot down is tapped too.
    pub with_foot: RwSignal<bool>,
    /// Reps of a set.
    pub reps_of_set: RwSignal<u32>,
    /// From contact to the next call, s.
    pub rest_s: RwSignal<f64>,
    /// The set counted in.
    pub set: RwSignal<RecordId>,
    next: StoredValue<u32>,
    /// The hitter's latest reps, oldest first; none while they are read.
    pub recent: RwSignal<Option<Vec<Rep>>>,
    /// A lift that waits, ms of the page.
    pub lift_ms: RwSignal<Option<f64>>,
    /// A foot down that waits, ms of the page.
    pub foot_ms: RwSignal<Option<f64>>,
    last_tap_ms: StoredValue<f64>,
    /// The set that plays.
    pub running: RwSignal<Option<Running>, LocalStorage>,
    /// The set that was stopped.
    pub stopped: RwSignal<Option<Stopped>>,
    /// What was last said of a count.
    pub said: RwSignal<String>,
    hidden_at: StoredValue<Option<(f64, f64)>>,
}

/// Two presses closer than this are one that bounced, ms (our choice, no source).
const BOUNCE_MS: f64 = 60.0;
/// How long after twice the target a rep's contact may still be told of, s: a
/// microphone's blocks and a busy page are late.
const LATE_S: f64 = 0.6;
/// A tone of the phone itself is not the ball's: this long from its start, s.
const OWN_TONE_S: f64 = 0.12;

impl Tempo {
    /// For the chosen hitter.
    pub fn new(desk: Desk) -> Self {
        let tempo = Self {
            desk,
            gear: StoredValue::new_local(Gear::default()),
            mode: RwSignal::new(Mode::Follow),
            way: RwSignal::new(Way::Taps),
            lift_by_beat: RwSignal::new(false),
            with_foot: RwSignal::new(false),
            reps_of_set: RwSignal::new(10),
            rest_s: RwSignal::new(8.0),
            set: RwSignal::new(Desk::new_tempo_set()),
            next: StoredValue::new(1),
            recent: RwSignal::new(None),
            lift_ms: RwSignal::new(None),
            foot_ms: RwSignal::new(None),
            last_tap_ms: StoredValue::new(f64::NEG_INFINITY),
            running: RwSignal::new_local(None),
            stopped: RwSignal::new(None),
            said: RwSignal::new(String::new()),
            hidden_at: StoredValue::new(None),
        };
        let chosen = desk.chosen;
        Effect::new(move |_| {
            chosen.get();
            untrack(|| {
                tempo.stop_playing();
                tempo.new_set();
                tempo.read();
            });
        });
        tempo
    }

    /// Reads the hitter's latest reps (again).
    pub fn read(self) {
        let Some(hitter) = self.desk.chosen.get_untracked() else {
            return;
        };
        spawn_local(async move {
            let read = self.desk.latest_reps(hitter).await;
            // The page may be gone, or another hitter chosen.
            if self.desk.chosen.try_get_untracked() != Some(Some(hitter)) {
                return;
            }
            match read {
                Ok(reps) => self.recent.set(Some(reps)),
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
        });
    }

    /// The target that holds: the hitter's own, or else the usual one.
    pub fn target(self) -> Target {
        self.desk.target().unwrap_or_else(usual_target)
    }

    /// The counts of the open set, oldest first.
    pub fn counts_s(self) -> Vec<f64> {
        let set = self.set.get();
        self.recent.with(|reps| {
            let reps = reps.iter().flatten();
            reps.filter(|rep| rep.set == set)
                .map(|rep| rep.count_s)
                .collect()
        })
    }

    /// Begins a new set.
    pub fn new_set(self) {
        self.set.set(Desk::new_tempo_set());
        self.next.set_value(1);
        self.forget();
        self.said.set(String::new());
    }

    /// Forgets a lift without contact.
    pub fn forget(self) {
        self.lift_ms.set(None);
        self.foot_ms.set(None);
    }

    /// A tap by pointer or key at `at_ms`, the event's own time.
    pub fn tap(self, at_ms: f64) {
        if (at_ms - self.last_tap_ms.get_value()).abs() < BOUNCE_MS {
            return;
        }
        self.last_tap_ms.set_value(at_ms);
        match (self.way.get_untracked(), self.lift_ms.get_untracked()) {
            (Way::Played | Way::Motion, _) => {}
            (Way::Sound, _) => self.lift_ms.set(Some(at_ms)),
            (Way::Taps, None) => self.lift_ms.set(Some(at_ms)),
            (Way::Taps, Some(_))
                if self.with_foot.get_untracked() && self.foot_ms.get_untracked().is_none() =>
            {
                self.foot_ms.set(Some(at_ms));
            }
            (Way::Taps, Some(lift_ms)) => self.tapped(lift_ms, at_ms),
        }
    }

    fn tapped(self, lift_ms: f64, contact_ms: f64) {
        let foot_ms = self.foot_ms.get_untracked();
        self.forget();
        let taps = Taps {
            lift_ms,
            contact_ms,
        };
        match taps.count_s() {
            Ok(count_s) => {
                let mut taken = self.taken(count_s, names::rep::TWO_TAPS);
                if let Some(foot_ms) = foot_ms {
                    // To the microsecond, as the count.
                    let down_s = ((contact_ms - foot_ms) * 1e3).round() / 1e6;
                    taken.numbers.push((names::rep::FOOT_DOWN, down_s));
                }
                self.keep(taken);
            }
            Err(error @ CountError::TooLong { .. }) => {
                self.lift_ms.set(Some(contact_ms));
                self.said.set(format!("{error} This tap is the new lift."));
            }
            Err(error) => self.said.set(error.to_string()),
        }
    }

    /// A count as the page stands, with the set's next number.
    fn taken(self, count_s: f64, taken_by: &'static str) -> Taken {
        let number = self.next.get_value();
        self.next.set_value(number + 1);
        Taken {
            set: self.set.get_untracked(),
            number,
            environment: self.desk.environment.get_untracked(),
            count_s,
            taken_by,
            numbers: vec![(names::rep::TARGET, untrack(|| self.target()).seconds())],
            choices: vec![(names::rep::MODE, self.mode.get_untracked().id())],
        }
    }

    /// Writes a count; when it is on disk, shows and says it.
    fn keep(self, taken: Taken) {
        let off = untrack(|| self.target()).sentence(taken.count_s);
        let hitter = self.desk.chosen.get_untracked();
        self.desk.keep_taken(&taken, move |rep| {
            if self.desk.chosen.get_untracked() != hitter {
                return;
            }
            self.recent
                .update(|reps| reps.get_or_insert_default().push(rep.clone()));
            let said = format!("Rep {}: {} s. {off}", rep.number, fixed(rep.count_s, 2));
            self.said.set(said);
        });
    }

    /// What the microphone heard, or the sensors sensed, at `contact_ms` of the
    /// page; with a lift of its own where the sensors give one.
    pub fn contact(self, lift_ms: Option<f64>, contact_ms: f64, quality: Option<&'static str>) {
        if self.running.with_untracked(Option::is_some) {
            self.gear
                .update_value(|gear| gear.contacts.push((lift_ms, contact_ms, quality)));
            if self.lift_by_beat.get_untracked() && lift_ms.is_none() {
                // Put to its rep when that is over.
                return;
            }
        }
        let way = self.way.get_untracked();
        let Some(from_ms) = lift_ms.or(self.lift_ms.get_untracked()) else {
            return;
        };
        if way == Way::Sound && self.is_own_tone(contact_ms) {
            return;
        }
        let Ok(count_s) = checked_count_s(((contact_ms - from_ms) * 1e3).round() / 1e6) else {
            return;
        };
        self.forget();
        let mut taken = self.taken(count_s, way.id());
        let by = if way == Way::Motion { "motion" } else { "tap" };
        taken.choices.push((names::rep::LIFT_BY, by));
        taken
            .choices
            .extend(quality.map(|quality| (names::rep::QUALITY, quality)));
        self.place_in_plan(&mut taken);
        self.keep(taken);
    }

    /// While a plan plays, a count belongs to the rep and set it plays.
    fn place_in_plan(self, taken: &mut Taken) {
        self.running.update(|running| {
            if let Some(running) = running
                && let Some(rep) = running.plan.get(running.over)
            {
                taken.set = running.sets[rep.set];
                taken.number = rep.number;
                running.measured += 1;
            }
        });
    }

    fn is_own_tone(self, at_ms: f64) -> bool {
        let Some((player, running)) = self.playing() else {
            return false;
        };
        let delay_ms = self.delay_ms();
        let dues = running.plan.iter().flat_map(|rep| &rep.dues);
        dues.filter(|due| due.sounds).any(|due| {
            let since_ms = at_ms - player.page_ms(running.start_s + due.at_s) - delay_ms;
            (-20.0..OWN_TONE_S * 1e3).contains(&since_ms)
        })
    }

    /// The player and the set that plays.
    pub fn playing(self) -> Option<(Rc<Player>, Running)> {
        let running = self.running.get_untracked()?;
        let player = self.gear.with_value(|gear| gear.player.clone())?;
        Some((player, running))
    }

    /// How much later than the browser says the speaker is heard, ms.
    pub fn delay_ms(self) -> f64 {
        super::speaker::delay_ms()
    }

    /// Plays a set.
    pub fn play(self) {
        self.begin(None);
    }

    /// Goes on with a set that was stopped.
    pub fn go_on(self) {
        let stopped = self.stopped.get_untracked();
        self.begin(stopped);
    }

    fn begin(self, goes_on: Option<Stopped>) {
        self.stopped.set(None);
        spawn_local(async move {
            let sound = self.sound().await;
            if self.running.try_with_untracked(|_| ()).is_none() {
                // The page is gone.
                return;
            }
            match sound {
                Ok(player) => self.start(&player, goes_on),
                Err(why) => self.said.set(why),
            }
        });
    }

    /// The sound, switched on when it is not.
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

    fn start(self, player: &Player, goes_on: Option<Stopped>) {
        let target = untrack(|| self.target());
        let mode = self.mode.get_untracked();
        let way = self.way.get_untracked();
        let first = goes_on.as_ref().map_or(1, |stopped| stopped.next);
        let wish = Wish {
            mode,
            target,
            reps: goes_on
                .as_ref()
                .map_or(self.reps_of_set.get_untracked(), |stopped| stopped.left),
            first: if mode == Mode::Alone { 1 } else { first },
            rest_s: self.rest_s.get_untracked(),
            feed_delay_s: untrack(|| self.feed_delay_s()),
            listens: way == Way::Sound,
        };
        let mut planned = plan(&wish, &mut js_sys::Math::random);
        if mode == Mode::Alone
            && let Some(stopped) = &goes_on
        {
            // The plan's tail: what was played is not played again.
            let played = planned.len().saturating_sub(stopped.left as usize);
            let shift_s = planned.get(played).map_or(0.0, |rep| rep.dues[0].at_s) - 1.0;
            planned.drain(..played);
            for rep in &mut planned {
                rep.lift_s -= shift_s;
                rep.contact_s -= shift_s;
                rep.ends_s -= shift_s;
                rep.dues.iter_mut().for_each(|due| due.at_s -= shift_s);
            }
        }
        if goes_on.is_none() {
            self.new_set();
        }
        let last_set = planned.last().map_or(0, |rep| rep.set);
        let mut sets: Vec<RecordId> = (0..=last_set).map(|_| Desk::new_tempo_set()).collect();
        // A set that goes on stays the same set.
        sets[planned.first().map_or(0, |rep| rep.set)] = self.set.get_untracked();
        let start_s = player.now_s() + 0.2;
        for due in planned
            .iter()
            .flat_map(|rep| &rep.dues)
            .filter(|due| due.sounds)
        {
            player.play_at(tone(due.cue), start_s + due.at_s);
        }
        self.gear.update_value(|gear| {
            gear.contacts.clear();
            gear.wake_lock = Some(WakeLock::on());
        });
        self.running.set(Some(Running {
            plan: Rc::new(planned),
            start_s,
            sets: Rc::new(sets),
            over: 0,
            measured: 0,
            target,
            environment: self.desk.environment.get_untracked(),
        }));
        super::light::run(self);
        self.tick();
    }

    /// From starting the feed to the ball's release, of the chosen machine.
    fn feed_delay_s(self) -> f64 {
        let machine = self.desk.chosen_equipment(crate::state::What::Machine);
        let delay = machine.and_then(|machine| {
            let field = machine.numbers.get(names::machine::FEED_DELAY)?;
            Some(*field.get())
        });
        delay.unwrap_or(1.0)
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
        let over = running
            .plan
            .iter()
            .filter(|rep| now_s > rep.contact_s + waits_s);
        for number in running.over..over.count() {
            self.end_rep(&player, number);
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

    /// A planned rep is over: what was heard of it becomes its count.
    fn end_rep(self, player: &Player, index: usize) {
        let Some(running) = self.running.get_untracked() else {
            return;
        };
        let rep = &running.plan[index];
        let way = self.way.get_untracked();
        self.set.set(running.sets[rep.set]);
        if way == Way::Sound && self.lift_by_beat.get_untracked() {
            let lift_ms = player.page_ms(running.start_s + rep.lift_s) + self.delay_ms();
            let contacts_s: Vec<f64> = self.gear.with_value(|gear| {
                let heard = gear.contacts.iter().map(|(_, at_ms, _)| *at_ms);
                heard
                    .filter(|at_ms| !self.is_own_tone(*at_ms))
                    .map(|ms| ms / 1e3)
                    .collect()
            });
            if let Some(count_s) = count_of(lift_ms / 1e3, running.target, &contacts_s) {
                let mut taken = self.taken((count_s * 1e6).round() / 1e6, names::rep::SOUND);
                taken.environment = running.environment;
                taken.choices.push((names::rep::LIFT_BY, "beat"));
                self.place_in_plan(&mut taken);
                self.keep(taken);
            } else {
                self.said
                    .set(format!("Rep {}: nothing heard, not measured.", rep.number));
            }
        }
        self.running.update(|running| {
            if let Some(running) = running {
                running.over = index + 1;
            }
        });
    }

    /// The set has been played to its end.
    fn finish(self) {
        let Some(running) = self.running.get_untracked() else {
            return;
        };
        let played = counted(running.total(), "rep was", "reps were");
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
            gear.wake_lock = None;
        });
        if self.running.with_untracked(Option::is_some) {
            self.running.set(None);
            vibrate(&[]);
        }
    }

    /// Something outside stopped the set: says so, and offers to go on.
    pub fn interrupted(self, why: &str) {
        // The browser may tell when the page of tempo is gone already.
        let Some(Some(running)) = self.running.try_get_untracked() else {
            return;
        };
        let (over, total) = (running.over, running.total());
        let next = running.plan.get(over).map_or(1, |rep| rep.number);
        self.stop_playing();
        self.forget();
        self.stopped.set(Some(Stopped {
            why: format!(
                "{why} The set stopped after rep {over} of {total}. Every count taken so far is kept."
            ),
            left: (total - over) as u32,
            next,
        }));
    }

    /// The page went out of sight, or came back.
    pub fn seen_changed(self) {
        let Some((player, _)) = self.playing() else {
            return;
        };
        if page::is_hidden() {
            self.hidden_at
                .set_value(Some((page_now_ms(), player.now_s())));
            if self.way.get_untracked() == Way::Taps {
                self.interrupted(
                    "The page was hidden or the phone locked, and the browser suspends such a page.",
                );
            }
            return;
        }
        let Some((page_ms, audio_s)) = self.hidden_at.get_value() else {
            return;
        };
        self.hidden_at.set_value(None);
        let away_s = (page_now_ms() - page_ms) / 1e3;
        if away_s - (player.now_s() - audio_s) > 0.25 {
            self.interrupted(
                "The page was hidden or the phone locked, and the browser suspended it.",
            );
        } else {
            self.said.set(format!(
                "The page was hidden for {} s. The sound went on; every count is kept.",
                fixed(away_s, 0)
            ));
        }
    }
}

/// Listens to keys and to the page going out of sight, for as long as the page of
/// tempo is shown; then everything it held of the phone is let go.
pub fn watch(tempo: Tempo) {
    let keys = window_event_listener(leptos::ev::keydown, move |event| {
        let element = event
            .target()
            .and_then(|target| target.dyn_into::<web_sys::Element>().ok());
        let within = |selector: &str| {
            let found = element
                .as_ref()
                .and_then(|element| element.closest(selector).ok());
            found.flatten().is_some()
        };
        // A remote's keys are nobody else's; those of a keyboard may be meant for
        // what has the focus.
        let taps = match event.key().as_str() {
            "PageUp" | "PageDown" | "MediaPlayPause" | "MediaTrackNext" | "MediaTrackPrevious"
            | "AudioVolumeUp" | "AudioVolumeDown" => !within("input, select"),
            " " | "Enter" | "ArrowUp" | "ArrowDown" | "ArrowLeft" | "ArrowRight" => {
                !within("button:not(.tap-button), .speaker-tap, a, input, select, [role=region]")
            }
            _ => false,
        };
        let counts = matches!(tempo.way.get_untracked(), Way::Taps | Way::Sound);
        if taps && counts && !event.alt_key() && !event.ctrl_key() && !event.meta_key() {
            // Neither a scroll nor the button's own click beside it.
            event.prevent_default();
            if !event.repeat() {
                tempo.tap(event.time_stamp());
            }
        }
    });
    let seen = Closure::<dyn Fn()>::new(move || tempo.seen_changed());
    let seen = StoredValue::new_local(seen);
    seen.with_value(|seen| page::listen(true, "visibilitychange", seen.as_ref()));
    on_cleanup(move || {
        keys.remove();
        seen.with_value(|seen| page::deafen(true, "visibilitychange", seen.as_ref()));
        tempo.stop_playing();
        tempo.gear.update_value(|gear| *gear = Gear::default());
    });
}

/// The middle of what most hitters use, 1 to 2 s (common practice, no source).
fn usual_target() -> Target {
    Target::new(1.5).expect("1.5 s lies between 1 and 3")
}

/// How each cue sounds.
fn tone(cue: Cue) -> Tone {
    let (hz, lasts_s) = match cue {
        Cue::Call => (440.0, 0.09),
        Cue::Feed => (330.0, 0.2),
        Cue::Lift => (784.0, 0.1),
        Cue::Beat(_) => (988.0, 0.05),
        Cue::Contact => (1568.0, 0.12),
    };
    Tone { hz, lasts_s }
}
