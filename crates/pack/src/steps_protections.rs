//! The commissioning steps that prove alarms and level protections by slow drain: cold, before everything that raises
//! pressure, and on a fired vessel once more at low fire.

use halfglass_core::controller::sheets::SettingValue;
use halfglass_core::level_map::LevelMark;
use halfglass_core::measurement::condition::{cell_at, start_up};
use halfglass_core::measurement::glass::GlassAt;
use halfglass_core::quantity::{GlassLevel, IndicatedLevel, TrueLevel};
use halfglass_report::sections::setting_text;

use crate::part::{Step, StepReading};
use crate::steps::{Context, sentence, trips};
use crate::words;

/// Two marks this near are one, m: rounding of unit conversion.
const SAME_MARK_M: f64 = 1e-9;

/// Water of the test.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Water {
    Cold,
    Hot,
}

impl Water {
    fn glass(self, mark: &LevelMark) -> Option<GlassLevel> {
        match self {
            Self::Cold => mark.glass_cold,
            Self::Hot => mark.glass_hot,
        }
    }
}

/// Step: alarms and level protections by slow drain, cold; a hold point.
pub(crate) fn protections(context: Context<'_>) -> Step {
    let kind = context.described.vessel.kind;
    let low = words::low_protection(kind);
    let mut readings = alarm_readings(context);
    readings.extend(trip_readings(context, Water::Cold));
    if readings.is_empty() {
        readings.push(StepReading::of(
            format!("Alarms and {low}s: none is stated in the loop file"),
            "stated by the engineer before this step",
        ));
    }
    readings.push(restored());
    let mut cautions = vec![words::trips_are_independent(kind)];
    let mut actions = Vec::new();
    if kind.is_fired() {
        cautions.push(format!(
            "Cold and without pressure: fuel shut off and locked out, no fire in this step. Two people, one of them {} with nothing else to do.",
            at_the_water(context)
        ));
        cautions.extend(no_glass(context));
        actions.extend([
            "Feed shut, controller in manual. The burner's control circuit is on, its fuel is not: each cutoff must open the circuit and take away the permission to start.".to_owned(),
            "Open the drain so that the level falls slowly; a quick blow-down of the float chamber does not replace this test. If the water leaves sight before the cutoff acts: shut the drain; the test has failed.".to_owned(),
            "Prove the FIRST cutoff. Refill. Prove the SECOND one by slow drain as well, the first one put out of action only as its maker's instruction says, watched all the time, and restored at once.".to_owned(),
            "Raise the level slowly by hand for the high alarm and the high-level trip.".to_owned(),
            "Drain shut, level back by hand; the controller stays in manual.".to_owned(),
        ]);
    } else {
        cautions
            .push("Two people: one at the drain, one at the pumps, which must not run dry.".into());
        actions.extend([
            format!("Feed shut, controller in manual. Let the level fall slowly by the drain to the low alarm and every {low}."),
            "Refill by hand and raise the level slowly to the high alarm, the high-level trip and the overflow.".to_owned(),
            "Drain shut, level back by hand; the controller stays in manual.".to_owned(),
        ]);
    }
    Step {
        title: if kind.is_fired() {
            "Alarms and BOTH cutoffs by slow drain, cold".into()
        } else {
            "Alarms and level protections by slow drain".into()
        },
        people: "two, both for the whole test".into(),
        instruments: "the makers' instructions of every protection, local code".into(),
        cautions,
        actions,
        readings,
        hold: words::held_back(kind).into(),
        ..Step::default()
    }
}

/// Step: the cutoffs once more, fired and at pressure; `None` on an unfired vessel.
pub(crate) fn fired(context: Context<'_>) -> Option<Step> {
    let kind = context.described.vessel.kind;
    if !kind.is_fired() {
        return None;
    }
    let mut readings = trip_readings(context, Water::Hot);
    readings.push(restored());
    let mut cautions = vec![
        words::trips_are_independent(kind),
        format!(
            "Two people, low fire, one of them {} with nothing else to do. If the water leaves sight before the cutoff acts: stop the firing by \
             hand, do not feed.",
            at_the_water(context)
        ),
    ];
    cautions.extend(no_glass(context));
    Some(Step {
        title: "Fired test of BOTH cutoffs at low fire".into(),
        people: "two, both for the whole test, one of them licensed for this boiler where the code asks for it".into(),
        instruments: "the makers' instructions of every protection, local code".into(),
        cautions,
        actions: vec![
            "Where local code or the maker asks for a test under fire; where neither does, strike this step out and sign that.".into(),
            "Normal pressure, low fire, feed shut, controller in manual. Let the level fall slowly; the first cutoff, refill, then the second one with the first put out of action only as its maker says, and restored at once.".into(),
            "Drain shut, feed open again by hand, level back to the set point; the controller stays in manual.".into(),
        ],
        readings,
        may_be_struck_out: true,
        hold: "The loop does not run in automatic before this step is signed or struck out.".into(),
    })
}

fn restored() -> StepReading {
    StepReading::of(
        "Everything put out of action for this test is restored; drain shut, any current source out and the cell reconnected",
        "checked by the second person",
    )
}

fn at_the_water(context: Context<'_>) -> &'static str {
    if context.described.glass.is_some() {
        "at the glass"
    } else {
        "who measures the level another way"
    }
}

/// On a fired vessel whose water nobody sees.
fn no_glass(context: Context<'_>) -> Option<String> {
    context.described.glass.is_none().then(|| {
        "The loop file has no gauge glass. Nearly every code asks for at least one on a boiler (local codes decide), and this test needs one: it is fitted, surveyed \
         and written into the loop file before this step is begun."
            .to_owned()
    })
}

/// Alarms at the panel's value that was entered, with what vessel and glass hold then, cold.
fn alarm_readings(context: Context<'_>) -> Vec<StepReading> {
    let Context {
        described,
        sheets,
        units,
        limits,
    } = context;
    let accept = limits.alarm();
    sheets
        .settings
        .rows
        .iter()
        .filter(|setting| ["low-alarm", "high-alarm"].contains(&setting.term))
        .map(|setting| {
            let entered = setting_text(described, setting, units);
            let beside = match setting.value {
                Ok(SettingValue::LevelM(m)) => {
                    match cold_levels(context, IndicatedLevel::from_m(m)) {
                        Some((level, Some(glass))) => format!(
                            "; cold the glass then stands near {}, true level {}",
                            units.level_text(glass.m()),
                            units.level_text(level.m())
                        ),
                        Some((level, None)) => {
                            format!("; cold the true level is then near {}", units.level_text(level.m()))
                        }
                        None => "; no cold water level shows this on the panel: fed as a current in place of the cell".to_owned(),
                    }
                }
                _ => String::new(),
            };
            StepReading::of(
                format!("{} sounds with the panel at", sentence(&setting.name)),
                format!("{entered}, {accept}: the value entered{beside}"),
            )
        })
        .collect()
}

/// True level and glass of the cold vessel when the panel shows a level; `None` where no water between the taps does.
fn cold_levels(
    context: Context<'_>,
    shown: IndicatedLevel,
) -> Option<(TrueLevel, Option<GlassLevel>)> {
    let Context {
        described, sheets, ..
    } = context;
    let range = sheets.range.chosen;
    let share = shown.percent(described.range.span) / 100.0;
    let differential_pa = range.lrv_pa + share * (range.urv_pa - range.lrv_pa);
    // The level map was computed at this condition: an error here would have stopped the sheets before.
    let condition = start_up(described);
    let cell = cell_at(described, &condition).ok()?;
    let level = cell.true_level(differential_pa).ok()?;
    if !cell.geometry.weighs(level.m()) {
        return None;
    }
    let glass = GlassAt::of(described, &condition).ok()?;
    Some((level, glass.and_then(|glass| glass.shows(level))))
}

/// Trips, where they act and what they do.
fn trip_readings(context: Context<'_>, water: Water) -> Vec<StepReading> {
    let described = context.described;
    let kind = described.vessel.kind;
    let mut readings = Vec::new();
    for mark in trips(context) {
        let is_low = mark.true_level.m() < described.limits.set_point_m;
        if water == Water::Hot && !is_low {
            continue;
        }
        let name = sentence(&words::mark_name(kind, &mark.name));
        let does = match (is_low, water) {
            (true, Water::Cold) => words::low_protection_does(kind),
            (true, Water::Hot) => "shuts off the firing",
            (false, _) => "shuts off the feed",
        };
        readings.push(StepReading::of(
            format!("{name} acts: it {does}"),
            acts_at(context, mark, water, is_low),
        ));
        if is_low && kind.is_fired() {
            let is_second = described
                .limits
                .second_low_cutoff_m
                .is_some_and(|second_m| (second_m - mark.true_level.m()).abs() < SAME_MARK_M);
            readings.push(StepReading::of(
                format!("{name}, when the water returns"),
                if is_second {
                    "firing stays locked out until reset by hand"
                } else {
                    "resets: by hand / by itself (strike out one, as code and maker say)"
                },
            ));
        }
    }
    readings
}

fn acts_at(context: Context<'_>, mark: &LevelMark, water: Water, is_low: bool) -> String {
    let Context {
        described,
        units,
        limits,
        ..
    } = context;
    let level = units.level_text(mark.true_level.m());
    match water.glass(mark) {
        Some(glass) if is_low => format!(
            "glass not below {} less {}, water still in sight",
            units.level_text(glass.m()),
            limits.survey()
        ),
        Some(glass) => format!(
            "glass not above {} plus {}",
            units.level_text(glass.m()),
            limits.survey()
        ),
        None if described.glass.is_none() => {
            format!("{level} true level ± {}, measured", limits.survey())
        }
        None if is_low && described.vessel.kind.is_fired() => format!(
            "its mark, {level} true level, is out of sight: proved as its maker says, never by running below the glass",
        ),
        None => format!("{level} true level, out of sight: measured another way"),
    }
}
