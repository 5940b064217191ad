//! The feedwater sheet: duties, size, installed characteristic, and what stands around the valve.

use crate::description::feed_system::{FeedSystem, Supply, ValveSize};
use crate::description::{Loop, ValveService};
use crate::feedwater::actuator::actuator_sheet;
use crate::feedwater::duties::valve_duties;
use crate::feedwater::duty_flow::duty_flow;
use crate::feedwater::error::FeedwaterError;
use crate::feedwater::findings::{Facts, feedwater_findings};
use crate::feedwater::leakage::leakage_sheet;
use crate::feedwater::minimum_flow::minimum_flow_sheet;
use crate::feedwater::overpressure::overpressure_findings;
use crate::feedwater::returns::flashing_returns;
use crate::feedwater::selection::{Assessed, Bench, choose, largest_and_smallest};
use crate::feedwater::sheets::{DutyKind, FeedwaterSheet, SupplyPoint};
use crate::feedwater::station::station_words;
use crate::feedwater::stem_workings::stem_workings;
use crate::feedwater::stroke::stroke_sheet;
use crate::feedwater::system::System;
use crate::feedwater::workings::feedwater_workings;
use crate::reader_units::ReaderUnits;

/// Points of the supply's curve on the sheet.
const SUPPLY_POINTS: u32 = 21;
/// It is drawn to this share of the full-valve flow.
const SUPPLY_TO_RATIO: f64 = 1.2;

/// Computes the feedwater sheet; `None` where supply, line and valve are not surveyed.
///
/// # Errors
/// [`FeedwaterError`].
pub fn feedwater_sheet(the_loop: &Loop) -> Result<Option<FeedwaterSheet>, FeedwaterError> {
    let Some(feed_system) = &the_loop.feed_system else {
        return Ok(None);
    };
    if the_loop.feedwater.service == ValveService::Outflow {
        return Err(FeedwaterError::Drains);
    }
    let duties = valve_duties(the_loop, feed_system)?;
    let systems = duties
        .iter()
        .map(|duty| System::of(the_loop, feed_system, duty))
        .collect::<Result<Vec<System>, FeedwaterError>>()?;
    // Where the supply does not reach the set of the safety valves there is nothing to size: a finding tells by how much.
    let (duties, systems): (Vec<_>, Vec<_>) = duties
        .into_iter()
        .zip(systems)
        .filter(|(duty, system)| {
            duty.kind != DutyKind::SafetyValve || system.at_flow(duty.flow_kg_s).drop_pa > 0.0
        })
        .unzip();
    for (duty, system) in duties.iter().zip(&systems) {
        let drop_pa = system.at_flow(duty.flow_kg_s).drop_pa;
        if !(drop_pa > 0.0) && duty.kind != DutyKind::ShutOff {
            return Err(FeedwaterError::NoDrop {
                duty: duty.name.clone(),
                flow_kg_s: duty.flow_kg_s,
                short_pa: -drop_pa,
            });
        }
    }
    let (largest, smallest) = largest_and_smallest(&duties).ok_or(FeedwaterError::NoSize)?;
    let units = ReaderUnits::of(the_loop);
    let bench = Bench {
        duties: &duties,
        systems: &systems,
        valve: &feed_system.valve,
        line: &feed_system.line,
        largest,
        smallest,
        units,
    };
    let mut assessed = sizes_to_judge(feed_system)
        .iter()
        .map(|size| bench.assess(size))
        .collect::<Result<Vec<Assessed>, FeedwaterError>>()?;
    let fitted = feed_system.valve.fitted.as_ref();
    let (index, choice_words) =
        choose(&mut assessed, fitted, units).ok_or(FeedwaterError::NoSize)?;
    let chosen = &assessed[index];
    let flows = (0..duties.len())
        .map(|index| duty_flow(&bench, feed_system, chosen, index, units))
        .collect::<Result<Vec<_>, FeedwaterError>>()?;

    // What the shut valve holds back, and the density of the water that leaks through it.
    let (shut_off_drop_pa, shut_off_density_kg_m3) = flows
        .iter()
        .filter(|flow| flow.kind == DutyKind::ShutOff)
        .max_by(|a, b| a.pressure_drop_pa.total_cmp(&b.pressure_drop_pa))
        .map_or((0.0, flows[largest].density_kg_m3), |flow| {
            (flow.pressure_drop_pa.max(0.0), flow.density_kg_m3)
        });
    let full_flow_kg_s = chosen.installed.full_flow_kg_s;
    let mut findings = feedwater_findings(&Facts {
        the_loop,
        feed_system,
        flows: &flows,
        systems: &systems,
        chosen,
        largest,
        smallest,
    });
    findings.extend(overpressure_findings(
        the_loop,
        feed_system,
        &duties[largest],
        chosen,
    )?);
    let mut keep = |more| findings.extend::<Vec<_>>(more);
    let (actuator, more) = actuator_sheet(the_loop, feed_system, &chosen.size, shut_off_drop_pa)?;
    keep(more);
    let (stroke, more) = stroke_sheet(the_loop, &chosen.installed, &flows)?;
    keep(more);
    let (leakage, more) = leakage_sheet(
        the_loop,
        feed_system,
        &chosen.size,
        shut_off_drop_pa,
        shut_off_density_kg_m3,
    )?;
    keep(more);
    let (minimum_flow, more) = minimum_flow_sheet(feed_system, &flows)?;
    keep(more);
    let (returns, more) = flashing_returns(the_loop, feed_system)?;
    keep(more);
    let (station_words, more) = station_words(the_loop, feed_system)?;
    keep(more);

    let mut workings = feedwater_workings(&flows, &duties, &systems, chosen, largest);
    workings.extend(stem_workings(
        the_loop,
        &chosen.installed,
        &flows,
        &actuator,
        &stroke,
        leakage.as_ref(),
    )?);

    Ok(Some(FeedwaterSheet {
        chosen_name: chosen.size.name.clone(),
        chosen_kv_m3_h: chosen.size.rated_kv_m3_h,
        is_fitted: fitted.is_some(),
        choice_words,
        factors: chosen.factors.listed(chosen.size.rated_kv_m3_h),
        installed: chosen.installed.clone(),
        supply: supply_points(&systems[largest], SUPPLY_TO_RATIO * full_flow_kg_s),
        supply_words: supply_words(feed_system, units),
        actuator,
        leakage,
        stroke,
        minimum_flow,
        returns,
        station_words,
        findings,
        workings,
        duties: flows,
        candidates: assessed.into_iter().map(|one| one.candidate).collect(),
    }))
}

/// Sizes by rising Kv, the fitted valve among them once.
fn sizes_to_judge(feed_system: &FeedSystem) -> Vec<ValveSize> {
    let valve = &feed_system.valve;
    let mut sizes = valve.sizes.clone();
    if let Some(fitted) = &valve.fitted
        && !sizes.contains(fitted)
    {
        sizes.push(fitted.clone());
    }
    sizes.sort_by(|a, b| a.rated_kv_m3_h.total_cmp(&b.rated_kv_m3_h));
    sizes
}

fn supply_points(system: &System, to_kg_s: f64) -> Vec<SupplyPoint> {
    (0..SUPPLY_POINTS)
        .map(|index| {
            let flow_kg_s = to_kg_s * f64::from(index) / f64::from(SUPPLY_POINTS - 1);
            SupplyPoint {
                flow_kg_s,
                supply_pressure_pa: system.source.at_flow(flow_kg_s).pressure_pa,
                system_pressure_pa: system.pressure_wanted_pa(flow_kg_s, 0.0),
            }
        })
        .collect()
}

fn supply_words(feed_system: &FeedSystem, units: ReaderUnits) -> String {
    match &feed_system.supply {
        Supply::Header(_) => "header".into(),
        Supply::Pump(pump) => {
            let mut words = match pump.running {
                1 => "1 pump".to_owned(),
                running => format!("{running} pumps in parallel"),
            };
            if pump.standby > 0 {
                words.push_str(&format!(", {} standing by", pump.standby));
            }
            if pump.other_flow_kg_s > 0.0 {
                words.push_str(&format!(
                    ", {} to other vessels",
                    units.flow(pump.other_flow_kg_s)
                ));
            }
            words
        }
    }
}

#[cfg(test)]
#[path = "sheet_tests.rs"]
mod tests;
