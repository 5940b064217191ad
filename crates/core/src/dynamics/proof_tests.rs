//! The proof holds what it says, and a broken loop is not proved.

use super::*;
use crate::design::design;
use crate::example_loop::shell_boiler;

/// A boiler whose controller looks once a second, so that the test is quick.
fn boiler() -> Loop {
    let mut described = shell_boiler();
    described.controller.sample_time_s = 1.0;
    described
}

#[test]
fn property_slowest_that_hold_are_picked_and_faster_ones_deviate_less() {
    let described = boiler();
    let sheets = design(&described).unwrap();
    let proof = proof(&described, &sheets, 12, 7).unwrap();
    assert_eq!(proof.tried.len(), TRIED);
    for pair in proof.tried.windows(2) {
        assert!(pair[0].judged.gain_ratio < pair[1].judged.gain_ratio);
        // Slower settings let the level go further, until swell alone decides.
        assert!(pair[1].worst.peak_m.abs() < 1.05 * pair[0].worst.peak_m.abs());
    }
    let picked = proof.picked.expect("a quiet boiler has settings that hold");
    assert!(proof.tried[picked].holds());
    assert!(proof.tried[..picked].iter().all(|slower| !slower.holds()));
    let (held, of, _) = &proof.draws;
    assert_eq!((*held, *of), (12, 12), "{:?}", proof.draws);
    assert!(proof.remedies.len() >= 5);
    // Feed-forward from the steam flow takes most of a load change away.
    let two = proof
        .remedies
        .iter()
        .find(|remedy| remedy.change.contains("two elements"))
        .unwrap();
    assert!(two.peak_m < proof.unchanged_peak_m, "{:?}", proof.remedies);
    assert_eq!(proof.cycles.len(), described.duties.len());
}

#[test]
fn property_a_deviation_that_nothing_holds_is_said_so() {
    let mut described = boiler();
    described.limits.allowed_deviation_m = 0.001;
    let sheets = design(&described).unwrap();
    let proof = proof(&described, &sheets, 4, 7).unwrap();
    assert!(proof.picked.is_none());
    assert_eq!(proof.chosen.worst.fault, Some(Fault::Deviation));
    described.limits.largest_load_change_ratio = 3.0;
    assert!(matches!(
        super::proof(&described, &sheets, 4, 7),
        Err(ProofError::NothingMoves)
    ));
}
