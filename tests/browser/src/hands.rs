//! What a coach's hands do on the page: touch by name, type, pick.

use crate::phone::Phone;
use anyhow::Result;
use serde_json::{Value, json};
use std::time::Duration;
use thirtyfour::prelude::*;

/// The shown element among those that `arguments[0]` selects whose accessible
/// name is `arguments[1]`. (The name as far as this app uses the rules for it.)
pub(crate) const FIND: &str = "
    const [tags, name] = arguments;
    const nameOf = element => {
        const text = element.getAttribute('aria-label')
            || [...(element.labels || [])].map(label => label.innerText).join(' ')
            || element.innerText;
        return text.replace(/\\s+/g, ' ').trim();
    };
    const shown = element => element.checkVisibility({visibilityProperty: true});
    return [...document.querySelectorAll(tags)]
        .find(element => shown(element) && nameOf(element) === name) || null;
";

/// What can be touched by its name, as [`FIND`] selects it.
pub(crate) const BUTTONS: &str = "button, summary, a";

impl Phone {
    /// Finds the shown button (or disclosure, or link) of that name.
    ///
    /// # Errors
    /// When there is none within ten seconds.
    pub(crate) async fn button(&self, name: &str) -> Result<WebElement> {
        self.finds(&format!("for a button or link {name:?}"), async || {
            let arguments = vec![json!(BUTTONS), json!(name)];
            let found = self.driver.execute(FIND, arguments).await?;
            Ok(match found.json().is_null() {
                true => None,
                false => Some(found.element()?),
            })
        })
        .await
    }

    /// Touches the button (or disclosure, or link) of that name.
    ///
    /// # Errors
    /// When there is none.
    pub async fn touch(&self, name: &str) -> Result<()> {
        self.at_hand(async || {
            let button = self.button(name).await?;
            button.scroll_into_view().await?;
            Ok(button.click().await?)
        })
        .await
    }

    /// Touches a button inside the group of that name.
    ///
    /// # Errors
    /// When there is none.
    pub async fn touch_in(&self, group: &str, name: &str) -> Result<()> {
        let path = format!(
            "//*[@role='group' and @aria-label=\"{group}\"]//button[normalize-space()=\"{name}\"]"
        );
        self.at_hand(async || {
            let button = self.driver.query(By::XPath(&path)).first().await?;
            button.scroll_into_view().await?;
            Ok(button.click().await?)
        })
        .await
    }

    /// Whether a button inside a group is the pressed one.
    ///
    /// # Errors
    /// When there is no page.
    pub async fn is_pressed_in(&self, group: &str, name: &str) -> Result<bool> {
        let script = "const [group, name] = arguments;
             return [...document.querySelectorAll('[role=group]')]
               .filter(g => g.getAttribute('aria-label') === group)
               .some(g => [...g.querySelectorAll('button[aria-pressed=true]')]
                 .some(b => b.innerText.includes(name)));";
        let pressed = self.script(script, vec![json!(group), json!(name)]).await?;
        Ok(pressed == Value::Bool(true))
    }

    /// Waits until a button inside a group is the pressed one.
    ///
    /// # Errors
    /// When it is not within ten seconds.
    pub async fn is_answered(&self, group: &str, name: &str) -> Result<()> {
        self.waits_for(&format!("for {name:?} in {group:?}"), async || {
            self.is_pressed_in(group, name).await
        })
        .await
    }

    /// Types into the field whose label begins with `label`, in place of what
    /// stands there, and leaves the field.
    ///
    /// # Errors
    /// When there is none.
    pub async fn type_into(&self, label: &str, text: &str) -> Result<()> {
        // Set as the browser's own input does, so that long texts and signs
        // outside the keyboard pass too.
        let types = "const [field, text] = arguments; field.focus(); field.value = text;
             field.dispatchEvent(new Event('input', {bubbles: true}));
             field.dispatchEvent(new Event('change', {bubbles: true}));";
        self.at_hand(async || {
            let field = self.field(label).await?.to_json()?;
            self.script(types, vec![field, json!(text)]).await
        })
        .await?;
        Ok(())
    }

    /// What stands in the field whose label begins with `label`.
    ///
    /// # Errors
    /// When there is none.
    pub async fn value_of(&self, label: &str) -> Result<String> {
        let field = self.field(label).await?;
        Ok(field.prop("value").await?.unwrap_or_default())
    }

    /// What is said about the field whose label begins with `label`: the text of
    /// the element that describes it. Empty when nothing is said.
    ///
    /// # Errors
    /// When there is no such field.
    pub async fn said_about(&self, label: &str) -> Result<String> {
        let field = self.field(label).await?;
        let said = self
            .script(
                "return document.getElementById(
                     arguments[0].getAttribute('aria-describedby'))?.innerText ?? ''",
                vec![field.to_json()?],
            )
            .await?;
        Ok(said.as_str().unwrap_or_default().to_owned())
    }

    async fn field(&self, label: &str) -> Result<WebElement> {
        let path = format!(
            "//input[@id=//label[starts-with(normalize-space(), \"{label}\")]/@for] | \
             //label[starts-with(normalize-space(), \"{label}\")]//input"
        );
        Ok(self.driver.query(By::XPath(path)).first().await?)
    }

    /// Picks from the selection of that label.
    ///
    /// # Errors
    /// When there is no such choice.
    pub async fn pick(&self, label: &str, option: &str) -> Result<()> {
        let path = format!(
            "//label[starts-with(normalize-space(), \"{label}\")]\
             //option[normalize-space()=\"{option}\"]"
        );
        self.at_hand(async || {
            let option = self.driver.query(By::XPath(&path)).first().await?;
            Ok(option.click().await?)
        })
        .await
    }

    /// Adds a hitter from a home screen that has none yet.
    ///
    /// # Errors
    /// When a step fails.
    pub async fn add_first_hitter(&self, name: &str) -> Result<()> {
        self.sees("Add a hitter").await?;
        self.touch("Add a hitter").await?;
        self.type_into("First name or initials", name).await?;
        self.touch("Save hitter").await?;
        self.sees(name).await?;
        self.sees("Tap at lift").await
    }

    /// Taps the count button as a finger does: `pause` between lift and contact.
    ///
    /// # Errors
    /// When a step fails.
    pub async fn count_once(&self, pause: Duration) -> Result<()> {
        self.touch("Tap at lift").await?;
        tokio::time::sleep(pause).await;
        self.touch("Tap at contact").await?;
        self.sees("Tap at lift").await?;
        // No finger is back so soon: the page takes a press right after the last for one
        // that bounced.
        tokio::time::sleep(FINGER_BACK).await;
        Ok(())
    }
}

/// From one press of a finger to the next, at the least; more than the page takes for a
/// bounce.
pub const FINGER_BACK: Duration = Duration::from_millis(100);
