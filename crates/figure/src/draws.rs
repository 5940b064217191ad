//! Bands of many draws over time: TRUE level above, INDICATED level below, with the marks and the worst draw.

use halfglass_core::description::Loop;
use halfglass_core::dynamics::draws::Band;
use halfglass_core::dynamics::run::Sample;
use halfglass_report::sections::{LabelledDraws, SIMULATION};
use halfglass_report::units::DisplayUnits;

use crate::chart::{Plot, REMARK, tag};
use crate::error_map::extent;
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, Point, Stroke, Svg, WATER_LINE};

const WIDTH: f64 = 760.0;
const LEFT: f64 = 70.0;
const RIGHT: f64 = 560.0;
const TOP: f64 = 62.0;
const HIGH: f64 = 190.0;
const BETWEEN: f64 = 82.0;
/// All draws; a twentieth cut off at either side.
const FILLS: [&str; 2] = ["#e6edf3", "#b9cede"];

/// Draws the bands of one run, or of several one under the other, SIMULATION written on them.
pub fn draws(described: &Loop, of_runs: &[LabelledDraws], units: &DisplayUnits) -> String {
    let name = of_runs.first().map_or("", |run| run.draws.name.as_str());
    let panels = 2.0 * of_runs.len() as f64;
    let bottom = TOP + panels * HIGH + (panels - 1.0).max(0.0) * BETWEEN;
    let mut svg = Svg::new(
        "draws",
        (WIDTH, bottom + 80.0),
        format!(
            "{SIMULATION}: {name}, many draws, {}",
            described.identity.tag
        ),
        "Bands of the true level and of the panel over time: all draws, nine tenths of them, the middle and the worst draw; a model's answer, not a reading",
    );
    svg.text(
        (LEFT - 40.0, 22.0),
        Lettering::new(REMARK + 3.0).bold(),
        name,
    );
    tag(&mut svg, (WIDTH - 14.0, 8.0), SIMULATION);
    let longest_s = extent(
        of_runs
            .iter()
            .flat_map(|run| run.draws.times_s.iter().copied()),
    )
    .1;
    // Hours where minutes would be many.
    let (unit_s, unit) = if longest_s > 4.0 * 3600.0 {
        (3600.0, "hours from the start")
    } else {
        (60.0, "minutes from the start")
    };
    let x = Scale::new((0.0, (longest_s / unit_s).max(1e-6)), (LEFT, RIGHT));
    let mut top = TOP;
    let several = of_runs.len() > 1;
    for run in of_runs {
        let draws = &run.draws;
        let of_run = if several {
            format!(", {}", run.label)
        } else {
            String::new()
        };
        let times: Vec<f64> = draws.times_s.iter().map(|s| s / unit_s).collect();
        for (whose, bands, of_worst) in [
            (
                "TRUE level",
                metres(&draws.true_band, |level| level.m()),
                (|sample| sample.true_level.m()) as fn(&Sample) -> f64,
            ),
            (
                "panel (INDICATED)",
                metres(&draws.indicated_band, |level| level.m()),
                |sample| sample.indicated.m(),
            ),
        ] {
            let worst: Vec<(f64, f64)> = draws
                .worst
                .run
                .samples
                .iter()
                .map(|sample| (sample.time_s / unit_s, units.level(of_worst(sample)).0))
                .collect();
            let panel = Panel {
                top,
                title: format!(
                    "{whose} above the lower tap, {}{of_run}",
                    units.level_unit()
                ),
                times: &times,
                bands: &bands,
                worst: &worst,
            };
            panel.draw(&mut svg, described, units, (x, unit));
            top += HIGH + BETWEEN;
        }
    }
    svg.text(
        (LEFT - 40.0, bottom + 56.0),
        Lettering::new(REMARK).grey(),
        "Pale: all draws. Darker: 5 % to 95 %. Line: the middle. Dashed: the worst draw. Grey: the allowed deviation.",
    );
    svg.text(
        (LEFT - 40.0, bottom + 72.0),
        Lettering::new(REMARK).grey(),
        "What was drawn stands beside it. Nothing here vouches for a low-water cutoff.",
    );
    svg.finish()
}

fn metres<L: Copy>(bands: &[Band<L>], m: impl Fn(L) -> f64) -> Vec<Band<f64>> {
    bands
        .iter()
        .map(|band| Band {
            lowest: m(band.lowest),
            p05: m(band.p05),
            middle: m(band.middle),
            p95: m(band.p95),
            highest: m(band.highest),
        })
        .collect()
}

/// One level's band, heights in metres, times and the worst draw in the units of print.
struct Panel<'a> {
    top: f64,
    title: String,
    times: &'a [f64],
    bands: &'a [Band<f64>],
    worst: &'a [(f64, f64)],
}

impl Panel<'_> {
    fn draw(
        &self,
        svg: &mut Svg,
        described: &Loop,
        units: &DisplayUnits,
        (x, unit): (Scale, &str),
    ) {
        let level = |m: f64| units.level(m).0;
        let set_point = level(described.limits.set_point_m);
        let allowed = level(described.limits.allowed_deviation_m);
        let (low, high) = extent(
            self.bands
                .iter()
                .flat_map(|band| [level(band.lowest), level(band.highest)])
                .chain([set_point - 1.2 * allowed, set_point + 1.2 * allowed]),
        );
        // Marks that the band comes near.
        let reach = 0.25 * (high - low);
        let limits = &described.limits;
        let kind = described.vessel.kind;
        let marks: Vec<(f64, &str)> = [
            (limits.high_trip_m, "high-level trip"),
            (limits.high_alarm_m, "high alarm"),
            (limits.low_alarm_m, "low alarm"),
            (limits.low_cutoff_m, kind.first_low_trip()),
            (limits.second_low_cutoff_m, kind.second_low_trip()),
        ]
        .into_iter()
        .filter_map(|(height_m, name)| Some((level(height_m?), name)))
        .filter(|(mark, _)| (low - reach..=high + reach).contains(mark))
        .collect();
        let (low, high) = extent(marks.iter().map(|mark| mark.0).chain([low, high]));
        let room = 0.04 * (high - low);
        let plot = Plot::panel(
            svg,
            (self.top, HIGH),
            x,
            (low - room, high + room),
            (unit, &self.title),
        );
        svg.rect(
            (LEFT, plot.y.place(set_point + allowed)),
            (RIGHT, plot.y.place(set_point - allowed)),
            Some("#f3f3f3"),
            None,
        );
        let mut labels = Vec::new();
        for (fill, ends) in FILLS.into_iter().zip([
            (|band: &Band<f64>| (band.lowest, band.highest)) as fn(&Band<f64>) -> (f64, f64),
            |band: &Band<f64>| (band.p05, band.p95),
        ]) {
            let side = |pick: fn((f64, f64)) -> f64| -> Vec<Point> {
                self.times
                    .iter()
                    .zip(self.bands)
                    .map(|(time, band)| plot.place((*time, level(pick(ends(band))))))
                    .collect()
            };
            let mut outline = side(|ends| ends.1);
            outline.extend(side(|ends| ends.0).into_iter().rev());
            svg.polygon(&outline, Some(fill), None);
        }
        for (mark, name) in std::iter::once((set_point, "set point")).chain(marks) {
            let y = plot.y.place(mark);
            svg.line((LEFT, y), (RIGHT, y), Stroke::dashed(GREY, 0.9, "12 4 2 4"));
            labels.push((mark, vec![name.to_owned()]));
        }
        let middle: Vec<(f64, f64)> = self
            .times
            .iter()
            .zip(self.bands)
            .map(|(time, band)| (*time, level(band.middle)))
            .collect();
        for (points, stroke, name) in [
            (middle.as_slice(), Stroke::solid(WATER_LINE, 1.6), "middle"),
            (self.worst, Stroke::dashed(INK, 1.3, "6 3"), "worst draw"),
        ] {
            plot.curve(svg, points, stroke);
            if let Some(&(_, last)) = points.last() {
                labels.push((last, vec![name.to_owned()]));
            }
        }
        plot.labels_at_right(svg, &labels);
    }
}
