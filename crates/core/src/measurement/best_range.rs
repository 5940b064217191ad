//! The range with the least worst error over a band of pressures and leg temperatures: exact, not searched.
//!
//! What the panel says is linear in the differential, `y = a + b·Δp`, and an error is linear in (a, b). At one
//! condition Δp is linear in the true level, so a weighted error is worst at an end of the span; and because b has
//! one sign, the worst error at an end comes from the least or the greatest differential that the band gives there.
//! Four differentials therefore hold the whole band, and what remains is a linear program in three unknowns (a, b and
//! the worst error), solved over all its vertices. A limit on high errors at and below the low alarm adds the
//! greatest differentials at the lowest level and at the alarm.

use super::band::{Extreme, extremes};
use super::error::MeasurementError;
use super::sheets::{BestRange, Condition, Range};
use crate::description::Loop;
use crate::quantity::TrueLevel;

/// A constraint holds when it is broken by no more than this fraction of span.
const FEASIBLE: f64 = 1e-11;
/// A constraint is active when its slack is below this fraction of span.
const ACTIVE: f64 = 1e-9;
/// Three constraints meet in a point when the determinant of their normals exceeds this.
const INDEPENDENT: f64 = 1e-13;

/// What the fit weighs and forbids.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wish {
    /// Weight on errors that read high, ratio.
    pub(super) high_weight: f64,
    /// Weight on errors that read low, ratio.
    pub(super) low_weight: f64,
    /// Largest high error where [`Extreme::limited`], fraction of span.
    pub(super) high_limit: f64,
}

/// Panel reading as a line over the hot range's fraction, `y = alpha + beta·u`, both fractions of span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    /// Reading at u = 0, fraction of span.
    pub(super) alpha: f64,
    /// Slope, ratio.
    pub(super) beta: f64,
}

impl Line {
    /// Indicated minus true, fraction of span.
    pub(super) fn error(self, extreme: &Extreme) -> f64 {
        self.alpha + self.beta * extreme.hot_share - extreme.true_share
    }

    /// Largest weighted error, fraction of span.
    pub(super) fn worst(self, extremes: &[Extreme], wish: Wish) -> f64 {
        extremes
            .iter()
            .filter(|extreme| extreme.weighed)
            .map(|extreme| {
                let error = self.error(extreme);
                (wish.high_weight * error).max(-wish.low_weight * error)
            })
            .fold(0.0, f64::max)
    }

    /// The line of a range, seen from the hot range.
    pub(super) fn of_range(range: Range, hot: Range) -> Result<Self, MeasurementError> {
        let no_span = MeasurementError::NoSpan {
            lrv_pa: range.lrv_pa,
            urv_pa: range.urv_pa,
        };
        let beta = (hot.urv_pa - hot.lrv_pa) / (range.urv_pa - range.lrv_pa);
        if !beta.is_finite() {
            return Err(no_span);
        }
        Ok(Self {
            alpha: (hot.lrv_pa - range.lrv_pa) / (range.urv_pa - range.lrv_pa),
            beta,
        })
    }

    /// The range that makes this line.
    pub(super) fn range(self, hot: Range) -> Range {
        let at =
            |share: f64| hot.lrv_pa + (share - self.alpha) / self.beta * (hot.urv_pa - hot.lrv_pa);
        Range {
            lrv_pa: at(0.0),
            urv_pa: at(1.0),
        }
    }
}

/// One half-space `normal · (alpha, beta, t) <= bound`.
struct HalfSpace {
    normal: [f64; 3],
    bound: f64,
}

impl HalfSpace {
    fn slack(&self, x: [f64; 3]) -> f64 {
        self.bound - (self.normal[0] * x[0] + self.normal[1] * x[1] + self.normal[2] * x[2])
    }
}

/// The line with the least worst weighted error, and that error as a fraction of span.
///
/// ```text
/// minimise t   subject to   wh·e ≤ t,  −wl·e ≤ t  at every weighed extreme,   e ≤ limit  at every limited one,
/// e = α + β·u − x
/// ```
///
/// | symbol | name                | unit |
/// |--------|---------------------|------|
/// | u      | `extreme.hot_share` | fraction of span |
/// | x      | `extreme.true_share` | fraction of span |
/// | e      | error, indicated minus true | fraction of span |
///
/// **Source:** Chebyshev approximation as a linear program (Cheney, Introduction to Approximation Theory, 1966,
/// chapter 2); the optimum is a vertex, and all vertices are tried.
/// **Checked by:** `property_optimum_holds_the_origin_in_the_hull_of_its_active_vectors`, `property_no_other_line_is_better`.
///
/// # Errors
/// [`MeasurementError::WeightNotPositive`]; [`MeasurementError::NoRangeWithinLimit`] for a limit that is not a number;
/// [`MeasurementError::BandTooWide`] where the best line is level.
pub(super) fn fit(extremes: &[Extreme], wish: Wish) -> Result<(Line, f64), MeasurementError> {
    let positive = wish.high_weight > 0.0 && wish.low_weight > 0.0;
    if !(positive && wish.high_weight.is_finite() && wish.low_weight.is_finite()) {
        return Err(MeasurementError::WeightNotPositive {
            high_ratio: wish.high_weight,
            low_ratio: wish.low_weight,
        });
    }
    let mut constraints = Vec::new();
    for extreme in extremes {
        let (u, x) = (extreme.hot_share, extreme.true_share);
        if extreme.weighed {
            for weight in [wish.high_weight, -wish.low_weight] {
                constraints.push(HalfSpace {
                    normal: [weight, weight * u, -1.0],
                    bound: weight * x,
                });
            }
        }
        if extreme.limited {
            constraints.push(HalfSpace {
                normal: [1.0, u, 0.0],
                bound: wish.high_limit + x,
            });
        }
    }
    let mut best: Option<[f64; 3]> = None;
    for i in 0..constraints.len() {
        for j in 0..i {
            for k in 0..j {
                let Some(x) = meeting_point(&constraints[i], &constraints[j], &constraints[k])
                else {
                    continue;
                };
                let better = best.is_none_or(|best| x[2] < best[2] - FEASIBLE);
                if better && constraints.iter().all(|c| c.slack(x) >= -FEASIBLE) {
                    best = Some(x);
                }
            }
        }
    }
    let [alpha, beta, worst] = best.ok_or(MeasurementError::NoRangeWithinLimit {
        limit_percent: 100.0 * wish.high_limit,
    })?;
    let useful = beta > FEASIBLE && beta.is_finite() && alpha.is_finite();
    if !useful {
        return Err(MeasurementError::BandTooWide {
            worst_percent: 100.0 * worst,
        });
    }
    Ok((Line { alpha, beta }, worst))
}

/// Where three planes meet, by Cramer's rule; `None` when they do not meet in one point.
fn meeting_point(a: &HalfSpace, b: &HalfSpace, c: &HalfSpace) -> Option<[f64; 3]> {
    let determinant = |p: [f64; 3], q: [f64; 3], r: [f64; 3]| {
        p[0] * (q[1] * r[2] - q[2] * r[1]) - p[1] * (q[0] * r[2] - q[2] * r[0])
            + p[2] * (q[0] * r[1] - q[1] * r[0])
    };
    let whole = determinant(a.normal, b.normal, c.normal);
    if whole.is_nan() || whole.abs() <= INDEPENDENT {
        return None;
    }
    let replaced = |column: usize| {
        let with = |h: &HalfSpace| {
            let mut row = h.normal;
            row[column] = h.bound;
            row
        };
        determinant(with(a), with(b), with(c)) / whole
    };
    Some([replaced(0), replaced(1), replaced(2)])
}

/// The best range of a loop, beside its hot and bench range, and the extremes that it was fitted to.
///
/// # Errors
/// As [`extremes`] and [`fit`].
pub(super) fn best_range(
    described: &Loop,
    hot: Range,
    bench: Range,
) -> Result<(BestRange, Vec<Extreme>), MeasurementError> {
    let wish = wish(described);
    let extremes = extremes(described, hot)?;
    let (line, worst) = fit(&extremes, wish)?;
    let unlimited: Vec<Extreme> = extremes
        .iter()
        .map(|extreme| Extreme {
            limited: false,
            ..extreme.clone()
        })
        .collect();
    let (_, free_worst) = fit(&unlimited, wish)?;
    let worst_percent = |range| -> Result<f64, MeasurementError> {
        Ok(100.0 * Line::of_range(range, hot)?.worst(&extremes, wish))
    };
    let mut active: Vec<(Condition, TrueLevel, f64)> = Vec::new();
    let mut held_by_high_limit = false;
    for extreme in &extremes {
        let error = line.error(extreme);
        let weighted = (wish.high_weight * error).max(-wish.low_weight * error);
        let at_worst = extreme.weighed && worst - weighted < ACTIVE;
        let at_limit = extreme.limited && wish.high_limit - error < ACTIVE;
        held_by_high_limit |= at_limit && worst > free_worst + ACTIVE;
        let point = (extreme.condition.clone(), extreme.level, 100.0 * error);
        if (at_worst || at_limit) && !active.iter().any(|known| known == &point) {
            active.push(point);
        }
    }
    let best = BestRange {
        range: line.range(hot),
        worst_error_percent: 100.0 * worst,
        hot_worst_error_percent: worst_percent(hot)?,
        bench_worst_error_percent: worst_percent(bench)?,
        active,
        held_by_high_limit,
    };
    Ok((best, extremes))
}

/// Weights and limit of a loop.
pub(super) fn wish(described: &Loop) -> Wish {
    Wish {
        high_weight: described.range.high_error_weight,
        low_weight: described.range.low_error_weight,
        high_limit: described.range.high_error_limit_percent / 100.0,
    }
}

#[cfg(test)]
#[path = "best_range_tests.rs"]
mod tests;
