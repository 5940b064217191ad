//! The only place that calls crate `seuif97`: SI in, SI out, no sentinel gets past.
//!
//! The crate takes MPa and degC and answers errors with -1000 to -9999. Every property asked for
//! here is positive, except the enthalpy of liquid water just above its triple point, so an answer
//! that is not above its floor is an error code (or NaN).

use super::error::WaterError;

/// 0 degC in K, exact.
pub(super) const ZERO_CELSIUS_K: f64 = 273.15;
/// Lowest temperature of the industrial formulation, K (IAPWS R7-97, section 3).
pub(super) const MINIMUM_TEMPERATURE_K: f64 = 273.15;
/// Saturation pressure at 273.15 K, Pa (IAPWS R7-97, section 8): lowest on the saturation line.
/// The saturation pressure at 273.15 K by IF97 equation 30 (R7-97 prints it rounded, 611.213 Pa): water at 0 degC must compute.
pub(super) const MINIMUM_SATURATION_PRESSURE_PA: f64 = 611.212_677;
/// Upper temperature of region 1, K (IAPWS R7-97, section 3).
pub(super) const REGION_1_MAXIMUM_TEMPERATURE_K: f64 = 623.15;
/// Upper pressure of region 1, Pa (IAPWS R7-97, section 3).
pub(super) const REGION_1_MAXIMUM_PRESSURE_PA: f64 = 100.0e6;
/// Saturation pressure at 623.15 K, Pa: above it the saturated states lie in region 3.
pub(super) const REGION_3_MINIMUM_PRESSURE_PA: f64 = 16.529_164_252_604_5e6;
/// Critical temperature, K (IAPWS R7-97, section 2).
pub(super) const CRITICAL_TEMPERATURE_K: f64 = 647.096;
/// Critical pressure, Pa (IAPWS R7-97, section 2).
pub const CRITICAL_PRESSURE_PA: f64 = 22.064e6;
/// Critical density, kg/m3 (IAPWS R7-97, section 2).
pub(super) const CRITICAL_DENSITY_KG_M3: f64 = 322.0;

/// Regions of the formulation used here.
#[derive(Clone, Copy)]
pub(super) enum Region {
    /// Liquid, region 1.
    Liquid = 1,
    /// Vapour, region 2.
    Vapour = 2,
}

/// Either side of the saturation line, as the crate's steam quality.
#[derive(Clone, Copy)]
pub(super) enum Saturated {
    /// Boiling liquid.
    Liquid,
    /// Dry vapour.
    Vapour,
}

impl Saturated {
    fn quality(self) -> f64 {
        match self {
            Self::Liquid => 0.0,
            Self::Vapour => 1.0,
        }
    }
}

fn above(property: &'static str, floor: f64, answer: f64) -> Result<f64, WaterError> {
    if answer > floor {
        Ok(answer)
    } else {
        Err(WaterError::Refused {
            property,
            code: answer,
        })
    }
}

pub(super) fn saturation_temperature(
    property: &'static str,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    let celsius = seuif97::px(pressure_pa * 1e-6, 0.0, seuif97::OT);
    above(property, -1.0, celsius).map(|t| t + ZERO_CELSIUS_K)
}

pub(super) fn saturation_pressure(
    property: &'static str,
    temperature_k: f64,
) -> Result<f64, WaterError> {
    let mpa = seuif97::tx(temperature_k - ZERO_CELSIUS_K, 0.0, seuif97::OP);
    above(property, 0.0, mpa).map(|p| p * 1e6)
}

/// A property, in the crate's unit, in a region that the caller has made sure of.
fn in_region(
    property: &'static str,
    floor: f64,
    what: i32,
    region: Region,
    temperature_k: f64,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    let celsius = temperature_k - ZERO_CELSIUS_K;
    let answer = seuif97::pt(pressure_pa * 1e-6, celsius, (what, region as i32));
    above(property, floor, answer)
}

/// Density in a region that the caller has made sure of.
pub(super) fn density(
    property: &'static str,
    region: Region,
    temperature_k: f64,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    in_region(
        property,
        0.0,
        seuif97::OD,
        region,
        temperature_k,
        pressure_pa,
    )
}

/// Enthalpy in a region that the caller has made sure of; -0.04 kJ/kg at 273.15 K and 611 Pa.
pub(super) fn enthalpy(
    property: &'static str,
    region: Region,
    temperature_k: f64,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    in_region(
        property,
        -1.0,
        seuif97::OH,
        region,
        temperature_k,
        pressure_pa,
    )
    .map(|h| h * 1e3)
}

/// Speed of sound in a region that the caller has made sure of.
pub(super) fn sound_speed(
    property: &'static str,
    region: Region,
    temperature_k: f64,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    in_region(
        property,
        0.0,
        seuif97::OW,
        region,
        temperature_k,
        pressure_pa,
    )
}

/// Saturated density in region 3, above 623.15 K.
pub(super) fn region_3_saturated_density(
    property: &'static str,
    side: Saturated,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    above(
        property,
        0.0,
        seuif97::px(pressure_pa * 1e-6, side.quality(), seuif97::OD),
    )
}

/// Saturated enthalpy in region 3, above 623.15 K.
pub(super) fn region_3_saturated_enthalpy(
    property: &'static str,
    side: Saturated,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    let h = seuif97::px(pressure_pa * 1e-6, side.quality(), seuif97::OH);
    above(property, 0.0, h).map(|h| h * 1e3)
}
