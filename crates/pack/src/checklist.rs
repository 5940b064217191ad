//! Installation checklist: what must be so before water or current goes in.
//!
//! Slopes, spacings of supports and the like are common practice; the maker's instructions and local codes go first.

use halfglass_core::commissioning::TEST_UNCERTAINTY_RATIO;
use halfglass_core::description::{Loop, ReferenceLeg, VesselKind};
use halfglass_report::block::Block;
use halfglass_report::units::DisplayUnits;

use crate::limits::Limits;
use crate::part::{Check, PackBlock, Part};
use crate::words;

/// The part with the installation checklist.
pub(crate) fn part(described: &Loop, units: &DisplayUnits, limits: &Limits<'_>) -> Part {
    let mut blocks = vec![PackBlock::Report(Block::Paragraph(
        "Ticked on the spot with the drawing in hand, cold and depressurised. A line that does not apply is struck out and initialled. \
         Slopes and spacings are common practice; the makers' instructions and local codes go first."
            .into(),
    ))];
    let mut group = |title: &str, checks: Vec<Check>| {
        blocks.push(PackBlock::Report(Block::Heading(title.into())));
        blocks.push(PackBlock::Checklist(checks));
    };
    group("Taps and root valves", taps(described, units, limits));
    group("Legs and impulse lines", legs(described, units, limits));
    group("Cell and manifold", cell(described, units));
    if described.glass.is_some() {
        group("Gauge glass", glass(described, units, limits));
    }
    group("Valve, controller, protections", control(described));
    group(
        "If this loop replaces on/off control",
        replaced_on_off(described),
    );
    Part::flow("Installation checklist", blocks)
}

fn taps(described: &Loop, units: &DisplayUnits, limits: &Limits<'_>) -> Vec<Check> {
    let low = words::low_protection(described.vessel.kind);
    let mut checks = Vec::new();
    if let Some(upper) = described.elevations.upper_tap_m {
        checks.push(Check::of(
            "Upper tap surveyed above the centre of the lower tap",
            format!("{} ± {}", units.level_text(upper), limits.survey()),
        ));
    }
    checks.push(Check::of(
        format!(
            "Taps of this loop not shared with any {low}, high-level trip, gauge glass or blow-down"
        ),
        "a blocked or blown-down tap must not blind two devices at once",
    ));
    checks.push(Check::of(
        "A root valve at each tap: full bore, rated for the vessel, stem not pointing up (no gas or water pocket), open, locked or sealed open",
        "",
    ));
    checks.push(Check::of(
        if described.vessel.kind == VesselKind::DrumBoiler {
            "Taps free of scale and weld spatter, not in the way of the feed inlet or a downcomer"
        } else {
            "Taps free of scale and weld spatter, not in the way of the feed inlet or an outlet"
        },
        "",
    ));
    checks
}

fn legs(described: &Loop, units: &DisplayUnits, limits: &Limits<'_>) -> Vec<Check> {
    let mut checks = Vec::new();
    match &described.reference_leg {
        ReferenceLeg::Wet { pot_lip_m, .. } => {
            checks.push(Check::of(
                "Condensate pot level in both directions; its overflow LIP surveyed above the centre of the lower tap (the lip, not the upper tap)",
                format!("{} ± {}", units.level_text(*pot_lip_m), limits.survey()),
            ));
            checks.push(Check::of(
                "Line from the upper tap to the pot falls back to the vessel, short, full bore, no pocket; the pot itself is left bare so that it condenses",
                "slope at least 1 in 12 [common practice]",
            ));
            checks.push(Check::of(
                "Both legs run side by side, equal in routing, length below the lower tap, and insulation",
                "a leg warmer than its neighbour reads as level",
            ));
            checks.push(Check::of(
                "Reference leg not insulated together with a hot line, not against the shell; heat tracing, if any, holds both legs alike",
                format!(
                    "the range holds for leg temperatures of {} to {}",
                    units.temperature_text(described.leg_temperature_band_k.0),
                    units.temperature_text(described.leg_temperature_band_k.1),
                ),
            ));
        }
        ReferenceLeg::Dry { .. } => checks.push(Check::of(
            "Dry leg rises from the cell to the upper tap without a pocket, with a drain and trap at its low point",
            "condensate in a dry leg reads as lost level",
        )),
        ReferenceLeg::None => checks.push(Check::of(
            "Open port of the cell points down, screened against insects, and stays open",
            "",
        )),
        ReferenceLeg::Sealed { lower_seal_m, upper_seal_m, .. } => checks.push(Check::of(
            "Seal centres surveyed above the centre of the lower tap; capillaries side by side, equal in length, shaded, not bent below the maker's radius",
            format!(
                "lower {}, upper {}, ± {}",
                units.level_text(*lower_seal_m),
                units.level_text(*upper_seal_m),
                limits.survey(),
            ),
        )),
    }
    if !matches!(described.reference_leg, ReferenceLeg::Sealed { .. }) {
        checks.push(Check::of(
            "Impulse lines fall all the way from tap to cell, no high point where gas can stand and no sag",
            "slope at least 1 in 12, that is 80 mm a metre, 1 in a foot [common practice]",
        ));
        checks.push(Check::of(
            "A blow-down valve at the low point of each leg, piped to a safe place, away from the cell",
            "",
        ));
        checks.push(Check::of(
            "Fill tee or plug at the top of each leg that must be filled; vents at every remaining high point",
            "",
        ));
    }
    checks.push(Check::of(
        "Tubing supported, free to expand, not touching hot metal, not a step for a boot",
        "supports about every metre (3 ft) [common practice]",
    ));
    checks.push(Check::of(
        "Pressure test of the impulse lines passed, record attached",
        if described.vessel.kind.holds_steam() {
            format!(
                "rated above the safety-valve set of {}",
                units.pressure_gauge_text(described.pressures.safety_valve)
            )
        } else {
            "rated above the head of the tank full to its top".to_owned()
        },
    ));
    if described.site.ambient_lowest_k < 273.15 {
        checks.push(Check::of(
            "Frost: legs, cell and manifold are protected and the protection is on an alarm",
            format!(
                "lowest ambient {}",
                units.temperature_text(described.site.ambient_lowest_k)
            ),
        ));
    }
    checks
}

fn cell(described: &Loop, units: &DisplayUnits) -> Vec<Check> {
    let mut checks = vec![
        Check::of(
            format!(
                "Ports as on the range sheet: {}",
                words::ports(described.cell.polarity)
            ),
            "trace each line by hand from tap to port",
        ),
        Check::of(
            "Cell surveyed below the centre of the lower tap",
            units.level_text(described.cell.below_lower_tap_m),
        ),
        Check::of(
            "Cell upright, diaphragms vertical, vent plugs at the top, drain plugs at the bottom of each chamber",
            "",
        ),
        Check::of(
            "Rated for the static pressure it can see",
            if described.vessel.kind.holds_steam() {
                format!(
                    "limit {}, safety valve {}",
                    units.pressure_gauge_text(described.cell.static_limit),
                    units.pressure_gauge_text(described.pressures.safety_valve),
                )
            } else {
                format!(
                    "limit {}, tank open to the air",
                    units.pressure_gauge_text(described.cell.static_limit)
                )
            },
        ),
        Check::of(
            "Cell out of radiant heat, reachable from the floor, its display readable from the manifold",
            "",
        ),
        Check::of(
            "Tag plate agrees with the loop file and with the range to set",
            described.identity.tag.clone(),
        ),
    ];
    if !matches!(
        described.reference_leg,
        ReferenceLeg::Sealed { .. } | ReferenceLeg::None
    ) {
        checks.push(Check::of(
            "Manifold valves tagged: working-leg block, reference-leg block, equaliser, vents; every one worked from stop to stop",
            "",
        ));
    }
    checks
}

fn glass(described: &Loop, units: &DisplayUnits, limits: &Limits<'_>) -> Vec<Check> {
    let Some(glass) = &described.glass else {
        return Vec::new();
    };
    vec![
        Check::of(
            "Visible length of the glass surveyed above the centre of the lower tap, lowest and highest visible water",
            format!(
                "{} and {}, ± {}",
                units.level_text(glass.visible_bottom_m),
                units.level_text(glass.visible_top_m),
                limits.survey(),
            ),
        ),
        Check::of(
            "Glass on connections of its own; both cocks worked; blow-down through each cock proved",
            "",
        ),
        Check::of(
            "Glass clean and lit; readable from where the level is controlled by hand",
            "",
        ),
        Check::of(
            "Glass card of this pack posted beside the glass",
            "once the comparison with the glass is signed",
        ),
    ]
}

fn control(described: &Loop) -> Vec<Check> {
    let low = words::low_protection(described.vessel.kind);
    let feedwater = &described.feedwater;
    let mut checks = vec![
        Check::of(
            "Valve installed with the flow arrow; bypass and isolating valves tagged; hand gear free",
            "",
        ),
        Check::of(
            "Valve goes where the loop file says",
            format!(
                "signal lost: {}; power lost: {}",
                words::fails(feedwater.on_signal_loss),
                words::fails(feedwater.on_power_loss),
            ),
        ),
        Check::of(
            "Signal wires: polarity, terminals tight, screen earthed at one end only, away from power cables",
            "",
        ),
    ];
    let independent = if described.vessel.kind.is_fired() {
        format!(
            "Every {low} on connections, power and relay of its own, none of it through this controller"
        )
    } else {
        format!("Every {low} and overflow protection independent of this controller")
    };
    checks.push(Check::of(
        independent,
        "this loop never vouches for a protection",
    ));
    checks.push(Check::of(
        "Test instruments at hand, in date, and good enough",
        format!("test uncertainty ratio {TEST_UNCERTAINTY_RATIO:.0} to 1 wanted; what the pack asks for stands at the five-point record"),
    ));
    checks
}

fn replaced_on_off(described: &Loop) -> Vec<Check> {
    vec![
        Check::of(
            format!(
                "Pump interlocks: the pump now runs with {}, not with the old level switch; changed on the drawing too",
                words::pump_runs_with(described.vessel.kind)
            ),
            "",
        ),
        Check::of("Standby pump: starts on what signal, proved", ""),
        Check::of(
            "Minimum flow: the pump may run against a shut valve; its recirculation is open and sized",
            "",
        ),
        Check::of(
            "Bypass station: tight, tagged, with an order of who may open it",
            "",
        ),
        Check::of(
            "Old switches: each one is listed as kept, disconnected or removed; no low-level protection was lost with them",
            "",
        ),
    ]
}
