//! Which size: every candidate in its system at every duty, which wants it meets, and why the chosen one and not its neighbours.
//!
//! Wants, all common practice: 60 to 80 % of travel at the largest duty, at least 10 % at the smallest, a gain that changes no more
//! than fourfold between them, no bore larger than the pipe. Where it chokes is said, and is no criterion: another size does not cure it.
//!
//! **Checked by:** `practice_wants_decide`, `property_fitted_is_judged_and_kept`.

use crate::description::feed_system::{ControlValve, Line, ValveSize};
use crate::feedwater::characteristic::CharacteristicError;
use crate::feedwater::duties::ValveDuty;
use crate::feedwater::error::FeedwaterError;
use crate::feedwater::installed::{LEAST_TRAVEL_RATIO, ValveInSystem};
use crate::feedwater::sheets::{Candidate, DutyKind, Installed};
use crate::feedwater::sizing::{Body, Flowing, Sizing, SizingError, required_kv};
use crate::feedwater::styles::ValveFactors;
use crate::feedwater::system::System;
use crate::reader_units::ReaderUnits;
use crate::water::CRITICAL_PRESSURE_PA;

/// Travel wanted at the largest duty, percent (common practice).
pub const WANTED_TRAVEL_PERCENT: (f64, f64) = (60.0, 80.0);
/// Largest gain over smallest (common practice).
pub const WANTED_GAIN_SPREAD: f64 = 4.0;
/// Bore over the pipe's inside diameter up to which a body counts as no larger than its pipe.
const BORE_OVER_PIPE: f64 = 1.1;

/// What all candidates share.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bench<'a> {
    /// Duties.
    pub(crate) duties: &'a [ValveDuty],
    /// Systems, one a duty.
    pub(crate) systems: &'a [System],
    /// Valve.
    pub(crate) valve: &'a ControlValve,
    /// Line.
    pub(crate) line: &'a Line,
    /// Index of the duty with the largest flow.
    pub(crate) largest: usize,
    /// Index of the stated duty with the smallest flow.
    pub(crate) smallest: usize,
    /// Units of the words.
    pub(crate) units: ReaderUnits,
}

/// A candidate with what was found on the way.
#[derive(Debug, Clone)]
pub(crate) struct Assessed {
    /// Size.
    pub(crate) size: ValveSize,
    /// For the sheet.
    pub(crate) candidate: Candidate,
    /// FL, Fd and what else its style gives.
    pub(crate) factors: ValveFactors,
    /// Sizing at each duty.
    pub(crate) sizings: Vec<Result<Sizing, SizingError>>,
    /// Gain at each duty over the full flow at the largest duty's pressures.
    pub(crate) gains: Vec<Option<f64>>,
    /// In the largest duty's system.
    pub(crate) installed: Installed,
    /// Travel at the duty that opens it most, the safety valves' set left out, percent.
    most_travel_percent: f64,
    /// How far from the wants: 0 fits.
    penalty: f64,
}

/// Indices of the duty with the largest flow and of the smallest that the user stated (start-up and shut-off are no control duties).
pub(crate) fn largest_and_smallest(duties: &[ValveDuty]) -> Option<(usize, usize)> {
    let flowing = |kind_wanted: bool| {
        duties.iter().enumerate().filter(move |(_, duty)| {
            duty.flow_kg_s > 0.0
                && duty.kind != DutyKind::SafetyValve
                && (!kind_wanted || duty.kind == DutyKind::Stated)
        })
    };
    let by_flow =
        |a: &(usize, &ValveDuty), b: &(usize, &ValveDuty)| a.1.flow_kg_s.total_cmp(&b.1.flow_kg_s);
    let has_stated = flowing(true).next().is_some();
    let largest = flowing(has_stated).max_by(by_flow)?.0;
    let smallest = flowing(has_stated).min_by(by_flow)?.0;
    Some((largest, smallest))
}

impl Bench<'_> {
    /// The body of a size between its pipes.
    pub(crate) fn body(&self, size: &ValveSize, factors: &ValveFactors) -> Body {
        Body {
            recovery_factor: factors.recovery_factor,
            style_modifier: factors.style_modifier,
            bore_m: size.bore_m,
            pipe_before_m: self.line.pipe_before_valve_m,
            pipe_after_m: self.line.pipe_after_valve_m,
        }
    }

    /// The water at a duty, flowing.
    pub(crate) fn flowing(&self, index: usize) -> Flowing {
        let (duty, system) = (&self.duties[index], &self.systems[index]);
        let at = system.at_flow(duty.flow_kg_s);
        Flowing {
            flow_m3_s: duty.flow_kg_s / system.density_kg_m3,
            density_kg_m3: system.density_kg_m3,
            inlet_pressure_pa: at.inlet_pressure_pa,
            outlet_pressure_pa: at.outlet_pressure_pa,
            vapour_pressure_pa: system.vapour_pressure_pa,
            critical_pressure_pa: CRITICAL_PRESSURE_PA,
            kinematic_viscosity_m2_s: system.kinematic_viscosity_m2_s,
        }
    }

    /// A size in the system of a duty.
    pub(crate) fn valve_in_system(
        &self,
        index: usize,
        size: &ValveSize,
        factors: &ValveFactors,
    ) -> ValveInSystem<'_> {
        ValveInSystem::new(
            &self.systems[index],
            &self.valve.characteristic,
            size,
            factors.recovery_factor,
            self.line,
        )
    }

    /// A size at every duty, judged.
    ///
    /// # Errors
    /// [`FeedwaterError`].
    pub(crate) fn assess(&self, size: &ValveSize) -> Result<Assessed, FeedwaterError> {
        check_size(size)?;
        let factors = ValveFactors::of(self.valve, size)?;
        let body = self.body(size, &factors);
        let flow = |index: usize| self.duties[index].flow_kg_s;
        let installed = self
            .valve_in_system(self.largest, size, &factors)
            .installed((flow(self.smallest), flow(self.largest)))?;
        let mut sizings = Vec::with_capacity(self.duties.len());
        let mut travels = Vec::with_capacity(self.duties.len());
        let mut gains = Vec::with_capacity(self.duties.len());
        for index in 0..self.duties.len() {
            let sizing = required_kv(&self.flowing(index), &body);
            let travel = match &sizing {
                Ok(sizing) => self.travel(sizing.kv_m3_h / size.rated_kv_m3_h)?,
                Err(_) => None,
            };
            let gain = match travel {
                Some(travel) if flow(index) > 0.0 && installed.full_flow_kg_s > 0.0 => Some(
                    self.valve_in_system(index, size, &factors)
                        .flow(travel)?
                        .slope_kg_s
                        / installed.full_flow_kg_s,
                ),
                _ => None,
            };
            sizings.push(sizing);
            travels.push(travel.map(|travel| 100.0 * travel));
            gains.push(gain);
        }
        let most_travel_percent = self
            .duties
            .iter()
            .zip(&travels)
            .filter(|(duty, _)| duty.kind != DutyKind::SafetyValve)
            .filter_map(|(_, travel)| *travel)
            .fold(0.0, f64::max);
        let (penalty, words) = self.judge(size, &travels, &sizings, &installed);
        Ok(Assessed {
            candidate: Candidate {
                name: size.name.clone(),
                rated_kv_m3_h: size.rated_kv_m3_h,
                travel_percent: travels,
                full_flow_kg_s: installed.full_flow_kg_s,
                gain_spread_ratio: installed.gain_spread_ratio,
                curve: installed.curve.clone(),
                fits: penalty <= 0.0,
                chosen: false,
                serves_better: false,
                words,
            },
            size: size.clone(),
            factors,
            sizings,
            gains,
            installed,
            most_travel_percent,
            penalty,
        })
    }

    /// Travel of a share of the rated coefficient; 0 below the least the valve controls, `None` above the open valve's.
    fn travel(&self, share: f64) -> Result<Option<f64>, FeedwaterError> {
        match self.valve.characteristic.travel(share) {
            Ok(travel) => Ok(Some(travel)),
            Err(CharacteristicError::BelowControllable { .. }) => Ok(Some(0.0)),
            Err(CharacteristicError::AboveRated { .. }) => Ok(None),
            Err(error) => Err(error.into()),
        }
    }

    /// Distance from the wants and the words.
    fn judge(
        &self,
        size: &ValveSize,
        travels: &[Option<f64>],
        sizings: &[Result<Sizing, SizingError>],
        installed: &Installed,
    ) -> (f64, String) {
        let mut penalty = 0.0;
        let mut flaws = Vec::new();
        for (index, travel) in travels.iter().enumerate() {
            if travel.is_some() || self.duties[index].kind == DutyKind::SafetyValve {
                continue;
            }
            penalty += 1000.0;
            let name = &self.duties[index].name;
            match &sizings[index] {
                // Said once, below.
                Err(SizingError::BoreAbovePipe { .. }) => {}
                Err(error) => flaws.push(format!("“{name}”: {error}")),
                Ok(sizing) => flaws.push(format!(
                    "too small for “{name}”, which wants {}",
                    self.units.coefficient(sizing.kv_m3_h)
                )),
            }
        }
        let (low, high) = WANTED_TRAVEL_PERCENT;
        if let Some(travel) = travels[self.largest] {
            if travel > high {
                penalty += (travel - high) / 5.0;
                flaws.push(format!(
                    "{travel:.0} % open at “{}” leaves little in hand",
                    self.duties[self.largest].name
                ));
            } else if travel < low {
                penalty += (low - travel) / 10.0;
                flaws.push(format!(
                    "only {travel:.0} % open at “{}”: oversized",
                    self.duties[self.largest].name
                ));
            }
        }
        if let Some(travel) = travels[self.smallest]
            && travel < 100.0 * LEAST_TRAVEL_RATIO
        {
            penalty += 1.0 + (100.0 * LEAST_TRAVEL_RATIO - travel) / 5.0;
            flaws.push(format!(
                "throttles beside its seat at “{}”, {travel:.0} % open",
                self.duties[self.smallest].name
            ));
        }
        let spread = installed.gain_spread_ratio;
        if spread > WANTED_GAIN_SPREAD && travels[self.largest].is_some() {
            penalty += 1.0 + (spread / WANTED_GAIN_SPREAD).ln();
            flaws.push(format!(
                "its gain changes {spread:.1} times between “{}” and “{}”",
                self.duties[self.smallest].name, self.duties[self.largest].name
            ));
        }
        let pipe_m = self
            .line
            .pipe_before_valve_m
            .min(self.line.pipe_after_valve_m);
        if size.bore_m > BORE_OVER_PIPE * pipe_m {
            penalty += 5.0;
            // A ratio: these words are printed on loops of any units.
            flaws.push(format!(
                "its bore is {:.1} times the inside diameter of the pipe",
                size.bore_m / pipe_m
            ));
        }
        let at = |index: usize| {
            travels[index].map_or_else(String::new, |travel| {
                format!("{travel:.0} % open at “{}”", self.duties[index].name)
            })
        };
        let mut words = if flaws.is_empty() {
            format!(
                "{}, {}, gain within {spread:.1} times: meets every criterion",
                at(self.largest),
                at(self.smallest)
            )
        } else {
            flaws.join("; ")
        };
        let choking: Vec<String> = self
            .duties
            .iter()
            .zip(sizings)
            .filter(|(duty, sizing)| {
                duty.flow_kg_s > 0.0 && sizing.as_ref().is_ok_and(|sizing| sizing.choked)
            })
            .map(|(duty, _)| format!("“{}”", duty.name))
            .collect();
        if !choking.is_empty() {
            words.push_str(&format!("; at {} it chokes", choking.join(", ")));
        }
        let short = self
            .duties
            .iter()
            .zip(travels)
            .find(|(duty, travel)| duty.kind == DutyKind::SafetyValve && travel.is_none());
        if let Some((duty, _)) = short {
            words.push_str(&format!("; open, it does not pass “{}”", duty.name));
        }
        words.push('.');
        (penalty, words)
    }
}

fn check_size(size: &ValveSize) -> Result<(), FeedwaterError> {
    for (what, value, unit) in [
        ("a rated Kv", size.rated_kv_m3_h, "m3/h"),
        ("a bore", size.bore_m, "m"),
    ] {
        if !(value > 0.0 && value.is_finite()) {
            return Err(FeedwaterError::Size {
                name: size.name.clone(),
                what,
                value,
                unit,
            });
        }
    }
    Ok(())
}

/// Marks the chosen candidate, the fitted one if any, and says why it (without its name, which stands beside) and not its
/// neighbours. Candidates stand by rising Kv.
pub(crate) fn choose(
    assessed: &mut [Assessed],
    fitted: Option<&ValveSize>,
    units: ReaderUnits,
) -> Option<(usize, String)> {
    let middle = 0.5 * (WANTED_TRAVEL_PERCENT.0 + WANTED_TRAVEL_PERCENT.1);
    let best = (0..assessed.len()).min_by(|&a, &b| {
        let key = |index: usize| {
            let one = &assessed[index];
            (one.penalty, (one.most_travel_percent - middle).abs())
        };
        let (a, b) = (key(a), key(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    })?;
    let chosen = fitted
        .and_then(|fitted| assessed.iter().position(|one| &one.size == fitted))
        .unwrap_or(best);
    assessed[chosen].candidate.chosen = true;
    let serves_better =
        fitted.is_some() && best != chosen && assessed[best].penalty < assessed[chosen].penalty;
    assessed[best].candidate.serves_better = serves_better;
    let told = |index: usize| {
        let candidate = &assessed[index].candidate;
        let coefficient = units.coefficient(candidate.rated_kv_m3_h);
        format!("{} ({coefficient})", candidate.name)
    };
    let why = |index: usize| assessed[index].candidate.words.clone();
    let mut words = if fitted.is_some() || assessed[chosen].candidate.fits {
        why(chosen)
    } else {
        format!(
            "the nearest, no size meets every criterion: {}",
            why(chosen)
        )
    };
    if serves_better {
        words.push_str(&format!(
            " To buy, {} would serve better: {}",
            told(best),
            why(best)
        ));
    }
    if let Some(smaller) = chosen.checked_sub(1) {
        words.push_str(&format!(
            " The next smaller, {}: {}",
            told(smaller),
            why(smaller)
        ));
    }
    if chosen + 1 < assessed.len() {
        words.push_str(&format!(
            " The next larger, {}: {}",
            told(chosen + 1),
            why(chosen + 1)
        ));
    }
    Some((chosen, words))
}

#[cfg(test)]
#[path = "selection_tests.rs"]
mod tests;
