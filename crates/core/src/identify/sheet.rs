//! A test on the plant and what follows from it: the process, the settings with the same window, and what stands against its use.
//!
//! **Checked by:** `property_a_test_of_the_computed_process_gives_the_computed_settings`, `property_a_level_that_goes_the_wrong_way_is_told`.

use crate::description::{Loop, MeasuredProcess, PlantTest, ValveService};
use crate::design::Sheets;
use crate::identify::bump::{BumpFit, identify_bump};
use crate::identify::doubt::{CannotTell, Doubt};
use crate::identify::intervals::Interval;
use crate::identify::record::Record;
use crate::identify::relay::{RelayFit, identify_relay};
use crate::identify::steps::OutputSteps;
use crate::tuning::sheets::TuningSheet;
use crate::tuning::{TuningError, tuning_sheet};

/// What was fitted.
#[derive(Debug, Clone, PartialEq)]
pub enum Fit {
    /// A bump test.
    Bump(BumpFit),
    /// A relay test.
    Relay(RelayFit),
}

impl Fit {
    /// Process gain k' of the INDICATED level, 1/s, with its sign.
    pub fn gain_per_s(&self) -> Interval {
        match self {
            Self::Bump(fit) => fit.gain_per_s,
            Self::Relay(fit) => fit.gain_per_s,
        }
    }

    /// Dead time, swell included, s.
    pub fn delay_s(&self) -> Interval {
        match self {
            Self::Bump(fit) => fit.delay_s,
            Self::Relay(fit) => fit.delay_s,
        }
    }

    /// The output as it was stepped.
    pub fn output(&self) -> &OutputSteps {
        match self {
            Self::Bump(fit) => &fit.output,
            Self::Relay(fit) => &fit.output,
        }
    }

    /// What is in doubt.
    pub fn doubts(&self) -> &[Doubt] {
        match self {
            Self::Bump(fit) => &fit.doubts,
            Self::Relay(_) => &[],
        }
    }
}

/// A test and what follows.
#[derive(Debug, Clone)]
pub struct TestSheet {
    /// What was fitted.
    pub fit: Fit,
    /// Where the output stood in the test, mean of its plateaus, %.
    pub mean_output_percent: f64,
    /// The process as the loop file would hold it, its date as given.
    pub measured: MeasuredProcess,
    /// Does the level go the way that the loop file says for a rising output.
    pub right_way: bool,
    /// The tuning sheet of the survey alone.
    pub computed: TuningSheet,
    /// The tuning sheet with the test taken.
    pub tuning: TuningSheet,
}

impl TestSheet {
    /// May the test be taken into the loop file.
    pub fn usable(&self) -> bool {
        self.right_way && !self.fit.doubts().iter().any(|doubt| doubt.forbids_use())
    }
}

/// Why a test gives no sheet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TestError {
    /// The record cannot tell.
    #[error(transparent)]
    CannotTell(#[from] CannotTell),
    /// No duty of the loop is called so.
    #[error("no duty point is called “{0}”")]
    Duty(String),
    /// Nothing says at which duty the test was made.
    #[error(
        "the loop has several duty points and no valve curve that tells which one the test was made at"
    )]
    DutyUnknown,
    /// The tuning cannot be computed with the test.
    #[error("tuning: {0}")]
    Tuning(#[from] TuningError),
}

/// Fits a record and computes what follows; the duty is the one named, or the one whose computed travel is nearest the output.
///
/// # Errors
/// [`TestError`].
pub fn test_sheet(
    the_loop: &Loop,
    sheets: &Sheets,
    record: &Record,
    test: PlantTest,
    duty: Option<&str>,
    date: &str,
) -> Result<TestSheet, TestError> {
    let fit = match test {
        PlantTest::Bump => Fit::Bump(identify_bump(record)?),
        PlantTest::Relay => Fit::Relay(identify_relay(record)?),
    };
    let mean_output_percent = mean_percent(fit.output());
    let duty = duty_of(the_loop, sheets, duty, mean_output_percent)?;
    let gain_per_s = fit.gain_per_s().value;
    let rises = (the_loop.feedwater.service == ValveService::Inflow)
        == the_loop.feedwater.rising_output_opens;
    let measured = MeasuredProcess {
        test,
        date: date.to_owned(),
        duty,
        span_time_s: 1.0 / gain_per_s.abs(),
        delay_s: fit.delay_s().value.max(0.0),
    };
    // Range and valve do not ask what was measured.
    let tuned = |the_loop: &Loop| tuning_sheet(the_loop, &sheets.range, sheets.feedwater.as_ref());
    let untested = Loop {
        measured: None,
        ..the_loop.clone()
    };
    let computed = match the_loop.measured {
        None => sheets.tuning.clone(),
        Some(_) => tuned(&untested)?,
    };
    let tested = Loop {
        measured: Some(measured.clone()),
        ..untested
    };
    Ok(TestSheet {
        mean_output_percent,
        right_way: (gain_per_s > 0.0) == rises,
        tuning: tuned(&tested)?,
        computed,
        measured,
        fit,
    })
}

fn mean_percent(output: &OutputSteps) -> f64 {
    let all = std::iter::once(output.first_percent)
        .chain(output.steps.iter().map(|step| step.output_percent));
    let (sum, count) = all.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    sum / count
}

fn duty_of(
    the_loop: &Loop,
    sheets: &Sheets,
    named: Option<&str>,
    mean_output_percent: f64,
) -> Result<String, TestError> {
    let duties = &the_loop.duties;
    if let Some(name) = named {
        return duties
            .iter()
            .find(|duty| duty.name == name)
            .map(|duty| duty.name.clone())
            .ok_or_else(|| TestError::Duty(name.to_owned()));
    }
    if let [only] = duties.as_slice() {
        return Ok(only.name.clone());
    }
    let travel = |output: f64| {
        if the_loop.feedwater.rising_output_opens {
            output
        } else {
            100.0 - output
        }
    };
    let wanted = travel(mean_output_percent);
    sheets
        .feedwater
        .iter()
        .flat_map(|sheet| &sheet.duties)
        .filter(|row| duties.iter().any(|duty| duty.name == row.name))
        .filter_map(|row| Some((row.name.clone(), (row.travel_percent? - wanted).abs())))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(name, _)| name)
        .ok_or(TestError::DutyUnknown)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::design;
    use crate::example_loop::shell_boiler;
    use crate::identify::simulated::Plant;

    fn tested(gain_per_s: f64, delay_s: f64) -> TestSheet {
        let the_loop = shell_boiler();
        let sheets = design(&the_loop).unwrap();
        let plant = Plant {
            gain_per_s,
            dead_time_s: delay_s,
            ..Plant::pulse()
        };
        let duty = the_loop.duties[0].name.clone();
        test_sheet(
            &the_loop,
            &sheets,
            &plant.record(1),
            PlantTest::Bump,
            Some(&duty),
            "2026-11-27",
        )
        .unwrap()
    }

    /// A record made with the computed gain gives the computed gains back at every duty.
    #[test]
    fn property_a_test_of_the_computed_process_gives_the_computed_settings() {
        let the_loop = shell_boiler();
        let computed = design(&the_loop).unwrap().tuning;
        let sheet = tested(computed.duties[0].indicated_gain_per_s, 14.0);
        assert!(sheet.usable());
        for (a, b) in sheet.tuning.duties.iter().zip(&computed.duties) {
            assert!((a.indicated_gain_per_s / b.indicated_gain_per_s - 1.0).abs() < 1e-4);
        }
        // A sampled step is known to half the time between two readings.
        assert!((sheet.measured.delay_s - 14.0).abs() < 1.01);
        assert_eq!(sheet.computed, computed);
    }

    #[test]
    fn property_a_level_that_goes_the_wrong_way_is_told() {
        let sheet = tested(-1e-3, 14.0);
        assert!(!sheet.right_way && !sheet.usable());
        assert!(sheet.measured.span_time_s > 0.0);
    }

    #[test]
    fn property_the_duty_is_named_or_told_by_the_travel() {
        let the_loop = shell_boiler();
        let sheets = design(&the_loop).unwrap();
        let record = Plant::pulse().record(1);
        let asked = |duty| {
            test_sheet(&the_loop, &sheets, &record, PlantTest::Bump, duty, "today")
                .map(|sheet| sheet.measured.duty)
        };
        assert_eq!(
            asked(Some("midnight")),
            Err(TestError::Duty("midnight".into()))
        );
        if sheets.feedwater.is_none() {
            assert_eq!(asked(None), Err(TestError::DutyUnknown));
        }
    }
}
