//! Axes: from a number in the reader's unit to a place on the drawing, with ticks at round numbers.

use halfglass_report::units::number;

/// A linear axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scale {
    from: f64,
    to: f64,
    place_from: f64,
    place_to: f64,
}

impl Scale {
    /// Values `from..to` on places `place_from..place_to`; places may fall as values rise.
    pub(crate) const fn new((from, to): (f64, f64), (place_from, place_to): (f64, f64)) -> Self {
        Self {
            from,
            to,
            place_from,
            place_to,
        }
    }

    /// Where a value sits.
    pub(crate) fn place(&self, value: f64) -> f64 {
        self.place_from
            + (value - self.from) / (self.to - self.from) * (self.place_to - self.place_from)
    }

    /// First and last value.
    pub(crate) const fn ends(&self) -> (f64, f64) {
        (self.from, self.to)
    }

    /// Places of the first and the last value.
    pub(crate) const fn places(&self) -> (f64, f64) {
        (self.place_from, self.place_to)
    }

    /// Is the value on the axis.
    pub(crate) fn holds(&self, value: f64) -> bool {
        let (low, high) = (self.from.min(self.to), self.from.max(self.to));
        let slack = 1e-9 * (high - low);
        (low - slack..=high + slack).contains(&value)
    }

    /// Round numbers on the axis, at most about `most` of them.
    pub(crate) fn ticks(&self, most: usize) -> Ticks {
        let (low, high) = (self.from.min(self.to), self.from.max(self.to));
        let step = round_step(high - low, most);
        let first = (low / step - 1e-9).ceil();
        let last = (high / step + 1e-9).floor();
        let count = if last >= first {
            (last - first) as usize + 1
        } else {
            0
        };
        let decimals = (-(step.log10() + 1e-9).floor()).max(0.0) as usize;
        let values = (0..count.min(1000))
            .map(|i| (first + i as f64) * step)
            .map(|v| if v.abs() < 1e-9 * step { 0.0 } else { v })
            .collect();
        Ticks {
            values,
            step,
            decimals,
        }
    }
}

/// Ticks of an axis.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Ticks {
    /// Their values.
    pub(crate) values: Vec<f64>,
    /// Distance between them.
    pub(crate) step: f64,
    /// Decimals that tell them apart.
    pub(crate) decimals: usize,
}

impl Ticks {
    /// A tick's number.
    pub(crate) fn text(&self, value: f64) -> String {
        number(value, self.decimals)
    }
}

/// The smallest of 1, 2, 5 times a power of ten that gives at most `most` steps.
fn round_step(extent: f64, most: usize) -> f64 {
    if !(extent > 0.0 && extent.is_finite()) {
        return 1.0;
    }
    let raw = extent / most.max(1) as f64;
    let power = 10_f64.powf(raw.log10().floor());
    for factor in [1.0, 2.0, 5.0] {
        if factor * power >= raw * (1.0 - 1e-9) {
            return factor * power;
        }
    }
    10.0 * power
}

/// Cuts a curve to the values that an axis holds: the parts that stay, each ended exactly at the edge.
pub(crate) fn cut(points: &[(f64, f64)], low: f64, high: f64) -> Vec<Vec<(f64, f64)>> {
    let mut parts: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut open = false;
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if ![a.0, a.1, b.0, b.1].iter().all(|v| v.is_finite()) {
            open = false;
            continue;
        }
        let at = |share: f64| (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1));
        let rise = b.1 - a.1;
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        if rise.abs() < f64::MIN_POSITIVE {
            if !(low..=high).contains(&a.1) {
                open = false;
                continue;
            }
        } else {
            let (s, t) = ((low - a.1) / rise, (high - a.1) / rise);
            enter = enter.max(s.min(t));
            leave = leave.min(s.max(t));
            if enter > leave {
                open = false;
                continue;
            }
        }
        if !open || enter > 0.0 {
            parts.push(vec![at(enter)]);
        }
        if let Some(part) = parts.last_mut() {
            part.push(at(leave));
        }
        open = leave >= 1.0;
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn practice_ticks_are_round() {
        for (ends, most, first, step, decimals) in [
            ((0.0, 30.0), 6, 0.0, 5.0, 0),
            ((-3.2, 18.0), 6, 0.0, 5.0, 0),
            ((0.0, 1.0), 5, 0.0, 0.2, 1),
            ((-0.04, 0.05), 5, -0.04, 0.02, 2),
            ((0.0, 150.0), 8, 0.0, 20.0, 0),
        ] {
            let ticks = Scale::new(ends, (0.0, 100.0)).ticks(most);
            assert!(
                (ticks.values[0] - first).abs() < 1e-12,
                "{ends:?} {ticks:?}"
            );
            assert!((ticks.step - step).abs() < 1e-12, "{ends:?} {ticks:?}");
            assert_eq!(ticks.decimals, decimals, "{ends:?}");
            assert!(ticks.values.len() <= most + 1);
        }
    }

    #[test]
    fn property_an_axis_is_linear_both_ways() {
        let scale = Scale::new((-10.0, 40.0), (500.0, 100.0));
        assert!((scale.place(-10.0) - 500.0).abs() < 1e-12);
        assert!((scale.place(40.0) - 100.0).abs() < 1e-12);
        assert!((scale.place(15.0) - 300.0).abs() < 1e-12);
    }

    #[test]
    fn practice_an_axis_without_extent_still_has_finite_ticks() {
        let ticks = Scale::new((3.0, 3.0), (0.0, 1.0)).ticks(5);
        assert!(ticks.values.iter().all(|v| v.is_finite()));
    }

    #[test]
    fn practice_a_curve_is_cut_at_the_edge() {
        let wave = [(0.0, 0.0), (1.0, 10.0), (2.0, 0.0), (3.0, -10.0)];
        let parts = cut(&wave, -5.0, 5.0);
        assert_eq!(
            parts,
            vec![
                vec![(0.0, 0.0), (0.5, 5.0)],
                vec![(1.5, 5.0), (2.0, 0.0), (2.5, -5.0)]
            ]
        );
    }
}
