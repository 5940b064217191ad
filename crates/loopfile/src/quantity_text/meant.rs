//! Units as people write them elsewhere, and the units of a loop file that were probably meant.
//!
//! Nothing here is read: a near miss stays a refusal, and the help names what to write. Common practice, from memory.

use super::units::Dimension;

const ALL_INCHES: &[&str] = &[
    "inH2O(68 degF)",
    "inH2O(60 degF)",
    "inH2O(4 degC)",
    "inH2O(conventional)",
];

/// Spellings, and what each may mean, the likelier first. Small letters, without spaces.
type Row = (&'static [&'static str], &'static [&'static str]);

const LENGTH: &[Row] = &[
    (
        &["\"", "''", "\u{2033}", "\u{201d}", "in.", "inch", "inches"],
        &["in"],
    ),
    (
        &["'", "\u{2032}", "\u{2019}", "ft.", "foot", "feet"],
        &["ft"],
    ),
    (&["meter", "meters", "metre", "metres"], &["m"]),
    (
        &["millimeter", "millimeters", "millimetre", "millimetres"],
        &["mm"],
    ),
];

const PRESSURE: &[Row] = &[
    (
        &["psi", "lb/in2", "lbs/in2", "lbf/in2", "#"],
        &["psi(g)", "psi(a)"],
    ),
    (&["bar", "bars"], &["bar(g)", "bar(a)"]),
    (&["kpa"], &["kPa(g)", "kPa(a)"]),
    (&["hpa"], &["mbar(a)", "mbar(g)"]),
    (&["psi.g", "psi-g", "psigauge", "psi(gauge)"], &["psi(g)"]),
    (&["psiabs", "psi(abs)", "psi.a", "psi-a"], &["psi(a)"]),
    (
        &["bar-g", "bargauge", "bar(gauge)", "bar\u{fc}"],
        &["bar(g)"],
    ),
    (&["barabs", "bar(abs)", "bar-a"], &["bar(a)"]),
];

const DIFFERENTIAL: &[Row] = &[
    (
        &[
            "\"wc", "\"w.c.", "\"wg", "\"h2o", "in.wc", "inwc", "inw.c.", "in.h2o", "inwg", "iwc",
            "inh2o",
        ],
        ALL_INCHES,
    ),
    // The same water at the temperature's other name, or without its `deg`.
    (
        &[
            "inh2o(20degc)",
            "inh2o(20c)",
            "inh2o(68f)",
            "inh2o@68f",
            "inh2o@20c",
        ],
        &["inH2O(68 degF)"],
    ),
    (
        &[
            "inh2o(15.6degc)",
            "inh2o(15.56degc)",
            "inh2o(60f)",
            "inh2o@60f",
        ],
        &["inH2O(60 degF)"],
    ),
    (
        &[
            "inh2o(39.2degf)",
            "inh2o(39degf)",
            "inh2o(39.2f)",
            "inh2o(4c)",
            "inh2o@4c",
        ],
        &["inH2O(4 degC)"],
    ),
    (
        &[
            "mmh2o(20degc)",
            "mmh2o(20c)",
            "mmh2o(68f)",
            "mmh2o@68f",
            "mmh2o@20c",
        ],
        &["mmH2O(68 degF)"],
    ),
    (
        &[
            "mmh2o(15.6degc)",
            "mmh2o(15.56degc)",
            "mmh2o(60f)",
            "mmh2o@60f",
        ],
        &["mmH2O(60 degF)"],
    ),
    (
        &[
            "mmh2o(39.2degf)",
            "mmh2o(39degf)",
            "mmh2o(39.2f)",
            "mmh2o(4c)",
            "mmh2o@4c",
        ],
        &["mmH2O(4 degC)"],
    ),
    (&["psid", "psi(d)"], &["psi"]),
    (&["hpa"], &["mbar"]),
];

const TEMPERATURE: &[Row] = &[
    (&["c", "\u{b0}c", "\u{2103}", "celsius"], &["degC"]),
    (&["f", "\u{b0}f", "\u{2109}", "fahrenheit"], &["degF"]),
    (&["deg", "\u{b0}", "degrees"], &["degC", "degF"]),
    (&["\u{b0}k", "degk", "kelvin"], &["K"]),
];

const TEMPERATURE_DIFFERENCE: &[Row] = &[
    (&["c", "\u{b0}c", "\u{2103}"], &["delta degC", "K"]),
    (&["f", "\u{b0}f", "\u{2109}"], &["delta degF"]),
    (&["\u{b0}k", "degk", "kelvin"], &["K"]),
];

const FLOW: &[Row] = &[
    (
        &["lb/hr", "lbs/h", "lbs/hr", "lb/hour", "pph", "#/h", "#/hr"],
        &["lb/h"],
    ),
    (&["kg/hr", "kg/hour"], &["kg/h"]),
    (&["t/hr", "tonnes/h", "te/h"], &["t/h"]),
    (&["m3/hr", "cmh"], &["m3/h"]),
    (&["l/m", "lpm", "l/minute"], &["L/min"]),
    (&["gpm", "usgpm", "gal/min"], &["gpm(US)", "gpm(imp)"]),
];

const VOLUME: &[Row] = &[
    (&["gal", "gallon", "gallons"], &["gal(US)", "gal(imp)"]),
    (&["litre", "litres", "liter", "liters"], &["L"]),
    (&["cuft", "cu.ft", "cf"], &["ft3"]),
    (&["cum", "cbm"], &["m3"]),
];

const TIME: &[Row] = &[
    (&["sec", "secs", "sec.", "second", "seconds"], &["s"]),
    (&["m", "mins", "min.", "minute", "minutes"], &["min"]),
    (&["hr", "hrs", "hour", "hours"], &["h"]),
];

const RESET: &[Row] = &[
    (
        &["s", "sec", "s/rep", "sec/rep", "sec/repeat", "s/r"],
        &["s/repeat"],
    ),
    (&["min", "min/rep", "min/r", "m/rep"], &["min/repeat"]),
    (
        &["rep/min", "reps/min", "repeats/minute", "r/min", "1/min"],
        &["repeats/min"],
    ),
];

const PERCENT: &[Row] = &[(&["percent", "pct", "pc"], &["%"])];
const ANGLE: &[Row] = &[(&["\u{b0}", "degree", "degrees"], &["deg"])];
const GAIN: &[Row] = &[(&["pb", "%pb", "pb%", "percent"], &["%"])];

/// What was probably meant by a unit without its spaces; nothing where none of the rows says.
pub(super) fn meant(key: &str, dimension: Dimension) -> Vec<&'static str> {
    // Raised digits: what is left is the unit itself.
    let plain = key.replace('\u{b2}', "2").replace('\u{b3}', "3");
    let names = || dimension.units().iter().map(|unit| unit.name);
    if plain != key
        && let Some(name) = names().find(|name| *name == plain)
    {
        return vec![name];
    }
    let plain = plain.to_lowercase();
    let rows = match dimension {
        Dimension::Length => LENGTH,
        Dimension::Pressure => PRESSURE,
        Dimension::DifferentialPressure | Dimension::Accuracy => DIFFERENTIAL,
        Dimension::Temperature => TEMPERATURE,
        Dimension::TemperatureDifference => TEMPERATURE_DIFFERENCE,
        Dimension::Flow | Dimension::Blowdown => FLOW,
        Dimension::Volume => VOLUME,
        Dimension::Time => TIME,
        Dimension::Reset => RESET,
        Dimension::Percent => PERCENT,
        Dimension::Angle => ANGLE,
        Dimension::Gain => GAIN,
        _ => &[],
    };
    rows.iter()
        .find(|(spellings, _)| spellings.contains(&plain.as_str()))
        .map_or_else(Vec::new, |(_, meant)| meant.to_vec())
}

/// `3' 4"` and its like: marks instead of units.
pub(super) fn has_feet_and_inch_marks(rest: &str) -> bool {
    rest.strip_prefix(['\'', '\u{2032}', '\u{2019}'])
        .is_some_and(|inches| inches.contains(|c: char| c.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::super::parse;
    use super::*;

    /// What the help says is read, so that nobody is sent from one refusal to the next.
    #[test]
    fn practice_what_was_meant_is_a_unit_of_the_kind() {
        for dimension in Dimension::ALL {
            let spellings: Vec<_> = [
                LENGTH,
                PRESSURE,
                DIFFERENTIAL,
                TEMPERATURE,
                TEMPERATURE_DIFFERENCE,
                FLOW,
                VOLUME,
                TIME,
                RESET,
                PERCENT,
                ANGLE,
                GAIN,
            ]
            .into_iter()
            .flatten()
            .flat_map(|(spellings, _)| spellings.iter())
            .collect();
            for spelling in spellings {
                for name in meant(spelling, dimension) {
                    parse(&format!("1 {name}"), dimension)
                        .unwrap_or_else(|error| panic!("{spelling} -> {name}: {error}"));
                }
            }
        }
    }

    #[test]
    fn practice_near_misses_name_what_was_meant() {
        use Dimension as D;
        for (text, dimension, help) in [
            ("95 C", D::Temperature, "did you mean `degC`?"),
            ("95 F", D::Temperature, "did you mean `degF`?"),
            ("95 \u{b0}C", D::Temperature, "did you mean `degC`?"),
            ("95 deg", D::Temperature, "did you mean `degC` or `degF`?"),
            ("125 psi", D::Pressure, "did you mean `psi(g)` or `psi(a)`?"),
            ("125 PSI", D::Pressure, "did you mean `psi(g)` or `psi(a)`?"),
            ("125 PSIG", D::Pressure, "did you mean `psig`?"),
            ("8 bar", D::Pressure, "did you mean `bar(g)` or `bar(a)`?"),
            ("30 gpm", D::Flow, "did you mean `gpm(US)` or `gpm(imp)`?"),
            ("30\"", D::Length, "did you mean `in`?"),
            ("30 inches", D::Length, "did you mean `in`?"),
            ("3'", D::Length, "did you mean `ft`?"),
            ("3' 4\"", D::Length, "write for instance `3 ft 4 1/2 in`"),
            (
                "3'-4 1/2\"",
                D::Length,
                "write for instance `3 ft 4 1/2 in`",
            ),
            (
                "30 \"WC",
                D::DifferentialPressure,
                "did you mean `inH2O(68 degF)`, `inH2O(60 degF)`, `inH2O(4 degC)` or `inH2O(conventional)`?",
            ),
            ("120 degK", D::Temperature, "did you mean `K`?"),
            (
                "30 inH2O(20 degC)",
                D::DifferentialPressure,
                "did you mean `inH2O(68 degF)`?",
            ),
            (
                "30 inH2O (39.2 degF)",
                D::DifferentialPressure,
                "did you mean `inH2O(4 degC)`?",
            ),
            (
                "30 mmH2O(20 degC)",
                D::DifferentialPressure,
                "did you mean `mmH2O(68 degF)`?",
            ),
            ("9800 lbs/hr", D::Flow, "did you mean `lb/h`?"),
            ("13 m\u{b3}/h", D::Flow, "did you mean `m3/h`?"),
            ("45 sec", D::Time, "did you mean `s`?"),
            ("80 s", D::Reset, "did you mean `s/repeat`?"),
            ("5 m\u{b3}", D::Volume, "did you mean `m3`?"),
        ] {
            let error = parse(text, dimension).expect_err(text);
            assert_eq!(error.help().as_deref(), Some(help), "{text}: {error}");
        }
    }
}
