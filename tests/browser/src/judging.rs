//! What several tests judge a page by: violations of accessibility rules, and the
//! time from an event to the frame that shows what it does.

use crate::Phone;
use anyhow::Result;
use serde_json::json;

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

impl Phone {
    /// Violations of axe's default rules and the best practices; in bright sun also of
    /// the enhanced contrast (7 to 1). The page must have axe already.
    ///
    /// # Errors
    /// When there is no page, or axe did not look.
    pub async fn violations(&self, in_sun: bool) -> Result<Vec<String>> {
        let body = "
        scrollTo({top: 0, behavior: 'instant'});
        const rules = args[0] ? {'color-contrast-enhanced': {enabled: true}} : {};
        const {violations, passes} = await axe.run(document, {
            runOnly: {type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa',
                'wcag22aa', 'best-practice']},
            rules,
        });
        const looked = rule => [...violations, ...passes].some(found => found.id === rule);
        for (const rule of ['color-contrast', 'button-name'].concat(Object.keys(rules)))
            if (!looked(rule)) throw new Error(`axe did not look at ${rule}`);
        const ids = [...document.querySelectorAll('[id]')].map(element => element.id);
        const twice = [...new Set(ids.filter((id, n) => ids.indexOf(id) !== n))];
        return violations.map(({id, help, nodes}) => `${id}: ${help}: \
${nodes.slice(0, 3).map(node => node.html.slice(0, 160)).join(' | ')} (${nodes.length})`)
            .concat(twice.map(id => `more than one element has the id ${id}`));";
        let found = self.script_async(body, vec![json!(in_sun)]).await?;
        Ok(serde_json::from_value(found)?)
    }
}
