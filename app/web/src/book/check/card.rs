//! One thing to ask or to look at, as text: a question from before the first phase,
//! or an item; and how it is shown.

use crate::parts::{group, line};
use coaching::check::{BEFORE, Phase, TILT};
use coaching::checklist::CheckList;
use leptos::prelude::*;

/// A question or an item, ready to show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Card {
    /// Stored id.
    pub id: String,
    /// Its phase; none of a question.
    pub phase: Option<Phase>,
    /// What a "yes" says.
    pub title: String,
    /// Name and text, in the order in which they are shown.
    texts: Vec<(&'static str, String)>,
    /// What to mind there; may be empty.
    caution: String,
}

/// The cards of a list: the questions, then the items. `tilt` is what the hitter's
/// level asks of the tilt.
pub fn cards(list: &CheckList, tilt: Option<&str>) -> Vec<Card> {
    let questions = BEFORE.iter().map(|question| Card {
        id: question.id.to_owned(),
        phase: None,
        title: question.title.to_owned(),
        texts: vec![("", question.ask.to_owned())],
        caution: String::new(),
    });
    let items = list.items.iter().map(|item| {
        let texts = [
            ("Good: ", item.good),
            ("Not yet: ", item.fault),
            ("", item.view.name()),
            ("How to see it: ", item.how),
            ("", tilt.filter(|_| item.id == TILT).unwrap_or_default()),
        ];
        let has_text = |(_, text): &(_, &str)| !text.is_empty();
        let owned = |(name, text): (_, &str)| (name, text.to_owned());
        Card {
            id: item.id.to_owned(),
            phase: Some(item.phase),
            title: item.title.to_owned(),
            texts: texts.into_iter().filter(has_text).map(owned).collect(),
            caution: match item.caution {
                Some(more) => format!("{} {more}", item.view.caution()),
                None => item.view.caution().to_owned(),
            },
        }
    });
    questions.chain(items).collect()
}

impl Card {
    /// Heading, texts and caution; the caution is never behind a fold. The heading is
    /// the caller's, who knows what it stands below.
    pub fn view(&self, heading: AnyView) -> AnyView {
        let text = |(name, text): &(&'static str, String)| {
            let (name, text) = (*name, text.clone());
            view! {
                <p class="line">
                    <strong>{name}</strong>
                    {text}
                </p>
            }
            .into_any()
        };
        let mut parts = vec![heading];
        parts.extend(self.texts.iter().map(text));
        if !self.caution.is_empty() {
            parts.push(line("line caution", self.caution.clone()));
        }
        group(parts)
    }
}
