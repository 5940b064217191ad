//! A generic series of valve sizes, to choose from when the survey names none.
//!
//! **Source:** rated Kv by the preferred numbers of ISO 3, series R5, as most makers list them; which bore goes with which Kv is common
//! practice. Not any maker's list: the size that is bought has its own Kv.

use crate::description::feed_system::ValveSize;

/// Kv, m3/h, and nominal bore, mm.
const SERIES: [(f64, u32); 16] = [
    (0.4, 15),
    (0.63, 15),
    (1.0, 15),
    (1.6, 15),
    (2.5, 15),
    (4.0, 15),
    (6.3, 20),
    (10.0, 25),
    (16.0, 32),
    (25.0, 40),
    (40.0, 50),
    (63.0, 65),
    (100.0, 80),
    (160.0, 100),
    (250.0, 125),
    (400.0, 150),
];

/// The generic series by rising Kv. Where the bore is smaller than half the line, reduced trim in a larger body is usual; the bores
/// here are those of full trim.
pub fn generic_sizes() -> Vec<ValveSize> {
    SERIES
        .iter()
        .map(|&(rated_kv_m3_h, bore_mm)| ValveSize {
            name: format!("generic DN {bore_mm} Kv {rated_kv_m3_h}"),
            rated_kv_m3_h,
            bore_m: f64::from(bore_mm) / 1000.0,
            seat_diameter_m: None,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::feedwater::sizing::scope_limit_kv_m3_h;

    /// ISO 3, series R5: steps of the fifth root of ten, rounded to two digits (1.0, 1.6, 2.5, 4.0, 6.3).
    #[test]
    fn published_preferred_numbers() {
        let sizes = generic_sizes();
        for (index, size) in sizes.iter().enumerate() {
            let exact = 0.4 * 10_f64.powf(index as f64 / 5.0);
            assert!(
                (size.rated_kv_m3_h / exact - 1.0).abs() < 0.015,
                "{}",
                size.name
            );
            assert!(
                size.rated_kv_m3_h < scope_limit_kv_m3_h(size.bore_m),
                "{}",
                size.name
            );
        }
        assert!(
            sizes
                .windows(2)
                .all(|pair| pair[1].bore_m >= pair[0].bore_m)
        );
    }
}
