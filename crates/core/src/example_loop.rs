//! An invented loop for the core's tests: a shell boiler at 125 psi(g) with a wet leg, taps 20 in apart.

#![allow(
    dead_code,
    reason = "shared by the tests of several topics, none of which needs all of it"
)]

use crate::controller::forms::PidForm;
use crate::controller::units::{DerivativeUnit, GainUnit, ResetUnit};
use crate::description::uncertainty::UncertaintySurvey;
use crate::description::{
    Cell, Controller, Duty, Elevations, FailPosition, Feedwater, Glass, Identity, InputFault,
    LegTemperature, Limits, Loop, Paper, Polarity, Pressures, RangeMethod, RangeWish, ReferenceLeg,
    Reversal, Site, UnitSystem, ValveService, Vessel, VesselKind,
};
use crate::quantity::{AbsolutePressure, GaugePressure, LevelSpan, WaterColumn};
use crate::vessel::{HeadKind, Internals, Orientation, Shell};

/// Pascals in a pound-force per square inch.
pub(crate) const PA_PER_PSI: f64 = 6_894.757_293_168;
/// Standard atmosphere, Pa.
pub(crate) const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;
/// Metres in an inch.
pub(crate) const M_PER_IN: f64 = 0.0254;

/// A gauge pressure in psi at the standard atmosphere.
pub(crate) const fn psig(value: f64) -> AbsolutePressure {
    GaugePressure::from_pa(value * PA_PER_PSI)
        .to_absolute(AbsolutePressure::from_pa(STANDARD_ATMOSPHERE_PA))
}

/// Kelvin of a Celsius temperature.
pub(crate) const fn kelvin(celsius: f64) -> f64 {
    celsius + 273.15
}

/// Shell boiler, 125 psi(g), wet leg at 50 degC on the low port, taps and range 20 in apart, cell 12 in below
/// the lower tap. Invented.
pub(crate) fn shell_boiler() -> Loop {
    Loop {
        identity: Identity {
            tag: "LIC-1".into(),
            service: "boiler drum level".into(),
            plant: "invented plant".into(),
            revision: "0".into(),
            units: UnitSystem::Us,
            water_column: WaterColumn::At68DegF,
            paper: Paper::Letter,
            notes: Vec::new(),
        },
        site: Site {
            altitude_m: 0.0,
            atmosphere: AbsolutePressure::from_pa(STANDARD_ATMOSPHERE_PA),
            gravity_m_s2: 9.806_65,
            ambient_lowest_k: kelvin(10.0),
            ambient_highest_k: kelvin(40.0),
        },
        vessel: Vessel {
            kind: VesselKind::ShellBoiler,
            shell: Shell::new(Orientation::Horizontal, 2.2, 4.5, HeadKind::Flat)
                .expect("invented shell is sound"),
            lower_tap_above_bottom_m: 1.35,
            internals: Internals::default(),
            circuit_volume_m3: None,
            water_temperature_k: None,
            vacuum_breaker: false,
        },
        elevations: Elevations {
            upper_tap_m: Some(20.0 * M_PER_IN),
            highest_heated_surface_m: Some(1.0 * M_PER_IN),
            overflow_m: None,
        },
        reference_leg: ReferenceLeg::Wet {
            pot_lip_m: 20.0 * M_PER_IN,
            temperature: LegTemperature {
                top_k: kelvin(50.0),
                bottom_k: kelvin(50.0),
            },
            below_tap_k: None,
        },
        working_leg_temperature_k: kelvin(50.0),
        leg_temperature_band_k: (kelvin(20.0), kelvin(60.0)),
        glass: Some(Glass {
            lower_connection_m: 3.0 * M_PER_IN,
            visible_bottom_m: 4.0 * M_PER_IN,
            visible_top_m: 16.0 * M_PER_IN,
            water_temperature_k: None,
        }),
        cell: Cell {
            below_lower_tap_m: 12.0 * M_PER_IN,
            polarity: Polarity::BottomOnHigh,
            reversal: Reversal::Nowhere,
            lower_range_limit_pa: -62_160.0,
            upper_range_limit_pa: 62_160.0,
            minimum_span_pa: 622.0,
            reference_accuracy_percent: 0.05,
            drift_percent_url_per_year: 0.03,
            vacuum_limit: AbsolutePressure::from_pa(3_450.0),
            static_limit: psig(2_000.0),
            saturation_ma: (3.8, 20.5),
            fault_ma: 21.75,
            damping_s: 0.4,
        },
        range: RangeWish {
            span: LevelSpan {
                at_0_percent_m: 0.0,
                at_100_percent_m: 20.0 * M_PER_IN,
            },
            method: RangeMethod::Normal,
            high_error_limit_percent: 0.0,
            high_error_weight: 1.0,
            low_error_weight: 1.0,
            bench_temperature_k: kelvin(20.0),
        },
        pressures: Pressures {
            start_up: psig(0.0),
            lowest_sustained: psig(100.0),
            normal: psig(125.0),
            highest: psig(135.0),
            safety_valve: psig(150.0),
            start_up_water_k: kelvin(20.0),
        },
        duties: vec![
            duty("maximum", 1.6, 0.05),
            duty("normal", 1.0, 0.03),
            duty("low fire", 0.35, 0.01),
        ],
        feedwater: Feedwater {
            service: ValveService::Inflow,
            rising_output_opens: true,
            full_valve_flow_kg_s: 2.2,
            full_valve_flow_source: "stated".into(),
            stroke_time_s: 30.0,
            deadband_percent: 1.0,
            resolution_percent: 0.5,
            swell_time_s: 3.0,
            on_signal_loss: FailPosition::Last,
            on_power_loss: FailPosition::Last,
        },
        feed_system: None,
        wiring: None,
        uncertainty: UncertaintySurvey {
            inputs: Vec::new(),
            calibration_interval_years: 1.0,
            ambient_swing_k: 15.0,
            zeroed_at_pressure: true,
            leg_correlation: 1.0,
            zero_readings_ma: Vec::new(),
        },
        controller: Controller {
            form: PidForm::Ideal,
            gain_unit: GainUnit::ProportionalBandPercent,
            reset_unit: ResetUnit::MinutesPerRepeat,
            derivative_unit: DerivativeUnit::Minutes,
            sample_time_s: 0.25,
            filter_time_s: 1.0,
            linearisation_points: 6,
            input_fault: InputFault::NotDetected,
            device_marks: Vec::new(),
        },
        limits: Limits {
            set_point_m: 10.0 * M_PER_IN,
            low_alarm_m: Some(6.0 * M_PER_IN),
            high_alarm_m: Some(14.0 * M_PER_IN),
            low_cutoff_m: Some(4.0 * M_PER_IN),
            second_low_cutoff_m: Some(3.0 * M_PER_IN),
            high_trip_m: Some(17.0 * M_PER_IN),
            allowed_deviation_m: 2.0 * M_PER_IN,
            largest_load_change_ratio: 0.3,
            smallest_separation_m: 1.0 * M_PER_IN,
        },
        as_found: None,
        measured: None,
        people: Vec::new(),
        instruments: Vec::new(),
        assumptions: Vec::new(),
        placeholders: Vec::new(),
    }
}

/// The shell boiler's numbers on a drum boiler: taller taps, leg with a gradient and on the high port, reversed in
/// the cell. Invented.
pub(crate) fn drum_boiler() -> Loop {
    let mut described = shell_boiler();
    described.vessel.kind = VesselKind::DrumBoiler;
    described.cell.polarity = Polarity::WetLegOnHigh;
    described.cell.reversal = Reversal::InCell;
    described.reference_leg = ReferenceLeg::Wet {
        pot_lip_m: 0.62,
        temperature: LegTemperature {
            top_k: kelvin(90.0),
            bottom_k: kelvin(35.0),
        },
        below_tap_k: None,
    };
    // Means above the lower tap: 71.6 degC as surveyed.
    described.leg_temperature_band_k = (kelvin(60.0), kelvin(80.0));
    described.elevations.upper_tap_m = Some(0.6);
    described
}

/// A vented feed tank at 80 degC, 2 m of level, reference port open. Invented.
pub(crate) fn vented_tank() -> Loop {
    let mut described = shell_boiler();
    let atmosphere = described.site.atmosphere;
    described.vessel.kind = VesselKind::VentedTank;
    described.vessel.water_temperature_k = Some(kelvin(80.0));
    described.reference_leg = ReferenceLeg::None;
    described.working_leg_temperature_k = kelvin(40.0);
    described.elevations = Elevations {
        upper_tap_m: None,
        highest_heated_surface_m: None,
        overflow_m: Some(2.1),
    };
    described.range.span = LevelSpan {
        at_0_percent_m: 0.0,
        at_100_percent_m: 2.0,
    };
    described.pressures = Pressures {
        start_up: atmosphere,
        lowest_sustained: atmosphere,
        normal: atmosphere,
        highest: atmosphere,
        safety_valve: atmosphere,
        start_up_water_k: kelvin(15.0),
    };
    for duty in &mut described.duties {
        duty.pressure = atmosphere;
    }
    described
}

fn duty(name: &str, steam_kg_s: f64, blowdown_kg_s: f64) -> Duty {
    Duty {
        name: name.into(),
        steam_kg_s,
        blowdown_kg_s,
        feed_temperature_k: kelvin(85.0),
        pressure: psig(125.0),
    }
}
