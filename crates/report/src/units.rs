//! Values in the units that a person of this loop reads: inches or millimetres, psi(g) or bar(g).
//!
//! Every kind of quantity comes as `(value, unit)`, as the bare number in text (`.._number`), and joined (`.._text`).
//! Decimals are fixed for each kind and unit. A minus is the sign U+2212, a rounded zero has no sign, and a
//! value without bound is said in words.
//!
//! **Source of the conversions:** NIST Special Publication 811 (2008), appendix B.8.

use halfglass_core::description::{Loop, UnitSystem};
use halfglass_core::quantity::{AbsolutePressure, WaterColumn};

/// Metres in an inch, exact.
const M_PER_INCH: f64 = 0.0254;
/// Metres in a foot, exact.
const M_PER_FOOT: f64 = 0.3048;
/// Kilograms in a pound, exact.
const KG_PER_POUND: f64 = 0.453_592_37;
/// Pascals in a pound-force per square inch, from the exact pound, inch and standard gravity.
const PA_PER_PSI: f64 = KG_PER_POUND * 9.806_65 / (M_PER_INCH * M_PER_INCH);
/// Pascals in a bar, exact.
const PA_PER_BAR: f64 = 100_000.0;
/// Seconds in an hour.
const S_PER_HOUR: f64 = 3_600.0;

/// The units that a loop is printed in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DisplayUnits {
    /// Inches, psi, degF, lb; or millimetres, bar, degC, kg.
    pub system: UnitSystem,
    /// Which water an inch or a millimetre of water column is made of.
    pub water_column: WaterColumn,
    /// Local atmosphere, from which gauge pressures count.
    pub atmosphere: AbsolutePressure,
}

/// A number with fixed decimals as it is printed.
///
/// `no limit` for an infinite value; `unknown` for what is not a number, so that it is seen.
pub fn number(value: f64, decimals: usize) -> String {
    if value.is_nan() {
        return "unknown".into();
    }
    if value.is_infinite() {
        return "no limit".into();
    }
    let digits = format!("{:.decimals$}", value.abs());
    let is_zero = digits.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    if value < 0.0 && !is_zero {
        format!("\u{2212}{digits}")
    } else {
        digits
    }
}

/// A difference with its sign, `+1.2` or `−9.9`; a rounded zero has none.
pub fn signed_number(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    let is_zero = text.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    if value > 0.0 && value.is_finite() && !is_zero {
        format!("+{text}")
    } else {
        text
    }
}

/// A number with so many significant digits; very small and very large ones with a power of ten.
pub fn significant(value: f64, digits: usize) -> String {
    if !value.is_finite() || value.abs() < f64::MIN_POSITIVE {
        return number(value, 0);
    }
    let written = format!("{:.*e}", digits.saturating_sub(1), value);
    let Some((mantissa, exponent)) = written.split_once('e') else {
        return written;
    };
    match exponent.parse::<i32>() {
        Ok(exponent @ -5..=8) => {
            let decimals = i32::try_from(digits).unwrap_or(i32::MAX) - 1 - exponent;
            number(value, usize::try_from(decimals).unwrap_or(0))
        }
        _ => format!("{mantissa}e{exponent}").replace('-', "\u{2212}"),
    }
}

/// A number joined with its unit; a value without bound has none.
fn joined(value: f64, decimals: usize, unit: &str) -> String {
    if value.is_finite() {
        format!("{} {unit}", number(value, decimals))
    } else {
        number(value, decimals)
    }
}

impl DisplayUnits {
    /// The units that the loop asks for.
    pub fn of(described: &Loop) -> Self {
        Self {
            system: described.identity.units,
            water_column: described.identity.water_column,
            atmosphere: described.site.atmosphere,
        }
    }

    /// The same loop in another system of units.
    #[must_use]
    pub fn with_system(self, system: UnitSystem) -> Self {
        Self { system, ..self }
    }

    const fn pick<T: Copy>(&self, us: T, si: T) -> T {
        match self.system {
            UnitSystem::Us => us,
            UnitSystem::Si => si,
        }
    }

    /// Level or short length: in or mm.
    pub fn level(&self, m: f64) -> (f64, &'static str) {
        self.pick((m / M_PER_INCH, "in"), (m * 1_000.0, "mm"))
    }
    /// Unit of levels, for a head.
    pub fn level_unit(&self) -> &'static str {
        self.level(0.0).1
    }
    /// Level without its unit: tenths of an inch, whole millimetres.
    pub fn level_number(&self, m: f64) -> String {
        number(self.level(m).0, self.pick(1, 0))
    }
    /// Level with its unit: `12.3 in`, `312 mm`.
    pub fn level_text(&self, m: f64) -> String {
        let (value, unit) = self.level(m);
        joined(value, self.pick(1, 0), unit)
    }

    /// Long length, for instance altitude: ft or m.
    pub fn length(&self, m: f64) -> (f64, &'static str) {
        self.pick((m / M_PER_FOOT, "ft"), (m, "m"))
    }
    /// Long length with its unit: `1250 ft`, `381 m`.
    pub fn length_text(&self, m: f64) -> String {
        let (value, unit) = self.length(m);
        joined(value, 0, unit)
    }

    /// Gauge pressure: psi(g) or bar(g).
    pub fn pressure_gauge(&self, pressure: AbsolutePressure) -> (f64, &'static str) {
        let pa = pressure.to_gauge(self.atmosphere).pa();
        self.pick((pa / PA_PER_PSI, "psi(g)"), (pa / PA_PER_BAR, "bar(g)"))
    }
    /// Unit of gauge pressures, for a head.
    pub fn pressure_gauge_unit(&self) -> &'static str {
        self.pick("psi(g)", "bar(g)")
    }
    /// Gauge pressure without its unit.
    pub fn pressure_gauge_number(&self, pressure: AbsolutePressure) -> String {
        number(self.pressure_gauge(pressure).0, self.pick(1, 2))
    }
    /// Gauge pressure with its unit: `125.0 psi(g)`, `8.62 bar(g)`.
    pub fn pressure_gauge_text(&self, pressure: AbsolutePressure) -> String {
        let (value, unit) = self.pressure_gauge(pressure);
        joined(value, self.pick(1, 2), unit)
    }

    /// Absolute pressure: psi(a) or bar(a).
    pub fn pressure_absolute(&self, pressure: AbsolutePressure) -> (f64, &'static str) {
        let pa = pressure.pa();
        self.pick((pa / PA_PER_PSI, "psi(a)"), (pa / PA_PER_BAR, "bar(a)"))
    }
    /// Absolute pressure with its unit: `139.70 psi(a)`, `9.632 bar(a)`.
    pub fn pressure_absolute_text(&self, pressure: AbsolutePressure) -> String {
        let (value, unit) = self.pressure_absolute(pressure);
        joined(value, self.pick(2, 3), unit)
    }

    /// Differential pressure in the unit a calibrator is set in: inH2O, or kPa.
    pub fn differential(&self, pa: f64) -> (f64, String) {
        match self.system {
            UnitSystem::Us => self.water_column(pa),
            UnitSystem::Si => (pa / 1_000.0, "kPa".into()),
        }
    }
    /// Unit of differential pressures, for a head: `inH2O (68 degF)`, `kPa`.
    pub fn differential_unit(&self) -> String {
        self.differential(0.0).1
    }
    /// Differential pressure without its unit.
    pub fn differential_number(&self, pa: f64) -> String {
        number(self.differential(pa).0, self.pick(2, 3))
    }
    /// Differential pressure with its unit: `−28.40 inH2O (68 degF)`, `−7.062 kPa`.
    pub fn differential_text(&self, pa: f64) -> String {
        let (value, unit) = self.differential(pa);
        joined(value, self.pick(2, 3), &unit)
    }

    /// Differential pressure as a water column: inH2O or mmH2O, with its reference.
    pub fn water_column(&self, pa: f64) -> (f64, String) {
        let reference = self.water_column.reference();
        match self.system {
            UnitSystem::Us => (
                pa / self.water_column.pa_per_inch(),
                format!("inH2O ({reference})"),
            ),
            UnitSystem::Si => (
                pa / self.water_column.pa_per_mm(),
                format!("mmH2O ({reference})"),
            ),
        }
    }

    /// The unit that is printed beside [`Self::differential`]: kPa beside inH2O, mmH2O beside kPa.
    pub fn differential_beside(&self, pa: f64) -> (f64, String) {
        match self.system {
            UnitSystem::Us => (pa / 1_000.0, "kPa".into()),
            UnitSystem::Si => self.water_column(pa),
        }
    }
    /// Unit of [`Self::differential_beside`], for a head.
    pub fn differential_beside_unit(&self) -> String {
        self.differential_beside(0.0).1
    }
    /// [`Self::differential_beside`] without its unit.
    pub fn differential_beside_number(&self, pa: f64) -> String {
        number(self.differential_beside(pa).0, self.pick(3, 1))
    }
    /// [`Self::differential_beside`] with its unit.
    pub fn differential_beside_text(&self, pa: f64) -> String {
        let (value, unit) = self.differential_beside(pa);
        joined(value, self.pick(3, 1), &unit)
    }

    /// Temperature: degF or degC.
    pub fn temperature(&self, k: f64) -> (f64, &'static str) {
        self.pick((k * 1.8 - 459.67, "degF"), (k - 273.15, "degC"))
    }
    /// Unit of temperatures, for a head.
    pub fn temperature_unit(&self) -> &'static str {
        self.pick("degF", "degC")
    }
    /// Temperature without its unit: whole degF, tenths of degC.
    pub fn temperature_number(&self, k: f64) -> String {
        number(self.temperature(k).0, self.pick(0, 1))
    }
    /// Temperature with its unit: `122 degF`, `50.0 degC`.
    pub fn temperature_text(&self, k: f64) -> String {
        let (value, unit) = self.temperature(k);
        joined(value, self.pick(0, 1), unit)
    }

    /// Mass flow: lb/h or kg/h.
    pub fn flow(&self, kg_s: f64) -> (f64, &'static str) {
        let kg_h = kg_s * S_PER_HOUR;
        self.pick((kg_h / KG_PER_POUND, "lb/h"), (kg_h, "kg/h"))
    }
    /// Mass flow with its unit: `6900 lb/h`, `3130 kg/h`.
    pub fn flow_text(&self, kg_s: f64) -> String {
        let (value, unit) = self.flow(kg_s);
        joined(value, 0, unit)
    }

    /// Mass: lb or kg.
    pub fn mass(&self, kg: f64) -> (f64, &'static str) {
        self.pick((kg / KG_PER_POUND, "lb"), (kg, "kg"))
    }
    /// Unit of masses, for a head.
    pub fn mass_unit(&self) -> &'static str {
        self.pick("lb", "kg")
    }
    /// Mass without its unit.
    pub fn mass_number(&self, kg: f64) -> String {
        number(self.mass(kg).0, 0)
    }
    /// Mass with its unit: `1200 lb`, `544 kg`.
    pub fn mass_text(&self, kg: f64) -> String {
        let (value, unit) = self.mass(kg);
        joined(value, 0, unit)
    }

    /// Density: lb/ft3 or kg/m3.
    pub fn density(&self, kg_m3: f64) -> (f64, &'static str) {
        let cubic_foot_m3 = M_PER_FOOT * M_PER_FOOT * M_PER_FOOT;
        self.pick(
            (kg_m3 * cubic_foot_m3 / KG_PER_POUND, "lb/ft3"),
            (kg_m3, "kg/m3"),
        )
    }
    /// Density in kg/m3, as steam tables are read, with lb/ft3 beside it where US units are asked for.
    pub fn density_text(&self, kg_m3: f64) -> String {
        let si = joined(kg_m3, 3, "kg/m3");
        match self.system {
            UnitSystem::Us if kg_m3.is_finite() => {
                let (value, unit) = self.density(kg_m3);
                format!("{si}, {}", joined(value, 4, unit))
            }
            _ => si,
        }
    }

    /// Area: ft2 or m2.
    pub fn area(&self, m2: f64) -> (f64, &'static str) {
        self.pick((m2 / (M_PER_FOOT * M_PER_FOOT), "ft2"), (m2, "m2"))
    }
    /// Unit of areas, for a head.
    pub fn area_unit(&self) -> &'static str {
        self.pick("ft2", "m2")
    }
    /// Area without its unit.
    pub fn area_number(&self, m2: f64) -> String {
        number(self.area(m2).0, self.pick(1, 2))
    }
    /// Area with its unit: `54.3 ft2`, `5.04 m2`.
    pub fn area_text(&self, m2: f64) -> String {
        let (value, unit) = self.area(m2);
        joined(value, self.pick(1, 2), unit)
    }
}

/// Percent: `89.9 %`.
pub fn percent_text(percent: f64) -> String {
    joined(percent, 1, "%")
}

/// Current: `12.000 mA`.
pub fn current_text(ma: f64) -> String {
    joined(ma, 3, "mA")
}

/// A time in seconds: tenths under a minute, whole seconds from there on.
pub fn seconds_text(s: f64) -> String {
    joined(s, if s.abs() < 59.95 { 1 } else { 0 }, "s")
}

/// A time in minutes: `4.2 min`.
pub fn minutes_text(minutes: f64) -> String {
    joined(minutes, 1, "min")
}

#[cfg(test)]
mod tests {
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
            (us.density_text(958.4), "958.400 kg/m3, 59.8310 lb/ft3"),
            (percent_text(89.94), "89.9 %"),
            (current_text(12.0), "12.000 mA"),
            (seconds_text(4.25), "4.2 s"),
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
}
