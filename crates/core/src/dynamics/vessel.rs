//! What a vessel model takes from its surroundings and what can be seen of it.

use crate::quantity::TrueLevel;

use super::error::DynamicsError;

/// What acts on a vessel during a step; all of it is held within the step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boundary {
    /// Feedwater into the vessel, kg/s.
    pub feed_kg_s: f64,
    /// Its specific enthalpy, J/kg.
    pub feed_enthalpy_j_kg: f64,
    /// Steam out of it, kg/s; into it where negative (pegging steam of a deaerator has an enthalpy of its own).
    pub steam_kg_s: f64,
    /// Water drawn from it at its own state, kg/s: blowdown, or the boiler feed pumps of a tank.
    pub drawn_kg_s: f64,
    /// Heat into water, steam and metal, W; losses to the air already taken off.
    pub heat_w: f64,
    /// Steam blown into the water, kg/s, and its specific enthalpy, J/kg: heating of a deaerator or tank.
    pub blown_steam_kg_s: f64,
    /// Specific enthalpy of the blown steam, J/kg.
    pub blown_steam_enthalpy_j_kg: f64,
}

/// What can be seen of a vessel at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VesselView {
    /// Pressure over the water, absolute, Pa.
    pub pressure_pa: f64,
    /// Temperature of the water, K.
    pub water_temperature_k: f64,
    /// Does it boil: is it at saturation under its own steam.
    pub is_boiling: bool,
    /// TRUE level: the height of still water at the vessel's density that weighs what stands above the lower tap, m above it.
    /// This is what cell and glass answer to. Below zero: the lower tap is bare.
    pub true_level: TrueLevel,
    /// Surface of the mixture of water and bubbles, m above the lower tap: what covers the heated surface.
    pub mixture_surface_m: f64,
    /// Share of steam by volume in the mixture above the lower tap, 0 to 1.
    pub void_ratio: f64,
    /// Density of the water, kg/m3.
    pub water_density_kg_m3: f64,
    /// Density over the water, kg/m3.
    pub vapour_density_kg_m3: f64,
    /// Specific enthalpy of the steam that leaves, J/kg.
    pub steam_enthalpy_j_kg: f64,
    /// Water and steam in the vessel, kg.
    pub mass_kg: f64,
    /// Energy of water, steam and metal against water at the triple point and metal at 273.16 K, J.
    pub energy_j: f64,
    /// Water that leaves over the overflow, kg/s.
    pub overflow_kg_s: f64,
}

/// A vessel stepped through time.
pub trait VesselModel {
    /// Goes on for a time; the state is unchanged where it fails.
    ///
    /// # Errors
    /// [`DynamicsError`] where the model ends.
    fn advance(&mut self, boundary: &Boundary, duration_s: f64) -> Result<(), DynamicsError>;

    /// What can be seen now.
    ///
    /// # Errors
    /// [`DynamicsError`] where the state is beyond the model.
    fn view(&self) -> Result<VesselView, DynamicsError>;

    /// Bubbles rise at this share of the speed they rise at in clean water: foam, or carry-over of oil or solids. 1 is clean.
    ///
    /// # Errors
    /// [`DynamicsError::Parameter`] for a share that is not above 0 or is above 1, and for a vessel whose model has no bubbles.
    fn slow_bubbles(&mut self, share_ratio: f64) -> Result<(), DynamicsError>;
}

impl<V: VesselModel + ?Sized> VesselModel for Box<V> {
    fn advance(&mut self, boundary: &Boundary, duration_s: f64) -> Result<(), DynamicsError> {
        (**self).advance(boundary, duration_s)
    }

    fn view(&self) -> Result<VesselView, DynamicsError> {
        (**self).view()
    }

    fn slow_bubbles(&mut self, share_ratio: f64) -> Result<(), DynamicsError> {
        (**self).slow_bubbles(share_ratio)
    }
}

impl<V: VesselModel + ?Sized> VesselModel for &mut V {
    fn advance(&mut self, boundary: &Boundary, duration_s: f64) -> Result<(), DynamicsError> {
        (**self).advance(boundary, duration_s)
    }

    fn view(&self) -> Result<VesselView, DynamicsError> {
        (**self).view()
    }

    fn slow_bubbles(&mut self, share_ratio: f64) -> Result<(), DynamicsError> {
        (**self).slow_bubbles(share_ratio)
    }
}

/// Share of the clean speed of bubbles, where it can be one.
///
/// # Errors
/// [`DynamicsError::Parameter`].
pub(super) fn bubble_share(share_ratio: f64) -> Result<f64, DynamicsError> {
    if share_ratio > 0.0 && share_ratio <= 1.0 {
        return Ok(share_ratio);
    }
    Err(DynamicsError::Parameter {
        what: "share of the bubbles' clean speed",
        value: share_ratio,
        unit: "(ratio)",
        limit: "above 0 and not above 1",
    })
}
