//! Every unit a loop file may use, by kind of quantity, with its exact factor to SI.
//!
//! **Source:** NIST SP 811 (2008) appendix B.8 for the factors: foot 0.3048 m and inch 0.0254 m (exact),
//! pound 0.453 592 37 kg (exact), pound-force 4.448 221 615 260 5 N (exact), psi from the two, gallon (US)
//! 231 in3 = 3.785 411 784 L (exact), gallon (imperial) 4.546 09 L (exact), Btu(IT) 1055.055 852 62 J (exact).

use halfglass_core::quantity::WaterColumn;

/// Metres in an inch.
pub(crate) const INCH_M: f64 = 0.0254;
/// Metres in a foot.
pub(crate) const FOOT_M: f64 = 0.3048;
/// Newtons in a pound-force.
const POUND_FORCE_N: f64 = 4.448_221_615_260_5;
/// Pascals in a psi: pound-force over a square inch.
pub(crate) const PSI_PA: f64 = POUND_FORCE_N / (INCH_M * INCH_M);
/// Kilograms in a pound.
pub(crate) const POUND_KG: f64 = 0.453_592_37;
/// Cubic metres in a gallon (US).
const GALLON_US_M3: f64 = 3.785_411_784e-3;
/// Cubic metres in a gallon (imperial).
const GALLON_IMP_M3: f64 = 4.546_09e-3;
/// Watts in a boiler horsepower: 34.5 lb/h of steam from and at 212 degF, with 970.3 Btu(IT)/lb.
///
/// **Source:** NIST SP 811 (2008) B.8, horsepower (boiler) 9809.50 W.
pub(crate) const BOILER_HORSEPOWER_W: f64 = 9_809.50;
/// Kelvin at 0 degC.
const ICE_POINT_K: f64 = 273.15;

/// Kind of quantity: decides which units are meant and what the number becomes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dimension {
    /// m.
    Length,
    /// Pa, gauge or absolute, never guessed.
    Pressure,
    /// Pa, signed.
    DifferentialPressure,
    /// K.
    Temperature,
    /// K, as a difference.
    TemperatureDifference,
    /// kg/s, or m3/s of water, or W of boiler output.
    Flow,
    /// kg/s, or m3/s of water, or percent of the flow out.
    Blowdown,
    /// Percent.
    Percent,
    /// s.
    Time,
    /// Years.
    Interval,
    /// mA.
    Current,
    /// Pa, or mA: how good a test instrument is.
    Accuracy,
    /// Degrees of arc.
    Angle,
    /// m2.
    Area,
    /// m3.
    Volume,
    /// N.
    Force,
    /// Ohm.
    Resistance,
    /// V.
    Voltage,
    /// N·m.
    Torque,
    /// VA, or W.
    ApparentPower,
    /// Kv, m3/h at 1 bar.
    FlowCoefficient,
    /// m/s2.
    Acceleration,
    /// kg/m3.
    Density,
    /// s/repeat.
    Reset,
    /// %/%, or a proportional band.
    Gain,
}

/// What a unit makes of a number beside scaling it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Basis {
    /// Nothing.
    Plain,
    /// Counted from the local atmosphere.
    Gauge,
    /// Counted from vacuum.
    Absolute,
    /// A pressure unit where gauge or absolute is not asked, in this water column.
    Column(WaterColumn),
    /// Volume flow of water, m3/s.
    VolumeFlow,
    /// Boiler output, W.
    Output,
    /// Percent of another flow.
    Share,
    /// Current, mA, where a pressure may be meant too.
    Current,
    /// Real power, W, where apparent power is meant too.
    RealPower,
    /// The reciprocal of the value: repeats a minute to seconds a repeat.
    Reciprocal,
    /// Proportional band, percent of span.
    BandPercent,
    /// Proportional band, m of level.
    BandLevel,
}

/// A unit: what the person writes, and value SI = number·scale + offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// As written, without spaces; temperature references keep theirs when printed.
    pub name: &'static str,
    /// SI units in one of these.
    pub scale: f64,
    /// SI value at zero.
    pub offset: f64,
    /// What it makes of the number.
    pub basis: Basis,
}

const fn plain(name: &'static str, scale: f64) -> Unit {
    with(name, scale, Basis::Plain)
}

const fn with(name: &'static str, scale: f64, basis: Basis) -> Unit {
    Unit {
        name,
        scale,
        offset: 0.0,
        basis,
    }
}

const fn shifted(name: &'static str, scale: f64, offset: f64) -> Unit {
    Unit {
        name,
        scale,
        offset,
        basis: Basis::Plain,
    }
}

const LENGTH: &[Unit] = &[
    plain("mm", 1e-3),
    plain("cm", 1e-2),
    plain("m", 1.0),
    plain("in", INCH_M),
    plain("ft", FOOT_M),
];

const PRESSURE: &[Unit] = &[
    with("psi(g)", PSI_PA, Basis::Gauge),
    with("psi(a)", PSI_PA, Basis::Absolute),
    with("bar(g)", 1e5, Basis::Gauge),
    with("bar(a)", 1e5, Basis::Absolute),
    with("kPa(g)", 1e3, Basis::Gauge),
    with("kPa(a)", 1e3, Basis::Absolute),
    with("MPa(g)", 1e6, Basis::Gauge),
    with("MPa(a)", 1e6, Basis::Absolute),
    with("mbar(g)", 100.0, Basis::Gauge),
    with("mbar(a)", 100.0, Basis::Absolute),
    // The trade's own shorthand for the four above.
    with("psig", PSI_PA, Basis::Gauge),
    with("psia", PSI_PA, Basis::Absolute),
    with("barg", 1e5, Basis::Gauge),
    with("bara", 1e5, Basis::Absolute),
];

const fn inches(name: &'static str, column: WaterColumn) -> Unit {
    with(name, column.pa_per_inch(), Basis::Column(column))
}

const fn millimetres(name: &'static str, column: WaterColumn) -> Unit {
    with(name, column.pa_per_mm(), Basis::Column(column))
}

const DIFFERENTIAL: &[Unit] = &[
    inches("inH2O(68 degF)", WaterColumn::At68DegF),
    inches("inH2O(60 degF)", WaterColumn::At60DegF),
    inches("inH2O(4 degC)", WaterColumn::At4DegC),
    inches("inH2O(conventional)", WaterColumn::Conventional),
    millimetres("mmH2O(68 degF)", WaterColumn::At68DegF),
    millimetres("mmH2O(60 degF)", WaterColumn::At60DegF),
    millimetres("mmH2O(4 degC)", WaterColumn::At4DegC),
    millimetres("mmH2O(conventional)", WaterColumn::Conventional),
    plain("kPa", 1e3),
    plain("Pa", 1.0),
    plain("MPa", 1e6),
    plain("mbar", 100.0),
    plain("psi", PSI_PA),
    plain("bar", 1e5),
];

const TEMPERATURE: &[Unit] = &[
    shifted("degC", 1.0, ICE_POINT_K),
    shifted("degF", 5.0 / 9.0, ICE_POINT_K - 32.0 * 5.0 / 9.0),
    plain("K", 1.0),
];

const TEMPERATURE_DIFFERENCE: &[Unit] = &[
    plain("K", 1.0),
    plain("delta degC", 1.0),
    plain("delta degF", 5.0 / 9.0),
];

const MASS_AND_VOLUME_FLOW: [Unit; 8] = [
    plain("kg/s", 1.0),
    plain("kg/h", 1.0 / 3600.0),
    plain("t/h", 1000.0 / 3600.0),
    plain("lb/h", POUND_KG / 3600.0),
    with("gpm(US)", GALLON_US_M3 / 60.0, Basis::VolumeFlow),
    with("gpm(imp)", GALLON_IMP_M3 / 60.0, Basis::VolumeFlow),
    with("m3/h", 1.0 / 3600.0, Basis::VolumeFlow),
    with("L/min", 1e-3 / 60.0, Basis::VolumeFlow),
];

const fn flow_with<const N: usize>(more: &[Unit]) -> [Unit; N] {
    let mut all = [MASS_AND_VOLUME_FLOW[0]; N];
    let mut index = 0;
    while index < N {
        all[index] = if index < MASS_AND_VOLUME_FLOW.len() {
            MASS_AND_VOLUME_FLOW[index]
        } else {
            more[index - MASS_AND_VOLUME_FLOW.len()]
        };
        index += 1;
    }
    all
}

const ACCURACY: &[Unit] = &{
    let mut all = [DIFFERENTIAL[0]; DIFFERENTIAL.len() + 1];
    let mut index = 0;
    while index < DIFFERENTIAL.len() {
        all[index] = DIFFERENTIAL[index];
        index += 1;
    }
    all[index] = with("mA", 1.0, Basis::Current);
    all
};

const FLOW: &[Unit] = &flow_with::<11>(&[
    with("bhp", BOILER_HORSEPOWER_W, Basis::Output),
    with("kW", 1e3, Basis::Output),
    with("MW", 1e6, Basis::Output),
]);

const BLOWDOWN: &[Unit] = &flow_with::<9>(&[with("%", 1.0, Basis::Share)]);

const TIME: &[Unit] = &[
    plain("s", 1.0),
    plain("ms", 1e-3),
    plain("min", 60.0),
    plain("h", 3600.0),
];

const INTERVAL: &[Unit] = &[
    plain("years", 1.0),
    plain("year", 1.0),
    plain("months", 1.0 / 12.0),
    plain("month", 1.0 / 12.0),
];

const RESET: &[Unit] = &[
    plain("s/repeat", 1.0),
    plain("min/repeat", 60.0),
    with("repeats/min", 1.0 / 60.0, Basis::Reciprocal),
    with("repeats/s", 1.0, Basis::Reciprocal),
];

const GAIN: &[Unit] = &[
    plain("%/%", 1.0),
    with("%", 1.0, Basis::BandPercent),
    with("mm", 1e-3, Basis::BandLevel),
    with("cm", 1e-2, Basis::BandLevel),
    with("m", 1.0, Basis::BandLevel),
    with("in", INCH_M, Basis::BandLevel),
    with("ft", FOOT_M, Basis::BandLevel),
];

impl Dimension {
    /// All of them.
    pub const ALL: [Dimension; 25] = [
        Dimension::Length,
        Dimension::Pressure,
        Dimension::DifferentialPressure,
        Dimension::Temperature,
        Dimension::TemperatureDifference,
        Dimension::Flow,
        Dimension::Blowdown,
        Dimension::Percent,
        Dimension::Time,
        Dimension::Interval,
        Dimension::Current,
        Dimension::Accuracy,
        Dimension::Angle,
        Dimension::Area,
        Dimension::Volume,
        Dimension::Force,
        Dimension::Torque,
        Dimension::Resistance,
        Dimension::Voltage,
        Dimension::ApparentPower,
        Dimension::FlowCoefficient,
        Dimension::Acceleration,
        Dimension::Density,
        Dimension::Reset,
        Dimension::Gain,
    ];

    /// The units it takes, the usual ones first.
    pub const fn units(self) -> &'static [Unit] {
        match self {
            Dimension::Length => LENGTH,
            Dimension::Pressure => PRESSURE,
            Dimension::DifferentialPressure => DIFFERENTIAL,
            Dimension::Temperature => TEMPERATURE,
            Dimension::TemperatureDifference => TEMPERATURE_DIFFERENCE,
            Dimension::Flow => FLOW,
            Dimension::Blowdown => BLOWDOWN,
            Dimension::Percent => const { &[plain("%", 1.0)] },
            Dimension::Time => TIME,
            Dimension::Interval => INTERVAL,
            Dimension::Current => const { &[plain("mA", 1.0), plain("A", 1e3)] },
            Dimension::Accuracy => ACCURACY,
            Dimension::Angle => const { &[plain("deg", 1.0)] },
            Dimension::Area => {
                const {
                    &[
                        plain("mm2", 1e-6),
                        plain("cm2", 1e-4),
                        plain("m2", 1.0),
                        plain("in2", INCH_M * INCH_M),
                        plain("ft2", FOOT_M * FOOT_M),
                    ]
                }
            }
            Dimension::Volume => {
                const {
                    &[
                        plain("m3", 1.0),
                        plain("L", 1e-3),
                        plain("gal(US)", GALLON_US_M3),
                        plain("gal(imp)", GALLON_IMP_M3),
                        plain("ft3", FOOT_M * FOOT_M * FOOT_M),
                    ]
                }
            }
            Dimension::Force => {
                const {
                    &[
                        plain("N", 1.0),
                        plain("kN", 1e3),
                        plain("lbf", POUND_FORCE_N),
                    ]
                }
            }
            Dimension::Torque => {
                const {
                    &[
                        plain("N m", 1.0),
                        plain("kN m", 1e3),
                        plain("lbf ft", POUND_FORCE_N * FOOT_M),
                        plain("lbf in", POUND_FORCE_N * INCH_M),
                    ]
                }
            }
            Dimension::Resistance => const { &[plain("ohm", 1.0), plain("kohm", 1e3)] },
            Dimension::Voltage => const { &[plain("V", 1.0), plain("mV", 1e-3)] },
            Dimension::ApparentPower => {
                const {
                    &[
                        plain("VA", 1.0),
                        plain("kVA", 1e3),
                        with("W", 1.0, Basis::RealPower),
                        with("kW", 1e3, Basis::RealPower),
                    ]
                }
            }
            // 1 Cv = 0.865 Kv: IEC 60534-1, N1.
            Dimension::FlowCoefficient => const { &[plain("Kv", 1.0), plain("Cv", 0.865)] },
            Dimension::Acceleration => const { &[plain("m/s2", 1.0), plain("ft/s2", FOOT_M)] },
            Dimension::Density => {
                const {
                    &[
                        plain("kg/m3", 1.0),
                        plain("g/cm3", 1e3),
                        plain("lb/ft3", POUND_KG / (FOOT_M * FOOT_M * FOOT_M)),
                    ]
                }
            }
            Dimension::Reset => RESET,
            Dimension::Gain => GAIN,
        }
    }

    /// What it is in words, with its article.
    pub const fn words(self) -> &'static str {
        match self {
            Dimension::Length => "a length",
            Dimension::Pressure => "a pressure, gauge or absolute",
            Dimension::DifferentialPressure => "a differential pressure",
            Dimension::Temperature => "a temperature",
            Dimension::TemperatureDifference => "a temperature difference",
            Dimension::Flow => "a flow",
            Dimension::Blowdown => "a flow or a percentage of the flow out",
            Dimension::Percent => "a percentage",
            Dimension::Time => "a time",
            Dimension::Interval => "a time between calibrations",
            Dimension::Current => "a current",
            Dimension::Accuracy => "a pressure or a current",
            Dimension::Angle => "an angle",
            Dimension::Area => "an area",
            Dimension::Volume => "a volume",
            Dimension::Force => "a force",
            Dimension::Torque => "a torque",
            Dimension::Resistance => "a resistance",
            Dimension::Voltage => "a voltage",
            Dimension::ApparentPower => "an apparent or real power",
            Dimension::FlowCoefficient => "a flow coefficient",
            Dimension::Acceleration => "an acceleration",
            Dimension::Density => "a density",
            Dimension::Reset => "a reset",
            Dimension::Gain => "a gain or a proportional band",
        }
    }
}
