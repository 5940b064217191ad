//! Values in the units that a person of this loop reads: inches or millimetres, psi(g) or bar(g).
//!
//! Every kind of quantity comes as `(value, unit)`, as the bare number in text (`.._number`), and joined (`.._text`).
//! Decimals are fixed for each kind and unit. A minus is the sign U+2212, a rounded zero has no sign, and a
//! value without bound is said in words.
//!
//! **Source of the conversions:** NIST Special Publication 811 (2008), appendix B.8.

use halfglass_core::description::{Accuracy, Loop, UnitSystem};
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

/// A number as it is keyed in: so many significant digits, without zeros at the end.
pub fn keyed_number(value: f64, digits: usize) -> String {
    let text = significant(value, digits);
    if text.contains('.') && !text.contains('e') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
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

    /// A difference of levels with its sign and without its unit: `+0.9`, `−3`.
    pub fn level_difference_number(&self, m: f64) -> String {
        signed_number(self.level(m).0, self.pick(1, 0))
    }
    /// A small length with its unit, one decimal more than a level: `1.12 in`, `28.4 mm`.
    pub fn small_length_text(&self, m: f64) -> String {
        let (value, unit) = self.level(m);
        joined(value, self.pick(2, 1), unit)
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

    /// How good a test instrument is, to two digits: `± 0.013 inH2O (68 degF)`, `± 0.0080 mA`.
    pub fn accuracy_text(&self, accuracy: Accuracy) -> String {
        let (value, unit) = match accuracy {
            Accuracy::Pressure { pa } => self.differential(pa),
            Accuracy::Current { ma } => (ma, "mA".to_owned()),
        };
        format!("± {} {unit}", significant(value, 2))
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
        let si = joined(kg_m3, 2, "kg/m3");
        match self.system {
            UnitSystem::Us if kg_m3.is_finite() => {
                let (value, unit) = self.density(kg_m3);
                format!("{si}, {}", joined(value, 3, unit))
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

/// A time in seconds: hundredths under ten seconds, tenths under a minute, whole seconds from there on.
pub fn seconds_text(s: f64) -> String {
    let decimals = match s.abs() {
        under if under < 9.995 => 2,
        under if under < 59.95 => 1,
        _ => 0,
    };
    joined(s, decimals, "s")
}

/// A time in minutes: `4.2 min`.
pub fn minutes_text(minutes: f64) -> String {
    joined(minutes, 1, "min")
}

mod plant;

pub use plant::{ohm_text, volt_text};

#[cfg(test)]
#[path = "units_tests.rs"]
mod tests;
