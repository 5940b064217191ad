//! The control valve: style, characteristic, sizes to choose from, the one that is fitted.

use halfglass_core::description::feed_system::{
    Characteristic, ControlValve, LeakageClass, ValveSize, ValveStyle,
};
use halfglass_core::feedwater::sizes::generic_sizes;

use super::line::USUAL_WALL_M;
use super::supply::optional;
use crate::problem::{Label, Problem};
use crate::survey::{Located, Survey};

/// Fewest rows of a characteristic that bends.
const FEWEST_ROWS: usize = 3;

pub(super) fn valve(survey: &mut Survey<'_>) -> Option<ControlValve> {
    let style = survey.word("valve.style");
    let recovery = factor(survey, "valve.recovery-factor", (0.2, 1.0));
    let modifier = factor(survey, "valve.style-modifier", (0.01, 1.0));
    let incipient = factor(survey, "valve.incipient-ratio", (0.01, 1.0));
    let characteristic = characteristic(survey);
    let generic = survey.entries.count("valve.size") == 0;
    let sizes = if let Some(style) = style
        .as_ref()
        .filter(|style| generic && is_rotary(style.value))
    {
        survey.problems.push(
            Problem::new(
                "sizes-missing",
                format!(
                    "the generic series is of globe valves; none stands for `{}`",
                    style.value
                ),
                style.label("no globe valve"),
            )
            .help("list the sizes that can be bought under [[valve.size]], also the fitted one"),
        );
        None
    } else if generic {
        survey.assume(
            "valve.size.rated-kv",
            "a generic series, Kv 0.4 to 160".to_owned(),
            "no list of sizes was given; no maker's list: check the choice against one",
        );
        Some(generic_sizes())
    } else {
        sizes(survey)
    };
    let fitted = fitted(survey);
    let [throttling, shut_off] = ["valve.throttling-limit", "valve.shut-off-limit"].map(|path| {
        optional(survey, path, None, |survey, path| {
            survey.number(path).map(|found| Some(found.value))
        })
    });
    let leakage = survey.word("valve.leakage-class");
    let wall = survey.number_or(
        "line.pipe-wall",
        USUAL_WALL_M,
        "not surveyed; common practice; it counts for the noise outside the pipe only",
    );
    Some(ControlValve {
        style: style_of(style?.value),
        recovery_factor: recovery?,
        style_modifier: modifier?,
        incipient_ratio: incipient?,
        characteristic: characteristic?,
        sizes: sizes?,
        sizes_are_generic: generic,
        fitted: fitted?,
        throttling_limit_pa: throttling?,
        shut_off_limit_pa: shut_off?,
        leakage: match leakage?.value {
            "II" => LeakageClass::II,
            "III" => LeakageClass::III,
            "V" => LeakageClass::V,
            "VI" => LeakageClass::VI,
            _ => LeakageClass::IV,
        },
        pipe_wall_m: wall?,
    })
}

fn style_of(word: &str) -> ValveStyle {
    match word {
        "globe-v-port" => ValveStyle::GlobeVPort,
        "globe-contoured-flow-closes" => ValveStyle::GlobeContouredClose,
        "globe-cage" => ValveStyle::GlobeCage,
        "globe-drilled-cage-60" => ValveStyle::GlobeDrilledCage60,
        "globe-drilled-cage-120" => ValveStyle::GlobeDrilledCage120,
        "globe-double-port" => ValveStyle::GlobeDoublePort,
        "angle-contoured-flow-opens" => ValveStyle::AngleContouredOpen,
        "small-flow-v-notch" => ValveStyle::SmallFlowVNotch,
        "small-flow-needle" => ValveStyle::SmallFlowNeedle,
        "eccentric-plug-flow-opens" => ValveStyle::EccentricPlugOpen,
        "segmented-ball" => ValveStyle::SegmentedBall,
        "full-bore-ball" => ValveStyle::FullBoreBall,
        "butterfly-centred" => ValveStyle::ButterflyCentred,
        "butterfly-eccentric" => ValveStyle::ButterflyEccentric,
        _ => ValveStyle::GlobeContouredOpen,
    }
}

/// True for what turns a shaft.
pub(crate) fn is_rotary(style: &str) -> bool {
    [
        "eccentric-plug-flow-opens",
        "segmented-ball",
        "full-bore-ball",
        "butterfly-centred",
        "butterfly-eccentric",
    ]
    .contains(&style)
}

/// A factor of the valve's maker, where it is stated.
fn factor(survey: &mut Survey<'_>, path: &str, bounds: (f64, f64)) -> Option<Option<f64>> {
    optional(survey, path, None, |survey, path| {
        let found = survey.number(path)?;
        check_factor(survey, &found, bounds).then_some(Some(found.value))
    })
}

fn check_factor(survey: &mut Survey<'_>, found: &Located<f64>, (low, high): (f64, f64)) -> bool {
    let fits = (low..=high).contains(&found.value);
    if !fits {
        survey.problems.push(
            Problem::new(
                "valve-factor-implausible",
                format!(
                    "`{}`: {} is not between {low} and {high}, where every valve's lies",
                    found.shown(),
                    found.text
                ),
                found.label("cannot be meant"),
            )
            .help("copy it from the sheet of the valve's maker, or leave it out"),
        );
    }
    fits
}

fn characteristic(survey: &mut Survey<'_>) -> Option<Characteristic> {
    let word = survey.word("valve.characteristic")?.value;
    if word == "table" {
        survey.refuse("valve.rangeability", "the table says how far it reaches");
        return table(survey).map(Characteristic::Table);
    }
    survey.refuse(
        "valve.travel[0].travel",
        "the characteristic is not by a table",
    );
    let usual = if word == "equal-percentage" {
        50.0
    } else {
        30.0
    };
    let rangeability = survey.number_or(
        "valve.rangeability",
        usual,
        "not stated; common practice; take it from the valve's sheet",
    )?;
    if let Some(found) = survey.number("valve.rangeability")
        && !check_factor(survey, &found, (2.0, 1000.0))
    {
        return None;
    }
    Some(match word {
        "linear" => Characteristic::Linear { rangeability },
        "quick-opening" => Characteristic::QuickOpening { rangeability },
        _ => Characteristic::EqualPercentage { rangeability },
    })
}

fn table(survey: &mut Survey<'_>) -> Option<Vec<(f64, f64)>> {
    let count = survey.entries.count("valve.travel");
    if count < FEWEST_ROWS {
        let span = survey.entries.get("valve.characteristic")?.span.clone();
        survey.problems.push(
            Problem::new(
                "travel-rows-too-few",
                format!("the characteristic is a table, but it has {count} rows; three at least are needed"),
                Label::new(span, "by a table"),
            )
            .help("write a row under [[valve.travel]] for each pair of travel and flow on its maker's sheet"),
        );
        return None;
    }
    let rows: Vec<_> = (0..count)
        .map(|index| {
            ["travel", "flow"].map(|name| survey.number(&format!("valve.travel[{index}].{name}")))
        })
        .collect();
    for pair in rows.windows(2) {
        let [low, high] = pair else { continue };
        for column in 0..2 {
            survey.check_below(
                "travel-table-not-rising",
                low[column].as_ref(),
                high[column].as_ref(),
                false,
                "write the rows by rising travel; the flow rises with it",
            );
        }
    }
    let first = rows.first().and_then(|row| row[0].as_ref());
    if let Some(first) = first.filter(|first| first.value > 0.0) {
        survey.problems.push(
            Problem::new(
                "travel-table-not-whole",
                format!("the table begins at {} of travel, not at 0 %", first.text),
                first.label("the first row"),
            )
            .help("the first row is at 0 % of travel"),
        );
    }
    for last in rows.last().into_iter().flatten().flatten() {
        if last.value < 100.0 {
            survey.problems.push(
                Problem::new(
                    "travel-table-not-whole",
                    format!("the table ends at {}, not at 100 %", last.text),
                    last.label("the last row"),
                )
                .help("the last row is the rated one: 100 % of travel, 100 % of flow"),
            );
        }
    }
    rows.into_iter()
        .map(|[travel, flow]| Some((travel?.value / 100.0, flow?.value / 100.0)))
        .collect()
}

fn sizes(survey: &mut Survey<'_>) -> Option<Vec<ValveSize>> {
    let mut rows = Vec::new();
    for index in 0..survey.entries.count("valve.size") {
        let at = |name: &str| format!("valve.size[{index}].{name}");
        let name = survey.text(&at("name"));
        let kv = survey.number(&at("rated-kv"));
        let bore = survey.number(&at("bore"));
        let seat = optional(survey, &at("seat-diameter"), None, |survey, path| {
            survey.number(path).map(Some)
        });
        check_seat(
            survey,
            seat.as_ref().and_then(Option::as_ref),
            bore.as_ref(),
        );
        rows.push((name, kv, bore, seat));
    }
    for pair in rows.windows(2) {
        let [low, high] = pair else { continue };
        survey.check_below(
            "sizes-not-rising",
            low.1.as_ref(),
            high.1.as_ref(),
            false,
            "write the sizes by rising flow coefficient, each once",
        );
    }
    rows.into_iter()
        .map(|(name, kv, bore, seat)| {
            Some(ValveSize {
                name: name?.value,
                rated_kv_m3_h: kv?.value,
                bore_m: bore?.value,
                seat_diameter_m: seat?.map(|found| found.value),
            })
        })
        .collect()
}

/// A seat somewhat wider than the bore is met with in small bodies; far wider is a slip.
fn check_seat(survey: &mut Survey<'_>, seat: Option<&Located<f64>>, bore: Option<&Located<f64>>) {
    let limit = bore.map(|bore| bore.clone().map(|bore_m| 1.5 * bore_m));
    survey.check_below(
        "seat-wider-than-bore",
        seat,
        limit.as_ref(),
        true,
        "a seat is not wider than one and a half times the bore of its body; is the unit right?",
    );
}

fn fitted(survey: &mut Survey<'_>) -> Option<Option<ValveSize>> {
    let [kv_path, bore_path] = ["valve.fitted-kv", "valve.fitted-bore"];
    let there = [
        "valve.fitted-kv",
        "valve.fitted-bore",
        "valve.fitted-seat",
        "valve.fitted-name",
    ]
    .iter()
    .find_map(|path| survey.entries.get(path));
    let Some(there) = there else {
        return Some(None);
    };
    let span = there.span.clone();
    for path in [kv_path, bore_path] {
        if survey.is_absent(path) {
            let name = path.rsplit('.').next().unwrap_or(path);
            survey.problems.push(
                Problem::new(
                    "fitted-valve-incomplete",
                    format!("the fitted valve needs `{path}` too"),
                    Label::new(span.clone(), "a valve is fitted"),
                )
                .help(format!("add {name} from its plate, or leave all of fitted-kv, fitted-bore, fitted-seat and fitted-name out")),
            );
        }
    }
    let kv = survey.number(kv_path);
    let bore = survey.number(bore_path);
    let seat = optional(survey, "valve.fitted-seat", None, |survey, path| {
        survey.number(path).map(Some)
    });
    check_seat(
        survey,
        seat.as_ref().and_then(Option::as_ref),
        bore.as_ref(),
    );
    let name = optional(
        survey,
        "valve.fitted-name",
        "fitted valve".to_owned(),
        |survey, path| survey.text(path).map(|found| found.value),
    );
    Some(Some(ValveSize {
        name: name?,
        rated_kv_m3_h: kv?.value,
        bore_m: bore?.value,
        seat_diameter_m: seat?.map(|found| found.value),
    }))
}
