//! Tests of the choice of size.

use super::*;
use crate::description::feed_system::{FeedSystem, Supply};
use crate::example_loop::shell_boiler;
use crate::feedwater::duties::valve_duties;
use crate::feedwater::example_sheet::feed_system;
use crate::feedwater::sizes::generic_sizes;

const UNITS: ReaderUnits = ReaderUnits::new(crate::description::UnitSystem::Us);

fn assessed(system: &FeedSystem, sizes: &[ValveSize]) -> Vec<Assessed> {
    let the_loop = shell_boiler();
    let duties = valve_duties(&the_loop, system).unwrap();
    let systems: Vec<System> = duties
        .iter()
        .map(|duty| System::of(&the_loop, system, duty).unwrap())
        .collect();
    let (largest, smallest) = largest_and_smallest(&duties).unwrap();
    assert_eq!((largest, smallest), (0, 2));
    let bench = Bench {
        duties: &duties,
        systems: &systems,
        valve: &system.valve,
        line: &system.line,
        largest,
        smallest,
        units: UNITS,
    };
    sizes
        .iter()
        .map(|size| bench.assess(size).unwrap())
        .collect()
}

#[test]
fn practice_wants_decide() {
    let mut all = assessed(&feed_system(), &generic_sizes());
    let (chosen, words) = choose(&mut all, None, UNITS).unwrap();
    assert!(all[chosen].candidate.fits, "{words}");
    let travel = all[chosen].candidate.travel_percent[0].unwrap();
    assert!((60.0..=80.0).contains(&travel), "{travel}");
    assert!(
        words.contains("next smaller") && words.contains("next larger"),
        "{words}"
    );
    assert_eq!(all.iter().filter(|one| one.candidate.chosen).count(), 1);
    // The smallest of all passes nothing, the largest sits on its seat.
    assert!(
        all[0].candidate.words.contains("too small"),
        "{}",
        all[0].candidate.words
    );
    let largest = &all[13].candidate.words;
    assert!(
        largest.contains("times the inside diameter of the pipe"),
        "{largest}"
    );
    assert!(
        all[10].candidate.words.contains("oversized"),
        "{}",
        all[10].candidate.words
    );
}

#[test]
fn property_fitted_is_judged_and_kept() {
    let sizes = generic_sizes();
    let mut all = assessed(&feed_system(), &sizes);
    let (best, _) = choose(&mut all.clone(), None, UNITS).unwrap();
    let (chosen, words) = choose(&mut all, Some(&sizes[best + 3]), UNITS).unwrap();
    assert_eq!(chosen, best + 3);
    assert!(
        words.starts_with(&all[chosen].candidate.words) && words.contains("would serve better"),
        "{words}"
    );
    assert!(words.contains("(Cv ") && !words.contains("Kv"), "{words}");
}

#[test]
fn property_travels_agree_with_the_installed_curve() {
    let system = feed_system();
    let all = assessed(&system, &generic_sizes()[4..9]);
    for one in all {
        let Some(travel) = one.candidate.travel_percent[0] else {
            assert!(one.candidate.full_flow_kg_s < 1.65);
            continue;
        };
        // At the largest duty's own pressures the curve passes its flow at its travel.
        let curve = &one.installed.curve;
        let below = curve
            .iter()
            .rfind(|point| point.travel_percent <= travel)
            .unwrap();
        let above = curve
            .iter()
            .find(|point| point.travel_percent >= travel)
            .unwrap();
        assert!(below.flow_kg_s <= 1.65 + 1e-9 && above.flow_kg_s >= 1.65 - 1e-9);
    }
}

#[test]
fn property_sizes_that_cannot_be_are_refused() {
    let system = feed_system();
    assert!(matches!(system.supply, Supply::Pump(_)));
    for (kv, bore) in [(0.0, 0.02), (f64::NAN, 0.02), (4.0, -1.0)] {
        let size = ValveSize {
            name: "x".into(),
            rated_kv_m3_h: kv,
            bore_m: bore,
            seat_diameter_m: None,
        };
        assert!(check_size(&size).is_err());
    }
}
