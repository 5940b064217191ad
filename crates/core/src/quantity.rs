//! Quantities whose mix-up is dangerous because they share a dimension: gauge and absolute
//! pressure, the three levels, the four inches of water column. Plain suffixed `f64` serves
//! inside formulas; these types serve at boundaries.

/// Absolute pressure, Pa.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct AbsolutePressure(f64);

/// Pressure above the local atmosphere, Pa.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct GaugePressure(f64);

impl AbsolutePressure {
    /// From pascals, absolute.
    pub const fn from_pa(pa: f64) -> Self {
        Self(pa)
    }
    /// Pascals, absolute.
    pub const fn pa(self) -> f64 {
        self.0
    }
    /// The same pressure counted from the local atmosphere.
    pub const fn to_gauge(self, atmosphere: AbsolutePressure) -> GaugePressure {
        GaugePressure(self.0 - atmosphere.0)
    }
}

impl GaugePressure {
    /// From pascals above the local atmosphere.
    pub const fn from_pa(pa: f64) -> Self {
        Self(pa)
    }
    /// Pascals above the local atmosphere.
    pub const fn pa(self) -> f64 {
        self.0
    }
    /// The same pressure counted from vacuum.
    pub const fn to_absolute(self, atmosphere: AbsolutePressure) -> AbsolutePressure {
        AbsolutePressure(self.0 + atmosphere.0)
    }
}

macro_rules! level {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// From metres above the centre of the lower tap.
            pub const fn from_m(m: f64) -> Self {
                Self(m)
            }
            /// Metres above the centre of the lower tap.
            pub const fn m(self) -> f64 {
                self.0
            }
            /// Percent of a level span, 0 at `level_at_0_percent_m`.
            pub fn percent(self, span: LevelSpan) -> f64 {
                100.0 * (self.0 - span.at_0_percent_m) / (span.at_100_percent_m - span.at_0_percent_m)
            }
            /// From percent of a level span.
            pub fn from_percent(percent: f64, span: LevelSpan) -> Self {
                Self(span.at_0_percent_m + percent / 100.0 * (span.at_100_percent_m - span.at_0_percent_m))
            }
        }
    };
}

level! {
    /// The vessel's level: collapsed (weight) level of water above the centre of the lower tap.
    TrueLevel
}
level! {
    /// The cell's level: what the panel says.
    IndicatedLevel
}
level! {
    /// The glass's level: where the water stands in the gauge glass.
    GlassLevel
}

/// The two levels that the panel calls 0 % and 100 %, metres above the centre of the lower tap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelSpan {
    /// Level shown as 0 %, m.
    pub at_0_percent_m: f64,
    /// Level shown as 100 %, m.
    pub at_100_percent_m: f64,
}

impl LevelSpan {
    /// Height of the span, m.
    pub fn height_m(self) -> f64 {
        self.at_100_percent_m - self.at_0_percent_m
    }
}

/// Which water an inch (or millimetre) of water column is made of. The definitions differ by up to 0.18 %.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WaterColumn {
    /// Conventional: 1000 kg/m3 at standard gravity.
    Conventional,
    /// Water at 4 degC (39.2 degF).
    At4DegC,
    /// Water at 60 degF.
    At60DegF,
    /// Water at 68 degF (20 degC).
    At68DegF,
}

impl WaterColumn {
    /// All four, in the order they are printed.
    pub const ALL: [WaterColumn; 4] = [
        WaterColumn::Conventional,
        WaterColumn::At4DegC,
        WaterColumn::At60DegF,
        WaterColumn::At68DegF,
    ];

    /// Pascals per inch of this water column.
    ///
    /// **Source:** NIST SP 811 (2008) appendix B.8: conventional 249.0889, 39.2 degF 249.082,
    /// 60 degF 248.84. 68 degF: 248.641, as instruments are made to; IAPWS-95 gives 248.6423.
    pub const fn pa_per_inch(self) -> f64 {
        match self {
            WaterColumn::Conventional => 249.088_91,
            WaterColumn::At4DegC => 249.082,
            WaterColumn::At60DegF => 248.84,
            WaterColumn::At68DegF => 248.641,
        }
    }

    /// Pascals per millimetre of this water column.
    pub const fn pa_per_mm(self) -> f64 {
        self.pa_per_inch() / 25.4
    }

    /// How the reference is written after the unit, for instance `68 degF`.
    pub const fn reference(self) -> &'static str {
        match self {
            WaterColumn::Conventional => "conventional",
            WaterColumn::At4DegC => "4 degC",
            WaterColumn::At60DegF => "60 degF",
            WaterColumn::At68DegF => "68 degF",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_nist_sp811_inch_of_water() {
        // NIST SP 811 (2008) B.8, printed digits.
        for (column, pa, digits) in [
            (WaterColumn::Conventional, 249.0889, 5e-5),
            (WaterColumn::At4DegC, 249.082, 5e-4),
            (WaterColumn::At60DegF, 248.84, 5e-3),
        ] {
            assert!((column.pa_per_inch() - pa).abs() <= digits, "{column:?}");
        }
    }

    #[test]
    fn crosscheck_inch_of_water_at_68_degf() {
        // IAPWS-95 density at 20 degC, 1 atm (CoolProp 8.0.0) x 9.80665 x 0.0254 = 248.6423 Pa.
        // Instruments use 248.641 or 248.642: within 1e-5 of it.
        assert!((WaterColumn::At68DegF.pa_per_inch() / 248.6423 - 1.0).abs() < 1e-5);
    }

    #[test]
    fn crosscheck_inches_of_water_in_a_psi() {
        // 6894.757 Pa / definitions: 27.6799, 27.6807, 27.7076, 27.7298 (NIST SP 811 definitions, computed).
        for (column, inches) in WaterColumn::ALL
            .into_iter()
            .zip([27.6799, 27.6807, 27.7076, 27.7298])
        {
            assert!(
                (6_894.757_293_168 / column.pa_per_inch() - inches).abs() < 1e-4,
                "{column:?}"
            );
        }
    }

    #[test]
    fn property_gauge_and_absolute_are_inverse() {
        let atmosphere = AbsolutePressure::from_pa(98_000.0);
        let gauge = GaugePressure::from_pa(861_844.7);
        assert!(
            (gauge.to_absolute(atmosphere).to_gauge(atmosphere).pa() - gauge.pa()).abs() < 1e-9
        );
    }
}
