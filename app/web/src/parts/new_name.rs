//! The name of something new, in a form: kept on the phone as it is typed, until it is
//! saved or given up.

use crate::device::settings;
use leptos::html::Input;
use leptos::prelude::*;

/// The field, and why what stands in it was refused.
#[derive(Clone, Copy)]
pub struct NewName {
    /// What it is called on the phone.
    form: &'static str,
    input: NodeRef<Input>,
    refused: RwSignal<Option<String>>,
}

impl NewName {
    /// A field of the form called so.
    pub fn of(form: &'static str) -> Self {
        Self {
            form,
            input: NodeRef::new(),
            refused: RwSignal::new(None),
        }
    }

    /// Whether something typed into such a form waits to be saved.
    pub fn waits(form: &str) -> bool {
        settings::typed(form).is_some_and(|typed| !typed.is_empty())
    }

    /// What stands in it.
    pub fn typed(self) -> String {
        let input = self.input.get_untracked();
        input.map_or_else(String::new, |input| input.value())
    }

    /// Says why it cannot be taken; what was typed stays.
    pub fn refuse(self, why: String) {
        self.refused.set(Some(why));
    }

    /// Empties it: it was taken, or given up.
    pub fn empty(self) {
        settings::set_typed(self.form, None);
        self.refused.set(None);
        if let Some(input) = self.input.get_untracked() {
            input.set_value("");
        }
    }

    /// The field with its label.
    pub fn field(self, label: &'static str) -> AnyView {
        let id = format!("{}-refusal", self.form);
        let refused = self.refused;
        view! {
            <label>
                <span>{label}</span>
                <input
                    type="text"
                    dir="auto"
                    autocomplete="off"
                    autocapitalize="words"
                    node_ref=self.input
                    value=settings::typed(self.form)
                    aria-describedby=id
                    aria-invalid=move || refused.with(Option::is_some).to_string()
                    on:input=move |event| {
                        settings::set_typed(self.form, Some(&event_target_value(&event)));
                    }
                />
            </label>
        }
        .into_any()
    }

    /// Why it was refused; below the form.
    pub fn refusal(self) -> AnyView {
        let id = format!("{}-refusal", self.form);
        let refused = self.refused;
        view! {
            <p id=id class="refusal" role="status">
                {move || refused.get()}
            </p>
        }
        .into_any()
    }
}
