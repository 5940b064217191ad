//! The loss-of-signal table against limit cases and mirrored loops.

use proptest::prelude::*;

use super::*;
use crate::description::{FailPosition, Polarity, Reversal, ValveService, VesselKind};
use crate::example_loop::{kelvin, shell_boiler, vented_tank};
use crate::feedwater::example_sheet::{duty_flow, feedwater_sheet};
use crate::finding::Severity;
use crate::protection::signal_loss_sheet;
use crate::quantity::AbsolutePressure;
use crate::vessel::{HeadKind, Orientation, Shell};
use crate::water::{compressed_water_density_kg_m3, saturated_densities};

fn rows(described: &Loop) -> Vec<FailureRow> {
    signal_loss_sheet(described, None).unwrap().rows
}

fn row(described: &Loop, failure: Failure) -> FailureRow {
    let name = failure.name(&described.cell);
    rows(described)
        .into_iter()
        .find(|row| row.failure == name)
        .unwrap()
}

fn codes(described: &Loop) -> Vec<(&'static str, Severity)> {
    signal_loss_sheet(described, None)
        .unwrap()
        .findings
        .iter()
        .map(|finding| (finding.code, finding.severity))
        .collect()
}

/// An upright vessel with flat heads: the free surface is the same everywhere.
fn straight(diameter_m: f64) -> Loop {
    let mut described = shell_boiler();
    described.vessel.shell =
        Shell::new(Orientation::Vertical, diameter_m, 4.0, HeadKind::Flat).unwrap();
    described
}

proptest! {
    /// t = A·Δh·(ρl − ρv)/w, starving at the largest load and flooding at the smallest.
    #[test]
    fn property_straight_vessel_minutes_are_exact(
        diameter_m in 0.5_f64..5.0, largest in 0.5_f64..8.0, share in 0.05_f64..0.9, spare in 1.01_f64..3.0,
        down_m in 0.01_f64..0.2, up_m in 0.01_f64..0.2,
    ) {
        let mut described = straight(diameter_m);
        described.duties.truncate(2);
        for (duty, flow) in described.duties.iter_mut().zip([largest, largest * share]) {
            duty.steam_kg_s = 0.9 * flow;
            duty.blowdown_kg_s = 0.1 * flow;
        }
        described.feedwater.full_valve_flow_kg_s = largest * spare;
        described.limits.set_point_m = 0.25;
        described.limits.low_cutoff_m = Some(0.25 - down_m);
        described.limits.high_trip_m = Some(0.25 + up_m);
        let water = saturated_densities(described.pressures.normal.pa()).unwrap();
        let area_kg_m = 0.25 * std::f64::consts::PI * diameter_m * diameter_m
            * (water.liquid_kg_m3 - water.vapour_kg_m3);
        let starves = area_kg_m * down_m / largest / 60.0;
        let floods = area_kg_m * up_m / (largest * spare - largest * share) / 60.0;
        let high = row(&described, Failure::CellHigh).minutes.unwrap();
        let low = row(&described, Failure::CellLow).minutes.unwrap();
        prop_assert!((high / starves - 1.0).abs() < 1e-9, "{high} {starves}");
        prop_assert!((low / floods - 1.0).abs() < 1e-9, "{low} {floods}");
    }
}

/// A closed drain valve leaves the inflow, an open one the full flow less it; the air of the tank weighs nothing.
#[test]
fn property_drain_valve_on_a_straight_tank_is_exact() {
    let mut described = vented_tank();
    described.vessel.shell = Shell::new(Orientation::Vertical, 2.0, 4.0, HeadKind::Flat).unwrap();
    described.feedwater.service = ValveService::Outflow;
    described.limits.set_point_m = 1.0;
    described.limits.low_cutoff_m = Some(0.5);
    described.limits.high_trip_m = Some(1.75);
    let density = compressed_water_density_kg_m3(353.15, described.pressures.normal.pa()).unwrap();
    let kg_m = std::f64::consts::PI * density;
    // Steam of the duties: 1.6 kg/s at most, 0.35 kg/s at least; full valve 2.2 kg/s.
    let floods = kg_m * 0.75 / 1.6 / 60.0;
    let starves = kg_m * 0.5 / (2.2 - 0.35) / 60.0;
    let low = row(&described, Failure::CellLow);
    assert_eq!(
        (low.outcome, low.valve_does.as_str()),
        (Outcome::Floods, "closes")
    );
    assert!((low.minutes.unwrap() / floods - 1.0).abs() < 1e-9);
    let high = row(&described, Failure::CellHigh);
    assert_eq!(
        (high.outcome, high.valve_does.as_str()),
        (Outcome::Starves, "opens fully")
    );
    assert!((high.minutes.unwrap() / starves - 1.0).abs() < 1e-9);
}

/// Steam tables after IAPWS R7-97: hf 440.2, hg 2683.4 kJ/kg at 105 degC (1.209 bar absolute); h 230.3 kJ/kg at
/// 55 degC. A kilogram of feed condenses 0.0936 kg of steam: the open valve floods sooner, the closed one starves as
/// before.
#[test]
fn published_deaerator_floods_with_its_heating_steam() {
    let mut described = straight(2.0);
    described.vessel.kind = VesselKind::Deaerator;
    described.pressures.normal = AbsolutePressure::from_pa(120_900.0);
    for duty in &mut described.duties {
        duty.pressure = described.pressures.normal;
        duty.feed_temperature_k = kelvin(70.0);
    }
    described.duties[2].feed_temperature_k = kelvin(55.0);
    let (set_point_m, high_m) = (
        described.limits.set_point_m,
        described.limits.high_trip_m.unwrap(),
    );
    let low_m = described.limits.low_cutoff_m.unwrap();
    let water = saturated_densities(described.pressures.normal.pa()).unwrap();
    let kg_m = std::f64::consts::PI * (water.liquid_kg_m3 - water.vapour_kg_m3);
    let steam = (2683.4 - 230.3) / (2683.4 - 440.2) - 1.0;
    // Full valve 2.2 kg/s; leaving 1.65 kg/s at most, 0.36 kg/s at least.
    let floods = kg_m * (high_m - set_point_m) / (2.2 * (1.0 + steam) - 0.36) / 60.0;
    let starves = kg_m * (set_point_m - low_m) / 1.65 / 60.0;
    let flooded = row(&described, Failure::CellLow).minutes.unwrap();
    let starved = row(&described, Failure::CellHigh).minutes.unwrap();
    assert!((flooded / floods - 1.0).abs() < 1e-4, "{flooded} {floods}");
    assert!(
        (starved / starves - 1.0).abs() < 1e-9,
        "{starved} {starves}"
    );
    // Returns of half the outflow pass the valve by and go on while it stands open.
    let through_valve = 0.5 * 0.36 / (1.0 + steam);
    let mut sheet = feedwater_sheet(2.2, &[]);
    sheet.duties = vec![duty_flow(&described.duties[2].name, through_valve)];
    let with_returns = signal_loss_sheet(&described, Some(&sheet)).unwrap().rows;
    let name = Failure::CellLow.name(&described.cell);
    let flooded = with_returns
        .iter()
        .find(|row| row.failure == name)
        .unwrap()
        .minutes
        .unwrap();
    let floods = kg_m * (high_m - set_point_m) / (2.2 * (1.0 + steam) - 0.5 * 0.36) / 60.0;
    assert!((flooded / floods - 1.0).abs() < 1e-4, "{flooded} {floods}");
    // A drain valve passes what has condensed already.
    described.feedwater.service = ValveService::Outflow;
    let low = row(&described, Failure::CellHigh).minutes.unwrap();
    let drains = kg_m * (set_point_m - low_m) / (2.2 - 0.35) / 60.0;
    assert!((low / drains - 1.0).abs() < 1e-9, "{low} {drains}");
}

/// What is at the current's low end, not how it is piped, decides: whole rows are the same.
#[test]
fn property_mirrored_polarity_gives_the_same_rows() {
    let described = shell_boiler();
    let mut mirrored = described.clone();
    mirrored.cell.polarity = Polarity::WetLegOnHigh;
    mirrored.cell.reversal = Reversal::InCell;
    assert_eq!(rows(&described), rows(&mirrored));
    mirrored.cell.reversal = Reversal::InController;
    let (low, high) = (
        row(&described, Failure::CellLow),
        row(&mirrored, Failure::CellHigh),
    );
    assert_eq!(low.minutes, high.minutes);
    assert_eq!(low.controller_does, high.controller_does);
    assert_eq!(low.caught_by, high.caught_by);
}

/// A held valve drifts between the duties; the sooner side is told.
#[test]
fn property_held_valve_counts_the_difference_of_duties() {
    let mut described = shell_boiler();
    described.feedwater.on_power_loss = FailPosition::Last;
    let held = row(&described, Failure::ActuatorUnpowered);
    let starved = row(&described, Failure::CellHigh);
    assert_eq!(held.outcome, Outcome::Drifts);
    // Largest flow 1.65 kg/s, smallest 0.36 kg/s.
    let ratio = held.minutes.unwrap() / starved.minutes.unwrap();
    let falls_first = held.minutes_to.starts_with("first low-water cutoff");
    if falls_first {
        assert!((ratio - 1.65 / (1.65 - 0.36)).abs() < 1e-9, "{ratio}");
    } else {
        panic!("{held:?}");
    }
    // Both ways are told, each against its own trip.
    let both = held.both_ways.clone().unwrap();
    assert_eq!(both.falling_minutes, held.minutes);
    let flooded = row(&described, Failure::CellLow);
    let ratio = both.rising_minutes.unwrap() / flooded.minutes.unwrap();
    assert!(
        (ratio - (2.2 - 0.36) / (1.65 - 0.36)).abs() < 1e-9,
        "{ratio}"
    );
    assert!(
        both.rising_to.starts_with("high trip"),
        "{}",
        both.rising_to
    );
    assert!(starved.both_ways.is_none());
    described.duties.truncate(1);
    let one_duty = row(&described, Failure::ActuatorUnpowered);
    assert_eq!(one_duty.minutes, None);
    assert!(
        one_duty.minutes_to.contains("balance"),
        "{}",
        one_duty.minutes_to
    );
}

#[test]
fn practice_failures_without_a_catch_are_findings() {
    let mut described = shell_boiler();
    assert_eq!(
        codes(&described)[0],
        ("broken-signal-taken-for-level", Severity::Warn)
    );
    assert!(
        !codes(&described)
            .iter()
            .any(|code| code.0.ends_with("not-caught"))
    );
    described.limits.low_cutoff_m = None;
    described.limits.second_low_cutoff_m = None;
    described.limits.high_trip_m = None;
    let found = codes(&described);
    assert_eq!(found[0], ("starving-not-caught", Severity::Stop));
    assert!(found.contains(&("flooding-not-caught", Severity::Warn)));
    let high = row(&described, Failure::CellHigh);
    assert_eq!(high.minutes, None);
    assert!(high.caught_by.ends_with("nothing"), "{}", high.caught_by);
    let mut tank = vented_tank();
    tank.vessel.shell = Shell::new(Orientation::Vertical, 2.0, 4.0, HeadKind::Flat).unwrap();
    tank.limits.low_cutoff_m = None;
    tank.limits.second_low_cutoff_m = None;
    tank.limits.high_trip_m = None;
    let found = codes(&tank);
    assert!(found.contains(&("starving-not-caught", Severity::Warn)));
    // The overflow catches it.
    assert!(!found.iter().any(|code| code.0 == "flooding-not-caught"));
    assert_eq!(row(&tank, Failure::CellLow).minutes_to, "overflow");
}

/// An alarm that hangs on the failed signal is silent or false, never what catches the failure; a trip is never
/// vouched for.
#[test]
fn practice_alarms_count_only_where_their_signal_lives() {
    let mut described = shell_boiler();
    described.feedwater.on_power_loss = FailPosition::Closed;
    let caught = |failure| row(&described, failure).caught_by;
    let trip = "first low-water cutoff, only if independent of this loop and proved";
    assert_eq!(
        caught(Failure::CellHigh),
        format!("only a false high alarm warns; then {trip}")
    );
    assert_eq!(
        caught(Failure::ActuatorUnpowered),
        format!("the alarm; then {trip}")
    );
    assert!(caught(Failure::CellLow).starts_with("only a false low alarm warns; then high trip"));
    assert!(caught(Failure::ControllerDead).starts_with("no alarm"));
    assert!(caught(Failure::CellFrozen).starts_with("no alarm"));
    let mut tank = vented_tank();
    tank.vessel.shell = Shell::new(Orientation::Vertical, 2.0, 4.0, HeadKind::Flat).unwrap();
    tank.limits.high_trip_m = None;
    tank.limits.low_alarm_m = None;
    assert!(
        row(&tank, Failure::CellLow)
            .caught_by
            .ends_with("; overflow")
    );
}

#[test]
fn property_nonsense_is_refused() {
    let refused = |change: fn(&mut Loop)| {
        let mut described = shell_boiler();
        change(&mut described);
        signal_loss_sheet(&described, None).unwrap_err()
    };
    for flow in [f64::NAN, 0.0, -1.0, f64::INFINITY] {
        let mut described = shell_boiler();
        described.feedwater.full_valve_flow_kg_s = flow;
        assert!(matches!(
            signal_loss_sheet(&described, None),
            Err(ProtectionError::FullValveFlow { .. })
        ));
        let mut described = shell_boiler();
        described.duties.iter_mut().for_each(|duty| {
            duty.steam_kg_s = flow;
            duty.blowdown_kg_s = 0.0;
        });
        assert!(matches!(
            signal_loss_sheet(&described, None),
            Err(ProtectionError::DutyFlow { .. })
        ));
    }
    assert_eq!(
        refused(|described| described.duties.clear()),
        ProtectionError::NoDuty
    );
    for cutoff in [0.3, f64::NAN] {
        let mut described = shell_boiler();
        described.limits.low_cutoff_m = Some(cutoff);
        assert!(matches!(
            signal_loss_sheet(&described, None),
            Err(ProtectionError::TripSide {
                trip: "first low-water cutoff",
                ..
            })
        ));
    }
    assert!(matches!(
        refused(|described| described.limits.high_trip_m = Some(0.1)),
        ProtectionError::TripSide {
            trip: "high trip",
            ..
        }
    ));
    assert!(matches!(
        refused(|described| described.limits.high_trip_m = Some(3.0)),
        ProtectionError::Vessel(_)
    ));
}

#[test]
fn property_workings_state_the_minutes_of_the_rows() {
    let described = shell_boiler();
    let sheet = signal_loss_sheet(&described, None).unwrap();
    let seconds = |word: &str| {
        sheet
            .workings
            .iter()
            .find(|working| working.title.ends_with(word))
            .unwrap()
            .result
    };
    let minutes = |failure| row(&described, failure).minutes.unwrap();
    assert!((seconds("starving") / 60.0 - minutes(Failure::CellHigh)).abs() < 1e-9);
    assert!((seconds("flooding") / 60.0 - minutes(Failure::CellLow)).abs() < 1e-9);
}

/// An open valve that leaves ten times the surplus floods in a tenth of the minutes; every other row stays.
#[test]
fn property_flooding_minutes_follow_the_installed_flow() {
    let mut described = shell_boiler();
    described.feedwater.on_signal_loss = FailPosition::Open;
    let smallest = described.duties[2].steam_kg_s + described.duties[2].blowdown_kg_s;
    let surplus = described.feedwater.full_valve_flow_kg_s - smallest;
    let large = feedwater_sheet(10.0 * surplus + smallest, &[]);
    let surveyed = signal_loss_sheet(&described, None).unwrap().rows;
    let installed = signal_loss_sheet(&described, Some(&large)).unwrap().rows;
    let ratios: Vec<f64> = surveyed
        .iter()
        .zip(&installed)
        .filter_map(|(before, after)| Some(before.minutes? / after.minutes?))
        .collect();
    let is = |ratio: &f64, wanted: f64| (ratio / wanted - 1.0).abs() < 1e-9;
    assert!(ratios.iter().any(|ratio| is(ratio, 10.0)), "{ratios:?}");
    assert!(
        ratios.iter().all(|ratio| is(ratio, 10.0) || is(ratio, 1.0)),
        "{ratios:?}"
    );
}
