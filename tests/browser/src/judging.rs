//! What several tests judge a page by: violations of accessibility rules, and the
//! time from an event to the frame that shows what it does.

use crate::phone::Phone;
use crate::{Screen, axe_source};
use anyhow::Result;
use serde_json::{Value, json};

/// Times one event to the end of the frame that shows what it does, as
/// `window.tapMs`. Arguments: the event's kind, and what is true once it is shown.
pub const TIME_EVENT: &str = "
    const [kind, shown] = arguments;
    const isShown = new Function('return ' + shown);
    window.tapMs = null;
    addEventListener(kind, event => {
        const look = () => {
            if (!isShown()) return requestAnimationFrame(look);
            const painted = new MessageChannel();
            painted.port1.onmessage = () => window.tapMs = performance.now() - event.timeStamp;
            painted.port2.postMessage(null);
        };
        requestAnimationFrame(look);
    }, {capture: true, once: true});
";

/// The least size of anything to touch, CSS pixels.
const LEAST: u32 = 48;

/// What is badly laid out. Arguments: that size, and the screen's width.
const LAYOUT: &str = "
    const [least, width] = arguments;
    const wrong = [];
    const shown = element => element.checkVisibility({visibilityProperty: true,
        opacityProperty: true});
    const unseen = element => element
        && (getComputedStyle(element).clipPath === 'inset(50%)' || unseen(element.parentElement));
    const named = element => `${element.tagName.toLowerCase()}.${element.className} \
\"${(element.ariaLabel || element.innerText || element.value || '').slice(0, 40)}\"`;
    const root = document.documentElement;
    if (root.scrollWidth > width)
        wrong.push(`scrolls sideways: ${root.scrollWidth} px of ${width}`);
    const ownText = element => [...element.childNodes].some(
        node => node.nodeType === Node.TEXT_NODE && node.textContent.trim());
    for (const element of document.body.querySelectorAll('*')) {
        // Texts for screen readers alone are cut on purpose, long names too.
        if (!shown(element) || element.closest('option') || unseen(element)) continue;
        const box = element.getBoundingClientRect();
        if (ownText(element) || element.matches('input, select')) {
            const cutWide = element.scrollWidth > element.clientWidth + 1
                && getComputedStyle(element).display !== 'inline';
            // What stands in a field may be longer than the field.
            if (cutWide && !element.matches('.name, input'))
                wrong.push(`text is cut: ${named(element)}`);
            if (element.scrollHeight > element.clientHeight + 1
                && ['hidden', 'clip'].includes(getComputedStyle(element).overflowY))
                wrong.push(`text is cut below: ${named(element)}`);
            if (box.left < -0.5 || box.right > width + 0.5)
                wrong.push(`beyond the edge: ${named(element)}`);
        }
        if (element.matches('button, input, select, summary, a.way')
            && (box.height < least - 0.01 || box.width < least - 0.01))
            wrong.push(`small to touch, ${box.width.toFixed(1)}x${box.height.toFixed(1)}: \
${named(element)}`);
    }
    return [...new Set(wrong)];";

/// What axe finds. Argument: whether the page is shown for bright sun.
const AXE: &str = "
    const sun = args[0];
    // Scrolled down, what lies under the heading cannot be judged.
    scrollTo({top: 0, behavior: 'instant'});
    const rules = sun ? {'color-contrast-enhanced': {enabled: true}} : {};
    const {violations, passes, incomplete} = await axe.run(document, {
        runOnly: {type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa',
            'wcag22aa', 'best-practice']},
        rules,
    });
    const looked = rule => [...violations, ...passes].some(found => found.id === rule);
    for (const rule of ['color-contrast', 'button-name'].concat(Object.keys(rules)))
        if (!looked(rule)) throw new Error(`axe did not look at ${rule}`);
    // A description by id must find the one that is meant.
    const ids = [...document.querySelectorAll('[id]')].map(element => element.id);
    const twice = [...new Set(ids.filter((id, n) => ids.indexOf(id) !== n))];
    // One sign alone ('+') axe cannot judge, nor words in a drawing, whose background it
    // does not know; their like in words it does.
    const unsure = incomplete
        .filter(rule => rule.id.startsWith('color-contrast'))
        .map(rule => ({...rule, nodes: rule.nodes.filter(
            node => !node.html.startsWith('<text') && node.any.every(
            check => !['shortTextContent', 'nonBmp'].includes(check.data?.messageKey)))}))
        .filter(rule => rule.nodes.length);
    return [...violations, ...unsure].map(({id, help, nodes}) => `${id}: ${help}: \
${nodes.slice(0, 3).map(node => node.html.slice(0, 120)).join(' | ')} (${nodes.length})`).concat(twice.map(id => `more than one element has the id ${id}`));";

impl Phone {
    /// Violations of axe's default rules and the best practices; in bright sun also of
    /// the enhanced contrast (7 to 1). Contrast that axe cannot tell counts too.
    ///
    /// # Errors
    /// When there is no page, or axe did not look.
    pub async fn violations(&self, in_sun: bool) -> Result<Vec<String>> {
        let there = "return typeof window.axe === 'object'";
        if self.script(there, vec![]).await? != Value::Bool(true) {
            let axe = axe_source()?;
            self.script(&format!("{axe}; window.axe = axe;"), vec![])
                .await?;
        }
        let found = self.script_async(AXE, vec![json!(in_sun)]).await?;
        Ok(serde_json::from_value(found)?)
    }

    /// Sideways scrolling, cut text, and small things to touch, each with `at` and the
    /// size of the screen.
    ///
    /// # Errors
    /// When there is no page.
    pub async fn badly_laid_out(&self, screen: Screen, at: &str) -> Result<Vec<String>> {
        // The screen's width, not the page's own idea of it: a phone makes a page
        // that is too wide smaller until it fits.
        let Screen { width, height } = screen;
        let arguments = vec![json!(LEAST), json!(width)];
        let wrong: Vec<String> = serde_json::from_value(self.script(LAYOUT, arguments).await?)?;
        Ok(wrong
            .into_iter()
            .map(|what| format!("{at}, {width}x{height}: {what}"))
            .collect())
    }
}
