//! Water of one temperature, open to the air: a vented tank, or a closed vessel that is cold and vented.
//!
//! ```text
//! dM/dt = wf + wb − wd − wo
//! dH/dt = Q + wf·hf + wb·hb − (wd + wo)·h(T),    H = M·h(T) + C·(T − 273.16 K)
//! wo    = wn·[(z − zo)/0.05 m]^1.5               over the lip, nothing under it
//! ```
//!
//! | symbol | name                                              | unit |
//! |--------|---------------------------------------------------|------|
//! | M, H   | mass of the water; enthalpy of water and metal    | kg, J |
//! | w, h   | flow, enthalpy: f feed, b blown steam, d drawn, o overflow | kg/s, J/kg |
//! | C      | heat capacity of the metal                        | J/K  |
//! | z, zo  | level, lip of the overflow, above the lower tap   | m    |
//! | wn     | the full valve's flow                             | kg/s |
//!
//! **Source:** balances at the pressure of the air; a weir's power of 1.5 (any text of hydraulics), sized so that the overflow carries
//! the full valve's flow 50 mm over its lip (assumed, and said so). **Departures:** stirred; nothing evaporates; density and
//! enthalpy straight between points half a kelvin apart (3e-7 and 0.05 J/kg).
//! **Checked by:** `tank_tests.rs`.

use std::sync::Arc;

use super::drum::DrumParameters;
use super::error::DynamicsError;
use super::height_table::HeightTable;
use super::integrate;
use super::saturated::check;
use super::vessel::Boundary;
use crate::water::{
    compressed_water_density_kg_m3, compressed_water_enthalpy_j_kg, saturation_temperature_k,
};

/// Where enthalpies and the metal's heat are nothing, K.
const ZERO_K: f64 = 273.16;
/// Points of the table are this far apart, K.
const STEP_K: f64 = 0.5;
/// Water over the lip at which an overflow carries the full valve's flow, m.
const OVER_LIP_M: f64 = 0.05;
/// Fastest motion, s: that of a level over its overflow.
const FASTEST_S: f64 = 10.0;

/// An overflow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overflow {
    /// Lip, m above the lower tap.
    pub lip_m: f64,
    /// Flow 50 mm over it, kg/s.
    pub full_kg_s: f64,
}

impl Overflow {
    /// Flow at a level, m above the lower tap, kg/s.
    pub fn flow_kg_s(&self, level_m: f64) -> f64 {
        let over = (level_m - self.lip_m) / OVER_LIP_M;
        if over > 0.0 {
            self.full_kg_s * over * over.sqrt()
        } else {
            0.0
        }
    }
}

/// How a volume of water makes a level.
#[derive(Debug, Clone)]
pub(super) enum Room {
    /// A vessel.
    Vessel(Arc<HeightTable>),
    /// A drum with its circuit full.
    Drum(DrumParameters),
}

impl Room {
    /// Level, m above the lower tap, of a volume, m3.
    fn level_m(&self, volume_m3: f64) -> Result<f64, DynamicsError> {
        match self {
            Room::Vessel(heights) => heights.height_m(volume_m3),
            Room::Drum(drum) => {
                let in_drum_m3 = volume_m3 - drum.riser_volume_m3 - drum.downcomer_volume_m3;
                if !(in_drum_m3 > 0.0 && in_drum_m3 < drum.drum_volume_m3) {
                    return Err(DynamicsError::Left {
                        why: format!(
                            "{in_drum_m3:.3} m3 in a drum of {:.3} m3",
                            drum.drum_volume_m3
                        ),
                    });
                }
                Ok((in_drum_m3 - drum.volume_below_tap_m3()) / drum.drum_area_m2)
            }
        }
    }

    /// Volume, m3, that makes a level, m above the lower tap.
    fn volume_m3(&self, level_m: f64) -> f64 {
        match self {
            Room::Vessel(heights) => heights.volume_m3(level_m),
            Room::Drum(drum) => {
                drum.drum_area_m2 * level_m
                    + drum.volume_below_tap_m3()
                    + drum.riser_volume_m3
                    + drum.downcomer_volume_m3
            }
        }
    }
}

/// What can be seen of the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Still {
    pub temperature_k: f64,
    pub density_kg_m3: f64,
    pub enthalpy_j_kg: f64,
    pub level_m: f64,
    pub overflow_kg_s: f64,
}

/// Open water in a room.
#[derive(Debug, Clone)]
pub(super) struct OpenWater {
    room: Room,
    overflow: Option<Overflow>,
    metal_capacity_j_k: f64,
    pub pressure_pa: f64,
    /// Density and enthalpy from `ZERO_K` on.
    table: Arc<Vec<(f64, f64)>>,
    /// M, kg; H, J.
    pub state: [f64; 2],
}

impl OpenWater {
    /// At a temperature, K, and a level, m above the lower tap, under the air's pressure, Pa.
    ///
    /// # Errors
    /// [`DynamicsError`] for a temperature at which water freezes or boils there.
    pub(super) fn at(
        room: Room,
        overflow: Option<Overflow>,
        metal_capacity_j_k: f64,
        pressure_pa: f64,
        (temperature_k, level_m): (f64, f64),
    ) -> Result<Self, DynamicsError> {
        let boils_k = saturation_temperature_k(pressure_pa)?;
        let count = ((boils_k - ZERO_K) / STEP_K).floor() as usize;
        let table = (0..=count)
            .map(|k| {
                let at_k = ZERO_K + STEP_K * k as f64;
                Ok((
                    compressed_water_density_kg_m3(at_k, pressure_pa)?,
                    compressed_water_enthalpy_j_kg(at_k, pressure_pa)?,
                ))
            })
            .collect::<Result<Vec<_>, DynamicsError>>()?;
        let most_k = ZERO_K + STEP_K * (table.len() - 1) as f64;
        if !(ZERO_K..=most_k).contains(&temperature_k) {
            return Err(DynamicsError::Parameter {
                what: "temperature of open water",
                value: temperature_k,
                unit: "K",
                limit: "above freezing and below boiling",
            });
        }
        let mut water = Self {
            room,
            overflow,
            metal_capacity_j_k,
            pressure_pa,
            table: Arc::new(table),
            state: [0.0, 0.0],
        };
        let (density, enthalpy) = water.properties(temperature_k);
        let mass_kg = density * water.room.volume_m3(level_m);
        water.state = [
            mass_kg,
            mass_kg * enthalpy + metal_capacity_j_k * (temperature_k - ZERO_K),
        ];
        water.still(&water.state)?;
        Ok(water)
    }

    fn properties(&self, temperature_k: f64) -> (f64, f64) {
        let place = (temperature_k - ZERO_K) / STEP_K;
        let index = (place as usize).min(self.table.len() - 2);
        let (low, high) = (self.table[index], self.table[index + 1]);
        let part = place - index as f64;
        (
            low.0 + part * (high.0 - low.0),
            low.1 + part * (high.1 - low.1),
        )
    }

    /// Is there more heat in it than it can hold without boiling.
    pub(super) fn boils(&self) -> bool {
        let last = self.table.len() - 1;
        self.state[1] >= self.heat_at_j(self.state[0], last)
    }

    /// Enthalpy of water and metal at a point of the table, J.
    fn heat_at_j(&self, mass_kg: f64, index: usize) -> f64 {
        mass_kg * self.table[index].1 + self.metal_capacity_j_k * STEP_K * index as f64
    }

    /// What a state looks like; water at its boiling point stays there.
    pub(super) fn still(&self, [mass_kg, heat_j]: &[f64; 2]) -> Result<Still, DynamicsError> {
        let left = |why: &str| DynamicsError::Left { why: why.into() };
        if !(*mass_kg > 0.0) {
            return Err(left("the vessel has run dry"));
        }
        if !(*heat_j >= 0.0) {
            return Err(left("the water freezes"));
        }
        let (mut low, mut high) = (0, self.table.len() - 1);
        while high - low > 1 {
            let middle = usize::midpoint(low, high);
            if self.heat_at_j(*mass_kg, middle) <= *heat_j {
                low = middle;
            } else {
                high = middle;
            }
        }
        let (from, to) = (
            self.heat_at_j(*mass_kg, low),
            self.heat_at_j(*mass_kg, high),
        );
        let part = ((heat_j - from) / (to - from)).min(1.0);
        let temperature_k = ZERO_K + STEP_K * (low as f64 + part);
        let (density_kg_m3, enthalpy_j_kg) = self.properties(temperature_k);
        let level_m = self.room.level_m(mass_kg / density_kg_m3)?;
        Ok(Still {
            temperature_k,
            density_kg_m3,
            enthalpy_j_kg,
            level_m,
            overflow_kg_s: self
                .overflow
                .map_or(0.0, |overflow| overflow.flow_kg_s(level_m)),
        })
    }

    /// Goes on for a time; unchanged where it fails.
    pub(super) fn advance(
        &mut self,
        boundary: &Boundary,
        duration_s: f64,
        finer: u32,
    ) -> Result<(), DynamicsError> {
        check(boundary)?;
        let steps = finer * integrate::steps_for(duration_s, FASTEST_S);
        let after = integrate::advance(&self.state, duration_s, steps, &mut |state| {
            let still = self.still(state)?;
            let leaves_kg_s = boundary.drawn_kg_s + still.overflow_kg_s;
            Ok::<_, DynamicsError>([
                boundary.feed_kg_s + boundary.blown_steam_kg_s - leaves_kg_s,
                boundary.heat_w
                    + boundary.feed_kg_s * boundary.feed_enthalpy_j_kg
                    + boundary.blown_steam_kg_s * boundary.blown_steam_enthalpy_j_kg
                    - leaves_kg_s * still.enthalpy_j_kg,
            ])
        })?;
        self.still(&after)?;
        self.state = after;
        Ok(())
    }
}
