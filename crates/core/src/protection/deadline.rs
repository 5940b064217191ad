//! How soon a level that leaves the set point comes to what stops it.

use crate::description::{Loop, ValveService};
use crate::feedwater::sheets::FeedwaterSheet;
use crate::feedwater::valve_gain::full_valve_flow_kg_s;
use crate::protection::ProtectionError;
use crate::protection::failure::{Chain, ValveEnd};
use crate::protection::heating_steam::{condensed_ratio, most_condensed};
use crate::protection::inventory::{
    balanced_flow_kg_s, contents_in_service, extreme_duties, mass_between_kg,
};
use crate::protection::sheets::{BothWays, Outcome};
use crate::quantity::TrueLevel;
use crate::working::Working;

/// Name of the overflow: the one catch that is not a trip.
pub(super) const OVERFLOW: &str = "overflow";

/// What stops a falling or a rising level, independent of this loop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Catch {
    pub(super) name: &'static str,
    level_m: f64,
}

/// Where and how soon a level ends that leaves the set point.
pub(super) struct Ends {
    pub(super) low: Option<Catch>,
    pub(super) high: Option<Catch>,
    /// Mass from set point down to the low catch, kg.
    down_kg: Option<f64>,
    /// Mass from set point up to the high catch, kg.
    up_kg: Option<f64>,
    /// Largest and smallest flow through the valve that holds the level, kg/s.
    largest_kg_s: f64,
    smallest_kg_s: f64,
    full_valve_kg_s: f64,
    /// Least that the valve brings at a duty, heating steam with it, returns that pass it by left out, kg/s.
    least_brought_kg_s: f64,
    /// Heating steam that condenses with a kilogram of feed at the duty where it is most; 0 but in a deaerator.
    condensed_ratio: f64,
    holds_steam: bool,
    service: ValveService,
}

/// How soon, and to what; `minutes` is `None` with the reason in `to`.
pub(super) struct Deadline {
    pub(super) minutes: Option<f64>,
    pub(super) to: String,
}

impl Ends {
    pub(super) fn of(
        described: &Loop,
        feedwater: Option<&FeedwaterSheet>,
    ) -> Result<Self, ProtectionError> {
        let (low, high) = (low_catch(described)?, high_catch(described)?);
        let contents = contents_in_service(described, described.pressures.normal)?;
        let (largest, smallest) = extreme_duties(described)?;
        let set_point = TrueLevel::from_m(described.limits.set_point_m);
        let between = |catch: Option<Catch>, is_low: bool| {
            catch
                .map(|catch| {
                    let mark = TrueLevel::from_m(catch.level_m);
                    if is_low {
                        mass_between_kg(described, contents, set_point, mark)
                    } else {
                        mass_between_kg(described, contents, mark, set_point)
                    }
                })
                .transpose()
        };
        let full_valve_kg_s = full_valve_flow_kg_s(described, feedwater);
        if !(full_valve_kg_s > 0.0 && full_valve_kg_s.is_finite()) {
            return Err(ProtectionError::FullValveFlow {
                flow_kg_s: full_valve_kg_s,
            });
        }
        Ok(Self {
            low,
            high,
            down_kg: between(low, true)?,
            up_kg: between(high, false)?,
            largest_kg_s: balanced_flow_kg_s(described, largest),
            smallest_kg_s: balanced_flow_kg_s(described, smallest),
            full_valve_kg_s,
            least_brought_kg_s: least_brought_kg_s(described, feedwater)?,
            condensed_ratio: most_condensed(described)?.map_or(0.0, |most| most.ratio.max(0.0)),
            holds_steam: described.vessel.kind.holds_steam(),
            service: described.feedwater.service,
        })
    }

    /// Net flows that let the level fall and rise, at the worst duty, kg/s.
    ///
    /// ```text
    /// closed: w_largest    open: w_full·(1 + x) − w_least    stays: w_largest − w_smallest
    /// ```
    ///
    /// | symbol                | name                                        | unit  |
    /// |-----------------------|---------------------------------------------|-------|
    /// | w_largest, w_smallest | what leaves at the duties, balanced         | kg/s  |
    /// | w_full                | through the valve fully open                | kg/s  |
    /// | w_least               | least brought through the valve at a duty   | kg/s  |
    /// | x                     | heating steam condensed with feed           | kg/kg |
    ///
    /// What leaves a deaerator is feed and the steam condensed with it: only the fully open feed valve adds steam to
    /// its own flow, at the duty with the coldest feed, which is the short side. Returns go on past the open valve; with
    /// the valve shut they are taken as lost, the short side too.
    ///
    /// **Source:** mass balance at constant pressure. **Departures:** steam follows the feed at once; a held valve
    /// keeps the feed temperature of its duty.
    /// **Checked by:** `published_deaerator_floods_with_its_heating_steam`, `property_straight_vessel_minutes_are_exact`.
    fn net_kg_s(&self, valve: ValveEnd) -> (f64, f64) {
        let closed = self.largest_kg_s;
        let open = self.valve_open_kg_s() - self.least_brought_kg_s;
        let stays = self.largest_kg_s - self.smallest_kg_s;
        match (valve, self.service) {
            (ValveEnd::Stays, _) => (stays, stays),
            (_, ValveService::Inflow) => (closed, open),
            (_, ValveService::Outflow) => (open, closed),
        }
    }

    /// What a fully open valve brings or takes.
    fn valve_open_kg_s(&self) -> f64 {
        match self.service {
            ValveService::Inflow => self.full_valve_kg_s * (1.0 + self.condensed_ratio),
            ValveService::Outflow => self.full_valve_kg_s,
        }
    }

    fn falling(&self, net_kg_s: f64) -> Deadline {
        match (self.low, self.down_kg) {
            (Some(catch), Some(mass_kg)) => deadline(catch, mass_kg, net_kg_s),
            _ => Deadline {
                minutes: None,
                to: "no trip described below the set point".to_owned(),
            },
        }
    }

    fn rising(&self, net_kg_s: f64) -> Deadline {
        match (self.high, self.up_kg) {
            (Some(catch), Some(mass_kg)) => deadline(catch, mass_kg, net_kg_s),
            _ => Deadline {
                minutes: None,
                to: "no trip or overflow described above the set point".to_owned(),
            },
        }
    }

    /// Worst deadline of a chain.
    pub(super) fn deadline(&self, chain: &Chain) -> Deadline {
        let (down_kg_s, up_kg_s) = self.net_kg_s(chain.valve);
        let (falling, rising) = (self.falling(down_kg_s), self.rising(up_kg_s));
        match chain.outcome {
            Outcome::Starves => falling,
            Outcome::Floods => rising,
            Outcome::Drifts => {
                let sooner = match (falling.minutes, rising.minutes) {
                    (Some(falling_min), Some(rising_min)) if rising_min < falling_min => rising,
                    (None, Some(_)) => rising,
                    _ => falling,
                };
                sooner.on_condition(drift_condition(chain))
            }
        }
    }

    /// Both deadlines of a chain whose direction cannot be told.
    pub(super) fn both_ways(&self, chain: &Chain) -> Option<BothWays> {
        if chain.outcome != Outcome::Drifts {
            return None;
        }
        let (down_kg_s, up_kg_s) = self.net_kg_s(chain.valve);
        let condition = drift_condition(chain);
        let falling = self.falling(down_kg_s).on_condition(condition);
        let rising = self.rising(up_kg_s).on_condition(condition);
        Some(BothWays {
            falling_minutes: falling.minutes,
            falling_to: falling.to,
            rising_minutes: rising.minutes,
            rising_to: rising.to,
        })
    }
}

impl Deadline {
    /// The same with what must happen for it to come.
    fn on_condition(self, condition: &str) -> Self {
        Self {
            to: match self.minutes {
                Some(_) => format!("{}, {condition}", self.to),
                None => self.to,
            },
            ..self
        }
    }
}

/// What must happen for a drifting level to reach a trip in the minutes told.
fn drift_condition(chain: &Chain) -> &'static str {
    if chain.valve == ValveEnd::Stays {
        "if the load goes from one end to the other"
    } else {
        "if the valve goes to its end"
    }
}

fn deadline(catch: Catch, mass_kg: f64, net_kg_s: f64) -> Deadline {
    if net_kg_s > 0.0 {
        Deadline {
            minutes: Some(mass_kg / net_kg_s / 60.0),
            to: catch.name.to_owned(),
        }
    } else {
        Deadline {
            minutes: None,
            to: format!("never to {}: the flows of all duties balance", catch.name),
        }
    }
}

fn low_catch(described: &Loop) -> Result<Option<Catch>, ProtectionError> {
    let limits = &described.limits;
    let kind = described.vessel.kind;
    let catch = [
        (kind.first_low_trip(), limits.low_cutoff_m),
        (kind.second_low_trip(), limits.second_low_cutoff_m),
    ]
    .into_iter()
    .find_map(|(name, level_m)| level_m.map(|level_m| Catch { name, level_m }));
    match catch {
        None => Ok(None),
        Some(catch) if catch.level_m < limits.set_point_m => Ok(Some(catch)),
        Some(catch) => Err(ProtectionError::TripSide {
            trip: catch.name,
            trip_m: catch.level_m,
            side: "below",
            set_point_m: limits.set_point_m,
        }),
    }
}

fn high_catch(described: &Loop) -> Result<Option<Catch>, ProtectionError> {
    let limits = &described.limits;
    let catch = [
        ("high trip", limits.high_trip_m),
        (OVERFLOW, described.elevations.overflow_m),
    ]
    .into_iter()
    .find_map(|(name, level_m)| level_m.map(|level_m| Catch { name, level_m }));
    match catch {
        None => Ok(None),
        Some(catch) if catch.level_m > limits.set_point_m => Ok(Some(catch)),
        Some(catch) => Err(ProtectionError::TripSide {
            trip: catch.name,
            trip_m: catch.level_m,
            side: "above",
            set_point_m: limits.set_point_m,
        }),
    }
}

/// Least that the valve brings at a duty, kg/s: what leaves, less the returns that come past the valve where the feed
/// system describes them.
fn least_brought_kg_s(
    described: &Loop,
    feedwater: Option<&FeedwaterSheet>,
) -> Result<f64, ProtectionError> {
    let mut least_kg_s = f64::INFINITY;
    for duty in &described.duties {
        let through_valve = feedwater
            .filter(|_| described.feedwater.service == ValveService::Inflow)
            .and_then(|sheet| sheet.duties.iter().find(|flow| flow.name == duty.name));
        let brought_kg_s = match through_valve {
            Some(flow) => flow.flow_kg_s * (1.0 + condensed_ratio(described.vessel.kind, duty)?),
            None => balanced_flow_kg_s(described, duty),
        };
        least_kg_s = least_kg_s.min(brought_kg_s);
    }
    Ok(least_kg_s)
}

/// How the two times with the valve at its end came about.
pub(super) fn workings_of(ends: &Ends) -> Vec<Working> {
    // Both ends of the valve at once: the flows that a fully open and a closed valve leave unbalanced.
    let (down_kg_s, up_kg_s) = ends.net_kg_s(ValveEnd::Wanders);
    let valve_falls_open = ends.service == ValveService::Outflow;
    let steam_joins = !valve_falls_open && ends.condensed_ratio > 0.0;
    [
        (
            ends.low,
            ends.down_kg,
            down_kg_s,
            valve_falls_open,
            "starving",
        ),
        (
            ends.high,
            ends.up_kg,
            up_kg_s,
            !valve_falls_open,
            "flooding",
        ),
    ]
    .into_iter()
    .filter_map(|(catch, mass_kg, net_kg_s, valve_open, word)| {
        let (catch, mass_kg) = (catch?, mass_kg?);
        let working = Working::new(
            format!("Time from set point to {}, {word}", catch.name),
            match (valve_open, steam_joins) {
                (true, true) => "t = m / (w_full*(1 + x) - w_least)",
                (true, false) => "t = m / (w_full - w_least)",
                (false, _) => "t = m / w_largest",
            },
            mass_kg / net_kg_s,
            "s",
            "mass balance at constant pressure",
            "valve at its end from the first moment; worst duty",
        )
        .with(
            "m",
            if ends.holds_steam {
                "mass between the two levels, water less the steam in its place"
            } else {
                "water between the two levels"
            },
            mass_kg,
            "kg",
        );
        (net_kg_s > 0.0).then(|| {
            if valve_open {
                let working = if steam_joins {
                    working.with(
                        "x",
                        "heating steam condensed with a kilogram of feed, at the duty where it is most",
                        ends.condensed_ratio,
                        "kg/kg",
                    )
                } else {
                    working
                };
                working
                    .with(
                        "w_full",
                        "flow with the valve fully open",
                        ends.full_valve_kg_s,
                        "kg/s",
                    )
                    .with(
                        "w_least",
                        "least that the valve brings at a duty",
                        ends.least_brought_kg_s,
                        "kg/s",
                    )
            } else {
                working.with(
                    "w_largest",
                    "largest flow to balance",
                    ends.largest_kg_s,
                    "kg/s",
                )
            }
        })
    })
    .collect()
}
