//! A test on the plant: the panel's readings with the fitted line, the output, and what the fit leaves over.

use halfglass_core::description::Loop;
use halfglass_core::identify::Record;
use halfglass_core::identify::sheet::{Fit, TestSheet};

use crate::chart::{Plot, REMARK, roomy};
use crate::error_map::extent;
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, Stroke, Svg, WATER_LINE};

const WIDTH: f64 = 760.0;
const LEFT: f64 = 70.0;
const RIGHT: f64 = 610.0;
const TOP: f64 = 62.0;
const BETWEEN: f64 = 56.0;
const HEIGHTS: [f64; 3] = [230.0, 80.0, 90.0];
/// Readings drawn as points; more become a line.
const MOST_POINTS: usize = 400;

/// Draws a record, what was fitted to it, and the difference.
pub fn plant_test(described: &Loop, record: &Record, sheet: &TestSheet) -> String {
    let bump = match &sheet.fit {
        Fit::Bump(bump) => Some(bump),
        Fit::Relay(_) => None,
    };
    let panels = if bump.is_some() { 3 } else { 2 };
    let bottom = TOP + HEIGHTS[..panels].iter().sum::<f64>() + (panels - 1) as f64 * BETWEEN;
    let title = if bump.is_some() {
        "Bump test"
    } else {
        "Relay test"
    };
    let mut svg = Svg::new(
        "plant-test",
        (WIDTH, bottom + 44.0),
        format!("{title}, {}", described.identity.tag),
        "Readings of the panel against time with the fitted line; the controller output below; then what the fit leaves over",
    );
    svg.text(
        (LEFT - 40.0, 22.0),
        Lettering::new(REMARK + 3.0).bold(),
        &format!("{title} at “{}”", sheet.measured.duty),
    );
    let times = record.time_s();
    let end_s = times.last().copied().unwrap_or(1.0);
    let (unit_s, unit) = if end_s > 600.0 {
        (60.0, "min")
    } else {
        (1.0, "s")
    };
    let x = Scale::new(
        (
            times.first().copied().unwrap_or(0.0) / unit_s,
            end_s / unit_s,
        ),
        (LEFT, RIGHT),
    );
    let series = |values: &[f64]| -> Vec<(f64, f64)> {
        times
            .iter()
            .zip(values)
            .map(|(time_s, value)| (time_s / unit_s, *value))
            .collect()
    };
    let levels = record.indicated_level_percent();
    let fitted = bump.map(|bump| bump.fitted_percent.as_slice());
    let ends = roomy(extent(
        levels.iter().chain(fitted.unwrap_or_default()).copied(),
    ));
    let mut top = TOP;
    let level = Plot::panel(
        &mut svg,
        (top, HEIGHTS[0]),
        x,
        ends,
        ("", "panel, % of span"),
    );
    readings(&mut svg, &level, &series(levels));
    let mut labels = vec![(
        levels.last().copied().unwrap_or(0.0),
        vec!["panel, read".to_owned()],
    )];
    if let Some(fitted) = fitted {
        level.curve(&mut svg, &series(fitted), Stroke::solid(WATER_LINE, 1.6));
        labels.push((
            fitted.last().copied().unwrap_or(0.0),
            vec!["fitted".to_owned()],
        ));
    }
    level.labels_at_right(&mut svg, &labels);
    top += HEIGHTS[0] + BETWEEN;
    let output = sheet.fit.output();
    let mut stairs = vec![(
        times.first().copied().unwrap_or(0.0) / unit_s,
        output.first_percent,
    )];
    for step in &output.steps {
        let before = stairs.last().map_or(output.first_percent, |point| point.1);
        stairs.push((step.time_s / unit_s, before));
        stairs.push((step.time_s / unit_s, step.output_percent));
    }
    stairs.push((end_s / unit_s, stairs.last().map_or(0.0, |point| point.1)));
    let last = panels == 2;
    let under = format!("{unit} of the record");
    let x_title = |is_last: bool| if is_last { under.as_str() } else { "" };
    let plot = Plot::panel(
        &mut svg,
        (top, HEIGHTS[1]),
        x,
        roomy(extent(stairs.iter().map(|point| point.1))),
        (x_title(last), "controller output, %"),
    );
    plot.curve(&mut svg, &stairs, Stroke::solid(INK, 1.6));
    top += HEIGHTS[1] + BETWEEN;
    if let Some(bump) = bump {
        let plot = Plot::panel(
            &mut svg,
            (top, HEIGHTS[2]),
            x,
            roomy(extent(bump.residual_percent.iter().copied().chain([0.0]))),
            (x_title(true), "read less fitted, %"),
        );
        plot.curve(
            &mut svg,
            &[(x.ends().0, 0.0), (x.ends().1, 0.0)],
            Stroke::solid(GREY, 0.9),
        );
        readings(&mut svg, &plot, &series(&bump.residual_percent));
    }
    svg.finish()
}

/// Points while they can be told apart, else a line.
fn readings(svg: &mut Svg, plot: &Plot, points: &[(f64, f64)]) {
    if points.len() > MOST_POINTS {
        plot.curve(svg, points, Stroke::solid(GREY, 0.9));
        return;
    }
    for &point in points {
        svg.circle(plot.place(point), 1.8, Some(INK), Stroke::solid(INK, 0.6));
    }
}
