//! A generic series of valve sizes, to choose from when the survey names none.
//!
//! **Source:** rated Kv by the preferred numbers of ISO 3, series R5, as most makers list them; which bore and seat go with which Kv is
//! common practice, the seats near Cv = 12·(seat in inches)². Not any maker's list: the size that is bought has its own Kv.

use crate::description::feed_system::ValveSize;

/// Globe valves: name, Kv in m3/h, bore and seat in mm.
const SERIES: [(&str, f64, f64, f64); 14] = [
    ("generic DN15, reduced trim 0.4", 0.4, 15.0, 5.0),
    ("generic DN15, reduced trim 0.63", 0.63, 15.0, 6.0),
    ("generic DN15, reduced trim 1", 1.0, 15.0, 8.0),
    ("generic DN15, reduced trim 1.6", 1.6, 15.0, 10.0),
    ("generic DN15, reduced trim 2.5", 2.5, 15.0, 12.0),
    ("generic DN15", 4.0, 15.0, 15.0),
    ("generic DN20", 6.3, 20.0, 20.0),
    ("generic DN25", 10.0, 25.0, 25.0),
    ("generic DN32", 16.0, 32.0, 32.0),
    ("generic DN40", 25.0, 40.0, 40.0),
    ("generic DN50", 40.0, 50.0, 50.0),
    ("generic DN65", 63.0, 65.0, 65.0),
    ("generic DN80", 100.0, 80.0, 80.0),
    ("generic DN100", 160.0, 100.0, 100.0),
];

/// The generic series by rising Kv.
pub fn generic_sizes() -> Vec<ValveSize> {
    SERIES
        .iter()
        .map(|&(name, rated_kv_m3_h, bore_mm, seat_mm)| ValveSize {
            name: name.to_owned(),
            rated_kv_m3_h,
            bore_m: bore_mm / 1000.0,
            seat_diameter_m: Some(seat_mm / 1000.0),
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
