//! Numbers in the sentences of findings, in the units that a person of the loop reads.
//!
//! A finding's sentence is made where its cause is seen; only these few kinds of number stand in one.
//!
//! **Source of the conversions:** NIST Special Publication 811 (2008), appendix B.8.

use crate::description::{Loop, UnitSystem};

const M_PER_FOOT: f64 = 0.3048;
const KG_PER_POUND: f64 = 0.453_592_37;
const PA_PER_PSI: f64 = 6_894.757_293_168;
const PA_PER_BAR: f64 = 1e5;
/// N1 of IEC 60534-2-1 for Cv with m3/h and bar.
const KV_PER_CV: f64 = 0.865;
const S_PER_HOUR: f64 = 3_600.0;

/// The units of a loop's sentences.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct ReaderUnits(UnitSystem);

impl ReaderUnits {
    /// Those of a system.
    #[cfg(test)]
    pub(crate) const fn new(system: UnitSystem) -> Self {
        Self(system)
    }

    /// Those that the loop asks for.
    pub(crate) fn of(the_loop: &Loop) -> Self {
        Self(the_loop.identity.units)
    }

    fn pick(self, us: String, si: String) -> String {
        match self.0 {
            UnitSystem::Us => us,
            UnitSystem::Si => si,
        }
    }

    /// A run of cable or pipe; short ones with a decimal, so that none reads as nothing.
    pub(crate) fn run(self, m: f64) -> String {
        let text = |value: f64, unit| {
            let decimals = usize::from(value < 10.0);
            format!("{value:.decimals$} {unit}")
        };
        self.pick(text(m / M_PER_FOOT, "ft"), text(m, "m"))
    }

    /// A difference of levels.
    pub(crate) fn level(self, m: f64) -> String {
        self.pick(
            format!("{:.1} in", m / (M_PER_FOOT / 12.0)),
            format!("{:.0} mm", 1e3 * m),
        )
    }

    /// A time from the start of something: seconds, or minutes where they are many.
    pub(crate) fn time(self, s: f64) -> String {
        if s < 120.0 {
            format!("{s:.0} s")
        } else {
            format!("{:.1} min", s / 60.0)
        }
    }

    /// A difference of pressures.
    pub(crate) fn pressure_difference(self, pa: f64) -> String {
        self.pick(
            format!("{:.1} psi", pa / PA_PER_PSI),
            format!("{:.2} bar", pa / PA_PER_BAR),
        )
    }

    /// A flow coefficient: Cv or Kv, of which N1 of IEC 60534-2-1 makes the one of the other.
    pub(crate) fn coefficient(self, kv_m3_h: f64) -> String {
        self.pick(
            format!("Cv {:.2}", kv_m3_h / KV_PER_CV),
            format!("Kv {kv_m3_h:.2}"),
        )
    }

    /// A mass flow.
    pub(crate) fn flow(self, kg_s: f64) -> String {
        let kg_h = kg_s * S_PER_HOUR;
        self.pick(
            format!("{:.0} lb/h", kg_h / KG_PER_POUND),
            format!("{kg_h:.0} kg/h"),
        )
    }

    /// A velocity.
    pub(crate) fn velocity(self, m_s: f64) -> String {
        self.pick(
            format!("{:.0} ft/s", m_s / M_PER_FOOT),
            format!("{m_s:.1} m/s"),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::shell_boiler;

    /// NIST SP 811 (2008), B.8: ft 0.3048 m, lb 0.453 592 37 kg, psi 6.894 757 kPa.
    #[test]
    fn published_factors_of_both_systems() {
        let mut the_loop = shell_boiler();
        the_loop.identity.units = UnitSystem::Us;
        let us = ReaderUnits::of(&the_loop);
        the_loop.identity.units = UnitSystem::Si;
        let si = ReaderUnits::of(&the_loop);
        for (found, expected) in [
            (us.run(30.48), "100 ft"),
            (si.run(30.48), "30 m"),
            (us.run(0.3048), "1.0 ft"),
            (si.run(0.3048), "0.3 m"),
            (us.pressure_difference(689_475.7), "100.0 psi"),
            (si.pressure_difference(250_000.0), "2.50 bar"),
            (us.flow(0.453_592_37), "3600 lb/h"),
            (si.flow(0.5), "1800 kg/h"),
            (us.velocity(3.048), "10 ft/s"),
            (si.velocity(3.048), "3.0 m/s"),
        ] {
            assert_eq!(found, expected);
        }
    }
}
