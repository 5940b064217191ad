//! Which inputs make the uncertainty: bars by share of the variance, panel and glass one under the other.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::measurement::uncertainty::sheets::{Budget, BudgetLine, UncertaintySheet};
use halfglass_report::units::{DisplayUnits, number};

use crate::chart::{LABEL, REMARK, note};
use crate::hatch::Slant;
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, PALE, PAPER, Stroke, Svg};

const WIDTH: f64 = 720.0;
/// Where the smallest share begins and where the largest would end; names stand left of it.
const BAR: (f64, f64) = (250.0, 640.0);
const ROW: f64 = 21.0;
/// Inputs with less than this share of the variance are drawn as one, percent.
const LEAST_SHARE: f64 = 1.0;

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let mut svg = Svg::new(
        "uncertainty-budget",
        (WIDTH, 60.0),
        format!("Uncertainty budget of {}", described.identity.tag),
        "Share of each input in the variance of the panel reading, and of the true level told by the glass: bars, the longest first; hatched bars rest on an assumed value",
    );
    let Some(sheet) = &sheets.uncertainty else {
        return note(
            svg,
            &["No input of the loop file has an uncertainty: there is no budget to draw."],
        );
    };
    let scale = shares(sheet);
    svg.text(
        (WIDTH - 12.0, 18.0),
        Lettering::new(REMARK).end(),
        if scale.ends().0 < 0.0 {
            "share of the variance, %; hatched: on an assumed value; below 0: offsets another"
        } else {
            "share of the variance, %; hatched: on an assumed value"
        },
    );
    let panel = format!(
        "Panel: ± {} % of span, k = 2",
        number(sheet.panel.expanded_k2, 2)
    );
    let mut y = bars(&mut svg, 18.0, scale, &panel, &sheet.panel);
    if let Some(glass) = &sheet.glass {
        let title = format!(
            "Glass: ± {}, k = 2",
            units.small_length_text(glass.expanded_k2)
        );
        y = bars(&mut svg, y + 34.0, scale, &title, glass);
    }
    svg.shrink_to(y + 14.0);
    svg.finish()
}

/// One scale for both budgets, from the smallest share to the largest, 0 to 100 % at least: two legs whose temperatures
/// move together can bring one share below 0 and the other over 100.
fn shares(sheet: &UncertaintySheet) -> Scale {
    let ends = [Some(&sheet.panel), sheet.glass.as_ref()]
        .into_iter()
        .flatten()
        .flat_map(|budget| &budget.lines)
        .map(|line| line.share_percent)
        .filter(|share| share.abs() >= LEAST_SHARE)
        .fold((0.0_f64, 100.0_f64), |(low, high), share| {
            (low.min(share), high.max(share))
        });
    Scale::new(ends, BAR)
}

/// Draws a budget from the baseline of its title; returns where it ends.
fn bars(svg: &mut Svg, top: f64, scale: Scale, title: &str, budget: &Budget) -> f64 {
    svg.text((12.0, top), Lettering::new(LABEL).bold(), title);
    let below = |line: &&BudgetLine| line.share_percent.abs() < LEAST_SHARE;
    // One alone keeps its name.
    let several = budget.lines.iter().filter(below).count() > 1;
    let is_small = |line: &&BudgetLine| several && below(line);
    let mut rows: Vec<(String, f64, bool)> = budget
        .lines
        .iter()
        .filter(|line| !is_small(line))
        .map(|line| (line.name.clone(), line.share_percent, line.assumed))
        .collect();
    let small: Vec<&BudgetLine> = budget.lines.iter().filter(is_small).collect();
    if !small.is_empty() {
        rows.push((
            format!(
                "{} others, each below {} %",
                small.len(),
                number(LEAST_SHARE, 0)
            ),
            small.iter().map(|line| line.share_percent).sum(),
            false,
        ));
    }
    let mut y = top + 12.0;
    let bottom = y + ROW * rows.len() as f64;
    let x = |share: f64| scale.place(share);
    for tenth in (0..=100).step_by(20) {
        let at = x(f64::from(tenth));
        svg.line((at, y), (at, bottom), Stroke::solid("#dedede", 0.6));
    }
    for (name, share, assumed) in rows {
        let (from, to) = (y + 3.5, y + ROW - 3.5);
        let (left, right) = (x(share.min(0.0)), x(share.max(0.0)));
        let corners = [(left, from), (right, from), (right, to), (left, to)];
        let outline = Some(Stroke::solid(INK, 1.0));
        if assumed {
            svg.polygon(&corners, Some(PAPER), outline);
            svg.hatch(&corners, Slant::Rising, 4.5, Stroke::solid(INK, 0.7));
        } else {
            svg.polygon(&corners, Some(PALE), outline);
        }
        let baseline = y + 0.5 * ROW + 0.34 * LABEL;
        let room = BAR.0 - 22.0;
        let lettering = Lettering::new(LABEL).end();
        let size = LABEL * (room / lettering.width(&name).max(1e-6)).clamp(0.5, 1.0);
        svg.text(
            (BAR.0 - 8.0, baseline),
            Lettering { size, ..lettering },
            &name,
        );
        svg.text(
            (right + 7.0, baseline),
            Lettering::new(LABEL).rimmed(),
            &number(share, 1),
        );
        y += ROW;
    }
    svg.line(
        (x(0.0), top + 10.0),
        (x(0.0), bottom + 2.0),
        Stroke::solid(GREY, 1.2),
    );
    bottom
}
