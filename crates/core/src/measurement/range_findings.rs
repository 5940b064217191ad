//! What an engineer should notice on the range sheet.

use super::band::Extreme;
use super::best_range::{Line, wish};
use super::condition::{self, LegState};
use super::equalised;
use super::error::MeasurementError;
use super::sheets::RangeSheet;
use crate::description::{Loop, Polarity, RangeMethod, ReferenceLeg, Reversal};
use crate::finding::{Finding, Severity};

/// Errors smaller than this are not worth a finding, percent of span.
const NOTICEABLE_PERCENT: f64 = 1.0;
/// Turndown from which a cell's figures in percent of its upper limit weigh on the reading (common practice).
const HIGH_TURNDOWN_RATIO: f64 = 20.0;

/// All findings of the range sheet.
pub(super) fn findings(
    described: &Loop,
    sheet: &RangeSheet,
    extremes: &[Extreme],
) -> Result<Vec<Finding>, MeasurementError> {
    let mut found = Vec::new();
    found.extend(reversal(described));
    cell_limits(described, sheet, &mut found);
    legs(described, &mut found)?;
    found.extend(equalised::pegged(described, sheet));
    found.extend(high_at_low_alarm(described, sheet, extremes)?);
    found.extend(band(sheet));
    match &sheet.as_found {
        Some(_) => {
            as_found(described, sheet, &mut found);
            found.extend(as_found_over_band(described, sheet, extremes)?);
        }
        None => found.extend(bench(sheet)),
    }
    Ok(found)
}

fn reversal(described: &Loop) -> Option<Finding> {
    match (described.cell.polarity, described.cell.reversal) {
        (Polarity::BottomOnHigh, Reversal::Nowhere)
        | (Polarity::WetLegOnHigh, Reversal::InCell | Reversal::InController) => None,
        (Polarity::BottomOnHigh, Reversal::InCell | Reversal::InController) => Some(Finding {
            severity: Severity::Stop,
            code: "signal-reversed-needlessly",
            what: "The working leg is on the high port, so the signal already rises with level, yet a reversal is described.".into(),
            consequence: "The panel and the controller would see a falling level while the vessel fills, and the controller would flood or starve it.".into(),
            remedy: "Take the reversal out, or correct the ports in the loop file after looking at the cell.".into(),
            input: "cell.reversal",
        }),
        (Polarity::WetLegOnHigh, Reversal::Nowhere) => Some(Finding {
            severity: Severity::Stop,
            code: "signal-not-reversed",
            what: "The reference leg is on the high port, so the differential falls while the level rises, and nothing reverses it.".into(),
            consequence: "The panel and the controller would see a falling level while the vessel fills, and the controller would flood or starve it.".into(),
            remedy: "Reverse the signal exactly once: in the cell, or in the controller's input scaling.".into(),
            input: "cell.reversal",
        }),
    }
}

fn cell_limits(described: &Loop, sheet: &RangeSheet, found: &mut Vec<Finding>) {
    let cell = &described.cell;
    let limits = cell.lower_range_limit_pa..=cell.upper_range_limit_pa;
    let ends = [sheet.chosen.lrv_pa, sheet.chosen.urv_pa];
    if !ends.iter().all(|end| limits.contains(end)) {
        let beyond = ends
            .iter()
            .map(|end| (end - cell.upper_range_limit_pa).max(cell.lower_range_limit_pa - end))
            .fold(0.0, f64::max);
        found.push(Finding {
            severity: Severity::Stop,
            code: "range-outside-cell",
            what: format!("The range reaches beyond the cell's range limits, by {:.0} % of its span.", 100.0 * beyond / sheet.span_pa),
            consequence: "The cell cannot be set to this range, or saturates before the level reaches the end of the span.".into(),
            remedy: "Fit a cell whose limits hold both ends with their sign, or hang it nearer to the lower tap if the leg densities differ.".into(),
            input: "cell.upper-range-limit",
        });
    }
    let wide_enough = sheet.span_pa >= cell.minimum_span_pa;
    if !wide_enough {
        found.push(Finding {
            severity: Severity::Stop,
            code: "span-below-minimum",
            what: format!(
                "The span is {:.0} % of the smallest that the cell may be set to.",
                100.0 * sheet.span_pa / cell.minimum_span_pa
            ),
            consequence: "The cell refuses the range, or its stated accuracy no longer holds."
                .into(),
            remedy: "Fit a cell of a lower range, or widen the level span.".into(),
            input: "cell.minimum-span",
        });
    } else if sheet.turndown_ratio > HIGH_TURNDOWN_RATIO {
        found.push(Finding {
            severity: Severity::Note,
            code: "turndown-high",
            what: format!("The cell's upper limit is {:.0} times the span.", sheet.turndown_ratio),
            consequence: format!("Drift and static-pressure effects that are stated in percent of the upper limit weigh {:.0} times as much on the reading.", sheet.turndown_ratio),
            remedy: "Prefer a cell of a lower range when this one is replaced, and check its zero at pressure more often until then.".into(),
            input: "cell.upper-range-limit",
        });
    }
    let holds_pressure = described.pressures.safety_valve <= cell.static_limit;
    if !holds_pressure {
        found.push(Finding {
            severity: Severity::Stop,
            code: "cell-static-limit",
            what:
                "The safety-valve set pressure is above the static pressure that the cell may see."
                    .into(),
            consequence:
                "The cell can be damaged or burst at a pressure that the vessel may reach.".into(),
            remedy: "Fit a cell rated for at least the safety-valve set pressure.".into(),
            input: "cell.static-limit",
        });
    }
}

/// Legs that flash, freeze or condense at a named condition or at an end of the leg-temperature band.
fn legs(described: &Loop, found: &mut Vec<Finding>) -> Result<(), MeasurementError> {
    let mut conditions = condition::named(described)?;
    let (coldest_k, hottest_k) = described.leg_temperature_band_k;
    let surveyed_k = condition::described_leg_k(described);
    if !(coldest_k..=hottest_k).contains(&surveyed_k) {
        found.push(Finding {
            severity: Severity::Warn,
            code: "leg-outside-band",
            what: "The surveyed leg temperature (mean above the lower tap) lies outside the band of leg temperatures.".into(),
            consequence: "The range for normal pressure is exact at a leg temperature that the best range does not count on.".into(),
            remedy: "Make the band hold the surveyed temperature.".into(),
            input: "leg-temperature-band",
        });
    }
    for (name, leg_k) in [
        ("lowest, hottest leg of the band", hottest_k),
        ("lowest, coldest leg of the band", coldest_k),
    ] {
        let pressure = described.pressures.lowest_sustained;
        conditions.push(condition::in_service(described, name, pressure, leg_k)?);
    }
    if described.vessel.kind.holds_steam() {
        // Where the curves of the error map begin: the fire is out and the pressure gone, the water still boils.
        let (pressure, leg_k) = (
            described.site.atmosphere,
            condition::described_leg_k(described),
        );
        conditions.push(condition::in_service(
            described,
            "boiling at 0 gauge",
            pressure,
            leg_k,
        )?);
    }
    let mut at: [Vec<&str>; 3] = [Vec::new(), Vec::new(), Vec::new()];
    for condition in &conditions {
        let LegState {
            flashes,
            freezes,
            condenses,
        } = condition::densities(described, condition)?.1;
        for (list, applies) in at.iter_mut().zip([flashes, freezes, condenses]) {
            if applies {
                list.push(&condition.name);
            }
        }
    }
    let [flashes, freezes, condenses] = at.map(|names| names.join("; "));
    if !flashes.is_empty() {
        found.push(Finding {
            severity: Severity::Warn,
            code: "leg-flashes",
            what: format!("Leg water is hotter than its boiling point at: {flashes}."),
            consequence: "The leg boils off when the pressure falls to there, and the panel reads high until the leg has filled again; its density is taken at saturation here.".into(),
            remedy: "Keep the leg cooler (bare pipe, away from hot surfaces), or correct the leg temperature in the loop file.".into(),
            input: "reference-leg.temperature",
        });
    }
    if !freezes.is_empty() {
        found.push(Finding {
            severity: Severity::Stop,
            code: "leg-freezes",
            what: format!("Leg water is below its freezing point at: {freezes}."),
            consequence: "A frozen leg holds its last pressure, and the panel stands still while the level moves; its density is taken at the freezing point here.".into(),
            remedy: "Heat-trace and insulate both legs alike, or correct the leg temperatures in the loop file.".into(),
            input: "reference-leg.temperature",
        });
    }
    if !condenses.is_empty() {
        found.push(Finding {
            severity: Severity::Stop,
            code: "dry-leg-condenses",
            what: format!("Steam in the dry reference leg is colder than its dew point at: {condenses}."),
            consequence: "The leg fills with condensate by and by, and the reading falls by up to the whole height between the taps.".into(),
            remedy: "Fit a condensate pot and a wet leg, or a sealed system; a dry leg suits gases that do not condense.".into(),
            input: "reference-leg.kind",
        });
    }
    if let ReferenceLeg::Sealed { fluid, .. } = &described.reference_leg
        && !fluid.is_confirmed()
    {
        found.push(Finding {
            severity: Severity::Warn,
            code: "fill-density-not-confirmed",
            what: format!("The density of the fill ({}) is a generic value that nobody has confirmed.", fluid.name()),
            consequence: "A density that is off by 1 % moves the reading by about 1 % of the height between the seals.".into(),
            remedy: "Enter the density table of the fill's data sheet.".into(),
            input: "reference-leg.fluid",
        });
    }
    Ok(())
}

fn high_at_low_alarm(
    described: &Loop,
    sheet: &RangeSheet,
    extremes: &[Extreme],
) -> Result<Option<Finding>, MeasurementError> {
    let line = Line::of_range(sheet.chosen, sheet.hot)?;
    let worst = extremes
        .iter()
        .filter(|extreme| extreme.limited)
        .map(|extreme| 100.0 * line.error(extreme))
        .fold(f64::NEG_INFINITY, f64::max);
    let limit = described.range.high_error_limit_percent;
    // The best range meets the limit to rounding.
    let over = worst > limit + 1e-6 && worst > NOTICEABLE_PERCENT / 2.0;
    Ok(over.then(|| Finding {
        severity: Severity::Warn,
        code: "reads-high-at-low-alarm",
        what: format!("Within the band of pressures and leg temperatures the panel can read up to {worst:.1} % of span high at or below the low alarm (limit {limit:.1} %)."),
        consequence: "The low alarm comes late by that much.".into(),
        remedy: match sheet.method {
            RangeMethod::Normal => format!(
                "Choose the best range, which keeps the limit at the cost of a largest error over the band of {:.1} % of span instead of {:.1} %, or set the low alarm higher by that much.",
                sheet.best.worst_error_percent, sheet.best.hot_worst_error_percent
            ),
            RangeMethod::Best => "Set the low alarm higher by that much.".into(),
        },
        input: "range.method",
    }))
}

fn band(sheet: &RangeSheet) -> Option<Finding> {
    let best = &sheet.best;
    match sheet.method {
        RangeMethod::Normal
            if best.hot_worst_error_percent > best.worst_error_percent + NOTICEABLE_PERCENT =>
        {
            Some(Finding {
                severity: Severity::Note,
                code: "best-range-is-better",
                what: format!(
                    "Over the band of pressures and leg temperatures the range for normal pressure is off by up to {:.1} % of span, the best range by {:.1} %.",
                    best.hot_worst_error_percent, best.worst_error_percent
                ),
                consequence: "The panel is exact at normal pressure only.".into(),
                remedy:
                    "Choose the best range where pressure or leg temperature really move that far."
                        .into(),
                input: "range.method",
            })
        }
        RangeMethod::Best if best.held_by_high_limit => Some(Finding {
            severity: Severity::Note,
            code: "best-range-held-by-limit",
            what: format!(
                "The best range is held by the limit on high errors at and below the low alarm; its largest error is {:.1} % of span.",
                best.worst_error_percent
            ),
            consequence: "It reads low elsewhere so that it never reads high near empty.".into(),
            remedy: "Keep it, unless a narrower band of pressures is true to the plant.".into(),
            input: "range.high-error-limit",
        }),
        _ => None,
    }
}

fn as_found(described: &Loop, sheet: &RangeSheet, found: &mut Vec<Finding>) {
    let Some(as_found) = &sheet.as_found else {
        return;
    };
    let [empty, .., full] = as_found.readings.as_slice() else {
        return;
    };
    let at_pressure = format!(
        "In normal service a full vessel reads {:.1} % and an empty one {:.1} %.",
        full.indicated_percent, empty.indicated_percent
    );
    let state = described.vessel.kind.normal_state();
    let remedy = format!(
        "Record the as-found readings, set the range of this sheet, and compare the panel with the {} at {state}.",
        if described.glass.is_some() {
            "glass"
        } else {
            "measured level"
        },
    );
    let hot_slope = sheet.hot.urv_pa - sheet.hot.lrv_pa;
    let found_slope = as_found.range.urv_pa - as_found.range.lrv_pa;
    if hot_slope * found_slope < 0.0 {
        found.push(Finding {
            severity: Severity::Stop,
            code: "as-found-upside-down",
            what: "The range found runs the other way than the ports of this loop.".into(),
            consequence: format!("The panel falls while the vessel fills. {at_pressure}"),
            remedy: "See which port the bottom tap is on, and where the signal is reversed, before anything else.".into(),
            input: "as-found.range",
        });
    } else if as_found.looks_cold {
        found.push(Finding {
            severity: Severity::Warn,
            code: "range-is-cold",
            what: "The range found fits cold water: it lies nearer to the bench range than to the hot range.".into(),
            consequence: at_pressure,
            remedy,
            input: "as-found.range",
        });
    } else if as_found.worst_error_percent.abs() > NOTICEABLE_PERCENT {
        found.push(Finding {
            severity: Severity::Warn,
            code: "as-found-off",
            what: format!(
                "The range found is off by {:+.1} % of span at {state}.",
                as_found.worst_error_percent
            ),
            consequence: at_pressure,
            remedy,
            input: "as-found.range",
        });
    } else {
        found.push(Finding {
            severity: Severity::Note,
            code: "as-found-fits",
            what: format!(
                "The range found is within {:.1} % of span at {state}.",
                as_found.worst_error_percent.abs()
            ),
            consequence: "It need not be changed for the sake of the hot water.".into(),
            remedy: "Keep it unless the five-point check fails.".into(),
            input: "as-found.range",
        });
    }
}

/// An as-found range that is better over the band than the one to set, and keeps the limit at the low alarm too.
fn as_found_over_band(
    described: &Loop,
    sheet: &RangeSheet,
    extremes: &[Extreme],
) -> Result<Option<Finding>, MeasurementError> {
    let Some(as_found) = &sheet.as_found else {
        return Ok(None);
    };
    let wish = wish(described);
    let found = Line::of_range(as_found.range, sheet.hot)?;
    let chosen = Line::of_range(sheet.chosen, sheet.hot)?;
    let found_percent = 100.0 * found.worst(extremes, wish);
    let chosen_percent = 100.0 * chosen.worst(extremes, wish);
    let highest = |line: Line| {
        extremes
            .iter()
            .filter(|extreme| extreme.limited)
            .map(|extreme| line.error(extreme))
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let no_higher = highest(found) <= highest(chosen).max(wish.high_limit);
    let better = no_higher && found_percent < chosen_percent - NOTICEABLE_PERCENT / 4.0;
    Ok(better.then(|| Finding {
        severity: Severity::Note,
        code: "as-found-better-over-band",
        what: format!("Over the band of pressures and leg temperatures the range found is off by up to {found_percent:.1} % of span, the one of this sheet by {chosen_percent:.1} %."),
        consequence: "Setting the range of this sheet gains accuracy at normal pressure only.".into(),
        remedy: "Keep the range found, or choose the best range.".into(),
        input: "range.method",
    }))
}

fn bench(sheet: &RangeSheet) -> Option<Finding> {
    let [empty, .., full] = sheet.bench_readings.as_slice() else {
        return None;
    };
    let error = (full.indicated_percent - 100.0)
        .abs()
        .max(empty.indicated_percent.abs());
    (error > NOTICEABLE_PERCENT).then(|| Finding {
        severity: Severity::Note,
        code: "bench-range-costs",
        what: "A range worked out for cold water on the bench does not fit this vessel in service."
            .into(),
        consequence: format!(
            "With it a full vessel would read {:.1} % and an empty one {:.1} % in normal service.",
            full.indicated_percent, empty.indicated_percent
        ),
        remedy: "Enter the range of this sheet on the bench, not the height of cold water.".into(),
        input: "",
    })
}
