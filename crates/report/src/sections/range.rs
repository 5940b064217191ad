//! What to set in the cell, and what the other ranges would do.

use halfglass_core::description::{Loop, Polarity, ReferenceLeg, UnitSystem};
use halfglass_core::design::Sheets;
use halfglass_core::measurement::equalised::no_differential;
use halfglass_core::measurement::sheets::{Range, RangeSheet, Reading};

use super::{findings_in_short, test_points};
use crate::block::{Block, Column, FigureId, Section, Table, ValueRow};
use crate::cautions;
use crate::units::{DisplayUnits, current_text, number, percent_text, signed_number};
use crate::wording;

pub(super) fn section(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let sheet = &sheets.range;
    let mut blocks = vec![
        Block::paragraph(format!(
            "What to set in the cell so that the panel says what the vessel holds. {}",
            result_words(described, sheet, units)
        )),
        Block::paragraph(wording::polarity_sentence(described, sheet.chosen, units)),
        Block::Values(setting_rows(described, sheet, units)),
        Block::Table(ranges_table(sheet, units)),
        Block::Table(costs_table(sheet)),
        Block::figure(
            FigureId::RangeChart,
            if sheet.as_found.is_some() {
                "Differential against what the panel says: hot, bench and as-found range"
            } else {
                "Differential against what the panel says: hot and bench range"
            },
            chart_words(sheet, units),
        ),
        Block::heading("What the bench range would say"),
        Block::paragraph(format!(
            "The bench range has cold water in the vessel and nothing over it. At {} it is wrong like this:",
            if described.vessel.kind.holds_steam() {
                units.pressure_gauge_text(sheet.normal.pressure)
            } else {
                described.vessel.kind.normal_state().to_owned()
            }
        )),
        Block::Table(readings_table(
            &format!("Bench range at {}", described.vessel.kind.normal_state()),
            &sheet.bench_readings,
            units,
        )),
    ];
    if let Some(found) = &sheet.as_found {
        blocks.push(Block::heading("What the as-found range says"));
        blocks.push(Block::paragraph(format!(
            "As found, the largest error at {} is {} % of span. {}",
            described.vessel.kind.normal_state(),
            signed_number(found.worst_error_percent, 1),
            if found.looks_cold {
                "The range lies nearer to the bench range than to the hot one: the cell was set for cold water."
            } else {
                "The range lies nearer to the hot range than to the bench range."
            }
        )));
        blocks.push(Block::Table(readings_table(
            &format!("As-found range at {}", described.vessel.kind.normal_state()),
            &found.readings,
            units,
        )));
    }
    blocks.extend(best_blocks(described, sheet, units));
    blocks.push(Block::heading("Test points"));
    blocks.push(Block::Table(test_points::points_table(sheet, units)));
    blocks.push(Block::Table(test_points::water_columns_table(sheet, units)));
    blocks.push(Block::caution(cautions::ONE_PORT));
    blocks.push(Block::heading("Zero check"));
    blocks.push(Block::paragraph(equalised_words(described, sheet)));
    blocks.push(Block::heading("Normal condition"));
    blocks.push(Block::Values(condition_rows(described, sheet, units)));
    blocks.push(Block::caution(cautions::scalding(described.vessel.kind)));
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    blocks.extend(findings_in_short(&sheet.findings));
    Section {
        id: "range",
        title: "Range".into(),
        blocks,
    }
}

fn result_words(described: &Loop, sheet: &RangeSheet, units: &DisplayUnits) -> String {
    let chosen = format!(
        "The panel shall say 0 % at {} and 100 % at {}.",
        units.differential_text(sheet.chosen.lrv_pa),
        units.differential_text(sheet.chosen.urv_pa)
    );
    let full = |whose: &str, readings: &[Reading]| {
        readings.last().map_or_else(String::new, |full| {
            format!(
                " {whose} the panel would say {} with the vessel holding {} true level at {}.",
                percent_text(full.indicated_percent),
                units.level_text(full.true_level.m()),
                described.vessel.kind.normal_state()
            )
        })
    };
    let found = sheet.as_found.as_ref();
    format!(
        "{chosen}{}{}",
        full("On its bench (cold) range", &sheet.bench_readings),
        found.map_or_else(String::new, |found| full(
            "On the range found",
            &found.readings
        )),
    )
}

fn setting_rows(described: &Loop, sheet: &RangeSheet, units: &DisplayUnits) -> Vec<ValueRow> {
    let both = |pa: f64| {
        format!(
            "{} = {}",
            units.differential_text(pa),
            units.differential_beside_text(pa)
        )
    };
    let mut rows = vec![
        ValueRow::new(
            "how chosen",
            wording::range_method(sheet.method, described.vessel.kind),
        ),
        ValueRow::new("panel at 0 % (LRV)", both(sheet.chosen.lrv_pa)),
        ValueRow::new("panel at 100 % (URV)", both(sheet.chosen.urv_pa)),
        ValueRow::new("enter as the cell's 4 mA end", both(sheet.cell_ends_pa.0)),
        ValueRow::new("enter as the cell's 20 mA end", both(sheet.cell_ends_pa.1)),
        ValueRow::new("span", both(sheet.span_pa)),
        ValueRow::noted(
            "cell may be set from",
            format!(
                "{} to {}",
                units.differential_text(described.cell.lower_range_limit_pa),
                units.differential_text(described.cell.upper_range_limit_pa)
            ),
            format!(
                "smallest span {}",
                units.differential_text(described.cell.minimum_span_pa)
            ),
        ),
        ValueRow::noted(
            "turndown",
            format!("{} to 1", number(sheet.turndown_ratio, 1)),
            "upper range limit over span",
        ),
    ];
    // A slip of the tape that a person would make in his own units.
    let slip_m = match units.system {
        UnitSystem::Us => 0.0254,
        UnitSystem::Si => 0.010,
    };
    if let Some(ratio) = sheet.pot_lip_sensitivity_ratio {
        rows.push(ValueRow::noted(
            "pot lip surveyed wrong",
            format!(
                "{} moves the indicated level by {}",
                units.small_length_text(slip_m),
                units.small_length_text(slip_m * ratio)
            ),
            format!("ratio {}", number(ratio, 3)),
        ));
    }
    rows
}

fn named_ranges(sheet: &RangeSheet) -> Vec<(&'static str, Range)> {
    let mut ranges = vec![
        ("to set", sheet.chosen),
        ("hot (normal)", sheet.hot),
        ("best (band)", sheet.best.range),
        ("bench (cold)", sheet.bench),
    ];
    if let Some(found) = &sheet.as_found {
        ranges.push(("as found", found.range));
    }
    ranges
}

fn ranges_table(sheet: &RangeSheet, units: &DisplayUnits) -> Table {
    let (unit, beside) = (units.differential_unit(), units.differential_beside_unit());
    let columns = vec![
        Column::words("range"),
        Column::numbers(format!("LRV, {unit}")),
        Column::numbers(format!("URV, {unit}")),
        Column::numbers(format!("LRV, {beside}")),
        Column::numbers(format!("URV, {beside}")),
    ];
    let rows = named_ranges(sheet)
        .into_iter()
        .map(|(name, range)| {
            vec![
                name.to_owned(),
                units.differential_number(range.lrv_pa),
                units.differential_number(range.urv_pa),
                units.differential_beside_number(range.lrv_pa),
                units.differential_beside_number(range.urv_pa),
            ]
        })
        .collect();
    Table::new(
        "Ranges: signed differential, high port minus low port, with the panel at 0 % (LRV) and 100 % (URV)",
        columns,
    )
    .with_rows(rows)
}

fn costs_table(sheet: &RangeSheet) -> Table {
    let best = &sheet.best;
    let columns = vec![
        Column::words("range"),
        Column::numbers("largest error, % of span"),
    ];
    let rows = [
        ("hot (normal)", best.hot_worst_error_percent),
        ("best (band)", best.worst_error_percent),
        ("bench (cold)", best.bench_worst_error_percent),
    ]
    .into_iter()
    .map(|(name, percent)| vec![name.to_owned(), number(percent, 2)])
    .collect();
    Table::new(
        "What each range costs: largest weighted error over the band of pressures and leg temperatures",
        columns,
    )
    .with_rows(rows)
}

fn best_blocks(described: &Loop, sheet: &RangeSheet, units: &DisplayUnits) -> Vec<Block> {
    let best = &sheet.best;
    let percent = number(best.worst_error_percent, 2);
    let limit = number(described.range.high_error_limit_percent, 1);
    let words = if best.held_by_high_limit {
        format!(
            "At and below the low alarm the best range may read high by no more than {limit} % of span anywhere in the band. No range that \
             keeps this limit does better than {percent} % of span, errors weighted; one that breaks it may, at the price of reading high when \
             nearly empty. The points below hold it there."
        )
    } else {
        format!(
            "No range does better than {percent} % of span over the whole band, errors weighted; the points below hold it there. The limit on \
             reading high at and below the low alarm, {limit} % of span, is not felt."
        )
    };
    let holds_steam = described.vessel.kind.holds_steam();
    let mut columns = vec![Column::words("condition")];
    if holds_steam {
        columns.push(Column::numbers(format!(
            "pressure, {}",
            units.pressure_gauge_unit()
        )));
    }
    columns.extend([
        Column::numbers(format!(
            "{}, {}",
            wording::leg_of_temperature(&described.reference_leg),
            units.temperature_unit()
        )),
        Column::numbers(format!("true level, {}", units.level_unit())),
        Column::numbers("indicated minus true, % of span"),
    ]);
    let rows = best
        .active
        .iter()
        .map(|(condition, true_level, error_percent)| {
            let mut row = vec![condition.name.clone()];
            if holds_steam {
                row.push(units.pressure_gauge_number(condition.pressure));
            }
            row.extend([
                units.temperature_number(condition.reference_leg_k),
                units.level_number(true_level.m()),
                signed_number(*error_percent, 2),
            ]);
            row
        })
        .collect();
    vec![
        Block::heading("Best range over the band"),
        Block::paragraph(words),
        Block::Table(Table::new("Points that hold the best range", columns).with_rows(rows)),
    ]
}

fn readings_table(caption: &str, readings: &[Reading], units: &DisplayUnits) -> Table {
    let unit = units.level_unit();
    let columns = vec![
        Column::numbers(format!("true level, {unit}")),
        Column::numbers(format!("indicated level, {unit}")),
        Column::numbers("indicated level, %"),
        Column::numbers(format!("indicated minus true, {unit}")),
    ];
    let rows = readings
        .iter()
        .map(|reading| {
            let error_m = reading.indicated.m() - reading.true_level.m();
            vec![
                units.level_number(reading.true_level.m()),
                units.level_number(reading.indicated.m()),
                number(reading.indicated_percent, 1),
                units.level_difference_number(error_m),
            ]
        })
        .collect();
    Table::new(caption, columns).with_rows(rows)
}

fn equalised_words(described: &Loop, sheet: &RangeSheet) -> String {
    let equalised = sheet.equalised;
    let reading = format!(
        "No differential, {}: the reading is {} of level, and the cell wants to give {}.",
        no_differential(&described.reference_leg),
        percent_text(equalised.percent),
        current_text(equalised.wanted_ma)
    );
    if equalised.clipped {
        format!(
            "{reading} It saturates at {}, so a zero check must be read as pressure on the cell's own display; the current proves nothing.",
            current_text(equalised.current_ma)
        )
    } else {
        format!(
            "{reading} That is within its output, so a zero check can be read as {}.",
            current_text(equalised.current_ma)
        )
    }
}

fn condition_rows(described: &Loop, sheet: &RangeSheet, units: &DisplayUnits) -> Vec<ValueRow> {
    let (normal, densities) = (&sheet.normal, sheet.densities);
    let holds_steam = described.vessel.kind.holds_steam();
    let absolute = units.pressure_absolute_text(normal.pressure);
    let mut rows = vec![
        if holds_steam {
            let gauge = units.pressure_gauge_text(normal.pressure);
            ValueRow::new("pressure", format!("{gauge}, {absolute}"))
        } else {
            ValueRow::new("pressure", format!("open to the air, {absolute}"))
        },
        ValueRow::new(
            "water in the vessel",
            units.temperature_text(normal.water_k),
        ),
        ValueRow::new("density, water", units.density_text(densities.liquid)),
        ValueRow::new(
            if holds_steam {
                "density, vapour"
            } else {
                "density, air over the water"
            },
            units.density_text(densities.vapour),
        ),
    ];
    if matches!(described.reference_leg, ReferenceLeg::None) {
        rows.push(ValueRow::new(
            "density, air at the open port",
            units.density_text(densities.reference_above),
        ));
    } else {
        rows.push(ValueRow::new(
            "reference leg above tap, mean",
            units.temperature_text(normal.reference_leg_k),
        ));
        rows.push(ValueRow::new(
            "density, reference leg above tap",
            units.density_text(densities.reference_above),
        ));
        rows.push(ValueRow::new(
            "density, reference leg below tap",
            units.density_text(densities.reference_below),
        ));
    }
    rows.push(ValueRow::new(
        "density, working leg below tap",
        units.density_text(densities.working_below),
    ));
    rows
}

fn chart_words(sheet: &RangeSheet, units: &DisplayUnits) -> String {
    let lines = named_ranges(sheet)
        .into_iter()
        .map(|(name, range)| {
            format!(
                "{name} from {} to {}",
                units.differential_text(range.lrv_pa),
                units.differential_text(range.urv_pa)
            )
        })
        .collect::<Vec<_>>()
        .join("; ");
    let direction = match sheet.polarity {
        Polarity::BottomOnHigh => "Lines rise with level",
        Polarity::WetLegOnHigh => "Lines fall with level",
    };
    format!("{direction}. From 0 % to 100 %: {lines}")
}
