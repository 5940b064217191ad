//! The loop as described: what the loop file says, resolved to SI, with every default already filled in and listed
//! under `assumptions`. All elevations are metres above the centre of the LOWER tap, positive up.

mod control;
pub mod feed_system;
pub mod uncertainty;
pub mod wiring;

use crate::finding::Assumption;
use crate::quantity::{AbsolutePressure, LevelSpan, WaterColumn};
use crate::vessel::{Internals, Shell};
use crate::water::FillFluid;

pub use control::{
    Accuracy, AsFound, AsFoundSettings, Controller, FailPosition, Feedwater, InputFault,
    Instrument, Limits, MeasuredProcess, Person, PlantTest, ValveService,
};

use feed_system::FeedSystem;
use uncertainty::UncertaintySurvey;
use wiring::Wiring;

/// A level loop, complete.
#[derive(Debug, Clone)]
pub struct Loop {
    /// Tag, service, plant, revision and how to print.
    pub identity: Identity,
    /// Where the vessel stands.
    pub site: Site,
    /// The vessel.
    pub vessel: Vessel,
    /// Taps and heated surface.
    pub elevations: Elevations,
    /// Reference leg.
    pub reference_leg: ReferenceLeg,
    /// Working-leg water temperature below the lower tap, K.
    pub working_leg_temperature_k: f64,
    /// Leg temperatures over which the range must hold, lowest and highest, K.
    pub leg_temperature_band_k: (f64, f64),
    /// Gauge glass, if there is one.
    pub glass: Option<Glass>,
    /// The differential-pressure cell.
    pub cell: Cell,
    /// Levels that the panel calls 0 % and 100 %, and how the range is chosen.
    pub range: RangeWish,
    /// Vessel pressures.
    pub pressures: Pressures,
    /// Duty points in the order written; at least one; one of them has the largest steam flow.
    pub duties: Vec<Duty>,
    /// Feedwater valve as far as tuning needs it.
    pub feedwater: Feedwater,
    /// Supply, line, valve and actuator, where surveyed: without them no valve is sized.
    pub feed_system: Option<FeedSystem>,
    /// Wires, where surveyed.
    pub wiring: Option<Wiring>,
    /// How wrong each input of the measurement may be.
    pub uncertainty: UncertaintySurvey,
    /// Controller.
    pub controller: Controller,
    /// Set point, alarms, trips, and what is wanted.
    pub limits: Limits,
    /// What was found set, if anything.
    pub as_found: Option<AsFound>,
    /// Process measured on the plant; `None` until a test was made.
    pub measured: Option<MeasuredProcess>,
    /// People for the pack.
    pub people: Vec<Person>,
    /// Test instruments for the pack.
    pub instruments: Vec<Instrument>,
    /// What the survey did not give and what was used instead.
    pub assumptions: Vec<Assumption>,
    /// Dotted paths of values that the file itself marks as invented examples (`# invented: replace`): a loop with any is a draft.
    pub placeholders: Vec<String>,
}

/// Which units a person reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnitSystem {
    /// Inches, psi(g), degF, lb/h.
    Us,
    /// Millimetres, bar(g), degC, kg/h.
    Si,
}

/// Paper of the pack.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 8.5 in by 11 in.
    Letter,
    /// 210 mm by 297 mm.
    A4,
}

/// Name and print choices.
#[derive(Debug, Clone)]
pub struct Identity {
    /// Loop tag.
    pub tag: String,
    /// What the loop does.
    pub service: String,
    /// Plant.
    pub plant: String,
    /// Revision of the loop file, as written by its author.
    pub revision: String,
    /// Units that sheets print.
    pub units: UnitSystem,
    /// Water column that sheets print.
    pub water_column: WaterColumn,
    /// Paper.
    pub paper: Paper,
    /// Free notes printed on the survey page.
    pub notes: Vec<String>,
}

/// Where the vessel stands.
#[derive(Debug, Clone)]
pub struct Site {
    /// Altitude above sea level, m.
    pub altitude_m: f64,
    /// Local atmosphere.
    pub atmosphere: AbsolutePressure,
    /// Local gravity, m/s2.
    pub gravity_m_s2: f64,
    /// Lowest ambient temperature, K.
    pub ambient_lowest_k: f64,
    /// Highest ambient temperature, K.
    pub ambient_highest_k: f64,
}

/// Kind of vessel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VesselKind {
    /// Fire-tube boiler.
    ShellBoiler,
    /// Water-tube boiler's steam drum.
    DrumBoiler,
    /// Deaerator storage, at saturation.
    Deaerator,
    /// Tank open to the air.
    VentedTank,
}

impl VesselKind {
    /// True for a vessel with a heated surface to keep covered.
    pub const fn is_fired(self) -> bool {
        matches!(self, VesselKind::ShellBoiler | VesselKind::DrumBoiler)
    }
    /// What the first independent trip on a low level is called: unfired vessels have no burner to cut off.
    pub const fn first_low_trip(self) -> &'static str {
        if self.is_fired() {
            "first low-water cutoff"
        } else {
            "first low-level trip"
        }
    }
    /// What the second independent trip on a low level is called.
    pub const fn second_low_trip(self) -> &'static str {
        if self.is_fired() {
            "second low-water cutoff"
        } else {
            "second low-level trip"
        }
    }
    /// What makes this vessel's service normal, after `at`: its pressure, or a tank's temperature.
    pub const fn normal_state(self) -> &'static str {
        if self.holds_steam() {
            "normal pressure"
        } else {
            "its stored temperature"
        }
    }
    /// True when the vessel is closed and filled with steam over water.
    pub const fn holds_steam(self) -> bool {
        !matches!(self, VesselKind::VentedTank)
    }
}

/// The vessel.
#[derive(Debug, Clone)]
pub struct Vessel {
    /// Kind.
    pub kind: VesselKind,
    /// Shape. Heights of the shell count from its inside bottom.
    pub shell: Shell,
    /// Centre of the lower tap above the inside bottom, m.
    pub lower_tap_above_bottom_m: f64,
    /// What tubes and furnace displace, heights from the inside bottom.
    pub internals: Internals,
    /// Water outside this vessel that heats and swells with it (a drum boiler's tubes and downcomers), m3; `None`: not known.
    pub circuit_volume_m3: Option<f64>,
    /// Temperature of the stored water where it is not at saturation (vented tank), K; saturation vessels: `None`.
    pub water_temperature_k: Option<f64>,
    /// Has the vessel a vacuum breaker; without one it pulls a vacuum as it cools.
    pub vacuum_breaker: bool,
}

/// Taps and heated surface, m above the lower tap.
#[derive(Debug, Clone)]
pub struct Elevations {
    /// Centre of the upper tap, m. For a vented tank without an upper tap: `None`.
    pub upper_tap_m: Option<f64>,
    /// Highest heated surface, m; `None` on an unfired vessel.
    pub highest_heated_surface_m: Option<f64>,
    /// Overflow or outlet that limits the level, m, if any.
    pub overflow_m: Option<f64>,
}

/// Temperature along a leg: linear from top to bottom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LegTemperature {
    /// At the top (pot), K.
    pub top_k: f64,
    /// At the cell, K.
    pub bottom_k: f64,
}

/// What stands on the reference port.
#[derive(Debug, Clone)]
pub enum ReferenceLeg {
    /// Condensate pot and water-filled leg.
    Wet {
        /// Overflow lip of the pot, m above the lower tap.
        pot_lip_m: f64,
        /// Temperature profile from pot to cell.
        temperature: LegTemperature,
        /// Temperature of the part below the lower tap where it differs from the profile, K.
        below_tap_k: Option<f64>,
    },
    /// Gas-filled leg from the upper tap.
    Dry {
        /// Gas temperature, K.
        temperature_k: f64,
    },
    /// No leg: the low port is open to the air (vented tank).
    None,
    /// Diaphragm seals with capillaries.
    Sealed {
        /// Centre of the lower seal, m above the lower tap.
        lower_seal_m: f64,
        /// Centre of the upper seal, m above the lower tap.
        upper_seal_m: f64,
        /// Fill fluid.
        fluid: FillFluid,
        /// Capillary temperature, reference side, K.
        reference_capillary_k: f64,
        /// Capillary temperature, working side, K.
        working_capillary_k: f64,
    },
}

/// Gauge glass.
#[derive(Debug, Clone)]
pub struct Glass {
    /// Vessel-side lower connection, m above the lower tap.
    pub lower_connection_m: f64,
    /// Lowest visible level, m above the lower tap.
    pub visible_bottom_m: f64,
    /// Highest visible level, m above the lower tap.
    pub visible_top_m: f64,
    /// Water temperature in the glass; `None`: 50 K below saturation, not under the lowest ambient.
    pub water_temperature_k: Option<f64>,
}

/// Which port the working leg is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Polarity {
    /// Working leg (bottom tap) on the high port: differential negative on a wet leg, rising with level.
    BottomOnHigh,
    /// Reference (wet) leg on the high port: differential positive, falling with level.
    WetLegOnHigh,
}

/// Where a falling signal is turned into a rising one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reversal {
    /// Nowhere (bottom-on-high needs none).
    Nowhere,
    /// In the cell: its 4 mA end is the larger differential.
    InCell,
    /// In the controller's input scaling.
    InController,
}

/// The differential-pressure cell.
#[derive(Debug, Clone)]
pub struct Cell {
    /// Cell below the lower tap, m; positive down.
    pub below_lower_tap_m: f64,
    /// Ports.
    pub polarity: Polarity,
    /// Where the signal is reversed.
    pub reversal: Reversal,
    /// Lower range limit, Pa (signed differential).
    pub lower_range_limit_pa: f64,
    /// Upper range limit, Pa (signed differential).
    pub upper_range_limit_pa: f64,
    /// Smallest span it may be set to, Pa.
    pub minimum_span_pa: f64,
    /// Reference accuracy, percent of span.
    pub reference_accuracy_percent: f64,
    /// Drift per year, percent of upper range limit.
    pub drift_percent_url_per_year: f64,
    /// Lowest absolute pressure it may see.
    pub vacuum_limit: AbsolutePressure,
    /// Largest static pressure it may see.
    pub static_limit: AbsolutePressure,
    /// Output when it saturates low and high, mA.
    pub saturation_ma: (f64, f64),
    /// Output it drives to on its own fault, mA.
    pub fault_ma: f64,
    /// Cell damping (first-order time), s.
    pub damping_s: f64,
}

/// How the range is chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RangeMethod {
    /// Exact at normal pressure and leg temperature.
    Normal,
    /// Least worst error over the band of pressures and leg temperatures.
    Best,
}

/// What the panel shall show.
#[derive(Debug, Clone)]
pub struct RangeWish {
    /// 0 % and 100 %.
    pub span: LevelSpan,
    /// Method.
    pub method: RangeMethod,
    /// Largest high error allowed at and below the low alarm in the best range, percent of span.
    pub high_error_limit_percent: f64,
    /// Weight on errors that read high, ratio.
    pub high_error_weight: f64,
    /// Weight on errors that read low, ratio.
    pub low_error_weight: f64,
    /// Water temperature of the bench range, K.
    pub bench_temperature_k: f64,
}

/// Vessel pressures, absolute.
#[derive(Debug, Clone)]
pub struct Pressures {
    /// At start-up: the vessel cold, usually 0 gauge.
    pub start_up: AbsolutePressure,
    /// Lowest pressure held in service.
    pub lowest_sustained: AbsolutePressure,
    /// Normal.
    pub normal: AbsolutePressure,
    /// Highest in service.
    pub highest: AbsolutePressure,
    /// Safety-valve set; vented tank: the atmosphere.
    pub safety_valve: AbsolutePressure,
    /// Water temperature at start-up, K.
    pub start_up_water_k: f64,
}

/// A duty point.
#[derive(Debug, Clone)]
pub struct Duty {
    /// Name: maximum, normal, low fire, or the user's own.
    pub name: String,
    /// Steam (or outflow) leaving, kg/s.
    pub steam_kg_s: f64,
    /// Blowdown, kg/s.
    pub blowdown_kg_s: f64,
    /// Feedwater temperature, K.
    pub feed_temperature_k: f64,
    /// Vessel pressure.
    pub pressure: AbsolutePressure,
}
