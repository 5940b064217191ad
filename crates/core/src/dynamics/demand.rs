//! What is drawn from a vessel: the load on its way from one share to another, the pressure that drives it, the stop valve.
//!
//! ```text
//! boiler   drawn = wanted·√[(p² − pa²)/(p0² − pa²)], not more than wanted; nothing below the atmosphere
//! ```
//!
//! | symbol | name                                      | unit |
//! |--------|-------------------------------------------|------|
//! | p, p0  | pressure now, and at the start duty       | Pa   |
//! | pa     | atmosphere                                | Pa   |
//!
//! **Source:** flow of a gas through a long line or a wide valve goes with √(p1² − p2²) (Weymouth; any text on gas lines).
//! **Departures:** users ask for no more at a higher pressure; a cold boiler's stop valve opens from the lowest sustained pressure
//! on, in five minutes (common practice). **Checked by:** `property_nothing_is_drawn_below_the_atmosphere`.

use crate::description::Loop;

/// Time in which the stop valve of a boiler that came up from cold is opened, s.
const STOP_VALVE_S: f64 = 300.0;

/// The load.
#[derive(Debug, Clone, Copy)]
pub(super) struct Demand {
    largest_kg_s: f64,
    from_ratio: f64,
    to_ratio: f64,
    start_s: f64,
    within_s: f64,
    is_fired: bool,
    atmosphere_pa: f64,
    /// p0² − pa², Pa2.
    drive_pa2: f64,
    /// Pressure from which on the stop valve opens, Pa, until then shut.
    opens_at_pa: Option<f64>,
    opened_s: Option<f64>,
}

impl Demand {
    /// A steady flow at a pressure, of the largest.
    pub(super) fn steady(
        described: &Loop,
        flow_kg_s: f64,
        largest_kg_s: f64,
        pressure_pa: f64,
        from_cold: bool,
    ) -> Self {
        let is_fired = described.vessel.kind.is_fired();
        let atmosphere_pa = described.site.atmosphere.pa();
        let ratio = if largest_kg_s > 0.0 {
            flow_kg_s / largest_kg_s
        } else {
            0.0
        };
        Self {
            largest_kg_s,
            from_ratio: ratio,
            to_ratio: ratio,
            start_s: 0.0,
            within_s: 0.0,
            is_fired,
            atmosphere_pa,
            drive_pa2: pressure_pa.powi(2) - atmosphere_pa.powi(2),
            opens_at_pa: (is_fired && from_cold).then(|| described.pressures.lowest_sustained.pa()),
            opened_s: None,
        }
    }

    fn ratio(&self, time_s: f64) -> f64 {
        let part = if self.within_s > 0.0 {
            ((time_s - self.start_s) / self.within_s).clamp(0.0, 1.0)
        } else {
            1.0
        };
        self.from_ratio + part * (self.to_ratio - self.from_ratio)
    }

    /// Goes to another share from now on.
    pub(super) fn go_to(&mut self, share_ratio: f64, time_s: f64, within_s: f64) {
        *self = Self {
            from_ratio: self.ratio(time_s),
            to_ratio: share_ratio,
            start_s: time_s,
            within_s,
            ..*self
        };
    }

    /// What the users want, kg/s.
    pub(super) fn wanted_kg_s(&self, time_s: f64) -> f64 {
        self.ratio(time_s) * self.largest_kg_s
    }

    /// What they get at a pressure, kg/s.
    pub(super) fn drawn_kg_s(&mut self, time_s: f64, pressure_pa: f64) -> f64 {
        let wanted_kg_s = self.wanted_kg_s(time_s);
        if !self.is_fired {
            return wanted_kg_s;
        }
        let open = self.stop_valve_ratio(time_s, pressure_pa);
        let drive = (pressure_pa.powi(2) - self.atmosphere_pa.powi(2)) / self.drive_pa2;
        // Below 1 only where the pressure is below that of the duty.
        let driven = if self.drive_pa2 > 0.0 {
            drive.clamp(0.0, 1.0).sqrt()
        } else {
            1.0
        };
        wanted_kg_s * open * driven
    }

    fn stop_valve_ratio(&mut self, time_s: f64, pressure_pa: f64) -> f64 {
        let Some(opens_at_pa) = self.opens_at_pa else {
            return 1.0;
        };
        if pressure_pa >= opens_at_pa && self.opened_s.is_none() {
            self.opened_s = Some(time_s);
        }
        let Some(opened_s) = self.opened_s else {
            return 0.0;
        };
        let open = (time_s - opened_s) / STOP_VALVE_S;
        if open >= 1.0 {
            self.opens_at_pa = None;
        }
        open.clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::shell_boiler;

    #[test]
    fn property_nothing_is_drawn_below_the_atmosphere() {
        let described = shell_boiler();
        let mut demand = Demand::steady(&described, 1.0, 1.6, 9.6e5, false);
        assert!((demand.drawn_kg_s(0.0, 9.6e5) - 1.0).abs() < 1e-12);
        assert!((demand.drawn_kg_s(0.0, 2e6) - 1.0).abs() < 1e-12);
        let half = demand.drawn_kg_s(0.0, 4.8e5);
        assert!((half - 0.5).abs() < 0.01, "{half}");
        assert!(demand.drawn_kg_s(0.0, 1.0e5).abs() <= 0.0);
        demand.go_to(0.0, 10.0, 10.0);
        assert!((demand.wanted_kg_s(15.0) - 0.5).abs() < 1e-12);
        let mut cold = Demand::steady(&described, 1.0, 1.6, 9.6e5, true);
        assert!(cold.drawn_kg_s(0.0, 3e5).abs() <= 0.0);
        let opens = described.pressures.lowest_sustained.pa();
        assert!(cold.drawn_kg_s(100.0, opens).abs() <= 0.0);
        assert!(cold.drawn_kg_s(250.0, 9.6e5) > 0.45);
        assert!((cold.drawn_kg_s(400.0, 9.6e5) - 1.0).abs() < 1e-12);
    }
}
