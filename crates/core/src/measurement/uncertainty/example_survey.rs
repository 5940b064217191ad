//! Invented widths on invented loops of every kind of reference leg, for the tests of this topic.

use crate::description::uncertainty::{Distribution, UncertainInput, UncertaintySource as S};
use crate::description::{Loop, ReferenceLeg};
use crate::example_loop::{PA_PER_PSI, drum_boiler, kelvin, shell_boiler, vented_tank};
use crate::water::FillFluid;

/// An input that was surveyed.
pub(super) fn input(source: S, half_width: f64, distribution: Distribution) -> UncertainInput {
    UncertainInput {
        source,
        half_width,
        distribution,
        assumed: false,
    }
}

/// A loop with a width on every input that it has, none of which rules the budget.
pub(super) fn surveyed(mut described: Loop) -> Loop {
    use Distribution::{Arcsine, NormalK2, NormalK3, Rectangular, Triangular};
    described.uncertainty.zeroed_at_pressure = false;
    described.uncertainty.inputs = vec![
        input(S::ReferenceAccuracy, 0.05, NormalK3),
        input(S::AmbientZero, 0.002, Rectangular),
        input(S::AmbientSpan, 0.003, Arcsine),
        input(S::StaticZero, 0.05 / 6.9e6, Rectangular),
        input(S::StaticSpan, 0.1 / 6.9e6, Rectangular),
        input(S::Drift, 0.03, Rectangular),
        input(S::Calibrator, 2.5, NormalK2),
        input(S::LegHeight, 0.003, Triangular),
        input(S::LegTemperature, 6.0, Triangular),
        input(S::WorkingLegTemperature, 6.0, Triangular),
        input(S::VesselPressure, 5.0 * PA_PER_PSI, Triangular),
        input(S::Receiver, 0.1, Rectangular),
        input(S::GlassTemperature, 20.0, Triangular),
        input(S::GlassConnection, 0.002, Rectangular),
        input(S::GlassReading, 0.003, Triangular),
    ];
    if !described.vessel.kind.holds_steam() {
        described
            .uncertainty
            .inputs
            .retain(|input| input.source != S::VesselPressure);
        described
            .uncertainty
            .inputs
            .push(input(S::WaterTemperature, 8.0, Rectangular));
    }
    described
}

fn sealed() -> Loop {
    let mut described = shell_boiler();
    described.reference_leg = ReferenceLeg::Sealed {
        lower_seal_m: 0.0,
        upper_seal_m: 0.508,
        fluid: FillFluid::silicone_oil_50_cst(),
        reference_capillary_k: kelvin(40.0),
        working_capillary_k: kelvin(40.0),
    };
    described
}

fn dry() -> Loop {
    let mut described = shell_boiler();
    described.reference_leg = ReferenceLeg::Dry {
        temperature_k: kelvin(190.0),
    };
    described
}

/// One loop of every kind of reference leg.
pub(super) fn every_kind() -> Vec<(&'static str, Loop)> {
    vec![
        ("wet", surveyed(shell_boiler())),
        ("drum", surveyed(drum_boiler())),
        ("tank", surveyed(tank())),
        ("sealed", surveyed(sealed())),
        ("dry", surveyed(dry())),
    ]
}

/// The vented tank with its set point half way.
pub(super) fn tank() -> Loop {
    let mut described = vented_tank();
    described.limits.set_point_m = 1.0;
    described
}
