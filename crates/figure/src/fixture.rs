//! Invented loops for the figures' tests, and sheets in the shape that the core gives them.
//!
//! The measurement numbers come from plain hydrostatics with one density each, so that the figures have something true
//! to their kind to draw; what they are worth is checked in the core, not here.

use halfglass_core::controller::action::Action;
use halfglass_core::controller::forms::PidForm;
use halfglass_core::controller::sheets::SettingsSheet;
use halfglass_core::controller::units::{DerivativeUnit, GainUnit, ResetUnit};
use halfglass_core::description::{
    AsFound, AsFoundSettings, Cell, Controller, Duty, Elevations, FailPosition, Feedwater, Glass,
    Identity, InputFault, LegTemperature, Limits, Loop, Paper, Polarity, Pressures, RangeMethod,
    RangeWish, ReferenceLeg, Reversal, Site, UnitSystem, ValveService, Vessel, VesselKind,
};
use halfglass_core::design::Sheets;
use halfglass_core::level_map::{Blind, LevelMapSheet, LevelMark, MarkKind};
use halfglass_core::measurement::cell::{CellAt, Geometry};
use halfglass_core::measurement::sheets::{
    AsFoundRange, BestRange, Condition, Densities, Equalised, ErrorCurve, ErrorMapSheet,
    GlassCardLine, Range, RangeSheet,
};
use halfglass_core::protection::sheets::SignalLossSheet;
use halfglass_core::quantity::{
    AbsolutePressure, GaugePressure, GlassLevel, LevelSpan, TrueLevel, WaterColumn,
};
use halfglass_core::tuning::tuning_sheet;
use halfglass_core::vessel::{HeadKind, Internals, Orientation, Shell};
use halfglass_core::water::{
    FillFluid, compressed_water_density_kg_m3, saturated_densities, saturation_temperature_k,
};

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
        people: Vec::new(),
        instruments: Vec::new(),
        assumptions: Vec::new(),
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

/// The shell boiler with a cold range and a quick reset as found, long names and all. Invented.
pub(crate) fn inherited_boiler() -> Loop {
    let mut described = shell_boiler();
    described.identity.tag = "LIC-204".into();
    described.identity.service = "laundry boiler 2 water level".into();
    described.vessel.shell = Shell::new(
        Orientation::Horizontal,
        84.0 * M_PER_IN,
        4.2,
        HeadKind::Flat,
    )
    .unwrap();
    described.vessel.lower_tap_above_bottom_m = 46.0 * M_PER_IN;
    described.elevations.upper_tap_m = Some(30.0 * M_PER_IN);
    described.elevations.highest_heated_surface_m = Some(4.0 * M_PER_IN);
    described.reference_leg = ReferenceLeg::Wet {
        pot_lip_m: 30.5 * M_PER_IN,
        temperature: LegTemperature {
            top_k: kelvin(50.0),
            bottom_k: kelvin(50.0),
        },
        below_tap_k: None,
    };
    described.cell.below_lower_tap_m = 30.0 * M_PER_IN;
    described.range.span.at_100_percent_m = 30.0 * M_PER_IN;
    described.glass = Some(Glass {
        lower_connection_m: 3.0 * M_PER_IN,
        visible_bottom_m: 6.0 * M_PER_IN,
        visible_top_m: 24.0 * M_PER_IN,
        water_temperature_k: None,
    });
    described.limits = Limits {
        set_point_m: 16.0 * M_PER_IN,
        low_alarm_m: Some(12.0 * M_PER_IN),
        high_alarm_m: Some(21.0 * M_PER_IN),
        low_cutoff_m: Some(8.5 * M_PER_IN),
        second_low_cutoff_m: Some(7.5 * M_PER_IN),
        high_trip_m: Some(25.0 * M_PER_IN),
        ..described.limits
    };
    described.as_found = Some(AsFound {
        range_pa: Some((-30.0 * 249.0, 0.0)),
        settings: Some(AsFoundSettings {
            gain_ratio: 4.0,
            reset_s: Some(60.0),
            derivative_s: 0.0,
        }),
    });
    described
}

/// A standing feed tank of its own shape, SI. Invented.
pub(crate) fn standing_tank() -> Loop {
    let mut described = vented_tank();
    described.identity.tag = "LIC-31".into();
    described.identity.service = "brewery feed tank level".into();
    described.identity.units = UnitSystem::Si;
    described.vessel.shell = Shell::new(
        Orientation::Vertical,
        1.6,
        2.4,
        HeadKind::FLANGED_AND_DISHED,
    )
    .unwrap();
    described.vessel.lower_tap_above_bottom_m = 0.45;
    described.glass = Some(Glass {
        lower_connection_m: 0.2,
        visible_bottom_m: 0.3,
        visible_top_m: 1.9,
        water_temperature_k: None,
    });
    described.limits.set_point_m = 1.2;
    described.limits.low_alarm_m = Some(0.7);
    described.limits.high_alarm_m = Some(1.7);
    described.limits.low_cutoff_m = Some(0.4);
    described.limits.second_low_cutoff_m = None;
    described.limits.high_trip_m = Some(1.95);
    described.limits.allowed_deviation_m = 0.2;
    described
}

/// A deaerator's storage with diaphragm seals, wet leg side on the high port, SI. Invented.
pub(crate) fn sealed_deaerator() -> Loop {
    let mut described = standing_tank();
    described.identity.tag = "LIC-7".into();
    described.identity.service = "deaerator storage level".into();
    described.vessel.kind = VesselKind::Deaerator;
    described.vessel.water_temperature_k = None;
    described.vessel.shell =
        Shell::new(Orientation::Horizontal, 2.0, 5.0, HeadKind::Ellipsoidal2To1).unwrap();
    described.vessel.lower_tap_above_bottom_m = 0.25;
    described.elevations = Elevations {
        upper_tap_m: Some(1.5),
        highest_heated_surface_m: None,
        overflow_m: Some(1.45),
    };
    described.reference_leg = ReferenceLeg::Sealed {
        lower_seal_m: 0.0,
        upper_seal_m: 1.5,
        fluid: FillFluid::silicone_oil_50_cst(),
        reference_capillary_k: kelvin(25.0),
        working_capillary_k: kelvin(25.0),
    };
    described.cell.below_lower_tap_m = 0.2;
    described.cell.polarity = Polarity::WetLegOnHigh;
    described.cell.reversal = Reversal::InCell;
    described.range.span.at_100_percent_m = 1.5;
    described.glass = None;
    described.limits.set_point_m = 0.9;
    described.limits.low_alarm_m = Some(0.5);
    described.limits.high_alarm_m = Some(1.25);
    described.limits.low_cutoff_m = Some(0.2);
    described.limits.high_trip_m = Some(1.4);
    described.pressures = Pressures {
        start_up: psig(0.0),
        lowest_sustained: psig(1.0),
        normal: psig(3.0),
        highest: psig(5.0),
        safety_valve: psig(15.0),
        start_up_water_k: kelvin(20.0),
    };
    for duty in &mut described.duties {
        duty.pressure = psig(3.0);
    }
    described
}

/// The deaerator with a dry leg and a glass. Invented.
pub(crate) fn dry_leg_deaerator() -> Loop {
    let mut described = sealed_deaerator();
    described.reference_leg = ReferenceLeg::Dry {
        temperature_k: kelvin(60.0),
    };
    described.cell.polarity = Polarity::BottomOnHigh;
    described.cell.reversal = Reversal::Nowhere;
    described.glass = Some(Glass {
        lower_connection_m: 0.1,
        visible_bottom_m: 0.15,
        visible_top_m: 1.35,
        water_temperature_k: None,
    });
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

/// Densities at a vessel pressure: saturated, except cold at start-up and in a tank.
fn densities(described: &Loop, pressure: AbsolutePressure) -> (f64, Densities) {
    let cold = described.vessel.water_temperature_k;
    let at_start = (pressure.pa() - described.pressures.start_up.pa()).abs() < 1.0;
    let water_k = match cold {
        Some(k) => k,
        None if at_start => described.pressures.start_up_water_k,
        None => saturation_temperature_k(pressure.pa()).unwrap(),
    };
    let leg = compressed_water_density_kg_m3(kelvin(50.0), pressure.pa()).unwrap();
    let (liquid, vapour) = if cold.is_some() || at_start {
        (
            compressed_water_density_kg_m3(water_k, pressure.pa()).unwrap(),
            1.2,
        )
    } else {
        let saturated = saturated_densities(pressure.pa()).unwrap();
        (saturated.liquid_kg_m3, saturated.vapour_kg_m3)
    };
    let (reference, working) = match described.reference_leg {
        ReferenceLeg::Wet { .. } => (leg, leg),
        ReferenceLeg::Dry { .. } => (vapour, leg),
        ReferenceLeg::None => (1.2, leg),
        ReferenceLeg::Sealed { .. } => (960.0, 960.0),
    };
    (
        water_k,
        Densities {
            liquid,
            vapour,
            reference_above: reference,
            reference_below: reference,
            working_below: working,
        },
    )
}

fn cell_at(described: &Loop, pressure: AbsolutePressure) -> CellAt {
    CellAt {
        geometry: Geometry::of(described).unwrap(),
        densities: densities(described, pressure).1,
    }
}

fn condition(described: &Loop, name: &str, pressure: AbsolutePressure) -> Condition {
    Condition {
        name: name.into(),
        pressure,
        water_k: densities(described, pressure).0,
        reference_leg_k: kelvin(50.0),
    }
}

/// Where the glass stands, by its own hydrostatics; `None` beyond its visible length.
fn glass_level(described: &Loop, densities: &Densities, true_m: f64) -> Option<GlassLevel> {
    let glass = described.glass.as_ref()?;
    let in_glass =
        compressed_water_density_kg_m3(kelvin(80.0), described.pressures.normal.pa()).unwrap();
    let ratio =
        (densities.liquid - densities.vapour) / (in_glass.max(densities.liquid) - densities.vapour);
    let m = glass.lower_connection_m + (true_m - glass.lower_connection_m) * ratio;
    (glass.visible_bottom_m..=glass.visible_top_m)
        .contains(&m)
        .then_some(GlassLevel::from_m(m))
}

/// The sheets of a loop.
pub(crate) fn sheets(described: &Loop) -> Sheets {
    let range = range_sheet(described);
    let tuning = tuning_sheet(described, &range).unwrap();
    Sheets {
        error_map: error_map(described, &range),
        settings: SettingsSheet {
            form: PidForm::Ideal,
            action: Action::Reverse,
            action_steps: Vec::new(),
            rows: Vec::new(),
            other_forms: Vec::new(),
            gain_rescale_ratio: None,
            findings: Vec::new(),
            workings: Vec::new(),
        },
        tuning,
        signal_loss: SignalLossSheet {
            rows: Vec::new(),
            reserves: Vec::new(),
            cold_fill: None,
            cool_down: None,
            findings: Vec::new(),
            workings: Vec::new(),
        },
        level_map: level_map(described, &range),
        range,
        findings: Vec::new(),
        assumptions: Vec::new(),
    }
}

fn range_sheet(described: &Loop) -> RangeSheet {
    let span = described.range.span;
    let normal = cell_at(described, described.pressures.normal);
    let hot = normal.exact_range(span).unwrap();
    let mut cold = normal;
    cold.densities = Densities {
        liquid: 998.0,
        vapour: 0.0,
        reference_above: if matches!(described.reference_leg, ReferenceLeg::Wet { .. }) {
            998.0
        } else {
            normal.densities.reference_above
        },
        reference_below: if matches!(described.reference_leg, ReferenceLeg::Wet { .. }) {
            998.0
        } else {
            normal.densities.reference_below
        },
        working_below: if matches!(described.reference_leg, ReferenceLeg::Sealed { .. }) {
            960.0
        } else {
            998.0
        },
    };
    let bench = cold.exact_range(span).unwrap();
    let percent = 100.0 * -hot.lrv_pa / (hot.urv_pa - hot.lrv_pa);
    RangeSheet {
        polarity: described.cell.polarity,
        normal: condition(described, "normal", described.pressures.normal),
        densities: normal.densities,
        hot,
        bench,
        bench_readings: Vec::new(),
        best: BestRange {
            range: hot,
            worst_error_percent: 0.0,
            hot_worst_error_percent: 0.0,
            bench_worst_error_percent: 0.0,
            active: Vec::new(),
            held_by_high_limit: false,
        },
        method: described.range.method,
        chosen: hot,
        cell_ends_pa: (hot.lrv_pa, hot.urv_pa),
        span_pa: (hot.urv_pa - hot.lrv_pa).abs(),
        turndown_ratio: described.cell.upper_range_limit_pa / (hot.urv_pa - hot.lrv_pa).abs(),
        equalised: Equalised {
            percent,
            wanted_ma: 4.0 + 0.16 * percent,
            current_ma: 20.5,
            clipped: true,
        },
        test_points: Vec::new(),
        as_found: described
            .as_found
            .as_ref()
            .and_then(|f| f.range_pa)
            .map(|(lrv_pa, urv_pa)| AsFoundRange {
                range: Range { lrv_pa, urv_pa },
                readings: Vec::new(),
                worst_error_percent: -10.0,
                looks_cold: true,
            }),
        pot_lip_sensitivity_ratio: None,
        findings: Vec::new(),
        workings: Vec::new(),
    }
}

fn error_map(described: &Loop, range: &RangeSheet) -> ErrorMapSheet {
    let span = described.range.span;
    let p = &described.pressures;
    let conditions = [
        ("start-up", p.start_up),
        ("lowest", p.lowest_sustained),
        ("normal", p.normal),
        ("highest", p.highest),
        ("safety valve", p.safety_valve),
    ]
    .into_iter()
    .map(|(name, pressure)| condition(described, name, pressure))
    .collect();
    let curves = [0.0, 25.0, 50.0, 75.0, 100.0]
        .into_iter()
        .map(|true_percent| ErrorCurve {
            true_percent,
            points: (0..=40)
                .map(|i| {
                    let share = f64::from(i) / 40.0;
                    let pa =
                        p.start_up.pa() + 2.0 + share * (p.safety_valve.pa() - p.start_up.pa());
                    let pressure = AbsolutePressure::from_pa(pa);
                    let level = TrueLevel::from_percent(true_percent, span);
                    (
                        pressure,
                        cell_at(described, pressure)
                            .error_percent(range.chosen, span, level)
                            .unwrap(),
                    )
                })
                .collect(),
        })
        .collect();
    let normal = cell_at(described, p.normal);
    let glass_card = described.glass.as_ref().map_or_else(Vec::new, |glass| {
        (0..=10)
            .map(|i| {
                let height = glass.visible_top_m - glass.visible_bottom_m;
                let glass_m = glass.visible_bottom_m + f64::from(i) / 10.0 * height;
                // The inverse of the glass's own straight line.
                let line = |m: f64| {
                    let wide = Glass {
                        visible_bottom_m: -99.0,
                        visible_top_m: 99.0,
                        ..glass.clone()
                    };
                    let wide = Loop {
                        glass: Some(wide),
                        ..described.clone()
                    };
                    glass_level(&wide, &normal.densities, m).unwrap().m()
                };
                let slope = line(1.0) - line(0.0);
                let true_m = (glass_m - line(0.0)) / slope;
                GlassCardLine {
                    glass: GlassLevel::from_m(glass_m),
                    true_cold: TrueLevel::from_m(glass_m),
                    true_hot: TrueLevel::from_m(true_m),
                    indicated_hot: normal
                        .indicated(range.chosen, span, TrueLevel::from_m(true_m))
                        .unwrap(),
                }
            })
            .collect()
    });
    ErrorMapSheet {
        range: range.chosen,
        conditions,
        points: Vec::new(),
        curves,
        leg_rows: Vec::new(),
        compensation: None,
        glass_card,
        glass_water_k: described.glass.as_ref().map(|_| kelvin(80.0)),
        findings: Vec::new(),
        workings: Vec::new(),
    }
}

fn level_map(described: &Loop, range: &RangeSheet) -> LevelMapSheet {
    let bottom = -described.vessel.lower_tap_above_bottom_m;
    let top = bottom + described.vessel.shell.height_m();
    let limits = &described.limits;
    let mut listed: Vec<(String, MarkKind, f64)> = vec![
        ("shell, inside bottom".into(), MarkKind::Shell, bottom),
        ("shell, inside top".into(), MarkKind::Shell, top),
        ("lower tap".into(), MarkKind::Tap, 0.0),
        ("set point".into(), MarkKind::SetPoint, limits.set_point_m),
    ];
    let mut add = |name: &str, kind, level: Option<f64>| {
        if let Some(m) = level {
            listed.push((name.into(), kind, m));
        }
    };
    add("upper tap", MarkKind::Tap, described.elevations.upper_tap_m);
    add(
        "highest heated surface",
        MarkKind::HeatedSurface,
        described.elevations.highest_heated_surface_m,
    );
    add(
        "overflow",
        MarkKind::Overflow,
        described.elevations.overflow_m,
    );
    add("low alarm", MarkKind::Alarm, limits.low_alarm_m);
    add("high alarm", MarkKind::Alarm, limits.high_alarm_m);
    add("low-water cutoff", MarkKind::Trip, limits.low_cutoff_m);
    add(
        "second low-water cutoff",
        MarkKind::Trip,
        limits.second_low_cutoff_m,
    );
    add("high-level trip", MarkKind::Trip, limits.high_trip_m);
    add(
        "glass, visible bottom",
        MarkKind::Glass,
        described.glass.as_ref().map(|g| g.visible_bottom_m),
    );
    add(
        "glass, visible top",
        MarkKind::Glass,
        described.glass.as_ref().map(|g| g.visible_top_m),
    );
    if let ReferenceLeg::Wet { pot_lip_m, .. } = described.reference_leg {
        add("condensate-pot lip", MarkKind::PotLip, Some(pot_lip_m));
    }
    listed.sort_by(|a, b| b.2.total_cmp(&a.2));
    let hot = cell_at(described, described.pressures.normal);
    let cold = cell_at(described, described.pressures.start_up);
    let span = described.range.span;
    let marks = listed
        .into_iter()
        .map(|(name, kind, m)| {
            let level = TrueLevel::from_m(m);
            let blind = match m {
                m if m < 0.0 => Some(Blind::Below),
                m if m > described.elevations.upper_tap_m.unwrap_or(f64::INFINITY) => {
                    Some(Blind::Above)
                }
                _ => None,
            };
            LevelMark {
                name,
                kind,
                true_level: level,
                indicated_hot: hot.indicated(range.chosen, span, level).ok(),
                indicated_cold: cold.indicated(range.chosen, span, level).ok(),
                glass_hot: glass_level(described, &hot.densities, m),
                glass_cold: glass_level(described, &cold.densities, m),
                blind,
            }
        })
        .collect();
    LevelMapSheet {
        marks,
        separations: Vec::new(),
        shell_bottom_m: bottom,
        shell_top_m: top,
        findings: Vec::new(),
    }
}
