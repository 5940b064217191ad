//! The parts that a loop is edited by, each with its sections of the file.

/// A part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Part {
    /// Its name in the address.
    pub(crate) id: &'static str,
    pub(crate) words: &'static str,
    /// Its sections.
    pub(crate) sections: &'static [&'static str],
}

const fn part(id: &'static str, words: &'static str, sections: &'static [&'static str]) -> Part {
    Part {
        id,
        words,
        sections,
    }
}

/// All of them, in the order of a survey.
pub(crate) const PARTS: &[Part] = &[
    part("plant", "Plant and site", &["loop", "site"]),
    part(
        "vessel",
        "Vessel and internals",
        &["vessel", "vessel.internals"],
    ),
    part("elevations", "Elevations and taps", &["elevations"]),
    part(
        "reference-leg",
        "Reference leg",
        &["reference-leg", "reference-leg.fill-density"],
    ),
    part("working-leg", "Working leg", &["working-leg"]),
    part("glass", "Gauge glass", &["glass"]),
    part("cell", "Cell", &["cell"]),
    part("range", "Range, wanted and found", &["range", "as-found"]),
    part("pressures", "Pressures", &["pressures"]),
    part("duties", "Duties", &["duty"]),
    part("feedwater", "Feedwater", &["feedwater"]),
    part(
        "supply",
        "Supply and line",
        &["supply", "supply.point", "line", "line.part"],
    ),
    part(
        "valve",
        "Valve, actuator and station",
        &[
            "valve",
            "valve.size",
            "valve.travel",
            "actuator",
            "station",
            "return",
        ],
    ),
    part(
        "controller",
        "Controller and device marks",
        &["controller", "controller.device-marks"],
    ),
    part("measured", "Process measured on the plant", &["measured"]),
    part("limits", "Limits: set point, alarms, trips", &["limits"]),
    part(
        "wiring",
        "Wiring",
        &[
            "wiring",
            "wiring.receiver",
            "wiring.barrier",
            "wiring.actuator-supply",
            "wiring.output",
        ],
    ),
    part(
        "uncertainty",
        "Uncertainty",
        &["uncertainty", "uncertainty.distribution"],
    ),
    part(
        "people",
        "People and instruments",
        &["person", "instrument"],
    ),
];

/// The part of this name.
pub(crate) fn of_id(id: &str) -> Option<&'static Part> {
    PARTS.iter().find(|part| part.id == id)
}

/// The part that has this section.
pub(crate) fn of_section(section: &str) -> Option<&'static Part> {
    PARTS.iter().find(|part| part.sections.contains(&section))
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfglass_loopfile::keys::SECTIONS;

    #[test]
    fn practice_every_section_is_in_one_part() {
        let all: Vec<&str> = PARTS
            .iter()
            .flat_map(|part| part.sections)
            .copied()
            .collect();
        for section in SECTIONS {
            let times = all.iter().filter(|known| **known == section.name).count();
            assert_eq!(times, 1, "{}", section.name);
        }
        assert_eq!(all.len(), SECTIONS.len());
    }
}
