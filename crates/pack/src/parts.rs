//! The order of the pack, and what the pack adds to the sheets.

use halfglass_core::measurement::sheets::Port;
use halfglass_report::block::{Block, FigureId, Section};
use halfglass_report::units::number;

use crate::limits::Limits;
use crate::pack::PackInput;
use crate::part::{Layout, PackBlock, Part, Record};
use crate::{checklist, manifold, steps};

/// Sections in the order of the pack, before and after the forms.
const SHEETS: [&str; 8] = [
    "survey",
    "level-map",
    "range",
    "error-map",
    "glass",
    "settings",
    "tuning",
    "signal-loss",
];
const AFTER_STEPS: [&str; 3] = ["findings", "assumptions", "workings"];

/// All parts after cover and contents.
pub(crate) fn in_order(
    input: &PackInput<'_>,
    sections: &[Section],
    limits: &Limits<'_>,
) -> Vec<Part> {
    let find = |id: &str| sections.iter().find(|section| section.id == id);
    let mut parts = Vec::new();
    for section in SHEETS.into_iter().filter_map(find) {
        parts.extend(sheet(input, section, limits));
    }
    parts.push(checklist::part(input.the_loop, input.units, limits));
    parts.push(manifold::part(
        input.the_loop,
        input.sheets,
        input.units,
        limits,
    ));
    parts.push(steps::part(steps::Context {
        described: input.the_loop,
        sheets: input.sheets,
        units: input.units,
        limits,
    }));
    for section in AFTER_STEPS.into_iter().filter_map(find) {
        parts.extend(sheet(input, section, limits));
    }
    parts
}

/// One section as one or more parts.
fn sheet(input: &PackInput<'_>, section: &Section, limits: &Limits<'_>) -> Vec<Part> {
    let report = |block: &Block| PackBlock::Report(block.clone());
    match section.id {
        "level-map" => {
            // The drawing opens the sheet; what it says in numbers follows.
            let (figures, rest): (Vec<&Block>, Vec<&Block>) = section
                .blocks
                .iter()
                .partition(|block| matches!(block, Block::Figure(_)));
            vec![Part::flow(
                section.title.clone(),
                figures.into_iter().chain(rest).map(report).collect(),
            )]
        }
        "range" => {
            let mut blocks: Vec<PackBlock> = section.blocks.iter().map(report).collect();
            blocks.push(PackBlock::NewPage);
            blocks.extend(test_record(input, limits));
            vec![Part::flow(section.title.clone(), blocks)]
        }
        "glass" => glass(section),
        _ => vec![Part::flow(
            section.title.clone(),
            section.blocks.iter().map(report).collect(),
        )],
    }
}

/// The glass sheet, its card on a page to cut out.
fn glass(section: &Section) -> Vec<Part> {
    let is_card =
        |block: &Block| matches!(block, Block::Figure(figure) if figure.id == FigureId::GlassCard);
    let card = section.blocks.iter().find_map(|block| match block {
        Block::Figure(figure) if figure.id == FigureId::GlassCard => Some(figure.clone()),
        _ => None,
    });
    let rest: Vec<PackBlock> = section
        .blocks
        .iter()
        .filter(|block| !is_card(block))
        .map(|block| PackBlock::Report(block.clone()))
        .collect();
    let mut parts = Vec::new();
    if !rest.is_empty() {
        parts.push(Part::flow(section.title.clone(), rest));
    }
    if let Some(figure) = card {
        parts.push(Part {
            title: "Glass card for the wall".into(),
            layout: Layout::Card,
            hint: "Cut along the dashed line once the comparison with the glass is signed, and post it beside the glass.".into(),
            blocks: vec![PackBlock::PageFigure(figure)],
        });
    }
    parts
}

/// Blank five-point records, as found and as left.
fn test_record(input: &PackInput<'_>, limits: &Limits<'_>) -> Vec<PackBlock> {
    let units = input.units;
    let five = limits.five_point;
    let record = |caption: &str, percent: f64, note: String| {
        PackBlock::Record(Record {
            caption: format!(
                "{caption}; differential and push in {}",
                units.differential_unit()
            ),
            columns: vec![
                "level, %".into(),
                "differential".into(),
                "port".into(),
                "push".into(),
                "wanted, mA".into(),
                "accept, mA".into(),
            ],
            blanks: vec![
                "up, mA".into(),
                "down, mA".into(),
                "error, %".into(),
                "pass, fail".into(),
            ],
            rows: input
                .sheets
                .range
                .test_points
                .iter()
                .map(|point| {
                    vec![
                        number(point.percent, 0),
                        units.differential_number(point.differential_pa),
                        match point.port {
                            Port::High => "high".to_owned(),
                            Port::Low => "low".to_owned(),
                        },
                        units.differential_number(point.magnitude_pa),
                        number(point.current_ma, 3),
                        limits.current_window(point.current_ma, percent),
                    ]
                })
                .collect(),
            note,
        })
    };
    let formula = "Error, % of span = 100 × (reading − wanted) / 16 mA.";
    vec![
        PackBlock::Report(Block::Heading("Five-point record".into())),
        PackBlock::Report(Block::Paragraph(format!(
            "Calibrator within {}, ammeter within {} (test uncertainty ratio 4 to 1). Limits are rounded down.",
            limits.differential(five.calibrator_percent),
            limits.current(five.calibrator_percent),
        ))),
        record(
            "AS FOUND, before any trim",
            five.as_found_percent,
            format!(
                "{formula} Accept ± {} of span: cell accuracy, calibrator, one year of drift. Outside: write it down, trim, and look for the cause.",
                limits.percent(five.as_found_percent),
            ),
        ),
        record(
            "AS LEFT, after range and trim",
            five.as_left_percent,
            format!(
                "{formula} Accept ± {} of span: cell accuracy and calibrator.",
                limits.percent(five.as_left_percent)
            ),
        ),
        PackBlock::Record(Record {
            caption: "Conditions of the test".into(),
            columns: vec!["".into()],
            blanks: vec!["as found".into(), "as left".into()],
            rows: [
                "Static pressure",
                "Ambient temperature",
                "Calibrator, serial, due",
                "Ammeter, serial, due",
                "Date, by whom, signature",
            ]
            .map(|row| vec![row.to_owned()])
            .into(),
            note: instruments(input),
        }),
    ]
}

/// Instruments that the loop file names.
fn instruments(input: &PackInput<'_>) -> String {
    let named: Vec<String> = input
        .the_loop
        .instruments
        .iter()
        .map(|instrument| {
            format!(
                "{} (serial {}, due {})",
                instrument.name, instrument.serial, instrument.due
            )
        })
        .collect();
    if named.is_empty() {
        "The loop file names no test instruments.".into()
    } else {
        format!("Named in the loop file: {}.", named.join("; "))
    }
}
