//! Hatching as plain lines, because patterns and clips are not drawn alike everywhere.

use crate::svg::Point;

/// Which way hatching leans.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Slant {
    /// Like a slash.
    Rising,
    /// Like a backslash.
    Falling,
}

/// Lines at 45 degrees inside a closed shape. They lie on one grid of the whole drawing, so neighbours match.
pub(crate) fn hatch_lines(shape: &[Point], slant: Slant, distance: f64) -> Vec<(Point, Point)> {
    if shape.len() < 3
        || !(distance > 0.0)
        || !shape.iter().all(|(x, y)| x.is_finite() && y.is_finite())
    {
        return Vec::new();
    }
    let sign = if slant == Slant::Rising { 1.0 } else { -1.0 };
    // On a line of the hatching `offset = x + sign * y` is constant.
    let offset = |(x, y): Point| x + sign * y;
    let step = distance * std::f64::consts::SQRT_2;
    let lowest = shape
        .iter()
        .copied()
        .map(offset)
        .fold(f64::INFINITY, f64::min);
    let highest = shape
        .iter()
        .copied()
        .map(offset)
        .fold(f64::NEG_INFINITY, f64::max);
    let mut lines = Vec::new();
    let mut k = (lowest / step).ceil();
    while k * step < highest {
        let target = k * step;
        let mut crossings: Vec<Point> = Vec::new();
        for (i, &from) in shape.iter().enumerate() {
            let to = shape[(i + 1) % shape.len()];
            let (a, b) = (offset(from) - target, offset(to) - target);
            if (a < 0.0) != (b < 0.0) {
                let share = a / (a - b);
                crossings.push((
                    from.0 + share * (to.0 - from.0),
                    from.1 + share * (to.1 - from.1),
                ));
            }
        }
        crossings.sort_by(|p, q| p.0.total_cmp(&q.0));
        for pair in crossings.chunks_exact(2) {
            lines.push((pair[0], pair[1]));
        }
        k += 1.0;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_hatching_stays_inside_its_shape() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 20.0), (0.0, 20.0)];
        for slant in [Slant::Rising, Slant::Falling] {
            let lines = hatch_lines(&square, slant, 3.0);
            // 30 units of diagonal extent, steps of 3 sqrt 2.
            assert_eq!(lines.len(), 7);
            for (from, to) in lines {
                for (x, y) in [from, to] {
                    assert!((-1e-9..=10.0 + 1e-9).contains(&x));
                    assert!((-1e-9..=20.0 + 1e-9).contains(&y));
                }
            }
        }
    }
}
