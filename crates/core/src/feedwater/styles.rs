//! Typical factors of each valve style, and which of them the valve's maker states.
//!
//! **Source:** IEC 60534-2-1:1998, Table 2 (2011: Table D.1), typical values at rated travel, from memory of the standard, to be confirmed
//! with the maker. Acoustic exponents: IEC 60534-8-4:2015, from memory too.
//! Where a style of the survey covers two rows, the one that warns of cavitation earlier stands here (larger Fd).

use super::cavitation;
use super::sheets::BodyFactor;
use crate::description::feed_system::{ControlValve, ValveSize, ValveStyle};
use thiserror::Error;

/// A value of the user's.
pub const STATED: &str = "stated in the loop file";
/// A value of the table.
pub const TYPICAL: &str = "typical of the style at rated travel: value from memory of IEC 60534-2-1 table, confirm with the maker";
/// Fd of a needle.
pub const NEEDLE: &str = "IEC 60534-2-1, Fd = N19·√(C·FL)/D0 of a needle at its rated coefficient, confirm with the maker";
/// xFz by formula.
pub const INCIPIENT_FORMULA: &str = "IEC 60534-8-4 formula at the rated coefficient (each duty uses its own), no test of this valve";

/// N19 for Kv and mm: IEC 60534-2-1, Table 1, from memory.
const N19: f64 = 2.5;

/// Why a style has no factors.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum StyleError {
    /// Fd of a needle depends on the seat.
    #[error(
        "size {size}: the style modifier Fd of a tapered needle follows from its seat diameter, which is not known"
    )]
    SeatDiameterNeeded {
        /// Size.
        size: String,
    },
}

/// Typical factors of a style.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StyleFactors {
    /// FL.
    pub recovery_factor: f64,
    /// xT, for gas; not used for water.
    pub gas_ratio_factor: f64,
    /// Fd; `None` for a needle, whose Fd follows from its seat.
    pub style_modifier: Option<f64>,
    /// An, acoustic efficiency exponent for liquids.
    pub acoustic_exponent: f64,
}

/// Typical factors of a style at rated travel.
///
/// **Source:** head of this file. **Checked by:** `published_table_from_memory`.
#[must_use]
pub fn typical_factors(style: ValveStyle) -> StyleFactors {
    use ValveStyle as S;
    const STEM: f64 = -4.6;
    const SHAFT: f64 = -4.3;
    let (recovery_factor, gas_ratio_factor, style_modifier, acoustic_exponent) = match style {
        S::GlobeVPort => (0.90, 0.70, Some(0.48), STEM),
        S::GlobeContouredOpen | S::AngleContouredOpen => (0.90, 0.72, Some(0.46), STEM),
        S::GlobeContouredClose => (0.80, 0.55, Some(1.00), STEM),
        S::GlobeCage => (0.90, 0.75, Some(0.41), STEM),
        S::GlobeDrilledCage60 => (0.90, 0.68, Some(0.13), STEM),
        S::GlobeDrilledCage120 => (0.90, 0.68, Some(0.09), STEM),
        S::GlobeDoublePort => (0.85, 0.70, Some(0.32), STEM),
        S::SmallFlowVNotch => (0.98, 0.84, Some(0.70), STEM),
        S::SmallFlowNeedle => (0.95, 0.84, None, STEM),
        S::EccentricPlugOpen => (0.85, 0.60, Some(0.42), SHAFT),
        S::SegmentedBall => (0.60, 0.30, Some(0.98), SHAFT),
        S::FullBoreBall => (0.74, 0.42, Some(0.99), SHAFT),
        S::ButterflyCentred => (0.62, 0.35, Some(0.57), SHAFT),
        S::ButterflyEccentric => (0.67, 0.35, Some(0.57), SHAFT),
    };
    StyleFactors {
        recovery_factor,
        gas_ratio_factor,
        style_modifier,
        acoustic_exponent,
    }
}

/// Factors of one size of the valve, stated or typical.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveFactors {
    /// FL.
    pub recovery_factor: f64,
    /// Where FL comes from.
    pub recovery_source: &'static str,
    /// Fd.
    pub style_modifier: f64,
    /// Where Fd comes from.
    pub modifier_source: &'static str,
    /// xFz, if stated.
    pub stated_incipient_ratio: Option<f64>,
    /// An.
    pub acoustic_exponent: f64,
}

impl ValveFactors {
    /// Factors of a size of the valve.
    ///
    /// # Errors
    /// [`StyleError::SeatDiameterNeeded`] for a needle without Fd and without seat diameter.
    pub fn of(valve: &ControlValve, size: &ValveSize) -> Result<Self, StyleError> {
        let typical = typical_factors(valve.style);
        let (recovery_factor, recovery_source) = match valve.recovery_factor {
            Some(stated) => (stated, STATED),
            None => (typical.recovery_factor, TYPICAL),
        };
        let (style_modifier, modifier_source) = match (valve.style_modifier, typical.style_modifier)
        {
            (Some(stated), _) => (stated, STATED),
            (None, Some(typical)) => (typical, TYPICAL),
            (None, None) => match size.seat_diameter_m {
                Some(seat_m) => (
                    N19 * (size.rated_kv_m3_h * recovery_factor).sqrt() / (1000.0 * seat_m),
                    NEEDLE,
                ),
                None => {
                    return Err(StyleError::SeatDiameterNeeded {
                        size: size.name.clone(),
                    });
                }
            },
        };
        Ok(Self {
            recovery_factor,
            recovery_source,
            style_modifier,
            modifier_source,
            stated_incipient_ratio: valve.incipient_ratio,
            acoustic_exponent: typical.acoustic_exponent,
        })
    }

    /// xFz at a coefficient, at an inlet pressure of 6 bar: the stated value, or the formula.
    #[must_use]
    pub fn incipient_ratio(&self, kv_m3_h: f64) -> f64 {
        self.stated_incipient_ratio.unwrap_or_else(|| {
            cavitation::incipient_ratio(kv_m3_h, self.recovery_factor, self.style_modifier)
        })
    }

    /// The factors as the sheet lists them.
    #[must_use]
    pub fn listed(&self, rated_kv_m3_h: f64) -> Vec<BodyFactor> {
        let incipient_source = match self.stated_incipient_ratio {
            Some(_) => STATED,
            None => INCIPIENT_FORMULA,
        };
        [
            ("FL", self.recovery_factor, self.recovery_source),
            ("Fd", self.style_modifier, self.modifier_source),
            ("xFz", self.incipient_ratio(rated_kv_m3_h), incipient_source),
        ]
        .map(|(symbol, value, source)| BodyFactor {
            symbol,
            value,
            source,
        })
        .to_vec()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::feed_system::{Characteristic, LeakageClass};

    fn valve(style: ValveStyle) -> ControlValve {
        ControlValve {
            style,
            recovery_factor: None,
            style_modifier: None,
            incipient_ratio: None,
            characteristic: Characteristic::EqualPercentage { rangeability: 50.0 },
            sizes: Vec::new(),
            sizes_are_generic: false,
            fitted: None,
            throttling_limit_pa: None,
            shut_off_limit_pa: None,
            leakage: LeakageClass::IV,
            pipe_wall_m: 0.004,
        }
    }

    fn size(seat_diameter_m: Option<f64>) -> ValveSize {
        ValveSize {
            name: "DN 25".to_owned(),
            rated_kv_m3_h: 0.04,
            bore_m: 0.025,
            seat_diameter_m,
        }
    }

    // IEC 60534-2-1:1998, Table 2, from a second recollection of its rows: FL, xT, Fd.
    #[test]
    fn published_table_from_memory() {
        use ValveStyle as S;
        for (style, row) in [
            (S::GlobeVPort, (0.9, 0.70, Some(0.48))),
            (S::GlobeContouredOpen, (0.9, 0.72, Some(0.46))),
            (S::GlobeContouredClose, (0.8, 0.55, Some(1.0))),
            (S::GlobeCage, (0.9, 0.75, Some(0.41))),
            (S::GlobeDrilledCage60, (0.9, 0.68, Some(0.13))),
            (S::GlobeDrilledCage120, (0.9, 0.68, Some(0.09))),
            (S::GlobeDoublePort, (0.85, 0.70, Some(0.32))),
            (S::AngleContouredOpen, (0.9, 0.72, Some(0.46))),
            (S::SmallFlowVNotch, (0.98, 0.84, Some(0.70))),
            (S::SmallFlowNeedle, (0.95, 0.84, None)),
            (S::EccentricPlugOpen, (0.85, 0.60, Some(0.42))),
            (S::SegmentedBall, (0.60, 0.30, Some(0.98))),
            (S::FullBoreBall, (0.74, 0.42, Some(0.99))),
            (S::ButterflyCentred, (0.62, 0.35, Some(0.57))),
            (S::ButterflyEccentric, (0.67, 0.35, Some(0.57))),
        ] {
            let found = typical_factors(style);
            assert_eq!(
                (
                    found.recovery_factor,
                    found.gas_ratio_factor,
                    found.style_modifier
                ),
                row,
                "{style:?}"
            );
        }
    }

    // Definition of Fd: hydraulic diameter of one passage over the diameter of a circle of the whole area; n equal round holes give 1/√n.
    #[test]
    fn crosscheck_drilled_cages_follow_the_definition() {
        for (style, holes) in [
            (ValveStyle::GlobeDrilledCage60, 60.0_f64),
            (ValveStyle::GlobeDrilledCage120, 120.0),
        ] {
            let modifier = typical_factors(style).style_modifier.unwrap();
            assert!((modifier - holes.sqrt().recip()).abs() < 0.005);
        }
    }

    #[test]
    fn property_stated_values_go_before_typical_ones() {
        let mut stated = valve(ValveStyle::GlobeCage);
        let typical = ValveFactors::of(&stated, &size(None)).unwrap();
        assert_eq!(typical.recovery_source, TYPICAL);
        stated.recovery_factor = Some(0.88);
        stated.style_modifier = Some(0.35);
        stated.incipient_ratio = Some(0.5);
        let found = ValveFactors::of(&stated, &size(None)).unwrap();
        let listed = found.listed(10.0);
        assert_eq!(
            listed
                .iter()
                .map(|f| (f.symbol, f.value, f.source))
                .collect::<Vec<_>>(),
            [
                ("FL", 0.88, STATED),
                ("Fd", 0.35, STATED),
                ("xFz", 0.5, STATED)
            ]
        );
        assert_eq!(typical.listed(10.0)[2].source, INCIPIENT_FORMULA);
        assert!(typical.incipient_ratio(1.0) > typical.incipient_ratio(100.0));
    }

    #[test]
    fn property_needle_wants_its_seat() {
        let needle = valve(ValveStyle::SmallFlowNeedle);
        let refused = ValveFactors::of(&needle, &size(None)).unwrap_err();
        assert!(matches!(refused, StyleError::SeatDiameterNeeded { .. }));
        let found = ValveFactors::of(&needle, &size(Some(0.005))).unwrap();
        assert!((found.style_modifier - 2.5 * (0.04_f64 * 0.95).sqrt() / 5.0).abs() < 1e-12);
        assert_eq!(found.modifier_source, NEEDLE);
    }
}
