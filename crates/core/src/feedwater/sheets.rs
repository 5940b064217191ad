//! What the feedwater sheet holds.

use crate::finding::Finding;
use crate::working::Working;

/// How the water flows through the valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FlowRegime {
    /// No flow (shut-off).
    None,
    /// Turbulent, not choked.
    Turbulent,
    /// Turbulent, choked by vapour at the vena contracta.
    Choked,
    /// Between laminar and turbulent.
    Transitional,
    /// Laminar.
    Laminar,
}

/// What the drop does to the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cavitation {
    /// No vapour forms.
    None,
    /// Bubbles begin: heard, seldom harmful.
    Incipient,
    /// Bubbles all the time: noise, pitting of soft trim.
    Developed,
    /// Choked cavitation: trim is destroyed in weeks or months.
    Severe,
    /// The outlet lies under the vapour pressure: vapour stays. No size of valve cures it.
    Flashing,
}

/// Is the point one of the user's duties or one that every valve must meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DutyKind {
    /// From the loop file.
    Stated,
    /// The largest flow with the vessel at the set of its safety valves; fired vessels only.
    SafetyValve,
    /// Vessel at its start-up pressure, pump running: the largest drop with flow.
    StartUp,
    /// No flow: pump at shut-off head against the valve.
    ShutOff,
}

/// A duty point of the valve.
#[derive(Debug, Clone, PartialEq)]
pub struct DutyFlow {
    /// Name.
    pub name: String,
    /// Kind.
    pub kind: DutyKind,
    /// Flow through the valve, kg/s.
    pub flow_kg_s: f64,
    /// The same as a volume, m3/s.
    pub flow_m3_s: f64,
    /// Temperature of the water at the valve, K.
    pub water_temperature_k: f64,
    /// Density of the water at the valve, kg/m3.
    pub density_kg_m3: f64,
    /// Kinematic viscosity of the water at the valve, m2/s.
    pub kinematic_viscosity_m2_s: f64,
    /// Vessel pressure, absolute, Pa.
    pub vessel_pressure_pa: f64,
    /// Flow of each running pump, m3/s, what others draw and recirculation included; `None` with a header.
    pub pump_flow_m3_s: Option<f64>,
    /// Head of the pumps, m; `None` with a header.
    pub pump_head_m: Option<f64>,
    /// Speed, percent of rated, that would hold this duty with the valve wide open, where the pump's speed can vary.
    pub speed_with_valve_open_percent: Option<f64>,
    /// NPSH available, m.
    pub npsh_available_m: Option<f64>,
    /// NPSH required, m.
    pub npsh_required_m: Option<f64>,
    /// Pressure before the valve, absolute, Pa.
    pub inlet_pressure_pa: f64,
    /// Pressure after the valve, absolute, Pa.
    pub outlet_pressure_pa: f64,
    /// Drop over the valve, Pa.
    pub pressure_drop_pa: f64,
    /// Friction of the line at this flow, before and after the valve, Pa.
    pub friction_pa: (f64, f64),
    /// Vapour pressure at the valve, Pa.
    pub vapour_pressure_pa: f64,
    /// FF, critical pressure ratio factor.
    pub critical_ratio_factor: f64,
    /// Drop at which the flow chokes with the chosen valve, Pa.
    pub choked_drop_pa: f64,
    /// Kv that this duty wants, m3/h; 0 at shut-off.
    pub kv_required_m3_h: f64,
    /// Regime.
    pub regime: FlowRegime,
    /// Valve Reynolds number.
    pub reynolds: f64,
    /// FP, piping geometry factor.
    pub piping_factor: f64,
    /// FLP, recovery factor with fittings.
    pub piping_recovery_factor: f64,
    /// Choked.
    pub choked: bool,
    /// Flashing.
    pub flashing: bool,
    /// Cavitation.
    pub cavitation: Cavitation,
    /// σ = (P1 − Pv)/(P1 − P2); `None` at no drop.
    pub sigma: Option<f64>,
    /// xF = (P1 − P2)/(P1 − Pv).
    pub pressure_ratio: f64,
    /// xFz, corrected for the inlet pressure.
    pub incipient_pressure_ratio: f64,
    /// Sound level 1 m downstream and 1 m from the pipe, dB(A); `None` without flow, and where it chokes, cavitates severely
    /// or flashes: the maker is to be asked.
    pub noise_dba: Option<f64>,
    /// Velocity in the valve's inlet, m/s.
    pub inlet_velocity_m_s: f64,
    /// Velocity in the pipe after the valve, m/s (liquid; flashing: of the mixture).
    pub outlet_velocity_m_s: f64,
    /// Mass fraction of steam after the valve.
    pub flash_steam_ratio: f64,
    /// Travel of the chosen valve, percent; `None` when even the open valve does not pass it.
    pub travel_percent: Option<f64>,
    /// Installed gain at that travel: d(flow/full-valve flow)/d(travel fraction); `None` where the travel is.
    pub installed_gain_ratio: Option<f64>,
    /// What happens at this duty, in words.
    pub words: String,
}

/// A size considered.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Name.
    pub name: String,
    /// Rated Kv, m3/h.
    pub rated_kv_m3_h: f64,
    /// Travel at each duty of the sheet, percent, in its order; `None`: not reached.
    pub travel_percent: Vec<Option<f64>>,
    /// Full-valve flow at the largest duty's pressures, kg/s.
    pub full_flow_kg_s: f64,
    /// Largest installed gain over smallest between the smallest and largest duty.
    pub gain_spread_ratio: f64,
    /// Installed characteristic.
    pub curve: Vec<InstalledPoint>,
    /// Does it meet every criterion.
    pub fits: bool,
    /// Is it the chosen one.
    pub chosen: bool,
    /// Would it serve better than the fitted one, and be the size to buy.
    pub serves_better: bool,
    /// Why, or why not, in words.
    pub words: String,
}

/// A point of the installed characteristic; that at travel 0 is the valve just off its seat, with the least flow it controls. Shut, it
/// passes its leakage only.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InstalledPoint {
    /// Travel, percent.
    pub travel_percent: f64,
    /// Flow, kg/s.
    pub flow_kg_s: f64,
    /// Installed gain: d(flow/full-valve flow)/d(travel fraction).
    pub gain_ratio: f64,
}

/// The chosen valve in this system, at the largest duty's pressures.
#[derive(Debug, Clone, PartialEq)]
pub struct Installed {
    /// From just off the seat (travel 0) to open.
    pub curve: Vec<InstalledPoint>,
    /// Flow with the valve fully open, kg/s.
    pub full_flow_kg_s: f64,
    /// Largest over smallest gain between the smallest and largest stated duty.
    pub gain_spread_ratio: f64,
    /// Flow with the valve open over the flow at 10 % travel, the least that it is left to hold (common practice).
    pub turndown_ratio: f64,
    /// Drop over the valve at full-valve flow as a share of the drop with the valve nearly shut.
    pub authority_ratio: f64,
}

/// A factor of the valve and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct BodyFactor {
    /// Symbol: FL, Fd, xFz.
    pub symbol: &'static str,
    /// Value.
    pub value: f64,
    /// `stated in the loop file` or the table and its standing.
    pub source: &'static str,
}

/// A point of the supply against flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SupplyPoint {
    /// Flow to this vessel, kg/s.
    pub flow_kg_s: f64,
    /// Pressure that the supply gives, absolute, at the supply, Pa.
    pub supply_pressure_pa: f64,
    /// Pressure that the system without the valve needs at the supply, absolute, Pa; the gap is the valve's drop.
    pub system_pressure_pa: f64,
}

/// Actuator against the drop.
#[derive(Debug, Clone, PartialEq)]
pub struct ActuatorSheet {
    /// Force of the drop on the plug, N: positive pushes it open, negative shut; or break-away torque, N·m.
    pub from_drop: f64,
    /// Packing friction, N; 0 for a rotary valve.
    pub packing_friction_n: f64,
    /// Seat load for its class, N; 0 for a rotary valve.
    pub seat_load_n: f64,
    /// Needed in all: N or N·m.
    pub required: f64,
    /// Rated: N or N·m.
    pub rated: f64,
    /// Rotary: both are torques in N·m.
    pub is_torque: bool,
    /// Rated over required.
    pub margin_ratio: f64,
    /// Drop it is made for: the shut-off drop, Pa.
    pub shut_off_drop_pa: f64,
    /// Is it enough with the usual margin.
    pub enough: bool,
    /// In words.
    pub words: String,
}

/// Leakage of the shut valve.
#[derive(Debug, Clone, PartialEq)]
pub struct LeakageSheet {
    /// Allowed leakage of its class at the shut-off drop, kg/s.
    pub leakage_kg_s: f64,
    /// Rate of rise of the true level with nothing leaving, m/s.
    pub rise_m_s: f64,
    /// Minutes from set point to the high alarm (or trip, or 100 %) with nothing leaving; `None` without leakage.
    pub minutes_to_high: Option<f64>,
    /// Which mark that is.
    pub high_mark: String,
    /// Clause used, in words.
    pub clause: &'static str,
    /// In words.
    pub words: String,
}

/// Stroke time against the load change.
#[derive(Debug, Clone, PartialEq)]
pub struct StrokeSheet {
    /// Full-stroke time, s.
    pub stroke_time_s: f64,
    /// Level lost while the valve travels for the largest load change, m: the least that any tuning loses; infinite
    /// where the open valve passes less than that change.
    pub level_lost_m: f64,
    /// Of the allowed deviation, ratio.
    pub share_of_allowed_ratio: f64,
    /// Limit cycle by deadband and resolution: level swing peak to peak that no tuning removes, m.
    pub deadband_level_m: f64,
    /// In words.
    pub words: String,
}

/// A pump's minimum flow.
#[derive(Debug, Clone, PartialEq)]
pub struct MinimumFlowSheet {
    /// Smallest flow its maker allows, m3/s a pump.
    pub minimum_flow_m3_s: f64,
    /// Duties, by name, at which a pump runs below it without recirculation.
    pub duties_below: Vec<String>,
    /// Is what stands in the survey enough.
    pub covered: bool,
    /// In words.
    pub words: String,
}

/// A return that comes in beside the make-up.
#[derive(Debug, Clone, PartialEq)]
pub struct FlashingReturn {
    /// Name.
    pub name: String,
    /// Share of it that flashes to steam at the vessel's pressure, ratio.
    pub flash_steam_ratio: f64,
    /// In words: two-phase after its valve or not.
    pub words: String,
}

/// The feedwater sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedwaterSheet {
    /// Duties: the user's in their order, then safety-valve set (a fired vessel's, where the supply reaches it), start-up and shut-off.
    pub duties: Vec<DutyFlow>,
    /// Sizes considered, by rising Kv.
    pub candidates: Vec<Candidate>,
    /// Name of the chosen or fitted size.
    pub chosen_name: String,
    /// Its rated Kv, m3/h.
    pub chosen_kv_m3_h: f64,
    /// Is it fitted already.
    pub is_fitted: bool,
    /// Why it, and why not its neighbours, in words.
    pub choice_words: String,
    /// FL, Fd, xFz with their sources.
    pub factors: Vec<BodyFactor>,
    /// The chosen valve in the system.
    pub installed: Installed,
    /// Supply and system against flow at the largest duty's pressures.
    pub supply: Vec<SupplyPoint>,
    /// Name of the supply in words: `2 pumps`, `header`.
    pub supply_words: String,
    /// Actuator.
    pub actuator: ActuatorSheet,
    /// Leakage; `None` for a vessel whose level has no mark above the set point, and for a drain valve.
    pub leakage: Option<LeakageSheet>,
    /// Stroke time.
    pub stroke: StrokeSheet,
    /// Minimum flow of the pump, where it is known.
    pub minimum_flow: Option<MinimumFlowSheet>,
    /// Returns.
    pub returns: Vec<FlashingReturn>,
    /// Fail positions, bypass, what stays of an on/off system: sentences in order.
    pub station_words: Vec<String>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Workings.
    pub workings: Vec<Working>,
}
