//! The loop's first page: its elevation, and what vessel, panel and glass say of one level.
//!
//! Without a script the controls are a form that is drawn again by the server, computed by the core. With one, the page
//! fetches the core's table, and the script moves what the server drew. The table is fetched and not written into the
//! page: the first picture comes without waiting for it, and the page stays free of anything that looks like a script.

mod controls;

use std::sync::Arc;

use askama::Template;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::measurement::elevation::{
    ElevationReading, elevation_reading, elevation_table,
};
use halfglass_core::quantity::TrueLevel;
use halfglass_figure::{ElevationDrawing, Layout, Part, elevation};
use halfglass_folder::LoopName;
use halfglass_loopfile::line_and_column;
use halfglass_report::block::{Block, Table};
use halfglass_report::cautions;
use halfglass_report::elevation::{Said, at_json, said, table_json};
use halfglass_report::units::DisplayUnits;

use super::folder::standing;
use crate::frame::{Frame, answer, drawn, loop_address};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Opened, Workbench, run_aside};
use controls::{Asked, Controls};

/// Findings that are told on this page; the others are on their sheet.
const GRAVEST: usize = 3;

#[derive(Template)]
#[template(path = "elevation.html")]
struct ElevationPage {
    frame: Frame,
    address: String,
    /// Tag and service; empty where the file has no loop.
    tag: String,
    service: String,
    is_draft: bool,
    placeholders: usize,
    picture: Option<Picture>,
    problems: Vec<ProblemRow>,
    /// Why a loop without problems has no sheets.
    no_sheets: String,
}

struct Picture {
    wide: String,
    narrow: String,
    said: Said,
    controls: Controls,
    /// What was asked for and is not what is drawn, one sentence each.
    notes: Vec<String>,
    has_glass: bool,
    /// How many findings of each severity, in words.
    standing: String,
    gravest: Vec<FindingWords>,
    losses: Option<Table>,
    empty_glass: &'static str,
    parts: Vec<(String, &'static str)>,
}

struct FindingWords {
    word: &'static str,
    what: String,
    consequence: String,
}

struct ProblemRow {
    line: usize,
    code: &'static str,
    message: String,
    help: String,
    /// Address of the line in the text of the file.
    address: String,
}

/// `GET /loops/{name}?water=..&leg=..&level=..`.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    // In one go: many tablets ask for this page, and each way aside and back waits for its turn.
    run_aside(move || {
        let opened = bench.opened(name)?;
        let rest = format!("{} {asked:?} {chosen:?}", opened.name);
        let html = bench.page(&opened.stored, &rest, || {
            drawn(&made(&opened, &asked, chosen)?)
        })?;
        Ok(answer(html))
    })
    .await
}

fn made(opened: &Opened, asked: &Asked, chosen: Preferences) -> Result<ElevationPage, Refusal> {
    let designed = &opened.designed;
    let address = loop_address(&opened.name);
    let described = designed.described();
    let tag = described.map_or_else(String::new, |d| d.identity.tag.clone());
    let picture = match designed.sheets() {
        Some((described, sheets)) => {
            let units = chosen.units_of(described);
            let standing = standing(designed).0;
            Some(picture(
                described, sheets, &units, asked, &address, standing,
            )?)
        }
        None => None,
    };
    let title = if tag.is_empty() {
        opened.name.to_string()
    } else {
        tag.clone()
    };
    let placeholders = described.map_or(0, |d| d.placeholders.len());
    Ok(ElevationPage {
        frame: Frame::of_loop(&opened.name, title, "elevation", chosen),
        service: described.map_or_else(String::new, |d| d.identity.service.clone()),
        tag,
        is_draft: placeholders > 0,
        placeholders,
        picture,
        problems: problems(opened, &address),
        no_sheets: match &**designed {
            crate::designed::Designed::NoSheets(_, reason) => reason.clone(),
            _ => String::new(),
        },
        address,
    })
}

fn picture(
    described: &Loop,
    sheets: &Sheets,
    units: &DisplayUnits,
    asked: &Asked,
    address: &str,
    standing: String,
) -> Result<Picture, Refusal> {
    let (reading, notes) = read(described, sheets, units, asked)?;
    let words = said(described, sheets, units, &reading);
    let sheets_address = format!("{address}/sheets/");
    let drawing = ElevationDrawing {
        described,
        sheets,
        units,
        reading: &reading,
        said: &words,
        sheets_address: &sheets_address,
    };
    let losses = halfglass_report::section("signal-loss", described, sheets, units)
        .and_then(|section| section.blocks.into_iter().find_map(table_of));
    Ok(Picture {
        wide: elevation(&drawing, Layout::Wide),
        narrow: elevation(&drawing, Layout::Narrow),
        controls: Controls::of(described, sheets, units, &reading, address)?,
        said: words,
        notes,
        has_glass: described.glass.is_some(),
        standing,
        gravest: sheets
            .findings
            .iter()
            .take(GRAVEST)
            .map(|finding| FindingWords {
                word: finding.severity.word(),
                what: halfglass_report::as_printed(&finding.what),
                consequence: halfglass_report::as_printed(&finding.consequence),
            })
            .collect(),
        losses,
        empty_glass: cautions::empty_glass(described.vessel.kind),
        parts: Part::ALL
            .into_iter()
            .filter(|part| *part != Part::Glass || described.glass.is_some())
            .map(|part| (format!("{sheets_address}{}", part.sheet()), part.words()))
            .collect(),
    })
}

fn table_of(block: Block) -> Option<Table> {
    match block {
        Block::Table(table) => Some(table),
        _ => None,
    }
}

/// The reading that was asked for, and what had to be told about it.
fn read(
    described: &Loop,
    sheets: &Sheets,
    units: &DisplayUnits,
    asked: &Asked,
) -> Result<(ElevationReading, Vec<String>), Refusal> {
    let at = asked.place(described, sheets, units)?;
    let reading = elevation_reading(
        described,
        sheets.range.chosen,
        at.water_k,
        at.leg_k,
        TrueLevel::from_m(at.level_m),
    )
    .map_err(|error| no_reading(&error.to_string()))?;
    Ok((reading, at.notes))
}

fn no_reading(reason: &str) -> Refusal {
    Refusal::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "no-elevation",
        format!("the elevation cannot be computed: {reason}"),
        "Look at the range sheet, which says more.",
    )
}

/// Problems with their lines.
fn problems(opened: &Opened, address: &str) -> Vec<ProblemRow> {
    opened
        .designed
        .problems()
        .iter()
        .map(|problem| {
            let (line, _) = line_and_column(&opened.stored.bytes, problem.primary.span.start);
            ProblemRow {
                line,
                code: problem.code,
                message: problem.message.clone(),
                help: problem.help.clone().unwrap_or_default(),
                address: format!("{address}/text#line-{line}"),
            }
        })
        .collect()
}

/// `GET /loops/{name}/elevation.json`: the table; with `water`, `leg` or `level` also the reading there, computed.
pub(crate) async fn data(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let opened = bench.open(&name).await?;
    run_aside(move || {
        let Some((described, sheets)) = opened.designed.sheets() else {
            return Err(Refusal::new(
                StatusCode::UNPROCESSABLE_ENTITY,
                "no-sheets",
                "the loop file has problems, so there is no elevation",
                "Mend the problems listed on the loop's page.",
            ));
        };
        let units = chosen.units_of(described);
        if asked.is_anything() {
            let (reading, _) = read(described, sheets, &units, &asked)?;
            let json = at_json(described, sheets, &units, &reading);
            return Ok(([(CACHE_CONTROL, "no-store")], Json(json)).into_response());
        }
        let rest = format!("table {:?}", chosen.units);
        let json = bench.page(&opened.stored, &rest, || {
            let top_m = sheets.level_map.shell_top_m;
            let table = elevation_table(described, sheets.range.chosen, top_m)
                .map_err(|error| no_reading(&error.to_string()))?;
            let json = table_json(described, sheets, &units, &table);
            Ok(json.to_string().into())
        })?;
        let head = [
            (CACHE_CONTROL, "no-store"),
            (CONTENT_TYPE, "application/json"),
        ];
        Ok((head, json).into_response())
    })
    .await
}

#[cfg(test)]
mod tests;
