//! Checks of [`super::FillFluid`].

use super::*;
use proptest::prelude::*;

fn fluid(rows: &[(f64, f64)]) -> Result<FillFluid, FillFluidError> {
    let rows = rows
        .iter()
        .map(|&(temperature_k, density_kg_m3)| DensityPoint {
            temperature_k,
            density_kg_m3,
        })
        .collect();
    FillFluid::from_table("test fluid", rows)
}

/// CoolProp 8.0.0, incompressible mixtures: propylene glycol, volume fraction 0.5 (its set
/// after ASHRAE) and glycerine, mass fraction 0.5577 (its set after Melinder), at 2 bar.
#[test]
fn crosscheck_generic_mixtures() {
    for (fluid, t_c, expected) in [
        (FillFluid::propylene_glycol_and_water(), -20.0, 1060.49),
        (FillFluid::propylene_glycol_and_water(), 20.0, 1042.87),
        (FillFluid::propylene_glycol_and_water(), 60.0, 1017.04),
        (FillFluid::propylene_glycol_and_water(), 100.0, 983.0),
        (FillFluid::glycerine_and_water(), -20.0, 1161.05),
        (FillFluid::glycerine_and_water(), 0.0, 1152.02),
        (FillFluid::glycerine_and_water(), 20.0, 1141.92),
        (FillFluid::glycerine_and_water(), 40.0, 1131.12),
    ] {
        let got = fluid.density_kg_m3(t_c + 273.15).unwrap();
        assert!(
            (got / expected - 1.0).abs() < 2e-3,
            "{} {t_c} degC: {got}",
            fluid.name()
        );
    }
}

/// Common practice: the densities at room temperature that trade literature quotes for a
/// 50 cSt silicone oil and for vegetable oil (from memory, not confirmed).
#[test]
fn practice_generic_oils_at_room_temperature() {
    let silicone = FillFluid::silicone_oil_50_cst()
        .density_kg_m3(298.15)
        .unwrap();
    assert!((silicone - 960.0).abs() < 5.0, "{silicone}");
    let vegetable = FillFluid::vegetable_oil().density_kg_m3(293.15).unwrap();
    assert!((vegetable - 920.0).abs() < 5.0, "{vegetable}");
}

#[test]
fn property_generic_set_passes_the_users_checks_and_is_not_confirmed() {
    for generic in FillFluid::generic_set() {
        assert!(!generic.is_confirmed(), "{}", generic.name());
        let user = FillFluid::from_table(generic.name(), generic.table().to_vec()).unwrap();
        assert!(user.is_confirmed());
        assert!(
            generic
                .table()
                .windows(2)
                .all(|w| w[1].density_kg_m3 < w[0].density_kg_m3),
            "{} must get lighter when warmed",
            generic.name()
        );
    }
}

#[test]
fn property_bad_tables_are_refused() {
    let refused = |rows: &[(f64, f64)]| fluid(rows).unwrap_err();
    assert!(matches!(
        refused(&[]),
        FillFluidError::TooFewRows { count: 0, .. }
    ));
    assert!(matches!(
        refused(&[(300.0, 900.0)]),
        FillFluidError::TooFewRows { count: 1, .. }
    ));
    let twice = [(300.0, 900.0), (300.0, 890.0)];
    assert!(matches!(
        refused(&twice),
        FillFluidError::NotAscending { row: 2, .. }
    ));
    let back = [(300.0, 900.0), (310.0, 890.0), (305.0, 895.0)];
    assert!(matches!(
        refused(&back),
        FillFluidError::NotAscending { row: 3, .. }
    ));
    let gram = [(300.0, 0.96), (350.0, 0.91)];
    assert!(matches!(
        refused(&gram),
        FillFluidError::RowDensity { row: 1, .. }
    ));
    for bad in [f64::NAN, -1.0, 0.0, f64::INFINITY] {
        assert!(
            fluid(&[(300.0, 900.0), (350.0, bad)]).is_err(),
            "{bad} kg/m3"
        );
        assert!(fluid(&[(300.0, 900.0), (bad, 890.0)]).is_err(), "{bad} K");
    }
}

#[test]
fn property_never_extrapolated() {
    let f = fluid(&[(300.0, 900.0), (350.0, 850.0)]).unwrap();
    for t in [299.999, 350.001, f64::NAN, f64::INFINITY] {
        assert!(
            matches!(f.density_kg_m3(t), Err(FillFluidError::OutsideTable { .. })),
            "{t}"
        );
        assert!(f.mean_density_kg_m3(t, 320.0).is_err(), "{t}");
        assert!(f.mean_density_kg_m3(320.0, t).is_err(), "{t}");
    }
    let text = f.density_kg_m3(360.0).unwrap_err().to_string();
    assert_eq!(
        text,
        "fill fluid 'test fluid': temperature 360 K is outside its density table, 300 K to 350 K"
    );
}

proptest! {
    #[test]
    fn property_interpolation_is_linear_between_rows(share in 0.0_f64..=1.0) {
        let f = fluid(&[(300.0, 900.0), (350.0, 850.0), (400.0, 820.0)]).unwrap();
        let first = f.density_kg_m3(300.0 + 50.0 * share).unwrap();
        prop_assert!((first - (900.0 - 50.0 * share)).abs() < 1e-9);
        let second = f.density_kg_m3(350.0 + 50.0 * share).unwrap();
        prop_assert!((second - (850.0 - 30.0 * share)).abs() < 1e-9);
    }

    #[test]
    fn property_mean_is_the_average_of_the_column(a in 300.0_f64..400.0, b in 300.0_f64..400.0) {
        let f = fluid(&[(300.0, 900.0), (350.0, 850.0), (400.0, 820.0)]).unwrap();
        let mean = f.mean_density_kg_m3(a, b).unwrap();
        let n = 4000;
        let midpoint = (0..n)
            .map(|i| f.density_kg_m3(a + (f64::from(i) + 0.5) / f64::from(n) * (b - a)).unwrap())
            .sum::<f64>() / f64::from(n);
        prop_assert!((mean - midpoint).abs() < 1e-4, "{mean} against {midpoint}");
    }
}
