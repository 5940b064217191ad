//! Units of the water side and the wires: flow coefficients, drops, volume flows, forces, runs of cable.

use halfglass_core::description::UnitSystem;

use super::{DisplayUnits, M_PER_FOOT, PA_PER_BAR, PA_PER_PSI, S_PER_HOUR, joined, number};

/// Kv over Cv: N1 of IEC 60534-2-1 for Cv with m3/h and bar.
const KV_PER_CV: f64 = 0.865;
/// Cubic metres in a US gallon, exact.
const M3_PER_GALLON: f64 = 3.785_411_784e-3;
/// Newtons in a pound-force.
const N_PER_POUND: f64 = 4.448_221_615_260_5;

impl DisplayUnits {
    /// Heads of the two flow coefficients, the one of this system of units first.
    pub fn coefficient_heads(&self) -> [&'static str; 2] {
        self.pick(["Cv", "Kv, m3/h"], ["Kv, m3/h", "Cv"])
    }
    /// Both flow coefficients as numbers, in the order of [`Self::coefficient_heads`].
    pub fn coefficient_numbers(&self, kv_m3_h: f64) -> [String; 2] {
        let text = |value: f64| number(value, if value.abs() < 9.995 { 2 } else { 1 });
        let (kv, cv) = (text(kv_m3_h), text(kv_m3_h / KV_PER_CV));
        match self.system {
            UnitSystem::Us => [cv, kv],
            UnitSystem::Si => [kv, cv],
        }
    }
    /// Both flow coefficients: `Cv 9.83 (Kv 8.50 m3/h)`, `Kv 8.50 m3/h (Cv 9.83)`.
    pub fn coefficient_text(&self, kv_m3_h: f64) -> String {
        let [first, second] = self.coefficient_numbers(kv_m3_h);
        match self.system {
            UnitSystem::Us => format!("Cv {first} (Kv {second} m3/h)"),
            UnitSystem::Si => format!("Kv {first} m3/h (Cv {second})"),
        }
    }

    /// Pressure drop: psi or bar.
    pub fn drop(&self, pa: f64) -> (f64, &'static str) {
        self.pick((pa / PA_PER_PSI, "psi"), (pa / PA_PER_BAR, "bar"))
    }
    /// Pressure drop without its unit.
    pub fn drop_number(&self, pa: f64) -> String {
        number(self.drop(pa).0, self.pick(1, 2))
    }
    /// Pressure drop with its unit: `35.3 psi`, `2.43 bar`.
    pub fn drop_text(&self, pa: f64) -> String {
        let (value, unit) = self.drop(pa);
        joined(value, self.pick(1, 2), unit)
    }

    /// Volume flow: gpm (US gallons) or m3/h.
    pub fn volume_flow(&self, m3_s: f64) -> (f64, &'static str) {
        self.pick(
            (m3_s * 60.0 / M3_PER_GALLON, "gpm"),
            (m3_s * S_PER_HOUR, "m3/h"),
        )
    }
    /// Volume flow without its unit.
    pub fn volume_flow_number(&self, m3_s: f64) -> String {
        number(self.volume_flow(m3_s).0, self.pick(1, 2))
    }
    /// Volume flow with its unit: `35.2 gpm`, `8.00 m3/h`.
    pub fn volume_flow_text(&self, m3_s: f64) -> String {
        let (value, unit) = self.volume_flow(m3_s);
        joined(value, self.pick(1, 2), unit)
    }

    /// Mass flow without its unit.
    pub fn flow_number(&self, kg_s: f64) -> String {
        number(self.flow(kg_s).0, 0)
    }

    /// Head without its unit, one decimal: ft or m.
    pub fn head_number(&self, m: f64) -> String {
        number(self.length(m).0, 1)
    }
    /// Head or an elevation of the plant with its unit, one decimal: `171.3 ft`, `52.2 m`.
    pub fn head_text(&self, m: f64) -> String {
        let (value, unit) = self.length(m);
        joined(value, 1, unit)
    }

    /// Velocity: ft/s or m/s.
    pub fn velocity(&self, m_s: f64) -> (f64, &'static str) {
        self.pick((m_s / M_PER_FOOT, "ft/s"), (m_s, "m/s"))
    }
    /// Velocity without its unit.
    pub fn velocity_number(&self, m_s: f64) -> String {
        number(self.velocity(m_s).0, 1)
    }

    /// Force: `420 lbf`, `1870 N`.
    pub fn force_text(&self, n: f64) -> String {
        let (value, unit) = self.pick((n / N_PER_POUND, "lbf"), (n, "N"));
        joined(value, 0, unit)
    }
    /// Torque: `22.1 lbf·ft`, `30.0 N·m`.
    pub fn torque_text(&self, n_m: f64) -> String {
        let (value, unit) = self.pick(
            (n_m / N_PER_POUND / M_PER_FOOT, "lbf\u{b7}ft"),
            (n_m, "N\u{b7}m"),
        );
        joined(value, 1, unit)
    }

    /// Force of a stem or torque of a shaft.
    pub fn effort_text(&self, effort: f64, is_torque: bool) -> String {
        if is_torque {
            self.torque_text(effort)
        } else {
            self.force_text(effort)
        }
    }

    /// Resistance of a conductor: ohm/1000 ft or ohm/km.
    pub fn conductor(&self, ohm_per_km: f64) -> (f64, &'static str) {
        self.pick(
            (ohm_per_km * M_PER_FOOT, "ohm/1000 ft"),
            (ohm_per_km, "ohm/km"),
        )
    }
    /// Resistance of a conductor with its unit.
    pub fn conductor_text(&self, ohm_per_km: f64) -> String {
        let (value, unit) = self.conductor(ohm_per_km);
        joined(value, 2, unit)
    }

    /// Difference of temperatures: degF or K.
    pub fn temperature_difference(&self, k: f64) -> (f64, &'static str) {
        self.pick((1.8 * k, "degF"), (k, "K"))
    }
    /// Difference of temperatures with its unit: `9.0 degF`, `5.0 K`.
    pub fn temperature_difference_text(&self, k: f64) -> String {
        let (value, unit) = self.temperature_difference(k);
        joined(value, 1, unit)
    }
}

/// Resistance: `250.0 ohm`.
pub fn ohm_text(ohm: f64) -> String {
    joined(ohm, 1, "ohm")
}

/// Voltage: `21.35 V`.
pub fn volt_text(v: f64) -> String {
    joined(v, 2, "V")
}

#[cfg(test)]
mod tests {
    use halfglass_core::quantity::{AbsolutePressure, WaterColumn};

    use super::*;

    fn both() -> [DisplayUnits; 2] {
        [UnitSystem::Us, UnitSystem::Si].map(|system| DisplayUnits {
            system,
            water_column: WaterColumn::At68DegF,
            atmosphere: AbsolutePressure::from_pa(101_325.0),
        })
    }

    #[test]
    fn published_conversions_of_sp_811() {
        // NIST SP 811 (2008), B.8: psi 6 894.757 Pa, gpm 6.309 020e-5 m3/s, lbf 4.448 222 N, lbf·ft 1.355 818 N·m;
        // Kv = 0.865 Cv from N1 of IEC 60534-2-1.
        let [us, si] = both();
        for (text, expect) in [
            (us.drop_text(689_475.7), "100.0 psi"),
            (si.drop_text(243_000.0), "2.43 bar"),
            (us.volume_flow_text(6.309_02e-3), "100.0 gpm"),
            (si.volume_flow_text(0.01), "36.00 m3/h"),
            (us.force_text(4_448.222), "1000 lbf"),
            (us.torque_text(135.581_8), "100.0 lbf\u{b7}ft"),
            (si.torque_text(30.0), "30.0 N\u{b7}m"),
            (us.coefficient_text(8.65), "Cv 10.0 (Kv 8.65 m3/h)"),
            (si.coefficient_text(8.65), "Kv 8.65 m3/h (Cv 10.0)"),
            (us.conductor_text(21.0), "6.40 ohm/1000 ft"),
            (us.temperature_difference_text(5.0), "9.0 degF"),
        ] {
            assert_eq!(text, expect);
        }
        assert_eq!(ohm_text(f64::INFINITY), "no limit");
        assert_eq!(volt_text(-0.5), "\u{2212}0.50 V");
    }
}
