//! Keys of the uncertainty: how wrong each input of the measurement may be.

use super::{DIFFERENCE, DROP, Kind, Need, PERCENT, SIZE, Section, Sign, entry};
use crate::quantity_text::Dimension;
use Need::{Default, Optional};

pub(super) const UNCERTAINTY: Section = Section {
    name: "uncertainty",
    repeated: false,
    required: false,
    doc: "How wrong each input of the measurement may be: half widths. Accuracy and drift of the cell stand in [cell].",
    keys: &[
        entry(
            "uncertainty.ambient-zero",
            PERCENT,
            Default("0.1 % for each 28 K"),
            "0.1 %",
            "0.1 %",
            "Ambient effect on the cell's zero, percent of the upper range limit, for the step below",
        ),
        entry(
            "uncertainty.ambient-span",
            PERCENT,
            Default("0.1 % for each 28 K"),
            "0.1 %",
            "0.1 %",
            "Ambient effect on the cell's span, percent of reading, for the step below",
        ),
        entry(
            "uncertainty.ambient-step",
            Kind::Quantity(Dimension::TemperatureDifference, Sign::Positive),
            Optional,
            "28 K",
            "28 K",
            "Change of ambient temperature for which the two are stated; needed with either",
        ),
        entry(
            "uncertainty.static-zero",
            PERCENT,
            Default("0.1 % for each 7 MPa; closed vessels only"),
            "0.1 %",
            "0.1 %",
            "Static-pressure effect on the cell's zero, percent of the upper range limit, for the step below",
        ),
        entry(
            "uncertainty.static-span",
            PERCENT,
            Default("0.1 % for each 7 MPa; closed vessels only"),
            "0.1 %",
            "0.1 %",
            "Static-pressure effect on the cell's span, percent of reading, for the step below",
        ),
        entry(
            "uncertainty.static-step",
            DROP,
            Optional,
            "1000 psi",
            "7 MPa",
            "Static pressure for which the two are stated; needed with either",
        ),
        entry(
            "uncertainty.calibrator",
            DROP,
            Default("0.025 % of the cell's upper range limit"),
            "0.04 inH2O(68 degF)",
            "10 Pa",
            "Calibrator",
        ),
        entry(
            "uncertainty.leg-height",
            SIZE,
            Default("5 mm (0.2 in)"),
            "0.2 in",
            "5 mm",
            "Pot lip above the lower tap, or upper seal above the lower one",
        ),
        entry(
            "uncertainty.leg-temperature",
            DIFFERENCE,
            Default("half the band of leg temperatures, or 15 K"),
            "10 K",
            "10 K",
            "Temperature of the reference leg",
        ),
        entry(
            "uncertainty.working-leg-temperature",
            DIFFERENCE,
            Default("as the reference leg, or 15 K"),
            "10 K",
            "10 K",
            "Temperature of the working leg below the tap",
        ),
        entry(
            "uncertainty.vessel-pressure",
            DROP,
            Default("the farther of lowest and highest pressure from normal; closed vessels only"),
            "15 psi",
            "1 bar",
            "How far the pressure may stand from normal",
        ),
        entry(
            "uncertainty.water-temperature",
            DIFFERENCE,
            Default("5 K; vented tanks only"),
            "5 K",
            "5 K",
            "Temperature of the stored water",
        ),
        entry(
            "uncertainty.receiver",
            PERCENT,
            Default("0.1 %"),
            "0.1 %",
            "0.1 %",
            "The controller's input, percent of its span",
        ),
        entry(
            "uncertainty.glass-temperature",
            DIFFERENCE,
            Default("15 K; with a glass"),
            "15 K",
            "15 K",
            "Temperature of the water in the glass",
        ),
        entry(
            "uncertainty.glass-connection",
            SIZE,
            Default("3 mm (0.12 in); with a glass"),
            "0.12 in",
            "3 mm",
            "Lower connection of the glass",
        ),
        entry(
            "uncertainty.glass-reading",
            SIZE,
            Default("3 mm (0.12 in); with a glass"),
            "0.12 in",
            "3 mm",
            "Reading of the glass by eye",
        ),
        entry(
            "uncertainty.calibration-interval",
            Kind::Quantity(Dimension::Interval, Sign::Positive),
            Default("1 year"),
            "1 year",
            "1 year",
            "Time between two calibrations",
        ),
        entry(
            "uncertainty.ambient-swing",
            DIFFERENCE,
            Default("half the way from lowest to highest ambient"),
            "15 K",
            "15 K",
            "Swing of the temperature around the cell about that at calibration",
        ),
        entry(
            "uncertainty.zeroed-at-pressure",
            Kind::Bool,
            Default("false, as if it was not"),
            "true",
            "true",
            "Was the zero trimmed with both ports equalised at working pressure",
        ),
        entry(
            "uncertainty.leg-correlation",
            Kind::Ratio,
            Default("0: nothing is known of how the legs warm together"),
            "0.8",
            "0.8",
            "How far the two legs warm together, 0 to 1; routed and insulated alike: near 1",
        ),
        entry(
            "uncertainty.zero-readings",
            Kind::Quantities(Dimension::Current, Sign::NotNegative),
            Optional,
            "12.003 mA, 11.998 mA, 12.001 mA",
            "12.003 mA, 11.998 mA, 12.001 mA",
            "Repeated readings of the equalised zero",
        ),
    ],
};

const DISTRIBUTIONS: Kind = Kind::Word(&[
    "rectangular",
    "triangular",
    "arcsine",
    "normal-k1",
    "normal-k2",
    "normal-k3",
]);

const fn shape(path: &'static str, usual: &'static str, doc: &'static str) -> super::Key {
    entry(path, DISTRIBUTIONS, Default(usual), usual, usual, doc)
}

pub(super) const DISTRIBUTION: Section = Section {
    name: "uncertainty.distribution",
    repeated: false,
    required: false,
    doc: "How each of them is distributed. rectangular: alike within its limits; triangular: likelier near the middle; arcsine: swings between them; normal-k2: a certificate's U with k = 2.",
    keys: &[
        shape(
            "uncertainty.distribution.reference-accuracy",
            "rectangular",
            "Of the cell's reference accuracy",
        ),
        shape(
            "uncertainty.distribution.ambient-zero",
            "rectangular",
            "Of the ambient effect on zero",
        ),
        shape(
            "uncertainty.distribution.ambient-span",
            "rectangular",
            "Of the ambient effect on span",
        ),
        shape(
            "uncertainty.distribution.static-zero",
            "rectangular",
            "Of the static-pressure effect on zero",
        ),
        shape(
            "uncertainty.distribution.static-span",
            "rectangular",
            "Of the static-pressure effect on span",
        ),
        shape(
            "uncertainty.distribution.drift",
            "rectangular",
            "Of the cell's drift",
        ),
        shape(
            "uncertainty.distribution.calibrator",
            "normal-k2",
            "Of the calibrator",
        ),
        shape(
            "uncertainty.distribution.leg-height",
            "rectangular",
            "Of the height of pot lip or upper seal",
        ),
        shape(
            "uncertainty.distribution.leg-temperature",
            "rectangular",
            "Of the reference leg's temperature",
        ),
        shape(
            "uncertainty.distribution.working-leg-temperature",
            "rectangular",
            "Of the working leg's temperature",
        ),
        shape(
            "uncertainty.distribution.vessel-pressure",
            "rectangular",
            "Of the vessel's pressure",
        ),
        shape(
            "uncertainty.distribution.water-temperature",
            "rectangular",
            "Of the stored water's temperature",
        ),
        shape(
            "uncertainty.distribution.receiver",
            "rectangular",
            "Of the controller's input",
        ),
        shape(
            "uncertainty.distribution.glass-temperature",
            "rectangular",
            "Of the temperature in the glass",
        ),
        shape(
            "uncertainty.distribution.glass-connection",
            "rectangular",
            "Of the glass's lower connection",
        ),
        shape(
            "uncertainty.distribution.glass-reading",
            "triangular",
            "Of the reading by eye",
        ),
    ],
};
