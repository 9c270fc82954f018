//! Beginning a session: who hits.

use crate::parts::{act, group, line, live, refusal, said, way};
use crate::state::session::Practice;
use crate::state::{Desk, is_archived, names};
use crate::words::counted;
use leptos::prelude::*;
use notebook::{Group, Hitter, RecordId};
use wasm_bindgen_futures::spawn_local;

/// The choice of hitters, and the button that begins.
pub fn view() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    let chosen = RwSignal::new(desk.chosen.get_untracked().into_iter().collect::<Vec<_>>());
    live(move || {
        if desk.hitters.with(Vec::is_empty) {
            return group(vec![
                line(
                    "line",
                    "There is no hitter yet. Add one to the roster first.",
                ),
                way("/book/roster", "Open the roster", "", true),
            ]);
        }
        let begin = Callback::new(move |()| {
            let hitters = chosen.get_untracked();
            if !hitters.is_empty() {
                practice.begin(hitters);
            }
        });
        let label = move || match chosen.with(Vec::len) {
            0 => said("line", "Touch who hits, or a group."),
            n => act(
                format!("Begin with {}", counted(n, "hitter", "hitters")),
                "main-act",
                begin,
            ),
        };
        group(vec![
            view! { <h2>"Who hits?"</h2> }.into_any(),
            groups(Callback::new(move |ids: Vec<RecordId>| {
                chosen.update(|chosen| {
                    for id in ids {
                        if !chosen.contains(&id) {
                            chosen.push(id);
                        }
                    }
                });
            })),
            hitters(
                Signal::derive(move || chosen.get()),
                Callback::new(move |id| {
                    chosen.update(
                        |chosen| match chosen.iter().position(|known| *known == id) {
                            Some(place) => drop(chosen.remove(place)),
                            None => chosen.push(id),
                        },
                    );
                }),
            ),
            live(label),
            line(
                "line caution",
                "Helmets for all in the cage, a screen for the feeder, nobody in the line of fire. In a game, log from behind netting.",
            ),
            way("/book/sessions", "Earlier sessions", "", true),
        ])
    })
}

/// The club's groups; a touch gives the hitters of one.
pub fn groups(on_group: Callback<Vec<RecordId>>) -> AnyView {
    let desk = expect_context::<Desk>();
    let read = RwSignal::new(None);
    spawn_local(async move {
        let all = desk
            .reading(async |database| database.all::<Group>().await)
            .await;
        // The page may be gone by then.
        read.try_set(Some(all));
    });
    live(move || match read.get() {
        None => group(vec![]),
        Some(Err(error)) => refusal(error.to_string()),
        Some(Ok(all)) => {
            let buttons: Vec<AnyView> = all
                .iter()
                .filter(|group| !group.head.is_removed())
                .map(|group| {
                    let label = format!("All of {}", group.name.get());
                    let ids = members(desk, group);
                    act(
                        label,
                        "",
                        Callback::new(move |()| on_group.run(ids.clone())),
                    )
                })
                .collect();
            view! { <div class="choice-row">{buttons}</div> }.into_any()
        }
    })
}

fn members(desk: Desk, group: &Group) -> Vec<RecordId> {
    let is_in = |hitter: &&Hitter| {
        let said = group.hitters.get(hitter.head.id.to_string().as_str());
        said.is_some_and(|said| said.get().as_str() == names::session::IN) && !is_archived(hitter)
    };
    desk.hitters.with_untracked(|all| {
        let there = all.iter().filter(is_in);
        there.map(|hitter| hitter.head.id).collect()
    })
}

/// Every hitter of the roster as a button that is pressed when chosen.
pub fn hitters(chosen: Signal<Vec<RecordId>>, on_touch: Callback<RecordId>) -> AnyView {
    let desk = expect_context::<Desk>();
    let buttons: Vec<AnyView> = desk.hitters.with(|all| {
        let there = all.iter().filter(|hitter| !is_archived(hitter));
        there
            .map(|hitter| {
                let id = hitter.head.id;
                let is_in = Memo::new(move |_| chosen.with(|chosen| chosen.contains(&id)));
                view! {
                    <button
                        type="button"
                        aria-pressed=move || is_in.get().to_string()
                        on:click=move |_| on_touch.run(id)
                    >
                        {hitter.name.get().clone()}
                    </button>
                }
                .into_any()
            })
            .collect()
    });
    view! {
        <div class="choice-row who" role="group" aria-label="Hitters">
            {buttons}
        </div>
    }
    .into_any()
}
