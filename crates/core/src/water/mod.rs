//! Water, steam, air and fill fluids: checked properties in SI.
//!
//! Water and steam follow IAPWS R7-97(2012), the industrial formulation 1997, through crate
//! `seuif97`. That crate reports errors as negative numbers; here every call states its range and
//! returns [`WaterError`] outside it, for NaN too. Viscosity follows IAPWS R12-08 and surface
//! tension IAPWS R1-76(2014).
//!
//! Which call for which water:
//!
//! - in the vessel, boiling: [`SaturatedWater`], or [`saturated_densities`] where only densities
//!   are wanted and speed matters, or [`SaturationLine`] where a simulation asks for all with slopes;
//! - in a leg, cooler than the vessel but at its pressure: [`compressed_water_density_kg_m3`], or
//!   [`SubcooledWater::mean_density_kg_m3`] for a leg warmer at one end;
//! - above the water of a vented tank: [`air_density_kg_m3`];
//! - in a sealed leg: [`FillFluid`].

mod air;
mod compressed;
mod error;
mod fill_fluid;
mod if97;
#[cfg(test)]
mod published_r7_97;
mod saturation;
mod saturation_line;
mod transport;

pub use air::air_density_kg_m3;
pub use compressed::{
    SubcooledWater, compressed_water_density_kg_m3, compressed_water_enthalpy_j_kg,
    compressed_water_sound_speed_m_s,
};
pub use error::WaterError;
pub use fill_fluid::{DensityPoint, FillFluid, FillFluidError};
pub use if97::CRITICAL_PRESSURE_PA;
pub use saturation::{
    SaturatedDensities, SaturatedWater, saturated_densities, saturation_pressure_pa,
    saturation_temperature_k,
};
pub use saturation_line::{Saturation, SaturationLine, SaturationValues};
pub use transport::{surface_tension_n_m, viscosity_from_density_pa_s, water_viscosity_pa_s};
