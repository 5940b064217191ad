//! Invented loops with sheets, for the tests of this crate. The sheets are filled in by hand so that every part of the
//! report has something to print; nothing here is a check of their numbers.

use halfglass_core::controller::action::Action;
use halfglass_core::controller::forms::PidForm;
use halfglass_core::controller::sheets::{SettingRow, SettingValue, SettingsSheet};
use halfglass_core::controller::units::{DerivativeUnit, GainUnit, ResetUnit};
use halfglass_core::description::*;
use halfglass_core::design::Sheets;
use halfglass_core::finding::{Assumption, Finding, Severity};
use halfglass_core::level_map::{Blind, LevelMapSheet, LevelMark, MarkKind, Separation};
use halfglass_core::measurement::sheets::*;
use halfglass_core::protection::sheets::*;
use halfglass_core::quantity::*;
use halfglass_core::tuning::sheets::{DeadTimePart, DutyGain, Judged, TuningSheet};
use halfglass_core::vessel::{DisplacementPoint, HeadKind, Internals, Orientation, Shell};
use halfglass_core::water::FillFluid;
use halfglass_core::working::Working;

const ATMOSPHERE: AbsolutePressure = AbsolutePressure::from_pa(101_325.0);
const NORMAL: AbsolutePressure = AbsolutePressure::from_pa(963_169.7);
const SPAN: LevelSpan = LevelSpan {
    at_0_percent_m: 0.0,
    at_100_percent_m: 0.762,
};

/// A shell boiler with everything that a loop file can say.
pub(crate) fn full() -> (Loop, Sheets) {
    let described = shell_boiler();
    let sheets = full_sheets(&described);
    (described, sheets)
}

/// A vented tank with as little as a loop file can say; unbounded and unstable figures.
pub(crate) fn bare() -> (Loop, Sheets) {
    let mut described = shell_boiler();
    described.identity.units = UnitSystem::Si;
    described.vessel.kind = VesselKind::VentedTank;
    described.vessel.water_temperature_k = Some(353.15);
    described.vessel.internals = Internals::none();
    described.reference_leg = ReferenceLeg::None;
    described.elevations = Elevations {
        upper_tap_m: None,
        highest_heated_surface_m: None,
        overflow_m: Some(0.9),
    };
    described.glass = None;
    described.as_found = None;
    described.people = Vec::new();
    described.instruments = Vec::new();
    described.assumptions = Vec::new();
    described.identity.notes = Vec::new();
    described.controller.device_marks = Vec::new();
    let mut sheets = full_sheets(&described);
    sheets.range.as_found = None;
    sheets.range.pot_lip_sensitivity_ratio = None;
    sheets.error_map.compensation = None;
    sheets.error_map.glass_card = Vec::new();
    sheets.error_map.glass_water_k = None;
    sheets.settings.gain_rescale_ratio = None;
    sheets.tuning.slowest = None;
    sheets.tuning.as_found = None;
    sheets.tuning.chosen.gain_margin_ratio = f64::INFINITY;
    sheets.tuning.habit.stable = false;
    sheets.tuning.habit.max_sensitivity_ratio = f64::INFINITY;
    sheets.signal_loss.cold_fill = None;
    sheets.signal_loss.cool_down = None;
    sheets.findings = Vec::new();
    sheets.assumptions = Vec::new();
    (described, sheets)
}

/// Loops whose reference leg differs, with the same sheets.
pub(crate) fn other_legs() -> Vec<(Loop, Sheets)> {
    let sealed = ReferenceLeg::Sealed {
        lower_seal_m: 0.0,
        upper_seal_m: 0.8,
        fluid: FillFluid::silicone_oil_50_cst(),
        reference_capillary_k: 300.0,
        working_capillary_k: 305.0,
    };
    let dry = ReferenceLeg::Dry {
        temperature_k: 320.0,
    };
    [sealed, dry]
        .into_iter()
        .map(|leg| {
            let mut described = shell_boiler();
            described.reference_leg = leg;
            described.cell.polarity = Polarity::WetLegOnHigh;
            described.cell.reversal = Reversal::InController;
            let sheets = full_sheets(&described);
            (described, sheets)
        })
        .collect()
}

fn shell_boiler() -> Loop {
    Loop {
        identity: Identity {
            tag: "LIC-7".into(),
            service: "water level of boiler 2".into(),
            plant: "invented laundry".into(),
            revision: "3".into(),
            units: UnitSystem::Us,
            water_column: WaterColumn::At68DegF,
            paper: Paper::Letter,
            notes: vec!["All of this is invented.".into()],
        },
        site: Site {
            altitude_m: 120.0,
            atmosphere: ATMOSPHERE,
            gravity_m_s2: 9.806_65,
            ambient_lowest_k: 283.15,
            ambient_highest_k: 313.15,
        },
        vessel: Vessel {
            kind: VesselKind::ShellBoiler,
            shell: Shell::new(Orientation::Horizontal, 2.4, 5.0, HeadKind::Flat)
                .expect("invented shell is sound"),
            lower_tap_above_bottom_m: 1.4,
            internals: Internals::new(vec![
                DisplacementPoint {
                    height_m: 0.0,
                    displaced_fraction: 0.4,
                },
                DisplacementPoint {
                    height_m: 1.4,
                    displaced_fraction: 0.0,
                },
            ])
            .expect("invented internals are sound"),
            water_temperature_k: None,
            vacuum_breaker: false,
        },
        elevations: Elevations {
            upper_tap_m: Some(0.762),
            highest_heated_surface_m: Some(0.05),
            overflow_m: None,
        },
        reference_leg: ReferenceLeg::Wet {
            pot_lip_m: 0.762,
            temperature: LegTemperature {
                top_k: 323.15,
                bottom_k: 313.15,
            },
            below_tap_k: Some(303.15),
        },
        working_leg_temperature_k: 313.15,
        leg_temperature_band_k: (293.15, 333.15),
        glass: Some(Glass {
            lower_connection_m: 0.1,
            visible_bottom_m: 0.15,
            visible_top_m: 0.65,
            water_temperature_k: Some(373.15),
        }),
        cell: Cell {
            below_lower_tap_m: 0.3,
            polarity: Polarity::BottomOnHigh,
            reversal: Reversal::Nowhere,
            lower_range_limit_pa: -62_160.0,
            upper_range_limit_pa: 62_160.0,
            minimum_span_pa: 622.0,
            reference_accuracy_percent: 0.05,
            drift_percent_url_per_year: 0.03,
            vacuum_limit: AbsolutePressure::from_pa(3_450.0),
            static_limit: AbsolutePressure::from_pa(13.8e6),
            saturation_ma: (3.8, 20.5),
            fault_ma: 21.75,
            damping_s: 0.4,
        },
        range: RangeWish {
            span: SPAN,
            method: RangeMethod::Normal,
            high_error_limit_percent: 0.0,
            high_error_weight: 1.0,
            low_error_weight: 1.0,
            bench_temperature_k: 293.15,
        },
        pressures: Pressures {
            start_up: ATMOSPHERE,
            lowest_sustained: AbsolutePressure::from_pa(790_000.0),
            normal: NORMAL,
            highest: AbsolutePressure::from_pa(1_030_000.0),
            safety_valve: AbsolutePressure::from_pa(1_135_000.0),
            start_up_water_k: 293.15,
        },
        duties: vec![Duty {
            name: "maximum".into(),
            steam_kg_s: 1.6,
            blowdown_kg_s: 0.05,
            feed_temperature_k: 358.15,
            pressure: NORMAL,
        }],
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
            device_marks: vec![("gain".into(), "invented mark".into())],
        },
        limits: Limits {
            set_point_m: 0.381,
            low_alarm_m: Some(0.28),
            high_alarm_m: Some(0.5),
            low_cutoff_m: Some(0.2),
            second_low_cutoff_m: Some(0.16),
            high_trip_m: Some(0.6),
            allowed_deviation_m: 0.05,
            largest_load_change_ratio: 0.3,
            smallest_separation_m: 0.03,
        },
        as_found: Some(AsFound {
            range_pa: Some((-7_461.0, 0.0)),
            settings: Some(AsFoundSettings {
                gain_ratio: 4.0,
                reset_s: Some(80.0),
                derivative_s: 0.0,
            }),
        }),
        people: vec![Person {
            role: "service engineer".into(),
            name: "invented".into(),
        }],
        instruments: vec![Instrument {
            name: "pressure calibrator".into(),
            serial: "0000".into(),
            due: "2031-01".into(),
        }],
        assumptions: vec![assumption()],
    }
}

fn assumption() -> Assumption {
    Assumption {
        input: "feedwater.deadband",
        value: "1.0 % of travel".into(),
        why: "usual for a new actuator; touches the dead time",
    }
}

fn finding(severity: Severity, code: &'static str) -> Finding {
    Finding {
        severity,
        code,
        what: "The as-found range was set for cold water.".into(),
        consequence: "The panel reads low by 10 % when full.".into(),
        remedy: "Set the hot range.".into(),
        input: "as-found.range-low",
    }
}

fn working() -> Working {
    Working::new(
        "Span",
        "span = g*(rl - rv)*(h100 - h0)",
        6_580.0,
        "Pa",
        "hydrostatics",
        "water and vapour at rest",
    )
    .with("g", "local gravity", 9.806_65, "m/s2")
    .with("n", "a ratio", 1.0, "-")
}

fn condition(name: &str, pressure: AbsolutePressure) -> Condition {
    Condition {
        name: name.into(),
        pressure,
        water_k: 450.0,
        reference_leg_k: 318.15,
    }
}

fn full_sheets(described: &Loop) -> Sheets {
    let finding = finding(Severity::Warn, "range-is-cold");
    Sheets {
        range: range_sheet(described, &finding),
        error_map: error_map_sheet(&finding),
        settings: settings_sheet(&finding),
        tuning: tuning_sheet(&finding),
        signal_loss: signal_loss_sheet(&finding),
        level_map: level_map_sheet(&finding),
        findings: vec![
            finding.clone(),
            self::finding(Severity::Stop, "cutoffs-share-a-tap"),
        ],
        assumptions: described.assumptions.clone(),
    }
}

fn reading(true_m: f64, indicated_m: f64) -> Reading {
    Reading {
        true_level: TrueLevel::from_m(true_m),
        indicated: IndicatedLevel::from_m(indicated_m),
        indicated_percent: IndicatedLevel::from_m(indicated_m).percent(SPAN),
    }
}

fn range_sheet(described: &Loop, finding: &Finding) -> RangeSheet {
    let hot = Range {
        lrv_pa: -7_361.0,
        urv_pa: -781.0,
    };
    let bench = Range {
        lrv_pa: -7_461.0,
        urv_pa: 0.0,
    };
    let readings = vec![reading(0.0, 0.011), reading(0.762, 0.684)];
    RangeSheet {
        polarity: described.cell.polarity,
        normal: condition("normal", NORMAL),
        densities: Densities {
            liquid: 886.5,
            vapour: 4.95,
            reference_above: 988.4,
            reference_below: 995.9,
            working_below: 992.5,
        },
        hot,
        bench,
        bench_readings: readings.clone(),
        best: BestRange {
            range: hot,
            worst_error_percent: 1.2,
            hot_worst_error_percent: 1.9,
            bench_worst_error_percent: 11.0,
            active: vec![(
                condition("start-up", ATMOSPHERE),
                TrueLevel::from_m(0.762),
                1.2,
            )],
            held_by_high_limit: true,
        },
        method: RangeMethod::Normal,
        chosen: hot,
        cell_ends_pa: (hot.lrv_pa, hot.urv_pa),
        span_pa: 6_580.0,
        turndown_ratio: 9.4,
        equalised: Equalised {
            percent: 111.9,
            wanted_ma: 21.9,
            current_ma: 20.5,
            clipped: true,
        },
        test_points: vec![TestPoint {
            percent: 50.0,
            true_level: TrueLevel::from_m(0.381),
            differential_pa: -4_071.0,
            port: Port::Low,
            magnitude_pa: 4_071.0,
            current_ma: 12.0,
        }],
        as_found: Some(AsFoundRange {
            range: bench,
            readings,
            worst_error_percent: -10.2,
            looks_cold: true,
        }),
        pot_lip_sensitivity_ratio: Some(1.12),
        findings: vec![finding.clone()],
        workings: vec![working()],
    }
}

fn error_map_sheet(finding: &Finding) -> ErrorMapSheet {
    let conditions = vec![
        condition("start-up", ATMOSPHERE),
        condition("normal", NORMAL),
    ];
    let points = conditions
        .iter()
        .flat_map(|condition| {
            [0.0, 0.762].map(|true_m| ErrorPoint {
                condition: condition.clone(),
                true_level: TrueLevel::from_m(true_m),
                indicated: IndicatedLevel::from_m(true_m * 1.03),
                clipped: true_m > 0.5,
                glass: (true_m > 0.5).then(|| GlassLevel::from_m(0.6)),
            })
        })
        .collect();
    ErrorMapSheet {
        range: Range {
            lrv_pa: -7_361.0,
            urv_pa: -781.0,
        },
        conditions,
        points,
        curves: vec![ErrorCurve {
            true_percent: 100.0,
            points: vec![(ATMOSPHERE, 12.0), (NORMAL, 0.0)],
        }],
        leg_rows: vec![(293.15, [1.0, 1.0, 1.0])],
        compensation: Some(CompensationTable {
            points: (0..7)
                .map(|n| {
                    (
                        AbsolutePressure::from_pa(1e5 * f64::from(n + 1)),
                        1.1e-4,
                        0.85,
                    )
                })
                .collect(),
            worst_error_m: 0.001,
            rows: vec![(-7_000.0, vec![TrueLevel::from_m(0.1); 7])],
        }),
        glass_card: vec![GlassCardLine {
            glass: GlassLevel::from_m(0.35),
            true_cold: TrueLevel::from_m(0.351),
            true_hot: TrueLevel::from_m(0.372),
            indicated_hot: IndicatedLevel::from_m(0.372),
        }],
        glass_water_k: Some(400.0),
        findings: vec![finding.clone()],
        workings: vec![working()],
    }
}

fn settings_sheet(finding: &Finding) -> SettingsSheet {
    let row = |term, value| SettingRow {
        term,
        name: term.into(),
        value,
        device_mark: (term == "gain").then(|| "invented mark".into()),
        note: "what it does".into(),
    };
    SettingsSheet {
        form: PidForm::Ideal,
        action: Action::Reverse,
        action_steps: vec!["The level rises.".into()],
        rows: vec![
            row("gain", Ok(SettingValue::Number(31.25, "% of span"))),
            row("band", Ok(SettingValue::LevelBandM(0.238))),
            row("set-point", Ok(SettingValue::LevelM(0.381))),
            row("action", Ok(SettingValue::Word("reverse".into()))),
            row("derivative", Err("the form cannot hold it".into())),
        ],
        other_forms: vec![
            (PidForm::Parallel, Ok("Kp 3.2, Ki 0.004 1/s".into())),
            (PidForm::Series, Err("complex zeros".into())),
        ],
        gain_rescale_ratio: Some(0.88),
        findings: vec![finding.clone()],
        workings: vec![working()],
    }
}

fn judged(name: &str) -> Judged {
    Judged {
        name: name.into(),
        gain_ratio: 3.2,
        reset_s: Some(760.0),
        derivative_s: 0.0,
        stable: true,
        max_sensitivity_ratio: 1.4,
        gain_margin_ratio: 4.0,
        phase_margin_deg: 55.0,
        delay_margin_s: 60.0,
        damping_ratio: 1.1,
        period_s: Some(400.0),
        peak_true_deviation_m: 0.021,
        time_of_peak_s: 90.0,
        response: vec![(0.0, 0.0), (90.0, -0.021)],
        holds_deviation: true,
        robust: true,
    }
}

fn tuning_sheet(finding: &Finding) -> TuningSheet {
    TuningSheet {
        full_valve_flow_kg_s: 2.2,
        full_valve_flow_source: "stated".into(),
        load_change_ratio: 0.22,
        allowed_deviation_m: 0.05,
        max_sensitivity_limit: 1.71,
        duties: vec![DutyGain {
            name: "maximum".into(),
            process_gain_per_s: 0.000_345,
            indicated_gain_per_s: 0.000_345,
            free_surface_m2: 9.5,
            liquid_density_kg_m3: 886.5,
        }],
        dead_time: vec![DeadTimePart {
            name: "actuator".into(),
            seconds: 0.4,
            assumed: true,
        }],
        dead_time_s: 0.4,
        slowest: Some(judged("slowest")),
        fastest: judged("fastest"),
        window_open: true,
        window_words: "The window is open.".into(),
        chosen: judged("chosen"),
        as_found: Some(judged("as found")),
        habit: judged("habit"),
        findings: vec![finding.clone()],
        workings: vec![working()],
    }
}

fn signal_loss_sheet(finding: &Finding) -> SignalLossSheet {
    SignalLossSheet {
        rows: vec![
            FailureRow {
                failure: "cell fails high".into(),
                controller_does: "sees a full vessel and closes the valve".into(),
                valve_does: "closes".into(),
                outcome: Outcome::Starves,
                minutes: Some(7.5),
                minutes_to: "low-water cutoff".into(),
                caught_by: "low-water cutoffs, glass".into(),
            },
            FailureRow {
                failure: "cell frozen".into(),
                controller_does: "holds".into(),
                valve_does: "stays".into(),
                outcome: Outcome::Drifts,
                minutes: None,
                minutes_to: String::new(),
                caught_by: "glass".into(),
            },
        ],
        reserves: vec![Reserve {
            from: "set point".into(),
            to: "low alarm".into(),
            mass_kg: 800.0,
            minutes: 8.1,
        }],
        cold_fill: Some(ColdFill {
            fill_k: 293.15,
            cold_level_m: 0.2,
            hot_level_m: 0.6,
            volume_ratio: 1.126,
        }),
        cool_down: Some(CoolDown {
            pressure_pa: 1_228.0,
            cell_limit_pa: 3_450.0,
            exceeds: true,
        }),
        findings: vec![finding.clone()],
        workings: vec![working()],
    }
}

fn level_map_sheet(finding: &Finding) -> LevelMapSheet {
    let mark = |name: &str, kind, m: f64| LevelMark {
        name: name.into(),
        kind,
        true_level: TrueLevel::from_m(m),
        indicated_hot: (m < 0.7).then(|| IndicatedLevel::from_m(m)),
        indicated_cold: (m < 0.7).then(|| IndicatedLevel::from_m(m * 1.1)),
        glass_hot: (m < 0.5).then(|| GlassLevel::from_m(m * 0.95)),
        glass_cold: (m < 0.5).then(|| GlassLevel::from_m(m)),
        blind: (m > 0.7).then_some(Blind::Above),
    };
    LevelMapSheet {
        marks: vec![
            mark("shell top", MarkKind::Shell, 1.0),
            mark("upper tap", MarkKind::Tap, 0.762),
            mark("set point", MarkKind::SetPoint, 0.381),
            mark("second low-water cutoff", MarkKind::Trip, 0.16),
        ],
        separations: vec![Separation {
            upper: "set point".into(),
            lower: "second low-water cutoff".into(),
            distance_m: 0.221,
            enough: true,
        }],
        shell_bottom_m: -1.4,
        shell_top_m: 1.0,
        findings: vec![finding.clone()],
    }
}
