//! Tests of quantities as text: factors, refusals, round trips.

use super::*;
use proptest::prelude::*;

#[track_caller]
fn check(text: &str, dimension: Dimension, value: f64, basis: Basis) {
    let got = parse(text, dimension).unwrap_or_else(|e| panic!("{text}: {e}"));
    assert!(
        (got.value - value).abs() <= 1e-9 * value.abs().max(1e-9),
        "{text}: {got:?}, expected {value}"
    );
    assert_eq!(got.basis, basis, "{text}");
}

#[track_caller]
fn refuse(text: &str, dimension: Dimension, code: &str) -> QuantityError {
    let error = parse(text, dimension).expect_err(text);
    assert_eq!(error.code(), code, "{text}: {error}");
    error
}

/// NIST SP 811 (2008) B.8: ft 0.3048 m, in 0.0254 m.
#[test]
fn published_lengths() {
    for (text, m) in [
        ("762 mm", 0.762),
        ("76.2 cm", 0.762),
        ("0.762 m", 0.762),
        ("30 in", 0.762),
        ("2.5 ft", 0.762),
        ("3 ft 4 1/2 in", 1.0287),
        ("3ft 4 1/2in", 1.0287),
        ("20 1/4 in", 0.51435),
        ("1/2 in", 0.0127),
        ("-4 in", -0.1016),
        ("- 3 ft 4 in", -1.016),
        ("-0 ft 6 in", -0.1524),
        ("\u{2212}4 in", -0.1016),
        ("+1e3 mm", 1.0),
        (".5 m", 0.5),
        ("5. m", 5.0),
        ("  30   in ", 0.762),
    ] {
        check(text, Dimension::Length, m, Basis::Plain);
    }
}

/// NIST SP 811 (2008) B.8: psi 6894.757 Pa, bar 1e5 Pa; printed to 7 digits.
#[test]
fn published_pressures() {
    let psi = parse("1 psi(g)", Dimension::Pressure).unwrap();
    assert!((psi.value - 6894.757).abs() < 5e-4 && psi.basis == Basis::Gauge);
    check(
        "125 psi (a)",
        Dimension::Pressure,
        125.0 * 6_894.757_293_168_36,
        Basis::Absolute,
    );
    check("8.6 bar(g)", Dimension::Pressure, 8.6e5, Basis::Gauge);
    check("8.6 barg", Dimension::Pressure, 8.6e5, Basis::Gauge);
    check(
        "101.325 kPa(a)",
        Dimension::Pressure,
        101_325.0,
        Basis::Absolute,
    );
    check("1.2 MPa(g)", Dimension::Pressure, 1.2e6, Basis::Gauge);
    check("200 mbar(g)", Dimension::Pressure, 2e4, Basis::Gauge);
}

/// NIST SP 811 (2008) B.8: inch of water conventional 249.0889, 39.2 degF 249.082, 60 degF 248.84 Pa.
#[test]
fn published_differential_pressures() {
    use halfglass_core::quantity::WaterColumn as C;
    let d = Dimension::DifferentialPressure;
    check(
        "1 inH2O(conventional)",
        d,
        249.088_91,
        Basis::Column(C::Conventional),
    );
    check("1 inH2O(4 degC)", d, 249.082, Basis::Column(C::At4DegC));
    check("1 inH2O (60degF)", d, 248.84, Basis::Column(C::At60DegF));
    check(
        "-30 inH2O(68 degF)",
        d,
        -30.0 * 248.641,
        Basis::Column(C::At68DegF),
    );
    check("25.4 mmH2O(4 degC)", d, 249.082, Basis::Column(C::At4DegC));
    check("-7.4 kPa", d, -7400.0, Basis::Plain);
    check("-1 psi", d, -6_894.757_293_168_36, Basis::Plain);
    check("12 mbar", d, 1200.0, Basis::Plain);
}

/// NIST SP 811 (2008) B.8: t/K = (t/degF + 459.67)/1.8.
#[test]
fn published_temperatures() {
    check("212 degF", Dimension::Temperature, 373.15, Basis::Plain);
    check("-40 degF", Dimension::Temperature, 233.15, Basis::Plain);
    check("50 degC", Dimension::Temperature, 323.15, Basis::Plain);
    check("300 K", Dimension::Temperature, 300.0, Basis::Plain);
    check(
        "18 delta degF",
        Dimension::TemperatureDifference,
        10.0,
        Basis::Plain,
    );
    refuse(
        "18 degF",
        Dimension::TemperatureDifference,
        "unit-ambiguous",
    );
    refuse(
        "18 delta degF",
        Dimension::Temperature,
        "unit-of-another-kind",
    );
}

/// NIST SP 811 (2008) B.8: lb/h 1.259979e-4 kg/s; gpm (US) 6.309020e-5 m3/s; horsepower (boiler) 9.80950e3 W.
#[test]
fn published_flows() {
    let near = |text: &str, value: f64, basis: Basis| {
        let got = parse(text, Dimension::Flow).unwrap();
        assert!((got.value / value - 1.0).abs() < 1e-6, "{text}: {got:?}");
        assert_eq!(got.basis, basis);
    };
    near("1 lb/h", 1.259979e-4, Basis::Plain);
    near("1 gpm(US)", 6.309020e-5, Basis::VolumeFlow);
    // 4.546 09 L a minute.
    near("1 gpm(imp)", 7.576817e-5, Basis::VolumeFlow);
    near("3.6 t/h", 1.0, Basis::Plain);
    near("3.6 m3/h", 1e-3, Basis::VolumeFlow);
    near("60 L/min", 1e-3, Basis::VolumeFlow);
    near("1 bhp", 9.80950e3, Basis::Output);
    // 34.5 lb/h times 970.3 Btu(IT)/lb, the definition: agrees to its digits.
    assert!((34.5_f64 * 970.3 * 1_055.055_852_62 / 3600.0 / 9_809.5 - 1.0).abs() < 2e-4);
    check("4 %", Dimension::Blowdown, 4.0, Basis::Share);
}

/// NIST SP 811 (2008) B.8 for gallons, cubic feet, pound-force; IEC 60534-1 for Kv and Cv.
#[test]
fn published_other_kinds() {
    check(
        "1 gal(US)",
        Dimension::Volume,
        3.785_411_784e-3,
        Basis::Plain,
    );
    check("1 ft3", Dimension::Volume, 0.028_316_846_592, Basis::Plain);
    check("1 L", Dimension::Volume, 1e-3, Basis::Plain);
    check("2 lbf", Dimension::Force, 8.896_443_230_521, Basis::Plain);
    check("2 kN", Dimension::Force, 2000.0, Basis::Plain);
    check("1 in2", Dimension::Area, 6.4516e-4, Basis::Plain);
    check("10 Cv", Dimension::FlowCoefficient, 8.65, Basis::Plain);
    check("2 h", Dimension::Time, 7200.0, Basis::Plain);
    check("20.5 mA", Dimension::Current, 20.5, Basis::Plain);
    check("250 ohm", Dimension::Resistance, 250.0, Basis::Plain);
    check("24 V", Dimension::Voltage, 24.0, Basis::Plain);
    check("40 VA", Dimension::ApparentPower, 40.0, Basis::Plain);
    check("52 deg", Dimension::Angle, 52.0, Basis::Plain);
    check("80 s/repeat", Dimension::Reset, 80.0, Basis::Plain);
    check("1.5 min/repeat", Dimension::Reset, 90.0, Basis::Plain);
    check(
        "0.75 repeats/min",
        Dimension::Reset,
        80.0,
        Basis::Reciprocal,
    );
    check("25 %", Dimension::Gain, 25.0, Basis::BandPercent);
    check("5 in", Dimension::Gain, 0.127, Basis::BandLevel);
    check("0.4 %/%", Dimension::Gain, 0.4, Basis::Plain);
}

#[test]
fn practice_a_unit_is_never_guessed() {
    use Dimension as D;
    for (text, dimension, code, named) in [
        ("30", D::Length, "unit-missing", "in"),
        ("125 psi", D::Pressure, "unit-ambiguous", "psi(g)"),
        ("8 bar", D::Pressure, "unit-ambiguous", "bar(a)"),
        (
            "30 inH2O",
            D::DifferentialPressure,
            "unit-ambiguous",
            "inH2O(60 degF)",
        ),
        (
            "30 mmH2O",
            D::DifferentialPressure,
            "unit-ambiguous",
            "mmH2O(4 degC)",
        ),
        ("30 gpm", D::Flow, "unit-ambiguous", "gpm(imp)"),
        ("200 hp", D::Flow, "unit-ambiguous", "bhp"),
        ("30 psi(g)", D::Length, "unit-of-another-kind", "in"),
        (
            "30 psi(g)",
            D::DifferentialPressure,
            "unit-of-another-kind",
            "psi",
        ),
        ("30 inch", D::Length, "unit-unknown", "in"),
        ("30 MM", D::Length, "unit-unknown", "mm"),
        ("30 IN", D::Length, "unit-unknown", "in"),
        ("30 furlongs", D::Length, "unit-unknown", "mm"),
        ("", D::Length, "number-missing", "in"),
        ("in", D::Length, "number-missing", "in"),
        ("- in", D::Length, "number-missing", "in"),
        (".", D::Length, "number-missing", "in"),
        ("1,200 lb/h", D::Flow, "number-has-comma", "decimal point"),
        ("20 1/0 in", D::Length, "fraction-unreadable", "1/4"),
        ("20 1/ in", D::Length, "fraction-unreadable", "1/4"),
        ("1.5/2 in", D::Length, "fraction-unreadable", "1/4"),
        ("3.5 ft 2 in", D::Length, "feet-and-inches-unreadable", "ft"),
        ("3 ft 14 in", D::Length, "feet-and-inches-unreadable", "ft"),
        ("3 ft 4 mm", D::Length, "feet-and-inches-unreadable", "ft"),
        ("0 repeats/min", D::Reset, "reset-rate-zero", "none"),
        ("30 in 4 in", D::Length, "unit-unknown", "in"),
    ] {
        let error = refuse(text, dimension, code);
        let help = error.help().unwrap_or_default();
        assert!(help.contains(named), "{text}: {help}");
    }
}

#[test]
fn practice_numbers_that_are_none() {
    for text in ["nan in", "NaN in", "inf in", "-inf in", "infinity m"] {
        refuse(text, Dimension::Length, "number-not-finite");
    }
    for text in [
        "1e400 m",
        "1e16 mm",
        "-9e99 ft",
        "99999999999999999 ft 2 in",
    ] {
        refuse(text, Dimension::Length, "number-too-large");
    }
}

fn any_unit() -> impl Strategy<Value = (Dimension, &'static Unit)> {
    let all: Vec<_> = Dimension::ALL
        .into_iter()
        .flat_map(|dimension| dimension.units().iter().map(move |unit| (dimension, unit)))
        .collect();
    proptest::sample::select(all)
}

proptest! {
    #[test]
    fn property_text_and_parse_are_inverse((dimension, unit) in any_unit(), number in -1e6_f64..1e6) {
        prop_assume!(number.abs() > 1e-3);
        let read = parse(&format!("{number} {}", unit.name), dimension).unwrap();
        let again = parse(&text(read.value, unit), dimension).unwrap();
        prop_assert!((again.value - read.value).abs() <= 1e-9 * (1.0 + read.value.abs() + unit.offset.abs()));
        prop_assert_eq!(again.basis, read.basis);
    }

    #[test]
    fn property_any_text_gets_an_answer(text in "\\PC*", index in 0_usize..22) {
        let _ = parse(&text, Dimension::ALL[index]);
    }

    #[test]
    fn property_near_misses_get_an_answer(text in "[-+0-9./ eE,]{0,12}(ft|in|psi|bar|degF)?[ 0-9/]{0,6}(in|\\(g\\))?") {
        for dimension in Dimension::ALL {
            if let Ok(quantity) = parse(&text, dimension) {
                prop_assert!(quantity.value.is_finite());
            }
        }
    }
}
