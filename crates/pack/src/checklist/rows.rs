//! The rows of the installation checklist, in the order in which they are ticked.

use halfglass_core::commissioning::TEST_UNCERTAINTY_RATIO;
use halfglass_core::description::{Glass, Loop, ReferenceLeg, VesselKind};

use super::Words::{Fixed, Of};
use super::{Facts, Group, Row, Words};
use crate::words;

const NOTHING: Words = Fixed("");

const fn row(when: fn(&Loop) -> bool, text: Words, limit: Words) -> Row {
    Row { when, text, limit }
}

const fn always(_: &Loop) -> bool {
    true
}
const fn has_upper_tap(l: &Loop) -> bool {
    l.elevations.upper_tap_m.is_some()
}
const fn is_drum(l: &Loop) -> bool {
    matches!(l.vessel.kind, VesselKind::DrumBoiler)
}
const fn is_no_drum(l: &Loop) -> bool {
    !is_drum(l)
}
const fn is_fired(l: &Loop) -> bool {
    l.vessel.kind.is_fired()
}
const fn is_unfired(l: &Loop) -> bool {
    !l.vessel.kind.is_fired()
}
const fn has_wet_leg(l: &Loop) -> bool {
    matches!(l.reference_leg, ReferenceLeg::Wet { .. })
}
const fn has_dry_leg(l: &Loop) -> bool {
    matches!(l.reference_leg, ReferenceLeg::Dry { .. })
}
const fn has_open_port(l: &Loop) -> bool {
    matches!(l.reference_leg, ReferenceLeg::None)
}
const fn has_seals(l: &Loop) -> bool {
    matches!(l.reference_leg, ReferenceLeg::Sealed { .. })
}
const fn has_impulse_lines(l: &Loop) -> bool {
    !has_seals(l)
}
const fn has_two_legs(l: &Loop) -> bool {
    has_wet_leg(l) || has_dry_leg(l)
}
const fn has_glass(l: &Loop) -> bool {
    l.glass.is_some()
}
/// Water freezes at 273.15 K.
fn freezes(l: &Loop) -> bool {
    l.site.ambient_lowest_k < 273.15
}

/// All of it.
pub(super) const GROUPS: &[Group] = &[
    Group {
        title: "Taps and root valves",
        rows: &[
            row(
                has_upper_tap,
                Fixed("Upper tap surveyed above the centre of the lower tap"),
                Of(|f| surveyed(f, f.described.elevations.upper_tap_m)),
            ),
            row(
                always,
                Of(|f| {
                    format!(
                        "Taps of this loop not shared with any {}, high-level trip, gauge glass or blow-down",
                        words::low_protection(f.described.vessel.kind)
                    )
                }),
                Fixed("a blocked or blown-down tap must not blind two devices at once"),
            ),
            row(
                always,
                Fixed(
                    "A root valve at each tap: full bore, rated for the vessel, stem not pointing up (no gas or water pocket), open, locked or sealed open",
                ),
                NOTHING,
            ),
            row(
                is_drum,
                Fixed(
                    "Taps free of scale and weld spatter, not in the way of the feed inlet or a downcomer",
                ),
                NOTHING,
            ),
            row(
                is_no_drum,
                Fixed(
                    "Taps free of scale and weld spatter, not in the way of the feed inlet or an outlet",
                ),
                NOTHING,
            ),
        ],
    },
    Group {
        title: "Legs and impulse lines",
        rows: &[
            row(
                has_wet_leg,
                Fixed(
                    "Condensate pot level in both directions; its overflow LIP surveyed above the centre of the lower tap (the lip, not the upper tap)",
                ),
                Of(|f| match &f.described.reference_leg {
                    ReferenceLeg::Wet { pot_lip_m, .. } => surveyed(f, Some(*pot_lip_m)),
                    _ => String::new(),
                }),
            ),
            row(
                has_wet_leg,
                Fixed(
                    "Line from the upper tap to the pot falls back to the vessel, short, full bore, no pocket; the pot itself is left bare so that it condenses",
                ),
                Fixed("slope at least 1 in 12 [common practice]"),
            ),
            row(
                has_wet_leg,
                Fixed(
                    "Both legs run side by side, equal in routing, length below the lower tap, and insulation",
                ),
                Fixed("a leg warmer than its neighbour reads as level"),
            ),
            row(
                has_wet_leg,
                Fixed(
                    "Reference leg not insulated together with a hot line, not against the shell; heat tracing, if any, holds both legs alike",
                ),
                Of(|f| {
                    let (coolest_k, warmest_k) = f.described.leg_temperature_band_k;
                    format!(
                        "the range holds for leg temperatures of {} to {}",
                        f.units.temperature_text(coolest_k),
                        f.units.temperature_text(warmest_k),
                    )
                }),
            ),
            row(
                has_dry_leg,
                Fixed(
                    "Dry leg rises from the cell to the upper tap without a pocket, with a drain and trap at its low point",
                ),
                Fixed("condensate in a dry leg reads as lost level"),
            ),
            row(
                has_open_port,
                Fixed(
                    "Open port of the cell points down, screened against insects, and stays open",
                ),
                NOTHING,
            ),
            row(
                has_seals,
                Fixed(
                    "Seal centres surveyed above the centre of the lower tap; capillaries side by side, equal in length, shaded, not bent below the maker's radius",
                ),
                Of(seals),
            ),
            row(
                has_impulse_lines,
                Fixed(
                    "Impulse lines fall all the way from tap to cell, no high point where gas can stand and no sag",
                ),
                Fixed(
                    "slope at least 1 in 12, that is 80 mm a metre, 1 in a foot [common practice]",
                ),
            ),
            row(
                has_impulse_lines,
                Fixed(
                    "A blow-down valve at the low point of each leg, piped to a safe place, away from the cell",
                ),
                NOTHING,
            ),
            row(
                has_impulse_lines,
                Fixed(
                    "Fill tee or plug at the top of each leg that must be filled; vents at every remaining high point",
                ),
                NOTHING,
            ),
            row(
                always,
                Fixed(
                    "Tubing supported, free to expand, not touching hot metal, not a step for a boot",
                ),
                Fixed("supports about every metre (3 ft) [common practice]"),
            ),
            row(
                always,
                Fixed("Pressure test of the impulse lines passed, record attached"),
                Of(|f| {
                    if f.described.vessel.kind.holds_steam() {
                        format!("rated above the safety-valve set of {}", safety_valve(f))
                    } else {
                        "rated above the head of the tank full to its top".to_owned()
                    }
                }),
            ),
            row(
                freezes,
                Fixed(
                    "Frost: legs, cell and manifold are protected and the protection is on an alarm",
                ),
                Of(|f| {
                    format!(
                        "lowest ambient {}",
                        f.units.temperature_text(f.described.site.ambient_lowest_k)
                    )
                }),
            ),
        ],
    },
    Group {
        title: "Cell and manifold",
        rows: &[
            row(
                always,
                Of(|f| {
                    format!(
                        "Ports as on the range sheet: {}",
                        words::ports(f.described.cell.polarity)
                    )
                }),
                Fixed("trace each line by hand from tap to port"),
            ),
            row(
                always,
                Fixed("Cell surveyed below the centre of the lower tap"),
                Of(|f| f.units.level_text(f.described.cell.below_lower_tap_m)),
            ),
            row(
                always,
                Fixed(
                    "Cell upright, diaphragms vertical, vent plugs at the top, drain plugs at the bottom of each chamber",
                ),
                NOTHING,
            ),
            row(
                always,
                Fixed("Rated for the static pressure it can see"),
                Of(|f| {
                    let limit = f.units.pressure_gauge_text(f.described.cell.static_limit);
                    if f.described.vessel.kind.holds_steam() {
                        format!("limit {limit}, safety valve {}", safety_valve(f))
                    } else {
                        format!("limit {limit}, tank open to the air")
                    }
                }),
            ),
            row(
                always,
                Fixed(
                    "Cell out of radiant heat, reachable from the floor, its display readable from the manifold",
                ),
                NOTHING,
            ),
            row(
                always,
                Fixed("Tag plate agrees with the loop file and with the range to set"),
                Of(|f| f.described.identity.tag.clone()),
            ),
            row(
                has_two_legs,
                Fixed(
                    "Manifold valves tagged: working-leg block, reference-leg block, equaliser, vents; every one worked from stop to stop",
                ),
                NOTHING,
            ),
        ],
    },
    Group {
        title: "Gauge glass",
        rows: &[
            row(
                has_glass,
                Fixed(
                    "Visible length of the glass surveyed above the centre of the lower tap, lowest and highest visible water",
                ),
                Of(|f| {
                    f.described
                        .glass
                        .as_ref()
                        .map_or_else(String::new, |glass| visible(f, glass))
                }),
            ),
            row(
                has_glass,
                Fixed(
                    "Glass on connections of its own; both cocks worked; blow-down through each cock proved",
                ),
                NOTHING,
            ),
            row(
                has_glass,
                Fixed("Glass clean and lit; readable from where the level is controlled by hand"),
                NOTHING,
            ),
            row(
                has_glass,
                Fixed("Glass card of this pack posted beside the glass"),
                Fixed("once the comparison with the glass is signed"),
            ),
        ],
    },
    Group {
        title: "Valve, controller, protections",
        rows: &[
            row(
                always,
                Fixed(
                    "Valve installed with the flow arrow; bypass and isolating valves tagged; hand gear free",
                ),
                NOTHING,
            ),
            row(
                always,
                Fixed("Valve goes where the loop file says"),
                Of(|f| {
                    format!(
                        "signal lost: {}; power lost: {}",
                        words::fails(f.described.feedwater.on_signal_loss),
                        words::fails(f.described.feedwater.on_power_loss),
                    )
                }),
            ),
            row(
                always,
                Fixed(
                    "Signal wires: polarity, terminals tight, screen earthed at one end only, away from power cables",
                ),
                NOTHING,
            ),
            row(
                is_fired,
                Of(|f| {
                    format!(
                        "Every {} on connections, power and relay of its own, none of it through this controller",
                        words::low_protection(f.described.vessel.kind)
                    )
                }),
                Fixed("this loop never vouches for a protection"),
            ),
            row(
                is_unfired,
                Of(|f| {
                    format!(
                        "Every {} and overflow protection independent of this controller",
                        words::low_protection(f.described.vessel.kind)
                    )
                }),
                Fixed("this loop never vouches for a protection"),
            ),
            row(
                always,
                Fixed("Test instruments at hand, in date, and good enough"),
                Of(|_| {
                    format!(
                        "test uncertainty ratio {TEST_UNCERTAINTY_RATIO:.0} to 1 wanted; what the pack asks for stands at the five-point record"
                    )
                }),
            ),
        ],
    },
    Group {
        title: "If this loop replaces on/off control",
        rows: &[
            row(
                always,
                Of(|f| {
                    format!(
                        "Pump interlocks: the pump now runs with {}, not with the old level switch; changed on the drawing too",
                        words::pump_runs_with(f.described.vessel.kind)
                    )
                }),
                NOTHING,
            ),
            row(
                always,
                Fixed("Standby pump: starts on what signal, proved"),
                NOTHING,
            ),
            row(
                always,
                Fixed(
                    "Minimum flow: the pump may run against a shut valve; its recirculation is open and sized",
                ),
                NOTHING,
            ),
            row(
                always,
                Fixed("Bypass station: tight, tagged, with an order of who may open it"),
                NOTHING,
            ),
            row(
                always,
                Fixed(
                    "Old switches: each one is listed as kept, disconnected or removed; no low-level protection was lost with them",
                ),
                NOTHING,
            ),
        ],
    },
];

/// A surveyed elevation with what it must be known to.
fn surveyed(facts: &Facts<'_>, level_m: Option<f64>) -> String {
    level_m.map_or_else(String::new, |m| {
        format!("{} ± {}", facts.units.level_text(m), facts.limits.survey())
    })
}

fn safety_valve(facts: &Facts<'_>) -> String {
    facts
        .units
        .pressure_gauge_text(facts.described.pressures.safety_valve)
}

fn seals(facts: &Facts<'_>) -> String {
    match &facts.described.reference_leg {
        ReferenceLeg::Sealed {
            lower_seal_m,
            upper_seal_m,
            ..
        } => format!(
            "lower {}, upper {}, ± {}",
            facts.units.level_text(*lower_seal_m),
            facts.units.level_text(*upper_seal_m),
            facts.limits.survey(),
        ),
        _ => String::new(),
    }
}

fn visible(facts: &Facts<'_>, glass: &Glass) -> String {
    format!(
        "{} and {}, ± {}",
        facts.units.level_text(glass.visible_bottom_m),
        facts.units.level_text(glass.visible_top_m),
        facts.limits.survey(),
    )
}
