//! An automatic checker of accessibility on every page, in both themes: axe-core from npm.
//!
//! **Source:** WCAG 2.2, levels A and AA, as axe-core 4.14 checks them.

use serde_json::{Value, json};

use crate::harness::{Visit, project, visit};
use crate::screens::PAGES;

/// Runs the checker on the page that is open; every violation in words.
pub(crate) async fn violations(visit: &Visit) -> Vec<String> {
    let place = project().join("target/browser-tests/node_modules/axe-core/axe.min.js");
    let source = std::fs::read_to_string(&place).unwrap_or_else(|error| {
        panic!(
            "{}: {error}; `cargo xtask setup` fetches axe-core",
            place.display()
        )
    });
    visit.client.execute(&source, Vec::new()).await.unwrap();
    let tags = json!([
        "wcag2a",
        "wcag2aa",
        "wcag21a",
        "wcag21aa",
        "wcag22aa",
        "best-practice"
    ]);
    let found = visit
        .client
        .execute_async(
            "const done = arguments[arguments.length - 1]; axe.run(document, {runOnly: {type: 'tag', values: arguments[0]}}).then(r => done(r.violations.map(v => v.id + ': ' + v.help + ' at ' + v.nodes.slice(0, 5).map(n => n.target.join(' ') + ' (' + (n.any[0] ? n.any[0].message : '') + ')').join('; '))), e => done([String(e)]))",
            vec![tags],
        )
        .await
        .unwrap();
    match found {
        Value::Array(found) => found
            .into_iter()
            .map(|violation| violation.as_str().unwrap_or_default().to_owned())
            .collect(),
        other => vec![format!("the checker answered {other}")],
    }
}

#[test]
fn practice_every_page_passes_the_checker_in_both_themes() {
    visit(async |visit| {
        let mut all = Vec::new();
        for dark in [false, true] {
            visit.dark(dark).await;
            for (width, height) in [(1440, 900), (360, 740)] {
                visit.screen(width, height).await;
                for (name, path) in PAGES {
                    visit.open(path).await;
                    for violation in violations(visit).await {
                        all.push(format!("{name} at {width}, dark {dark}: {violation}"));
                    }
                }
            }
        }
        assert!(
            all.is_empty(),
            "{} violations:\n{}",
            all.len(),
            all.join("\n")
        );
    });
}
