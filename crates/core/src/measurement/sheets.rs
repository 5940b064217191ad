//! What the measurement sheets hold.

use crate::description::{Polarity, RangeMethod};
use crate::finding::Finding;
use crate::quantity::{AbsolutePressure, GlassLevel, IndicatedLevel, TrueLevel};
use crate::working::Working;

/// Signed differential (high port minus low port) at the two ends of the level span, Pa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Differential at the level called 0 %: LRV.
    pub lrv_pa: f64,
    /// Differential at the level called 100 %: URV.
    pub urv_pa: f64,
}

/// A condition of the vessel: pressure, what water it holds, what temperature its legs have.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// Name: start-up, lowest, normal, highest, safety valve.
    pub name: String,
    /// Vessel pressure.
    pub pressure: AbsolutePressure,
    /// Temperature of the vessel's water, K.
    pub water_k: f64,
    /// Mean reference-leg temperature above the lower tap, K.
    pub reference_leg_k: f64,
}

/// The densities that the cell equation needs, kg/m3.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Densities {
    /// Water in the vessel.
    pub liquid: f64,
    /// Vapour (or air) over it.
    pub vapour: f64,
    /// Reference leg above the lower tap.
    pub reference_above: f64,
    /// Reference leg below the lower tap.
    pub reference_below: f64,
    /// Working leg below the lower tap.
    pub working_below: f64,
}

/// What the panel says at one true level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The vessel's level.
    pub true_level: TrueLevel,
    /// The cell's level, not clipped.
    pub indicated: IndicatedLevel,
    /// The cell's level in percent of the level span, not clipped.
    pub indicated_percent: f64,
}

/// The least-worst range over the band.
#[derive(Debug, Clone, PartialEq)]
pub struct BestRange {
    /// The range.
    pub range: Range,
    /// Largest weighted error, percent of span.
    pub worst_error_percent: f64,
    /// Largest weighted error of the hot range over the same band, percent of span.
    pub hot_worst_error_percent: f64,
    /// Largest weighted error of the bench range over the same band, percent of span.
    pub bench_worst_error_percent: f64,
    /// The points that hold the optimum: condition, true level, error (indicated minus true), percent of span.
    pub active: Vec<(Condition, TrueLevel, f64)>,
    /// True when the limit on high errors at and below the low alarm makes the worst error larger than it could be.
    pub held_by_high_limit: bool,
}

/// The cell equalised: no differential.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Equalised {
    /// Reading in percent of span, not clipped, with the chosen range.
    pub percent: f64,
    /// Current that the cell would want, mA, not clipped.
    pub wanted_ma: f64,
    /// Current that it gives, clipped to saturation, mA.
    pub current_ma: f64,
    /// True when the current is clipped, so that a zero check must be read as pressure on the cell's display.
    pub clipped: bool,
}

/// Port that a calibrator pushes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Port {
    /// High port.
    High,
    /// Low port.
    Low,
}

/// One bench test point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestPoint {
    /// Percent of level span.
    pub percent: f64,
    /// True level it stands for at the condition of the range.
    pub true_level: TrueLevel,
    /// Signed differential, Pa.
    pub differential_pa: f64,
    /// Port to push on.
    pub port: Port,
    /// Magnitude to set on the calibrator, Pa.
    pub magnitude_pa: f64,
    /// Current, mA.
    pub current_ma: f64,
}

/// An as-found range judged.
#[derive(Debug, Clone, PartialEq)]
pub struct AsFoundRange {
    /// The range found.
    pub range: Range,
    /// What it says at 0, 25, 50, 75, 100 % true, at normal pressure.
    pub readings: Vec<Reading>,
    /// Largest error (signed) over the level span at normal pressure, percent of span.
    pub worst_error_percent: f64,
    /// True when it lies nearer to the bench range than to the hot range.
    pub looks_cold: bool,
}

/// The range sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct RangeSheet {
    /// Ports.
    pub polarity: Polarity,
    /// Normal condition.
    pub normal: Condition,
    /// Densities at normal.
    pub densities: Densities,
    /// The hot range: exact at normal pressure.
    pub hot: Range,
    /// The bench range: all water cold, no steam.
    pub bench: Range,
    /// What the bench range says at normal pressure for 0, 25, 50, 75, 100 % true.
    pub bench_readings: Vec<Reading>,
    /// Best range over the band.
    pub best: BestRange,
    /// Which was chosen.
    pub method: RangeMethod,
    /// The range to set, differential at 0 % and 100 % of level.
    pub chosen: Range,
    /// Differential to enter as the cell's 4 mA and 20 mA ends (swapped where the reversal is in the controller), Pa.
    pub cell_ends_pa: (f64, f64),
    /// Span of the chosen range, magnitude, Pa.
    pub span_pa: f64,
    /// Upper range limit over span.
    pub turndown_ratio: f64,
    /// Cell equalised with the chosen range.
    pub equalised: Equalised,
    /// Five test points.
    pub test_points: Vec<TestPoint>,
    /// The as-found range judged.
    pub as_found: Option<AsFoundRange>,
    /// How much true level one unit of pot-lip error moves the reading, ratio (wet leg only).
    pub pot_lip_sensitivity_ratio: Option<f64>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Workings.
    pub workings: Vec<Working>,
}

/// One point of the error map.
#[derive(Debug, Clone, PartialEq)]
pub struct ErrorPoint {
    /// Condition.
    pub condition: Condition,
    /// The vessel's level.
    pub true_level: TrueLevel,
    /// The cell's level after clipping to saturation.
    pub indicated: IndicatedLevel,
    /// True when the signal is clipped.
    pub clipped: bool,
    /// The glass's level; `None` when the glass cannot show it or there is no glass.
    pub glass: Option<GlassLevel>,
}

/// Compensation for pressure: `level = gain(P) * differential + offset(P)`.
#[derive(Debug, Clone, PartialEq)]
pub struct CompensationTable {
    /// Breakpoints: pressure, gain m/Pa, offset m.
    pub points: Vec<(AbsolutePressure, f64, f64)>,
    /// Largest error between breakpoints over the band and the level span, m of true level.
    pub worst_error_m: f64,
    /// True level by differential (rows) and breakpoint pressure (columns): (differential Pa, levels).
    pub rows: Vec<(f64, Vec<TrueLevel>)>,
}

/// One line of the glass card.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlassCardLine {
    /// Where the water stands in the glass.
    pub glass: GlassLevel,
    /// True level with the vessel cold at start-up pressure.
    pub true_cold: TrueLevel,
    /// True level at normal pressure.
    pub true_hot: TrueLevel,
    /// What the panel says at normal pressure.
    pub indicated_hot: IndicatedLevel,
}

/// What the panel says at the cell's two saturation currents, percent of span: it never says less or more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PanelEnds {
    /// The least it says.
    pub low_percent: f64,
    /// The most it says.
    pub high_percent: f64,
}

impl PanelEnds {
    /// Error of the panel, percent of span, and whether it is pegged, from the error that a signal without ends would have.
    pub fn error_percent(self, true_percent: f64, unclipped_percent: f64) -> (f64, bool) {
        let says = true_percent + unclipped_percent;
        if says < self.low_percent {
            (self.low_percent - true_percent, true)
        } else if says > self.high_percent {
            (self.high_percent - true_percent, true)
        } else {
            (unclipped_percent, false)
        }
    }
}

/// The error-map sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct ErrorMapSheet {
    /// The range it is drawn for.
    pub range: Range,
    /// Named conditions in order.
    pub conditions: Vec<Condition>,
    /// Named conditions by 0, 10, .. 100 % of the span.
    pub points: Vec<ErrorPoint>,
    /// A finer grid for the figure: pressures, and for each named level fraction 0, 25, 50, 75, 100 % the error
    /// (indicated minus true, unclipped), percent of span.
    pub curves: Vec<ErrorCurve>,
    /// Error at the start-up condition, for 0, 25, 50, 75, 100 % true: (true percent, indicated minus true, unclipped, percent
    /// of span). Cold water lies on none of the curves.
    pub cold_errors: Vec<(f64, f64)>,
    /// Where the panel is pegged: clips `curves` and `cold_errors`.
    pub panel_ends: PanelEnds,
    /// Error against leg temperature at normal pressure, for 0, 50 and 100 % true: (leg K, errors percent of span).
    pub leg_rows: Vec<(f64, [f64; 3])>,
    /// Compensation; `None` where the vessel has no pressure to compensate for.
    pub compensation: Option<CompensationTable>,
    /// Glass card; empty without a glass.
    pub glass_card: Vec<GlassCardLine>,
    /// Glass water temperature used at normal, K.
    pub glass_water_k: Option<f64>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Workings.
    pub workings: Vec<Working>,
}

/// Error against pressure at one true level.
#[derive(Debug, Clone, PartialEq)]
pub struct ErrorCurve {
    /// True level, percent of span.
    pub true_percent: f64,
    /// Pressure and error (indicated minus true), percent of span.
    pub points: Vec<(AbsolutePressure, f64)>,
}
