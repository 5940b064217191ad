//! Sizing: monotonic, continuous at every limit, inverse, rescaling, refusal.

use super::*;

fn any_body() -> impl Strategy<Value = Body> {
    (
        0.5..0.98_f64,
        0.1..1.0_f64,
        15.0..200.0_f64,
        0.95..2.5_f64,
        0.95..2.5_f64,
    )
        .prop_map(|(recovery, style, bore, before, after)| {
            body(recovery, style, bore * before, bore * after, bore)
        })
}

fn any_conditions() -> impl Strategy<Value = Conditions> {
    (2e5..5e6_f64, 0.01..0.9_f64, 0.0..0.9_f64, -7.0..-3.0_f64).prop_map(
        |(inlet, drop, vapour, log_viscosity)| Conditions {
            density_kg_m3: 940.0,
            inlet_pressure_pa: inlet,
            outlet_pressure_pa: inlet * (1.0 - drop),
            vapour_pressure_pa: inlet * vapour,
            critical_pressure_pa: 22_064e3,
            kinematic_viscosity_m2_s: 10f64.powf(log_viscosity),
        },
    )
}

fn with_flow(water: &Conditions, flow_m3_s: f64) -> Flowing {
    Flowing {
        flow_m3_s,
        density_kg_m3: water.density_kg_m3,
        inlet_pressure_pa: water.inlet_pressure_pa,
        outlet_pressure_pa: water.outlet_pressure_pa,
        vapour_pressure_pa: water.vapour_pressure_pa,
        critical_pressure_pa: water.critical_pressure_pa,
        kinematic_viscosity_m2_s: water.kinematic_viscosity_m2_s,
    }
}

proptest! {
    #[test]
    fn property_flow_is_the_inverse_of_required_kv(
        water in any_conditions(), valve in any_body(), share in 0.001..0.3_f64,
    ) {
        // Under a third of the scope limit: there FR·C rises with C, so that there is one root.
        let kv = share * scope_limit_kv_m3_h(valve.bore_m);
        let flow = flow_m3_s(kv, &water, &valve)?;
        let sizing = required_kv(&with_flow(&water, flow), &valve)?;
        prop_assume!(sizing.reynolds_factor > 0.2);
        prop_assert!((sizing.kv_m3_h / kv - 1.0).abs() < 1e-9, "{} for {kv}: {sizing:?}", sizing.kv_m3_h);
    }

    #[test]
    fn property_flow_rises_with_the_coefficient(
        water in any_conditions(), valve in any_body(), share in 0.001..0.3_f64, more in 1.01..1.5_f64,
    ) {
        let kv = share * scope_limit_kv_m3_h(valve.bore_m);
        prop_assert!(flow_m3_s(kv * more, &water, &valve)? > flow_m3_s(kv, &water, &valve)?);
    }

    #[test]
    fn property_required_kv_falls_with_drop_until_choke(
        water in any_conditions(), valve in any_body(), share in 0.01..0.3_f64, more in 1.01..3.0_f64,
    ) {
        let flow = flow_m3_s(share * scope_limit_kv_m3_h(valve.bore_m), &water, &valve)?;
        let inlet = water.inlet_pressure_pa;
        let larger = Conditions { outlet_pressure_pa: (inlet - more * (inlet - water.outlet_pressure_pa)).max(0.0), ..water };
        let at = required_kv(&with_flow(&water, flow), &valve)?;
        let beyond = required_kv(&with_flow(&larger, flow), &valve)?;
        if at.choked {
            prop_assert!((beyond.kv_m3_h / at.kv_m3_h - 1.0).abs() < 1e-12);
        } else {
            prop_assert!(beyond.kv_m3_h < at.kv_m3_h);
        }
    }

    #[test]
    fn property_continuous_at_the_choke(water in any_conditions(), valve in any_body(), share in 0.01..0.3_f64) {
        let flow = flow_m3_s(share * scope_limit_kv_m3_h(valve.bore_m), &water, &valve)?;
        let inlet = water.inlet_pressure_pa;
        // The drop at which this flow just chokes: that of its choked coefficient.
        let choked = required_kv(&with_flow(&Conditions { outlet_pressure_pa: 0.0, ..water }, flow), &valve)?;
        prop_assume!(choked.choked && choked.choked_drop_pa < inlet);
        let around = |factor: f64| required_kv(
            &with_flow(&Conditions { outlet_pressure_pa: inlet - factor * choked.choked_drop_pa, ..water }, flow), &valve);
        let (before, after) = (around(1.0 - 1e-9)?, around((1.0 + 1e-9_f64).min(inlet / choked.choked_drop_pa))?);
        prop_assert!(!before.choked);
        prop_assert!((before.kv_m3_h / after.kv_m3_h - 1.0).abs() < 1e-7);
    }

    #[test]
    fn property_continuous_at_the_end_of_turbulence(
        water in any_conditions(), valve in any_body(), share in 0.005..0.2_f64,
    ) {
        // The viscosity at which this coefficient has Rev 10 000, fittings and choking and all.
        let thin = Conditions { kinematic_viscosity_m2_s: 1e-9, ..water };
        let kv = share * scope_limit_kv_m3_h(valve.bore_m);
        let flow = flow_m3_s(kv, &thin, &valve)?;
        let viscosity = 1e-9 * required_kv(&with_flow(&thin, flow), &valve)?.reynolds / 10_000.0;
        prop_assume!((2e-9..0.5).contains(&viscosity));
        let around = |factor: f64| required_kv(
            &with_flow(&Conditions { kinematic_viscosity_m2_s: factor * viscosity, ..water }, flow), &valve);
        let (turbulent, transitional) = (around(1.0 - 1e-9)?, around(1.0 + 1e-9)?);
        prop_assert!(turbulent.reynolds > 1e4 && transitional.reynolds < 1e4);
        prop_assert_eq!(transitional.regime, FlowRegime::Transitional);
        prop_assert!((turbulent.kv_m3_h / transitional.kv_m3_h - 1.0).abs() < 1e-8);
        prop_assert!((turbulent.piping_factor / transitional.piping_factor - 1.0).abs() < 1e-8);
    }

    #[test]
    fn property_reynolds_factor_is_continuous(valve in any_body(), log_share in -5.0..0.0_f64, log_reynolds in -1.0..4.5_f64) {
        let equations = ValveEquations::new(&annex_water().conditions(), &valve)?;
        let kv = 10f64.powf(log_share) * scope_limit_kv_m3_h(valve.bore_m);
        let close = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-6;
        for limit in [10.0, 1e4, 10f64.powf(log_reynolds)] {
            let (before, after) = (limit * (1.0 - 1e-8), limit * (1.0 + 1e-8));
            let (low, high) = (equations.reynolds_factor(kv, before).0, equations.reynolds_factor(kv, after).0);
            prop_assert!(low > 0.0 && high >= low && close(low, high), "Rev {limit}: {low} {high}");
        }
        // From reduced to full-size trim: no step wherever it lies near C/d² = 0.0155·N18.
        let reynolds = 10f64.powf(log_reynolds);
        let square = (1000.0 * valve.bore_m).powi(2);
        let mut last: Option<f64> = None;
        for step in 0..=2000u16 {
            let kv = N18 * square * (0.015 + 1e-6 * f64::from(step));
            let factor = equations.reynolds_factor(kv, reynolds).0;
            if let Some(last) = last {
                prop_assert!((factor / last - 1.0).abs() < 2e-4, "C {kv}: {last} {factor}");
            }
            last = Some(factor);
        }
    }

    #[test]
    fn property_rescales(water in any_conditions(), valve in any_body(), share in 0.01..0.3_f64, scale in 0.2..3.0_f64) {
        // Kilogram rescaled: pressures and density together. Then second: pressure with its inverse square, flow and viscosity with its inverse.
        let flow = flow_m3_s(share * scope_limit_kv_m3_h(valve.bore_m), &water, &valve)?;
        let at = required_kv(&with_flow(&water, flow), &valve)?.kv_m3_h;
        let pressures = |factor: f64| Conditions {
            inlet_pressure_pa: factor * water.inlet_pressure_pa,
            outlet_pressure_pa: factor * water.outlet_pressure_pa,
            vapour_pressure_pa: factor * water.vapour_pressure_pa,
            critical_pressure_pa: factor * water.critical_pressure_pa,
            ..water
        };
        let kilogram = Conditions { density_kg_m3: scale * water.density_kg_m3, ..pressures(scale) };
        prop_assert!((required_kv(&with_flow(&kilogram, flow), &valve)?.kv_m3_h / at - 1.0).abs() < 1e-9);
        let second = Conditions { kinematic_viscosity_m2_s: water.kinematic_viscosity_m2_s * scale.sqrt(), ..pressures(scale) };
        prop_assert!((required_kv(&with_flow(&second, flow * scale.sqrt()), &valve)?.kv_m3_h / at - 1.0).abs() < 1e-9);
    }
}

#[test]
fn property_no_flow_wants_no_coefficient() {
    let valve = body(0.9, 0.46, 80.0, 80.0, 50.0);
    let shut = required_kv(
        &Flowing {
            flow_m3_s: 0.0,
            ..annex_water()
        },
        &valve,
    )
    .unwrap();
    assert_eq!(shut.regime, FlowRegime::None);
    assert!(shut.kv_m3_h == 0.0 && !shut.choked && shut.reynolds == 0.0);
    near(shut.piping_factor, 1.0, 1e-15);
    near(shut.piping_recovery_factor, 0.9, 1e-15);
    assert!(flow_m3_s(0.0, &annex_water().conditions(), &valve).unwrap() == 0.0);
}

#[test]
fn property_scope_is_reported_at_its_limit() {
    let valve = body(0.9, 0.46, 150.0, 150.0, 80.0);
    let water = Conditions {
        outlet_pressure_pa: 600e3,
        ..annex_water().conditions()
    };
    let limit = scope_limit_kv_m3_h(valve.bore_m);
    near(limit, 0.047 * 0.865 * 6400.0, 1e-12);
    let around = |factor: f64| {
        let flow = flow_m3_s(factor * limit, &water, &valve).unwrap();
        required_kv(&with_flow(&water, flow), &valve).unwrap()
    };
    let (inside, beyond) = (around(1.0 - 1e-6), around(1.0 + 1e-6));
    assert!(inside.is_within_scope() && !beyond.is_within_scope());
    near(beyond.kv_m3_h, inside.kv_m3_h, 3e-6);
}

#[test]
fn property_refuses_what_cannot_be_sized() {
    let valve = body(0.9, 0.46, 80.0, 80.0, 80.0);
    let refused = |flowing: Flowing, valve: Body| required_kv(&flowing, &valve).unwrap_err();
    let water = annex_water();
    assert!(matches!(
        refused(
            Flowing {
                outlet_pressure_pa: 680e3,
                ..water
            },
            valve
        ),
        SizingError::NoDrop { .. }
    ));
    assert!(matches!(
        refused(
            Flowing {
                vapour_pressure_pa: 690e3,
                ..water
            },
            valve
        ),
        SizingError::InletBoils { .. }
    ));
    for broken in [
        Flowing {
            flow_m3_s: -1.0,
            ..water
        },
        Flowing {
            flow_m3_s: f64::NAN,
            ..water
        },
        Flowing {
            density_kg_m3: f64::NAN,
            ..water
        },
        Flowing {
            vapour_pressure_pa: f64::NAN,
            ..water
        },
        Flowing {
            kinematic_viscosity_m2_s: 0.0,
            ..water
        },
    ] {
        assert!(
            matches!(refused(broken, valve), SizingError::OutOfRange { .. }),
            "{broken:?}"
        );
    }
    assert!(matches!(
        refused(water, body(1.2, 0.46, 80.0, 80.0, 80.0)),
        SizingError::OutOfRange { .. }
    ));
    assert!(matches!(
        refused(water, body(0.9, 0.46, 80.0, 50.0, 80.0)),
        SizingError::BoreAbovePipe { .. }
    ));
    // 360 m3/h through a 25 mm bore in a 150 mm line: the reducers alone want more than 460 kPa.
    assert!(matches!(
        refused(water, body(0.9, 0.46, 150.0, 150.0, 25.0)),
        SizingError::FittingsTakeTheDrop { .. }
    ));
    let tar = Flowing {
        kinematic_viscosity_m2_s: 1.0,
        ..water
    };
    assert!(matches!(
        refused(tar, body(0.9, 0.46, 80.0, 80.0, 80.0)),
        SizingError::TooViscous { .. }
    ));
    assert!(
        flow_m3_s(
            10.0,
            &Conditions {
                outlet_pressure_pa: 700e3,
                ..water.conditions()
            },
            &valve
        )
        .is_err()
    );
}
