//! The elevation as tables: what cell and glass make of any level, along the way from the cold vessel to the safety
//! valve, for every leg temperature, so that a page can draw straight lines between the entries.
//!
//! At one condition cell and glass are straight lines over the level; two ends of each line are enough. Conditions are
//! placed so densely that a straight line between neighbours is off by less than [`ALLOWED_PERCENT`] of the level span.

mod reading;

pub use reading::{ElevationReading, GlassReading, elevation_reading};

use super::condition::{self, LegLimits, described_leg_k, leg_limits, mean_ambient_k};
use super::error::MeasurementError;
use super::glass::GlassAt;
use super::sheets::{Condition, PanelEnds, Range};
use super::signal::panel_ends;
use crate::description::Loop;
use crate::quantity::TrueLevel;
use crate::water::{saturation_pressure_pa, saturation_temperature_k};

/// Largest departure of a straight line between two entries, percent of the level span: a tenth of what a panel shows.
pub const ALLOWED_PERCENT: f64 = 0.02;
/// Most conditions: enough for any vessel, few enough for a page.
const MOST_STEPS: usize = 240;
/// Steps to begin with.
const FIRST_STEPS: usize = 9;
/// Leg temperatures.
const LEGS: usize = 25;
/// Leg water warmer than the warmest surveyed is still of interest, by this much, K: where it begins to flash.
const WARMER_K: f64 = 40.0;
/// A leg's hot end is warmer than its mean by this, K, on any plant surveyed with care.
const HOT_END_K: f64 = 20.0;
/// Coldest leg, K: above freezing.
const COLDEST_K: f64 = 273.65;
/// Gap in water temperature where boiling begins, K: narrower than any control can be set.
const BREAK_K: f64 = 0.01;
/// A tank's water is followed up to this far below its boiling, K.
const BELOW_BOILING_K: f64 = 5.0;

/// What cell and glass make of the two ends of the level at one condition.
#[derive(Debug, Clone, PartialEq)]
pub struct ElevationStep {
    /// Vessel pressure and water temperature; the leg temperature is the surveyed one.
    pub condition: Condition,
    /// Saturation temperature at the pressure, K.
    pub saturation_k: f64,
    /// Leg temperatures at which something goes wrong in the legs.
    pub leg_limits: LegLimits,
    /// Indicated level at the lowest and at the highest level the cell weighs, percent of span, not clipped; one pair a
    /// leg temperature.
    pub indicated_percent: Vec<[f64; 2]>,
    /// Where the glass stands, visible or not, at the same two levels, m above the lower tap; `None` without a glass.
    pub glass_m: Option<[f64; 2]>,
}

/// The elevation as tables.
#[derive(Debug, Clone, PartialEq)]
pub struct ElevationTable {
    /// Conditions from cold to the safety valve's set pressure; a tank's from cold to hot water.
    pub steps: Vec<ElevationStep>,
    /// Leg temperatures, rising, K. One where no leg plays a part.
    pub legs_k: Vec<f64>,
    /// Lowest and highest level that the cell weighs, m above the lower tap: the two ends of every line.
    pub weighed_m: [f64; 2],
    /// What the panel says at the cell's saturation currents.
    pub panel_ends: PanelEnds,
    /// Lowest and highest visible level of the glass, m above the lower tap.
    pub visible_m: Option<[f64; 2]>,
    /// Vessel's end of the glass's lower connection, m above the lower tap: below it the glass is empty.
    pub glass_connection_m: Option<f64>,
    /// Largest departure found of a straight line between entries, percent of span.
    pub worst_departure_percent: f64,
}

/// A place on the way from cold to the safety valve: the water's temperature.
fn condition_at(described: &Loop, water_k: f64) -> Result<Condition, MeasurementError> {
    let pressures = &described.pressures;
    let start_pa = pressures.start_up.pa();
    let pressure =
        if described.vessel.kind.holds_steam() && water_k > saturation_temperature_k(start_pa)? {
            crate::quantity::AbsolutePressure::from_pa(saturation_pressure_pa(water_k)?)
        } else {
            pressures.start_up
        };
    Ok(Condition {
        name: String::new(),
        pressure,
        water_k,
        reference_leg_k: described_leg_k(described),
    })
}

/// The stretches of the way, each from one water temperature to another, K. A closed vessel's way is broken where its
/// water begins to boil: steam takes the air's place, and the legs begin to be warmed.
fn stretches_k(described: &Loop) -> Result<Vec<[f64; 2]>, MeasurementError> {
    let pressures = &described.pressures;
    let cold_k = pressures.start_up_water_k;
    let boiling_k = saturation_temperature_k(pressures.start_up.pa())?;
    if !described.vessel.kind.holds_steam() {
        let stored_k = described.vessel.water_temperature_k.unwrap_or(cold_k);
        let hottest_k = (boiling_k - BELOW_BOILING_K).max(stored_k);
        return Ok(vec![[cold_k.min(stored_k), hottest_k]]);
    }
    let highest_k = saturation_temperature_k(pressures.safety_valve.pa())?;
    let warming = [cold_k, boiling_k - BREAK_K];
    let rising = [boiling_k, highest_k];
    Ok([warming, rising]
        .into_iter()
        .filter(|[from_k, to_k]| from_k < to_k)
        .collect())
}

/// Leg temperatures from the coldest that the plant sees to well above the warmest surveyed, K; not above boiling on the
/// cold vessel unless surveyed so, because flashing bends the lines.
fn legs_k(described: &Loop) -> Result<Vec<f64>, MeasurementError> {
    let (lowest_k, highest_k) = described.leg_temperature_band_k;
    let surveyed_k = described_leg_k(described);
    let low_k = lowest_k
        .min(surveyed_k)
        .min(mean_ambient_k(described))
        .min(described.site.ambient_lowest_k)
        .max(COLDEST_K);
    let warmest_k = highest_k.max(surveyed_k);
    let boiling_k = saturation_temperature_k(described.pressures.start_up.pa())?;
    let high_k = warmest_k.max((warmest_k + WARMER_K).min(boiling_k - HOT_END_K));
    Ok((0..LEGS)
        .map(|index| low_k + (high_k - low_k) * index as f64 / (LEGS - 1) as f64)
        .collect())
}

/// What the controls of an elevation run over, K.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ElevationEnds {
    /// Water, from cold to the safety valve's set pressure; a tank's from cold to hot.
    pub water_k: [f64; 2],
    /// Legs, coldest and warmest.
    pub leg_k: [f64; 2],
}

/// What the controls run over: the ends of [`elevation_table`] without its entries.
///
/// # Errors
/// [`MeasurementError`] for a pressure without saturation temperature.
pub fn elevation_ends(described: &Loop) -> Result<ElevationEnds, MeasurementError> {
    let stretches = stretches_k(described)?;
    let cold_k = described.pressures.start_up_water_k;
    let legs = legs_k(described)?;
    Ok(ElevationEnds {
        water_k: [
            stretches.first().map_or(cold_k, |stretch| stretch[0]),
            stretches.last().map_or(cold_k, |stretch| stretch[1]),
        ],
        leg_k: [legs[0], legs[legs.len() - 1]],
    })
}

struct Maker<'a> {
    described: &'a Loop,
    range: Range,
    legs_k: Vec<f64>,
    weighed_m: [f64; 2],
}

impl Maker<'_> {
    fn step(&self, water_k: f64) -> Result<ElevationStep, MeasurementError> {
        let condition = condition_at(self.described, water_k)?;
        let indicated_percent = self
            .legs_k
            .iter()
            .map(|&leg_k| self.indicated(&condition, leg_k))
            .collect::<Result<_, _>>()?;
        let glass_m = GlassAt::of(self.described, &condition)?.map(|glass| {
            self.weighed_m
                .map(|level_m| glass.stands_at(TrueLevel::from_m(level_m)).m())
        });
        Ok(ElevationStep {
            saturation_k: saturation_temperature_k(condition.pressure.pa())?,
            leg_limits: leg_limits(self.described, &condition)?,
            condition,
            indicated_percent,
            glass_m,
        })
    }

    fn indicated(&self, condition: &Condition, leg_k: f64) -> Result<[f64; 2], MeasurementError> {
        let at = Condition {
            reference_leg_k: leg_k,
            ..condition.clone()
        };
        let cell = condition::cell_at(self.described, &at)?;
        let span = self.described.range.span;
        let mut ends = [0.0; 2];
        for (end, level_m) in ends.iter_mut().zip(self.weighed_m) {
            *end = cell
                .indicated(self.range, span, TrueLevel::from_m(level_m))?
                .percent(span);
        }
        Ok(ends)
    }

    /// Largest departure of the straight line between two steps from the step in their middle, percent of span.
    fn departure_percent(
        &self,
        low: &ElevationStep,
        middle: &ElevationStep,
        high: &ElevationStep,
    ) -> f64 {
        let share = (middle.condition.water_k - low.condition.water_k)
            / (high.condition.water_k - low.condition.water_k);
        let off = |low: f64, middle: f64, high: f64| (low + share * (high - low) - middle).abs();
        let mut worst: f64 = 0.0;
        for ((low, middle), high) in low
            .indicated_percent
            .iter()
            .zip(&middle.indicated_percent)
            .zip(&high.indicated_percent)
        {
            for end in 0..2 {
                worst = worst.max(off(low[end], middle[end], high[end]));
            }
        }
        if let (Some(low), Some(middle), Some(high)) = (low.glass_m, middle.glass_m, high.glass_m) {
            let span_m = self.described.range.span.height_m();
            for end in 0..2 {
                worst = worst.max(100.0 * off(low[end], middle[end], high[end]) / span_m);
            }
        }
        worst
    }

    /// Largest departure over leg temperatures of a step, percent of span.
    fn leg_departure_percent(&self, step: &ElevationStep) -> Result<f64, MeasurementError> {
        let mut worst: f64 = 0.0;
        for (legs, ends) in self
            .legs_k
            .windows(2)
            .zip(step.indicated_percent.windows(2))
        {
            let middle = self.indicated(&step.condition, 0.5 * (legs[0] + legs[1]))?;
            for (end, middle) in middle.iter().enumerate() {
                worst = worst.max((0.5 * (ends[0][end] + ends[1][end]) - middle).abs());
            }
        }
        Ok(worst)
    }
}

/// The tables of a loop with a range, for a vessel whose inside ends at these heights above the lower tap.
///
/// **Checked by:** `property_straight_lines_meet_the_cell_and_the_glass`.
///
/// # Errors
/// [`MeasurementError`] where a condition on the way cannot be computed.
pub fn elevation_table(
    described: &Loop,
    range: Range,
    vessel_top_m: f64,
) -> Result<ElevationTable, MeasurementError> {
    let geometry = super::cell::Geometry::of(described)?;
    let maker = Maker {
        described,
        range,
        legs_k: legs_k(described)?,
        weighed_m: [geometry.lowest_m, geometry.highest_m.min(vessel_top_m)],
    };
    let mut worst: f64 = 0.0;
    let mut steps: Vec<ElevationStep> = Vec::new();
    for ends in stretches_k(described)? {
        let mut pending = Vec::new();
        for index in (0..FIRST_STEPS).rev() {
            let share = index as f64 / (FIRST_STEPS - 1) as f64;
            pending.push(maker.step(ends[0] + share * (ends[1] - ends[0]))?);
        }
        let Some(mut low) = pending.pop() else {
            continue;
        };
        steps.push(low.clone());
        while let Some(high) = pending.pop() {
            let middle = maker.step(0.5 * (low.condition.water_k + high.condition.water_k))?;
            let departure = maker.departure_percent(&low, &middle, &high);
            let is_full = steps.len() + pending.len() >= MOST_STEPS;
            if departure > ALLOWED_PERCENT && !is_full {
                pending.push(high);
                pending.push(middle);
            } else {
                worst = worst.max(departure);
                steps.push(high.clone());
                low = high;
            }
        }
    }
    let mut over_legs: f64 = 0.0;
    for step in &steps {
        over_legs = over_legs.max(maker.leg_departure_percent(step)?);
    }
    let glass = described.glass.as_ref();
    Ok(ElevationTable {
        steps,
        legs_k: maker.legs_k,
        weighed_m: maker.weighed_m,
        panel_ends: panel_ends(&described.cell),
        visible_m: glass.map(|glass| [glass.visible_bottom_m, glass.visible_top_m]),
        glass_connection_m: glass.map(|glass| glass.lower_connection_m),
        worst_departure_percent: worst + over_legs,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::{drum_boiler, shell_boiler, vented_tank};
    use crate::measurement::{indicated_level, range_sheet};
    use proptest::prelude::*;

    /// As the page does it: straight lines over water temperature, leg temperature and level.
    fn read_off(
        table: &ElevationTable,
        water_k: f64,
        leg_k: f64,
        level_m: f64,
    ) -> (f64, Option<f64>) {
        let after = table
            .steps
            .partition_point(|step| step.condition.water_k <= water_k)
            .clamp(1, table.steps.len() - 1);
        let (low, high) = (&table.steps[after - 1], &table.steps[after]);
        let along = |low: f64, high: f64, share: f64| low + share * (high - low);
        let share =
            (water_k - low.condition.water_k) / (high.condition.water_k - low.condition.water_k);
        let leg = table
            .legs_k
            .partition_point(|&k| k <= leg_k)
            .clamp(1, table.legs_k.len() - 1);
        let leg_share =
            (leg_k - table.legs_k[leg - 1]) / (table.legs_k[leg] - table.legs_k[leg - 1]);
        let of_level = (level_m - table.weighed_m[0]) / (table.weighed_m[1] - table.weighed_m[0]);
        let of_step = |step: &ElevationStep| {
            let at = |leg: usize| {
                along(
                    step.indicated_percent[leg][0],
                    step.indicated_percent[leg][1],
                    of_level,
                )
            };
            along(at(leg - 1), at(leg), leg_share)
        };
        let glass = low.glass_m.zip(high.glass_m).map(|(low, high)| {
            along(
                along(low[0], low[1], of_level),
                along(high[0], high[1], of_level),
                share,
            )
        });
        (along(of_step(low), of_step(high), share), glass)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        #[test]
        fn property_straight_lines_meet_the_cell_and_the_glass(
            which in 0_usize..3, along in 0.0..1.0_f64, warm in 0.0..1.0_f64, full in 0.0..1.0_f64,
        ) {
            let described = [shell_boiler(), drum_boiler(), vented_tank()][which].clone();
            let range = range_sheet(&described).unwrap().chosen;
            let table = elevation_table(&described, range, 2.0).unwrap();
            prop_assert!(table.worst_departure_percent < 0.05, "{}", table.worst_departure_percent);
            let way = |share: f64, ends: [f64; 2]| ends[0] + share * (ends[1] - ends[0]);
            let first = table.steps[0].condition.water_k;
            let last = table.steps[table.steps.len() - 1].condition.water_k;
            let boiling_k = saturation_temperature_k(described.pressures.start_up.pa()).unwrap();
            let water_k = way(along, [first, last]);
            prop_assume!(!(boiling_k - BREAK_K..boiling_k).contains(&water_k));
            let leg_k = way(warm, [table.legs_k[0], table.legs_k[LEGS - 1]]);
            let level_m = way(full, table.weighed_m);
            let mut at = condition_at(&described, water_k).unwrap();
            at.reference_leg_k = leg_k;
            let level = TrueLevel::from_m(level_m);
            let span = described.range.span;
            let exact = indicated_level(&described, range, &at, level).unwrap().unwrap().percent(span);
            let (percent, glass_m) = read_off(&table, water_k, leg_k, level_m);
            prop_assert!((percent - exact).abs() < 0.05, "{percent} {exact}");
            if let Some(glass) = GlassAt::of(&described, &at).unwrap() {
                let off = 100.0 * (glass.stands_at(level).m() - glass_m.unwrap()).abs() / span.height_m();
                prop_assert!(off < 0.05, "{off} % of span");
            }
        }
    }

    #[test]
    fn property_the_way_runs_from_cold_to_the_safety_valve() {
        for described in [shell_boiler(), drum_boiler()] {
            let range = range_sheet(&described).unwrap().chosen;
            let table = elevation_table(&described, range, 2.0).unwrap();
            let (first, last) = (&table.steps[0], &table.steps[table.steps.len() - 1]);
            let cold = &described.pressures;
            assert!((first.condition.water_k - cold.start_up_water_k).abs() < 1e-9);
            assert_eq!(first.condition.pressure, cold.start_up);
            let off = last.condition.pressure.pa() / cold.safety_valve.pa() - 1.0;
            assert!(off.abs() < 1e-6, "{off}");
            assert!(table.steps.is_sorted_by_key(|step| step.condition.water_k));
            assert!(table.steps.len() <= MOST_STEPS);
            let ends = elevation_ends(&described).unwrap();
            let of_table = [
                (ends.water_k[0], first.condition.water_k),
                (ends.water_k[1], last.condition.water_k),
                (ends.leg_k[0], table.legs_k[0]),
                (ends.leg_k[1], table.legs_k[LEGS - 1]),
            ];
            assert!(
                of_table
                    .iter()
                    .all(|(end, entry)| (end - entry).abs() < 1e-9)
            );
        }
    }
}
