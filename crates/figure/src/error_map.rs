//! Indicated minus true over vessel pressure, one curve a level: where the panel lies, which way, by how much. The curves
//! are boiling water; the cold start-up, whose water is not, is plotted as points of its own. Where the panel is pegged at
//! the cell's saturation, a curve is thick and a point is filled.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::measurement::condition::START_UP;
use halfglass_core::measurement::sheets::ErrorMapSheet;
use halfglass_core::quantity::AbsolutePressure;
use halfglass_report::units::{DisplayUnits, number};

use crate::chart::{Plot, REMARK, TICK, note};
use crate::labels::{Wish, spread};
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, PAPER, Point, Stroke, Svg};

const SIZE: (f64, f64) = (720.0, 446.0);
/// Neither side of the zero line is drawn smaller than this share of the plot, so that both words have room.
const SMALLEST_SIDE: f64 = 0.27;
/// A curve where the panel is pegged.
const PEGGED_WIDTH: f64 = 3.6;

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let sheet = &sheets.error_map;
    let mut svg = Svg::new(
        "error-map",
        SIZE,
        format!("Error map of {}", described.identity.tag),
        "Indicated minus true level in percent of span over vessel pressure, water boiling, one curve for each true level; squares: the vessel cold at start-up; thick line, filled square: the panel is pegged at the cell's saturation",
    );
    let curves: Vec<(f64, Vec<ErrorAt>)> = sheet
        .curves
        .iter()
        .map(|curve| {
            let points = curve
                .points
                .iter()
                .map(|&(pressure, error)| {
                    ErrorAt::of(sheet, units, pressure, curve.true_percent, error)
                })
                .filter(ErrorAt::is_finite)
                .collect();
            (curve.true_percent, points)
        })
        .collect();
    let all = || curves.iter().flat_map(|(_, points)| points.iter());
    let named = || {
        sheet
            .conditions
            .iter()
            .map(|c| units.pressure_gauge(c.pressure).0)
            .filter(|p| p.is_finite())
    };
    let (low, high) = extent(all().map(|p| p.pressure).chain(named()));
    // Under a thousandth of a bar or a psi there is nothing to draw against.
    let has_extent = high - low > 1e-3;
    if !has_extent {
        return note(
            svg,
            &[
                "The vessel stands at one pressure:",
                "pressure moves neither the reading nor the error.",
            ],
        );
    }
    let cold = cold_points(sheets, units);
    let cold_errors = cold.iter().map(|p| p.error);
    let (bottom, top) = extent(all().map(|p| p.error).chain([0.0]).chain(cold_errors));
    let (bottom, top) = balanced(bottom, top);
    let plot_box = (78.0, 90.0, 570.0, 388.0);
    let plot = Plot {
        left: plot_box.0,
        top: plot_box.1,
        right: plot_box.2,
        bottom: plot_box.3,
        x: Scale::new((low, high), (plot_box.0, plot_box.2)),
        y: Scale::new((bottom, top), (plot_box.3, plot_box.1)),
    };
    plot.axes(
        &mut svg,
        &format!("vessel pressure, {}", units.pressure_gauge_unit()),
        "",
    );
    svg.text(
        (plot.left - 60.0, 18.0),
        Lettering::new(13.5),
        "error, % of span",
    );
    if all().chain(&cold).any(|point| point.is_pegged) {
        svg.text(
            (SIZE.0 - 6.0, 18.0),
            Lettering::new(REMARK).end(),
            "thick line, filled square: panel pegged",
        );
    }
    sides(&mut svg, &plot);
    conditions(&mut svg, &plot, sheets, units);
    let zero = plot.y.place(0.0);
    svg.line(
        (plot.left, zero),
        (plot.right, zero),
        Stroke::solid(INK, 1.8),
    );
    let mut labels = Vec::new();
    for (index, (percent, points)) in curves.iter().enumerate() {
        // From full to empty the dashes get shorter, so that curves stay apart without their labels too.
        let dash = ["2 3", "5 3", "9 3", "14 3"].get(index).copied();
        let stroke = match dash {
            Some(dash) => Stroke::dashed(INK, 1.3, dash),
            None => Stroke::solid(INK, 1.3),
        };
        let places: Vec<(f64, f64)> = points.iter().map(ErrorAt::pair).collect();
        plot.curve(&mut svg, &places, stroke);
        for pegged in points.chunk_by(|a, b| a.is_pegged == b.is_pegged) {
            if pegged[0].is_pegged {
                let places: Vec<(f64, f64)> = pegged.iter().map(ErrorAt::pair).collect();
                plot.curve(&mut svg, &places, Stroke::solid(INK, PEGGED_WIDTH));
            }
        }
        if let Some(last) = points.last() {
            labels.push((last.error, vec![format!("{} % true", number(*percent, 0))]));
        }
    }
    draw_cold(&mut svg, &plot, &cold);
    plot.labels_at_right(&mut svg, &labels);
    svg.finish()
}

/// What the panel says too much at a pressure.
#[derive(Debug, Clone, Copy)]
struct ErrorAt {
    /// Gauge, in the units printed.
    pressure: f64,
    /// Percent of span, as the panel shows it.
    error: f64,
    is_pegged: bool,
}

impl ErrorAt {
    fn of(
        map: &ErrorMapSheet,
        units: &DisplayUnits,
        pressure: AbsolutePressure,
        true_percent: f64,
        unclipped: f64,
    ) -> Self {
        let (error, is_pegged) = map.panel_ends.error_percent(true_percent, unclipped);
        Self {
            pressure: units.pressure_gauge(pressure).0,
            error,
            is_pegged,
        }
    }

    const fn is_finite(&self) -> bool {
        self.pressure.is_finite() && self.error.is_finite()
    }

    const fn pair(&self) -> (f64, f64) {
        (self.pressure, self.error)
    }
}

/// The start-up condition's points, from empty to full: its water is cold, so it lies on no curve.
fn cold_points(sheets: &Sheets, units: &DisplayUnits) -> Vec<ErrorAt> {
    let map = &sheets.error_map;
    map.cold_errors
        .iter()
        .filter_map(|&(true_percent, error)| {
            let start_up = map.conditions.iter().find(|c| c.name == START_UP)?;
            Some(ErrorAt::of(
                map,
                units,
                start_up.pressure,
                true_percent,
                error,
            ))
        })
        .filter(ErrorAt::is_finite)
        .collect()
}

/// The cold points as squares on one upright, filled where pegged, with their word beside the farthest from zero.
fn draw_cold(svg: &mut Svg, plot: &Plot, points: &[ErrorAt]) {
    let farthest = points
        .iter()
        .max_by(|a, b| a.error.abs().total_cmp(&b.error.abs()));
    let Some(farthest) = farthest else {
        return;
    };
    svg.group("cold", |svg| {
        let places: Vec<Point> = points.iter().map(|p| plot.place(p.pair())).collect();
        svg.polyline(&places, Stroke::solid(GREY, 1.0));
        for ((x, y), point) in places.into_iter().zip(points) {
            svg.rect(
                (x - 3.5, y - 3.5),
                (x + 3.5, y + 3.5),
                Some(if point.is_pegged { INK } else { PAPER }),
                Some(Stroke::solid(INK, 1.4)),
            );
        }
        let (x, y) = plot.place(farthest.pair());
        svg.text(
            (x + 9.0, y + 0.34 * REMARK),
            Lettering::new(REMARK).rimmed(),
            "cold start-up",
        );
    });
}

/// Least and greatest; not ordered when there is nothing.
pub(crate) fn extent(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    })
}

/// The error axis with room at both sides of zero.
fn balanced(bottom: f64, top: f64) -> (f64, f64) {
    let least = 0.5_f64.max(0.06 * (top - bottom));
    let (below, above) = ((-bottom).max(least) * 1.04, top.max(least) * 1.04);
    let share = SMALLEST_SIDE / (1.0 - SMALLEST_SIDE);
    (-below.max(share * above), above.max(share * below))
}

/// The words that say what either side of zero means.
fn sides(svg: &mut Svg, plot: &Plot) {
    let zero = plot.y.place(0.0);
    let lettering = Lettering::new(REMARK).bold().middle();
    for (from, to, text) in [
        (plot.top, zero, "reads HIGH"),
        (zero, plot.bottom, "reads LOW"),
    ] {
        svg.text_upwards((22.0, 0.5 * (from + to)), lettering, text);
    }
}

/// Named conditions: a tick through the plot, name and pressure above it.
fn conditions(svg: &mut Svg, plot: &Plot, sheets: &Sheets, units: &DisplayUnits) {
    let shown: Vec<_> = sheets
        .error_map
        .conditions
        .iter()
        .filter(|c| plot.x.holds(units.pressure_gauge(c.pressure).0))
        .collect();
    let name = Lettering::new(REMARK).middle();
    let value = Lettering::new(REMARK).grey().middle();
    let wishes: Vec<Wish> = shown
        .iter()
        .map(|c| {
            let pressure = units.pressure_gauge_number(c.pressure);
            Wish {
                place: plot.x.place(units.pressure_gauge(c.pressure).0),
                size: name.width(&c.name).max(value.width(&pressure)) + 10.0,
            }
        })
        .collect();
    let centres = spread(&wishes, plot.left - 20.0, SIZE.0 - 6.0);
    svg.group("conditions", |svg| {
        for ((condition, wish), x) in shown.iter().zip(&wishes).zip(centres) {
            svg.polyline(
                &[
                    (x, plot.top - 24.0),
                    (x, plot.top - 21.0),
                    (wish.place, plot.top - 6.0),
                    (wish.place, plot.top),
                ],
                Stroke::solid(GREY, 0.8),
            );
            svg.line(
                (wish.place, plot.top),
                (wish.place, plot.bottom),
                Stroke::dashed(GREY, 0.8, "1 3"),
            );
            svg.text((x, plot.top - 28.0 - TICK), name, &condition.name);
            svg.text(
                (x, plot.top - 28.0),
                value,
                &units.pressure_gauge_number(condition.pressure),
            );
        }
    });
}
