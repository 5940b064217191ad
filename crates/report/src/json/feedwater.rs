//! The feedwater sheet.

use halfglass_core::feedwater::sheets::{
    Candidate, DutyFlow, DutyKind, FeedwaterSheet, InstalledPoint,
};
use serde_json::{Value, json};

use crate::sections::{cavitation, regime};

pub(super) fn feedwater(sheet: &FeedwaterSheet) -> Value {
    let factor = |symbol: &str| {
        sheet
            .factors
            .iter()
            .find(|factor| factor.symbol == symbol)
            .map(|factor| factor.value)
    };
    let (recovery, modifier) = (factor("FL"), factor("Fd"));
    let actuator = &sheet.actuator;
    json!({
        "duties": sheet.duties.iter().map(|row| duty(row, recovery, modifier)).collect::<Vec<_>>(),
        "candidates": sheet.candidates.iter().map(candidate).collect::<Vec<_>>(),
        "chosen_name": sheet.chosen_name,
        "chosen_kv_m3_h": sheet.chosen_kv_m3_h,
        "is_fitted": sheet.is_fitted,
        "choice_text": sheet.choice_words,
        "factors": sheet.factors.iter().map(|factor| json!({
            "symbol": factor.symbol,
            "value": factor.value,
            "source": factor.source,
        })).collect::<Vec<_>>(),
        "installed": {
            "curve": curve(&sheet.installed.curve),
            "full_flow_kg_s": sheet.installed.full_flow_kg_s,
            "gain_spread_ratio": sheet.installed.gain_spread_ratio,
            "turndown_ratio": sheet.installed.turndown_ratio,
            "authority_ratio": sheet.installed.authority_ratio,
        },
        "supply": sheet.supply.iter().map(|point| json!({
            "flow_kg_s": point.flow_kg_s,
            "supply_pressure_pa_abs": point.supply_pressure_pa,
            "system_pressure_pa_abs": point.system_pressure_pa,
        })).collect::<Vec<_>>(),
        "supply_text": sheet.supply_words,
        "actuator": {
            "from_drop_n": (!actuator.is_torque).then_some(actuator.from_drop),
            "packing_friction_n": (!actuator.is_torque).then_some(actuator.packing_friction_n),
            "seat_load_n": (!actuator.is_torque).then_some(actuator.seat_load_n),
            "required_n": (!actuator.is_torque).then_some(actuator.required),
            "rated_n": (!actuator.is_torque).then_some(actuator.rated),
            "from_drop_n_m": actuator.is_torque.then_some(actuator.from_drop),
            "required_n_m": actuator.is_torque.then_some(actuator.required),
            "rated_n_m": actuator.is_torque.then_some(actuator.rated),
            "margin_ratio": actuator.margin_ratio,
            "shut_off_drop_pa": actuator.shut_off_drop_pa,
            "enough": actuator.enough,
            "text": actuator.words,
        },
        "leakage": sheet.leakage.as_ref().map(|leakage| json!({
            "leakage_kg_s": leakage.leakage_kg_s,
            "rise_m_s": leakage.rise_m_s,
            "to_high_s": leakage.minutes_to_high.map(|minutes| 60.0 * minutes),
            "high_mark": leakage.high_mark,
            "clause": leakage.clause,
            "text": leakage.words,
        })),
        "stroke": {
            "stroke_time_s": sheet.stroke.stroke_time_s,
            "true_level_lost_m": sheet.stroke.level_lost_m,
            "share_of_allowed_ratio": sheet.stroke.share_of_allowed_ratio,
            "deadband_true_level_m": sheet.stroke.deadband_level_m,
            "text": sheet.stroke.words,
        },
        "minimum_flow": sheet.minimum_flow.as_ref().map(|minimum| json!({
            "flow_m3_s": minimum.minimum_flow_m3_s,
            "duties_below": minimum.duties_below,
            "covered": minimum.covered,
            "text": minimum.words,
        })),
        "returns": sheet.returns.iter().map(|row| json!({
            "name": row.name,
            "flash_steam_ratio": row.flash_steam_ratio,
            "text": row.words,
        })).collect::<Vec<_>>(),
        "station": sheet.station_words,
    })
}

fn duty(duty: &DutyFlow, recovery: Option<f64>, modifier: Option<f64>) -> Value {
    json!({
        "name": duty.name,
        "kind": match duty.kind {
            DutyKind::Stated => "stated",
            DutyKind::SafetyValve => "safety-valve",
            DutyKind::StartUp => "start-up",
            DutyKind::ShutOff => "shut-off",
        },
        "flow_kg_s": duty.flow_kg_s,
        "flow_m3_s": duty.flow_m3_s,
        "water_k": duty.water_temperature_k,
        "density_kg_m3": duty.density_kg_m3,
        "kinematic_viscosity_m2_s": duty.kinematic_viscosity_m2_s,
        "vessel_pressure_pa_abs": duty.vessel_pressure_pa,
        "pump_flow_m3_s": duty.pump_flow_m3_s,
        "pump_head_m": duty.pump_head_m,
        "speed_with_valve_open_percent": duty.speed_with_valve_open_percent,
        "npsh_available_m": duty.npsh_available_m,
        "npsh_required_m": duty.npsh_required_m,
        "inlet_pressure_pa_abs": duty.inlet_pressure_pa,
        "outlet_pressure_pa_abs": duty.outlet_pressure_pa,
        "pressure_drop_pa": duty.pressure_drop_pa,
        "friction_before_pa": duty.friction_pa.0,
        "friction_after_pa": duty.friction_pa.1,
        "vapour_pressure_pa_abs": duty.vapour_pressure_pa,
        "critical_pressure_ratio": duty.critical_ratio_factor,
        "recovery_factor_ratio": recovery,
        "style_modifier_ratio": modifier,
        "choked_drop_pa": duty.choked_drop_pa,
        "kv_required_m3_h": duty.kv_required_m3_h,
        "regime": regime(duty.regime),
        "reynolds_ratio": duty.reynolds,
        "piping_factor_ratio": duty.piping_factor,
        "piping_recovery_ratio": duty.piping_recovery_factor,
        "choked": duty.choked,
        "flashing": duty.flashing,
        "cavitation": cavitation(duty.cavitation),
        "sigma_ratio": duty.sigma,
        "pressure_ratio": duty.pressure_ratio,
        "incipient_pressure_ratio": duty.incipient_pressure_ratio,
        "noise_dba": duty.noise_dba,
        "inlet_velocity_m_s": duty.inlet_velocity_m_s,
        "outlet_velocity_m_s": duty.outlet_velocity_m_s,
        "flash_steam_ratio": duty.flash_steam_ratio,
        "travel_percent": duty.travel_percent,
        "installed_gain_ratio": duty.installed_gain_ratio,
        "text": duty.words,
    })
}

fn candidate(size: &Candidate) -> Value {
    json!({
        "name": size.name,
        "rated_kv_m3_h": size.rated_kv_m3_h,
        "travel_percent": size.travel_percent,
        "full_flow_kg_s": size.full_flow_kg_s,
        "gain_spread_ratio": size.gain_spread_ratio,
        "curve": curve(&size.curve),
        "fits": size.fits,
        "chosen": size.chosen,
        "serves_better": size.serves_better,
        "text": size.words,
    })
}

fn curve(points: &[InstalledPoint]) -> Vec<Value> {
    points
        .iter()
        .map(|point| {
            json!({
                "travel_percent": point.travel_percent,
                "flow_kg_s": point.flow_kg_s,
                "gain_ratio": point.gain_ratio,
            })
        })
        .collect()
}
