//! Ringing: a level that goes on swinging to and fro after a disturbance is over. The TRUE level is looked at: no noise is on it.
//!
//! **Source:** quarter-amplitude decay as the limit of what is tuned well: Ziegler and Nichols, Optimum Settings for Automatic
//! Controllers, Trans. ASME 64 (1942). A quarter from peak to peak is a half from one swing to the next.
//! **Checked by:** `property_*` at the end.

use super::sample::Sample;

/// A swing over the one before, above which a loop rings.
pub const QUARTER_DECAY_RATIO: f64 = 0.5;
/// First swing that a person would mind, share of the allowed deviation (no source).
const MINDED_SHARE: f64 = 0.1;
/// A turn counts when the level goes back by this share of all it did in the stretch.
const TURN_SHARE: f64 = 0.03;
/// Swings that make a judgement.
const LEAST_SWINGS: usize = 3;

/// How a level rings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ringing {
    /// First turn, s from the start.
    pub from_s: f64,
    /// Swings from turn to turn.
    pub swings: usize,
    /// A swing over the one before, geometric mean.
    pub decay_ratio: f64,
    /// Two swings, s, mean.
    pub period_s: f64,
}

/// The stretch between two disturbances in which the TRUE level rings most, against a deviation that is allowed, m; `None` where
/// every swing dies out as it should.
pub fn ringing(samples: &[Sample], allowed_m: f64) -> Option<Ringing> {
    samples
        .chunk_by(is_undisturbed)
        .filter_map(|stretch| {
            let levels: Vec<(f64, f64)> = stretch
                .iter()
                .map(|sample| (sample.time_s, sample.true_level.m()))
                .collect();
            of_stretch(&levels, MINDED_SHARE * allowed_m)
        })
        .max_by(|a, b| a.decay_ratio.total_cmp(&b.decay_ratio))
}

/// Nothing that the loop has to follow changes between two samples.
fn is_undisturbed(before: &Sample, after: &Sample) -> bool {
    before.mode == after.mode
        && before.set_point == after.set_point
        && (before.demand_kg_s - after.demand_kg_s).abs() <= 1e-6 * before.demand_kg_s.abs()
}

/// Ringing of levels against time whose first swing is `minded` at least.
fn of_stretch(levels: &[(f64, f64)], minded: f64) -> Option<Ringing> {
    let turns = turns(levels);
    let swings: Vec<f64> = turns
        .windows(2)
        .map(|pair| (pair[1].1 - pair[0].1).abs())
        .collect();
    let (first, last) = (*swings.first()?, *swings.last()?);
    if swings.len() < LEAST_SWINGS || first < minded {
        return None;
    }
    let decay_ratio = (last / first).powf(1.0 / (swings.len() - 1) as f64);
    let (from_s, until_s) = (turns.first()?.0, turns.last()?.0);
    (decay_ratio > QUARTER_DECAY_RATIO).then_some(Ringing {
        from_s,
        swings: swings.len(),
        decay_ratio,
        period_s: 2.0 * (until_s - from_s) / swings.len() as f64,
    })
}

/// Where the levels turn round.
fn turns(levels: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let (low, high) = levels
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), point| {
            (low.min(point.1), high.max(point.1))
        });
    let enough = TURN_SHARE * (high - low);
    let mut turns = Vec::new();
    let Some(&first) = levels.first() else {
        return turns;
    };
    let (mut lowest, mut highest, mut rising) = (first, first, None);
    for &point in levels {
        if point.1 > highest.1 {
            highest = point;
        }
        if point.1 < lowest.1 {
            lowest = point;
        }
        let turned = match rising {
            None | Some(true) if highest.1 - point.1 > enough => Some((rising, highest, false)),
            None | Some(false) if point.1 - lowest.1 > enough => Some((rising, lowest, true)),
            _ => None,
        };
        if let Some((before, turn, now)) = turned {
            // Where it stands first is no turn.
            if before.is_some() {
                turns.push(turn);
            }
            (lowest, highest, rising) = (point, point, Some(now));
        }
    }
    turns
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cosine that decays by `ratio` each half cycle of 60 s.
    fn swinging(ratio: f64, size: f64) -> Vec<(f64, f64)> {
        (0..600)
            .map(|second| {
                let halves = f64::from(second) / 60.0;
                let swing = size * ratio.powf(halves) * (std::f64::consts::PI * halves).cos();
                (f64::from(second), 50.0 + swing)
            })
            .collect()
    }

    /// Known decay and period come back; what decays faster than a quarter a cycle, or is too small to be seen, is quiet.
    #[test]
    fn property_decay_and_period_of_a_known_swing_come_back() {
        for ratio in [0.6, 0.8, 0.95, 1.02] {
            let found = of_stretch(&swinging(ratio, 20.0), 2.0).unwrap();
            assert!((found.decay_ratio - ratio).abs() < 0.02, "{found:?}");
            assert!((found.period_s - 120.0).abs() < 3.0, "{found:?}");
        }
        assert_eq!(of_stretch(&swinging(0.4, 20.0), 2.0), None);
        assert_eq!(of_stretch(&swinging(0.9, 0.5), 2.0), None);
        assert_eq!(of_stretch(&[], 2.0), None);
    }
}
