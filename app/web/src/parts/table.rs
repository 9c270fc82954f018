//! Tables and sheets of figures. Functions and not views in place, so that they
//! are compiled once.

use leptos::prelude::*;

/// A table: its head (none when empty), and rows that begin with their name.
pub fn table(caption: &'static str, head: &[&str], rows: Vec<Vec<String>>) -> AnyView {
    let head: Vec<AnyView> = head
        .iter()
        .map(|name| match *name {
            // Above the names of the rows stands nothing.
            "" => view! { <td></td> }.into_any(),
            name => view! { <th scope="col">{name.to_owned()}</th> }.into_any(),
        })
        .collect();
    let head = (!head.is_empty()).then(|| {
        view! {
            <thead>
                <tr>{head}</tr>
            </thead>
        }
    });
    let rows: Vec<AnyView> = rows.into_iter().map(row).collect();
    view! {
        <table>
            {(!caption.is_empty()).then(|| view! { <caption>{caption}</caption> })} {head}
            <tbody>{rows}</tbody>
        </table>
    }
    .into_any()
}

fn row(cells: Vec<String>) -> AnyView {
    let cells: Vec<AnyView> = cells
        .into_iter()
        .enumerate()
        .map(|(place, text)| match place {
            0 => view! { <th scope="row">{text}</th> }.into_any(),
            _ => view! { <td>{text}</td> }.into_any(),
        })
        .collect();
    view! { <tr>{cells}</tr> }.into_any()
}

/// Names and what holds, one below the other, to read from a step away.
pub fn sheet(rows: Vec<(&'static str, String)>) -> AnyView {
    let rows: Vec<AnyView> = rows
        .into_iter()
        .map(|(name, text)| {
            view! {
                <div>
                    <dt>{name}</dt>
                    <dd>{text}</dd>
                </div>
            }
            .into_any()
        })
        .collect();
    view! { <dl class="sheet">{rows}</dl> }.into_any()
}

/// A list of things to mind.
pub fn cautions(list: Vec<String>) -> AnyView {
    let items: Vec<AnyView> = list
        .into_iter()
        .map(|text| view! { <li>{text}</li> }.into_any())
        .collect();
    view! { <ul class="cautions">{items}</ul> }.into_any()
}
