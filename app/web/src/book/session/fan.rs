//! The field fan: one touch a ball. Seven sectors as seen from the plate, a row a
//! height, every field of it a button; and large buttons for what has no direction.

use crate::parts::{group, live};
use crate::state::Desk;
use crate::state::names;
use crate::state::session::{DOTS, Dot, Practice, Touch};
use coaching::contact::ContactResult;
use coaching::contact::fan::{FAIR_DEG, SECTOR_DEG, Sector, Third};
use coaching::vocabulary::Side;
use leptos::ev::{KeyboardEvent, MouseEvent};
use leptos::prelude::*;
use std::collections::VecDeque;
use wasm_bindgen::JsCast;
use web_sys::Element;

/// Heights from the fence to the plate.
const ROWS: [(ContactResult, &str); 4] = [
    (ContactResult::Pop, "Pop"),
    (ContactResult::Fly, "Fly"),
    (ContactResult::Line, "Line"),
    (ContactResult::Ground, "Ground"),
];

/// The drawing, in units of its own: a seventh of its width is a sector.
const SECTOR: f64 = 100.0;
const WIDTH: f64 = 7.0 * SECTOR;
const MIDDLE: f64 = WIDTH / 2.0;
/// A row is a little higher than a sector is wide: 52 px on the smallest phone.
const ROW: f64 = 106.0;
/// How much farther down the fan's rows begin at the lines than in the middle.
const BEND: f64 = 44.0;
const PLATE: f64 = 4.0 * ROW + BEND + 50.0;
const VIEW: &str = "0 -2 700 534";

/// A field: its row and its sector.
type Place = (usize, usize);

/// How far down the rows are bent at a place.
fn bend(x: f64) -> f64 {
    let off = (x - MIDDLE) / MIDDLE;
    BEND * off * off
}

/// The outline of a field of the fan.
fn outline(row: usize, sector: usize) -> String {
    let (left, right) = (SECTOR * sector as f64, SECTOR * (sector + 1) as f64);
    let top = ROW * row as f64;
    // A parabola from left to right has its control point at the product.
    let control = BEND * (left - MIDDLE) * (right - MIDDLE) / (MIDDLE * MIDDLE);
    let middle = (left + right) / 2.0;
    let (a, b) = (top + bend(left), top + bend(right));
    let c = top + control;
    format!(
        "M{left} {a:.1}Q{middle} {c:.1} {right} {b:.1}V{:.1}Q{middle} {:.1} {left} {:.1}Z",
        b + ROW,
        c + ROW,
        a + ROW
    )
}

/// The fan and the buttons below it.
pub fn view() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    let side = Memo::new(move |_| {
        let hitter = practice.at_plate();
        hitter.map_or(Side::Right, |hitter| desk.side_now(&hitter))
    });
    // The field that the keyboard is on.
    let at = RwSignal::new((2_usize, 3_usize));
    // A touched field takes the keyboard along with the frame that says its ball is
    // saved: not in a frame of its own before.
    let touched = StoredValue::new(None);
    Effect::new(move |_| {
        practice.said.track();
        if let Some(place) = touched.try_update_value(Option::take).flatten() {
            at.set(place);
        }
    });
    let marks = Marks::of(practice);
    let fields: Vec<AnyView> = (0..ROWS.len())
        .flat_map(|row| (0..Sector::ALL.len()).map(move |sector| (row, sector)))
        .map(|(row, sector)| field(practice, side, (at, touched, marks), row, sector))
        .collect();
    let names: Vec<AnyView> = (0..ROWS.len())
        .flat_map(|row| [0, 3, 6].map(|sector| row_name(row, sector)))
        .collect();
    let third = move |third: Third| third.words(side.get());
    let (left, right) = (
        move || third(Third::of(-FAIR_DEG, side.get())),
        move || third(Third::of(FAIR_DEG, side.get())),
    );
    let lines = format!(
        "M0 {y:.0}L{MIDDLE} {PLATE}L{WIDTH} {y:.0}",
        y = 4.0 * ROW + BEND
    );
    let plate = format!("M{} {}h24v10l-12 10l-12 -10z", MIDDLE - 12.0, PLATE - 16.0);
    view! {
        <section class="fan-part" aria-label="Field fan">
            <p class="thirds">
                <span>{left}</span>
                <span>{right}</span>
            </p>
            <svg
                class="fan"
                viewBox=VIEW
                role="group"
                aria-label="Where the ball went, as seen from the plate. Arrow keys move; Enter logs; 1 to 7 log a sector of the row; M miss, F foul, T take."
                on:keydown=move |event| key(practice, (at, marks), &event)
            >
                <path class="foul-lines" d=lines />
                <path class="plate" d=plate />
                {fields}
                {names}
                {dots(practice)}
            </svg>
            <div class="fan-buttons" role="group" aria-label="No direction">
                {[ContactResult::Miss, ContactResult::Foul, ContactResult::Take]
                    .map(|result| large(practice, marks, result))
                    .into_iter()
                    .collect_view()}
            </div>
        </section>
    }
    .into_any()
}

/// One field of the fan.
fn field(
    practice: Practice,
    side: Memo<Side>,
    (at, last_touched, marks): (RwSignal<Place>, StoredValue<Option<Place>>, Marks),
    row: usize,
    sector: usize,
) -> AnyView {
    let (result, _) = ROWS[row];
    let place = Sector::ALL[sector];
    let count = Memo::new(move |_| practice.turn.with(|turn| turn.cell(result, place)));
    let label = move || {
        let third = Third::of(place.direction_deg(), side.get()).words(side.get());
        let so_far = match count.get() {
            0 => String::new(),
            n => format!(", {n} so far"),
        };
        format!("{}, {}, {third}{so_far}", result.name(), place.name())
    };
    let touched = move |event: MouseEvent| {
        last_touched.set_value(Some((row, sector)));
        // Assistive technology clicks without a press, and so without a place.
        let touched_deg = match event.detail() {
            0 => None,
            _ => direction_of(practice, &event, place),
        };
        marks.put(target_of(&event), || {
            log(practice, result, place, touched_deg);
        });
    };
    let (x, y) = middle_of(row, sector);
    view! {
        <path
            class="fan-field"
            id=id_of(row, sector)
            d=outline(row, sector)
            role="button"
            tabindex=move || if at.get() == (row, sector) { "0" } else { "-1" }
            aria-label=label
            on:click=touched
        />
        <text class="fan-count" x=x y=y + 44.0>
            {move || match count.get() {
                0 => String::new(),
                n => n.to_string(),
            }}
        </text>
    }
    .into_any()
}

fn id_of(row: usize, sector: usize) -> String {
    format!("fan-{row}-{sector}")
}

fn middle_of(row: usize, sector: usize) -> (f64, f64) {
    let x = SECTOR * (sector as f64 + 0.5);
    (x, ROW * (row as f64 + 0.5) + bend(x))
}

fn row_name(row: usize, sector: usize) -> AnyView {
    let (x, y) = middle_of(row, sector);
    view! {
        <text class="fan-row" x=x y=y - 20.0>
            {ROWS[row].1}
        </text>
    }
    .into_any()
}

/// The direction of the touched point, when the session takes points.
fn direction_of(practice: Practice, event: &MouseEvent, sector: Sector) -> Option<f64> {
    if untrack(|| practice.choice(names::session::TOUCH)).as_deref() != Some("point") {
        return None;
    }
    let bounds = target_of(event)?.get_bounding_client_rect();
    let across = (f64::from(event.client_x()) - bounds.left()) / bounds.width();
    // Within the sector, however the pixels fall.
    let off = (across - 0.5).clamp(-0.49, 0.49) * SECTOR_DEG;
    Some(sector.direction_deg() + off)
}

fn log(practice: Practice, result: ContactResult, sector: Sector, touched_deg: Option<f64>) {
    practice.touch(Touch {
        result,
        direction_deg: Some(touched_deg.unwrap_or(sector.direction_deg())),
        by_point: touched_deg.is_some(),
    });
}

fn log_bare(practice: Practice, result: ContactResult) {
    practice.touch(Touch {
        result,
        direction_deg: None,
        by_point: false,
    });
}

/// A key on the fan.
fn key(practice: Practice, (at, marks): (RwSignal<Place>, Marks), event: &KeyboardEvent) {
    if event.ctrl_key() || event.meta_key() || event.alt_key() {
        return;
    }
    let (row, sector) = at.get_untracked();
    let key = event.key();
    let to = match key.as_str() {
        "ArrowLeft" => (row, sector.saturating_sub(1)),
        "ArrowRight" => (row, (sector + 1).min(Sector::ALL.len() - 1)),
        "ArrowUp" => (row.saturating_sub(1), sector),
        "ArrowDown" => ((row + 1).min(ROWS.len() - 1), sector),
        other => {
            // Held down, a key repeats; a ball is logged once.
            if event.repeat() || logged_by(practice, other, (row, sector), (at, marks)) {
                event.prevent_default();
            }
            return;
        }
    };
    event.prevent_default();
    go_to(at, to);
}

/// Logs what a key stands for; whether it stands for anything.
fn logged_by(
    practice: Practice,
    key: &str,
    (row, sector): Place,
    (at, marks): (RwSignal<Place>, Marks),
) -> bool {
    let log_in = |sector: usize| {
        marks.put(element_of((row, sector)), || {
            log(practice, ROWS[row].0, Sector::ALL[sector], None);
        });
    };
    let digit = key.bytes().next().filter(|_| key.len() == 1);
    match (key, digit) {
        ("Enter" | " ", _) => log_in(sector),
        (_, Some(digit @ b'1'..=b'7')) => {
            let sector = usize::from(digit - b'1');
            go_to(at, (row, sector));
            log_in(sector);
        }
        ("m" | "M", _) => log_bare(practice, ContactResult::Miss),
        ("f" | "F", _) => log_bare(practice, ContactResult::Foul),
        ("t" | "T", _) => log_bare(practice, ContactResult::Take),
        _ => return false,
    }
    true
}

fn go_to(at: RwSignal<Place>, to: Place) {
    at.set(to);
    if let Some(field) =
        element_of(to).and_then(|field| field.dyn_into::<web_sys::SvgElement>().ok())
    {
        // An element that cannot take the focus leaves it where it is.
        let _ = field.focus();
    }
}

fn element_of((row, sector): Place) -> Option<Element> {
    document().get_element_by_id(&id_of(row, sector))
}

fn target_of(event: &MouseEvent) -> Option<Element> {
    event.current_target()?.dyn_into().ok()
}

/// How what was touched looks until its ball is on disk.
const ON_ITS_WAY: &str = "on-its-way";

/// What was touched and is not on disk yet, in order: it answers the finger at once,
/// where the word that the ball is saved comes after the disk has it.
#[derive(Clone, Copy)]
struct Marks {
    practice: Practice,
    marked: StoredValue<VecDeque<Element>, LocalStorage>,
}

impl Marks {
    fn of(practice: Practice) -> Self {
        let marked = StoredValue::new_local(VecDeque::new());
        Effect::new(move |_| {
            let waiting = practice.waiting.get();
            marked.update_value(|marked: &mut VecDeque<Element>| {
                while marked.len() > waiting {
                    let Some(done) = marked.pop_front() else {
                        return;
                    };
                    if !marked.contains(&done) {
                        // Fails for no name of a class.
                        let _ = done.class_list().remove_1(ON_ITS_WAY);
                    }
                }
            });
        });
        Self { practice, marked }
    }

    /// Marks an element if `log` puts a ball on its way.
    fn put(self, element: Option<Element>, log: impl FnOnce()) {
        let before = self.practice.waiting.get_untracked();
        log();
        let is_on_its_way = self.practice.waiting.get_untracked() > before;
        if let Some(element) = element.filter(|_| is_on_its_way) {
            let _ = element.class_list().add_1(ON_ITS_WAY);
            self.marked.update_value(|marked| marked.push_back(element));
        }
    }
}

/// The latest balls of the turn, the last one with a ring.
fn dots(practice: Practice) -> AnyView {
    group((0..DOTS).map(|slot| slot_of(practice, slot)).collect())
}

fn slot_of(practice: Practice, slot: usize) -> AnyView {
    let shown = Memo::new(move |_| practice.turn.with(|turn| turn.dot(slot)));
    live(move || match shown.get() {
        Some((dot, is_last)) => one_dot(&dot, is_last),
        None => ().into_any(),
    })
}

fn one_dot(dot: &Dot, is_last: bool) -> AnyView {
    let Some(row) = ROWS.iter().position(|(result, _)| *result == dot.result) else {
        return ().into_any();
    };
    let x = MIDDLE + dot.direction_deg / FAIR_DEG * MIDDLE;
    // Beside each other where several fell on one spot.
    let step = (dot.place % 5) as f64 * 9.0;
    let x = x - 18.0 + step;
    // Between the row's name and the number.
    let y = ROW * (row as f64 + 0.5) + bend(x) + 2.0;
    let radius = if is_last { 13.0 } else { 7.0 };
    view! { <circle class="dot" class:last=is_last cx=x cy=y r=radius /> }.into_any()
}

/// A large button for a ball without direction.
fn large(practice: Practice, marks: Marks, result: ContactResult) -> AnyView {
    let count = move || match practice.turn.with(|turn| turn.of_result(result)) {
        0 => String::new(),
        n => format!(" {n}"),
    };
    let touched = move |event: MouseEvent| {
        marks.put(target_of(&event), || log_bare(practice, result));
    };
    view! {
        <button type="button" on:click=touched>
            {result.name()}
            <small>{count}</small>
        </button>
    }
    .into_any()
}
