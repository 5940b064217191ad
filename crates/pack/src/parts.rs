//! The order of the pack, and what the pack adds to the sheets.

use halfglass_core::commissioning::{JudgedLimit, instrument_check};
use halfglass_core::measurement::sheets::{Port, Range};
use halfglass_core::measurement::signal::test_point;
use halfglass_core::quantity::TrueLevel;
use halfglass_report::block::{Block, FigureId, Section};
use halfglass_report::cautions;
use halfglass_report::sections::NOT_MADE;
use halfglass_report::units::number;

use crate::limits::{Limits, found_range};
use crate::pack::PackInput;
use crate::part::{LEAST_ROOM_MM, Layout, PackBlock, Part, Record};
use crate::steps::sentence;
use crate::{checklist, manifold, steps, test_record, words};

/// Sections in the order of the pack, before and after the forms.
const SHEETS: [&str; 12] = [
    "survey",
    "level-map",
    "range",
    "error-map",
    "glass",
    "uncertainty",
    "feedwater",
    "wiring",
    "settings",
    "tuning",
    "signal-loss",
    "purchase",
];
const AFTER_STEPS: [&str; 3] = ["findings", "assumptions", "workings"];

/// Room that the level map asks for, mm: its title and its figure.
const LEVEL_MAP_ROOM_MM: u32 = 172;

/// Room that a sheet asks for which opens with a tall figure or is read by itself, mm: it goes to a new page unless the page
/// before holds no more than the tail of another sheet.
const OWN_PAGE_ROOM_MM: u32 = 165;

/// Room that the glass sheet asks for, mm: the card follows on a page of its own, so nothing fills up its last one.
const GLASS_ROOM_MM: u32 = 160;

/// All parts after cover and contents.
pub(crate) fn in_order(
    input: &PackInput<'_>,
    sections: &[Section],
    limits: &Limits<'_>,
) -> Vec<Part> {
    let find = |id: &str| sections.iter().find(|section| section.id == id);
    let mut parts = Vec::new();
    // A sheet that is not made for want of inputs has no page.
    let is_made = |section: &&Section| !matches!(section.blocks.first(), Some(Block::Paragraph(words)) if words.starts_with(NOT_MADE));
    for section in SHEETS.into_iter().filter_map(find).filter(is_made) {
        parts.extend(sheet(input, section, limits));
        if section.id == "tuning" {
            parts.extend(test_record::part(input));
        }
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
    let kind = input.the_loop.vessel.kind;
    let report = |block: &Block| {
        PackBlock::Report(match block {
            // A vessel without fire has no low-water cutoff.
            Block::Caution(text) if text == cautions::TRIPS_ARE_INDEPENDENT => {
                Block::Caution(words::trips_are_independent(kind))
            }
            other => other.clone(),
        })
    };
    match section.id {
        "level-map" => {
            // The drawing opens the sheet; what it says in numbers follows.
            let (figures, rest): (Vec<&Block>, Vec<&Block>) = section
                .blocks
                .iter()
                .partition(|block| matches!(block, Block::Figure(_)));
            vec![Part {
                room_mm: LEVEL_MAP_ROOM_MM,
                ..Part::flow(
                    section.title.clone(),
                    figures.into_iter().chain(rest).map(report).collect(),
                )
            }]
        }
        "range" => {
            let mut blocks: Vec<PackBlock> = section.blocks.iter().map(report).collect();
            blocks.extend(test_record(input, limits));
            vec![Part {
                room_mm: OWN_PAGE_ROOM_MM,
                ..Part::flow(section.title.clone(), blocks)
            }]
        }
        "glass" => glass(section, report),
        "survey" => vec![Part::page(
            section.title.clone(),
            section.blocks.iter().map(report).collect(),
        )],
        "findings" | "feedwater" | "wiring" | "purchase" => vec![Part {
            room_mm: OWN_PAGE_ROOM_MM,
            ..Part::flow(
                section.title.clone(),
                section.blocks.iter().map(report).collect(),
            )
        }],
        _ => vec![Part::flow(
            section.title.clone(),
            section.blocks.iter().map(report).collect(),
        )],
    }
}

/// The glass sheet, its card on a page to cut out.
fn glass(section: &Section, report: impl Fn(&Block) -> PackBlock) -> Vec<Part> {
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
        .map(report)
        .collect();
    let mut parts = Vec::new();
    if !rest.is_empty() {
        parts.push(Part {
            room_mm: if card.is_some() {
                GLASS_ROOM_MM
            } else {
                LEAST_ROOM_MM
            },
            ..Part::flow(section.title.clone(), rest)
        });
    }
    if let Some(figure) = card {
        parts.push(Part {
            title: "Glass card for the wall".into(),
            layout: Layout::Card,
            room_mm: 0,
            hint: "Cut along the dashed line once the comparison with the glass is signed, and post it beside the glass.".into(),
            blocks: vec![PackBlock::PageFigure(figure)],
        });
    }
    parts
}

/// Percent of the panel at which a cell is tested.
const TEST_PERCENT: [f64; 5] = [0.0, 25.0, 50.0, 75.0, 100.0];

/// Blank five-point records, as found and as left.
fn test_record(input: &PackInput<'_>, limits: &Limits<'_>) -> Vec<PackBlock> {
    let units = input.units;
    let found = found_range(input.the_loop);
    let record = |caption: &str, range: Range, percent: f64, note: String| {
        let cell = &input.the_loop.cell;
        PackBlock::Record(Record {
            caption: format!(
                "{caption}; differential and push in {}",
                units.differential_unit()
            ),
            columns: vec![
                "panel, %".into(),
                "differential".into(),
                "port, push".into(),
                "wanted, mA".into(),
                "accept, mA".into(),
            ],
            blanks: vec![
                "up, mA".into(),
                "down, mA".into(),
                "error, %".into(),
                "pass, fail".into(),
            ],
            rows: TEST_PERCENT
                .into_iter()
                .map(|percent_of_panel| {
                    let level =
                        TrueLevel::from_percent(percent_of_panel, input.the_loop.range.span);
                    let point = test_point(cell, range, percent_of_panel, level);
                    vec![
                        number(point.percent, 0),
                        units.differential_number(point.differential_pa),
                        format!(
                            "{} {}",
                            match point.port {
                                Port::High => "high",
                                Port::Low => "low",
                            },
                            units.differential_number(point.magnitude_pa)
                        ),
                        number(point.current_ma, 3),
                        limits.current_window(point.current_ma, percent),
                    ]
                })
                .collect(),
            note,
        })
    };
    let formula = "Error, % of span = 100 × (reading − wanted) / 16 mA.";
    let as_found = limits.five_point_found.as_found_percent;
    let as_left = limits.five_point.as_left_percent;
    let found_words = found.map_or_else(
        || {
            "The loop file gives no as-found range, so these points are those of the range to set. Read the cell's range first: if it stands at \
             another, write it into the loop file as found and make the pack anew; judged against the wrong range every sound cell fails."
                .to_owned()
        },
        |range| {
            format!(
                "Points of the range that the loop file gives as found, {} to {}.",
                units.differential_text(range.lrv_pa),
                units.differential_text(range.urv_pa),
            )
        },
    );
    vec![
        PackBlock::Report(Block::Heading("Five-point record".into())),
        PackBlock::Report(Block::Paragraph(format!(
            "{}. {} Limits are rounded down.",
            sentence(&limits.bench_instruments()),
            limits.bench_ratio_words(),
        ))),
        PackBlock::Report(Block::Paragraph(found_words)),
        record(
            "AS FOUND, before any trim",
            found.unwrap_or(input.sheets.range.chosen),
            as_found,
            format!(
                "{formula} Accept ± {} of that span: cell, test instruments, one year of drift. Outside: write it down, trim, and look for the cause.",
                limits.percent(as_found),
            ),
        ),
        record(
            "AS LEFT, after range and trim",
            input.sheets.range.chosen,
            as_left,
            format!(
                "{formula} Accept ± {} of span: cell accuracy and test instruments.",
                limits.percent(as_left)
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
            note: instruments(input, limits),
        }),
    ]
}

/// Instruments that the loop file names.
fn instruments(input: &PackInput<'_>, limits: &Limits<'_>) -> String {
    let named: Vec<String> = input
        .the_loop
        .instruments
        .iter()
        .map(|instrument| {
            let accuracy = instrument.accuracy.map_or_else(String::new, |accuracy| {
                let check =
                    instrument_check(accuracy, limits.five_point, input.sheets.range.span_pa);
                format!(
                    ", {}: {} to 1 against {}",
                    input.units.accuracy_text(accuracy),
                    limits.ratio(check.ratio),
                    match check.limit {
                        JudgedLimit::AsLeft => "as left",
                        JudgedLimit::LoopCheck => "the loop check",
                    }
                )
            });
            format!(
                "{} (serial {}, due {}{accuracy})",
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

#[cfg(test)]
mod tests {
    use halfglass_core::design::design;
    use halfglass_report::units::DisplayUnits;

    use super::*;

    /// Caption and first and last wanted differential of the two records, and all words around them.
    fn records(name: &str) -> (Vec<(String, String, String)>, String, Vec<String>) {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
            .join(format!("../../examples/{name}.toml"));
        let described = halfglass_loopfile::read(&std::fs::read(path).unwrap()).unwrap();
        let sheets = design(&described).unwrap();
        let units = DisplayUnits::of(&described);
        let limits = Limits::of(&described, &sheets, &units).unwrap();
        let input = PackInput {
            the_loop: &described,
            sheets: &sheets,
            units: &units,
            file_name: "example.toml",
            sha256: "",
        };
        let blocks = test_record(&input, &limits);
        let words = format!("{blocks:?}");
        let rows = blocks
            .into_iter()
            .filter_map(|block| match block {
                PackBlock::Record(record) if record.rows.len() == 5 && record.columns.len() > 1 => {
                    Some((
                        record.caption,
                        record.rows[0][1].clone(),
                        record.rows[4][1].clone(),
                    ))
                }
                _ => None,
            })
            .collect();
        let mut expected = Vec::new();
        let found = described.as_found.as_ref().and_then(|found| found.range_pa);
        let chosen = sheets.range.chosen;
        for (lrv_pa, urv_pa) in [
            found.unwrap_or((chosen.lrv_pa, chosen.urv_pa)),
            (chosen.lrv_pa, chosen.urv_pa),
        ] {
            expected.push(units.differential_number(lrv_pa));
            expected.push(units.differential_number(urv_pa));
        }
        (rows, words, expected)
    }

    #[test]
    fn property_as_found_is_read_at_the_range_found() {
        let (rows, words, expected) = records("inherited-cold-range");
        assert!(rows[0].0.starts_with("AS FOUND") && rows[1].0.starts_with("AS LEFT"));
        let read = [&rows[0].1, &rows[0].2, &rows[1].1, &rows[1].2];
        assert!(read.into_iter().eq(&expected), "{rows:?} {expected:?}");
        assert!(
            rows[0].1 != rows[1].1,
            "an inherited range is another range"
        );
        assert!(words.contains("gives as found"));
        let (rows, words, _) = records("laundry-shell-boiler");
        assert_eq!(rows[0].1, rows[1].1);
        assert!(words.contains("gives no as-found range"));
    }
}
