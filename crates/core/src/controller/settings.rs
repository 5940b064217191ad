//! The settings sheet: every value in the form and the unit that this controller wants, with its own mark beside it.

use crate::controller::action::{Action, HighPort, ReferenceLegFill, SignalPath, ValveSide};
use crate::controller::forms::{FormError, PidForm, PidSettings};
use crate::controller::sheets::{SettingRow, SettingValue, SettingsSheet};
use crate::controller::units::{GainUnit, IntegralGainUnit, ResetUnit};
use crate::description::{Loop, Polarity, ReferenceLeg, Reversal, ValveService};
use crate::finding::{Finding, Severity};
use crate::measurement::sheets::RangeSheet;
use crate::quantity::{IndicatedLevel, TrueLevel};
use crate::tuning::sheets::TuningSheet;
use crate::working::Working;

/// Why there is no settings sheet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SettingsError {
    /// The chosen settings are no settings.
    #[error("chosen settings: {0}")]
    Form(#[from] FormError),
}

/// Computes the settings sheet.
///
/// # Errors
/// [`SettingsError`].
pub fn settings_sheet(
    the_loop: &Loop,
    range: &RangeSheet,
    tuning: &TuningSheet,
) -> Result<SettingsSheet, SettingsError> {
    let controller = &the_loop.controller;
    let chosen = PidSettings::ideal(
        tuning.chosen.gain_ratio,
        tuning.chosen.reset_s,
        tuning.chosen.derivative_s,
    )?;
    let derived = signal_path(the_loop).derive_action();

    let mut rows = vec![row(
        the_loop,
        "action",
        "action",
        Ok(SettingValue::Word(action_word(derived.action).into())),
        match derived.action {
            Action::Reverse => "the output falls when the controller's input rises",
            Action::Direct => "the output rises when the controller's input rises",
        },
    )];
    rows.extend(control_rows(the_loop, chosen));
    rows.extend(level_rows(the_loop, range));
    rows.push(row(
        the_loop,
        "filter",
        "input filter",
        Ok(SettingValue::Number(controller.filter_time_s, "s")),
        "first-order; its time is counted in the dead-time budget, so more filter means slower settings",
    ));
    rows.push(row(
        the_loop,
        "output-low",
        "output, low limit",
        Ok(SettingValue::Number(0.0, "%")),
        "valve fully shut; reset must stop at the limit",
    ));
    rows.push(row(
        the_loop,
        "output-high",
        "output, high limit",
        Ok(SettingValue::Number(100.0, "%")),
        "valve fully open; reset must stop at the limit",
    ));

    let other_forms = [PidForm::Ideal, PidForm::Series, PidForm::Parallel]
        .into_iter()
        .map(|form| {
            (
                form,
                chosen
                    .to_form(form)
                    .map(settings_words)
                    .map_err(|error| error.to_string()),
            )
        })
        .collect();
    let gain_rescale_ratio = range.as_found.as_ref().map(|found| {
        (range.chosen.urv_pa - range.chosen.lrv_pa).abs()
            / (found.range.urv_pa - found.range.lrv_pa).abs()
    });
    Ok(SettingsSheet {
        form: controller.form,
        action: derived.action,
        action_steps: derived.steps,
        findings: findings(
            the_loop,
            gain_rescale_ratio,
            derived.signal_reversals,
            &rows,
        ),
        workings: workings(the_loop, chosen, range, gain_rescale_ratio),
        rows,
        other_forms,
        gain_rescale_ratio,
    })
}

/// The signs on the way from level to valve, as action derivation wants them.
pub fn signal_path(the_loop: &Loop) -> SignalPath {
    SignalPath {
        high_port: match the_loop.cell.polarity {
            Polarity::BottomOnHigh => HighPort::WorkingLeg,
            Polarity::WetLegOnHigh => HighPort::ReferenceLeg,
        },
        reference_leg: match the_loop.reference_leg {
            ReferenceLeg::Wet { .. } | ReferenceLeg::Sealed { .. } => ReferenceLegFill::Wet,
            ReferenceLeg::Dry { .. } => ReferenceLegFill::Dry,
            ReferenceLeg::None => ReferenceLegFill::OpenAir,
        },
        cell_reversed: the_loop.cell.reversal == Reversal::InCell,
        input_reversed: the_loop.cell.reversal == Reversal::InController,
        rising_output_opens_valve: the_loop.feedwater.rising_output_opens,
        valve: match the_loop.feedwater.service {
            ValveService::Inflow => ValveSide::Inflow,
            ValveService::Outflow => ValveSide::Outflow,
        },
    }
}

/// The trade's word for an action.
pub const fn action_word(action: Action) -> &'static str {
    match action {
        Action::Reverse => "reverse",
        Action::Direct => "direct",
    }
}

fn row(
    the_loop: &Loop,
    term: &'static str,
    name: &str,
    value: Result<SettingValue, String>,
    note: &str,
) -> SettingRow {
    let device_mark = the_loop
        .controller
        .device_marks
        .iter()
        .find(|(known, _)| known == term)
        .map(|(_, mark)| mark.clone());
    SettingRow {
        term,
        name: name.into(),
        value,
        device_mark,
        note: note.into(),
    }
}

/// Gain, reset and derivative in the device's form and units.
fn control_rows(the_loop: &Loop, chosen: PidSettings) -> Vec<SettingRow> {
    let controller = &the_loop.controller;
    let span_m = the_loop.range.span.height_m();
    let held = match chosen.to_form(controller.form) {
        Ok(held) => held,
        Err(error) => {
            let why = error.to_string();
            return vec![
                row(
                    the_loop,
                    "gain",
                    "gain",
                    Err(why.clone()),
                    "this form cannot hold the computed settings",
                ),
                row(the_loop, "reset", "reset", Err(why.clone()), ""),
                row(the_loop, "derivative", "derivative", Err(why), ""),
            ];
        }
    };
    let (gain_ratio, reset, derivative_s) = match held {
        PidSettings::Ideal(times) | PidSettings::Series(times) => (
            times.gain_ratio(),
            ResetRow::Time(times.reset_s()),
            times.derivative_s(),
        ),
        PidSettings::Parallel(gains) => (
            gains.proportional_ratio(),
            ResetRow::IntegralGain(gains.integral_per_s()),
            gains.derivative_s(),
        ),
    };
    let gain_value = match controller.gain_unit {
        GainUnit::ProportionalBandLevel => Ok(SettingValue::LevelBandM(span_m / gain_ratio)),
        unit => unit
            .value_from_gain(gain_ratio, span_m)
            .map(|value| SettingValue::Number(value, unit.symbol()))
            .map_err(|error| error.to_string()),
    };
    let gain_name = match controller.gain_unit {
        GainUnit::Ratio => "gain",
        GainUnit::ProportionalBandPercent | GainUnit::ProportionalBandLevel => "proportional band",
    };
    let reset_row = match reset {
        ResetRow::Time(Some(reset_s)) => {
            let unit = controller.reset_unit;
            let value = unit
                .value_from_reset(reset_s)
                .map(|value| SettingValue::Number(value, unit.symbol()))
                .map_err(|error| error.to_string());
            row(
                the_loop,
                "reset",
                "reset",
                value,
                "slow on purpose: a level needs tens of minutes where a flow needs seconds",
            )
        }
        ResetRow::Time(None) => row(
            the_loop,
            "reset",
            "reset",
            Ok(SettingValue::Word("off".into())),
            "no integral action",
        ),
        ResetRow::IntegralGain(per_s) => {
            let unit = match controller.reset_unit {
                ResetUnit::MinutesPerRepeat | ResetUnit::RepeatsPerMinute => {
                    IntegralGainUnit::PerMinute
                }
                ResetUnit::SecondsPerRepeat | ResetUnit::RepeatsPerSecond => {
                    IntegralGainUnit::PerSecond
                }
            };
            let value = SettingValue::Number(unit.value_from_integral_gain(per_s), unit.symbol());
            row(
                the_loop,
                "reset",
                "integral gain",
                Ok(value),
                "parallel form: gain over reset time; it does not follow when the gain is changed",
            )
        }
    };
    let derivative = if derivative_s > 0.0 {
        let unit = controller.derivative_unit;
        unit.value_from_derivative(derivative_s)
            .map(|value| SettingValue::Number(value, unit.symbol()))
            .map_err(|error| error.to_string())
    } else {
        Ok(SettingValue::Word("off".into()))
    };
    vec![
        row(
            the_loop,
            "gain",
            gain_name,
            gain_value,
            match controller.gain_unit {
                GainUnit::Ratio => "output percent for each percent of level span",
                GainUnit::ProportionalBandPercent => {
                    "share of the level span that moves the output from end to end; smaller is stronger"
                }
                GainUnit::ProportionalBandLevel => {
                    "change of level that moves the output from end to end; smaller is stronger"
                }
            },
        ),
        reset_row,
        row(
            the_loop,
            "derivative",
            "derivative",
            derivative,
            if the_loop.vessel.kind.holds_steam() {
                "off: swell and shrink start the wrong way, and derivative would follow them"
            } else {
                "off: it would follow every ripple of the surface and wear the valve"
            },
        ),
    ]
}

enum ResetRow {
    Time(Option<f64>),
    IntegralGain(f64),
}

/// Scaling, set point and alarms as the panel shows them at normal pressure.
fn level_rows(the_loop: &Loop, range: &RangeSheet) -> Vec<SettingRow> {
    let span = the_loop.range.span;
    let (at_low, at_high) = match the_loop.cell.reversal {
        Reversal::InController => (span.at_100_percent_m, span.at_0_percent_m),
        Reversal::Nowhere | Reversal::InCell => (span.at_0_percent_m, span.at_100_percent_m),
    };
    let shown = |true_m: f64| {
        Ok(SettingValue::LevelM(
            indicated_at_normal(the_loop, range, TrueLevel::from_m(true_m)).m(),
        ))
    };
    let mut rows = vec![
        row(
            the_loop,
            "input-low",
            "level shown at 4 mA",
            Ok(SettingValue::LevelM(at_low)),
            "scaling of the input",
        ),
        row(
            the_loop,
            "input-high",
            "level shown at 20 mA",
            Ok(SettingValue::LevelM(at_high)),
            "scaling of the input",
        ),
        row(
            the_loop,
            "set-point",
            "set point",
            shown(the_loop.limits.set_point_m),
            if the_loop.vessel.kind.holds_steam() {
                "as the panel shows it at normal pressure"
            } else {
                "as the panel shows it in normal service"
            },
        ),
    ];
    for (term, name, level) in [
        ("low-alarm", "low alarm", the_loop.limits.low_alarm_m),
        ("high-alarm", "high alarm", the_loop.limits.high_alarm_m),
    ] {
        if let Some(true_m) = level {
            rows.push(row(
                the_loop,
                term,
                name,
                shown(true_m),
                if the_loop.vessel.kind.holds_steam() {
                    "as the panel shows it at normal pressure; an alarm only, never a trip"
                } else {
                    "as the panel shows it in normal service; an alarm only, never a trip"
                },
            ));
        }
    }
    rows
}

/// What the panel says at normal pressure with the chosen range: both differentials are lines in the level.
fn indicated_at_normal(the_loop: &Loop, range: &RangeSheet, level: TrueLevel) -> IndicatedLevel {
    let span = the_loop.range.span;
    let share = level.percent(span) / 100.0;
    let differential_pa = range.hot.lrv_pa + share * (range.hot.urv_pa - range.hot.lrv_pa);
    let indicated =
        (differential_pa - range.chosen.lrv_pa) / (range.chosen.urv_pa - range.chosen.lrv_pa);
    IndicatedLevel::from_percent(100.0 * indicated, span)
}

/// Settings in words, every value with its unit.
fn settings_words(settings: PidSettings) -> String {
    match settings {
        PidSettings::Ideal(times) | PidSettings::Series(times) => format!(
            "Kc {:.4} %/%, Ti {}, Td {:.1} s",
            times.gain_ratio(),
            times
                .reset_s()
                .map_or_else(|| "none".into(), |reset_s| format!("{reset_s:.1} s/repeat")),
            times.derivative_s(),
        ),
        PidSettings::Parallel(gains) => format!(
            "Kp {:.4} %/%, Ki {:.3e} 1/s, Kd {:.1} s",
            gains.proportional_ratio(),
            gains.integral_per_s(),
            gains.derivative_s(),
        ),
    }
}

fn findings(
    the_loop: &Loop,
    gain_rescale_ratio: Option<f64>,
    signal_reversals: u8,
    rows: &[SettingRow],
) -> Vec<Finding> {
    let mut findings = Vec::new();
    if let Some(ratio) = gain_rescale_ratio.filter(|ratio| (ratio - 1.0).abs() > 0.01) {
        findings.push(Finding {
            severity: Severity::Note,
            code: "span-changes-gain",
            what: format!("The new span is {ratio:.3} times the old one."),
            consequence:
                "With the old gain and the new span the loop is faster or slower by that factor."
                    .into(),
            remedy: format!(
                "Where an old gain is kept, multiply it by {ratio:.3} when the range is changed."
            ),
            input: "as-found.range-low",
        });
    }
    let falling = the_loop.cell.polarity == Polarity::WetLegOnHigh;
    if falling && signal_reversals != 1 {
        findings.push(Finding {
            severity: Severity::Stop,
            code: "signal-not-reversed-once",
            what: format!("The wet leg is on the high port and the signal is reversed {signal_reversals} times."),
            consequence: "The panel reads upside down: a falling level shows as a rising one.".into(),
            remedy: "Reverse it exactly once, in the cell or in the controller's scaling, never in both.".into(),
            input: "cell.reversed-in",
        });
    }
    for row in rows {
        if let Err(why) = &row.value {
            findings.push(Finding {
                severity: Severity::Stop,
                code: "form-cannot-hold",
                what: format!("{}: {why}.", row.name),
                consequence: "The computed settings cannot be entered in this controller.".into(),
                remedy: "Choose settings with less derivative, or another form if the controller offers one.".into(),
                input: "controller.form",
            });
            break;
        }
    }
    findings
}

fn workings(
    the_loop: &Loop,
    chosen: PidSettings,
    range: &RangeSheet,
    gain_rescale_ratio: Option<f64>,
) -> Vec<Working> {
    let mut workings = Vec::new();
    if let Ok(times) = chosen.to_ideal() {
        let percent = 100.0 / times.gain_ratio();
        workings.push(
            Working::new(
                "Proportional band",
                "PB = 100 / Kc",
                percent,
                "% of span",
                "definition",
                "any form",
            )
            .with("Kc", "gain", times.gain_ratio(), "%/%"),
        );
        workings.push(
            Working::new(
                "Proportional band in level",
                "PB_level = span / Kc",
                the_loop.range.span.height_m() / times.gain_ratio(),
                "m",
                "definition",
                "any form",
            )
            .with("Kc", "gain", times.gain_ratio(), "%/%")
            .with("span", "level span", the_loop.range.span.height_m(), "m"),
        );
        if let Some(reset_s) = times.reset_s() {
            workings.push(
                Working::new(
                    "Reset in repeats per minute",
                    "60 / Ti",
                    60.0 / reset_s,
                    "repeats/min",
                    "definition",
                    "ideal and series form",
                )
                .with("Ti", "reset", reset_s, "s/repeat"),
            );
        }
    }
    if let (Some(ratio), Some(found)) = (gain_rescale_ratio, range.as_found.as_ref()) {
        workings.push(
            Working::new(
                "Gain factor for the new span",
                "Kc2 / Kc1 = S2 / S1",
                ratio,
                "-",
                "loop gain is Kc over span",
                "same valve, same vessel",
            )
            .with("S2", "new span", range.span_pa, "Pa")
            .with(
                "S1",
                "old span",
                (found.range.urv_pa - found.range.lrv_pa).abs(),
                "Pa",
            ),
        );
    }
    workings
}
