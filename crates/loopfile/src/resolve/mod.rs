//! From entries to a loop: units resolved, defaults filled in and listed, values checked against each other.
//!
//! Every part is resolved even when another has problems, so that all problems come out at once.

mod actuator;
mod cell;
mod conductor;
mod control;
mod duties;
mod feed_system;
mod feedwater;
mod groups;
mod legs;
mod line;
mod plausible;
mod pressures;
mod refusal;
mod site;
mod supply;
mod uncertainty;
mod valve;
mod vessel;
mod wiring;

use halfglass_core::description::{Accuracy, Instrument, Loop, Person};
use halfglass_core::measurement::condition::described_leg_k;

pub(crate) use valve::is_rotary;

use crate::keys;
use crate::quantity_text::{Basis, Quantity};
use crate::survey::Survey;

/// The loop, unless there is any problem.
pub(crate) fn resolve(survey: &mut Survey<'_>) -> Option<Loop> {
    let identity = site::identity(survey);
    let site = site::site(survey);
    let vessel_kind = vessel::kind(survey);
    let vessel = vessel::vessel(survey, vessel_kind);
    let elevations = vessel::elevations(survey, vessel_kind, vessel.as_ref());
    let pressures = pressures::pressures(survey, vessel_kind);
    let ambient = site
        .as_ref()
        .map(|site| (site.ambient_lowest_k, site.ambient_highest_k));
    let legs = legs::legs(survey, vessel_kind, ambient);
    let glass = cell::glass(survey);
    let cell = cell::cell(survey, vessel_kind);
    let range = cell::range(survey, vessel_kind);
    let duties = duties::duties(survey, vessel_kind, vessel.as_ref(), pressures.as_ref());
    let feedwater = feedwater::feedwater(survey, duties.as_deref());
    let feed_system = feed_system::feed_system(survey, vessel_kind, duties.as_deref());
    let wiring = wiring::wiring(survey, site.as_ref());
    let uncertainty = uncertainty::uncertainty(
        survey,
        vessel_kind,
        site.as_ref(),
        pressures.as_ref(),
        cell.as_ref(),
    );
    let controller = control::controller(survey);
    let limits = control::limits(survey, vessel_kind, range.as_ref());
    let as_found = control::as_found(survey, controller.as_ref(), range.as_ref());
    pressures::check_waters(survey, pressures.as_ref());
    plausible::alone(survey);
    plausible::valve_slack(survey);
    plausible::pressures(survey, vessel_kind, pressures.as_ref());
    plausible::wishes(survey, elevations.as_ref());
    let measured = control::measured(survey, duties.as_deref());
    let people = people(survey);
    let instruments = instruments(survey);
    let legs = legs?;
    let mut described = Loop {
        identity: identity?,
        site: site?,
        vessel: vessel?,
        elevations: elevations?,
        reference_leg: legs.reference,
        working_leg_temperature_k: legs.working_k,
        // Filled in below: its default needs the legs as the core sees them.
        leg_temperature_band_k: (f64::NAN, f64::NAN),
        glass: glass?,
        cell: cell?,
        range: range?,
        pressures: pressures?,
        duties: duties?,
        feedwater: feedwater?,
        feed_system: feed_system?,
        wiring: wiring?,
        uncertainty: uncertainty?,
        controller: controller?,
        limits: limits?,
        as_found: as_found?,
        measured: measured?,
        people,
        instruments,
        assumptions: Vec::new(),
        // Remarks are the reader's, not the survey's.
        placeholders: Vec::new(),
    };
    described.leg_temperature_band_k = legs::band(survey, described_leg_k(&described))?;
    described.feedwater.swell_time_s = feedwater::swell_time_s(survey, &described)?;
    described.assumptions = std::mem::take(&mut survey.assumptions);
    described
        .assumptions
        .sort_by_key(|assumption| keys::position(assumption.input));
    Some(described)
}

fn people(survey: &Survey<'_>) -> Vec<Person> {
    (0..survey.entries.count("person"))
        .filter_map(|index| {
            Some(Person {
                role: survey.text(&format!("person[{index}].role"))?.value,
                name: survey.text(&format!("person[{index}].name"))?.value,
            })
        })
        .collect()
}

fn accuracy(found: Quantity) -> Accuracy {
    match found.basis {
        Basis::Current => Accuracy::Current { ma: found.value },
        _ => Accuracy::Pressure { pa: found.value },
    }
}

fn instruments(survey: &Survey<'_>) -> Vec<Instrument> {
    (0..survey.entries.count("instrument"))
        .filter_map(|index| {
            Some(Instrument {
                name: survey.text(&format!("instrument[{index}].name"))?.value,
                serial: survey.text(&format!("instrument[{index}].serial"))?.value,
                due: survey.text(&format!("instrument[{index}].due"))?.value,
                accuracy: survey
                    .quantity(&format!("instrument[{index}].accuracy"))
                    .map(|found| accuracy(found.value)),
            })
        })
        .collect()
}
