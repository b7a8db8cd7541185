//! What axe-core (Deque Systems, MPL-2.0, from npm) has against a page: WCAG 2.2 A and AA, and good
//! practice.

use crate::Phone;
use serde_json::Value;

/// Everything it finds, a line for each element; best practice included. `PEELCAST_AXE` names the
/// checker's file, which `cargo verify` installs.
pub async fn findings(phone: &Phone) -> Vec<String> {
    let there = "return typeof axe === 'object'";
    if phone.js(there, vec![]).await != Value::Bool(true) {
        let file = std::env::var("PEELCAST_AXE").expect("PEELCAST_AXE names axe.min.js");
        let source = std::fs::read_to_string(file).expect("the checker is there");
        phone
            .js(&format!("{source}; window.axe = axe;"), vec![])
            .await;
    }
    let look = "const found = await axe.run(document, { resultTypes: ['violations'] }); \
        return found.violations.flatMap((rule) => rule.nodes.map( \
            (node) => `${rule.id}: ${node.target.join(' ')}: ${node.failureSummary}`))";
    let found = phone.js_later(look, vec![]).await;
    let lines = found.as_array().expect("a list").iter();
    lines
        .map(|line| line.as_str().expect("a line").replace('\n', " "))
        .collect()
}
