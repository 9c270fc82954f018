//! The swing check as its own page: an item a card or the whole list, what it says,
//! and what is attached. The rules are in `coaching`, every write in `state`.

mod attached;
mod card;
mod clip;
mod head;
mod observers;
mod result;
mod run;
mod whole_list;

use crate::parts::{Leaf, choice, fold, line, live, refusal, said, way};
use crate::state::{Attached, Desk, Looking, OwnItems, level_of};
use card::Card;
use coaching::check::{BEFORE, tilt_at};
use coaching::looks::Looks;
use coaching::vocabulary::Answer;
use leptos::prelude::*;
use web_sys::Blob;

/// What the page shows below its head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shown {
    /// One item a card.
    Run,
    /// Everything, one below the other.
    List,
    /// What the answers say.
    Result,
}

impl Shown {
    const ALL: [(Self, &'static str, &'static str); 3] = [
        (Self::Run, "run", "One by one"),
        (Self::List, "list", "Whole list"),
        (Self::Result, "result", "Result"),
    ];
}

/// What the parts of this page share.
#[derive(Clone, Copy)]
struct Page {
    desk: Desk,
    looking: Looking,
    own: OwnItems,
    attached: Attached,
    shown: RwSignal<Shown>,
    /// Questions and items of the skill, in the coach's order.
    cards: Memo<Vec<Card>>,
    /// The card of the run, by its place.
    place: RwSignal<usize>,
    /// The item whose photos and clips are shown.
    attaching: RwSignal<Option<String>>,
    /// The clip that is stepped through.
    clip: RwSignal<Option<Blob>, LocalStorage>,
}

impl Page {
    fn start() -> Self {
        let desk = expect_context::<Desk>();
        let looking = Looking::start(desk, expect_context());
        let own = expect_context::<OwnItems>();
        let level = Memo::new(move |_| desk.hitter().as_ref().map(level_of));
        let page = Self {
            desk,
            looking,
            own,
            attached: Attached::start(desk),
            shown: RwSignal::new(Shown::Run),
            cards: Memo::new(move |_| {
                let (skill, sport) = (looking.skill.get(), looking.sport());
                let tilt = level.get().and_then(tilt_at);
                own.with(|lists| card::cards(&lists.list(skill, sport), tilt.as_deref()))
            }),
            place: RwSignal::new(0),
            attaching: RwSignal::new(None),
            clip: RwSignal::new_local(None),
        };
        page.begin_where_it_stands();
        page
    }

    /// Once everything is read, and whenever another look comes to hand, the run
    /// goes on at the first card without an answer.
    fn begin_where_it_stands(self) {
        let hand_before = StoredValue::new(None);
        Effect::new(move |_| {
            let chosen = self.desk.chosen.get();
            let skill = self.looking.skill.get();
            let hand = self.looking.hand.get();
            let is_read = self.looking.looks.with(Option::is_some);
            if !is_read || self.own.lists.with(Option::is_none) {
                return;
            }
            let now = Some((chosen, skill, hand));
            let before = hand_before.get_value();
            if before == now {
                return;
            }
            hand_before.set_value(now);
            // The first answer itself puts a look at hand: the run is under way.
            let has_answers =
                untrack(|| self.looking.at_hand()).is_some_and(|look| !look.answers.is_empty());
            let same = before.is_some_and(|before: (_, _, Option<_>)| {
                (before.0, before.1) == (chosen, skill) && before.2.is_none()
            });
            if same && hand.is_some() && !has_answers {
                return;
            }
            self.go_to_first_open();
        });
    }

    /// To the first card without an answer; to the result when there is none.
    fn go_to_first_open(self) {
        let cards = self.cards.get_untracked();
        let is_open = |card: &Card| untrack(|| self.looking.answer_to(&card.id)).is_none();
        match cards.iter().position(is_open) {
            Some(place) => {
                self.place.set(place);
                if self.shown.get_untracked() == Shown::Result {
                    self.shown.set(Shown::Run);
                }
            }
            None => self.shown.set(Shown::Result),
        }
    }

    /// Saves an answer.
    fn answer(self, card: &Card, answer: Answer) {
        self.looking.answer(&card.id, answer);
        let stops = BEFORE
            .iter()
            .any(|question| question.id == card.id && question.stops);
        if stops && answer == Answer::NotYet {
            self.shown.set(Shown::Result);
        }
    }

    /// What all looks say together and what the one at hand shows, by `with`, which
    /// is given the list too.
    fn found<T>(
        self,
        with: impl FnOnce(&coaching::checklist::CheckList, &Looks, &Looks) -> T,
    ) -> T {
        let (skill, sport) = (self.looking.skill.get(), self.looking.sport());
        let hand = self.looking.at_hand();
        let looks = self.looking.looks.get();
        let looks = looks.and_then(Result::ok).unwrap_or_default();
        self.own.with(|lists| {
            let list = lists.list(skill, sport);
            let is_asked = |id: &str| {
                list.items.iter().any(|item| item.id == id)
                    || BEFORE.iter().any(|question| question.id == id)
            };
            let answers: Vec<_> = looks
                .iter()
                .map(crate::state::OneLook::borrowed)
                .filter(|answers| answers.iter().any(|(id, _)| is_asked(id)))
                .collect();
            let all: Vec<&[_]> = answers.iter().map(Vec::as_slice).collect();
            let together = Looks::of(&list, &all);
            let hand = hand.as_ref().map(crate::state::OneLook::borrowed);
            let one = Looks::of_one(&list, hand.as_deref().unwrap_or_default());
            with(&list, &together, &one)
        })
    }
}

/// The page.
pub fn page() -> AnyView {
    let page = Page::start();
    provide_context(page);
    let has_hitter = Memo::new(move |_| page.desk.hitter().is_some());
    live(move || {
        if has_hitter.get() {
            with_hitter()
        } else {
            view! {
                {line("line", "Choose or add a hitter first.")}
                {way(Leaf::Roster.path(), "To the roster", "", true)}
            }
            .into_any()
        }
    })
}

fn with_hitter() -> AnyView {
    let page = expect_context::<Page>();
    let names = Shown::ALL.map(|(_, id, name)| (id, name)).to_vec();
    let now = Signal::derive(move || {
        let known = Shown::ALL.iter().find(|known| known.0 == page.shown.get());
        known.map_or("run", |known| known.1)
    });
    let show = Callback::new(move |id: &'static str| {
        if let Some(known) = Shown::ALL.iter().find(|known| known.1 == id) {
            page.clip.set(None);
            page.shown.set(known.0);
        }
    });
    view! {
        {head::head()}
        <div class="shown">{choice("Show", names, now, show)}</div>
        {live(body)}
        {fold("Skill, observer, new look", head::choices)}
        {fold("Earlier looks", head::earlier)}
        {fold("Do two observers agree?", observers::agreement)}
        {fold("A clip, frame by frame", clip::open)}
        {fold("Photos and clips on this phone", attached::room)}
        {way(Leaf::Items.path(), "Own items and order", "", true)}
    }
    .into_any()
}

fn body() -> AnyView {
    let page = expect_context::<Page>();
    if page.clip.with(Option::is_some) {
        return clip::stepping();
    }
    // What is shown is not made anew whenever an answer is saved.
    let read = Memo::new(move |_| {
        let own = page.own.lists.with(|lists| {
            let lists = lists.as_ref()?;
            Some(lists.as_ref().err().map(ToString::to_string))
        });
        let looks = page.looking.looks.with(|looks| {
            let looks = looks.as_ref()?;
            Some(looks.as_ref().err().map(ToString::to_string))
        });
        Some(own?.or(looks?))
    });
    live(move || match (read.get(), page.shown.get()) {
        (None, _) => said("line", "Reading…"),
        (Some(Some(failed)), _) => refusal(failed),
        (_, Shown::Run) => run::run(),
        (_, Shown::List) => whole_list::whole_list(),
        (_, Shown::Result) => result::result(),
    })
}
