//! How the numbers of the measurement sheets came about.

use super::cell::Geometry;
use super::equalised::no_differential;
use super::glass::GlassAt;
use super::sheets::{CompensationTable, Condition, Densities, ErrorMapSheet, Range, RangeSheet};
use crate::description::{Loop, ReferenceLeg};
use crate::quantity::TrueLevel;
use crate::working::Working;

const HYDROSTATICS: &str = "hydrostatics";
const IF97: &str = "IAPWS R7-97(2012)";
const CELL_EQUATION: &str = "DP = s*g*[rl*(h - z0) + rv*(H - h) + ra*(z0 + d) - rr*H - rb*d]";
const BETWEEN_TAPS: &str = "h between the taps (or seals); collapsed level; no flow in the legs";

/// Workings of the range sheet.
pub(super) fn range(
    described: &Loop,
    sheet: &RangeSheet,
    geometry: &Geometry,
    bench: &Densities,
) -> Vec<Working> {
    let span = described.range.span;
    let mut all = density_workings(described, &sheet.normal, &sheet.densities);
    let hot_ends = ["LRV", "URV"].map(|end| {
        format!(
            "{end} at {} (hot range)",
            described.vessel.kind.normal_state()
        )
    });
    for (title, densities, level_m, result) in [
        (
            hot_ends[0].as_str(),
            &sheet.densities,
            span.at_0_percent_m,
            sheet.hot.lrv_pa,
        ),
        (
            hot_ends[1].as_str(),
            &sheet.densities,
            span.at_100_percent_m,
            sheet.hot.urv_pa,
        ),
        (
            "LRV of the bench range",
            bench,
            span.at_0_percent_m,
            sheet.bench.lrv_pa,
        ),
        (
            "URV of the bench range",
            bench,
            span.at_100_percent_m,
            sheet.bench.urv_pa,
        ),
    ] {
        all.push(cell_working(title, geometry, densities, level_m, result));
    }
    all.push(best_working(described, sheet));
    all.push(of_range(
        Working::new(
            format!("Reading {}", no_differential(&described.reference_leg)),
            "y = -100*LRV/(URV - LRV)",
            sheet.equalised.percent,
            "%",
            "definition of a range",
            "both ports at one pressure",
        ),
        sheet.chosen,
    ));
    if let Some(ratio) = sheet.pot_lip_sensitivity_ratio {
        all.push(
            Working::new(
                "Reading moved by an error of the pot lip",
                "|dy/dH| = (rr - rv)/(rl - rv)",
                ratio,
                "m/m",
                "derivative of the cell equation",
                "wet leg, range exact at this condition",
            )
            .with(
                "rr",
                "reference leg above the lower tap",
                sheet.densities.reference_above,
                "kg/m3",
            )
            .with("rl", "water in the vessel", sheet.densities.liquid, "kg/m3")
            .with("rv", "vapour over it", sheet.densities.vapour, "kg/m3"),
        );
    }
    all
}

fn of_range(working: Working, range: Range) -> Working {
    working
        .with("LRV", "differential at 0 %", range.lrv_pa, "Pa")
        .with("URV", "differential at 100 %", range.urv_pa, "Pa")
}

fn density_workings(
    described: &Loop,
    condition: &Condition,
    densities: &Densities,
) -> Vec<Working> {
    let pressure_pa = condition.pressure.pa();
    let name = &condition.name;
    let density = |title: &str, formula, result, temperature_k, source, validity| {
        Working::new(
            format!("{title}, {name}"),
            formula,
            result,
            "kg/m3",
            source,
            validity,
        )
        .with("p", "vessel pressure, absolute", pressure_pa, "Pa")
        .with("T", "temperature", temperature_k, "K")
    };
    let holds_steam = described.vessel.kind.holds_steam();
    let (leg_formula, leg_source, leg_validity, working_k) = match &described.reference_leg {
        ReferenceLeg::Wet { .. } => (
            "mean of rho(T(z), p), T linear from pot to cell",
            IF97,
            "compressed water, 0 degC to saturation",
            described.working_leg_temperature_k,
        ),
        ReferenceLeg::Dry { .. } => (
            "vapour scaled with absolute temperature, or p*M/(R*T) for air",
            "ideal-gas law",
            "dry gas",
            described.working_leg_temperature_k,
        ),
        ReferenceLeg::None => (
            "p*M/(R*T), dry air at the mean of the ambient range",
            "ideal-gas law",
            "open reference port",
            described.working_leg_temperature_k,
        ),
        ReferenceLeg::Sealed {
            working_capillary_k,
            ..
        } => (
            "density table of the fill, linear between rows",
            "density table of the fill fluid",
            "between the first and the last row of the table",
            *working_capillary_k,
        ),
    };
    let (vapour_formula, vapour_source) = if holds_steam {
        ("rho''(p)", IF97)
    } else {
        (
            "p*M/(R*T), dry air at the mean of the ambient range",
            "ideal-gas law",
        )
    };
    let liquid_formula = if described.vessel.water_temperature_k.is_some() {
        "rho(T, p)"
    } else {
        "rho'(p)"
    };
    let working_source = match &described.reference_leg {
        ReferenceLeg::Sealed { .. } => (leg_formula, leg_source, leg_validity),
        _ => ("rho(T, p)", IF97, "compressed water, 0 degC to saturation"),
    };
    let leg_k = condition.reference_leg_k;
    let reference = match &described.reference_leg {
        ReferenceLeg::None => (
            "Air outside the open port, above the lower tap",
            "Air outside the open port, below the lower tap",
        ),
        _ => (
            "Reference leg above the lower tap",
            "Reference leg below the lower tap",
        ),
    };
    vec![
        density(
            "Density of the water",
            liquid_formula,
            densities.liquid,
            condition.water_k,
            IF97,
            "611 Pa to 21 MPa",
        ),
        density(
            "Density over the water",
            vapour_formula,
            densities.vapour,
            condition.water_k,
            vapour_source,
            "vessel pressure at every height",
        ),
        density(
            reference.0,
            leg_formula,
            densities.reference_above,
            leg_k,
            leg_source,
            leg_validity,
        ),
        density(
            reference.1,
            leg_formula,
            densities.reference_below,
            leg_k,
            leg_source,
            leg_validity,
        ),
        density(
            "Working leg below the lower tap",
            working_source.0,
            densities.working_below,
            working_k,
            working_source.1,
            working_source.2,
        ),
    ]
}

fn cell_working(
    title: &str,
    geometry: &Geometry,
    densities: &Densities,
    level_m: f64,
    result: f64,
) -> Working {
    Working::new(
        title,
        CELL_EQUATION,
        result,
        "Pa",
        HYDROSTATICS,
        BETWEEN_TAPS,
    )
    .with(
        "s",
        "+1 working leg on the high port, -1 reference leg",
        geometry.sign(),
        "-",
    )
    .with("g", "local gravity", geometry.gravity_m_s2, "m/s2")
    .with("h", "true level above the lower tap", level_m, "m")
    .with("z0", "lower tap, or lower seal", geometry.lowest_m, "m")
    .with(
        "H",
        "top of the reference column",
        geometry.reference_top_m,
        "m",
    )
    .with("d", "cell below the lower tap", geometry.cell_below_m, "m")
    .with("rl", "water in the vessel", densities.liquid, "kg/m3")
    .with("rv", "vapour over it", densities.vapour, "kg/m3")
    .with(
        "ra",
        "working leg below the lower tap",
        densities.working_below,
        "kg/m3",
    )
    .with(
        "rr",
        "reference leg above the lower tap",
        densities.reference_above,
        "kg/m3",
    )
    .with(
        "rb",
        "reference leg below the lower tap",
        densities.reference_below,
        "kg/m3",
    )
}

fn best_working(described: &Loop, sheet: &RangeSheet) -> Working {
    let (pressures, wish) = (&described.pressures, &described.range);
    let working = Working::new(
        "Largest weighted error of the best range",
        "min over (LRV, URV) of max(wh*e, -wl*e) over the band, with e <= limit at and below the low alarm",
        sheet.best.worst_error_percent,
        "%",
        "Chebyshev fit of a line as a linear program (Cheney 1966, chapter 2), all vertices tried",
        "pressures and leg temperatures inside the band",
    )
    .with("p1", "lowest sustained pressure, absolute", pressures.lowest_sustained.pa(), "Pa")
    .with("p2", "highest pressure in service, absolute", pressures.highest.pa(), "Pa")
    .with("T1", "coldest leg", described.leg_temperature_band_k.0, "K")
    .with("T2", "hottest leg", described.leg_temperature_band_k.1, "K")
    .with("wh", "weight on errors that read high", wish.high_error_weight, "-")
    .with("wl", "weight on errors that read low", wish.low_error_weight, "-")
    .with("limit", "high error allowed at and below the low alarm", wish.high_error_limit_percent, "%");
    of_range(working, sheet.best.range)
}
/// Working of the glass at one condition and true level.
pub(super) fn glass(condition: &Condition, glass: &GlassAt, level: TrueLevel) -> Working {
    Working::new(
        format!(
            "Where the glass stands with the water at the set point, {}",
            condition.name
        ),
        "z = zc + (h - zc)*(rl - rv)/(rg - rv)",
        glass.stands_at(level).m(),
        "m",
        HYDROSTATICS,
        "h above the glass's lower connection, water of one temperature in the glass",
    )
    .with("h", "true level above the lower tap", level.m(), "m")
    .with(
        "zc",
        "lower connection of the glass",
        glass.connection_m,
        "m",
    )
    .with("rl", "water in the vessel", glass.densities.liquid, "kg/m3")
    .with("rv", "vapour over it", glass.densities.vapour, "kg/m3")
    .with("rg", "water in the glass", glass.glass_kg_m3, "kg/m3")
    .with("Tg", "water temperature in the glass", glass.water_k, "K")
}

/// One working a named condition: the panel with the vessel full.
pub(super) fn readings(described: &Loop, sheet: &ErrorMapSheet) -> Vec<Working> {
    let span = described.range.span;
    sheet
        .conditions
        .iter()
        .filter_map(|condition| {
            let full = sheet
                .points
                .iter()
                .rfind(|point| point.condition == *condition)?;
            let working = Working::new(
                format!("Panel at 100 % true, {}", condition.name),
                "y = 100*(DP - LRV)/(URV - LRV), DP by the cell equation, held at the saturation current",
                full.indicated.percent(span),
                "%",
                HYDROSTATICS,
                "collapsed level; no flow in the legs",
            )
            .with("h", "true level above the lower tap", full.true_level.m(), "m")
            .with("p", "vessel pressure, absolute", condition.pressure.pa(), "Pa")
            .with("T", "water temperature", condition.water_k, "K")
            .with("Tr", "reference leg above the lower tap", condition.reference_leg_k, "K");
            Some(of_range(working, sheet.range))
        })
        .collect()
}

/// Working of the compensation tables: the first breakpoint's gain.
pub(super) fn compensation(table: &CompensationTable) -> Option<Working> {
    let (pressure, gain_m_pa, offset_m) = *table.points.first()?;
    Some(
        Working::new(
            "Compensation for pressure: largest error between breakpoints",
            "h = G(P)*DP + B(P), G = s/(g*(rl - rv)), both linear in P between breakpoints",
            table.worst_error_m,
            "m",
            HYDROSTATICS,
            "lowest sustained pressure to safety-valve set, level inside the span, surveyed leg temperature",
        )
        .with("P1", "first breakpoint, absolute", pressure.pa(), "Pa")
        .with("G1", "gain there", gain_m_pa, "m/Pa")
        .with("B1", "offset there", offset_m, "m"),
    )
}
