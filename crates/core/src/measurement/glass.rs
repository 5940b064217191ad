//! The gauge glass: cooler water than the vessel's stands lower for the same weight, so a hot vessel's glass reads LOW.

use super::cell::percent_of_range;
use super::error::MeasurementError;
use super::sheets::{Condition, Densities, GlassCardLine, Range};
use super::{condition, signal};
use crate::description::{Glass, Loop};
use crate::quantity::{GlassLevel, IndicatedLevel, TrueLevel};
use crate::water::{compressed_water_density_kg_m3, saturation_temperature_k};

/// How much cooler than saturation glass water is taken to be where the survey does not say, K (common practice).
const BELOW_SATURATION_K: f64 = 50.0;
/// Rounding at the ends of the visible length, m: water level with an end is seen.
const ROUNDING_M: f64 = 1e-9;
/// Steps of the glass card from the lowest to the highest visible level.
const CARD_STEPS: u32 = 8;

/// Water temperature in the glass, K: as surveyed, else 50 K below saturation but not below the lowest ambient; never
/// warmer than the vessel's water.
///
/// # Errors
/// [`MeasurementError::Water`] for a pressure without saturation temperature.
pub fn water_temperature_k(
    described: &Loop,
    glass: &Glass,
    condition: &Condition,
) -> Result<f64, MeasurementError> {
    let hot_k = match glass.water_temperature_k {
        Some(surveyed_k) => surveyed_k,
        None => {
            let below_k = saturation_temperature_k(condition.pressure.pa())? - BELOW_SATURATION_K;
            below_k.max(described.site.ambient_lowest_k)
        }
    };
    Ok(if hot_k > condition.water_k {
        condition.water_k
    } else {
        hot_k
    })
}

/// The glass at one condition.
#[derive(Debug, Clone, PartialEq)]
pub struct GlassAt {
    /// Lower connection to the vessel, m above the lower tap.
    pub connection_m: f64,
    /// Lowest and highest visible level, m above the lower tap.
    pub visible_m: (f64, f64),
    /// Water temperature in the glass, K.
    pub water_k: f64,
    /// Water in the glass, kg/m3.
    pub glass_kg_m3: f64,
    /// Densities of the vessel.
    pub densities: Densities,
}

impl GlassAt {
    /// The glass of a loop at a condition; `None` without a glass.
    ///
    /// # Errors
    /// [`MeasurementError`] when a density fails or the glass water is not heavier than the vapour.
    pub fn of(described: &Loop, at: &Condition) -> Result<Option<Self>, MeasurementError> {
        let Some(glass) = &described.glass else {
            return Ok(None);
        };
        let (densities, _) = condition::densities(described, at)?;
        let water_k = water_temperature_k(described, glass, at)?;
        // The vessel's own water: its density, not the compressed formulation's at the same point.
        let as_warm_as_vessel = water_k >= at.water_k;
        let glass_kg_m3 = if as_warm_as_vessel {
            densities.liquid
        } else {
            compressed_water_density_kg_m3(water_k, at.pressure.pa())?
        };
        for liquid_kg_m3 in [glass_kg_m3, densities.liquid] {
            let outweighs = liquid_kg_m3 > densities.vapour;
            if !outweighs {
                return Err(MeasurementError::LiquidNotHeavier {
                    liquid_kg_m3,
                    vapour_kg_m3: densities.vapour,
                });
            }
        }
        Ok(Some(Self {
            connection_m: glass.lower_connection_m,
            visible_m: (glass.visible_bottom_m, glass.visible_top_m),
            water_k,
            glass_kg_m3,
            densities,
        }))
    }

    /// Vessel level that makes the glass stand at `glass`.
    ///
    /// ```text
    /// h = zc + (z − zc)·(ρg − ρv) / (ρl − ρv)
    /// ```
    ///
    /// | symbol | name              | unit  |
    /// |--------|-------------------|-------|
    /// | h      | true level        | m above the lower tap |
    /// | z      | `glass`           | m above the lower tap |
    /// | zc     | `connection_m`, the vessel-side lower connection of the glass | m above the lower tap |
    /// | ρg     | `glass_kg_m3`     | kg/m3 |
    /// | ρl, ρv | `densities.liquid`, `.vapour` | kg/m3 |
    ///
    /// **Source:** hydrostatics. **Departures:** glass water of one temperature.
    /// **Checked by:** `crosscheck_glass_at_125_psig`, `property_glass_and_true_are_inverse`.
    pub fn true_level(&self, glass: GlassLevel) -> TrueLevel {
        TrueLevel::from_m(self.connection_m + (glass.m() - self.connection_m) * self.ratio())
    }

    /// Where water stands, visible or not, with this vessel level; meaningless below the lower connection.
    pub fn stands_at(&self, level: TrueLevel) -> GlassLevel {
        GlassLevel::from_m(self.connection_m + (level.m() - self.connection_m) / self.ratio())
    }

    /// What the glass shows: `None` where the water stands outside its visible length.
    pub fn shows(&self, level: TrueLevel) -> Option<GlassLevel> {
        let stands = self.stands_at(level);
        let (bottom_m, top_m) = self.visible_m;
        (bottom_m - ROUNDING_M..=top_m + ROUNDING_M)
            .contains(&stands.m())
            .then(|| GlassLevel::from_m(stands.m().max(bottom_m).min(top_m)))
    }

    fn ratio(&self) -> f64 {
        (self.glass_kg_m3 - self.densities.vapour) / (self.densities.liquid - self.densities.vapour)
    }
}

/// The glass card: even steps of the glass from its lowest to its highest visible level, and what each means. Empty
/// without a glass. Beyond the taps the panel stays at what it says at the tap.
///
/// # Errors
/// [`MeasurementError`] when a condition cannot be computed.
pub(super) fn card(
    described: &Loop,
    range: Range,
    cold: &Condition,
    hot: &Condition,
) -> Result<Vec<GlassCardLine>, MeasurementError> {
    let (Some(glass_cold), Some(glass_hot)) =
        (GlassAt::of(described, cold)?, GlassAt::of(described, hot)?)
    else {
        return Ok(Vec::new());
    };
    let span = described.range.span;
    let cell = condition::cell_at(described, hot)?;
    let (bottom_m, top_m) = glass_hot.visible_m;
    let mut lines = Vec::new();
    for step in 0..=CARD_STEPS {
        let share = f64::from(step) / f64::from(CARD_STEPS);
        let glass = GlassLevel::from_m(bottom_m + share * (top_m - bottom_m));
        let true_hot = glass_hot.true_level(glass);
        let seen = TrueLevel::from_m(
            true_hot
                .m()
                .clamp(cell.geometry.lowest_m, cell.geometry.highest_m),
        );
        let percent = percent_of_range(range, cell.differential_pa(seen)?)?;
        let wanted = IndicatedLevel::from_percent(percent, span);
        lines.push(GlassCardLine {
            glass,
            true_cold: glass_cold.true_level(glass),
            true_hot,
            indicated_hot: signal::clipped(&described.cell, span, wanted).0,
        });
    }
    Ok(lines)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::{M_PER_IN, kelvin, psig, shell_boiler, vented_tank};
    use crate::measurement::range_sheet;
    use proptest::prelude::*;

    fn hot(described: &Loop) -> GlassAt {
        GlassAt::of(described, &condition::normal(described).unwrap())
            .unwrap()
            .unwrap()
    }

    /// Saturation at 125 psi(g) from iapws 1.5.5: 178.2614 degC, 888.8553, 4.96451 kg/m3; water at 128.26 degC and
    /// that pressure 936.6654 kg/m3.
    #[test]
    fn crosscheck_glass_at_125_psig() {
        let glass = hot(&shell_boiler());
        assert!((glass.water_k - kelvin(128.2614)).abs() < 1e-3, "{glass:?}");
        assert!((glass.glass_kg_m3 - 936.6654).abs() < 1e-4, "{glass:?}");
        let ratio = (glass.glass_kg_m3 - 4.96451) / (888.8553 - 4.96451);
        // 10 in of glass, 7 in above the connection at 3 in.
        let level = glass.true_level(GlassLevel::from_m(10.0 * M_PER_IN));
        assert!(
            (level.m() / M_PER_IN - (3.0 + 7.0 * ratio)).abs() < 1e-5,
            "{level:?}"
        );
        assert!(level.m() > 10.3 * M_PER_IN);
    }

    /// Common practice, no source: a hot glass reads low, the cooler the lower; a cold one tells the truth.
    #[test]
    fn practice_hot_glass_reads_low_and_cold_glass_is_true() {
        let mut described = shell_boiler();
        let level = TrueLevel::from_m(10.0 * M_PER_IN);
        let mut last = level.m();
        for glass_c in [178.0, 150.0, 100.0, 50.0] {
            if let Some(glass) = &mut described.glass {
                glass.water_temperature_k = Some(kelvin(glass_c));
            }
            let stands = hot(&described).stands_at(level).m();
            assert!(stands < last, "{glass_c} degC: {stands}");
            last = stands;
        }
        let cold = GlassAt::of(&described, &condition::start_up(&described))
            .unwrap()
            .unwrap();
        assert!(
            (cold.stands_at(level).m() - level.m()).abs() < 1e-12,
            "{cold:?}"
        );
        let tank = vented_tank();
        assert!(
            (hot(&tank).water_k - kelvin(49.97)).abs() < 0.05,
            "{:?}",
            hot(&tank)
        );
    }

    #[test]
    fn property_default_is_not_below_the_lowest_ambient() {
        let mut described = shell_boiler();
        described.site.ambient_lowest_k = kelvin(20.0);
        let glass = described.glass.clone().unwrap();
        let at = condition::in_service(&described, "vacuum", psig(-13.0), kelvin(20.0)).unwrap();
        let water_k = water_temperature_k(&described, &glass, &at).unwrap();
        assert!((water_k - kelvin(20.0)).abs() < 1e-9, "{water_k}");
    }

    #[test]
    fn property_outside_the_visible_length_nothing_shows() {
        let described = shell_boiler();
        let glass = hot(&described);
        for (glass_in, visible) in [
            (3.99, false),
            (4.001, true),
            (15.99, true),
            (16.01, false),
            (f64::NAN, false),
        ] {
            let level = glass.true_level(GlassLevel::from_m(glass_in * M_PER_IN));
            assert_eq!(glass.shows(level).is_some(), visible, "{glass_in}");
        }
        let mut described = described;
        described.glass = None;
        assert!(
            GlassAt::of(&described, &condition::normal(&described).unwrap())
                .unwrap()
                .is_none()
        );
    }

    #[test]
    fn practice_glass_card_runs_over_the_visible_glass() {
        let described = shell_boiler();
        let sheet = range_sheet(&described).unwrap();
        let lines = card(
            &described,
            sheet.chosen,
            &condition::start_up(&described),
            &sheet.normal,
        )
        .unwrap();
        assert_eq!(lines.len(), 9);
        assert!(
            (lines[0].glass.m() - 4.0 * M_PER_IN).abs() < 1e-12
                && (lines[8].glass.m() - 16.0 * M_PER_IN).abs() < 1e-12
        );
        for line in &lines {
            assert!(
                (line.true_cold.m() - line.glass.m()).abs() < 1e-9,
                "{line:?}"
            );
            assert!(line.true_hot.m() > line.glass.m());
            assert!(
                (line.indicated_hot.m() - line.true_hot.m()).abs() < 1e-9,
                "the hot range is exact: {line:?}"
            );
        }
    }

    #[test]
    fn practice_glass_card_stops_at_the_tap_and_at_saturation() {
        let mut described = shell_boiler();
        if let Some(glass) = &mut described.glass {
            glass.visible_top_m = 24.0 * M_PER_IN;
        }
        let sheet = range_sheet(&described).unwrap();
        let lines = card(
            &described,
            sheet.chosen,
            &condition::start_up(&described),
            &sheet.normal,
        )
        .unwrap();
        assert!(
            (lines[8].indicated_hot.m() - 20.0 * M_PER_IN).abs() < 1e-9,
            "{:?}",
            lines[8]
        );
        let found = Range {
            lrv_pa: sheet.chosen.lrv_pa,
            urv_pa: sheet.chosen.urv_pa - 900.0,
        };
        let lines = card(
            &described,
            found,
            &condition::start_up(&described),
            &sheet.normal,
        )
        .unwrap();
        // 20.5 mA of a rising signal.
        assert!((lines[8].indicated_hot.percent(described.range.span) - 103.125).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn property_glass_and_true_are_inverse(level_m in 0.08_f64..0.5, gauge in 1.0_f64..600.0) {
            let described = shell_boiler();
            let at = condition::in_service(&described, "any", psig(gauge), kelvin(50.0)).unwrap();
            let glass = GlassAt::of(&described, &at).unwrap().unwrap();
            let back = glass.true_level(glass.stands_at(TrueLevel::from_m(level_m))).m();
            prop_assert!((back - level_m).abs() < 1e-12);
        }
    }
}
