//! Every problem a loop file can have: its code, and the place it points at.
//!
//! Common practice: a case changes one thing in a sound file, as a slip of pen or keyboard would.

use std::collections::BTreeSet;

use halfglass_loopfile::{Problem, line_and_column, read};

const BOILER: &str = include_str!("fixtures/boiler.toml");
const TANK: &str = include_str!("fixtures/tank.toml");

/// One slip: base file, text replaced (`from` must be there; empty `from` appends), code, text pointed at, and the
/// texts of the other places.
struct Case(
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static [&'static str],
);

fn changed(case: &Case) -> String {
    let base = case.0;
    if case.1.is_empty() {
        return format!("{base}\n{}\n", case.2);
    }
    assert!(base.contains(case.1), "`{}` is not in the file", case.1);
    base.replacen(case.1, case.2, 1)
}

fn at<'t>(text: &'t str, span: &std::ops::Range<usize>) -> &'t str {
    text.get(span.clone()).expect("a span of the file")
}

fn told(text: &str, problems: &[Problem]) -> String {
    problems
        .iter()
        .map(|problem| {
            let (line, column) = line_and_column(text.as_bytes(), problem.primary.span.start);
            format!(
                "{line}:{column} {problem} at `{}`",
                at(text, &problem.primary.span)
            )
        })
        .collect::<Vec<_>>()
        .join("\n")
}

#[track_caller]
fn check(case: &Case) {
    let text = changed(case);
    let Err(problems) = read(text.as_bytes()) else {
        panic!("{} -> {}: no problem", case.1, case.2)
    };
    let all = told(&text, &problems);
    let problem = problems
        .iter()
        .find(|problem| problem.code == case.3 && at(&text, &problem.primary.span) == case.4)
        .unwrap_or_else(|| {
            panic!(
                "{} -> {}: no {} at `{}` in\n{all}",
                case.1, case.2, case.3, case.4
            )
        });
    let others: Vec<_> = problem
        .secondary
        .iter()
        .map(|label| at(&text, &label.span))
        .collect();
    assert_eq!(others, case.5, "{} -> {}\n{all}", case.1, case.2);
    assert!(
        !problem.message.ends_with('.') && !problem.message.contains('\n'),
        "{all}"
    );
    assert!(!problem.primary.text.is_empty(), "{all}");
}

/// Names, kinds, units, signs: one key at a time.
const SINGLE: &[Case] = &[
    // Names.
    Case(
        BOILER,
        "set-point = \"15 in\"",
        "setpoint = \"15 in\"",
        "key-unknown",
        "setpoint",
        &[],
    ),
    Case(
        BOILER,
        "set-point = \"15 in\"",
        "setpoint = \"15 in\"",
        "key-missing",
        "[limits]",
        &[],
    ),
    Case(
        BOILER,
        "[glass]",
        "[gauge-glas]",
        "section-unknown",
        "gauge-glas",
        &[],
    ),
    Case(BOILER, "[glass]", "[glas]", "section-unknown", "glas", &[]),
    Case(
        BOILER,
        "[loop]",
        "tag = \"LIC-1\"\n[loop]",
        "key-outside-section",
        "tag",
        &[],
    ),
    Case(
        BOILER,
        "tag = \"LIC-101\"\n",
        "",
        "key-missing",
        "[loop]",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"\n",
        "",
        "key-missing",
        "[elevations]",
        &[],
    ),
    Case(
        BOILER,
        "pot-lip = \"31 in\"\n",
        "",
        "key-missing",
        "[reference-leg]",
        &[],
    ),
    Case(
        BOILER,
        "highest-heated-surface = \"2 in\"\n",
        "",
        "key-missing",
        "[elevations]",
        &[],
    ),
    Case(
        BOILER,
        "\nlow-cutoff = \"8 in\"",
        "",
        "key-missing",
        "[limits]",
        &[],
    ),
    Case(
        BOILER,
        "second-low-cutoff = \"5 1/2 in\"\n",
        "",
        "key-missing",
        "[limits]",
        &[],
    ),
    Case(
        BOILER,
        "safety-valve = \"150 psi(g)\"\n",
        "",
        "key-missing",
        "[pressures]",
        &[],
    ),
    Case(
        BOILER,
        "lower-tap-above-bottom = \"58 in\"\n",
        "",
        "key-missing",
        "[vessel]",
        &[],
    ),
    Case(
        BOILER,
        "bottom-temperature = \"95 degF\"\n",
        "",
        "key-missing",
        "[reference-leg]",
        &[],
    ),
    Case(
        BOILER,
        "range-high = \"-1 inH2O(68 degF)\"\n",
        "",
        "key-missing",
        "[as-found]",
        &[],
    ),
    Case(
        BOILER,
        "reset = \"80 s/repeat\"\n",
        "",
        "key-missing",
        "[as-found]",
        &[],
    ),
    Case(
        TANK,
        "water-temperature = \"85 degC\"\n",
        "",
        "key-missing",
        "[vessel]",
        &[],
    ),
    Case(
        TANK,
        "level-at-100 = \"2000 mm\"\n",
        "",
        "key-missing",
        "[range]",
        &[],
    ),
    Case(BOILER, "[elevations]\n", "", "section-missing", "", &[]),
    Case(
        BOILER,
        "[glass]",
        "[[glass]]",
        "section-header",
        "glass",
        &[],
    ),
    Case(
        TANK,
        "[[duty]]\nname = \"all kettles\"\noutflow = \"9 m3/h\"\nfeed-temperature = \"15 degC\"\n\n[[duty]]",
        "[duty]",
        "section-header",
        "duty",
        &[],
    ),
    Case(
        BOILER,
        "tag = \"LIC-101\"",
        "tag = \"LIC-101\"\ntag = \"LIC-102\"",
        "key-twice",
        "tag",
        &["tag"],
    ),
    Case(
        BOILER,
        "",
        "[glass]\nvisible-top = \"3 in\"",
        "key-twice",
        "glass",
        &["glass"],
    ),
    Case(
        BOILER,
        "tag = \"LIC-101\"",
        "tag = LIC-101",
        "not-toml",
        "LIC-101",
        &[],
    ),
    // Kinds.
    Case(
        BOILER,
        "tag = \"LIC-101\"",
        "tag = 101",
        "value-kind",
        "101",
        &[],
    ),
    Case(
        BOILER,
        "tag = \"LIC-101\"",
        "tag = \" \"",
        "text-empty",
        "\" \"",
        &[],
    ),
    Case(
        BOILER,
        "units = \"us\"",
        "units = \"imperial\"",
        "word-unknown",
        "\"imperial\"",
        &[],
    ),
    Case(
        BOILER,
        "linearisation-points = 8",
        "linearisation-points = 1",
        "number-out-of-range",
        "1",
        &[],
    ),
    Case(
        BOILER,
        "linearisation-points = 8",
        "linearisation-points = 8.5",
        "value-kind",
        "8.5",
        &[],
    ),
    Case(
        BOILER,
        "vacuum-breaker = false",
        "vacuum-breaker = \"no\"",
        "value-kind",
        "\"no\"",
        &[],
    ),
    Case(
        BOILER,
        "method = \"normal\"",
        "high-error-weight = -1",
        "number-out-of-range",
        "-1",
        &[],
    ),
    Case(
        BOILER,
        "method = \"normal\"",
        "high-error-weight = nan",
        "number-out-of-range",
        "nan",
        &[],
    ),
    Case(
        BOILER,
        "method = \"normal\"",
        "high-error-weight = 0",
        "weight-zero",
        "0",
        &[],
    ),
    // Numbers and units.
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"30\"",
        "unit-missing",
        "\"30\"",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = 30",
        "unit-missing",
        "30",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"thirty\"",
        "number-missing",
        "\"thirty\"",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"nan in\"",
        "number-not-finite",
        "\"nan in\"",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"inf in\"",
        "number-not-finite",
        "\"inf in\"",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"1e999 in\"",
        "number-too-large",
        "\"1e999 in\"",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"30,5 in\"",
        "number-has-comma",
        "\"30,5 in\"",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"30 1/0 in\"",
        "fraction-unreadable",
        "\"30 1/0 in\"",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"2 ft 18 in\"",
        "feet-and-inches-unreadable",
        "\"2 ft 18 in\"",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"30 inches\"",
        "unit-unknown",
        "\"30 inches\"",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"30 psi(g)\"",
        "unit-of-another-kind",
        "\"30 psi(g)\"",
        &[],
    ),
    Case(
        BOILER,
        "normal = \"125 psi(g)\"",
        "normal = \"125 psi\"",
        "unit-ambiguous",
        "\"125 psi\"",
        &[],
    ),
    Case(
        BOILER,
        "full-valve-flow = \"38 gpm(US)\"",
        "full-valve-flow = \"38 gpm\"",
        "unit-ambiguous",
        "\"38 gpm\"",
        &[],
    ),
    Case(
        BOILER,
        "minimum-span = \"3 inH2O(68 degF)\"",
        "minimum-span = \"3 inH2O\"",
        "unit-ambiguous",
        "\"3 inH2O\"",
        &[],
    ),
    Case(
        BOILER,
        "reset = \"80 s/repeat\"",
        "reset = \"0 repeats/min\"",
        "reset-rate-zero",
        "\"0 repeats/min\"",
        &[],
    ),
    Case(
        BOILER,
        "reset = \"80 s/repeat\"",
        "reset = \"-80 s/repeat\"",
        "number-not-positive",
        "\"-80 s/repeat\"",
        &[],
    ),
    Case(
        BOILER,
        "inside-diameter = \"96 in\"",
        "inside-diameter = \"-96 in\"",
        "number-not-positive",
        "\"-96 in\"",
        &[],
    ),
    Case(
        BOILER,
        "damping = \"0.4 s\"",
        "damping = \"-1 s\"",
        "number-negative",
        "\"-1 s\"",
        &[],
    ),
    Case(
        BOILER,
        "displaced = \"55 %\"",
        "displaced = \"155 %\"",
        "share-out-of-range",
        "\"155 %\"",
        &[],
    ),
    Case(
        BOILER,
        "ambient-lowest = \"50 degF\"",
        "ambient-lowest = \"-500 degF\"",
        "temperature-below-zero-kelvin",
        "\"-500 degF\"",
        &[],
    ),
    Case(
        BOILER,
        "vacuum-limit = \"0.5 psi(a)\"",
        "vacuum-limit = \"-0.5 psi(a)\"",
        "pressure-below-vacuum",
        "\"-0.5 psi(a)\"",
        &[],
    ),
    Case(
        BOILER,
        "vacuum-limit = \"0.5 psi(a)\"",
        "vacuum-limit = \"-20 psi(g)\"",
        "pressure-below-vacuum",
        "\"-20 psi(g)\"",
        &[],
    ),
];

/// Values that do not go together, and values that cannot be.
const CROSS: &[Case] = &[
    Case(
        BOILER,
        "ambient-highest = \"105 degF\"",
        "ambient-highest = \"105 degC\"",
        "ambient-implausible",
        "\"105 degC\"",
        &[],
    ),
    Case(
        BOILER,
        "high-trip = \"24 in\"",
        "high-trip = \"24 ft\"",
        "mark-outside-shell",
        "\"24 ft\"",
        &["\"58 in\""],
    ),
    Case(
        TANK,
        "overflow = \"2100 mm\"",
        "overflow = \"2400 mm\"",
        "mark-outside-shell",
        "\"2400 mm\"",
        &["\"150 mm\""],
    ),
    Case(
        BOILER,
        "altitude = \"650 ft\"",
        "altitude = \"90 km\"",
        "unit-unknown",
        "\"90 km\"",
        &[],
    ),
    Case(
        BOILER,
        "altitude = \"650 ft\"",
        "altitude = \"65000 ft\"",
        "site-implausible",
        "\"65000 ft\"",
        &[],
    ),
    Case(
        BOILER,
        "latitude = \"41 deg\"",
        "latitude = \"141 deg\"",
        "site-implausible",
        "\"141 deg\"",
        &[],
    ),
    Case(
        BOILER,
        "latitude = \"41 deg\"",
        "gravity = \"32.2 m/s2\"",
        "gravity-implausible",
        "\"32.2 m/s2\"",
        &[],
    ),
    Case(
        BOILER,
        "latitude = \"41 deg\"",
        "atmosphere = \"0 psi(g)\"",
        "atmosphere-not-absolute",
        "\"0 psi(g)\"",
        &[],
    ),
    Case(
        BOILER,
        "latitude = \"41 deg\"",
        "atmosphere = \"145 psi(a)\"",
        "atmosphere-implausible",
        "\"145 psi(a)\"",
        &[],
    ),
    Case(
        BOILER,
        "ambient-lowest = \"50 degF\"",
        "ambient-lowest = \"150 degF\"",
        "ambient-reversed",
        "\"150 degF\"",
        &["\"105 degF\""],
    ),
    Case(
        BOILER,
        "ambient-lowest = \"50 degF\"\nambient-highest = \"105 degF\"",
        "ambient-lowest = \"120 degF\"",
        "ambient-reversed",
        "\"120 degF\"",
        &[],
    ),
    Case(
        BOILER,
        "inside-diameter = \"96 in\"",
        "inside-diameter = \"96 m\"",
        "shell-implausible",
        "\"96 m\"",
        &[],
    ),
    Case(
        BOILER,
        "length = \"16 ft\"",
        "length = \"1600 ft\"",
        "shell-implausible",
        "\"1600 ft\"",
        &[],
    ),
    Case(
        BOILER,
        "heads = \"flat\"",
        "heads = \"torispherical\"\nknuckle-radius-ratio = 6",
        "shell-implausible",
        "6",
        &[],
    ),
    Case(
        BOILER,
        "heads = \"flat\"",
        "heads = \"flat\"\nknuckle-radius-ratio = 0.1",
        "key-not-for-this",
        "0.1",
        &[],
    ),
    Case(
        BOILER,
        "lower-tap-above-bottom = \"58 in\"",
        "lower-tap-above-bottom = \"58 ft\"",
        "tap-outside-shell",
        "\"58 ft\"",
        &["\"96 in\""],
    ),
    Case(
        BOILER,
        "lower-tap-above-bottom = \"58 in\"",
        "lower-tap-above-bottom = \"70 in\"",
        "tap-outside-shell",
        "\"30 in\"",
        &["\"70 in\"", "\"96 in\""],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"-30 in\"",
        "upper-tap-not-above-lower",
        "\"-30 in\"",
        &["\"58 in\""],
    ),
    Case(
        BOILER,
        "height = \"1 in\"",
        "height = \"-30 in\"",
        "internals-not-rising",
        "\"-20 in\"",
        &["\"-30 in\""],
    ),
    Case(
        BOILER,
        "height = \"-20 in\"",
        "height = \"-200 in\"",
        "internals-outside-shell",
        "\"-200 in\"",
        &[],
    ),
    Case(
        BOILER,
        "displaced = \"55 %\"",
        "displaced = \"100 %\"",
        "internals-implausible",
        "\"100 %\"",
        &[],
    ),
    Case(
        BOILER,
        "upper-tap = \"30 in\"",
        "upper-tap = \"30 in\"\noverflow = \"12 in\"",
        "overflow-under-set-point",
        "\"15 in\"",
        &["\"12 in\""],
    ),
    Case(
        BOILER,
        "highest-heated-surface = \"2 in\"",
        "highest-heated-surface = \"7 in\"",
        "heated-surface-not-under-cutoff",
        "\"7 in\"",
        &["\"5 1/2 in\""],
    ),
    // Legs.
    Case(
        BOILER,
        "pot-lip = \"31 in\"",
        "pot-lip = \"29 in\"",
        "pot-lip-under-upper-tap",
        "\"30 in\"",
        &["\"29 in\""],
    ),
    Case(
        BOILER,
        "kind = \"wet\"",
        "kind = \"none\"",
        "leg-missing-on-steam-vessel",
        "\"none\"",
        &["\"shell-boiler\""],
    ),
    Case(
        BOILER,
        "kind = \"wet\"",
        "kind = \"none\"",
        "key-not-for-this",
        "\"31 in\"",
        &[],
    ),
    Case(
        TANK,
        "kind = \"none\"",
        "kind = \"dry\"",
        "leg-on-vented-tank",
        "\"dry\"",
        &["\"vented-tank\""],
    ),
    Case(
        BOILER,
        "top-temperature = \"160 degF\"",
        "top-temperature = \"160 degF\"\ntemperature = \"120 degF\"",
        "leg-temperature-twice",
        "\"120 degF\"",
        &["\"160 degF\""],
    ),
    Case(
        BOILER,
        "lowest-temperature = \"90 degF\"",
        "lowest-temperature = \"190 degF\"",
        "leg-band-reversed",
        "\"190 degF\"",
        &["\"160 degF\""],
    ),
    Case(
        BOILER,
        "kind = \"wet\"\npot-lip = \"31 in\"\ntop-temperature = \"160 degF\"\nbottom-temperature = \"95 degF\"",
        "kind = \"sealed\"\nlower-seal = \"30 in\"\nupper-seal = \"0 in\"\nfill-fluid = \"vegetable-oil\"",
        "seals-reversed",
        "\"30 in\"",
        &["\"0 in\""],
    ),
    Case(
        BOILER,
        "kind = \"wet\"\npot-lip = \"31 in\"\ntop-temperature = \"160 degF\"\nbottom-temperature = \"95 degF\"",
        "kind = \"sealed\"\nlower-seal = \"0 in\"\nfill-fluid = \"vegetable-oil\"",
        "key-missing",
        "[reference-leg]",
        &[],
    ),
    Case(
        BOILER,
        "kind = \"wet\"\npot-lip = \"31 in\"\ntop-temperature = \"160 degF\"\nbottom-temperature = \"95 degF\"",
        "kind = \"sealed\"\nlower-seal = \"0 in\"\nupper-seal = \"30 in\"\nfill-fluid = \"own\"",
        "fill-fluid-table",
        "\"own\"",
        &[],
    ),
    Case(
        BOILER,
        "kind = \"wet\"\npot-lip = \"31 in\"\ntop-temperature = \"160 degF\"\nbottom-temperature = \"95 degF\"",
        "kind = \"sealed\"\nlower-seal = \"0 in\"\nupper-seal = \"30 in\"\nfill-fluid = \"glycerine-water\"\ncapillary-temperature = \"250 degF\"",
        "fill-fluid-temperature",
        "\"250 degF\"",
        &[],
    ),
    Case(
        BOILER,
        "[working-leg]\ntemperature = \"110 degF\"",
        "[working-leg]\ntemperature = \"410 degF\"",
        "water-temperature-not-possible",
        "\"410 degF\"",
        &[],
    ),
    Case(
        BOILER,
        "bottom-temperature = \"95 degF\"",
        "bottom-temperature = \"9.5 degF\"",
        "water-temperature-not-possible",
        "\"9.5 degF\"",
        &[],
    ),
    Case(
        TANK,
        "water-temperature = \"85 degC\"",
        "water-temperature = \"185 degC\"",
        "water-temperature-not-possible",
        "\"185 degC\"",
        &[],
    ),
    Case(
        BOILER,
        "[vessel]",
        "[vessel]\nwater-temperature = \"85 degC\"",
        "key-not-for-this",
        "\"85 degC\"",
        &[],
    ),
    // Glass, cell, range.
    Case(
        BOILER,
        "visible-top = \"26 in\"",
        "visible-top = \"3 in\"",
        "glass-reversed",
        "\"4 in\"",
        &["\"3 in\""],
    ),
    Case(
        BOILER,
        "visible-top = \"26 in\"",
        "visible-top = \"14 in\"",
        "set-point-outside-glass",
        "\"15 in\"",
        &["\"14 in\""],
    ),
    Case(
        BOILER,
        "visible-bottom = \"4 in\"",
        "visible-bottom = \"16 in\"",
        "set-point-outside-glass",
        "\"16 in\"",
        &["\"15 in\""],
    ),
    Case(
        BOILER,
        "lower-connection = \"1 in\"",
        "lower-connection = \"5 in\"",
        "glass-under-its-connection",
        "\"5 in\"",
        &["\"4 in\""],
    ),
    Case(
        BOILER,
        "lower-range-limit = \"-150 inH2O(68 degF)\"",
        "lower-range-limit = \"15 psi\"",
        "cell-limits-reversed",
        "\"15 psi\"",
        &["\"150 inH2O(68 degF)\""],
    ),
    Case(
        BOILER,
        "minimum-span = \"3 inH2O(68 degF)\"",
        "minimum-span = \"30 psi\"",
        "minimum-span-over-limits",
        "\"30 psi\"",
        &["\"-150 inH2O(68 degF)\"", "\"150 inH2O(68 degF)\""],
    ),
    Case(
        BOILER,
        "static-limit = \"2000 psi(g)\"",
        "static-limit = \"100 psi(g)\"",
        "static-limit-under-safety-valve",
        "\"100 psi(g)\"",
        &["\"150 psi(g)\""],
    ),
    Case(
        BOILER,
        "polarity = \"bottom-on-high\"",
        "polarity = \"wet-leg-on-high\"",
        "key-missing",
        "[cell]",
        &[],
    ),
    Case(
        BOILER,
        "polarity = \"bottom-on-high\"",
        "polarity = \"wet-leg-on-high\"\nreversed-in = \"nowhere\"",
        "reversal-missing",
        "\"nowhere\"",
        &["\"wet-leg-on-high\""],
    ),
    Case(
        BOILER,
        "polarity = \"bottom-on-high\"",
        "polarity = \"bottom-on-high\"\nreversed-in = \"cell\"",
        "reversal-not-wanted",
        "\"cell\"",
        &["\"bottom-on-high\""],
    ),
    Case(
        TANK,
        "polarity = \"bottom-on-high\"",
        "polarity = \"wet-leg-on-high\"\nreversed-in = \"cell\"",
        "polarity-needs-leg",
        "\"wet-leg-on-high\"",
        &[],
    ),
    Case(
        BOILER,
        "fault-current = \"3.6 mA\"",
        "saturation-low = \"4.2 mA\"",
        "currents-implausible",
        "\"4.2 mA\"",
        &[],
    ),
    Case(
        BOILER,
        "fault-current = \"3.6 mA\"",
        "fault-current = \"12 mA\"",
        "fault-current-inside-signal",
        "\"12 mA\"",
        &[],
    ),
    Case(
        BOILER,
        "level-at-0 = \"0 in\"",
        "level-at-0 = \"31 in\"",
        "range-levels-reversed",
        "\"31 in\"",
        &["\"30 in\""],
    ),
    Case(
        BOILER,
        "level-at-0 = \"0 in\"\nlevel-at-100 = \"30 in\"",
        "level-at-0 = \"31 in\"",
        "range-levels-reversed",
        "\"31 in\"",
        &["\"30 in\""],
    ),
    Case(
        BOILER,
        "level-at-0 = \"0 in\"\nlevel-at-100 = \"30 in\"",
        "level-at-100 = \"-30 in\"",
        "range-levels-reversed",
        "\"-30 in\"",
        &[],
    ),
    Case(
        BOILER,
        "level-at-0 = \"0 in\"",
        "level-at-0 = \"-2 in\"",
        "range-outside-taps",
        "\"-2 in\"",
        &[],
    ),
    Case(
        BOILER,
        "level-at-100 = \"30 in\"",
        "level-at-100 = \"32 in\"",
        "range-outside-taps",
        "\"32 in\"",
        &["\"30 in\""],
    ),
    // Pressures and duties.
    Case(
        BOILER,
        "lowest-sustained = \"100 psi(g)\"",
        "lowest-sustained = \"130 psi(g)\"",
        "pressures-out-of-order",
        "\"130 psi(g)\"",
        &["\"125 psi(g)\""],
    ),
    Case(
        BOILER,
        "highest = \"135 psi(g)\"",
        "highest = \"155 psi(g)\"",
        "pressure-above-safety-valve",
        "\"155 psi(g)\"",
        &["\"150 psi(g)\""],
    ),
    Case(
        BOILER,
        "normal = \"125 psi(g)\"\nhighest = \"135 psi(g)\"",
        "normal = \"155 psi(g)\"",
        "pressure-above-safety-valve",
        "\"155 psi(g)\"",
        &["\"150 psi(g)\""],
    ),
    Case(
        BOILER,
        "safety-valve = \"150 psi(g)\"",
        "safety-valve = \"150 MPa(g)\"",
        "pressure-not-computable",
        "\"150 MPa(g)\"",
        &[],
    ),
    Case(
        TANK,
        "",
        "[pressures]\nnormal = \"1 bar(g)\"",
        "vented-tank-with-pressure",
        "\"1 bar(g)\"",
        &["\"vented-tank\""],
    ),
    Case(
        BOILER,
        "name = \"normal\"",
        "name = \"maximum\"",
        "duty-name-twice",
        "\"maximum\"",
        &["\"maximum\""],
    ),
    Case(
        BOILER,
        "name = \"normal\"",
        "name = \"normal\"\npressure = \"160 psi(g)\"",
        "pressure-above-safety-valve",
        "\"160 psi(g)\"",
        &["\"150 psi(g)\""],
    ),
    Case(
        TANK,
        "name = \"one kettle\"",
        "name = \"one kettle\"\npressure = \"1 bar(g)\"",
        "key-not-for-this",
        "\"1 bar(g)\"",
        &[],
    ),
    Case(
        BOILER,
        "feed-temperature = \"220 degF\"",
        "feed-temperature = \"420 degF\"",
        "water-temperature-not-possible",
        "\"420 degF\"",
        &[],
    ),
    Case(
        BOILER,
        "outflow = \"7200 lb/h\"",
        "outflow = \"20 gpm(US)\"",
        "volume-flow-of-steam",
        "\"20 gpm(US)\"",
        &[],
    ),
    Case(
        TANK,
        "outflow = \"9 m3/h\"",
        "outflow = \"200 bhp\"",
        "output-of-unfired-vessel",
        "\"200 bhp\"",
        &[],
    ),
    Case(
        BOILER,
        "full-valve-flow = \"38 gpm(US)\"",
        "full-valve-flow = \"400 bhp\"",
        "output-of-valve",
        "\"400 bhp\"",
        &[],
    ),
    // Limits and as-found.
    Case(
        BOILER,
        "set-point = \"15 in\"",
        "set-point = \"35 in\"",
        "set-point-outside-taps",
        "\"35 in\"",
        &["\"30 in\""],
    ),
    Case(
        BOILER,
        "set-point = \"15 in\"",
        "set-point = \"-15 in\"",
        "set-point-outside-taps",
        "\"-15 in\"",
        &[],
    ),
    Case(
        TANK,
        "set-point = \"1400 mm\"",
        "set-point = \"2050 mm\"",
        "set-point-outside-taps",
        "\"2050 mm\"",
        &["\"2000 mm\""],
    ),
    Case(
        BOILER,
        "low-alarm = \"11 in\"",
        "low-alarm = \"7 in\"",
        "limits-out-of-order",
        "\"8 in\"",
        &["\"7 in\""],
    ),
    Case(
        BOILER,
        "low-alarm = \"11 in\"",
        "low-alarm = \"16 in\"",
        "limits-out-of-order",
        "\"16 in\"",
        &["\"15 in\""],
    ),
    Case(
        BOILER,
        "high-trip = \"24 in\"",
        "high-trip = \"19 in\"",
        "limits-out-of-order",
        "\"20 in\"",
        &["\"19 in\""],
    ),
    Case(
        BOILER,
        "second-low-cutoff = \"5 1/2 in\"",
        "second-low-cutoff = \"8 1/2 in\"",
        "second-cutoff-not-below-first",
        "\"8 1/2 in\"",
        &["\"8 in\""],
    ),
    Case(
        TANK,
        "[vessel]",
        "[vessel]\nvacuum-breaker = \"?\"",
        "value-kind",
        "\"?\"",
        &[],
    ),
    Case(
        TANK,
        "overflow = \"2100 mm\"",
        "overflow = \"2100 mm\"\nhighest-heated-surface = \"0 mm\"",
        "key-not-for-this",
        "\"0 mm\"",
        &[],
    ),
    Case(
        BOILER,
        "range-low = \"-31 inH2O(68 degF)\"",
        "range-low = \"-31 psi\"",
        "range-outside-cell",
        "\"-31 psi\"",
        &["\"-150 inH2O(68 degF)\""],
    ),
    Case(
        BOILER,
        "range-high = \"-1 inH2O(68 degF)\"",
        "range-high = \"31 psi\"",
        "range-outside-cell",
        "\"31 psi\"",
        &["\"150 inH2O(68 degF)\""],
    ),
    Case(
        BOILER,
        "range-low = \"-31 inH2O(68 degF)\"",
        "range-low = \"-3 inH2O(68 degF)\"",
        "range-span-too-small",
        "\"-3 inH2O(68 degF)\"",
        &["\"-1 inH2O(68 degF)\"", "\"3 inH2O(68 degF)\""],
    ),
    Case(
        BOILER,
        "gain = \"25 %\"",
        "gain = \"4 %/%\"",
        "gain-in-another-form",
        "\"4 %/%\"",
        &["\"proportional-band-percent\""],
    ),
    Case(
        BOILER,
        "gain = \"25 %\"\nreset = \"80 s/repeat\"",
        "derivative = \"2 s\"",
        "key-not-for-this",
        "\"2 s\"",
        &[],
    ),
];

#[test]
fn practice_the_base_files_are_sound() {
    for base in [BOILER, TANK] {
        read(base.as_bytes()).unwrap_or_else(|problems| panic!("{}", told(base, &problems)));
    }
}

#[test]
fn practice_slips_in_one_key() {
    SINGLE.iter().for_each(check);
}

#[test]
fn practice_slips_between_keys() {
    CROSS.iter().for_each(check);
}

/// Codes written in the sources: each must have a case, so that no problem goes untested.
#[test]
fn practice_every_code_has_a_case() {
    let mut written = BTreeSet::new();
    let mut folders = vec![std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let source = std::fs::read_to_string(&path).unwrap();
            for opening in [
                "Problem::new(",
                "core_refusal(",
                "check_below(",
                "=> (",
                "=> \"",
                "code = if ",
            ] {
                for rest in source.split(opening).skip(1) {
                    let literal = match opening {
                        "=> \"" => rest.split('"').next(),
                        _ => rest
                            .trim_start()
                            .strip_prefix('"')
                            .and_then(|rest| rest.split('"').next()),
                    };
                    let is_code = |text: &&str| {
                        text.contains('-')
                            && text.len() > 8
                            && text
                                .chars()
                                .all(|c| c.is_ascii_lowercase() || c == '-' || c.is_ascii_digit())
                    };
                    let in_scope = !path.ends_with("keys/mod.rs")
                        && (opening != "=> \"" || path.ends_with("quantity_text/mod.rs"));
                    if in_scope && let Some(code) = literal.filter(is_code) {
                        written.insert(code.to_owned());
                    }
                }
            }
        }
    }
    assert!(written.len() > 60, "the scan finds the codes: {written:?}");
    let mut cased: BTreeSet<&str> = SINGLE.iter().chain(CROSS).map(|case| case.3).collect();
    // Tested by functions of their own in `bytes.rs`.
    cased.extend(["file-too-large", "not-utf-8", "nesting-too-deep"]);
    // Only a defect of the program can bring these.
    cased.extend(["gain-implausible", "loop-incomplete"]);
    let untested: Vec<_> = written
        .iter()
        .filter(|code| !cased.contains(code.as_str()))
        .collect();
    assert!(untested.is_empty(), "{untested:?}");
}

#[test]
fn practice_near_misses_are_suggested() {
    for (from, to, help) in [
        ("set-point =", "setpoint =", "did you mean `set-point`?"),
        ("pot-lip =", "pot-lipp =", "did you mean `pot-lip`?"),
        ("[pressures]", "[presures]", "did you mean `pressures`?"),
        ("[controller]", "[control]", "did you mean `controller`?"),
        (
            "kind = \"shell-boiler\"",
            "kind = \"shell boiler\"",
            "did you mean `shell-boiler`?",
        ),
        (
            "[glass]",
            "[glass]\npot-lip = \"3 in\"",
            "it belongs in [reference-leg]",
        ),
    ] {
        let text = BOILER.replacen(from, to, 1);
        let problems = read(text.as_bytes()).unwrap_err();
        assert!(
            problems
                .iter()
                .any(|one| one.help.as_deref().is_some_and(|text| text.contains(help))),
            "{to}: {}",
            told(&text, &problems)
        );
    }
}

#[test]
fn practice_all_problems_come_at_once_in_the_order_of_the_file() {
    let text = BOILER
        .replacen("altitude = \"650 ft\"", "altitude = \"650\"", 1)
        .replacen("pot-lip = \"31 in\"", "pot-lip = \"29 in\"", 1)
        .replacen("normal = \"125 psi(g)\"", "normal = \"125 psi\"", 1)
        .replacen("set-point = \"15 in\"", "set-point = \"45 in\"", 1)
        .replacen("reset = \"80 s/repeat\"", "resett = \"80 s/repeat\"", 1);
    let problems = read(text.as_bytes()).unwrap_err();
    let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
    for code in [
        "unit-missing",
        "pot-lip-under-upper-tap",
        "unit-ambiguous",
        "set-point-outside-taps",
        "set-point-outside-glass",
        "limits-out-of-order",
        "key-unknown",
    ] {
        assert!(codes.contains(&code), "{code} not in {codes:?}");
    }
    let places: Vec<_> = problems
        .iter()
        .map(|problem| problem.primary.span.start)
        .collect();
    assert!(places.is_sorted(), "{places:?}");
}

#[test]
fn practice_line_and_column_of_a_problem() {
    let text = "[loop]\ntag = \"A\"\nunits = \"uss\"\n";
    let problems = read(text.as_bytes()).unwrap_err();
    let place = |code: &str| {
        let problem = problems
            .iter()
            .find(|problem| problem.code == code)
            .unwrap();
        line_and_column(text.as_bytes(), problem.primary.span.start)
    };
    assert_eq!(place("word-unknown"), (3, 9));
    assert_eq!(place("key-missing"), (1, 1));
    assert_eq!(place("section-missing"), (3, 14));
}

/// A message as a colleague would put it, whole.
#[test]
fn regression_messages_read_well() {
    let text = BOILER.replacen("pot-lip = \"31 in\"", "pot-lip = \"29 in\"", 1);
    let problem = &read(text.as_bytes()).unwrap_err()[0];
    assert_eq!(
        problem.to_string(),
        "error[pot-lip-under-upper-tap]: `elevations.upper-tap` at 30 in is above `reference-leg.pot-lip` at 29 in"
    );
    let text = BOILER.replacen("normal = \"125 psi(g)\"", "normal = \"125 psi\"", 1);
    let problem = &read(text.as_bytes()).unwrap_err()[0];
    assert_eq!(
        problem.to_string(),
        "error[unit-ambiguous]: `pressures.normal`: `125 psi` leaves open whether it is gauge or absolute"
    );
    assert_eq!(problem.help.as_deref(), Some("write one of psi(g), psi(a)"));
}
