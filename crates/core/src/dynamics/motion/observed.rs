//! What can be seen of a loop in motion.

use super::Motion;
use crate::controller::forms::PidSettings;
use crate::description::Loop;
use crate::dynamics::sample::Sample;
use crate::dynamics::scan::Mode;
use crate::dynamics::start::RunError;
use crate::dynamics::summary::Summary;
use crate::dynamics::vessel::{VesselModel, VesselView};
use crate::measurement::MeasurementError;
use crate::measurement::condition::described_leg_k;
use crate::measurement::glass::GlassAt;
use crate::measurement::sheets::{Condition, Range};
use crate::quantity::{AbsolutePressure, GlassLevel, IndicatedLevel, TrueLevel};

impl<V: VesselModel> Motion<'_, V> {
    /// From the start, s.
    pub fn time_s(&self) -> f64 {
        self.scans as f64 * self.scan_s
    }

    /// Time between scans, s.
    pub const fn scan_s(&self) -> f64 {
        self.scan_s
    }

    /// Settings the controller has.
    pub const fn settings(&self) -> PidSettings {
        self.settings
    }

    /// Range the cell has.
    pub const fn range(&self) -> Range {
        self.range
    }

    /// Who moves the valve.
    pub const fn mode(&self) -> Mode {
        self.scan.mode()
    }

    /// Set point.
    pub const fn set_point(&self) -> TrueLevel {
        self.set_point
    }

    /// Output of the controller, percent.
    pub const fn output_percent(&self) -> f64 {
        self.scan.output_percent()
    }

    /// TRUE and INDICATED level, m above the lower tap.
    pub fn levels(&self) -> (TrueLevel, IndicatedLevel) {
        (self.view.true_level, self.cell.indicated())
    }

    /// What happened so far, with times from the start, s.
    pub fn told(&self) -> &[(f64, String)] {
        &self.told
    }

    /// What came of it so far.
    pub fn summary(&self) -> Summary {
        self.ledger.clone().finish()
    }

    /// The instant.
    ///
    /// # Errors
    /// [`RunError::Measurement`] where the glass has no density.
    pub fn sample(&self) -> Result<Sample, RunError> {
        let view = &self.view;
        let time_s = self.time_s();
        Ok(Sample {
            time_s,
            true_level: view.true_level,
            indicated: self.cell.indicated(),
            glass: glass(self.described, view, self.glass_m)?,
            set_point: self.set_point,
            mode: self.scan.mode(),
            mixture_surface_m: view.mixture_surface_m,
            pressure_pa: view.pressure_pa,
            demand_kg_s: self.demand.wanted_kg_s(time_s),
            outflow_kg_s: self.held.outflow_kg_s,
            feed_kg_s: self.held.feed_kg_s,
            overflow_kg_s: view.overflow_kg_s,
            current_ma: self.cell.current_ma(),
            travel_percent: 100.0 * self.actuator.travel_ratio(),
            output_percent: self.scan.output_percent(),
            heat_w: self.held.heating.heat_w
                + self.held.heating.steam_kg_s * self.held.heating.steam_enthalpy_j_kg,
            standing: self.marks.standing(),
        })
    }
}

fn glass(
    described: &Loop,
    view: &VesselView,
    level_m: f64,
) -> Result<Option<GlassLevel>, MeasurementError> {
    let condition = Condition {
        name: String::new(),
        pressure: AbsolutePressure::from_pa(view.pressure_pa),
        water_k: view.water_temperature_k,
        reference_leg_k: described_leg_k(described),
    };
    let glass = GlassAt::of(described, &condition)?;
    Ok(glass.and_then(|glass| glass.shows(TrueLevel::from_m(level_m))))
}
