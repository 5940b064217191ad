//! The trade's words for the choices of a loop, the same on every sheet.

use halfglass_core::controller::action::Action;
use halfglass_core::controller::forms::PidForm;
use halfglass_core::description::feed_system::{Characteristic, LeakageClass, ValveStyle};
use halfglass_core::description::uncertainty::{Distribution, UncertaintySource};
use halfglass_core::description::{
    FailPosition, InputFault, Loop, Polarity, RangeMethod, ReferenceLeg, Reversal, UnitSystem,
    ValveService, VesselKind,
};
use halfglass_core::measurement::sheets::{Port, Range};
use halfglass_core::protection::sheets::Outcome;
use halfglass_core::vessel::{HeadKind, Orientation};

use crate::units::{DisplayUnits, number};

/// Words of the core as printed: the minus sign that this crate's numbers carry, none at a rounded zero; names that the
/// core sets between back-ticks stand between quotation marks.
pub fn as_printed(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    let mut before = ' ';
    let mut is_in_name = false;
    let mut characters = words.chars().peekable();
    while let Some(character) = characters.next() {
        let is_minus = character == '-'
            && (before.is_whitespace() || matches!(before, '(' | '[' | 'e'))
            && characters.peek().is_some_and(char::is_ascii_digit);
        let is_zero = is_minus && before != 'e' && starts_with_zero(characters.clone());
        if character == '`' {
            text.push(if is_in_name { '\u{201d}' } else { '\u{201c}' });
            is_in_name = !is_in_name;
        } else if !is_zero {
            text.push(if is_minus { '\u{2212}' } else { character });
        }
        before = character;
    }
    text
}

/// True for `0.0 %`, not for `0.01`.
fn starts_with_zero(characters: impl Iterator<Item = char>) -> bool {
    characters
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | 'e'))
        .all(|c| matches!(c, '0' | '.'))
}

/// Polarity in a few words.
pub(crate) const fn polarity(polarity: Polarity) -> &'static str {
    match polarity {
        Polarity::BottomOnHigh => "bottom on high",
        Polarity::WetLegOnHigh => "wet leg on high",
    }
}

/// Polarity of this loop with what it does to the differential, printed on every measurement sheet.
pub(crate) fn polarity_sentence(described: &Loop, range: Range, units: &DisplayUnits) -> String {
    let leg = reference_side(&described.reference_leg);
    let ports = match described.cell.polarity {
        Polarity::BottomOnHigh => {
            format!(
                "bottom on high: the working leg from the lower tap is on the HIGH port, {leg} on the LOW port"
            )
        }
        Polarity::WetLegOnHigh => {
            format!(
                "wet leg on high: {leg} is on the HIGH port, the working leg from the lower tap on the LOW port"
            )
        }
    };
    let direction = if range.urv_pa > range.lrv_pa {
        "rises"
    } else {
        "falls"
    };
    format!(
        "Polarity of this loop: {ports}. The differential (high port minus low port) {direction} as the level rises, \
         from {} with the panel at 0 % to {} at 100 %. Signal reversal: {}.",
        units.differential_text(range.lrv_pa),
        units.differential_text(range.urv_pa),
        reversal(described.cell.reversal),
    )
}

/// Polarity of this loop in one short sentence.
pub(crate) fn polarity_in_short(described: &Loop) -> String {
    let polarity = polarity(described.cell.polarity);
    let port = match described.cell.polarity {
        Polarity::BottomOnHigh => "HIGH",
        Polarity::WetLegOnHigh => "LOW",
    };
    format!(
        "Polarity of this loop: {polarity}, the working leg from the lower tap on the {port} port. Signal reversal: {}.",
        reversal(described.cell.reversal)
    )
}

/// What stands on the reference port.
pub(crate) const fn reference_side(leg: &ReferenceLeg) -> &'static str {
    match leg {
        ReferenceLeg::Wet { .. } => "the wet reference leg",
        ReferenceLeg::Dry { .. } => "the dry reference leg",
        ReferenceLeg::None => "the open air",
        ReferenceLeg::Sealed { .. } => "the upper seal's capillary",
    }
}

/// Where the signal is reversed.
pub(crate) const fn reversal(reversal: Reversal) -> &'static str {
    match reversal {
        Reversal::Nowhere => "none",
        Reversal::InCell => "once, in the cell",
        Reversal::InController => "once, in the controller's input",
    }
}

/// Where the signal is reversed, as a word without spaces.
pub(crate) const fn reversal_word(reversal: Reversal) -> &'static str {
    match reversal {
        Reversal::Nowhere => "nowhere",
        Reversal::InCell => "in-cell",
        Reversal::InController => "in-controller",
    }
}

/// Kind of vessel.
pub const fn vessel_kind(kind: VesselKind) -> &'static str {
    match kind {
        VesselKind::ShellBoiler => "shell boiler (fire-tube)",
        VesselKind::DrumBoiler => "drum boiler (water-tube)",
        VesselKind::Deaerator => "deaerator",
        VesselKind::VentedTank => "vented tank",
    }
}

/// How the axis runs.
pub(crate) const fn orientation(orientation: Orientation) -> &'static str {
    match orientation {
        Orientation::Horizontal => "horizontal",
        Orientation::Vertical => "vertical",
    }
}

/// Shape of a head.
pub(crate) fn head(head: HeadKind) -> String {
    match head {
        HeadKind::Flat => "flat".into(),
        HeadKind::Torispherical {
            crown_ratio,
            knuckle_ratio,
        } => format!(
            "torispherical, crown {} D, knuckle {} D",
            number(crown_ratio, 2),
            number(knuckle_ratio, 2)
        ),
        HeadKind::Ellipsoidal2To1 => "2:1 ellipsoidal".into(),
        HeadKind::Hemispherical => "hemispherical".into(),
        HeadKind::Ellipsoidal { depth_ratio } => {
            format!("ellipsoidal, {} D deep", number(depth_ratio, 3))
        }
        HeadKind::Conical { depth_ratio } => {
            format!("conical, {} D deep", number(depth_ratio, 3))
        }
        HeadKind::SphericalCap { depth_ratio } => {
            format!("spherical cap, {} D deep", number(depth_ratio, 3))
        }
        other => format!("{other:?}"),
    }
}

/// How the range was chosen.
pub(crate) fn range_method(method: RangeMethod, kind: VesselKind) -> String {
    match method {
        RangeMethod::Normal => format!("exact at {} (the hot range)", kind.normal_state()),
        RangeMethod::Best => "least worst error over the band (the best range)".to_owned(),
    }
}

/// The leg whose temperature a table gives: without a reference leg it is the working leg's.
pub const fn leg_of_temperature(leg: &ReferenceLeg) -> &'static str {
    match leg {
        ReferenceLeg::None => "working leg",
        _ => "reference leg",
    }
}

/// Port to push on.
pub(crate) const fn port(port: Port) -> &'static str {
    match port {
        Port::High => "high",
        Port::Low => "low",
    }
}

/// Form of the algorithm.
pub(crate) const fn form(form: PidForm) -> &'static str {
    match form {
        PidForm::Ideal => "ideal",
        PidForm::Series => "series",
        PidForm::Parallel => "parallel",
    }
}

/// Action.
pub(crate) const fn action(action: Action) -> &'static str {
    match action {
        Action::Reverse => "reverse",
        Action::Direct => "direct",
    }
}

/// Where a valve goes.
pub(crate) const fn fail_position(position: FailPosition) -> &'static str {
    match position {
        FailPosition::Last => "stays where it is",
        FailPosition::Open => "opens",
        FailPosition::Closed => "closes",
    }
}

/// What opening the valve does.
pub(crate) const fn valve_service(service: ValveService) -> &'static str {
    match service {
        ValveService::Inflow => "inflow (opening raises the level)",
        ValveService::Outflow => "outflow (opening lowers the level)",
    }
}

/// What the controller does on an input fault.
pub(crate) const fn input_fault(fault: InputFault) -> &'static str {
    match fault {
        InputFault::NotDetected => "not detected: taken as a level like any other",
        InputFault::HoldOutput => "holds its output",
        InputFault::OutputLow => "drives its output to 0 %",
        InputFault::OutputHigh => "drives its output to 100 %",
    }
}

/// Where the water goes.
pub(crate) const fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Starves => "starves",
        Outcome::Floods => "floods",
        Outcome::Drifts => "drifts with the load",
    }
}

/// Units in words.
pub(crate) const fn unit_system(system: UnitSystem) -> &'static str {
    match system {
        UnitSystem::Us => "US: in, psi, degF, lb",
        UnitSystem::Si => "SI: mm, bar, degC, kg",
    }
}

/// Style of a valve.
pub(crate) const fn valve_style(style: ValveStyle) -> &'static str {
    match style {
        ValveStyle::GlobeVPort => "globe, V-ported plug",
        ValveStyle::GlobeContouredOpen => "globe, contoured plug, flow to open",
        ValveStyle::GlobeContouredClose => "globe, contoured plug, flow to close",
        ValveStyle::GlobeCage => "globe, characterised cage",
        ValveStyle::GlobeDrilledCage60 => "globe, drilled cage of 60 holes",
        ValveStyle::GlobeDrilledCage120 => "globe, drilled cage of 120 holes",
        ValveStyle::GlobeDoublePort => "globe, double-ported",
        ValveStyle::AngleContouredOpen => "angle, contoured plug, flow to open",
        ValveStyle::SmallFlowVNotch => "small-flow globe, V-notch",
        ValveStyle::SmallFlowNeedle => "small-flow globe, tapered needle",
        ValveStyle::EccentricPlugOpen => "eccentric rotary plug, flow to open",
        ValveStyle::SegmentedBall => "segmented ball",
        ValveStyle::FullBoreBall => "full-bore ball",
        ValveStyle::ButterflyCentred => "butterfly, centred shaft",
        ValveStyle::ButterflyEccentric => "butterfly, eccentric shaft",
    }
}

/// Inherent characteristic.
pub(crate) fn characteristic(characteristic: &Characteristic) -> String {
    let with = |name: &str, rangeability: f64| {
        format!("{name}, rangeability {} : 1", number(rangeability, 0))
    };
    match characteristic {
        Characteristic::Linear { rangeability } => with("linear", *rangeability),
        Characteristic::EqualPercentage { rangeability } => with("equal percentage", *rangeability),
        Characteristic::QuickOpening { rangeability } => with("quick opening", *rangeability),
        Characteristic::Table(points) => format!("table of {} points", points.len()),
    }
}

/// Seat leakage class.
pub(crate) const fn leakage_class(class: LeakageClass) -> &'static str {
    match class {
        LeakageClass::II => "II",
        LeakageClass::III => "III",
        LeakageClass::IV => "IV",
        LeakageClass::V => "V",
        LeakageClass::VI => "VI",
    }
}

/// Distribution of an input.
pub(crate) const fn distribution(distribution: Distribution) -> &'static str {
    match distribution {
        Distribution::Rectangular => "rectangular",
        Distribution::Triangular => "triangular",
        Distribution::Arcsine => "arcsine",
        Distribution::NormalK2 => "normal, k = 2",
        Distribution::NormalK1 => "normal, k = 1",
        Distribution::NormalK3 => "normal, k = 3",
    }
}

/// An uncertain input.
pub(crate) const fn uncertainty_source(source: UncertaintySource) -> &'static str {
    match source {
        UncertaintySource::ReferenceAccuracy => "reference accuracy",
        UncertaintySource::AmbientZero => "ambient effect on zero",
        UncertaintySource::AmbientSpan => "ambient effect on span",
        UncertaintySource::StaticZero => "static-pressure effect on zero",
        UncertaintySource::StaticSpan => "static-pressure effect on span",
        UncertaintySource::Drift => "drift",
        UncertaintySource::Calibrator => "calibrator",
        UncertaintySource::LegHeight => "height of the leg",
        UncertaintySource::LegTemperature => "reference-leg temperature",
        UncertaintySource::WorkingLegTemperature => "working-leg temperature",
        UncertaintySource::VesselPressure => "vessel pressure",
        UncertaintySource::WaterTemperature => "stored water temperature",
        UncertaintySource::Receiver => "receiver",
        UncertaintySource::GlassTemperature => "glass water temperature",
        UncertaintySource::GlassConnection => "glass connection",
        UncertaintySource::GlassReading => "glass reading",
    }
}

/// Yes or no.
pub(crate) const fn yes_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

#[cfg(test)]
mod tests {
    use super::as_printed;

    #[test]
    fn regression_words_as_printed() {
        for (words, expect) in [
            ("wants -7.9 % of span", "wants \u{2212}7.9 % of span"),
            ("-3 to 5 (-2)", "\u{2212}3 to 5 (\u{2212}2)"),
            ("-0.0 % and -0.01", "0.0 % and \u{2212}0.01"),
            (
                "10 % open at `low fire`: -2 at `a-1`",
                "10 % open at \u{201c}low fire\u{201d}: \u{2212}2 at \u{201c}a-1\u{201d}",
            ),
            ("Ki 2.132e-2 1/s", "Ki 2.132e\u{2212}2 1/s"),
            (
                "low-water cutoff, 2031-01, R7-97",
                "low-water cutoff, 2031-01, R7-97",
            ),
        ] {
            assert_eq!(as_printed(words), expect);
        }
    }

    #[test]
    fn property_no_sheet_prints_a_back_tick() {
        use crate::units::DisplayUnits;
        for (described, sheets) in &crate::fixture::all() {
            let units = DisplayUnits::of(described);
            for section in crate::sections::sections(described, sheets, &units) {
                for block in &section.blocks {
                    let text = format!("{block:?}");
                    assert!(!text.contains('`'), "{}: {text}", section.id);
                }
            }
        }
    }
}
