//! How fast bubbles rise through the water: drift flux, as a range between two correlations.
//!
//! ```text
//! j   = a·vgj/(1 − C0·a)          a = j/(vgj + C0·j)          (no water flows through on the whole)
//! C0  = 1.2 − 0.2·(ρv/ρl)^½
//! slow: vgj = 1.53·[σ·g·Δρ/ρl²]^¼
//! fast: vgj = 0.030·(ρv/ρl)^−0.157·Nμ^−0.562·[σ·g·Δρ/ρl²]^¼,  Nμ = μl/[ρl·σ·(σ/(g·Δρ))^½]^½
//! ```
//!
//! | symbol | name                              | unit |
//! |--------|-----------------------------------|------|
//! | j      | volume flow of steam per surface  | m/s  |
//! | a      | share of steam by volume          | 1    |
//! | vgj    | drift velocity                    | m/s  |
//!
//! **Source:** Zuber & Findlay, J. Heat Transfer 87 (1965) 453-468 (slow, churn flow); Ishii, ANL-77-47 (1977) (C0); Kataoka &
//! Ishii, Int. J. Heat Mass Transfer 30 (1987) 1927-1939 (fast: wide pool, thin liquid; its constants are values from memory,
//! not confirmed). **Departures:** the truth in a boiler lies between or beside both: the range is carried, never one of them.
//! **Checked by:** `practice_drift_of_a_shell_boiler`, `property_void_is_the_inverse_of_the_flux`.

use crate::water::{SaturatedWater, SaturationLine};

use super::error::DynamicsError;

/// Points of the table over ln p.
const POINTS: usize = 65;

/// Which rise velocity is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drift {
    /// Bubbles rise slowly: most steam under the surface, most swell.
    Slow,
    /// Bubbles rise fast: least steam under the surface.
    Fast,
    /// Between both: 0 is slow, 1 is fast.
    Between(f64),
}

impl Drift {
    fn share(self) -> Result<f64, DynamicsError> {
        let share = match self {
            Drift::Slow => 0.0,
            Drift::Fast => 1.0,
            Drift::Between(share) => share,
        };
        if (0.0..=1.0).contains(&share) {
            return Ok(share);
        }
        Err(DynamicsError::Parameter {
            what: "place between slow and fast drift",
            value: share,
            unit: "",
            limit: "0 to 1",
        })
    }
}

/// Drift velocities at a state, slow and fast, m/s.
pub fn drift_velocities_m_s(state: &SaturatedWater, gravity_m_s2: f64) -> (f64, f64) {
    let (liquid, vapour) = (state.liquid_density_kg_m3, state.vapour_density_kg_m3);
    let (tension, lift) = (state.surface_tension_n_m, gravity_m_s2 * (liquid - vapour));
    let scale = (tension * lift / liquid.powi(2)).powf(0.25);
    let viscosity_number =
        state.liquid_viscosity_pa_s / (liquid * tension * (tension / lift).sqrt()).sqrt();
    let fast = 0.030 * (vapour / liquid).powf(-0.157) * viscosity_number.powf(-0.562) * scale;
    let slow = 1.53 * scale;
    // At very low pressure the correlations cross: fast is never the slower one.
    (slow, fast.max(slow))
}

/// Drift at a pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rise {
    /// Drift velocity vgj, m/s.
    pub velocity_m_s: f64,
    /// Distribution parameter C0.
    pub distribution: f64,
}

impl Rise {
    /// Share of steam at a volume flow of steam per surface, m/s.
    pub fn void_ratio(&self, flux_m_s: f64) -> f64 {
        flux_m_s / (self.velocity_m_s + self.distribution * flux_m_s)
    }

    /// Volume flow of steam per surface at a share of steam, m/s; the share is held below 0.98 of the greatest, 1/C0.
    pub fn flux_m_s(&self, void_ratio: f64) -> f64 {
        let room = (1.0 - self.distribution * void_ratio).max(0.02);
        void_ratio.max(0.0) * self.velocity_m_s / room
    }

    /// How fast the flux grows with the share of steam, m/s.
    pub fn slope_m_s(&self, void_ratio: f64) -> f64 {
        self.velocity_m_s / (1.0 - self.distribution * void_ratio).max(0.02).powi(2)
    }
}

/// Drift velocity over a saturation line, linear in ln p between points: nearer than 1e-3, far within the range itself.
#[derive(Debug, Clone)]
pub struct DriftTable {
    log_low: f64,
    width: f64,
    /// Slow and fast.
    velocities_m_s: Vec<(f64, f64)>,
    /// Place between them: 0 slow, 1 fast.
    place_ratio: f64,
    /// Share of this speed that bubbles have in foaming water, above 0 to 1; 1: clean.
    pub(super) clean_share: f64,
}

impl DriftTable {
    /// Tabulates a drift over a line.
    ///
    /// # Errors
    /// [`DynamicsError::Parameter`] for a place outside 0 to 1; [`DynamicsError::Water`] for the line's ends.
    pub fn new(
        drift: Drift,
        line: &SaturationLine,
        gravity_m_s2: f64,
    ) -> Result<Self, DynamicsError> {
        let share = drift.share()?;
        let (low_pa, high_pa) = line.pressures_pa();
        let log_low = low_pa.ln();
        let width = (high_pa.ln() - log_low) / (POINTS - 1) as f64;
        let velocities_m_s = (0..POINTS)
            .map(|k| {
                let pressure_pa = (log_low + width * k as f64).exp().clamp(low_pa, high_pa);
                let state = SaturatedWater::at_pressure_pa(pressure_pa)?;
                Ok(drift_velocities_m_s(&state, gravity_m_s2))
            })
            .collect::<Result<_, DynamicsError>>()?;
        Ok(Self {
            log_low,
            width,
            velocities_m_s,
            place_ratio: share,
            clean_share: 1.0,
        })
    }

    /// Takes another drift on the same line.
    ///
    /// # Errors
    /// [`DynamicsError::Parameter`] for a place outside 0 to 1.
    pub fn set(&mut self, drift: Drift) -> Result<(), DynamicsError> {
        self.place_ratio = drift.share()?;
        Ok(())
    }

    /// Drift at a pressure of the line, Pa, with the densities there, kg/m3.
    pub fn rise(&self, pressure_pa: f64, liquid_kg_m3: f64, vapour_kg_m3: f64) -> Rise {
        let place =
            ((pressure_pa.ln() - self.log_low) / self.width).clamp(0.0, (POINTS - 1) as f64);
        let index = (place as usize).min(POINTS - 2);
        let between = |(slow, fast): (f64, f64)| slow + self.place_ratio * (fast - slow);
        let low = between(self.velocities_m_s[index]);
        let high = between(self.velocities_m_s[index + 1]);
        Rise {
            velocity_m_s: self.clean_share * (low + (place - index as f64) * (high - low)),
            distribution: 1.2 - 0.2 * (vapour_kg_m3 / liquid_kg_m3).sqrt(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// At 125 psi(g): about 0.22 m/s and 0.69 m/s (values worked by hand from both correlations; not from the papers).
    #[test]
    fn practice_drift_of_a_shell_boiler() {
        let state = SaturatedWater::at_pressure_pa(963_170.0).unwrap();
        let (slow, fast) = drift_velocities_m_s(&state, 9.806_65);
        assert!((slow - 0.2247).abs() < 1e-3, "{slow}");
        assert!((fast - 0.693).abs() < 5e-3, "{fast}");
    }

    #[test]
    fn property_void_is_the_inverse_of_the_flux() {
        let line = SaturationLine::between(1e5, 2e6).unwrap();
        for (drift, expected) in [
            (Drift::Slow, 0.2247),
            (Drift::Between(0.5), 0.459),
            (Drift::Fast, 0.693),
        ] {
            let rise = DriftTable::new(drift, &line, 9.806_65)
                .unwrap()
                .rise(963_170.0, 888.86, 4.9645);
            assert!((rise.velocity_m_s - expected).abs() < 5e-3, "{rise:?}");
            for flux in [0.0, 0.01, 0.1, 0.5] {
                let void = rise.void_ratio(flux);
                assert!((rise.flux_m_s(void) - flux).abs() < 1e-12);
                let slope = (rise.flux_m_s(void + 1e-6) - rise.flux_m_s((void - 1e-6).max(0.0)))
                    / (void + 1e-6 - (void - 1e-6).max(0.0));
                assert!((slope / rise.slope_m_s(void) - 1.0).abs() < 1e-5);
            }
        }
        assert!(DriftTable::new(Drift::Between(f64::NAN), &line, 9.8).is_err());
        assert!(DriftTable::new(Drift::Between(1.1), &line, 9.8).is_err());
    }
}
