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

/// What a low-level protection must do.
pub(crate) const fn low_protection_does(kind: VesselKind) -> &'static str {
    if kind.is_fired() {
        "shuts off the firing and locks out"
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

/// Name of the first person whose role contains one of the words, or empty.
pub(crate) fn person<'a>(described: &'a Loop, roles: &[&str]) -> &'a str {
    described
        .people
        .iter()
        .find(|person| {
            let role = person.role.to_lowercase();
            roles.iter().any(|word| role.contains(word))
        })
        .map_or("", |person| person.name.as_str())
}
