//! How the feedwater numbers came about.

use crate::feedwater::duties::ValveDuty;
use crate::feedwater::selection::Assessed;
use crate::feedwater::sheets::{DutyFlow, DutyKind};
use crate::feedwater::sizing::REFERENCE_DENSITY_KG_M3;
use crate::feedwater::system::System;
use crate::working::Working;

const VALVE: &str = "IEC 60534-2-1:2011";

/// Workings of every duty, then of the chosen valve.
pub(crate) fn feedwater_workings(
    flows: &[DutyFlow],
    duties: &[ValveDuty],
    systems: &[System],
    chosen: &Assessed,
    largest: usize,
) -> Vec<Working> {
    let mut workings = Vec::new();
    for ((flow, duty), system) in flows.iter().zip(duties).zip(systems) {
        workings.push(drop_working(flow, system));
        if flow.kind == DutyKind::ShutOff {
            continue;
        }
        workings.push(kv_working(flow));
        if let (Some(available), Some(pump_flow)) = (flow.npsh_available_m, flow.pump_flow_m3_s) {
            workings.push(
                Working::new(
                    format!("NPSH available, duty {}", flow.name),
                    "NPSH = (p_surface - p_v)/(rho g) + z - loss/(rho g)",
                    available,
                    "m",
                    "definition",
                    "liquid at the pump",
                )
                .with(
                    "p_v",
                    "vapour pressure at the pump",
                    system.supply_vapour_pressure_pa,
                    "Pa",
                )
                .with(
                    "rho",
                    "density at the pump",
                    system.supply_density_kg_m3,
                    "kg/m3",
                )
                .with("q", "flow of each pump", pump_flow, "m3/s"),
            );
        }
        if let Some(steam) = duty.heating_steam_kg_s {
            workings.push(
                Working::new(
                    format!("Make-up, duty {}", flow.name),
                    "w = ((W - R) h_s + sum(R h_r) - W h_f)/(h_s - h_w)",
                    flow.flow_kg_s,
                    "kg/s",
                    "mass and energy balance",
                    "heating steam dry at the vessel's pressure; no vent, no heat lost",
                )
                .with("s", "heating steam that comes with it", steam, "kg/s"),
            );
        }
    }
    let at_full = systems[largest].at_flow(chosen.installed.full_flow_kg_s);
    workings.push(
        Working::new(
            "Full-valve flow of the chosen valve",
            "dP(w) = a w^2 (1/Kv^2 + S), solved for w",
            chosen.installed.full_flow_kg_s,
            "kg/s",
            VALVE,
            "turbulent; the largest duty's pressures; choked: P1(w) - FF Pv = a w^2 (1/(FL Kv)^2 + zi)",
        )
        .with("Kv", "rated flow coefficient", chosen.size.rated_kv_m3_h, "m3/h")
        .with("dP", "drop at that flow", at_full.drop_pa, "Pa")
        .with("P1", "pressure before the valve at that flow", at_full.inlet_pressure_pa, "Pa")
        .with("FL", "recovery factor", chosen.factors.recovery_factor, "-"),
    );
    workings
}

fn drop_working(flow: &DutyFlow, system: &System) -> Working {
    Working::new(
        format!("Drop over the valve, duty {}", flow.name),
        "dP = P1 - P2; P1 = P_s - rho g z - f1; P2 = P_v + static + f2",
        flow.pressure_drop_pa,
        "Pa",
        "hydrostatics; pump curve or header; friction of the line",
        "any",
    )
    .with("w", "flow through the valve", flow.flow_kg_s, "kg/s")
    .with(
        "P_s",
        "pressure of the supply",
        flow.inlet_pressure_pa + flow.friction_pa.0 + system.static_before_pa,
        "Pa",
    )
    .with(
        "rho g z",
        "column before the valve",
        system.static_before_pa,
        "Pa",
    )
    .with("f1", "friction before the valve", flow.friction_pa.0, "Pa")
    .with("P_v", "vessel", flow.vessel_pressure_pa, "Pa")
    .with(
        "static",
        "column after the valve",
        system.static_after_pa,
        "Pa",
    )
    .with("f2", "friction after the valve", flow.friction_pa.1, "Pa")
}

fn kv_working(flow: &DutyFlow) -> Working {
    Working::new(
        format!("Flow coefficient, duty {}", flow.name),
        "Kv = Q/(N1 FP) sqrt((rho/rho0)/dPs), dPs = min(dP, (FLP/FP)^2 (P1 - FF Pv))",
        flow.kv_required_m3_h,
        "m3/h",
        VALVE,
        "liquid; Q in m3/h and dP in bar with N1 = 1; below Reynolds 10 000 with FR of Annex A",
    )
    .with("Q", "flow", flow.flow_m3_s, "m3/s")
    .with("rho", "density", flow.density_kg_m3, "kg/m3")
    .with(
        "rho0",
        "density of the coefficient",
        REFERENCE_DENSITY_KG_M3,
        "kg/m3",
    )
    .with("dP", "drop", flow.pressure_drop_pa, "Pa")
    .with("P1", "pressure before", flow.inlet_pressure_pa, "Pa")
    .with("Pv", "vapour pressure", flow.vapour_pressure_pa, "Pa")
    .with(
        "FF",
        "critical pressure ratio factor",
        flow.critical_ratio_factor,
        "-",
    )
    .with("FP", "piping factor", flow.piping_factor, "-")
    .with(
        "FLP",
        "recovery factor with fittings",
        flow.piping_recovery_factor,
        "-",
    )
    .with("Rev", "valve Reynolds number", flow.reynolds, "-")
}
