//! Fill fluids of sealed legs and glycol legs: density against temperature.
//!
//! The maker's table is the one to use. The generic set stands in for it while a survey lacks it:
//! its values are from memory and not confirmed, good to about 1 %, and say so through
//! [`FillFluid::is_confirmed`].

use std::borrow::Cow;

use thiserror::Error;

/// Lowest and highest temperature accepted in a table, K.
const TEMPERATURE_LIMITS_K: (f64, f64) = (173.15, 673.15);
/// Lowest and highest density accepted in a table, kg/m3: wide enough for every fill fluid used,
/// tight enough to catch g/cm3 and lb/ft3.
const DENSITY_LIMITS_KG_M3: (f64, f64) = (300.0, 3000.0);

/// One row of a density table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DensityPoint {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Density at that temperature, kg/m3.
    pub density_kg_m3: f64,
}

/// What can be wrong with a density table or a question to it. NaN is always wrong.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FillFluidError {
    /// A table needs at least two rows.
    #[error("fill fluid '{name}': {count} rows in the density table, at least 2 are needed")]
    TooFewRows {
        /// Name of the fluid.
        name: String,
        /// Rows given.
        count: usize,
    },
    /// A row's temperature is outside the sensible range.
    #[error(
        "fill fluid '{name}': temperature {value_k} K in row {row} is outside {minimum_k} K to {maximum_k} K"
    )]
    RowTemperature {
        /// Name of the fluid.
        name: String,
        /// Row, counted from 1.
        row: usize,
        /// Temperature given, K.
        value_k: f64,
        /// Lowest temperature accepted, K.
        minimum_k: f64,
        /// Highest temperature accepted, K.
        maximum_k: f64,
    },
    /// A row's density is outside the sensible range.
    #[error(
        "fill fluid '{name}': density {value_kg_m3} kg/m3 in row {row} is outside {minimum_kg_m3} kg/m3 to {maximum_kg_m3} kg/m3"
    )]
    RowDensity {
        /// Name of the fluid.
        name: String,
        /// Row, counted from 1.
        row: usize,
        /// Density given, kg/m3.
        value_kg_m3: f64,
        /// Lowest density accepted, kg/m3.
        minimum_kg_m3: f64,
        /// Highest density accepted, kg/m3.
        maximum_kg_m3: f64,
    },
    /// Temperatures must rise from row to row.
    #[error(
        "fill fluid '{name}': temperature {value_k} K in row {row} does not exceed {previous_k} K in the row before"
    )]
    NotAscending {
        /// Name of the fluid.
        name: String,
        /// Row, counted from 1.
        row: usize,
        /// Temperature given, K.
        value_k: f64,
        /// Temperature of the row before, K: the limit.
        previous_k: f64,
    },
    /// The density was asked for outside the table.
    #[error(
        "fill fluid '{name}': temperature {value_k} K is outside its density table, {minimum_k} K to {maximum_k} K"
    )]
    OutsideTable {
        /// Name of the fluid.
        name: String,
        /// Temperature asked for, K.
        value_k: f64,
        /// First temperature of the table, K.
        minimum_k: f64,
        /// Last temperature of the table, K.
        maximum_k: f64,
    },
}

/// A fill fluid: its name and its density against temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct FillFluid {
    name: Cow<'static, str>,
    rows: Cow<'static, [DensityPoint]>,
    confirmed: bool,
}

impl FillFluid {
    /// A fluid from the user's own table (the maker's data sheet), checked.
    ///
    /// # Errors
    /// [`FillFluidError`] for fewer than two rows, temperatures that do not rise, or values
    /// outside 173.15 K to 673.15 K and 300 kg/m3 to 3000 kg/m3.
    pub fn from_table(
        name: impl Into<String>,
        rows: Vec<DensityPoint>,
    ) -> Result<Self, FillFluidError> {
        let name = name.into();
        check_table(&name, &rows)?;
        Ok(Self {
            name: Cow::Owned(name),
            rows: Cow::Owned(rows),
            confirmed: true,
        })
    }

    /// The generic set: [`silicone_oil_50_cst`](Self::silicone_oil_50_cst) and its companions.
    #[must_use]
    pub fn generic_set() -> [Self; 4] {
        [
            Self::silicone_oil_50_cst(),
            Self::glycerine_and_water(),
            Self::propylene_glycol_and_water(),
            Self::vegetable_oil(),
        ]
    }

    /// Generic silicone oil, 50 cSt at 25 degC, −40 to 150 degC (values from memory, not
    /// confirmed: 960 kg/m3 at 25 degC, expansion 1.04e-3 per K).
    #[must_use]
    pub const fn silicone_oil_50_cst() -> Self {
        const ROWS: &[DensityPoint] = &[
            row(-40.0, 1030.0),
            row(0.0, 986.0),
            row(25.0, 960.0),
            row(50.0, 936.0),
            row(100.0, 891.0),
            row(150.0, 849.0),
        ];
        Self::generic("generic silicone oil, 50 cSt", ROWS)
    }

    /// Glycerine and water, equal volumes, −20 to 80 degC (values from memory, not confirmed).
    #[must_use]
    pub const fn glycerine_and_water() -> Self {
        const ROWS: &[DensityPoint] = &[
            row(-20.0, 1161.0),
            row(0.0, 1152.0),
            row(20.0, 1142.0),
            row(40.0, 1131.0),
            row(60.0, 1119.0),
            row(80.0, 1107.0),
        ];
        Self::generic("glycerine and water 50:50 by volume", ROWS)
    }

    /// Propylene glycol and water, equal volumes, −20 to 100 degC (values from memory, not
    /// confirmed).
    #[must_use]
    pub const fn propylene_glycol_and_water() -> Self {
        const ROWS: &[DensityPoint] = &[
            row(-20.0, 1060.0),
            row(0.0, 1052.0),
            row(20.0, 1042.0),
            row(40.0, 1030.0),
            row(60.0, 1016.0),
            row(80.0, 1000.0),
            row(100.0, 983.0),
        ];
        Self::generic("propylene glycol and water 50:50", ROWS)
    }

    /// Vegetable oil, 0 to 150 degC (values from memory, not confirmed: 920 kg/m3 at 20 degC,
    /// falling by about 0.66 kg/m3 per K).
    #[must_use]
    pub const fn vegetable_oil() -> Self {
        const ROWS: &[DensityPoint] = &[
            row(0.0, 933.0),
            row(20.0, 920.0),
            row(50.0, 900.0),
            row(100.0, 867.0),
            row(150.0, 834.0),
        ];
        Self::generic("vegetable oil", ROWS)
    }

    const fn generic(name: &'static str, rows: &'static [DensityPoint]) -> Self {
        Self {
            name: Cow::Borrowed(name),
            rows: Cow::Borrowed(rows),
            confirmed: false,
        }
    }

    /// The fluid's name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The density table, temperatures rising.
    #[must_use]
    pub fn table(&self) -> &[DensityPoint] {
        &self.rows
    }

    /// True for a user's table; false for the generic set, whose values nobody has confirmed.
    #[must_use]
    pub fn is_confirmed(&self) -> bool {
        self.confirmed
    }

    /// Lowest and highest temperature of the table, K.
    #[must_use]
    pub fn temperature_range_k(&self) -> (f64, f64) {
        match &*self.rows {
            [first, .., last] => (first.temperature_k, last.temperature_k),
            // Unreachable: every constructor has at least two rows. NaN refuses every question.
            _ => (f64::NAN, f64::NAN),
        }
    }

    /// Density at a temperature, linear between the rows of the table.
    ///
    /// # Errors
    /// [`FillFluidError::OutsideTable`] beyond either end of the table, or for NaN: it is never
    /// extrapolated.
    pub fn density_kg_m3(&self, temperature_k: f64) -> Result<f64, FillFluidError> {
        let (minimum_k, maximum_k) = self.temperature_range_k();
        for pair in self.rows.windows(2) {
            let [low, high] = pair else { continue };
            if (low.temperature_k..=high.temperature_k).contains(&temperature_k) {
                let share =
                    (temperature_k - low.temperature_k) / (high.temperature_k - low.temperature_k);
                return Ok(low.density_kg_m3 + share * (high.density_kg_m3 - low.density_kg_m3));
            }
        }
        Err(FillFluidError::OutsideTable {
            name: self.name.clone().into_owned(),
            value_k: temperature_k,
            minimum_k,
            maximum_k,
        })
    }

    /// Mean density of a column whose temperature runs linearly from top to bottom: exact for the
    /// table's straight lines.
    ///
    /// # Errors
    /// [`FillFluidError::OutsideTable`] when either end lies beyond the table, or for NaN.
    pub fn mean_density_kg_m3(&self, t_top_k: f64, t_bottom_k: f64) -> Result<f64, FillFluidError> {
        let at_top = self.density_kg_m3(t_top_k)?;
        let at_bottom = self.density_kg_m3(t_bottom_k)?;
        let (low_k, high_k) = (t_top_k.min(t_bottom_k), t_top_k.max(t_bottom_k));
        let width_k = high_k - low_k;
        // Below a millikelvin the ends' mean is exact to rounding, and the division is not.
        if width_k < 1e-3 {
            return Ok(0.5 * (at_top + at_bottom));
        }
        let mut area = 0.0;
        let mut from = (low_k, self.density_kg_m3(low_k)?);
        for point in self
            .rows
            .iter()
            .filter(|r| r.temperature_k > low_k && r.temperature_k < high_k)
        {
            area += 0.5 * (point.temperature_k - from.0) * (point.density_kg_m3 + from.1);
            from = (point.temperature_k, point.density_kg_m3);
        }
        area += 0.5 * (high_k - from.0) * (self.density_kg_m3(high_k)? + from.1);
        Ok(area / width_k)
    }
}

const fn row(temperature_c: f64, density_kg_m3: f64) -> DensityPoint {
    DensityPoint {
        temperature_k: temperature_c + 273.15,
        density_kg_m3,
    }
}

fn check_table(name: &str, rows: &[DensityPoint]) -> Result<(), FillFluidError> {
    if rows.len() < 2 {
        return Err(FillFluidError::TooFewRows {
            name: name.to_owned(),
            count: rows.len(),
        });
    }
    let (minimum_k, maximum_k) = TEMPERATURE_LIMITS_K;
    let (minimum_kg_m3, maximum_kg_m3) = DENSITY_LIMITS_KG_M3;
    let mut previous_k = f64::NEG_INFINITY;
    for (index, point) in rows.iter().enumerate() {
        let (name, row) = (name.to_owned(), index + 1);
        let (value_k, value_kg_m3) = (point.temperature_k, point.density_kg_m3);
        if !(minimum_k..=maximum_k).contains(&value_k) {
            return Err(FillFluidError::RowTemperature {
                name,
                row,
                value_k,
                minimum_k,
                maximum_k,
            });
        }
        if !(minimum_kg_m3..=maximum_kg_m3).contains(&value_kg_m3) {
            return Err(FillFluidError::RowDensity {
                name,
                row,
                value_kg_m3,
                minimum_kg_m3,
                maximum_kg_m3,
            });
        }
        if value_k <= previous_k {
            return Err(FillFluidError::NotAscending {
                name,
                row,
                value_k,
                previous_k,
            });
        }
        previous_k = value_k;
    }
    Ok(())
}

#[cfg(test)]
#[path = "fill_fluid_tests.rs"]
mod tests;
