//! Numbers that a hitter may or may not have: a target, or none.

use crate::parts::{Units, name_field};
use crate::words::plain;
use coaching::count::Target;
use coaching::roster::FieldDistance;
use flight::{Field, Range, read_field};
use leptos::prelude::*;

/// Most characters of what was typed that a message repeats.
const ECHO: usize = 20;

/// A number that can be left empty.
#[derive(Clone, Copy)]
pub struct Optional {
    /// What it is called.
    pub label: &'static str,
    /// How it is read and shown.
    pub field: Field,
    /// What is allowed.
    pub range: Range,
}

/// The count to work toward.
pub const COUNT: Optional = Optional {
    label: "Target count",
    field: Field::Count,
    range: Range {
        min: Target::LOW_S,
        max: Target::HIGH_S,
        unit: "s",
    },
};

/// Rubber to plate, where the hitter plays.
pub const DISTANCE: Optional = Optional {
    label: "Field distance",
    field: Field::MachineDistance,
    range: Range {
        min: FieldDistance::LOW_FT,
        max: FieldDistance::HIGH_FT,
        unit: "ft",
    },
};

impl Optional {
    /// A value as it is shown and may be typed.
    fn shown(self, own: f64) -> String {
        match self.range.unit {
            "ft" => crate::parts::tape(own),
            unit => format!("{} {unit}", plain(own)),
        }
    }

    /// "1 s to 3 s".
    fn allowed(self) -> String {
        let Range { min, max, .. } = self.range;
        format!("{} to {}", self.shown(min), self.shown(max))
    }

    /// What was typed: a number in the range, or none.
    fn read(self, typed: &str, kept: &str) -> Result<Option<f64>, String> {
        let typed = typed.trim();
        if typed.is_empty() {
            return Ok(None);
        }
        let system = expect_context::<Units>().0.get_untracked();
        let read = read_field(self.field, self.range, typed, system);
        read.map(Some).map_err(|_| {
            let given: String = typed.chars().take(ECHO).collect();
            let kept = if kept.is_empty() { "none" } else { kept };
            format!(
                "{}: {} are allowed, or nothing, and \u{201c}{given}\u{201d} was given. Kept: {kept}.",
                self.label,
                self.allowed()
            )
        })
    }
}

/// The field of such a number: the one on disk, and what keeps a new one or says
/// why not. `beside` is said beside the range.
pub fn target_field(
    what: Optional,
    beside: String,
    value: Signal<Option<f64>>,
    keep: Callback<Option<f64>, Result<(), String>>,
) -> AnyView {
    let shown = Signal::derive(move || value.get().map_or_else(String::new, |own| what.shown(own)));
    let owner = Owner::current();
    let typed = move |typed: String| {
        let read = || what.read(&typed, &shown.get_untracked());
        // An event knows no context of its own.
        let read = match &owner {
            Some(owner) => owner.with(|| untrack(read)),
            None => untrack(read),
        };
        keep.run(read?)
    };
    view! {
        <div class="target">
            {name_field(what.label, shown, Callback::new(typed))}
            <small>{move || format!("{}, or empty. {beside}", what.allowed())}</small>
        </div>
    }
    .into_any()
}
