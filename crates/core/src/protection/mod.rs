//! What happens when something fails: signal loss, reserve minutes, cold fill, cool-down.

mod cold_fill;
mod cool_down;
mod deadline;
pub mod failure;
pub(crate) mod heating_steam;
mod inventory;
mod reserve;
pub mod sheets;
mod signal_loss;
mod signal_loss_findings;

use crate::description::Loop;
use crate::feedwater::sheets::FeedwaterSheet;
use crate::protection::sheets::SignalLossSheet;
use crate::vessel::VesselError;
use crate::water::WaterError;

/// Why the loss-of-signal sheet cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ProtectionError {
    /// A water property is out of range.
    #[error(transparent)]
    Water(#[from] WaterError),
    /// A level is outside the vessel.
    #[error(transparent)]
    Vessel(#[from] VesselError),
    /// No duty point.
    #[error("the loop has no duty point")]
    NoDuty,
    /// A vented tank without its water temperature.
    #[error("the vented tank's water temperature is missing")]
    WaterTemperatureMissing,
    /// A duty's flow is not usable.
    #[error(
        "duty {duty}: flow {flow_kg_s} kg/s must be finite and not negative, and above 0 kg/s at the largest duty"
    )]
    DutyFlow {
        /// Duty.
        duty: String,
        /// Flow given, kg/s.
        flow_kg_s: f64,
    },
    /// The full-valve flow is not usable.
    #[error("full-valve flow {flow_kg_s} kg/s must be finite and above 0 kg/s")]
    FullValveFlow {
        /// Flow given, kg/s.
        flow_kg_s: f64,
    },
    /// A trip is on the wrong side of the set point.
    #[error(
        "{trip} at {trip_m} m is not {side} the set point at {set_point_m} m above the lower tap"
    )]
    TripSide {
        /// Trip.
        trip: &'static str,
        /// Where it is, m above the lower tap.
        trip_m: f64,
        /// Where it must be: above, below.
        side: &'static str,
        /// Set point, m above the lower tap.
        set_point_m: f64,
    },
}

/// The loss-of-signal sheet: failures, reserve minutes, cold-fill mark, cool-down.
///
/// An open valve passes what the installed characteristic says, where the feed system is described.
///
/// # Errors
/// [`ProtectionError`] where water, vessel or duties do not allow an answer, or a trip is on the wrong side.
pub fn signal_loss_sheet(
    described: &Loop,
    feedwater: Option<&FeedwaterSheet>,
) -> Result<SignalLossSheet, ProtectionError> {
    let mut findings = Vec::new();
    let mut workings = Vec::new();
    let rows = signal_loss::failure_rows(described, feedwater, &mut findings, &mut workings)?;
    let reserves = reserve::reserves(described, &mut findings, &mut workings)?;
    let cold_fill = cold_fill::cold_fill(described, &mut findings, &mut workings)?;
    let cool_down = cool_down::cool_down(described, &mut findings, &mut workings)?;
    findings.sort_by_key(|finding| finding.severity);
    Ok(SignalLossSheet {
        rows,
        reserves,
        cold_fill,
        cool_down,
        findings,
        workings,
    })
}
