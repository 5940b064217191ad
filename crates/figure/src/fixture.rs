//! Invented loops for the figures' tests, and sheets in the shape that the core gives them.
//!
//! The measurement numbers come from plain hydrostatics with one density each, so that the figures have something true
//! to their kind to draw; what they are worth is checked in the core, not here.

use halfglass_core::controller::action::Action;
mod loops;

pub(crate) use loops::{
    drum_boiler, dry_leg_deaerator, inherited_boiler, sealed_deaerator, shell_boiler,
    standing_tank, vented_tank,
};

use std::collections::BTreeMap;
use std::sync::Mutex;

use halfglass_core::controller::forms::PidForm;
use halfglass_core::controller::sheets::SettingsSheet;
use halfglass_core::description::{Glass, Loop, ReferenceLeg};
use halfglass_core::design::Sheets;
use halfglass_core::level_map::{Blind, LevelMapSheet, LevelMark, MarkKind};
use halfglass_core::measurement::cell::{CellAt, Geometry};
use halfglass_core::measurement::sheets::{
    AsFoundRange, BestRange, Condition, Densities, Equalised, ErrorCurve, ErrorMapSheet,
    GlassCardLine, Range, RangeSheet,
};
use halfglass_core::protection::sheets::SignalLossSheet;
use halfglass_core::quantity::{AbsolutePressure, GlassLevel, TrueLevel};
use halfglass_core::tuning::sheets::TuningSheet;
use halfglass_core::tuning::tuning_sheet;
use halfglass_core::water::{
    compressed_water_density_kg_m3, saturated_densities, saturation_temperature_k,
};

use loops::kelvin;

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
    let tuning = tuning(described, &range);
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

/// Tuning takes the core about a second without optimisation: computed once for each of the loops above.
fn tuning(described: &Loop, range: &RangeSheet) -> TuningSheet {
    static KNOWN: Mutex<BTreeMap<String, TuningSheet>> = Mutex::new(BTreeMap::new());
    let service = &described.identity.service;
    if let Some(known) = KNOWN.lock().unwrap().get(service) {
        return known.clone();
    }
    let computed = tuning_sheet(described, range).unwrap();
    KNOWN
        .lock()
        .unwrap()
        .insert(service.clone(), computed.clone());
    computed
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
