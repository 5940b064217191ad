//! Parts to the JSON that the templates read.

use halfglass_core::finding::Severity;
use halfglass_report::block::{Align, Block, Figure, FigureId};
use serde_json::{Value, json};

use crate::part::{Layout, PackBlock, Part};

/// Virtual path of a figure.
pub(crate) fn figure_path(id: FigureId) -> String {
    format!("/figure/{}.svg", id.stem())
}

/// Height that a figure in the text may take, mm. A chart has the width of the text: drawn smaller its type would fall below
/// 7.5 pt.
const fn figure_height_mm(id: FigureId) -> u32 {
    match id {
        FigureId::LevelMap => 166,
        FigureId::GlassCard => 190,
        FigureId::RangeChart
        | FigureId::ErrorMap
        | FigureId::TuningResponse
        | FigureId::TuningWindow
        | FigureId::ValveChoice
        | FigureId::SupplyCurve
        | FigureId::UncertaintyBudget => 120,
        FigureId::LoopDrawing | FigureId::HookUp => 150,
    }
}

/// All parts, with the steps numbered through.
pub(crate) fn parts(parts: &[Part]) -> Value {
    let mut step_number = 0_u32;
    parts
        .iter()
        .map(|part| {
            let blocks = part.blocks.iter().map(|item| {
                if matches!(item, PackBlock::Step(_)) {
                    step_number += 1;
                }
                block(item, step_number)
            });
            let blocks = joined_cautions(blocks);
            json!({
                "title": part.title,
                "layout": match part.layout { Layout::Page => "page", Layout::Flow => "flow", Layout::Card => "card" },
                "hint": part.hint,
                "room": part.room_mm,
                "blocks": blocks,
            })
        })
        .collect()
}

/// Cautions that follow one another share a frame.
fn joined_cautions(blocks: impl Iterator<Item = Value>) -> Vec<Value> {
    let mut joined: Vec<Value> = Vec::new();
    for block in blocks {
        if block["kind"] == "caution"
            && let Some(last) = joined.last_mut()
            && last["kind"] == "caution"
            && let (Some(before), Some(more)) = (
                last["items"].as_array_mut(),
                block["items"].as_array().cloned(),
            )
        {
            before.extend(more);
            continue;
        }
        joined.push(block);
    }
    joined
}

fn figure(kind: &str, item: &Figure) -> Value {
    // A figure without words of its own is read out by its caption.
    let alt = if item.alt.trim().is_empty() {
        &item.caption
    } else {
        &item.alt
    };
    json!({
        "kind": kind, "path": figure_path(item.id), "caption": item.caption, "alt": alt,
        "height": figure_height_mm(item.id),
    })
}

fn block(item: &PackBlock, step_number: u32) -> Value {
    match item {
        PackBlock::Report(block) => report_block(block),
        PackBlock::PageFigure(item) => figure("page-figure", item),
        PackBlock::Checklist(items) => json!({
            "kind": "checklist",
            "items": items.iter().map(|check| json!({ "text": check.text, "limit": check.limit })).collect::<Vec<_>>(),
        }),
        PackBlock::Step(step) => json!({
            "kind": "step", "number": step_number, "title": step.title, "people": step.people,
            "instruments": step.instruments, "cautions": step.cautions, "actions": step.actions,
            "readings": step.readings.iter()
                .map(|reading| json!({ "what": reading.what, "limit": reading.limit })).collect::<Vec<_>>(),
            "may-be-struck-out": step.may_be_struck_out,
            "hold": step.hold,
        }),
        PackBlock::Record(record) => json!({
            "kind": "record", "caption": record.caption, "columns": record.columns, "blanks": record.blanks,
            "rows": record.rows, "note": record.note,
        }),
    }
}

fn report_block(block: &Block) -> Value {
    match block {
        Block::Heading(text) => json!({ "kind": "heading", "text": text }),
        Block::Paragraph(text) => json!({ "kind": "paragraph", "text": text }),
        Block::Caution(text) => json!({ "kind": "caution", "items": [text] }),
        Block::Values(rows) => json!({
            "kind": "values",
            "rows": rows.iter()
                .map(|row| json!({ "label": row.label, "value": row.value, "note": row.note })).collect::<Vec<_>>(),
        }),
        Block::Table(table) => json!({
            "kind": "table", "caption": table.caption, "rows": table.rows,
            "columns": table.columns.iter().map(|column| json!({
                "head": column.head,
                "align": match column.align { Align::Left => "left", Align::Right => "right" },
            })).collect::<Vec<_>>(),
        }),
        Block::Figure(item) => figure("figure", item),
        Block::Findings(rows) => json!({
            "kind": "findings",
            "rows": rows.iter().map(|row| json!({
                "severity": row.severity.word(), "code": row.code, "what": row.text[0], "consequence": row.text[1],
                "remedy": row.text[2], "input": row.input,
            })).collect::<Vec<_>>(),
        }),
        Block::Steps(items) => json!({ "kind": "steps", "items": items }),
        Block::Workings(rows) => json!({
            "kind": "workings",
            "rows": rows.iter().map(|row| json!({
                "title": row.title, "formula": row.formula, "inputs": row.inputs, "result": row.result,
                "source": row.source, "validity": row.validity,
            })).collect::<Vec<_>>(),
        }),
    }
}

/// Number of findings of each severity, gravest first; severities without a finding are left out.
pub(crate) fn severity_counts(
    severities: impl Iterator<Item = Severity> + Clone,
) -> Vec<(Severity, usize)> {
    [Severity::Stop, Severity::Warn, Severity::Note]
        .into_iter()
        .map(|severity| {
            (
                severity,
                severities
                    .clone()
                    .filter(|found| *found == severity)
                    .count(),
            )
        })
        .filter(|(_, count)| *count > 0)
        .collect()
}

#[cfg(test)]
mod tests {
    use halfglass_core::design::design;
    use halfglass_report::units::DisplayUnits;

    use super::*;

    /// Width of the text on the narrower of the two papers, A4 (ISO 216) less the margins of the template.
    const TEXT_WIDTH_MM: f64 = 210.0 - 27.0 - 17.0;
    /// Charts; drawings to scale, whose letters stand in narrow places.
    const LEAST_TYPE_PT: (f64, f64) = (7.5, 6.4);

    /// Numbers of all attributes that begin so.
    fn numbers(svg: &str, attribute: &str) -> Vec<f64> {
        svg.split(attribute)
            .skip(1)
            .filter_map(|rest| rest.split('"').next()?.parse().ok())
            .collect()
    }

    // Common practice for print that is read at arm's length.
    #[test]
    fn practice_type_of_figures_is_large_enough_in_print() {
        let mut small = Vec::new();
        for name in [
            "brewery-feed-tank",
            "district-deaerator",
            "inherited-cold-range",
            "laundry-shell-boiler",
            "paper-mill-drum-boiler",
        ] {
            let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
                .join(format!("../../examples/{name}.toml"));
            let described = halfglass_loopfile::read(&std::fs::read(path).unwrap()).unwrap();
            let sheets = design(&described).unwrap();
            let units = DisplayUnits::of(&described);
            let sections = halfglass_report::sections::sections(&described, &sheets, &units);
            for block in sections.iter().flat_map(|section| &section.blocks) {
                let Block::Figure(Figure { id, .. }) = block else {
                    continue;
                };
                let svg = halfglass_figure::svg(*id, &described, &sheets, &units);
                let view = svg.split("viewBox=\"").nth(1).unwrap();
                let view = view.split('"').next().unwrap();
                let sides: Vec<f64> = view
                    .split_whitespace()
                    .map(|side| side.parse().unwrap())
                    .collect();
                let tallest_mm = f64::from(figure_height_mm(*id));
                let mm = (TEXT_WIDTH_MM / sides[2]).min(tallest_mm / sides[3]);
                let sizes = numbers(&svg, "font-size=\"");
                assert!(!sizes.is_empty(), "{name}, {id:?}");
                let points = sizes.into_iter().fold(f64::INFINITY, f64::min) * mm * 72.0 / 25.4;
                let least = match id {
                    FigureId::LevelMap | FigureId::LoopDrawing | FigureId::HookUp => {
                        LEAST_TYPE_PT.1
                    }
                    FigureId::GlassCard => continue, // It takes a page of its own.
                    _ => LEAST_TYPE_PT.0,
                };
                if points < least {
                    small.push(format!("{name}, {id:?}: {points:.2} pt of {sides:?}"));
                }
            }
        }
        assert!(small.is_empty(), "{small:#?}");
    }
}
