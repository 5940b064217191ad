//! The loop on paper: the pack, the wall card, the figures.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use halfglass_core::description::{Loop, Paper, UnitSystem};
use halfglass_report::block::{Block, FigureId};
use halfglass_report::cautions;

use crate::blocks::{Printed, paper_word};
use crate::frame::{Frame, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{PackOf, Workbench, run_aside};

#[derive(Template)]
#[template(path = "print.html")]
struct PrintPage {
    frame: Frame,
    /// In which units and on which paper.
    words: String,
    why_not: Option<String>,
    invented: usize,
    /// Stem and caption of each figure that a sheet shows.
    figures: Vec<(&'static str, String)>,
}

#[derive(Template)]
#[template(path = "card.html")]
struct CardPage {
    frame: Frame,
    printed: Printed,
    drawing: String,
    empty_glass: &'static str,
    never_licenses: &'static str,
    trips: &'static str,
}

/// `GET /loops/{name}/print`.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let opened = bench.open(&name).await?;
    run_aside(move || {
        let frame = Frame::of_loop(&opened.name, "Pack and card", "print", chosen);
        let Some((described, sheets)) = opened.designed.sheets() else {
            return page(&PrintPage {
                frame,
                words: String::new(),
                why_not: Some(Refusal::no_sheets(&opened.name).what + "."),
                invented: 0,
                figures: Vec::new(),
            });
        };
        let units = chosen.units_of(described);
        let sections = halfglass_report::sections(described, sheets, &units);
        let blocks = sections.into_iter().flat_map(|section| section.blocks);
        page(&PrintPage {
            frame,
            words: printed_as(chosen, described),
            why_not: None,
            invented: described.placeholders.len(),
            figures: blocks
                .filter_map(|block| match block {
                    Block::Figure(figure) => Some((figure.id.stem(), figure.caption)),
                    _ => None,
                })
                .collect(),
        })
    })
    .await
}

fn printed_as(chosen: Preferences, described: &Loop) -> String {
    let paper = match chosen.paper.unwrap_or(described.identity.paper) {
        Paper::Letter => "Letter",
        Paper::A4 => "A4",
    };
    let units = match chosen.units_of(described).system {
        UnitSystem::Us => "inches, psi(g) and degF",
        UnitSystem::Si => "millimetres, bar(g) and degC",
    };
    format!("In {units}, on {paper} paper; both are chosen in the head of the page.")
}

#[derive(Debug, Default, serde::Deserialize)]
pub(crate) struct Keep {
    /// Any word: to keep as a file rather than to look at.
    keep: Option<String>,
}

/// `GET /loops/{name}/pack.pdf`.
pub(crate) async fn pack(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    Query(keep): Query<Keep>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let opened = bench.open(&name).await?;
    run_aside(move || {
        let (described, sheets) = opened.sheets()?;
        let units = chosen.units_of(described);
        let mut described = described.clone();
        if let Some(paper) = chosen.paper {
            described.identity.paper = paper;
        }
        let file_name = opened.name.file_name();
        let bytes = bench.pack(&PackOf {
            described: &described,
            sheets,
            units: &units,
            file_name: &file_name,
            sha256: opened.stored.revision.as_str(),
        })?;
        let as_what = if keep.keep.is_some() {
            "attachment"
        } else {
            "inline"
        };
        Ok(file(
            bytes,
            "application/pdf",
            as_what,
            &format!("{}.pdf", opened.name),
        ))
    })
    .await
}

/// `GET /loops/{name}/figures/{stem}.svg`.
pub(crate) async fn figure(
    State(bench): State<Arc<Workbench>>,
    Path((name, file_name)): Path<(String, String)>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let id = file_name
        .strip_suffix(".svg")
        .and_then(|stem| FigureId::ALL.into_iter().find(|id| id.stem() == stem))
        .ok_or_else(|| Refusal::not_found("there is no such figure"))?;
    let opened = bench.open(&name).await?;
    run_aside(move || {
        let (described, sheets) = opened.sheets()?;
        let svg = halfglass_figure::svg(id, described, sheets, &chosen.units_of(described));
        let file_name = format!("{}-{}.svg", opened.name, id.stem());
        Ok(file(
            svg.into_bytes(),
            "image/svg+xml",
            "attachment",
            &file_name,
        ))
    })
    .await
}

/// `GET /loops/{name}/card`: the glass card, one sheet of paper.
pub(crate) async fn card(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let opened = bench.open(&name).await?;
    run_aside(move || {
        let (described, sheets) = opened.sheets()?;
        let units = chosen.units_of(described);
        let title = format!("Glass card, {}", described.identity.tag);
        let mut frame = Frame::of_loop(&opened.name, title, "print", chosen);
        frame.address = format!("{}/card", frame.loop_address());
        frame.paper = paper_word(chosen.paper.unwrap_or(described.identity.paper));
        page(&CardPage {
            frame,
            printed: Printed::of(&opened, described),
            drawing: halfglass_figure::svg(FigureId::GlassCard, described, sheets, &units),
            empty_glass: cautions::empty_glass(described.vessel.kind),
            never_licenses: cautions::GLASS_NEVER_LICENSES,
            trips: cautions::TRIPS_ARE_INDEPENDENT,
        })
    })
    .await
}

/// A file as an answer. Its name is a loop's name, which holds nothing that a header cannot; others are left out.
fn file(bytes: Vec<u8>, kind: &'static str, as_what: &str, file_name: &str) -> Response {
    let plain: String = file_name
        .chars()
        .map(|c| {
            if c.is_ascii_graphic() && !matches!(c, '"' | '\\' | '%' | ';') {
                c
            } else {
                '-'
            }
        })
        .collect();
    (
        [
            (CONTENT_TYPE, kind.to_owned()),
            (CACHE_CONTROL, "no-store".to_owned()),
            (
                CONTENT_DISPOSITION,
                format!("{as_what}; filename=\"{plain}\""),
            ),
        ],
        bytes,
    )
        .into_response()
}
