//! What can be wrong with a question about water, steam or air.

use thiserror::Error;

/// A property was asked for outside the range of its formulation. NaN is always outside.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum WaterError {
    /// The pressure is outside the range of the property asked for.
    #[error(
        "{property}: absolute pressure {value_pa} Pa is outside {minimum_pa} Pa to {maximum_pa} Pa"
    )]
    PressureOutOfRange {
        /// The property asked for, in words.
        property: &'static str,
        /// The absolute pressure given, Pa.
        value_pa: f64,
        /// Lowest absolute pressure accepted, Pa.
        minimum_pa: f64,
        /// Highest absolute pressure accepted, Pa.
        maximum_pa: f64,
    },
    /// The temperature is outside the range of the property asked for.
    #[error("{property}: temperature {value_k} K is outside {minimum_k} K to {maximum_k} K")]
    TemperatureOutOfRange {
        /// The property asked for, in words.
        property: &'static str,
        /// The temperature given, K.
        value_k: f64,
        /// Lowest temperature accepted, K.
        minimum_k: f64,
        /// Highest temperature accepted, K.
        maximum_k: f64,
    },
    /// The density is outside the range of the property asked for.
    #[error(
        "{property}: density {value_kg_m3} kg/m3 is outside {minimum_kg_m3} kg/m3 to {maximum_kg_m3} kg/m3"
    )]
    DensityOutOfRange {
        /// The property asked for, in words.
        property: &'static str,
        /// The density given, kg/m3.
        value_kg_m3: f64,
        /// Lowest density accepted, kg/m3.
        minimum_kg_m3: f64,
        /// Highest density accepted, kg/m3.
        maximum_kg_m3: f64,
    },
    /// Water at this pressure boils below the temperature given: there is no liquid.
    #[error(
        "{property}: {temperature_k} K is above the saturation temperature {saturation_temperature_k} K at {pressure_pa} Pa absolute: the water would boil"
    )]
    AboveSaturation {
        /// The property asked for, in words.
        property: &'static str,
        /// The temperature given, K.
        temperature_k: f64,
        /// The absolute pressure given, Pa.
        pressure_pa: f64,
        /// Saturation temperature at that pressure, K: the limit.
        saturation_temperature_k: f64,
    },
    /// The water library refused a state that passed our own range checks.
    #[error("{property}: the water library answered with its error code {code}")]
    Refused {
        /// The property asked for, in words.
        property: &'static str,
        /// The library's own error code (a negative number without a unit), or NaN.
        code: f64,
    },
}

/// `Ok` when `value_pa` lies within the limits; NaN does not.
pub(super) fn check_pressure(
    property: &'static str,
    value_pa: f64,
    minimum_pa: f64,
    maximum_pa: f64,
) -> Result<(), WaterError> {
    if !(minimum_pa..=maximum_pa).contains(&value_pa) {
        return Err(WaterError::PressureOutOfRange {
            property,
            value_pa,
            minimum_pa,
            maximum_pa,
        });
    }
    Ok(())
}

/// `Ok` when `value_k` lies within the limits; NaN does not.
pub(super) fn check_temperature(
    property: &'static str,
    value_k: f64,
    minimum_k: f64,
    maximum_k: f64,
) -> Result<(), WaterError> {
    if !(minimum_k..=maximum_k).contains(&value_k) {
        return Err(WaterError::TemperatureOutOfRange {
            property,
            value_k,
            minimum_k,
            maximum_k,
        });
    }
    Ok(())
}
