//! What is odd about where the marks are.

use super::marks::{GLASS_BOTTOM, HEATED_SURFACE, HIGH_ALARM, HIGH_TRIP, LOW_ALARM, SET_POINT};
use super::{Blind, LevelMark, MarkKind, Separation};
use crate::description::Loop;
use crate::finding::{Finding, Severity};

/// Lateness of an alarm on a cold vessel that is worth a finding, percent of span.
///
/// Common practice, no source: a panel is read to 1 %.
const LATE_PERCENT: f64 = 1.0;

/// All findings of the level map, gravest first.
pub(super) fn findings(
    described: &Loop,
    marks: &[LevelMark],
    separations: &[Separation],
) -> Vec<Finding> {
    let map = Map { described, marks };
    let mut findings = map.out_of_order();
    findings.extend(map.cutoff_not_above_heated_surface());
    findings.extend(map.where_the_cell_is_blind());
    findings.extend(map.outside_range());
    findings.extend(map.late_when_cold());
    findings.extend(map.no_glass());
    findings.extend(map.set_point_not_in_glass());
    findings.extend(map.glass_not_above_heated_surface());
    findings.extend(map.cutoff_under_glass());
    findings.extend(too_close(separations));
    findings.sort_by_key(|finding| finding.severity);
    findings
}

struct Map<'a> {
    described: &'a Loop,
    marks: &'a [LevelMark],
}

/// Dotted path in the loop file of a mark.
fn input_of(name: &str) -> &'static str {
    match name {
        SET_POINT => "limits.set-point",
        LOW_ALARM => "limits.low-alarm",
        HIGH_ALARM => "limits.high-alarm",
        "first low-water cutoff" | "first low-level trip" => "limits.low-cutoff",
        "second low-water cutoff" | "second low-level trip" => "limits.second-low-cutoff",
        HIGH_TRIP => "limits.high-trip",
        HEATED_SURFACE => "elevations.highest-heated-surface",
        GLASS_BOTTOM => "glass.visible-bottom",
        _ => "",
    }
}

impl Map<'_> {
    fn mark(&self, name: &str) -> Option<&LevelMark> {
        self.marks.iter().find(|mark| mark.name == name)
    }

    fn both(&self, one: &str, other: &str) -> Option<(&LevelMark, &LevelMark)> {
        self.mark(one).zip(self.mark(other))
    }

    /// First and second trip on a low level, by the name that this kind of vessel has for them.
    fn low_trips(&self) -> [&'static str; 2] {
        let kind = self.described.vessel.kind;
        [kind.first_low_trip(), kind.second_low_trip()]
    }

    /// Marks that must lie above one another and do not.
    fn out_of_order(&self) -> Vec<Finding> {
        let [first_low_trip, _] = self.low_trips();
        [
            (HIGH_TRIP, HIGH_ALARM, Severity::Warn),
            (HIGH_TRIP, SET_POINT, Severity::Stop),
            (HIGH_ALARM, SET_POINT, Severity::Stop),
            (SET_POINT, LOW_ALARM, Severity::Stop),
            (SET_POINT, first_low_trip, Severity::Stop),
            (LOW_ALARM, first_low_trip, Severity::Warn),
        ]
        .into_iter()
        .filter_map(|(upper, lower, severity)| {
            let (above, below) = self.both(upper, lower)?;
            (above.true_level.m() <= below.true_level.m()).then(|| Finding {
                severity,
                code: "marks-out-of-order",
                what: format!("The {upper} is not above the {lower}."),
                consequence: if severity == Severity::Stop {
                    format!(
                        "The {} acts while the level stands at the set point.",
                        if upper == SET_POINT { lower } else { upper }
                    )
                } else {
                    "The trip acts before its alarm warns.".to_owned()
                },
                remedy: "Check both elevations from the centre of the lower tap, and move the setting that is wrong.".to_owned(),
                input: input_of(upper),
            })
        })
        .collect()
    }

    /// A cutoff that lets the heated surface run dry before it acts.
    fn cutoff_not_above_heated_surface(&self) -> Vec<Finding> {
        self.low_trips()
            .into_iter()
            .filter_map(|cutoff| {
                let (above, surface) = self.both(cutoff, HEATED_SURFACE)?;
                (above.true_level.m() <= surface.true_level.m()).then(|| Finding {
                    severity: Severity::Stop,
                    code: "cutoff-not-above-heated-surface",
                    what: format!("The {cutoff} is not above the highest heated surface."),
                    consequence: "The heated surface is bare before the burner stops.".to_owned(),
                    remedy: "Survey both again; local code and the boiler's maker say how far above it must be.".to_owned(),
                    input: input_of(cutoff),
                })
            })
            .collect()
    }

    /// Marks above the upper or under the lower tap.
    fn where_the_cell_is_blind(&self) -> Vec<Finding> {
        self.marks
            .iter()
            .filter_map(|mark| {
                let tap = match mark.blind? {
                    Blind::Above => "above the upper",
                    Blind::Below => "under the lower",
                };
                let (severity, code, consequence, remedy) = match mark.kind {
                    MarkKind::SetPoint => (
                        Severity::Stop,
                        "set-point-where-cell-is-blind",
                        "The controller can never see the level it is asked to hold.",
                        "Put the set point between the taps.",
                    ),
                    MarkKind::Alarm => (
                        Severity::Stop,
                        "alarm-where-cell-is-blind",
                        "An alarm that takes this loop's signal never sounds.",
                        "Put the alarm between the taps, or take it from an instrument of its own.",
                    ),
                    MarkKind::Trip => (
                        Severity::Note,
                        "trip-where-cell-is-blind",
                        "The panel never shows the level at which it acts; this loop can neither warn of it nor be used to prove it.",
                        "Prove it by the glass or by its own column, with a slow drain or a slow rise.",
                    ),
                    _ => return None,
                };
                Some(Finding {
                    severity,
                    code,
                    what: format!("The {} lies {tap} tap, where the cell is blind.", mark.name),
                    consequence: consequence.to_owned(),
                    remedy: remedy.to_owned(),
                    input: input_of(&mark.name),
                })
            })
            .collect()
    }

    /// Set point and alarms outside 0 to 100 % of the level span.
    fn outside_range(&self) -> Vec<Finding> {
        let span = self.described.range.span;
        self.marks
            .iter()
            .filter(|mark| mark.blind.is_none())
            .filter_map(|mark| {
                let severity = match mark.kind {
                    MarkKind::SetPoint => Severity::Stop,
                    MarkKind::Alarm => Severity::Warn,
                    _ => return None,
                };
                let percent = mark.true_level.percent(span);
                // 1e-6 %: rounding of unit conversion.
                let inside = (-1e-6..=100.0 + 1e-6).contains(&percent);
                (!inside).then(|| Finding {
                    severity,
                    code: "mark-outside-range",
                    what: format!(
                        "The {} lies at {percent:.1} % of the level span, outside the range.",
                        mark.name
                    ),
                    consequence:
                        "The signal saturates near it: it may never be reached on the panel."
                            .to_owned(),
                    remedy: "Widen the level span or move the mark.".to_owned(),
                    input: input_of(&mark.name),
                })
            })
            .collect()
    }

    /// Alarms that a cold vessel's panel gives late, because it reads high at the low one or low at the high one.
    fn late_when_cold(&self) -> Vec<Finding> {
        let span = self.described.range.span;
        [(LOW_ALARM, 1.0, "high"), (HIGH_ALARM, -1.0, "low")]
            .into_iter()
            .filter_map(|(name, sign, word)| {
                let mark = self.mark(name)?;
                let hot = mark.indicated_hot?.percent(span);
                let cold = mark.indicated_cold?.percent(span);
                (sign * (cold - hot) > LATE_PERCENT).then(|| Finding {
                    severity: Severity::Warn,
                    code: "alarm-late-when-cold",
                    what: format!(
                        "With cold water at the {name} the panel says {cold:.1} % where it says {hot:.1} % at {}.",
                        self.described.vessel.kind.normal_state()
                    ),
                    consequence: format!("While the vessel is cold the panel reads {word} there, and the alarm comes late."),
                    remedy: format!(
                        "Start up by {}, and count on the alarm only at {}.",
                        match self.described.glass {
                            Some(_) => "the glass",
                            None => "a second look at the level",
                        },
                        self.described.vessel.kind.normal_state()
                    ),
                    input: input_of(name),
                })
            })
            .collect()
    }

    /// A steam boiler of which no gauge glass is described.
    fn no_glass(&self) -> Option<Finding> {
        let missing = self.described.vessel.kind.is_fired() && self.described.glass.is_none();
        missing.then(|| Finding {
            severity: Severity::Stop,
            code: "boiler-without-glass",
            what: "No gauge glass is described on this steam boiler.".to_owned(),
            consequence: "Nothing shows the level but this loop, which cannot prove itself, and every step that sends a person to the glass has no place to go; nearly every code asks for at least one, and local codes decide.".to_owned(),
            remedy: "Survey the glass and describe it; a boiler that has none is not fired before the licensed person in charge has decided what local codes ask for.".to_owned(),
            input: "glass",
        })
    }

    fn set_point_not_in_glass(&self) -> Option<Finding> {
        self.described.glass.as_ref()?;
        let mark = self.mark(SET_POINT)?;
        mark.glass_hot.is_none().then(|| Finding {
            severity: Severity::Warn,
            code: "set-point-not-in-glass",
            what: format!(
                "With the water at the set point and at {}, the glass shows no surface.",
                self.described.vessel.kind.normal_state()
            ),
            consequence: "The level that the loop holds cannot be compared with the glass."
                .to_owned(),
            remedy:
                "Move the set point or the glass; a hot glass stands lower than the vessel's level."
                    .to_owned(),
            input: input_of(SET_POINT),
        })
    }

    fn glass_not_above_heated_surface(&self) -> Option<Finding> {
        let (bottom, surface) = self.both(GLASS_BOTTOM, HEATED_SURFACE)?;
        (bottom.true_level.m() <= surface.true_level.m()).then(|| Finding {
            severity: Severity::Warn,
            code: "glass-not-above-heated-surface",
            what: "The lowest visible part of the glass is not above the highest heated surface.".to_owned(),
            consequence: "Water may still stand in the glass while the heated surface is bare.".to_owned(),
            remedy: "Check your local code: many want the lowest visible part above the heated surface by a stated distance.".to_owned(),
            input: input_of(GLASS_BOTTOM),
        })
    }

    /// Cutoffs that act when the glass is already empty.
    fn cutoff_under_glass(&self) -> Vec<Finding> {
        let Some(glass) = &self.described.glass else {
            return Vec::new();
        };
        self.low_trips()
            .into_iter()
            .filter_map(|cutoff| {
                let mark = self.mark(cutoff)?;
                let kind = self.described.vessel.kind;
                let unseen = mark.glass_hot.is_none() && mark.true_level.m() < glass.visible_top_m;
                unseen.then(|| Finding {
                    severity: if cutoff == kind.first_low_trip() { Severity::Warn } else { Severity::Note },
                    code: "cutoff-under-glass",
                    what: format!("At {} the glass is empty before the {cutoff} acts.", kind.normal_state()),
                    consequence: if kind.is_fired() {
                        "A slow-drain proof cannot be watched in the glass down to the trip, and an empty glass means stop firing and do not feed.".to_owned()
                    } else {
                        "A slow-drain proof cannot be watched in the glass down to the trip.".to_owned()
                    },
                    remedy: if kind.is_fired() {
                        "Check your local code; prove the cutoff cold, or by its own column, with two people and at low fire.".to_owned()
                    } else {
                        "Prove the trip by its own column or with a dip, with two people and the pumps ready to stop.".to_owned()
                    },
                    input: input_of(cutoff),
                })
            })
            .collect()
    }
}

fn too_close(separations: &[Separation]) -> Option<Finding> {
    let close: Vec<String> = separations
        .iter()
        .filter(|separation| !separation.enough)
        .map(|separation| format!("{} and {}", separation.upper, separation.lower))
        .collect();
    (!close.is_empty()).then(|| Finding {
        severity: Severity::Warn,
        code: "marks-too-close",
        what: format!(
            "Closer together than the smallest separation wanted: {}.",
            close.join("; ")
        ),
        consequence:
            "A swing of the level, or the tolerance of two instruments, sets off both at once."
                .to_owned(),
        remedy: "Move them apart, or state a smaller separation knowingly.".to_owned(),
        input: "limits.smallest-separation",
    })
}
