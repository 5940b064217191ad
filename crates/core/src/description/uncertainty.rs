//! What is known about how wrong each input of the measurement may be.

/// An input with an uncertainty of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum UncertaintySource {
    /// Cell's reference accuracy, percent of span.
    ReferenceAccuracy,
    /// Ambient effect on zero, percent of upper range limit per K.
    AmbientZero,
    /// Ambient effect on span, percent of reading per K.
    AmbientSpan,
    /// Static-pressure effect on zero, percent of upper range limit per Pa.
    StaticZero,
    /// Static-pressure effect on span, percent of reading per Pa.
    StaticSpan,
    /// Drift, percent of upper range limit per year.
    Drift,
    /// Calibrator, Pa.
    Calibrator,
    /// Pot lip above the lower tap, or upper seal, m.
    LegHeight,
    /// Reference-leg temperature, K.
    LegTemperature,
    /// Working-leg temperature below the tap, K.
    WorkingLegTemperature,
    /// Vessel pressure, Pa: how far the pressure may stand from the one the range was made for.
    VesselPressure,
    /// Temperature of the stored water where it is not at saturation (vented tank), K.
    WaterTemperature,
    /// Receiver's analogue-to-digital conversion, percent of its span.
    Receiver,
    /// Glass water temperature, K.
    GlassTemperature,
    /// Glass lower connection, m.
    GlassConnection,
    /// Reading of the glass by eye, m.
    GlassReading,
}

/// Distribution of a type B input.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Distribution {
    /// Anywhere within the limits alike: u = a/√3.
    Rectangular,
    /// Likelier near the middle: u = a/√6.
    Triangular,
    /// Swings between the limits: u = a/√2.
    Arcsine,
    /// A certificate's U with k = 2: u = U/2.
    NormalK2,
    /// One standard deviation.
    NormalK1,
    /// A maker's limit at three standard deviations: u = a/3.
    NormalK3,
}

/// One input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UncertainInput {
    /// Which.
    pub source: UncertaintySource,
    /// Half width a (or U, or s) in the unit that `source` names.
    pub half_width: f64,
    /// Its distribution.
    pub distribution: Distribution,
    /// Is it a default that nobody surveyed.
    pub assumed: bool,
}

/// All of them.
#[derive(Debug, Clone, PartialEq)]
pub struct UncertaintySurvey {
    /// Inputs, each source at most once; those that do not apply to the loop are absent.
    pub inputs: Vec<UncertainInput>,
    /// Time between calibrations, years.
    pub calibration_interval_years: f64,
    /// Swing of ambient temperature around that at calibration, K.
    pub ambient_swing_k: f64,
    /// Was the zero trimmed at working pressure: the static zero effect is then gone.
    pub zeroed_at_pressure: bool,
    /// Correlation of the two legs' temperatures, −1 to 1; legs routed and insulated alike: near 1.
    pub leg_correlation: f64,
    /// Repeated readings of the equalised zero, mA (type A), may be empty.
    pub zero_readings_ma: Vec<f64>,
}
