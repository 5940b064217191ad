//! A process measured on the plant instead of computed: the duties' gains and the dead time follow from the test.
//!
//! ```text
//! factor = k'_measured / k'_indicated(duty of the test)      every duty's gain is multiplied by it
//! θ      = θ_measured + filter + sample/2 + ½·Δh·Ts          swell, damping, deadband and resolution were in the record
//! ```
//!
//! The factor corrects what the survey and the valve's tables share over all duties: free surface, range, full flow. The ratio of
//! one duty's gain to another's stays that of the installed valve.
//!
//! **Checked by:** `property_a_test_replaces_gain_and_dead_time`.

use crate::description::{Loop, MeasuredProcess};
use crate::finding::{Finding, Severity};
use crate::tuning::sheets::DutyGain;
use crate::working::Working;

/// A measured gain this many times the computed one, or one in so many, is told (no source).
const TOLD_RATIO: f64 = 1.5;

/// What the sheet takes of a test.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredUse {
    /// As the loop file has it.
    pub process: MeasuredProcess,
    /// Process gain of the test, INDICATED level, 1/s.
    pub gain_per_s: f64,
    /// Computed gain of that duty, 1/s.
    pub computed_gain_per_s: f64,
    /// Dead time that would be computed, s.
    pub computed_delay_s: f64,
}

impl MeasuredUse {
    /// Measured over computed gain.
    pub fn gain_ratio(&self) -> f64 {
        self.gain_per_s / self.computed_gain_per_s
    }
}

/// Multiplies the duties' gains by what the loop's test says; `None` without a test, or where its duty is none of them.
pub(crate) fn take_measured(
    the_loop: &Loop,
    duties: &mut [DutyGain],
    computed_delay_s: f64,
) -> Option<MeasuredUse> {
    let process = the_loop.measured.clone()?;
    let computed_gain_per_s = duties
        .iter()
        .find(|duty| duty.name == process.duty)?
        .indicated_gain_per_s;
    let used = MeasuredUse {
        gain_per_s: process.gain_per_s(),
        process,
        computed_gain_per_s,
        computed_delay_s,
    };
    let ratio = used.gain_ratio();
    scale(duties, ratio);
    Some(used)
}

/// Every duty's gains times a ratio.
pub(crate) fn scale(duties: &mut [DutyGain], ratio: f64) {
    for duty in duties {
        duty.process_gain_per_s *= ratio;
        duty.indicated_gain_per_s *= ratio;
    }
}

/// What a person should hear of a test that the sheet takes.
pub(crate) fn measured_findings(used: &MeasuredUse) -> Option<Finding> {
    let ratio = used.gain_ratio();
    (!(1.0 / TOLD_RATIO..=TOLD_RATIO).contains(&ratio)).then(|| Finding {
        severity: Severity::Warn,
        code: "measured-gain-differs",
        what: format!("The measured process gain is {ratio:.2} times the computed one."),
        consequence: "One of them is wrong: settings follow the test, reserve minutes and level rates still the survey.".into(),
        remedy: "Look at the range that the panel had, the free surface, the flow of the open valve, and whether the load moved during the test; test again.".into(),
        input: "measured.span-time",
    })
}

/// How the measured numbers enter.
pub(crate) fn measured_working(used: &MeasuredUse) -> Working {
    Working::new(
        format!(
            "Measured process gain over the computed one, duty {}",
            used.process.duty
        ),
        "factor = 1/(span time k'); every duty's k' is multiplied by it",
        used.gain_ratio(),
        "-",
        "test on the plant, of the date in the loop file",
        "the range of the panel is still that of the test",
    )
    .with("span time", "1/k' measured", used.process.span_time_s, "s")
    .with(
        "k'",
        "computed, indicated level",
        used.computed_gain_per_s,
        "1/s",
    )
}

#[cfg(test)]
mod tests {
    use crate::description::{MeasuredProcess, PlantTest};
    use crate::design::design;
    use crate::example_loop::shell_boiler;

    /// A test that finds what was computed changes no gain; twice the gain halves the settings' gain; the dead time is the test's with
    /// what the record did not see.
    #[test]
    fn property_a_test_replaces_gain_and_dead_time() {
        let mut the_loop = shell_boiler();
        let computed = design(&the_loop).unwrap().tuning;
        let duty = &computed.duties[1];
        let mut with = |factor: f64, delay_s: f64| {
            the_loop.measured = Some(MeasuredProcess {
                test: PlantTest::Bump,
                date: "2026-11-27".into(),
                duty: duty.name.clone(),
                span_time_s: 1.0 / (factor * duty.indicated_gain_per_s),
                delay_s,
            });
            design(&the_loop).unwrap().tuning
        };
        let same = with(1.0, 30.0);
        for (a, b) in same.duties.iter().zip(&computed.duties) {
            assert!((a.indicated_gain_per_s / b.indicated_gain_per_s - 1.0).abs() < 1e-12);
        }
        assert!((same.dead_time_s - 30.0).abs() < computed.dead_time_s);
        assert!(
            same.dead_time
                .iter()
                .any(|part| (part.seconds - 30.0).abs() < 1e-12)
        );
        assert!(
            !same
                .dead_time
                .iter()
                .any(|part| part.name.contains("deadband"))
        );
        let codes = |sheet: &crate::tuning::sheets::TuningSheet| {
            sheet
                .findings
                .iter()
                .map(|finding| finding.code)
                .collect::<Vec<_>>()
        };
        assert!(!codes(&same).contains(&"measured-gain-differs"));
        assert!(!codes(&same).contains(&"tuning-is-forecast"));
        assert!(codes(&computed).contains(&"tuning-is-forecast"));
        let twice = with(2.0, 30.0);
        assert!(codes(&twice).contains(&"measured-gain-differs"));
        assert!(
            (twice.duties[0].process_gain_per_s / computed.duties[0].process_gain_per_s - 2.0)
                .abs()
                < 1e-12
        );
        // SIMC: gain times process gain times reset is 4 whatever the gain.
        for sheet in [&same, &twice] {
            let most = sheet
                .duties
                .iter()
                .map(|duty| duty.indicated_gain_per_s)
                .fold(0.0, f64::max);
            let product = sheet.chosen.gain_ratio * most * sheet.chosen.reset_s.unwrap();
            assert!((product - 4.0).abs() < 1e-6, "{product}");
        }
    }
}
