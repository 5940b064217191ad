//! How the numbers of actuator, stroke and leakage came about.

use crate::description::Loop;
use crate::feedwater::load_travel::{largest_gain_ratio, load_travel};
use crate::feedwater::sheets::{ActuatorSheet, DutyFlow, Installed, LeakageSheet, StrokeSheet};
use crate::feedwater::stroke::{StrokeError, level_rate_m_s, load_change_ratio};
use crate::tuning::dead_time::{dead_time_parts, dead_time_s};
use crate::tuning::process_gain::free_surface_at_set_point_m2;
use crate::working::Working;

const MASS_BALANCE: &str = "mass balance on the free surface";

/// Workings of the actuator, the stroke and the leakage.
///
/// # Errors
/// [`StrokeError`] as for the stroke sheet.
pub fn stem_workings(
    the_loop: &Loop,
    installed: &Installed,
    flows: &[DutyFlow],
    actuator: &ActuatorSheet,
    stroke: &StrokeSheet,
    leakage: Option<&LeakageSheet>,
) -> Result<Vec<Working>, StrokeError> {
    let full_flow_kg_s = installed.full_flow_kg_s;
    let rate_m_s = level_rate_m_s(the_loop, full_flow_kg_s)?;
    let wanted = load_change_ratio(the_loop, full_flow_kg_s);
    let travel = load_travel(installed, flows, wanted);
    let (change, share) = travel
        .as_ref()
        .map_or((0.0, 0.0), |travel| (travel.change_ratio, travel.share()));
    let valve = &the_loop.feedwater;
    let mut workings = vec![
        actuator_working(actuator),
        Working::new(
            "Level lost while the valve travels for the largest load change",
            "lost = D dh Ts R / 2",
            stroke.level_lost_m,
            "m",
            MASS_BALANCE,
            "valve at full speed, its curve straight between the two travels; D up to 1",
        )
        .with("D", "load change over full-valve flow, as far as the valve follows", if wanted > 1.0 { wanted } else { change }, "-")
        .with("dh", travel.as_ref().map_or_else(|| "travel for it".to_owned(), |travel| format!("travel for it, {}", travel.words())), share, "-")
        .with("Ts", "full-stroke time", stroke.stroke_time_s, "s")
        .with("R", "level rate at full-valve flow", rate_m_s, "m/s"),
        Working::new(
            "Level swing by deadband and resolution",
            "swing = R g theta (S + 2 b)",
            stroke.deadband_level_m,
            "m",
            "triangle of period 4 theta; gain up to 1/(2 k' theta), Skogestad, J. Process Control 13 (2003) 291-309",
            "an estimate from below; slower settings swing wider",
        )
        .with("R", "level rate at full-valve flow", rate_m_s, "m/s")
        .with("g", "largest installed gain of the duties", largest_gain_ratio(installed, flows), "-")
        .with("theta", "dead time", dead_time_s(&dead_time_parts(the_loop, None)), "s")
        .with("S", "resolution", valve.resolution_percent / 100.0, "-")
        .with("b", "deadband", valve.deadband_percent / 100.0, "-"),
    ];
    if let Some(leakage) = leakage {
        let surface_m2 = free_surface_at_set_point_m2(the_loop)?;
        workings.push(
            Working::new(
                "Rise of the level by leakage, nothing leaving",
                "rise = w / ((rho_l - rho_v) A)",
                leakage.rise_m_s,
                "m/s",
                leakage.clause,
                "vessel hot at the smallest duty's pressure; a new valve",
            )
            .with("w", "leakage", leakage.leakage_kg_s, "kg/s")
            .with("A", "free surface at the set point", surface_m2, "m2"),
        );
    }
    Ok(workings)
}

fn actuator_working(sheet: &ActuatorSheet) -> Working {
    if sheet.is_torque {
        return Working::new(
            "Actuator margin",
            "margin = rated / largest of break-away and running torque",
            sheet.margin_ratio,
            "-",
            "torques of the valve's maker",
            "at the drop the maker gave them for",
        )
        .with("rated", "rated torque", sheet.rated, "N m")
        .with("needed", "largest torque", sheet.required, "N m");
    }
    Working::new(
        "Force the actuator needs",
        "F = F_pack + max(F_seat + F_drop, -F_drop, 0)",
        sheet.required,
        "N",
        "statics; seat load by common practice, from memory",
        "weight of plug and stem left out",
    )
    .with(
        "F_pack",
        "friction of packing and guides",
        sheet.packing_friction_n,
        "N",
    )
    .with("F_seat", "seat load", sheet.seat_load_n, "N")
    .with(
        "F_drop",
        "force of the drop, positive opens",
        sheet.from_drop,
        "N",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::shell_boiler;
    use crate::feedwater::actuator::actuator_sheet;
    use crate::feedwater::example_sheet::{feed_system, feedwater_sheet};
    use crate::feedwater::leakage::leakage_sheet;
    use crate::feedwater::stroke::stroke_sheet;

    fn input(working: &Working, symbol: &str) -> f64 {
        working
            .inputs
            .iter()
            .find(|input| input.symbol == symbol)
            .unwrap()
            .value
    }

    #[test]
    fn property_formula_and_inputs_give_the_result() {
        let (the_loop, system) = (shell_boiler(), feed_system());
        let size = &system.valve.sizes[0];
        let (actuator, _) = actuator_sheet(&the_loop, &system, size, 2e6).unwrap();
        let sheet = feedwater_sheet(2.5, &[("maximum", Some(0.6)), ("low fire", Some(0.9))]);
        let (stroke, _) = stroke_sheet(&the_loop, &sheet.installed, &sheet.duties).unwrap();
        let (leakage, _) = leakage_sheet(&the_loop, &system, size, 2e6, 960.0).unwrap();
        let workings = stem_workings(
            &the_loop,
            &sheet.installed,
            &sheet.duties,
            &actuator,
            &stroke,
            leakage.as_ref(),
        )
        .unwrap();
        let [force, lost, swing, rise] = workings.as_slice() else {
            panic!("{workings:?}")
        };
        let of = |working: &Working, expected: f64| {
            assert!(
                (working.result / expected - 1.0).abs() < 1e-9,
                "{working:?} {expected}"
            );
        };
        let (seat, drop) = (input(force, "F_seat"), input(force, "F_drop"));
        of(
            force,
            input(force, "F_pack") + (seat + drop).max(-drop).max(0.0),
        );
        of(
            lost,
            0.5 * input(lost, "D") * input(lost, "dh") * input(lost, "Ts") * input(lost, "R"),
        );
        of(
            swing,
            input(swing, "R")
                * input(swing, "g")
                * input(swing, "theta")
                * (input(swing, "S") + 2.0 * input(swing, "b")),
        );
        // Water 888.9 and steam 4.91 kg/m3 at 9.632 bar absolute (IAPWS R7-97).
        let by_hand = input(rise, "w") / ((888.9 - 4.91) * input(rise, "A"));
        assert!((rise.result / by_hand - 1.0).abs() < 1e-3);
    }
}
