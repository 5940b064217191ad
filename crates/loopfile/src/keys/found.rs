//! Keys of what was found in the loop and of what was measured on the plant.

use super::{DIFFERENTIAL, DURATION, Kind, Need, Section, Sign, entry};
use crate::quantity_text::Dimension;
use Need::{Default, Optional, Required, When};

pub(super) const AS_FOUND: Section = Section {
    name: "as-found",
    repeated: false,
    required: false,
    doc: "What was found set, if it was read.",
    keys: &[
        entry(
            "as-found.range-low",
            DIFFERENTIAL,
            Optional,
            "-30 inH2O(68 degF)",
            "-7.5 kPa",
            "Signed differential at 0 % (4 mA); give both ends",
        ),
        entry(
            "as-found.range-high",
            DIFFERENTIAL,
            Optional,
            "0 inH2O(68 degF)",
            "0 kPa",
            "Signed differential at 100 % (20 mA)",
        ),
        entry(
            "as-found.gain",
            Kind::Quantity(Dimension::Gain, Sign::Positive),
            Optional,
            "25 %",
            "25 %",
            "Gain as %/%, or proportional band as % of span or as a level",
        ),
        entry(
            "as-found.reset",
            Kind::QuantityOrNone(Dimension::Reset, Sign::Positive),
            When("a gain was found"),
            "80 s/repeat",
            "80 s/repeat",
            "Reset; none for no integral action",
        ),
        entry(
            "as-found.derivative",
            DURATION,
            Default("0 s"),
            "0 s",
            "0 s",
            "Derivative",
        ),
    ],
};

pub(super) const MEASURED: Section = Section {
    name: "measured",
    repeated: false,
    required: false,
    doc: "Process measured on the plant by a test; `halfglass tune --accept` writes it. The tuning sheet takes it instead of what it computes.",
    keys: &[
        entry(
            "measured.test",
            Kind::Word(&["bump", "relay"]),
            Required,
            "bump",
            "bump",
            "How: the output stepped in manual (`bump`), or going to and fro between two values (`relay`)",
        ),
        entry(
            "measured.date",
            Kind::Text,
            Required,
            "2026-11-27",
            "2026-11-27",
            "Date of the test",
        ),
        entry(
            "measured.duty",
            Kind::Text,
            Required,
            "maximum",
            "maximum",
            "Name of the duty point at which it was made",
        ),
        entry(
            "measured.span-time",
            Kind::Quantity(Dimension::Time, Sign::Positive),
            Required,
            "24 min",
            "24 min",
            "Time in which the panel passes its whole span with the output 100 % off balance; its inverse is the process gain",
        ),
        entry(
            "measured.dead-time",
            DURATION,
            Required,
            "35 s",
            "35 s",
            "Dead time of the record, swell included",
        ),
    ],
};
