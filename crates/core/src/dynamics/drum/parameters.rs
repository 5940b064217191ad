//! Sizes and state of the drum boiler.
//!
//! **Source:** Åström & Bell, Automatica 36 (2000) 363-378; the numbers of the 160 MW unit as public re-implementations of the paper
//! agree on them. Two masses of the drum's metal circulate (none, 100 t): 100 t is taken.

use super::balance::Void;
use crate::dynamics::error::{DynamicsError, positive};

/// Where the steam under the drum's surface stands, which decides what a cell weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrumSteam {
    /// All of it above the lower tap: risers blow in near the surface.
    AboveTap,
    /// Evenly through the drum's mixture: bubbles below the tap push water above it.
    Even,
}

/// Sizes of a drum boiler.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrumParameters {
    /// V_d: drum, m3.
    pub drum_volume_m3: f64,
    /// V_r: risers, m3.
    pub riser_volume_m3: f64,
    /// V_dc: downcomers, m3.
    pub downcomer_volume_m3: f64,
    /// A_d: free surface at the working level, m2.
    pub drum_area_m2: f64,
    /// A_dc: downcomers' area of flow, m2.
    pub downcomer_area_m2: f64,
    /// m_t: all metal at saturation, kg.
    pub total_metal_kg: f64,
    /// m_r: metal of the risers, kg.
    pub riser_metal_kg: f64,
    /// m_d: metal of the drum, kg.
    pub drum_metal_kg: f64,
    /// C_p: metal's specific heat capacity, J/(kg·K).
    pub metal_heat_capacity_j_kg_k: f64,
    /// k: friction of the circulation loop, 1.
    pub friction: f64,
    /// β: how far steam from the risers follows their outflow, 1.
    pub beta: f64,
    /// T_d: time that steam stays in the drum's water, s.
    pub steam_residence_s: f64,
    /// V_sd0: steam under the surface were no feedwater to condense any, m3.
    pub undisturbed_steam_m3: f64,
    /// Local gravity, m/s2.
    pub gravity_m_s2: f64,
    /// Drum's volume below its centre line, m3: half of it in a lying drum.
    pub volume_below_centre_m3: f64,
    /// Lower tap above the drum's centre line, m; below it: negative.
    pub lower_tap_above_centre_m: f64,
    /// Where the steam under the surface stands.
    pub steam: DrumSteam,
}

impl DrumParameters {
    /// The 160 MW unit of the paper. A_dc and V_sd0 are those that make its working point of 8.5 MPa steady; the paper's drum has
    /// no taps, so the lower one is put 0.3 m below the centre line.
    pub const fn published_160_mw() -> Self {
        Self {
            drum_volume_m3: 40.0,
            riser_volume_m3: 37.0,
            downcomer_volume_m3: 11.0,
            drum_area_m2: 20.0,
            downcomer_area_m2: 0.381_151_54,
            total_metal_kg: 300e3,
            riser_metal_kg: 160e3,
            drum_metal_kg: 100e3,
            metal_heat_capacity_j_kg_k: 550.0,
            friction: 25.0,
            beta: 0.3,
            steam_residence_s: 12.0,
            undisturbed_steam_m3: 7.662_651_28,
            gravity_m_s2: 9.81,
            volume_below_centre_m3: 20.0,
            lower_tap_above_centre_m: -0.3,
            steam: DrumSteam::AboveTap,
        }
    }

    /// V_t: drum, risers and downcomers, m3.
    pub fn total_volume_m3(&self) -> f64 {
        self.drum_volume_m3 + self.riser_volume_m3 + self.downcomer_volume_m3
    }

    /// V_wd: water in the drum, m3.
    pub fn drum_water_m3(&self, state: &DrumState, void: &Void) -> f64 {
        state.water_m3 - self.downcomer_volume_m3 - (1.0 - void.mean) * self.riser_volume_m3
    }

    /// Drum's volume below the lower tap, m3, at the drum's one area.
    pub fn volume_below_tap_m3(&self) -> f64 {
        self.volume_below_centre_m3 + self.drum_area_m2 * self.lower_tap_above_centre_m
    }

    /// TRUE level: water that weighs above the lower tap, m above it. With even steam below the tap: the mixture's surface.
    pub(super) fn true_level_m(&self, drum_water_m3: f64, drum_steam_m3: f64) -> f64 {
        let below_m3 = self.volume_below_tap_m3();
        let weighing_m3 = match self.steam {
            DrumSteam::AboveTap => drum_water_m3 - below_m3,
            DrumSteam::Even => {
                let mixture_m3 = drum_water_m3 + drum_steam_m3;
                let above_m3 = mixture_m3 - below_m3;
                if above_m3 > 0.0 {
                    above_m3 * drum_water_m3 / mixture_m3
                } else {
                    above_m3
                }
            }
        };
        weighing_m3 / self.drum_area_m2
    }

    /// Water in the drum that makes a TRUE level, m3: the inverse of `true_level_m`.
    pub(super) fn drum_water_for_m3(&self, true_level_m: f64, drum_steam_m3: f64) -> f64 {
        let weighing_m3 = self.drum_area_m2 * true_level_m;
        let below_m3 = self.volume_below_tap_m3();
        match self.steam {
            DrumSteam::AboveTap => weighing_m3 + below_m3,
            DrumSteam::Even if weighing_m3 > 0.0 => {
                // V² + (V_sd − below − weighing)·V − weighing·V_sd = 0
                let half = 0.5 * (drum_steam_m3 - below_m3 - weighing_m3);
                (half * half + weighing_m3 * drum_steam_m3).sqrt() - half
            }
            DrumSteam::Even => weighing_m3 + below_m3 - drum_steam_m3,
        }
    }

    /// Refuses sizes that no boiler has.
    ///
    /// # Errors
    /// [`DynamicsError::Parameter`], NaN too.
    pub fn check(&self) -> Result<(), DynamicsError> {
        for (what, value, unit) in [
            ("drum's volume", self.drum_volume_m3, "m3"),
            ("risers' volume", self.riser_volume_m3, "m3"),
            ("downcomers' volume", self.downcomer_volume_m3, "m3"),
            ("drum's free surface", self.drum_area_m2, "m2"),
            ("downcomers' area", self.downcomer_area_m2, "m2"),
            ("metal", self.total_metal_kg, "kg"),
            (
                "metal's heat capacity",
                self.metal_heat_capacity_j_kg_k,
                "J/(kg·K)",
            ),
            ("friction of the circulation", self.friction, "(ratio)"),
            (
                "time of steam in the drum's water",
                self.steam_residence_s,
                "s",
            ),
            (
                "undisturbed steam under the surface",
                self.undisturbed_steam_m3,
                "m3",
            ),
            ("gravity", self.gravity_m_s2, "m/s2"),
            (
                "drum's volume below the lower tap",
                self.volume_below_tap_m3(),
                "m3",
            ),
            (
                "drum's volume above the lower tap",
                self.drum_volume_m3 - self.volume_below_tap_m3(),
                "m3",
            ),
        ] {
            positive(what, value, unit)?;
        }
        for (what, value) in [
            ("metal of the risers", self.riser_metal_kg),
            ("metal of the drum", self.drum_metal_kg),
        ] {
            if !(0.0..=self.total_metal_kg).contains(&value) {
                return Err(DynamicsError::Parameter {
                    what,
                    value,
                    unit: "kg",
                    limit: "0 up to all metal",
                });
            }
        }
        if !(0.0..=1.0).contains(&self.beta) {
            return Err(DynamicsError::Parameter {
                what: "beta",
                value: self.beta,
                unit: "(ratio)",
                limit: "0 to 1",
            });
        }
        Ok(())
    }
}

/// State of a drum boiler.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrumState {
    /// V_wt: water in drum, risers and downcomers, m3.
    pub water_m3: f64,
    /// p: absolute, Pa.
    pub pressure_pa: f64,
    /// αr: mass fraction of steam at the risers' outlet, 0 to 1.
    pub quality: f64,
    /// V_sd: steam under the drum's surface, m3.
    pub drum_steam_m3: f64,
}

impl DrumState {
    pub(super) const fn to_array(self) -> [f64; 4] {
        [
            self.water_m3,
            self.pressure_pa,
            self.quality,
            self.drum_steam_m3,
        ]
    }

    pub(super) const fn from_array(
        [water_m3, pressure_pa, quality, drum_steam_m3]: [f64; 4],
    ) -> Self {
        Self {
            water_m3,
            pressure_pa,
            quality,
            drum_steam_m3,
        }
    }

    /// Steam that is used up does not become less.
    pub(super) const fn without_debt(self) -> Self {
        Self {
            quality: self.quality.max(0.0),
            drum_steam_m3: self.drum_steam_m3.max(0.0),
            ..self
        }
    }
}
