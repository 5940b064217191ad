//! Conversions against NIST SP 811, and how numbers are written.

use super::*;

fn units(system: UnitSystem) -> DisplayUnits {
    DisplayUnits {
        system,
        water_column: WaterColumn::At68DegF,
        atmosphere: AbsolutePressure::from_pa(101_325.0),
    }
}
const US: UnitSystem = UnitSystem::Us;
const SI: UnitSystem = UnitSystem::Si;

/// NIST SP 811 (2008) appendix B.8, to the seven digits printed there.
#[test]
fn published_nist_sp811_conversions() {
    let us = units(US);
    let zero_atmosphere = DisplayUnits {
        atmosphere: AbsolutePressure::from_pa(0.0),
        ..us
    };
    let pa = AbsolutePressure::from_pa;
    for (name, value, expect) in [
        ("inch, 2.54 E-02 m", us.level(2.54e-2).0, 1.0),
        ("foot, 3.048 E-01 m", us.length(3.048e-1).0, 1.0),
        (
            "psi, 6.894757 E+03 Pa",
            us.pressure_absolute(pa(6.894_757e3)).0,
            1.0,
        ),
        (
            "psi(g), 6.894757 E+03 Pa",
            zero_atmosphere.pressure_gauge(pa(6.894_757e3)).0,
            1.0,
        ),
        (
            "bar, 1.0 E+05 Pa",
            units(SI).pressure_absolute(pa(1.0e5)).0,
            1.0,
        ),
        ("pound, 4.535924 E-01 kg", us.mass(4.535_924e-1).0, 1.0),
        (
            "pound per hour, 1.259979 E-04 kg/s",
            us.flow(1.259_979e-4).0,
            1.0,
        ),
        (
            "pound per cubic foot, 1.601846 E+01 kg/m3",
            us.density(1.601_846e1).0,
            1.0,
        ),
        (
            "square foot, 9.290304 E-02 m2",
            us.area(9.290_304e-2).0,
            1.0,
        ),
        (
            "inH2O at 60 degF, 2.4884 E+02 Pa",
            {
                let at_60 = DisplayUnits {
                    water_column: WaterColumn::At60DegF,
                    ..us
                };
                at_60.differential(2.4884e2).0
            },
            1.0,
        ),
    ] {
        assert!((value - expect).abs() < 5e-7, "{name}: {value}");
    }
    // SP 811: T/K = (t/degF + 459.67)/1.8 and T/K = t/degC + 273.15, exact.
    assert!((us.temperature(373.15).0 - 212.0).abs() < 1e-9);
    assert!((units(SI).temperature(373.15).0 - 100.0).abs() < 1e-9);
}

#[test]
fn published_millimetre_of_water_is_an_inch_over_25_4() {
    // NIST SP 811 (2008) B.8: conventional mmH2O 9.80665 Pa.
    let si = DisplayUnits {
        water_column: WaterColumn::Conventional,
        ..units(SI)
    };
    assert!((si.water_column(9.806_65).0 - 1.0).abs() < 1e-6);
    assert_eq!(si.water_column(1.0).1, "mmH2O (conventional)");
}

#[test]
fn regression_texts() {
    let (us, si) = (units(US), units(SI));
    let normal = AbsolutePressure::from_pa(101_325.0 + 125.0 * PA_PER_PSI);
    for (text, expect) in [
        (us.level_text(0.31242), "12.3 in"),
        (si.level_text(0.31242), "312 mm"),
        (us.pressure_gauge_text(normal), "125.0 psi(g)"),
        (si.pressure_gauge_text(normal), "8.62 bar(g)"),
        (si.pressure_absolute_text(normal), "9.632 bar(a)"),
        (
            us.differential_text(-7_061.4),
            "\u{2212}28.40 inH2O (68 degF)",
        ),
        (si.differential_text(-7_061.4), "\u{2212}7.061 kPa"),
        (
            si.differential_beside_text(-7_061.4),
            "\u{2212}721.4 mmH2O (68 degF)",
        ),
        (us.differential_beside_text(-7_061.4), "\u{2212}7.061 kPa"),
        (us.temperature_text(323.15), "122 degF"),
        (si.temperature_text(323.15), "50.0 degC"),
        (us.density_text(958.4), "958.40 kg/m3, 59.831 lb/ft3"),
        (percent_text(89.94), "89.9 %"),
        (current_text(12.0), "12.000 mA"),
        (seconds_text(4.25), "4.25 s"),
        (seconds_text(1800.2), "1800 s"),
        (minutes_text(f64::INFINITY), "no limit"),
    ] {
        assert_eq!(text, expect);
    }
}

#[test]
fn regression_significant_digits() {
    for (value, digits, expect) in [
        (0.000_123_456, 3, "0.000123"),
        (1.234_56e-9, 4, "1.235e\u{2212}9"),
        (-958.41, 6, "\u{2212}958.410"),
        (123_456.7, 4, "123457"),
        (9.996, 3, "10.0"),
        (0.0, 3, "0"),
    ] {
        assert_eq!(significant(value, digits), expect);
    }
    assert_eq!(keyed_number(0.5, 4), "0.5");
    assert_eq!(keyed_number(60.0, 4), "60");
    assert_eq!(keyed_number(781.52, 4), "781.5");
    assert_eq!(keyed_number(1200.0, 4), "1200");
    assert_eq!(signed_number(0.04, 1), "0.0");
    assert_eq!(signed_number(1.25, 2), "+1.25");
    assert_eq!(signed_number(-1.25, 2), "\u{2212}1.25");
}

#[test]
fn property_zero_never_has_a_sign() {
    for value in [-0.0, -0.04, -1e-300] {
        assert_eq!(number(value, 1), "0.0");
        assert_eq!(number(value, 0), "0");
    }
    assert_eq!(number(-0.06, 1), "\u{2212}0.1");
    assert_eq!(number(f64::NEG_INFINITY, 1), "no limit");
    assert_eq!(number(f64::NAN, 1), "unknown");
}
