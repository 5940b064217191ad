//! What has no meaning for a kind of vessel and its answers, and so does not stand in its file.

use halfglass_core::description::VesselKind;

use super::answers::Answers;
use super::file::word;
use crate::keys::{self, Key, Section};

/// Sections without meaning for this vessel.
pub(super) fn is_foreign_section(answers: &Answers, section: &Section) -> bool {
    if answers.blocks(section) > 0 {
        return false;
    }
    match section.name {
        "pressures" => !answers.kind.holds_steam(),
        "supply.point" => word(answers, "supply.kind") != "pump",
        "valve.travel" => word(answers, "valve.characteristic") != "table",
        "return" => answers.kind.is_fired(),
        "reference-leg.fill-density" => word(answers, "reference-leg.kind") != "sealed",
        _ => false,
    }
}

const DROP: [&str; 2] = ["drop", "drop-at"];
const PIPE: [&str; 4] = ["inside-diameter", "length", "roughness", "fittings-k"];

/// A part of the line loses pressure by pipe data or by a drop: the first as the one, the second as the other, unless
/// the answers say it.
pub(super) fn is_foreign_loss(
    answers: &Answers,
    section: &Section,
    index: usize,
    key: &Key,
) -> bool {
    if section.name != "line.part" {
        return false;
    }
    let answered = |names: &[&str]| {
        section
            .keys
            .iter()
            .filter(|key| names.contains(&key.name()))
            .any(|key| answers.value(section, index, key).is_some())
    };
    let by_drop = answered(&DROP) || (index % 2 == 1 && !answered(&PIPE));
    if by_drop {
        PIPE.contains(&key.name())
    } else {
        DROP.contains(&key.name())
    }
}

/// What one of the two ways cannot do without.
pub(super) fn is_loss(answers: &Answers, section: &Section, index: usize, key: &Key) -> bool {
    section.name == "line.part"
        && ["drop", "drop-at", "inside-diameter", "length"].contains(&key.name())
        && !is_foreign_loss(answers, section, index, key)
}

/// An uncertainty that this loop has not.
fn is_foreign_uncertainty(answers: &Answers, name: &str) -> bool {
    let one_leg = !matches!(
        word(answers, "reference-leg.kind").as_str(),
        "wet" | "sealed"
    );
    let steam = answers.kind.holds_steam();
    match name {
        "static-zero" | "static-span" | "static-step" | "vessel-pressure"
        | "zeroed-at-pressure" => !steam,
        "water-temperature" => steam,
        "leg-height" | "leg-temperature" | "leg-correlation" => one_leg,
        "glass-temperature" | "glass-connection" | "glass-reading" => {
            keys::section("glass").is_none_or(|glass| answers.blocks(glass) == 0)
        }
        _ => false,
    }
}

/// Keys that the reader refuses for this vessel and leg, or that say nothing there.
pub(super) fn is_foreign_key(answers: &Answers, key: &Key) -> bool {
    const WET: &[&str] = &["pot-lip", "below-tap-temperature"];
    const PROFILE: &[&str] = &["temperature", "top-temperature", "bottom-temperature"];
    const BAND: &[&str] = &["lowest-temperature", "highest-temperature"];
    let steam = answers.kind.holds_steam();
    match key.path {
        "vessel.water-temperature" => steam,
        "vessel.circuit-volume" => !matches!(answers.kind, VesselKind::DrumBoiler),
        "elevations.highest-heated-surface" => !answers.kind.is_fired(),
        "elevations.upper-tap" | "vessel.vacuum-breaker" | "duty.pressure" => !steam,
        "vessel.crown-radius-ratio" | "vessel.knuckle-radius-ratio" => {
            word(answers, "vessel.heads") != "torispherical"
        }
        "supply.pressure" | "supply.droop" | "supply.droop-at" => {
            word(answers, "supply.kind") != "header"
        }
        "supply.recirculation-flow" => {
            word(answers, "supply.kind") != "pump"
                || word(answers, "supply.recirculation") != "continuous"
        }
        "valve.rangeability" => word(answers, "valve.characteristic") == "table",
        "station.bypass-kv" => word(answers, "station.bypass") == "none",
        path if path.starts_with("supply.") && path.matches('.').count() == 1 => {
            path != "supply.kind" && word(answers, "supply.kind") != "pump"
        }
        "actuator.kind" => false,
        path if path.starts_with("actuator.") => {
            let rotary = path.ends_with("-torque");
            rotary != (word(answers, "actuator.kind") == "rotary")
        }
        path if path.starts_with("uncertainty.") => is_foreign_uncertainty(answers, key.name()),
        path if path.starts_with("reference-leg.") && path.matches('.').count() == 1 => {
            let leg = word(answers, "reference-leg.kind");
            let name = key.name();
            match leg.as_str() {
                "wet" => {
                    !(name == "kind"
                        || WET.contains(&name)
                        || PROFILE.contains(&name)
                        || BAND.contains(&name))
                }
                "dry" => !(name == "kind" || PROFILE.contains(&name) || BAND.contains(&name)),
                "none" => name != "kind",
                _ => WET.contains(&name) || PROFILE.contains(&name),
            }
        }
        _ => false,
    }
}
