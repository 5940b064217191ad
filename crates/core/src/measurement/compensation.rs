//! Compensation for pressure: at one pressure the level is exactly linear in the differential, so two tables over
//! pressure carry it: a gain and an offset.

use super::cell::CellAt;
use super::condition;
use super::error::MeasurementError;
use super::extremum::largest;
use super::sheets::{CompensationTable, Range};
use crate::description::Loop;
use crate::quantity::{AbsolutePressure, TrueLevel};

/// Intervals over the band from which breakpoints are placed.
const PLACING_SAMPLES: u32 = 128;
/// Intervals between two breakpoints before the largest error is refined.
const SEGMENT_SAMPLES: u32 = 8;
/// Rows of the direct table.
const ROWS: u32 = 10;

/// Gain and offset at one pressure, `h = gain·Δp + offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Point {
    pressure_pa: f64,
    gain_m_pa: f64,
    offset_m: f64,
}

/// The band of pressures that is compensated, at the surveyed leg temperature.
struct Band<'a> {
    described: &'a Loop,
    leg_k: f64,
    low_pa: f64,
    high_pa: f64,
}

impl Band<'_> {
    fn cell(&self, pressure_pa: f64) -> Result<CellAt, MeasurementError> {
        let pressure = AbsolutePressure::from_pa(pressure_pa);
        let at = condition::in_service(self.described, "", pressure, self.leg_k)?;
        condition::cell_at(self.described, &at)
    }

    /// ```text
    /// G(P) = s / (g·(ρl − ρv)),   B(P) = level at Δp = 0
    /// ```
    fn point(&self, pressure_pa: f64) -> Result<Point, MeasurementError> {
        let cell = self.cell(pressure_pa)?;
        let heavier = cell.densities.liquid - cell.densities.vapour;
        Ok(Point {
            pressure_pa,
            gain_m_pa: cell.geometry.sign() / (cell.geometry.gravity_m_s2 * heavier),
            offset_m: cell.true_level(0.0)?.m(),
        })
    }

    /// Levels at the two ends of the span: an error between breakpoints is linear in level, so it is worst there.
    fn ends(&self) -> [TrueLevel; 2] {
        let span = self.described.range.span;
        [
            TrueLevel::from_m(span.at_0_percent_m),
            TrueLevel::from_m(span.at_100_percent_m),
        ]
    }

    /// Largest error of a straight line between two breakpoints, m.
    fn segment_error_m(&self, from: Point, to: Point) -> Result<f64, MeasurementError> {
        let error_at = |pressure_pa: f64, level: TrueLevel| -> Result<f64, MeasurementError> {
            let share = (pressure_pa - from.pressure_pa) / (to.pressure_pa - from.pressure_pa);
            let gain = from.gain_m_pa + share * (to.gain_m_pa - from.gain_m_pa);
            let offset = from.offset_m + share * (to.offset_m - from.offset_m);
            let differential_pa = self.cell(pressure_pa)?.differential_pa(level)?;
            Ok((gain * differential_pa + offset - level.m()).abs())
        };
        let mut worst = 0.0_f64;
        for level in self.ends() {
            let (_, error) = largest(from.pressure_pa, to.pressure_pa, SEGMENT_SAMPLES, |p| {
                error_at(p, level)
            })?;
            worst = worst.max(error);
        }
        Ok(worst)
    }

    fn worst_error_m(&self, points: &[Point]) -> Result<f64, MeasurementError> {
        let mut worst = 0.0_f64;
        for pair in points.windows(2) {
            let [from, to] = pair else { continue };
            worst = worst.max(self.segment_error_m(*from, *to)?);
        }
        Ok(worst)
    }

    fn pressure_pa(&self, i: u32, intervals: u32) -> f64 {
        if i == intervals {
            self.high_pa
        } else {
            self.low_pa + (self.high_pa - self.low_pa) * f64::from(i) / f64::from(intervals)
        }
    }

    /// Breakpoints placed so that every interval has the same error to leading order: their density goes with the
    /// root of the curvature.
    ///
    /// **Source:** de Boor, A Practical Guide to Splines (1978), chapter III: best breakpoints of a broken line.
    fn placed(&self, count: u32) -> Result<Vec<Point>, MeasurementError> {
        let mut fine = Vec::new();
        for i in 0..=PLACING_SAMPLES {
            fine.push(self.point(self.pressure_pa(i, PLACING_SAMPLES))?);
        }
        let mut roots = vec![0.0];
        for triple in fine.windows(3) {
            let [before, here, after] = triple else {
                continue;
            };
            let bend = |of: fn(&Point) -> f64| of(before) - 2.0 * of(here) + of(after);
            let cell = self.cell(here.pressure_pa)?;
            let mut curvature = 0.0_f64;
            for level in self.ends() {
                let differential_pa = cell.differential_pa(level)?;
                let error = bend(|p| p.gain_m_pa) * differential_pa + bend(|p| p.offset_m);
                curvature = curvature.max(error.abs());
            }
            roots.push(curvature.sqrt());
        }
        // The ends have no second difference: take their neighbours'.
        roots[0] = roots.get(1).copied().unwrap_or(0.0);
        roots.push(roots.last().copied().unwrap_or(0.0));
        let mut area = vec![0.0];
        for pair in roots.windows(2) {
            let so_far = area.last().copied().unwrap_or(0.0);
            area.push(so_far + 0.5 * (pair[0] + pair[1]));
        }
        let total = area.last().copied().unwrap_or(0.0);
        let mut points = Vec::new();
        for k in 0..count {
            if k == 0 || k == count - 1 {
                let end = if k == 0 { self.low_pa } else { self.high_pa };
                points.push(self.point(end)?);
                continue;
            }
            let wanted = total * f64::from(k) / f64::from(count - 1);
            let right = area
                .partition_point(|a| *a < wanted)
                .clamp(1, fine.len() - 1);
            let (a, b) = (area[right - 1], area[right]);
            let share = if b > a { (wanted - a) / (b - a) } else { 0.5 };
            let (low, high) = (fine[right - 1].pressure_pa, fine[right].pressure_pa);
            points.push(self.point(low + share * (high - low))?);
        }
        Ok(points)
    }

    fn even(&self, count: u32) -> Result<Vec<Point>, MeasurementError> {
        (0..count)
            .map(|k| self.point(self.pressure_pa(k, count - 1)))
            .collect()
    }
}

/// Compensation of a loop over lowest sustained pressure to safety-valve set; `None` where there is no pressure to
/// compensate for. Breakpoints stand closer where the tables bend, or evenly where that is no worse.
///
/// **Checked by:** `property_tables_are_exact_at_breakpoints`, `property_worst_error_covers_a_fine_grid`,
/// `property_placing_is_never_worse_than_even`.
///
/// # Errors
/// [`MeasurementError::TooFewPoints`] for fewer than two points, and what the densities may return.
pub(super) fn compensation(
    described: &Loop,
    range: Range,
) -> Result<Option<CompensationTable>, MeasurementError> {
    let band = Band {
        described,
        leg_k: condition::described_leg_k(described),
        low_pa: described.pressures.lowest_sustained.pa(),
        high_pa: described.pressures.safety_valve.pa(),
    };
    let has_pressure = described.vessel.kind.holds_steam() && band.high_pa > band.low_pa;
    if !has_pressure {
        return Ok(None);
    }
    let asked = described.controller.linearisation_points;
    let count = u32::try_from(asked)
        .ok()
        .filter(|count| *count >= 2)
        .ok_or(MeasurementError::TooFewPoints { count: asked })?;
    let (placed, even) = (band.placed(count)?, band.even(count)?);
    let (of_placed, of_even) = (band.worst_error_m(&placed)?, band.worst_error_m(&even)?);
    let (points, worst_error_m) = if of_placed < of_even {
        (placed, of_placed)
    } else {
        (even, of_even)
    };
    let mut rows = Vec::new();
    for i in 0..=ROWS {
        let share = f64::from(i) / f64::from(ROWS);
        let differential_pa = range.lrv_pa + share * (range.urv_pa - range.lrv_pa);
        let levels = points
            .iter()
            .map(|point| TrueLevel::from_m(point.gain_m_pa * differential_pa + point.offset_m))
            .collect();
        rows.push((differential_pa, levels));
    }
    Ok(Some(CompensationTable {
        points: points
            .into_iter()
            .map(|p| {
                (
                    AbsolutePressure::from_pa(p.pressure_pa),
                    p.gain_m_pa,
                    p.offset_m,
                )
            })
            .collect(),
        worst_error_m,
        rows,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::Polarity;
    use crate::example_loop::{drum_boiler, psig, shell_boiler, vented_tank};
    use crate::measurement::range::QUARTERS_PERCENT;
    use crate::measurement::range_sheet;

    fn wide() -> Loop {
        let mut described = shell_boiler();
        described.pressures.lowest_sustained = psig(5.0);
        described.pressures.safety_valve = psig(250.0);
        described
    }

    fn table(described: &Loop) -> CompensationTable {
        let range = range_sheet(described).unwrap().chosen;
        compensation(described, range).unwrap().unwrap()
    }

    fn band(described: &Loop) -> Band<'_> {
        Band {
            described,
            leg_k: condition::described_leg_k(described),
            low_pa: described.pressures.lowest_sustained.pa(),
            high_pa: described.pressures.safety_valve.pa(),
        }
    }

    #[test]
    fn property_tables_are_exact_at_breakpoints() {
        for described in [shell_boiler(), drum_boiler(), wide()] {
            let band = band(&described);
            let table = table(&described);
            assert_eq!(
                table.points.len(),
                described.controller.linearisation_points
            );
            assert!((table.points[0].0.pa() - band.low_pa).abs() < 1e-9);
            for (pressure, gain, offset) in &table.points {
                let cell = band.cell(pressure.pa()).unwrap();
                for percent in QUARTERS_PERCENT {
                    let level = TrueLevel::from_percent(percent, described.range.span);
                    let dp = cell.differential_pa(level).unwrap();
                    assert!((gain * dp + offset - level.m()).abs() < 1e-12);
                }
            }
            // The direct table says the same.
            let (dp, levels) = &table.rows[3];
            for ((pressure, ..), level) in table.points.iter().zip(levels) {
                let direct = band.cell(pressure.pa()).unwrap().true_level(*dp).unwrap();
                assert!((direct.m() - level.m()).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn property_worst_error_covers_a_fine_grid() {
        let described = wide();
        let (band, table) = (band(&described), table(&described));
        let mut worst = 0.0_f64;
        for i in 0..=2000 {
            let pressure_pa = band.pressure_pa(i, 2000);
            let right = table
                .points
                .partition_point(|p| p.0.pa() < pressure_pa)
                .clamp(1, table.points.len() - 1);
            let (from, to) = (table.points[right - 1], table.points[right]);
            let share = (pressure_pa - from.0.pa()) / (to.0.pa() - from.0.pa());
            let (gain, offset) = (
                from.1 + share * (to.1 - from.1),
                from.2 + share * (to.2 - from.2),
            );
            let cell = band.cell(pressure_pa).unwrap();
            for percent in QUARTERS_PERCENT {
                let level = TrueLevel::from_percent(percent, described.range.span);
                let dp = cell.differential_pa(level).unwrap();
                worst = worst.max((gain * dp + offset - level.m()).abs());
            }
        }
        assert!(
            worst > 0.0 && worst <= table.worst_error_m * (1.0 + 1e-9),
            "{worst} {}",
            table.worst_error_m
        );
        assert!(
            worst > 0.999 * table.worst_error_m,
            "{worst} {}",
            table.worst_error_m
        );
    }

    #[test]
    fn property_placing_is_never_worse_than_even() {
        let mut described = wide();
        let mut last = f64::INFINITY;
        for count in [2, 3, 4, 6, 10, 20] {
            described.controller.linearisation_points = count;
            let even = band(&described)
                .even(u32::try_from(count).unwrap())
                .unwrap();
            let of_even = band(&described).worst_error_m(&even).unwrap();
            let of_table = table(&described).worst_error_m;
            assert!(
                of_table <= of_even && of_table < last,
                "{count}: {of_table} {of_even}"
            );
            if count >= 4 {
                assert!(of_table < 0.7 * of_even, "{count}: {of_table} {of_even}");
            }
            last = of_table;
        }
    }

    #[test]
    fn property_polarity_turns_the_gain_only() {
        let described = wide();
        let mut other = described.clone();
        other.cell.polarity = Polarity::WetLegOnHigh;
        let (a, b) = (table(&described), table(&other));
        for (x, y) in a.points.iter().zip(&b.points) {
            assert!((x.1 + y.1).abs() < 1e-15 && (x.2 - y.2).abs() < 1e-12);
        }
    }

    #[test]
    fn practice_vented_tank_needs_none_and_one_point_is_too_few() {
        let tank = vented_tank();
        let range = range_sheet(&tank).unwrap().chosen;
        assert!(compensation(&tank, range).unwrap().is_none());
        let mut described = shell_boiler();
        described.controller.linearisation_points = 1;
        assert!(matches!(
            compensation(&described, range),
            Err(MeasurementError::TooFewPoints { count: 1 })
        ));
    }
}
