//! Paragraphs. Functions and not views in place, so that they are compiled once.

use leptos::prelude::*;

/// A paragraph of the class "line", or another.
pub fn line(class: &'static str, text: impl Into<String>) -> AnyView {
    paragraph(class, None, text.into())
}

/// A paragraph that screen readers say when it changes.
pub fn said(class: &'static str, text: impl Into<String>) -> AnyView {
    paragraph(class, Some("status"), text.into())
}

/// What was refused, and why.
pub fn refusal(text: impl Into<String>) -> AnyView {
    said("refusal", text)
}

fn paragraph(class: &'static str, role: Option<&'static str>, text: String) -> AnyView {
    view! {
        <p class=class role=role>
            {text}
        </p>
    }
    .into_any()
}
