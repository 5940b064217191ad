//! Gauss-Legendre quadrature with 16 nodes.

/// Positive nodes and weights on −1 to 1 (Abramowitz and Stegun, table 25.4; the negative nodes
/// mirror them).
const NODES: [(f64, f64); 8] = [
    (0.095_012_509_837_637_44, 0.189_450_610_455_068_64),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_64),
    (0.458_016_777_657_227_37, 0.169_156_519_395_002_65),
    (0.617_876_244_402_643_8, 0.149_595_988_816_576_7),
    (0.755_404_408_355_003, 0.124_628_971_255_534_07),
    (0.865_631_202_387_831_8, 0.095_158_511_682_492_6),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_46),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_13),
];

/// ∫ f from `from` to `to`; exact for polynomials up to degree 31.
pub(super) fn integral(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
    let sum: f64 = NODES
        .iter()
        .map(|&(node, weight)| weight * (f(middle + half * node) + f(middle - half * node)))
        .sum();
    half * sum
}

#[cfg(test)]
mod tests {
    use super::integral;

    #[test]
    fn property_exact_for_degree_31() {
        for degree in 0..=31_i32 {
            let got = integral(0.0, 1.0, |x| x.powi(degree));
            let expected = 1.0 / f64::from(degree + 1);
            assert!((got - expected).abs() < 2e-15, "degree {degree}: {got}");
        }
        assert!((integral(0.0, 1.0, |x| x.powi(60)) - 1.0 / 61.0).abs() > 1e-15);
    }
}
