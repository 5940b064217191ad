//! An invented feed system and sheet for the core's tests; numbers without claim to fit each other.

#![allow(
    dead_code,
    reason = "shared by the tests of several topics, none of which needs all of it"
)]

use crate::description::feed_system::{
    Actuator, Bypass, Characteristic, ControlValve, FeedSystem, LeakageClass, Line, Pump,
    PumpPoint, Recirculation, Station, Supply, ValveSize, ValveStyle,
};
use crate::example_loop::STANDARD_ATMOSPHERE_PA;
use crate::feedwater::sheets::{
    ActuatorSheet, Cavitation, DutyFlow, DutyKind, FeedwaterSheet, FlowRegime, Installed,
    InstalledPoint, StrokeSheet,
};
use crate::quantity::AbsolutePressure;

/// One pump, a globe valve, a hand bypass. Invented.
pub(crate) fn feed_system() -> FeedSystem {
    let point = |flow_m3_s, head_m| PumpPoint {
        flow_m3_s,
        head_m,
        npsh_required_m: None,
    };
    let size = ValveSize {
        name: "DN 40".into(),
        rated_kv_m3_h: 16.0,
        bore_m: 0.04,
        seat_diameter_m: Some(0.03),
    };
    FeedSystem {
        supply: Supply::Pump(Pump {
            curve: vec![point(0.0, 150.0), point(1.5e-3, 140.0), point(3e-3, 115.0)],
            running: 1,
            standby: 1,
            suction_surface: AbsolutePressure::from_pa(STANDARD_ATMOSPHERE_PA),
            suction_surface_above_pump_m: 3.0,
            suction_loss: None,
            minimum_flow_m3_s: Some(0.4e-3),
            recirculation: Recirculation::None,
            other_flow_kg_s: 0.0,
            variable_speed: false,
        }),
        line: Line {
            parts: Vec::new(),
            valve_above_supply_m: 1.0,
            inlet_above_supply_m: 2.0,
            pipe_before_valve_m: 0.05,
            pipe_after_valve_m: 0.05,
        },
        valve: ControlValve {
            style: ValveStyle::GlobeContouredOpen,
            recovery_factor: None,
            style_modifier: None,
            incipient_ratio: None,
            characteristic: Characteristic::EqualPercentage { rangeability: 50.0 },
            sizes: vec![size],
            sizes_are_generic: false,
            fitted: None,
            throttling_limit_pa: None,
            shut_off_limit_pa: None,
            leakage: LeakageClass::IV,
            pipe_wall_m: 0.0036,
        },
        actuator: Actuator::Linear {
            rated_force_n: 4_000.0,
            packing_friction_n: 300.0,
            balanced: false,
            flow_opens: true,
        },
        station: Station {
            bypass: Bypass::Hand { kv_m3_h: None },
            isolating_valves: true,
            replaces_on_off: false,
            interlocks_kept: Vec::new(),
        },
        returns: Vec::new(),
    }
}

/// A duty's flow with a travel but no gain yet.
pub(crate) fn duty_flow(name: &str, flow_kg_s: f64) -> DutyFlow {
    DutyFlow {
        name: name.into(),
        kind: DutyKind::Stated,
        flow_kg_s,
        flow_m3_s: flow_kg_s / 968.0,
        water_temperature_k: 358.15,
        density_kg_m3: 968.0,
        kinematic_viscosity_m2_s: 3.4e-7,
        vessel_pressure_pa: 963_000.0,
        pump_flow_m3_s: None,
        pump_head_m: None,
        speed_with_valve_open_percent: None,
        npsh_available_m: None,
        npsh_required_m: None,
        inlet_pressure_pa: 1_300_000.0,
        outlet_pressure_pa: 980_000.0,
        pressure_drop_pa: 320_000.0,
        friction_pa: (0.0, 0.0),
        vapour_pressure_pa: 57_800.0,
        critical_ratio_factor: 0.945,
        choked_drop_pa: 1_000_000.0,
        kv_required_m3_h: 3.4,
        regime: FlowRegime::Turbulent,
        reynolds: 1e5,
        piping_factor: 1.0,
        piping_recovery_factor: 0.9,
        choked: false,
        flashing: false,
        cavitation: Cavitation::None,
        sigma: Some(3.9),
        pressure_ratio: 0.26,
        incipient_pressure_ratio: 0.4,
        noise_dba: None,
        inlet_velocity_m_s: 1.0,
        outlet_velocity_m_s: 1.0,
        flash_steam_ratio: 0.0,
        travel_percent: None,
        installed_gain_ratio: None,
        words: String::new(),
    }
}

/// A feedwater sheet with a full flow and, by duty, an installed gain; the curve's gain runs from 0.2 to 1.8.
pub(crate) fn feedwater_sheet(
    full_flow_kg_s: f64,
    gains: &[(&str, Option<f64>)],
) -> FeedwaterSheet {
    let duties = gains
        .iter()
        .map(|(name, gain)| DutyFlow {
            travel_percent: gain.map(|_| 50.0),
            installed_gain_ratio: *gain,
            ..duty_flow(name, 1.0)
        })
        .collect();
    let point = |travel_percent, share: f64, gain_ratio| InstalledPoint {
        travel_percent,
        flow_kg_s: share * full_flow_kg_s,
        gain_ratio,
    };
    FeedwaterSheet {
        duties,
        candidates: Vec::new(),
        chosen_name: "DN 40".into(),
        chosen_kv_m3_h: 16.0,
        is_fitted: false,
        choice_words: String::new(),
        factors: Vec::new(),
        installed: Installed {
            curve: vec![
                point(0.0, 0.02, 0.2),
                point(50.0, 0.5, 1.8),
                point(100.0, 1.0, 0.6),
            ],
            full_flow_kg_s,
            gain_spread_ratio: 3.0,
            turndown_ratio: 20.0,
            authority_ratio: 0.4,
        },
        supply: Vec::new(),
        supply_words: "1 pump".into(),
        actuator: ActuatorSheet {
            from_drop: 1.0,
            packing_friction_n: 1.0,
            seat_load_n: 1.0,
            required: 3.0,
            rated: 6.0,
            is_torque: false,
            margin_ratio: 2.0,
            shut_off_drop_pa: 1e6,
            enough: true,
            words: String::new(),
        },
        leakage: None,
        stroke: StrokeSheet {
            stroke_time_s: 30.0,
            level_lost_m: 1e-4,
            share_of_allowed_ratio: 0.01,
            deadband_level_m: 1e-4,
            words: String::new(),
        },
        minimum_flow: None,
        returns: Vec::new(),
        station_words: Vec::new(),
        findings: Vec::new(),
        workings: Vec::new(),
    }
}
