//! A simulated scenario over time: levels, flows, valve and pressure one above the other, one time axis.

use halfglass_core::description::Loop;
use halfglass_core::dynamics::run::{Run, Sample};
use halfglass_core::quantity::AbsolutePressure;
use halfglass_report::sections::{LabelledRun, SIMULATION};
use halfglass_report::units::DisplayUnits;

use crate::chart::{Plot, REMARK, TICK, roomy, tag};
use crate::error_map::extent;
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, PALE, Stroke, Svg, WATER_LINE};

const WIDTH: f64 = 760.0;
const LEFT: f64 = 70.0;
const RIGHT: f64 = 560.0;
const TOP: f64 = 62.0;
/// Room between two panels: ticks below, title above.
const BETWEEN: f64 = 56.0;
const LEVEL_HIGH: f64 = 220.0;
const OTHER_HIGH: f64 = 84.0;

/// Draws runs of one scenario, SIMULATION written on it.
pub fn motion(described: &Loop, runs: &[LabelledRun], units: &DisplayUnits) -> String {
    let name = runs.first().map_or("", |run| run.run.name.as_str());
    let bottom = TOP + LEVEL_HIGH + 3.0 * (BETWEEN + OTHER_HIGH);
    let mut svg = Svg::new(
        "motion",
        (WIDTH, bottom + 62.0),
        format!("{SIMULATION}: {name}, {}", described.identity.tag),
        "True level, panel and glass over time with the marks; flows, valve and pressure below; a model's answer, not a reading",
    );
    svg.text(
        (LEFT - 40.0, 22.0),
        Lettering::new(REMARK + 3.0).bold(),
        name,
    );
    tag(&mut svg, (WIDTH - 14.0, 8.0), SIMULATION);
    let longest_s = extent(
        runs.iter()
            .flat_map(|run| run.run.samples.iter().map(|s| s.time_s)),
    )
    .1;
    // Hours where minutes would be many.
    let (unit_s, unit) = if longest_s > 4.0 * 3600.0 {
        (3600.0, "hours from the start")
    } else {
        (60.0, "minutes from the start")
    };
    let x = Scale::new((0.0, (longest_s / unit_s).max(1e-6)), (LEFT, RIGHT));
    let time = |sample: &Sample| sample.time_s / unit_s;
    levels(&mut svg, described, runs, units, x, &time);
    let single = runs.len() == 1;
    let mut top = TOP + LEVEL_HIGH + BETWEEN;
    let flow_unit = units.flow(0.0).1;
    let outflow = if described.vessel.kind.is_fired() {
        "steam"
    } else {
        "drawn"
    };
    let panels: [(String, String, Vec<Curve<'_>>); 3] = [
        (
            format!("flow, {flow_unit}"),
            String::new(),
            vec![
                Curve {
                    name: outflow,
                    main: false,
                    of: Box::new(|s| Some(units.flow(s.outflow_kg_s).0)),
                },
                Curve {
                    name: "feedwater",
                    main: true,
                    of: Box::new(|s| Some(units.flow(s.feed_kg_s).0)),
                },
            ],
        ),
        (
            "valve, % open".into(),
            String::new(),
            vec![Curve {
                name: "travel",
                main: true,
                of: Box::new(|s| Some(s.travel_percent)),
            }],
        ),
        (
            format!("pressure, {}", units.pressure_gauge_unit()),
            unit.into(),
            vec![Curve {
                name: "pressure",
                main: true,
                of: Box::new(|s| {
                    Some(
                        units
                            .pressure_gauge(AbsolutePressure::from_pa(s.pressure_pa))
                            .0,
                    )
                }),
            }],
        ),
    ];
    for (y_title, x_title, curves) in panels {
        let plot = Plot::panel(
            &mut svg,
            (top, OTHER_HIGH),
            x,
            extent_of(runs, &curves),
            (&x_title, &y_title),
        );
        let mut labels = Vec::new();
        for (index, run) in runs.iter().enumerate() {
            for curve in &curves {
                let points = curve.points(&run.run, &time);
                plot.curve(&mut svg, &points, stroke(index, curve.main));
                if let Some(&(_, last)) = points.last() {
                    let text = if single {
                        curve.name.to_owned()
                    } else {
                        format!("{}: {}", index + 1, curve.name)
                    };
                    labels.push((last, vec![text]));
                }
            }
        }
        plot.labels_at_right(&mut svg, &labels);
        top += OTHER_HIGH + BETWEEN;
    }
    svg.text(
        (LEFT - 40.0, bottom + 54.0),
        Lettering::new(REMARK).grey(),
        "The model's limits and what it assumes stand beside it. Nothing here vouches for a low-water cutoff.",
    );
    svg.finish()
}

/// A value of a sample in the units of print, where it has one.
type Value<'a> = Box<dyn Fn(&Sample) -> Option<f64> + 'a>;

/// What a panel draws of a sample.
struct Curve<'a> {
    name: &'a str,
    main: bool,
    of: Value<'a>,
}

impl Curve<'_> {
    fn points(&self, run: &Run, time: &impl Fn(&Sample) -> f64) -> Vec<(f64, f64)> {
        run.samples
            .iter()
            .filter_map(|sample| (self.of)(sample).map(|value| (time(sample), value)))
            .filter(|(_, value)| value.is_finite())
            .collect()
    }
}

/// The first run in ink, others in blue and grey; what is not the main curve of a panel is dashed.
fn stroke(run: usize, main: bool) -> Stroke {
    let colour = [INK, WATER_LINE, GREY][run.min(2)];
    if main {
        Stroke::solid(colour, 1.6)
    } else {
        Stroke::dashed(colour, 1.3, "6 3")
    }
}

fn extent_of(runs: &[LabelledRun], curves: &[Curve<'_>]) -> (f64, f64) {
    roomy(extent(
        runs.iter()
            .flat_map(|run| run.run.samples.iter())
            .flat_map(|sample| curves.iter().filter_map(|curve| (curve.of)(sample))),
    ))
}

fn levels(
    svg: &mut Svg,
    described: &Loop,
    runs: &[LabelledRun],
    units: &DisplayUnits,
    x: Scale,
    time: &impl Fn(&Sample) -> f64,
) {
    let level = |m: f64| units.level(m).0;
    let single = runs.len() == 1;
    let mut curves = vec![
        Curve {
            name: "vessel (TRUE)",
            main: true,
            of: Box::new(|s| Some(level(s.true_level.m()))),
        },
        Curve {
            name: "panel",
            main: false,
            of: Box::new(|s| Some(level(s.indicated.m()))),
        },
    ];
    if single && described.glass.is_some() {
        curves.push(Curve {
            name: "glass",
            main: false,
            of: Box::new(|s| s.glass.map(|glass| level(glass.m()))),
        });
    }
    let set_point = level(described.limits.set_point_m);
    let (low, high) = extent_of(runs, &curves);
    // Marks that the level comes near; the allowed deviation always.
    let allowed = level(described.limits.allowed_deviation_m);
    let (low, high) = (
        low.min(set_point - 1.2 * allowed),
        high.max(set_point + 1.2 * allowed),
    );
    let reach = 0.6 * (high - low);
    let marks: Vec<(f64, &str)> = runs
        .first()
        .map(|run| {
            run.run
                .summary
                .approaches
                .iter()
                .map(|approach| (level(approach.mark_m), approach.mark))
                .filter(|(mark, _)| (low - reach..=high + reach).contains(mark))
                .collect()
        })
        .unwrap_or_default();
    let (low, high) = extent(marks.iter().map(|mark| mark.0).chain([low, high]));
    let room = 0.04 * (high - low);
    let plot = Plot::panel(
        svg,
        (TOP, LEVEL_HIGH),
        x,
        (low - room, high + room),
        (
            "",
            &format!("level above the lower tap, {}", units.level_unit()),
        ),
    );
    svg.rect(
        (LEFT, plot.y.place(set_point + allowed)),
        (RIGHT, plot.y.place(set_point - allowed)),
        Some("#f0f0f0"),
        None,
    );
    let mut labels = Vec::new();
    for (mark, name) in std::iter::once((set_point, "set point")).chain(marks) {
        let y = plot.y.place(mark);
        svg.line((LEFT, y), (RIGHT, y), Stroke::dashed(GREY, 0.9, "12 4 2 4"));
        labels.push((mark, vec![name.to_owned()]));
    }
    for (index, run) in runs.iter().enumerate() {
        for curve in &curves {
            let points = curve.points(&run.run, time);
            let stroke = if curve.name == "glass" {
                Stroke::dashed(GREY, 1.6, "1.5 3")
            } else {
                stroke(index, curve.main)
            };
            plot.curve(svg, &points, stroke);
            if let Some(&(_, last)) = points.last() {
                let text = if single {
                    vec![curve.name.to_owned()]
                } else {
                    vec![format!("{}: {}", index + 1, curve.name), run.label.clone()]
                };
                labels.push((last, text));
            }
        }
        for (time_s, _) in &run.run.events {
            let x = plot.x.place(time_s * x_share(run, time));
            svg.line((x, TOP - 7.0), (x, TOP - 1.0), Stroke::solid(PALE, 1.2));
        }
    }
    svg.text(
        (RIGHT, TOP - 10.0),
        Lettering::new(TICK - 1.0).grey().end(),
        "ticks: what happens",
    );
    plot.labels_at_right(svg, &labels);
}

/// Axis units a second.
fn x_share(run: &LabelledRun, time: &impl Fn(&Sample) -> f64) -> f64 {
    run.run
        .samples
        .last()
        .filter(|sample| sample.time_s > 0.0)
        .map_or(0.0, |sample| time(sample) / sample.time_s)
}
