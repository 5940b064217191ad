//! Can the boiler still be fed when its pressure stands above normal: at the highest in service, and with its safety valves at their set.
//!
//! The largest duty's flow must pass the pump, the line and the chosen valve wide open. Codes may ask for more: feed at a pressure above
//! the set of the safety valves. Which, is theirs to say.
//!
//! **Checked by:** `practice_a_supply_that_stops_short_is_told`.

use crate::description::Loop;
use crate::description::feed_system::FeedSystem;
use crate::feedwater::duties::ValveDuty;
use crate::feedwater::error::FeedwaterError;
use crate::feedwater::findings::finding;
use crate::feedwater::installed::ValveInSystem;
use crate::feedwater::selection::Assessed;
use crate::feedwater::system::System;
use crate::finding::{Finding, Severity};
use crate::reader_units::ReaderUnits;

/// Findings on the feed at the two pressures; none for a vessel that is not fired.
///
/// # Errors
/// [`FeedwaterError`].
pub(crate) fn overpressure_findings(
    the_loop: &Loop,
    feed_system: &FeedSystem,
    largest: &ValveDuty,
    chosen: &Assessed,
) -> Result<Vec<Finding>, FeedwaterError> {
    let mut found = Vec::new();
    if !the_loop.vessel.kind.is_fired() {
        return Ok(found);
    }
    let units = ReaderUnits::of(the_loop);
    let pressures = &the_loop.pressures;
    for (code, input, at, pressure_pa) in [
        (
            "feed-falls-short-at-highest-pressure",
            "pressures.highest",
            "the highest pressure in service",
            pressures.highest.pa(),
        ),
        (
            "feed-falls-short-at-safety-valve-set",
            "pressures.safety-valve",
            "the set of the safety valves",
            pressures.safety_valve.pa(),
        ),
    ] {
        let duty = ValveDuty {
            vessel_pressure_pa: pressure_pa,
            ..largest.clone()
        };
        let system = System::of(the_loop, feed_system, &duty)?;
        let drop_pa = system.at_flow(duty.flow_kg_s).drop_pa;
        let valve = ValveInSystem::new(
            &system,
            &feed_system.valve.characteristic,
            &chosen.size,
            chosen.factors.recovery_factor,
            &feed_system.line,
        );
        let what = if !(drop_pa > 0.0) {
            format!(
                "With the vessel at {at} the supply is {} short of passing the {} of “{}”, whatever the valve.",
                units.pressure_difference(-drop_pa),
                units.flow(duty.flow_kg_s),
                largest.name
            )
        } else if !valve.passes(duty.flow_kg_s, 1.0) {
            format!(
                "With the vessel at {at} even the open valve does not pass the {} of “{}”: it passes {}.",
                units.flow(duty.flow_kg_s),
                largest.name,
                units.flow(valve.flow(1.0)?.flow_kg_s)
            )
        } else {
            continue;
        };
        found.push(finding(
            Severity::Warn,
            code,
            input,
            what,
            "While the safety valves blow the level falls, and the feed cannot hold it.",
            "Check what the code in force asks for: it may ask for feed at a pressure above the set. Then a pump of more head, less friction, or a larger valve.",
        ));
    }
    Ok(found)
}
