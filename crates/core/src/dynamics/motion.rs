//! The loop in motion, scan by scan: vessel, water side, cell and controller stepped together.
//!
//! ```text
//! each scan   vessel goes on → events → demand, burner → cell → controller → actuator → feed, all held until the next scan
//! ```
//!
//! **Departures**, said with every result: steam drawn falls with the pressure (see `demand`); the pressure is held as in `heat`; the
//! glass follows within seconds; trips answer to the TRUE level at their own heights; the first low-water cutoff stops the burner, an
//! unfired vessel's first low trip stops what draws from it, and no other trip does anything; a lost signal is the cell's own fault
//! current. **Not modelled:** air in a closed vessel, so that a cooling one goes into vacuum whether or not it has a breaker; water that
//! a vacuum draws in beyond what the valve passes at the lowest tabulated pressure; recovery of water lost from a leg.
//! **Checked by:** `run_tests.rs`.

mod observed;

use std::vec::IntoIter;

use super::actuator::ActuatorModel;
use super::balance::{Balance, Returns};
use super::cell_signal::CellSignal;
use super::demand::Demand;
use super::error::DynamicsError;
use super::feed::{FeedEnthalpy, FeedFlow};
use super::heat::{HeatControl, Heating};
use super::marks::Marks;
use super::noise::Noise;
use super::scan::{Mode, Scan, Seen};
use super::scenario::{Event, Happening, Scenario};
use super::start::{RunError, check, largest, range, settings, start_duty};
use super::summary::Ledger;
use super::told::words;
use super::vessel::{Boundary, VesselModel, VesselView};
use crate::controller::forms::PidSettings;
use crate::description::{InputFault, Loop, ValveService};
use crate::design::Sheets;
use crate::measurement::sheets::Range;
use crate::protection::failure::{FAULT_HIGH_MA, FAULT_LOW_MA};
use crate::quantity::{LevelSpan, TrueLevel};

/// Longest scan, s: the vessel's inputs are held within it.
pub const LONGEST_SCAN_S: f64 = 1.0;
/// Lag of the glass, s (common practice: it follows within seconds through open cocks).
const GLASS_LAG_S: f64 = 3.0;

/// A loop in motion. SIMULATION.
pub struct Motion<'a, V = Box<dyn VesselModel + Send>> {
    described: &'a Loop,
    vessel: V,
    view: VesselView,
    scan_s: f64,
    scans: u64,
    span: LevelSpan,
    full_kg_s: f64,
    settings: PidSettings,
    range: Range,
    feed: FeedFlow,
    feed_enthalpy: FeedEnthalpy,
    returns: Returns,
    actuator: ActuatorModel,
    cell: CellSignal<'a>,
    scan: Scan,
    is_blind: bool,
    heat: HeatControl,
    demand: Demand,
    noise: Noise,
    marks: Marks,
    ledger: Ledger,
    duty_blowdown_kg_s: f64,
    blowdown_kg_s: f64,
    pump_runs: bool,
    set_point: TrueLevel,
    glass_m: f64,
    glass_part: f64,
    waiting: std::iter::Peekable<IntoIter<Event>>,
    told: Vec<(f64, String)>,
    held: Held,
}

/// What is held from one scan to the next.
#[derive(Debug, Clone, Copy)]
struct Held {
    outflow_kg_s: f64,
    feed_kg_s: f64,
    heating: Heating,
}

/// Highest pressure that feedwater is followed to, over the safety valve's.
const OVER_SAFETY_VALVE: f64 = 1.1;

/// The water side of a loop: tabulated once for many runs of it.
///
/// # Errors
/// [`RunError::Feedwater`].
pub fn water_side(described: &Loop, sheets: &Sheets) -> Result<FeedFlow, RunError> {
    let pressures = &described.pressures;
    let between_pa = (
        0.5 * pressures.lowest_sustained.pa(),
        OVER_SAFETY_VALVE * pressures.safety_valve.pa(),
    );
    let full_kg_s = sheets.tuning.full_valve_flow_kg_s;
    Ok(FeedFlow::of(
        described,
        sheets.feedwater.as_ref(),
        between_pa,
        full_kg_s,
    )?)
}

impl<'a, V: VesselModel> Motion<'a, V> {
    /// A loop whose vessel stands where the scenario starts; its events come when they are due.
    ///
    /// # Errors
    /// [`RunError`].
    pub fn new(
        described: &'a Loop,
        sheets: &Sheets,
        scenario: &Scenario,
        vessel: V,
    ) -> Result<Self, RunError> {
        let feed = water_side(described, sheets)?;
        Self::with_water_side(described, sheets, scenario, vessel, feed)
    }

    /// The same with a water side at hand.
    ///
    /// # Errors
    /// [`RunError`].
    pub fn with_water_side(
        described: &'a Loop,
        sheets: &Sheets,
        scenario: &Scenario,
        vessel: V,
        feed: FeedFlow,
    ) -> Result<Self, RunError> {
        check(scenario)?;
        let duty = start_duty(described, scenario)?;
        let largest_kg_s = largest(described).map_or(duty.steam_kg_s, |duty| duty.steam_kg_s);
        let settings = settings(sheets, scenario.settings)?;
        let range = range(sheets, scenario.range)?;
        let controller = &described.controller;
        let scan_s = controller.sample_time_s.clamp(0.05, LONGEST_SCAN_S);
        let span = described.range.span;
        let view = vessel.view()?;
        let from_cold = scenario.start.is_cold();
        let balance = Balance::of(described, duty)?;
        let mut demand = Demand::steady(
            described,
            duty.steam_kg_s,
            largest_kg_s,
            duty.pressure.pa(),
            from_cold,
        );
        let outflow_kg_s = demand.drawn_kg_s(0.0, view.pressure_pa);
        // A cold vessel stands with its valve shut.
        let feed_kg_s = if from_cold { 0.0 } else { balance.valve_kg_s };
        let travel = feed.travel_ratio(feed_kg_s, view.pressure_pa);
        let actuator = ActuatorModel::new(
            described.feedwater.stroke_time_s,
            0.01 * described.feedwater.deadband_percent,
            0.01 * described.feedwater.resolution_percent,
            travel,
        )?;
        let cell = CellSignal::at_rest(described, range, state(&view), view.true_level)?;
        let full_kg_s = sheets.tuning.full_valve_flow_kg_s;
        let seen = Seen {
            level_percent: cell.indicated().percent(span),
            steam_percent: 100.0 * outflow_kg_s / full_kg_s,
            feed_percent: 100.0 * feed_kg_s / full_kg_s,
        };
        let opens = described.feedwater.rising_output_opens;
        let output_percent = 100.0 * if opens { travel } else { 1.0 - travel };
        let set_point = TrueLevel::from_m(described.limits.set_point_m);
        let scan = Scan::at_rest(
            settings,
            (scan_s, controller.filter_time_s),
            matches!(described.feedwater.service, ValveService::Inflow) == opens,
            scenario.elements,
            set_point.percent(span),
            seen,
            output_percent,
        );
        let mut heat = HeatControl::at_rest(described, duty, view.mass_kg, from_cold)?;
        let highest_pa = OVER_SAFETY_VALVE * described.pressures.safety_valve.pa();
        let held = Held {
            outflow_kg_s,
            feed_kg_s,
            heating: heat.advance(&view, 0.0),
        };
        let mut motion = Self {
            described,
            vessel,
            view,
            scan_s,
            scans: 0,
            span,
            full_kg_s,
            settings,
            range,
            feed,
            feed_enthalpy: FeedEnthalpy::of(duty.feed_temperature_k, highest_pa)
                .map_err(DynamicsError::from)?,
            returns: Returns::of(described).map_err(DynamicsError::from)?,
            actuator,
            cell,
            scan,
            is_blind: false,
            heat,
            demand,
            noise: Noise::new(scenario.seed, scenario.noise_percent),
            marks: Marks::of(described),
            ledger: Ledger::new(described),
            duty_blowdown_kg_s: duty.blowdown_kg_s,
            blowdown_kg_s: if from_cold { 0.0 } else { duty.blowdown_kg_s },
            pump_runs: true,
            set_point,
            glass_m: view.true_level.m(),
            glass_part: -(-scan_s / GLASS_LAG_S).exp_m1(),
            waiting: scenario.events.clone().into_iter().peekable(),
            told: Vec::new(),
            held,
        };
        motion.look()?;
        Ok(motion)
    }

    /// One scan: the vessel goes on under what is held, then what is due happens and the controller looks.
    ///
    /// # Errors
    /// [`RunError`] where the vessel leaves its model, or an event is impossible in it. The motion ends there.
    pub fn step(&mut self) -> Result<(), RunError> {
        let boundary = self.boundary();
        self.vessel.advance(&boundary, self.scan_s)?;
        self.view = self.vessel.view()?;
        self.scans += 1;
        self.look()
    }

    /// Something happens now; it takes hold at the next scan.
    ///
    /// # Errors
    /// [`RunError`] where it is impossible in this vessel.
    pub fn apply(&mut self, happening: Happening) -> Result<(), RunError> {
        let time_s = self.time_s();
        self.told.push((time_s, words(happening)));
        match happening {
            Happening::Load {
                share_ratio,
                within_s,
            } => self.demand.go_to(share_ratio, time_s, within_s),
            Happening::FeedTemperature { temperature_k } => {
                let highest_pa = OVER_SAFETY_VALVE * self.described.pressures.safety_valve.pa();
                self.feed_enthalpy =
                    FeedEnthalpy::of(temperature_k, highest_pa).map_err(DynamicsError::from)?;
            }
            Happening::Pump { runs } => self.pump_runs = runs,
            Happening::Valve { stuck } => self.actuator.stuck = stuck,
            Happening::Signal { lost } => self.cell.lost = lost,
            Happening::ReferenceLeg { temperature_k } => {
                self.cell.set_leg_temperature(temperature_k);
            }
            Happening::SetPoint { level_m } => {
                self.set_point = TrueLevel::from_m(level_m);
                self.scan.set_point_percent = self.set_point.percent(self.span);
            }
            Happening::Hand { output_percent } => {
                self.scan.to_hand();
                self.scan.set_output(output_percent);
            }
            Happening::Auto => {
                if self.scan.mode() == Mode::Hand {
                    self.scan.to_auto(self.seen(0.0));
                }
            }
            Happening::Blowdown { flow_kg_s } => {
                self.blowdown_kg_s = self.duty_blowdown_kg_s + flow_kg_s;
            }
            Happening::Foam { share_ratio } => self.vessel.slow_bubbles(share_ratio)?,
            Happening::Heat { lit } => {
                if lit {
                    self.marks.reset();
                }
                self.heat.let_go(lit);
            }
        }
        Ok(())
    }

    fn seen(&self, noise_percent: f64) -> Seen {
        Seen {
            level_percent: self.cell.indicated().percent(self.span) + noise_percent,
            steam_percent: 100.0 * self.held.outflow_kg_s / self.full_kg_s,
            feed_percent: 100.0 * self.held.feed_kg_s / self.full_kg_s,
        }
    }

    /// What acts on the vessel until the next scan.
    fn boundary(&self) -> Boundary {
        let Held {
            outflow_kg_s,
            feed_kg_s,
            heating,
        } = self.held;
        let is_fired = self.described.vessel.kind.is_fired();
        let returns_kg_s = self.returns.share_ratio * outflow_kg_s;
        let entering_kg_s = feed_kg_s + returns_kg_s;
        let feed_enthalpy = self.feed_enthalpy.at_j_kg(self.view.pressure_pa);
        let feed_enthalpy_j_kg = if returns_kg_s > 0.0 {
            (feed_kg_s * feed_enthalpy + returns_kg_s * self.returns.enthalpy_j_kg) / entering_kg_s
        } else {
            feed_enthalpy
        };
        let vented_kg_s = (-heating.steam_kg_s).max(0.0);
        Boundary {
            feed_kg_s: entering_kg_s,
            feed_enthalpy_j_kg,
            steam_kg_s: vented_kg_s + if is_fired { outflow_kg_s } else { 0.0 },
            drawn_kg_s: self.blowdown_kg_s + if is_fired { 0.0 } else { outflow_kg_s },
            heat_w: heating.heat_w,
            blown_steam_kg_s: heating.steam_kg_s.max(0.0),
            blown_steam_enthalpy_j_kg: heating.steam_enthalpy_j_kg,
        }
    }

    /// Events that are due, then demand, burner, cell, controller, actuator and feed.
    fn look(&mut self) -> Result<(), RunError> {
        let time_s = self.time_s();
        while let Some(event) = self.waiting.next_if(|event| event.time_s <= time_s) {
            self.apply(event.happening)?;
        }
        let view = self.view;
        self.held.outflow_kg_s = if self.marks.stops_the_draw() {
            0.0
        } else {
            self.demand.drawn_kg_s(time_s, view.pressure_pa)
        };
        self.held.feed_kg_s = if self.pump_runs {
            self.feed
                .flow_kg_s(self.actuator.travel_ratio(), view.pressure_pa)
        } else {
            0.0
        };
        let current_ma = self
            .cell
            .advance(state(&view), view.true_level, self.scan_s)?;
        let noise_percent = self.noise.next();
        let output = self.control(current_ma, noise_percent);
        let command = if self.described.feedwater.rising_output_opens {
            0.01 * output
        } else {
            1.0 - 0.01 * output
        };
        let travel = self.actuator.advance(command, self.scan_s);
        if self.marks.is_locked_out() {
            self.heat.let_go(false);
        }
        self.held.heating = self.heat.advance(&view, self.scan_s);
        self.glass_m += self.glass_part * (view.true_level.m() - self.glass_m);
        let told = &mut self.told;
        self.marks
            .look(view.true_level, self.cell.indicated(), |text| {
                told.push((time_s, text));
            });
        self.ledger.take(
            time_s,
            self.scan_s,
            &view,
            self.cell.indicated(),
            self.set_point,
            travel,
        );
        Ok(())
    }

    /// The controller's scan, blind where it finds its input out of range and is set to notice.
    fn control(&mut self, current_ma: f64, noise_percent: f64) -> f64 {
        let fault = self.described.controller.input_fault;
        let is_out_of_range = !(current_ma > FAULT_LOW_MA && current_ma < FAULT_HIGH_MA);
        if is_out_of_range && fault != InputFault::NotDetected {
            self.is_blind = true;
            return self.scan.scan_blind(match fault {
                InputFault::OutputLow => Some(0.0),
                InputFault::OutputHigh => Some(100.0),
                InputFault::HoldOutput | InputFault::NotDetected => None,
            });
        }
        let seen = self.seen(noise_percent);
        if std::mem::take(&mut self.is_blind) {
            self.scan.wake(seen);
        }
        self.scan.scan(seen)
    }
}

/// Pressure, water temperature and whether it boils.
const fn state(view: &VesselView) -> (f64, f64, bool) {
    (view.pressure_pa, view.water_temperature_k, view.is_boiling)
}
