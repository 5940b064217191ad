//! How the tuning numbers came about.

use crate::measurement::sheets::RangeSheet;
use crate::tuning::findings::Facts;
use crate::tuning::measured::measured_working;
use crate::tuning::sheets::DeadTimePart;
use crate::working::Working;

const MASS_BALANCE: &str = "mass balance on the free surface; hydrostatics";
const SIMC: &str = "Skogestad, J. Process Control 13 (2003) 291-309";

/// Workings of the tuning sheet.
pub(crate) fn tuning_workings(
    facts: &Facts<'_>,
    chosen_time_s: f64,
    dead_time: &[DeadTimePart],
    range: &RangeSheet,
) -> Vec<Working> {
    let the_loop = facts.the_loop;
    let flow = facts.full_valve_flow_kg_s;
    let installed = facts.feedwater.is_some();
    let bench = facts.bench;
    let mut workings = Vec::new();
    for duty in bench.duties {
        let mut gain = Working::new(
            format!("Process gain of the indicated level, duty {}", duty.name),
            if installed {
                "k' = gv g w / (A |URV - LRV|)"
            } else {
                "k' = g w / (A |URV - LRV|)"
            },
            duty.indicated_gain_per_s,
            "1/s",
            MASS_BALANCE,
            "level near the set point; feed at saturation",
        )
        .with("g", "local gravity", the_loop.site.gravity_m_s2, "m/s2")
        .with("w", "full-valve flow", flow, "kg/s")
        .with(
            "A",
            "free surface at the set point",
            duty.free_surface_m2,
            "m2",
        )
        .with("URV", "differential at 100 %", range.chosen.urv_pa, "Pa")
        .with("LRV", "differential at 0 %", range.chosen.lrv_pa, "Pa");
        if installed {
            gain = gain.with(
                "gv",
                "installed gain of the valve",
                duty.installed_gain_ratio,
                "-",
            );
        }
        workings.push(gain);
    }
    workings.extend(facts.measured.map(measured_working));
    let mut budget = Working::new(
        "Dead-time budget",
        if facts.measured.is_some() {
            "theta = measured + dh stroke/2 + filter + sample/2"
        } else if installed {
            "theta = swell + (resolution/2 + deadband) stroke + dh stroke/2 + filter + damping + sample/2"
        } else {
            "theta = swell + (resolution/2 + deadband) stroke + filter + damping + sample/2"
        },
        bench.dead_time_s,
        "s",
        SIMC,
        "moves about the size of the deadband; smaller moves take longer",
    );
    for part in dead_time {
        let name = if part.assumed {
            format!("{} (assumed)", part.name)
        } else {
            part.name.clone()
        };
        budget = budget.with("part", name, part.seconds, "s");
    }
    workings.push(budget);
    workings.push(
        Working::new(
            "Largest load change as a share of full-valve flow",
            "D = change w_max / w",
            bench.load_ratio,
            "-",
            "definition",
            "any",
        )
        .with(
            "change",
            "largest load change, share of the largest flow",
            the_loop.limits.largest_load_change_ratio,
            "-",
        )
        .with("w_max", "largest flow", facts.largest_flow_kg_s, "kg/s")
        .with("w", "full-valve flow", flow, "kg/s"),
    );
    let gain = bench
        .duties
        .iter()
        .map(|duty| duty.indicated_gain_per_s)
        .fold(0.0, f64::max);
    workings.push(
        Working::new(
            "Chosen gain",
            "Kc = 1 / (k' (tc + theta))",
            facts.chosen.gain_ratio,
            "%/%",
            SIMC,
            "tc >= theta",
        )
        .with("k'", "largest process gain of the duties", gain, "1/s")
        .with("tc", "closed-loop time", chosen_time_s, "s")
        .with("theta", "dead time", bench.dead_time_s, "s"),
    );
    if let Some(reset_s) = facts.chosen.reset_s {
        workings.push(
            Working::new(
                "Chosen reset",
                "Ti = 4 (tc + theta)",
                reset_s,
                "s/repeat",
                SIMC,
                "tc >= theta",
            )
            .with("tc", "closed-loop time", chosen_time_s, "s")
            .with("theta", "dead time", bench.dead_time_s, "s"),
        );
    }
    workings.push(
        Working::new(
            "Damping of the chosen settings, dead time left out",
            "zeta = 0.5 sqrt(Kc k' Ti)",
            facts.chosen.damping_ratio,
            "-",
            "characteristic equation of an integrator under PI",
            "the smallest process gain of the duties; dead time lowers it",
        )
        .with("Kc", "gain", facts.chosen.gain_ratio, "%/%")
        .with(
            "k'",
            "smallest process gain of the duties",
            bench
                .duties
                .iter()
                .map(|duty| duty.indicated_gain_per_s)
                .fold(f64::INFINITY, f64::min),
            "1/s",
        )
        .with(
            "Ti",
            "reset",
            facts.chosen.reset_s.unwrap_or(f64::INFINITY),
            "s/repeat",
        ),
    );
    workings.push(
        Working::new(
            "Peak of the true level after the largest load change",
            "exact-delay simulation of k' exp(-theta s)/s under PI, step of load D",
            facts.chosen.peak_true_deviation_m,
            "m",
            "fourth-order Runge-Kutta with the delay stored; checked against the closed form k' D L/e for theta = 0",
            "valve within its ends; worst duty",
        )
        .with("D", "load change", bench.load_ratio, "-")
        .with("Ms", "maximum sensitivity", facts.chosen.max_sensitivity_ratio, "-"),
    );
    workings
}
