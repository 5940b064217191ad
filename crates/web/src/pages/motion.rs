//! The loop in motion: a scenario picked, run, and run again with something changed. SIMULATION stands on all of it.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::dynamics::draws::draws as many_draws;
use halfglass_core::dynamics::plant::plant;
use halfglass_core::dynamics::run::run;
use halfglass_core::finding::Assumption;
use halfglass_loopfile::{BUILT_IN, Problem, read_scenario};
use halfglass_report::block::Block;
use halfglass_report::sections::{LabelledDraws, LabelledRun, SIMULATION, draws, motion};
use serde::Deserialize;

use crate::blocks::DrawnSheet;
use crate::frame::{Frame, in_address, loop_address, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

/// What a person asks for; all of it stands in the address, so that a run can be kept and sent.
#[derive(Debug, Clone, Default, Deserialize)]
pub(crate) struct Asked {
    /// Name of a scenario.
    #[serde(default)]
    scenario: String,
    /// Changed for a second run beside the first; empty: as the scenario has it.
    #[serde(default)]
    range: String,
    #[serde(default)]
    settings: String,
    #[serde(default)]
    gain: String,
    #[serde(default)]
    reset: String,
    #[serde(default)]
    elements: String,
    #[serde(default)]
    rise: String,
    /// Not empty: with the band of many draws.
    #[serde(default)]
    band: String,
}

/// Draws of a run at most, and at least however long it is.
const DRAWS: (f64, f64) = (40.0, 6.0);
/// Time that all draws of a run cover together, s: what a page waits for.
const DRAWN_S: f64 = 40.0 * 3600.0;

/// Label of the run that a person changed.
const CHANGED: &str = "changed";

impl Asked {
    fn named(mut self) -> Result<(Self, &'static str), Refusal> {
        if self.scenario.is_empty() {
            self.scenario = BUILT_IN[0].0.to_owned();
        }
        let text = BUILT_IN
            .into_iter()
            .find(|(name, _)| *name == self.scenario)
            .map(|(_, text)| text)
            .ok_or_else(|| Refusal::not_found("there is no such scenario"))?;
        Ok((self, text))
    }

    /// What was changed, as lines of a variant of the scenario file.
    fn variant(&self) -> String {
        let stated = !(self.gain.trim().is_empty() && self.reset.trim().is_empty());
        let mut lines = String::new();
        let mut line = |key: &str, value: &str, is_text: bool| {
            if !value.trim().is_empty() {
                let value = if is_text {
                    serde_json::Value::from(value.trim()).to_string()
                } else {
                    value.trim().to_owned()
                };
                lines.push_str(&format!("{key} = {value}\n"));
            }
        };
        line("range", &self.range, true);
        line(
            "settings",
            if stated { "stated" } else { &self.settings },
            true,
        );
        line("gain", &self.gain, true);
        line("reset", &self.reset, true);
        let is_number = self.elements.chars().all(|c| c.is_ascii_digit());
        line("elements", &self.elements, !is_number);
        line("bubble-rise", &self.rise, true);
        lines
    }

    /// Is there a run beside the one as designed.
    fn is_changed(&self) -> bool {
        !self.variant().is_empty()
    }

    fn query(&self) -> String {
        [
            ("scenario", &self.scenario),
            ("range", &self.range),
            ("settings", &self.settings),
            ("gain", &self.gain),
            ("reset", &self.reset),
            ("elements", &self.elements),
            ("rise", &self.rise),
            ("band", &self.band),
        ]
        .into_iter()
        .filter(|(_, value)| !value.is_empty())
        .map(|(key, value)| format!("{key}={}", in_address(value)))
        .collect::<Vec<_>>()
        .join("&")
    }
}

#[derive(Template)]
#[template(path = "motion.html")]
struct MotionPage {
    frame: Frame,
    asked: Asked,
    /// Name and purpose.
    scenarios: Vec<(&'static str, String)>,
    /// What is wrong with what was typed.
    problems: Vec<Problem>,
    shown: Option<Shown>,
    query: String,
}

struct Shown {
    svg: String,
    sheet: DrawnSheet,
    /// Bands of many draws, where they are asked for.
    band: Option<(String, DrawnSheet)>,
}

/// Runs, what the vessel's model assumes, and the draws that are asked for; or the problems of what was typed.
type Runs = Result<(Vec<LabelledRun>, Vec<Assumption>, Vec<LabelledDraws>), Vec<Problem>>;

fn runs(described: &Loop, sheets: &Sheets, asked: &Asked, text: &str) -> Result<Runs, Refusal> {
    let variant = asked.variant();
    let text = if variant.is_empty() {
        text.to_owned()
    } else {
        // What a person changes stands beside the run as designed, not beside the file's own variants.
        let (base, _) = text.split_once("[[variant]]").unwrap_or((text, ""));
        format!("{base}\n[[variant]]\nlabel = \"{CHANGED}\"\n{variant}")
    };
    let file = match read_scenario(text.as_bytes()) {
        Ok(file) => file,
        Err(problems) => return Ok(Err(problems)),
    };
    let mut done = Vec::new();
    let mut assumptions = Vec::new();
    let mut of_runs = Vec::new();
    for (label, scenario) in file.runs {
        let refused = |error: &dyn std::fmt::Display| {
            Refusal::bad(
                "cannot-simulate",
                format!("this loop cannot be run so: {error}"),
                "Choose another scenario, or change what it starts from.",
            )
        };
        let mut vessel = plant(described, &scenario).map_err(|error| refused(&error))?;
        let run = run(described, sheets, &scenario, vessel.vessel.as_mut())
            .map_err(|error| refused(&error))?;
        if !asked.band.is_empty() {
            let count = (DRAWN_S / scenario.duration_s).clamp(DRAWS.1, DRAWS.0) as usize;
            of_runs.push(LabelledDraws {
                label: label.clone(),
                draws: many_draws(described, sheets, &scenario, count, scenario.seed)
                    .map_err(|error| refused(&error))?,
            });
        }
        done.push(LabelledRun { label, run });
        assumptions = vessel.assumptions;
    }
    Ok(Ok((done, assumptions, of_runs)))
}

/// `GET /loops/{name}/motion?scenario=NAME&...`.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let opened = bench.open(&name).await?;
    run_aside(move || {
        let (described, sheets) = opened.sheets()?;
        let (asked, text) = asked.named()?;
        let units = chosen.units_of(described);
        let mut frame = Frame::of_loop(&opened.name, "In motion (SIMULATION)", "motion", chosen);
        let query = asked.query();
        frame.address = format!("{}/motion?{query}", loop_address(&opened.name));
        let (problems, shown) = match runs(described, sheets, &asked, text)? {
            Err(problems) => (problems, None),
            Ok((runs, assumptions, of_runs)) => {
                let mut section = motion(described, &runs, &assumptions, &units);
                // The page says it at its head already.
                section
                    .blocks
                    .retain(|block| !matches!(block, Block::Caution(_)));
                let band = (!of_runs.is_empty()).then(|| {
                    let mut section = draws(described, &of_runs, &units);
                    section
                        .blocks
                        .retain(|block| !matches!(block, Block::Caution(_)));
                    (
                        halfglass_figure::draws(described, &of_runs, &units),
                        DrawnSheet::of(&section, &opened.name, (described, sheets), &units),
                    )
                });
                let shown = Shown {
                    svg: halfglass_figure::motion(described, &runs, &units),
                    sheet: DrawnSheet::of(&section, &opened.name, (described, sheets), &units),
                    band,
                };
                (Vec::new(), Some(shown))
            }
        };
        page(&MotionPage {
            frame,
            scenarios: BUILT_IN
                .into_iter()
                .filter_map(|(name, text)| {
                    Some((name, read_scenario(text.as_bytes()).ok()?.purpose))
                })
                .collect(),
            asked,
            problems,
            shown,
            query,
        })
    })
    .await
}

/// `GET /loops/{name}/motion.csv?...`: the samples of the same runs.
pub(crate) async fn samples(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let opened = bench.open(&name).await?;
    run_aside(move || {
        let (described, sheets) = opened.sheets()?;
        let (asked, text) = asked.named()?;
        // Samples are those of the runs; no band is drawn for them.
        let asked = Asked {
            band: String::new(),
            ..asked
        };
        let (runs, ..) = runs(described, sheets, &asked, text)?.map_err(|problems| {
            let words = problems
                .first()
                .map_or_else(String::new, |problem| problem.message.clone());
            Refusal::bad(
                "scenario-problem",
                words,
                "Go back and change what was typed.",
            )
        })?;
        let csv = halfglass_report::samples::csv(&runs)
            .map_err(|_| Refusal::defect("the samples could not be written"))?;
        let file = format!(
            "attachment; filename=\"{SIMULATION}-{}.csv\"",
            asked.scenario
        );
        Ok((
            [
                (CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()),
                (CONTENT_DISPOSITION, file),
            ],
            csv,
        )
            .into_response())
    })
    .await
}

#[cfg(test)]
#[path = "motion_tests.rs"]
mod tests;
