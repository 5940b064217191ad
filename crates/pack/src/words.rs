//! Words that follow from the kind of vessel, valve and leg, so that no step asks for what the plant does not have.

use halfglass_core::description::{
    FailPosition, Feedwater, Loop, Polarity, ReferenceLeg, ValveService, VesselKind,
};

/// The vessel in running text.
pub(crate) const fn vessel(kind: VesselKind) -> &'static str {
    match kind {
        VesselKind::ShellBoiler => "shell boiler",
        VesselKind::DrumBoiler => "drum boiler",
        VesselKind::Deaerator => "deaerator",
        VesselKind::VentedTank => "vented tank",
    }
}

/// What must not happen before the protections are proved.
pub(crate) const fn held_back(kind: VesselKind) -> &'static str {
    match kind {
        VesselKind::ShellBoiler | VesselKind::DrumBoiler => {
            "No steam is raised before every line above is signed."
        }
        VesselKind::Deaerator => {
            "No steam is admitted, and no feed pump draws from this vessel, before every line above is signed."
        }
        VesselKind::VentedTank => {
            "No pump draws from this tank in service before every line above is signed."
        }
    }
}

/// Where a person sees the water.
pub(crate) const fn seen_at(described: &Loop) -> &'static str {
    if described.glass.is_some() {
        "glass"
    } else {
        "measured level"
    }
}

/// What leaves the vessel, for the trend.
pub(crate) const fn load(kind: VesselKind) -> &'static str {
    if kind.is_fired() {
        "steam flow"
    } else {
        "outflow"
    }
}

/// What a low-level protection is called on this vessel.
pub(crate) const fn low_protection(kind: VesselKind) -> &'static str {
    if kind.is_fired() {
        "low-water cutoff"
    } else {
        "low-level trip"
    }
}

/// What a low-level protection must do, cold.
pub(crate) const fn low_protection_does(kind: VesselKind) -> &'static str {
    if kind.is_fired() {
        "opens the burner circuit; the permission to start is lost"
    } else {
        "stops what draws from the vessel"
    }
}

/// Where a valve goes.
pub(crate) const fn fails(position: FailPosition) -> &'static str {
    match position {
        FailPosition::Last => "stays where it is",
        FailPosition::Open => "opens",
        FailPosition::Closed => "closes",
    }
}

/// What the level does when the output is raised in manual.
pub(crate) const fn level_on_rising_output(feedwater: &Feedwater) -> &'static str {
    let opens = feedwater.rising_output_opens;
    match feedwater.service {
        ValveService::Inflow if opens => "rises",
        ValveService::Inflow => "falls",
        ValveService::Outflow if opens => "falls",
        ValveService::Outflow => "rises",
    }
}

/// Which way the output goes to bring more water.
pub(crate) fn output_for_more_water(feedwater: &Feedwater) -> &'static str {
    if level_on_rising_output(feedwater) == "rises" {
        "raise"
    } else {
        "lower"
    }
}

/// Which leg belongs on which port.
pub(crate) const fn ports(polarity: Polarity) -> &'static str {
    match polarity {
        Polarity::BottomOnHigh => "working leg (lower tap) on the HIGH port",
        Polarity::WetLegOnHigh => {
            "reference leg on the HIGH port, working leg (lower tap) on the LOW port"
        }
    }
}

/// The reference leg in running text.
pub(crate) const fn reference_leg(leg: &ReferenceLeg) -> &'static str {
    match leg {
        ReferenceLeg::Wet { .. } => "a water-filled reference leg under a condensate pot",
        ReferenceLeg::Dry { .. } => "a dry reference leg",
        ReferenceLeg::None => "no reference leg, the low port open to the air",
        ReferenceLeg::Sealed { .. } => "two diaphragm seals with filled capillaries",
    }
}

/// What waits behind the valves of the cell.
pub(crate) const fn behind_the_valves(kind: VesselKind) -> &'static str {
    if kind.holds_steam() {
        "Water behind the valves is hot and under pressure: open vents slowly, to a safe place."
    } else {
        "Water behind the valves may be hot and stands under the head of the tank: open vents slowly, to a safe place."
    }
}

/// How a wet leg comes back after it was vented.
pub(crate) const fn leg_refills(kind: VesselKind) -> &'static str {
    if kind.holds_steam() {
        "At pressure: let the pot refill from condensate; wait until the panel has stood still for five minutes. Cold: top the leg up through \
         its tee to the lip."
    } else {
        "Top the leg up through its tee to the lip."
    }
}

/// Has the manifold an equaliser.
pub(crate) const fn has_equaliser(leg: &ReferenceLeg) -> bool {
    matches!(leg, ReferenceLeg::Wet { .. } | ReferenceLeg::Dry { .. })
}

/// How the valves at the cell stand in service.
pub(crate) const fn valves_in_service(leg: &ReferenceLeg) -> &'static str {
    match leg {
        ReferenceLeg::Wet { .. } | ReferenceLeg::Dry { .. } => {
            "Manifold: equaliser shut, both blocks open, vents shut and plugged"
        }
        ReferenceLeg::None => {
            "Block valve at the tap open, its vent shut; the open port breathes the air, not plugged"
        }
        ReferenceLeg::Sealed { .. } => "Both valves to the seals open, flushing rings shut",
    }
}

/// The name of a level mark on this vessel: only a fired vessel has a low-water cutoff.
pub(crate) fn mark_name(kind: VesselKind, name: &str) -> String {
    name.replace("low-water cutoff", low_protection(kind))
}

/// Trips are independent of this loop, in the words of this vessel.
pub(crate) fn trips_are_independent(kind: VesselKind) -> String {
    let caution = halfglass_report::cautions::TRIPS_ARE_INDEPENDENT;
    if kind.is_fired() {
        caution.to_owned()
    } else {
        caution.replace("Low-water cutoffs", "Low-level trips")
    }
}

/// The condition that a hot range is exact at.
pub(crate) const fn in_service(kind: VesselKind) -> &'static str {
    if kind.holds_steam() {
        "at normal pressure"
    } else {
        "at working temperature"
    }
}

/// The caution before the controls are touched, for a vessel with or without a glass.
pub(crate) fn manual_first(described: &Loop) -> String {
    halfglass_report::cautions::manual_first(described.vessel.kind, described.glass.is_some())
        .to_owned()
}

/// What this pack leaves to others.
pub(crate) const fn not_covered(kind: VesselKind) -> &'static str {
    match kind {
        VesselKind::ShellBoiler | VesselKind::DrumBoiler => {
            "the pressure vessel, the burner or the protections"
        }
        VesselKind::Deaerator => {
            "the pressure vessel, its steam supply, the pumps or the protections"
        }
        VesselKind::VentedTank => "the tank, its heating, the pumps or the protections",
    }
}

/// What the feed pump runs with, once the valve throttles.
pub(crate) const fn pump_runs_with(kind: VesselKind) -> &'static str {
    if kind.is_fired() {
        "the boiler"
    } else {
        "the plant's demand"
    }
}
