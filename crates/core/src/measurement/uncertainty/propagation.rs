//! The law of propagation of uncertainty, effective degrees of freedom, coverage.
//!
//! ```text
//! u² = Σ (cᵢ·uᵢ)² + 2·Σ rᵢⱼ·cᵢ·uᵢ·cⱼ·uⱼ        ν_eff = u⁴ / Σ ((cᵢ·uᵢ)⁴ / νᵢ)
//! ```
//!
//! **Source:** JCGM 100:2008, 5.1.2, 5.2.2, G.4.1. **Departures:** the effective degrees of freedom are meant for inputs
//! that are not correlated; here correlated inputs have infinite ones of their own and add nothing to the sum.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// Degrees of freedom from which Student's t counts as normal: its 95 % factor is then 1.2·10⁻⁵ larger, and the search for
/// it would not end in a thousand times as many.
const NORMAL_FROM: f64 = 1e5;

/// One input of a budget.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// Sensitivity: output per unit of input.
    pub sensitivity: f64,
    /// Standard uncertainty of the input.
    pub standard_uncertainty: f64,
    /// Degrees of freedom, may be infinite.
    pub degrees_of_freedom: f64,
}

impl Component {
    /// Signed contribution c·u.
    pub fn signed(&self) -> f64 {
        self.sensitivity * self.standard_uncertainty
    }
}

/// What the inputs make together.
#[derive(Debug, Clone, PartialEq)]
pub struct Combined {
    /// Combined standard uncertainty.
    pub standard_uncertainty: f64,
    /// Effective degrees of freedom, may be infinite.
    pub effective_degrees_of_freedom: f64,
    /// Share of each input in the variance, percent: half of every correlation term goes to each of its two inputs, so
    /// the shares sum to 100 and one may be negative. All 0 where the variance is.
    pub shares_percent: Vec<f64>,
}

/// Combines inputs; each correlation names two of them and its coefficient.
///
/// **Checked by:** `published_gum_h1_end_gauge`, `published_gum_h2_impedance`, `published_gum_h3_thermometer`,
/// `property_units_of_an_input_do_not_matter`.
pub fn combine(components: &[Component], correlations: &[(usize, usize, f64)]) -> Combined {
    let mut parts: Vec<f64> = components
        .iter()
        .map(|component| component.signed().powi(2))
        .collect();
    for &(one, other, coefficient) in correlations {
        let term = coefficient * components[one].signed() * components[other].signed();
        parts[one] += term;
        parts[other] += term;
    }
    // Two fully correlated inputs may cancel to less than rounding.
    let variance = parts.iter().sum::<f64>().max(0.0);
    let limited: f64 = components
        .iter()
        .filter(|component| component.degrees_of_freedom.is_finite())
        .map(|component| component.signed().powi(4) / component.degrees_of_freedom)
        .sum();
    Combined {
        standard_uncertainty: variance.sqrt(),
        effective_degrees_of_freedom: effective(variance * variance, limited),
        shares_percent: parts
            .into_iter()
            .map(|part| {
                if variance > 0.0 {
                    100.0 * part / variance
                } else {
                    0.0
                }
            })
            .collect(),
    }
}

/// Effective degrees of freedom, infinite where none is limited, or so many that Student's t counts as normal.
fn effective(fourth_power: f64, limited: f64) -> f64 {
    let degrees_of_freedom = fourth_power / limited;
    if limited > 0.0 && degrees_of_freedom < NORMAL_FROM {
        degrees_of_freedom
    } else {
        f64::INFINITY
    }
}

/// Student's t, or the normal distribution for many degrees of freedom.
fn cumulative(value: f64, degrees_of_freedom: f64) -> f64 {
    match StudentsT::new(0.0, 1.0, whole(degrees_of_freedom)) {
        Ok(student) if degrees_of_freedom < NORMAL_FROM => student.cdf(value),
        _ => Normal::standard().cdf(value),
    }
}

/// Degrees of freedom are cut to the integer below (JCGM 100, G.4.1), at least 1.
fn whole(degrees_of_freedom: f64) -> f64 {
    degrees_of_freedom.floor().max(1.0)
}

/// Coverage of ±k standard uncertainties, percent.
pub fn coverage_percent(k: f64, degrees_of_freedom: f64) -> f64 {
    100.0 * (2.0 * cumulative(k, degrees_of_freedom) - 1.0)
}

/// Coverage factor k for a coverage in percent, between 0 and 100.
pub fn coverage_factor(percent: f64, degrees_of_freedom: f64) -> f64 {
    let upper = 0.5 + percent / 200.0;
    match StudentsT::new(0.0, 1.0, whole(degrees_of_freedom)) {
        Ok(student) if degrees_of_freedom < NORMAL_FROM => student.inverse_cdf(upper),
        _ => Normal::standard().inverse_cdf(upper),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn component(signed: f64, degrees_of_freedom: f64) -> Component {
        Component {
            sensitivity: 1.0,
            standard_uncertainty: signed,
            degrees_of_freedom,
        }
    }

    /// JCGM 100:2008 H.1, end gauge: contributions 25, 9.7, 2.9, 16.6 nm with 18, 25.6, 50, 2 degrees of freedom:
    /// uc 32 nm, effective degrees 16, t99 2.92, U99 93 nm.
    #[test]
    fn published_gum_h1_end_gauge() {
        let combined = combine(
            &[
                component(25.0, 18.0),
                component(9.7, 25.6),
                component(2.9, 50.0),
                component(16.6, 2.0),
            ],
            &[],
        );
        assert!(
            (combined.standard_uncertainty - 32.0).abs() < 0.5,
            "{combined:?}"
        );
        assert!(
            (combined.effective_degrees_of_freedom - 16.7).abs() < 0.15,
            "{combined:?}"
        );
        let k = coverage_factor(99.0, combined.effective_degrees_of_freedom);
        assert!((k - 2.9208).abs() < 5e-5, "{k}");
        assert!((32.0 * k - 93.0).abs() < 0.5);
    }

    /// JCGM 100:2008 H.2, resistance, reactance and impedance from five sets of readings: u .071, .295, .236 ohm,
    /// r(R,X) -.588, r(R,Z) -.485, r(X,Z) .993. The reactance is .2956 when computed without rounding.
    #[test]
    fn published_gum_h2_impedance() {
        let readings = [
            [5.007, 4.994, 5.005, 4.990, 4.999],
            [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
            [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
        ];
        let mean = readings.map(|row| row.iter().sum::<f64>() / 5.0);
        let covariance = |i: usize, j: usize| {
            (0..5)
                .map(|k| (readings[i][k] - mean[i]) * (readings[j][k] - mean[j]))
                .sum::<f64>()
                / 20.0
        };
        let u = [0, 1, 2].map(|i| covariance(i, i).sqrt());
        let correlations: Vec<_> = [(0, 1), (0, 2), (1, 2)]
            .into_iter()
            .map(|(i, j)| (i, j, covariance(i, j) / u[i] / u[j]))
            .collect();
        let [v, i, phi] = mean;
        let r = [phi.cos() / i, -v * phi.cos() / i / i, -v * phi.sin() / i];
        let x = [phi.sin() / i, -v * phi.sin() / i / i, v * phi.cos() / i];
        let z = [1.0 / i, -v / i / i, 0.0];
        let uncertainty = |c: [f64; 3]| {
            let components = [0, 1, 2].map(|at| Component {
                sensitivity: c[at],
                standard_uncertainty: u[at],
                degrees_of_freedom: f64::INFINITY,
            });
            combine(&components, &correlations).standard_uncertainty
        };
        for (value, published, digits) in [
            (v / i * phi.cos(), 127.732, 5e-4),
            (v / i * phi.sin(), 219.847, 5e-4),
            (v / i, 254.260, 5e-4),
            (uncertainty(r), 0.071, 5e-4),
            (uncertainty(x), 0.2956, 1e-4),
            (uncertainty(z), 0.236, 5e-4),
        ] {
            assert!((value - published).abs() <= digits, "{value} {published}");
        }
        let correlation = |one: [f64; 3], other: [f64; 3]| {
            let sum = [0, 1, 2].map(|at| one[at] + other[at]);
            (uncertainty(sum).powi(2) - uncertainty(one).powi(2) - uncertainty(other).powi(2))
                / (2.0 * uncertainty(one) * uncertainty(other))
        };
        for (value, published) in [
            (correlation(r, x), -0.588),
            (correlation(r, z), -0.485),
            (correlation(x, z), 0.993),
        ] {
            assert!((value - published).abs() < 1e-3, "{value} {published}");
        }
    }

    /// JCGM 100:2008 H.3, thermometer: intercept u .0029, slope u .00067, r -.930: correction at 30 degC u .0041.
    #[test]
    fn published_gum_h3_thermometer() {
        let slope = Component {
            sensitivity: 10.0,
            standard_uncertainty: 0.000_67,
            degrees_of_freedom: 9.0,
        };
        let combined = combine(&[component(0.0029, 9.0), slope], &[(0, 1, -0.930)]);
        assert!(
            (combined.standard_uncertainty - 0.0041).abs() < 5e-5,
            "{combined:?}"
        );
        assert!((combined.shares_percent.iter().sum::<f64>() - 100.0).abs() < 1e-9);
    }

    /// JCGM 100:2008 table G.2: t for 95.45 % at 10 degrees 2.28, at infinity 2.000; t for 95 % at 4 degrees 2.78.
    #[test]
    fn published_gum_table_g2() {
        assert!((coverage_factor(95.45, 10.0) - 2.28).abs() < 0.005);
        assert!((coverage_factor(95.45, f64::INFINITY) - 2.0).abs() < 0.0005);
        assert!((coverage_factor(95.0, 4.0) - 2.78).abs() < 0.005);
        assert!((coverage_percent(2.0, f64::INFINITY) - 95.45).abs() < 0.005);
        assert!((coverage_percent(coverage_factor(95.0, 7.0), 7.0) - 95.0).abs() < 1e-6);
    }

    /// Readings that scatter little leave effective degrees of freedom by the hundred million.
    #[test]
    fn property_many_degrees_of_freedom_are_as_good_as_infinite() {
        let normal = coverage_factor(95.0, f64::INFINITY);
        let effective_of = |limited: f64| {
            let parts = [component(1.0, f64::INFINITY), component(limited, 3.0)];
            combine(&parts, &[]).effective_degrees_of_freedom
        };
        // 3/0.1^4 = 30 000, times (1 + 0.1^2)^2; 3/0.01^4 is 3·10^8.
        assert!((effective_of(0.1) / (30_000.0 * 1.0201) - 1.0).abs() < 1e-9);
        assert!(effective_of(0.01).is_infinite() && effective_of(0.0).is_infinite());
        for degrees_of_freedom in [0.999 * NORMAL_FROM, NORMAL_FROM, 9e8, 1e300] {
            let factor = coverage_factor(95.0, degrees_of_freedom);
            assert!(
                (factor / normal - 1.0).abs() < 2e-5,
                "{degrees_of_freedom}: {factor}"
            );
            let covered = coverage_percent(2.0, degrees_of_freedom);
            assert!(
                (covered - 95.449_974).abs() < 1e-3,
                "{degrees_of_freedom}: {covered}"
            );
        }
    }

    proptest! {
        #[test]
        fn property_units_of_an_input_do_not_matter(
            unit in 1e-3_f64..1e3,
            a in 0.1_f64..10.0,
            b in 0.1_f64..10.0,
            r in -0.9_f64..0.9,
        ) {
            let metres = [component(a, 5.0), component(b, f64::INFINITY)];
            let mut other = metres;
            other[0].standard_uncertainty *= unit;
            other[0].sensitivity /= unit;
            let (one, two) = (combine(&metres, &[(0, 1, r)]), combine(&other, &[(0, 1, r)]));
            prop_assert!((one.standard_uncertainty / two.standard_uncertainty - 1.0).abs() < 1e-12);
            prop_assert!((one.shares_percent.iter().sum::<f64>() - 100.0).abs() < 1e-9);
        }

        #[test]
        fn property_a_zero_width_changes_nothing(a in 0.1_f64..10.0, b in 0.1_f64..10.0) {
            let without = combine(&[component(a, 3.0), component(b, f64::INFINITY)], &[]);
            let with = combine(
                &[component(a, 3.0), component(b, f64::INFINITY), component(0.0, f64::INFINITY)],
                &[(1, 2, 1.0)],
            );
            prop_assert!((without.standard_uncertainty / with.standard_uncertainty - 1.0).abs() < 1e-12);
            prop_assert!(with.shares_percent[2].abs() < 1e-12);
        }
    }
}
