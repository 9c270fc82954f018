//! Views that change, and views side by side, with one type each: Leptos compiles
//! its machinery once for every type of view, and that is most of the download.

use leptos::prelude::*;

/// A view that is made again whenever what it reads changes.
pub fn live(view: impl Fn() -> AnyView + Send + Sync + 'static) -> AnyView {
    boxed(Box::new(view))
}

fn boxed(view: Box<dyn Fn() -> AnyView + Send + Sync>) -> AnyView {
    (move || view()).into_any()
}

/// A paragraph whose text changes; screen readers say it when it does.
pub fn live_line(
    class: &'static str,
    text: impl Fn() -> String + Send + Sync + 'static,
) -> AnyView {
    line_boxed(class, Box::new(text))
}

fn line_boxed(class: &'static str, text: Box<dyn Fn() -> String + Send + Sync>) -> AnyView {
    view! {
        <p class=class role="status">
            {move || text()}
        </p>
    }
    .into_any()
}

/// Views one after the other.
pub fn group(parts: Vec<AnyView>) -> AnyView {
    parts.into_any()
}

/// A heading inside a panel.
pub fn heading(text: &'static str) -> AnyView {
    view! { <h3>{text}</h3> }.into_any()
}

/// A heading of an entry right below a page's part.
pub fn entry_heading(text: impl Into<String>) -> AnyView {
    let text: String = text.into();
    view! { <h3 class="item-title">{text}</h3> }.into_any()
}

/// A heading inside a fold or a list.
pub fn small_heading(text: impl Into<String>) -> AnyView {
    let text: String = text.into();
    view! { <h4 class="item-title">{text}</h4> }.into_any()
}
