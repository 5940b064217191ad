//! The water side as described: where the feedwater comes from, the line, the valve, its actuator and the station around it.

use crate::quantity::AbsolutePressure;

/// Everything between the feed tank and the vessel.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedSystem {
    /// Pump or header.
    pub supply: Supply,
    /// Line from the supply to the vessel.
    pub line: Line,
    /// The control valve.
    pub valve: ControlValve,
    /// Its actuator.
    pub actuator: Actuator,
    /// What stands around the valve.
    pub station: Station,
    /// Returns that come back beside the make-up (deaerator, feed tank).
    pub returns: Vec<ReturnFlow>,
}

/// Where the water comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Supply {
    /// Centrifugal pumps.
    Pump(Pump),
    /// A header or main whose pressure others hold.
    Header(Header),
}

/// A pressure drop known at one flow; turbulent, so it goes with the square of the flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferenceDrop {
    /// Drop, Pa.
    pub drop_pa: f64,
    /// At this flow, kg/s.
    pub flow_kg_s: f64,
}

/// One point of a pump's curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpPoint {
    /// Flow of one pump, m3/s.
    pub flow_m3_s: f64,
    /// Head, m of the water pumped.
    pub head_m: f64,
    /// Net positive suction head required, m, where the curve gives it.
    pub npsh_required_m: Option<f64>,
}

/// What keeps a pump from running against a shut valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Recirculation {
    /// Nothing.
    None,
    /// An orifice that always passes this flow at the pump's shut-off head, m3/s a pump.
    Continuous {
        /// Flow, m3/s.
        flow_m3_s: f64,
    },
    /// A valve that opens below the minimum flow.
    Automatic,
}

/// Centrifugal pumps, alike, in parallel.
#[derive(Debug, Clone, PartialEq)]
pub struct Pump {
    /// Curve of one pump at rated speed, by rising flow, the first at or near no flow; at least three points.
    pub curve: Vec<PumpPoint>,
    /// Pumps that run together.
    pub running: u32,
    /// Pumps that stand by.
    pub standby: u32,
    /// Pressure on the water surface it draws from.
    pub suction_surface: AbsolutePressure,
    /// That surface above the pump's centre, m; negative: lift.
    pub suction_surface_above_pump_m: f64,
    /// Loss of the suction line.
    pub suction_loss: Option<ReferenceDrop>,
    /// Smallest flow its maker allows for long, m3/s a pump.
    pub minimum_flow_m3_s: Option<f64>,
    /// What keeps that flow.
    pub recirculation: Recirculation,
    /// Water that other vessels on the same discharge header draw at the same time, kg/s.
    pub other_flow_kg_s: f64,
    /// Can its speed be varied: a final element beside the valve.
    pub variable_speed: bool,
}

/// A header or main.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Header {
    /// Its pressure at no flow.
    pub pressure: AbsolutePressure,
    /// What that pressure loses with flow.
    pub droop: Option<ReferenceDrop>,
}

/// On which side of the valve a part of the line lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ValveSide {
    /// Between supply and valve.
    Before,
    /// Between valve and vessel.
    After,
}

/// How a part of the line loses pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Loss {
    /// A drop measured or stated at one flow.
    Reference(ReferenceDrop),
    /// Pipe data.
    Pipe {
        /// Inside diameter, m.
        inside_diameter_m: f64,
        /// Length, m.
        length_m: f64,
        /// Roughness, m.
        roughness_m: f64,
        /// Sum of loss coefficients of bends, valves, entry and exit, on this diameter.
        fittings_k: f64,
    },
}

/// A part of the line.
#[derive(Debug, Clone, PartialEq)]
pub struct LinePart {
    /// Name: discharge pipe, economiser, check valve.
    pub name: String,
    /// Side of the valve.
    pub side: ValveSide,
    /// Its loss.
    pub loss: Loss,
    /// Does it also carry what other vessels on the header draw.
    pub shared: bool,
    /// What it heats the water by, K (economiser).
    pub temperature_rise_k: f64,
}

/// The line.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its parts.
    pub parts: Vec<LinePart>,
    /// Valve above the pump's centre (or the header's gauge), m.
    pub valve_above_supply_m: f64,
    /// Where the water enters the vessel, or the vessel's water surface when it enters below, above the same, m.
    pub inlet_above_supply_m: f64,
    /// Inside diameter of the pipe before the valve, m.
    pub pipe_before_valve_m: f64,
    /// Inside diameter of the pipe after the valve, m.
    pub pipe_after_valve_m: f64,
}

/// Style of a control valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ValveStyle {
    /// Single-port globe, V-ported plug, 3 or 4 ports.
    GlobeVPort,
    /// Single-port globe, contoured plug, flow to open.
    GlobeContouredOpen,
    /// Single-port globe, contoured plug, flow to close.
    GlobeContouredClose,
    /// Globe with a characterised cage of four ports, flow outward.
    GlobeCage,
    /// Globe with a drilled cage of 60 equal holes.
    GlobeDrilledCage60,
    /// Globe with a drilled cage of 120 equal holes.
    GlobeDrilledCage120,
    /// Double-ported globe, contoured plugs.
    GlobeDoublePort,
    /// Angle body, contoured plug, flow to open.
    AngleContouredOpen,
    /// Small-flow globe, V-notch.
    SmallFlowVNotch,
    /// Small-flow globe, tapered needle.
    SmallFlowNeedle,
    /// Eccentric rotary plug, flow to open.
    EccentricPlugOpen,
    /// Segmented ball.
    SegmentedBall,
    /// Full-bore ball.
    FullBoreBall,
    /// Butterfly, centred shaft, to 70 degrees.
    ButterflyCentred,
    /// Butterfly, eccentric shaft, offset seat, to 70 degrees.
    ButterflyEccentric,
}

/// Inherent characteristic: share of the rated flow coefficient against travel.
#[derive(Debug, Clone, PartialEq)]
pub enum Characteristic {
    /// φ = φ0 + (1 − φ0)·h with φ0 = 1/rangeability.
    Linear {
        /// Inherent rangeability.
        rangeability: f64,
    },
    /// φ = φ0·exp(n·h) with n = ln(rangeability).
    EqualPercentage {
        /// Inherent rangeability.
        rangeability: f64,
    },
    /// Quick opening: φ = √h above 1/rangeability.
    QuickOpening {
        /// Inherent rangeability.
        rangeability: f64,
    },
    /// (travel, share of rated coefficient), both 0 to 1, both rising.
    Table(Vec<(f64, f64)>),
}

/// Seat leakage class (IEC 60534-4).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LeakageClass {
    /// 0.5 % of rated capacity.
    II,
    /// 0.1 %.
    III,
    /// 0.01 %.
    IV,
    /// Metal seat, in proportion to drop and seat diameter.
    V,
    /// Soft seat, by test with gas.
    VI,
}

/// A size that can be bought, or the one fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct ValveSize {
    /// What its list calls it.
    pub name: String,
    /// Rated flow coefficient Kv, m3/h.
    pub rated_kv_m3_h: f64,
    /// Nominal bore at its ends, m.
    pub bore_m: f64,
    /// Seat diameter, m, where known.
    pub seat_diameter_m: Option<f64>,
}

/// The control valve.
#[derive(Debug, Clone, PartialEq)]
pub struct ControlValve {
    /// Style, which gives FL, Fd and xFz where they are not stated.
    pub style: ValveStyle,
    /// Liquid pressure recovery factor FL, if stated by the maker.
    pub recovery_factor: Option<f64>,
    /// Valve style modifier Fd, if stated.
    pub style_modifier: Option<f64>,
    /// Pressure ratio at which cavitation noise begins, xFz, at 75 % of rated travel, if stated.
    pub incipient_ratio: Option<f64>,
    /// Inherent characteristic.
    pub characteristic: Characteristic,
    /// Sizes to choose from, by rising Kv; generic ones when the survey names none.
    pub sizes: Vec<ValveSize>,
    /// True when `sizes` is a generic series and no list of the user's.
    pub sizes_are_generic: bool,
    /// The valve that is fitted or already bought; `None`: choose one.
    pub fitted: Option<ValveSize>,
    /// Largest drop its maker allows while throttling, Pa.
    pub throttling_limit_pa: Option<f64>,
    /// Largest drop its maker allows at shut-off, Pa.
    pub shut_off_limit_pa: Option<f64>,
    /// Seat leakage class.
    pub leakage: LeakageClass,
    /// Wall of the pipe after the valve, m, for noise outside it.
    pub pipe_wall_m: f64,
}

/// The actuator; stroke time, deadband, resolution and fail positions stand in `Feedwater`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Actuator {
    /// Pushes a stem.
    Linear {
        /// Rated force, N.
        rated_force_n: f64,
        /// Friction of packing and guides, N.
        packing_friction_n: f64,
        /// Is the plug balanced: the drop then acts on a small ring only.
        balanced: bool,
        /// Does the flow push the plug open (true) or shut.
        flow_opens: bool,
    },
    /// Turns a shaft.
    Rotary {
        /// Rated torque, N·m.
        rated_torque_n_m: f64,
        /// Torque to break the valve away from its seat at its largest drop, N·m, from the valve's maker.
        breakaway_torque_n_m: f64,
        /// Torque while throttling at its largest drop, N·m, from the valve's maker.
        running_torque_n_m: f64,
    },
}

/// What stands around the valve.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Bypass.
    pub bypass: Bypass,
    /// Isolating valves both sides, so that the valve can be worked on.
    pub isolating_valves: bool,
    /// Does this loop replace on/off control of the pump.
    pub replaces_on_off: bool,
    /// Interlocks of the old system that stay, in the user's words.
    pub interlocks_kept: Vec<String>,
}

/// Bypass around the control valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bypass {
    /// None.
    None,
    /// A hand valve of this Kv, m3/h, where known.
    Hand {
        /// Rated flow coefficient, m3/h.
        kv_m3_h: Option<f64>,
    },
}

/// Water that comes back beside the make-up.
#[derive(Debug, Clone, PartialEq)]
pub struct ReturnFlow {
    /// Name.
    pub name: String,
    /// Share of the outflow that it brings at every duty, 0 to 1.
    pub share_of_outflow: f64,
    /// Temperature before its own valve or trap, K.
    pub temperature_k: f64,
    /// Pressure before its own valve or trap.
    pub pressure: AbsolutePressure,
}
