//! Keys of the control: duty points, feedwater valve, controller, limits, what was found, people and instruments.

use super::{
    DURATION, FLOW, Kind, LENGTH, Need, PRESSURE, SHARE, SIZE, Section, Sign, TEMPERATURE, entry,
};
use crate::quantity_text::Dimension;
use Need::{Default, Optional, Required, When};

pub(super) const DUTY: Section = Section {
    name: "duty",
    repeated: true,
    required: true,
    doc: "A duty point; one at least, the largest flow among them. Usual names: maximum, normal, low fire.",
    keys: &[
        entry(
            "duty.name",
            Kind::Text,
            Required,
            "maximum",
            "maximum",
            "Name of the duty point",
        ),
        entry(
            "duty.outflow",
            FLOW,
            Required,
            "13800 lb/h",
            "6.3 t/h",
            "What leaves: steam of a boiler (flow, bhp or kW), water of a deaerator or tank",
        ),
        entry(
            "duty.blowdown",
            Kind::Quantity(Dimension::Blowdown, Sign::NotNegative),
            Default("none"),
            "4 %",
            "4 %",
            "Blowdown, as a flow or in percent of the outflow",
        ),
        entry(
            "duty.feed-temperature",
            TEMPERATURE,
            Required,
            "220 degF",
            "103 degC",
            "Temperature of the water that comes in",
        ),
        entry(
            "duty.pressure",
            PRESSURE,
            Default("the normal pressure"),
            "125 psi(g)",
            "8.6 bar(g)",
            "Pressure in the vessel at this duty",
        ),
    ],
};

pub(super) const FEEDWATER: Section = Section {
    name: "feedwater",
    repeated: false,
    required: true,
    doc: "The valve that the controller moves.",
    keys: &[
        entry(
            "feedwater.valve",
            Kind::Word(&["fills", "drains"]),
            Default("fills"),
            "fills",
            "fills",
            "Does opening the valve fill or drain the vessel",
        ),
        entry(
            "feedwater.rising-output",
            Kind::Word(&["opens", "closes"]),
            Required,
            "opens",
            "opens",
            "What a rising controller output does to the valve",
        ),
        entry(
            "feedwater.full-valve-flow",
            FLOW,
            Default("1.25 times the largest duty's feed flow"),
            "18000 lb/h",
            "8.2 t/h",
            "Flow with the valve fully open; a volume flow is converted at the feed temperature",
        ),
        entry(
            "feedwater.stroke-time",
            Kind::Quantity(Dimension::Time, Sign::Positive),
            Default("60 s"),
            "45 s",
            "45 s",
            "Time for a full stroke",
        ),
        entry(
            "feedwater.deadband",
            SHARE,
            Default("1 %"),
            "1 %",
            "1 %",
            "Deadband of actuator and valve, percent of travel",
        ),
        entry(
            "feedwater.resolution",
            SHARE,
            Default("0.5 %"),
            "0.5 %",
            "0.5 %",
            "Smallest move it makes, percent of travel",
        ),
        entry(
            "feedwater.swell-time",
            DURATION,
            Default(
                "shell boiler: computed from its volumes and duties; drum 15 s, deaerator 5 s, tank 0 s",
            ),
            "20 s",
            "20 s",
            "Swell: time for which the level first moves the wrong way after a change of feed",
        ),
        entry(
            "feedwater.on-signal-loss",
            Kind::Word(&["last", "open", "closed"]),
            Required,
            "last",
            "last",
            "Where the valve goes when it loses the control signal",
        ),
        entry(
            "feedwater.on-power-loss",
            Kind::Word(&["last", "open", "closed"]),
            Required,
            "last",
            "last",
            "Where the valve goes when its actuator loses power or air",
        ),
    ],
};

pub(super) const CONTROLLER: Section = Section {
    name: "controller",
    repeated: false,
    required: true,
    doc: "The controller and the units in which it takes its settings.",
    keys: &[
        entry(
            "controller.form",
            Kind::Word(&["ideal", "series", "parallel"]),
            Required,
            "ideal",
            "ideal",
            "Form of its algorithm; its manual says so",
        ),
        entry(
            "controller.gain-unit",
            Kind::Word(&[
                "gain",
                "proportional-band-percent",
                "proportional-band-level",
            ]),
            Required,
            "proportional-band-percent",
            "proportional-band-percent",
            "How it takes gain: %/%, band in percent of span, or band in level units",
        ),
        entry(
            "controller.reset-unit",
            Kind::Word(&["s/repeat", "min/repeat", "repeats/min", "repeats/s"]),
            Required,
            "s/repeat",
            "s/repeat",
            "How it takes reset",
        ),
        entry(
            "controller.derivative-unit",
            Kind::Word(&["s", "min"]),
            Default("s"),
            "s",
            "s",
            "How it takes derivative",
        ),
        entry(
            "controller.sample-time",
            Kind::Quantity(Dimension::Time, Sign::Positive),
            Default("0.5 s"),
            "0.5 s",
            "0.5 s",
            "Time between two samples",
        ),
        entry(
            "controller.filter",
            DURATION,
            Default("0 s"),
            "1 s",
            "1 s",
            "Input filter, first-order time",
        ),
        entry(
            "controller.linearisation-points",
            Kind::Integer(2, 100),
            Default("10"),
            "10",
            "10",
            "Points of its linearisation table",
        ),
        entry(
            "controller.input-fault",
            Kind::Word(&["not-detected", "hold-output", "output-low", "output-high"]),
            Default("not-detected"),
            "not-detected",
            "not-detected",
            "What it does when its input is out of range",
        ),
    ],
};

const fn mark(path: &'static str, doc: &'static str) -> super::Key {
    entry(
        path,
        Kind::Text,
        Optional,
        "as marked on the device",
        "as marked on the device",
        doc,
    )
}

pub(super) const DEVICE_MARKS: Section = Section {
    name: "controller.device-marks",
    repeated: false,
    required: false,
    doc: "The device's own marks, copied by you from the device, printed beside the trade's words.",
    keys: &[
        mark(
            "controller.device-marks.gain",
            "Its mark for gain or proportional band",
        ),
        mark("controller.device-marks.reset", "Its mark for reset"),
        mark(
            "controller.device-marks.derivative",
            "Its mark for derivative",
        ),
        mark("controller.device-marks.action", "Its mark for the action"),
        mark(
            "controller.device-marks.set-point",
            "Its mark for the set point",
        ),
        mark(
            "controller.device-marks.filter",
            "Its mark for the input filter",
        ),
        mark(
            "controller.device-marks.input-low",
            "Its mark for the input at 0 %",
        ),
        mark(
            "controller.device-marks.input-high",
            "Its mark for the input at 100 %",
        ),
        mark(
            "controller.device-marks.low-alarm",
            "Its mark for the low alarm",
        ),
        mark(
            "controller.device-marks.high-alarm",
            "Its mark for the high alarm",
        ),
    ],
};

pub(super) const LIMITS: Section = Section {
    name: "limits",
    repeated: false,
    required: true,
    doc: "Set point, alarms and trips, true levels above the LOWER tap; and what is wanted of the control.",
    keys: &[
        entry(
            "limits.set-point",
            LENGTH,
            Required,
            "15 in",
            "380 mm",
            "Set point",
        ),
        entry(
            "limits.low-alarm",
            LENGTH,
            Optional,
            "11 in",
            "280 mm",
            "Low alarm",
        ),
        entry(
            "limits.high-alarm",
            LENGTH,
            Optional,
            "20 in",
            "510 mm",
            "High alarm",
        ),
        entry(
            "limits.low-cutoff",
            LENGTH,
            When("the vessel is fired"),
            "8 in",
            "205 mm",
            "First low-water cutoff; never defaulted",
        ),
        entry(
            "limits.second-low-cutoff",
            LENGTH,
            When("the vessel is fired"),
            "6 in",
            "155 mm",
            "Second, independent low-water cutoff; never defaulted",
        ),
        entry(
            "limits.high-trip",
            LENGTH,
            Optional,
            "24 in",
            "610 mm",
            "High-level trip",
        ),
        entry(
            "limits.allowed-deviation",
            SIZE,
            Default(
                "half the way from the set point to the nearest alarm or cutoff, else 5 % of span",
            ),
            "2 in",
            "50 mm",
            "Deviation of true level allowed at the largest load change",
        ),
        entry(
            "limits.largest-load-change",
            Kind::Quantity(Dimension::Percent, Sign::Share),
            Default("30 % of the largest outflow"),
            "30 %",
            "30 %",
            "Largest load change, percent of the largest outflow",
        ),
        entry(
            "limits.smallest-separation",
            SIZE,
            Default("25 mm (1 in)"),
            "1 in",
            "25 mm",
            "Smallest distance wanted between two neighbouring marks",
        ),
    ],
};

pub(super) const PERSON: Section = Section {
    name: "person",
    repeated: true,
    required: false,
    doc: "Somebody named in the pack.",
    keys: &[
        entry(
            "person.role",
            Kind::Text,
            Required,
            "Service engineer",
            "Service engineer",
            "What the person does here",
        ),
        entry(
            "person.name",
            Kind::Text,
            Required,
            "A. Example (invented)",
            "A. Example (invented)",
            "Name of the person",
        ),
    ],
};

pub(super) const INSTRUMENT: Section = Section {
    name: "instrument",
    repeated: true,
    required: false,
    doc: "A test instrument named in the pack.",
    keys: &[
        entry(
            "instrument.name",
            Kind::Text,
            Required,
            "Pressure calibrator",
            "Pressure calibrator",
            "What it is",
        ),
        entry(
            "instrument.serial",
            Kind::Text,
            Required,
            "0000 (invented)",
            "0000 (invented)",
            "Serial number or certificate",
        ),
        entry(
            "instrument.due",
            Kind::Text,
            Required,
            "2027-03",
            "2027-03",
            "Calibration due, as written on it",
        ),
        entry(
            "instrument.accuracy",
            Kind::Quantity(Dimension::Accuracy, Sign::Positive),
            Optional,
            "0.01 inH2O(68 degF)",
            "0.0025 kPa",
            "Its largest error where it is used, as a pressure or in mA; judged against the limit it tests",
        ),
    ],
};
