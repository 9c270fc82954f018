//! Number fields of the question and of the equipment it names.

use super::Asked;
use crate::parts::number_field;
use crate::state::{Desk, Entry, SetUpQuestion};
use flight::{Field, Range, allowed};
use leptos::prelude::*;
use notebook::RecordId;

/// Reads a number out of the question.
pub type Of = fn(&SetUpQuestion) -> f64;

/// A number of the question itself, kept by its name.
pub fn of_set_up(field: Field, label: &'static str, name: &'static str, of: Of) -> AnyView {
    let desk = expect_context::<Desk>();
    let Asked { question, .. } = Asked::now();
    number_field(
        field,
        label,
        Signal::derive(move || question.get().allowed(field)),
        Signal::derive(move || of(&question.get())),
        Callback::new(move |value| desk.edit_set_up(vec![Entry::Number(name, value)])),
    )
}

/// A number of a machine or cage, which the question has taken over.
pub fn of_equipment(
    id: RecordId,
    field: Field,
    label: &'static str,
    name: &'static str,
    of: Of,
) -> AnyView {
    let desk = expect_context::<Desk>();
    let Asked { question, .. } = Asked::now();
    // Room to a side is counted from the middle line outward.
    let range = match field {
        Field::FeedSide => Range {
            min: 0.0,
            ..allowed(field)
        },
        field => allowed(field),
    };
    number_field(
        field,
        label,
        Signal::stored(range),
        Signal::derive(move || of(&question.get())),
        Callback::new(move |value| desk.edit_equipment(id, &Entry::Number(name, value))),
    )
}

/// A number that is not kept.
pub fn passing(field: Field, label: &'static str, range: Range, value: RwSignal<f64>) -> AnyView {
    number_field(
        field,
        label,
        Signal::stored(range),
        value.into(),
        Callback::new(move |given| value.set(given)),
    )
}
