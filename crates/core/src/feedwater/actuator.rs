//! Is the actuator strong enough to shut the valve tightly, and to open it again, against the largest drop.

use std::f64::consts::PI;

use crate::description::Loop;
use crate::description::feed_system::{Actuator, FeedSystem, LeakageClass, ValveSize};
use crate::feedwater::sheets::ActuatorSheet;
use crate::finding::{Finding, Severity};

/// Rated over needed that is thought enough (common practice, no source).
pub const USUAL_MARGIN_RATIO: f64 = 1.25;

/// Share of the seat area on which the drop still acts with a balanced plug: the ring between seat and balancing seal
/// (common practice, from memory: a tenth or less; the valve's maker knows).
const BALANCED_RING_SHARE: f64 = 0.1;

/// Seat above which a class IV seat wants the larger load, m (common practice, from memory).
const LARGE_SEAT_M: f64 = 0.11;

/// Why the actuator cannot be judged.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ActuatorError {
    /// The drop at shut-off is no drop.
    #[error("drop at shut-off is {drop_pa} Pa: 0 or more is wanted")]
    Drop {
        /// Drop, Pa.
        drop_pa: f64,
    },
    /// Neither the seat nor the bore has a size.
    #[error("seat diameter is {seat_m} m: more than 0 is wanted")]
    Seat {
        /// Diameter used, m.
        seat_m: f64,
    },
    /// A force or torque is negative or no number.
    #[error("{what} is {value}: {wanted} is wanted")]
    Strength {
        /// Which.
        what: &'static str,
        /// Value, N or N·m.
        value: f64,
        /// What it should be.
        wanted: &'static str,
    },
}

/// Seat load for a leakage class on a length of seat circumference, N/m.
///
/// IEC 60534-4 sets what may leak and leaves the load to the maker. These are round figures of common practice, from
/// memory: metal seats for II to V; class VI is a soft seat, which wants no more than a metal one of class IV.
pub fn seat_load_n_m(class: LeakageClass, seat_diameter_m: f64) -> f64 {
    match class {
        LeakageClass::II => 3_500.0,
        LeakageClass::III => 7_000.0,
        LeakageClass::IV if seat_diameter_m > LARGE_SEAT_M => 14_000.0,
        LeakageClass::IV | LeakageClass::VI => 7_000.0,
        LeakageClass::V => 25_000.0,
    }
}

/// The actuator against the drop with the valve shut.
///
/// ```text
/// F_drop = s·a·(π/4)·d²·Δp        s = +1 flow opens, −1 flow shuts;  a = 1, balanced plug: ring share
/// F_shut = F_pack + max(F_seat + F_drop, 0)
/// F_open = F_pack + max(−F_drop, 0)
/// needed = max(F_shut, F_open)       F_seat = load per length · π·d
/// ```
///
/// | symbol | name                  | unit | range |
/// |--------|-----------------------|------|-------|
/// | d      | seat diameter         | m    | > 0   |
/// | Δp     | `shut_off_drop_pa`    | Pa   | ≥ 0   |
/// | F_pack | packing friction      | N    | ≥ 0   |
/// | F_seat | seat load             | N    | > 0   |
///
/// A rotary valve is judged by its maker's break-away and running torques, whichever is larger.
///
/// **Source:** statics; seat load see [`seat_load_n_m`]. **Departures:** weight of plug and stem, and the stem's own area, are left out.
/// **Checked by:** `practice_forces_by_hand`, `property_needed_force_rises_with_drop_and_rescales`.
///
/// # Errors
/// [`ActuatorError`].
pub fn actuator_sheet(
    the_loop: &Loop,
    system: &FeedSystem,
    chosen: &ValveSize,
    shut_off_drop_pa: f64,
) -> Result<(ActuatorSheet, Vec<Finding>), ActuatorError> {
    if !(shut_off_drop_pa >= 0.0 && shut_off_drop_pa.is_finite()) {
        return Err(ActuatorError::Drop {
            drop_pa: shut_off_drop_pa,
        });
    }
    let sheet = match system.actuator {
        Actuator::Linear {
            rated_force_n,
            packing_friction_n,
            balanced,
            flow_opens,
        } => {
            strength("rated force", rated_force_n, true)?;
            strength("packing friction", packing_friction_n, false)?;
            let stem = Stem {
                rated_force_n,
                packing_friction_n,
                balanced,
                flow_opens,
            };
            linear(system, chosen, shut_off_drop_pa, stem)?
        }
        Actuator::Rotary {
            rated_torque_n_m,
            breakaway_torque_n_m,
            running_torque_n_m,
        } => {
            strength("rated torque", rated_torque_n_m, true)?;
            strength("break-away torque", breakaway_torque_n_m, true)?;
            strength("running torque", running_torque_n_m, false)?;
            let required = breakaway_torque_n_m.max(running_torque_n_m);
            let margin_ratio = rated_torque_n_m / required;
            ActuatorSheet {
                from_drop: breakaway_torque_n_m,
                packing_friction_n: 0.0,
                seat_load_n: 0.0,
                required,
                rated: rated_torque_n_m,
                is_torque: true,
                margin_ratio,
                shut_off_drop_pa,
                enough: margin_ratio >= USUAL_MARGIN_RATIO,
                words: format!(
                    "{} The actuator gives {margin_ratio:.2} times the largest torque; {USUAL_MARGIN_RATIO} is common practice. Both torques are the maker's, for the drop at shut-off of this sheet: ask for them at that drop.",
                    if running_torque_n_m > breakaway_torque_n_m {
                        "Turning against the flow takes more than breaking away from the seat."
                    } else {
                        "Breaking away from the seat takes the most."
                    }
                ),
            }
        }
    };
    let findings = findings(the_loop, system, &sheet, chosen);
    Ok((sheet, findings))
}

/// A stem's data, checked.
#[derive(Debug, Clone, Copy)]
struct Stem {
    rated_force_n: f64,
    packing_friction_n: f64,
    balanced: bool,
    flow_opens: bool,
}

fn linear(
    system: &FeedSystem,
    chosen: &ValveSize,
    drop_pa: f64,
    stem: Stem,
) -> Result<ActuatorSheet, ActuatorError> {
    let seat_m = chosen.seat_diameter_m.unwrap_or(chosen.bore_m);
    if !(seat_m > 0.0 && seat_m.is_finite()) {
        return Err(ActuatorError::Seat { seat_m });
    }
    let share = if stem.balanced {
        BALANCED_RING_SHARE
    } else {
        1.0
    };
    let force_n = share * 0.25 * PI * seat_m * seat_m * drop_pa;
    let from_drop = if stem.flow_opens { force_n } else { -force_n };
    let seat_load_n = PI * seat_m * seat_load_n_m(system.valve.leakage, seat_m);
    let shutting_n = stem.packing_friction_n + (seat_load_n + from_drop).max(0.0);
    let opening_n = stem.packing_friction_n + (-from_drop).max(0.0);
    let required = shutting_n.max(opening_n);
    let margin_ratio = stem.rated_force_n / required;
    let mut words = vec![
        if stem.flow_opens {
            "The flow pushes the plug open: shutting against it takes the most force."
        } else if opening_n > shutting_n {
            "The flow pushes the plug shut: it helps to press the seat, and lifting the plug again takes the most force."
        } else {
            "The flow pushes the plug shut: it helps to press the seat."
        }
        .to_owned(),
    ];
    if stem.balanced {
        words.push(format!(
            "The plug is balanced: the drop is taken to act on {:.0} % of the seat (common practice, from memory), and its seal leaks beside the seat.",
            100.0 * BALANCED_RING_SHARE
        ));
    }
    if chosen.seat_diameter_m.is_none() {
        words.push(
            "The seat diameter is not known; the bore stands in for it, which is seldom smaller."
                .into(),
        );
    }
    words.push(format!(
        "Seat load for class {:?} is {:.1} N on each millimetre of seat circumference (common practice, from memory; the valve's maker decides). The actuator gives {margin_ratio:.2} times what is needed; {USUAL_MARGIN_RATIO} is common practice.",
        system.valve.leakage,
        seat_load_n_m(system.valve.leakage, seat_m) / 1_000.0,
    ));
    Ok(ActuatorSheet {
        from_drop,
        packing_friction_n: stem.packing_friction_n,
        seat_load_n,
        required,
        rated: stem.rated_force_n,
        is_torque: false,
        margin_ratio,
        shut_off_drop_pa: drop_pa,
        enough: margin_ratio >= USUAL_MARGIN_RATIO,
        words: words.join(" "),
    })
}

fn strength(what: &'static str, value: f64, positive: bool) -> Result<(), ActuatorError> {
    let (sound, wanted) = if positive {
        (value > 0.0, "more than 0")
    } else {
        (value >= 0.0, "0 or more")
    };
    if sound && value.is_finite() {
        Ok(())
    } else {
        Err(ActuatorError::Strength {
            what,
            value,
            wanted,
        })
    }
}

fn findings(
    the_loop: &Loop,
    system: &FeedSystem,
    sheet: &ActuatorSheet,
    chosen: &ValveSize,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    let (what, input) = if sheet.is_torque {
        ("torque", "actuator.rated-torque")
    } else {
        ("force", "actuator.rated-force")
    };
    if !sheet.enough {
        let weak = sheet.margin_ratio < 1.0;
        let first_low_trip = the_loop.vessel.kind.first_low_trip();
        findings.push(Finding {
            severity: if weak { Severity::Stop } else { Severity::Warn },
            code: if weak { "actuator-too-weak" } else { "actuator-margin-small" },
            what: format!(
                "The actuator's rated {what} is {:.2} times what the shut valve needs against the largest drop; {USUAL_MARGIN_RATIO} is common practice.",
                sheet.margin_ratio
            ),
            consequence: if weak {
                format!("The valve may not shut, or may not open again: the level runs up, or down to the {first_low_trip}, with the controller at its end.")
            } else {
                "A tighter packing or a worn seat takes what is in hand, and the valve leaks or sticks at its seat.".into()
            },
            remedy: "Take a stronger actuator, a smaller seat or a balanced plug; check with the valve's maker at this drop.".into(),
            input,
        });
    }
    if let Actuator::Linear {
        balanced: false,
        flow_opens: false,
        ..
    } = system.actuator
    {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "plug-may-slam",
            what: "The flow pushes the unbalanced plug shut.".into(),
            consequence: "Near the seat the drop can pull the plug shut and let it jump open again: hammer in the line and a level that cannot be held at low flow.".into(),
            remedy: "Turn the valve so that the flow opens it, or make sure that the actuator is stiff and the valve never throttles under about 10 % of its travel (common practice).".into(),
            input: "actuator.flow",
        });
    }
    if !sheet.is_torque && chosen.seat_diameter_m.is_none() {
        findings.push(Finding {
            severity: Severity::Note,
            code: "seat-diameter-assumed",
            what: format!("The seat diameter of {} is not known; its bore is used.", chosen.name),
            consequence: "The force from the drop goes with the square of that diameter: the needed force is likely too high.".into(),
            remedy: "Ask the valve's maker for the seat diameter and write it down.".into(),
            input: "valve.size",
        });
    }
    findings
}
