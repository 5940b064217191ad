//! Roots of the characteristic equation with exact dead time, found and then counted.
//!
//! Formulas and sources are in [`super::poles`].

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::poles::{ClosedLoopPoles, Pole, PoleError};

/// An oscillation that decays more than this many times faster than the dominant pole is not reported.
const FASTEST_REPORTED_DECAY: f64 = 5.0;

/// Sizes and angles of the starts that are tried first, and of those tried where they do not find every root.
const FEW_STARTS: (i32, i32) = (12, 6);
const MANY_STARTS: (i32, i32) = (48, 16);

/// Roots closer than this part of their size are one, with the multiplicity counted around it.
const MERGED: f64 = 1e-5;

#[derive(Clone, Copy, Debug)]
struct Complex {
    re: f64,
    im: f64,
}

impl Complex {
    fn plus(self, other: Self) -> Self {
        Self {
            re: self.re + other.re,
            im: self.im + other.im,
        }
    }

    fn times(self, other: Self) -> Self {
        Self {
            re: self.re * other.re - self.im * other.im,
            im: self.re * other.im + self.im * other.re,
        }
    }

    fn scaled(self, factor: f64) -> Self {
        Self {
            re: self.re * factor,
            im: self.im * factor,
        }
    }

    fn over(self, other: Self) -> Self {
        let square = other.re * other.re + other.im * other.im;
        let conjugate = Self {
            re: other.re,
            im: -other.im,
        };
        self.times(conjugate).scaled(1.0 / square)
    }

    fn exp(self) -> Self {
        let size = self.re.exp();
        Self {
            re: size * self.im.cos(),
            im: size * self.im.sin(),
        }
    }

    fn abs(self) -> f64 {
        self.re.hypot(self.im)
    }

    /// |s|².
    fn square(self) -> f64 {
        self.re * self.re + self.im * self.im
    }

    fn arg(self) -> f64 {
        self.im.atan2(self.re)
    }
}

#[derive(Clone, Copy)]
pub(super) struct Characteristic {
    pub(super) second: f64,
    pub(super) first_per_s: f64,
    pub(super) zeroth_per_s2: f64,
    pub(super) dead_time_s: f64,
}

impl Characteristic {
    /// Poles of the open loop at the origin.
    fn order(self) -> f64 {
        if self.zeroth_per_s2 > 0.0 { 2.0 } else { 1.0 }
    }

    /// D(s), N(s), dD/ds, dN/ds without the dead time.
    fn parts(self, s: Complex) -> [Complex; 4] {
        let constant = |re: f64| Complex { re, im: 0.0 };
        if self.zeroth_per_s2 > 0.0 {
            let numerator = s
                .scaled(self.second)
                .plus(constant(self.first_per_s))
                .times(s);
            [
                s.times(s),
                numerator.plus(constant(self.zeroth_per_s2)),
                s.scaled(2.0),
                s.scaled(2.0 * self.second).plus(constant(self.first_per_s)),
            ]
        } else {
            let numerator = s.scaled(self.second).plus(constant(self.first_per_s));
            [s, numerator, constant(1.0), constant(self.second)]
        }
    }

    /// F, dF/ds and L = N·e^(−θs)/D.
    fn evaluate(self, s: Complex) -> (Complex, Complex, Complex) {
        let [denominator, numerator, denominator_slope, numerator_slope] = self.parts(s);
        let delay = s.scaled(-self.dead_time_s).exp();
        let value = denominator.plus(numerator.times(delay));
        let slope = numerator_slope
            .plus(numerator.scaled(-self.dead_time_s))
            .times(delay)
            .plus(denominator_slope);
        (value, slope, numerator.times(delay).over(denominator))
    }

    pub(super) fn poles_without_dead_time(self) -> ClosedLoopPoles {
        let lead = 1.0 + self.second;
        let real = |real_per_s: f64| ClosedLoopPoles {
            dominant: Pole {
                real_per_s,
                imaginary_rad_s: 0.0,
            },
            slowest_oscillation: None,
        };
        if self.zeroth_per_s2 <= 0.0 {
            return real(-self.first_per_s / lead);
        }
        let half = 0.5 * self.first_per_s / lead;
        let product = self.zeroth_per_s2 / lead;
        let discriminant = half * half - product;
        if discriminant >= 0.0 {
            // The slow root as product over fast root, without cancellation.
            return real(-product / (half + discriminant.sqrt()));
        }
        let pole = Pole {
            real_per_s: -half,
            imaginary_rad_s: (-discriminant).sqrt(),
        };
        ClosedLoopPoles {
            dominant: pole,
            slowest_oscillation: Some(pole),
        }
    }

    /// Smallest and largest rate of the loop, 1/s.
    fn scales_per_s(self) -> (f64, f64) {
        let candidates = [
            1.0 / self.dead_time_s,
            self.first_per_s,
            self.zeroth_per_s2.sqrt(),
            self.zeroth_per_s2 / self.first_per_s,
        ];
        let usable = || {
            candidates
                .into_iter()
                .filter(|rate| *rate > 0.0 && rate.is_finite())
        };
        (
            usable().fold(f64::INFINITY, f64::min),
            usable().fold(0.0, f64::max),
        )
    }

    pub(super) fn poles_with_dead_time(self) -> Result<ClosedLoopPoles, PoleError> {
        // Few starts find the roots of most loops, and the count tells when they did not.
        self.poles_from(&self.roots(FEW_STARTS), true)
            .or_else(|_| self.poles_from(&self.roots(MANY_STARTS), false))
    }

    /// The poles from these roots. Where no root swings, `must_be_sure` also counts as far left as a swing is reported.
    fn poles_from(self, roots: &[Pole], must_be_sure: bool) -> Result<ClosedLoopPoles, PoleError> {
        let not_found = PoleError::NotCertain {
            counted: f64::NAN,
            found: 0.0,
            line_per_s: f64::NAN,
        };
        let dominant = *roots.first().ok_or(not_found)?;
        // Lines just left of the pole: beside its own size, so that a pole near zero is still cleared.
        let line_left_of = |pole: Pole| {
            let next = roots
                .iter()
                .find(|root| root.real_per_s < pole.real_per_s - MERGED * pole.size_per_s());
            let gap = next.map_or(f64::INFINITY, |root| pole.real_per_s - root.real_per_s);
            pole.real_per_s - (0.5 * gap).min(0.05 * pole.size_per_s())
        };
        self.verify(roots, line_left_of(dominant))?;
        let slowest_oscillation = roots
            .iter()
            .copied()
            .find(|root| root.imaginary_rad_s > 0.0)
            .filter(|root| {
                root.real_per_s >= FASTEST_REPORTED_DECAY * dominant.real_per_s
                    || root.real_per_s >= 0.0
            });
        match slowest_oscillation {
            Some(pole) if pole != dominant => self.verify(roots, line_left_of(pole))?,
            None if must_be_sure && dominant.real_per_s < 0.0 => {
                self.verify(roots, FASTEST_REPORTED_DECAY * dominant.real_per_s)?;
            }
            _ => {}
        }
        Ok(ClosedLoopPoles {
            dominant,
            slowest_oscillation,
        })
    }

    /// Distinct roots found in the upper half plane from a polar grid of so many sizes and angles, rightmost first.
    fn roots(self, (rates, angles): (i32, i32)) -> Vec<Pole> {
        let (low, high) = self.scales_per_s();
        let (low, high) = (0.05 * low, 20.0 * high);
        let mut roots: Vec<Pole> = Vec::new();
        for i in 0..=rates {
            let size = low * (high / low).powf(f64::from(i) / f64::from(rates));
            for j in 0..=angles {
                let angle = PI * f64::from(j) / f64::from(angles);
                let start = Complex {
                    re: size * angle.cos(),
                    im: size * angle.sin(),
                };
                let Some(root) = self.newton(start) else {
                    continue;
                };
                // Half: then a circle of the merging radius holds both of a pair or one.
                let is_real = root.im.abs() <= 0.5 * MERGED * root.abs();
                let pole = Pole {
                    real_per_s: root.re,
                    imaginary_rad_s: if is_real { 0.0 } else { root.im.abs() },
                };
                let is_new = roots.iter().all(|known| {
                    let apart = Complex {
                        re: known.real_per_s - pole.real_per_s,
                        im: known.imaginary_rad_s - pole.imaginary_rad_s,
                    };
                    apart.square() > MERGED * MERGED * root.square()
                });
                if is_new {
                    roots.push(pole);
                }
            }
        }
        roots.sort_by(|a, b| b.real_per_s.total_cmp(&a.real_per_s));
        roots
    }

    fn newton(self, start: Complex) -> Option<Complex> {
        let mut s = start;
        for _ in 0..60 {
            let (value, slope, _) = self.evaluate(s);
            let step = value.over(slope);
            s = s.plus(step.scaled(-1.0));
            let (size, change) = (s.square(), step.square());
            if !(size > 0.0 && size.is_finite()) {
                return None;
            }
            if change <= 1e-26 * size {
                return Some(s);
            }
        }
        // A nearly double root converges slowly and stops at about √eps.
        let (value, slope, _) = self.evaluate(s);
        (value.over(slope).abs() <= 1e-7 * s.abs()).then_some(s)
    }

    /// Roots right of the line by the argument principle against those found.
    fn verify(self, roots: &[Pole], line_per_s: f64) -> Result<(), PoleError> {
        let found: f64 = roots
            .iter()
            .filter(|root| root.real_per_s > line_per_s)
            .map(|root| {
                self.multiplicity(*root) * if root.imaginary_rad_s > 0.0 { 2.0 } else { 1.0 }
            })
            .sum();
        let ratio = self.second * (-self.dead_time_s * line_per_s).exp();
        if ratio >= 0.95 || ratio.is_nan() {
            return Err(PoleError::NoneDominates {
                ratio: self.second,
                chain_decay_per_s: -self.second.ln() / self.dead_time_s,
            });
        }
        let counted = self.roots_right_of(line_per_s);
        if (counted - found).abs() < 0.1 {
            Ok(())
        } else {
            Err(PoleError::NotCertain {
                counted,
                found,
                line_per_s,
            })
        }
    }

    /// Turns of F around a circle of the merging radius: 1 for a single root, 2 for a double one.
    fn multiplicity(self, root: Pole) -> f64 {
        const POINTS: i32 = 32;
        let radius = MERGED * root.size_per_s();
        let at = |i: i32| {
            let angle = TAU * f64::from(i) / f64::from(POINTS);
            let s = Complex {
                re: root.real_per_s + radius * angle.cos(),
                im: root.imaginary_rad_s + radius * angle.sin(),
            };
            self.evaluate(s).0
        };
        let turned: f64 = (0..POINTS).map(|i| at(i + 1).over(at(i)).arg()).sum();
        (turned / TAU).round()
    }

    /// N = n/2 − Δarg/π, F followed up the line with steps that turn it by less than 0.4 rad.
    fn roots_right_of(self, line_per_s: f64) -> f64 {
        let (low, high) = self.scales_per_s();
        let at = |w_rad_s: f64| Complex {
            re: line_per_s,
            im: w_rad_s,
        };
        let mut w_rad_s = 0.0;
        let mut step_rad_s = 1e-3 * low;
        let mut turned_rad = 0.0;
        let (mut value, _, mut open_loop) = self.evaluate(at(0.0));
        for _ in 0..200_000 {
            if w_rad_s > 3.0 * high && open_loop.abs() < 0.97 {
                let remaining = self.order() * (FRAC_PI_2 - at(w_rad_s).arg())
                    - Complex {
                        re: 1.0 + open_loop.re,
                        im: open_loop.im,
                    }
                    .arg();
                return 0.5 * self.order() - (turned_rad + remaining) / PI;
            }
            let next_rad_s = w_rad_s + step_rad_s;
            let (next, _, next_open_loop) = self.evaluate(at(next_rad_s));
            let turn = next.over(value).arg();
            let (middle, _, _) = self.evaluate(at(w_rad_s + 0.5 * step_rad_s));
            let by_halves = middle.over(value).arg() + next.over(middle).arg();
            if turn.abs() > 0.4 || (turn - by_halves).abs() > 1e-9 {
                step_rad_s *= 0.5;
                continue;
            }
            turned_rad += turn;
            (w_rad_s, value, open_loop) = (next_rad_s, next, next_open_loop);
            // The dead time alone turns by θ·step: never skip a turn of it.
            step_rad_s = (2.0 * step_rad_s).min(0.4 / self.dead_time_s);
        }
        f64::NAN
    }
}
