//! At which levels panel and glass are compared: hot between the alarms, cold within what glass and panel show, never
//! where a comparison would run into a trip.

use crate::description::Loop;
use crate::measurement::MeasurementError;
use crate::measurement::condition::cell_at;
use crate::measurement::glass::GlassAt;
use crate::measurement::sheets::{Condition, Range};
use crate::measurement::signal;
use crate::quantity::{GlassLevel, IndicatedLevel, TrueLevel};

/// Share of the room on one side of the set point that a comparison uses: the rest keeps alarm and trip still.
///
/// **Source:** common practice.
pub const COMPARISON_ROOM_SHARE: f64 = 0.7;

/// Share of what can be seen that a cold comparison leaves at either end.
///
/// **Source:** common practice: a surface at the very end of a glass is not told from a full or an empty one.
const COLD_END_SHARE: f64 = 0.1;

/// State of the vessel during a comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ComparisonState {
    /// In service: the alarms are live, on a boiler the fire is lit.
    InService,
    /// Cold, nothing lit and nothing drawn.
    Cold,
}

/// A level at which panel and glass are compared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ComparisonLevel {
    /// Where the water stands.
    pub true_level: TrueLevel,
    /// What the panel shows then.
    pub indicated: IndicatedLevel,
    /// What the glass shows then; `None` without a glass.
    pub glass: Option<GlassLevel>,
}

/// Levels at which panel and glass are compared, lowest first: three, or none where no level can be seen and weighed.
///
/// In service they are the set point and one on either side, at 70 % of the way to the nearest of alarm, trip, overflow
/// and end of what glass and panel show. Where the set point itself cannot be seen, and cold, they are spread over what
/// can be: cold over the whole of it less a tenth at either end, high trip and overflow kept out.
///
/// **Source:** common practice.
/// **Checked by:** `property_hot_comparison_stays_between_the_alarms`, `property_cold_comparison_stays_in_sight`
///
/// # Errors
/// [`MeasurementError`] where the condition has no densities or the range no span.
pub fn comparison_levels(
    described: &Loop,
    condition: &Condition,
    range: Range,
    state: ComparisonState,
) -> Result<Vec<ComparisonLevel>, MeasurementError> {
    let seen = seen_m(described, condition, range)?;
    let levels_m = match state {
        ComparisonState::InService => in_service_m(described, seen),
        ComparisonState::Cold => cold_m(described, seen),
    };
    let cell = cell_at(described, condition)?;
    let glass = GlassAt::of(described, condition)?;
    levels_m
        .into_iter()
        .map(|level_m| {
            let true_level = TrueLevel::from_m(level_m);
            Ok(ComparisonLevel {
                true_level,
                indicated: cell.indicated(range, described.range.span, true_level)?,
                glass: glass.as_ref().and_then(|glass| glass.shows(true_level)),
            })
        })
        .collect()
}

/// Lowest and highest true level that span, taps, unclipped signal and glass allow, m above the lower tap.
fn seen_m(
    described: &Loop,
    condition: &Condition,
    range: Range,
) -> Result<(f64, f64), MeasurementError> {
    let span = described.range.span;
    let cell = cell_at(described, condition)?;
    let mut low_m = span.at_0_percent_m.max(cell.geometry.lowest_m);
    let mut high_m = span.at_100_percent_m.min(cell.geometry.highest_m);
    let (low_ma, high_ma) = described.cell.saturation_ma;
    let [one_m, other_m] = [low_ma, high_ma].map(|ma| {
        let share = signal::percent(&described.cell, ma) / 100.0;
        cell.true_level(range.lrv_pa + share * (range.urv_pa - range.lrv_pa))
            .map(TrueLevel::m)
    });
    let (one_m, other_m) = (one_m?, other_m?);
    low_m = low_m.max(one_m.min(other_m));
    high_m = high_m.min(one_m.max(other_m));
    if let Some(glass) = GlassAt::of(described, condition)? {
        let (bottom_m, top_m) = glass.visible_m;
        low_m = low_m.max(glass.true_level(GlassLevel::from_m(bottom_m)).m());
        high_m = high_m.min(glass.true_level(GlassLevel::from_m(top_m)).m());
    }
    Ok((low_m, high_m))
}

/// Three levels at shares of the way from the lowest to the highest; none where there is no way.
fn spread(low_m: f64, high_m: f64, end_share: f64) -> Vec<f64> {
    if !(high_m > low_m) {
        return Vec::new();
    }
    [end_share, 0.5, 1.0 - end_share]
        .map(|share| low_m + share * (high_m - low_m))
        .to_vec()
}

fn in_service_m(described: &Loop, (seen_low_m, seen_high_m): (f64, f64)) -> Vec<f64> {
    let limits = &described.limits;
    let low_m = [
        limits.low_alarm_m,
        limits.low_cutoff_m,
        limits.second_low_cutoff_m,
    ]
    .into_iter()
    .flatten()
    .fold(seen_low_m, f64::max);
    let high_m = [
        limits.high_alarm_m,
        limits.high_trip_m,
        described.elevations.overflow_m,
    ]
    .into_iter()
    .flatten()
    .fold(seen_high_m, f64::min);
    let set_point_m = limits.set_point_m;
    if low_m < set_point_m && set_point_m < high_m {
        vec![
            set_point_m - COMPARISON_ROOM_SHARE * (set_point_m - low_m),
            set_point_m,
            set_point_m + COMPARISON_ROOM_SHARE * (high_m - set_point_m),
        ]
    } else {
        spread(low_m, high_m, (1.0 - COMPARISON_ROOM_SHARE) / 2.0)
    }
}

fn cold_m(described: &Loop, (seen_low_m, seen_high_m): (f64, f64)) -> Vec<f64> {
    let high_m = [
        described.limits.high_trip_m,
        described.elevations.overflow_m,
    ]
    .into_iter()
    .flatten()
    .fold(seen_high_m, f64::min);
    spread(seen_low_m, high_m, COLD_END_SHARE)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::example_loop::{drum_boiler, shell_boiler};
    use crate::measurement::condition::{normal, start_up};
    use crate::measurement::range_sheet;

    fn levels(described: &Loop, state: ComparisonState) -> Vec<ComparisonLevel> {
        let range = range_sheet(described).unwrap().chosen;
        let condition = match state {
            ComparisonState::InService => normal(described).unwrap(),
            ComparisonState::Cold => start_up(described),
        };
        comparison_levels(described, &condition, range, state).unwrap()
    }

    #[test]
    fn practice_the_set_point_is_compared_in_service() {
        for described in [shell_boiler(), drum_boiler()] {
            let levels = levels(&described, ComparisonState::InService);
            assert_eq!(levels.len(), 3);
            let middle_m = levels[1].true_level.m();
            assert!((middle_m - described.limits.set_point_m).abs() < 1e-12);
        }
    }

    #[test]
    fn property_cold_comparison_stays_in_sight() {
        for described in [shell_boiler(), drum_boiler()] {
            let glass = described.glass.clone().unwrap();
            let levels = levels(&described, ComparisonState::Cold);
            assert_eq!(levels.len(), 3);
            for level in &levels {
                let glass_m = level.glass.unwrap().m();
                assert!(glass.visible_bottom_m < glass_m && glass_m < glass.visible_top_m);
                let percent = level.indicated.percent(described.range.span);
                let ma = signal::current_ma(&described.cell, percent);
                assert!(!signal::saturated_ma(&described.cell, ma).1, "{ma} mA");
            }
        }
    }

    #[test]
    fn practice_nothing_to_compare_where_the_glass_lies_elsewhere() {
        let mut described = shell_boiler();
        if let Some(glass) = &mut described.glass {
            glass.visible_bottom_m = described.range.span.at_100_percent_m + 0.5;
            glass.visible_top_m = glass.visible_bottom_m + 0.1;
        }
        assert!(levels(&described, ComparisonState::InService).is_empty());
    }

    proptest! {
        #[test]
        fn property_hot_comparison_stays_between_the_alarms(
            low in 0.16_f64..0.30, high in 0.42_f64..0.52, bottom in 0.0_f64..0.3,
        ) {
            let mut described = shell_boiler();
            described.limits.low_alarm_m = Some(low);
            described.limits.high_alarm_m = Some(high);
            if let Some(glass) = &mut described.glass {
                glass.visible_bottom_m = bottom;
            }
            let levels = levels(&described, ComparisonState::InService);
            prop_assert_eq!(levels.len(), 3);
            for level in levels {
                let level_m = level.true_level.m();
                prop_assert!(low < level_m && level_m < high);
                prop_assert!(level.glass.is_some());
            }
        }
    }
}
