//! What came of a run: deviation, time out of band, nearest approach to every mark, and what the valve had to do.

use super::vessel::VesselView;
use crate::description::Loop;
use crate::quantity::{IndicatedLevel, TrueLevel};

/// Travel that counts as a movement, ratio.
const MOVEMENT: f64 = 5e-4;

/// How near a level came to a mark.
#[derive(Debug, Clone, PartialEq)]
pub struct Approach {
    /// Name of the mark.
    pub mark: &'static str,
    /// Its height, m above the lower tap.
    pub mark_m: f64,
    /// Whether the level comes to it from above (a low mark).
    pub is_low: bool,
    /// Smallest distance of the TRUE level, m; below zero: passed.
    pub nearest_true_m: f64,
    /// When, s.
    pub nearest_time_s: f64,
    /// Smallest distance of the INDICATED level, m; below zero: the panel passed it.
    pub nearest_indicated_m: f64,
    /// When the TRUE level first passed it, s.
    pub passed_s: Option<f64>,
}

/// What came of a run. SIMULATION.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// Time covered, s.
    pub duration_s: f64,
    /// Largest TRUE level over the set point, m, and when, s.
    pub highest_m: (f64, f64),
    /// Largest TRUE level under the set point, m (negative), and when, s.
    pub lowest_m: (f64, f64),
    /// Time with the TRUE level outside the allowed deviation, s.
    pub outside_s: f64,
    /// ∫|TRUE level − set point| dt, m s.
    pub absolute_error_m_s: f64,
    /// Largest INDICATED less TRUE level, m, with its sign.
    pub worst_indication_m: f64,
    /// Approaches to alarms and trips, from the highest mark down.
    pub approaches: Vec<Approach>,
    /// Reversals of the valve an hour.
    pub reversals_per_hour: f64,
    /// Strokes of full travel an hour.
    pub strokes_per_hour: f64,
    /// Lowest and highest pressure, Pa.
    pub pressures_pa: (f64, f64),
    /// Lowest surface of the mixture over the highest heated surface, m; `None` without one.
    pub least_cover_m: Option<f64>,
    /// Water over the overflow, kg.
    pub overflow_kg: f64,
}

/// Kept while running.
#[derive(Debug, Clone)]
pub(super) struct Ledger {
    summary: Summary,
    allowed_m: f64,
    heated_m: Option<f64>,
    start: Option<f64>,
    extreme_travel: f64,
    rising: Option<bool>,
    reversals: u32,
    travelled: f64,
    last_travel: Option<f64>,
}

impl Ledger {
    pub(super) fn new(described: &Loop) -> Self {
        let limits = &described.limits;
        let marks = [
            ("high-level trip", limits.high_trip_m, false),
            ("high alarm", limits.high_alarm_m, false),
            ("low alarm", limits.low_alarm_m, true),
            (
                described.vessel.kind.first_low_trip(),
                limits.low_cutoff_m,
                true,
            ),
            (
                described.vessel.kind.second_low_trip(),
                limits.second_low_cutoff_m,
                true,
            ),
        ];
        let approaches = marks
            .into_iter()
            .filter_map(|(mark, height, is_low)| {
                height.map(|mark_m| Approach {
                    mark,
                    mark_m,
                    is_low,
                    nearest_true_m: f64::INFINITY,
                    nearest_time_s: 0.0,
                    nearest_indicated_m: f64::INFINITY,
                    passed_s: None,
                })
            })
            .collect();
        Self {
            summary: Summary {
                duration_s: 0.0,
                highest_m: (f64::NEG_INFINITY, 0.0),
                lowest_m: (f64::INFINITY, 0.0),
                outside_s: 0.0,
                absolute_error_m_s: 0.0,
                worst_indication_m: 0.0,
                approaches,
                reversals_per_hour: 0.0,
                strokes_per_hour: 0.0,
                pressures_pa: (f64::INFINITY, 0.0),
                least_cover_m: described
                    .elevations
                    .highest_heated_surface_m
                    .map(|_| f64::INFINITY),
                overflow_kg: 0.0,
            },
            allowed_m: limits.allowed_deviation_m,
            heated_m: described.elevations.highest_heated_surface_m,
            start: None,
            extreme_travel: 0.0,
            rising: None,
            reversals: 0,
            travelled: 0.0,
            last_travel: None,
        }
    }

    pub(super) fn take(
        &mut self,
        time_s: f64,
        scan_s: f64,
        view: &VesselView,
        indicated: IndicatedLevel,
        set_point: TrueLevel,
        travel: f64,
    ) {
        let summary = &mut self.summary;
        let level_m = view.true_level.m();
        let away_m = level_m - set_point.m();
        if self.start.is_none() {
            self.start = Some(time_s);
            self.extreme_travel = travel;
        } else {
            summary.duration_s = time_s;
            summary.absolute_error_m_s += away_m.abs() * scan_s;
            if away_m.abs() > self.allowed_m {
                summary.outside_s += scan_s;
            }
            summary.overflow_kg += view.overflow_kg_s * scan_s;
        }
        if away_m > summary.highest_m.0 {
            summary.highest_m = (away_m, time_s);
        }
        if away_m < summary.lowest_m.0 {
            summary.lowest_m = (away_m, time_s);
        }
        let error_m = indicated.m() - level_m;
        if error_m.abs() > summary.worst_indication_m.abs() {
            summary.worst_indication_m = error_m;
        }
        for approach in &mut summary.approaches {
            let distance = |level_m: f64| {
                if approach.is_low {
                    level_m - approach.mark_m
                } else {
                    approach.mark_m - level_m
                }
            };
            let (of_true, of_panel) = (distance(level_m), distance(indicated.m()));
            if of_true < approach.nearest_true_m {
                approach.nearest_true_m = of_true;
                approach.nearest_time_s = time_s;
            }
            approach.nearest_indicated_m = approach.nearest_indicated_m.min(of_panel);
            if of_true <= 0.0 && approach.passed_s.is_none() {
                approach.passed_s = Some(time_s);
            }
        }
        let (low, high) = summary.pressures_pa;
        summary.pressures_pa = (low.min(view.pressure_pa), high.max(view.pressure_pa));
        if let (Some(least), Some(heated_m)) = (&mut summary.least_cover_m, self.heated_m) {
            *least = least.min(view.mixture_surface_m - heated_m);
        }
        self.count_travel(travel);
    }

    fn count_travel(&mut self, travel: f64) {
        if let Some(last) = self.last_travel {
            self.travelled += (travel - last).abs();
        }
        self.last_travel = Some(travel);
        let from = travel - self.extreme_travel;
        match self.rising {
            None if from.abs() > MOVEMENT => {
                self.rising = Some(from > 0.0);
                self.extreme_travel = travel;
            }
            Some(true) if from < -MOVEMENT => {
                self.rising = Some(false);
                self.reversals += 1;
                self.extreme_travel = travel;
            }
            Some(false) if from > MOVEMENT => {
                self.rising = Some(true);
                self.reversals += 1;
                self.extreme_travel = travel;
            }
            Some(true) => self.extreme_travel = self.extreme_travel.max(travel),
            Some(false) => self.extreme_travel = self.extreme_travel.min(travel),
            None => {}
        }
    }

    pub(super) fn finish(mut self) -> Summary {
        let hours = self.summary.duration_s / 3600.0;
        if hours > 0.0 {
            self.summary.reversals_per_hour = f64::from(self.reversals) / hours;
            self.summary.strokes_per_hour = self.travelled / hours;
        }
        self.summary
    }
}
